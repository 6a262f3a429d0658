"""Every kind of note and every fault of a design has its sentence, and the facts that it needs.

No outside source: sentences are the project's own, and what they say of the trade stands beside
the rules that make them.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from string import Formatter
from typing import Any

import pytest

from setupsheets.joinery.notes import DesignFault, NoteKind, note
from setupsheets.lengths import Length, Notation, Unit
from setupsheets.wording.joinery_faults import ABSENT, FAULTS
from setupsheets.wording.joinery_notes import NOTES, note_text
from setupsheets.wording.sentences import fill

JOINERY = Path(__file__).resolve().parents[2] / "setupsheets" / "joinery"
SIXTY_FOURTHS = Notation(Unit.IN, Fraction(1, 64))
SENTENCES = {**NOTES, **FAULTS}


def fields_of(sentence: str) -> frozenset[str]:
    """The names of the facts that a sentence asks for."""
    names = (name for _, name, _, _ in Formatter().parse(sentence) if name is not None)
    return frozenset(name.split(".")[0] for name in names)


def kinds_in(value: ast.AST) -> list[str]:
    """The kinds that an expression names."""
    enums = {"NoteKind": NoteKind, "DesignFault": DesignFault}
    return [
        enums[each.value.id][each.attr].value
        for each in ast.walk(value)
        if isinstance(each, ast.Attribute)
        and isinstance(each.value, ast.Name)
        and each.value.id in enums
    ]


def notes_made(tree: ast.AST) -> Iterator[tuple[str, frozenset[str]]]:
    """Kind and names of facts wherever a note is made; a kind may have a name of its own first."""
    nodes = (each for each in ast.walk(tree) if isinstance(each, ast.Assign | ast.Call))
    named: list[str] = []
    for node in sorted(nodes, key=lambda each: (each.lineno, each.col_offset)):
        if isinstance(node, ast.Assign):
            named = kinds_in(node.value) or named
        elif isinstance(node.func, ast.Name) and node.func.id == "note":
            facts = frozenset(str(keyword.arg) for keyword in node.keywords)
            for kind in kinds_in(node.args[0]) or named:
                yield kind, facts


MADE = [
    (path.stem, kind, facts)
    for path in sorted(JOINERY.rglob("*.py"))
    if path.stem != "notes"
    for kind, facts in notes_made(ast.parse(path.read_text(encoding="utf-8")))
]


def test_every_kind_has_its_sentence_and_is_made_somewhere() -> None:
    assert set(NOTES) == set(NoteKind)
    assert set(FAULTS) == set(DesignFault) > ABSENT
    assert {kind for _, kind, _ in MADE} == set(SENTENCES)


@pytest.mark.parametrize(("module", "kind", "facts"), MADE)
def test_a_note_has_the_facts_that_its_sentence_asks_for(
    module: str, kind: str, facts: frozenset[str]
) -> None:
    assert facts == fields_of(SENTENCES[kind])


def test_the_notes_that_are_made_are_seen() -> None:
    source = "kind, a = NoteKind.NO_HAUNCH, 1\nnote(kind, 'x', rail=a)\nnote(NoteKind.MOISTURES)"
    assert list(notes_made(ast.parse(source))) == [
        ("no_haunch", frozenset({"rail"})),
        ("moistures", frozenset()),
    ]


HALF, LESS = Length("1/2 in"), Length("-1/2 in")


@pytest.mark.parametrize(
    ("sentence", "facts", "words"),
    [
        ("{a} deep", {"a": Length("25/64 in")}, "25/64 in deep"),
        ("{a:mark}", {"a": Length(".39 in")}, "25/64 in"),
        ("{a:size} {a:up|down}", {"a": LESS}, "1/2 in down"),
        ("{a:size} {a:up|down}", {"a": HALF}, "1/2 in up"),
        ("{a:up|down}", {"a": Length.ZERO}, "down"),
        ("{a: and bead|}.", {"a": True}, " and bead."),
        ("{a: and bead|}.", {"a": False}, "."),
        ("{a:percent} of {b!r}", {"a": 0.25, "b": "it"}, "25 % of 'it'"),
        ("{a:, or }", {"a": (HALF, LESS)}, "1/2 in, or −1/2 in"),
        ("{a:; }", {"a": ("this", "that")}, "this; that"),
    ],
)
def test_a_field_says_how_it_is_written(sentence: str, facts: dict[str, Any], words: str) -> None:
    assert fill(sentence, facts, SIXTY_FOURTHS) == words


def test_a_field_without_a_fact_is_refused() -> None:
    with pytest.raises(KeyError):
        fill("{a} and {b}", {"a": HALF}, SIXTY_FOURTHS)


def test_notes_within_a_note_are_told_in_its_sentence() -> None:
    full = note(NoteKind.RUN_STOPS, full=HALF, limit=Length("3/4 in"))
    told = note_text(
        note(NoteKind.REBATE_ALONG_STILES, ends=(note(NoteKind.REBATE_RUNS_OUT, end="top"), full)),
        SIXTY_FOURTHS,
    )
    assert told == (
        "rebate along the stiles: out at the top of the leaf, where the rail's back fills it; to "
        "full depth as far as 1/2 in, and the ramp may not pass 3/4 in, above the bottom of "
        "the leaf"
    )
