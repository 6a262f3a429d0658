"""The dry fit: what to measure on a leaf put together without glue, and what a reading tells."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from enum import StrEnum
from itertools import pairwise

from msgspec import Struct

from setupsheets.joinery.frame.layout import Layout, bars_in
from setupsheets.joinery.frame.lights import COLUMNS, ROWS, Division
from setupsheets.joinery.notes import Note, NoteKind, note
from setupsheets.lengths import Length, Unit
from setupsheets.shop.jobs import Job, Leaf
from setupsheets.shop.shop_terms import in_shop_terms

ZERO = Length.ZERO
OUT_OF_SQUARE = Length("1/8 in")  # between diagonals: Architectural Woodwork Standards, 2009
OUT_OF_SIZE = Length("1/16 in")  # of a leaf's width or height: the same
OUT_OF_PLACE = Length("1/32 in")  # of a bar: common practice, no source


class Sort(StrEnum):
    """What a reading of the dry fit is for."""

    DIAGONAL = "diagonal"
    WIDTH = "width"
    HEIGHT = "height"
    SPACING = "spacing"


class DryFitCheck(Struct, frozen=True):
    """One thing to measure: its exact size and how far out it may be."""

    name: str
    sort: Sort
    size: Length
    tolerance: Length


def diagonal(size: Leaf) -> Length:
    """From corner to corner of a leaf: plane geometry, rounded to 0.001 mm."""
    return Length.from_float(math.hypot(float(size.width.mm), float(size.height.mm)), 3)


def expected(layout: Layout, unit: Unit) -> tuple[DryFitCheck, ...]:
    """Diagonals, sizes at three places, and every spacing of bars on the face, each with how far
    out it may be as a shop of that ``unit`` says it.

    The diagonal is that of the leaf between its corners, horns left out. Rails carry the stiles
    apart, so a width is measured at each rail.
    """
    size = layout.job.size
    across, square = diagonal(size), in_shop_terms(OUT_OF_SQUARE, unit)
    within, placed = in_shop_terms(OUT_OF_SIZE, unit), in_shop_terms(OUT_OF_PLACE, unit)
    return (
        DryFitCheck("diagonal from lower left", Sort.DIAGONAL, across, square),
        DryFitCheck("diagonal from lower right", Sort.DIAGONAL, across, square),
        *(
            DryFitCheck(f"width at the {rail.name}", Sort.WIDTH, size.width, within)
            for rail in layout.job.rails
        ),
        DryFitCheck("height over the rails at the left", Sort.HEIGHT, size.height, within),
        DryFitCheck("height over the rails at the right", Sort.HEIGHT, size.height, within),
        *(
            DryFitCheck(name, Sort.SPACING, span, placed)
            for each in layout.divisions
            if each.bars
            for name, span in _spacings(each)
        ),
    )


def _spacings(division: Division) -> Iterator[tuple[str, Length]]:
    """Names and sight sizes of the lights in order from the lower or left one."""
    way = "row" if division.direction == ROWS else "column"
    for place, span in enumerate(division.spans, start=1):
        yield f"field {division.field}, {way} {place}", span


def skew(width: Length, first: Length, second: Length) -> Length:
    """How far the top stands to the right of the bottom, from the diagonal that rises to the right
    and the other one: (d1^2 - d2^2) / (4 w), plane geometry of a parallelogram, exact."""
    return (first - second) * ((first + second) / width) / 4


def findings(layout: Layout, found: Mapping[str, Length], unit: Unit) -> tuple[Note, ...]:
    """What is out, by how much, and which part to look at first; nothing where all is in.

    ``found`` has readings by the names of ``expected`` in that ``unit``; those that were not taken
    are passed over. Raises KeyError for a name that is not among them.
    """
    wanted = {each.name: each for each in expected(layout, unit)}
    over = {name: reading - wanted[name].size for name, reading in found.items()}
    out = {name: by for name, by in over.items() if abs(by) > wanted[name].tolerance}

    def of(sort: Sort, names: Mapping[str, Length]) -> dict[str, Length]:
        return {name: by for name, by in names.items() if wanted[name].sort is sort}

    return (
        *_square(layout, found, in_shop_terms(OUT_OF_SQUARE, unit)),
        *_widths(of(Sort.WIDTH, over), of(Sort.WIDTH, out), in_shop_terms(OUT_OF_PLACE, unit)),
        *(
            note(NoteKind.HEIGHT_OUT, place=name, by=by)
            for name, by in sorted(of(Sort.HEIGHT, out).items())
        ),
        *_places(layout, of(Sort.SPACING, out)),
    )


def _square(layout: Layout, found: Mapping[str, Length], allowed: Length) -> Iterator[Note]:
    rising, falling = (found.get(f"diagonal from lower {side}") for side in ("left", "right"))
    if rising is None or falling is None or abs(rising - falling) <= allowed:
        return
    yield note(
        NoteKind.OUT_OF_SQUARE,
        by=abs(rising - falling),
        allowed=allowed,
        lean=skew(layout.job.size.width, rising, falling),
        rising=rising > falling,
    )


def _widths(over: Mapping[str, Length], out: Mapping[str, Length], alike: Length) -> Iterator[Note]:
    """All widths out alike are one setting; one of them out is that rail's own shoulders."""
    errors = list(over.values())
    if out and len(errors) > 1 and max(errors) - min(errors) <= alike:
        yield note(NoteKind.WIDTH_OUT_AT_EVERY_RAIL, by=sum(errors, ZERO) / len(errors))
        return
    for name, by in sorted(out.items()):
        yield note(NoteKind.WIDTH_OUT_AT_ONE_RAIL, place=name, by=by)


def _places(layout: Layout, out: Mapping[str, Length]) -> Iterator[Note]:
    """A light too large beside one too small is the bar between them; one alone is not."""
    for division in layout.divisions:
        names = [name for name, _ in _spacings(division)] if division.bars else []
        told: set[str] = set()
        for bar, (low, high) in enumerate(pairwise(names), start=1):
            if {low, high} <= set(out) - told and (out[low] > ZERO) != (out[high] > ZERO):
                told |= {low, high}
                yield _moved(layout.job, division, bar, (out[low] - out[high]) / 2)
        for name in names:
            if name in out and name not in told:
                yield note(NoteKind.LIGHT_OUT_ALONE, place=name, by=out[name])


def _moved(job: Job, division: Division, bar: int, by: Length) -> Note:
    if division.direction != COLUMNS:
        return note(NoteKind.CROSS_BAR_OUT_OF_PLACE, field=division.field, bar=bar, by=by)
    stile = not bars_in(job.fields[division.field - 1])
    kind = NoteKind.UPRIGHT_BAR_OUT_OF_PLACE
    return note(kind, field=division.field, stile=stile, bar=bar, by=by)
