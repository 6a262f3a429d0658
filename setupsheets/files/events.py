"""The events of a YAML text: the few kinds that a document tree is built from, each with its place.

`ruamel.yaml` does the parsing in pure Python, and what it says counts; libyaml, which reads some
texts differently, is asked before it for the sake of time alone (`files/libyaml.py`). Only the
event stream is used; nothing is composed or constructed, so nothing expands.
"""

from __future__ import annotations

from collections.abc import Iterator
from enum import Enum, auto
from typing import Any, NamedTuple


class YamlEventKind(Enum):
    """What an event begins or ends."""

    DOCUMENT = auto()
    MAPPING = auto()
    SEQUENCE = auto()
    END = auto()
    SCALAR = auto()
    ALIAS = auto()


class YamlEvent(NamedTuple):
    """One event; `plain` tells an unquoted scalar, `line` and `column` count from 1."""

    kind: YamlEventKind
    line: int
    column: int
    value: str = ""
    plain: bool = False
    anchor: str | None = None
    tag: str | None = None


class SyntaxFault(Exception):
    """The text is no YAML from here on."""

    def __init__(self, line: int, column: int, message: str) -> None:
        super().__init__(line, column, message)
        self.line = line
        self.column = column
        self.message = message


def parsed_events(text: str) -> Iterator[YamlEvent]:
    """The events of `text`, which holds nothing but printable characters.

    Raises SyntaxFault where the text stops being YAML.
    """
    from ruamel.yaml import YAML  # noqa: PLC0415  (23 ms, and not every command reads YAML)
    from ruamel.yaml.error import MarkedYAMLError, YAMLError  # noqa: PLC0415

    last = YamlEvent(YamlEventKind.DOCUMENT, 1, 1)
    try:
        for raw in YAML(typ="safe", pure=True).parse(text):
            event = event_of(raw)
            if event is not None:
                last = event
                yield event
    except MarkedYAMLError as error:
        raise _marked_fault(error, last) from None
    except RecursionError:
        raise SyntaxFault(last.line, last.column, "nested too deeply") from None
    except (YAMLError, ValueError, AssertionError) as error:
        reason = str(error).splitlines()[0] if str(error) else type(error).__name__
        raise SyntaxFault(last.line, last.column, f"not readable after this: {reason}") from None


_KINDS = {
    "DocumentStartEvent": YamlEventKind.DOCUMENT,
    "MappingStartEvent": YamlEventKind.MAPPING,
    "SequenceStartEvent": YamlEventKind.SEQUENCE,
    "MappingEndEvent": YamlEventKind.END,
    "SequenceEndEvent": YamlEventKind.END,
    "ScalarEvent": YamlEventKind.SCALAR,
    "AliasEvent": YamlEventKind.ALIAS,
}


def event_of(raw: Any) -> YamlEvent | None:
    """An event as a parser gives it, from whichever library; None for one that no tree needs."""
    kind = _KINDS.get(type(raw).__name__)
    if kind is None:
        return None
    mark, is_scalar = raw.start_mark, kind is YamlEventKind.SCALAR
    value, plain = (raw.value, raw.implicit[0]) if is_scalar else ("", False)
    anchor, tag = getattr(raw, "anchor", None), getattr(raw, "tag", None)
    return YamlEvent(kind, mark.line + 1, mark.column + 1, value, plain, anchor, tag)


# What the parser says, in the order it is looked for, and what that means for a person who typed
# the file.
_MEANINGS: tuple[tuple[str, str], ...] = (
    (
        "mapping values are not allowed",
        "a ': ' where none can stand: put text that holds one in quotes, or indent it right",
    ),
    ("could not find expected ':'", "expected 'key: value' here, found no ': '"),
    (
        r"found character '\t'",
        "a tab: YAML is indented with spaces only",
    ),
    ("found character", "text that begins with this character needs quotes"),
    (
        "found unexpected end of stream",
        "a quotation mark is opened here and never closed",
    ),
    ("but found '?'", "a key that stands further in or out than the keys above it"),
    ("expected <block end>", "the indentation does not match the lines above it"),
    ("expected ',' or", "what stands in brackets or braces here lacks a comma or its closing one"),
    ("sequence entries are not allowed", "a list item ('- ') where none can stand"),
    ("expected alphabetic or numeric", "text that begins with '*' or '&' needs quotes"),
    (
        "found unknown escape character",
        "unknown escape in double quotes: a backslash is written twice",
    ),
    ("expected chomping or indentation", "text that begins with '|' or '>' needs quotes"),
    ("expected a comment or a line break", "text that begins with '|' or '>' needs quotes"),
    ("expected the node content", "expected a value here"),
)
# Problems that are seen long after the place where they begin.
_BEGUN_EARLIER = ("found unexpected end of stream", "could not find expected ':'")


def _marked_fault(error: Any, last: YamlEvent) -> SyntaxFault:
    problem = str(error.problem or error.context or "not readable")
    mark = error.problem_mark or error.context_mark
    if problem.startswith(_BEGUN_EARLIER) and error.context_mark is not None:
        mark = error.context_mark
    meaning = next((words for key, words in _MEANINGS if key in problem), None)
    message = meaning or f"not readable: {problem}"
    if mark is None:
        return SyntaxFault(last.line, last.column, message)
    return SyntaxFault(mark.line + 1, mark.column + 1, message)
