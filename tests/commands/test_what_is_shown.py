"""`log` in a shop as `begin` makes it: what holds parts back is what was read, and a move that the
next piece does not show is looked at first.

Readings are invented: an edge moulded 3/8 in or 10 mm deep.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest

from tests.doors import begun
from tests.running import Ran, run

DEPTH, WIDTH = "Face to the bottom of the moulding", "Sight edge to the moulding's edge on the face"


@pytest.fixture(params=["in", "mm"])
def unit(request: pytest.FixtureRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    unit: str = request.param
    monkeypatch.chdir(begun(tmp_path, unit))
    return unit


def log(*said: str, **readings: Sequence[str]) -> Ran:
    found = [p for n, each in readings.items() for v in each for p in ("--found", f"{n}={v}")]
    day = ("--date", "2026-11-26")
    return run("log", "first-door", "sticking-router-table", *day, *said, *found)


SCATTERS = {"in": (".362", ".388", ".361", ".389"), "mm": ("9.65", "10.35", "9.65", "10.35")}


def test_out_of_reach_names_what_was_read(unit: str) -> None:
    told = []
    for number, value in enumerate(SCATTERS[unit]):
        did = ("--did", "nothing") if number else ()
        told.append(log(*did, sticking_depth=[value]))
        assert told[-1].code == 0, told[-1].err
        assert f"{WIDTH} differs" not in told[-1].out
    line = told[-1].out.partition("Next:")[2]
    assert f"Out of reach: {DEPTH} differs more from piece to piece" in line
    assert f"Never measured: {WIDTH}." in line


FIGURES = {
    "in": ("3/8", ".345", ".346", ".375", "moved by 1/32 in", "stands at 13/32 in"),
    "mm": ("10", "9.2", "9.21", "10", "moved by 0.8 mm", "stands at 10.8 mm"),
}


def test_a_move_that_does_not_show_is_looked_at_at_the_second_piece(unit: str) -> None:
    right, low, as_low, put_right, moved, stands = FIGURES[unit]
    log(sticking_width=[right] * 3, sticking_depth=[low] * 3)
    ran = log("--did", "advised", sticking_width=[right] * 3, sticking_depth=[as_low] * 3)
    assert ran.code == 0, ran.err
    todo, _, then = ran.out.partition("What to do:")[2].partition("Next:")
    assert f"{moved} before piece 2, yet {DEPTH} reads as on the piece before." in todo
    assert stands in todo and "something else cuts there: find that before" in todo
    assert todo.count("sticking: height") == 1, "nothing is to be moved below it"
    assert "Cut another test piece once that is seen to, with nothing else moved." in then

    done = log("--did", "nothing", sticking_width=[right] * 3, sticking_depth=[put_right] * 3)
    assert "Cut the parts" in done.out.partition("Next:")[2]
    assert f"sticking: height {stands.removeprefix('stands at ')}" in done.out
    assert "yet" not in done.out
