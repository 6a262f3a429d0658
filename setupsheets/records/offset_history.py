"""What proved set-ups teach about the machines of a shop: how each dial stands off.

A set-up proves sums of offsets better than each by itself (a length hangs on the stop and on the
blank), so what each record says is kept with what ties its dials together.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

import numpy as np

from setupsheets.corrections.belief import Prior
from setupsheets.corrections.causes import Cause
from setupsheets.corrections.offsets import (
    OffsetEstimate,
    OffsetPrior,
    RecalibrationEvent,
    drift_model,
    estimate_offsets,
    offset_prior,
)
from setupsheets.lengths import Length, Unit, read_length
from setupsheets.records.folder import ShopRecords
from setupsheets.records.model import (
    causes_of,
    measurements_of,
    millimetres,
    pieces_of,
    spread_of,
)
from setupsheets.records.record import Record, RecordedOffset
from setupsheets.shop.finding import Shop
from setupsheets.shop.machines import Machine, MachineEvent, MachineSetting

DAYS_IN_A_YEAR = 365.25

_FINEST = {Unit.IN: Fraction(1, 2000), Unit.MM: Fraction(1, 100)}


def dial_name(machine: str, setting: str) -> str:
    """A machine's setting as one word: `crosscut-saw.stop`."""
    return f"{machine}.{setting}"


@dataclass(frozen=True)
class KnownOffset:
    """How much further a machine's setting stands than its dial says, and how well that is known.

    ``give_or_take`` is one standard deviation of where the next cut will be, the scatter of setting
    in it. ``set_ups`` counts the proved set-ups that say so since something last happened to the
    dial, ``since`` is the year of the first of them, ``events`` what has happened since the last.
    """

    offset: Length
    give_or_take: Length
    set_ups: int
    since: int
    events: tuple[str, ...] = ()

    def to_dial(self, aim: Length, dial: MachineSetting) -> Length:
        """The figure to dial for an aim, in the dial's finest moves."""
        return aim - dial.nearest(self.offset)


@dataclass(frozen=True, eq=False)
class OffsetHistory:
    """What is known of dials by name, those of which any proved set-up has told.

    ``jointly`` is the same of all dials together, in numbers.
    """

    known: Mapping[str, KnownOffset]
    jointly: OffsetPrior

    def of(self, machine: str, setting: str) -> KnownOffset | None:
        """What is known of one machine's setting; None where nothing is."""
        return self.known.get(dial_name(machine, setting))

    def causes(self, record: Record, shop: Shop) -> tuple[Cause, ...]:
        """The causes of a record's readings, as their machines are known."""
        dials = self._known_dials(record)
        return tuple(
            replace(
                cause,
                prior_mean=cause.prior_mean + self.jointly.mean(dials[cause.name]),
                prior_sd=self.jointly.sd(dials[cause.name]),
            )
            if cause.name in dials
            else cause
            for cause in causes_of(record, shop)
        )

    def prior(self, record: Record, causes: Sequence[Cause]) -> Prior:
        """The causes' own prior, with what ties dials together where the records tell."""
        return self.jointly.prior(causes, self._known_dials(record))

    def _known_dials(self, record: Record) -> dict[str, str]:
        """By cause the dial that it is set on, where that is known."""
        dials = {item.cause: dial_name(item.machine, item.setting) for item in record.settings}
        return {cause: dial for cause, dial in dials.items() if dial in self.known}


def offset_history(
    records: ShopRecords, machines: Iterable[Machine], today: datetime.date
) -> OffsetHistory:
    """What the shop's proved records say about every setting of these machines, as of a day."""
    there = {machine.name: machine for machine in machines}
    dials = {
        dial_name(machine.name, name): dial
        for machine in there.values()
        for name, dial in machine.settings.items()
    }
    taught = [record for record in _teaching(records, there) if record.date <= today]
    drifts = {name: drift_model(spread_of(dial)) for name, dial in dials.items()}
    events = [item for item in _events(there.values(), today) if item[0] in dials]
    jointly = offset_prior(
        [offsets_told(record) for record in taught],
        _years(today),
        drifts,
        [
            RecalibrationEvent(_years(event.date), name, spread_of(dials[name]).first)
            for name, event in events
        ],
    )
    last = {
        dial_name(item.machine, item.setting): record.date
        for record in sorted(taught, key=lambda record: record.date)
        for item in record.after
    }
    known = {
        name: KnownOffset(
            offset=Length.from_float(jointly.mean(name)),
            give_or_take=Length.from_float(jointly.sd(name)),
            set_ups=jointly.set_ups[name],
            since=_year(jointly.since.get(name, _years(when))),
            events=tuple(e.what for dial, e in events if dial == name and e.date >= when),
        )
        for name, when in last.items()
        if name in dials
    }
    return OffsetHistory(known, jointly)


def _teaching(records: ShopRecords, machines: Iterable[str]) -> Iterable[Record]:
    """Every record that says anything of one of the machines, each once."""
    found: dict[str, Record] = {}
    for machine in machines:
        for record in records.mentioning(f"machine: {machine}", "offset:"):
            found.setdefault(record.name, record)
    return found.values()


def _events(
    machines: Iterable[Machine], today: datetime.date
) -> Iterator[tuple[str, MachineEvent]]:
    """What has happened to dials up to a day, by the dial's name."""
    for machine in machines:
        for event in machine.events:
            if event.date <= today:
                yield from ((dial_name(machine.name, name), event) for name in event.resets)


def offsets_told(record: Record) -> OffsetEstimate:
    """What a record says of its dials, in numbers (mm)."""
    names = tuple(dial_name(item.machine, item.setting) for item in record.after)
    sds = np.array([millimetres(item.give_or_take) for item in record.after])
    ties = np.eye(len(names))
    for row, item in enumerate(record.after):
        for other, tie in item.tied.items():
            if other in names:
                ties[row, names.index(other)] = ties[names.index(other), row] = float(tie)
    # Ties are rounded to hundredths: a little more spread keeps them possible all together.
    cov = ties * np.outer(sds, sds) + np.diag(0.01 * sds**2 + 1e-9)
    means = np.array([millimetres(item.offset) for item in record.after])
    return OffsetEstimate(_years(record.date), names, means, cov)


def _years(date: datetime.date) -> float:
    return date.toordinal() / DAYS_IN_A_YEAR


def _year(years: float) -> int:
    return datetime.date.fromordinal(round(years * DAYS_IN_A_YEAR)).year


def offsets_shown(record: Record, shop: Shop) -> tuple[RecordedOffset, ...]:
    """What a proved record's own test pieces teach, with what ties its dials together.

    Rounded to half a thousandth of an inch or a hundredth of a millimetre: nothing is known finer.
    """
    dials = {item.cause: dial_name(item.machine, item.setting) for item in record.settings}
    shown = estimate_offsets(
        causes_of(record, shop), measurements_of(record), pieces_of(record, shop), dials
    )
    sds = np.sqrt(np.diag(shown.cov))
    ties = shown.cov / np.outer(sds, sds)
    places = {dials[item.cause]: (item.machine, item.setting) for item in record.settings}
    return tuple(
        RecordedOffset(
            *places[name],
            offset=_rounded(float(shown.means[row]), shop),
            give_or_take=_rounded(float(sds[row]), shop),
            tied={
                shown.names[other]: tie
                for other in range(row + 1, len(sds))
                if (tie := Fraction(round(float(ties[row, other]) * 100), 100))
            },
        )
        for row, name in enumerate(shown.names)
    )


def _rounded(amount: float, shop: Shop) -> Length:
    finest = read_length(1, shop.settings.unit) * _FINEST[shop.settings.unit]
    steps = round(Length.from_float(amount) / finest)
    return max(steps, 1) * finest if amount > 0 and not steps else steps * finest
