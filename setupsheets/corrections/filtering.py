"""All test pieces run through the filter, one after the other: moved, cut, read, fitted.

The state holds the causes' errors, then what only concerns the piece at hand: its scatter, the
rounding that repeated readings have in common, and what was only felt as a fit.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TypeAlias

import numpy as np
from msgspec import Struct, field
from msgspec.structs import replace

from setupsheets.corrections.causes import DRIFT_ODDS, DRIFT_SD, Cause
from setupsheets.corrections.kalman import (
    FilterState,
    Jump,
    augment,
    augment_jumps,
    initial_state,
    marginalise,
    predict,
    repeat_jumps,
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
from setupsheets.corrections.roughness import AS_SAID, Roughness, Scales, scales

# How far a move goes wrong: its spread is so many times the move (the wrong way is off by 2), but
# no less than so many re-setting spreads. Common practice, no source.
_WRONG_MOVE = 2.0
_WRONG_RESET = 4.0
_PUT_RIGHT = 0.4
"""Chance that what a piece showed to be out was put right where nobody has said what was done:
common practice, no source."""

REMEMBERED = 24
"""Newest pieces that count: the work grows with the cube of them. A set-up ends with its eighth
piece; one that is checked so often since was right before these, as if it had been set anew."""

Key: TypeAlias = tuple[str, ...]


class FilterRun(Struct, frozen=True, eq=False):
    """The filter after the pieces so far, and where in its state each quantity stands, by key.

    copies is the number of pieces in hand, 2 for a pair; fits gives by key the limits, mm, of what
    was only felt as a fit.
    """

    state: FilterState
    places: Mapping[Key, int]
    copies: int = 1
    fits: Mapping[Key, tuple[float, float]] = field(default_factory=dict)

    def unit(self, key: Key) -> Array:
        """The row that picks one quantity out of the state; 0 throughout where there is none."""
        row = np.zeros(len(self.places))
        if key in self.places:
            row[self.places[key]] = 1
        return row

    def row(self, measurement: MeasurementModel, pieces: int = 1) -> Array:
        """The row of the state that is the true deviation of this piece (or pair)."""
        row = np.zeros(len(self.places))
        for cause, value in measurement.sensitivities.items():
            row[self.places["cause", cause]] = value
            for copy in range(pieces):
                row += value * self.unit(("blank", cause, str(copy)))
        for copy in range(pieces):
            row[self.places["scatter", measurement.name, str(copy)]] = 1
        return row

    def appended(
        self, keys: Sequence[Key], variance: Array, rows: Array | None = None
    ) -> FilterRun:
        """The run with further quantities in its state."""
        first = len(self.places)
        places = dict(self.places) | {key: first + i for i, key in enumerate(keys)}
        return replace(self, state=augment(self.state, variance, rows), places=places)

    def with_jumps(self, jumps: Mapping[Key, Jump]) -> FilterRun:
        """The run with jumps that may each have shifted one quantity of the state."""
        columns = (
            np.array([self.unit(key) for key in jumps]).reshape(len(jumps), len(self.places)).T
        )
        return replace(self, state=augment_jumps(self.state, tuple(jumps.values()), columns))


def run_filter(
    causes: tuple[Cause, ...],
    measurements: tuple[MeasurementModel, ...],
    pieces: tuple[TestPiece, ...],
    mean: Array,
    cov: Array,
    shops: tuple[Roughness, ...] = AS_SAID,
) -> FilterRun:
    """Run all pieces in the order in which they were cut, from the causes' prior (n), (n, n).

    One filter for each of the g shops, at once.
    """
    scale = scales(shops)
    wider = np.where([c.kind == "setting" for c in causes], scale.landing[:, None], 1.0)
    first = initial_state(mean, cov * wider[:, :, None] * wider[:, None, :])
    run = FilterRun(first, {("cause", c.name): i for i, c in enumerate(causes)})
    run = run.with_jumps(
        {
            ("cause", c.name): Jump("blunder", c.name, 0, c.blunder_probability, c.blunder_sd)
            for c in causes
        }
    )
    models = {m.name: m for m in measurements}
    for number, piece in [*enumerate(pieces)][-REMEMBERED:]:
        run = _moved(_without_last_piece(run), causes, piece, number, scale)
        run = _cut(run, causes, measurements, piece, number, scale)
        run = _fitted(_read(run, models, piece, number, scale), models, piece)
    return run


def rounding_key(reading: Reading) -> Key:
    """The key of the rounding that a reading shares with its repeats."""
    return "rounding", reading.measurement, reading.instrument.name, str(reading.pieces)


def _without_last_piece(run: FilterRun) -> FilterRun:
    """Leave out what only concerned the last piece."""
    kept = [key for key in run.places if key[0] in {"cause", "fit"}]
    at = np.array([run.places[key] for key in kept], dtype=np.intp)
    places = {key: i for i, key in enumerate(kept)}
    return replace(run, state=marginalise(run.state, at), places=places)


def _moved(
    run: FilterRun, causes: tuple[Cause, ...], piece: TestPiece, number: int, scale: Scales
) -> FilterRun:
    """Make the moves before a piece: only what was moved takes up re-setting scatter."""
    amounts, variance = np.zeros(len(run.places)), np.zeros_like(run.state.mean)
    coarse, fine = landing_variances(causes, scale)
    jumps: dict[Key, Jump] = {}
    for i, cause in enumerate(causes):
        key = ("cause", cause.name)
        if (amount := piece.moves.get(cause.name)) is not None:
            amounts[i] = amount
            variance[:, i] = (fine if cause.name in piece.fine else coarse)[:, i]
            wrong = max(_WRONG_MOVE * abs(amount), _WRONG_RESET * cause.reset_sd)
            jumps[key] = Jump("move", cause.name, number, cause.move_blunder_probability, wrong)
        elif marks := tuple(abs(each) for each in piece.untold.get(cause.name, ())):
            most, lands = max(marks), max(cause.reset_sd, cause.finest / 2)
            jumps[key] = Jump("untold", cause.name, number, _PUT_RIGHT, most, most, marks, lands)
        elif number and cause.movable:
            chance = cause.shift_probability
            jumps[key] = Jump("shift", cause.name, number, chance, cause.blunder_sd)
    run = _drifted(run, causes, number)
    return replace(run, state=predict(run.state, amounts, variance)).with_jumps(jumps)


def _drifted(run: FilterRun, causes: tuple[Cause, ...], number: int) -> FilterRun:
    """What may creep from piece to piece has crept once more."""
    at = [i for i, jump in enumerate(run.state.jumps) if jump.kind == "drift"]
    if number and not at:
        creeps: dict[Key, Jump] = {
            ("cause", c.name): Jump(
                "drift", c.name, number, DRIFT_ODDS * c.shift_probability, DRIFT_SD
            )
            for c in causes
            if c.kind == "setting" and c.movable and c.shift_probability
        }
        return run.with_jumps(creeps)
    places = [run.places["cause", run.state.jumps[i].subject] for i in at]
    return replace(run, state=repeat_jumps(run.state, at, places)) if at else run


def landing_variances(causes: tuple[Cause, ...], scale: Scales) -> tuple[Array, Array]:
    """What a move adds, (g, n) mm^2, by shop and cause: one to a mark, and a fine one."""
    settings = [c.kind == "setting" for c in causes]
    by = np.where(settings, scale.landing[:, None], 1.0) ** 2
    coarse = by * np.array([c.reset_sd**2 for c in causes])
    fine = by * np.array([c.fine_sd**2 for c in causes])
    return coarse, np.where(scale.coarse[:, None], coarse, fine)


def _cut(
    run: FilterRun,
    causes: tuple[Cause, ...],
    measurements: tuple[MeasurementModel, ...],
    piece: TestPiece,
    number: int,
    scale: Scales,
) -> FilterRun:
    """Append the piece's own scatter to the state, and that a cut of it may have strayed."""
    copies = max((r.pieces for r in piece.readings), default=1)
    sources = [("blank", c.name, c.scatter_sd) for c in causes if c.scatter_sd > 0]
    sources += [("scatter", m.name, m.scatter_sd) for m in measurements]
    keys = [(what, name, str(copy)) for copy in range(copies) for what, name, _ in sources]
    variance = np.array([sd**2 for *_, sd in sources] * copies)
    run = run.appended(keys, scale.pieces[:, None] ** 2 * variance)
    return replace(run, copies=copies).with_jumps(
        {
            ("scatter", m.name, "0"): Jump("stray", m.name, number, m.stray_probability, m.stray_sd)
            for m in measurements
        }
    )


def _read(
    run: FilterRun,
    models: dict[str, MeasurementModel],
    piece: TestPiece,
    number: int,
    scale: Scales,
) -> FilterRun:
    """Update by the numbers read from a piece, and from its blank; each may be a misreading.

    Rounding that readings of one thing with one instrument have in common is part of the state.
    """
    numbers = [(r, r.value) for r in piece.readings if not isinstance(r.value, Fit)]
    shared = {rounding_key(r): r.instrument.shared_variance for r, _ in numbers}
    shared = {key: variance for key, variance in shared.items() if variance}
    run = run.appended(tuple(shared), np.array(list(shared.values())))
    taken: list[tuple[Array, str, float, InstrumentModel]] = []
    for reading, value in numbers:
        row = run.row(models[reading.measurement], reading.pieces) + run.unit(rounding_key(reading))
        taken.append((row, reading.measurement, value, reading.instrument))
    for blank in piece.blanks:
        row = run.unit(("cause", blank.cause)) + run.unit(("blank", blank.cause, "0"))
        taken.append((row, blank.cause, blank.value, blank.instrument))
    misreadings = tuple(_misreading(name, number, tool) for _, name, _, tool in taken)
    rows, values = np.array([row for row, *_ in taken]), np.array([value for *_, value, _ in taken])
    own = np.array([tool.own_variance for *_, tool in taken])
    noise = scale.readings[:, None, None] ** 2 * np.diag(own)
    return replace(run, state=update(run.state, rows, values, noise, misreadings))


def _misreading(name: str, number: int, tool: InstrumentModel) -> Jump:
    """A slip of the eye, wide enough for a whole inch where it may be that."""
    wide = max(tool.misreading_sd, *tool.marks, 0.0)
    chance = tool.misreading_probability
    return Jump("misreading", name, number, chance, wide, tool.misreading_sd, tool.marks)


def _fitted(run: FilterRun, models: dict[str, MeasurementModel], piece: TestPiece) -> FilterRun:
    """Append what was only felt as a fit to the state, and its limits to the fits."""
    felt = [(r, r.value) for r in piece.readings if isinstance(r.value, Fit)]
    felt.sort(key=lambda pair: (pair[0].measurement, pair[1], pair[0].instrument.name))
    if not felt:
        return run
    rows = np.array([run.row(models[r.measurement], r.pieces) for r, _ in felt])
    variance = np.array([r.instrument.uncertainty**2 for r, _ in felt])
    limits = {
        ("fit", str(number)): models[r.measurement].interval(fit)
        for number, (r, fit) in enumerate(felt, len(run.fits))
    }
    run = run.appended(tuple(limits), variance, rows)
    return replace(run, fits=dict(run.fits) | limits)
