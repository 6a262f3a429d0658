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
} | {
    Length(f"{inches} in"): Length(f"{metric} mm")
    for inches, metric in (("1/8", 3), ("3/8", 9), ("1/2", 12), ("1 1/4", 30))
}
"""What a metric shop says where an inch shop says a usual fraction of an inch: common practice, no
source."""
_INCH = Length("25 mm")
"""What it says for a whole inch, so that a foot is 300 mm: common practice, no source."""


def in_shop_terms(length: Length, unit: Unit) -> Length:
    """A tolerance, allowance or usual size as a shop of that unit would give it: itself where it
    reads well there, the metric one for a usual fraction of an inch and for whole inches, and else
    its first two figures, rounded down.

    1/64 in, which is 0.396875 mm, becomes 0.4 mm; 0.2 mm becomes .0078 in.
    """
    if unit is Unit.MM and length in _METRIC:
        return _METRIC[length]
    if unit is Unit.MM and length and (inches := length / Length.inches(1)).denominator == 1:
        return _INCH * inches
    one = Length.millimetres(1) if unit is Unit.MM else Length.inches(1)
    value: Fraction = length / one
    if value <= 0 or any((value / step).denominator == 1 for step in _READ[unit]):
        return length
    step = Fraction(1)
    while value / step >= 100:
        step *= 10
    while value / step < 10:
        step /= 10
    return one * (value // step * step)
