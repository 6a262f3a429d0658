"""Putting the change of a re-written text into the original, line by line.

A YAML library that loads and dumps a file spells some lines anew that nobody touched. So the change
is taken from two dumps, one before and one after the edit, and only that goes into the original.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

Lines = list[str]


class _Span(NamedTuple):
    """Lines `first` up to `last` of a dump, and the lines of the original that they stand for."""

    first: int
    last: int
    lines: Lines


def merged(original: Lines, before: Lines, after: Lines) -> Lines:
    """`original` with what changed from `before` to `after`, its dumps without and with an edit.

    Where the edit changed nothing the original's lines stay; where it did, those of `after` stand.
    """
    spans = {span.first: span for span in _spans(before, original)}
    result: Lines = []
    for tag, b1, b2, a1, a2 in _changes(before, after):
        result += _original(spans, before, b1, b2) if tag == "equal" else after[a1:a2]
    return result


def _changes(old: Lines, new: Lines) -> Sequence[tuple[str, int, int, int, int]]:
    return difflib.SequenceMatcher(None, old, new, autojunk=False).get_opcodes()


def _spans(before: Lines, original: Lines) -> Iterator[_Span]:
    """`before` in the smallest pieces that stand for pieces of `original`, none of them empty.

    Lines that the dump lost go with the line before them, or after them at the very start.
    """
    held: Lines = []
    pending: _Span | None = None
    for tag, b1, b2, o1, o2 in _changes(before, original):
        if b1 == b2 and pending is not None:
            pending = pending._replace(lines=pending.lines + original[o1:o2])
            continue
        if b1 == b2:
            held = original[o1:o2]
            continue
        for span in _pieces(tag, b1, b2, original[o1:o2]):
            if pending is not None:
                yield pending
            pending, held = span._replace(lines=held + span.lines), []
    if pending is not None:
        yield pending


def _pieces(tag: str, first: int, last: int, lines: Lines) -> Iterator[_Span]:
    """Line for line where as many stand for as many, else all in one."""
    if tag == "equal" or last - first == len(lines):
        for number, line in enumerate(lines):
            yield _Span(first + number, first + number + 1, [line])
    else:
        yield _Span(first, last, lines)


def _original(spans: Mapping[int, _Span], before: Lines, first: int, last: int) -> Lines:
    """The original of unchanged lines; those of a span that is changed in part stay as dumped."""
    result: Lines = []
    line = first
    while line < last:
        span = spans.get(line)
        if span is not None and span.last <= last:
            result += span.lines
            line = span.last
        else:
            result.append(before[line])
            line += 1
    return result
