"""Faults, their places and the words they share. All of it is the project's own."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

from setupsheets.files.faults import (
    NOWHERE,
    DataFaults,
    Fault,
    Marks,
    Position,
    field_name,
    listed,
    nearest,
    shown,
    stop_on,
    unknown,
    whole_file,
)
from setupsheets.files.places import data_folder

A, B = Path("a.yaml"), Path("b.yaml")


def test_faults_are_sorted_by_place_and_said_once() -> None:
    first = Fault(Position(A, 2, 1), "x", "m")
    second = Fault(Position(A, 2, 10), "x", "m")
    third = Fault(Position(A, 10, 1), "x", "m")
    fourth = Fault(Position(B, 1, 1), "x", "m")
    found = DataFaults([fourth, third, first, second, first])
    assert found.faults == (first, second, third, fourth)
    assert str(found) == "a.yaml:2:1: x: m\na.yaml:2:10: x: m\na.yaml:10:1: x: m\nb.yaml:1:1: x: m"


def test_a_fault_of_the_whole_file_names_no_field() -> None:
    assert str(whole_file(A, "no such file")) == "a.yaml: no such file"


def test_stop_on_raises_only_for_faults() -> None:
    stop_on(())
    with pytest.raises(DataFaults):
        stop_on(iter([whole_file(A, "m")]))


def test_lists_count_from_one_as_people_do() -> None:
    assert field_name(("pieces", 0, "width")) == "pieces.1.width"
    assert field_name(()) == ""


KNOWN = ("width", "height", "from_end", "Kerf")
NEAREST: list[tuple[str, str | None]] = [
    ("widht", "width"),
    ("with", "width"),
    ("WIDTH", "width"),
    ("heigth", "height"),
    ("fromend", "from_end"),
    ("from-end", "from_end"),
    ("kref", "Kerf"),
    ("colour", None),
    ("", None),
]


@pytest.mark.parametrize(("word", "meant"), NEAREST)
def test_nearest(word: str, meant: str | None) -> None:
    assert len(NEAREST) == 9
    assert nearest(word, KNOWN) == meant


def test_unknown_names_the_nearest_or_all() -> None:
    assert unknown("key", "widht", KNOWN) == "unknown key 'widht'; did you mean 'width'?"
    assert unknown("unit", "cm", ["in", "mm"]) == "unknown unit 'cm'; known are in, mm"
    assert unknown("side", "top", ["left", "right"]) == "unknown side 'top'; known are left, right"
    assert unknown("key", "x", []) == "unknown key 'x'"


def test_long_lists_are_cut() -> None:
    assert listed("abc") == "a, b, c"
    assert listed("abcdef", most=4) == "a, b, c, d and 2 more"


SHOWN: list[tuple[object, str]] = [
    (None, "nothing"),
    (True, "true"),
    (False, "false"),
    (12, "12"),
    (Decimal("0.10"), "0.10"),
    ("x", "'x'"),
    ("", "''"),
    ("x" * 61, repr("x" * 57 + "...")),
    ({}, "empty braces"),
    ({"a": 1, "b": 2}, "keys and values (a, b)"),
    ([], "an empty list"),
    ((1, 2), "a list of 2"),
]


@pytest.mark.parametrize(("value", "text"), SHOWN)
def test_shown(value: object, text: str) -> None:
    assert len(SHOWN) == 12
    assert shown(value) == text


def test_data_folder_inside_the_package_wins(tmp_path: Path) -> None:
    package = tmp_path / "setupsheets"
    (tmp_path / "profiles").mkdir()
    package.mkdir()
    assert data_folder("profiles", package) == tmp_path / "profiles"
    (package / "profiles").mkdir()
    assert data_folder("profiles", package) == package / "profiles"


def test_a_missing_data_folder_is_told(tmp_path: Path) -> None:
    place = tmp_path / "setupsheets"
    with pytest.raises(DataFaults) as found:
        data_folder("profiles", place)
    assert str(found.value) == (
        f"{place / 'profiles'}: the program's own folder 'profiles' is missing here and at"
        f" {tmp_path / 'profiles'}: the installation is incomplete, install it again"
    )


def test_the_program_finds_its_own() -> None:
    assert list(data_folder("schemas").glob("*.json"))


def test_a_place_that_is_none_is_not_printed() -> None:
    assert str(NOWHERE.fault("unknown instrument 'tape'", "by")) == "by: unknown instrument 'tape'"


def test_what_no_place_is_known_of_is_told_at_the_head_of_its_file() -> None:
    marks = Marks(A, {})
    assert marks.mark("by") == marks.key("by") == Position(A, 1, 1)
