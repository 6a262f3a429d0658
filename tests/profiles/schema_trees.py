"""Schemas as plain trees: their fields, and references followed."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any

from setupsheets.files.places import data_folder
from setupsheets.files.schemas import READ_AS

SCHEMAS = data_folder("schemas")
NAMES = tuple(sorted(path.stem for path in SCHEMAS.glob("*.json")))
OWN = tuple(name for name in NAMES if name != "record")  # records are told by their own tests
Schema = Mapping[str, Any]
Place = tuple[str, ...]


@cache
def schema(name: str) -> Schema:
    loaded: Schema = json.loads((SCHEMAS / f"{name}.json").read_text("utf-8"))
    return loaded


def fields(node: Any, place: Place = ()) -> Iterator[tuple[Place, Schema]]:
    """Every field of a schema and of its definitions; conditions say nothing new about them."""
    if isinstance(node, list):
        for index, each in enumerate(node):
            yield from fields(each, (*place, str(index)))
    if not isinstance(node, Mapping):
        return
    for group in ("properties", "$defs"):
        told = node.get(group, {}).items()
        yield from (((*place, name), field) for name, field in told if field is not True)
    for key, value in node.items():
        if key not in ("examples", "if", "then", "else"):
            yield from fields(value, (*place, key))


def resolved(field: Schema, name: str) -> Schema:
    """A field of the schema `name` with its references followed and its own words on top; what the
    program reads as its own kind of value has that kind as its `format`."""
    found = field
    while "$ref" in found:
        below: Any = schema(name)
        for key in found["$ref"].split("/")[1:]:
            below = below[key]
        kind = found["$ref"].removeprefix("#/$defs/")
        if kind in READ_AS:
            below = {"type": ["string", "number"], "format": READ_AS[kind], **below}
        found = {**below, **{word: value for word, value in found.items() if word != "$ref"}}
    return found
