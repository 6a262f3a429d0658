"""What a sheet's pieces are parted into at a page's end, and how little of each may begin there."""

from __future__ import annotations

import copy
from collections.abc import Iterator
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
)


def can_part(element: Element) -> bool:
    """Whether an element may go on over a page's end."""
    kinds = ("article", "table", "ul")
    flows = in_columns(element) and (len(flowing(element)) > 2 or element[0].tag == "article")
    return element.tag in kinds or flows or bool(words_beside(element)) or len(said_in(element)) > 1


def least_of(element: Element) -> float:
    """The least of an element that may stand at a page's foot: a block's title and what follows it
    (with words the table or drawing that they are about), a table's head and two rows, the
    first of what flows through columns, across, or all of what cannot be parted."""
    if element.tag == "article":
        pieces = [piece for piece in element if height(piece)][: len(leads_of(element)) + 1]
        return rule_of(element).before + sum(least_of(piece) for piece in pieces)
    if not can_part(element):
        return height(element)
    if in_columns(element):
        return height(first_of(copy.deepcopy(element)))
    if element.tag == "p":
        return height(words_parted(element, said_in(element)[1])[0])
    if element.tag == "div":
        return height(drawings_alone(element))
    rows = sum(high for _, high in list(rows_of(element))[:2])
    return head_height(element) + rows + rule_of(element).after


def in_columns(element: Element) -> bool:
    """Whether what is in an element flows through two columns."""
    return element.get("class") == "columns"


def into_columns(element: Element) -> None:
    """Puts what flows through two columns into an element for each of them."""
    items, many = flowing(element), first_column(flowing_heights(element))
    kind = "ul" if items != list(element) else "div"
    named_so = element[0].get("class", "") if kind == "ul" else "column"
    for each in list(element):
        element.remove(each)
    for column in (items[:many], items[many:]):
        SubElement(element, kind, {"class": named_so} if named_so else {}).extend(column)


def first_of(columns: Element) -> Element:
    """The first of what flows through two columns, taken out of them to stand across."""
    first = flowing(columns)[0]
    if first in columns:
        columns.remove(first)
        return first
    across = Element(columns[0].tag, columns[0].attrib)
    columns[0].remove(first)
    across.append(first)
    return across


def words_beside(element: Element) -> list[Element]:
    """What stands beside drawings and may as well stand below them: all but a table of dials."""
    beside = "beside" in element.get("class", "").split()
    kinds = ("figure", "table")
    return [each for each in element if beside and each.tag not in kinds and height(each)]


def drawings_alone(element: Element) -> Element:
    """Drawings without the words beside them."""
    alone = copy.deepcopy(element)
    for words in words_beside(alone):
        alone.remove(words)
    return alone


def said_in(element: Element) -> list[int]:
    """Where in a paragraph each of the things begins that it says, one after another, by name."""
    if element.tag != "p" or element.get("class"):
        return []
    return [at for at, each in enumerate(element) if each.tag == "b"]


def words_parted(element: Element, at: int) -> tuple[Element, Element]:
    """A paragraph in two: what stands before its child ``at``, and the rest."""
    begun, rest = copy.deepcopy(element), Element(element.tag, element.attrib)
    for each in list(begun)[at:]:
        begun.remove(each)
        rest.append(each)
    return begun, rest


def is_title(piece: Element) -> bool:
    """Whether an element only tells what follows it."""
    return piece.tag == "h2" or piece.get("class") == "title"


def leads_of(article: Element) -> list[Element]:
    """A block's titles, and words that are about the table or drawing that follows them."""
    pieces = [piece for piece in article if height(piece)]
    first = len(list(takewhile(is_title, pieces)))
    match pieces[first : first + 2]:
        case [words, about] if words.tag == "p" or words.get("class") == "hand":
            first += about.tag in ("table", "figure") or in_columns(about)
    return pieces[:first]


def rows_of(element: Element) -> Iterator[tuple[Element, float]]:
    """What a list or a table may be parted between: items, rows, or bodies of rows that belong
    together."""
    if element.tag == "ul":
        yield from ((item, height(item, parent=named(element))) for item in element)
        return
    columns, bodies = columns_of(element), element.findall("tbody")
    whole = holder_of(element) is element
    for each in bodies if whole else bodies[0]:
        rows = list(each) if whole else [each]
        yield each, rows_height(rows, columns, "tbody")


def head_height(table: Element) -> float:
    """How high the head of a table is in mm, which is printed again wherever it goes on; a list has
    none."""
    return rows_height(table.findall("thead/tr"), columns_of(table), "thead")


def holder_of(element: Element) -> Element:
    """What holds the rows of a table or the items of a list; the table itself where its bodies hold
    rows that belong together."""
    bodies = element.findall("tbody")
    together = len(bodies) > 1 or element.find("tbody//*[@rowspan]") is not None
    return element if together or not bodies else bodies[0]
