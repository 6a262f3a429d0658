"""What a part stands on: its bearing on table and fence, and how far it is from tipping (mm).

Worked out from the part's shape as it lies on the machine: u from the fence, v from the table.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from setupsheets.machining.planes import Placement
from setupsheets.shop.outlines import Point

if TYPE_CHECKING:
    from shapely import Polygon

Span = tuple[float, float]

TOUCH = 0.05  # mm: closer to table or fence than this is on it
FITS = 0.5  # mm: a filler strip so near the height of its hollow carries the part
# Common practice, no source. A part leans on its own when it stands upright on a base so narrow
# that a push at its middle of a quarter of its weight tips it; a fence that bears on half of its
# height, up to two thirds of it, gives the hand something to hold it against.
LEAN = 0.25
HELD_LENGTH = 1 / 2
HELD_TOP = 2 / 3


@dataclass(frozen=True)
class Bearing:
    """How a shape stands: spans of it on the table (along u) and on the fence (along v), those
    on the table that are clear of the cutter's opening, its centre of gravity, and its height.

    ``base`` is what it stands on, filler strip included; None where it touches nothing.
    ``hollows`` are the spaces under it beside the base, towards the fence and away from it, each
    as width along the table and height.
    """

    table: tuple[Span, ...]
    fence: tuple[Span, ...]
    beside: tuple[Span, ...]
    centre: Point
    height: float
    base: Span | None
    hollows: tuple[Span, Span]

    @property
    def on_table(self) -> float:
        """Length of the section's outline that lies on the table, clear of the opening."""
        return _total(self.beside)

    @property
    def on_fence(self) -> float:
        """Length of the section's outline that lies against the fence."""
        return _total(self.fence)

    @property
    def held(self) -> bool:
        """Whether the fence bears high and long enough to hold the part upright against."""
        top = max((high for _, high in self.fence), default=0.0)
        long_enough = self.on_fence >= HELD_LENGTH * self.height - TOUCH
        return long_enough and top >= HELD_TOP * self.height - TOUCH

    @property
    def levers(self) -> Span:
        """From the centre of gravity to the base's edge towards the fence and away from it, less
        what a leaning part needs: minus where it tips that way."""
        if self.base is None:
            return -self.height, -self.height
        need = 0.0 if self.held else LEAN * self.centre[1]
        return self.centre[0] - self.base[0] - need, self.base[1] - self.centre[0] - need

    @property
    def margin(self) -> float:
        """The shorter of the two levers: minus where the part is unsteady."""
        return min(self.levers)


def bearing(
    shape: Polygon,
    placement: Placement,
    fence_height: float | None = None,
    opening: Span | None = None,
    bridges: bool = True,
    filler: Span | None = None,
) -> Bearing:
    """The bearing of a shape in its plane as it lies on a machine.

    ``opening`` is where the table is open for the cutter, along u; a long part ``bridges`` it, a
    short one stands on what is beside it. ``filler`` is a strip laid under the part: its width and
    height.
    """
    outline = _outline(shape, placement)
    table = _flat(outline)
    fence = _flat([(v, u) for u, v in outline])
    if fence_height is not None:
        fence = tuple((low, min(high, fence_height)) for low, high in fence if low < fence_height)
    beside = _without(table, opening)
    base = _base(table if bridges else beside)
    if filler is not None and base is not None:
        base = _with_filler(base, _hollows(outline, base), filler)
    centre = shape.centroid
    (middle,) = _seen([(centre.x, centre.y)], placement)
    top = max(v for _, v in outline)
    return Bearing(table, fence, beside, middle, top, base, _hollows(outline, base))


def _outline(shape: Polygon, placement: Placement) -> list[Point]:
    return _seen(list(shape.exterior.coords), placement)


def _seen(points: Iterable[Point], placement: Placement) -> list[Point]:
    """Points of the part's plane as u and v, by the placement turned round."""
    (a, b, x0), (d, e, y0) = placement.across, placement.up
    return [
        (a * (x - x0) + d * (y - y0), b * (x - x0) + e * (y - y0))
        for x, y in ((point[0], point[1]) for point in points)
    ]


def _flat(outline: Sequence[Point]) -> tuple[Span, ...]:
    """The runs of an outline that lie at level nought, as spans along the other axis, in order."""
    spans: list[Span] = []
    for (first, level), (second, other) in pairwise(outline):
        if abs(level) < TOUCH and abs(other) < TOUCH and abs(first - second) > TOUCH:
            spans.append((min(first, second), max(first, second)))
    joined: list[Span] = []
    for low, high in sorted(spans):
        if joined and low - joined[-1][1] < TOUCH:
            joined[-1] = (joined[-1][0], high)
        else:
            joined.append((low, high))
    return tuple(joined)


def _without(spans: Sequence[Span], opening: Span | None) -> tuple[Span, ...]:
    if opening is None:
        return tuple(spans)
    first, last = opening
    left = [(low, min(high, first)) for low, high in spans] + [
        (max(low, last), high) for low, high in spans
    ]
    return tuple(sorted((low, high) for low, high in left if high - low > TOUCH))


def _base(spans: Sequence[Span]) -> Span | None:
    if not spans:
        return None
    return min(low for low, _ in spans), max(high for _, high in spans)


def _with_filler(base: Span, hollows: tuple[Span, Span], size: Span) -> Span:
    """The base with a strip laid in the hollow that it fits: the one at the fence first.

    A strip lower than the hollow carries nothing, and a higher one does not go in.
    """
    towards, away = (
        hollow if abs(hollow[1] - size[1]) < FITS and hollow[0] > TOUCH else None
        for hollow in hollows
    )
    low, high = base
    if towards is not None and size[0] >= towards[0] - FITS:
        return low - towards[0], high
    if away is not None:
        return low, high + min(size[0], away[0])
    return base


def _hollows(outline: Sequence[Point], base: Span | None) -> tuple[Span, Span]:
    """Width and height of the space beside the base, as high as the part's lowest outer corner."""
    if base is None:
        return (0.0, 0.0), (0.0, 0.0)
    sides = []
    for edge, reach in (
        (base[0], min(u for u, _ in outline)),
        (base[1], max(u for u, _ in outline)),
    ):
        at_reach = [v for u, v in outline if abs(u - reach) < TOUCH]
        sides.append((abs(edge - reach), min(at_reach)))
    return sides[0], sides[1]


def _total(spans: Iterable[Span]) -> float:
    return sum(high - low for low, high in spans)
