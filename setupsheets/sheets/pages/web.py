"""Finished sheets as one HTML file: templates of their own, laid on pages, no way out of the page.

Whatever a user wrote is text when it comes into a template and is escaped there; the page has no
script, and its style, drawings and letters are in it.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any
from xml.etree import ElementTree

from setupsheets.sheets.content.finished import CountRow, Dial, OperationBlock, TestRow
from setupsheets.sheets.content.finished_parts import Table
from setupsheets.sheets.drawings.drawing import Drawing, xml_text
from setupsheets.sheets.letters.letters import FONT, font_faces, text_width
from setupsheets.sheets.pages.heights import GAP, POINT, WIDE
from setupsheets.sheets.pages.paging import HIGH, lay_out

if TYPE_CHECKING:
    from jinja2 import Environment

TEMPLATES = Path(__file__).parent / "templates"

# What XML has no place for, and what must not be parted at a line's end: a figure and its unit,
# its fraction, its tolerance's sign.
_not_text = re.compile("[\x00-\x08\x0b-\x1f\x7f\ud800-\udfff\ufffe\uffff]").sub
_in_figures = re.compile(
    r"(?<=\d) (?=\d+/\d)|(?<=\d) (?=(?:in|mm|ft|lb|kg|rpm|m/s|%)(?![a-z]))|(?<=[±+−]) (?=[\d.])"
).sub
_figure = re.compile(r"(.*?)( in| mm)((?: full| scant) by .*)?").fullmatch


def page_of(template: str, title: str, which: str, high: float = HIGH, **values: Any) -> str:
    """A template's sheets as a whole page; ``which`` stands at the head of every one on paper."""
    main = ElementTree.fromstring(_environment().get_template(template).render(values))
    lay_out(main, which, high)
    body = ElementTree.tostring(main, encoding="unicode", method="html")
    style = (TEMPLATES / "sheets.css").read_text(encoding="utf-8").replace("FONT", FONT)
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        '<meta name="color-scheme" content="light dark">\n'
        f"<title>{xml_text(title)}</title>\n<style>\n{font_faces()}{style}</style>\n"
        f"</head>\n<body>\n{body}\n</body>\n</html>\n"
    )


def shown(value: object) -> object:
    """A value as it is printed: one line of text in which no figure is parted from its unit. What
    a template has made already stays as it is."""
    if hasattr(value, "__html__"):
        return value
    words = " ".join(_not_text("", str(value)).split())
    return _in_figures("\u00a0", words)


def in_parts(words: str) -> tuple[str, str, str]:
    """A figure to set: its number, which is not parted, its unit, and what it is full or scant by,
    which stands on a line of its own."""
    found = _figure(words)
    number, unit, rest = found.groups() if found else (words, "", None)
    return number.replace(" ", "\u00a0"), unit.strip(), (rest or "").strip()


def capital(words: str) -> str:
    """The words with a capital at their head."""
    return f"{words[:1].upper()}{words[1:]}"


def moved_dials(block: OperationBlock) -> list[tuple[int, Dial]]:
    """The dials that are set anew for each row, with their places."""
    return [(at, dial) for at, dial in enumerate(block.dials) if dial.once is None]


def row_columns(block: OperationBlock) -> list[float]:
    """The widths of the columns of a block's rows in mm: number, parts, figures to set."""
    number, moved = 18.0, len(moved_dials(block))
    each = min(62.0, (WIDE - number - 34) / moved) if moved else 0.0
    return [number, WIDE - number - moved * each, *[each] * moved]


def ways_to_measure(block: OperationBlock) -> list[tuple[str, str]]:
    """How each thing is measured, told once."""
    found = {(each.title, each.how) for row in block.rows for each in row.measures if each.how}
    order = [(each.title, each.how) for row in block.rows for each in row.measures]
    return [each for each in dict.fromkeys(order) if each in found]


def beside(drawings: Sequence[Drawing]) -> float:
    """Where words begin beside drawings in mm, 0 where they have no room there."""
    wide = sum(drawing.width + GAP for drawing in drawings)
    return wide if drawings and WIDE - wide >= 62 else 0.0


def count_table(rows: Sequence[CountRow]) -> Table:
    """The parts to get out as a table."""
    heads = ("Part", "How many", "Finished length, overall")
    return Table(heads, tuple((row.part, row.count, row.blank) for row in rows), (1,))


def test_table(rows: Sequence[TestRow]) -> Table:
    """The test pieces as a table."""
    heads = ("Set-up", "Test pieces", "Like the", "Leave the first blanks longer by")
    cells = tuple((row.set_up, row.pieces, row.of, row.longer) for row in rows)
    return Table(heads, cells).without_empty


def columns(table: Table) -> list[float]:
    """The widths of a table's columns in mm: as wide as their words, as far as the page goes, and
    never narrower than a word that cannot be parted."""
    cells = list(zip(table.headings, *table.rows, strict=True))
    least, most = [], []
    for at, (heading, *column) in enumerate(cells):
        if table.boxes is not None and at >= table.boxes:
            least.append(22.0)
            most.append(22.0)
            continue
        words = [str(shown(each)) for each in column]
        heads = [_wide(each, 9.5, True) for each in heading.split()]
        least.append(max([*heads, *(_wide(w, 10.5) for each in words for w in each.split())]) + 4)
        most.append(max([*heads, *(_wide(each, 10.5) for each in words)]) + 4)
    room = WIDE - sum(least)
    wanted = [wide - low for wide, low in zip(most, least, strict=True)]
    if sum(wanted) <= room or room <= 0:
        share = (
            [low + max(0.0, room) / len(least) for low in least]
            if not any(wanted)
            else [wide + (room - sum(wanted)) / len(least) for wide in most]
        )
        return [round(each * WIDE / sum(share), 1) for each in share]
    return [
        round(low + room * want / sum(wanted), 1) for low, want in zip(least, wanted, strict=True)
    ]


def _wide(words: str, size: float, bold: bool = False) -> float:
    return text_width(words, size * POINT, bold)


def picture(drawing: Drawing) -> str:
    """A drawing to stand in the page: inside HTML the namespace is understood, and no address at
    all is left in the page."""
    return drawing.svg.replace(' xmlns="http://www.w3.org/2000/svg"', "", 1)


@lru_cache(maxsize=1)
def _environment() -> Environment:
    from jinja2 import Environment, FileSystemLoader, StrictUndefined  # noqa: PLC0415

    made = Environment(
        loader=FileSystemLoader(TEMPLATES),
        undefined=StrictUndefined,
        finalize=shown,
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    own = (
        *(in_parts, capital, moved_dials, row_columns, ways_to_measure, beside),
        *(count_table, test_table, columns, picture),
    )
    made.filters.update({each.__name__: each for each in own})
    return made
