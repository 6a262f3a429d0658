"""Plain scalars by the core schema of YAML 1.2.2 (section 10.3.2), decimals kept as written.

Unlike the core schema a decimal becomes a `decimal.Decimal`, never a binary float, and the
infinities and "not a number" stay text: nothing in a shop measures that.
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Callable
from decimal import Decimal

from setupsheets.files.faults import shown

Scalar = str | int | Decimal | bool | None

MOST_DIGITS = 100
LARGEST_EXPONENT = 100

_CONSTANTS: dict[str, bool | None] = {
    **dict.fromkeys(("", "~", "null", "Null", "NULL"), None),
    **dict.fromkeys(("true", "True", "TRUE"), True),
    **dict.fromkeys(("false", "False", "FALSE"), False),
}
_whole = re.compile(r"[-+]?[0-9]+").fullmatch
_decimal = re.compile(r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?").fullmatch
_octal = re.compile(r"0o[0-7]+").fullmatch
_hexadecimal = re.compile(r"0x[0-9a-fA-F]+").fullmatch
is_date = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}").fullmatch
"""Whether a text has the form of a date; whether a calendar has it is for `read_date`."""


def plain_scalar(text: str) -> Scalar:
    """The value of an unquoted scalar.

    Raises ValueError, in words for the user, for a date that no calendar has and for a number
    beyond any use.
    """
    if text in _CONSTANTS:
        return _CONSTANTS[text]
    if text[0] not in "+-.0123456789":
        return text
    if is_date(text):
        return read_date(text).isoformat()
    if _whole(text):
        return _number(text, int)
    if _decimal(text):
        return _number(text, Decimal)
    if _octal(text):
        return _number(text, lambda digits: int(digits, 8))
    if _hexadecimal(text):
        return _number(text, lambda digits: int(digits, 16))
    return text


def read_date(value: object) -> datetime.date:
    """A calendar date as ISO 8601 writes it; raises ValueError for anything else."""
    if not isinstance(value, str) or not is_date(value):
        raise ValueError(f"expected a date such as 2024-05-31, found {shown(value)}")
    try:
        return datetime.date.fromisoformat(value)
    except ValueError as error:
        raise ValueError(f"{value} is no date: {error}") from None


def _number(text: str, read: Callable[[str], int | Decimal]) -> int | Decimal:
    if len(text) > MOST_DIGITS:
        raise ValueError(f"a number of {len(text)} characters; at most {MOST_DIGITS} are read")
    value = read(text)
    if isinstance(value, Decimal) and value and abs(value.adjusted()) > LARGEST_EXPONENT:
        raise ValueError(f"{text} is beyond any use as a number")
    return value
