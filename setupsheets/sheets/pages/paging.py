"""Finished sheets laid on pages: where each page ends, and what stands at its head.

Chromium has no running heads that can say "2 of 3" of a machine's own pages, so pages are filled
here, by how high everything prints (`heights`). A page is ended by a head that begins the next; on
a screen these are hidden, and the sheet is one piece.
"""

from __future__ import annotations

import copy
from xml.etree.ElementTree import Element, SubElement, fromstring, tostring

from msgspec import Struct, field

from setupsheets.files.known_results import once_known
from setupsheets.sheets.pages.heights import (
    first_column,
    flowing,
    flowing_heights,
    height,
    rule_of,
)
from setupsheets.sheets.pages.parting import (
    can_part,
    drawings_alone,
    first_of,
    head_height,
    holder_of,
    in_columns,
    into_columns,
    is_title,
    leads_of,
    least_of,
    rows_of,
    said_in,
    words_beside,
    words_parted,
)

HIGH = 265.0
"""How high a page is filled, in mm: what Letter and A4 both have between their margins."""
MOST_WHITE = 0.04
"""The part of a page that is left white, at the most, rather than a block parted."""
LEAST_FACTS = 13.0  # mm of facts that may stand at a page's foot under the title of their sheet


class _Pages(Struct):
    """A sheet's pages as they are filled: ``name`` is the sheet's, ``heads`` stand at the head of
    each of them; ``used`` mm of the last one, ``titled`` of it when a title was the last thing that
    was put there."""

    name: str
    which: str
    high: float
    used: float
    titled: float = 0.0
    heads: list[Element] = field(default_factory=list)

    def fits(self, more: float) -> bool:
        return self.used + more <= self.high

    @property
    def white(self) -> float:
        """The part of the page that is still white."""
        return 1 - self.used / self.high


def lay_out(main: Element, which: str, high: float = HIGH) -> None:
    """Puts the sheets of ``main`` on pages of ``high`` mm: heads are added to it, and tables that
    go on over a page are parted. ``which`` says of which job and day they are."""
    used = 0.0
    for at, section in enumerate(main):
        text, used = _laid_out(tostring(section, "unicode"), which, high, used)
        main[at] = fromstring(text)
        main[at].tail = section.tail


@once_known(most=200)
def _laid_out(section: str, which: str, high: float, used: float) -> tuple[str, float]:
    """A sheet on its pages, the first of which may have ``used`` mm already, and how much of its
    last it uses."""
    sheet = fromstring(section)
    pages = _Pages(sheet.get("data-name", ""), which, high, used)
    _begin(sheet, pages)
    for element in list(sheet)[1:]:
        _place(element, sheet, pages)
    for element in sheet.iterfind(".//div[@class='columns']"):
        into_columns(element)
    for number, head in enumerate(pages.heads, 1):
        count = head.find("span")
        assert count is not None
        count.text = f"{number} of {len(pages.heads)} · {which}"
    return tostring(sheet, "unicode"), pages.used


def _begin(sheet: Element, pages: _Pages) -> None:
    """A sheet begins a page of its own, unless that left too much of the last one white."""
    first = sheet[0]
    title = Element("header", {"class": "running"})
    sheet.remove(first)
    sheet.insert(0, title)
    title.append(first)
    first.tail = " "
    _count(title, pages)
    _, block, *others = sheet
    alone = block.tag == "article" or height(block) > LEAST_FACTS
    begins = [block] if alone else [block, *others[:1]]
    needed = height(title) + sum(map(least_of, begins))
    if pages.used and (pages.white <= MOST_WHITE or not pages.fits(needed)):
        title.set("class", "running break")
        pages.used = 0.0
    pages.used += height(title)
    pages.titled = pages.used


def _place(element: Element, parent: Element, pages: _Pages) -> None:
    """Puts an element on the page, or parts it, or begins the next page with it."""
    high = height(element)
    if not pages.fits(high) and can_part(element) and not _better_whole(high, pages):
        _part(element, parent, pages)
        return
    if not pages.fits(high):
        _end_page(element, parent, pages)
        if not pages.fits(high) and can_part(element):
            _part(element, parent, pages)
            return
    pages.used += high


def _better_whole(high: float, pages: _Pages) -> bool:
    """Whether an element that does not fit any more is better begun on the next page; never what
    stands under its title already."""
    begun = pages.used != pages.titled
    return begun and pages.white <= MOST_WHITE and high <= pages.high


def _part(element: Element, parent: Element, pages: _Pages) -> None:
    """Parts a block between what it is made of, a table or list between its rows."""
    if element.tag == "article":
        _part_block(element, parent, pages)
    elif in_columns(element):
        _part_columns(element, parent, pages)
    elif element.tag == "div":
        _part_beside(element, parent, pages)
    elif element.tag == "p":
        _part_words(element, parent, pages)
    else:
        _part_rows(element, parent, pages)


def _part_block(article: Element, parent: Element, pages: _Pages) -> None:
    if not pages.fits(least_of(article)):
        _end_page(article, parent, pages)
    under_a_title = pages.used == pages.titled
    pages.used += rule_of(article).before
    if under_a_title:
        pages.titled = pages.used
    leads = leads_of(article)
    for piece in list(article):
        _place(piece, article, pages)
        if piece in leads or is_title(piece):
            pages.titled = pages.used


def _part_columns(element: Element, parent: Element, pages: _Pages) -> None:
    """Fills both columns down to the page's foot, and begins the next page with the rest."""
    kept = _that_fit(element, pages)
    if not kept and pages.fits(height(first_of(copy.deepcopy(element)))):
        _go_on(element, parent, pages)
        return
    if not kept:
        _end_page(element, parent, pages)
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
        _go_on(rest, parent, pages)


def _go_on(rest: Element, parent: Element, pages: _Pages) -> None:
    """Places what has no room left in two columns: across the page as far as that has room, and the
    rest on the next; the very last stands across, not alone in half of the width."""
    at = list(parent).index(rest)
    while len(flowing(rest)) > 1 and pages.fits(height(first_of(copy.deepcopy(rest)))):
        across = first_of(rest)
        parent.insert(at, across)
        pages.used, at = pages.used + height(across), at + 1
    if len(flowing(rest)) == 1:
        parent.remove(rest)
        rest = first_of(rest)
        parent.insert(at, rest)
    _place(rest, parent, pages)


def _that_fit(element: Element, pages: _Pages) -> int:
    """How many of the things that flow through two columns have room on the page."""
    heights, after = flowing_heights(element), rule_of(element).after
    fits = 0
    for many in range(1, len(heights) + 1):
        first = first_column(heights[:many])
        if pages.fits(max(sum(heights[:first]), sum(heights[first:many])) + after):
            fits = many
    return fits


def _part_beside(element: Element, parent: Element, pages: _Pages) -> None:
    """Moves as many of the words beside drawings as do not fit to their own place below them; what
    the drawings themselves have no room for begins the next page."""
    if not pages.fits(height(drawings_alone(element))):
        _end_page(element, parent, pages)
        _place(element, parent, pages)
        return
    moved: list[Element] = []
    for words in reversed(words_beside(element)):
        if pages.fits(height(element)):
            break
        element.remove(words)
        parent.insert(list(parent).index(element) + 1, words)
        moved.insert(0, words)
    _place(element, parent, pages)
    for words in moved:
        _place(words, parent, pages)


def _part_words(element: Element, parent: Element, pages: _Pages) -> None:
    """Keeps as much of a paragraph as fits, and begins the next page with the rest."""
    for at in reversed(said_in(element)[1:]):
        begun, rest = words_parted(element, at)
        if pages.fits(height(begun)):
            place = list(parent).index(element)
            parent.remove(element)
            parent.insert(place, begun)
            parent.insert(place + 1, rest)
            pages.used += height(begun)
            element = rest
            break
    _end_page(element, parent, pages)
    pages.used += height(element)


def _part_rows(element: Element, parent: Element, pages: _Pages) -> None:
    """Moves the rows that do not fit into a table or list of their own behind it."""
    rows, head = list(rows_of(element)), head_height(element)
    if not pages.fits(least_of(element)):
        _end_page(element, parent, pages)
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
        holder = holder_of(table)
        for row in [row for row, _ in rows_of(table)][removed]:
            holder.remove(row)
    parent.insert(list(parent).index(element) + 1, rest)
    _end_page(rest, parent, pages)
    _place(rest, parent, pages)


def _end_page(before: Element, parent: Element, pages: _Pages) -> None:
    """Begins a page with ``before``, behind a head that names sheet, page and job, and what goes on
    from the page before."""
    head = Element("p", {"class": "running break"})
    bold = SubElement(head, "b")
    bold.text = pages.name
    bold.tail = " "
    number = parent.find(".//b[@class='number']") if parent.tag == "article" else None
    if number is not None:
        again = SubElement(head, "b")
        again.text, again.tail = f"{number.text}, continued", " "
    _count(head, pages)
    parent.insert(list(parent).index(before), head)
    pages.used = height(head)


def _count(head: Element, pages: _Pages) -> None:
    """Leaves room in a page's head for which of how many it is, and of what."""
    SubElement(head, "span", {"class": "which"}).text = f"0 of 0 · {pages.which}"
    pages.heads.append(head)
