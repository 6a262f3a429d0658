"""The dry fit: what to measure on a leaf put together without glue, and what a reading tells."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

from setupsheets.joinery.frame.layout import Layout
from setupsheets.joinery.frame.lights import ROWS, Division
from setupsheets.lengths import Length, Notation

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


@dataclass(frozen=True)
class DryFitCheck:
    """One thing to measure: its exact size and how far out it may be."""

    name: str
    sort: Sort
    size: Length
    tolerance: Length


def expected(layout: Layout) -> tuple[DryFitCheck, ...]:
    """Diagonals, sizes at three places, and every spacing of bars on the face.

    The diagonal is that of the leaf between its corners, horns left out: plane geometry, rounded
    to 0.001 mm. Rails carry the stiles apart, so a width is measured at each rail.
    """
    size = layout.job.size
    root = math.hypot(float(size.width.mm), float(size.height.mm))
    diagonal = Length.from_float(root, 3)
    return (
        DryFitCheck("diagonal from lower left", Sort.DIAGONAL, diagonal, OUT_OF_SQUARE),
        DryFitCheck("diagonal from lower right", Sort.DIAGONAL, diagonal, OUT_OF_SQUARE),
        *(
            DryFitCheck(f"width at the {rail.name}", Sort.WIDTH, size.width, OUT_OF_SIZE)
            for rail in layout.job.rails
        ),
        DryFitCheck("height over the rails at the left", Sort.HEIGHT, size.height, OUT_OF_SIZE),
        DryFitCheck("height over the rails at the right", Sort.HEIGHT, size.height, OUT_OF_SIZE),
        *(spacing for each in layout.divisions if each.bars for spacing in _spacings(each)),
    )


def _spacings(division: Division) -> Iterator[DryFitCheck]:
    """Sight sizes of the lights in order from the lower or left one."""
    way = "row" if division.direction == ROWS else "column"
    for place, span in enumerate(division.spans, start=1):
        name = f"field {division.field}, {way} {place}"
        yield DryFitCheck(name, Sort.SPACING, span, OUT_OF_PLACE)


def skew(width: Length, first: Length, second: Length) -> Length:
    """How far the top stands to the right of the bottom, from the diagonal that rises to the right
    and the other one: (d1^2 - d2^2) / (4 w), plane geometry of a parallelogram, exact."""
    return (first - second) * ((first + second) / width) / 4


def findings(layout: Layout, found: Mapping[str, Length], notation: Notation) -> tuple[str, ...]:
    """What is out, by how much, and which part to look at first; nothing where all is in.

    ``found`` has readings by the names of ``expected``; those that were not taken are passed over.
    Raises KeyError for a name that is not among them.
    """
    wanted = {each.name: each for each in expected(layout)}
    over = {name: reading - wanted[name].size for name, reading in found.items()}
    out = {name for name, by in over.items() if abs(by) > wanted[name].tolerance}
    return (
        *_square(layout, found, notation),
        *_widths(wanted, over, out, notation),
        *_heights(wanted, over, out, notation),
        *_places(layout, over, out, notation),
    )


def _square(layout: Layout, found: Mapping[str, Length], notation: Notation) -> Iterator[str]:
    show = notation.show
    rising, falling = (found.get(f"diagonal from lower {side}") for side in ("left", "right"))
    if rising is None or falling is None or abs(rising - falling) <= OUT_OF_SQUARE:
        return
    lean = skew(layout.job.size.width, rising, falling)
    long = "left" if rising > falling else "right"
    yield (
        f"out of square: the diagonals differ by {show(abs(rising - falling))}, at most "
        f"{show(OUT_OF_SQUARE)} is allowed; the top stands {show(abs(lean))} to the "
        f"{'right' if lean > ZERO else 'left'}: pull the one from lower {long} with a clamp, and "
        "if it springs back look for a shoulder that is not square"
    )


def _of(wanted: Mapping[str, DryFitCheck], sort: Sort, names: Mapping[str, Length]) -> list[str]:
    return [name for name in names if wanted[name].sort is sort]


def _widths(
    wanted: Mapping[str, DryFitCheck], over: Mapping[str, Length], out: set[str], notation: Notation
) -> Iterator[str]:
    """All widths out alike are one setting; one of them out is that rail's own shoulders."""
    show, names = notation.show, _of(wanted, Sort.WIDTH, over)
    if not out.intersection(names):
        return
    errors = [over[name] for name in names]
    if len(names) > 1 and max(errors) - min(errors) <= OUT_OF_PLACE:
        by = sum(errors, ZERO) / len(errors)
        yield (
            f"the leaf is {show(abs(by))} too {'wide' if by > ZERO else 'narrow'} at every rail: "
            "shoulders are not home, or rails and stiles share an error: try the joints one by "
            "one, then measure a stile's width and a rail between its back shoulders"
        )
        return
    for name in sorted(out.intersection(names)):
        by = over[name]
        what = "open shoulders, or a rail that is long" if by > ZERO else "a rail that is short"
        yield (
            f"{name}: {show(abs(by))} too {'wide' if by > ZERO else 'narrow'}: look for {what} "
            "between its back shoulders"
        )


def _heights(
    wanted: Mapping[str, DryFitCheck], over: Mapping[str, Length], out: set[str], notation: Notation
) -> Iterator[str]:
    show = notation.show
    for name in sorted(out.intersection(_of(wanted, Sort.HEIGHT, over))):
        way = "high" if over[name] > ZERO else "low"
        yield (
            f"{name}: {show(abs(over[name]))} too {way}: look at the mortises for the outer rails "
            "in that stile, and at the rails' widths"
        )


def _places(
    layout: Layout, over: Mapping[str, Length], out: set[str], notation: Notation
) -> Iterator[str]:
    """A light too large beside one too small is the bar between them; one alone is not."""
    for division in layout.divisions:
        names = [each.name for each in _spacings(division)] if division.bars else []
        told: set[str] = set()
        for bar, (low, high) in enumerate(pairwise(names), start=1):
            if {low, high} <= out - told and (over[low] > ZERO) != (over[high] > ZERO):
                told |= {low, high}
                yield _moved(division, bar, (over[low] - over[high]) / 2, notation)
        for name in names:
            if name in out - told:
                yield (
                    f"{name}: {notation.show(abs(over[name]))} too "
                    f"{'large' if over[name] > ZERO else 'small'} and no light beside it makes up "
                    "for it: look at the width of the bars beside it and at the rails' places"
                )


def _moved(division: Division, bar: int, by: Length, notation: Notation) -> str:
    rows = division.direction == ROWS
    less, more = ("downward", "upward") if rows else ("to the left", "to the right")
    return (
        f"field {division.field}: {'cross' if rows else 'upright'} bar {bar} stands "
        f"{notation.show(abs(by))} too far {more if by > ZERO else less}: look at the marks of its "
        "mortises, at both ends"
    )
