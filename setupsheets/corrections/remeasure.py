"""Whether measuring the last piece again would tell enough, before any more wood is cut.

Source of the method: preposterior analysis (H. Raiffa and R. Schlaifer, Applied Statistical
Decision Theory, 1961): outcomes of the readings are drawn from what is believed now, and for each
the moves that would then be best are judged. The draws are a fixed lattice.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from setupsheets.corrections.belief import Belief
from setupsheets.corrections.intake import (
    has_shared_rounding,
    own_variance,
    rounding_key,
)
from setupsheets.corrections.normal import Array, box_probability_quick, lattice, quantile
from setupsheets.corrections.outlook import Outlook
from setupsheets.corrections.readings import Instrument, Reading
from setupsheets.corrections.search import prepare_search

_DRAWS = 24
_SHARE = 0.98
_MOST_HYPOTHESES = 6
_TELLING = 0.8
_NOTICEABLE = 0.35


@dataclass(frozen=True)
class Option:
    """A reading that can be taken (again) from the last piece."""

    measurement: str
    instrument: Instrument
    pieces: int = 1


@dataclass(frozen=True)
class Promise:
    """What readings promise: the parts' chance after them on average, now, and of being enough.

    enough is the chance that parts can be cut after these readings.
    """

    options: tuple[Option, ...]
    after: float
    now: float
    enough: float


def promise(
    belief: Belief, outlook: Outlook, moves: Array, options: Sequence[Option], threshold: float
) -> Promise | None:
    """Give what the most telling of the readings on offer promise; None where none is on offer."""
    if not options or not belief.pieces:
        return None
    chosen = _most_telling(belief, outlook, options)
    return _foretell(belief, outlook, moves, chosen, threshold)


def _rows(belief: Belief, options: Sequence[Option]) -> tuple[Array, Array]:
    """Give the rows (r, s) of the state that the readings show, and their variances (r)."""
    places = belief.intake.places
    rows, variance = [], []
    for option in options:
        key = rounding_key(Reading(option.measurement, 0.0, option.instrument, option.pieces))
        pieces = min(option.pieces, places.copies)
        rows.append(places.row(belief.measurement(option.measurement), pieces) + places.unit(key))
        known = has_shared_rounding(option.instrument) and key in places.of
        own = own_variance(option.instrument)
        variance.append(own if known else option.instrument.uncertainty**2)
    return np.array(rows), np.array(variance)


def _most_telling(
    belief: Belief, outlook: Outlook, options: Sequence[Option]
) -> tuple[Option, ...]:
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
    width = np.minimum(outlook.high, -outlook.low)
    gauge = outlook.h / width[:, None]
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
    outlook: Outlook,
    moves: Array,
    options: tuple[Option, ...],
    threshold: float,
) -> Promise:
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
    told = outlook.h @ lean
    covs = outlook.covs[: len(lean)] - told @ np.linalg.solve(spread, told.transpose(0, 2, 1))
    chances = _judge(belief, outlook, moves, _Leading(weights, means, covs))
    return Promise(
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


def _judge(belief: Belief, outlook: Outlook, moves: Array, after: _Leading) -> Array:
    """Give, for each outcome, the parts' chance after nothing, the moves, and moves put right.

    after has weights (o, c), means (o, c, n) of the causes, covs (c, j, j) of the parts; the
    result is (o, 4).
    """
    search = prepare_search(belief, outlook, 0.0)
    centre = np.einsum("oc,ocn->on", after.weights, after.means)
    width = np.minimum(outlook.high, -outlook.low)
    reach = np.abs(centre)[:, None] * np.abs(outlook.h) / width[:, None]
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
    shifted = after.means[:, None] @ outlook.h.T + (candidates @ outlook.h.T)[:, :, None]
    added = np.tensordot(used.astype(np.float64), outlook.reset, axes=1)
    spread = after.covs[None, None] + added[:, :, None]
    part = box_probability_quick(shifted, spread, outlook.low, outlook.high)
    sure = np.where(used, outlook.sure, 1.0).prod(axis=-1)
    result: Array = (part * after.weights[:, None]).sum(axis=-1) * sure
    return result
