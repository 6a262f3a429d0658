"""What a machine is remembered by: one setting's offset, learned from proven set-ups.

An offset is where the machine really stands when its scale or dial shows the figure aimed at, mm.
It wanders slowly with time, is thrown by events (a fence re-aligned, a scale moved, a new insert),
and is met afresh, with the scatter of setting, by every set-up. One blundered set-up does not spoil
it. Several offsets at once, with what binds them together, are in joint_history.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np

from setupsheets.corrections.belief import Belief
from setupsheets.corrections.causes import MethodSpread
from setupsheets.corrections.joint_history import (
    WALK_SD,
    JointlyProven,
    ThrownSetting,
    Wander,
    prove,
    remember_jointly,
)

_ONE = "offset"


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


def wander_of(spread: MethodSpread, walk_sd: float = WALK_SD) -> Wander:
    """Give the wander for a way of setting: the machine's own share is what does not scatter."""
    own = sqrt(max(spread.first**2 - spread.again**2, (spread.first / 4) ** 2))
    return Wander(first_sd=own, setting_sd=spread.again, walk_sd=walk_sd)


def remember(
    proven: Sequence[Proven], today: float, wander: Wander, events: Sequence[Thrown] = ()
) -> Remembered:
    """Give what to expect of a setting set today, from all proven set-ups up to today.

    Set-ups and events may come in any order; those after today are left out. Without any set-up
    the mean is nil and the spread that of a machine not known.
    """
    found = remember_jointly(
        [JointlyProven(p.when, (_ONE,), np.array([p.mean]), np.array([[p.sd**2]])) for p in proven],
        today,
        {_ONE: wander},
        [ThrownSetting(e.when, _ONE, e.sd) for e in events],
    )
    sd = found.sd(_ONE)
    return Remembered(
        mean=found.mean(_ONE),
        sd=sd,
        offset_sd=sqrt(max(sd**2 - wander.setting_sd**2, 0.0)),
        set_ups=found.set_ups[_ONE],
        since=found.since.get(_ONE),
    )


def proven_offsets(belief: Belief) -> Mapping[str, tuple[float, float]]:
    """Give, by cause, the offset that a proven set-up has shown: mean and sd, mm.

    What the setting now stands off by, less what its figure was moved by since the first piece.
    """
    shown = prove(belief, 0.0)
    sds = np.sqrt(np.diag(shown.cov)).tolist()
    return dict(zip(shown.names, zip(shown.means.tolist(), sds, strict=True), strict=True))
