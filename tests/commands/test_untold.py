"""What was put right between two pieces without a word: it is asked for, never guessed at.

That a maker who reads his blanks a quarter long trims them before the next piece is common
practice, no source. Figures come from the examples' jobs.
"""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from tests.commands.conftest import EXAMPLES
from tests.commands.test_bench import CROSS_BAR, RIGHT, found
from tests.running import Ran, run

# The README's first piece on the larder's bar: 1/4 long in the blank, fence 1/32 out.
FIRST = RIGHT | {
    "overall": "15 3/8",
    "back_length": "14 5/8",
    "face_length": "14 7/16",
    "tenon_thickness": ".376",
    "face_to_tenon": ".374",
    "cope_depth": ".376",
}


@pytest.fixture
def known(larder: Path) -> Path:
    """The larder with its records of earlier set-ups."""
    shutil.copytree(EXAMPLES / "larder" / "records", larder / "records", dirs_exist_ok=True)
    return larder


def log(*said: str, **readings: str) -> Ran:
    day = ("--date", "2026-11-26")
    return run("log", "larder", CROSS_BAR, *day, *said, *found(**readings))


def unadvised(shop: Path) -> None:
    """Make the last entry one of which nobody knows that anything was advised in it."""
    (entry,) = (shop / "records").glob("2026-11-26-*/*.yaml")
    text = entry.read_text("utf-8")
    entry.write_text(text[: text.index("advised:")] + "\n", "utf-8")


def test_what_is_sure_is_done_before_what_is_doubtful_is_read_again(known: Path) -> None:
    ran = log("--afresh", **FIRST)
    assert ran.out.count("blanks: length 1/4 in long") == 3, "it is in every account"
    assert "blanks: length: trim the blanks already cut by 1/4 in" in ran.out
    assert "Measure this piece again" not in ran.out


def test_a_trim_that_nobody_told_of_is_asked_for(known: Path) -> None:
    log("--afresh", **FIRST)
    unadvised(known)
    ran = log(overall="15 1/8")
    assert ran.code == 1
    assert "as if blanks: length had been made 1/4 in shorter since test piece 1" in ran.err
    assert '--did "blank.length=-1/4 in"' in ran.err
    assert len(list((known / "records").glob("2026-11-26-*/*.yaml"))) == 1, "nothing is kept"

    told = log("--did", "blank.length=-1/4 in", overall="15 1/8")
    assert told.code == 0 and "misread" not in told.out.partition("Next:")[0].splitlines()[1]
    assert "stop on the crosscut saw (radial arm)" not in told.out


def test_where_nothing_was_done_the_odd_reading_is_taken_again(known: Path) -> None:
    log("--afresh", **FIRST)
    unadvised(known)
    ran = log("--did", "nothing", overall="15 1/8")
    assert "Overall of piece 2: likely a misreading" in ran.out
    assert "Measure this piece again before anything else is cut: Overall (rule)" in ran.out
    assert "Out of reach" not in ran.out and "to 17/32 in" not in ran.out


def test_a_dial_moved_without_a_word_is_asked_for(larder: Path) -> None:
    # Both ends are cut against the one stop: 1/8 long on the back is 1/16 on the stop.
    assert "Measure this piece again" in log(**(RIGHT | {"back_length": "14 1/2"})).out
    ran = log(**RIGHT)
    assert ran.code == 1
    assert "as if back cheek: stop had been moved from 3/8 in to 7/16 in" in ran.err
    told = log("--did", "back_cheek.stop=1/16 in", **RIGHT)
    assert "back cheek: stop 7/16 in" in told.out.splitlines()[-1]


def test_a_second_piece_like_the_first_is_no_reason_to_ask(larder: Path) -> None:
    log(**(RIGHT | {"back_length": "14 13/32"}))
    assert log("--next", **(RIGHT | {"back_length": "14 13/32"})).code == 0


def test_the_joint_never_binds_and_stands_off_at_one_place(known: Path) -> None:
    for readings in (FIRST, RIGHT | {"face_to_tenon": ".39"}, RIGHT | {"cope_depth": ".39"}):
        ran = run("correct", "larder", CROSS_BAR, "--date", "2026-11-26", *found(**readings))
        _, _, line = ran.out.partition("laid on its mate:\n")
        places = [part.partition(" at ")[2] for part in line.strip().split("; ") if " at " in part]
        assert len(places) == len(set(places))
