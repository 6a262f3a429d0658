"""What the records say of a set-up today: the figure to set for each setting, and why that one."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from math import ceil

from setupsheets.corrections.first_blanks import first_allowance
from setupsheets.corrections.limiting import pieces_expected
from setupsheets.corrections.stopping import MOST_PIECES
from setupsheets.lengths import Length
from setupsheets.machining.operations import Setting, SetUp
from setupsheets.machining.plan import Plan
from setupsheets.records.answer import Answer, DryFitAnswer, answer, belief_of
from setupsheets.records.folder import ShopRecords
from setupsheets.records.model import measurements_of, options_of
from setupsheets.records.offset_history import KnownOffset, OffsetHistory, offset_history
from setupsheets.records.record import (
    BLANK_LENGTH,
    ReadingDeviation,
    Record,
    Verdict,
    begin_record,
)
from setupsheets.shop.finding import Shop


class ReasonKind(StrEnum):
    """Where a figure to set comes from."""

    AIM = "aim"  # nothing is known of the dial
    OFFSET = "offset"  # the aim, less how the dial is known to stand
    FIRST_DIALLED = "first dialled"  # as the set-up's own record began
    AS_TESTED = "as tested"  # as it stood for the last test piece
    MOVED = "moved"  # after the last test piece
    ADVISED = "advised"  # after the last test piece, and not done yet
    PROVED = "proved"  # as it stood in the end


@dataclass(frozen=True)
class FigureReason:
    """Why a figure is the one to set: ``offset`` is what is known of its dial, ``piece`` the last
    test piece, ``date`` the record's, ``was`` what it stood at before, ``aim_then`` what was aimed
    at then if that was something else."""

    kind: ReasonKind
    offset: KnownOffset | None = None
    piece: int = 0
    date: datetime.date | None = None
    was: Length | None = None
    aim_then: Length | None = None


@dataclass(frozen=True)
class CurrentSetting:
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


@dataclass(frozen=True)
class SetUpState:
    """All that the records say about one set-up: by cause the current settings, the readings of
    this job so far and what they come to, and the record of the ``last`` time, in any job.

    ``verdict`` and ``pieces`` are those of its own record, None and nought where it has none that
    counts. ``pieces_expected`` are the test pieces to get out, one to spare; ``leave_longer`` how
    much longer than the parts to leave the first blanks.
    """

    settings: Mapping[str, CurrentSetting]
    readings: tuple[ReadingDeviation, ...] = ()
    answer: Answer | DryFitAnswer | None = None
    verdict: Verdict | None = None
    pieces: int = 0
    last: Record | None = None
    leave_longer: Length | None = None
    pieces_expected: int = 2


def set_up_states(
    plan: Plan, records: ShopRecords, today: datetime.date
) -> Mapping[str, SetUpState]:
    """By set-up of a plan, what the shop's records say about it on a day."""
    machines = {operation.machine.name: operation.machine for operation in plan.operations}
    history = offset_history(records, machines.values(), today)
    return {
        set_up.name: set_up_state(plan, set_up, records, history, today) for set_up in plan.set_ups
    }


def set_up_state(
    plan: Plan, set_up: SetUp, records: ShopRecords, history: OffsetHistory, today: datetime.date
) -> SetUpState:
    """What the records say about one set-up: its own record first, else the machines' history."""
    record = record_of(plan, set_up, records)
    fresh = _from_history(set_up, history)
    last = _last_time(set_up, record, records, today)
    if record is None or record.verdict not in (Verdict.OPEN, Verdict.PROVED):
        new = begin_record(plan, set_up, {c: item.set_to for c, item in fresh.items()}, today)
        return SetUpState(
            settings=fresh,
            last=last,
            leave_longer=_leave_longer(new, records.shop, history),
            pieces_expected=pieces_to_expect(new, records.shop, history) + 1,
        )
    layout = plan.joinery.layout
    found = answer(record, layout, records.shop, history) if record.pieces else None
    return SetUpState(
        settings=fresh | _from_record(set_up, record, found),
        readings=record.deviations(),
        answer=found,
        verdict=record.verdict,
        pieces=len(record.pieces),
        last=last,
        pieces_expected=0 if record.verdict is Verdict.PROVED else 1,
    )


def record_of(plan: Plan, set_up: SetUp, records: ShopRecords) -> Record | None:
    """The newest record of a set-up; None where its settings were made on other machines than
    today's, whose figures would say nothing here."""
    record = records.latest(plan.job.name, set_up.name)
    today = {
        setting.cause: operation.machine.name
        for operation in set_up.operations
        for setting in operation.settings
    }
    moved = record and any(
        today.get(setting.cause, setting.machine) != setting.machine for setting in record.settings
    )
    return None if moved else record


def _from_history(set_up: SetUp, history: OffsetHistory) -> dict[str, CurrentSetting]:
    """Where there is no record of this set-up: the aim, less how the machine is known to stand."""
    made = {}
    for operation in set_up.operations:
        for setting in operation.settings:
            known = history.of(operation.machine.name, setting.name)
            made[setting.cause] = CurrentSetting(
                aim=setting.aim,
                set_to=known.to_dial(setting.aim, setting.dial) if known else setting.aim,
                finest=setting.dial.finest,
                reason=FigureReason(ReasonKind.OFFSET, known)
                if known
                else FigureReason(ReasonKind.AIM),
            )
    return made


def pieces_to_expect(record: Record, shop: Shop, history: OffsetHistory) -> int:
    """How many test pieces a set-up will take, from what is known of its machines before the first
    one; 1 where nothing is measured that a setting moves."""
    if record.is_dry_fit:
        return 1
    sure = float(shop.settings.sure_enough)
    options = [each for each in options_of(record, shop) if not each.blank]
    return pieces_expected(belief_of(record, shop, history), options, sure, MOST_PIECES)


def _leave_longer(record: Record, shop: Shop, history: OffsetHistory) -> Length | None:
    """How much longer than the parts to leave the first blanks, up to the next finest mark."""
    hanging = [measure for measure in record.measures if measure.moved_by.get(BLANK_LENGTH)]
    if not hanging or len(hanging) == len(record.measures) == 1:
        return None
    causes = history.causes(record, shop)
    allowance = first_allowance(measurements_of(record), causes, BLANK_LENGTH)
    mark = shop.settings.finest_mark
    return ceil(Length.from_float(allowance) / mark) * mark


def _from_record(
    set_up: SetUp, record: Record, found: Answer | DryFitAnswer | None
) -> dict[str, CurrentSetting]:
    """The figures of this set-up's own record, the last advice in them if it is not yet done."""
    aims = {setting.cause: setting.aim for setting in record.settings}
    pending = found is not None and record.verdict is Verdict.OPEN and not record.pieces[-1].moved
    advised = found.moved if found and pending else {}
    return {
        setting.cause: CurrentSetting(
            aim=setting.aim,
            set_to=record.dialled(setting.cause)
            + advised.get(setting.cause, Length.ZERO)
            + (setting.aim - aims[setting.cause]),
            finest=setting.dial.finest,
            reason=_reason(record, setting, aims[setting.cause], advised),
        )
        for setting in set_up.settings
        if setting.cause in aims
    }


def _reason(
    record: Record, setting: Setting, aim: Length, advised: Mapping[str, Length]
) -> FigureReason:
    if setting.cause in advised:
        kind = ReasonKind.ADVISED
    elif record.verdict is Verdict.PROVED:
        kind = ReasonKind.PROVED
    elif not record.pieces:
        kind = ReasonKind.FIRST_DIALLED
    else:
        moved = setting.cause in record.moves
        kind = ReasonKind.MOVED if moved else ReasonKind.AS_TESTED
    return FigureReason(
        kind=kind,
        piece=len(record.pieces),
        date=record.date,
        was=record.dialled(setting.cause),
        aim_then=aim if aim != setting.aim else None,
    )


def _last_time(
    set_up: SetUp, current: Record | None, records: ShopRecords, today: datetime.date
) -> Record | None:
    """The newest earlier record of the same recipe on the same section, in any job."""
    recipe = set_up.recipe.name
    section = set_up.subject.section.name if set_up.subject.section else ""
    return next(
        (
            record
            for record in records.mentioning(f"recipe: {recipe}")
            if (record.recipe, record.section) == (recipe, section)
            and record != current
            and record.date <= today
        ),
        None,
    )
