"""What the test pieces say about every cause: a mixture of normal beliefs, one per set of jumps.

    reading - target = H (cause errors) + piece-to-piece scatter + reading error

All lengths are floats in millimetres. The belief is always worked out from all pieces, so that the
same pieces give the same belief whatever was believed in between.
"""

from collections.abc import Sequence
from functools import cached_property
from math import isfinite, sqrt

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from setupsheets.corrections.causes import Cause
from setupsheets.corrections.filtering import FilterRun, run_filter
from setupsheets.corrections.hypotheses import Hypothesis, posterior_hypotheses
from setupsheets.corrections.mixture import Mixture
from setupsheets.corrections.normal import Array, truncated_moments
from setupsheets.corrections.observations import Fit, MeasurementModel, TestPiece
from setupsheets.corrections.roughness import AS_SAID, Roughness, Scales, scales

# Common practice, no source.
_ODD_AGAIN = 1e-3  # how much less likely a measurement is odd on a further piece
_ODD_AT_MOST = 4.0  # spreads of the roughest shop that are still scatter
_FELT = 0.3  # mm: play or want of it, three strips of paper, that a hand feels and no eye sees
_SEEN = 0.1  # chance that it is called by a word all the same where it is more
_NONE = 1e-300  # divides nothing by nothing
_HARDLY = 1e-4  # weight that no shop falls below: what looked unlikely may still show


class Prior(Struct, frozen=True, eq=False):
    """What is expected of the causes before any piece: mean (n) and covariance (n, n), mm."""

    mean: Array
    cov: Array


class Belief(Struct, frozen=True, eq=False, dict=True):
    """What is believed of the causes after the pieces so far, moves before the last one included.

    state is the filter's state, which begins with the n causes' errors, mm, as each of the
    hypotheses has it, best first; dropped is the share of weight that was weighed but is not among
    them. shops are the ways in which this one may be rough; each hypothesis takes one of them.
    """

    causes: tuple[Cause, ...]
    measurements: tuple[MeasurementModel, ...]
    pieces: tuple[TestPiece, ...]
    hypotheses: tuple[Hypothesis, ...]
    state: Mixture
    dropped: float
    run: FilterRun
    shops: tuple[Roughness, ...] = AS_SAID

    @cached_property
    def scales(self) -> Scales:
        """How much rougher than its files each hypothesis takes the shop to be."""
        return scales(self.shops).of(np.array([h.shop for h in self.hypotheses], dtype=np.intp))

    @cached_property
    def errors(self) -> Mixture:
        """The causes' errors, mm, in their order."""
        return self.state.first(len(self.causes))

    @property
    def shops_now(self) -> tuple[Roughness, ...]:
        """The ways in which the shop may be rough, as likely as the pieces have made them."""
        weights = np.zeros(len(self.shops))
        np.add.at(weights, [h.shop for h in self.hypotheses], self.errors.weights)
        return tuple(
            replace(shop, probability=max(weight, _HARDLY))
            for shop, weight in zip(self.shops, weights.tolist(), strict=True)
        )

    def mean(self, cause: str) -> float:
        """The error to expect of a cause, mm."""
        return float(self.errors.mean[self.index(cause)])

    def sd(self, cause: str) -> float:
        """The standard deviation of a cause's error over all hypotheses, mm."""
        at = self.index(cause)
        return sqrt(float(self.errors.cov[at, at]))

    @property
    def read(self) -> tuple[TestPiece, ...]:
        """The pieces that anything was read from; moves made since stand in one without."""
        return tuple(p for p in self.pieces if p.readings)

    @property
    def moved_since(self) -> dict[str, float]:
        """By cause what was moved since the last piece that was read, mm."""
        moved: dict[str, float] = {}
        for piece in reversed(self.pieces):
            if piece.readings:
                break
            for name, amount in piece.moves.items():
                moved[name] = moved.get(name, 0.0) + amount
        return moved

    def index(self, cause: str) -> int:
        """The place of a cause by name; ValueError names those that are known."""
        return _find([c.name for c in self.causes], cause, "cause")

    def measurement(self, name: str) -> MeasurementModel:
        """A measurement by name; ValueError names those that are known."""
        return self.measurements[_find([m.name for m in self.measurements], name, "measurement")]


def believe(
    causes: Sequence[Cause],
    measurements: Sequence[MeasurementModel],
    pieces: Sequence[TestPiece] = (),
    prior: Prior | None = None,
    shops: tuple[Roughness, ...] = AS_SAID,
) -> Belief:
    """The belief after the pieces given, in the order in which they were cut.

    prior takes the place of the causes' own means and spreads where history knows better; shops
    are the ways in which this one may be rougher than its files say.
    ValueError where a name is unknown or given twice, or a value is not finite.
    """
    causes, measurements, pieces = tuple(causes), tuple(measurements), tuple(pieces)
    _check(causes, measurements, pieces)
    prior = prior or own_prior(causes)
    run = run_filter(causes, measurements, pieces, prior.mean, prior.cov, shops)
    likely = np.array([shop.probability for shop in shops])
    # A fit can make much of what hardly weighed before it: more is kept where one was felt.
    enough = 1 - 1e-9 if run.fits else 1 - 1e-6
    hypotheses, state, dropped = posterior_hypotheses(run.state, enough, likely / likely.sum())
    if run.fits:
        hypotheses, state = _keep_within(hypotheses, state, run)
    hypotheses, state = _that_can_be(causes, hypotheses, state)
    hypotheses, state = _less_often_odd(hypotheses, state, run, measurements, shops)
    return Belief(causes, measurements, pieces, hypotheses, state, dropped, run, shops)


def _that_can_be(
    causes: tuple[Cause, ...], hypotheses: tuple[Hypothesis, ...], state: Mixture
) -> tuple[tuple[Hypothesis, ...], Mixture]:
    """Only what can be: no dial stands below nothing. All of it where nothing else is left."""
    lowest = np.array([cause.lowest for cause in causes])
    can_be = np.flatnonzero((state.means[:, : len(causes)] >= lowest).all(axis=1)).tolist()
    if not can_be or len(can_be) == len(hypotheses):
        return hypotheses, state
    return tuple(hypotheses[i] for i in can_be), state.some(can_be)


def _less_often_odd(
    hypotheses: tuple[Hypothesis, ...],
    state: Mixture,
    run: FilterRun,
    measurements: tuple[MeasurementModel, ...],
    shops: tuple[Roughness, ...],
) -> tuple[tuple[Hypothesis, ...], Mixture]:
    """The same where a measurement that is odd on a further piece, and by no more than pieces may
    differ, is likelier to differ on all: one that is cut badly or misread once in a hundred times
    is no more than one of those by itself."""
    roughest = max(shop.pieces for shop in shops)
    within = {m.name: _ODD_AT_MOST * roughest * m.scatter_sd for m in measurements}
    jumps, further = run.state.jumps, np.zeros(len(hypotheses))
    for i, hypothesis in enumerate(hypotheses):
        odd = {
            (jump.subject, jump.piece)
            for jump, amount in zip(
                (jumps[j] for j in hypothesis.jumps), hypothesis.amounts.tolist(), strict=True
            )
            if not jump.of_cause and abs(amount) <= within.get(jump.subject, 0.0)
        }
        further[i] = len(odd) - len({subject for subject, _ in odd})
    if not further.any():
        return hypotheses, state
    return _best_first(hypotheses, replace(state, weights=state.weights * _ODD_AGAIN**further))


def _best_first(
    hypotheses: tuple[Hypothesis, ...], state: Mixture
) -> tuple[tuple[Hypothesis, ...], Mixture]:
    """The same in the order of their weights, which come to 1 together."""
    order = np.argsort(-state.weights, kind="stable").tolist()
    return tuple(hypotheses[i] for i in order), state.some(order)


def own_prior(causes: Sequence[Cause]) -> Prior:
    """The prior that the causes carry themselves, each independent of the others."""
    return Prior(np.array([c.prior_mean for c in causes]), np.diag([c.prior_sd**2 for c in causes]))


def sensitivity_matrix(causes: Sequence[Cause], measurements: Sequence[MeasurementModel]) -> Array:
    """H: a row per measurement, a column per cause."""
    return np.array(
        [[m.sensitivities.get(c.name, 0.0) for c in causes] for m in measurements],
        dtype=np.float64,
    ).reshape(len(measurements), len(causes))


def piece_scatter(causes: Sequence[Cause], measurements: Sequence[MeasurementModel]) -> Array:
    """The covariance (j, j) of the measurements from piece to piece, mm^2."""
    h = sensitivity_matrix(causes, measurements)
    blanks = np.array([c.scatter_sd**2 for c in causes])
    own = np.diag([m.scatter_sd**2 for m in measurements])
    covariance: Array = (h * blanks) @ h.T + own
    return covariance


def _keep_within(
    hypotheses: tuple[Hypothesis, ...], state: Mixture, run: FilterRun
) -> tuple[tuple[Hypothesis, ...], Mixture]:
    """Keep every fit inside its limits, one after the other, by matching two moments.

    Source: N. R. Mendell and R. C. Elston, "Multifactorial traits", Biometrics 30 (1974).
    """
    weights, means, covs = state.weights, state.means, state.covs
    for key, (low, high) in run.fits.items():
        at = run.places[key]
        spread = np.sqrt(covs[:, at, at])
        part, shift, left = _felt(
            (low - means[:, at]) / spread, (high - means[:, at]) / spread, _FELT / spread
        )
        crossed = covs[:, :, at] / spread[:, None]
        means = means + crossed * shift[:, None]
        covs = covs - crossed[:, :, None] * crossed[:, None, :] * (1 - left)[:, None, None]
        weights = weights * part
    return _best_first(hypotheses, Mixture(weights, means, covs))


def _felt(low: Array, high: Array, felt: Array) -> tuple[Array, Array, Array]:
    """The chance that a standard normal lies within low and high, its mean and its variance there.

    Where there is no limit on one side it lies most likely no further than `felt` from the other:
    what is further out is seen, and a rule tells how far.
    """
    part, shift, left = truncated_moments(low, high)
    over, under = np.isinf(high), np.isinf(low)
    if not (over | under).any():
        return part, shift, left
    near = truncated_moments(np.where(under, high - felt, low), np.where(over, low + felt, high))
    seen, by_hand = part * _SEEN, near[0] * (1 - _SEEN)
    chance = np.maximum(seen + by_hand, _NONE)
    mean = (seen * shift + by_hand * near[1]) / chance
    square = (seen * (left + shift**2) + by_hand * (near[2] + near[1] ** 2)) / chance
    return chance, mean, square - mean**2


def _check(
    causes: tuple[Cause, ...],
    measurements: tuple[MeasurementModel, ...],
    pieces: tuple[TestPiece, ...],
) -> None:
    """Refuse names that are unknown or given twice, and values that are not finite."""
    cause_names, names = [c.name for c in causes], [m.name for m in measurements]
    for known, what in ((cause_names, "cause"), (names, "measurement")):
        for name in known:
            if known.count(name) > 1:
                raise ValueError(f"{what} {name!r} is given more than once")
    for measurement in measurements:
        for name in measurement.sensitivities:
            _find(cause_names, name, "cause")
    for piece in pieces:
        amounts = [*piece.moves.items(), *((b.cause, b.value) for b in piece.blanks)]
        for name, amount in amounts:
            _find(cause_names, name, "cause")
            _finite(name, amount)
        for reading in piece.readings:
            measured = measurements[_find(names, reading.measurement, "measurement")]
            if reading.pieces < 1:
                raise ValueError(f"{reading.measurement}: pieces expected 1 or more")
            if not isinstance(reading.value, Fit):
                _finite(reading.measurement, reading.value)
            elif not (interval := measured.interval(reading.value))[0] < interval[1]:
                said = f"{reading.value.value!r} says nothing without a limit on that side"
                raise ValueError(f"{measured.name}: {said}")


def _finite(name: str, value: float) -> None:
    if not isfinite(value):
        raise ValueError(f"{name}: expected a finite number of mm; found {value!r}")


def _find(known: list[str], name: str, what: str) -> int:
    try:
        return known.index(name)
    except ValueError:
        raise ValueError(f"{what}: expected one of {', '.join(known)}; found {name!r}") from None
