"""Which sets of jumps explain the readings: weighed from all of them at once.

Sets of none, one and two are all weighed (of two: all that hold one of the most telling single
jumps, where there are very many). Larger ones are grown from the best as long as the evidence asks
for it: while the last size still holds weight, or while even the best explanation fits badly.
"""

from dataclasses import dataclass
from math import inf, log, sqrt

import numpy as np

from setupsheets.corrections.kalman import FilterState, Jump
from setupsheets.corrections.normal import Array, Indices

LARGEST = 7
_ALL_PAIRS_UP_TO = 48
_SEEDS = 20
_MANY_SEEDS = 60
_KEEP = 160
_ENOUGH = 1 - 1e-4
_GROWTH = 1e-3
_FITS_WITHIN = 4.0


@dataclass(frozen=True, eq=False)
class Hypothesis:
    """A set of jumps (indices into the state's), its weight, and what it makes of the state.

    mean (n) and cov (n, n) are the state's; amounts (k) and spread (k) those of the jumps, mm.
    """

    jumps: tuple[int, ...]
    weight: float
    mean: Array
    cov: Array
    amounts: Array
    spread: Array
    misfit: float


@dataclass(frozen=True, eq=False)
class _Scored:
    """All sets of one size: indices (m, k), their log weights (m) and misfits (m), best first."""

    sets: Indices
    scores: Array
    misfits: Array

    def best(self, count: int) -> "_Scored":
        """Give the first sets."""
        return _Scored(self.sets[:count], self.scores[:count], self.misfits[:count])


def posterior_hypotheses(
    state: FilterState, enough: float = _ENOUGH
) -> tuple[tuple[Hypothesis, ...], float]:
    """Give the sets of jumps that matter, best first with weights that sum to 1, and what is lost.

    Sets are kept until they hold the share `enough`, up to a fixed number of them. The second
    value is the share of weight in sets that were weighed but not kept; larger sets than those
    weighed hold less than the last size's share, which is below 0.001 unless LARGEST was reached.
    """
    levels = _grow(state, _SEEDS)
    if _best_fits_badly(state, levels):
        levels = _grow(state, _MANY_SEEDS)
    total = _log_sum(np.concatenate([level.scores for level in levels]))
    leading = [level.best(_KEEP) for level in levels]
    pairs = [
        (score, tuple(row))
        for level in leading
        for score, row in zip(level.scores.tolist(), level.sets.tolist(), strict=True)
    ]
    ranked = sorted(pairs, key=lambda pair: (-pair[0], pair[1]))[:_KEEP]
    weights = np.exp(np.array([score for score, _ in ranked]) - total)
    count = int(np.searchsorted(np.cumsum(weights), enough * weights.sum())) + 1
    weights = weights[:count]
    dropped = max(0.0, 1 - float(weights.sum()))
    kept = [jumps for _, jumps in ranked[:count]]
    return _settle(state, kept, weights / weights.sum()), dropped


def _grow(state: FilterState, seeds: int) -> list[_Scored]:
    """Weigh sets of nil, one, two ... jumps until larger ones hold no weight."""
    everything = np.array(
        [i for i, e in enumerate(state.jumps) if e.probability > 0 and e.sd > 0], dtype=np.intp
    )
    count = len(everything)
    levels = [_Scored(np.zeros((1, 0), dtype=np.intp), np.zeros(1), np.array([state.misfit]))]
    for size in range(1, min(LARGEST, count) + 1):
        wide = size <= 2 and count <= _ALL_PAIRS_UP_TO
        chosen = levels[-1].best(count if wide else seeds).sets
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
    """Give each set's log weight: chances times likelihood (matrix determinant lemma)."""
    odds = np.array([_log_odds(e) for e in state.jumps])
    inner, log_variance = _inner(state, sets)
    score = state.score[sets]
    fit = (score * np.linalg.solve(inner, score[..., None])[..., 0]).sum(axis=1)
    _, log_det = np.linalg.slogdet(inner)
    scores = odds[sets].sum(axis=1) + (fit - log_det - log_variance) / 2
    order = np.argsort(-scores, kind="stable")
    return _Scored(sets[order], scores[order], (state.misfit - fit)[order])


def _log_odds(jump: Jump) -> float:
    return log(jump.probability / (1 - jump.probability)) if jump.probability > 0 else -inf


def _inner(state: FilterState, sets: Indices) -> tuple[Array, Array]:
    """Give the information on each set's amounts (m, k, k) and its log prior variances (m)."""
    variance = np.array([e.sd**2 if e.sd > 0 else inf for e in state.jumps])
    inner = state.information[sets[:, :, None], sets[:, None, :]].copy()
    diagonal = np.arange(sets.shape[1])
    inner[:, diagonal, diagonal] += 1 / variance[sets]
    return inner, np.log(variance[sets]).sum(axis=1)


def _settle(
    state: FilterState, kept: list[tuple[int, ...]], weights: Array
) -> tuple[Hypothesis, ...]:
    """Give the state as it is if exactly these jumps happened, all sets of one size at once."""
    found: dict[tuple[int, ...], Hypothesis] = {}
    weight_of = dict(zip(kept, weights.tolist(), strict=True))
    for size in {len(jumps) for jumps in kept}:
        group = [jumps for jumps in kept if len(jumps) == size]
        if not size:
            nothing = np.zeros(0)
            found[()] = Hypothesis(
                (), weight_of[()], state.mean, state.cov, nothing, nothing, state.misfit
            )
            continue
        sets = np.array(group, dtype=np.intp)
        spread = np.linalg.inv(_inner(state, sets)[0])
        score, signature = state.score[sets], state.signature[:, sets].transpose(1, 0, 2)
        amounts = (spread @ score[..., None])[..., 0]
        means = state.mean + (signature @ amounts[..., None])[..., 0]
        covs = state.cov + signature @ spread @ signature.transpose(0, 2, 1)
        sds = np.sqrt(np.diagonal(spread, axis1=1, axis2=2))
        misfits = state.misfit - (score * amounts).sum(axis=1)
        for i, jumps in enumerate(group):
            found[jumps] = Hypothesis(
                jumps, weight_of[jumps], means[i], covs[i], amounts[i], sds[i], float(misfits[i])
            )
    return tuple(found[jumps] for jumps in kept)


def fits_badly(misfit: float, count: int) -> bool:
    """Whether count readings have more misfit than scatter and reading error explain.

    The misfit is chi-square of count degrees where all is as believed: mean count, variance
    2 count.
    """
    return misfit > count + _FITS_WITHIN * sqrt(2 * count)


def _best_fits_badly(state: FilterState, levels: list[_Scored]) -> bool:
    best = max(levels, key=lambda level: float(level.scores[0]))
    return fits_badly(float(best.misfits[0]), state.count)


def _log_sum(values: Array) -> float:
    top = float(values.max())
    return top + log(float(np.exp(values - top).sum()))
