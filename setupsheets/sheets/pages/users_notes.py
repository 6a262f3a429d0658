"""What a user notes on a job, a machine or a cutter, read as Markdown: paragraphs, emphasis, code,
lists and breaks.

Everything else stands as it was written: raw HTML is off, a page leads nowhere and fetches nothing,
and the headings of a sheet are its own.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from functools import lru_cache
from typing import TYPE_CHECKING
from xml.etree import ElementTree

from setupsheets.sheets.pages.escaping import code_span, escape_in_line, escape_markdown, printable

if TYPE_CHECKING:
    from markdown_it import MarkdownIt
    from markdown_it.token import Token

READ = ("list", "emphasis", "backticks", "escape", "entity", "newline", "balance_pairs")
NOTED = "noted"
"""The class of lists and their items that a user wrote."""
_MARKS = {"strong_open": "**", "strong_close": "**", "em_open": "*", "em_close": "*"}


_plain = re.compile(
    r"[A-Za-z](?: |[^\s\\`*_\[\]<>&~|\0-\x1f\x7f\ud800-\udfff\ufffe\uffff])*"
).fullmatch
"""A line of words in which there is nothing to read, as most notes are. The library takes 28 ms to
be there."""


@lru_cache(maxsize=1)
def _reader() -> MarkdownIt:
    from markdown_it import MarkdownIt  # noqa: PLC0415

    return MarkdownIt("zero", {"html": False, "xhtmlOut": True}).enable(list(READ))


def notes_as_html(notes: str) -> str:
    """The notes as a division of a page, well-formed; empty where nothing is noted."""
    if not notes.strip():
        return ""
    if plain := _plain(notes.strip(" \n")):
        return f'<div class="notes"><p>{plain[0]}</p>\n</div>'
    made = ElementTree.fromstring(f'<div class="notes">{_reader().render(printable(notes))}</div>')
    for each in made.iter():
        if each.tag in ("ul", "ol", "li"):
            each.set("class", NOTED)
    return ElementTree.tostring(made, encoding="unicode")


def notes_as_markdown(notes: str) -> str:
    """The notes as Markdown that says no more than what is read: all else in them is escaped."""
    if plain := _plain(notes.strip(" \n")):
        return plain[0]
    return "\n".join(_blocks(_reader().parse(printable(notes)))).strip()


def _blocks(tokens: Sequence[Token]) -> Iterator[str]:
    """Line by line; what lies in a list is set in as far as its mark is wide."""
    marks: list[str] = []
    counts: list[int] = []
    begins = ""
    for token in tokens:
        if token.type in ("bullet_list_open", "ordered_list_open"):
            counts.append(int(token.attrGet("start") or 1) if token.type[0] == "o" else -1)
        elif token.type in ("bullet_list_close", "ordered_list_close"):
            counts.pop()
            if not counts:
                yield ""
        elif token.type == "list_item_open":
            mark = f"{counts[-1]}. " if counts[-1] >= 0 else "- "
            counts[-1] += counts[-1] >= 0
            begins = " " * sum(map(len, marks)) + mark
            marks.append(mark)
        elif token.type == "list_item_close":
            marks.pop()
        elif token.type == "inline":
            inset = " " * sum(map(len, marks))
            lines = _in_line(token.children or []).split("\n")
            yield f"{begins or inset}{lines[0]}"
            yield from (f"{inset}{line}" for line in lines[1:])
            begins = ""
        elif token.type == "paragraph_close" and not token.hidden:
            yield ""


def _in_line(tokens: Sequence[Token]) -> str:
    words = "".join(_word(token) for token in tokens)
    first = next((token for token in tokens if token.content or token.type in _MARKS), None)
    if first is None or first.type != "text":
        return words
    # What would begin a list, a heading or a rule at the head of a line is escaped there.
    plain = first.content.partition(" ")[0]
    safe = escape_markdown(f"{plain} x").removesuffix(" x")
    return safe + words.removeprefix(escape_in_line(plain))


def _word(token: Token) -> str:
    if token.type in _MARKS:
        return _MARKS[token.type]
    if token.type == "code_inline":
        return code_span(token.content)
    if token.type == "hardbreak":
        return "  \n"
    return " " if token.type == "softbreak" else escape_in_line(token.content)
