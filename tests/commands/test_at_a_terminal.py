"""`log` at a terminal: the question that a pipe is refused with is asked, and the answer is kept.

Readings and answers are invented, of the larder's cross bars (back 14 3/8 in, face 14 1/4 in).
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pytest

from tests.commands.test_bench import CROSS_BAR, RIGHT, THRICE, entries, found
from tests.running import Answers, Ran, run

LONG = THRICE * found(**(RIGHT | {"back_length": "14 1/2"}))
DAY = ("--date", "2021-03-01")


class Maker(Answers):
    """Somebody at the keyboard."""

    def isatty(self) -> bool:
        return True


def log(*options: str, said: Mapping[str, str]) -> Ran:
    answers = Maker(said)
    ran = run("log", "larder", CROSS_BAR, *options, *DAY, typed=answers)
    assert not answers.unasked, ran.err
    return ran


@pytest.mark.parametrize(("answer", "kept"), [("y", 1), ("n", 0), ("", 0)])
def test_what_looks_like_a_slip_is_kept_when_the_maker_says_so(
    larder: Path, answer: str, kept: int
) -> None:
    ran = log("--found", "face_length=142.5", said={"Is it right as typed?": answer})
    assert "with the point moved it is 14 1/4 in" in " ".join(ran.err.split())
    assert "--sure" not in ran.err  # nobody types that at a question
    assert ran.code == 1 - kept and len(entries(larder)) == kept


@pytest.mark.parametrize(("answer", "kept"), [("y", 2), ("n", 1), ("", 1)])
def test_the_same_readings_are_a_further_piece_when_the_maker_says_so(
    larder: Path, answer: str, kept: int
) -> None:
    assert log(*found(**RIGHT), said={}).code == 0
    ran = log(*found(**RIGHT), said={"These are the readings of test piece 1": answer})
    assert "Keep it as a further one?" in ran.err and "--next" not in ran.err
    assert ran.code == 2 - kept and len(entries(larder)) == kept


@pytest.mark.parametrize("slip", ["moved it a bit", ""])
def test_what_was_done_is_asked_until_it_can_be_read(larder: Path, slip: str) -> None:
    assert log(*LONG, said={}).code == 0
    unread, read = "What was done before this piece?", "What was done before"
    said = {unread: slip, read: "back_cheek.stop=1/16"}
    ran = log(*found(**RIGHT), said=said)
    assert ran.code == 0 and "back cheek: stop 7/16 in" in ran.out
    assert "advised, nothing, or CAUSE=AMOUNT, as in back_cheek.stop=1/16 in" in ran.err
    assert "--did" not in ran.err, "nobody types that at a question"
    assert "did:\n  back_cheek.stop: 1/16 in\n" in entries(larder)[1]


def test_why_it_is_called_proved_is_asked_and_printed(larder: Path) -> None:
    why = "the shoulder is under the bead"
    ran = log(*LONG, "--verdict", "proved", said={"Why is it to be called proved all the": why})
    assert ran.code == 0
    assert "Back, shoulder to shoulder of the last piece lies outside its limits" in " ".join(
        ran.err.split()
    )
    assert f"taken with 1 test piece, not proved: {why}" in run("recall", "cross", *DAY).out


def test_a_blank_is_asked_for_by_the_size_that_it_was_meant_to_have(larder: Path) -> None:
    """Of a bar 1 3/8 thick the cut 7/8 above its back leaves 1/2 to the face, and the one 3/4 above
    its face 1/4 between them (plane geometry). A dial would do the same: the wood is read first."""
    readings = ("15 1/8", "14 3/8", ".25", ".5", "14 1/4", ".375")
    lines = ("Overall", "Back", "Thickness of", "Face to", "Face, cope", "Depth")
    blank = "blanks: thickness (caliper) of this piece, meant to be 1 1/4 in"
    said = dict(zip(lines, readings, strict=True)) | {"Measure that now?": "y", blank: "1 3/8"}
    ran = log(said=said)
    assert "blanks: thickness: take 1/8 in off the blanks already made" in ran.out
    assert "of: blank.thickness" in entries(larder)[-1]
