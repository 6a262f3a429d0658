"""What proven set-ups have taught about each machine: how its dials stand, as of a day."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from math import inf

from setupsheets.corrections.causes import method_spread
from setupsheets.corrections.history import Proven, Thrown, proven_offsets, remember, wander_of
from setupsheets.lengths import Length, Unit, read_length
from setupsheets.records.answer import belief_of
from setupsheets.records.folder import records
from setupsheets.records.model import millimetres
from setupsheets.records.record import Record, RecordedOffset
from setupsheets.shop.finding import Shop
from setupsheets.shop.machines import Machine, MachineSetting

DAYS_IN_A_YEAR = 365.25

# mm: wide enough that a set-up's own test pieces say all, and what share of it they must narrow
# a setting to before they have said anything.
_VAGUE, _TELLING = 5.0, 0.2

_FINEST = {Unit.IN: Fraction(1, 2000), Unit.MM: Fraction(1, 100)}

Dial = tuple[str, str]
"""A machine and one of its settings, by name."""


@dataclass(frozen=True)
class KnownOffset:
    """How much further a machine's setting stands than its dial says, and how well that is known.

    ``give_or_take`` is one standard deviation of where the next cut will be, the scatter of setting
    in it. ``set_ups`` counts the proven set-ups that say so, ``since`` is the year of the first,
    ``event`` what has happened to the machine since the last of them.
    """

    offset: Length
    give_or_take: Length
    set_ups: int
    since: int
    event: str = ""


@dataclass(frozen=True)
class Taught:
    """What one record says of one setting; a set-up may use a setting more than once."""

    record: str
    date: datetime.date
    told: RecordedOffset


def known_offsets(
    shop: Shop, machines: Iterable[Machine], today: datetime.date
) -> Mapping[Dial, KnownOffset]:
    """What the shop's proven records say about every setting of these machines, as of a day."""
    known: dict[Dial, KnownOffset] = {}
    for machine in machines:
        taught: dict[str, list[Taught]] = {}
        for record in records(shop, f"machine: {machine.name}", "offset:"):
            for item in record.after:
                if item.machine == machine.name and record.date <= today:
                    lesson = Taught(record.name, record.date, item)
                    taught.setdefault(item.setting, []).append(lesson)
        for name, lessons in taught.items():
            if name in machine.settings:
                known[machine.name, name] = _known(machine, name, lessons, today)
    return known


def _known(machine: Machine, name: str, lessons: list[Taught], today: datetime.date) -> KnownOffset:
    dial = machine.settings[name]
    spread = method_spread(str(dial.set_by))
    events = [event for event in machine.events if name in event.resets and event.date <= today]
    remembered = remember(
        [
            Proven(
                _years(lesson.date),
                millimetres(lesson.told.offset),
                millimetres(lesson.told.give_or_take),
            )
            for lesson in lessons
        ],
        _years(today),
        wander_of(spread),
        [Thrown(_years(event.date), spread.first) for event in events],
    )
    last = max(lesson.date for lesson in lessons)
    since = [event.what for event in events if event.date >= last]
    return KnownOffset(
        offset=_exact(remembered.mean),
        give_or_take=_exact(remembered.sd),
        set_ups=len({lesson.record for lesson in lessons}),
        since=min(lesson.date for lesson in lessons).year,
        event=", ".join(since),
    )


def _years(date: datetime.date) -> float:
    return date.toordinal() / DAYS_IN_A_YEAR


def of_causes(
    record: Record, known: Mapping[Dial, KnownOffset]
) -> Mapping[str, tuple[float, float]]:
    """By cause of a record, the offset known of its machine and how well, mm."""
    found = {
        setting.cause: known.get((setting.machine, setting.setting)) for setting in record.settings
    }
    return {
        cause: (millimetres(item.offset), millimetres(item.give_or_take))
        for cause, item in found.items()
        if item is not None
    }


def lessons_of(record: Record, shop: Shop) -> tuple[RecordedOffset, ...]:
    """What a proven record teaches: by how much each setting stands off what its dial says.

    Only what its own test pieces say: nothing that was known before is told a second time, and a
    setting that they say nothing of is left out. Rounded to half a
    thousandth of an inch or a hundredth of a millimetre: nothing is known more finely.
    """
    belief = belief_of(record, shop, dict.fromkeys(_causes(record), (0.0, _VAGUE)))
    shown = proven_offsets(belief)
    lessons = []
    for setting in record.settings:
        mean, sd = shown.get(setting.cause, (0.0, inf))
        if sd < _TELLING * _VAGUE:
            offset = mean - millimetres(setting.dialled - setting.aim)
            finest = read_length(1, shop.settings.unit) * _FINEST[shop.settings.unit]
            told = (round(_exact(each) / finest) * finest for each in (offset, sd))
            lessons.append(RecordedOffset(setting.machine, setting.setting, *told))
    return tuple(lessons)


def _causes(record: Record) -> Iterable[str]:
    return (setting.cause for setting in record.settings)


def _exact(amount: float) -> Length:
    return Length.millimetres(Fraction(amount))


def words_of(known: KnownOffset, dial: MachineSetting, shop: Shop) -> str:
    """`reads 1/32 strong in 3 set-ups since 2019`: what is known of a dial, in a maker's words."""
    notation = shop.settings.notation
    times = f"in {known.set_ups} set-up{'s' if known.set_ups > 1 else ''} since {known.since}"
    event = f"; since then: {known.event}" if known.event else ""
    offset = notation.round(known.offset)
    if not offset:
        return f"has come out as dialled {times}{event}"
    way = "over" if offset > Length.ZERO else "under"
    return f"has come out {notation.mark(abs(offset))} {way} what is dialled {times}{event}"
