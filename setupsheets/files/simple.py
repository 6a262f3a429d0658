"""The events of the simple YAML that data files are written in, ten times as fast.

The full parser takes 3 to 5 ms for each KB, and a sheet needs 40 KB of files. Nearly all of those
are block mappings and lists of one-line values, so those are scanned line by line here. Whatever is
not plainly of that sort (an anchor, a tag, an escape, a tab, any fault) makes `simple_events` give
up, and the full parser reads the file from its start. So this module finds no faults and has no
messages; all it must do is never to accept what the full parser reads differently, and tests hold
the two against each other.

    file     = [ "---" ] block
    block    = mapping | sequence | scalar           at one column, comments and empty lines between
    mapping  = key ":" ( " " scalar | deeper block | sequence at the same column | nothing )
    sequence = "-" ( " " block | " " scalar | deeper block | nothing )
    scalar   = plain text, on deeper lines too | 'quoted' | "quoted" without escapes
             | "|" or ">", with "-" or without, and deeper lines | flow
    flow     = "[" items "]" | "{" pairs "}"         of plain or quoted text, and nested
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from setupsheets.files.events import Event, Kind

MOST_DEPTH = 60  # far above what a data file may have: the tree refuses that in words

_key = re.compile(
    r"""(?P<key> [^\W] [\w./()-]{0,80} (?:[ ][\w./()-]{1,80}){0,8} | "[^"\\]{0,80}" | '[^']{0,80}' )
        : (?: [ ]+ (?P<value> .* ) )? $""",
    re.VERBOSE,
).match
_quoted = re.compile(r""" '(?P<single>(?:[^'\n]|'')*)' | "(?P<double>[^"\\\n]*)" """, re.VERBOSE)
_plain_start = re.compile(r"[\w./+~(]|-[\w./]").match
_flow_plain = re.compile(r"(?:[\w./+~(]|-[\w./])[^,:?\[\]{}#\n]*").match
_content = re.compile("[^ ]").search
_only_comment = re.compile(r" *(?: #.*)?$").match
_not_simple = re.compile("[\t\r\x85\u2028\u2029\ufeff]|\n---|\n[.][.][.]").search


class _NotSimple(Exception):
    """Something that the full parser has to read."""


def simple_events(text: str) -> list[Event] | None:
    """The events of a text, or None if it is not simple."""
    text = text.replace("\r\n", "\n")
    if _not_simple(text):
        return None
    raw = text.split("\n")
    if raw[0].rstrip() == "---":
        raw[0] = ""
    lines = [line.rstrip(" ") for line in raw]
    scan = _Scan(raw, lines, [_indent_of(line) for line in lines])
    try:
        scan.document()
    except _NotSimple:
        return None
    return scan.events


def _indent_of(line: str) -> int:
    """The column of the first character, from 0; -1 for an empty line and a comment."""
    content = line.lstrip(" ")
    return len(line) - len(content) if content and content[0] != "#" else -1


def _is_item(line: str, column: int) -> bool:
    """Whether a list item begins at `column`."""
    return line.startswith("-", column) and line[column + 1 : column + 2] in ("", " ")


@dataclass
class _Scan:
    """A place in the text: `at` counts lines from 0, and `indents` says where their content is."""

    raw: list[str]
    lines: list[str]
    indents: list[int]
    at: int = 0
    depth: int = 0
    events: list[Event] = field(default_factory=list)

    def emit(
        self, kind: Kind, line: int, column: int, value: str = "", plain: bool = False
    ) -> None:
        self.events.append(Event(kind, line + 1, column + 1, value, plain))

    def indent(self) -> int:
        """Go on to the next line with content: its column, or -1 at the end."""
        while self.at < len(self.indents):
            if self.indents[self.at] >= 0:
                return self.indents[self.at]
            self.at += 1
        return -1

    def document(self) -> None:
        self.emit(Kind.DOCUMENT, 0, 0)
        column = self.indent()
        if column != 0 or not (_is_item(self.lines[self.at], 0) or _key(self.lines[self.at], 0)):
            raise _NotSimple
        self.block(0, -1)
        if self.indent() >= 0:
            raise _NotSimple

    def block(self, column: int, parent: int) -> None:
        """The value that begins at `column` of this line, within one at column `parent`."""
        self.depth += 1
        if self.depth > MOST_DEPTH:
            raise _NotSimple
        if _is_item(self.lines[self.at], column):
            self.sequence(column)
        elif _key(self.lines[self.at], column):
            self.mapping(column)
        else:
            self.scalar(column, parent)
        self.depth -= 1

    def mapping(self, column: int) -> None:
        self.emit(Kind.MAPPING, self.at, column)
        while self.indent() == column and not _is_item(self.lines[self.at], column):
            match = _key(self.lines[self.at], column)
            if match is None:
                raise _NotSimple
            key = match["key"]
            quoted = key[0] in "'\""
            self.emit(Kind.SCALAR, self.at, column, key[1:-1] if quoted else key, not quoted)
            if match["value"] and match["value"][0] != "#":
                self.scalar(match.start("value"), column)
            else:
                self.deeper_value(match.end("key") + 1, column, may_be_level=True)
        self.emit(Kind.END, self.at, column)

    def sequence(self, column: int) -> None:
        self.emit(Kind.SEQUENCE, self.at, column)
        while self.indent() == column and _is_item(self.lines[self.at], column):
            line = self.lines[self.at]
            content = line[column + 1 :].lstrip(" ")
            if content and content[0] != "#":
                # The item without its dash is a line like any other, so far in as it stands.
                start = len(line) - len(content)
                self.lines[self.at], self.indents[self.at] = " " * start + content, start
                self.block(start, column)
            else:
                self.deeper_value(column + 1, column, may_be_level=False)
        self.emit(Kind.END, self.at, column)

    def deeper_value(self, end: int, column: int, may_be_level: bool) -> None:
        """The value on the lines below, or nothing, which then stands at `end` of this line."""
        line = self.at
        self.at += 1
        indent = self.indent()
        if indent > column:
            self.block(indent, column)
        elif may_be_level and indent == column and _is_item(self.lines[self.at], column):
            self.sequence(column)
        else:
            self.emit(Kind.SCALAR, line, end, "", plain=True)

    def scalar(self, start: int, parent: int) -> None:
        """A value that is no block, from `start` of this line; nothing deeper may follow it."""
        first = self.lines[self.at][start]
        if first in "'\"":
            self.quoted(start)
        elif first in "|>":
            self.text_block(start, parent)
        elif first in "[{":
            self.flow(start)
        else:
            self.plain(start, parent)
        if self.indent() > parent:
            raise _NotSimple

    def quoted(self, start: int) -> None:
        line = self.lines[self.at]
        match = _quoted.match(line, start)
        if match is None or not _only_comment(line, match.end()):
            raise _NotSimple
        self.emit(Kind.SCALAR, self.at, start, _unquoted(match))
        self.at += 1

    def plain(self, start: int, parent: int) -> None:
        """Unquoted text, which goes on over the deeper lines that follow at once."""
        line, column = self.at, start
        if not _plain_start(self.lines[line], column):
            raise _NotSimple
        parts: list[str] = []
        goes_on = True
        while goes_on:
            text, comment, _ = self.lines[self.at][start:].partition(" #")
            if ": " in text or text.endswith(":"):
                raise _NotSimple
            parts.append(text.strip(" "))
            self.at += 1
            start = self.indents[self.at] if self.at < len(self.indents) else -1
            goes_on = not comment and start > parent
        self.emit(Kind.SCALAR, line, column, " ".join(parts), plain=True)

    def text_block(self, start: int, parent: int) -> None:
        """The deeper lines under `|` or `>`, all equally far in."""
        line, header = self.at, self.lines[self.at][start:]
        if header not in ("|", "|-", ">", ">-"):
            raise _NotSimple
        rows = self.rows(parent)
        ending = "" if header.endswith("-") else "\n"
        body = "\n".join(rows) if header.startswith("|") else _folded(rows)
        self.emit(Kind.SCALAR, line, start, body + ending)

    def rows(self, parent: int) -> list[str]:
        """The lines of a text block without their indentation, nor empty ones at the end."""
        self.at += 1
        first = self.raw[self.at] if self.at < len(self.raw) else ""
        indent = len(first) - len(first.lstrip(" "))
        if indent <= parent or indent == len(first):
            raise _NotSimple
        rows: list[str] = []
        while self.at < len(self.raw):
            row = self.raw[self.at]
            if not row.strip(" "):
                if len(row) > indent:
                    raise _NotSimple
            elif not row.startswith(" " * indent):
                break
            rows.append(row[indent:])
            self.at += 1
        if rows[-1] and self.at == len(self.raw):  # the last line of the file lacks its line end
            raise _NotSimple
        while not rows[-1]:
            rows.pop()
        return rows

    def flow(self, start: int) -> None:
        """A list or mapping in brackets, over as many lines as it takes."""
        end = self.flow_value(start)
        if not _only_comment(self.lines[self.at], end):
            raise _NotSimple
        self.at += 1

    def flow_value(self, at: int) -> int:
        """The value that begins at this column of this line, and the column behind it."""
        line = self.lines[self.at]
        if line[at] == "[":
            return self.flow_items(at, Kind.SEQUENCE, "]")
        if line[at] == "{":
            return self.flow_items(at, Kind.MAPPING, "}")
        return self.flow_scalar(at)

    def flow_scalar(self, at: int) -> int:
        line = self.lines[self.at]
        if match := _quoted.match(line, at):
            self.emit(Kind.SCALAR, self.at, at, _unquoted(match))
        elif match := _flow_plain(line, at):
            self.emit(Kind.SCALAR, self.at, at, match[0].rstrip(" "), plain=True)
        else:
            raise _NotSimple
        return match.end()

    def flow_items(self, at: int, kind: Kind, closing: str) -> int:
        self.depth += 1
        if self.depth > MOST_DEPTH:
            raise _NotSimple
        self.emit(kind, self.at, at)
        at = self.skipped(at + 1)
        while self.lines[self.at][at] != closing:
            if kind is Kind.MAPPING:
                at = self.flow_scalar(at)
                if (
                    not self.lines[self.at].startswith(": ", at)
                    or self.lines[self.at][at - 1] == " "
                ):
                    raise _NotSimple
                at = self.skipped(at + 1)
            at = self.skipped(self.flow_value(at))
            if self.lines[self.at][at] == ",":
                at = self.skipped(at + 1)
            elif self.lines[self.at][at] != closing:
                raise _NotSimple
        self.emit(Kind.END, self.at, at)
        self.depth -= 1
        return at + 1

    def skipped(self, at: int) -> int:
        """The column of what follows, on this line or a further one."""
        while True:
            line = self.lines[self.at]
            match = _content(line, at)
            if match is not None:
                return match.start()
            self.at, at = self.at + 1, 0
            if self.at == len(self.lines):
                raise _NotSimple


def _unquoted(match: re.Match[str]) -> str:
    double = match["double"]
    return match["single"].replace("''", "'") if double is None else double


def _folded(rows: list[str]) -> str:
    """Lines joined by spaces, and by one line end fewer where empty ones stand between."""
    if any(row.startswith(" ") for row in rows):
        raise _NotSimple
    return re.sub("\n+", lambda ends: " " if len(ends[0]) == 1 else ends[0][1:], "\n".join(rows))
