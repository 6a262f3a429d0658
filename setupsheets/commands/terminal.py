"""Text as a terminal shows it: no line is wider than the screen, and no figure falls in two.

A table that is too wide is told row by row. In a pipe the width is that of COLUMNS, or of the
terminal that the pipe hangs on, and a line of words stays whole, to be searched.
"""

from __future__ import annotations

import os
import re
import sys
import textwrap
import unicodedata
from collections.abc import Iterable, Sequence

import typer

USUAL_WIDTH = 80

_NARROWEST = 20

_GAP = "   "

# A space that a figure goes on behind: `14 3/8 in`, `3 × 12 1/4 in`, `25/32 in full`.
_within_a_figure = re.compile(
    r"(?<=[\d/¼½¾⅛⅜⅝⅞×]) (?=\d+/\d|[×%]|(?:in|mm|m|ft|lb|kg|full|scant|strong|shy)\b)|(?<=×) (?=\d)"
)


def width() -> int:
    """How many characters fit on a line."""
    asked = os.environ.get("COLUMNS", "")
    if asked.isdecimal() and int(asked) > 0:
        return max(int(asked), _NARROWEST)
    for descriptor in (1, 2, 0):
        try:
            return max(os.get_terminal_size(descriptor).columns, _NARROWEST)
        except OSError:
            continue
    return USUAL_WIDTH


def say(text: str, *, within_width: bool = False) -> None:
    """Print lines of words; on a screen each within its width, or wherever it goes."""
    lines = text.splitlines()
    if within_width or sys.stdout.isatty():
        lines = [part for line in lines for part in wrapped(line, width())]
    typer.echo("\n".join(lines))


def wrapped(line: str, within: int) -> list[str]:
    """A line of words in pieces of at most so many characters, those behind the first set in; a
    figure stays in one piece."""
    if _cells(line) <= within:
        return [line]
    lead = line[: len(line) - len(line.lstrip(" -"))]
    kept = _within_a_figure.sub("\N{NO-BREAK SPACE}", line)
    set_in = " " * min(len(lead) + 2, within // 2)
    pieces = textwrap.wrap(
        kept,
        within,
        subsequent_indent=set_in,
        break_long_words=False,
        break_on_hyphens=False,
        drop_whitespace=True,
    )
    return [piece.replace("\N{NO-BREAK SPACE}", " ") for piece in pieces]


def print_table(headings: Sequence[str], rows: Iterable[Sequence[str]]) -> None:
    """A table on stdout, or its rows one by one where it is wider than a line."""
    rule = "─" if (sys.stdout.encoding or "").lower().startswith("utf") else "-"
    typer.echo("\n".join(table_lines(headings, list(rows), width(), rule)))


def table_lines(
    headings: Sequence[str], rows: Sequence[Sequence[str]], within: int, rule: str = "─"
) -> list[str]:
    """The lines of a table; of one that is wider than ``within`` each row by itself, with the
    heading before every cell that has anything in it."""
    wide = [max(map(_cells, column)) for column in zip(headings, *rows, strict=True)]
    if sum(wide) + len(_GAP) * (len(wide) - 1) + 2 > within:
        return [line for row in rows for line in _row_by_row(headings, row, within)]
    table = [_row(each, wide) for each in (headings, *rows)]
    ruled = rule * (sum(wide) + len(_GAP) * (len(wide) - 1))
    return ["", table[0], f"  {ruled}", *table[1:], ""]


def _row(cells: Sequence[str], wide: Sequence[int]) -> str:
    padded = (cell + " " * (room - _cells(cell)) for cell, room in zip(cells, wide, strict=True))
    return f"  {_GAP.join(padded)}".rstrip()


def _row_by_row(headings: Sequence[str], row: Sequence[str], within: int) -> list[str]:
    """One row: heading and cell one after another, each on one line."""
    told = [
        f"{heading} {cell}" for heading, cell in zip(headings, row, strict=True) if cell.strip()
    ]
    lines: list[str] = []
    for number, each in enumerate(told):
        ended = f"{each};" if number < len(told) - 1 else each
        if lines and _cells(f"{lines[-1]} {ended}") <= within:
            lines[-1] += f" {ended}"
        else:
            lines += wrapped(f"{'      ' if lines else '  '}{ended}", within)
    return lines


def _cells(text: str) -> int:
    """How many columns of a screen a text takes."""
    if text.isascii():
        return len(text)
    double = sum(unicodedata.east_asian_width(each) in "WF" for each in text)
    return len(text) + double - sum(map(bool, map(unicodedata.combining, text)))
