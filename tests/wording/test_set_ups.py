"""Sentences about set-ups: every kind of reason and of change has one, and all its fields."""

from __future__ import annotations

import datetime
from typing import Any

import pytest
from msgspec.structs import replace

from setupsheets.lengths import Length
from setupsheets.records.changes import ChangeKind, ChangeSince
from setupsheets.records.current import CurrentSetting, FigureReason, ReasonKind, SetUpState
from setupsheets.records.offset_history import KnownOffset
from setupsheets.records.pieces_due import PiecesDue
from setupsheets.records.standing import Stands
from setupsheets.records.verdicts import Verdict
from setupsheets.wording.set_ups import change_words, offset_words, reason_words, state_words
from tests.records.made_up import NOTATION, RECORD, inches

DATE = datetime.date(2021, 5, 31)
OFFSET = KnownOffset(inches("1/32"), inches(".0117"), set_ups=3, since=2019)

REASONS = {
    ReasonKind.AIM: "nothing known of this dial",
    ReasonKind.OFFSET: (
        "has come out 1/32 in over what is dialled in 3 set-ups since 2019, give or take .0117 in"
    ),
    ReasonKind.FIRST_DIALLED: "first dialled on 2021-05-31",
    ReasonKind.AS_TESTED: "as it stood for test piece 2",
    ReasonKind.MOVED: "moved after test piece 2",
    ReasonKind.ADVISED: "advised after test piece 2, was 3/8 in",
    ReasonKind.PROVED: "proved on 2021-05-31",
    ReasonKind.ALL_PROVED: (
        "proved at 3/8 in on 2021-05-31; has come out 1/32 in over what is dialled in 3 set-ups "
        "since 2019, give or take .0117 in"
    ),
    ReasonKind.CHANGED: (
        "proved at 3/8 in on 2021-05-31; since then old-saw, 2021-05-31: fence re-aligned: a start "
        "only, cut a test piece"
    ),
    ReasonKind.REAIMED: (
        "proved at 3/8 in on 2021-05-31, when the aim was 5/16 in: moved by as much, a start only, "
        "cut a test piece"
    ),
    ReasonKind.OTHER_MACHINE: (
        "proved at 3/8 in on 2021-05-31, on the old-saw then, on the new-saw today: that says "
        "nothing of this dial; nothing known of this dial"
    ),
    ReasonKind.RESET: (
        "scale moved on 2021-05-31: what was known of this dial before counts no more"
    ),
    ReasonKind.LEFT: "as it stood for operation 26, 2021-05-31",
    ReasonKind.CALLED_PROVED: "taken on 2021-05-31, not proved: hidden by the bead",
}

CHANGES = {
    ChangeKind.JOB_GONE: "the job larder is gone: the aims are those of then",
    ChangeKind.RECIPE_GONE: "the recipe cope-crosscut-saw is gone",
    ChangeKind.SECTION_GONE: "the section ovolo-bar-inch is gone",
    ChangeKind.JOB: "the job larder does not make this set-up any more, or is not sound as it "
    "stands (setupsheets check tells): the aims are those of then",
    ChangeKind.FIGURE: "width of the tenon: 7/16 in today, 3/8 in then",
    ChangeKind.RECIPE: "the recipe cope-crosscut-saw asks for other figures than then",
    ChangeKind.AIM: "back cheek: stop is to be 7/16 in today and was 3/8 in: 1/16 in more",
    ChangeKind.TARGET: "Back is to be 7/16 in today and was 3/8 in: 1/16 in more",
    ChangeKind.LIMIT: "Back may be out by 7/16 in over today, where 3/8 in was allowed then",
    ChangeKind.MACHINE_GONE: "the machine old-saw is gone",
    ChangeKind.MACHINE_OTHER: "on the old-saw then, on the new-saw today",
    ChangeKind.MACHINE: "old-saw, 2021-05-31: fence re-aligned",
    ChangeKind.CUTTER_GONE: "the cutter old-blade is gone",
    ChangeKind.CUTTER_OTHER: "another cutter: new-blade today, old-blade then",
    ChangeKind.CUTTER: "old-blade, 2021-05-31: ground",
    ChangeKind.CUTTER_SIZE: (
        "old-blade: its kerf was 1/8 in and is .114 in; cheek: fence .011 in less"
    ),
}
NAMES = {
    ChangeKind.JOB: "larder",
    ChangeKind.AIM: "back_cheek.stop",
    ChangeKind.CUTTER_GONE: "old-blade",
    ChangeKind.CUTTER: "old-blade",
    ChangeKind.CUTTER_SIZE: "old-blade",
    ChangeKind.JOB_GONE: "larder",
    ChangeKind.RECIPE_GONE: "cope-crosscut-saw",
    ChangeKind.RECIPE: "cope-crosscut-saw",
    ChangeKind.FIGURE: "tenon.width",
    ChangeKind.SECTION_GONE: "ovolo-bar-inch",
    ChangeKind.CUTTER_OTHER: "old-blade",
}
OTHERS = {
    ChangeKind.LIMIT: "over",
    ChangeKind.MACHINE_OTHER: "new-saw",
    ChangeKind.CUTTER_OTHER: "new-blade",
}
SINCE = {
    ReasonKind.CHANGED: ChangeSince(ChangeKind.MACHINE, "old-saw", DATE, "fence re-aligned"),
    ReasonKind.OTHER_MACHINE: ChangeSince(ChangeKind.MACHINE_OTHER, "old-saw", other="new-saw"),
}


@pytest.mark.parametrize("kind", ReasonKind)
def test_every_reason_has_its_words(kind: ReasonKind) -> None:
    told = kind in {ReasonKind.OFFSET, ReasonKind.ALL_PROVED}
    offset = OFFSET if told else None
    reason = FigureReason(
        kind,
        offset,
        piece=2,
        date=DATE,
        was=inches("3/8"),
        verdict=Verdict.PROVED,
        since=(SINCE[kind],) if kind in SINCE else (),
        what="scale moved",
        although="hidden by the bead" if kind is ReasonKind.CALLED_PROVED else "",
        operation=26,
        aim_then=inches("5/16") if kind is ReasonKind.REAIMED else None,
    )
    current = CurrentSetting(inches("3/8"), inches("7/16"), inches("1/64"), reason)
    assert reason_words(current, NOTATION) == REASONS[kind]


def test_an_aim_of_then_is_told_with_the_reason() -> None:
    reason = FigureReason(ReasonKind.PROVED, date=DATE, aim_then=inches("1/2"))
    current = CurrentSetting(inches("3/8"), inches("7/16"), inches("1/64"), reason)
    words = "proved on 2021-05-31; the aim was 1/2 in then"
    assert reason_words(current, NOTATION) == words


@pytest.mark.parametrize("kind", ChangeKind)
def test_every_change_has_its_words(kind: ChangeKind) -> None:
    whats = {ChangeKind.CUTTER: "ground", ChangeKind.TARGET: "Back", ChangeKind.LIMIT: "Back"}
    whats[ChangeKind.FIGURE] = "width of the tenon"
    what = whats.get(kind, "fence re-aligned")
    change = ChangeSince(
        kind, NAMES.get(kind, "old-saw"), DATE, what, inches("3/8"), inches("7/16")
    )
    change = replace(change, other=OTHERS.get(kind, ""))
    if kind is ChangeKind.CUTTER_SIZE:
        shifts = (("cheek.fence", inches("-.011")),)
        was, now = inches("1/8"), inches(".114")
        change = replace(change, what="kerf", then=was, now=now, shifts=shifts)
    assert change_words(change, NOTATION) == CHANGES[kind]


@pytest.mark.parametrize(
    ("verdict", "pieces", "words"),
    [
        (None, 0, "not tested"),
        (Verdict.OPEN, 0, "0 test pieces so far"),
        (Verdict.OPEN, 1, "1 test piece so far"),
        (Verdict.PROVED, 2, "proved with 2 test pieces"),
    ],
)
def test_how_far_a_set_up_is(verdict: Verdict | None, pieces: int, words: str) -> None:
    assert state_words(SetUpState({}, verdict=verdict, pieces=pieces)) == words


@pytest.mark.parametrize(
    ("stands", "changed", "words"),
    [
        (Stands.AGED, {"verdict": Verdict.PROVED}, "proved on 2021-06-02, not since"),
        (
            Stands.AGED,
            {"verdict": Verdict.PROVED, "although": "hidden"},
            "tested on 2021-06-02, not since",
        ),
        (Stands.LEFT, {}, "2 test pieces so far, none since 2021-06-02"),
        (Stands.CHANGED, {}, "changed since it was tested"),
        (Stands.REAIMED, {}, "to other figures than it was tested at"),
        (Stands.PROVED, {"verdict": Verdict.PROVED}, "proved with 2 test pieces"),
    ],
)
def test_what_has_become_of_a_set_up(stands: Stands, changed: dict[str, Any], words: str) -> None:
    last = replace(RECORD.pieces[1], date=datetime.date(2021, 6, 2))
    record = replace(RECORD, pieces=(RECORD.pieces[0], last), **changed)
    due = PiecesDue(2, stands=stands, record=record)
    assert state_words(SetUpState({}, verdict=record.verdict, pieces=2, due=due)) == words


@pytest.mark.parametrize(
    ("set_ups", "not_proved", "words"),
    [
        (1, 0, "in one set-up, 2019"),
        (1, 1, "in one set-up, 2019, not proved"),
        (2, 2, "in 2 set-ups since 2019, none of them proved"),
        (3, 1, "in 3 set-ups since 2019, 1 of them not proved"),
        (3, 0, "in 3 set-ups since 2019"),
    ],
)
def test_what_a_dial_is_known_by(set_ups: int, not_proved: int, words: str) -> None:
    known = KnownOffset(inches("-1/32"), inches("1/64"), set_ups, 2019, not_proved)
    told = offset_words(known, inches("1/64"), NOTATION)
    assert told == f"has come out 1/32 in under what is dialled {words}"


def test_a_dial_that_comes_out_as_dialled_is_told_so() -> None:
    known = KnownOffset(Length.ZERO, inches("1/64"), set_ups=1, since=2019)
    reason = FigureReason(ReasonKind.OFFSET, known)
    current = CurrentSetting(inches("3/8"), inches("3/8"), inches("1/64"), reason)
    assert reason_words(current, NOTATION) == (
        "has come out as dialled in one set-up, 2019, give or take 1/64 in"
    )
