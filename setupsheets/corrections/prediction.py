"""How parts cut now would come out, for any moves that might be made first.

The parts' deviations are a mixture of normal distributions, one per hypothesis of the belief:
what is believed of the causes, the moves, the scatter that each move adds, and the scatter from
piece to piece. Reading error has no part in it: parts are judged by what they are.
"""

from dataclasses import dataclass

import numpy as np

from setupsheets.corrections.belief import Belief, piece_scatter, sensitivity_matrix
from setupsheets.corrections.normal import Array, between, box_probability, box_probability_quick

_EXACT_WEIGHT = 1e-2
_QUICK_SHARE = 0.99
_QUICK_MOST = 8


@dataclass(frozen=True, eq=False)
class PartsPrediction:
    """The parts' deviations before any move, and what moves do to them.

    Only measurements with a limit count: j of them by name, with limits low and high (j), mm.
    h (j, n) their sensitivities; weights (c), means (c, j) and covs (c, j, j) the mixture;
    reset (n, j, j) the covariance that moving each cause adds; sure (n) the chance that a move
    of it goes as meant.
    """

    names: tuple[str, ...]
    h: Array
    low: Array
    high: Array
    weights: Array
    means: Array
    covs: Array
    reset: Array
    sure: Array

    @property
    def quick(self) -> int:
        """Give how many of the leading hypotheses a search has to look at."""
        enough = int(np.searchsorted(np.cumsum(self.weights), _QUICK_SHARE)) + 1
        return min(enough, _QUICK_MOST, len(self.weights))

    def likely(self, moves: Array) -> Array:
        """Approximate the probability of good parts after moves (b, n), for searching: (b)."""
        count = self.quick
        shifted = self.means[None, :count] + (moves @ self.h.T)[:, None]
        covs = self.covs[None, :count] + self._added(moves)[:, None]
        part = box_probability_quick(shifted, covs, self.low, self.high)
        weights = self.weights[:count] / self.weights[:count].sum()
        result: Array = (part @ weights) * self._sure(moves)
        return result

    def probability(self, moves: Array) -> float:
        """Give the probability that a part cut after the moves (n) is inside every limit."""
        shifted = self.means + self.h @ moves
        covs = self.covs + self._added(moves[None])
        heavy = self.weights >= _EXACT_WEIGHT
        part = np.empty(len(self.weights))
        part[heavy] = box_probability(shifted[heavy], covs[heavy], self.low, self.high)
        part[~heavy] = box_probability_quick(shifted[~heavy], covs[~heavy], self.low, self.high)
        return float(min(1.0, self.weights @ part) * self._sure(moves[None])[0])

    def expected(self, moves: Array) -> tuple[Array, Array]:
        """Give mean (j) and standard deviation (j) of a part's deviations after moves (n)."""
        means = self.means + self.h @ moves
        mean: Array = self.weights @ means
        variance = np.diagonal(self.covs, axis1=1, axis2=2) + np.diag(self._added(moves[None])[0])
        spread = self.weights @ (variance + (means - mean) ** 2)
        return mean, np.sqrt(spread)

    def each(self, moves: Array) -> Array:
        """Give the probability of every measurement by itself after moves (n): (j)."""
        means = self.means + self.h @ moves
        variance = np.diagonal(self.covs, axis1=1, axis2=2) + np.diag(self._added(moves[None])[0])
        spread = np.sqrt(np.maximum(variance, 1e-300))
        part = between((self.low - means) / spread, (self.high - means) / spread)
        sure = np.where((moves != 0) & (self.h != 0), self.sure, 1.0).prod(axis=1)
        result: Array = self.weights @ part * sure
        return result

    def _added(self, moves: Array) -> Array:
        return np.tensordot((moves != 0).astype(np.float64), self.reset, axes=1)

    def _sure(self, moves: Array) -> Array:
        result: Array = np.where(moves != 0, self.sure, 1.0).prod(axis=-1)
        return result


def predict_parts(belief: Belief) -> PartsPrediction:
    """Give the parts for parts cut with the settings as they stand now."""
    judged = [m for m in belief.measurements if np.isfinite(m.low) or np.isfinite(m.high)]
    h = sensitivity_matrix(belief.causes, judged)
    reset = np.array([c.reset_sd**2 for c in belief.causes])
    return PartsPrediction(
        names=tuple(m.name for m in judged),
        h=h,
        low=np.array([m.low for m in judged]),
        high=np.array([m.high for m in judged]),
        weights=belief.weights,
        means=belief.means @ h.T,
        covs=h @ belief.covs @ h.T + piece_scatter(belief.causes, judged),
        reset=reset[:, None, None] * h.T[:, :, None] * h.T[:, None, :],
        sure=np.array([1 - c.move_blunder_probability for c in belief.causes]),
    )
