"""What set-ups teach about the machines of a shop: how each dial stands off.

One that was given up teaches as far as its readings tell: its parts were not cut, its pieces were.
Such are counted by themselves, so they push out none that was proved; and a proved figure is
outvoted by proved set-ups alone. A set-up tells sums of offsets better than each by itself (a
length hangs on the stop and on the blank), so what each record says is kept with what ties its
dials together.
"""

from __future__ import annotations

import datetime
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from fractions import Fraction
from itertools import chain
from pathlib import Path

import numpy as np
from msgspec import Struct, field
from msgspec.structs import replace

from setupsheets.corrections.belief import Prior, believe
from setupsheets.corrections.causes import Cause
from setupsheets.corrections.observations import MeasurementModel, TestPiece
from setupsheets.corrections.offsets import (
    OffsetEstimate,
    OffsetPrior,
    drift_model,
    estimate_offsets,
    offset_prior,
)
from setupsheets.corrections.roughness import SHOPS, Roughness, still_in_doubt
from setupsheets.files.known_results import once_known
from setupsheets.lengths import Length, Unit, read_length
from setupsheets.records.changes import came_after, now_called
from setupsheets.records.learnt import DialStretch, joined, side_of, stretch_at, stretch_of
from setupsheets.records.model import (
    WHOLE_FRACTIONS,
    causes_of,
    measurements_of,
    millimetres,
    pieces_of,
    spread_of,
)
from setupsheets.records.record import Record, RecordedOffset, RecordedSetting
from setupsheets.records.shop_records import ShopRecords
from setupsheets.records.verdicts import Verdict
from setupsheets.shop.finding import Shop
from setupsheets.shop.machines import Machine, MachineEvent, MachineSetting
from setupsheets.shop.recipes import MeasuredTo

DAYS_IN_A_YEAR = 365.25

_TELL_OF_ROUGHNESS = 3  # set-ups proved, and not; more tell little, each takes as long as an advice

_FINEST = {Unit.IN: Fraction(1, 2000), Unit.MM: Fraction(1, 100)}


def dial_name(machine: str, setting: str) -> str:
    """A machine's setting as one word: `crosscut-saw.stop`."""
    return f"{machine}.{setting}"


class KnownOffset(Struct, frozen=True):
    """How much further a machine's setting stands than its dial says, and how well that is known.

    ``give_or_take`` is one standard deviation of where the next cut will be, the scatter of setting
    in it. ``set_ups`` counts the set-ups that say so since the dial was last reset, ``not_proved``
    those of them that never were, ``since`` is the year of the first.
    """

    offset: Length
    give_or_take: Length
    set_ups: int
    since: int
    not_proved: int = 0

    def to_dial(self, aim: Length, dial: MachineSetting) -> Length:
        """The figure to dial for an aim, in the dial's finest moves."""
        return aim - dial.nearest(self.offset)

    def speaks_against(self, off: Length, dial: MachineSetting) -> bool:
        """Whether a dial that shows so much more than its aim would cut further out than setting it
        scatters, by several proved set-ups: one alone says no more than its own figure."""
        several = self.set_ups - self.not_proved > 1
        return several and abs(millimetres(off + self.offset)) > spread_of(dial).again


class OffsetHistory(Struct, frozen=True, eq=False):
    """What is known of dials by name, those of which any set-up has told.

    ``jointly`` is the same of all dials together, in numbers. ``reset`` are the dials of which
    something was known until that event, and nothing since. ``stretches`` are, by dial and name,
    where on a dial that was learnt; ``known`` and ``jointly`` go by these names. ``told`` are the
    latest of those set-ups: they show how roughly the shop works as well.
    """

    known: Mapping[str, KnownOffset]
    jointly: OffsetPrior
    reset: Mapping[str, MachineEvent] = field(default_factory=dict)
    stretches: Mapping[str, Mapping[str, DialStretch]] = field(default_factory=dict)
    told: tuple[Record, ...] = ()
    _shops: dict[Path, tuple[Roughness, ...]] = field(default_factory=dict)

    def shops(self, shop: Shop) -> tuple[Roughness, ...]:
        """How rough the shop may be, by what its latest set-ups have shown."""
        if shop.folder not in self._shops:
            told = [
                (causes_of(each, shop), measurements_of(each, shop), pieces_of(each, shop))
                for each in map(_of_settings, self.told)
            ]
            self._shops[shop.folder] = still_in_doubt(_shops_shown(told))
        return self._shops[shop.folder]

    def of(
        self, machine: str, setting: str, side: str | None, figure: Length
    ) -> KnownOffset | None:
        """What is known of one machine's setting at a figure; None where nothing was learnt there.

        ``side`` is that of the cutter, empty for a dial without sides.
        """
        stretches = self.stretches.get(dial_name(machine, setting), {})
        return self.known.get(stretch_at(stretches, side, figure) or "")

    def causes(self, record: Record, shop: Shop) -> tuple[Cause, ...]:
        """The causes of a record's readings, as their machines are known."""
        dials = self._known_dials(record, shop)
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

    def prior(self, record: Record, causes: Sequence[Cause], shop: Shop) -> Prior:
        """The causes' own prior, with what ties dials together where the records tell."""
        return self.jointly.prior(causes, self._known_dials(record, shop))

    def _known_dials(self, record: Record, shop: Shop) -> dict[str, str]:
        """By cause the stretch of a dial that it is set on, where that is known."""
        found = {}
        for item in record.settings:
            stretches = self.stretches.get(dial_name(item.machine, item.setting), {})
            name = stretch_at(stretches, side_of(item, record, shop), item.aim)
            if name is not None and name in self.known:
                found[item.cause] = name
        return found


@once_known(most=32)
def _shops_shown(
    told: Sequence[tuple[Sequence[Cause], Sequence[MeasurementModel], Sequence[TestPiece]]],
) -> tuple[Roughness, ...]:
    """How rough the shop may be, by the pieces of set-ups one after another."""
    found = SHOPS
    for each in told:
        found = believe(*each, shops=found).shops_now
    return found


def offset_history(
    records: ShopRecords, machines: Iterable[Machine], today: datetime.date
) -> OffsetHistory:
    """What the shop's closed records say about every setting of these machines, as of a day.

    What was found under a machine's earlier name counts for the one it has today. What was found
    before a dial was reset counts no more, nor what was found on that very day and is not told to
    have been after it.
    """
    shop = records.shop
    known_as = _names(machines, shop)
    dials = {
        dial_name(machine.name, name): dial
        for machine in known_as.values()
        for name, dial in machine.settings.items()
    }
    resets = _resets(known_as, shop, today)
    teaching = _teaching(records, known_as, today)
    where = {record.name: _where(record, known_as, shop) for record in teaching}
    stretches = _stretches(teaching, where, resets)
    told = {
        record.name: {
            place: name
            for place, (dial, stretch) in where[record.name].items()
            if _counts(record, dial, resets)
            for name in [stretch_at(stretches[dial], stretch.side, stretch.least)]
            if name is not None
        }
        for record in teaching
    }
    spreads = {name: dial for dial, names in stretches.items() for name in names}
    marks = WHOLE_FRACTIONS[shop.settings.unit]
    jointly = offset_prior(
        [offsets_told(record, told[record.name]) for record in teaching if told[record.name]],
        _years(today),
        {name: drift_model(spread_of(dials[dial]), marks) for name, dial in spreads.items()},
    )
    once = {dial for found in where.values() for dial, _ in found.values()}
    failed = (told[each.name] for each in teaching if each.verdict is not Verdict.PROVED)
    not_proved = Counter(chain.from_iterable(set(names.values()) for names in failed))
    return OffsetHistory(
        known={
            name: KnownOffset(
                offset=Length.from_float(float(jointly.likeliest[number])),
                give_or_take=Length.from_float(jointly.sd(name)),
                set_ups=jointly.set_ups[name],
                since=_year(jointly.since[name]),
                not_proved=not_proved[name],
            )
            for number, name in enumerate(spreads)
        },
        jointly=jointly,
        reset={
            dial: event for dial, event in resets.items() if dial in once and dial not in stretches
        },
        stretches=stretches,
        told=tuple(_latest(each for each in teaching if told[each.name])),
    )


def _latest(taught: Iterable[Record]) -> Iterator[Record]:
    """The set-ups that tell how roughly the shop works: the latest proved, and of those that were
    not as many. By proved ones alone every shop works finer than it does."""
    seen: Counter[bool] = Counter()
    for record in sorted(taught, key=lambda each: each.date, reverse=True):
        if record.pieces:
            seen[proved := record.verdict is Verdict.PROVED] += 1
            if seen[proved] <= _TELL_OF_ROUGHNESS:
                yield record


def _of_settings(record: Record) -> Record:
    """A record without what no setting moves: how wide a chisel cuts tells of the chisel, not of
    how roughly the shop works."""
    measures = tuple(measure for measure in record.measures if measure.moved_by)
    known = {*(measure.name for measure in measures), *record.blanks}
    pieces = (
        replace(piece, readings=tuple(each for each in piece.readings if each.of in known))
        for piece in record.pieces
    )
    return replace(record, measures=measures, pieces=tuple(pieces))


def _where(
    record: Record, known_as: Mapping[str, Machine], shop: Shop
) -> dict[int, tuple[str, DialStretch]]:
    """By place among what a record taught, the dial of today and the stretch that it was learnt
    on, where that is known."""
    found = {}
    for place, item in enumerate(record.after):
        machine = known_as.get(item.machine)
        stretch = stretch_of(record, item, shop)
        if machine and item.setting in machine.settings and stretch:
            found[place] = (dial_name(machine.name, item.setting), stretch)
    return found


def _stretches(
    teaching: Iterable[Record],
    where: Mapping[str, Mapping[int, tuple[str, DialStretch]]],
    resets: Mapping[str, MachineEvent],
) -> dict[str, dict[str, DialStretch]]:
    """By dial and a name of its own every stretch on which something was learnt that counts."""
    told: dict[str, list[DialStretch]] = {}
    for record in teaching:
        for dial, stretch in where[record.name].values():
            if _counts(record, dial, resets):
                told.setdefault(dial, []).append(stretch)
    return {
        dial: {f"{dial} {number}": one for number, one in enumerate(joined(found), 1)}
        for dial, found in told.items()
    }


def _counts(record: Record, dial: str, resets: Mapping[str, MachineEvent]) -> bool:
    """Whether what a record says of a dial is of after its last reset."""
    clock = record.pieces[0].time if record.pieces else ""
    if dial not in resets:
        return True
    machine, event = dial.rpartition(".")[0], resets[dial]
    return came_after(machine, event, record, record.date, clock) is False


def _names(machines: Iterable[Machine], shop: Shop) -> dict[str, Machine]:
    """The machines by every name that they have had in this shop."""
    there = {machine.name: machine for machine in machines}
    own = [found.name for found in shop.everything("machine") if found.own]
    earlier = {name: there[now] for name in own if (now := now_called(name, shop)) in there}
    return earlier | there


TEACHING = 6
"""How many set-ups of each recipe a machine is known by, the newest.

Of n set-ups a dial's next landing is known within sqrt(1 + 1/n) of the scatter of setting, as long
as it does not drift: with six within 1.08 of what any number would give, with half of that within
1.15, with double within 1.04. So no more are read, and what is known costs the same in ten years.
"""


def _teaching(records: ShopRecords, machines: Iterable[str], today: datetime.date) -> list[Record]:
    """The newest records up to a day that say anything of one of the machines, each once."""
    found: dict[str, Record] = {}
    for machine in machines:
        for record in records.teaching(machine, at_most=TEACHING, until=today):
            found.setdefault(record.name, record)
    return list(found.values())


def _resets(
    known_as: Mapping[str, Machine], shop: Shop, today: datetime.date
) -> dict[str, MachineEvent]:
    """The last event, up to a day, that ended what was known of a dial, by the dial's name."""
    found: dict[str, MachineEvent] = {}
    for called, machine in known_as.items():
        file = machine if called == machine.name else shop.machine(called)
        for name in machine.settings:
            dial = dial_name(machine.name, name)
            events = [each for each in file.events if each.reset(name) and each.date <= today]
            events += [found[dial]] if dial in found else []
            if events:
                found[dial] = max(events, key=lambda e: (e.date, e.time.zfill(5)))
    return found


def offsets_told(record: Record, dials: Mapping[int, str]) -> OffsetEstimate:
    """What a record says of its dials, in numbers (mm); ``dials`` by place among what it taught
    the names of those that count."""
    names = tuple(item.name for item in record.after)
    sds = np.array([millimetres(item.give_or_take) for item in record.after])
    ties = np.eye(len(names))
    for row, item in enumerate(record.after):
        for other, tie in item.tied.items():
            if other in names:
                ties[row, names.index(other)] = ties[names.index(other), row] = float(tie)
    # Ties are rounded to hundredths: a little more spread keeps them possible all together.
    cov = ties * np.outer(sds, sds) + np.diag(0.01 * sds**2 + 1e-9)
    means = np.array([millimetres(item.offset) for item in record.after])
    at = list(dials)
    return OffsetEstimate(
        _years(record.date), tuple(dials.values()), means[at], cov[np.ix_(at, at)]
    )


def _years(date: datetime.date) -> float:
    return date.toordinal() / DAYS_IN_A_YEAR


def _year(years: float) -> int:
    return datetime.date.fromordinal(round(years * DAYS_IN_A_YEAR)).year


def offsets_shown(record: Record, shop: Shop) -> tuple[RecordedOffset, ...]:
    """What a record's own test pieces teach, with what ties its dials together.

    A dial that was set to both sides of the cutter has an offset on each: a scale for each side,
    and the kerf between them. Rounded to half a thousandth of an inch or a hundredth of a
    millimetre: nothing is known finer.
    """
    places = {item.cause: _place_of(item, record, shop) for item in record.settings}
    dials = {cause: place.name for cause, place in places.items()}
    named = {place.name: place for place in places.values()}
    shown = estimate_offsets(
        causes_of(record, shop), measurements_of(record, shop), pieces_of(record, shop), dials
    )
    sds = np.sqrt(np.diag(shown.cov))
    ties = shown.cov / np.outer(sds, sds)
    return tuple(
        replace(
            named[name],
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


def _place_of(item: RecordedSetting, record: Record, shop: Shop) -> RecordedOffset:
    """The dial, and its side where there are sides, that a setting tells of; nothing told yet."""
    to = side_of(item, record, shop)
    place = RecordedOffset(item.machine, item.setting, Length.ZERO, Length.ZERO)
    return replace(place, to=MeasuredTo(to)) if to else place


def _rounded(amount: float, shop: Shop) -> Length:
    finest = read_length(1, shop.settings.unit) * _FINEST[shop.settings.unit]
    steps = round(Length.from_float(amount) / finest)
    return max(steps, 1) * finest if amount > 0 and not steps else steps * finest
