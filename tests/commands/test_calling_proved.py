"""What is enough to call a set-up proved, on either side of the share that the shop asks for.

Figures come from the larder job, its readings are those of a piece that is right; invented.
"""

from __future__ import annotations

import math
import re
from pathlib import Path

import pytest
from msgspec.structs import replace

from setupsheets.bench import acts
from setupsheets.lengths import Length
from setupsheets.records.answer import Answer, DryFitAnswer
from setupsheets.records.calling_proved import Objections, objections
from setupsheets.records.record import Record
from tests.commands.test_bench import CROSS_BAR, RIGHT, found
from tests.running import Ran, run


def called_proved(larder: Path, share: float) -> Ran:
    """One right piece, called proved in a shop that asks for that share of right parts."""
    shop = larder / "shop.yaml"
    text = re.sub(r"(?m)^sure_enough: \S+", f"sure_enough: {share!r}", shop.read_text("utf-8"))
    shop.write_text(text, "utf-8")
    piece = ("--date", "2021-03-01", *found(**RIGHT))
    return run("log", "larder", CROSS_BAR, *piece, "--verdict", "proved")


def test_the_share_that_is_asked_for_is_enough_and_the_next_smaller_is_not(
    larder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    weighed: list[tuple[Record, Answer]] = []

    def noted(record: Record, told: Answer | DryFitAnswer | None, needed: float) -> Objections:
        assert isinstance(told, Answer)
        weighed.append((record, told))
        return objections(record, told, needed)

    monkeypatch.setattr(acts, "objections", noted)
    assert called_proved(larder, 0.999).code == 1
    ((record, told),) = weighed
    share = told.advice.untouched
    assert 0.85 < share < 0.99  # otherwise the words below are others
    more = math.nextafter(share, 1)

    less = called_proved(larder, more)
    words = f"just under {share:.0%} of parts would be right as the machines stand, and the shop"
    said = f"Not proved: {words} asks for {share:.0%}. ".replace("%", " %")
    assert less.code == 1 and said in " ".join(less.err.split())

    unsettled = replace(told, recommendation=replace(told.recommendation, kind="measure again"))
    assert not unsettled.ready and not objections(record, unsettled, share)
    assert objections(record, unsettled, more) == Objections((), share, more)

    assert called_proved(larder, share).code == 0


@pytest.mark.parametrize("slip", ["1 in", "1/8 in", "-1/2 in"])
def test_a_reading_that_was_taken_again_and_left_out_of_account_proves_nothing_against_it(
    larder: Path, slip: str
) -> None:
    """The face misread by so much, then read again three times as it is to be: the parts can be
    cut, and what was promised so is kept."""
    wrong = Length("14 1/4 in") + Length(slip)
    typed = RIGHT | {"face_length": f"{float(wrong.mm) / 25.4:.4f} in"}
    day = ("--date", "2021-03-01")
    ran = run("log", "larder", CROSS_BAR, *day, *found(**typed), "--sure")
    assert ran.code == 0 and "Cut the parts" not in ran.out
    again = [option for _ in range(2) for option in found(face_length="14 1/4")]
    ran = run("log", "larder", CROSS_BAR, *day, *again, "--same")
    assert "Cut the parts" in ran.out and "it is left out of account" in ran.out, ran.out
    called = run("log", "larder", CROSS_BAR, *day, "--verdict", "proved")
    assert called.code == 0, called.err
    assert "This set-up is proved with 1 test piece." in called.out
