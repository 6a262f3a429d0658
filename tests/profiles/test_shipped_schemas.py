"""The schemas: valid, closed, told field by field, with examples that are good ones."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from setupsheets.files.documents import read_text
from setupsheets.files.objects import build, read_fraction
from setupsheets.files.scalars import read_date
from setupsheets.files.schemas import check_against_schema
from setupsheets.formulas import Formula
from setupsheets.lengths import Unit, read_length
from setupsheets.records.entry import Entry
from setupsheets.shop.loading import FORMATS, KINDS, made_from, named
from tests.profiles.schema_trees import NAMES, OWN, SCHEMAS, Schema, fields, resolved, schema
from tests.profiles.written_schemas import every_schema

FIELDS = [(name, place, field) for name in OWN for place, field in fields(schema(name))]


def test_there_is_a_schema_for_every_kind() -> None:
    assert set(NAMES) >= {*KINDS, "common"}
    assert len(OWN) == 10
    assert len(FIELDS) > 200


@pytest.mark.parametrize("name", NAMES)
def test_the_schema_is_one(name: str) -> None:
    Draft202012Validator.check_schema(schema(name))
    assert schema(name)["$schema"] == "https://json-schema.org/draft/2020-12/schema"


@pytest.mark.parametrize("path", every_schema(), ids=lambda path: f"{path.parent.stem}-{path.stem}")
def test_a_schema_is_whole_in_itself(path: Path) -> None:
    """An absolute `$id` of its own (JSON Schema Core 2020-12, 8.2.1), under a name that is nobody's
    (RFC 2606, section 2), and no reference out of it: nothing is left for anybody to fetch."""
    whole = json.loads(path.read_text("utf-8"))
    home = path.relative_to(SCHEMAS).as_posix()
    assert whole["$id"] == f"https://setupsheets.example/schemas/{home}"
    led = re.findall(r'"\$ref": "([^"]*)"', path.read_text("utf-8"))
    assert all(each.startswith("#/$defs/") for each in led)
    for each in led:
        found = whole
        for key in each.split("/")[1:]:
            found = found[key]


@pytest.mark.parametrize("name", OWN)
def test_every_field_has_title_description_and_example(name: str) -> None:
    told = [(place, resolved(field, name)) for each, place, field in FIELDS if each == name]
    untold = [
        place
        for place, field in told
        if not (
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
    return Draft202012Validator({"$defs": schema(name).get("$defs", {}), "allOf": [field]})


@pytest.mark.parametrize("name", OWN)
def test_every_example_is_a_good_one(name: str) -> None:
    for each, place, field in FIELDS:
        if each == name:
            check = validator(name, field)
            for example in resolved(field, name)["examples"]:
                assert list(check.iter_errors(example)) == [], place


READS: dict[str, Callable[[Any], object]] = {
    **dict.fromkeys(("length", "gap", "size"), lambda value: read_length(value, Unit.IN)),
    "formula": lambda value: Formula.parse(str(value)),
    **dict.fromkeys(("fraction", "share"), read_fraction),
    "date": read_date,
}
WRITTEN = [row for row in FIELDS if "format" in resolved(row[2], row[0])]


def test_every_example_reads_as_its_format_says() -> None:
    for name, place, field in WRITTEN:
        read = READS[resolved(field, name)["format"]]
        for example in resolved(field, name)["examples"]:
            exact = Decimal(str(example)) if isinstance(example, float) else example
            assert read(exact) is not None, (name, place)


def test_every_format_was_met() -> None:
    assert {resolved(field, name)["format"] for name, _, field in WRITTEN} == set(READS)


@pytest.mark.parametrize("kind", [name for name in OWN if name != "common"])
def test_the_example_of_a_kind_is_a_whole_good_file(kind: str) -> None:
    text = json.dumps(schema(kind)["examples"][0])
    made = read_text(text, Path("example.yaml"))
    assert check_against_schema(made, Unit.IN, FORMATS) == ()
    if kind in KINDS:
        assert isinstance(made_from(made, Unit.IN), KINDS[kind][1])
    else:
        assert isinstance(build(Entry, named(made), Unit.IN), Entry)
