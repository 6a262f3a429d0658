"""Where a chisel or bit goes down along a mortise."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from math import ceil, floor

from msgspec import Struct

from setupsheets.joinery.members.parts import Mortise
from setupsheets.lengths import Length

ZERO = Length.ZERO
OVERLAP = Fraction(1, 4)  # of the tool's width, at least: common practice, no source


class Plunges(Struct, frozen=True):
    """Centres of the tool along a mortise, from the part's datum, in the order to do them: both
    ``ends``, what lies ``between``, and last the ``webs`` that holes beside each other leave."""

    ends: tuple[Length, ...]
    between: tuple[Length, ...] = ()
    webs: tuple[Length, ...] = ()


def plunges(mortise: Mortise, tool: Length, drilled: bool = False) -> Plunges:
    """Where a tool so wide along the mortise goes down.

    The ends come first so that each of the two has wood on all four sides, and the tool does not
    lean. A chisel then goes down evenly between, over each place by a quarter of its width or more.
    A drill would run off into the hole beside it: its holes stand a diameter apart or a little
    more, and the webs between them are bored out last, each with its wood the same on both sides
    (common practice, no source). Raises ValueError for a tool that is longer than the mortise.
    """
    run = mortise.end - mortise.start - tool
    if run < ZERO:
        raise ValueError("the tool is longer than the mortise")
    first, last = mortise.start + tool / 2, mortise.end - tool / 2
    if not run:
        return Plunges((first,))
    steps = max(1, floor(run / tool)) if drilled else ceil(run / (tool * (1 - OVERLAP)))
    between = tuple(first + run * Fraction(step, steps) for step in range(1, steps))
    webs = tuple(_webs(first, run, steps)) if drilled and run >= tool else ()
    return Plunges((first, last), between, webs)


def _webs(first: Length, run: Length, steps: int) -> Iterator[Length]:
    """The middles between holes that stand next to each other."""
    return (first + run * Fraction(2 * step + 1, 2 * steps) for step in range(steps))
