"""Cut list and glass order as values, for a timber yard's or a glazier's own spreadsheet."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from msgspec import Struct
from msgspec.structs import replace

from setupsheets.joinery.leaf import Whole
from setupsheets.joinery.members.glass import OrderLine
from setupsheets.joinery.members.parts import Pane
from setupsheets.joinery.stock.cutlist import CutRow, RowKind
from setupsheets.lengths import Length, Notation
from setupsheets.lengths.grammar import MM_PER
from setupsheets.sheets.content.glass_sheet import pane_of
from setupsheets.shop.jobs import Fill
from setupsheets.shop.settings import CUT_TOLERANCE
from setupsheets.shop.shop_terms import in_shop_terms
from setupsheets.wording.figures import glaziers_mark
from setupsheets.wording.lists import listed

Cell = str | int | Fraction
_PLACES = 6  # a 64th of an inch has so many
_SIDES = ("length", "width", "thickness")


class OrderTable(Struct, frozen=True):
    """Headings and rows of values: words, counts, and lengths as numbers of the shop's unit to six
    decimal places. ``name`` is for a file, ``title`` for people."""

    name: str
    title: str
    headings: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]


def order_tables(found: Whole, timber: str, notation: Notation) -> tuple[OrderTable, ...]:
    """The cut list of a job in ``timber``, and the glass to order where it has any."""
    cut_list = _cut_list(found.rows, timber, notation)
    glass = [line for line in found.order if line.fill is Fill.GLASS]
    return (cut_list, _glass(glass, found.joinery.panes, notation)) if glass else (cut_list,)


def _cut_list(rows: Sequence[CutRow], timber: str, notation: Notation) -> OrderTable:
    """The first blank of a part, which is left longer, has a row of its own."""
    sizes = [f"{state} {side}" for state in ("Finished", "Rough") for side in _SIDES]
    return OrderTable(
        "cut-list",
        "Cut list",
        (
            *("Piece", "What for", "How many", "Timber", "Grain", "Board, rough width × thickness"),
            *(heading for size in sizes for heading in _headings(size, notation)),
        ),
        tuple(
            (
                *(each.name, what_for, each.count, timber, _grain(each)),
                f"{notation.show(each.rough.width)} × {notation.show(each.rough.thickness)}",
                *(
                    cell
                    for size in (each.finished, each.rough)
                    for length in (size.length, size.width, size.thickness)
                    for cell in _cells(length, notation)
                ),
            )
            for row in rows
            for each, what_for in _first_apart(row)
        ),
    )


def _first_apart(row: CutRow) -> Iterator[tuple[CutRow, str]]:
    """A row with what it is for, its first blank before the rest as long as it is got out."""
    rest = row.count
    if row.first_longer:
        rough = replace(row.rough, length=row.rough.length + row.first_longer)
        yield replace(row, name=f"{row.name}, first", count=1, rough=rough), "first blank"
        rest -= 1
    if rest:
        yield replace(row, count=rest), str(row.kind)


def _grain(row: CutRow) -> str:
    """Every piece has its grain along its length; a panel's stands upright (`stock/cutlist.py`)."""
    return "along the length" + (", upright in the leaf" if row.kind is RowKind.PANEL else "")


def _glass(order: Sequence[OrderLine], panes: Sequence[Pane], notation: Notation) -> OrderTable:
    """Sizes rounded down to the mark that glass is cut to, as on the sheet."""
    sizes = ("Width to order", "Height to order", "Thickness", "Opening width", "Opening height")
    allowed = in_shop_terms(CUT_TOLERANCE, notation.unit)
    rows: list[tuple[Cell, ...]] = []
    for line in order:
        pane = pane_of(line, panes)
        lengths = (
            *(glaziers_mark(size, notation) for size in (line.width, line.height)),
            *(line.thickness, pane.opening_width, pane.opening_height),
        )
        cells: list[Cell] = [cell for each in lengths for cell in _cells(each, notation)]
        cells += [_number(allowed, notation), notation.small(allowed, down=True)]
        fields = listed(str(each) for each in dict.fromkeys(line.fields))
        rows.append((line.count, *cells, fields))
    headings = (each for size in (*sizes, "Tolerance ±") for each in _headings(size, notation))
    title = "Glass to order"
    return OrderTable("glass-order", title, ("How many", *headings, "Field"), tuple(rows))


def _headings(size: str, notation: Notation) -> tuple[str, str]:
    return f"{size} ({notation.unit})", f"{size}, as written"


def _cells(length: Length, notation: Notation) -> tuple[Cell, Cell]:
    return _number(length, notation), notation.show(length)


def _number(length: Length, notation: Notation) -> Fraction:
    return round(length.mm / MM_PER[notation.unit], _PLACES)
