"""How high a page's elements print, in mm: from the widths of the font that travels in the page.

The rules here are those of `templates/sheets.css` for paper; a test in a browser holds them against
each other. Words are only broken at spaces, so nothing prints higher than what is said here.
"""

from __future__ import annotations

import copy
import math
import re
from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

from msgspec import Struct

from setupsheets.sheets.letters.letters import text_width

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

WIDE = 196.0
"""How wide everything is laid out: what A4 and Letter both have between their margins."""
POINT = 25.4 / 72
GAP = 4.0  # between a drawing and what stands beside it, and between two columns
HALF = 95.8
"""How wide each of two columns is: a hair less than what the gap between them leaves of half."""
LEAST = 45.0  # the least room in mm for words beside a drawing
ROUND = 0.1  # mm by which a program that prints may round a line's width


class Rule(Struct, frozen=True):
    """How an element prints: letters in points, lines as a multiple of that, room before and after
    and at its sides in mm, how much of that its first line has for itself, its least height, and
    whether its letters are bold."""

    size: float = 11.0
    lead: float = 1.1
    before: float = 0.0
    after: float = 0.0
    side: float = 0.0
    hang: float = 0.0
    least: float = 0.0
    bold: bool = False

    @property
    def line(self) -> float:
        """The height of a line in mm."""
        return self.size * self.lead * POINT


RULES: Mapping[str, Rule] = {
    "header.running": Rule(13, 1.15, after=2.0, bold=True),
    "p.running": Rule(13, 1.15, after=2.0, bold=True),
    "h2": Rule(13, 1.15, after=0.7, bold=True),
    "article": Rule(before=1.6),
    "article.by-hand": Rule(before=1.2),
    "div.title": Rule(13, 1.15, after=0.7, side=58, least=6.2, bold=True),
    "p": Rule(after=0.8),
    "div.hand": Rule(after=0.9),
    "p.warning": Rule(before=1.0, after=1.4, side=6),
    "div.warning": Rule(before=1.0, after=1.4, side=6),
    "p.command": Rule(9, 1.1, after=1.0),
    "dl": Rule(after=0.9),
    "ul": Rule(after=0.9),
    "li": Rule(after=0.3, side=4, hang=4),
    "ul.noted": Rule(after=0.9, side=6),
    "ol.noted": Rule(after=0.9, side=6),
    "li.noted": Rule(after=0.3),
    "ul.steps": Rule(),
    "ul.marks": Rule(),
    "div.visit": Rule(after=1.6),
    "div.visit/p": Rule(after=0.3),
    "ul.steps/li": Rule(side=8, hang=6),
    "div.beside": Rule(after=0.9),
    "div.columns": Rule(after=0.9),
    "figure": Rule(after=0.5),
    "figcaption": Rule(9.5, 1.1, before=0.6),
    "table": Rule(after=1.35),
    "th": Rule(11, 1.1, before=0.3, after=0.55, side=2.5),
    "td": Rule(11, 1.1, before=0.3, after=0.55, side=2.5),
    "td.box": Rule(least=10.0),
    "thead/th": Rule(9.5, 1.1, before=0.3, after=0.7, side=2.5, bold=True),
}
INLINE: Mapping[str, Rule] = {
    "small": Rule(9, 1.1),
    "code": Rule(9, 1.1),
    "h2": Rule(12, 1.1, bold=True),
    "b.target": Rule(13, 1.0),
    "span.figure": Rule(28, 1.0, bold=True),
    "span.unit": Rule(18, 1.0, bold=True),
    "span.rest": Rule(16, 1.1, bold=True),
    "span.which": Rule(9.5, 1.15),
}
AROUND: Mapping[str, float] = {"span.tick": 4.6, "b.number": 5.2}
"""The room in mm that frames take beside the words in them."""
_USUAL = Rule()
BOLD = frozenset({"b", "dt"})
BLOCKS = frozenset({"p", "div", "dl", "ul", "ol", "li", "table", "figure", "article", "h2"})
"""What stands on lines of its own; a list of facts runs on in one."""
PLAIN = frozenset({"p.sign"})
"""What stands beside something that is higher, and takes no room of its own."""


class Words(NamedTuple):
    """Words in one size and weight."""

    words: str
    size: float
    line: float
    bold: bool


def rule_of(element: Element, rules: Mapping[str, Rule] = RULES, parent: str = "") -> Rule:
    """The rule of an element, by its class, its parent or its kind."""
    kind = str(element.tag)
    names = [f"{kind}.{name}" for name in reversed(element.get("class", "").split())]
    for name in (*names, f"{parent}/{kind}", kind):
        if name in rules:
            return rules[name]
    return _USUAL


class Aside(NamedTuple):
    """Lines are ``width`` mm wide as long as they begin above ``high`` mm, beside a drawing."""

    width: float
    high: float


def height(
    element: Element, width: float = WIDE, parent: str = "", asides: tuple[Aside, ...] = ()
) -> float:
    """How high an element prints on ``width`` mm, with the room before and after it; its first
    lines may stand beside drawings, the narrowest first."""
    if f"{element.tag}.{element.get('class', '')}" in PLAIN:
        return 0.0
    rule = rule_of(element, parent=parent)
    inside = width - rule.side
    around = rule.before + rule.after
    if element.tag == "table":
        return around + sum(
            rows_height(part.findall("tr"), columns_of(element), str(part.tag)) for part in element
        )
    if element.get("class") == "columns":
        return around + max(sum(column) for column in _in_two(flowing_heights(element)))
    if element.tag == "figure":
        caption = element.find("figcaption")
        told = height(caption, width_of(element)) if caption is not None else 0.0
        told += sum(height(table) for table in element.findall("table"))
        return around + _millimetres(element.find("svg"), "height") + told
    if "beside" in element.get("class", ""):
        return around + _beside(element, inside)
    if (
        element.tag != "dl"
        and element.get("class") != "hand"
        and any(each.tag in BLOCKS for each in element)
    ):
        blocks = [each for each in element if each.tag in BLOCKS]
        lead = _lines(tuple(_runs(_lead(element), rule)), inside, rule.line, rule.hang)
        high = lead + sum(height(each, inside, named(element)) for each in blocks)
        return rule.before + high + (_after_last(element) if element.tag == "ul" else rule.after)
    beside = tuple(Aside(each.width - rule.side, each.high) for each in asides)
    runs = tuple(_runs(element, rule))
    return around + max(rule.least, _lines(runs, inside, rule.line, rule.hang, beside))


def rows_height(rows: Sequence[Element], columns: Sequence[float], part: str) -> float:
    """How high a table's rows print: the highest cell of each, and no less than a cell that
    reaches over several of them."""
    high = [0.0] * len(rows)
    taken: set[tuple[int, int]] = set()
    over: list[tuple[float, slice]] = []
    for at, row in enumerate(rows):
        free = [column for column in range(len(columns)) if (at, column) not in taken]
        for cell in row:
            many = int(cell.get("rowspan", "1"))
            mine = [free.pop(0) for _ in range(int(cell.get("colspan", "1")))]
            taken |= {(at + down, column) for down in range(1, many) for column in mine}
            tall = height(cell, sum(columns[column] for column in mine), part)
            if many > 1:
                over.append((tall, slice(at, at + many)))
            else:
                high[at] = max(high[at], tall)
        assert not free
    return sum(high) + max([0.0, *(tall - sum(high[reach]) for tall, reach in over)])


def flowing(element: Element) -> list[Element]:
    """What flows through two columns, in order: the items of a list that is alone in them."""
    first = element[0]
    return list(first) if len(element) == 1 and first.tag == "ul" else list(element)


def flowing_heights(element: Element) -> list[float]:
    """How high each of the things that flow through two columns prints in one of them."""
    parent = named(element[0]) if len(element) == 1 and element[0].tag == "ul" else ""
    return [height(each, HALF, parent) for each in flowing(element)]


def first_column(heights: Sequence[float]) -> int:
    """How many things in order stand in the first of two columns, so that they are least high."""
    ways = range(1, len(heights) + 1)
    return min(ways, key=lambda many: max(sum(heights[:many]), sum(heights[many:])), default=0)


def _in_two(heights: Sequence[float]) -> tuple[Sequence[float], Sequence[float]]:
    many = first_column(heights)
    return heights[:many], heights[many:]


def columns_of(table: Element) -> list[float]:
    """The widths of a table's columns in mm."""
    return [width_of(column) for column in table.iter("col")]


def width_of(element: Element) -> float:
    """The width in mm that an element's own style gives it."""
    found = re.search(r"width: ([0-9.]+)mm", element.get("style", ""))
    return float(found[1]) if found else WIDE


def _millimetres(element: Element | None, name: str) -> float:
    return float(element.attrib[name].removesuffix("mm")) if element is not None else 0.0


def _beside(element: Element, width: float) -> float:
    """Drawings in a row, and words at the right of them or below."""
    row = element.findall("figure")
    drawn = max(map(height, row), default=0.0)
    below = "below" in element.get("class", "")
    told, beside = (drawn, ()) if below else (0.0, _asides(row, width))
    for each in element:
        if each.tag != "figure":
            for item in [*each] if each.tag == "ul" else [each]:
                lower = tuple(Aside(room, high - told) for room, high in beside)
                told += height(item, width, named(each), lower)
            told += _after_last(each) if each.tag == "ul" else 0.0
    return max(drawn, told)


def _after_last(items: Element) -> float:
    """The room after a list beside what its last item leaves: the larger of the two counts."""
    rule = rule_of(items)
    last = rule_of(items[-1], parent=named(items)) if len(items) else rule
    return max(0.0, rule.after - last.after)


def _asides(row: Sequence[Element], width: float) -> tuple[Aside, ...]:
    """The room at the right of drawings in a row: right of all of them as far as the last reaches,
    then right of those that reach lower."""
    low, found = 0.0, list[Aside]()
    for at in range(len(row), 0, -1):
        if height(row[at - 1]) > low:
            low = height(row[at - 1])
            found.append(Aside(width - sum(width_of(each) + GAP for each in row[:at]), low))
    return tuple(found)


def _lead(element: Element) -> Element:
    """The words of an element that stand before the blocks in it, by themselves."""
    lead = copy.copy(element)
    for each in [each for each in element if each.tag in BLOCKS]:
        lead.remove(each)
    return lead


def named(element: Element) -> str:
    """An element by its kind and class, as the rules name it."""
    kind = element.get("class", "")
    return f"{element.tag}.{kind}" if kind else str(element.tag)


def _runs(element: Element, rule: Rule, bold: bool = False) -> Iterator[Words]:
    """The words of an element with those inside it, in their sizes."""
    bold = bold or rule.bold
    yield Words(element.text or "", rule.size, rule.line, bold)
    for inner in element:
        own = rule_of(inner, INLINE)
        its = Rule(rule.size, rule.lead) if own is _USUAL else own
        if around := AROUND.get(named(inner)):
            yield Words("\u00a0", around / text_width("\u00a0", POINT), 0.0, False)
        yield from _runs(inner, its, bold or inner.tag in BOLD)
        yield Words(inner.tail or "", rule.size, rule.line, bold)


@lru_cache(maxsize=10_000)
def _lines(
    runs: tuple[Words, ...], width: float, least: float, hang: float, asides: tuple[Aside, ...] = ()
) -> float:
    """The height of words set line by line; each line is as high as its highest letters, and the
    first has ``hang`` mm more."""
    total, line, used = 0.0, 0.0, 0.0
    for word, size, wide in _words(runs):
        beside = (each.width for each in asides if total < each.high + 0.5)
        room = next(beside, width) + (0.0 if total else hang) - ROUND
        space = text_width(" ", size * POINT) if used else 0.0
        if used and used + space + wide > room:
            total, line, used, space = total + line, 0.0, 0.0, 0.0
        over = math.ceil(wide / room) - 1
        total += max(0, over) * max(word, least)
        line, used = max(line, word, least), used + space + (wide % room if over > 0 else wide)
    return total + line


def _words(runs: Sequence[Words]) -> Iterator[tuple[float, float, float]]:
    """Every word's line height, the size of the space before it, and its width in mm."""
    line = size = wide = 0.0
    for run in runs:
        for index, piece in enumerate(re.split(r"[ \n\t]+", run.words)):
            if index and wide:
                yield line, size, wide
                line = wide = 0.0
            if piece:
                line, size = max(line, run.line), run.size
                wide += text_width(piece, run.size * POINT, run.bold)
    if wide:
        yield line, size, wide
