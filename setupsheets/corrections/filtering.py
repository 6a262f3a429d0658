"""Test pieces taken into the filter, one after the other: moved, cut, read, fitted.

The state holds the causes' errors, then what only concerns the piece at hand: its scatter, the
rounding that repeated readings have in common, and what was only felt as a fit.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from setupsheets.corrections.causes import Cause
from setupsheets.corrections.kalman import (
    FilterState,
    Jump,
    augment,
    augment_jumps,
    augment_linear,
    initial_state,
    marginalise,
    predict,
    update,
)
from setupsheets.corrections.normal import Array
from setupsheets.corrections.observations import (
    Fit,
    InstrumentModel,
    MeasurementModel,
    Reading,
    TestPiece,
)

_NEGLIGIBLE_SHARE = 1e-3
_WRONG_MOVE = 2.0
_WRONG_RESET = 4.0


@dataclass(frozen=True)
class StateIndex:
    """Where in the state each quantity stands, by key, and the number of pieces in a pair."""

    of: dict[tuple[str, ...], int]
    copies: int = 1

    def with_keys(self, keys: Iterable[tuple[str, ...]]) -> "StateIndex":
        """Give the index with further quantities appended."""
        first = len(self.of)
        return replace(self, of=self.of | {key: first + i for i, key in enumerate(keys)})

    def unit(self, key: tuple[str, ...]) -> Array:
        """Give the row that picks one quantity out of the state; nil where there is none."""
        row = np.zeros(len(self.of))
        if key in self.of:
            row[self.of[key]] = 1
        return row

    def row(self, measurement: MeasurementModel, pieces: int = 1) -> Array:
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
class FilterRun:
    """All pieces taken in: the filter, where its quantities stand, and the fits by their keys."""

    state: FilterState
    index: StateIndex
    fits: dict[tuple[str, ...], tuple[float, float]]


def run_filter(
    causes: tuple[Cause, ...],
    measurements: tuple[MeasurementModel, ...],
    pieces: tuple[TestPiece, ...],
    mean: Array,
    cov: Array,
) -> FilterRun:
    """Take in all pieces in the order in which they were cut, from the causes' prior."""
    state = _first(causes, mean, cov)
    index = StateIndex({("cause", c.name): i for i, c in enumerate(causes)})
    by_name = {m.name: m for m in measurements}
    fits: dict[tuple[str, ...], tuple[float, float]] = {}
    for number, piece in enumerate(pieces):
        state, index = _without_last_piece(state, index)
        state = _moved(state, causes, piece, number)
        state, index = _cut(state, index, causes, measurements, piece, number)
        state, index = _read(state, index, by_name, piece, number)
        state, index, limits = _fitted(state, index, by_name, piece, len(fits))
        fits |= limits
    return FilterRun(state, index, fits)


def _first(causes: tuple[Cause, ...], mean: Array, cov: Array) -> FilterState:
    state = initial_state(mean, cov)
    jumps = [
        (i, Jump("blunder", c.name, 0, c.blunder_probability, c.blunder_sd))
        for i, c in enumerate(causes)
    ]
    return _with_jumps(state, jumps)


def _with_jumps(state: FilterState, jumps: list[tuple[int, Jump]]) -> FilterState:
    """Add jumps that each shift one quantity of the state."""
    columns = np.zeros((len(state.mean), len(jumps)))
    columns[[at for at, _ in jumps], range(len(jumps))] = 1
    return augment_jumps(state, tuple(e for _, e in jumps), columns)


def _without_last_piece(state: FilterState, index: StateIndex) -> tuple[FilterState, StateIndex]:
    """Leave out what only concerned the last piece."""
    kept = {key: at for key, at in index.of.items() if key[0] in {"cause", "fit"}}
    order = sorted(kept, key=lambda key: kept[key])
    at = np.array([kept[key] for key in order], dtype=np.intp)
    return marginalise(state, at), StateIndex({key: i for i, key in enumerate(order)})


def _moved(
    state: FilterState, causes: tuple[Cause, ...], piece: TestPiece, number: int
) -> FilterState:
    """Make the moves before a piece: only what was moved takes up re-setting scatter."""
    amounts, variance = np.zeros(len(state.mean)), np.zeros(len(state.mean))
    jumps = []
    for i, cause in enumerate(causes):
        amount = piece.moves.get(cause.name, 0.0)
        if amount:
            amounts[i], variance[i] = amount, cause.reset_sd**2
            wrong = max(_WRONG_MOVE * abs(amount), _WRONG_RESET * cause.reset_sd)
            chance = cause.move_blunder_probability
            jumps.append((i, Jump("move", cause.name, number, chance, wrong)))
        elif number and cause.kind == "setting" and cause.movable:
            chance = cause.shift_probability
            jumps.append((i, Jump("shift", cause.name, number, chance, cause.blunder_sd)))
    return _with_jumps(predict(state, amounts, variance), jumps)


def _cut(
    state: FilterState,
    index: StateIndex,
    causes: tuple[Cause, ...],
    measurements: tuple[MeasurementModel, ...],
    piece: TestPiece,
    number: int,
) -> tuple[FilterState, StateIndex]:
    """Append the piece's own scatter to the state, and that a cut of it may have strayed."""
    copies = max((r.pieces for r in piece.readings), default=1)
    sources = [("blank", c.name, c.scatter_sd) for c in causes if c.scatter_sd > 0]
    sources += [("scatter", m.name, m.scatter_sd) for m in measurements]
    keys = [(what, name, str(copy)) for copy in range(copies) for what, name, _ in sources]
    variance = np.array([sd**2 for _ in range(copies) for *_, sd in sources])
    state, index = augment(state, variance), replace(index.with_keys(keys), copies=copies)
    strays = [
        (
            index.of["scatter", m.name, "0"],
            Jump("stray", m.name, number, m.stray_probability, m.stray_sd),
        )
        for m in measurements
    ]
    return _with_jumps(state, strays), index


def _read(
    state: FilterState,
    index: StateIndex,
    by_name: dict[str, MeasurementModel],
    piece: TestPiece,
    number: int,
) -> tuple[FilterState, StateIndex]:
    """Take in the numbers read from a piece, and from its blank."""
    numbers = [(r, r.value) for r in piece.readings if not isinstance(r.value, Fit)]
    state, index = _round(state, index, [r for r, _ in numbers])
    rows: list[Array] = []
    taken: list[tuple[str, float, InstrumentModel]] = []
    for reading, value in numbers:
        row = index.row(by_name[reading.measurement], reading.pieces)
        row += index.unit(rounding_key(reading))
        rows.append(row)
        taken.append((reading.measurement, value, reading.instrument))
    for blank in piece.blanks:
        row = index.unit(("cause", blank.cause)) + index.unit(("blank", blank.cause, "0"))
        rows.append(row)
        taken.append((blank.cause, blank.value, blank.instrument))
    return _observed(state, rows, taken, number), index


def _observed(
    state: FilterState,
    rows: list[Array],
    taken: list[tuple[str, float, InstrumentModel]],
    number: int,
) -> FilterState:
    """Take in rows of readings, each of which may be a misreading."""
    if not rows:
        return state
    first = len(state.jumps)
    jumps = tuple(
        Jump("misreading", name, number, tool.misreading_probability, tool.misreading_sd)
        for name, _, tool in taken
    )
    state = augment_jumps(state, jumps, np.zeros((len(state.mean), len(jumps))))
    direct = np.zeros((len(rows), len(state.jumps)))
    direct[range(len(jumps)), range(first, first + len(jumps))] = 1
    values = np.array([value for _, value, _ in taken])
    variance = np.array([own_variance(tool) for _, _, tool in taken])
    return update(state, np.array(rows), values, np.diag(variance), direct)


def _round(
    state: FilterState, index: StateIndex, readings: list[Reading]
) -> tuple[FilterState, StateIndex]:
    """Append the rounding that readings of one thing with one instrument have in common."""
    shared = {
        rounding_key(r): r.instrument.shared_variance
        for r in readings
        if has_shared_rounding(r.instrument)
    }
    if not shared:
        return state, index
    return augment(state, np.array(list(shared.values()))), index.with_keys(shared)


def rounding_key(reading: Reading) -> tuple[str, ...]:
    """Give the key of the rounding that a reading shares with its repeats."""
    return "rounding", reading.measurement, reading.instrument.name, str(reading.pieces)


def has_shared_rounding(instrument: InstrumentModel) -> bool:
    """Say whether rounding is a share of this instrument's error that repeats do not average."""
    return instrument.shared_variance > _NEGLIGIBLE_SHARE * instrument.uncertainty**2


def own_variance(instrument: InstrumentModel) -> float:
    """Give the variance that a reading does not share with its repeats, mm^2."""
    if has_shared_rounding(instrument):
        return instrument.own_variance
    return instrument.uncertainty**2


def _fitted(
    state: FilterState,
    index: StateIndex,
    by_name: dict[str, MeasurementModel],
    piece: TestPiece,
    before: int,
) -> tuple[FilterState, StateIndex, dict[tuple[str, ...], tuple[float, float]]]:
    """Append what was only felt as a fit to the state, and give its limits."""
    felt = [(r.measurement, r.value, r) for r in piece.readings if isinstance(r.value, Fit)]
    felt.sort(key=lambda item: (item[0], item[1].value, item[2].instrument.name))
    if not felt:
        return state, index, {}
    rows = np.array([index.row(by_name[name], r.pieces) for name, _, r in felt])
    variance = np.array([r.instrument.uncertainty**2 for _, _, r in felt])
    limits: dict[tuple[str, ...], tuple[float, float]] = {
        ("fit", str(before + i)): by_name[name].interval(fit)
        for i, (name, fit, _) in enumerate(felt)
    }
    return augment_linear(state, rows, variance), index.with_keys(limits), limits
