"""Finished sheets laid on pages: where each page ends, and what stands at its head.

Chromium has no running heads that can say "2 of 3" of a machine's own pages, so pages are filled
here, by how high everything prints (`heights`). A page is ended by a head that begins the next; on
a screen these are hidden, and the sheet is one piece.
"""

from __future__ import annotations

import copy
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import takewhile
from xml.etree.ElementTree import Element, SubElement

from setupsheets.sheets.pages.heights import (
    columns_of,
    first_column,
    flowing,
    flowing_heights,
    height,
    named,
    rows_height,
    rule_of,
    table_part,
)

HIGH = 264.0
"""How high a page is filled, in mm: what Letter and A4 both have between their margins."""
MOST_WHITE, LEAST_WHITE, LEAST_PARTED = 0.10, 0.06, 0.35
"""The parts of a page that are left white, at the most, rather than a block parted: the first for
blocks that take less than the third of a page, the second for others."""


@dataclass
class _Sheet:
    """A machine's sheet on its pages; ``heads`` stand at the head of each of them."""

    element: Element
    heads: list[Element] = field(default_factory=list)

    @property
    def name(self) -> str:
        return self.element.get("data-name", "")


@dataclass
class _Pages:
    """Pages as they are filled: ``used`` mm of the last one, ``titled`` of it when a title was the
    last thing that was put there."""

    which: str
    high: float
    used: float = 0.0
    titled: float = 0.0

    def fits(self, more: float) -> bool:
        return self.used + more <= self.high

    @property
    def white(self) -> float:
        """The part of the page that is still white."""
        return 1 - self.used / self.high


def lay_out(main: Element, which: str, high: float = HIGH) -> None:
    """Puts the sheets of ``main`` on pages of ``high`` mm: heads are added to it, and tables that
    go on over a page are parted. ``which`` says of which job and day they are."""
    pages = _Pages(which, high)
    sheets = [_Sheet(section) for section in main.findall("section")]
    for sheet in sheets:
        _begin(sheet, pages)
        for element in list(sheet.element)[1:]:
            _place(element, sheet.element, sheet, pages)
    for element in main.iterfind(".//div[@class='columns']"):
        _into_columns(element)
    for sheet in sheets:
        for number, head in enumerate(sheet.heads, 1):
            count = head.find("span")
            assert count is not None
            count.text = f"{number} of {len(sheet.heads)} · {which}"


def _begin(sheet: _Sheet, pages: _Pages) -> None:
    """A sheet begins a page of its own, unless that left too much of the last one white."""
    first = sheet.element[0]
    title = Element("header", {"class": "running"})
    sheet.element.remove(first)
    sheet.element.insert(0, title)
    title.append(first)
    first.tail = " "
    SubElement(title, "span", {"class": "which"}).text = f"0 of 0 · {pages.which}"
    sheet.heads.append(title)
    _, block, *others = sheet.element
    begins = [block] if block.tag == "article" else [block, *others[:1]]
    needed = height(title) + sum(map(_least, begins))
    if pages.used and (pages.white <= MOST_WHITE or not pages.fits(needed)):
        title.set("class", "running break")
        pages.used = 0.0
    pages.used += height(title)
    pages.titled = pages.used


def _place(element: Element, parent: Element, sheet: _Sheet, pages: _Pages) -> None:
    """Puts an element on the page, or parts it, or begins the next page with it."""
    high = height(element)
    if not pages.fits(high) and _can_part(element) and not _better_whole(high, pages):
        _part(element, parent, sheet, pages)
        return
    if not pages.fits(high) and pages.used > 0:
        _end_page(element, parent, sheet, pages)
        if not pages.fits(high) and _can_part(element):
            _part(element, parent, sheet, pages)
            return
    pages.used += high


def _better_whole(high: float, pages: _Pages) -> bool:
    """Whether an element that does not fit any more is better begun on the next page; never what
    stands under its title already."""
    most = MOST_WHITE if high <= LEAST_PARTED * pages.high else LEAST_WHITE
    return pages.used != pages.titled and pages.white <= most and high <= pages.high


def _can_part(element: Element) -> bool:
    kinds = ("article", "table", "ul")
    flows = _in_columns(element) and len(flowing(element)) > 2
    return element.tag in kinds or flows or bool(_below(element))


def _in_columns(element: Element) -> bool:
    return element.get("class") == "columns"


def _below(element: Element) -> list[Element]:
    """What stands beside drawings and may as well stand below them: all but a table of dials."""
    if "beside" not in element.get("class", "").split() or element.find("figure") is None:
        return []
    return [each for each in element if each.tag not in ("figure", "table") and height(each)]


def _part(element: Element, parent: Element, sheet: _Sheet, pages: _Pages) -> None:
    """Parts a block between what it is made of, a table or list between its rows."""
    if element.tag == "article":
        _part_block(element, parent, sheet, pages)
    elif _in_columns(element):
        _part_columns(element, parent, sheet, pages)
    elif element.tag == "div":
        _part_beside(element, parent, sheet, pages)
    else:
        _part_rows(element, parent, sheet, pages)


def _part_block(article: Element, parent: Element, sheet: _Sheet, pages: _Pages) -> None:
    if pages.used > 0 and not pages.fits(_least(article)):
        _end_page(article, parent, sheet, pages)
    under_a_title = pages.used == pages.titled
    pages.used += rule_of(article).before
    if under_a_title:
        pages.titled = pages.used
    leads = _leads(article)
    for piece in list(article):
        _place(piece, article, sheet, pages)
        if piece in leads or _is_title(piece):
            pages.titled = pages.used


def _part_columns(element: Element, parent: Element, sheet: _Sheet, pages: _Pages) -> None:
    """Fills both columns down to the page's foot, and begins the next page with the rest."""
    kept = _that_fit(element, pages)
    if not kept:
        _end_page(element, parent, sheet, pages)
        kept = max(1, _that_fit(element, pages))
    goes_on = kept < len(flowing(element))
    rest = copy.deepcopy(element)
    for half, removed in ((element, slice(kept, None)), (rest, slice(kept))):
        holder = half if list(half) == flowing(half) else half[0]
        for each in flowing(half)[removed]:
            holder.remove(each)
    pages.used += height(element)
    if goes_on:
        parent.insert(list(parent).index(element) + 1, rest)
        _end_page(rest, parent, sheet, pages)
        _place(rest, parent, sheet, pages)


def _that_fit(element: Element, pages: _Pages) -> int:
    """How many of the things that flow through two columns have room on the page."""
    heights, after = flowing_heights(element), rule_of(element).after
    fits = 0
    for many in range(1, len(heights) + 1):
        first = first_column(heights[:many])
        if pages.fits(max(sum(heights[:first]), sum(heights[first:many])) + after):
            fits = many
    return fits


def _into_columns(element: Element) -> None:
    """Puts what flows through two columns into an element for each of them."""
    items, many = flowing(element), first_column(flowing_heights(element))
    kind = "ul" if items != list(element) else "div"
    named_so = element[0].get("class", "") if kind == "ul" else "column"
    for each in list(element):
        element.remove(each)
    for column in (items[:many], items[many:]):
        SubElement(element, kind, {"class": named_so} if named_so else {}).extend(column)


def _part_beside(element: Element, parent: Element, sheet: _Sheet, pages: _Pages) -> None:
    """Moves as many of the words beside drawings as do not fit to their own place below them."""
    moved: list[Element] = []
    for words in reversed(_below(element)):
        if pages.fits(height(element)):
            break
        element.remove(words)
        parent.insert(list(parent).index(element) + 1, words)
        moved.insert(0, words)
    _place(element, parent, sheet, pages)
    for words in moved:
        _place(words, parent, sheet, pages)


def _is_title(piece: Element) -> bool:
    """Whether an element only tells what follows it."""
    return piece.tag == "h2" or piece.get("class") == "title"


def _leads(article: Element) -> list[Element]:
    """A block's titles, and words that are about the table or drawing that follows them."""
    pieces = [piece for piece in article if height(piece)]
    first = len(list(takewhile(_is_title, pieces)))
    match pieces[first : first + 2]:
        case [words, about] if words.tag == "p":
            first += about.tag in ("table", "figure") or _in_columns(about)
    return pieces[:first]


def _least(element: Element) -> float:
    """The least of an element that may stand at a page's foot: a block's title and what follows it
    (with words the table or drawing that they are about), a table's head and two rows, the
    first in either column, or all of what cannot be parted."""
    if element.tag == "article":
        pieces = [piece for piece in element if height(piece)][: len(_leads(element)) + 1]
        return rule_of(element).before + sum(_least(piece) for piece in pieces)
    if not _can_part(element):
        return height(element)
    if _in_columns(element):
        return max(flowing_heights(element)[:2]) + rule_of(element).after
    if element.tag == "div":
        bare = copy.deepcopy(element)
        for words in _below(bare):
            bare.remove(words)
        return height(bare)
    rows = sum(high for _, high in list(_rows(element))[:2])
    return _head_height(element) + rows + rule_of(element).after


def _rows(element: Element) -> Iterator[tuple[Element, float]]:
    """What a list or a table may be parted between: items, rows, or bodies of rows that belong
    together."""
    if element.tag == "ul":
        yield from ((item, height(item, parent=named(element))) for item in element)
        return
    columns, bodies = columns_of(element), element.findall("tbody")
    whole = _holder(element) is element
    for each in bodies if whole else bodies[0]:
        rows = list(each) if whole else [each]
        yield each, rows_height(rows, columns, table_part(element, bodies[0]))


def _head_height(table: Element) -> float:
    if table.tag == "ul":
        return 0.0
    columns = columns_of(table)
    return rows_height(table.findall("thead/tr"), columns, "thead")


def _part_rows(element: Element, parent: Element, sheet: _Sheet, pages: _Pages) -> None:
    """Moves the rows that do not fit into a table or list of their own behind it."""
    rows, head = list(_rows(element)), _head_height(element)
    if pages.used > 0 and not pages.fits(_least(element)):
        _end_page(element, parent, sheet, pages)
    used, kept = pages.used + head + rule_of(element).after, 0
    for _, high in rows:
        if used + high > pages.high and kept:
            break
        used, kept = used + high, kept + 1
    pages.used = used
    if kept == len(rows):
        return
    rest = copy.deepcopy(element)
    for table, removed in ((element, slice(kept, None)), (rest, slice(kept))):
        holder = _holder(table)
        for row in [row for row, _ in _rows(table)][removed]:
            holder.remove(row)
    parent.insert(list(parent).index(element) + 1, rest)
    _end_page(rest, parent, sheet, pages)
    _place(rest, parent, sheet, pages)


def _holder(element: Element) -> Element:
    """What holds the rows of a table or the items of a list; the table itself where its bodies hold
    rows that belong together."""
    bodies = element.findall("tbody")
    together = len(bodies) > 1 or element.find("tbody//*[@rowspan]") is not None
    return element if together or not bodies else bodies[0]


def _end_page(before: Element, parent: Element, sheet: _Sheet, pages: _Pages) -> None:
    """Begins a page with ``before``, behind a head that names sheet, page and job, and what goes on
    from the page before."""
    head = Element("p", {"class": "running break"})
    bold = SubElement(head, "b")
    bold.text = sheet.name
    bold.tail = " "
    number = parent.find(".//b[@class='number']") if parent.tag == "article" else None
    if number is not None:
        again = SubElement(head, "b")
        again.text, again.tail = f"{number.text}, continued", " "
    SubElement(head, "span", {"class": "which"}).text = f"0 of 0 · {pages.which}"
    parent.insert(list(parent).index(before), head)
    sheet.heads.append(head)
    pages.used = height(head)
