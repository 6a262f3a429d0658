"""Tolerances in the shop's own terms: those of a recipe are in the unit of whoever wrote it."""

from __future__ import annotations

from fractions import Fraction

from setupsheets.lengths import Length, Unit

_READ = {Unit.MM: (Fraction(1, 100),), Unit.IN: (Fraction(1, 1000), Fraction(1, 256))}
"""What is read at a glance in each unit: whole multiples of one of these."""


def in_shop_terms(tolerance: Length, unit: Unit) -> Length:
    """A tolerance that reads well in the shop's unit: itself where it does, and else its first two
    figures there, rounded down, so that no limit is ever wider than the recipe's.

    1/64 in, which is 0.396875 mm, becomes 0.39 mm; 0.2 mm becomes .0078 in.
    """
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
