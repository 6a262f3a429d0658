"""What the records say about a set-up today: the figures to set now, and where they come from."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass, field
from math import ceil

from setupsheets.corrections.first_blanks import first_allowance
from setupsheets.corrections.limiting import pieces_expected
from setupsheets.corrections.stopping import MOST_PIECES
from setupsheets.lengths import Length
from setupsheets.machining.operations import (
    Setting,
    SetUp,
)
from setupsheets.machining.plan import Plan
from setupsheets.records.answer import Answer, answer, belief_of
from setupsheets.records.beginning import begin_record
from setupsheets.records.dry_fit import is_dry_fit
from setupsheets.records.folder import latest, records
from setupsheets.records.memory import Memory, remembered, words_of
from setupsheets.records.model import LENGTH, causes_of, measurements_of, options_of, target_of
from setupsheets.records.record import Record, Verdict
from setupsheets.shop.finding import Shop


@dataclass(frozen=True)
class Standing:
    """One setting as it stands: ``set_to`` is the figure to dial so that the aim comes out.

    ``because`` says in plain words where it comes from ("aim and nothing known",
    "this job's test piece 2", "reads 1/32 strong in 3 set-ups since 2019"); ``give_or_take`` is one
    standard deviation of where the cut will really be.
    """

    set_to: Length
    because: str
    give_or_take: Length | None = None


@dataclass(frozen=True)
class ReadingDeviation:
    """One reading of one piece, for the chart: deviation from the target."""

    piece: int
    measurement: str
    deviation: Length
    inside: bool


@dataclass(frozen=True)
class LastTime:
    """The last time this set-up was made, in any job of the shop."""

    date: datetime.date
    job: str
    record: str
    kept: str
    verdict: str
    dialled: Mapping[str, Length] = field(default_factory=dict)


@dataclass(frozen=True)
class SetUpStanding:
    """All that the records say about one set-up: by cause the standing of each setting, the
    readings of this job so far, advice in plain words, and the last time it was made;
    ``pieces_expected`` are the test pieces to get out, one to spare."""

    settings: Mapping[str, Standing]
    readings: tuple[ReadingDeviation, ...] = ()
    advice: tuple[str, ...] = ()
    state: str = "not tested"
    last: LastTime | None = None
    leave_longer: Length | None = None
    pieces_expected: int = 2


@dataclass(frozen=True)
class Now:
    """What standings are worked out from: the shop, the day, and what its machines are known by."""

    shop: Shop
    today: datetime.date
    memory: Memory


def standings(plan: Plan, shop: Shop, today: datetime.date) -> Mapping[str, SetUpStanding]:
    """By set-up of a plan, what the shop's records say about it on a day."""
    machines = {operation.machine.name: operation.machine for operation in plan.operations}
    now = Now(shop, today, remembered(shop, machines.values(), today))
    return {set_up.name: standing(plan, set_up, now) for set_up in plan.set_ups}


def standing(plan: Plan, set_up: SetUp, now: Now) -> SetUpStanding:
    """What the records say about one set-up: its own record first, else the machines' history."""
    record = latest(now.shop, plan.job.name, set_up.name)
    fresh = _from_history(set_up, now)
    last = _last_time(set_up, record, now)
    if record is None or record.verdict not in (Verdict.OPEN, Verdict.PROVED):
        return _untested(plan, set_up, fresh, last, now)
    told = answer(record, now.shop, now.memory) if record.pieces else None
    return SetUpStanding(
        settings=_from_record(set_up, record, told, fresh, now.shop),
        readings=readings_of(record),
        advice=told.lines(now.shop.settings.notation) if told else (),
        state=_state(record),
        last=last,
        pieces_expected=0 if record.verdict is Verdict.PROVED else 1,
    )


def _state(record: Record) -> str:
    count = len(record.pieces)
    pieces = f"{count} test piece{'' if count == 1 else 's'}"
    return f"proved with {pieces}" if record.verdict is Verdict.PROVED else f"{pieces} so far"


def _from_history(set_up: SetUp, now: Now) -> dict[str, Standing]:
    """Where there is no record of this set-up: the aim, less how the machine is known to stand."""
    made = {}
    for operation in set_up.operations:
        for setting in operation.settings:
            known = now.memory.of(operation.machine.name, setting.name)
            if known is None:
                made[setting.cause] = Standing(setting.aim, "nothing known of this dial yet")
                continue
            made[setting.cause] = Standing(
                set_to=known.to_dial(setting.aim, setting.dial),
                because=words_of(known, setting.dial, now.shop),
                give_or_take=known.give_or_take,
            )
    return made


def _untested(
    plan: Plan, set_up: SetUp, fresh: Mapping[str, Standing], last: LastTime | None, now: Now
) -> SetUpStanding:
    dialled = {cause: item.set_to for cause, item in fresh.items()}
    record = begin_record(plan, set_up, dialled, now.today)
    return SetUpStanding(
        settings=fresh,
        last=last,
        leave_longer=_leave_longer(record, now),
        pieces_expected=pieces_to_expect(record, now.shop, now.memory) + 1,
    )


def pieces_to_expect(record: Record, shop: Shop, memory: Memory) -> int:
    """How many test pieces a set-up will take, from what is known of its machines before the first
    one; 1 where nothing is measured that a setting moves."""
    if not record.measures or is_dry_fit(record):
        return 1
    sure = float(shop.settings.sure_enough)
    options = options_of(record, shop)
    return pieces_expected(belief_of(record, shop, memory), options, sure, MOST_PIECES)


def _leave_longer(record: Record, now: Now) -> Length | None:
    """How much longer than the parts to leave the first blanks, up to the next finest mark."""
    hanging = [measure for measure in record.measures if measure.moved_by.get(LENGTH)]
    if not hanging or len(hanging) == len(record.measures) == 1:
        return None
    causes = causes_of(record, now.shop, now.memory)
    allowance = first_allowance(measurements_of(record), causes, LENGTH)
    mark = now.shop.settings.finest_mark
    return ceil(Length.from_float(allowance) / mark) * mark


def _from_record(
    set_up: SetUp,
    record: Record,
    told: Answer | None,
    fresh: Mapping[str, Standing],
    shop: Shop,
) -> dict[str, Standing]:
    """The figures of this set-up's own record, the last advice in them if it is not yet done."""
    aims = {setting.cause: setting.aim for setting in record.settings}
    pending = told is not None and record.verdict is Verdict.OPEN and not record.pieces[-1].moved
    advised = told.moved if told and pending else {}
    made = dict(fresh)
    for setting in set_up.settings:
        if setting.cause not in aims:
            continue
        figure = record.dialled(setting.cause) + advised.get(setting.cause, Length.ZERO)
        made[setting.cause] = Standing(
            set_to=figure + setting.aim - aims[setting.cause],
            because=_because(record, setting, aims[setting.cause], advised, shop),
        )
    return made


def _because(
    record: Record,
    setting: Setting,
    aim: Length,
    advised: Mapping[str, Length],
    shop: Shop,
) -> str:
    notation = shop.settings.notation
    count = len(record.pieces)
    if setting.cause in advised:
        words = (
            f"advised after test piece {count}, was {notation.show(record.dialled(setting.cause))}"
        )
    elif record.verdict is Verdict.PROVED:
        words = f"proved on {record.date.isoformat()}"
    elif count:
        words = f"as it stood for test piece {count}"
        words = words if setting.cause not in record.moves else f"moved after test piece {count}"
    else:
        words = f"first dialled on {record.date.isoformat()}"
    if aim != setting.aim:
        words += f"; the aim was {notation.show(aim)} then"
    return words


def readings_of(record: Record) -> tuple[ReadingDeviation, ...]:
    """Every reading of a record that is a length, as its deviation from the target."""
    measures = {measure.name: measure for measure in record.measures}
    made = []
    for number, piece in enumerate(record.pieces, 1):
        for reading in piece.readings:
            if reading.found is None or reading.of not in measures:
                continue
            measure = measures[reading.of]
            deviation = reading.found - target_of(measure, piece)
            inside = -measure.under <= deviation <= measure.over
            made.append(ReadingDeviation(number, reading.of, deviation, inside))
    return tuple(made)


def _last_time(set_up: SetUp, current: Record | None, now: Now) -> LastTime | None:
    """The newest earlier record of the same recipe on the same section, in any job."""
    section = set_up.subject.section.name if set_up.subject.section else ""
    for record in records(now.shop, f"recipe: {set_up.recipe.name}"):
        same = record.recipe == set_up.recipe.name and record.section == section
        if same and (current is None or record.name != current.name) and record.date <= now.today:
            return LastTime(
                date=record.date,
                job=record.job,
                record=record.name,
                kept=record.kept,
                verdict=str(record.verdict),
                dialled={item.cause: record.dialled(item.cause) for item in record.settings},
            )
    return None
