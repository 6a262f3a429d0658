"""The quick scanner of simple YAML against the full parser: the same events, or it gives up.

Reference: ruamel.yaml's pure Python parser, which the program uses for all other files.
"""

from __future__ import annotations

from pathlib import Path
from random import Random

import made_up_yaml
import pytest

from setupsheets.files.events import Event, Kind, SyntaxFault, parsed_events
from setupsheets.files.places import data_folder
from setupsheets.files.simple import simple_events


def told(events: list[Event]) -> list[object]:
    """What counts: where a value stands that is not there, and where a block ends, does not."""
    return [event if counts(event) else (event.kind, event.value) for event in events]


def counts(event: Event) -> bool:
    is_absent = event.kind is Kind.SCALAR and event.plain and not event.value
    return not (is_absent or event.kind in (Kind.DOCUMENT, Kind.END))


def agreed(text: str) -> bool:
    """Whether the text is simple; fails if the full parser reads it differently."""
    quick = simple_events(text)
    if quick is None:
        return False
    try:
        full = list(parsed_events(text))
    except SyntaxFault as fault:
        pytest.fail(f"{text!r} is no YAML: {fault}")
    assert told(quick) == told(full), text
    return True


@pytest.mark.parametrize("seed", range(8))
def test_made_up_documents_agree(seed: int) -> None:
    random = Random(seed)
    simple = sum(agreed(made_up_yaml.document(random)) for _ in range(40))
    assert simple > 30  # or the comparison would be an empty one


@pytest.mark.parametrize("seed", range(8))
def test_spoilt_documents_agree(seed: int) -> None:
    random = Random(1000 + seed)
    simple = sum(agreed(made_up_yaml.spoilt(random)) for _ in range(60))
    assert 5 < simple < 55


def test_profiles_are_simple() -> None:
    """So a sheet does not wait for the full parser; all of them, whatever is added."""
    files = sorted(data_folder("profiles").rglob("*.yaml"))
    assert len(files) > 20
    assert not [path for path in files if not agreed(text_of(path))]


def text_of(path: Path) -> str:
    return path.read_text("utf-8")


# Each would be read wrongly by a scanner that looks at one line at a time, or is no YAML at all.
NOT_SIMPLE = [
    "a: &x 1\n",
    "a: *x\n",
    "a: !t x\n",
    "a: b: c\n",
    "a: b:\n",
    "a: 'open\n  close'\n",
    'a: "\\n"\n',
    "a: 'x' y\n",
    "a: 'x'# no comment\n",
    "a: [1] 2\n",
    "a: [1\n",
    "a: [b: c]\n",
    "a: {b, c: d}\n",
    "a: {b:1}\n",
    "a: [x # comment\n  ]\n",
    "a: |2\n  x\n",
    "a: |+\n  x\n\n",
    "a: |\n\n  x\n",
    "a: >\n  x\n   y\n",
    "a: |\n  x",
    "a: |\nb: 1\n",
    "a: @x\n",
    "a: - b\n",
    "a: ? b\n",
    "a:\tb\n",
    "a: 1\n  b: 2\n",
    "a:\n  b: 1\n c: 2\n",
    "a: 1\n- b\n",
    "- a\nb: 1\n",
    "a: x\n\n  y\n",
    "a: x # c\n  y\n",
    "a: 1\n---\nb: 2\n",
    "a: 1\n...\n",
    "%YAML 1.2\n---\na: 1\n",
    "? a\n: b\n",
    "a\u2028b: 1\n",
    "a: 1\rb: 2\n",
    "text\n",
    "[a]\n",
    "  a: 1\nb: 2\n",
    "a" * 1025 + ": 1\n",
    "a:b: c\n",
    "<<: {}\n",
    "",
    "# c\n",
]


@pytest.mark.parametrize("text", NOT_SIMPLE)
def test_not_simple(text: str) -> None:
    assert len(NOT_SIMPLE) == 45
    assert simple_events(text) is None


SIMPLE = [
    "a: 1\n",
    "---\na: 1\n",
    "# c\n\na: 1   # c\n  # deeper\nb: 2\n",
    "a:\nb:\n- 1\n-\n- # c\n",
    "a:\n- b: 1\n  c:\n  - d\n",
    "- - - a\n  - b\n- c: 1\n  d: 2\n",
    "a: [1, {b: c, 'd': \"e\"},\n  [], {}]  # c\n",
    "a: one\n  two\n  three # c\nb: >-\n  x\n\n  y\nc: |\n  # text\n   more\n\nd: 1\n",
    "a:\n  text below\n  its key\n",
    "'a b': 1\n\"c\": 2\ntwo words: 3\n",
    'a: it\'s, [not] {a} "list"\n',
    "a: 'it''s'\nb: 14 11/16\"\nc: x#y\nd: -1\n",
    "a: 1\r\nb: |\r\n  x\r\nc: 2\r\n",
]


@pytest.mark.parametrize("text", SIMPLE)
def test_simple(text: str) -> None:
    assert len(SIMPLE) == 13
    assert agreed(text)
