"""What is wrong in a record that its schema cannot see, by the field and in whole sentences; and
when an act was, and what stands against calling a dry fit proved.

The records are made up; what is right of them is `tests/records/made_up.py`.
"""

from __future__ import annotations

import datetime
import time
from collections.abc import Iterator

import pytest
from msgspec.structs import replace

from setupsheets.lengths import Length
from setupsheets.records.answer import DryFitAnswer
from setupsheets.records.calling_proved import Objections, objections
from setupsheets.records.entry import Entry
from setupsheets.records.record import Record, RecordedPiece, RecordedReading
from setupsheets.records.record_checks import record_faults
from tests.records.made_up import RECORD, inches

FIRST, SECOND = RECORD.settings
BACK, HALF = RECORD.measures
PIECE = RECORD.pieces[0]
NOUGHT = "a limit is more than nought: how far from the target is still good"
TWICE = "is given twice: take one out or call it otherwise"

WRONG: dict[str, tuple[Record, list[str]]] = {
    "nothing": (RECORD, []),
    "a dial twice": (
        replace(RECORD, settings=(FIRST, SECOND, FIRST)),
        [f"settings.3.cause: 'back_cheek.stop' {TWICE}"],
    ),
    "a measure twice": (
        replace(RECORD, measures=(BACK, replace(HALF, name="back_length"))),
        [
            f"measures.2.name: 'back_length' {TWICE}",
            "pieces.1.readings.2.of: unknown measure 'half'; known are back_length",
        ],
    ),
    "an offset twice": (
        replace(RECORD, after=(RECORD.after[0], RECORD.after[0])),
        [f"after.2.setting: 'crosscut-saw.stop' {TWICE}"],
    ),
    "a limit of nought": (
        replace(RECORD, measures=(replace(BACK, under=Length.ZERO), HALF)),
        [f"measures.1.under: {NOUGHT}"],
    ),
    "a limit below nought": (
        replace(RECORD, measures=(BACK, replace(HALF, over=inches("-1/64")))),
        [f"measures.2.over: {NOUGHT}"],
    ),
    "a limit as narrow as can be": (
        replace(RECORD, measures=(BACK, replace(HALF, over=Length.millimetres("0.0001")))),
        [],
    ),
    "moved by nothing there is": (
        replace(RECORD, measures=(replace(BACK, moved_by={"blank.lenght": 1}), HALF)),
        ["measures.1.moved_by.blank.lenght: unknown cause 'blank.lenght'; did you mean "
         "'blank.length'?"],
    ),
    "a move of nothing there is": (
        replace(RECORD, pieces=(PIECE, replace(PIECE, moved={"cope.fense": inches("1")}))),
        ["pieces.2.moved.cope.fense: unknown cause 'cope.fense'; did you mean 'cope.fence'?"],
    ),
    "a reading of nothing there is": (
        replace(RECORD, pieces=(replace(PIECE, readings=(*PIECE.readings,
                                                         RecordedReading("hafl"))),)),
        ["pieces.1.readings.3.of: unknown measure 'hafl'; did you mean 'half'?"],
    ),
}  # fmt: skip


@pytest.mark.parametrize("what", WRONG)
def test_what_leads_nowhere_is_told_by_its_field(what: str) -> None:
    record, told = WRONG[what]
    assert [str(fault) for fault in record_faults(record)] == told


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Iterator[pytest.MonkeyPatch]:
    """The clock of this place, to be set to another one's."""
    if not hasattr(time, "tzset"):
        pytest.skip("the place of the clock is not to be set here")
    yield monkeypatch
    monkeypatch.undo()
    time.tzset()


@pytest.mark.parametrize(
    ("zone", "told"), [("UTC0", "21:30"), ("EAST-2", "23:30"), ("EAST-3", ""), ("WEST5", "16:30")]
)
def test_an_act_was_at_the_moment_of_its_name_by_the_clock_of_this_place(
    clock: pytest.MonkeyPatch, zone: str, told: str
) -> None:
    """Outside source: POSIX.1-2017, 8.3: hours after the name of a zone count west of Greenwich.
    Where that makes another day of it, it was written up later, and nobody knows."""
    clock.setenv("TZ", zone)
    time.tzset()
    entry = Entry("20210531-213000-000000-abc030", datetime.date(2021, 5, 31))
    assert entry.clock == told
    assert replace(entry, time="9:15").clock == "9:15"
    inside = "20210531-000000-000001-2021-05-31-larder-abc030"
    assert not replace(entry, name=inside).clock, "its head told no moment"


@pytest.mark.parametrize(
    ("found", "outside"),
    [
        (("14 3/8 in",), ()),
        (("14 25/64 in",), ()),  # 1/64 over, the most that is allowed
        (("14 13/32 in",), (BACK.title,)),
        (("14 11/32 in",), ()),  # 1/32 under, the most that is allowed
        (("14 21/64 in",), (BACK.title,)),
        (("14 13/32 in", "14 3/8 in"), ()),  # 1/64 over in the mean of both
        (("14 13/32 in", "14 25/64 in"), (BACK.title,)),
    ],
)
def test_a_dry_fit_is_held_to_the_mean_of_what_was_read_on_its_last_piece(
    found: tuple[str, ...], outside: tuple[str, ...]
) -> None:
    read = tuple(RecordedReading("back_length", found=Length(each), by="rule") for each in found)
    wild = RecordedPiece(RECORD.date, (RecordedReading("back_length", found=inches("20")),))
    record = replace(RECORD, pieces=(wild, RecordedPiece(RECORD.date, read)))
    stands = objections(record, DryFitAnswer(()), 0.9)
    assert stands == Objections(outside) and bool(stands) is bool(outside)


def test_where_nothing_counts_nothing_is_proved() -> None:
    day, dry = RECORD.date, DryFitAnswer(())
    struck = replace(PIECE.readings[0], struck=day)
    for pieces in ((), (RecordedPiece(day),), (RecordedPiece(day, (struck,)),)):
        record = replace(RECORD, pieces=pieces)
        assert objections(record, dry, 0.9) == Objections(unread=True)
    assert objections(replace(RECORD, pieces=(PIECE,)), None, 0.9) == Objections(unread=True)
