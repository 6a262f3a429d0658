"""Editing a file that a person wrote: what the edit does not touch stays as it was, to the letter.

Comments, order, quotes, the spelling of numbers, indentation, line ends: all of it is the user's.
The change is made to plain data; what differs then is patched into the text, the text is read again
and must hold exactly that, or nothing is written.
"""

from __future__ import annotations

import copy
from collections.abc import Callable, Iterable, Iterator, Mapping
from itertools import product
from pathlib import Path
from typing import Any

from setupsheets.files.documents import Document, decoded, read_bytes, read_text, read_tree
from setupsheets.files.dumping import USUAL, YamlLayout, ready, round_trip
from setupsheets.files.faults import DataFaults, Step, whole_file
from setupsheets.files.kinds import CURRENT
from setupsheets.files.patching import (
    Action,
    Difference,
    Patcher,
    TooFine,
    differences,
    patched,
)
from setupsheets.files.plain_tree import Value
from setupsheets.files.safe_writing import locked, write_atomically

Change = Callable[[Any], None]
"""Changes a plain copy of a document's data in place, as `yaml_text` takes it."""

Steps = tuple[Step, ...]
BYTE_ORDER_MARK = "\ufeff"


def edit(path: Path, change: Change) -> Document:
    """Change a file in place, under lock and in one step; the document as it now is.

    Raises DataFaults if the file is not sound, or would not be after the change (WriteFault if it
    cannot be written); then nothing is written.
    """
    return rewrite(path, lambda document: changed_text(document, change))


def rewrite(
    path: Path, rewritten: Callable[[Document], str], kinds: Mapping[str, int] = CURRENT
) -> Document:
    """Put a new text in place of a file, under lock; a byte order mark and CR LF stay."""
    read_bytes(path)  # a file that is not there leaves no lock behind
    with locked(path):
        data = read_bytes(path)
        text = decoded(path, data)
        unix = text.replace("\r\n", "\n")
        new = read_text(rewritten(read_text(unix, path, kinds)), path, kinds)
        ends = "\r\n" if unix != text else "\n"
        mark = BYTE_ORDER_MARK if data.startswith(BYTE_ORDER_MARK.encode()) else ""
        write_atomically(path, mark + new.source.replace("\n", ends))
    return new


# ------------------------------------------------------------------------------------ the text


def changed_text(document: Document, change: Change) -> str:
    """The text of a document after a change, with everything else as it was to the letter."""
    new = copy.deepcopy(dict(document.data))
    change(new)
    return text_with(document, new)


def text_with(document: Document, new: Mapping[str, Any]) -> str:
    """The text of a document changed so that it holds `new`, and no more than that takes.

    First each change by itself, then, where one cannot be made so or does not come out right, with
    all text on one line, then all that stands under the same key of the document.
    """
    wanted = ready(new)
    fine = tuple(differences(document.data, wanted))
    if not fine:
        return document.source
    layout = layout_of(document)
    layouts = (layout, layout._replace(blocks=False))
    for attempt, layout in product((fine, tuple(_coarse(document.data, wanted))), layouts):
        text = _patched(document, attempt, layout)
        if text is not None and _holds(text, wanted, document.path):
            return text
    message = "the program cannot edit this file as it is laid out: edit it by hand"
    raise DataFaults([whole_file(document.path, message)])


def _patched(document: Document, attempt: tuple[Difference, ...], layout: YamlLayout) -> str | None:
    text = document.source if document.source.endswith("\n") else document.source + "\n"
    patcher = Patcher(text, round_trip(USUAL).compose(text), layout)
    try:
        return patched(text, [patch for each in attempt for patch in patcher.patches(each)])
    except TooFine:
        return None


def _coarse(old: Mapping[str, Value], new: Mapping[str, Value]) -> Iterator[Difference]:
    """What differs, by keys of the document only."""
    for difference in differences(old, new):
        if difference.action is Action.ADD and not difference.steps:
            yield difference
    for key in old:
        if key not in new:
            yield Difference(Action.REMOVE, (key,))
        elif any(differences(old[key], new[key])):
            yield Difference(Action.REPLACE, (key,), new[key])


def _holds(text: str, wanted: Mapping[str, Value], path: Path) -> bool:
    """Whether a text is sound and holds exactly that."""
    try:
        data = read_tree(text, path).data
    except DataFaults:
        return False
    return not any(differences(data, wanted))


# ---------------------------------------------------------------------------------- the layout


def layout_of(document: Document) -> YamlLayout:
    """How far a file indents, by its first nested mapping and its first list in block style."""
    indents = list(_indents(document))
    mapping = next((far for kind, far, _ in indents if kind is dict), USUAL.mapping)
    dash, content = next(
        ((far, far + inner) for kind, far, inner in indents if kind is list), USUAL[1:3]
    )
    return YamlLayout(mapping, dash, content)


def _indents(document: Document) -> Iterator[tuple[type, int, int]]:
    """For each mapping or list below its key: how far in it stands, and its content in that."""
    for steps, value in _walk(document.data, ()):
        place = document.marks.places[steps]
        if place.line > place.key_line and isinstance(value, list | dict) and value:
            first = document.marks.places[(*steps, 0)] if isinstance(value, list) else place
            yield type(value), place.column - place.key_column, first.column - place.column


def _walk(value: Value | Mapping[str, Value], steps: Steps) -> Iterator[tuple[Steps, Value]]:
    """Everything below a value, in the order of the file."""
    inner: Iterable[tuple[Step, Value]] = ()
    if isinstance(value, Mapping):
        inner = value.items()
    elif isinstance(value, list):
        inner = enumerate(value)
    for step, item in inner:
        yield (*steps, step), item
        yield from _walk(item, (*steps, step))
