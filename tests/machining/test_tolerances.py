"""Tolerances of recipes in a shop of the other unit: they read well and are hardly ever wider."""

from __future__ import annotations

from fractions import Fraction
from types import SimpleNamespace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from setupsheets.lengths import Length, Notation, Unit
from setupsheets.machining.planning.evaluation import _in_shop_sizes
from setupsheets.shop.recipes import Makes
from setupsheets.shop.shop_terms import in_shop_terms
from tests.machining.shipped_shop import plan

MM = Notation(Unit.MM, Fraction(1, 2))
INCH = Notation(Unit.IN, Fraction(1, 64))

# Conversions by the exact inch of 25.4 mm (ISO 31-1): 0.2 mm is .007874, 0.5 mm .019685 in. A
# halved inch is what a metric shop says in its place: common practice, no source.
CASES = [
    (MM, "1/128 in", "0.2 mm"),
    (MM, "1/64 in", "0.4 mm"),
    (MM, "1/32 in", "0.8 mm"),
    (MM, "1/16 in", "1.5 mm"),
    (MM, "0.25 mm", "0.25 mm"),
    (MM, "0.005 in", "0.12 mm"),
    (MM, "1/2 in", "12 mm"),
    (MM, "0 in", "0 mm"),
    (MM, "1 in", "25 mm"),
    (MM, "6 in", "150 mm"),
    (MM, "24 in", "600 mm"),
    (INCH, "0.2 mm", "0.0078 in"),
    (INCH, "0.5 mm", "0.019 in"),
    (INCH, "1/128 in", "1/128 in"),
    (INCH, "0.004 in", "0.004 in"),
    (INCH, "127 mm", "5 in"),
]


@pytest.mark.parametrize(("notation", "recipe", "shop"), CASES)
def test_a_tolerance_reads_well_in_the_shop(notation: Notation, recipe: str, shop: str) -> None:
    assert in_shop_terms(Length(recipe), notation.unit) == Length(shop)


@pytest.mark.parametrize(
    ("default", "inch", "metric"),
    [
        ("63/64 in", "63/64 in", "63/64 in"),
        ("1 in", "1 in", "25 mm"),
        ("24 in", "24 in", "600 mm"),
        ("12 mm", "12 mm", "12 mm"),
    ],
)
def test_a_recipe_s_own_number_is_the_shop_s_from_an_inch_on(
    default: str, inch: str, metric: str
) -> None:
    """What is finer belongs to a joint and stays: common practice, no source."""
    for unit, told in ((Unit.IN, inch), (Unit.MM, metric)):
        shop: Any = SimpleNamespace(settings=SimpleNamespace(unit=unit))
        assert _in_shop_sizes(Length(default), shop) == Length(told)


def test_all_cases_are_there() -> None:
    assert len(CASES) == 16


@given(st.fractions(min_value=0, max_value=200, max_denominator=10_000))
def test_no_limit_is_ever_wider_nor_much_narrower(millimetres: Fraction) -> None:
    """Two figures rounded down lose less than a tenth. A halved inch, which has a metric figure of
    its own, is among CASES: 1/128 in is 0.1984375 mm, and 0.2 mm wider by less than a hundredth."""
    tolerance = Length.millimetres(millimetres)
    for notation in (MM, INCH):
        shown = in_shop_terms(tolerance, notation.unit)
        assert tolerance * Fraction(9, 10) <= shown <= tolerance


def test_a_metric_plan_has_metric_tolerances() -> None:
    found = {
        each
        for item in plan("ovolo", "metric", {}).set_ups
        for measurement in item.measurements
        for each in (measurement.under, measurement.over)
    }
    assert found == {Length(f"{figure} mm") for figure in ("0.2", "0.4", "0.8", "1.5", "3")}


@pytest.mark.parametrize("recipe", ["rebate-nibbled", "rebate-dado-stack"])
@pytest.mark.parametrize(("unit", "over"), [("metric", "2 mm"), ("inch", "1/16 in")])
def test_a_fence_is_let_in_by_what_a_rule_reads(recipe: str, unit: str, over: str) -> None:
    """Over the blade, or the stack, by what rough wood is measured to: common practice, no
    source."""
    made = plan("ovolo", unit, {Makes.REBATE: recipe})
    (section,) = {each.subject.section for each in made.set_ups if each.recipe.name == recipe}
    found = {
        jig.sizes["recess_height"]
        for each in made.operations
        for jig in each.jigs
        if jig.name == "wooden fence"
    }
    assert section and found == {section.rebate.depth + Length(over)}
