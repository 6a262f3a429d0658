"""How machines are known to stand: their settings' offsets, estimated together from set-ups.

A setting's offset is where the machine really stands when its dial shows the figure aimed at, mm.
It drifts with time as a random walk, and every set-up meets it with the scatter of setting on top;
what was learnt before a dial was reset is left out by whoever gathers the set-ups. One blundered
set-up does not spoil it. A set-up proves sums of offsets far better than each by itself, because a
length depends on the stop and on the blank; setting the same up again needs those sums, so offsets
are kept with their covariance.
"""

from collections.abc import Mapping, Sequence
from math import inf, sqrt

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from setupsheets.corrections.belief import Prior, believe, own_prior
from setupsheets.corrections.causes import BLUNDER_SD, Cause, MethodSpread
from setupsheets.corrections.hypotheses import posterior_hypotheses
from setupsheets.corrections.kalman import (
    FilterState,
    Jump,
    initial_state,
    predict,
    update,
)
from setupsheets.corrections.normal import Array
from setupsheets.corrections.observations import MeasurementModel, TestPiece

RANDOM_WALK_SD = 0.03
"""How far an offset drifts in a year, mm per root year: common practice, no source.

Five years after one set-up a dial that is set within 0.1 mm is known within 0.163 mm; with half of
this 0.153, with double 0.201.
"""

VAGUE_SD = 5.0
"""A spread, mm, so wide that test pieces alone say how a setting stands."""

_TOLD = 0.2
"""Share of VAGUE_SD below which the test pieces have said how a setting stands.

It is for set-ups where a reading was left out: common practice, no source.
"""


class OffsetEstimate(Struct, frozen=True, eq=False):
    """The offsets of some dials as one set-up shows them.

    when is in years from any origin; names, means (n) and cov (n, n) in mm.
    """

    when: float
    names: tuple[str, ...]
    means: Array
    cov: Array


class DriftModel(Struct, frozen=True):
    """How an offset behaves, mm.

    first_sd is its spread on a machine not known, setting_sd what each set-up scatters about it,
    walk_sd its drift in a year. A set-up that was blundered is most often off by one of the marks.
    """

    first_sd: float
    setting_sd: float
    walk_sd: float = RANDOM_WALK_SD
    blunder_probability: float = 0.03
    blunder_sd: float = BLUNDER_SD
    marks: tuple[float, ...] = ()


class OffsetPrior(Struct, frozen=True, eq=False):
    """The offsets of dials to expect at the next set-up, which meets each with its setting_sd.

    means (n) are the offsets, cov (n, n) their covariance with the scatter of setting in it, mm;
    likeliest (n) are the means by the best account of which set-ups were blundered: where one says
    that a dial is off and another that it was set wrong that day, their mean is surely wrong.
    set_ups counts, by name, those that tell of it, and since gives the earliest.
    """

    names: tuple[str, ...]
    means: Array
    cov: Array
    likeliest: Array
    setting_sds: Mapping[str, float]
    set_ups: Mapping[str, int]
    since: Mapping[str, float]

    def mean(self, name: str) -> float:
        """One dial's offset, mm."""
        return float(self.means[self.names.index(name)])

    def sd(self, name: str) -> float:
        """How well the next cut's offset on one dial is known, mm."""
        at = self.names.index(name)
        return sqrt(float(self.cov[at, at]))

    def prior(self, causes: Sequence[Cause], dials: Mapping[str, str]) -> Prior:
        """The causes' own prior, with the covariance of the dials that they are set on.

        dials gives by cause the dial that it is set on, of those that some set-up has told of. Two
        causes set on one dial share its offset, and each has its own scatter of setting.
        """
        prior = own_prior(causes)
        cov = prior.cov.copy()
        on = {i: dials[cause.name] for i, cause in enumerate(causes) if cause.name in dials}
        for first, dial in on.items():
            for second, other in on.items():
                if first != second:
                    own = self.setting_sds[dial] ** 2 if dial == other else 0.0
                    at = self.names.index(dial), self.names.index(other)
                    cov[first, second] = self.cov[at] - own
        return Prior(prior.mean, cov)


def drift_model(spread: MethodSpread, marks: tuple[float, ...] = ()) -> DriftModel:
    """The drift model for a way of setting: the machine's own share is what does not scatter.

    marks are the whole fractions, mm, by which a hand most often sets wrong.
    """
    own = sqrt(max(spread.first**2 - spread.again**2, (spread.first / 4) ** 2))
    return DriftModel(first_sd=own, setting_sd=spread.again, marks=marks)


def offset_prior(
    estimates: Sequence[OffsetEstimate],
    today: float,
    drifts: Mapping[str, DriftModel],
) -> OffsetPrior:
    """The offsets to expect today of the dials in drifts, from set-ups up to today.

    Set-ups may come in any order; those after today, and dials that are not in drifts, are left
    out. Without any set-up the means are 0 and the spread that of machines not known.
    """
    names = tuple(drifts)
    known = sorted((e for e in estimates if e.when <= today), key=_order)
    state = initial_state(np.zeros(len(names)), np.diag([d.first_sd**2 for d in drifts.values()]))
    dates = [e.when for e in known]
    for number, one in enumerate(known):
        if number:
            state = _drifted(state, dates[number - 1], one.when, drifts)
        state = _updated(state, one, number, drifts)
    if known:
        state = _drifted(state, dates[-1], today, drifts)
    _, offsets, _ = posterior_hypotheses(state)
    cov = offsets.cov + np.diag([d.setting_sd**2 for d in drifts.values()])
    dates_of = {name: [e.when for e in known if name in e.names] for name in names}
    return OffsetPrior(
        names=names,
        means=offsets.mean,
        cov=(cov + cov.T) / 2,
        likeliest=offsets.means[0],
        setting_sds={name: d.setting_sd for name, d in drifts.items()},
        set_ups={name: len(when) for name, when in dates_of.items()},
        since={name: min(when) for name, when in dates_of.items() if when},
    )


def estimate_offsets(
    causes: Sequence[Cause],
    measurements: Sequence[MeasurementModel],
    pieces: Sequence[TestPiece],
    dials: Mapping[str, str],
    when: float = 0.0,
) -> OffsetEstimate:
    """The offsets that the test pieces of a set-up show by themselves.

    The causes' prior means say how far each was dialled from its aim on purpose; dials gives by
    cause the dial that it is set on. Settings are taken as if nothing were known of them, so that
    nothing is told a second time, and a setting that the pieces say nothing of is left out. A dial
    that was set more than once has the mean of its settings.
    """
    first = [
        replace(c, prior_sd=VAGUE_SD, shift_probability=0.0) if c.kind == "setting" else c
        for c in causes
    ]
    later = {c.name: _since(c) for c in causes if c.kind == "setting"}
    both = [
        replace(m, sensitivities=dict(m.sensitivities) | _renamed(m.sensitivities, later))
        for m in measurements
    ]
    moved = [
        replace(
            piece,
            moves={later[n].name if n in later else n: each for n, each in piece.moves.items()},
            fine=frozenset(later[name].name for name in piece.fine if name in later),
        )
        for piece in pieces
    ]
    errors = believe([*first, *later.values()], both, moved).errors.first(len(causes))
    shown, cov = errors.mean - [c.prior_mean for c in causes], errors.cov
    on: dict[str, list[int]] = {}
    for i, cause in enumerate(causes):
        if cause.name in dials and cov[i, i] ** 0.5 < _TOLD * VAGUE_SD:
            on.setdefault(dials[cause.name], []).append(i)
    share = np.zeros((len(on), len(causes)))
    for row, told in enumerate(on.values()):
        share[row, told] = 1 / len(told)
    return OffsetEstimate(when, tuple(on), share @ shown, share @ cov @ share.T)


def _since(cause: Cause) -> Cause:
    """What a setting is moved by after it was first made, as a cause of its own: so a move that
    lands otherwise than it was meant to is not taken for the dial's offset."""
    return replace(
        cause,
        name=f"{cause.name}, moved",
        prior_mean=0.0,
        prior_sd=0.0,
        blunder_probability=0.0,
        lowest=-inf,
    )


def _renamed(by_cause: Mapping[str, float], causes: Mapping[str, Cause]) -> dict[str, float]:
    return {causes[name].name: value for name, value in by_cause.items() if name in causes}


def _order(one: OffsetEstimate) -> tuple[float, tuple[str, ...], tuple[float, ...]]:
    return one.when, one.names, tuple(one.means.tolist())


def _updated(
    state: FilterState, one: OffsetEstimate, number: int, drifts: Mapping[str, DriftModel]
) -> FilterState:
    """Update by one set-up; any of its settings may have been blundered at the time."""
    names = tuple(drifts)
    at = [i for i, name in enumerate(one.names) if name in drifts]
    if not at:
        return state
    models = [drifts[one.names[i]] for i in at]
    rows = np.zeros((len(at), len(names)))
    rows[range(len(at)), [names.index(one.names[i]) for i in at]] = 1
    blunders = tuple(
        Jump(
            kind="blunder",
            subject=one.names[i],
            piece=number,
            probability=d.blunder_probability,
            sd=max(d.blunder_sd, *d.marks, 0.0),
            other_sd=d.blunder_sd,
            marks=d.marks,
        )
        for i, d in zip(at, models, strict=True)
    )
    noise = one.cov[np.ix_(at, at)] + np.diag([d.setting_sd**2 for d in models])
    return update(state, rows, one.means[at], noise, blunders)


def _drifted(
    state: FilterState, before: float, now: float, drifts: Mapping[str, DriftModel]
) -> FilterState:
    """Predict the offsets from one date to another: time adds variance."""
    variance = [d.walk_sd**2 * (now - before) for d in drifts.values()]
    return predict(state, np.zeros(len(drifts)), np.array(variance))
