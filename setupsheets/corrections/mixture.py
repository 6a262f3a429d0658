"""A mixture of normal distributions: what is believed when several things may have happened."""

from __future__ import annotations

from functools import cached_property

import numpy as np
from msgspec import Struct

from setupsheets.corrections.normal import Array


class Mixture(Struct, frozen=True, eq=False, dict=True):
    """Normal distributions of n quantities, one for each of c hypotheses, best first.

    weights (c) sum to 1; means (c, n) and covs (c, n, n).
    """

    weights: Array
    means: Array
    covs: Array

    @cached_property
    def mean(self) -> Array:
        """The mean (n) over all hypotheses."""
        mean: Array = self.weights @ self.means
        return mean

    @cached_property
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

    def some(self, which: slice | list[int]) -> Mixture:
        """The mixture if one of these hypotheses is right."""
        weights = self.weights[which]
        return Mixture(weights / weights.sum(), self.means[which], self.covs[which])

    def leading(self, share: float, most: int) -> Mixture:
        """The mixture of the best hypotheses that hold the share, at most so many of them."""
        count = int(np.searchsorted(np.cumsum(self.weights), share)) + 1
        return self.some(slice(min(count, most)))
