"""A mixture of normal distributions: what is believed when several things may have happened."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from setupsheets.corrections.normal import Array


@dataclass(frozen=True, eq=False)
class Mixture:
    """Normal distributions of n quantities, one for each of c hypotheses, best first.

    weights (c) sum to 1; means (c, n) and covs (c, n, n).
    """

    weights: Array
    means: Array
    covs: Array

    @property
    def mean(self) -> Array:
        """The mean (n) over all hypotheses."""
        mean: Array = self.weights @ self.means
        return mean

    @property
    def cov(self) -> Array:
        """The covariance (n, n) over all hypotheses: within each, and between their means."""
        off = self.means - self.mean
        within = np.tensordot(self.weights, self.covs, axes=1)
        cov: Array = within + (off.T * self.weights) @ off
        return cov

    def linear(self, rows: Array) -> Mixture:
        """The mixture of rows (r, n) @ quantities."""
        return Mixture(self.weights, self.means @ rows.T, rows @ self.covs @ rows.T)

    def first(self, count: int) -> Mixture:
        """The mixture of the first quantities only."""
        return Mixture(self.weights, self.means[:, :count], self.covs[:, :count, :count])

    def leading(self, share: float, most: int) -> Mixture:
        """The best hypotheses that hold the share, at most so many, weighted to 1 again."""
        count = int(np.searchsorted(np.cumsum(self.weights), share)) + 1
        count = min(count, most, len(self.weights))
        weights = self.weights[:count] / self.weights[:count].sum()
        return Mixture(weights, self.means[:count], self.covs[:count])
