"""Where a chisel or bit goes down along a mortise."""

from __future__ import annotations

from fractions import Fraction
from math import ceil

from setupsheets.joinery.members.parts import Mortise
from setupsheets.lengths import Length

OVERLAP = Fraction(1, 4)  # of the tool's width, at least: common practice, no source


def plunges(mortise: Mortise, tool: Length, overlap: Fraction = OVERLAP) -> tuple[Length, ...]:
    """Centres of the tool from the part's datum, both ends first, then the rest evenly between.

    ``tool`` is the width of the chisel along the mortise, or the bit's diameter. The ends come
    first so that each of the two has wood on all four sides, and the tool does not lean. Neighbours
    overlap by ``overlap`` of the tool's width or more. Raises ValueError for a tool that is longer
    than the mortise.
    """
    run = mortise.end - mortise.start - tool
    if run < Length.ZERO:
        raise ValueError("the tool is longer than the mortise")
    first, last = mortise.start + tool / 2, mortise.end - tool / 2
    if not run:
        return (first,)
    steps = ceil(run / (tool * (1 - overlap)))
    between = (first + run * Fraction(step, steps) for step in range(1, steps))
    return (first, last, *between)
