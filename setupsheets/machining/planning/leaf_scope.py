"""The names of work on the whole leaf: glue-up, hanging, glazing. See `shop.formula_names`."""

from __future__ import annotations

from collections.abc import Mapping

from setupsheets.formulas import Value
from setupsheets.joinery.fits.dry_fit import diagonal
from setupsheets.joinery.frame.layout import Layout, bars_in
from setupsheets.joinery.frame.opening import bevel_loss, far_gap, hinge_recess
from setupsheets.joinery.members.panes import clearance_of
from setupsheets.lengths import Length
from setupsheets.shop.jobs import Fill, Hinges, Lock, Meeting, Opening

ZERO = Length.ZERO


def leaf_names(layout: Layout) -> Mapping[str, Value]:
    """A leaf, its opening, hinges, lock and glazing; nought, or not so, what the job leaves out."""
    job, thick = layout.job, layout.stile.thickness
    fills = {field.fill for field in job.fields}
    names: dict[str, Value] = {
        "leaf.width": job.size.width,
        "leaf.height": job.size.height,
        "leaf.diagonal": diagonal(job.size),
        "leaf.horn": job.stiles.horn,
        "leaf.bars": any(map(bars_in, job.fields)),
        "leaf.panels": Fill.GROOVED_PANEL in fills,
        "leaf.glass": Fill.GLASS in fills,
        "leaf.wedged": layout.wedged,
        "glazing.bedding": job.glazing.bedding,
        "glazing.clearance": clearance_of(
            layout, Fill.GLASS if Fill.GLASS in fills else Fill.PANEL
        ),
    }
    return (
        names
        | _opening(job.opening, thick)
        | _hinges(job.hinges, job.opening)
        | _lock(job.lock, thick)
    )


def _opening(opening: Opening | None, thick: Length) -> dict[str, Value]:
    gaps = opening.clearances if opening else None
    covered = opening is not None and opening.pair in (Meeting.ASTRAGAL, Meeting.STRIP)
    return {
        "opening.known": opening is not None,
        "opening.top": gaps.top if gaps else ZERO,
        "opening.hinge": gaps.hinge if gaps else ZERO,
        "opening.leading": far_gap(opening) if opening else ZERO,
        "opening.bottom": gaps.bottom if gaps else ZERO,
        "opening.strip_width": opening.strip_width if opening and covered else ZERO,
        "opening.strip_thickness": opening.strip_thickness if opening and covered else ZERO,
        "opening.hinge_bevel": bevel_loss(thick, opening.hinge_bevel) if opening else ZERO,
        "opening.lock_bevel": bevel_loss(thick, opening.lock_bevel) if opening else ZERO,
    }


def _hinges(hinges: Hinges | None, opening: Opening | None) -> dict[str, Value]:
    length = hinges.length if hinges else ZERO
    top, bottom = (hinges.from_top, hinges.from_bottom) if hinges else (ZERO, ZERO)
    return {
        "hinge.length": length,
        "hinge.recess": hinge_recess(hinges, opening) if hinges else ZERO,
        "hinge.from_top": length if top is None else top,
        "hinge.from_bottom": length if bottom is None else bottom,
    }


def _lock(lock: Lock | None, thick: Length) -> dict[str, Value]:
    return {
        "lock.low": lock.above - lock.height / 2 if lock else ZERO,
        "lock.high": lock.above + lock.height / 2 if lock else ZERO,
        "lock.depth": lock.depth if lock else ZERO,
        "lock.thickness": lock.thickness if lock else ZERO,
        "lock.wall": (thick - lock.thickness) / 2 if lock else ZERO,
    }
