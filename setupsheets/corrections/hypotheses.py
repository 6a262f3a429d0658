"""Which sets of jumps explain the readings: weighed from all of them at once.

Sets of none, one and two are all weighed (of two: all that hold one of the most telling single
jumps, where there are very many). Larger ones are grown from the best as long as the evidence asks
for it: while the last size still holds weight, or while even the best explanation fits badly.

A state may hold several filters, one for each way in which the shop may be rougher than its files
say. The sets that matter are found under two of them, the likeliest before any reading and the
likeliest by the readings, and weighed under all.
"""

from collections.abc import Sequence
from math import inf, log, pi, sqrt

import numpy as np
from msgspec import Struct

from setupsheets.corrections.kalman import FilterState, Jump
from setupsheets.corrections.mixture import Mixture
from setupsheets.corrections.normal import Array, Indices

# They trade time for sets of jumps that hardly ever matter.
LARGEST = 7  # jumps in a set
_ALL_PAIRS_UP_TO = 48  # jumps of which all pairs are weighed
_SEEDS = 20  # best sets that are grown
_MANY_SEEDS = 60  # the same while even the best fits badly
_KEEP = 160  # sets kept at most
_ENOUGH = 1 - 1e-4  # share that offsets keep
_GROWTH = 1e-3  # share of a size below which none larger is tried
_FITS_WITHIN = 4.0  # standard deviations of chi-square that chance leaves
_SINGLE = 2  # sets of fewer jumps are weighed under every filter
_ON_A_MARK = 0.75  # share of misreadings that are by a whole mark: common practice, no source
_LEAST_TOLD = 1e-6  # so that a jump of which nothing is known divides nothing
_TINY = 1e-300


class Hypothesis(Struct, frozen=True, eq=False):
    """A set of jumps (indices into the state's), their amounts (k), mm, and the misfit left.

    shop is the place of the filter among those of the state.
    """

    jumps: tuple[int, ...]
    amounts: Array
    misfit: float
    shop: int = 0


class _Scored(Struct, frozen=True, eq=False):
    """All sets of one size: indices (m, k), their log weights (m) and misfits (m), best first."""

    sets: Indices
    scores: Array
    misfits: Array


def posterior_hypotheses(
    state: FilterState, enough: float = _ENOUGH, prior: Array | None = None
) -> tuple[tuple[Hypothesis, ...], Mixture, float]:
    """The sets of jumps that matter, best first, the state as they make it, and the weight lost.

    prior (g) are the chances of the state's filters before any reading. Sets are kept until they
    hold the share `enough`, up to a fixed number of them. The weight lost is the share of sets that
    were weighed but not kept; larger sets than those weighed hold less than the last size's share,
    which is below 0.001 unless LARGEST was reached.
    """
    if state.mean.ndim == 1:
        state = state.filter(None)
    prior = np.ones(1) if prior is None else prior
    weighed = [_weigh(state, sets, prior) for sets in _sets_that_matter(state, prior)]
    scores = np.concatenate([one.scores.ravel() for one in weighed])
    order = np.argsort(-scores, kind="stable")[:_KEEP]
    weights = np.exp(scores[order] - _log_sum(scores))
    count = int(np.searchsorted(np.cumsum(weights), enough * weights.sum())) + 1
    weights = weights[:count]
    ends = np.cumsum([one.scores.size for one in weighed])
    groups = np.searchsorted(ends, order[:count], side="right")
    found = [
        weighed[group].settled(place - (ends[group] - weighed[group].scores.size))
        for group, place in zip(groups.tolist(), order[:count].tolist(), strict=True)
    ]
    means = np.array([mean for _, mean, _ in found])
    covs = np.array([cov for *_, cov in found])
    dropped = max(0.0, 1 - float(weights.sum()))
    return tuple(one for one, *_ in found), Mixture(weights / weights.sum(), means, covs), dropped


def fits_badly(misfit: float, count: int) -> bool:
    """Whether count readings have more misfit than scatter and reading error explain.

    The misfit is chi-square of count degrees where all is as believed: mean count, variance
    2 count.
    """
    return misfit > count + _FITS_WITHIN * sqrt(2 * count)


def _sets_that_matter(state: FilterState, prior: Array) -> list[Indices]:
    """The sets to weigh under every filter, (m, k) for each size k; none and all single ones in."""
    if not state.jumps:
        return [np.zeros((1, 0), dtype=np.intp)]
    by_readings = int(np.argmax(np.log(prior) + state.log_likelihood))
    found: dict[int, list[Indices]] = {}
    for shop in dict.fromkeys((int(np.argmax(prior)), by_readings)):
        alone = state.filter(shop)
        levels = _grow(alone, _SEEDS)
        if _best_fits_badly(alone, levels):
            levels = _grow(alone, _MANY_SEEDS, levels[:_SINGLE])
        scores = np.sort(np.concatenate([level.scores for level in levels]))
        least = scores[-min(_KEEP, len(scores))]
        for size, level in enumerate(levels):
            kept = level.sets if size < _SINGLE else level.sets[level.scores >= least]
            found.setdefault(size, []).append(kept)
    return [_each_once(np.concatenate(sets)) for sets in found.values() if len(sets[0])]


def _each_once(sets: Indices) -> Indices:
    """Sets of one size in order, each once; asked for places too, numpy loads none of its masks."""
    return np.unique(sets, axis=0, return_index=True)[0]


def _grow(state: FilterState, seeds: int, begun: Sequence[_Scored] = ()) -> list[_Scored]:
    """Weigh sets of no, one, two ... jumps until larger ones hold no weight; begun are the first
    sizes where they are weighed already."""
    everything = np.array(
        [i for i, e in enumerate(state.jumps) if e.probability > 0 and e.sd > 0], dtype=np.intp
    )
    count = len(everything)
    none = _Scored(np.zeros((1, 0), dtype=np.intp), np.zeros(1), state.misfit[None])
    levels = [*begun] or [none]
    for size in range(len(levels), min(LARGEST, count) + 1):
        wide = size <= 2 and count <= _ALL_PAIRS_UP_TO
        chosen = levels[-1].sets[: count if wide else seeds]
        levels.append(_score(state, _extend(chosen, everything)))
        total = _log_sum(np.concatenate([level.scores for level in levels]))
        share = np.exp(_log_sum(levels[-1].scores) - total)
        if size > 2 and share < _GROWTH and not _best_fits_badly(state, levels):
            break
    return levels


def _extend(seeds: Indices, everything: Indices) -> Indices:
    """Add every further jump to every seed; each set once, in order."""
    many = len(everything)
    added = np.hstack([np.repeat(seeds, many, axis=0), np.tile(everything, len(seeds))[:, None]])
    added.sort(axis=1)
    added = added[(np.diff(added, axis=1) > 0).all(axis=1)]
    code = added @ ((everything.max() + 1) ** np.arange(added.shape[1]))
    return added[np.unique(code, return_index=True)[1]]


def _score(state: FilterState, sets: Indices) -> _Scored:
    """Each set's log weight: chances times likelihood (matrix determinant lemma)."""
    odds = np.array([_log_odds(jump) for jump in state.jumps])
    information, log_variance = _information(state, sets)
    fit, log_det = _fit(information, state.score[sets.T])
    scores = odds[sets].sum(axis=1) + (fit - log_det - log_variance) / 2
    order = np.argsort(-scores, kind="stable")
    return _Scored(sets[order], scores[order], (state.misfit - fit)[order])


def _fit(information: Array, score: Array) -> tuple[Array, Array]:
    """score' information^-1 score (m) and the logarithm of the determinant (m): matrices
    (k, k, m), scores (k, m), by elimination from all at once. LAPACK would be called for each of
    some hundreds of tiny ones."""
    fit, log_det = np.zeros(score.shape[-1]), np.zeros(score.shape[-1])
    while len(score):
        pivot = information[0, 0]
        share = information[1:, 0] / pivot
        fit += score[0] ** 2 / pivot
        log_det += np.log(pivot)
        score = score[1:] - share * score[0]
        information = information[1:, 1:] - share[:, None] * information[0, 1:]
    return fit, log_det


def _log_odds(jump: Jump) -> float:
    return log(jump.probability / (1 - jump.probability)) if jump.probability > 0 else -inf


def _information(state: FilterState, sets: Indices) -> tuple[Array, Array]:
    """The information on each set's amounts (..., k, k, m) and its log prior variances (m)."""
    which = np.ascontiguousarray(sets.T)
    variance = np.array([jump.sd**2 if jump.sd > 0 else inf for jump in state.jumps])[which]
    information = state.information[..., which[:, None], which]
    diagonal = np.arange(sets.shape[1])
    information[..., diagonal, diagonal, :] += 1 / variance
    return information, np.log(variance).sum(axis=0)


class _Weighed(Struct, frozen=True, eq=False):
    """Sets of one size (m, k) under every filter: log weights (g, m), and their jumps' amounts."""

    state: FilterState
    sets: Indices
    scores: Array
    amounts: Array
    spread: Array
    misfits: Array

    def settled(self, place: int) -> tuple[Hypothesis, Array, Array]:
        """The state's mean and covariance if one of them happened, by its place among all."""
        shop, row = divmod(place, len(self.sets))
        jumps, amounts = self.sets[row], self.amounts[shop, row]
        misfit = float(self.misfits[shop, row])
        if not len(jumps):
            none = Hypothesis((), amounts, misfit, shop)
            return none, self.state.mean[shop], self.state.cov[shop]
        signature = self.state.signature[shop][:, jumps]
        mean = self.state.mean[shop] + signature @ amounts
        cov = self.state.cov[shop] + signature @ self.spread[shop, row] @ signature.T
        return Hypothesis(tuple(jumps.tolist()), amounts, misfit, shop), mean, cov


def _weigh(state: FilterState, sets: Indices, prior: Array) -> _Weighed:
    """Weigh sets of one size (m, k) under every filter."""
    odds = np.array([_log_odds(jump) for jump in state.jumps])
    information, log_variance = _information(state, sets)
    information = np.moveaxis(information, -1, -3)
    spread = np.asarray(np.linalg.inv(information), dtype=np.float64)
    score = state.score[:, sets]
    amounts: Array = (spread @ score[..., None])[..., 0]
    fit = (score * amounts).sum(axis=-1)
    _, log_det = np.linalg.slogdet(information)
    own = odds[sets].sum(axis=1) - log_variance / 2
    scores = own + (fit - log_det) / 2 + (np.log(prior) + state.log_likelihood)[:, None]
    for column in range(sets.shape[1]):
        marked = {i: len(state.jumps[i].marks) for i in sets[:, column].tolist()}
        for count in sorted({count for count in marked.values() if count}):
            rows = [row for row, i in enumerate(sets[:, column].tolist()) if marked[i] == count]
            jumps = [state.jumps[i] for i in sets[rows, column]]
            known = amounts[:, rows, column], spread[:, rows, column, column]
            scores[:, rows] += _speaks_for_marks(jumps, *known)
    return _Weighed(state, sets, scores, amounts, spread, state.misfit[:, None] - fit)


def _speaks_for_marks(jumps: list[Jump], amounts: Array, variance: Array) -> Array:
    """How much more (log) the readings speak for whole marks than for the wide bell: (g, m).

    amounts and variance (g, m) are the jumps' posterior; its likelihood is what that holds beyond
    the wide prior. _ON_A_MARK of the misreadings, and of the moves that nobody told of, are by one
    of their marks (common practice, no source).
    """
    wide, other = (np.array([getattr(j, name) for j in jumps]) ** 2 for name in ("sd", "other_sd"))
    marks = np.array([jump.marks for jump in jumps])
    told = np.maximum(1 - variance / wide, _LEAST_TOLD)
    variance, centre = variance / told, amounts / told
    near = variance + np.array([jump.mark_sd for jump in jumps]) ** 2
    sides = np.concatenate([marks, -marks], axis=-1)
    whole = _density(centre[..., None] - sides, near[..., None]).mean(axis=-1)
    rest = _density(centre, variance + other)
    bell = np.maximum(_density(centre, variance + wide), _TINY)
    speaks: Array = np.log((_ON_A_MARK * whole + (1 - _ON_A_MARK) * rest) / bell + _TINY)
    return speaks


def _density(off: Array, variance: Array) -> Array:
    density: Array = np.exp(-(off**2) / (2 * variance)) / np.sqrt(2 * pi * variance)
    return density


def _best_fits_badly(state: FilterState, levels: list[_Scored]) -> bool:
    best = max(levels, key=lambda level: float(level.scores[0]))
    return fits_badly(float(best.misfits[0]), state.count)


def _log_sum(values: Array) -> float:
    top = float(values.max())
    return top + log(float(np.exp(values - top).sum()))
