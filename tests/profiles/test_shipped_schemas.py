"""The schemas: valid, closed, told field by field, with examples that are good ones."""

from __future__ import annotations

import json
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from referencing import Registry
from referencing.jsonschema import DRAFT202012

from setupsheets.files.documents import read_text
from setupsheets.files.objects import build, read_fraction
from setupsheets.files.scalars import read_date
from setupsheets.files.schemas import check_against_schema
from setupsheets.formulas import Formula
from setupsheets.lengths import Unit, read_length
from setupsheets.records.entry import Entry
from setupsheets.shop.loading import FORMATS, KINDS, made_from, named
from tests.profiles.schema_trees import NAMES, OWN, Schema, fields, resolved, schema

FIELDS = [(name, place, field) for name in OWN for place, field in fields(schema(name))]


def test_there_is_a_schema_for_every_kind() -> None:
    assert set(NAMES) >= {*KINDS, "common"}
    assert len(OWN) == 10
    assert len(FIELDS) > 200


@pytest.mark.parametrize("name", NAMES)
def test_the_schema_is_one(name: str) -> None:
    Draft202012Validator.check_schema(schema(name))
    assert schema(name)["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert schema(name)["$id"] == f"{name}.json"


@pytest.mark.parametrize("name", OWN)
def test_every_field_has_title_description_and_example(name: str) -> None:
    untold = [
        place
        for each, place, field in FIELDS
        if each == name
        and not (
            field.get("title")
            and str(field.get("description", "")).endswith(".")
            and field.get("examples")
        )
    ]
    assert untold == []


@pytest.mark.parametrize("name", OWN)
def test_everything_with_keys_is_closed(name: str) -> None:
    """Unknown keys are refused, unless the keys are names that the shop gives, and these have a
    form of their own."""
    objects = [field for each, _, field in FIELDS if each == name and field.get("type") == "object"]
    for each in objects:
        closed = each.get("additionalProperties") is False
        assert closed or {"propertyNames", "additionalProperties"} <= each.keys()


# ------------------------------------------------------------------------------- examples are valid


def validator(name: str, field: Schema) -> Any:
    found = [(f"{each}.json", DRAFT202012.create_resource(schema(each))) for each in NAMES]
    wrapped = {"$id": f"{name}.json", "$defs": schema(name).get("$defs", {}), "allOf": [field]}
    registry: Any = Registry().with_resources(found)
    return Draft202012Validator(wrapped, registry=registry)


@pytest.mark.parametrize("name", OWN)
def test_every_example_is_a_good_one(name: str) -> None:
    for each, place, field in FIELDS:
        if each == name:
            check = validator(name, field)
            for example in field["examples"]:
                assert list(check.iter_errors(example)) == [], place


READS: dict[str, Callable[[Any], object]] = {
    **dict.fromkeys(("length", "gap", "size"), lambda value: read_length(value, Unit.IN)),
    "formula": lambda value: Formula.parse(str(value)),
    "fraction": read_fraction,
    "date": read_date,
}
WRITTEN = [row for row in FIELDS if "format" in resolved(row[2], row[0])[0]]


def test_every_example_reads_as_its_format_says() -> None:
    for name, place, field in WRITTEN:
        read = READS[resolved(field, name)[0]["format"]]
        for example in field["examples"]:
            exact = Decimal(str(example)) if isinstance(example, float) else example
            assert read(exact) is not None, (name, place)


def test_every_format_was_met() -> None:
    assert {resolved(field, name)[0]["format"] for name, _, field in WRITTEN} == set(READS)


@pytest.mark.parametrize("kind", [name for name in OWN if name != "common"])
def test_the_example_of_a_kind_is_a_whole_good_file(kind: str) -> None:
    text = json.dumps(schema(kind)["examples"][0])
    made = read_text(text, Path("example.yaml"))
    assert check_against_schema(made, Unit.IN, FORMATS) == ()
    if kind in KINDS:
        assert isinstance(made_from(made, Unit.IN), KINDS[kind][1])
    else:
        assert isinstance(build(Entry, named(made), Unit.IN), Entry)
