"""How a shop writes lengths: its unit and its finest mark."""

from __future__ import annotations

import re
from fractions import Fraction
from functools import lru_cache
from math import floor

from msgspec import Struct

from setupsheets.lengths.digits import (
    decimal_text,
    is_decimal_part,
    mixed_text,
    places_for,
    places_of,
)
from setupsheets.lengths.grammar import MM_PER, Unit, refuse_oversize
from setupsheets.lengths.length import Length, of_mm

MINUS = "−"
"""What stands before a length under nought that a person reads; files have a hyphen."""
_FEW_PLACES = 4  # a decimal of an inch that a caliper or a feeler gauge says
_FEW_PLACES_MM = 2  # of a millimetre, likewise
_READ_PLACES = 3  # of an inch, as a caliper is read
_HALVED = 128  # of an inch, in a small length: half the finest mark of a rule
_HALVED_TOLERANCE = 256  # a person chose it so


class Notation(Struct, frozen=True):
    """How a shop writes: its `unit`, and the `finest` mark it works to in that unit (1/64 in).

    Inches are divided by halving and written as fractions, unless `finest` is a decimal part
    (1/1000); millimetres are written as decimals. Raises ValueError for a `finest` that is not
    positive, or in millimetres no finite decimal.
    """

    unit: Unit
    finest: Fraction

    def __post_init__(self) -> None:
        if not isinstance(self.finest, Fraction | int):
            raise TypeError(f"the finest mark is an exact Fraction, not {self.finest!r}")
        if self.finest <= 0:
            raise ValueError(f"the finest mark must be more than nought, not {self.finest}")
        if self.unit == Unit.MM and places_of(self.finest) is None:
            raise ValueError(f"the finest mark in mm must be a finite decimal, not {self.finest}")

    @property
    def finest_mark(self) -> Length:
        """The finest mark as a length."""
        return of_mm(self.finest * MM_PER[self.unit])

    def round(self, length: Length) -> Length:
        """The length to work to by rule: `length` at the nearest mark, a tie at the even mark.

        The even 64th is a whole 32nd: the longer line on the rule, and the easier one to set to.
        And over many lengths such ties drift neither way.
        """
        return of_mm(self._nearest(length) * MM_PER[self.unit])

    def write(self, length: Length) -> str:
        """For files and JSON: exact text that reads back the same, `18 3/4 in`, `10.716 mm`,
        `25/64 in + 3/508 in`.

        A decimal of few places that is on no mark stays one: `.381 in`.

        Raises LengthError where a number takes more than MAX_DIGITS digits, too long to read back.
        """
        value, nearest = length.mm / MM_PER[self.unit], self._nearest(length)
        rest = value - nearest
        if not rest or (self._writes_decimals and places_of(value) is not None):
            text = f"{self._text(value)} {self.unit}"
        elif not nearest or (is_decimal_part(value) and (places_of(value) or 0) <= _FEW_PLACES):
            text = f"{self._rest(value)} {self.unit}"
        else:
            sign = "-" if rest < 0 else "+"
            text = f"{self._text(nearest)} {self.unit} {sign} {self._rest(abs(rest))} {self.unit}"
        refuse_oversize(text)
        return text

    def mark(self, length: Length) -> str:
        """For a tool that is set by hand to a mark: the nearest mark alone, `25/64 in`."""
        return _signed(f"{self._text(self._nearest(length))} {self.unit}")

    def show(self, length: Length) -> str:
        """For people, a size, never with a sign that reads as a tolerance.

        Millimetres are a decimal, `10.25 mm`, to a hundredth or a tenth of the finest mark. Inches
        between two marks are the nearer mark and what it is over or under, in the trade's words:
        `25/64 in full by .003 in`, `1/32 in scant by .008 in`, to a thousandth. What is less than
        that is not told: nobody sets or measures it.
        """
        return _shown(self, length)

    def dialled(self, length: Length, finest: Length) -> str:
        """For a dial: the figure by the dial's `finest` move where that is finer than the shop's
        marks, `51/128 in`, and not `25/64 in` with something over."""
        move = finest.mm / MM_PER[self.unit]
        halved = not move.denominator & (move.denominator - 1)
        if move >= self.finest or (self.unit is Unit.IN and not halved):
            return self.show(length)
        try:
            return Notation(self.unit, move).show(length)
        except ValueError:  # a dial of the other system, no decimal in this one
            return self.show(length)

    def small(self, length: Length, *, down: bool = False) -> str:
        """For a tolerance, spread, gap or error: `1/64 in`, `.012 in`, `0.19 mm`.

        Exact where that is short: inches halved down to 128ths (a tolerance, to 256ths) or a
        decimal of four places, millimetres in two. Else to a thousandth of an inch or a
        hundredth of a mm, the nearest, or with `down` none wider: a tolerance is not widened by
        writing it. What comes to none of these shows as `<.001 in`, never as nothing.
        """
        value = abs(length.mm) / MM_PER[self.unit]
        sign = MINUS if length < Length.ZERO else ""
        if self._is_short(value, _HALVED_TOLERANCE if down else _HALVED):
            text = self._text(value) if self._writes_decimals else self._rest(value)
            return f"{sign}{text} {self.unit}"
        places = 3 if self.unit is Unit.IN else 2
        steps = (floor if down else round)(value * 10**places)
        text = f"{max(steps, 1) / 10**places:.{places}f} {self.unit}"
        short = text if self.unit is Unit.MM else text.removeprefix("0")
        return f"{sign}{short}" if steps else f"<{short}"

    def _is_short(self, value: Fraction, halved: int) -> bool:
        places = places_of(value)
        if not self._writes_decimals and halved % value.denominator == 0:
            return True
        few = _FEW_PLACES_MM if self.unit is Unit.MM else _FEW_PLACES
        return places is not None and places <= few

    @property
    def _writes_decimals(self) -> bool:
        """Whether marks are written with a decimal point."""
        return self.unit == Unit.MM or is_decimal_part(Fraction(self.finest))

    def _nearest(self, length: Length) -> Fraction:
        return _nearest_mark(length.mm, self.unit, self.finest)

    def _text(self, value: Fraction) -> str:
        return self._point(value) if self._writes_decimals else mixed_text(value)

    def _rest(self, value: Fraction) -> str:
        """A remainder: `.002375`, or `1/128` where it is a finer mark, or `1/3` where it must."""
        return self._point(value) if is_decimal_part(value) else mixed_text(value)

    def _point(self, value: Fraction) -> str:
        """A decimal as the trade prints it: `.375` in inches, `0.375` in millimetres."""
        text = decimal_text(value)
        return text if self.unit == Unit.MM else re.sub(r"^(-?)0\.", r"\1.", text)


def _signed(text: str) -> str:
    return text.replace("-", MINUS, 1) if text.startswith("-") else text


@lru_cache(maxsize=10_000)
def _nearest_mark(mm: Fraction, unit: Unit, finest: Fraction) -> Fraction:
    return round(mm / MM_PER[unit] / finest) * Fraction(finest)


@lru_cache(maxsize=10_000)
def _shown(notation: Notation, length: Length) -> str:
    value, places = length.mm / MM_PER[notation.unit], _READ_PLACES
    if notation._writes_decimals:
        few = _FEW_PLACES_MM if notation.unit is Unit.MM else _READ_PLACES
        places = max(places_for(Fraction(notation.finest, 10)), few)
    rest = round(value - notation._nearest(length), places)
    if not rest:
        return notation.mark(length)
    if notation._writes_decimals:
        return _signed(f"{notation._point(round(value, places))} {notation.unit}")
    over = "full" if (rest > 0) == (value >= 0) else "scant"
    if not notation._nearest(length):
        return _signed(f"{notation._point(rest)} {notation.unit}")
    return f"{notation.mark(length)} {over} by {notation._point(abs(rest))} {notation.unit}"
