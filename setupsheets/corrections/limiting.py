"""What can be reached at all: by reading, by moving, by more test pieces; and what holds it back.

All lengths are floats in millimetres.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from setupsheets.corrections.belief import Belief, piece_scatter, sensitivity_matrix
from setupsheets.corrections.causes import Cause
from setupsheets.corrections.normal import Array, box_probability_quick
from setupsheets.corrections.prediction import PartsPrediction, predict_parts
from setupsheets.corrections.preposterior import ReadingOption
from setupsheets.corrections.search import MoveSearch, best_moves, full_corrections, move_search

_LUCK = 2.0

Reason = Literal["scatter", "finest move", "re-setting", "instrument", "blanks"]


@dataclass(frozen=True)
class LimitingFactor:
    """What holds the parts back: why, in which measurement or cause it shows most, chance at best.

    The subject is a measurement for scatter and instrument, else a cause.
    """

    reason: Reason
    subject: str
    attainable: float


def limited_by_scatter(
    belief: Belief, parts: PartsPrediction, threshold: float
) -> LimitingFactor | None:
    """Say so where parts would fail with every setting known and exactly right."""
    finite = np.isfinite(parts.low) & np.isfinite(parts.high)
    middle = np.where(finite, (parts.low + parts.high) / 2, 0.0)
    scatter = _scatter(belief, parts)
    chance = max(_chance(parts, scatter, centre) for centre in (0 * middle, middle))
    return _held(belief, parts, "scatter", chance) if chance < threshold else None


def limiting_factor(
    belief: Belief,
    parts: PartsPrediction,
    options: Sequence[ReadingOption],
    threshold: float,
    left: int,
) -> LimitingFactor | None:
    """Say so where further test pieces, `left` at most, could not bring parts to the threshold.

    As long as pieces are left, re-setting is no reason: each time it may land better, and what
    has landed well is left alone. One piece alone never proves it.
    """
    if len(belief.read) < 2 and left > 0:
        return None
    known = _if_known(belief, parts)
    lucky = _with_luck(belief, known)
    if lucky < threshold:
        both_ways = replace(known, one_way=np.zeros_like(known.one_way))
        small = _with_luck(belief, both_ways) >= threshold
        return _held(belief, parts, "blanks" if small else "finest move", lucky)
    if left <= 0:
        sure = float(known.parts.likely(best_moves(known)[None])[0])
        last: Reason = "instrument" if sure >= threshold else "re-setting"
        return _held(belief, parts, last, sure)
    read = _if_read(belief, parts, options, left)
    if read < threshold:
        exact = [
            replace(o, instrument=replace(o.instrument, sd=1e-6, resolution=0)) for o in options
        ]
        finer = _if_read(belief, parts, exact, left) >= threshold
        return _held(belief, parts, "instrument" if finer else "scatter", read)
    return None


def pieces_expected(
    belief: Belief, options: Sequence[ReadingOption], threshold: float, most: int
) -> int:
    """Give how many more test pieces to expect, each read once by every option: 1 to `most`.

    The fewest after which the threshold is reached with every setting centred and without a slip.
    In the simulated shop that is what a set-up takes on average, within about one piece, where
    readings are repeated as advised; reading only once takes up to two more.
    """
    parts = predict_parts(belief)
    scatter = _scatter(belief, parts)
    for count in range(1, most):
        cov = _cov_if_read(belief, options, count)
        if _chance(parts, parts.h @ cov @ parts.h.T + scatter) >= threshold:
            return count
    return most


def _scatter(belief: Belief, parts: PartsPrediction) -> Array:
    judged = [m for m in belief.measurements if m.name in parts.names]
    return piece_scatter(belief.causes, judged)


def _chance(parts: PartsPrediction, cov: Array, centre: Array | None = None) -> float:
    """Give the parts' chance for one covariance (j, j), on target unless a centre is given."""
    mean = np.zeros(len(cov)) if centre is None else centre
    return float(box_probability_quick(mean[None], cov[None], parts.low, parts.high)[0])


def _if_known(belief: Belief, parts: PartsPrediction) -> MoveSearch:
    """Give the search as it would be if every error were known to be what is now expected.

    Moves go as meant: one that goes wrong is seen on the next piece.
    """
    mean: Array = belief.weights @ belief.means
    known = replace(
        parts,
        weights=np.ones(1),
        means=(parts.h @ mean)[None],
        covs=_scatter(belief, parts)[None],
        sure=np.ones_like(parts.sure),
    )
    return replace(move_search(belief, known, 0.0), centres=mean[None])


def _with_luck(belief: Belief, known: MoveSearch) -> float:
    """Give the parts' chance where settings land, after some tries, as well as they can.

    From the step nearest to right, each may land off by up to twice its re-setting scatter, and
    that is as good as a finer step.
    """
    still = replace(known, parts=replace(known.parts, reset=0 * known.parts.reset))
    moves = full_corrections(still)
    reach = np.array([_LUCK * c.reset_sd * c.movable for c in belief.causes])
    nudge = np.clip(still.centring(still.centres + moves, (reach > 0)[None]), -reach, reach)
    return float(still.parts.likely(np.concatenate([moves, moves + nudge])).max())


def _if_read(
    belief: Belief, parts: PartsPrediction, options: Sequence[ReadingOption], pieces: int
) -> float:
    """Give the parts' chance after that many more pieces, with every setting centred."""
    cov = _cov_if_read(belief, options, pieces)
    return _chance(parts, parts.h @ cov @ parts.h.T + _scatter(belief, parts))


def _cov_if_read(belief: Belief, options: Sequence[ReadingOption], pieces: int) -> Array:
    """Give the causes' covariance (n, n), mm^2, after more pieces each read once by every option.

    For the leading hypothesis.
    """
    cov: Array = belief.covs[0]
    if not options or not pieces:
        return cov
    measured = [belief.measurement(o.measurement) for o in options]
    rows = sensitivity_matrix(belief.causes, measured)
    error = np.diag([o.instrument.uncertainty**2 for o in options])
    noise = (piece_scatter(belief.causes, measured) + error) / pieces
    lean = cov @ rows.T
    after: Array = cov - lean @ np.linalg.solve(rows @ lean + noise, lean.T)
    return after


def _held(
    belief: Belief, parts: PartsPrediction, reason: Reason, attainable: float
) -> LimitingFactor:
    """Find in what a reason shows most."""
    width = np.minimum(parts.high, -parts.low)
    if reason in {"scatter", "instrument"}:
        scatter = _scatter(belief, parts)
        doubt = parts.h @ belief.covs[0] @ parts.h.T
        spread = np.diag(scatter if reason == "scatter" else doubt)
        return LimitingFactor(reason, parts.names[int(np.argmax(spread / width**2))], attainable)
    reach = (np.abs(parts.h) / width[:, None]).max(axis=0)
    size = [_holding(reason, c, belief.mean(c.name)) for c in belief.causes]
    return LimitingFactor(
        reason, belief.causes[int(np.argmax(reach * np.array(size)))].name, attainable
    )


def _holding(reason: Reason, cause: Cause, error: float) -> float:
    """Give by how much, mm, a cause holds the parts back for this reason."""
    if reason == "blanks":
        return max(-error, 0.0) * cause.one_way
    return (cause.finest if reason == "finest move" else cause.reset_sd) * cause.movable
