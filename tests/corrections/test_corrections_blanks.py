"""How long to leave the first blanks."""

from math import sqrt

import pytest
from scipy import stats

from setupsheets.corrections.first_blanks import first_allowance
from tests.corrections.made_up_shop import bar_causes, bar_measurements, plain, plainly, wood


# JCGM 100:2008 (GUM), annex H.1, the end gauge, read in a national laboratory's recomputation; a
# stack of three (F. Scholz, Tolerance Stack Analysis Methods, 1995, for the notation; computed).
@pytest.mark.parametrize(
    ("links", "stack", "within"),
    [
        ([(1, 25), (1, 5.8), (1, 3.9), (1, 6.7), (1, 2.9), (1, 16.6)], 32, 0.5),
        ([(-1, 0.10), (1, 0.15), (1, 0.20)], 0.269, 5e-4),
    ],
)
def test_spreads_of_a_chain_add_in_squares(
    links: list[tuple[int, float]], stack: float, within: float
) -> None:
    causes = [plain(str(i), sd=sd) for i, (_, sd) in enumerate(links)]
    rows = {str(i): float(sign) for i, (sign, _) in enumerate(links)}
    measurement = plainly("a", rows, tolerance=100)
    found = first_allowance([measurement], causes, str(len(links) - 1), 0.95)
    assert found / stats.norm.ppf(0.95) == pytest.approx(stack, abs=within)


def test_allowance_is_a_quantile_of_the_chain() -> None:
    blanks = wood("length", sd=0.5, scatter=0.1)
    rows = {"stop": -2.0, "length": 1.0}
    measurement = plainly("a", rows, scatter=0.2)
    sd = sqrt((2 * 0.4) ** 2 + 0.5**2 + 0.1**2 + 0.2**2)
    for certainty in (0.9, 0.95, 0.99):
        found = first_allowance([measurement], [plain("stop"), blanks], "length", certainty)
        assert found == pytest.approx(stats.norm.ppf(certainty) * sd, rel=1e-9)


def test_more_lengths_from_one_blank_ask_for_more() -> None:
    causes, measurements = bar_causes(), bar_measurements()
    one = first_allowance(measurements[:1], causes, "blank length")
    three = first_allowance(measurements[:3], causes, "blank length")
    assert 0 < one < three
    factor = stats.norm.ppf(1 - 0.05 / 3) / stats.norm.ppf(0.95)
    assert three == pytest.approx(one * factor, rel=1e-9)


def test_blanks_that_come_out_long_anyway_need_nothing() -> None:
    blanks, stop = wood("length", sd=0.1), plain("stop", sd=0.1, mean=-3.0)
    measurement = plainly("a", {"stop": -2.0, "length": 1.0})
    assert first_allowance([measurement], [stop, blanks], "length") == 0.0


def test_allowances_refused() -> None:
    causes, measurements = bar_causes(), bar_measurements()
    with pytest.raises(ValueError, match="no measurement depends on 'fence post'"):
        first_allowance(measurements, causes, "fence post")
    for certainty in (0.0, 1.0):
        with pytest.raises(ValueError, match="between 0 and 1"):
            first_allowance(measurements, causes, "blank length", certainty)
