"""The whole leaf at once: all that the parts sheet shows, from a job and what the shop knows."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from setupsheets.files.faults import DataFaults
from setupsheets.joinery.fits.dry_fit import DryFitCheck, expected
from setupsheets.joinery.fits.tolerance_stacks import ToleranceStack, fit_notes, fits
from setupsheets.joinery.frame.elevation import Elevation, elevation
from setupsheets.joinery.frame.layout import Layout, lay_out
from setupsheets.joinery.frame.opening import Fitting, fitting
from setupsheets.joinery.members.glass import OrderLine, order, order_notes, safety_notes
from setupsheets.joinery.members.parts import Joinery
from setupsheets.joinery.members.stick import Spacers, Stick, spacers, sticks
from setupsheets.joinery.stock.cutlist import (
    BoardNeed,
    CutRow,
    bead_strip,
    boards,
    cut_list,
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
from setupsheets.joinery.work_out import work_out
from setupsheets.lengths import Length, Notation
from setupsheets.shop.jobs import Job
from setupsheets.shop.sections import Section
from setupsheets.shop.timbers import Timber
from setupsheets.shop.tolerances import Tolerances


@dataclass(frozen=True)
class Whole:
    """Everything that a job comes to. What it does not give the means for is None or empty:
    ``fitting`` without an opening, ``needs`` without stock, ``moved`` without seasons. ``notes``
    are of the joinery, glass, fits, timber and boards, in that order, by those names."""

    joinery: Joinery
    elevation: Elevation
    fitting: Fitting | None
    sticks: tuple[Stick, ...]
    spacers: tuple[Spacers, ...]
    order: tuple[OrderLine, ...]
    rows: tuple[CutRow, ...]
    bead_strip: Length
    needs: tuple[BoardNeed, ...]
    stacks: tuple[ToleranceStack, ...]
    dry_fit: tuple[DryFitCheck, ...]
    moistures: Moistures | None
    moved: tuple[SeasonalMovement, ...]
    weight: Weight | None
    notes: Mapping[str, tuple[str, ...]]


def whole(
    job: Job,
    sections: Mapping[str, Section],
    timber: Timber,
    notation: Notation,
    tests: Mapping[str, int] | None = None,
    tolerances: Tolerances | None = None,
) -> Whole:
    """The job worked out, and all that surrounds it.

    ``tests`` are test pieces to get out, by part. Raises DataFaults as `work_out` does, and for
    seasons that the moisture equation is not for or boards that are too short.
    """
    joinery = work_out(job, sections, notation)
    layout = lay_out(job, sections)
    rows = cut_list(job, joinery, tests or {})
    needs = _boards(job, rows, notation)
    found = _moistures(job)
    moved = moves(layout, joinery, timber, found) if found else ()
    weight, stacks = weigh(job, joinery, timber), fits(layout, joinery, tolerances)
    return Whole(
        joinery=joinery,
        elevation=elevation(layout),
        fitting=fitting(job.opening, layout.stile.thickness, notation) if job.opening else None,
        sticks=sticks(joinery, notation, job.lock),
        spacers=spacers(layout, notation),
        order=order(joinery),
        rows=rows,
        bead_strip=bead_strip(joinery, job.stock.kerf if job.stock else Length.ZERO),
        needs=needs,
        stacks=stacks,
        dry_fit=expected(layout),
        moistures=found,
        moved=moved,
        weight=weight,
        notes={
            "joinery": joinery.notes,
            "glass": tuple(_glass_notes(layout, notation)),
            "fits": tuple(fit_notes(stacks, notation)),
            "timber": tuple(_timber_notes(job, found, moved, weight, notation)),
            "boards": tuple(scarf_notes(needs, notation)),
        },
    )


def _boards(job: Job, rows: tuple[CutRow, ...], notation: Notation) -> tuple[BoardNeed, ...]:
    if job.stock is None:
        return ()
    try:
        return boards(rows, job.stock)
    except TooLong as error:
        message = (
            f"no board is long enough for the {error.name}, nor two scarfed together: at most "
            f"{notation.show(error.longest)} can be cut; give longer boards"
        )
        raise DataFaults([job.marks.fault(message, "stock", "lengths")]) from None


def _moistures(job: Job) -> Moistures | None:
    if job.seasons is None:
        return None
    try:
        return moistures(job.seasons)
    except ValueError as error:
        raise DataFaults([job.marks.fault(str(error), "seasons")]) from None


def _glass_notes(layout: Layout, notation: Notation) -> Iterator[str]:
    yield from order_notes(layout, notation)
    yield from safety_notes(layout, notation)


def _timber_notes(
    job: Job,
    found: Moistures | None,
    moved: tuple[SeasonalMovement, ...],
    weight: Weight | None,
    notation: Notation,
) -> Iterator[str]:
    if found:
        yield from season_notes(found, moved, notation)
    if weight:
        yield from weight_notes(weight, job.size.height)
