"""Editing a file that a person wrote: what the edit does not touch stays as it was, to the letter.

Comments, order, quotes, the spelling of numbers, indentation, line ends: all of it is the user's.
The result is read again before it is written; an edit that would alter anything else is refused.
"""

from __future__ import annotations

import copy
import io
import textwrap
from collections.abc import Callable, Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any

from setupsheets.files.dumping import USUAL, Layout, ready, round_trip, yaml_text
from setupsheets.files.faults import DataFaults, Step, whole_file
from setupsheets.files.kinds import CURRENT
from setupsheets.files.merging import merged
from setupsheets.files.reading import Document, decoded, read_bytes, read_text, read_tree
from setupsheets.files.tree import Value
from setupsheets.files.writing import locked, write_atomically

Change = Callable[[Any], None]
"""Changes the `ruamel.yaml.comments.CommentedMap` of a document in place."""

Steps = tuple[Step, ...]
BYTE_ORDER_MARK = "\ufeff"


def edit(path: Path, change: Change) -> Document:
    """Change a file in place, under lock and in one step; the document as it now is.

    Raises DataFaults if the file is not sound, or would not be after the change (WriteFault if it
    cannot be written); then nothing is written.
    """
    return rewrite(path, lambda document: changed_text(document, change))


def append(path: Path, steps: Steps, item: Any) -> Document:
    """Add an item to the end of the list at `steps` of a file, as `edit` does.

    `item` is plain data as `yaml_text` takes it. The list may be empty, or its key missing.
    """
    return rewrite(path, lambda document: appended_text(document, steps, item))


def rewrite(
    path: Path, rewritten: Callable[[Document], str], kinds: Mapping[str, int] = CURRENT
) -> Document:
    """Put a new text in place of a file, under lock; a byte order mark and CR LF stay."""
    with locked(path):
        data = read_bytes(path)
        text = decoded(path, data)
        unix = text.replace("\r\n", "\n")
        new = read_text(rewritten(read_text(unix, path, kinds)), path, kinds)
        ends = "\r\n" if unix != text else "\n"
        mark = BYTE_ORDER_MARK if data.startswith(BYTE_ORDER_MARK.encode()) else ""
        write_atomically(path, mark + new.source.replace("\n", ends))
    return new


# ------------------------------------------------------------------------------- any change


def changed_text(document: Document, change: Change) -> str:
    """The text of a document after a change, with everything else as it was.

    Raises DataFaults if a number in the file has more digits than the library keeps.
    """
    yaml = round_trip(layout_of(document))
    tree = yaml.load(document.source)
    before = _dumped(yaml, tree)
    if _data(document, before) != document.data:
        message = "the program cannot edit this file without altering a value: edit it by hand"
        raise DataFaults([whole_file(document.path, message)])
    change(tree)
    after = _dumped(yaml, tree)
    lines = merged(*(text.splitlines(keepends=True) for text in (document.source, before, after)))
    text = "".join(lines)
    return text if _data(document, text) == _data(document, after) else after


def layout_of(document: Document) -> Layout:
    """How far a file indents, by its first nested mapping and its first list in block style."""
    indents = list(_indents(document))
    mapping = next((far for kind, far, _ in indents if kind is dict), USUAL.mapping)
    dash, content = next(
        ((far, far + inner) for kind, far, inner in indents if kind is list), USUAL[1:]
    )
    return Layout(mapping, dash, content)


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


def _dumped(yaml: Any, tree: Any) -> str:
    out = io.StringIO()
    yaml.dump(tree, out)
    return out.getvalue()


def _data(document: Document, text: str) -> Any:
    """What a new text of the document holds, or None if it is not sound."""
    try:
        return read_tree(text, document.path).data
    except DataFaults:
        return None


# ---------------------------------------------------------------------------- one more item


def appended_text(document: Document, steps: Steps, item: Any) -> str:
    """The text of a document with one more item in the list at `steps`.

    The lines of the item go right behind those of the list, before comments that follow the list.
    """
    plain = read_tree(yaml_text({"item": item}), document.path).data["item"]
    wanted = copy.deepcopy(document.data)
    _append(wanted, steps, plain)
    for text in _insertions(document, steps, item):
        if _data(document, text) == wanted:
            return text
    return changed_text(document, lambda tree: _append(tree, steps, ready(item)))


def _append(tree: Any, steps: Steps, item: Any) -> None:
    *outer, last = steps
    for step in outer:
        tree = tree[step]
    if isinstance(last, str) and not tree.get(last):
        tree[last] = [item]  # a new list: an empty one in brackets would stay in brackets
    else:
        tree[last].append(item)


def _insertions(document: Document, steps: Steps, item: Any) -> Iterator[str]:
    """Texts with the item's lines behind those of the list: the likely place, then the last."""
    node = _node(document.source, steps)
    if node is None or not _is_block(node):
        return
    column = node.start_mark.column
    dumped = textwrap.dedent(yaml_text([item], layout_of(document)))
    lines = textwrap.indent(dumped, " " * column)
    old = document.source.splitlines(keepends=True)
    if not old[-1].endswith("\n"):
        old[-1] += "\n"
    end = _end_line(node)
    for at in (_behind_comments(old, end, column), end):
        yield "".join((*old[:at], lines, *old[at:]))


def _node(source: str, steps: Steps) -> Any:
    """The node of the YAML at `steps`, or None if it is missing."""
    node = round_trip(USUAL).compose(source)
    for step in steps:
        if isinstance(step, int):
            node = node.value[step]
        else:
            node = next((value for key, value in node.value if key.value == step), None)
        if node is None:
            return None
    return node


def _is_block(node: Any) -> bool:
    return node.id in ("sequence", "mapping") and not node.flow_style and bool(node.value)


def _end_line(node: Any) -> int:
    """The number of lines down to the end of a node, with what ends its last text."""
    while _is_block(node):
        node = node.value[-1] if node.id == "sequence" else node.value[-1][1]
    return int(node.end_mark.line + (node.end_mark.column > 0))


def _behind_comments(lines: list[str], end: int, column: int) -> int:
    """Before the empty lines that end a list, but behind comments that stand within its items."""
    while end > 0 and not lines[end - 1].strip():
        end -= 1
    for number in range(end, len(lines)):
        text = lines[number].lstrip(" ")
        if text.startswith("#") and len(lines[number]) - len(text) > column:
            end = number + 1
        elif text.strip():
            break
    return end
