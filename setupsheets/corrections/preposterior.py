"""Whether measuring the last piece again would tell enough, before any more wood is cut.

Source of the method: preposterior analysis (H. Raiffa and R. Schlaifer, Applied Statistical
Decision Theory, 1961): outcomes of the readings are drawn from what is believed now, and for each
the moves that would then be best are judged. The draws are a fixed lattice.
"""

from collections.abc import Sequence

import numpy as np
from msgspec import Struct

from setupsheets.corrections.belief import Belief
from setupsheets.corrections.filtering import rounding_key
from setupsheets.corrections.mixture import Mixture
from setupsheets.corrections.normal import Array, box_probability_quick, lattice, quantile
from setupsheets.corrections.observations import InstrumentModel, Reading
from setupsheets.corrections.prediction import PartsPrediction
from setupsheets.corrections.search import move_search

# Common practice, no source: enough of each that the answer hardly changes with more.
_DRAWS = 24  # outcomes
_SHARE = 0.98  # of the weight that is looked at
_MOST_HYPOTHESES = 6  # looked at
_TELLING = 0.8  # share of what all readings would tell
_NOTICEABLE = 0.35  # error in tolerances that is put right


class ReadingOption(Struct, frozen=True):
    """A reading that can be taken (again) from the last piece; of its blank by the cause's name."""

    measurement: str
    instrument: InstrumentModel
    pieces: int = 1
    blank: bool = False


class ExpectedInformation(Struct, frozen=True):
    """What readings would be worth: the parts' chance after them on average, and now.

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
    """What the most telling of the readings on offer are worth; None where none is on offer."""
    if not options or not belief.pieces:
        return None
    chosen = _most_telling(belief, parts, options)
    chances = _chances_after(belief, parts, moves, chosen)
    return ExpectedInformation(
        options=chosen,
        after=float(chances.max(axis=1).mean()),
        now=float(chances[:, :2].mean(axis=0).max()),
        enough=float((chances.max(axis=1) >= threshold).mean()),
    )


def _rows(belief: Belief, options: Sequence[ReadingOption]) -> tuple[Array, Array]:
    """The rows (r, s) of the state that the readings show, and their variances (r)."""
    run = belief.run
    rows, variance = [], []
    for option in options:
        tool = option.instrument
        if option.blank:
            cause = option.measurement
            rows.append(run.unit(("cause", cause)) + run.unit(("blank", cause, "0")))
            variance.append(tool.uncertainty**2)
            continue
        key = rounding_key(Reading(option.measurement, 0.0, tool, option.pieces))
        measured = belief.measurement(option.measurement)
        rows.append(run.row(measured, min(option.pieces, run.copies)) + run.unit(key))
        variance.append(tool.own_variance if key in run.places else tool.uncertainty**2)
    return np.array(rows), np.array(variance)


def _most_telling(
    belief: Belief, parts: PartsPrediction, options: Sequence[ReadingOption]
) -> tuple[ReadingOption, ...]:
    """Choose, one by one, the readings that narrow the parts' deviations most against tolerance.

    Judged on the covariance of the whole mixture, until the chosen ones do most of what all do.
    """
    rows, variance = _rows(belief, options)
    cov = belief.state.cov
    gauge = parts.h / parts.tolerance[:, None]
    gains: list[float] = []
    order: list[int] = []
    left = list(range(len(options)))
    while left:
        crossed = cov @ rows[left].T
        spread = np.einsum("ri,ir->r", rows[left], crossed) + variance[left]
        told = ((gauge @ crossed[: len(belief.causes)]) ** 2).sum(axis=0) / spread
        top = int(np.argmax(told))
        gains.append(float(told[top]))
        order.append(left.pop(top))
        cov = cov - np.outer(crossed[:, top], crossed[:, top]) / spread[top]
    total = np.cumsum(gains)
    count = int(np.searchsorted(total, _TELLING * total[-1])) + 1
    return tuple(options[i] for i in sorted(order[:count]))


def _chances_after(
    belief: Belief, parts: PartsPrediction, moves: Array, options: tuple[ReadingOption, ...]
) -> Array:
    """Draw outcomes of the readings and judge the moves that would be best after each: (o, 4)."""
    rows, variance = _rows(belief, options)
    leading = belief.state.leading(_SHARE, _MOST_HYPOTHESES)
    spread = rows @ leading.covs @ rows.T + np.diag(variance)
    weights, solved = weighed(leading.weights, drawn(leading, rows, spread), spread)
    errors = leading.first(len(belief.causes))
    crossed = leading.covs[:, : len(belief.causes)] @ rows.T
    means = errors.means + np.einsum("cnr,ocr->ocn", crossed, solved)
    told = parts.h @ crossed
    before = parts.deviations.covs[: len(told)]
    covs = before - told @ np.linalg.solve(spread, told.transpose(0, 2, 1))
    return _judge(belief, parts, moves, Mixture(weights, means, covs))


def drawn(leading: Mixture, rows: Array, spread: Array) -> Array:
    """Draw outcomes of the readings: how far each is off what each hypothesis expects (o, c, r)."""
    shown = leading.means @ rows.T
    levels = (np.arange(_DRAWS) + 0.5) / _DRAWS
    which = np.searchsorted(np.cumsum(leading.weights), levels)
    which = np.minimum(which, len(leading.weights) - 1)
    normal = quantile(lattice(_DRAWS, len(rows)).T)
    outcomes = shown[which] + (np.linalg.cholesky(spread)[which] @ normal[..., None])[..., 0]
    off: Array = outcomes[:, None] - shown[None]
    return off


def weighed(weights: Array, off: Array, spread: Array) -> tuple[Array, Array]:
    """What hypotheses weigh (o, c) once readings lie off (o, c, r) what each expects, within its
    spread (c, r, r): Bayes' theorem. And by what of each reading its causes are then corrected."""
    solved: Array = np.linalg.solve(spread[None], off[..., None]).astype(np.float64)[..., 0]
    _, log_det = np.linalg.slogdet(spread)
    log_weight = np.log(weights) - ((off * solved).sum(axis=-1) + log_det) / 2
    likely = np.exp(log_weight - log_weight.max(axis=1, keepdims=True))
    after: Array = likely / likely.sum(axis=1, keepdims=True)
    return after, solved


def _judge(belief: Belief, parts: PartsPrediction, moves: Array, after: Mixture) -> Array:
    """For each outcome, the parts' chance after nothing, the moves, and moves put right: (o, 4).

    after has weights (o, c), means (o, c, n) of the causes, covs (c, j, j) of the parts.
    """
    search = move_search(belief, parts, 0.0)
    centre = np.einsum("oc,ocn->on", after.weights, after.means)
    reach = np.abs(centre)[:, None] * np.abs(parts.h) / parts.tolerance[:, None]
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
    return chances_after(parts, after, candidates)


def chances_after(parts: PartsPrediction, after: Mixture, candidates: Array) -> Array:
    """The parts' chance (o, b) for each outcome after each of its candidate moves (o, b, n).

    after has weights (o, c), means (o, c, n) of the causes, covs (c, j, j) of the parts.
    """
    shifted = after.means[:, None] @ parts.h.T + (candidates @ parts.h.T)[:, :, None]
    spread = after.covs[None, None] + parts.added(candidates, len(after.covs))
    part = box_probability_quick(shifted, spread, parts.low, parts.high)
    chances: Array = (part * after.weights[:, None]).sum(axis=-1) * parts.go_right(candidates)
    return chances
