"""Exact numbers as digits: decimals, mixed numbers, and which of them a value can be."""

from __future__ import annotations

from fractions import Fraction

from setupsheets.lengths.grammar import MAX_DIGITS


def places_of(value: Fraction) -> int | None:
    """How many decimal places write `value` exactly; None for more than twelve."""
    return next((n for n in range(13) if 10**n % value.denominator == 0), None)


def is_decimal_part(value: Fraction) -> bool:
    """Whether `value` is exact in decimals and not a division by halving, as on an inch rule."""
    return bool(value.denominator & (value.denominator - 1)) and places_of(value) is not None


def places_for(step: Fraction) -> int:
    """The fewest decimal places whose last one is no coarser than `step`."""
    top, bottom = step.numerator, step.denominator
    return next(n for n in range(MAX_DIGITS) if top * 10**n >= bottom)


def decimal_text(value: Fraction) -> str:
    """Exact decimal text of a `value` for which `places_of` is known."""
    places = places_of(value) or 0
    whole, part = divmod(abs(value.numerator) * 10**places // value.denominator, 10**places)
    return ("-" if value < 0 else "") + (f"{whole}.{part:0{places}}" if places else f"{whole}")


def mixed_text(value: Fraction) -> str:
    """`18 3/4`, `-3/4`, `2`, `0`."""
    whole, top = divmod(abs(value.numerator), value.denominator)
    fraction = f"{top}/{value.denominator}" if top else ""
    text = f"{whole} {fraction}".rstrip() if whole or not top else fraction
    return ("-" if value < 0 else "") + text
