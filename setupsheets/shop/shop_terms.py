"""Tolerances and allowances in the shop's own terms: a recipe has them in its writer's unit."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from setupsheets.lengths import Length, Unit

_READ = {Unit.MM: (Fraction(1, 100),), Unit.IN: (Fraction(1, 1000), Fraction(1, 256))}
"""What is read at a glance in each unit: whole multiples of one of these."""
_METRIC: Mapping[Length, Length] = {
    Length(f"1/{part} in"): Length(f"{metric} mm")
    for part, metric in ((256, "0.1"), (128, "0.2"), (64, "0.4"), (32, "0.8"), (16, "1.5"))
} | {Length("1/8 in"): Length("3 mm"), Length("12 in"): Length("300 mm")}
"""What a metric shop says where an inch shop says a halved inch or a foot: common practice, no
source."""


def in_shop_terms(tolerance: Length, unit: Unit) -> Length:
    """A tolerance or allowance as a shop of that unit would give it: itself where it reads well
    there, the metric one for a halved inch or a foot, and else its first two figures, rounded down.

    1/64 in, which is 0.396875 mm, becomes 0.4 mm; 0.2 mm becomes .0078 in.
    """
    if unit is Unit.MM and tolerance in _METRIC:
        return _METRIC[tolerance]
    one = Length.millimetres(1) if unit is Unit.MM else Length.inches(1)
    value: Fraction = tolerance / one
    if value <= 0 or any((value / step).denominator == 1 for step in _READ[unit]):
        return tolerance
    step = Fraction(1)
    while value / step >= 100:
        step *= 10
    while value / step < 10:
        step /= 10
    return one * (value // step * step)
