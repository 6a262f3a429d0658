"""From a document's plain tree to frozen structs, by their annotations.

The tree has passed its schema; what a schema cannot say (a length's grammar, a calendar date) is
found here, all of it at once and each with its place. A struct says what it wants by its field
types alone:

    str, bool, int, Fraction, Length, datetime.date, Enum, X | None, tuple[X, ...], tuple[X, Y],
    Mapping[K, X], another struct

A field of type `Marks` is filled with the places of the object itself.
"""

from __future__ import annotations

import datetime
import re
import types
from collections.abc import Callable, Mapping
from decimal import Decimal
from enum import Enum
from fractions import Fraction
from functools import cache
from typing import (
    Any,
    TypeVar,
    Union,
    cast,
    get_args,
    get_origin,
)

from msgspec import Struct, field
from msgspec.structs import FieldInfo, fields

from setupsheets.files.documents import ENVELOPE, Document
from setupsheets.files.faults import DataFaults, Fault, Marks, Step, listed, shown, stop_on, unknown
from setupsheets.files.scalars import read_date
from setupsheets.lengths import Length, Unit, read_length

T = TypeVar("T")
Steps = tuple[Step, ...]
Maker = Callable[[Any, Unit], object]
"""Makes a value of its type from a plain one and the file's unit; ValueError if it cannot."""


def unit_of(document: Document, unit: Unit) -> Unit:
    """The unit of the bare numbers in a document: its own `unit`, or else `unit`."""
    own = document.data.get("unit")
    if own is None:
        return unit
    try:
        return Unit(str(own))
    except ValueError:
        message = unknown("unit", str(own), [each.value for each in Unit])
        raise DataFaults([document.marks.fault(message, "unit")]) from None


def build(
    cls: type[T],
    document: Document,
    unit: Unit,
    makers: Mapping[type, Maker] | None = None,
    left_out: Callable[[Length, Unit], Length] = lambda length, unit: length,
) -> T:
    """The object of `cls` that a document holds.

    `unit` counts where the document names none. `makers` adds makers for more types of values;
    `left_out` says what a default length comes to in a document of that unit.
    Raises DataFaults with everything that would not convert.
    """
    work = _Work(document.marks, unit_of(document, unit), {**_MAKERS, **(makers or {})}, left_out)
    made = work.convert(cls, document.data, ())
    stop_on(work.faults)
    return cast(T, made)


@cache
def _fields(cls: type[Struct]) -> tuple[FieldInfo, ...]:
    """The fields of a struct; resolving the annotations is slow, so once for each class."""
    return fields(cls)


@cache
def _parts_of(hint: Any) -> tuple[Any, tuple[Any, ...]]:
    """What an annotation is of, None for a plain class, and what stands in its brackets."""
    return get_origin(hint), get_args(hint)


@cache
def _known_keys(cls: type) -> tuple[str, ...]:
    return tuple(each.name for each in _fields(cls) if each.type is not Marks)


class _Work(Struct):
    """One conversion: what it knows, and the faults it has met."""

    marks: Marks
    unit: Unit
    makers: Mapping[type, Maker]
    left_out: Callable[[Length, Unit], Length]
    faults: list[Fault] = field(default_factory=list)

    def fault(self, message: str, path: Steps) -> None:
        self.faults.append(self.marks.fault(message, *path))

    def convert(self, hint: Any, value: Any, path: Steps) -> Any:
        """`value` as `hint` says; after a fault the result is worth nothing."""
        origin, inner = _parts_of(hint)
        if origin is None:
            return self.single(hint, value, path)
        if origin in (Union, types.UnionType):
            (hint,) = (each for each in inner if each is not type(None))
            return None if value is None else self.convert(hint, value, path)
        return (self.items if origin is tuple else self.mapping)(inner, value, path)

    def single(self, cls: Any, value: Any, path: Steps) -> Any:
        """A value of a plain class."""
        try:
            if maker := self.makers.get(cls):
                return maker(value, self.unit)
            if issubclass(cls, Enum):
                return _member(cls, value)
        except (ValueError, ZeroDivisionError) as error:
            return self.fault(str(error), path)
        if issubclass(cls, Struct):
            return self.instance(cls, value, path)
        raise TypeError(f"no way to make {cls!r} from a data file")

    def instance(self, cls: Any, value: Any, path: Steps) -> Any:
        """A struct from a mapping."""
        if not isinstance(value, Mapping):
            return self.fault(f"expected keys and values, found {shown(value)}", path)
        before = len(self.faults)
        self.refuse_unknown(_known_keys(cls), value, path)
        arguments: dict[str, Any] = {}
        for each in _fields(cls):
            if each.type is Marks:
                arguments[each.name] = self.marks.under(*path)
            elif each.name in value:
                arguments[each.name] = self.convert(each.type, value[each.name], (*path, each.name))
            elif each.required:
                self.faults.append(self.marks.key_fault(f"missing {each.name!r}", *path, each.name))
            elif isinstance(each.default, Length):
                arguments[each.name] = self.left_out(each.default, self.unit)
            elif each.default_factory is each.type:
                arguments[each.name] = self.convert(each.type, {}, (*path, each.name))
        if len(self.faults) > before:
            return None
        try:
            return cls(**arguments)
        except ValueError as error:
            return self.fault(str(error), path)

    def refuse_unknown(self, known: tuple[str, ...], value: Any, path: Steps) -> None:
        for key in value:
            if key not in known and (path or key not in ENVELOPE):
                self.faults.append(self.marks.key_fault(unknown("key", key, known), *path, key))

    def items(self, hints: tuple[Any, ...], value: Any, path: Steps) -> Any:
        """A tuple from a list."""
        if not isinstance(value, list | tuple):
            return self.fault(f"expected a list, found {shown(value)}", path)
        if hints[-1] is Ellipsis:
            hints = (hints[0],) * len(value)
        if len(hints) != len(value):
            return self.fault(f"expected a list of {len(hints)}, found {shown(value)}", path)
        return tuple(
            self.convert(hint, item, (*path, index))
            for index, (hint, item) in enumerate(zip(hints, value, strict=True))
        )

    def mapping(self, hints: tuple[Any, ...], value: Any, path: Steps) -> Any:
        """A dict; its keys are made like its values."""
        if not isinstance(value, Mapping):
            return self.fault(f"expected keys and values, found {shown(value)}", path)
        key_hint, value_hint = hints
        made = {}
        for key, item in value.items():
            inner = (*path, key)
            made[self.convert(key_hint, key, inner)] = self.convert(value_hint, item, inner)
        return made


def _no_choice(value: object, choices: list[str]) -> str:
    if isinstance(value, str):
        return unknown("value", value, choices)
    return f"expected one of {listed(choices)}, found {shown(value)}"


def _member(cls: type[Enum], value: object) -> Enum:
    for member in cls:
        if type(value) in (str, type(member.value)) and member.value == value:
            return member
    raise ValueError(_no_choice(value, [str(member.value) for member in cls]))


# --------------------------------------------------------------------------------- makers of values


def _text(value: object, unit: Unit) -> str:
    if isinstance(value, str):
        return value
    hint = "; put it in quotes" if isinstance(value, int | Decimal) else ""
    raise ValueError(f"expected text, found {shown(value)}{hint}")


def _truth(value: object, unit: Unit) -> bool:
    if isinstance(value, bool):
        return value
    raise ValueError(f"expected true or false, found {shown(value)}")


def _whole(value: object, unit: Unit) -> int:
    if isinstance(value, int) and not isinstance(value, bool):
        return value
    raise ValueError(f"expected a whole number, found {shown(value)}")


_ratio = re.compile(r"([-+])?(?:([0-9]{1,30})[ -])?([0-9]{1,30})/([0-9]{1,30})").fullmatch


def read_fraction(value: object) -> Fraction:
    """An exact number: a plain one, or text such as 1/64 or 1 1/2; ValueError for any other."""
    if isinstance(value, str) and (match := _ratio(value)):
        sign, whole, top, bottom = match.groups(default="0")
        if int(bottom) == 0:
            raise ValueError(f"{value} divides by nothing")
        number = int(whole) + Fraction(int(top), int(bottom))
        return -number if sign == "-" else number
    if isinstance(value, int | Decimal) and not isinstance(value, bool):
        return Fraction(value)
    raise ValueError(f"expected a number or a fraction such as 1/64, found {shown(value)}")


def _length(value: object, unit: Unit) -> Length:
    if isinstance(value, str | int | Decimal) and not isinstance(value, bool):
        return read_length(value, unit)
    raise ValueError(f"expected a length, found {shown(value)}")


_MAKERS: Mapping[type, Maker] = types.MappingProxyType(
    {
        str: _text,
        bool: _truth,
        int: _whole,
        Fraction: lambda value, unit: read_fraction(value),
        Length: _length,
        datetime.date: lambda value, unit: read_date(value),
    }
)
