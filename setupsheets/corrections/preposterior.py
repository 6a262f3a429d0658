"""Whether measuring the last piece again would tell enough, before any more wood is cut.

Source of the method: preposterior analysis (H. Raiffa and R. Schlaifer, Applied Statistical
Decision Theory, 1961): outcomes of the readings are drawn from what is believed now, and for each
the moves that would then be best are judged. The draws are a fixed lattice.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from setupsheets.corrections.belief import Belief
from setupsheets.corrections.filtering import (
    has_shared_rounding,
    own_variance,
    rounding_key,
)
from setupsheets.corrections.normal import Array, box_probability_quick, lattice, quantile
from setupsheets.corrections.observations import InstrumentModel, Reading
from setupsheets.corrections.prediction import PartsPrediction
from setupsheets.corrections.search import move_search

_DRAWS = 24
_SHARE = 0.98
_MOST_HYPOTHESES = 6
_TELLING = 0.8
_NOTICEABLE = 0.35


@dataclass(frozen=True)
class ReadingOption:
    """A reading that can be taken (again) from the last piece."""

    measurement: str
    instrument: InstrumentModel
    pieces: int = 1


@dataclass(frozen=True)
class ExpectedInformation:
    """What readings promise: the parts' chance after them on average, now, and of being enough.

    enough is the chance that parts can be cut after these readings.
    """

    options: tuple[ReadingOption, ...]
    after: float
    now: float
    enough: float


def expected_information(
    belief: Belief,
    parts: PartsPrediction,
    moves: Array,
    options: Sequence[ReadingOption],
    threshold: float,
) -> ExpectedInformation | None:
    """Give what the most telling of the readings on offer promise; None where none is on offer."""
    if not options or not belief.pieces:
        return None
    chosen = _most_telling(belief, parts, options)
    return _foretell(belief, parts, moves, chosen, threshold)


def _rows(belief: Belief, options: Sequence[ReadingOption]) -> tuple[Array, Array]:
    """Give the rows (r, s) of the state that the readings show, and their variances (r)."""
    index = belief.run.index
    rows, variance = [], []
    for option in options:
        key = rounding_key(Reading(option.measurement, 0.0, option.instrument, option.pieces))
        pieces = min(option.pieces, index.copies)
        rows.append(index.row(belief.measurement(option.measurement), pieces) + index.unit(key))
        known = has_shared_rounding(option.instrument) and key in index.of
        own = own_variance(option.instrument)
        variance.append(own if known else option.instrument.uncertainty**2)
    return np.array(rows), np.array(variance)


def _most_telling(
    belief: Belief, parts: PartsPrediction, options: Sequence[ReadingOption]
) -> tuple[ReadingOption, ...]:
    """Choose, one by one, the readings that narrow the parts' deviations most against tolerance.

    Judged on the covariance of the whole mixture, until the chosen ones do most of what all do.
    """
    rows, variance = _rows(belief, options)
    weights = belief.weights
    means = np.array([h.mean for h in belief.hypotheses])
    centre = means - weights @ means
    cov = np.tensordot(weights, np.array([h.cov for h in belief.hypotheses]), axes=1)
    cov = cov + (centre.T * weights) @ centre
    size = len(belief.causes)
    width = np.minimum(parts.high, -parts.low)
    gauge = parts.h / width[:, None]
    gains: list[float] = []
    order: list[int] = []
    left = list(range(len(options)))
    while left:
        lean = cov @ rows[left].T
        spread = np.einsum("ri,ir->r", rows[left], lean) + variance[left]
        told = ((gauge @ lean[:size]) ** 2).sum(axis=0) / spread
        top = int(np.argmax(told))
        gains.append(float(told[top]))
        order.append(left.pop(top))
        cov = cov - np.outer(lean[:, top], lean[:, top]) / spread[top]
    total = np.cumsum(gains)
    count = int(np.searchsorted(total, _TELLING * total[-1])) + 1
    return tuple(options[i] for i in sorted(order[:count]))


@dataclass(frozen=True, eq=False)
class _Leading:
    """The leading hypotheses: weights (c), means (c, s) and covs (c, s, s) of the whole state."""

    weights: Array
    means: Array
    covs: Array


def _lead(belief: Belief) -> _Leading:
    count = int(np.searchsorted(np.cumsum(belief.weights), _SHARE)) + 1
    leading = belief.hypotheses[: min(count, _MOST_HYPOTHESES)]
    weights = np.array([h.weight for h in leading])
    return _Leading(
        weights / weights.sum(),
        np.array([h.mean for h in leading]),
        np.array([h.cov for h in leading]),
    )


def _foretell(
    belief: Belief,
    parts: PartsPrediction,
    moves: Array,
    options: tuple[ReadingOption, ...],
    threshold: float,
) -> ExpectedInformation:
    """Draw outcomes of the readings and judge the moves that would be best after each."""
    rows, variance = _rows(belief, options)
    leading = _lead(belief)
    spread = rows @ leading.covs @ rows.T + np.diag(variance)
    off = _draw(leading, rows, spread)
    solved = np.linalg.solve(spread[None], off[..., None])[..., 0]
    _, log_det = np.linalg.slogdet(spread)
    log_weight = np.log(leading.weights) - ((off * solved).sum(axis=-1) + log_det) / 2
    weights = np.exp(log_weight - log_weight.max(axis=1, keepdims=True))
    weights /= weights.sum(axis=1, keepdims=True)
    size = len(belief.causes)
    lean = leading.covs[:, :size] @ rows.T
    means = leading.means[:, :size] + np.einsum("cnr,ocr->ocn", lean, solved)
    told = parts.h @ lean
    covs = parts.covs[: len(lean)] - told @ np.linalg.solve(spread, told.transpose(0, 2, 1))
    chances = _judge(belief, parts, moves, _Leading(weights, means, covs))
    return ExpectedInformation(
        options=options,
        after=float(chances.max(axis=1).mean()),
        now=float(chances[:, :2].mean(axis=0).max()),
        enough=float((chances.max(axis=1) >= threshold).mean()),
    )


def _draw(leading: _Leading, rows: Array, spread: Array) -> Array:
    """Draw outcomes of the readings: how far each is off what each hypothesis expects (o, c, r)."""
    shown = leading.means @ rows.T
    levels = (np.arange(_DRAWS) + 0.5) / _DRAWS
    which = np.searchsorted(np.cumsum(leading.weights), levels)
    which = np.minimum(which, len(leading.weights) - 1)
    normal = quantile(lattice(_DRAWS, len(rows)).T)
    outcomes = shown[which] + (np.linalg.cholesky(spread)[which] @ normal[..., None])[..., 0]
    off: Array = outcomes[:, None] - shown[None]
    return off


def _judge(belief: Belief, parts: PartsPrediction, moves: Array, after: _Leading) -> Array:
    """Give, for each outcome, the parts' chance after nothing, the moves, and moves put right.

    after has weights (o, c), means (o, c, n) of the causes, covs (c, j, j) of the parts; the
    result is (o, 4).
    """
    search = move_search(belief, parts, 0.0)
    centre = np.einsum("oc,ocn->on", after.weights, after.means)
    width = np.minimum(parts.high, -parts.low)
    reach = np.abs(centre)[:, None] * np.abs(parts.h) / width[:, None]
    asked = np.tile(moves, (len(centre), 1))
    candidates = np.stack(
        [
            np.zeros_like(centre),
            asked,
            search.possible(search.centring(centre, asked != 0)),
            search.possible(search.centring(centre, reach.max(axis=1) > _NOTICEABLE)),
        ],
        axis=1,
    )
    used = candidates != 0
    shifted = after.means[:, None] @ parts.h.T + (candidates @ parts.h.T)[:, :, None]
    added = np.tensordot(used.astype(np.float64), parts.reset, axes=1)
    spread = after.covs[None, None] + added[:, :, None]
    part = box_probability_quick(shifted, spread, parts.low, parts.high)
    sure = np.where(used, parts.sure, 1.0).prod(axis=-1)
    result: Array = (part * after.weights[:, None]).sum(axis=-1) * sure
    return result
