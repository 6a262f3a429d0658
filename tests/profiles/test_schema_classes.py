"""A field is told twice, in its schema for whoever writes files and in its struct for the
program; here the two are held equal: the same keys, the same needs, the same types.

No outside source: two tellings of one thing.
"""

from __future__ import annotations

import ast
import datetime
import types
from collections.abc import Iterator, Mapping
from decimal import Decimal
from enum import Enum
from fractions import Fraction
from pathlib import Path
from typing import Any, Union, get_args, get_origin, get_type_hints

import pytest
from msgspec import NODEFAULT, Struct
from msgspec.structs import fields

import setupsheets
from setupsheets.files.faults import Marks
from setupsheets.formulas import Formula
from setupsheets.lengths import Length, Unit, read_length
from setupsheets.records.entry import Entry
from setupsheets.records.record import Record
from setupsheets.shop.cutters import CutterType
from setupsheets.shop.jobs import Job
from setupsheets.shop.loading import KINDS
from setupsheets.shop.machine_kinds import MachineType
from setupsheets.shop.recipes import Makes
from tests.profiles.schema_trees import Place, Schema, resolved, schema

PROGRAM = Path(str(setupsheets.__file__)).parent
TOPS = {**{kind: top for kind, (_, top) in KINDS.items()}, "record": Record, "entry": Entry}
EVERY_FILE = {"kind", "version", "unit"}
Pair = tuple[Place, Any, Schema, str]


def class_in(hint: Any) -> Any:
    """The struct that a type is, holds or maps to; None for values written in one scalar."""
    if isinstance(hint, type) and issubclass(hint, Struct):
        return None if hint is Formula else hint
    return next((found for each in get_args(hint) if (found := class_in(each))), None)


def element(field: Schema, hint: Any) -> Schema:
    """The schema of what a list or a mapping holds; of anything else, the field itself."""
    if "items" in field:
        held: Schema = field["items"]
    elif "else" in field:  # a list, or the name of a drawing
        held = field["else"]["items"]
    elif get_origin(hint) is Mapping and isinstance(field["additionalProperties"], Mapping):
        held = field["additionalProperties"]
    elif get_origin(hint) is Mapping:
        held = next(iter((field.get("properties") or field["patternProperties"]).values()))
    else:
        held = field
    return held


def pairs(cls: Any, field: Schema, name: str, place: Place) -> Iterator[Pair]:
    """Every struct under a kind, with the schema of what it is made from, and that schema's
    name, which its references are seen from."""
    field = resolved(field, name)
    yield place, cls, field, name
    hints = get_type_hints(cls)
    for key, inner in field["properties"].items():
        held = class_in(hints.get(key))
        if held is not None:
            below = element(resolved(inner, name), hints[key])
            yield from pairs(held, below, name, (*place, key))


PAIRS = [
    (kind, place, cls, field, home)
    for kind, top in TOPS.items()
    for place, cls, field, home in pairs(top, schema(kind), kind, ())
]


def wants(cls: Any) -> dict[str, bool]:
    """The keys that a struct is made from, and whether it needs each."""
    return {each.name: each.required for each in fields(cls) if each.type is not Marks}


@pytest.mark.parametrize(("kind", "place", "cls", "field", "home"), PAIRS)
def test_a_schema_has_the_keys_of_its_struct_and_asks_for_those_it_needs(
    kind: str, place: Place, cls: Any, field: Schema, home: str
) -> None:
    keys, required = set(field["properties"]), set(field.get("required", ()))
    wanted = wants(cls)
    if not place:
        assert keys >= EVERY_FILE
        del wanted["name"]  # the file's stem
        keys, required = keys - EVERY_FILE, required - EVERY_FILE
        wanted.pop("unit", None)
    assert keys == wanted.keys()
    assert required == {key for key, need in wanted.items() if need}


# ------------------------------------------------------------------------------------------- types

PLAIN = {
    str: (["string"], None),
    bool: (["boolean"], None),
    int: (["integer"], None),
    Length: (["string", "number"], "length"),
    Fraction: (["string", "number"], "fraction"),
    Formula: (["string", "number"], "formula"),
    datetime.date: (["string"], "date"),
}
"""The types and the format that a schema gives a value of one scalar."""


DRAWN = {"outline"}
"""Lists in whose place a file may name a drawing, which is read to such a list."""


def differing(hint: Any, field: Schema, name: str, place: Place) -> Iterator[str]:
    """What a schema lets through and the type of the struct does not, or the other way."""
    field = resolved(field, name)
    where = ".".join(place)
    choices = [each for each in get_args(hint) if each is not type(None)]
    if get_origin(hint) in (Union, types.UnionType):
        if len(choices) == 1:
            yield from differing(choices[0], field, name, place)
        elif len(choices) != len(field.get("anyOf") or field.get("oneOf") or ()):
            yield f"{where}: {hint} and no such choice"
    elif hint in PLAIN:
        wanted = PLAIN[hint]
        kinds = field.get("type", [])
        form = field.get("format")
        form = {"gap": "length", "size": "length", "share": "fraction"}.get(form or "", form)
        found = (kinds if isinstance(kinds, list) else [kinds], form)
        if found != wanted:
            yield f"{where}: {hint.__name__} is {wanted}, the schema has {found}"
    elif isinstance(hint, type) and issubclass(hint, Enum):
        if set(field.get("enum", ())) != {each.value for each in hint}:
            yield f"{where}: not the members of {hint.__name__}: {field.get('enum')}"
    elif get_origin(hint) is tuple:
        yield from differing_lists(get_args(hint), field, name, place)
    elif get_origin(hint) is Mapping:
        yield from differing_mappings(get_args(hint), field, name, place)
    elif field.get("type") != "object":
        yield f"{where}: {hint.__name__} is made from keys and values"


def differing_lists(
    hints: tuple[Any, ...], field: Schema, name: str, place: Place
) -> Iterator[str]:
    if place[-1] in DRAWN:
        field = field["else"] if field["then"]["type"] == "string" else field
    if field.get("type") != "array":
        yield f"{'.'.join(place)}: a tuple is made from a list"
    elif hints[-1] is not Ellipsis and field.get("minItems") != len(hints):
        yield f"{'.'.join(place)}: a list of {len(hints)}"
    else:
        yield from differing(hints[0], field["items"], name, (*place, "items"))


def differing_mappings(
    hints: tuple[Any, ...], field: Schema, name: str, place: Place
) -> Iterator[str]:
    key, value = hints
    if field.get("type") != "object":
        yield f"{'.'.join(place)}: a mapping is made from keys and values"
        return
    if isinstance(key, type) and issubclass(key, Enum):
        told = field.get("properties") or resolved(field["propertyNames"], name)["enum"]
        if set(told) != {each.value for each in key}:
            yield f"{'.'.join(place)}: its keys are not the members of {key.__name__}"
    for inner, held in held_by(field):
        yield from differing(value, held, name, (*place, inner))


def held_by(field: Schema) -> Iterator[tuple[str, Schema]]:
    """What a mapping may hold, by key or by the form of its keys."""
    yield from field.get("properties", {}).items()
    yield from field.get("patternProperties", {}).items()
    if isinstance(field.get("additionalProperties"), Mapping):
        yield "*", field["additionalProperties"]


@pytest.mark.parametrize(("kind", "place", "cls", "field", "home"), PAIRS)
def test_a_schema_has_the_types_of_its_struct(
    kind: str, place: Place, cls: Any, field: Schema, home: str
) -> None:
    hints = get_type_hints(cls)
    shared = [key for key in field["properties"] if key in hints]
    assert shared
    wrong = [
        fault
        for key in shared
        for fault in differing(hints[key], field["properties"][key], home, (kind, *place, key))
    ]
    assert wrong == []


@pytest.mark.parametrize(
    ("hint", "field"),
    [
        (Length, {"type": ["string", "number"], "format": "fraction"}),
        (Length, {"type": "string"}),
        (str, {"type": ["string", "number"], "format": "length"}),
        (int, {"type": "number"}),
        (bool, {"type": "string"}),
        (Decimal, {"type": "string"}),
        (Makes, {"enum": [each.value for each in Makes][1:]}),
        (Makes | None, {"type": "string"}),
        (tuple[str, ...], {"type": "string"}),
        (tuple[str, ...], {"type": "array", "items": {"type": "integer"}}),
        (tuple[str, str], {"type": "array", "items": {"type": "string"}, "minItems": 1}),
        (Mapping[str, Length], {"type": "object", "additionalProperties": {"type": "string"}}),
        (
            Mapping[Makes, str],
            {"type": "object", "properties": {"cope": {"type": "string"}}},
        ),
    ],
)
def test_a_type_that_differs_is_named(hint: Any, field: Schema) -> None:
    found = list(differing(hint, field, "job", ("job", "some_field")))
    assert found and all(fault.startswith("job.some_field") for fault in found)


@pytest.mark.parametrize(
    ("choices", "members"),
    [("machines", MachineType), ("cutters", CutterType), ("recipes", Makes)],
)
def test_first_choices_are_by_every_kind_there_is(choices: str, members: type[Enum]) -> None:
    told = schema("common")["$defs"][choices]["properties"]
    assert set(told) == {each.value for each in members}


# ---------------------------------------------------------------------------------------- defaults


def as_made(told: Any, meant: Any) -> Any:
    """A default as a schema tells it, made what the struct has."""
    if isinstance(meant, Length):
        return read_length(told, Unit.IN)
    return type(meant)(told)


@pytest.mark.parametrize(
    ("kind", "place", "cls", "field", "home"),
    [pair for pair in PAIRS if pair[0] not in ("record", "entry")],  # nobody writes these by hand
)
def test_a_schema_tells_the_defaults_of_its_struct(
    kind: str, place: Place, cls: Any, field: Schema, home: str
) -> None:
    """What an optional key counts as; of nothing, nothing is told."""
    told = {key: each["default"] for key, each in field["properties"].items() if "default" in each}
    meant = {
        each.name: each.default
        for each in fields(cls)
        if each.name in field["properties"]
        and each.default is not NODEFAULT
        and each.default not in (None, "", ())
    }
    assert {key: as_made(told.get(key), default) for key, default in meant.items()} == meant
    assert told.keys() <= meant.keys()


# -------------------------------------------------------------------------------------------- uses


def test_every_field_of_a_job_is_read_by_the_program() -> None:
    """So a new field is in its struct, its schema, the place that uses it and its test, and a
    fault here or above names it until it is."""
    read = {
        node.attr
        for path in sorted(PROGRAM.rglob("*.py"))
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.Attribute) and isinstance(node.ctx, ast.Load)
    }
    classes = {cls for kind, _, cls, _, _ in PAIRS if kind == "job"}
    assert Job in classes and len(classes) > 10
    told = {f"{cls.__name__}.{name}" for cls in classes for name in wants(cls)}
    assert {field for field in told if field.partition(".")[2] not in read} == set()


def test_every_struct_was_met() -> None:
    met = {cls.__name__ for _, _, cls, _, _ in PAIRS}
    assert met >= {cls.__name__ for cls in TOPS.values()}
    assert met >= {
        "MachineSetting",
        "MachineEvent",
        "CutterEvent",
        "DadoStack",
        "Sticking",
        "OutlineStep",
    }
    assert met >= {"RecipeOperation", "Aim", "Jig", "Measure", "Tolerance", "Input", "Instrument"}
    assert met >= {"Rebate", "Caution", "Rail", "FrameField", "Joints", "Opening", "Clearances"}
