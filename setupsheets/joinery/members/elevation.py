"""The leaf seen from its face as rectangles, for a drawing to scale.

x runs from the left edge of the leaf, y from its bottom; the face shows sight edges, so a member is
as wide as it is from edge to sight edge and panes are what daylight passes.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from enum import StrEnum

from msgspec import Struct

from setupsheets.joinery.frame.layout import Layout, bars_in
from setupsheets.joinery.frame.lights import Edges
from setupsheets.joinery.members.grouping import names_of
from setupsheets.joinery.members.parts import Role
from setupsheets.joinery.members.pieces import Key, pieces
from setupsheets.lengths import Length
from setupsheets.shop.jobs import Fill, Side, Through

ZERO = Length.ZERO


class Look(StrEnum):
    """What a rectangle of the elevation is."""

    STILE = "stile"
    HORN = "horn"
    RAIL = "rail"
    CROSS_BAR = "cross bar"
    UPRIGHT_BAR = "upright bar"
    GLASS = "glass"
    PANEL = "panel"
    GROOVED_PANEL = "grooved panel"
    LOCK = "lock"


class Box(Struct, frozen=True):
    """A rectangle on the face: lower left corner and size; ``name`` is the part's on the sheets."""

    look: Look
    name: str
    x: Length
    y: Length
    width: Length
    height: Length


class LeafDimension(Struct, frozen=True):
    """A size to write beside the drawing, from ``start`` to ``end``, upright or across."""

    name: str
    upright: bool
    start: Length
    end: Length

    @property
    def size(self) -> Length:
        """How much it is."""
        return self.end - self.start


class Elevation(Struct, frozen=True):
    """All rectangles of a leaf, members before panes, and the sizes to write beside them.

    ``hinge`` is the side that it hangs by, None where the job does not say; of a pair it is the
    left leaf, hung at the left, and ``gap`` lies between it and its mirror image, less than nothing
    where they lap. ``lock`` is where the lock goes in, from the edge across from the hinges.
    ``hinges`` are the lower and upper end of each above the leaf's bottom, none where the job does
    not say.
    """

    width: Length
    height: Length
    boxes: tuple[Box, ...]
    dimensions: tuple[LeafDimension, ...]
    hinge: Side | None = None
    gap: Length | None = None
    lock: Box | None = None
    hinges: tuple[tuple[Length, Length], ...] = ()


def elevation(layout: Layout) -> Elevation:
    """The leaf from its face."""
    size, opening = layout.job.size, layout.job.opening
    names = names_of(pieces(layout))
    pair = opening is not None and opening.pair is not None
    hinge = Side.LEFT if pair else opening.hinge if opening else None
    return Elevation(
        width=size.width,
        height=size.height,
        boxes=(*_stiles(layout), *_rails(layout), *_fields(layout, names)),
        dimensions=tuple(_dimensions(layout)),
        hinge=hinge,
        gap=2 * opening.clearances.meeting - opening.lap if opening and pair else None,
        lock=_lock(layout, hinge),
        hinges=layout.job.hinges.places(size.height) if layout.job.hinges else (),
    )


def _lock(layout: Layout, hinge: Side | None) -> Box | None:
    lock, wide = layout.job.lock, layout.job.size.width
    if lock is None or hinge is None:
        return None
    x = wide - lock.depth if hinge is Side.LEFT else ZERO
    return Box(Look.LOCK, "lock", x, lock.above - lock.height / 2, lock.depth, lock.height)


def _stiles(layout: Layout) -> Iterator[Box]:
    size, wide, horn = layout.job.size, layout.job.stiles.width, layout.job.stiles.horn
    for x in (ZERO, size.width - wide):
        yield Box(Look.STILE, "stile", x, ZERO, wide, size.height)
        if horn > ZERO:
            yield Box(Look.HORN, "horn", x, -horn, wide, horn)
            yield Box(Look.HORN, "horn", x, size.height, wide, horn)


def _rails(layout: Layout) -> Iterator[Box]:
    for rail, (low, high) in zip(layout.job.rails, layout.rail_edges, strict=True):
        x = layout.job.stiles.width
        yield Box(Look.RAIL, rail.name, x, low, layout.sight_width, high - low)


def _fields(layout: Layout, names: Mapping[Key, str]) -> Iterator[Box]:
    """Bars and panes of each field; bars that run through first, the others in pieces."""
    for number, field in enumerate(layout.job.fields, start=1):
        rows, columns = layout.rows[number - 1], layout.columns[number - 1]
        corner = layout.job.stiles.width, layout.rail_edges[number][1]
        wide, high = columns.light_edges, rows.light_edges
        across = wide if layout.through is Through.UPRIGHT else ((ZERO, columns.sight),)
        along = high if layout.through is Through.CROSS else ((ZERO, rows.sight),)
        for edges in rows.bar_edges:
            for place, each in enumerate(across):
                name = names[Role.CROSS_BAR, number, place]
                yield _box(Look.CROSS_BAR, name, corner, each, edges)
        if field.fill is Fill.GROOVED_PANEL:
            for edges in columns.bar_edges:
                name = names[Role.MIDDLE_STILE, number, 0]
                yield _box(Look.STILE, name, corner, edges, (ZERO, rows.sight))
        for edges in columns.bar_edges if bars_in(field) else ():
            for place, each in enumerate(along):
                name = names[Role.UPRIGHT_BAR, number, place]
                yield _box(Look.UPRIGHT_BAR, name, corner, edges, each)
        look, name = Look(str(field.fill)), f"field {number}"
        yield from (_box(look, name, corner, each, edges) for edges in high for each in wide)


def _box(look: Look, name: str, corner: Edges, across: Edges, upright: Edges) -> Box:
    """A rectangle between two edges each way, counted from the field's lower left corner."""
    (left, right), (low, high) = across, upright
    return Box(look, name, corner[0] + left, corner[1] + low, right - left, high - low)


def _dimensions(layout: Layout) -> Iterator[LeafDimension]:
    """The leaf's size, the stiles and the sight width, the rails and each field's sight height."""
    size, wide = layout.job.size, layout.job.stiles.width
    yield LeafDimension("leaf", False, ZERO, size.width)
    yield LeafDimension("leaf", True, ZERO, size.height)
    yield LeafDimension("stile", False, ZERO, wide)
    yield LeafDimension("sight width", False, wide, wide + layout.sight_width)
    yield LeafDimension("stile", False, size.width - wide, size.width)
    for index, rail in enumerate(layout.job.rails):
        low, high = layout.rail_edges[index]
        yield LeafDimension(rail.name, True, low, high)
        if index:
            above = layout.rail_edges[index - 1][0]
            yield LeafDimension(f"sight height of field {index}", True, high, above)
