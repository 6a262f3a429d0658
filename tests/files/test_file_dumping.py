"""The program's own YAML: read again it is the same, and it looks as a person would write it.

Reference for reading back: ruamel.yaml's safe loader with YAML 1.2, besides the program's reader.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from ruamel.yaml import YAML

from setupsheets.files.documents import read_tree
from setupsheets.files.dumping import yaml_text
from tests.files.helpers import HERE

RECORD = {
    "kind": "record",
    "version": 1,
    "date": "2024-05-31",
    "width": "14 11/16",
    "share": Decimal("0.10"),
    "whole": Decimal("12"),
    "done": True,
    "kept": None,
    "code": "007",
    "answer": "yes",
    "truth": "true",
    "bad_date": "2024-02-30",
    "notes": "first line\nsecond line\n",
    "pieces": [{"face": "1/64", "back": -1}, {"advice": ["fence # 2", "stop: 3"]}],
    "empty": [],
}

TEXT = """\
kind: record
version: 1
date: 2024-05-31
width: 14 11/16
share: 0.10
whole: 12
done: true
kept:
code: '007'
answer: yes
truth: 'true'
bad_date: '2024-02-30'
notes: |
  first line
  second line
pieces:
  - face: 1/64
    back: -1
  - advice:
      - 'fence # 2'
      - 'stop: 3'
empty: []
"""


def test_text() -> None:
    assert yaml_text(RECORD) == TEXT
    assert read_tree(TEXT, HERE).data == RECORD


def test_printed_read_and_printed_it_is_the_same_byte_for_byte() -> None:
    assert yaml_text(read_tree(yaml_text(RECORD), HERE).data) == TEXT


def test_long_lines_are_not_broken() -> None:
    assert yaml_text({"a": "word " * 60 + "end"}).count("\n") == 1


@pytest.mark.parametrize("value", [0.5, object(), {1, 2}])
def test_other_types_are_refused(value: object) -> None:
    with pytest.raises(TypeError, match="has no place in a data file"):
        yaml_text({"a": [value]})


def test_a_key_that_is_no_text_is_refused() -> None:
    with pytest.raises(TypeError, match=r"^the keys of \{1: 'x'\} are not all text$"):
        yaml_text({"a": {1: "x"}})


_printable = st.characters(
    exclude_categories=("Cs", "Cc"),
    include_characters="\n\t",
    exclude_characters="\ufeff\ufffe\uffff",
)
_text = st.text(_printable, max_size=30)
_near = st.sampled_from(
    [
        *(
            "~",
            "null",
            "true",
            "True",
            "no",
            "12",
            "-1",
            "0x1F",
            "0o17",
            "1e3",
            ".5",
            "5.",
            "1_000",
        ),
        *(
            "2024-01-01",
            "2024-02-30",
            "1:30",
            "- a",
            "a: b",
            "a #b",
            "#",
            "&a",
            "*a",
            "!t",
            "|",
            ">",
        ),
        *("'", '"', "%", "@", "`", "[", "{a", "<<", "=", "?", "-", "...", "---", " lead", "trail "),
        *(
            "line\nline",
            "line\n\nline\n",
            " in\ndented",
            "a\n b\n",
            "tab\tbed\nb",
            "\n",
            "a\n\n",
            ".inf",
        ),
    ]
)
_scalars = (
    st.none()
    | st.booleans()
    | st.integers(-(10**20), 10**20)
    | st.decimals(allow_nan=False, allow_infinity=False, places=4, min_value=-1000, max_value=1000)
    | _near
    | _text
)
_keys = _near.filter(lambda key: isinstance(key, str)) | st.text(
    "abcdef_ é", min_size=1, max_size=8
)
_trees = st.recursive(
    _scalars,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(_keys, inner, max_size=4),
    max_leaves=12,
)


@given(st.dictionaries(_keys, _trees, max_size=4))
@example({"a": "0o17", "b": "1\n", "<<": "x"})
@example({"a": [[], {}, [[]], {"b": {}}]})
def test_any_plain_tree_comes_back(data: dict[str, Any]) -> None:
    if data:
        assert read_tree(yaml_text(data), HERE).data == data


@given(st.dictionaries(st.sampled_from("abc"), _text | st.integers() | st.booleans(), min_size=1))
def test_any_other_yaml_program_reads_the_same(data: dict[str, Any]) -> None:
    assert YAML(typ="safe", pure=True).load(yaml_text(data)) == data
