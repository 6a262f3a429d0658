"""Why test pieces are due, in words: every way in which a record stands has its sentence."""

from __future__ import annotations

import datetime

import pytest
from msgspec.structs import replace

from setupsheets.records.changes import ChangeKind, ChangeSince, last_day
from setupsheets.records.pieces_due import PiecesDue
from setupsheets.records.standing import Stands
from setupsheets.records.verdicts import Verdict
from setupsheets.wording.pieces_due import due_line, due_words
from tests.records.made_up import NOTATION, RECORD, inches

PROVED = replace(RECORD, verdict=Verdict.PROVED, although="")
DAY = last_day(PROVED)
MOVED = ChangeSince(
    ChangeKind.AIM, "back_cheek.stop", then=inches("3/8"), now=inches("1/2"), causes=()
)


def due(stands: Stands, days: int = 0, pieces: int = 3, **more: object) -> PiecesDue:
    record = PROVED
    if stands in (Stands.OPEN, Stands.LEFT):
        record = replace(PROVED, verdict=Verdict.OPEN)
    today = DAY + datetime.timedelta(days=days)
    return PiecesDue(pieces, stands, record, today, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize("stands", Stands)
def test_every_way_of_standing_has_its_sentence(stands: Stands) -> None:
    told = due_words(due(stands, 400, since=(MOVED,)), NOTATION)
    assert told[0].isupper() and told.endswith(".") and "{" not in told
    assert ("1/8 in more" in told) == (stands in (Stands.REAIMED, Stands.TIGHTENED, Stands.CHANGED))


AGO = {
    "2024-07-11": "31 days",
    "2024-08-09": "60 days",
    "2024-08-10": "2 months",
    "2025-06-09": "11 months",
    "2025-06-10": "a year",
    "2025-07-09": "a year",
    "2025-07-10": "13 months",
    "2026-06-09": "23 months",
    "2026-06-10": "2 years",
    "2034-06-09": "9 years",
    "2034-06-10": "10 years",
}


@pytest.mark.parametrize("today", AGO)
def test_how_long_ago_is_told_as_one_says_it(today: str) -> None:
    record = replace(PROVED, date=datetime.date(2024, 6, 10), pieces=())
    aged = PiecesDue(3, Stands.AGED, record, datetime.date.fromisoformat(today))
    assert f", {AGO[today]} ago, this set-up was proved" in due_words(aged, NOTATION)


def test_how_near_dials_come_back_is_told_where_the_records_know() -> None:
    known = {"back_cheek.stop": inches(".0117"), "cope.fence": inches(".004")}
    told = due_words(due(Stands.AGED, 4000, returns=known), NOTATION)
    assert told.endswith("give or take .012 in (back cheek: stop) and .004 in (cope: fence).")
    assert "give or take" not in due_words(due(Stands.AGED, 4000), NOTATION)


def test_one_is_to_spare_but_of_a_record_that_goes_on() -> None:
    assert due_line(due(Stands.OPEN, pieces=1), NOTATION).startswith("Test pieces to get out: 1. ")
    line = due_line(due(Stands.LEFT, 99), NOTATION)
    assert line.startswith("Test pieces to get out: 3, one of them to spare. ")


def test_what_was_given_up_is_told_from_what_never_was_tested() -> None:
    given_up = replace(due(Stands.NOT), record=replace(PROVED, verdict=Verdict.GIVEN_UP))
    assert due_words(given_up, NOTATION).startswith(f"On {DAY} this set-up was given up after ")
    assert due_words(PiecesDue(3), NOTATION) == "It was not tested for this job."
