"""An opening that is out of square: four sides and a diagonal, and what to plane off the leaf.

The leaf is made square, from the greater width and the greater height with what is left on for
fitting, and planed to the opening. Its hinge edge stays as it is and hangs along its jamb; every
other edge is planed to its clearance, the top by no more than its slope asks, so that the rest
comes off the bottom (common practice, no source). Plane geometry in mm, to 0.001 mm.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction

from msgspec import Struct

from setupsheets.lengths import Length
from setupsheets.shop.jobs import Opening, Side

Corner = tuple[float, float]
Line = tuple[Corner, Corner]
RAKE = Fraction(1, 50)
"""A head that rises by more of its run is a rake, and no sill or jamb is so far out: common
practice, no source."""


class Planing(Struct, frozen=True):
    """What comes off one ``edge`` of a ``leaf``, from one end of that edge to the other; less than
    nothing where wood is wanting."""

    leaf: str
    edge: str
    ends: tuple[str, str]
    off: tuple[Length, Length]


def corners(opening: Opening) -> tuple[Corner, ...] | None:
    """Lower left, lower right, upper right and upper left of an opening in mm, its left jamb
    upright from nought; None where no opening has its sides and its diagonal."""
    top, left, sides = float(opening.width.mm), float(opening.height.mm), opening.out_of_square
    if sides is None:
        return (0.0, 0.0), (top, 0.0), (top, left), (0.0, left)
    bottom, right, across = (float(each.mm) for each in (sides.bottom, sides.right, sides.diagonal))
    upper = _meet(across, (0.0, left), top)
    lower = _meet(bottom, upper, right) if upper else None
    if upper is None or lower is None or lower[0] <= 0 or upper[0] <= 0:
        return None
    return (0.0, 0.0), lower, upper, (0.0, left)


def slopes(found: Sequence[Corner]) -> tuple[float, float, float]:
    """By how much of their run head, sill and right jamb are out of square to the left jamb."""
    (_, low, high, left) = found
    up = abs(high[1] - low[1])
    jamb = abs(high[0] - low[0]) / up if up else math.inf
    return abs(high[1] - left[1]) / high[0], abs(low[1]) / low[0], jamb


def planings(opening: Opening) -> tuple[Planing, ...]:
    """What comes off the edges of the leaf, or of each leaf of a pair; none where the sides make no
    opening."""
    found = corners(opening)
    if found is None:
        return ()
    if opening.pair is None:
        turned = opening.hinge is Side.RIGHT
        gaps = opening.clearances
        return _leaf("leaf", _mirrored(found) if turned else found, opening, gaps.lock)
    # The leaves of a pair meet on the line between the middles of head and sill; see Opening.leaf.
    share = opening.clearances.meeting - opening.lap / 2
    sill, head = _middle(found[0], found[1]), _middle(found[3], found[2])
    left = (found[0], sill, head, found[3])
    right = _mirrored((sill, found[1], found[2], head))
    return (
        *_leaf("left leaf", left, opening, share),
        *_leaf("right leaf", right, opening, share),
    )


def _leaf(name: str, found: Sequence[Corner], opening: Opening, far: Length) -> tuple[Planing, ...]:
    """One leaf in its part of the opening, hinges at the left; ``far`` is its clearance at the
    right."""
    gaps, size = opening.clearances, opening.leaf
    low_left, low_right, high_right, high_left = found
    hinge = _inside((high_left, low_left), float(gaps.hinge.mm))
    sill = _inside((low_left, low_right), float(gaps.bottom.mm))
    lock = _inside((low_right, high_right), float(far.mm))
    head = _inside((high_right, high_left), float(gaps.top.mm))
    at = [_crossing(*pair) for pair in ((hinge, sill), (sill, lock), (lock, head), (head, hinge))]
    (_, y0), (x1, y1), (x2, y2), (_, y3) = _upright(at)
    wide, high = float(size.width.mm), float(size.height.mm)
    top = max(y2, y3)
    bottom = top - high
    leading = "lock" if opening.pair is None else "meeting"
    across, along = ("hinge side", f"{leading} side"), ("top", "bottom")
    edges = (
        ("top", across, (top - y3, top - y2)),
        (leading, along, (wide - x2, wide - x1)),
        ("bottom", across, (y0 - bottom, y1 - bottom)),
    )
    return tuple(
        Planing(name, edge, ends, (Length.from_float(one, 3), Length.from_float(other, 3)))
        for edge, ends, (one, other) in edges
    )


def _meet(first: float, other: Corner, second: float) -> Corner | None:
    """The corner so far from nought and from another, to the right of the way there; None where
    there is none."""
    run = math.hypot(*other)
    along = (first**2 - second**2 + run**2) / (2 * run) if run else 0.0
    if (over := first**2 - along**2) <= 0:
        return None
    ux, uy = other[0] / run, other[1] / run
    out = math.sqrt(over)
    return along * ux + out * uy, along * uy - out * ux


def _mirrored(found: Sequence[Corner]) -> tuple[Corner, ...]:
    """The same seen from the other side: its right jamb at the left, corners in the same order."""
    low_left, low_right, high_right, high_left = ((-x, y) for x, y in found)
    return low_right, low_left, high_left, high_right


def _middle(one: Corner, other: Corner) -> Corner:
    return (one[0] + other[0]) / 2, (one[1] + other[1]) / 2


def _inside(line: Line, by: float) -> Line:
    """The line shifted to its left, into an opening whose corners run against the clock."""
    (x1, y1), (x2, y2) = line
    run = math.dist(*line)
    dx, dy = -(y2 - y1) / run * by, (x2 - x1) / run * by
    return (x1 + dx, y1 + dy), (x2 + dx, y2 + dy)


def _crossing(one: Line, other: Line) -> Corner:
    (x1, y1), (x2, y2) = one
    (x3, y3), (x4, y4) = other
    cross = (x1 - x2) * (y3 - y4) - (y1 - y2) * (x3 - x4)
    first, second = x1 * y2 - y1 * x2, x3 * y4 - y3 * x4
    return (
        (first * (x3 - x4) - (x1 - x2) * second) / cross,
        (first * (y3 - y4) - (y1 - y2) * second) / cross,
    )


def _upright(found: Sequence[Corner]) -> list[Corner]:
    """The corners turned so that the first and the last stand upright over nought."""
    (x0, y0), last = found[0], found[-1]
    run = math.dist(found[0], last)
    ux, uy = (last[0] - x0) / run, (last[1] - y0) / run
    return [((x - x0) * uy - (y - y0) * ux, (x - x0) * ux + (y - y0) * uy) for x, y in found]
