"""What machines are remembered by: their settings' offsets, learned together from proven set-ups.

An offset is where the machine really stands when its scale or dial shows the figure aimed at, mm.
It wanders slowly with time, is thrown by events (a fence re-aligned, a scale moved, a new insert),
and is met afresh, with the scatter of setting, by every set-up. One blundered set-up does not spoil
it. A set-up proves sums of offsets far better than each by itself: a length hangs on the stop and
on the blank. A reload of the same set-up needs those sums, so the covariance is kept.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np

from setupsheets.corrections.belief import Belief, Prior
from setupsheets.corrections.causes import BLUNDER_SD, Cause, MethodSpread
from setupsheets.corrections.hypotheses import posterior_hypotheses
from setupsheets.corrections.kalman import (
    FilterState,
    Jump,
    augment_jumps,
    initial_state,
    predict,
    update,
)
from setupsheets.corrections.normal import Array

RANDOM_WALK_SD = 0.03
"""How far an offset wanders in a year, mm per root year: common practice, no source."""


@dataclass(frozen=True, eq=False)
class OffsetEstimate:
    """A proven set-up's word on the offsets of its settings.

    when is in years from any origin; names, means (n) and cov (n, n) in mm.
    """

    when: float
    names: tuple[str, ...]
    means: Array
    cov: Array


@dataclass(frozen=True)
class RecalibrationEvent:
    """An event that throws one setting's offset: when (years, same origin), by about sd mm."""

    when: float
    name: str
    sd: float


@dataclass(frozen=True)
class DriftModel:
    """How an offset behaves: first_sd unknown machine, setting_sd per set-up, walk_sd per year."""

    first_sd: float
    setting_sd: float
    walk_sd: float = RANDOM_WALK_SD
    blunder_probability: float = 0.03
    blunder_sd: float = BLUNDER_SD


@dataclass(frozen=True, eq=False)
class OffsetPrior:
    """What to expect of settings at their next set-up.

    means (n) are the offsets, cov (n, n) their covariance with the scatter of setting in it, mm;
    set_ups counts, by name, those that speak for each (since its last event), and since gives the
    earliest of them.
    """

    names: tuple[str, ...]
    means: Array
    cov: Array
    set_ups: Mapping[str, int]
    since: Mapping[str, float]

    def mean(self, name: str) -> float:
        """Give one setting's offset, mm."""
        return float(self.means[self.names.index(name)])

    def sd(self, name: str) -> float:
        """Give how sure one setting's offset is at its next set-up, mm."""
        at = self.names.index(name)
        return sqrt(float(self.cov[at, at]))


def drift_model(spread: MethodSpread, walk_sd: float = RANDOM_WALK_SD) -> DriftModel:
    """Give the wander for a way of setting: the machine's own share is what does not scatter."""
    own = sqrt(max(spread.first**2 - spread.again**2, (spread.first / 4) ** 2))
    return DriftModel(first_sd=own, setting_sd=spread.again, walk_sd=walk_sd)


def wander_of_cause(cause: Cause, walk_sd: float = RANDOM_WALK_SD) -> DriftModel:
    """Give the wander for a cause as it is set without any record."""
    return DriftModel(
        first_sd=sqrt(max(cause.prior_sd**2 - cause.reset_sd**2, (cause.prior_sd / 4) ** 2)),
        setting_sd=cause.reset_sd,
        walk_sd=walk_sd,
        blunder_probability=cause.blunder_probability,
        blunder_sd=cause.blunder_sd,
    )


def offset_prior(
    proven: Sequence[OffsetEstimate],
    today: float,
    wanders: Mapping[str, DriftModel],
    events: Sequence[RecalibrationEvent] = (),
) -> OffsetPrior:
    """Give what to expect of the settings in wanders, set today, from set-ups up to today.

    Set-ups and events may come in any order; those after today, and settings that are not in
    wanders, are left out. Without any set-up the means are nil and the spread that of machines
    not known.
    """
    names = tuple(wanders)
    known = sorted((p for p in proven if p.when <= today), key=_order)
    thrown = [e for e in events if e.when <= today]
    state = initial_state(np.zeros(len(names)), np.diag([w.first_sd**2 for w in wanders.values()]))
    before: float | None = None
    for number, one in enumerate(known):
        state = predict(state, np.zeros(len(names)), _widened(before, one.when, wanders, thrown))
        state = _learn(state, one, number, wanders)
        before = one.when
    state = predict(state, np.zeros(len(names)), _widened(before, today, wanders, thrown))
    hypotheses, _ = posterior_hypotheses(state)
    weights = np.array([h.weight for h in hypotheses])
    centres = np.array([h.mean for h in hypotheses])
    means: Array = weights @ centres
    off = centres - means
    cov = np.tensordot(weights, np.array([h.cov for h in hypotheses]), axes=1)
    cov = cov + (off.T * weights) @ off + np.diag([w.setting_sd**2 for w in wanders.values()])
    speaking = {name: _speaking(name, known, thrown) for name in names}
    return OffsetPrior(
        names=names,
        means=means,
        cov=(cov + cov.T) / 2,
        set_ups={name: len(when) for name, when in speaking.items()},
        since={name: min(when) for name, when in speaking.items() if when},
    )


def offset_estimate(belief: Belief, when: float) -> OffsetEstimate:
    """Give what a proven set-up has shown of its offsets.

    An offset is what the setting now stands off by, less what its figure was moved by since the
    first piece; the covariance is that of the whole mixture.
    """
    moved = np.array([sum(p.moves.get(c.name, 0.0) for p in belief.pieces) for c in belief.causes])
    mean = belief.weights @ belief.means
    off = belief.means - mean
    cov = np.tensordot(belief.weights, belief.covs, axes=1) + (off.T * belief.weights) @ off
    return OffsetEstimate(when, tuple(c.name for c in belief.causes), mean - moved, cov)


def prior_of(causes: Sequence[Cause], remembered: OffsetPrior) -> Prior:
    """Give the prior for set-ups whose figures have the remembered offsets put into them.

    Causes that are not remembered keep their own prior.
    """
    mean = np.array([c.prior_mean for c in causes])
    cov = np.diag([c.prior_sd**2 for c in causes])
    at = [i for i, c in enumerate(causes) if c.name in remembered.names]
    there = [remembered.names.index(causes[i].name) for i in at]
    mean[at] = 0.0
    cov[np.ix_(at, at)] = remembered.cov[np.ix_(there, there)]
    return Prior(mean, cov)


def _order(one: OffsetEstimate) -> tuple[float, tuple[str, ...], tuple[float, ...]]:
    return one.when, one.names, tuple(one.means.tolist())


def _learn(
    state: FilterState, one: OffsetEstimate, number: int, wanders: Mapping[str, DriftModel]
) -> FilterState:
    """Take in one set-up; any of its settings may have been blundered at the time."""
    names = tuple(wanders)
    at = [i for i, name in enumerate(one.names) if name in wanders]
    if not at:
        return state
    behaviour = [wanders[one.names[i]] for i in at]
    rows = np.zeros((len(at), len(names)))
    rows[range(len(at)), [names.index(one.names[i]) for i in at]] = 1
    blunders = tuple(
        Jump("blunder", one.names[i], number, w.blunder_probability, w.blunder_sd)
        for i, w in zip(at, behaviour, strict=True)
    )
    first = len(state.jumps)
    state = augment_jumps(state, blunders, np.zeros((len(names), len(blunders))))
    direct = np.zeros((len(at), len(state.jumps)))
    direct[range(len(at)), range(first, first + len(at))] = 1
    noise = one.cov[np.ix_(at, at)] + np.diag([w.setting_sd**2 for w in behaviour])
    return update(state, rows, one.means[at], noise, direct)


def _widened(
    before: float | None,
    now: float,
    wanders: Mapping[str, DriftModel],
    events: Sequence[RecalibrationEvent],
) -> Array:
    """Give the variances that time and events add to the offsets between two dates, mm^2."""
    if before is None:
        return np.zeros(len(wanders))
    return np.array(
        [
            w.walk_sd**2 * (now - before)
            + sum(e.sd**2 for e in events if e.name == name and before < e.when <= now)
            for name, w in wanders.items()
        ]
    )


def _speaking(
    name: str, known: Sequence[OffsetEstimate], events: Sequence[RecalibrationEvent]
) -> list[float]:
    """Give the dates of the set-ups that speak for a setting: those since its last event."""
    last = max((e.when for e in events if e.name == name), default=float("-inf"))
    return [p.when for p in known if name in p.names and p.when >= last]
