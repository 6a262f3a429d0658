"""How parts cut now would come out, for any moves that might be made first.

The parts' deviations are a mixture of normal distributions, one per hypothesis of the belief:
what is believed of the causes, the moves, the scatter that each move adds, and the scatter from
piece to piece. Reading error has no part in it: parts are judged by what they are.
"""

from collections.abc import Mapping, Sequence, Set
from functools import cached_property

import numpy as np
from msgspec import Struct

from setupsheets.corrections.belief import Belief, piece_scatter, sensitivity_matrix
from setupsheets.corrections.filtering import landing_variances
from setupsheets.corrections.mixture import Mixture
from setupsheets.corrections.normal import (
    Array,
    Flags,
    between,
    box_probability,
    box_probability_quick,
)
from setupsheets.corrections.observations import MeasurementModel, Miss

# They trade time for digits that nobody reads.
_EXACT_WEIGHT = 1e-2  # weight of a hypothesis from which its box is worked out closely
_QUICK_SHARE = 0.98  # weight of the hypotheses that a search looks at
_QUICK_MOST = 12  # hypotheses that it looks at most
_HAIR = 1e-9  # mm


class Misses(Struct, frozen=True):
    """What becomes of parts, as shares: inside every limit; outside where it does not show; eased
    by hand; spoilt."""

    right: float
    unseen: float
    eased: float
    spoilt: float


class PartsPrediction(Struct, frozen=True, eq=False, dict=True):
    """The parts' deviations before any move, and what moves do to them.

    Only measurements with a limit count: j of them by name, with limits low and high (j), mm.
    h (j, n) are their sensitivities, deviations the mixture of c, scatter (c, j, j) the part of it
    from piece to piece. coarse and fine (c, n) are the variance that a move of each cause adds, one
    to a mark and one by shims, which reach as far as fine_reach (n), mm; sure (n) the chance that a
    move of it goes as meant. costs gives, kind by kind, the limits (2, j) beyond which a part costs
    as much as that or more.
    """

    names: tuple[str, ...]
    h: Array
    low: Array
    high: Array
    deviations: Mixture
    scatter: Array
    coarse: Array
    fine: Array
    fine_reach: Array
    sure: Array
    costs: Mapping[Miss, Array]

    @property
    def tolerance(self) -> Array:
        """How far each may be off on its narrower side (j), mm."""
        width: Array = np.minimum(self.high, -self.low)
        return width

    def is_fine(self, moves: Array) -> Flags:
        """Which moves (..., n) are made by shims."""
        fine: Flags = (moves != 0) & (np.abs(moves) <= self.fine_reach + _HAIR)
        return fine

    def landing(self, moves: Array, leading: int | None = None) -> Array:
        """The variance (..., c, n) that moves (..., n) add to the causes, mm^2."""
        fine, used = self.is_fine(moves)[..., None, :], (moves != 0)[..., None, :]
        by_way = np.where(fine, self.fine[:leading], self.coarse[:leading])
        variance: Array = np.where(used, by_way, 0.0)
        return variance

    def added(self, moves: Array, leading: int | None = None) -> Array:
        """The covariance (..., c, j, j) that moves (..., n) add."""
        outer = self.h.T[:, :, None] * self.h.T[:, None, :]
        return np.tensordot(self.landing(moves, leading), outer, axes=1)

    def go_right(self, moves: Array) -> Array:
        """The chance that all moves (..., n) go as meant (...)."""
        chance: Array = np.where(moves != 0, self.sure, 1.0).prod(axis=-1)
        return chance

    def likely(self, moves: Array) -> Array:
        """Approximate the probability of good parts after moves (b, n), for searching: (b)."""
        leading = self.deviations.leading(_QUICK_SHARE, _QUICK_MOST)
        shifted = leading.means[None] + (moves @ self.h.T)[:, None]
        covs = leading.covs[None] + self.added(moves, len(leading.weights))
        part = box_probability_quick(shifted, covs, self.low, self.high)
        likely: Array = (part @ leading.weights) * self.go_right(moves)
        return likely

    def probability(self, moves: Array, limits: Array | None = None) -> float:
        """The probability that a part cut after the moves (n) is inside every limit, or inside
        others (2, j)."""
        low, high = (self.low, self.high) if limits is None else limits
        weights, means, covs = self._after(moves)
        heavy = weights >= _EXACT_WEIGHT
        part = np.empty(len(weights))
        part[heavy] = box_probability(means[heavy], covs[heavy], low, high)
        part[~heavy] = box_probability_quick(means[~heavy], covs[~heavy], low, high)
        return min(1.0, float(weights @ part)) * float(self.go_right(moves))

    def misses(self, moves: Array) -> Misses:
        """What becomes of parts cut after the moves (n)."""
        key = moves.tobytes()
        if key not in self._misses:
            self._misses[key] = self._worked_out(moves)
        return self._misses[key]

    @cached_property
    def _misses(self) -> dict[bytes, Misses]:
        """Those worked out so far, by the moves: an advice asks for the same ones again."""
        return {}

    def _worked_out(self, moves: Array) -> Misses:
        right = self.probability(moves)
        as_good = max(right, self.probability(moves, self.costs["eased"]))
        usable = max(as_good, self.probability(moves, self.costs["spoils"]))
        return Misses(right, as_good - right, usable - as_good, 1 - usable)

    def expected(self, moves: Array) -> tuple[Array, Array, Array]:
        """Of a part's deviations after moves (n): mean, standard deviation, chance of each (j)."""
        weights, means, covs = self._after(moves)
        mean = weights @ means
        variance = np.diagonal(covs, axis1=1, axis2=2)
        sd = np.sqrt(weights @ (variance + (means - mean) ** 2))
        spread = np.sqrt(np.maximum(variance, 1e-300))
        part = between((self.low - means) / spread, (self.high - means) / spread)
        sure = np.where((moves != 0) & (self.h != 0), self.sure, 1.0).prod(axis=1)
        return mean, sd, weights @ part * sure

    def _after(self, moves: Array) -> tuple[Array, Array, Array]:
        """The weights (c), means (c, j) and covariances (c, j, j) after moves (n)."""
        before = self.deviations
        return before.weights, before.means + self.h @ moves, before.covs + self.added(moves)


def predict_parts(belief: Belief) -> PartsPrediction:
    """The prediction for parts cut with the settings as they stand now."""
    judged = [m for m in belief.measurements if np.isfinite(m.low) or np.isfinite(m.high)]
    h = sensitivity_matrix(belief.causes, judged)
    scatter = belief.scales.pieces[:, None, None] ** 2 * piece_scatter(belief.causes, judged)
    deviations = belief.errors.linear(h)
    coarse, fine = landing_variances(belief.causes, belief.scales)
    return PartsPrediction(
        names=tuple(m.name for m in judged),
        h=h,
        low=np.array([m.low for m in judged]),
        high=np.array([m.high for m in judged]),
        deviations=Mixture(deviations.weights, deviations.means, deviations.covs + scatter),
        scatter=scatter,
        coarse=coarse,
        fine=fine,
        fine_reach=np.array([c.fine_reach for c in belief.causes]),
        sure=np.array([1 - c.move_blunder_probability for c in belief.causes]),
        costs={
            "eased": _beyond(judged, {"spoils", "eased"}),
            "spoils": _beyond(judged, {"spoils"}),
        },
    )


def _beyond(judged: Sequence[MeasurementModel], kinds: Set[Miss]) -> Array:
    """The limits (2, j) of those sides that cost one of these kinds; no limit on the others."""
    low = [m.low if m.missed_low in kinds else -np.inf for m in judged]
    high = [m.high if m.missed_high in kinds else np.inf for m in judged]
    return np.array([low, high])
