"""Plain scalars by the core schema of YAML 1.2.2 (section 10.3.2), decimals kept as written.

Unlike the core schema a decimal becomes a `decimal.Decimal`, never a binary float, and the
infinities and "not a number" stay text: nothing in a shop measures that.
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Callable
from decimal import Decimal

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
_date = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}").fullmatch


def plain_scalar(text: str) -> Scalar:
    """The value of an unquoted scalar.

    Raises ValueError, in words for the user, for a date that no calendar has and for a number
    beyond any use.
    """
    if text in _CONSTANTS:
        return _CONSTANTS[text]
    if text[0] not in "+-.0123456789":
        return text
    if _date(text):
        return _checked_date(text)
    if _whole(text):
        return _number(text, int)
    if _decimal(text):
        return _number(text, Decimal)
    if _octal(text):
        return _number(text, lambda digits: int(digits, 8))
    if _hexadecimal(text):
        return _number(text, lambda digits: int(digits, 16))
    return text


def _checked_date(text: str) -> str:
    try:
        datetime.date.fromisoformat(text)
    except ValueError as error:
        raise ValueError(f"{text} is no date: {error}") from None
    return text


def _number(text: str, read: Callable[[str], int | Decimal]) -> int | Decimal:
    if len(text) > MOST_DIGITS:
        raise ValueError(f"a number of {len(text)} characters; at most {MOST_DIGITS} are read")
    value = read(text)
    if isinstance(value, Decimal) and value and abs(value.adjusted()) > LARGEST_EXPONENT:
        raise ValueError(f"{text} is beyond any use as a number")
    return value
