"""Reading a length's text: the grammar, the units, and why anything else is refused."""

from __future__ import annotations

import re
import unicodedata
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from msgspec import Struct
from msgspec.structs import replace

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
MM_PER = {
    **dict.fromkeys(("in", "inch", "inches", '"', "″", "“", "”"), MM_PER_INCH),
    **dict.fromkeys(("ft", "foot", "feet", "'", "′", "‘", "’"), _FOOT),
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
}

_number = re.compile(NUMBER).match
_unit_word = re.compile(r"[^\W\d_]+|[\"″”“'′‘’]").match
_spaces = re.compile(rf"{_SPACE}*").match
take_sign = re.compile(rf"([+]|{_HYPHEN})(?!{_SPACE})").match
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


def is_exact(value: object) -> bool:
    """Whether a value is an exact number: no float, and no bool."""
    return isinstance(value, int | Fraction | Decimal) and not isinstance(value, bool)


def exact_fraction(value: Number | str) -> Fraction:
    """An exact number or the text of one; TypeError for a float, LengthError for other text."""
    if isinstance(value, str):
        refuse_oversize(value)
        sign = take_sign(value)
        number, end = take_number(value, sign.end() if sign else 0)
        if end != len(value):
            raise LengthError(value, end + 1, "a number alone is expected here")
        return -number if sign and sign[1] != "+" else number
    if not is_exact(value):
        kind = type(value).__name__
        raise TypeError(f"a {kind} is not exact: give an int, a Fraction, a Decimal or a text")
    return Fraction(value)


class _Term(Struct, frozen=True):
    """One term of a sum: `value` in units of `mm_per`, which is None for a bare number."""

    value: Fraction
    mm_per: Fraction | None
    column: int
    feet_and_inches: bool = False


def read_millimetres(text: str, unit: Unit | None) -> Fraction:
    """The millimetres that `text` says; without a `unit` it must carry its own."""
    refuse_oversize(text)
    start = _skip_spaces(text, 0)
    sign = take_sign(text, start)
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


def refuse_oversize(text: str) -> None:
    """Raise LengthError for a text or a number too long to be read."""
    if len(text) > MAX_TEXT:
        raise LengthError(text, MAX_TEXT + 1, f"longer than {MAX_TEXT} characters")
    if found := _long_number(text):
        raise LengthError(text, found.start() + 1, f"a number of more than {MAX_DIGITS} digits")


def _skip_spaces(text: str, position: int) -> int:
    found = _spaces(text, position)
    return found.end() if found else position


def _take_term(text: str, position: int) -> tuple[_Term, int]:
    column = position + 1
    number, position = take_number(text, position)
    mm_per, position = _take_unit(text, position)
    second = _skip_spaces(text, position)
    if mm_per != _FOOT or not _number(text, second):
        return _Term(number, mm_per, column), position
    if number.denominator != 1:
        raise LengthError(text, column, "feet followed by inches are a whole number")
    inches, position = take_number(text, second)
    mm_per, position = _take_unit(text, position)
    if mm_per != MM_PER_INCH:
        raise LengthError(text, second + 1, "after feet come inches with their mark")
    return _Term(12 * number + inches, mm_per, column, feet_and_inches=True), position


def take_number(text: str, position: int) -> tuple[Fraction, int]:
    """The number at a position and where it ends; LengthError where there is none."""
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
    if found[0] not in MM_PER:
        raise LengthError(text, start + 1, f"{found[0][:20]!r} is no unit of length known here")
    return MM_PER[found[0]], found.end()


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
        shared = MM_PER[unit]
    elif bare and (len(bare) < len(terms) - 1 or not shared or terms[-1].feet_and_inches):
        reason = "in a sum every term has its unit, or only the last one (not feet and inches)"
        raise LengthError(text, bare[0].column, reason)
    return sum((term.value * (term.mm_per or shared or 0) for term in terms), Fraction(0))
