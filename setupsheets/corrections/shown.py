"""What the readings show by themselves: what scatters, and which moves they did not follow.

It chooses what is told and moves nothing. All lengths are floats in millimetres.
"""

from collections.abc import Iterator, Mapping, Set
from math import isfinite, sqrt
from typing import Literal

import numpy as np
from msgspec import Struct

from setupsheets.corrections.belief import Belief, piece_scatter
from setupsheets.corrections.causes import Cause
from setupsheets.corrections.observations import Fit, MeasurementModel, TestPiece

# Common practice, no source.
_PLAIN = 4.0  # standard deviations that a move should show before it is plain that it does not
_ROUGHEST = 2.0  # times as much scatter as is said: a move that is not made looks like more of it
_AS_BEFORE = 0.25  # share of what should have shown up to which a reading is as it was
_ROOM = 0.25  # variance in squares of the limit: two standard deviations just fit into it
_FEWEST = 4  # pieces of which one may be odd and the others still tell
_SURE = 2.0  # standard deviations of chi-square that chance leaves
_HALF = 0.5  # share of the variance from which it is the readings'


class UnfollowedMove(Struct, frozen=True):
    """A move that was made, as was said, before a piece whose readings do not show it.

    amount is how far it was to go, mm; piece the place of that piece; unchanged names what should
    have changed by it and did not, or changed as far the wrong_way.
    """

    cause: Cause
    amount: float
    piece: int
    unchanged: tuple[str, ...]
    wrong_way: bool = False


class TooWide(Struct, frozen=True):
    """A measurement whose readings differ from piece to piece by more than its limits have room,
    and what does: the pieces, the readings, or nobody knows while no piece was read there twice."""

    measurement: str
    by: Literal["pieces", "readings", "either"]


class _Step(Struct, frozen=True):
    """One piece and the one read before it, by their places: the moves between, which of them are
    fine, and by name how far each measurement read on both has changed, with the variance that
    reading adds."""

    before: int
    piece: int
    moves: Mapping[str, float]
    fine: Set[str]
    changes: Mapping[str, tuple[float, float]]


def names_read(belief: Belief) -> frozenset[str]:
    """The measurements that were read at all."""
    return frozenset(r.measurement for piece in belief.read for r in piece.readings)


def causes_told(belief: Belief) -> frozenset[str]:
    """The causes on which anything bears that was read of a piece or of its blank."""
    read = names_read(belief)
    rows = [m.sensitivities for m in belief.measurements if m.name in read]
    blanks = {each.cause for piece in belief.pieces for each in piece.blanks}
    return frozenset(blanks | {name for row in rows for name, share in row.items() if share})


def left_by_cutter(belief: Belief) -> str:
    """A measurement that hangs on nothing that can be moved, and lies beyond its limits by the mean
    of two readings or more: it comes out so. Empty where there is none."""
    movable = {cause.name for cause in belief.causes if cause.movable}
    pieces = [_values(piece) for piece in belief.read]
    for measurement in belief.measurements:
        read = [value for piece in pieces for value in piece.get(measurement.name, ())]
        if len(read) > 1 and not movable & {*measurement.sensitivities}:
            mean = sum(read) / len(read)
            if not measurement.low <= mean <= measurement.high:
                return measurement.name
    return ""


def scatter_shown(belief: Belief, doubted: Set[tuple[str, int]]) -> dict[str, float]:
    """By measurement, the variance from piece to piece that the readings show, mm^2.

    Half the mean square of the differences between one piece and the next, which no creep swells
    (J. von Neumann and others, "The mean square successive difference", Annals of Mathematical
    Statistics 12 (1941)), less what reading and landing add. Only of what two pieces on end were
    read for; doubted are the measurements, by piece, that are left out of account.
    """
    found: dict[str, list[float]] = {}
    for step in _steps(belief):
        for name, (change, read) in step.changes.items():
            if not doubted & {(name, step.before), (name, step.piece)}:
                measurement = belief.measurement(name)
                left = change - sum(_effects(measurement, step.moves).values())
                known = read + _landing(belief, measurement, step)
                found.setdefault(name, []).append((left**2 - known) / 2)
    return {name: max(0.0, sum(each) / len(each)) for name, each in found.items()}


def too_wide(belief: Belief) -> TooWide | None:
    """What plainly differs too much from piece to piece wherever it is set, or None.

    Plainly: whichever piece is left out as odd, and whatever creeps evenly aside, what is left of
    four pieces or more between two moves to a mark is more than chance leaves of what the limits
    have room for, besides what reading and shims add.
    """
    widest, found = 1.0, None
    for measurement in belief.measurements:
        limit = measurement.limit
        if isfinite(limit):
            runs = [*_runs(belief, measurement)]
            ratio = max((_left_over(*run, _ROOM * limit**2) for run in runs), default=0.0)
            if ratio > widest:
                widest, found = ratio, TooWide(measurement.name, _by(belief, measurement, runs))
    return found


def _runs(belief: Belief, measurement: MeasurementModel) -> Iterator[tuple[list[float], float]]:
    """What was read from piece to piece between two moves to a mark, less what shims moved it, mm,
    and the variance that reading and shims add."""
    values, known, due = list[float](), list[float](), 0.0
    fine = {c.name: c.fine_sd for c in belief.causes}
    for piece in belief.pieces:
        effects = _effects(measurement, piece.moves)
        if effects.keys() - piece.fine:
            yield values, max(known, default=0.0)
            values, known, due = [], [], 0.0
        due += sum(effects.values())
        if (read := _means(piece).get(measurement.name)) is not None:
            values.append(read[0] - due)
            rows = measurement.sensitivities
            landed = sum((rows[name] * fine[name]) ** 2 for name in effects)
            known.append(read[1] + landed)
    yield values, max(known, default=0.0)


def _left_over(values: list[float], known: float, room: float) -> float:
    """How many times as much as chance leaves lies off the straight line through the values, that
    one left out which leaves least; 0 of too few."""
    if len(values) < _FEWEST:
        return 0.0
    free = len(values) - 3
    least = min(_off_line(values, without) for without in range(len(values)))
    return least / ((room + known) * (free + _SURE * sqrt(2 * free)))


def _off_line(values: list[float], without: int) -> float:
    """The squares of what lies off the straight line through the values but one."""
    places = np.delete(np.arange(len(values)), without)
    read = np.delete(values, without)
    return float(((read - np.polyval(np.polyfit(places, read, 1), places)) ** 2).sum())


def _by(
    belief: Belief, measurement: MeasurementModel, runs: list[tuple[list[float], float]]
) -> Literal["pieces", "readings", "either"]:
    """Whether pieces or readings differ: by pieces that were read more than once."""
    again = [
        values
        for piece in belief.read
        if len(values := _values(piece).get(measurement.name, [])) > 1
    ]
    if not again:
        return "either"
    within = sum(float(np.var(values, ddof=1)) for values in again) / len(again)
    between = max(float(np.var(values, ddof=1)) for values, _ in runs if len(values) >= _FEWEST)
    return "readings" if within > _HALF * between else "pieces"


def moves_not_followed(belief: Belief) -> tuple[UnfollowedMove, ...]:
    """The moves before the last piece of which its readings plainly show nothing, or the opposite.

    Plainly: what should have changed by more than scatter, reading and landing can hide is as it
    was, all of it, or has changed as far the other way.
    """
    *_, step = None, *_steps(belief)
    if step is None:
        return ()
    found = []
    for name, amount in step.moves.items():
        cause = belief.causes[belief.index(name)]
        for wrong_way in (False, True):
            still = {
                measured: abs(change + wrong_way * due) <= _AS_BEFORE * (1 + wrong_way) * abs(due)
                for measured, (change, read) in step.changes.items()
                for measurement in [belief.measurement(measured)]
                if (due := _due(belief, measurement, name, step, read, 1 + wrong_way))
            }
            if still and all(still.values()):
                names = tuple(still)
                found.append(UnfollowedMove(cause, amount, step.piece, names, wrong_way))
    return tuple(found)


def _due(
    belief: Belief,
    measurement: MeasurementModel,
    cause: str,
    step: _Step,
    read: float,
    times: float,
) -> float:
    """How far all moves should have changed a measurement, where so many times that of the cause
    would have to be plain in it, whatever the others did; else 0."""
    effects = _effects(measurement, step.moves)
    due = sum(effects.values())
    rougher = min(float(belief.errors.weights @ belief.scales.pieces), _ROUGHEST)
    scatter = 2 * rougher**2 * float(piece_scatter(belief.causes, [measurement])[0, 0])
    hidden = _PLAIN * sqrt(scatter + read + _landing(belief, measurement, step))
    return due if times * min(abs(due), abs(effects.get(cause, 0.0))) >= hidden else 0.0


def _effects(measurement: MeasurementModel, moves: Mapping[str, float]) -> dict[str, float]:
    """By cause, how far the moves should change a measurement, mm."""
    rows = measurement.sensitivities
    return {name: rows[name] * amount for name, amount in moves.items() if rows.get(name)}


def _landing(belief: Belief, measurement: MeasurementModel, step: _Step) -> float:
    """The variance that where the moves land adds to a measurement, mm^2."""
    spread = {c.name: c.fine_sd if c.name in step.fine else c.reset_sd for c in belief.causes}
    rows = measurement.sensitivities
    return sum((rows.get(name, 0.0) * spread[name]) ** 2 for name in step.moves)


def _steps(belief: Belief) -> Iterator[_Step]:
    """Each piece that was read beside the one before it, the first aside."""
    before: dict[str, tuple[float, float]] = {}
    last = -1
    moves, coarse = dict[str, float](), set[str]()
    for place, piece in enumerate(belief.pieces):
        coarse |= piece.moves.keys() - piece.fine
        for name, amount in piece.moves.items():
            moves[name] = moves.get(name, 0.0) + amount
        if not piece.readings:
            continue
        now = _means(piece)
        if last >= 0:
            changes = {
                name: (now[name][0] - before[name][0], now[name][1] + before[name][1])
                for name in now
                if name in before
            }
            yield _Step(last, place, moves, moves.keys() - coarse, changes)
        before, last, moves, coarse = now, place, {}, set()


def _means(piece: TestPiece) -> dict[str, tuple[float, float]]:
    """By measurement, the mean of what was read of a piece, mm, and its variance by reading."""
    variances = {each.measurement: each.instrument.uncertainty**2 for each in piece.readings}
    return {
        name: (sum(read) / len(read), variances[name] / len(read))
        for name, read in _values(piece).items()
    }


def _values(piece: TestPiece) -> dict[str, list[float]]:
    """By measurement, what was read of a piece as numbers, mm."""
    values: dict[str, list[float]] = {}
    for each in piece.readings:
        if not isinstance(each.value, Fit):
            values.setdefault(each.measurement, []).append(each.value)
    return values
