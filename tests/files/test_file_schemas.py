"""Checking against schemas: every fault at once, at its place, in words.

Outside source: JSON Schema, draft 2020-12 (json-schema.org): the cases go through those of its
keywords that the program's schemas use.
The schemas here are made up; the program's own have their own tests.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from setupsheets.files.documents import Document
from setupsheets.files.faults import DataFaults, Fault
from setupsheets.files.places import data_folder
from setupsheets.files.schema_faults import WORDS
from setupsheets.files.schemas import ANNOTATIONS, check_against_schema
from setupsheets.lengths import Unit
from tests.files.helpers import document, unnoticed

DEFINITIONS: dict[str, Any] = {
    "length": {
        "title": "Length",
        "if": {"type": "string"},
        "then": {"type": "string", "pattern": "^[0-9]"},
        "else": {"type": "number"},
    },
    "fraction": {
        "if": {"type": "string"},
        "then": {"type": "string", "pattern": "/"},
        "else": {"type": "number"},
    },
    "formula": {"type": "string", "pattern": "[^+]$"},
    "date": {"type": "string", "pattern": "^[0-9-]+$"},
    "name": {"type": "string", "pattern": "^[a-z]+$", "examples": ["saw"]},
    "part": {
        "type": "object",
        "properties": {
            "name": {"$ref": "#/$defs/name", "title": "what the part is called"},
            "width": {"$ref": "#/$defs/length"},
        },
        "required": ["name"],
        "additionalProperties": False,
    },
}
FREE = {"kind": True, "version": True, "unit": True}
CUT = {"type": "object", "additionalProperties": False}
JOB: dict[str, Any] = {
    "$schema": "https://json-schema.org/draft/2020-12/schema",
    "type": "object",
    "properties": {
        **FREE,
        "title": {"type": "string", "minLength": 1},
        "width": {"$ref": "#/$defs/length", "title": "Width of the leaf"},
        "share": {"$ref": "#/$defs/fraction"},
        "day": {"$ref": "#/$defs/date"},
        "count": {"type": "integer", "minimum": 1, "maximum": 9},
        "angle": {"type": "number", "exclusiveMinimum": 0, "exclusiveMaximum": 90},
        "done": {"type": "boolean"},
        "side": {"enum": ["left", "right"]},
        "number": {"enum": [1, 2]},
        "form": {"const": "flat"},
        "name": {"$ref": "#/$defs/name"},
        "code": {"type": "string", "pattern": "^[0-9]+$"},
        "lists": {"type": "array", "minItems": 1, "maxItems": 2, "uniqueItems": True},
        "parts": {
            "type": "array",
            "items": {
                "$ref": "#/$defs/part",
            },
        },
        "reading": {
            "type": "object",
            "properties": {"found": {"type": "number"}, "fit": {"enum": ["tight", "loose"]}},
            "additionalProperties": False,
            "oneOf": [{"required": ["found"]}, {"required": ["fit"]}],
        },
        "table": {
            "type": "object",
            "propertyNames": {"pattern": "^[a-z]$"},
            "additionalProperties": {"type": "integer"},
            "minProperties": 1,
        },
        "marked": {
            "type": "object",
            "patternProperties": {"^x_": {"type": "integer"}},
            "properties": {"plain": {"type": "integer"}},
            "additionalProperties": False,
        },
        "formula": {"$ref": "#/$defs/formula"},
        "pair": {
            "type": "object",
            "properties": {"gap": {"type": "integer"}, "lap": {"type": "integer"}},
            "dependentRequired": {"gap": ["lap"]},
            "additionalProperties": False,
        },
        "tree": {
            "type": "object",
            "properties": {"kind": {"enum": ["a", "b"]}, "ash": {"type": ["integer", "null"]}},
            "additionalProperties": False,
            "if": {"properties": {"kind": {"const": "a"}}},
            "then": {"required": ["ash"], "properties": {"ash": {"type": "integer"}}},
            "else": {"properties": {"ash": {"type": "null"}}},
        },
    },
    "additionalProperties": False,
    "$defs": DEFINITIONS,
}


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("schemas")
    (path / "job.json").write_text(json.dumps(JOB))
    return path


# Text from line 3 on; for each fault its line, column, field and words.
Expected = tuple[int, int, str, str]
CASES: list[tuple[str, list[Expected]]] = [
    ("title: 5\n", [(3, 8, "title", "expected text, found 5; put it in quotes")]),
    ("title: [a]\n", [(3, 8, "title", "expected text, found a list of 1")]),
    ("title:\n", [(3, 1, "title", "expected text, found nothing")]),
    ("title: ''\n", [(3, 8, "title", "expected text, found an empty one")]),
    ("width: {a: 1}\n", [(3, 8, "width", "expected text or a number, found keys and values (a)")]),
    ("width: 3 furlongs\n", [(3, 8, "width", "'3 furlongs' is no length")]),
    ("share: 1/0\n", [(3, 8, "share", "1/0 divides by nothing")]),
    ("share: half\n", [(3, 8, "share", "expected a number or a fraction such as 1/64")]),
    ("day: 1 May\n", [(3, 6, "day", "expected a date such as 2024-05-31, found '1 May'")]),
    ("day: '2024-02-30'\n", [(3, 6, "day", "2024-02-30 is no date")]),
    ("count: two\n", [(3, 8, "count", "expected a whole number, found 'two'")]),
    ("count: 2.0\n", [(3, 8, "count", "expected a whole number, found 2.0")]),
    ("count: true\n", [(3, 8, "count", "expected a whole number, found true")]),
    ("count: 0\n", [(3, 8, "count", "expected at least 1, found 0")]),
    ("count: 10\n", [(3, 8, "count", "expected at most 9, found 10")]),
    ("angle: 0\n", [(3, 8, "angle", "expected more than 0, found 0")]),
    ("angle: 90.0\n", [(3, 8, "angle", "expected less than 90, found 90.0")]),
    ("done: yes\n", [(3, 7, "done", "expected true or false, found 'yes'")]),
    ("side: rihgt\n", [(3, 7, "side", "unknown value 'rihgt'; did you mean 'right'?")]),
    ("side: top\n", [(3, 7, "side", "unknown value 'top'; known are left, right")]),
    ("side: 1\n", [(3, 7, "side", "expected one of 'left', 'right', found 1")]),
    ("number: 3\n", [(3, 9, "number", "expected one of 1, 2, found 3")]),
    ("form: round\n", [(3, 7, "form", "unknown value 'round'; known are flat")]),
    ("name: Saw\n", [(3, 7, "name", "expected text like 'saw', found 'Saw'")]),
    ("code: a\n", [(3, 7, "code", "expected text of the form ^[0-9]+$, found 'a'")]),
    ("lists: []\n", [(3, 8, "lists", "expected at least 1 in the list, found 0")]),
    ("lists: [1, 2, 3]\n", [(3, 8, "lists", "expected at most 2 in the list, found 3")]),
    ("lists: [a, a]\n", [(3, 8, "lists", "'a' stands twice in the list")]),
    (
        "lists: [a, b, b]\n",
        [
            (3, 8, "lists", "'b' stands twice in the list"),
            (3, 8, "lists", "expected at most 2 in the list, found 3"),
        ],
    ),
    ("colour: red\n", [(3, 1, "colour", "unknown key 'colour'; known are")]),
    ("titel: a\n", [(3, 1, "titel", "unknown key 'titel'; did you mean 'title'?")]),
    ("parts:\n- width: 1\n", [(4, 3, "parts.1.name", "missing 'name': what the part is called")]),
    (
        "parts:\n- name: a\n  widht: 1\n  colour: b\n",
        [
            (5, 3, "parts.1.widht", "unknown key 'widht'; did you mean 'width'?"),
            (6, 3, "parts.1.colour", "unknown key 'colour'; known are name, width"),
        ],
    ),
    ("parts: {}\n", [(3, 8, "parts", "expected a list, found empty braces")]),
    ("reading: {}\n", [(3, 1, "reading.found", "missing 'found'")]),
    (
        "reading: {found: 1, fit: loose}\n",
        [(3, 10, "reading", "keys and values (found, fit) could mean two things here")],
    ),
    ("reading: {fit: lose}\n", [(3, 16, "reading.fit", "did you mean 'loose'?")]),
    ("table: {A: 1}\n", [(3, 9, "table.A", "expected text of the form ^[a-z]$, found 'A'")]),
    ("table: {a: b}\n", [(3, 12, "table.a", "expected a whole number, found 'b'")]),
    ("table: {}\n", [(3, 8, "table", "expected at least 1 keys, found 0")]),
    ("marked: {x_a: 1, y_a: 2}\n", [(3, 18, "marked.y_a", "unknown key 'y_a'; known are plain")]),
    ("formula: 1 +\n", [(3, 10, "formula", "a formula ends in the middle")]),
    ("pair:\n  gap: 1\n", [(4, 3, "pair.gap", "missing 'lap': 'gap' needs it")]),
    ("tree: {kind: a}\n", [(3, 1, "tree.ash", "missing 'ash'")]),
    ("tree: {kind: b, ash: 1}\n", [(3, 22, "tree.ash", "expected nothing, found 1")]),
    ("tree: {kind: b, elm: 1}\n", [(3, 17, "tree.elm", "unknown key 'elm'; known are kind, ash")]),
]


def formula(value: object) -> None:
    """Stands for the formulas of the layer above."""
    if str(value).endswith("+"):
        raise ValueError("a formula ends in the middle")


def faults_of(text: str, folder: Path) -> tuple[Fault, ...]:
    return check_against_schema(document(text), Unit.IN, {"formula": formula}, folder)


def test_table_has_all_its_cases() -> None:
    assert len(CASES) == 46
    assert len({text for text, _ in CASES}) == 46


@pytest.mark.parametrize(("text", "expected"), CASES)
def test_fault(text: str, expected: list[Expected], folder: Path) -> None:
    found = faults_of(text, folder)
    assert [(fault.mark.line, fault.mark.column, fault.field) for fault in found] == [
        (line, column, field) for line, column, field, _ in expected
    ]
    for fault, (*_, words) in zip(found, expected, strict=True):
        assert words in fault.message


SOUND = """\
unit: in
title: door
width: 14 11/16
share: 1/64
day: 2024-02-29
count: 9
angle: 0.1
done: true
side: left
name: saw
lists: [1, a]
parts:
- name: rail
  width: 2.5
reading: {found: 2.5}
table: {a: 1}
marked: {x_any: 1, plain: 2}
formula: 1 + 2
pair: {gap: 1, lap: 2}
tree:
  kind: a
  ash: 1
"""


def test_sound_document(folder: Path) -> None:
    assert faults_of(SOUND, folder) == ()


def test_all_faults_at_once_in_order(folder: Path) -> None:
    found = faults_of("day: x\ncount: 0\nside: top\nparts: [{}]\n", folder)
    assert [fault.mark.line for fault in found] == [3, 4, 5, 6]


def test_every_key_short_of_a_letter_is_answered_with_the_right_one(folder: Path) -> None:
    def check(found: Document) -> tuple[Fault, ...]:
        return check_against_schema(found, Unit.IN, {"formula": formula}, folder)

    missed, count = unnoticed(document(SOUND), check)
    free = [("table", "a"), ("marked", "x_any")]
    assert [each.steps for each in missed if each.steps not in free] == []
    assert count == 29


def test_no_schema_for_a_kind(folder: Path) -> None:
    with pytest.raises(DataFaults, match=r"machine\.json: there is no such schema"):
        check_against_schema(
            Document(Path("m"), "machine", 1, {}, document("").marks, ""), folder=folder
        )


BROKEN: list[tuple[str, str]] = [
    ('{"$ref": "none.json"}', "there is no none.json, which it refers to"),
    ('{"$ref": "#/$defs/none"}', "there is no #/$defs/none, which it refers to"),
    ('{"$ref": "#/$defs/a", "$defs": {"a": {"$ref": "#/$defs/a"}}}', "refers to itself"),
    ('{"properties": ', "this schema is no JSON"),
]


@pytest.mark.parametrize(("text", "words"), BROKEN)
def test_broken_schema_says_so(text: str, words: str, tmp_path: Path) -> None:
    assert len(BROKEN) == 4
    (tmp_path / "job.json").write_text(text)
    with pytest.raises(DataFaults) as found:
        check_against_schema(document(""), folder=tmp_path)
    assert words in str(found.value)


def test_only_the_schemas_needed_are_read(folder: Path, tmp_path: Path) -> None:
    for path in folder.iterdir():
        (tmp_path / path.name).write_text(path.read_text())
    (tmp_path / "machine.json").write_text("no JSON at all")
    assert check_against_schema(document("count: 1\n"), folder=tmp_path) == ()


def keywords(node: Any) -> Iterator[str]:
    """The keywords that check something, in a schema and below it."""
    named = ("properties", "patternProperties", "$defs")
    for keyword, inner in node.items():
        yield keyword
        below = (
            inner.values() if keyword in named else inner if isinstance(inner, list) else [inner]
        )
        if keyword not in ("examples", "required", "enum", "dependentRequired"):
            for each in below:
                if isinstance(each, dict):
                    yield from keywords(each)


def test_every_keyword_of_the_program_s_schemas_is_told_in_words() -> None:
    told = {*WORDS, "required", "additionalProperties", "dependentRequired"}
    leads_on = {"properties", "patternProperties", "propertyNames", "items", "allOf"}
    leads_on |= {"if", "then", "else", "$ref", "$defs", "$schema", "$id"}
    for path in sorted(data_folder("schemas").glob("*.json")):
        used = set(keywords(json.loads(path.read_text("utf-8"))))
        assert "type" in used or path.stem == "common"
        assert used - ANNOTATIONS - leads_on <= told, path
