"""What a schema lets through is what its dataclass is made from: the same keys, the same needs."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Mapping
from typing import Any, get_args, get_origin, get_type_hints

import pytest
from schema_trees import Place, Schema, resolved, schema

from setupsheets.files.faults import Marks
from setupsheets.formulas import Formula
from setupsheets.shop.finding import KINDS

EVERY_FILE = {"kind", "version", "unit"}


def class_in(hint: Any) -> Any:
    """The dataclass that a type is, holds or maps to; None for values written in one scalar."""
    if dataclasses.is_dataclass(hint):
        return None if hint is Formula else hint
    return next((found for each in get_args(hint) if (found := class_in(each))), None)


def element(field: Schema, hint: Any) -> Schema:
    """The schema of what a list or a mapping holds; of anything else, the field itself."""
    if "items" in field:
        held: Schema = field["items"]
    elif get_origin(hint) is Mapping and isinstance(field["additionalProperties"], Mapping):
        held = field["additionalProperties"]
    elif get_origin(hint) is Mapping:
        held = next(iter(field["properties"].values()))
    else:
        held = field
    return held


def pairs(cls: Any, field: Schema, name: str, place: Place) -> Iterator[tuple[Place, Any, Schema]]:
    """Every dataclass under a kind, with the schema of what it is made from."""
    field, name = resolved(field, name)
    yield place, cls, field
    hints = get_type_hints(cls)
    for key, inner in field["properties"].items():
        held = class_in(hints.get(key))
        if held is not None:
            below, home = resolved(inner, name)
            yield from pairs(held, element(below, hints[key]), home, (*place, key))


PAIRS = [
    (kind, place, cls, field)
    for kind, (_, top) in KINDS.items()
    for place, cls, field in pairs(top, schema(kind), kind, ())
]


def wants(cls: Any) -> dict[str, bool]:
    """The keys that a dataclass is made from, and whether it needs each."""
    hints = get_type_hints(cls)
    missing = dataclasses.MISSING
    return {
        each.name: each.default is missing and each.default_factory is missing
        for each in dataclasses.fields(cls)
        if hints[each.name] is not Marks
    }


@pytest.mark.parametrize(("kind", "place", "cls", "field"), PAIRS)
def test_a_schema_has_the_keys_of_its_dataclass_and_asks_for_those_it_needs(
    kind: str, place: Place, cls: Any, field: Schema
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


def test_every_dataclass_was_met() -> None:
    met = {cls.__name__ for _, _, cls, _ in PAIRS}
    assert met >= {cls.__name__ for _, cls in KINDS.values()}
    assert met >= {
        "MachineSetting",
        "MachineEvent",
        "CutterChange",
        "DadoStack",
        "Sticking",
        "OutlineStep",
    }
    assert met >= {"RecipeOperation", "Aim", "Jig", "Measure", "Tolerance", "Input", "Instrument"}
    assert met >= {"Rebate", "Caution", "Rail", "FrameField", "Joints", "Opening", "Clearances"}
