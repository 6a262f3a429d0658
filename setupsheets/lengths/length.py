"""The exact length itself."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from fractions import Fraction
from typing import ClassVar, overload

from setupsheets.lengths.digits import decimal_text, mixed_text, places_of
from setupsheets.lengths.grammar import (
    MAX_DIGITS,
    MM_PER,
    MM_PER_INCH,
    LengthError,
    Number,
    Unit,
    exact_fraction,
    is_exact,
    read_millimetres,
)

MOST_MM = 100_000
"""Longer than anything that is made, set or bought."""


class _Inches:
    """`Length.inches(3)` makes a length and `length.inches` reads one: the word serves both."""

    @overload
    def __get__(self, instance: None, owner: type) -> Callable[[Number | str], Length]: ...
    @overload
    def __get__(self, instance: Length, owner: type) -> Fraction: ...
    def __get__(
        self, instance: Length | None, owner: type
    ) -> Callable[[Number | str], Length] | Fraction:
        if instance is None:
            return lambda value: of_mm(exact_fraction(value) * MM_PER_INCH)
        return instance.mm / MM_PER_INCH


class Length:
    """An exact length; immutable, like `fractions.Fraction`, but with a unit's meaning.

    Lengths add to lengths, scale by exact numbers, and divide by lengths into a `Fraction`.
    Anything else, a float first of all, raises TypeError.
    """

    __slots__ = ("_mm",)
    _mm: Fraction
    ZERO: ClassVar[Length]
    inches = _Inches()

    def __new__(cls, value: str | Length) -> Length:
        """Read a text that carries its unit, such as `18 3/4 in`; LengthError if it does not."""
        if isinstance(value, Length):
            return value
        if isinstance(value, str):
            return of_mm(read_millimetres(value, None))
        kind = type(value).__name__
        raise TypeError(f"Length() reads text, not {kind}: use Length.inches or Length.millimetres")

    @staticmethod
    def millimetres(value: Number | str) -> Length:
        """The length of `value` millimetres, given as an exact number or the text of one."""
        return of_mm(exact_fraction(value))

    @staticmethod
    def from_float(mm: float, places: int = 6) -> Length:
        """The length nearest to a worked figure of so many millimetres, to so many decimal places.

        The one way from floats back to lengths: a millionth of a mm is below anything that is
        told, and far above the error of the arithmetic.
        """
        return of_mm(Fraction(round(mm * 10**places), 10**places))

    def rounded_to(self, step: Length) -> Length:
        """The nearest whole multiple of a step, such as a dial's finest move; a tie is even."""
        return round(self / step) * step

    @property
    def mm(self) -> Fraction:
        """The exact number of millimetres; numeric code takes `float(length.mm)`."""
        return self._mm

    def __repr__(self) -> str:
        """Rebuilds the length, up to MAX_DIGITS."""
        return f"Length({str(self)!r})"

    def __str__(self) -> str:
        """Exact text in whichever unit makes the simpler fraction, inches on a tie."""
        if self.inches.denominator <= self._mm.denominator:
            return f"{mixed_text(self.inches)} in"
        return (
            f"{mixed_text(self._mm) if places_of(self._mm) is None else decimal_text(self._mm)} mm"
        )

    def __reduce__(self) -> tuple[Callable[[Fraction], Length], tuple[Fraction]]:
        return of_mm, (self._mm,)

    def __hash__(self) -> int:
        return hash((Length, self._mm))

    def __bool__(self) -> bool:
        return bool(self._mm)

    def __eq__(self, other: object) -> bool:
        return self._mm == other._mm if isinstance(other, Length) else NotImplemented

    # Python takes > and >= from these two, with the sides exchanged.
    def __lt__(self, other: Length) -> bool:
        return self._mm < other._mm if isinstance(other, Length) else NotImplemented

    def __le__(self, other: Length) -> bool:
        return self._mm <= other._mm if isinstance(other, Length) else NotImplemented

    def __neg__(self) -> Length:
        return of_mm(-self._mm)

    def __abs__(self) -> Length:
        return of_mm(abs(self._mm))

    def __add__(self, other: Length) -> Length:
        return of_mm(self._mm + other._mm) if isinstance(other, Length) else NotImplemented

    def __sub__(self, other: Length) -> Length:
        return of_mm(self._mm - other._mm) if isinstance(other, Length) else NotImplemented

    def __mul__(self, other: Number) -> Length:
        return of_mm(self._mm * Fraction(other)) if is_exact(other) else NotImplemented

    __rmul__ = __mul__

    @overload
    def __truediv__(self, other: Length) -> Fraction: ...
    @overload
    def __truediv__(self, other: Number) -> Length: ...
    def __truediv__(self, other: Length | Number) -> Fraction | Length:
        if isinstance(other, Length):
            return self._mm / other._mm
        return of_mm(self._mm / Fraction(other)) if is_exact(other) else NotImplemented

    def __floordiv__(self, other: Length) -> int:
        return self._mm // other._mm if isinstance(other, Length) else NotImplemented

    def __mod__(self, other: Length) -> Length:
        return of_mm(self._mm % other._mm) if isinstance(other, Length) else NotImplemented


def of_mm(mm: Fraction) -> Length:
    """The length of so many millimetres, without a check."""
    length = object.__new__(Length)
    length._mm = mm
    return length


Length.ZERO = of_mm(Fraction(0))


def read_length(value: str | int | Decimal, unit: Unit) -> Length:
    """The length that `value` says; a bare number is in `unit`, the shop's unit.

    A YAML reader's int or Decimal is a bare number. In a sum either every term has its unit, or
    only the last one, which then holds for all, or none, and the shop's unit holds. A hyphen tight
    between a whole number and its fraction makes a mixed number (`14-11/16`); a minus with a space
    on both sides subtracts; a minus with a space on one side only is refused as unclear. The
    grammar stands at the head of this module.

    Raises LengthError for everything else, a bool and a float included.
    """
    if isinstance(value, str):
        return of_mm(read_millimetres(value, unit))
    if not isinstance(value, int | Decimal) or isinstance(value, bool):
        raise LengthError(str(value), 1, f"a {type(value).__name__} is no exact length")
    if isinstance(value, Decimal) and not value.is_finite():
        raise LengthError(str(value), 1, "not a finite number")
    _, digits, exponent = Decimal(value).as_tuple()
    if len(digits) > MAX_DIGITS or not -MAX_DIGITS <= int(exponent) <= MAX_DIGITS:
        raise LengthError(f"{Decimal(value):.6e}", 1, f"a number of more than {MAX_DIGITS} digits")
    return of_mm(Fraction(value) * MM_PER[unit])


def read_shop_length(value: str | int | Decimal, unit: Unit) -> Length:
    """The same for what is typed or stands in a file of a shop, where a length of more than 100 m
    is a slip of the hand: LengthError."""
    length = read_length(value, unit)
    if abs(length.mm) > MOST_MM:
        raise LengthError(str(value), 1, "longer than 100 m, which nothing in a shop is")
    return length
