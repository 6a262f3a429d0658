"""What a machine is remembered by: each setting's offset, learned from proven set-ups.

An offset is where the machine really stands when its scale or dial shows the figure aimed at, mm.
It is one quantity per machine and setting that wanders slowly with time, is thrown by events (a
fence re-aligned, a scale moved, a new insert), and is met afresh, with the scatter of setting, by
every set-up. One blundered set-up does not spoil it: each may be an outlier.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np

from setupsheets.corrections.belief import Belief
from setupsheets.corrections.causes import BLUNDER_SD, Cause, MethodSpread
from setupsheets.corrections.hypotheses import weigh
from setupsheets.corrections.track import Event, foresee, observe, shift, start


@dataclass(frozen=True)
class Proven:
    """A proven set-up's word on one offset: when (years, any origin), mean and sd in mm."""

    when: float
    mean: float
    sd: float


@dataclass(frozen=True)
class Thrown:
    """An event that throws an offset: when (years, same origin), and by about how much, mm."""

    when: float
    sd: float


@dataclass(frozen=True)
class Remembered:
    """What to expect of a setting at its next set-up.

    mean is the offset, sd its spread with the scatter of setting in it, offset_sd without it, mm;
    set_ups counts those that speak for it (since the last event), since is the earliest of them.
    """

    mean: float
    sd: float
    offset_sd: float
    set_ups: int
    since: float | None


@dataclass(frozen=True)
class Wander:
    """How an offset behaves: first_sd unknown machine, setting_sd per set-up, walk_sd per year."""

    first_sd: float
    setting_sd: float
    walk_sd: float = 0.05
    blunder_probability: float = 0.05
    blunder_sd: float = BLUNDER_SD


def wander_of(spread: MethodSpread, walk_sd: float = 0.05) -> Wander:
    """Give the wander for a way of setting: its scale may be off by what setting does not scatter.

    walk_sd is mm per root year, common practice, no source.
    """
    own = sqrt(max(spread.first**2 - spread.again**2, (spread.first / 4) ** 2))
    return Wander(first_sd=own, setting_sd=spread.again, walk_sd=walk_sd)


def remember(
    proven: Sequence[Proven], today: float, wander: Wander, events: Sequence[Thrown] = ()
) -> Remembered:
    """Give what to expect of a setting set today, from all proven set-ups up to today.

    Set-ups and events may come in any order; those after today are left out. Without any set-up
    the mean is nil and the spread that of a machine not known.
    """
    known = sorted((p for p in proven if p.when <= today), key=lambda p: (p.when, p.mean, p.sd))
    thrown = sorted((e for e in events if e.when <= today), key=lambda e: (e.when, e.sd))
    track = start(np.zeros(1), np.array([wander.first_sd**2]))
    before: float | None = None
    for number, one in enumerate(known):
        track = shift(track, np.zeros(1), np.array([_widened(before, one.when, wander, thrown)]))
        before = one.when
        slip = Event("misreading", "", number, wander.blunder_probability, wander.blunder_sd)
        track = foresee(track, (slip,), np.zeros((1, 1)))
        direct = np.zeros((1, number + 1))
        direct[0, number] = 1
        noise = np.array([one.sd**2 + wander.setting_sd**2])
        track = observe(track, np.ones((1, 1)), np.array([one.mean]), noise, direct)
    track = shift(track, np.zeros(1), np.array([_widened(before, today, wander, thrown)]))
    hypotheses, _ = weigh(track)
    weights = np.array([h.weight for h in hypotheses])
    means = np.array([h.mean[0] for h in hypotheses])
    variances = np.array([h.cov[0, 0] for h in hypotheses])
    mean = float(weights @ means)
    variance = float(weights @ (variances + (means - mean) ** 2))
    last = max((e.when for e in thrown), default=-np.inf)
    speaking = [p.when for p in known if p.when >= last]
    return Remembered(
        mean=mean,
        sd=sqrt(variance + wander.setting_sd**2),
        offset_sd=sqrt(variance),
        set_ups=len(speaking),
        since=min(speaking, default=None),
    )


def _widened(before: float | None, now: float, wander: Wander, events: Sequence[Thrown]) -> float:
    """Give the variance that time and events add to an offset between two dates, mm^2."""
    if before is None:
        return 0.0
    thrown = sum(e.sd**2 for e in events if before < e.when <= now)
    return wander.walk_sd**2 * (now - before) + thrown


def proven_offsets(belief: Belief) -> Mapping[str, tuple[float, float]]:
    """Give, by cause, the offset that a proven set-up has shown: mean and sd, mm.

    What the setting now stands off by, less what its figure was moved by since the first piece.
    """
    moved: dict[str, float] = {}
    for piece in belief.pieces:
        for name, amount in piece.moves.items():
            moved[name] = moved.get(name, 0.0) + amount
    return {
        c.name: (belief.mean(c.name) - moved.get(c.name, 0.0), belief.sd(c.name))
        for c in belief.causes
    }


def spread_of(cause: Cause, remembered: Remembered) -> tuple[float, float]:
    """Give prior mean and sd for a cause, no wider than it would be without any record, mm."""
    return remembered.mean, min(remembered.sd, cause.prior_sd) if remembered.set_ups == 0 else (
        remembered.sd
    )
