"""What the records say of a set-up today: the figure to set for each setting, and why that one."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from enum import StrEnum
from itertools import islice
from math import ceil

from msgspec import Struct, field
from msgspec.structs import replace

from setupsheets.corrections.first_blanks import first_allowance
from setupsheets.lengths import Length
from setupsheets.machining.operations import SetUp
from setupsheets.machining.plan import Plan
from setupsheets.records.answer import Answer, DryFitAnswer, answer
from setupsheets.records.changes import SAME, ChangeKind, ChangeSince, may_still_stand
from setupsheets.records.learnt import side, side_of
from setupsheets.records.left_dials import left_dials
from setupsheets.records.mates import Mate, mates_of
from setupsheets.records.model import dial_of, measurements_of
from setupsheets.records.offset_history import (
    KnownOffset,
    OffsetHistory,
    dial_name,
    offset_history,
)
from setupsheets.records.pieces_due import PiecesDue, pieces_due
from setupsheets.records.record import (
    BLANK_LENGTH,
    ReadingDeviation,
    Record,
    RecordedSetting,
    begin_record,
)
from setupsheets.records.shop_records import ShopRecords, open_ones
from setupsheets.records.standing import how_it_stands, record_of, standing_record
from setupsheets.records.verdicts import Verdict
from setupsheets.shop.finding import Shop
from setupsheets.shop.recipes import Work


class ReasonKind(StrEnum):
    """Where a figure to set comes from."""

    AIM = "aim"  # nothing is known of the dial: as near as it can be moved
    OFFSET = "offset"  # the aim, less how the dial is known to stand
    FIRST_DIALLED = "first dialled"  # as the set-up's own record began
    AS_TESTED = "as tested"  # as it stood for the last test piece
    MOVED = "moved"  # after the last test piece
    ADVISED = "advised"  # after the last test piece, and not done yet
    PROVED = "proved"  # as it stood in the end
    ALL_PROVED = "all proved"  # not so: all the set-ups proved on the dial say otherwise
    CALLED_PROVED = "called proved"  # although its test pieces do not prove it
    CHANGED = "changed"  # as it stood in the end, a start only: something has changed since
    REAIMED = "reaimed"  # as it stood in the end, moved as far as its aim: a start only
    OTHER_MACHINE = "other machine"  # the record's figure is of a dial that is not today's
    RESET = "reset"  # what was known of the dial ended when something was done to it
    LEFT = "left"  # as it stood in the end for an operation that leaves it so


_BY_HISTORY = (ReasonKind.OTHER_MACHINE, ReasonKind.ALL_PROVED)
_ANOTHER_MACHINE = (ChangeKind.MACHINE_GONE, ChangeKind.MACHINE_OTHER)


class FigureReason(Struct, frozen=True):
    """Why a figure is the one to set: ``offset`` is what is known of its dial, ``piece`` the last
    test piece, ``date`` and ``verdict`` the record's, ``was`` what it stood at before, ``aim_then``
    what was aimed at then if that was something else, ``since`` what has changed for this figure,
    ``what`` was done to the dial on ``date``, ``although`` why it is called proved, ``operation``
    the one of the route that leaves it so."""

    kind: ReasonKind
    offset: KnownOffset | None = None
    piece: int = 0
    date: datetime.date | None = None
    was: Length | None = None
    aim_then: Length | None = None
    verdict: Verdict | None = None
    since: tuple[ChangeSince, ...] = ()
    what: str = ""
    although: str = ""
    operation: int = 0


class CurrentSetting(Struct, frozen=True):
    """One setting as it stands today: ``set_to`` is the figure to dial so that ``aim`` comes out,
    on a dial whose ``finest`` move that is, and ``reason`` why."""

    aim: Length
    set_to: Length
    finest: Length
    reason: FigureReason = FigureReason(ReasonKind.AIM)

    @property
    def give_or_take(self) -> Length | None:
        """One standard deviation of where the cut will really be, where that is known."""
        return self.reason.offset.give_or_take if self.reason.offset else None


class SetUpState(Struct, frozen=True):
    """All that the records say about one set-up: by cause the current settings, the readings of
    this job so far and what they come to, and the record of the ``last`` time, in any job.

    ``verdict``, ``although`` and ``pieces`` are those of its own record, None, empty and nought
    where it has none that goes on. ``due`` are the test pieces to get out, and why;
    ``leave_longer`` how much longer than the parts to leave the first blanks; ``open`` are all
    its open records by name, the one that counts first; ``mates`` what its ends or panels go into.
    """

    settings: Mapping[str, CurrentSetting]
    readings: tuple[ReadingDeviation, ...] = ()
    answer: Answer | DryFitAnswer | None = None
    verdict: Verdict | None = None
    although: str = ""
    pieces: int = 0
    last: Record | None = None
    leave_longer: Length | None = None
    due: PiecesDue = field(default_factory=lambda: PiecesDue(2))
    open: tuple[str, ...] = ()
    mates: tuple[Mate, ...] = ()


def set_up_states(
    plan: Plan, records: ShopRecords, today: datetime.date
) -> Mapping[str, SetUpState]:
    """By set-up of a plan, what the shop's records say about it on a day."""
    history = offset_history(records, plan.machines, today)
    return {
        set_up.name: set_up_state(plan, set_up, records, history, today) for set_up in plan.set_ups
    }


def set_up_state(
    plan: Plan, set_up: SetUp, records: ShopRecords, history: OffsetHistory, today: datetime.date
) -> SetUpState:
    """What the records say about one set-up: its own record first, else the machines' history."""
    shop = records.shop
    record, changes = standing_record(plan, set_up, records, today)
    holds = how_it_stands(record, changes, today).goes_on
    last = _last_time(set_up, record if holds else None, records, today)
    fresh = _from_history(set_up, history) | _as_left(plan, set_up, records, today)
    mates = mates_of(plan, set_up, records, today)
    if record is None or not holds:
        to_start = figures_today(record, set_up, changes, history, shop, today) if record else {}
        settings = fresh | to_start
        new = begin_record(plan, set_up, {c: item.set_to for c, item in settings.items()}, today)
        return SetUpState(
            settings=settings,
            last=last,
            leave_longer=_leave_longer(new, shop, history),
            due=pieces_due(record, changes, today, history, shop, new),
            mates=mates,
        )
    layout = plan.joinery.layout
    found = answer(record, layout, shop, history) if record.pieces else None
    return SetUpState(
        settings=fresh | figures_today(record, set_up, changes, history, shop, today, found),
        readings=record.deviations(),
        answer=found,
        verdict=record.verdict,
        although=record.although,
        pieces=len(record.pieces),
        last=last,
        due=pieces_due(record, changes, today, history, shop, replace(record, pieces=())),
        open=tuple(each.name for each in open_ones(records.of(plan.job.name, set_up.name))),
        mates=mates,
    )


def figures_today(
    record: Record,
    made: SetUp | None,
    changes: Sequence[ChangeSince],
    history: OffsetHistory,
    shop: Shop,
    today: datetime.date,
    found: Answer | DryFitAnswer | None = None,
) -> dict[str, CurrentSetting]:
    """By cause what to set today for a record's set-up, and why: the one place that decides it.

    ``made`` is the set-up as the job makes it today, None where it does not; ``changes`` what has
    changed since, ``found`` what its test pieces come to. A record that still counts says what its
    dials stood at, unless they were set anew since and several set-ups speak against it. Where its
    world or its aim has changed that is a start only; a figure of another machine is never taken.
    Of a record that was given up nothing is taken, unless no job makes it.
    """
    if made is not None and record.verdict not in (Verdict.OPEN, Verdict.PROVED):
        return {}
    todays = {setting.cause: setting for setting in made.settings} if made else {}
    operations = made.operations if made else ()
    machines = {item.cause: each.machine.name for each in operations for item in each.settings}
    advised = _not_done_yet(record, found)
    figures = {}
    for then in record.settings:
        setting = todays.get(then.cause)
        if made is not None and setting is None:
            continue
        since = tuple(each for each in changes if each.ends_proof and then.cause in each.causes)
        dial = setting.dial if setting else dial_of(then, shop)
        aim = setting.aim if setting else then.aim
        to = side(then.setting, setting.to) if setting else side_of(then, record, shop)
        known = history.of(machines.get(then.cause, then.machine), then.setting, to, aim)
        if any(each.kind in _ANOTHER_MACHINE for each in since) or dial is None:
            kind, to_dial = ReasonKind.OTHER_MACHINE, aim
        else:
            moved = Length.ZERO if since else advised.get(then.cause, Length.ZERO)
            to_dial = record.dialled(then.cause) + moved + (aim - then.aim)
            kind = _kind(record, then, aim, advised, since)
            outvoted = known is not None and known.speaks_against(to_dial - aim, dial)
            if outvoted and _proved_long_ago(record, kind, today):
                kind = ReasonKind.ALL_PROVED
        known = known if kind in _BY_HISTORY else None
        figures[then.cause] = CurrentSetting(
            aim=aim,
            set_to=known.to_dial(aim, dial) if known and dial else to_dial,
            finest=dial.finest if dial else shop.settings.finest_mark,
            reason=FigureReason(
                kind=kind,
                offset=known,
                piece=len(record.pieces),
                date=record.date,
                was=record.dialled(then.cause),
                aim_then=then.aim if then.aim != aim else None,
                verdict=record.verdict,
                since=since,
                although=record.although,
            ),
        )
    return figures


def _not_done_yet(record: Record, found: Answer | DryFitAnswer | None) -> Mapping[str, Length]:
    """What was advised after the last test piece and waits to be done, by cause."""
    if record.verdict is not Verdict.OPEN or not record.pieces or record.pieces[-1].answered:
        return {}
    return found.moved if found else record.pending


def _kind(
    record: Record,
    then: RecordedSetting,
    aim: Length,
    advised: Mapping[str, Length],
    since: Sequence[ChangeSince],
) -> ReasonKind:
    if since:
        return ReasonKind.CHANGED
    if abs(aim - then.aim) > SAME:
        return ReasonKind.REAIMED
    if then.cause in advised:
        return ReasonKind.ADVISED
    if record.verdict is Verdict.PROVED:
        return ReasonKind.CALLED_PROVED if record.although else ReasonKind.PROVED
    if not record.pieces:
        return ReasonKind.FIRST_DIALLED
    return ReasonKind.MOVED if then.cause in record.moves else ReasonKind.AS_TESTED


def _proved_long_ago(record: Record, kind: ReasonKind, today: datetime.date) -> bool:
    """Whether a figure is that of a proof, and its dial was set anew since."""
    proved = record.verdict is Verdict.PROVED and not record.although
    stood = kind in (ReasonKind.PROVED, ReasonKind.REAIMED)
    return proved and stood and not may_still_stand(record, today)


def _from_history(set_up: SetUp, history: OffsetHistory) -> dict[str, CurrentSetting]:
    """Where there is no record of this set-up: the aim, less how the machine is known to stand."""
    made = {}
    measured = {cause for measure in set_up.measurements for cause in measure.sensitivities}
    for operation in set_up.operations:
        for setting in operation.settings:
            rough = operation.asks.work is Work.BLANK and setting.cause not in measured
            to = None if rough else side(setting.name, setting.to)
            known = history.of(operation.machine.name, setting.name, to, setting.aim)
            reset = history.reset.get(dial_name(operation.machine.name, setting.name))
            nearest = setting.dial.nearest(setting.aim)
            if known is not None:
                reason = FigureReason(ReasonKind.OFFSET, known)
            elif reset is not None:
                reason = FigureReason(ReasonKind.RESET, date=reset.date, what=reset.what)
            else:
                reason = FigureReason(ReasonKind.AIM)
            made[setting.cause] = CurrentSetting(
                aim=setting.aim,
                set_to=known.to_dial(setting.aim, setting.dial) if known else nearest,
                finest=setting.dial.finest,
                reason=reason,
            )
    return made


def _as_left(
    plan: Plan, set_up: SetUp, records: ShopRecords, today: datetime.date
) -> dict[str, CurrentSetting]:
    """What earlier operations of the route leave as it is: one dial for several joints is put right
    once."""
    left = left_dials(plan, set_up, lambda other: record_of(plan, other, records, today))
    return {
        each.setting.cause: CurrentSetting(
            each.setting.aim,
            each.figure,
            each.setting.dial.finest,
            FigureReason(ReasonKind.LEFT, date=each.record.date, operation=each.operation),
        )
        for each in left
    }


def _leave_longer(record: Record, shop: Shop, history: OffsetHistory) -> Length | None:
    """How much longer than the parts to leave the first blanks, up to the next finest mark."""
    hanging = [measure for measure in record.measures if measure.moved_by.get(BLANK_LENGTH)]
    if not hanging or len(hanging) == len(record.measures) == 1:
        return None
    causes = history.causes(record, shop)
    allowance = first_allowance(measurements_of(record, shop), causes, BLANK_LENGTH)
    mark = shop.settings.finest_mark
    return ceil(Length.from_float(allowance) / mark) * mark


def _last_time(
    set_up: SetUp, current: Record | None, records: ShopRecords, today: datetime.date
) -> Record | None:
    """The newest earlier record of the same cut, in any job: the same part and mate by the same
    recipe on the same section, every setting to the same side and at about the same figure. Only
    the newest few are looked at."""
    recipe = set_up.recipe.name
    section = set_up.subject.section.name if set_up.subject.section else ""
    return next(
        (
            record
            for found in islice(records.having(recipe=recipe, set_up=set_up.name), _LOOKED_AT)
            for record in [records.record(found)]
            if record.section == section
            and (current is None or record.name != current.name)
            and record.date <= today
            and _same_cut(record, set_up, records.shop)
        ),
        None,
    )


_LOOKED_AT = 8  # earlier records of a set-up, for the last time it was made

ABOUT_THE_SAME = Length.millimetres(2)
"""Figures of one cut in two jobs are no further apart: stock and mouldings of one section vary by
less, another joint by more. Common practice, no source."""


def _same_cut(record: Record, set_up: SetUp, shop: Shop) -> bool:
    then = {item.cause: item for item in record.settings}
    now = {item.cause: item for item in set_up.settings}
    return then.keys() == now.keys() and all(
        abs(then[cause].aim - item.aim) <= ABOUT_THE_SAME
        and side_of(then[cause], record, shop) in (None, side(item.name, item.to))
        for cause, item in now.items()
    )
