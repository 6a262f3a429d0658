"""What can be reached at all: by reading, by moving, by more test pieces; and what limits it.

All lengths are floats in millimetres.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from setupsheets.corrections.belief import Belief, piece_scatter, sensitivity_matrix
from setupsheets.corrections.causes import Cause
from setupsheets.corrections.mixture import Mixture
from setupsheets.corrections.normal import Array, box_probability_quick
from setupsheets.corrections.prediction import PartsPrediction, predict_parts
from setupsheets.corrections.preposterior import ReadingOption
from setupsheets.corrections.search import MoveSearch, best_moves, full_corrections, move_search

_LANDING_SDS = 2.0
"""How far off, in re-setting spreads, a setting may land after some tries.

In the simulated shop (tests/benchmarks/tuning_constants.py, 48 set-ups, seed 1: 2.42 pieces, 7.7 %
bad parts) half comes to 2.33 pieces and double to 2.44, with as many bad parts.
"""

Reason = Literal["scatter", "finest move", "re-setting", "instrument", "blanks"]


@dataclass(frozen=True)
class LimitingFactor:
    """What limits the parts: why, in which measurement or cause it shows most, chance at best.

    The subject is a measurement for scatter and instrument, else a cause.
    """

    reason: Reason
    subject: str
    attainable: float


def limited_by_scatter(
    belief: Belief, parts: PartsPrediction, threshold: float
) -> LimitingFactor | None:
    """Scatter, where parts would fail with every setting known and exactly right."""
    finite = np.isfinite(parts.low) & np.isfinite(parts.high)
    middle = np.where(finite, (parts.low + parts.high) / 2, 0.0)
    chance = max(_chance(parts, parts.scatter, centre) for centre in (0 * middle, middle))
    return _factor(belief, parts, "scatter", chance) if chance < threshold else None


def limiting_factor(
    belief: Belief,
    parts: PartsPrediction,
    options: Sequence[ReadingOption],
    threshold: float,
    left: int,
) -> LimitingFactor | None:
    """What keeps further test pieces, `left` at most, from bringing parts to the threshold.

    As long as pieces are left, re-setting is no reason: each time it may land better, and what
    has landed well is left alone. One piece alone never proves it.
    """
    if len(belief.read) < 2 and left > 0:
        return None
    known = _if_known(belief, parts)
    best = _landed_well(belief, known)
    if best < threshold:
        both_ways = replace(known, one_way=np.zeros_like(known.one_way))
        small = _landed_well(belief, both_ways) >= threshold
        return _factor(belief, parts, "blanks" if small else "finest move", best)
    if left <= 0:
        sure = float(known.parts.likely(best_moves(known)[None])[0])
        last: Reason = "instrument" if sure >= threshold else "re-setting"
        return _factor(belief, parts, last, sure)
    read = _if_read(belief, parts, options, left)
    if read < threshold:
        exact = [
            replace(o, instrument=replace(o.instrument, sd=1e-6, resolution=0)) for o in options
        ]
        finer = _if_read(belief, parts, exact, left) >= threshold
        return _factor(belief, parts, "instrument" if finer else "scatter", read)
    return None


def pieces_expected(
    belief: Belief, options: Sequence[ReadingOption], threshold: float, most: int
) -> int:
    """How many more test pieces to expect, each read once by every option: 1 to `most`.

    The fewest after which the threshold is reached with every setting centred and without a jump.
    In the simulated shop (tests/benchmarks/simulated_recipes.py) that is 3, 1, 2 and 3 for the bar,
    the sticking, the rail and the bar by 64ths, where 2.8, 1.9, 2.4 and 2.6 are taken, readings
    repeated as advised. It does not know what moving costs: for a bar set by rule and moved by
    64ths it says 2, where all of 8 are taken and the threshold mostly is not reached.
    """
    parts = predict_parts(belief)
    for count in range(1, most):
        if _if_read(belief, parts, options, count) >= threshold:
            return count
    return most


def _chance(parts: PartsPrediction, cov: Array, centre: Array | None = None) -> float:
    """The parts' chance for one covariance (j, j), on target unless a centre is given."""
    mean = np.zeros(len(cov)) if centre is None else centre
    return float(box_probability_quick(mean[None], cov[None], parts.low, parts.high)[0])


def _if_known(belief: Belief, parts: PartsPrediction) -> MoveSearch:
    """The search as it would be if every error were known to be what is now expected.

    Moves go as meant: one that goes wrong is seen on the next piece.
    """
    mean = belief.errors.mean
    known = replace(
        parts,
        deviations=Mixture(np.ones(1), (parts.h @ mean)[None], parts.scatter[None]),
        sure=np.ones_like(parts.sure),
    )
    return replace(move_search(belief, known, 0.0), centres=mean[None])


def _landed_well(belief: Belief, known: MoveSearch) -> float:
    """The parts' chance where settings land, after some tries, as well as they can.

    From the step nearest to right, each may land off by up to twice its re-setting scatter, and
    that is as good as a finer step.
    """
    still = replace(known, parts=replace(known.parts, reset=0 * known.parts.reset))
    moves = full_corrections(still)
    reach = np.array([_LANDING_SDS * c.reset_sd * c.movable for c in belief.causes])
    nudge = np.clip(still.centring(still.centres + moves, (reach > 0)[None]), -reach, reach)
    return float(still.parts.likely(np.concatenate([moves, moves + nudge])).max())


def _if_read(
    belief: Belief, parts: PartsPrediction, options: Sequence[ReadingOption], pieces: int
) -> float:
    """The parts' chance after more pieces, each read once by every option, with all centred.

    For the leading hypothesis.
    """
    cov: Array = belief.errors.covs[0]
    if options and pieces:
        measured = [belief.measurement(o.measurement) for o in options]
        rows = sensitivity_matrix(belief.causes, measured)
        error = np.diag([o.instrument.uncertainty**2 for o in options])
        noise = (piece_scatter(belief.causes, measured) + error) / pieces
        crossed = cov @ rows.T
        cov = cov - crossed @ np.linalg.solve(rows @ crossed + noise, crossed.T)
    return _chance(parts, parts.h @ cov @ parts.h.T + parts.scatter)


def _factor(
    belief: Belief, parts: PartsPrediction, reason: Reason, attainable: float
) -> LimitingFactor:
    """In what a reason shows most."""
    if reason in {"scatter", "instrument"}:
        doubt = parts.h @ belief.errors.covs[0] @ parts.h.T
        spread = np.diag(parts.scatter if reason == "scatter" else doubt)
        at = int(np.argmax(spread / parts.tolerance**2))
        return LimitingFactor(reason, parts.names[at], attainable)
    weight = (np.abs(parts.h) / parts.tolerance[:, None]).max(axis=0)
    size = np.array([_holding(reason, c, belief.mean(c.name)) for c in belief.causes])
    at = int(np.argmax(weight * size))
    return LimitingFactor(reason, belief.causes[at].name, attainable)


def _holding(reason: Reason, cause: Cause, error: float) -> float:
    """By how much, mm, a cause limits the parts for this reason."""
    if reason == "blanks":
        return max(-error, 0.0) * cause.one_way
    return (cause.finest if reason == "finest move" else cause.reset_sd) * cause.movable
