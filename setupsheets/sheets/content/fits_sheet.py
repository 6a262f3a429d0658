"""The dry fit with its boxes, and how every joint may come out."""

from __future__ import annotations

from collections.abc import Sequence

from setupsheets.joinery.fits.dry_fit import DryFitCheck
from setupsheets.joinery.fits.tolerance_stacks import ToleranceStack, alike
from setupsheets.lengths import Length, Notation
from setupsheets.sheets.content.finished_parts import PartsBlock, Table
from setupsheets.shop.jobs import Job
from setupsheets.wording.figures import percent
from setupsheets.wording.joinery_notes import WHERE_TO_LOOK
from setupsheets.wording.lists import listed

MOST_BOXES = 6


def dry_fit_block(found: Sequence[DryFitCheck], job: Job, notation: Notation) -> PartsBlock:
    """What to measure on the leaf put together without glue, boxes to write in, and where to look
    when a reading is out."""
    leaves = min(job.count, MOST_BOXES)
    boxes = ("found",) if leaves < 2 else tuple(f"leaf {number}" for number in range(1, leaves + 1))
    sorts = dict.fromkeys(each.sort for each in found)
    kept = f"Keep the readings: setupsheets log {job.name} dry-fit"
    if job.count > leaves:
        kept += f". Boxes for {leaves} of the {job.count} leaves, the others on the back"
    return PartsBlock(
        "dry-fit",
        "What to measure before glue",
        kept,
        table=Table(
            ("Measure", "Should be", "Within", *boxes),
            tuple(
                (
                    each.name,
                    notation.mark(each.size),
                    _within(each.tolerance, notation),
                    *("" for _ in boxes),
                )
                for each in found
            ),
            boxes=3,
        ),
        notes=tuple(WHERE_TO_LOOK[sort] for sort in sorts),
    )


def _within(allowed: Length, notation: Notation) -> str:
    return f"± {notation.small(allowed, down=True)}"


def fits_block(
    stacks: Sequence[ToleranceStack],
    joints: frozenset[str],
    notes: Sequence[str],
    notation: Notation,
) -> PartsBlock:
    """Every fit with its spread, worst case and likely, the settings that make most of it first;
    parts for which it is the same stand in one row. ``joints`` are all parts that have ends."""
    return PartsBlock(
        "fits",
        "How the joints may come out",
        "With every setting inside its own tolerance. Likely: errors that are independent and"
        " centred, by their squares. At worst: all of them at their limit the same way.",
        table=Table(
            ("Fit", "Of", "Aimed at", "Likely", "At worst", "Most of it from"),
            tuple(_fit_row(group, joints, notation) for group in alike(stacks)),
        ),
        notes=tuple(notes),
    )


def _fit_row(
    group: Sequence[ToleranceStack], joints: frozenset[str], notation: Notation
) -> tuple[str, ...]:
    stack = group[0]
    named = [each.of for each in group]
    every = len(joints) > 2 and set(named) == joints
    first = ", ".join(f"{each.setting} {percent(share)}" for each, share in stack.ranked[:2])
    return (
        stack.fit,
        "every rail and bar" if every else listed(named),
        "0" if stack.aim == Length.ZERO else notation.show(stack.aim),
        f"± {notation.small(stack.statistical)}",
        f"± {notation.small(stack.worst)}",
        first,
    )
