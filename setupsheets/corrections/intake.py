"""Test pieces taken into the filter, one after the other: moved, cut, read, fitted.

The state holds the causes' errors, then what only concerns the piece at hand: its scatter, the
rounding that repeated readings have in common, and what was only felt as a fit.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from setupsheets.corrections.causes import Cause
from setupsheets.corrections.normal import Array
from setupsheets.corrections.readings import Fit, Instrument, Measurement, Piece, Reading
from setupsheets.corrections.track import (
    Event,
    Track,
    derive,
    foresee,
    narrow,
    observe,
    shift,
    start,
    widen,
)

_NEGLIGIBLE_SHARE = 1e-3


@dataclass(frozen=True)
class Places:
    """Where in the state each quantity stands, by key, and the number of pieces in a pair."""

    of: dict[tuple[str, ...], int]
    copies: int = 1

    def with_keys(self, keys: Iterable[tuple[str, ...]]) -> "Places":
        """Give the places with further quantities appended."""
        first = len(self.of)
        return replace(self, of=self.of | {key: first + i for i, key in enumerate(keys)})

    def unit(self, key: tuple[str, ...]) -> Array:
        """Give the row that picks one quantity out of the state; nil where there is none."""
        row = np.zeros(len(self.of))
        if key in self.of:
            row[self.of[key]] = 1
        return row

    def row(self, measurement: Measurement, pieces: int = 1) -> Array:
        """Give the row of the state that is the true deviation of this piece (or pair)."""
        row = np.zeros(len(self.of))
        for cause, value in measurement.sensitivities.items():
            row[self.of["cause", cause]] = value
            for copy in range(pieces):
                at = self.of.get(("blank", cause, str(copy)))
                if at is not None:
                    row[at] = value
        for copy in range(pieces):
            row[self.of["scatter", measurement.name, str(copy)]] = 1
        return row


@dataclass(frozen=True, eq=False)
class Intake:
    """All pieces taken in: the filter, where its quantities stand, and the fits by their keys."""

    track: Track
    places: Places
    fits: dict[tuple[str, ...], tuple[float, float]]


def take_in(
    causes: tuple[Cause, ...],
    measurements: tuple[Measurement, ...],
    pieces: tuple[Piece, ...],
    mean: Array,
    cov: Array,
) -> Intake:
    """Take in all pieces in the order in which they were cut, from the causes' prior."""
    track = _first(causes, mean, cov)
    places = Places({("cause", c.name): i for i, c in enumerate(causes)})
    by_name = {m.name: m for m in measurements}
    fits: dict[tuple[str, ...], tuple[float, float]] = {}
    for number, piece in enumerate(pieces):
        track, places = _forget_piece(track, places)
        track = _moved(track, causes, piece, number)
        track, places = _cut(track, places, causes, measurements, piece, number)
        track, places = _read(track, places, by_name, piece, number)
        track, places, limits = _fitted(track, places, by_name, piece, len(fits))
        fits |= limits
    return Intake(track, places, fits)


def _first(causes: tuple[Cause, ...], mean: Array, cov: Array) -> Track:
    track = start(mean, cov)
    events = [
        (i, Event("blunder", c.name, 0, c.blunder_probability, c.blunder_sd))
        for i, c in enumerate(causes)
    ]
    return _foresee_at(track, events)


def _foresee_at(track: Track, events: list[tuple[int, Event]]) -> Track:
    """Add events that each shift one quantity of the state."""
    columns = np.zeros((len(track.mean), len(events)))
    columns[[at for at, _ in events], range(len(events))] = 1
    return foresee(track, tuple(e for _, e in events), columns)


def _forget_piece(track: Track, places: Places) -> tuple[Track, Places]:
    """Leave out what only concerned the last piece."""
    kept = {key: at for key, at in places.of.items() if key[0] in {"cause", "fit"}}
    order = sorted(kept, key=lambda key: kept[key])
    index = np.array([kept[key] for key in order], dtype=np.intp)
    return narrow(track, index), Places({key: i for i, key in enumerate(order)})


def _moved(track: Track, causes: tuple[Cause, ...], piece: Piece, number: int) -> Track:
    """Make the moves before a piece: only what was moved takes up re-setting scatter."""
    amounts, variance = np.zeros(len(track.mean)), np.zeros(len(track.mean))
    events = []
    for i, cause in enumerate(causes):
        amount = piece.moves.get(cause.name, 0.0)
        if amount:
            amounts[i], variance[i] = amount, cause.reset_sd**2
            wrong = max(2 * abs(amount), 4 * cause.reset_sd)
            chance = cause.move_blunder_probability
            events.append((i, Event("move", cause.name, number, chance, wrong)))
        elif number and cause.kind == "setting" and cause.movable:
            chance = cause.slip_probability
            events.append((i, Event("slip", cause.name, number, chance, cause.blunder_sd)))
    return _foresee_at(shift(track, amounts, variance), events)


def _cut(
    track: Track,
    places: Places,
    causes: tuple[Cause, ...],
    measurements: tuple[Measurement, ...],
    piece: Piece,
    number: int,
) -> tuple[Track, Places]:
    """Append the piece's own scatter to the state, and that a cut of it may have strayed."""
    copies = max((r.pieces for r in piece.readings), default=1)
    sources = [("blank", c.name, c.scatter_sd) for c in causes if c.scatter_sd > 0]
    sources += [("scatter", m.name, m.scatter_sd) for m in measurements]
    keys = [(what, name, str(copy)) for copy in range(copies) for what, name, _ in sources]
    variance = np.array([sd**2 for _ in range(copies) for *_, sd in sources])
    track, places = widen(track, variance), replace(places.with_keys(keys), copies=copies)
    strays = [
        (
            places.of["scatter", m.name, "0"],
            Event("stray", m.name, number, m.stray_probability, m.stray_sd),
        )
        for m in measurements
    ]
    return _foresee_at(track, strays), places


def _read(
    track: Track,
    places: Places,
    by_name: dict[str, Measurement],
    piece: Piece,
    number: int,
) -> tuple[Track, Places]:
    """Take in the numbers read from a piece, and from its blank."""
    numbers = [(r, r.value) for r in piece.readings if not isinstance(r.value, Fit)]
    track, places = _round(track, places, [r for r, _ in numbers])
    rows: list[Array] = []
    taken: list[tuple[str, float, Instrument]] = []
    for reading, value in numbers:
        row = places.row(by_name[reading.measurement], reading.pieces)
        row += places.unit(rounding_key(reading))
        rows.append(row)
        taken.append((reading.measurement, value, reading.instrument))
    for blank in piece.blanks:
        row = places.unit(("cause", blank.cause)) + places.unit(("blank", blank.cause, "0"))
        rows.append(row)
        taken.append((blank.cause, blank.value, blank.instrument))
    return _observed(track, rows, taken, number), places


def _observed(
    track: Track, rows: list[Array], taken: list[tuple[str, float, Instrument]], number: int
) -> Track:
    """Take in rows of readings, each of which may be a misreading."""
    if not rows:
        return track
    first = len(track.events)
    slips = tuple(
        Event("misreading", name, number, tool.misreading_probability, tool.misreading_sd)
        for name, _, tool in taken
    )
    track = foresee(track, slips, np.zeros((len(track.mean), len(slips))))
    direct = np.zeros((len(rows), len(track.events)))
    direct[range(len(slips)), range(first, first + len(slips))] = 1
    values = np.array([value for _, value, _ in taken])
    variance = np.array([own_variance(tool) for _, _, tool in taken])
    return observe(track, np.array(rows), values, np.diag(variance), direct)


def _round(track: Track, places: Places, readings: list[Reading]) -> tuple[Track, Places]:
    """Append the rounding that readings of one thing with one instrument have in common."""
    shared = {
        rounding_key(r): r.instrument.shared_variance
        for r in readings
        if has_shared_rounding(r.instrument)
    }
    if not shared:
        return track, places
    return widen(track, np.array(list(shared.values()))), places.with_keys(shared)


def rounding_key(reading: Reading) -> tuple[str, ...]:
    """Give the key of the rounding that a reading shares with its repeats."""
    return "rounding", reading.measurement, reading.instrument.name, str(reading.pieces)


def has_shared_rounding(instrument: Instrument) -> bool:
    """Say whether rounding is a share of this instrument's error that repeats do not average."""
    return instrument.shared_variance > _NEGLIGIBLE_SHARE * instrument.uncertainty**2


def own_variance(instrument: Instrument) -> float:
    """Give the variance that a reading does not share with its repeats, mm^2."""
    if has_shared_rounding(instrument):
        return instrument.own_variance
    return instrument.uncertainty**2


def _fitted(
    track: Track,
    places: Places,
    by_name: dict[str, Measurement],
    piece: Piece,
    before: int,
) -> tuple[Track, Places, dict[tuple[str, ...], tuple[float, float]]]:
    """Append what was only felt as a fit to the state, and give its limits."""
    felt = [(r.measurement, r.value, r) for r in piece.readings if isinstance(r.value, Fit)]
    felt.sort(key=lambda item: (item[0], item[1].value, item[2].instrument.name))
    if not felt:
        return track, places, {}
    rows = np.array([places.row(by_name[name], r.pieces) for name, _, r in felt])
    variance = np.array([r.instrument.uncertainty**2 for _, _, r in felt])
    limits: dict[tuple[str, ...], tuple[float, float]] = {
        ("fit", str(before + i)): by_name[name].interval(fit)
        for i, (name, fit, _) in enumerate(felt)
    }
    return derive(track, rows, variance), places.with_keys(limits), limits
