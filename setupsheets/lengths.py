"""Exact lengths: reading them as a shop writes them, and writing them back with nothing lost.

A length is a rational number of millimetres, and one inch is 25.4 mm exactly (the yard is 0.9144 m
since 1 July 1959: addendum of 22 January 1960 to NBS Circular 572), so both units convert exactly.
Binary floating point is refused everywhere: 1/10 has no exact float, and the error would creep on.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable
from dataclasses import dataclass, replace
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from typing import ClassVar, overload

MM_PER_INCH = Fraction(254, 10)
MAX_TEXT = 600  # characters: an exact sum of two terms of MAX_DIGITS each, with room to spare
MAX_DIGITS = 100  # of one number: a shop writes six; exact remainders after conversions run longer
ACCEPTED = (
    '14 11/16, 14-11/16", 14 11/16 in, 1\' 2 1/2", 3/8, 2⅝, .375, 12 mm, 1.5 cm, 1.2 m, -1/32, '
    "3/8 + 1/64"
)

Number = int | Fraction | Decimal

# The grammar:
#
#   length   = [ sign ] term { operator term }
#   sign     = "+" | hyphen                tight against its number
#   operator = "+" | space hyphen space    a hyphen subtracts only with a space on both sides
#   term     = number [ unit ]             which unit holds for a bare number: see read_length
#            | whole foot number inch      1' 2 1/2"
#   number   = whole joint fraction        a mixed number; its fraction is less than 1
#            | fraction | decimal | whole
#   joint    = spaces | hyphen             14-11/16 is fourteen and eleven sixteenths
#            | nothing                     only before a one-character fraction: 2⅝
#   fraction = whole slash whole | one-character fraction
#   decimal  = [ whole ] "." digits
#
# A hyphen is - ‐ ‑ or the minus sign −, and a slash is / ⁄ or ∕. A dash, – or —, is refused: in
# print it means a range. Spaces are spaces, tabs, no-break, thin and the other printers' spaces.

_SPACE = r"[ \t\u00a0\u2000-\u200a\u202f]"
_HYPHEN = r"[-\u2010\u2011\u2212]"
_VULGAR = {
    character: Fraction(unicodedata.normalize("NFKC", character).replace("\u2044", "/"))
    for character in "¼½¾⅐⅑⅒⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞↉"
}
NUMBER = rf"""(?x:
    (?: (?P<whole> [0-9]+ ) (?: {_SPACE}+ | {_HYPHEN} ) )?
    (?P<top> [0-9]+ ) [/⁄∕] (?P<bottom> [0-9]+ )
  | (?: (?P<before> [0-9]+ ) (?: {_SPACE}* | {_HYPHEN} ) )? (?P<vulgar> [{"".join(_VULGAR)}] )
  | (?P<decimal> [0-9]* \. [0-9]+ | [0-9]+ )
)"""

_FOOT = 12 * MM_PER_INCH
_MM_PER = {
    **dict.fromkeys(("in", "inch", "inches", '"', "″", "“", "”"), MM_PER_INCH),
    **dict.fromkeys(("ft", "foot", "feet", "'", "′", "‘", "’"), _FOOT),
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
}

_number = re.compile(NUMBER).match
_unit_word = re.compile(r"[^\W\d_]+|[\"″”“'′‘’]").match
_spaces = re.compile(rf"{_SPACE}*").match
_sign = re.compile(rf"([+]|{_HYPHEN})(?!{_SPACE})").match
_operator = re.compile(rf"{_SPACE}*(?P<plus>[+]){_SPACE}*|{_SPACE}+{_HYPHEN}{_SPACE}+").match
_hyphen = re.compile(_HYPHEN).match
_long_number = re.compile(rf"[0-9]{{{MAX_DIGITS + 1}}}").search


class Unit(StrEnum):
    """A unit a shop works in."""

    IN = "in"
    MM = "mm"


class LengthError(ValueError):
    """A text that is no length: the `text` read, the `column` from 1, and the `reason`."""

    def __init__(self, text: str, column: int, reason: str) -> None:
        super().__init__(text, column, reason)
        self.text, self.column, self.reason = text, column, reason

    def __str__(self) -> str:
        shown = self.text if len(self.text) <= 80 else self.text[:77] + "..."
        return f"{shown!r} is no length: column {self.column}: {self.reason}; accepted: {ACCEPTED}"


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
            return lambda value: _length(_exact(value) * MM_PER_INCH)
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
            return _length(_read(value, None))
        kind = type(value).__name__
        raise TypeError(f"Length() reads text, not {kind}: use Length.inches or Length.millimetres")

    @staticmethod
    def millimetres(value: Number | str) -> Length:
        """The length of `value` millimetres, given as an exact number or the text of one."""
        return _length(_exact(value))

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
            return f"{_mixed(self.inches)} in"
        return f"{_mixed(self._mm) if _places(self._mm) is None else _decimal(self._mm)} mm"

    def __reduce__(self) -> tuple[Callable[[Fraction], Length], tuple[Fraction]]:
        return _length, (self._mm,)

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
        return _length(-self._mm)

    def __abs__(self) -> Length:
        return _length(abs(self._mm))

    def __add__(self, other: Length) -> Length:
        return _length(self._mm + other._mm) if isinstance(other, Length) else NotImplemented

    def __sub__(self, other: Length) -> Length:
        return _length(self._mm - other._mm) if isinstance(other, Length) else NotImplemented

    def __mul__(self, other: Number) -> Length:
        return _length(self._mm * Fraction(other)) if _is_exact(other) else NotImplemented

    __rmul__ = __mul__

    @overload
    def __truediv__(self, other: Length) -> Fraction: ...
    @overload
    def __truediv__(self, other: Number) -> Length: ...
    def __truediv__(self, other: Length | Number) -> Fraction | Length:
        if isinstance(other, Length):
            return self._mm / other._mm
        return _length(self._mm / Fraction(other)) if _is_exact(other) else NotImplemented

    def __floordiv__(self, other: Length) -> int:
        return self._mm // other._mm if isinstance(other, Length) else NotImplemented

    def __mod__(self, other: Length) -> Length:
        return _length(self._mm % other._mm) if isinstance(other, Length) else NotImplemented


def _length(mm: Fraction) -> Length:
    length = object.__new__(Length)
    length._mm = mm
    return length


Length.ZERO = _length(Fraction(0))


def _is_exact(value: object) -> bool:
    return isinstance(value, int | Fraction | Decimal) and not isinstance(value, bool)


def _exact(value: Number | str) -> Fraction:
    """An exact number or the text of one; TypeError for a float, LengthError for other text."""
    if isinstance(value, str):
        _refuse_oversize(value)
        sign = _sign(value)
        number, end = _take_number(value, sign.end() if sign else 0)
        if end != len(value):
            raise LengthError(value, end + 1, "a number alone is expected here")
        return -number if sign and sign[1] != "+" else number
    if not _is_exact(value):
        kind = type(value).__name__
        raise TypeError(f"a {kind} is not exact: give an int, a Fraction, a Decimal or a text")
    return Fraction(value)


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
        return _length(_read(value, unit))
    if not isinstance(value, int | Decimal) or isinstance(value, bool):
        raise LengthError(str(value), 1, f"a {type(value).__name__} is no exact length")
    if isinstance(value, Decimal) and not value.is_finite():
        raise LengthError(str(value), 1, "not a finite number")
    _, digits, exponent = Decimal(value).as_tuple()
    if len(digits) > MAX_DIGITS or not -MAX_DIGITS <= int(exponent) <= MAX_DIGITS:
        raise LengthError(f"{Decimal(value):.6e}", 1, f"a number of more than {MAX_DIGITS} digits")
    return _length(Fraction(value) * _MM_PER[unit])


@dataclass(frozen=True)
class _Term:
    """One term of a sum: `value` in units of `mm_per`, which is None for a bare number."""

    value: Fraction
    mm_per: Fraction | None
    column: int
    feet_and_inches: bool = False


def _read(text: str, unit: Unit | None) -> Fraction:
    """The millimetres that `text` says; without a `unit` it must carry its own."""
    _refuse_oversize(text)
    start = _skip_spaces(text, 0)
    sign = _sign(text, start)
    negative, position = (sign[1] != "+", sign.end()) if sign else (False, start)
    terms = []
    while True:
        term, position = _take_term(text, position)
        terms.append(replace(term, value=-term.value) if negative else term)
        if _skip_spaces(text, position) == len(text):
            return _total(text, terms, unit)
        operator = _operator(text, position)
        if not operator:
            raise _stopped(text, _skip_spaces(text, position))
        negative, position = operator["plus"] is None, operator.end()


def _refuse_oversize(text: str) -> None:
    if len(text) > MAX_TEXT:
        raise LengthError(text, MAX_TEXT + 1, f"longer than {MAX_TEXT} characters")
    if found := _long_number(text):
        raise LengthError(text, found.start() + 1, f"a number of more than {MAX_DIGITS} digits")


def _skip_spaces(text: str, position: int) -> int:
    found = _spaces(text, position)
    return found.end() if found else position


def _take_term(text: str, position: int) -> tuple[_Term, int]:
    column = position + 1
    number, position = _take_number(text, position)
    mm_per, position = _take_unit(text, position)
    second = _skip_spaces(text, position)
    if mm_per != _FOOT or not _number(text, second):
        return _Term(number, mm_per, column), position
    if number.denominator != 1:
        raise LengthError(text, column, "feet followed by inches are a whole number")
    inches, position = _take_number(text, second)
    mm_per, position = _take_unit(text, position)
    if mm_per != MM_PER_INCH:
        raise LengthError(text, second + 1, "after feet come inches with their mark")
    return _Term(12 * number + inches, mm_per, column, feet_and_inches=True), position


def _take_number(text: str, position: int) -> tuple[Fraction, int]:
    found = _number(text, position)
    if not found:
        raise _no_number(text, position)
    if found["decimal"]:
        return Fraction(found["decimal"]), found.end()
    if found["vulgar"]:
        fraction = _VULGAR[found["vulgar"]]
    elif int(found["bottom"]) == 0:
        raise LengthError(text, found.start("bottom") + 1, "a fraction over nought")
    else:
        fraction = Fraction(int(found["top"]), int(found["bottom"]))
    whole = found["whole"] or found["before"]
    if whole and fraction >= 1:
        raise LengthError(text, position + 1, "the fraction of a mixed number is less than 1")
    return int(whole or 0) + fraction, found.end()


def _take_unit(text: str, position: int) -> tuple[Fraction | None, int]:
    start = _skip_spaces(text, position)
    found = _unit_word(text, start)
    if not found or _number(text, start):
        return None, position
    if found[0] not in _MM_PER:
        raise LengthError(text, start + 1, f"{found[0][:20]!r} is no unit of length known here")
    return _MM_PER[found[0]], found.end()


def _no_number(text: str, at: int) -> LengthError:
    if at == len(text):
        return LengthError(text, at + 1, "a number is missing")
    if _hyphen(text, at) or text[at] == "+":
        return LengthError(text, at + 1, "a sign stands at the front, tight against its number")
    return LengthError(text, at + 1, f"a number is expected, not {text[at]!r}")


_STOPS = {  # what may wrongly follow a whole term
    _HYPHEN: "unclear minus: to subtract, put a space on both sides of it",
    NUMBER: "two numbers with nothing between them",
    ",": "no comma is read in a number: write 12.5 for 12,5 and 1200 for 1,200",
    "[/⁄∕]": "a fraction is two whole numbers with one slash tight between them",
    "[–—]": "a dash is no minus: write - with a space on both sides",
}


def _stopped(text: str, at: int) -> LengthError:
    reasons = (reason for pattern, reason in _STOPS.items() if re.match(pattern, text[at:]))
    return LengthError(text, at + 1, next(reasons, f"{text[at]!r} is not understood here"))


def _total(text: str, terms: list[_Term], unit: Unit | None) -> Fraction:
    """The sum in millimetres, once it is settled which unit holds for the bare terms."""
    bare = [term for term in terms if term.mm_per is None]
    shared = terms[-1].mm_per
    if len(bare) == len(terms):
        if unit is None:
            raise LengthError(text, len(text) + 1, "a unit is missing: write 18 in or 450 mm")
        shared = _MM_PER[unit]
    elif bare and (len(bare) < len(terms) - 1 or not shared or terms[-1].feet_and_inches):
        reason = "in a sum every term has its unit, or only the last one (not feet and inches)"
        raise LengthError(text, bare[0].column, reason)
    return sum((term.value * (term.mm_per or shared or 0) for term in terms), Fraction(0))


@dataclass(frozen=True)
class Notation:
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
        if self.unit == Unit.MM and _places(self.finest) is None:
            raise ValueError(f"the finest mark in mm must be a finite decimal, not {self.finest}")

    def round(self, length: Length) -> Length:
        """`length` at the nearest mark; a tie goes to the even mark.

        The even 64th is a whole 32nd: the longer line on the rule, and the easier one to set to.
        And over many lengths such ties drift neither way.
        """
        return _length(self._nearest(length) * _MM_PER[self.unit])

    def write(self, length: Length) -> str:
        """Exact text that reads back the same: `18 3/4 in`, `25/64 in + 3/508 in`, `10.716 mm`.

        Raises LengthError where a number takes more than MAX_DIGITS digits, too long to read back.
        """
        value, nearest = length.mm / _MM_PER[self.unit], self._nearest(length)
        rest = value - nearest
        if not rest or (self._decimal and _places(value) is not None):
            text = f"{self._text(value)} {self.unit}"
        elif not nearest:
            text = f"{self._rest(rest)} {self.unit}"
        else:
            sign = "-" if rest < 0 else "+"
            text = f"{self._text(nearest)} {self.unit} {sign} {self._rest(abs(rest))} {self.unit}"
        _refuse_oversize(text)
        return text

    def mark(self, length: Length) -> str:
        """The nearest mark alone, for a tool that is set by hand to a mark: `25/64 in`."""
        return f"{self._text(self._nearest(length))} {self.unit}"

    def show(self, length: Length) -> str:
        """For people: the nearest mark, with what is over or short where it is not exact.

        `25/64 in +.0031` is 25/64 in and .0031 in more. The remainder is good to a hundredth of
        the finest mark; a smaller one shows as `+<.0001`, never as nothing.
        """
        rest = length.mm / _MM_PER[self.unit] - self._nearest(length)
        if not rest:
            return self.mark(length)
        sign, places = "-" if rest < 0 else "+", _places_for(Fraction(self.finest, 100))
        rounded = round(abs(rest), places)
        short = self._point(rounded) if rounded else "<" + self._point(Fraction(1, 10**places))
        return f"{self.mark(length)} {sign}{short}"

    @property
    def _decimal(self) -> bool:
        """Whether marks are written with a decimal point."""
        return self.unit == Unit.MM or _is_decimal_part(Fraction(self.finest))

    def _nearest(self, length: Length) -> Fraction:
        return round(length.mm / _MM_PER[self.unit] / self.finest) * Fraction(self.finest)

    def _text(self, value: Fraction) -> str:
        return self._point(value) if self._decimal else _mixed(value)

    def _rest(self, value: Fraction) -> str:
        """A remainder: `.002375`, or `1/128` where it is a finer mark, or `1/3` where it must."""
        return self._point(value) if _is_decimal_part(value) else _mixed(value)

    def _point(self, value: Fraction) -> str:
        """A decimal as the trade prints it: `.375` in inches, `0.375` in millimetres."""
        text = _decimal(value)
        return text if self.unit == Unit.MM else re.sub(r"^(-?)0\.", r"\1.", text)


def _places(value: Fraction) -> int | None:
    """How many decimal places write `value` exactly; None for more than twelve."""
    return next((n for n in range(13) if 10**n % value.denominator == 0), None)


def _is_decimal_part(value: Fraction) -> bool:
    """Whether `value` is exact in decimals and not a division by halving, as on an inch rule."""
    return bool(value.denominator & (value.denominator - 1)) and _places(value) is not None


def _places_for(step: Fraction) -> int:
    """The fewest decimal places whose last one is no coarser than `step`."""
    return next(n for n in range(MAX_DIGITS) if step * 10**n >= 1)


def _decimal(value: Fraction) -> str:
    """Exact decimal text of a `value` for which `_places` is known."""
    places = _places(value) or 0
    whole, part = divmod(abs(value.numerator) * 10**places // value.denominator, 10**places)
    return ("-" if value < 0 else "") + (f"{whole}.{part:0{places}}" if places else f"{whole}")


def _mixed(value: Fraction) -> str:
    """`18 3/4`, `-3/4`, `2`, `0`."""
    whole, top = divmod(abs(value.numerator), value.denominator)
    fraction = f"{top}/{value.denominator}" if top else ""
    text = f"{whole} {fraction}".rstrip() if whole or not top else fraction
    return ("-" if value < 0 else "") + text
