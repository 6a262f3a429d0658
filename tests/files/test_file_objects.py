"""From a document to frozen structs: what each annotation takes, and what it refuses.

Outside source: ISO 8601 for dates; an inch is 25.4 mm (NBS Circular 572). The rest are own rules.
"""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from enum import Enum, StrEnum
from fractions import Fraction
from typing import Any

import pytest
from msgspec import Struct, defstruct

from setupsheets.files.faults import NOWHERE, DataFaults, Marks, Position
from setupsheets.files.objects import Maker, build, unit_of
from setupsheets.lengths import Length, Unit
from tests.files.helpers import HERE, document

INCH = Length("25.4 mm")


class Side(StrEnum):
    LEFT = "left"
    RIGHT = "right"


class Turns(Enum):
    ONE = 1
    TWO = 2


class Stop(Struct, frozen=True):
    at: Length
    from_end: Side = Side.LEFT


class Part(Struct, frozen=True):
    name: str
    marks: Marks = NOWHERE


class Word:
    """A type of the layer above."""

    def __init__(self, text: str, unit: Unit) -> None:
        if " " in text:
            raise ValueError("a word has no spaces")
        self.text, self.unit = text, unit


def made(hint: Any, text: str, unit: Unit = Unit.IN) -> Any:
    """The one field `a` of a struct, annotated `hint`, from YAML."""
    cls: Any = defstruct("Made", [("a", hint)], frozen=True)
    makers: dict[type, Maker] = {Word: Word}
    return build(cls, document(text), unit, makers=makers).a


# Annotation, YAML, value.
TAKEN: list[tuple[Any, str, object]] = [
    (str, "a: text", "text"),
    (str, "a: '12'", "12"),
    (int, "a: 12", 12),
    (bool, "a: true", True),
    (Fraction, "a: 1/64", Fraction(1, 64)),
    (Fraction, "a: 1 1/2", Fraction(3, 2)),
    (Fraction, "a: 1-1/2", Fraction(3, 2)),
    (Fraction, "a: -1/2", Fraction(-1, 2)),
    (Fraction, "a: -1 1/2", Fraction(-3, 2)),
    (Fraction, "a: 0.1", Fraction(1, 10)),
    (Fraction, "a: 3", Fraction(3)),
    (Length, "a: 1", INCH),
    (Length, "a: 25.4 mm", INCH),
    (Length, "a: 1/2", INCH / 2),
    (Length, "unit: mm\na: 25.4", INCH),
    (datetime.date, "a: 2024-02-29", datetime.date(2024, 2, 29)),
    (Side, "a: right", Side.RIGHT),
    (Turns, "a: 2", Turns.TWO),
    (int | None, "a:", None),
    (int | None, "a: 3", 3),
    (tuple[int, ...], "a: [1, 2]", (1, 2)),
    (tuple[int, ...], "a: []", ()),
    (tuple[int, str], "a: [1, x]", (1, "x")),
    (tuple[tuple[Length, ...], ...], "a: [[1], [1/2]]", ((INCH,), (INCH / 2,))),
    (Mapping[str, Length], "a: {x: 1}", {"x": INCH}),
    (dict[str, int], "a: {x: 1}", {"x": 1}),
    (Mapping[Side, int], "a: {left: 1}", {Side.LEFT: 1}),
    (Part, "a: {name: rail}", Part("rail")),
    (tuple[Part, ...], "a:\n- name: rail", (Part("rail"),)),
]


def test_table_has_all_its_cases() -> None:
    assert len(TAKEN) == 29


@pytest.mark.parametrize(("hint", "text", "value"), TAKEN)
def test_taken(hint: Any, text: str, value: object) -> None:
    found = made(hint, text)
    assert found == value
    assert type(found) is type(value)


# Annotation, YAML, field, words.
REFUSED: list[tuple[Any, str, str, str]] = [
    (str, "a: 12", "a", "expected text, found 12; put it in quotes"),
    (str, "a:", "a", "expected text, found nothing"),
    (str, "a: true", "a", "expected text, found true"),
    (int, "a: 1.0", "a", "expected a whole number, found 1.0"),
    (int, "a: true", "a", "expected a whole number, found true"),
    (int, "a: one", "a", "expected a whole number, found 'one'"),
    (bool, "a: 1", "a", "expected true or false, found 1"),
    (bool, "a: yes", "a", "expected true or false, found 'yes'"),
    (Fraction, "a: 1/0", "a", "1/0 divides by nothing"),
    (Fraction, "a: half", "a", "expected a number or a fraction such as 1/64"),
    (Fraction, "a: '1e9'", "a", "expected a number or a fraction such as 1/64"),
    (Length, "a: 1 furlong", "a", "'1 furlong' is no length"),
    (Length, "a: false", "a", "expected a length, found false"),
    (Length, "a: [1]", "a", "expected a length, found a list of 1"),
    (datetime.date, "a: 2024-1-2", "a", "expected a date such as 2024-05-31"),
    (datetime.date, "a: '2023-02-29'", "a", "2023-02-29 is no date"),
    (datetime.date, "a: 20240102", "a", "expected a date such as 2024-05-31"),
    (Side, "a: rihgt", "a", "unknown value 'rihgt'; did you mean 'right'?"),
    (Turns, "a: 3", "a", "expected one of 1, 2, found 3"),
    (Turns, "a: true", "a", "expected one of 1, 2, found true"),
    (tuple[int, ...], "a: 1", "a", "expected a list, found 1"),
    (tuple[int, ...], "a: [1, x]", "a.2", "expected a whole number, found 'x'"),
    (tuple[int, str], "a: [1]", "a", "expected a list of 2, found a list of 1"),
    (Mapping[str, int], "a: [1]", "a", "expected keys and values, found a list of 1"),
    (Mapping[Side, int], "a: {up: 1}", "a.up", "unknown value 'up'"),
    (Part, "a: rail", "a", "expected keys and values, found 'rail'"),
    (Part, "a: {}", "a.name", "missing 'name'"),
    (Part, "a: {name: x, nmae: y}", "a.nmae", "unknown key 'nmae'"),
    (Part, "a: {name: x, marks: y}", "a.marks", "unknown key 'marks'"),
    (int | None, "a: x", "a", "expected a whole number, found 'x'"),
    (Word, "a: two words", "a", "a word has no spaces"),
]


def test_table_of_refusals_has_all_its_cases() -> None:
    assert len(REFUSED) == 31


@pytest.mark.parametrize(("hint", "text", "name", "words"), REFUSED)
def test_refused(hint: Any, text: str, name: str, words: str) -> None:
    with pytest.raises(DataFaults) as found:
        made(hint, text)
    (fault,) = found.value.faults
    assert fault.field == name
    assert words in fault.message
    assert fault.mark.line == 3


def test_all_faults_at_once_each_at_its_place() -> None:
    with pytest.raises(DataFaults) as found:
        made(tuple[Stop, ...], "a:\n- {at: x}\n- {at: 1, from_end: y}\n- {}\n")
    assert [(fault.mark.line, fault.mark.column) for fault in found.value.faults] == [
        (4, 8),
        (5, 21),
        (6, 3),
    ]


def test_objects_know_their_place_down_to_the_field() -> None:
    parts = made(tuple[Part, ...], "a:\n- name: rail\n- name: stile\n")
    assert parts[1].marks.mark() == Position(HERE, 5, 3)
    assert parts[1].marks.mark("name") == Position(HERE, 5, 9)
    assert parts[1].marks.fault("too long", "name").field == "a.2.name"
    assert parts[1] == Part("stile")  # the place is no part of what an object is


def test_an_object_made_in_code_has_marks_too() -> None:
    assert str(Part("rail").marks.mark("name")) == ""


def test_a_maker_of_the_layer_above_gets_the_unit_of_the_file() -> None:
    assert made(Word, "a: x").unit is Unit.IN
    assert made(Word, "unit: mm\na: x").unit is Unit.MM


def test_unit_of_the_file_wins() -> None:
    assert unit_of(document("a: 1\n"), Unit.MM) is Unit.MM
    assert unit_of(document("unit: in\n"), Unit.MM) is Unit.IN
    with pytest.raises(DataFaults, match=r"sample\.yaml:3:7: unit: unknown unit 'inn'"):
        unit_of(document("unit: inn\n"), Unit.MM)


class Range(Struct, frozen=True):
    low: int
    high: int

    def __post_init__(self) -> None:
        if self.low > self.high:
            raise ValueError(f"low {self.low} lies above high {self.high}")


def test_what_an_object_refuses_is_a_fault_at_its_place() -> None:
    with pytest.raises(DataFaults) as found:
        made(Range, "a:\n  low: 2\n  high: 1\n")
    (fault,) = found.value.faults
    assert (fault.field, fault.mark.line) == ("a", 4)
    assert fault.message == "low 2 lies above high 1"


def test_an_annotation_that_no_file_can_fill_is_an_error_of_the_program() -> None:
    with pytest.raises(TypeError, match="no way to make"):
        made(complex, "a: 1")
