"""What proven set-ups have taught about the machines of a shop: how their dials stand, as of a day.

A set-up proves sums of offsets better than each by itself (a length hangs on the stop and on the
blank), so what each record says is kept with what ties its dials together.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from setupsheets.corrections.belief import Prior
from setupsheets.corrections.causes import Cause, MethodSpread, method_spread
from setupsheets.corrections.offsets import (
    OffsetEstimate,
    OffsetPrior,
    RecalibrationEvent,
    drift_model,
    offset_prior,
)
from setupsheets.lengths import Length
from setupsheets.records.folder import records
from setupsheets.records.record import Record
from setupsheets.shop.finding import Shop
from setupsheets.shop.machines import Machine, MachineSetting, SetBy

DAYS_IN_A_YEAR = 365.25
BACK_TO_NUMBERS = 9  # decimal places of a mm: these lengths become numbers again in the priors


def dial_name(machine: str, setting: str) -> str:
    """A machine's setting as one word: `crosscut-saw.stop`."""
    return f"{machine}.{setting}"


def spread_of(dial: MachineSetting | None) -> MethodSpread:
    """How closely a dial is set, mm: as the machine's file says, else as is usual for its kind."""
    usual = method_spread(dial.set_by if dial else SetBy.RULE)
    first = dial.spread if dial else None
    again = dial.resetting if dial else None
    return MethodSpread(
        first=usual.first if first is None else float(first.mm),
        again=usual.again if again is None else float(again.mm),
    )


@dataclass(frozen=True)
class KnownOffset:
    """How much further a machine's setting stands than its dial says, and how well that is known.

    ``give_or_take`` is one standard deviation of where the next cut will be, the scatter of setting
    in it. ``set_ups`` counts the proven set-ups that say so since the dial was last thrown,
    ``since`` is the year of the first of them, ``event`` what has happened to it since the last.
    """

    offset: Length
    give_or_take: Length
    set_ups: int
    since: int
    event: str = ""

    def to_dial(self, aim: Length, dial: MachineSetting) -> Length:
        """The figure to dial for an aim, in the dial's finest moves."""
        return aim - dial.nearest(self.offset)


@dataclass(frozen=True, eq=False)
class Memory:
    """What is known of dials by name, those of which any proven set-up has told."""

    known: Mapping[str, KnownOffset]
    jointly: OffsetPrior

    def of(self, machine: str, setting: str) -> KnownOffset | None:
        """What is known of one machine's setting; None where nothing is."""
        return self.known.get(dial_name(machine, setting))

    def prior(self, record: Record, causes: Sequence[Cause]) -> Prior:
        """The causes' own prior, with what ties dials together where the records tell."""
        dials = {item.cause: dial_name(item.machine, item.setting) for item in record.settings}
        known = {cause: dial for cause, dial in dials.items() if dial in self.known}
        return self.jointly.prior(causes, known)


def remembered(shop: Shop, machines: Iterable[Machine], today: datetime.date) -> Memory:
    """What the shop's proven records say about every setting of these machines, as of a day."""
    there = {machine.name: machine for machine in machines}
    dials = {
        dial_name(machine.name, name): dial
        for machine in there.values()
        for name, dial in machine.settings.items()
    }
    taught = [record for record in _teaching(shop, there) if record.date <= today]
    drifts = {name: drift_model(spread_of(dial)) for name, dial in dials.items()}
    events = [
        (dial_name(machine.name, name), event)
        for machine in there.values()
        for event in machine.events
        for name in event.resets
        if event.date <= today
    ]
    jointly = offset_prior(
        [proven_of(record) for record in taught],
        _years(today),
        drifts,
        [
            RecalibrationEvent(_years(event.date), name, spread_of(dials[name]).first)
            for name, event in events
            if name in dials
        ],
    )
    last = {
        dial_name(item.machine, item.setting): record.date
        for record in sorted(taught, key=lambda record: record.date)
        for item in record.after
    }
    known = {
        name: KnownOffset(
            offset=Length.from_float(jointly.mean(name), BACK_TO_NUMBERS),
            give_or_take=Length.from_float(jointly.sd(name), BACK_TO_NUMBERS),
            set_ups=jointly.set_ups[name],
            since=_year(jointly.since.get(name, _years(when))),
            event=", ".join(e.what for dial, e in events if dial == name and e.date >= when),
        )
        for name, when in last.items()
        if name in dials
    }
    return Memory(known, jointly)


def _teaching(shop: Shop, machines: Iterable[str]) -> Iterable[Record]:
    """Every record that says anything of one of the machines, each once."""
    found: dict[str, Record] = {}
    for machine in machines:
        for record in records(shop, f"machine: {machine}", "offset:"):
            found.setdefault(record.name, record)
    return found.values()


def proven_of(record: Record) -> OffsetEstimate:
    """What a record says of its dials, in numbers (mm)."""
    names = tuple(dial_name(item.machine, item.setting) for item in record.after)
    sds = np.array([float(item.give_or_take.mm) for item in record.after])
    ties = np.eye(len(names))
    for row, item in enumerate(record.after):
        for other, tie in item.tied.items():
            if other in names:
                ties[row, names.index(other)] = ties[names.index(other), row] = float(tie)
    # Ties are rounded to hundredths: a little more spread keeps them possible all together.
    cov = ties * np.outer(sds, sds) + np.diag(0.01 * sds**2 + 1e-9)
    means = np.array([float(item.offset.mm) for item in record.after])
    return OffsetEstimate(_years(record.date), names, means, cov)


def _years(date: datetime.date) -> float:
    return date.toordinal() / DAYS_IN_A_YEAR


def _year(years: float) -> int:
    return datetime.date.fromordinal(round(years * DAYS_IN_A_YEAR)).year


def words_of(known: KnownOffset, dial: MachineSetting, shop: Shop) -> str:
    """`has come out 1/32 in over what is dialled in 3 set-ups since 2019`."""
    notation = shop.settings.notation
    count = max(known.set_ups, 1)
    times = f"in {count} set-up{'s' if count > 1 else ''} since {known.since}"
    event = f"; since then: {known.event}" if known.event else ""
    offset = dial.nearest(known.offset)
    if not offset:
        return f"has come out as dialled {times}{event}"
    way = "over" if offset > Length.ZERO else "under"
    by = notation.dialled(abs(offset), dial.finest)
    return f"has come out {by} {way} what is dialled {times}{event}"
