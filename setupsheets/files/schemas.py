"""Checking a document against the JSON Schema of its kind (draft 2020-12), all faults at once.

The schemas stand in `schemas/`, one for each kind: `machine.json` for `kind: machine`. The `$id` of
a schema is its file name, and another file is referred to by name (`common.json#/$defs/length`),
which an editor resolves as well. No schema is ever fetched from anywhere else.

Formats that are checked: `length` (as `lengths.read_shop_length` reads it), `gap` (one not less
than nought), `size` (one of more than nought), `fraction` (a number, or text such as 1/64) and
`date` (ISO 8601, a day that exists). The layers above add theirs.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cache, partial
from pathlib import Path
from typing import Any

from setupsheets.files.documents import Document
from setupsheets.files.faults import DataFaults, Fault, whole_file
from setupsheets.files.objects import read_fraction
from setupsheets.files.places import data_folder
from setupsheets.files.scalars import read_date
from setupsheets.files.schema_faults import faults_of
from setupsheets.lengths import Length, Unit, read_shop_length

Check = Callable[[Any], object]
"""Checks a value (text, number or whatever stands there); raises ValueError with the reason."""

Schema = Mapping[str, Any]

ANNOTATIONS = frozenset({"title", "description", "examples", "default", "$comment"})
"""Keywords that only tell; beside a reference they replace those of what it refers to."""


def check_against_schema(
    document: Document,
    unit: Unit | None = None,
    formats: Mapping[str, Check] | None = None,
    folder: Path | None = None,
) -> tuple[Fault, ...]:
    """All faults of a document against the schema of its kind, sorted by place.

    `unit` is that of bare numbers, `formats` adds checks by format name, `folder` holds the schemas
    if not the program's own. Raises DataFaults if there is no schema for the kind.
    """
    validator = _validator_class()(
        schema_of(document.kind, folder),
        format_checker=_format_checker(_formats(unit) | dict(formats or {})),
    )
    return faults_of(validator.iter_errors(document.data), document.marks)


# -------------------------------------------------------------------------- schemas and references


def schema_of(kind: str, folder: Path | None = None) -> Schema:
    """The schema of a kind with all references written out: looking each up anew takes most time.

    Only the files that it refers to are read. Raises DataFaults for a reference to nothing and for
    references in a circle, which nobody could write out.
    """
    return _schema(folder or data_folder("schemas"), kind)


@cache
def _schema(folder: Path, kind: str) -> Schema:
    return _Expansion(folder).schema(f"{kind}.json", "", ())


@dataclass
class _Expansion:
    """Writing out references between the files of a folder, each file read once."""

    folder: Path
    files: dict[str, Schema] = field(default_factory=dict)

    def schema(self, file: str, pointer: str, outer: tuple[str, ...]) -> Schema:
        """What stands at a pointer such as `/$defs/length` of a file, with no reference in it."""
        reference = f"{file}#{pointer}"
        if reference in outer:
            raise self.fault(file, f"{reference} refers to itself")
        if file not in self.files:
            self.files[file] = _read_schema(self.folder / file)
        found: Any = self.files[file]
        for key in pointer.split("/")[1:]:
            if not isinstance(found, Mapping) or key not in found:
                raise self.fault(file, f"there is no {pointer}, which a schema refers to")
            found = found[key]
        written_out: Schema = self.expand(found, file, (*outer, reference))
        return written_out

    def expand(self, value: Any, file: str, outer: tuple[str, ...]) -> Any:
        """A part of a schema in which each reference is replaced by what it refers to."""
        if isinstance(value, list):
            return [self.expand(item, file, outer) for item in value]
        if not isinstance(value, Mapping):
            return value
        own = {key: self.expand(item, file, outer) for key, item in value.items() if key != "$ref"}
        if "$ref" not in value:
            return own
        target, _, pointer = str(value["$ref"]).partition("#")
        meant = self.schema(target or file, pointer, outer)
        if own.keys() <= ANNOTATIONS:
            return {**meant, **own}
        return {**own, "allOf": [meant, *own.get("allOf", [])]}

    def fault(self, file: str, message: str) -> DataFaults:
        return DataFaults([whole_file(self.folder / file, message)])


def _read_schema(path: Path) -> Schema:
    """The content of a schema file; its decimals are exact, so they compare with a document's."""
    try:
        schema: Schema = json.loads(path.read_text("utf-8"), parse_float=Decimal)
    except FileNotFoundError:
        raise DataFaults([whole_file(path, "there is no such schema")]) from None
    except ValueError as error:
        raise DataFaults([whole_file(path, f"this schema is no JSON: {error}")]) from None
    return schema


# ---------------------------------------------------------------------------- the checker's setting


@cache
def _validator_class() -> Any:
    """Draft 2020-12 with exact numbers: an int is whole, an int or a Decimal is a number."""
    from jsonschema import Draft202012Validator  # noqa: PLC0415  (58 ms)
    from jsonschema.validators import extend  # noqa: PLC0415

    types = {"integer": _is_whole, "number": _is_number}
    checker = Draft202012Validator.TYPE_CHECKER.redefine_many(types)
    make: Any = extend
    return make(Draft202012Validator, type_checker=checker)


def _is_whole(_: object, value: object) -> bool:
    return isinstance(value, int) and not isinstance(value, bool)


def _is_number(_: object, value: object) -> bool:
    return isinstance(value, int | Decimal) and not isinstance(value, bool)


def _formats(unit: Unit | None) -> dict[str, Check]:

    def length(value: str | int | Decimal) -> Length:
        return read_shop_length(value, unit or Unit.IN)

    return {
        "length": _of_scalars(length),
        "gap": _of_scalars(partial(_not_below, length, nought_too=False)),
        "size": _of_scalars(partial(_not_below, length, nought_too=True)),
        "fraction": _of_scalars(read_fraction),
        "date": lambda value: read_date(value) if isinstance(value, str) else None,
    }


def _not_below(
    read: Callable[[Any], Length], value: str | int | Decimal, *, nought_too: bool
) -> None:
    """Raise ValueError for a text such as `0/1` or `1/4 - 1/2`; of numbers, and of texts with a
    minus before them, the schema itself says so."""
    length = read(value)
    if not isinstance(value, str) or re.match(r"\s*[-‐‑−]", value):
        return
    if length < Length.ZERO or (nought_too and length == Length.ZERO):
        words = "more than nought" if nought_too else "not less than nought"
        raise ValueError(f"expected a length of {words}, found {value!r}")


def _of_scalars(check: Check) -> Check:
    """`check` for text and numbers only; other types are the business of the keyword `type`."""

    def checked(value: Any) -> object:
        return check(value) if isinstance(value, str) or _is_number(None, value) else None

    return checked


def _format_checker(checks: Mapping[str, Check]) -> Any:
    from jsonschema import FormatChecker  # noqa: PLC0415

    checker = FormatChecker(formats=())
    for name, check in checks.items():
        checker.checks(name, raises=ValueError)(partial(_passes, check))
    return checker


def _passes(check: Check, value: object) -> bool:
    check(value)
    return True
