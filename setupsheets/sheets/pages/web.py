"""Finished sheets as one HTML file: templates of their own, laid on pages, no way out of the page.

Whatever a user wrote is text when it comes into a template and is escaped there; the page has no
script, and its style, drawings and letters are in it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple
from xml.etree import ElementTree

from setupsheets.sheets.content.finished import RouteRow, TestRow
from setupsheets.sheets.content.finished_parts import PartsBlock, Table
from setupsheets.sheets.drawings.drawing import Drawing, xml_text
from setupsheets.sheets.letters.letters import FONT, font_faces
from setupsheets.sheets.pages.block_layout import FILTERS, runs_of
from setupsheets.sheets.pages.escaping import printable
from setupsheets.sheets.pages.heights import HALF, WIDE
from setupsheets.sheets.pages.known_templates import known_environment
from setupsheets.sheets.pages.paging import HIGH, lay_out
from setupsheets.sheets.pages.printed_words import (
    in_parts,
    shown,
    target_parts,
    whole,
    width,
)
from setupsheets.sheets.pages.users_notes import notes_as_html
from setupsheets.wording.lists import capital

if TYPE_CHECKING:
    from jinja2 import Environment

LONGEST_STAY = 6  # steps of the route that are not parted at a page's end
MOST_NARROW = 500  # letters of words that are as well read in a narrow column
LEAF = "leaf"
SURE = "over 99 %"
TEST = "TEST"

TEMPLATES = Path(__file__).parent / "templates"


def page_of(
    template: str,
    title: str,
    which: str,
    *,
    paper: str = "auto",
    high: float = HIGH,
    **values: Any,
) -> str:
    """A template's sheets as a whole page; ``which`` stands at the head of every one on paper."""
    main = ElementTree.fromstring(environment().get_template(template).render(values))
    lay_out(main, printable(which), high)
    return _whole(main, title, f"@page {{ size: {paper}; }}\n")


def small_page_of(template: str, title: str, paper: str, **values: Any) -> str:
    """A template of small papers as a whole page; ``paper`` is what CSS says of its sheets."""
    main = ElementTree.fromstring(environment().get_template(template).render(values))
    small = (TEMPLATES / "small.css").read_text(encoding="utf-8")
    return _whole(main, title, f"{small}@page {{ {paper} }}\n")


def _whole(main: ElementTree.Element, title: str, more: str = "") -> str:
    """A page with its style, letters and drawings in it; ``more`` is style of its own."""
    body = ElementTree.tostring(main, encoding="unicode", method="html")
    style = (TEMPLATES / "sheets.css").read_text(encoding="utf-8").replace("FONT", FONT) + more
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        '<meta name="color-scheme" content="light dark">\n'
        f"<title>{xml_text(title)}</title>\n<style>\n{font_faces()}{style}</style>\n"
        f"</head>\n<body>\n{body}\n</body>\n</html>\n"
    )


class DoneAlike(NamedTuple):
    """One or several operations of the route that are done alike one after another."""

    number: str
    first: str
    title: str
    parts: str
    verdict: str


def visits(rows: Sequence[RouteRow]) -> list[tuple[str, list[DoneAlike]]]:
    """The route by what is done at one machine before the next is gone to; a long stay is told in
    several, which a page's end may part. What is done alike stands in one step; of more than two
    parts their block tells the names."""
    stays = ((name, _steps(list(found))) for name, found in groupby(rows, lambda row: row.machine))
    return [
        (name, found[at : at + LONGEST_STAY])
        for name, found in stays
        for at in range(0, len(found), LONGEST_STAY)
    ]


def _steps(rows: Sequence[RouteRow]) -> list[DoneAlike]:
    return [_step(list(alike)) for _, alike in groupby(rows, lambda row: (row.title, row.verdict))]


def _step(rows: Sequence[RouteRow]) -> DoneAlike:
    first, last = rows[0], rows[-1]
    number = first.number
    if len(rows) > 1:
        number = f"{first.first}–{re.split('[–, ]+', last.number)[-1]}"
    known = len(rows) > 1 or first.parts == LEAF or ", " in first.parts
    parts = "" if known else first.parts
    verdict = first.verdict
    if verdict.startswith(TEST):
        most = max(row.pieces for row in rows)
        verdict = f"{TEST}\u00a0{most}{verdict.removeprefix(TEST)}"
    return DoneAlike(number, first.first, first.title, parts, verdict)


def doubtful(rows: Sequence[TestRow]) -> list[TestRow]:
    """The test pieces of set-ups that may well not be proved, however many are cut."""
    return [row for row in rows if ", " in row.pieces and SURE not in row.pieces]


def test_table(rows: Sequence[TestRow]) -> Table:
    """The test pieces as a table."""
    parts = [row.pieces.partition(", ") for row in rows]
    chances = {chance for _, _, chance in parts}
    alike = len(chances) == 1 and chances != {""}
    pieces = f"Test pieces, {chances.pop()}" if alike else "Test pieces"
    counts = [part[0] if alike else "".join(part) for part in parts]
    heads = ("Set-up", pieces, "Like the", "First blanks longer by")
    cells = (
        (row.set_up, count, row.of, row.longer) for row, count in zip(rows, counts, strict=True)
    )
    return Table(heads, tuple(cells)).without_empty


def columns(table: Table, across: float = WIDE) -> list[float]:
    """The widths of a table's columns in mm: as wide as their words, as far as ``across`` goes, and
    never narrower than a word that cannot be parted."""
    least, most = _least_and_most(table)
    room = across - sum(least)
    wanted = [wide - low for wide, low in zip(most, least, strict=True)]
    if sum(wanted) <= room or room <= 0:
        share = (
            [low + max(0.0, room) / len(least) for low in least]
            if not any(wanted)
            else [wide + (room - sum(wanted)) / len(least) for wide in most]
        )
        return [round(each * across / sum(share), 1) for each in share]
    return [
        round(low + room * want / sum(wanted), 1) for low, want in zip(least, wanted, strict=True)
    ]


def _least_and_most(table: Table) -> tuple[list[float], list[float]]:
    """How wide the columns are at the least, and with no cell over more than one line."""
    cells = list(zip(table.headings, *table.rows, strict=True))
    least, most = [], []
    for at, (heading, *column) in enumerate(cells):
        if table.boxes is not None and at >= table.boxes:
            least.append(22.0)
            most.append(22.0)
            continue
        words = [str(shown(each)) for each in column]
        heads = [width(each, 9.5, True) for each in heading.split()]
        parted = (word for each in words for word in each.split(" "))
        least.append(max([*heads, *(width(word) for word in parted)]) + 3)
        most.append(max([*heads, *(width(each) for each in words)]) + 3)
    return least, most


def in_columns(blocks: Sequence[PartsBlock]) -> Iterator[tuple[bool, list[PartsBlock]]]:
    """Blocks in a row, and whether they are narrow enough to stand in two columns."""
    return runs_of(blocks, _is_narrow)


def _is_narrow(block: PartsBlock) -> bool:
    table, words = block.table, sum(map(len, (block.words, *block.notes)))
    wide = sum(_least_and_most(table)[1]) if table and table.rows else 0.0
    boxes = table is not None and table.boxes is not None
    return block.drawing is None and not boxes and words <= MOST_NARROW and wide <= HALF


def named(headings: Sequence[str], row: Sequence[str]) -> dict[str, str]:
    """A stick's mark by the headings of its table; empty where that has no such column."""
    return dict.fromkeys(("On", "To", "Size"), "") | dict(zip(headings, row, strict=True))


def picture(drawing: Drawing) -> str:
    """A drawing to stand in the page: inside HTML the namespace is understood, and no address at
    all is left in the page."""
    return drawing.svg.replace(' xmlns="http://www.w3.org/2000/svg"', "")


@lru_cache(maxsize=2)
def environment(*before: Path) -> Environment:
    """What templates are filled by; those in folders ``before`` the sheets' own are found first."""
    made = known_environment((*before, TEMPLATES), finalize=shown, autoescape=True)
    made.filters.update({each.__name__: each for each in (*_OWN, *FILTERS)})
    made.filters["noted"] = notes_as_html
    made.globals.update(wide=WIDE, half=HALF)
    return made


_OWN = (
    *(in_parts, capital, whole, target_parts, visits, test_table, columns, picture, doubtful),
    *(in_columns, named),
)
"""What the templates ask of anything else."""
