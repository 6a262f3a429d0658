"""Files are read by libyaml where it is there, in pure Python where it is not: both read the same.

Outside source: the two are parsers of their own, libyaml in C and `ruamel.yaml` in Python.
"""

from __future__ import annotations

import sys
from pathlib import Path
from random import Random

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from setupsheets.files.documents import Parsed, read_tree
from setupsheets.files.events import parsed_events
from setupsheets.files.faults import DataFaults, Fault
from setupsheets.files.libyaml import libyaml_events
from tests.files import made_up_yaml
from tests.files.helpers import HERE

ROOT = Path(__file__).parents[2]
SHIPPED = sorted(
    path for folder in ("profiles", "examples", "tests") for path in (ROOT / folder).rglob("*.yaml")
)

Outcome = tuple[object, object] | tuple[Fault, ...]


def outcome(text: str) -> Outcome:
    """The values with their types and all places, or else all faults."""
    try:
        found: Parsed = read_tree(text, HERE)
    except DataFaults as faults:
        return faults.faults
    return repr(found.data), dict(found.marks.places)


def by_both(text: str) -> tuple[Outcome, Outcome]:
    """What comes of a text, and what comes of it where there is no libyaml."""
    first = outcome(text)
    with pytest.MonkeyPatch.context() as patch:
        patch.setitem(sys.modules, "yaml.cyaml", None)
        assert libyaml_events("a: 1") is None
        return first, outcome(text)


def test_libyaml_is_here_and_used() -> None:
    """It gives every event by itself: nothing is left for the pure parser to read anew."""
    text = "a: [1, {b: x}]\nc:\n  - 'd'\n"
    events = libyaml_events(text)
    assert events is not None and [*events] == [*parsed_events(text)]


def test_every_shipped_file_is_read_alike() -> None:
    assert len(SHIPPED) > 150
    for path in SHIPPED:
        text = path.read_text("utf-8", errors="replace")
        one, other = by_both(text)
        assert one == other, path


def test_shipped_files_are_quick() -> None:
    """None of them holds what only the pure parser is asked for."""
    for path in SHIPPED:
        if "tests" not in path.parts:
            assert libyaml_events(path.read_text("utf-8")) is not None, path


# What the two read differently: the pure parser is asked at once, or when libyaml finds a fault.
DIFFERENT = (
    "a:\t1\n",
    "a: [1,\t2]\n",
    "a: x\u2028y\n",
    "a: x\x85y\n",
    "a: |#\n",
    "a: >-#x\n",
    "a: |\n  \n    x\n",
    "a: |+ # c\r\n  \r\n    x\r\n",
    "a: |-\n   ",
    "a: ! 1\n",
    "? a\n",
    "a: 1\n---\n",
    "|+\n\n#x\n",
    "---\n # c\n",
    "a: &b 1\n",
    "a: 1\na: 2\n",
    "a: " + "[" * 45,
    "a: " + "[" * 5_000,
)


@pytest.mark.parametrize("text", DIFFERENT)
def test_what_they_read_differently_is_read_as_ever(text: str) -> None:
    assert len(DIFFERENT) == 18
    one, other = by_both(text)
    assert one == other


@given(st.integers(0, 2**63))
def test_any_usual_text(seed: int) -> None:
    one, other = by_both(made_up_yaml.document(Random(seed)))
    assert one == other


@given(st.integers(0, 2**63))
def test_any_spoilt_text(seed: int) -> None:
    one, other = by_both(made_up_yaml.spoilt(Random(seed)))
    assert one == other


_pieces = st.sampled_from(
    [
        *("a: ", "b:", "- ", "? ", "\n", "\n  ", "\n    ", " ", ": ", ":", "#", " # c", "&a "),
        *("*a", "|", "|\n  x\n", ">-", ">\n  y\n\n  z", "|2\n", "|+\n", "|-\n", "!t ", "!", "?"),
        *("!!str ", "[", "]", "{", "}", ", ", ",", "'", '"', "''", "\\n", "\\", "%", "@", "`", "="),
        *("<", "~", "---\n", "...\n", "-", "--", "1", "0.5", "1/64", "word two", "é", "🙂", "\t"),
        *("\r\n", "\r", "\u2028", "\x85", "a:b", "http://x", "[1:30]", "{a:1}", '{"a":1}', '"q"'),
        *("'s'", "<<: "),
    ]
)
_pieced = st.lists(_pieces, max_size=14).map("".join)


@given(_pieced, st.booleans())
@example("|-\n  \n    x", True)
def test_any_pieces(text: str, within: bool) -> None:
    """Pieces of YAML as they come, and as the value of a key."""
    indented = text.replace("\n", "\n  ")
    one, other = by_both(f"k: {indented}\nz: 1\n" if within else text)
    assert one == other


@given(st.sampled_from(SHIPPED), _pieced, st.randoms(use_true_random=False))
def test_any_shipped_file_with_something_put_in(path: Path, pieces: str, random: Random) -> None:
    lines = path.read_text("utf-8", errors="replace").splitlines(keepends=True)
    at = random.randrange(len(lines) + 1)
    around = lines[max(at - 12, 0) : at], lines[at : at + 12]
    column = random.randrange(len(lines[at]) if at < len(lines) else 1)
    line = lines[at][:column] + pieces + lines[at][column:] if at < len(lines) else pieces
    one, other = by_both("".join([*around[0], line, *around[1][1:]]))
    assert one == other
