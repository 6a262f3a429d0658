"""Finished sheets as one HTML file: templates of their own, laid on pages, no way out of the page.

Whatever a user wrote is text when it comes into a template and is escaped there; the page has no
script, and its style, drawings and letters are in it.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING, Any
from xml.etree import ElementTree

from setupsheets.sheets.content.finished import (
    PARTS,
    CountRow,
    Dial,
    Fact,
    OperationBlock,
    RouteRow,
    TestRow,
)
from setupsheets.sheets.content.finished_parts import Table
from setupsheets.sheets.drawings.drawing import Drawing, xml_text
from setupsheets.sheets.letters.letters import FONT, font_faces, text_width
from setupsheets.sheets.pages.heights import GAP, INLINE, LEAST, POINT, WIDE
from setupsheets.sheets.pages.known_templates import known_templates
from setupsheets.sheets.pages.paging import HIGH, lay_out

if TYPE_CHECKING:
    from jinja2 import Environment

LEAST_TABLE = 104.0  # mm: a figure to set, and what it is the figure of

LONGEST_STAY = 6  # operations in one row of the route

TEMPLATES = Path(__file__).parent / "templates"

# What XML has no place for, and what must not be parted at a line's end: a figure and its unit,
# its fraction, its tolerance's sign.
_not_text = re.compile("[\x00-\x08\x0b-\x1f\x7f\ud800-\udfff\ufffe\uffff]").sub
_in_figures = re.compile(
    r"(?<=\d) (?=\d+/\d)|(?<=\d) (?=(?:in|mm|ft|lb|kg|rpm|m/s|%)(?![a-z]))|(?<=[±+−]) (?=[\d.])"
).sub
_figure = re.compile(r"(.*?)( in| mm)((?: full| scant) by .*)?").fullmatch


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
    lay_out(main, which, high)
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
    """The dials that are set anew for each row, with their places; all of them where each row
    holds its reading as well."""
    every = read_at_once(block)
    return [(at, dial) for at, dial in enumerate(block.dials) if every or dial.once is None]


def row_columns(block: OperationBlock) -> list[float]:
    """The widths of the columns of a block's rows in mm: number, parts, figures to set."""
    number, moved = 13.0, len(moved_dials(block))
    boxes = [26.0, 22.0, 22.0, 22.0] if read_at_once(block) else []
    left = WIDE - number - sum(boxes)
    most = max((_set_wide(row.settings[at].set_to) for row in block.rows
                for at, _ in moved_dials(block)), default=0.0)  # fmt: skip
    each = min(most, (left - 34) / moved) if moved else 0.0
    return [number, round(left - moved * each, 1), *[round(each, 1)] * moved, *boxes]


def _set_wide(words: str) -> float:
    """How wide a cell is in mm that holds a figure to set on one line, at least for its heading."""
    number, unit, rest = in_parts(words)
    sizes = (INLINE[f"span.{kind}"].size for kind in ("figure", "unit", "rest"))
    figure, mark, over = (
        _wide(each, size, True)
        for each, size in zip((number, f" {unit}", rest), sizes, strict=True)
    )
    return max(24.0, figure + mark, over) + 4


def read_at_once(block: OperationBlock) -> bool:
    """Whether one figure is set and one reading taken for each row, so that a row holds both."""
    titles = {tuple(each.title for each in row.measures) for row in block.rows}
    return len(block.dials) == 1 and len(titles) == 1 and all(len(each) == 1 for each in titles)


def own_facts(block: OperationBlock) -> list[Fact]:
    """The facts of a block, without the parts where those stand in a row."""
    return [fact for fact in block.facts if not (read_at_once(block) and fact.label == PARTS)]


def ways_to_measure(block: OperationBlock) -> list[tuple[str, str]]:
    """How each thing is measured, told once."""
    found = {(each.title, each.how) for row in block.rows for each in row.measures if each.how}
    order = [(each.title, each.how) for row in block.rows for each in row.measures]
    return [each for each in dict.fromkeys(order) if each in found]


def leave_room(drawings: Sequence[Drawing]) -> bool:
    """Whether words have room at the right of drawings."""
    return WIDE - sum(drawing.width + GAP for drawing in drawings) >= LEAST


def room(drawings: Sequence[Drawing]) -> float:
    """How wide a table of dials is in mm: what drawings leave at their right, where that is enough;
    else all of the page, below them."""
    left = WIDE - sum(drawing.width + GAP for drawing in drawings) - 1
    return round(left, 1) if left >= LEAST_TABLE else WIDE


def dials_once(block: OperationBlock) -> list[Dial]:
    """The dials that are set once, where rows do not hold them."""
    return [] if read_at_once(block) else [dial for dial in block.dials if dial.once]


def visits(rows: Sequence[RouteRow]) -> list[tuple[str, list[RouteRow]]]:
    """The route by what is done at one machine before the next is gone to; a long stay is told in
    several rows, which a page's end may part."""
    stays = ((name, list(found)) for name, found in groupby(rows, lambda row: row.machine))
    return [
        (name, found[at : at + LONGEST_STAY])
        for name, found in stays
        for at in range(0, len(found), LONGEST_STAY)
    ]


def count_table(rows: Sequence[CountRow]) -> Table:
    """The parts to get out as a table."""
    heads = ("Part", "How many", "Finished length, overall")
    return Table(heads, tuple((row.part, row.count, row.blank) for row in rows), (1,))


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


@lru_cache(maxsize=2)
def environment(*before: Path) -> Environment:
    """What templates are filled by; those in folders ``before`` the sheets' own are found first."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined  # noqa: PLC0415

    made = Environment(
        loader=FileSystemLoader([*before, TEMPLATES]),
        undefined=StrictUndefined,
        bytecode_cache=known_templates(),
        auto_reload=False,
        finalize=shown,
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    own = (
        *(
            in_parts,
            capital,
            moved_dials,
            row_columns,
            ways_to_measure,
            leave_room,
            room,
            dials_once,
            visits,
        ),
        *(read_at_once, own_facts),
        *(count_table, test_table, columns, picture),
    )
    made.filters.update({each.__name__: each for each in own})
    return made
