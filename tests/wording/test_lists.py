"""Names in a row: what separates them is never what stands in them (a rule of punctuation: where
items have commas of their own, semicolons part them)."""

from __future__ import annotations

from fractions import Fraction

import pytest

from setupsheets.lengths import Notation, Unit
from setupsheets.wording.lists import counted, either, listed
from setupsheets.wording.sentences import fill

UPPER, LOWER = "upright bar, field 1", "upright bar, field 2"


@pytest.mark.parametrize(
    ("names", "told"),
    [
        ((), ""),
        (("stile",), "stile"),
        (("stile", "top rail"), "stile and top rail"),
        (("stile", "top rail", "cross bar"), "stile, top rail and cross bar"),
        ((UPPER, LOWER), "upright bar, field 1; and upright bar, field 2"),
        ((UPPER, "cross bar", LOWER), "upright bar, field 1; cross bar; and upright bar, field 2"),
    ],
)
def test_names_in_a_row(names: tuple[str, ...], told: str) -> None:
    assert listed(names) == told
    assert either(names) == told.replace(" and ", " or ")


def test_counts_in_a_row() -> None:
    assert counted({"stile": 2, "cross bar": 1}) == "2 × stile, 1 × cross bar"
    assert counted({UPPER: 2, "cross bar": 1}) == "2 × upright bar, field 1; 1 × cross bar"


def test_names_in_a_sentence() -> None:
    notation = Notation(Unit.MM, Fraction(1, 2))
    assert fill("({of:, })", {"of": ("stile", "cross bar")}, notation) == "(stile, cross bar)"
    assert fill("({of:, })", {"of": (UPPER, "stile")}, notation) == f"({UPPER}; stile)"
