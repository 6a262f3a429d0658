"""Any text as Markdown that shows just that text."""

from __future__ import annotations

import re

# Always escaped: what can begin markup anywhere in a line. At the start of a value only: what can
# begin a heading, list, rule or underline there.
_anywhere = re.compile(r"([\\`*_\[\]<>|&~])").sub
_at_start = re.compile(r"^(?:([#=:+-])(?=\s|\1|$)|([0-9]{1,9})([.)])(?=\s|$))").sub
_controls = re.compile(r"[\x00-\x08\x0b-\x1f\x7f\ud800-\udfff\ufffe\uffff]").sub


def printable(value: object) -> str:
    """Text without what no page has a place for."""
    return _controls("", str(value))


def escape_in_line(words: str) -> str:
    """Words within a line of Markdown."""
    return _anywhere(r"\\\1", words)


def escape_markdown(value: object) -> str:
    """Any text as one line of Markdown that shows just that text."""
    words = escape_in_line(" ".join(printable(value).split()))
    return _at_start(lambda m: f"\\{m[1]}" if m[1] else f"{m[2]}\\{m[3]}", words)


def code_span(words: str) -> str:
    """Words as code of Markdown, where a backslash would be shown and so nothing is escaped."""
    fence = "`" * (max(map(len, re.findall("`+", words)), default=0) + 1)
    return f"{fence} {words} {fence}" if "`" in words else f"{fence}{words}{fence}"
