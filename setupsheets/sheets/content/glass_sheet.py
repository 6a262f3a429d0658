"""The glazier's order, panels and beads."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from setupsheets.joinery.members.glass import OrderLine
from setupsheets.joinery.members.parts import Bead, Pane
from setupsheets.joinery.stock.bead_boards import BeadBoard
from setupsheets.lengths import Notation
from setupsheets.sheets.content.finished_parts import PartsBlock, Table
from setupsheets.shop.jobs import Fill
from setupsheets.shop.settings import CUT_TOLERANCE
from setupsheets.shop.shop_terms import in_shop_terms
from setupsheets.wording.figures import area, bead_board_words, glaziers_size
from setupsheets.wording.lists import listed


def glass_block(
    order: Sequence[OrderLine], panes: Sequence[Pane], notes: Sequence[str], notation: Notation
) -> PartsBlock:
    """Glass by size, with what the rules on safety glazing make one ask."""
    glass = [line for line in order if line.fill is Fill.GLASS]
    all_of_it = area(sum(float(line.square_metres) for line in glass), notation)
    total = (f"glass, all together: {all_of_it}",)
    allowed = f"± {notation.small(in_shop_terms(CUT_TOLERANCE, notation.unit), down=True)}"
    return PartsBlock(
        "glass-order",
        "Glass to order",
        "Safety glazing as the local code says, ordered from a qualified glazier. Measure the made"
        " openings before the glass is cut. Sizes are rounded down to the mark that glass is cut"
        " to.",
        table=_table(
            "Width × height to order", "Tolerance", lambda _: allowed, glass, panes, notation
        ),
        notes=(*(total if glass else ()), *notes),
    )


def panel_block(
    order: Sequence[OrderLine], panes: Sequence[Pane], notation: Notation
) -> PartsBlock:
    """Panels to make, the grain upright."""
    panels = [line for line in order if line.fill is not Fill.GLASS]
    table = _table("Width × height", "What", lambda line: str(line.fill), panels, panes, notation)
    return PartsBlock("panels", "Panels to make, grain upright", table=table)


def _table(
    size: str,
    more: str,
    told: Callable[[OrderLine], str],
    order: Sequence[OrderLine],
    panes: Sequence[Pane],
    notation: Notation,
) -> Table:
    """A line for each size, with ``more`` that is ``told`` of it, and the opening it is for."""
    return Table(
        ("How many", size, "Thick", more, "Opening", "Field"),
        tuple(
            (
                str(line.count),
                _size(line, notation),
                notation.show(line.thickness),
                told(line),
                _opening(line, panes, notation),
                listed(str(each) for each in dict.fromkeys(line.fields)),
            )
            for line in order
        ),
        (0,),
    )


def _size(line: OrderLine, notation: Notation) -> str:
    if line.fill is Fill.GLASS:
        return " × ".join(glaziers_size(each, notation) for each in (line.width, line.height))
    return f"{notation.show(line.width)} × {notation.show(line.height)}"


def _opening(line: OrderLine, panes: Iterable[Pane], notation: Notation) -> str:
    """Between rebates, or the bottoms of the grooves."""
    pane = pane_of(line, panes)
    return f"{notation.show(pane.opening_width)} × {notation.show(pane.opening_height)}"


def pane_of(line: OrderLine, panes: Iterable[Pane]) -> Pane:
    """The first pane that a line of the order is for."""
    return next(
        each
        for each in panes
        if (each.fill, each.width, each.height, each.thickness)
        == (line.fill, line.width, line.height, line.thickness)
    )


def bead_block(
    beads: Sequence[Bead], boards: Sequence[BeadBoard], notation: Notation
) -> PartsBlock:
    """Beads by length, mitred at both ends, and the boards that they are ripped off."""
    return PartsBlock(
        "beads",
        "Beads, mitred",
        table=Table(
            ("Field", "How many", "Long side", "Width × depth"),
            tuple(
                (
                    str(bead.field),
                    str(bead.count),
                    notation.show(bead.length),
                    f"{notation.show(bead.width)} × {notation.show(bead.depth)}",
                )
                for bead in beads
            ),
            (0, 1),
        ),
        notes=tuple(bead_board_words(each, notation) for each in boards),
    )
