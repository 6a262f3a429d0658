"""Checking a document against the JSON Schema of its kind (draft 2020-12), all faults at once.

The schemas stand in `schemas/`, one for each kind: `machine.json` for `kind: machine`. Each is
whole in itself, so that an editor needs no other file, and refers to its own `$defs` alone.

For an editor lengths, formulas, fractions and dates are patterns. Here what refers to the
definition of such a value has its name as `format`, and is read as the program reads it, which
also says what is wrong: `length` (as `lengths.read_shop_length` reads it), `gap` (one not less than
nought), `size` (one of more than nought), `fraction` (a number, or text such as 1/64), `share` (one
of more than nought) and `date` (ISO 8601, a day that exists). The layers above add theirs.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from decimal import Decimal
from functools import cache, partial
from pathlib import Path
from typing import Any

from msgspec import Struct

from setupsheets.files.documents import Document
from setupsheets.files.faults import NOWHERE, DataFaults, Fault, whole_file
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

READ_AS: Mapping[str, str] = {
    **{name: name for name in ("length", "gap", "size", "fraction", "share", "formula", "date")},
    **dict.fromkeys(("bevel", "celsius", "percent"), "fraction"),
    **dict.fromkeys(("probability", "swelling"), "share"),
}
"""The format of what a definition describes, for those whose values are read and not matched."""


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
    checks = _formats(unit) | dict(formats or {})
    validator = _validator_class()(
        schema_of(document.kind, folder), format_checker=_format_checker(checks)
    )
    return faults_of(validator.iter_errors(document.data), document.marks)


def faults_of_value(
    value: Any, schema: Schema, unit: Unit, formats: Mapping[str, Check]
) -> tuple[Fault, ...]:
    """All faults of one value against its own part of a schema, before it stands in a file."""
    checker = _format_checker(_formats(unit) | dict(formats))
    return faults_of(_validator_class()(schema, format_checker=checker).iter_errors(value), NOWHERE)


# -------------------------------------------------------------------------- schemas and references


def schema_of(kind: str, folder: Path | None = None) -> Schema:
    """The schema of a kind with all references written out: looking each up anew takes most time.

    What is text or else a list or a number says so by its `type`. Raises DataFaults for a reference
    to nothing and for references in a circle, which nobody could write out.
    """
    return _written_out((folder or data_folder("schemas")) / f"{kind}.json")


@cache
def _written_out(path: Path) -> Schema:
    schema: Schema = _Expansion(path, _read_schema(path)).expand({"$ref": "#"}, ())
    return schema


class _Expansion(Struct, frozen=True):
    """Writing out the references within one schema."""

    path: Path
    schema: Schema

    def meant(self, reference: str, outer: tuple[str, ...]) -> Schema:
        """What a reference such as `#/$defs/length` leads to, with no reference in it."""
        if reference in outer:
            raise self.fault(f"{reference} refers to itself")
        found: Any = {"#": self.schema}
        for key in reference.split("/"):
            if not isinstance(found, Mapping) or key not in found:
                raise self.fault(f"there is no {reference}, which it refers to")
            found = found[key]
        whole: Schema = self.expand(found, (*outer, reference))
        if (read := READ_AS.get(reference.removeprefix("#/$defs/"))) is not None:
            unmatched = {key: value for key, value in whole.items() if key != "pattern"}
            return {**unmatched, "format": read}
        return whole

    def expand(self, value: Any, outer: tuple[str, ...]) -> Any:
        """A part of the schema in which each reference is replaced by what it refers to."""
        if isinstance(value, list):
            return [self.expand(item, outer) for item in value]
        if not isinstance(value, Mapping):
            return value
        own = {
            key: self.expand(item, outer)
            for key, item in value.items()
            if key not in ("$ref", "$defs")
        }
        if own.get("if") == {"type": "string"}:
            own = _text_or(own)
        if "$ref" not in value:
            return own
        meant = self.meant(str(value["$ref"]), outer)
        if own.keys() <= ANNOTATIONS:
            return {**meant, **own}
        return {**own, "allOf": [meant, *own.get("allOf", [])]}

    def fault(self, message: str) -> DataFaults:
        return DataFaults([whole_file(self.path, message)])


def _text_or(schema: Schema) -> dict[str, Any]:
    """In one what a schema says of text and, with `else`, of a list or a number. The files say it
    apart, since some checkers take one type to a schema alone."""
    own = {key: value for key, value in schema.items() if key not in ("if", "then", "else")}
    other = schema["else"]["type"]
    types = [each for each in ("array", "string", "number") if each in ("string", other)]
    return {**schema["then"], **schema["else"], **own, "type": types}


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
        "gap": _of_scalars(partial(_within, length, "a length", "not less than nought")),
        "size": _of_scalars(partial(_within, length, "a length", "more than nought")),
        "fraction": _of_scalars(read_fraction),
        "share": _of_scalars(partial(_within, read_fraction, "a number", "more than nought")),
        "date": lambda value: read_date(value) if isinstance(value, str) else None,
    }


def _within(read: Callable[[Any], Any], what: str, bound: str, value: object) -> None:
    """Raise ValueError for a text that begins with a minus or says less than nought, or nought
    where ``bound`` says so; of numbers the schema itself says it."""
    found = read(value)
    least = found - found
    if isinstance(value, str) and (
        found < least or (found == least and bound[0] == "m") or value.lstrip()[0] in "-‐‑−"
    ):
        raise ValueError(f"expected {what} of {bound}, found {value!r}")


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
