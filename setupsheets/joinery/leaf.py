"""One leaf of a job from its design to all that a maker wants to know of it. Open this first.

`lay_out` places rails and bars (`frame/`), `work_out` makes parts, mortises, panes and beads of
that (`members/`), and `whole` adds what surrounds them: fits (`fits/`), boards, weight and seasons
(`stock/`). Each is done once for a job; what comes later carries what came before.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum

from msgspec import Struct
from msgspec.structs import replace

from setupsheets.files.known_results import once_known
from setupsheets.joinery.fits.dry_fit import DryFitCheck, expected
from setupsheets.joinery.fits.rules_of_thumb import joint_notes
from setupsheets.joinery.fits.tolerance_stacks import ToleranceStack, fit_notes, fits
from setupsheets.joinery.frame.design_faults import layout_faults, part_faults
from setupsheets.joinery.frame.design_notes import design_notes
from setupsheets.joinery.frame.layout import lay_out, reference_faults
from setupsheets.joinery.frame.lights import as_lights
from setupsheets.joinery.frame.opening import Fitting, fitting
from setupsheets.joinery.members.elevation import Elevation, elevation
from setupsheets.joinery.members.glass import OrderLine, order, order_notes, safety_notes
from setupsheets.joinery.members.grouping import grouped
from setupsheets.joinery.members.panes import beads as beads_of
from setupsheets.joinery.members.panes import panes
from setupsheets.joinery.members.parts import Joinery
from setupsheets.joinery.members.pieces import pieces
from setupsheets.joinery.members.stick import Spacers, Stick, spacers, sticks
from setupsheets.joinery.notes import DesignFault, DesignFaults, Note, note, refuse
from setupsheets.joinery.stock.bead_boards import BeadBoard, bead_boards
from setupsheets.joinery.stock.cutlist import (
    BoardNeed,
    CutRow,
    TestPieces,
    boards,
    cut_list,
    panel_notes,
    scarf_notes,
)
from setupsheets.joinery.stock.packing import TooLong
from setupsheets.joinery.stock.seasons import (
    Moistures,
    SeasonalMovement,
    moistures,
    moves,
    season_notes,
)
from setupsheets.joinery.stock.weights import Weight, weigh, weight_notes
from setupsheets.lengths import Length, Unit
from setupsheets.shop.jobs import Fill, Job
from setupsheets.shop.sections import Section
from setupsheets.shop.settings import Tolerances
from setupsheets.shop.timbers import Timber


def work_out(job: Job, sections: Mapping[str, Section], finest: Length) -> Joinery:
    """Parts, mortises, panes and beads of a job's rectangular leaf, counted over all its leaves.

    ``sections`` by name hold those that the job names; ``finest`` is the mark that lights should
    fall on. Raises DesignFaults with all that is wrong with the design.
    """
    refuse(job, reference_faults(job, sections))
    layout = lay_out(job, sections)
    refuse(job, layout_faults(layout))
    parts, mortises, halvings, haunches = grouped(pieces(layout), job.count)
    refuse(job, part_faults(layout, parts))
    lights = tuple(
        as_lights(division, finest)
        for division in layout.divisions
        if job.fields[division.field - 1].fill is not Fill.GROOVED_PANEL
    )
    joinery = Joinery(
        layout=layout,
        parts=parts,
        mortises=mortises,
        panes=tuple(panes(layout)),
        beads=tuple(beads_of(layout)),
        lights=lights,
        halvings=halvings,
        haunches=haunches,
    )
    notes = [*design_notes(layout, lights), *joint_notes(layout, joinery)]
    return replace(joinery, notes=tuple(dict.fromkeys(notes)))


class About(StrEnum):
    """What a note is about."""

    JOINERY = "joinery"
    GLASS = "glass"
    FITS = "fits"
    TIMBER = "timber"
    BOARDS = "boards"


class Whole(Struct, frozen=True):
    """Everything that a job comes to. What it does not give the means for is None or empty:
    ``fitting`` without an opening, ``needs`` without stock, ``moved`` without seasons."""

    joinery: Joinery
    elevation: Elevation
    fitting: Fitting | None
    sticks: tuple[Stick, ...]
    spacers: tuple[Spacers, ...]
    order: tuple[OrderLine, ...]
    rows: tuple[CutRow, ...]
    bead_boards: tuple[BeadBoard, ...]
    needs: tuple[BoardNeed, ...]
    stacks: tuple[ToleranceStack, ...]
    dry_fit: tuple[DryFitCheck, ...]
    moistures: Moistures | None
    moved: tuple[SeasonalMovement, ...]
    weight: Weight | None
    notes: Mapping[About, tuple[Note, ...]]


@once_known(most=32)
def whole(
    joinery: Joinery,
    timber: Timber,
    finest: Length,
    unit: Unit,
    tests: Mapping[str, TestPieces] | None = None,
    tolerances: Tolerances | None = None,
    first_longer: Length = Length.ZERO,
) -> Whole:
    """All that surrounds a job's joinery; marks of sticks and blocks fall on the ``finest`` mark.

    ``tests`` are test pieces to get out, by part, and ``first_longer`` how much longer first blanks
    are left. Raises DesignFaults for seasons that the
    moisture equation is not for and for boards that are too short.
    """
    layout, job = joinery.layout, joinery.layout.job
    beads = bead_boards(joinery, job.stock.kerf if job.stock else None, finest, unit)
    rows = cut_list(job, joinery, unit, tests or {}, first_longer, beads)
    needs, found = _boards(job, rows, finest, unit), _moistures(job)
    moved = moves(layout, joinery, timber, found) if found else ()
    weight, stacks = weigh(job, joinery, timber), fits(layout, joinery, tolerances)
    dry = season_notes(found, moved) if found else ()
    panels = panel_notes(rows, finest, unit, job.inputs.get("board")) if needs else ()
    given = job.hinges.count if job.hinges else None
    heavy = weight_notes(weight, job.size.height, given) if weight else ()
    return Whole(
        joinery=joinery,
        elevation=elevation(layout),
        fitting=fitting(job.opening, layout.stile.thickness) if job.opening else None,
        sticks=sticks(joinery, finest, job.lock),
        spacers=spacers(layout, finest),
        order=order(joinery, unit),
        rows=rows,
        bead_boards=beads,
        needs=needs,
        stacks=stacks,
        dry_fit=expected(layout, unit),
        moistures=found,
        moved=moved,
        weight=weight,
        notes={
            About.JOINERY: joinery.notes,
            About.GLASS: (*order_notes(layout, unit), *safety_notes(layout)),
            About.FITS: tuple(fit_notes(stacks)),
            About.TIMBER: (*dry, *heavy),
            About.BOARDS: (*scarf_notes(needs), *panels),
        },
    )


def _boards(
    job: Job, rows: tuple[CutRow, ...], finest: Length, unit: Unit
) -> tuple[BoardNeed, ...]:
    if job.stock is None:
        return ()
    try:
        return boards(rows, job.stock, finest, unit, job.inputs.get("board"))
    except TooLong as error:
        kind, at = DesignFault.BOARDS_TOO_SHORT, ("stock", "lengths")
        raise DesignFaults(job, [note(kind, *at, part=error.name, longest=error.longest)]) from None


def _moistures(job: Job) -> Moistures | None:
    if job.seasons is None:
        return None
    try:
        found = moistures(job.seasons)
    except ValueError:
        raise DesignFaults(job, [note(DesignFault.AIR_OUT_OF_RANGE, "seasons")]) from None
    if found.dry > found.damp:
        kind, at = DesignFault.DRY_AIR_IS_DAMPER, ("seasons", "dry")
        raise DesignFaults(job, [note(kind, *at, dry=found.dry, damp=found.damp)])
    return found
