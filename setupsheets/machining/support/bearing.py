"""What a part stands on: its bearing on table and fence, and how far it is from tipping (mm).

Worked out from the part's shape as it lies on the machine: u from the fence, v from the table.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cached_property
from typing import TYPE_CHECKING

from msgspec import Struct

from setupsheets.machining.cutting.planes import Placement
from setupsheets.shop.outlines import Point

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt
    from shapely import Polygon

    Numbers = npt.NDArray[np.float64]

Span = tuple[float, float]

TOUCH = 0.05  # mm: closer to table or fence than this is on it
FITS = 0.5  # mm: a filler strip so near the height of its hollow carries the part
# Common practice, no source. A part leans on its own when it stands upright on a base so narrow
# that a push at its middle of a quarter of its weight tips it; a fence that bears on half of its
# height, up to two thirds of it, gives the hand something to hold it against.
LEAN = 0.25
HELD_LENGTH = 1 / 2
HELD_TOP = 2 / 3


class Bearing(Struct, frozen=True, dict=True):
    """How a shape stands: spans of it on the table (along u) and on the fence (along v), those
    on the table that are clear of the cutter's opening, its centre of gravity, and its height.

    ``base`` is what it stands on, filler strip included; None where it touches nothing. ``over`` is
    the lowest of it in line with the fence that stands higher than that reaches; None for none.
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
    over: Span | None = None

    @property
    def on_table(self) -> float:
        """Length of the section's outline that lies on the table, clear of the opening."""
        return _total(self.beside)

    @property
    def on_fence(self) -> float:
        """Length of the section's outline that lies against the fence."""
        return _total(self.fence)

    @cached_property
    def held(self) -> bool:
        """Whether the fence bears high and long enough to hold the part upright against."""
        top = max((high for _, high in self.fence), default=0.0)
        long_enough = self.on_fence >= HELD_LENGTH * self.height - TOUCH
        return long_enough and top >= HELD_TOP * self.height - TOUCH

    @cached_property
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


class Footprint(Struct, frozen=True):
    """A shape as it lies on a machine: its spans on table and fence, its centre of gravity, its
    height, and its lowest points at its near and far sides."""

    table: tuple[Span, ...]
    fence: tuple[Span, ...]
    centre: Point
    height: float
    near: Point
    far: Point


def footprint(shape: Polygon, placement: Placement) -> Footprint:
    """How a shape of the part's plane lies in machine axes."""
    import shapely  # noqa: PLC0415

    (a, b, x0), (d, e, y0) = placement.across, placement.up
    x, y = (shapely.get_coordinates(shapely.get_exterior_ring(shape)) - (x0, y0)).T
    along, up = a * x + d * y, b * x + e * y
    ((middle_x, middle_y),) = shapely.get_coordinates(shapely.centroid(shape)) - (x0, y0)
    near, far = float(along.min()), float(along.max())
    return Footprint(
        table=_flat(up, along),
        fence=_flat(along, up),
        centre=(float(a * middle_x + d * middle_y), float(b * middle_x + e * middle_y)),
        height=float(up.max()),
        near=(near, float(up[along < near + TOUCH].min())),
        far=(far, float(up[along > far - TOUCH].min())),
    )


def bearing(
    shape: Footprint,
    fence_height: float | None = None,
    opening: Span | None = None,
    bridges: bool = True,
    filler: Span | None = None,
) -> Bearing:
    """What a shape bears on that stands on the machine like this.

    ``opening`` is where the table is open for the cutter, along u; a long part ``bridges`` it, a
    short one stands on what is beside it. ``filler`` is a strip laid under the part: its width and
    height.
    """
    fence, over = shape.fence, None
    if fence_height is not None:
        fence = tuple((low, min(high, fence_height)) for low, high in fence if low < fence_height)
        over = next((span for span in shape.fence if span[0] >= fence_height), None)
    beside = _without(shape.table, opening)
    base = _base(shape.table if bridges else beside)
    if filler is not None and base is not None:
        base = _with_filler(base, _hollows(shape, base), filler)
    hollows = _hollows(shape, base)
    return Bearing(shape.table, fence, beside, shape.centre, shape.height, base, hollows, over)


def _flat(levels: Numbers, along: Numbers) -> tuple[Span, ...]:
    """The runs of an outline that lie at level nought, as spans along the other axis, in order."""
    at = abs(levels) < TOUCH
    starts = (at[:-1] & at[1:]).nonzero()[0]
    ends = zip(along[starts].tolist(), along[starts + 1].tolist(), strict=True)
    spans = sorted((min(pair), max(pair)) for pair in ends)
    joined: list[Span] = []
    for low, high in spans:
        if high - low < TOUCH:
            continue
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


def _hollows(shape: Footprint, base: Span | None) -> tuple[Span, Span]:
    """Width and height of the space beside the base, as high as the part's lowest outer corner."""
    if base is None:
        return (0.0, 0.0), (0.0, 0.0)
    return (base[0] - shape.near[0], shape.near[1]), (shape.far[0] - base[1], shape.far[1])


def _total(spans: Iterable[Span]) -> float:
    return sum(high - low for low, high in spans)
