"""Checking a document against the JSON Schema of its kind (draft 2020-12), all faults at once.

The schemas stand in `schemas/`, one for each kind: `machine.json` for `kind: machine`. The `$id` of
a schema is its file name, and another file is referred to by name (`common.json#/$defs/length`),
which an editor resolves as well. No schema is ever fetched from anywhere else.

Formats that are checked: `length` (as `lengths.read_length` reads it), `fraction` (a number, or
text such as 1/64) and `date` (ISO 8601, a day that exists). The layers above add theirs.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator, Mapping
from decimal import Decimal
from functools import cache, partial
from pathlib import Path
from typing import Any

from setupsheets.files.faults import DataFaults, Fault, whole_file
from setupsheets.files.objects import read_date, read_fraction
from setupsheets.files.places import data_folder
from setupsheets.files.reading import Document
from setupsheets.files.wording import Error, Words, faults_of
from setupsheets.lengths import Unit, read_length

Check = Callable[[Any], object]
"""Checks a value (text, number or whatever stands there); raises ValueError with the reason."""

Schema = Mapping[str, Any]


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
    folder = folder or data_folder("schemas")
    schemas = _schemas(folder, document.kind)
    validator = _validator_class()(
        schemas[document.kind],
        registry=_registry(folder, document.kind),
        format_checker=_format_checker(_formats(unit) | dict(formats or {})),
    )
    words = Words(partial(_known_keys_at, folder, document.kind))
    return faults_of(validator.iter_errors(document.data), document.marks, words)


# -------------------------------------------------------------------------- schemas and references


@cache
def _schemas(folder: Path, kind: str) -> Mapping[str, Schema]:
    """The schema of a kind and all that it refers to, by name; only those files are read."""
    found: dict[str, Schema] = {}
    wanted = [kind]
    while wanted:
        name = wanted.pop()
        if name not in found:
            found[name] = _read_schema(folder / f"{name}.json")
            wanted += [_name(reference) for reference in _references(found[name])]
    return found


def _read_schema(path: Path) -> Schema:
    """The content of a schema file; its decimals are exact, so they compare with a document's."""
    try:
        schema: Schema = json.loads(path.read_text("utf-8"), parse_float=Decimal)
    except FileNotFoundError:
        raise DataFaults([whole_file(path, "there is no such schema")]) from None
    except ValueError as error:
        raise DataFaults([whole_file(path, f"this schema is no JSON: {error}")]) from None
    return schema


def _references(schema: object) -> Iterator[str]:
    """Every reference to another file in a schema."""
    if isinstance(schema, Mapping):
        reference = schema.get("$ref")
        if isinstance(reference, str) and not reference.startswith("#"):
            yield reference
    if isinstance(schema, Mapping | list):
        for each in schema.values() if isinstance(schema, Mapping) else schema:
            yield from _references(each)


def _name(reference: str) -> str:
    """The schema that a reference names: `common` for `common.json#/$defs/length`."""
    return re.split("[/:]", reference.partition("#")[0])[-1].removesuffix(".json")


@cache
def _registry(folder: Path, kind: str) -> Any:
    """The `referencing.Registry` of a kind's schemas, by file name."""
    from referencing import Registry  # noqa: PLC0415
    from referencing.jsonschema import DRAFT202012  # noqa: PLC0415

    resources = [
        (f"{name}.json", DRAFT202012.create_resource(schema))
        for name, schema in _schemas(folder, kind).items()
    ]
    return Registry().with_resources(resources).crawl()


def _known_keys_at(folder: Path, kind: str, error: Error) -> set[str]:
    """The keys that the object of an error may have, through all references."""
    resolver = _registry(folder, kind).resolver(f"{kind}.json")
    schema: Any = _schemas(folder, kind)[kind]
    for step in list(error.absolute_schema_path)[:-1]:
        if step == "$ref":
            resolved = resolver.lookup(schema["$ref"])
            schema, resolver = resolved.contents, resolved.resolver
        else:
            schema = schema[step]
    return set(_known_keys(schema, resolver))


def _known_keys(schema: Any, resolver: Any) -> Iterator[str]:
    if not isinstance(schema, Mapping):
        return
    yield from schema.get("properties", {})
    if "$ref" in schema:
        resolved = resolver.lookup(schema["$ref"])
        yield from _known_keys(resolved.contents, resolved.resolver)
    for keyword in ("allOf", "anyOf", "oneOf"):
        for branch in schema.get(keyword, ()):
            yield from _known_keys(branch, resolver)
    for keyword in ("if", "then", "else"):
        yield from _known_keys(schema.get(keyword), resolver)


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
    return {
        "length": _of_scalars(lambda value: read_length(value, unit or Unit.IN)),
        "fraction": _of_scalars(read_fraction),
        "date": lambda value: read_date(value) if isinstance(value, str) else None,
    }


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
