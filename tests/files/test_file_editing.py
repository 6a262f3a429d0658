"""Editing a user's file: only what the edit means is changed, to the letter.

All of it is the project's own rule. Each case compares whole texts, so nothing can change unseen.
"""

from __future__ import annotations

import difflib
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path
from random import Random
from typing import Any

import pytest

from setupsheets.files.documents import Document, read_document, read_text, read_tree
from setupsheets.files.dumping import YamlLayout, inline_text
from setupsheets.files.editing import (
    changed_text,
    edit,
    layout_of,
    text_with,
)
from setupsheets.files.faults import DataFaults
from tests.files import made_up_yaml
from tests.files.helpers import HERE

# Everything that a library would spell anew: spaces, signs, escapes, nulls, folds, indentation.
TEXT = """\
# The record of a cope.
kind: record   # never changed
version: 1

width:   1.50
offset: +5
name: "caf\\u00e9"
date: 2024-05-01
kept: ~
done: True
answer: 'no'
exponent: 1e3
octal: 010
sizes: [ 1,2 , 3.0]
pair: {a: 1,   b: 2}
folded: >
  some text
  more text

  another paragraph
multi: plain text
  that goes on
pieces:
    # the first one
    - name: a   # scrap
      face: 1.10
      # within the piece
    # behind the list

# about the next
next:
- 1
-   2
last: 5.
"""

Change = Callable[[Any], None]


def difference(old: str, new: str) -> list[str]:
    """The lines that went and came, as `-old` and `+new`."""
    lines = difflib.unified_diff(old.splitlines(), new.splitlines(), lineterm="", n=0)
    return [line for line in lines if not line.startswith(("---", "+++", "@@"))]


def set_(*steps: Any, to: Any) -> Change:
    def change(tree: Any) -> None:
        *outer, last = steps
        for step in outer:
            tree = tree[step]
        tree[last] = to

    return change


def added(*steps: Any, item: Any) -> Change:
    """One more item at the end of a list, which may be empty or its key missing."""

    def change(tree: Any) -> None:
        for step in steps[:-1]:
            tree = tree[step]
        tree[steps[-1]] = [*(tree.get(steps[-1]) or []), item]

    return change


def without(key: str) -> Change:
    return lambda tree: tree.__delitem__(key)


CHANGES: list[tuple[Change, list[str]]] = [
    (lambda tree: None, []),
    (set_("width", to=Decimal("1.25")), ["-width:   1.50", "+width:   1.25"]),
    (set_("answer", to="yes"), ["-answer: 'no'", "+answer: yes"]),
    (set_("pair", "b", to="3/8"), ["-pair: {a: 1,   b: 2}", "+pair: {a: 1,   b: 3/8}"]),
    (set_("pieces", 0, "face", to="1 1/8"), ["-      face: 1.10", "+      face: 1 1/8"]),
    (set_("next", 1, to=7), ["--   2", "+-   7"]),
    (set_("verdict", to="good"), ["+verdict: good"]),
    (set_("after", to={"fence": ["1/64"]}), ["+after:", "+  fence:", "+      - 1/64"]),
    (without("kept"), ["-kept: ~"]),
    (without("done"), ["-done: True"]),
]


@pytest.mark.parametrize(("change", "expected"), CHANGES)
def test_only_what_is_meant_changes(change: Change, expected: list[str]) -> None:
    assert len(CHANGES) == 10
    assert difference(TEXT, changed_text(read_text(TEXT, HERE), change)) == expected


# Where the list is, the item, and the lines that come.
APPENDED: list[tuple[tuple[str | int, ...], Any, list[str]]] = [
    (("next",), 3, ["+- 3"]),
    (("next",), "14 11/16", ["+- 14 11/16"]),
    (("pieces",), {"name": "b", "face": Decimal("1.10")}, ["+    - name: b", "+      face: 1.10"]),
    (
        ("pieces",),
        {"advice": ["x", "y"], "note": "one\ntwo\n"},
        [
            *("+    - advice:", "+          - x", "+          - y", "+      note: |"),
            *("+        one", "+        two"),
        ],
    ),
    (("sizes",), 4, ["-sizes: [ 1,2 , 3.0]", "+sizes: [ 1,2 , 3.0, 4]"]),
    (("events",), {"a": 1}, ["+events:", "+    - a: 1"]),
    (("pieces", 0, "marks"), 1, ["+      marks:", "+          - 1"]),
]


@pytest.mark.parametrize(("steps", "item", "expected"), APPENDED)
def test_one_more_item(steps: tuple[str | int, ...], item: Any, expected: list[str]) -> None:
    assert len(APPENDED) == 7
    text = changed_text(read_text(TEXT, HERE), added(*steps, item=item))
    assert difference(TEXT, text) == expected


def test_the_item_stands_before_the_comments_behind_the_list() -> None:
    text = changed_text(read_text(TEXT, HERE), added("pieces", item={"name": "b"}))
    lines = text.splitlines()
    at = lines.index("    - name: b")
    assert lines[at - 1] == "      # within the piece"
    assert lines[at + 1 :][:3] == ["    # behind the list", "", "# about the next"]


# The end of a list, an item, and how it looks then.
ENDS: list[tuple[str, str]] = [
    ("pieces: []\n", "pieces:\n  - 9\n"),
    ("pieces:\n", "pieces:\n  - 9\n"),
    ("pieces: []   # none yet\nb: 1\n", "pieces:   # none yet\n  - 9\nb: 1\n"),
    ("pieces:\n- 1", "pieces:\n- 1\n- 9\n"),
    ("pieces:\n- 1\n\n\n", "pieces:\n- 1\n- 9\n\n\n"),
    (
        "pieces:\n- |\n  text\n  # text too\n\nb: 1\n",
        "pieces:\n- |\n  text\n  # text too\n- 9\n\nb: 1\n",
    ),
    ("pieces:\n- |+\n  text\n\nb: 1\n", "pieces:\n- |+\n  text\n\n- 9\nb: 1\n"),
    ("pieces:\n- a: [1,\n   2]   # c\n# d\n", "pieces:\n- a: [1,\n   2]   # c\n- 9\n# d\n"),
    ("pieces:\n- a:\n  - b:\n    - 1\nb: 1\n", "pieces:\n- a:\n  - b:\n    - 1\n- 9\nb: 1\n"),
    ("pieces:\n  -   a: 1\nb: 1\n", "pieces:\n  -   a: 1\n  -   9\nb: 1\n"),
    ("pieces:\n- plain\n  on two lines\n", "pieces:\n- plain\n  on two lines\n- 9\n"),
    ("pieces:\n-\n", "pieces:\n-\n- 9\n"),
]


@pytest.mark.parametrize(("text", "expected"), ENDS)
def test_the_ends_of_lists(text: str, expected: str) -> None:
    assert len(ENDS) == 12
    head = "kind: record\nversion: 1\n"
    changed = changed_text(read_text(head + text, HERE), added("pieces", item=9))
    assert changed == head + expected


# A list, and how it looks with its items the other way round.
REVERSED: list[tuple[str, str]] = [
    (
        """\
  # of the first
  - name: a    # here
    # within
    passes: 2.0
      # still within

  # of the second
  - name: "b"
  # behind the list
after: 1
""",
        """\

  # of the second
  - name: "b"
  # of the first
  - name: a    # here
    # within
    passes: 2.0
      # still within
  # behind the list
after: 1
""",
    ),
    ("- 1.50 # one\n- two", "- two\n- 1.50 # one\n"),
    ("- |+\n  text\n\n- 2\n", "- 2\n- |+\n  text\n\n"),
    ("- - 1 # one\n  - 2\n- [3,\n   4]\n", "- [3,\n   4]\n- - 1 # one\n  - 2\n"),
    (" [ 1.50,  'b' ]  # both\n", " [ 'b',  1.50 ]  # both\n"),
]


@pytest.mark.parametrize(("text", "expected"), REVERSED)
def test_items_that_change_places_take_their_comments_along(text: str, expected: str) -> None:
    assert len(REVERSED) == 5
    head = "kind: recipe\nversion: 1\noperations:"
    ends = "" if text.startswith(" [") else "\n"
    document = read_text(head + ends + text, HERE)
    changed = changed_text(document, lambda data: data["operations"].reverse())
    assert changed == head + ends + expected


def test_the_items_of_a_list_within_a_thing_change_places() -> None:
    head = "kind: recipe\nversion: 1\nouter:\n  inner:\n"
    document = read_text(f"{head}  - 1 # one\n  - 2\n", HERE)
    changed = changed_text(document, lambda data: data["outer"]["inner"].reverse())
    assert changed == f"{head}  - 2\n  - 1 # one\n"


LAYOUTS: list[tuple[str, YamlLayout]] = [
    ("a: 1\n", YamlLayout(2, 2, 4)),
    ("a:\n- 1\n", YamlLayout(2, 0, 2)),
    ("a:\n  - 1\n", YamlLayout(2, 2, 4)),
    ("a:\n    -   1\n", YamlLayout(2, 4, 8)),
    ("a:\n    b: 1\n", YamlLayout(4, 2, 4)),
    ("a: {b: 1}\nc: [1]\n", YamlLayout(2, 2, 4)),
    ("a:\n- b:\n     c: 1\n", YamlLayout(3, 0, 2)),
]


@pytest.mark.parametrize(("text", "layout"), LAYOUTS)
def test_layout(text: str, layout: YamlLayout) -> None:
    assert len(LAYOUTS) == 7
    assert layout_of(read_text("kind: job\nversion: 1\n" + text, HERE)) == layout


@pytest.mark.parametrize("ends", ["\n", "\r\n"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_line_ends_and_byte_order_mark_stay(ends: str, mark: str, tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    path.write_bytes((mark + TEXT.replace("\n", ends)).encode())
    new = edit(path, set_("verdict", to="good"))
    assert path.read_bytes() == (mark + (TEXT + "verdict: good\n").replace("\n", ends)).encode()
    assert new.data["verdict"] == "good"
    assert read_document(path).data == new.data


def test_an_edit_gives_the_document_as_it_now_is(tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    path.write_text(TEXT)
    new = edit(path, added("pieces", item={"name": "b"}))
    assert new.marks.mark("pieces", 1, "name").line == 28
    assert path.read_text() == new.source


UNSOUND: list[tuple[Change, str]] = [
    (set_("kind", to="nothing"), "unknown kind 'nothing'"),
    (without("version"), "missing 'version'"),
]


@pytest.mark.parametrize(("change", "words"), UNSOUND)
def test_an_edit_that_would_spoil_the_file_is_not_written(
    change: Change, words: str, tmp_path: Path
) -> None:
    path = tmp_path / "a.yaml"
    path.write_text(TEXT)
    with pytest.raises(DataFaults, match=words):
        edit(path, change)
    assert path.read_text() == TEXT


def test_a_file_that_is_not_there_leaves_nothing_behind(tmp_path: Path) -> None:
    with pytest.raises(DataFaults, match="no such file"):
        edit(tmp_path / "a.yaml", added("pieces", item=1))
    assert list(tmp_path.iterdir()) == []


def test_a_faulty_file_is_not_edited(tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    path.write_text("kind: job\nversion: 1\na: &x 1\nb: *x\n")
    with pytest.raises(DataFaults, match="anchor"):
        edit(path, set_("b", to=2))
    assert path.read_text() == "kind: job\nversion: 1\na: &x 1\nb: *x\n"


@pytest.mark.parametrize("value", [0.1, {"x": 0.1}, {1: 2}, object()])
def test_what_no_file_holds_is_refused(value: object, tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    path.write_text(TEXT)
    with pytest.raises(TypeError):
        edit(path, set_("new", to=value))
    assert path.read_text() == TEXT


# ------------------------------------------------------------------------------ for any file


def made_up(seed: int) -> Document | None:
    """A made-up document with a few known keys; None if it happens to be no YAML."""
    body = made_up_yaml.mapping(Random(seed), 0, 0)
    try:
        return read_text("kind: job\nversion: 1\nold: 1\nlist:\n- 1\n" + body, HERE)
    except DataFaults:
        return None


def test_any_file_keeps_all_but_the_change() -> None:
    documents = [found for seed in range(60) if (found := made_up(seed))]
    assert len(documents) > 40
    for found in documents:
        assert changed_text(found, lambda data: None) == found.source
        new = changed_text(found, set_("old", to=2))
        assert new == found.source.replace("old: 1", "old: 2", 1)
        assert difference(found.source, changed_text(found, added("list", item="x"))) == ["+- x"]


def mutated(value: Any, random: Random) -> Any:
    """A value with something in it replaced, added or taken away, anywhere."""
    if isinstance(value, dict) and value:
        key = random.choice(list(value))
        what = random.random()
        if what < 0.2:
            return {**value, "new key": random.choice(NEW)}
        if what < 0.35 and len(value) > 1:
            return {name: item for name, item in value.items() if name != key}
        return {**value, key: mutated(value[key], random)}
    if isinstance(value, list) and value and random.random() < 0.8:
        if random.random() < 0.3:
            return [*value, random.choice(NEW)]
        at = random.randrange(len(value))
        return [*value[:at], mutated(value[at], random), *value[at + 1 :]]
    return random.choice(NEW)


NEW: tuple[Any, ...] = (
    *(
        "text",
        "14 11/16",
        "a: b # c",
        "",
        "12",
        "one\ntwo\n",
        " x\ny",
        7,
        Decimal("1.50"),
        None,
        True,
    ),
    *([], {}, ["a", 1], {"k": "v", "l": [1, {"m": "n"}]}, [["x"], {"y": None}]),
)


def test_any_change_of_any_file_comes_out_right() -> None:
    """`text_with` reads its result and would refuse; so it is told here that it need not."""
    random = Random(11)
    for found in (found for seed in range(60) if (found := made_up(seed))):
        head = {key: found.data[key] for key in ("kind", "version")}
        body = {key: item for key, item in found.data.items() if key not in head}
        for _ in range(3):
            new = {**head, **mutated(body, random)}
            assert read_tree(text_with(found, new), HERE).data == new


def test_a_mapping_of_one_key_keeps_its_braces_and_a_key_is_added_to_one_in_a_line() -> None:
    assert inline_text({"kind": "presses"}) == "{kind: presses}"
    text = "kind: job\nversion: 1\na: {b: 1}   # kept\n"
    changed = changed_text(read_text(text, HERE), lambda data: data["a"].update(c="d"))
    assert changed == "kind: job\nversion: 1\na: {b: 1, c: d}   # kept\n"
