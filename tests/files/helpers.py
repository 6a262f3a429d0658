"""Shared by the tests of files, and by any test that holds a data file against its schema."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from setupsheets.files.documents import Document, read_text
from setupsheets.files.faults import DataFaults, Fault, Step

HERE = Path("sample.yaml")


def document(text: str) -> Document:
    """A sound document with the first two keys that every file has."""
    return read_text("kind: job\nversion: 1\n" + text, HERE)


def faults_in(text: str) -> tuple[Fault, ...]:
    """The faults that reading a text comes to; none if it is sound."""
    try:
        read_text(text, HERE)
    except DataFaults as found:
        return found.faults
    return ()


@dataclass(frozen=True)
class Misspelt:
    """A text in which one key lacks a letter: the key at `steps`, what it is now, and its line."""

    text: str
    steps: tuple[Step, ...]
    written: str
    line: int

    @property
    def key(self) -> str:
        return str(self.steps[-1])


def misspelt_keys(document: Document) -> Iterator[Misspelt]:
    """The text once for every key of two letters or more, that key without its middle one."""
    for steps, place in document.marks.places.items():
        if steps and isinstance(key := steps[-1], str) and len(key) > 1:
            middle = len(key) // 2
            lines = document.source.split("\n")
            line = lines[place.key_line - 1]
            at = line.index(key, place.key_column - 1) + middle
            lines[place.key_line - 1] = line[:at] + line[at + 1 :]
            written = key[:middle] + key[middle + 1 :]
            yield Misspelt("\n".join(lines), steps, written, place.key_line)


def unnoticed(
    document: Document, check: Callable[[Document], Iterable[Fault]]
) -> tuple[list[Misspelt], int]:
    """The misspellings that no fault on their line answers with the right key, and how many in all.

    `check` gives the faults of a sound document, such as those against its schema. Leave out those
    of the result whose `steps` lead through keys that a shop may choose freely.
    """
    missed, count = [], 0
    for misspelt in misspelt_keys(document):
        count += 1
        try:
            faults = tuple(check(read_text(misspelt.text, document.path)))
        except DataFaults as found:
            faults = found.faults
        answer = f"unknown key {misspelt.written!r}; did you mean {misspelt.key!r}?"
        if not any(
            fault.message == answer and fault.mark.line == misspelt.line for fault in faults
        ):
            missed.append(misspelt)
    return missed, count
