"""From frozen structs back to plain data, for a file or for JSON: the way back of `objects`."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from enum import Enum
from fractions import Fraction
from typing import Any

from msgspec import NODEFAULT, Struct
from msgspec.structs import FieldInfo, fields

from setupsheets.files.faults import Marks
from setupsheets.lengths import Length, Notation


def plain(value: Any, notation: Notation, *, brief: bool = True) -> Any:
    """The value as text, numbers, lists and mappings.

    Lengths become exact text in the notation's unit, fractions text such as 1/2, dates ISO 8601.
    ``brief`` leaves out the fields of an object that stand at their default. Marks are always left
    out; TypeError for what has no plain form.
    """
    if isinstance(value, Mapping):
        return {str(key): plain(item, notation, brief=brief) for key, item in value.items()}
    if isinstance(value, tuple | list):
        return [plain(item, notation, brief=brief) for item in value]
    if isinstance(value, Struct):
        return {
            each.name: plain(item, notation, brief=brief)
            for each in fields(type(value))
            if not isinstance(item := getattr(value, each.name), Marks)
            and not (brief and item == _default(each))
        }
    return _leaf(value, notation)


def _leaf(value: object, notation: Notation) -> str | int | float | bool | None:
    if isinstance(value, Length):
        return notation.write(value)
    if isinstance(value, Fraction):
        return int(value) if value.denominator == 1 else f"{value.numerator}/{value.denominator}"
    if isinstance(value, datetime.date):
        return value.isoformat()
    if isinstance(value, Enum):
        return str(value.value)
    if value is None or isinstance(value, str | bool | int | float):
        return value
    raise TypeError(f"no plain form for {type(value).__name__}")


def _default(each: FieldInfo) -> object:
    """What a field is when it is left out; NODEFAULT, which equals nothing, where it may not be."""
    return each.default if each.default_factory is NODEFAULT else each.default_factory()
