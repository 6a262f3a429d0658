"""How a set-up stands, as a maker reads it: what to set and why, what has changed, what comes next.

For the sheet and for `recall` alike.
"""

from __future__ import annotations

from collections.abc import Mapping

from setupsheets.lengths import Length, Notation
from setupsheets.records.changes import ChangeKind, ChangeSince, last_day
from setupsheets.records.current import CurrentSetting, ReasonKind, SetUpState
from setupsheets.records.offset_history import KnownOffset
from setupsheets.records.record import Record
from setupsheets.records.standing import Stands
from setupsheets.records.verdicts import Verdict
from setupsheets.wording.lists import many
from setupsheets.wording.titles import cause_title

REASONS: Mapping[ReasonKind, str] = {
    ReasonKind.AIM: "nothing known of this dial",
    ReasonKind.OFFSET: "{offset}",
    ReasonKind.FIRST_DIALLED: "first dialled on {date}",
    ReasonKind.AS_TESTED: "as it stood for test piece {piece}",
    ReasonKind.MOVED: "moved after test piece {piece}",
    ReasonKind.ADVISED: "advised after test piece {piece}, was {was}",
    ReasonKind.PROVED: "proved on {date}",
    ReasonKind.ALL_PROVED: "proved at {was} on {date}; {offset}",
    ReasonKind.CALLED_PROVED: "taken on {date}, not proved: {although}",
    ReasonKind.CHANGED: "{stood}; since then {since}: a start only, cut a test piece",
    ReasonKind.REAIMED: (
        "{stood}, when the aim was {aim_then}: moved by as much{advised}, a start only, cut a test"
        " piece"
    ),
    ReasonKind.OTHER_MACHINE: "{stood}, {since}: that says nothing of this dial; {offset}",
    ReasonKind.LEFT: "as it stood for operation {operation}, {date}",
    ReasonKind.RESET: "{what} on {date}: what was known of this dial before counts no more",
}

CHANGES: Mapping[ChangeKind, str] = {
    ChangeKind.JOB_GONE: "the job {name} is gone: the aims are those of then",
    ChangeKind.RECIPE_GONE: "the recipe {name} is gone",
    ChangeKind.SECTION_GONE: "the section {name} is gone",
    ChangeKind.JOB: (
        "the job {name} does not make this set-up any more, or is not sound as it stands"
        " (setupsheets check tells): the aims are those of then"
    ),
    ChangeKind.FIGURE: "{what}: {now} today, {then} then",
    ChangeKind.RECIPE: "the recipe {name} asks for other figures than then",
    ChangeKind.AIM: "{title} is to be {now} today and was {then}: {by} {more}",
    ChangeKind.TARGET: "{what} is to be {now} today and was {then}: {by} {more}",
    ChangeKind.LIMIT: (
        "{what} may be out by {size_now} {other} today, where {size_then} was allowed then"
    ),
    ChangeKind.MACHINE_GONE: "the machine {name} is gone",
    ChangeKind.MACHINE_OTHER: "on the {name} then, on the {other} today",
    ChangeKind.MACHINE: "{name}, {date}: {what}{unsure}",
    ChangeKind.CUTTER_GONE: "the cutter {name} is gone",
    ChangeKind.CUTTER_OTHER: "another cutter: {other} today, {name} then",
    ChangeKind.CUTTER: "{name}, {date}: {what}{unsure}",
    ChangeKind.CUTTER_SIZE: "{name}: its {what} was {size_then} and is {size_now}{shifts}",
}

UNSURE = " (on the day of the last test piece; which came first is not told: it counts as after it)"
"""What is said of an event that may have come before what it is held to have ended."""


def reason_words(current: CurrentSetting, notation: Notation) -> str:
    """Why a figure is the one to set: `advised after test piece 2, was 3/8 in`."""
    reason = current.reason
    was = notation.dialled(reason.was, current.finest) if reason.was is not None else ""
    offset = offset_words(reason.offset, current.finest, notation) if reason.offset else ""
    proved = reason.verdict is Verdict.PROVED and not reason.although
    words = REASONS[reason.kind].format(
        offset=offset or REASONS[ReasonKind.AIM],
        date=reason.date,
        piece=reason.piece,
        although=reason.although,
        operation=reason.operation,
        was=was,
        what=reason.what,
        stood=f"proved at {was} on {reason.date}" if proved else f"stood at {was} on {reason.date}",
        since=", ".join(change_words(change, notation) for change in reason.since),
        aim_then=notation.show(reason.aim_then) if reason.aim_then is not None else "",
        advised=" and as advised then" if _moved_on(current) else "",
    )
    if reason.aim_then is not None and reason.kind is not ReasonKind.REAIMED:
        words += f"; the aim was {notation.show(reason.aim_then)} then"
    if current.give_or_take is not None:
        words += f", give or take {notation.small(current.give_or_take)}"
    return words


def _moved_on(current: CurrentSetting) -> bool:
    """Whether a figure has gone on from where its dial stood by more than its aim has moved."""
    was, aim_then = current.reason.was, current.reason.aim_then
    if was is None or aim_then is None:
        return False
    return current.set_to - was != current.aim - aim_then


def offset_words(known: KnownOffset, finest: Length, notation: Notation) -> str:
    """`has come out 1/32 in over what is dialled in 3 set-ups since 2019, 1 of them not proved`, in
    ``finest`` moves."""
    times = f"in {known.set_ups} set-ups since {known.since}"
    if known.set_ups == 1:
        times = f"in one set-up, {known.since}"
    if known.not_proved == known.set_ups:
        times += ", not proved" if known.set_ups == 1 else ", none of them proved"
    elif known.not_proved:
        times += f", {known.not_proved} of them not proved"
    offset = known.offset.rounded_to(finest)
    if not offset:
        return f"has come out as dialled {times}"
    way = "over" if offset > Length.ZERO else "under"
    by = notation.dialled(abs(offset), finest)
    return f"has come out {by} {way} what is dialled {times}"


def state_words(state: SetUpState) -> str:
    """`not tested`, `2 test pieces so far`, `proved with 1 test piece`."""
    if (told := _STANDS.get(state.due.stands)) and (record := state.due.record):
        proved = record.verdict is Verdict.PROVED and not record.although
        how = "proved" if proved else "tested"
        return told.format(how=how, date=last_day(record), pieces=many(state.pieces, "test piece"))
    if state.verdict is None:
        return "not tested"
    pieces = many(state.pieces, "test piece")
    if state.verdict is not Verdict.PROVED:
        return f"{pieces} so far"
    return f"taken with {pieces}, not proved" if state.although else f"proved with {pieces}"


_STANDS: Mapping[Stands, str] = {
    Stands.CHANGED: "changed since it was tested",
    Stands.REAIMED: "to other figures than it was tested at",
    Stands.TIGHTENED: "to narrower limits than it was tested to",
    Stands.LEFT: "{pieces} so far, none since {date}",
    Stands.AGED: "{how} on {date}, not since",
}
"""What has become of what was tested."""


def verdict_words(record: Record) -> str:
    """Where a record stands: `proved with 2 test pieces`, `open after 1 test piece`."""
    pieces = many(len(record.pieces), "test piece")
    if record.although:
        return f"taken with {pieces}, not proved: {record.although}"
    if record.verdict is Verdict.OPEN:
        return f"open after {pieces}, not proved"
    how = "with" if record.verdict is Verdict.PROVED else "after"
    return f"{record.verdict} {how} {pieces}"


def piece_read(record: Record) -> str:
    """What is read for a record, one by one."""
    return "dry fit" if record.is_dry_fit else "test piece"


def change_words(change: ChangeSince, notation: Notation) -> str:
    """One thing that has changed since a record was made."""
    return CHANGES[change.kind].format(
        name=change.name,
        other=change.other,
        title=cause_title(change.name),
        date=change.date,
        what=change.what,
        unsure=UNSURE if change.unsure else "",
        then=notation.show(change.then),
        now=notation.show(change.now),
        by=notation.show(abs(change.now - change.then)),
        more="more" if change.now > change.then else "less",
        size_then=notation.small(change.then),
        size_now=notation.small(change.now),
        shifts="".join(_shift_words(cause, by, notation) for cause, by in change.shifts),
    )


def _shift_words(cause: str, by: Length, notation: Notation) -> str:
    """What a cutter's size does to an aim: `; saw: height 1/64 in more`."""
    way = "more" if by > Length.ZERO else "less"
    return f"; {cause_title(cause)} {notation.small(abs(by))} {way}"
