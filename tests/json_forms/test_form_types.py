"""The schemas of JSON forms against the types of what is told: not what examples happened to show.

No outside source: two tellings of one thing, the structs that the program fills and the schemas
that other programs read.
"""

from __future__ import annotations

import datetime
import json
import types
from collections.abc import Mapping
from enum import Enum
from fractions import Fraction
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

import pytest

from setupsheets.corrections.stopping import NextStep
from setupsheets.joinery.frame.opening import Fitting
from setupsheets.joinery.leaf import About, Whole
from setupsheets.joinery.members.parts import Joinery
from setupsheets.joinery.members.stick import Spacers
from setupsheets.joinery.stock.cutlist import BoardNeed
from setupsheets.json_forms.json_values import SHOWN
from setupsheets.lengths import Length
from setupsheets.machining.routing.steps import Tally
from setupsheets.machining.setting.block_stacks import BlockStack
from setupsheets.records.pieces_due import PiecesDue
from setupsheets.records.record import (
    Record,
    RecordedMeasure,
    RecordedPiece,
    RecordedReading,
    RecordedSetting,
)
from setupsheets.shop.jobs import Job
from setupsheets.shop.machines import SettingName
from setupsheets.shop.sections import Section
from tests.json_forms.test_forms import FORMS, schema

Shape = Any
"""`length`, `string`, `integer`, `number`, `boolean`; a set of words; a list of one shape; keys and
their shapes; `("maybe", shape)` for what may be null; `("by name", shape)` for keys of any name."""

PLAIN = {Length: "length", str: "string", bool: "boolean", int: "integer", Section: "string"}
PLAIN |= {Fraction: "number", float: "number", datetime.date: "string"}


def shape_of(hint: Any) -> Shape:
    """What JSON has of a value of a type, by the rules of `json_values.value`."""
    if hint in PLAIN:
        return PLAIN[hint]
    if hint in SHOWN:
        return {name: shape_of(hint_of(hint, name)) for name in SHOWN[hint]}
    inner = get_args(hint)
    origin = get_origin(hint)
    if origin is Literal:
        return {*inner}
    if origin in (Union, types.UnionType):
        (some,) = (each for each in inner if each is not type(None))
        return ("maybe", shape_of(some))
    if origin is tuple:
        assert len({*inner} - {...}) == 1, hint
        return [shape_of(inner[0])]
    if origin is Mapping:
        return ("by name", shape_of(inner[1]))
    assert issubclass(hint, Enum), hint
    return {str(each.value) for each in hint}


def hint_of(cls: Any, name: str) -> Any:
    """The type of a field, or of what a property gives."""
    hints = get_type_hints(cls)
    if name in hints:
        return hints[name]
    found = getattr(cls, name)
    return get_type_hints(getattr(found, "fget", None) or found.func)["return"]


def told(field: Mapping[str, Any]) -> Shape:
    """The same of a part of a schema."""
    if field.get("$ref") == "#/$defs/length":
        return "length"
    if "anyOf" in field:
        some, nothing = field["anyOf"]
        assert nothing == {"type": "null"}
        return ("maybe", told(some))
    if "enum" in field:
        return {*field["enum"]}
    if "const" in field:
        return field["const"]
    if field["type"] == "array":
        return [told(field["items"])]
    if field["type"] == "object":
        if "properties" not in field:
            return ("by name", told(field["additionalProperties"]))
        assert {*field["required"]} == {*field["properties"]}
        return {key: told(each) for key, each in field["properties"].items()}
    return field["type"]


LISTED = {
    "leaf": hint_of(Job, "size"),
    **{key: hint_of(Joinery, key) for key in ("parts", "mortises", "haunches", "halvings")},
    **{key: hint_of(Joinery, key) for key in ("lights", "panes", "beads")},
    "bead_boards": hint_of(Whole, "bead_boards"),
    "glass_and_panels": hint_of(Whole, "order"),
    "cut_list": hint_of(Whole, "rows"),
    "sticks": hint_of(Whole, "sticks"),
    "fits": hint_of(Whole, "stacks"),
    "dry_fit": hint_of(Whole, "dry_fit"),
    "moisture": hint_of(Whole, "moistures"),
    "seasons": hint_of(Whole, "moved"),
    "weight_kg": hint_of(Whole, "weight"),
}


@pytest.mark.parametrize("key", LISTED)
def test_what_parts_tells_is_of_its_type(key: str) -> None:
    assert told(schema("parts")["properties"][key]) == shape_of(LISTED[key])


def at(form: str, path: str) -> Any:
    """A part of a form's schema by its keys, through lists and what may be null."""
    found = schema(form)
    for key in path.split("."):
        found = found["anyOf"][0] if "anyOf" in found else found
        found = found.get("items", found)
        found = found["properties"][key]
    return found


def test_boards_are_told_with_their_pieces_scarfs_and_offcuts() -> None:
    boards = told(at("parts", "boards"))[0]
    pieces = boards["packing"]["boards"][0].pop("pieces")
    offcuts = boards.pop("from_offcuts")
    assert [boards] == [shape_of(BoardNeed)]
    assert pieces == [{"name": "string", "length": "length", "count": "integer"}]
    assert offcuts == [{"name": "string", "count": "integer"}]


def test_spacers_are_told_with_their_blocks() -> None:
    spacers = told(at("parts", "spacers"))[0]
    assert spacers.pop("blocks") == [{"size": "length", "count": "integer"}]
    assert spacers == shape_of(Spacers)


FIELDS = [
    ("blocks", "stack", BlockStack | None),
    ("blocks", "finer.stack", BlockStack),
    *(("parts", f"opening.{key}", hint_of(Fitting, key)) for key in ("edges", "swing")),
    ("parts", "opening.least_bevel", hint_of(Fitting, "least_bevel")),
    *(
        ("recall", f"recalled.record.{key}", hint_of(Record, key))
        for key in (
            *("name", "begun", "date", "job", "set_up", "recipe", "section", "timber", "parts"),
            *("verdict", "although", "kept"),
        )
    ),
    *(
        ("recall", f"recalled.record.pieces.{key}", hint_of(RecordedPiece, key))
        for key in ("date", "longer", "advice", "moved", "notes")
    ),
    *(
        ("recall", f"recalled.record.pieces.readings.{key}", hint_of(RecordedReading, key))
        for key in ("of", "found", "fit", "by", "pieces", "struck")
    ),
    *(
        ("recall", f"recalled.record.measures.{key}", hint_of(RecordedMeasure, key))
        for key in ("name", "title", "by", "target")
    ),
    *(
        ("recall", f"recalled.settings.{key}", hint_of(RecordedSetting, key))
        for key in ("machine", "setting")
    ),
    ("recall", "recalled.test_pieces", hint_of(PiecesDue, "pieces")),
    *(
        ("route", f"{each}.{key}", hint_of(Tally, key))
        for each in ("comes_to", "joint_by_joint", "least")
        for key in Tally._fields
    ),
    ("sheet", "route.settings.name", SettingName),
]


@pytest.mark.parametrize(("form", "path", "hint"), FIELDS, ids=[f"{f}-{p}" for f, p, _ in FIELDS])
def test_what_other_forms_tell_is_of_its_type(form: str, path: str, hint: Any) -> None:
    assert told(at(form, path)) == shape_of(hint)


@pytest.mark.parametrize("form", ["correct", "log"])
def test_every_verdict_that_an_answer_may_have_is_named(form: str) -> None:
    dry_fit = {"cut parts", "look at the parts"}
    assert told(at(form, "answer.verdict")) == shape_of(NextStep) | dry_fit


def test_notes_are_told_by_what_they_are_about() -> None:
    assert {*at("parts", "notes")["propertyNames"]["enum"]} == shape_of(About)
    assert {*at("route", "route.left_from")["propertyNames"]["enum"]} == shape_of(SettingName)


@pytest.mark.parametrize("form", FORMS)
def test_a_word_of_a_name_means_one_thing_where_it_stands(form: str) -> None:
    """No description is one for all keys of a name: none has two meanings to choose from."""
    assert "; or " not in json.dumps(schema(form))
