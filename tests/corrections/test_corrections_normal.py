"""Normal probabilities against scipy, a reference library."""

import numpy as np
import pytest
from scipy import stats

from setupsheets.corrections.normal import (
    box_probability,
    box_probability_quick,
    cdf,
    cdf_quick,
    quantile,
    truncated_moments,
)

POINTS = np.linspace(-37, 37, 7401)


def test_cdf_is_scipys() -> None:
    expected = stats.norm.cdf(POINTS)
    assert np.abs(cdf(POINTS) - expected).max() < 1e-15
    lower = POINTS > -36
    assert np.abs(cdf(POINTS)[lower] / expected[lower] - 1).max() < 1e-7


def test_table_of_the_cdf_is_scipys() -> None:
    assert np.abs(cdf_quick(POINTS) - stats.norm.cdf(POINTS)).max() < 1e-7
    assert cdf_quick(np.array([-np.inf, np.inf])).tolist() == [
        pytest.approx(0, abs=1e-15),
        pytest.approx(1, abs=1e-15),
    ]


def test_quantile_is_scipys() -> None:
    p = np.linspace(1e-9, 1 - 1e-9, 4001)
    assert np.abs(quantile(p) - stats.norm.ppf(p)).max() < 1e-5


@pytest.mark.parametrize(
    ("low", "high"),
    [
        (-1.0, 1.0),
        (0.5, 2.0),
        (-2.0, -0.5),
        (-np.inf, 0.3),
        (1.0, np.inf),
        (4.0, 5.0),
        (-7.0, -6.0),
        (-np.inf, np.inf),
    ],
)
def test_truncated_moments_are_scipys(low: float, high: float) -> None:
    probability, mean, variance = truncated_moments(np.array([low]), np.array([high]))
    expected = stats.truncnorm(low, high)
    between = (
        stats.norm.cdf(high) - stats.norm.cdf(low)
        if low < 0
        else stats.norm.sf(low) - stats.norm.sf(high)
    )
    assert probability[0] == pytest.approx(between, rel=1e-7)
    assert mean[0] == pytest.approx(expected.mean(), abs=1e-6)
    assert variance[0] == pytest.approx(expected.var(), abs=1e-5)


def _boxes(count: int) -> list[tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]]:
    """Boxes as they come up: correlated through shared causes, limits of a few spreads."""
    rng = np.random.default_rng(5)
    found = []
    for _ in range(count):
        shared = rng.normal(size=(6, 7)) * rng.uniform(0.1, 0.45)
        cov = shared @ shared.T + np.diag(rng.uniform(0.05, 0.1, 6) ** 2)
        low, high = -rng.uniform(0.7, 1.5, 6), rng.uniform(0.7, 1.5, 6)
        found.append((rng.normal(size=6) * 0.2, cov, low, high))
    return found


def test_boxes_are_scipys() -> None:
    worst, worst_quick = 0.0, 0.0
    for mean, cov, low, high in _boxes(6):
        expected = stats.multivariate_normal(mean, cov).cdf(high, lower_limit=low)
        exact = box_probability(mean[None], cov[None], low, high)[0]
        quick = box_probability_quick(mean[None], cov[None], low, high)[0]
        worst = max(worst, abs(exact - expected))
        worst_quick = max(worst_quick, abs(quick - expected))
    assert worst < 0.003
    assert worst_quick < 0.005


def test_independent_box_is_the_product() -> None:
    sd = np.array([0.2, 0.5, 1.0])
    low, high = np.array([-0.3, -1.0, -0.5]), np.array([0.4, 0.2, np.inf])
    product = np.prod(stats.norm.cdf(high / sd) - stats.norm.cdf(low / sd))
    for box in (box_probability, box_probability_quick):
        found = box(np.zeros((1, 3)), np.diag(sd**2)[None], low, high)[0]
        assert found == pytest.approx(product, abs=1e-6)


def test_box_known_exactly_is_in_or_out() -> None:
    mean = np.array([[0.0, 0.1], [0.0, 0.9]])
    cov, limit = np.zeros((2, 2, 2)), np.array([0.5, 0.5])
    for box in (box_probability, box_probability_quick):
        assert box(mean, cov, -limit, limit).tolist() == [pytest.approx(1), pytest.approx(0)]
