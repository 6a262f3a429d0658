"""Which sets of jumps explain the readings: weighed from all of them at once.

Sets of none, one and two are all weighed (of two: all that hold one of the most telling single
jumps, where there are very many). Larger ones are grown from the best as long as the evidence asks
for it: while the last size still holds weight, or while even the best explanation fits badly.
"""

from dataclasses import dataclass
from math import inf, log, sqrt

import numpy as np

from setupsheets.corrections.kalman import FilterState, Jump
from setupsheets.corrections.mixture import Mixture
from setupsheets.corrections.normal import Array, Indices

# Tried at half and double in the simulated shop (tests/benchmarks/tuning_constants.py): none makes
# a difference to 60 set-ups (seed 1), where two jumps at once are rare. Quoted is a bar set up 24
# times where much goes wrong (--recipe bar --rough): as is 3.04 pieces, 6.4 % bad parts, 0.16 s.
LARGEST = 7  # jumps in a set; half 3.00 pieces, 8.0 % bad, 0.12 s; double 6.5 % bad
_ALL_PAIRS_UP_TO = 48  # jumps of which all pairs are weighed; half and double as is
_SEEDS = 20  # best sets that are grown; half and double 6.3 % bad
_MANY_SEEDS = 60  # the same while even the best fits badly; half and double as is
_KEEP = 160  # sets kept at most; half and double as is
_ENOUGH = 1 - 1e-4  # share that offsets keep; half or double of the rest moves none by 2e-6 mm
_GROWTH = 1e-3  # share of a size below which none larger is tried; half and double as is
_FITS_WITHIN = 4.0  # standard deviations of chi-square that chance leaves; half and double as is


@dataclass(frozen=True, eq=False)
class Hypothesis:
    """A set of jumps (indices into the state's), their amounts (k), mm, and the misfit left."""

    jumps: tuple[int, ...]
    amounts: Array
    misfit: float


@dataclass(frozen=True, eq=False)
class _Scored:
    """All sets of one size: indices (m, k), their log weights (m) and misfits (m), best first."""

    sets: Indices
    scores: Array
    misfits: Array


def posterior_hypotheses(
    state: FilterState, enough: float = _ENOUGH
) -> tuple[tuple[Hypothesis, ...], Mixture, float]:
    """The sets of jumps that matter, best first, the state as they make it, and the weight lost.

    Sets are kept until they hold the share `enough`, up to a fixed number of them. The weight lost
    is the share of sets that were weighed but not kept; larger sets than those weighed hold less
    than the last size's share, which is below 0.001 unless LARGEST was reached.
    """
    levels = _grow(state, _SEEDS)
    if _best_fits_badly(state, levels):
        levels = _grow(state, _MANY_SEEDS)
    total = _log_sum(np.concatenate([level.scores for level in levels]))
    scored = [
        (score, tuple(row))
        for level in levels
        for score, row in zip(
            level.scores[:_KEEP].tolist(), level.sets[:_KEEP].tolist(), strict=True
        )
    ]
    ranked = sorted(scored, key=lambda pair: (-pair[0], pair[1]))[:_KEEP]
    weights = np.exp(np.array([score for score, _ in ranked]) - total)
    count = int(np.searchsorted(np.cumsum(weights), enough * weights.sum())) + 1
    weights = weights[:count]
    hypotheses, means, covs = _settle(state, [jumps for _, jumps in ranked[:count]])
    dropped = max(0.0, 1 - float(weights.sum()))
    return hypotheses, Mixture(weights / weights.sum(), means, covs), dropped


def fits_badly(misfit: float, count: int) -> bool:
    """Whether count readings have more misfit than scatter and reading error explain.

    The misfit is chi-square of count degrees where all is as believed: mean count, variance
    2 count.
    """
    return misfit > count + _FITS_WITHIN * sqrt(2 * count)


def _grow(state: FilterState, seeds: int) -> list[_Scored]:
    """Weigh sets of no, one, two ... jumps until larger ones hold no weight."""
    everything = np.array(
        [i for i, e in enumerate(state.jumps) if e.probability > 0 and e.sd > 0], dtype=np.intp
    )
    count = len(everything)
    levels = [_Scored(np.zeros((1, 0), dtype=np.intp), np.zeros(1), np.array([state.misfit]))]
    for size in range(1, min(LARGEST, count) + 1):
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
    score = state.score[sets]
    fit = (score * np.linalg.solve(information, score[..., None])[..., 0]).sum(axis=1)
    _, log_det = np.linalg.slogdet(information)
    scores = odds[sets].sum(axis=1) + (fit - log_det - log_variance) / 2
    order = np.argsort(-scores, kind="stable")
    return _Scored(sets[order], scores[order], (state.misfit - fit)[order])


def _log_odds(jump: Jump) -> float:
    return log(jump.probability / (1 - jump.probability)) if jump.probability > 0 else -inf


def _information(state: FilterState, sets: Indices) -> tuple[Array, Array]:
    """The information on each set's amounts (m, k, k) and its log prior variances (m)."""
    variance = np.array([jump.sd**2 if jump.sd > 0 else inf for jump in state.jumps])
    information = state.information[sets[:, :, None], sets[:, None, :]].copy()
    diagonal = np.arange(sets.shape[1])
    information[:, diagonal, diagonal] += 1 / variance[sets]
    return information, np.log(variance[sets]).sum(axis=1)


def _settle(
    state: FilterState, kept: list[tuple[int, ...]]
) -> tuple[tuple[Hypothesis, ...], Array, Array]:
    """The state's means and covariances if exactly these jumps happened, sets of a size at once."""
    means, covs = np.tile(state.mean, (len(kept), 1)), np.tile(state.cov, (len(kept), 1, 1))
    found = dict.fromkeys(range(len(kept)), Hypothesis((), np.zeros(0), state.misfit))
    for size in {len(jumps) for jumps in kept} - {0}:
        at = [i for i, jumps in enumerate(kept) if len(jumps) == size]
        sets = np.array([kept[i] for i in at], dtype=np.intp)
        spread = np.linalg.inv(_information(state, sets)[0])
        score, signature = state.score[sets], state.signature[:, sets].transpose(1, 0, 2)
        amounts = (spread @ score[..., None])[..., 0]
        means[at] += (signature @ amounts[..., None])[..., 0]
        covs[at] += signature @ spread @ signature.transpose(0, 2, 1)
        misfits = state.misfit - (score * amounts).sum(axis=1)
        for i, amount, misfit in zip(at, amounts, misfits.tolist(), strict=True):
            found[i] = Hypothesis(kept[i], amount, misfit)
    return tuple(found.values()), means, covs


def _best_fits_badly(state: FilterState, levels: list[_Scored]) -> bool:
    best = max(levels, key=lambda level: float(level.scores[0]))
    return fits_badly(float(best.misfits[0]), state.count)


def _log_sum(values: Array) -> float:
    top = float(values.max())
    return top + log(float(np.exp(values - top).sum()))
