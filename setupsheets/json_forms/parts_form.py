"""`parts --json`: everything that a job's joinery comes to."""

from __future__ import annotations

from typing import Any

from setupsheets.joinery.leaf import Whole
from setupsheets.joinery.members.stick import Spacers
from setupsheets.joinery.stock.cutlist import BoardNeed
from setupsheets.json_forms.document import form
from setupsheets.json_forms.json_values import length, value
from setupsheets.lengths import Notation
from setupsheets.wording.joinery_notes import note_texts


def parts_form(found: Whole, notation: Notation) -> dict[str, Any]:
    """The whole document."""
    joinery, fitting = found.joinery, found.fitting
    job = joinery.layout.job

    def told(item: Any) -> Any:
        return value(item, notation)

    return form(
        "parts",
        job=job.name,
        title=job.title,
        leaf=told(joinery.layout.job.size),
        parts=told(joinery.parts),
        mortises=told(joinery.mortises),
        haunches=told(joinery.haunches),
        halvings=told(joinery.halvings),
        lights=told(joinery.lights),
        panes=told(joinery.panes),
        beads=told(joinery.beads),
        bead_boards=told(found.bead_boards),
        glass_and_panels=told(found.order),
        cut_list=told(found.rows),
        boards=[_boards(need, notation) for need in found.needs],
        sticks=told(found.sticks),
        spacers=[_spacers(each, notation) for each in found.spacers],
        fits=told(found.stacks),
        dry_fit=told(found.dry_fit),
        opening=None
        if fitting is None
        else {
            "edges": told(fitting.edges),
            "swing": told(fitting.swing),
            "least_bevel": told(fitting.least_bevel),
            "notes": note_texts(fitting.notes, notation),
        },
        moisture=told(found.moistures),
        seasons=told(found.moved),
        weight_kg=told(found.weight),
        notes={about.value: note_texts(notes, notation) for about, notes in found.notes.items()},
    )


def _spacers(found: Spacers, notation: Notation) -> dict[str, Any]:
    sizes = [{"size": value(size, notation), "count": count} for size, count in found.blocks]
    return {**value(found, notation), "blocks": sizes}


def _boards(need: BoardNeed, notation: Notation) -> dict[str, Any]:
    """Boards with the pieces that each is cut into, and the test pieces that offcuts give."""
    plain = value(need, notation)
    for board, told in zip(need.packing.boards, plain["packing"]["boards"], strict=True):
        told["pieces"] = [
            {"name": name, "length": length(long, notation.show(long)), "count": count}
            for name, long, count in board.pieces
        ]
    offcuts = [{"name": name, "count": count} for name, count in need.from_offcuts]
    return {**plain, "from_offcuts": offcuts}
