"""The opening, the leaf that comes of it, and what to plane off that to fit it."""

from __future__ import annotations

from setupsheets.joinery.frame.opening import Fitting
from setupsheets.lengths import Notation
from setupsheets.sheets.content.finished_parts import PartsBlock, Table
from setupsheets.shop.jobs import Opening
from setupsheets.wording.doors import opening_words, planing_words
from setupsheets.wording.figures import degrees
from setupsheets.wording.joinery_notes import note_texts


def opening_block(fitting: Fitting, opening: Opening, notation: Notation) -> PartsBlock:
    """The opening, what is left open at each edge, and the leaf that comes of it."""
    show = notation.show
    return PartsBlock(
        "opening",
        "From the opening",
        opening_words(fitting, opening, notation),
        table=Table(
            ("Edge of the leaf", "Left open", "Bevel", "Narrower by, at the other face"),
            tuple(
                (
                    edge.name,
                    show(edge.clearance),
                    degrees(edge.bevel) if edge.bevel else "square",
                    notation.small(edge.loss) if edge.loss else "",
                )
                for edge in fitting.edges
            ),
        ),
        notes=note_texts(fitting.notes, notation),
    )


def planing_block(fitting: Fitting, notation: Notation) -> PartsBlock:
    """What comes off each edge of the leaf as it is fitted, a row to each edge."""
    return PartsBlock(
        "planing",
        "Planed off to fit the opening",
        planing_words(fitting),
        table=Table(
            ("Leaf", "Edge", "At the one end", "At the other end"),
            tuple(
                (
                    each.leaf,
                    each.edge,
                    *(
                        f"{end}: {notation.mark(off)}"
                        for end, off in zip(each.ends, each.off, strict=True)
                    ),
                )
                for each in fitting.planings
            ),
        ),
    )
