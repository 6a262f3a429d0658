"""Cuts as polygons: what each operation takes out of the wood, from its settings as printed.

Nothing here reads a formula. What a machine removes follows from the figures on the sheet, the
cutter's own size and the way the part lies, so that a wrong formula comes out as a wrong shape.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from typing import TYPE_CHECKING, TypeAlias

from msgspec import Struct

from setupsheets.machining.cutting.planes import (
    HAIR,
    Placement,
    Plane,
    extents,
    mm,
    placement,
    plane_of,
)
from setupsheets.machining.cutting.shapes import blank, design, worked_edges
from setupsheets.machining.cutting.silhouettes import cleared, silhouette
from setupsheets.machining.operations import Operation, Subject
from setupsheets.shop.jobs import Allowances
from setupsheets.shop.recipes import Work

if TYPE_CHECKING:
    from shapely import LineString, MultiPolygon, Polygon

Area: TypeAlias = "Polygon | MultiPolygon"

AROUND = 20.0  # mm: how far the lines of table and fence are drawn past the wood


class Run(Struct, frozen=True):
    """One run of the part past the cutter, in the part's plane (mm).

    ``cutter`` is its outline as it stands, the part below the table with it; ``takes`` what is cut
    out where there is wood; ``table`` and ``fence`` the lines that the part lies against.
    ``stands`` is from where to where the cutter stands, counted from the fence or stop.
    """

    placement: Placement
    cutter: Polygon
    takes: Polygon
    table: LineString
    fence: LineString | None
    stands: tuple[float, float]


class Cut(Struct, frozen=True):
    """An operation's cut: one run, or one for each sight edge; none where hands do the work."""

    operation: Operation
    plane: Plane
    runs: tuple[Run, ...]

    @property
    def removed(self) -> Area:
        """All that the operation takes out where there is wood."""
        from shapely import union_all  # noqa: PLC0415

        taken: Area = union_all([run.takes for run in self.runs])
        return taken


class Stage(Struct, frozen=True):
    """One operation on the part: its shape before and after, what became chips, what fell off."""

    cut: Cut
    before: Polygon
    removed: Area
    after: Polygon
    offcuts: tuple[Polygon, ...]

    @property
    def operation(self) -> Operation:
        """The operation that made it."""
        return self.cut.operation


def cut(operation: Operation, subject: Subject, allowances: Allowances | None = None) -> Cut | None:
    """What an operation cuts out of a subject; None for hand work, which shows in no plane.

    Raises CutError where the operation does not say enough to tell.
    """
    plane = plane_of(operation.asks)
    if plane is None:
        return None
    sizes = extents(subject, allowances)
    edges: tuple[int, ...] = (0,)
    if _along(operation, plane):
        edges = _edges(operation, subject)
    elif operation.from_both_edges(subject):
        edges, sizes["x"] = (0, 1), sizes["x"] + HAIR
    runs = (_run(operation, plane, sizes, turned=bool(edge)) for edge in edges)
    return Cut(operation, plane, tuple(run for run in runs if run is not None))


def run(
    operations: Iterable[Operation], subject: Subject, allowances: Allowances | None = None
) -> tuple[Stage, ...]:
    """The operations one after the other, each on what the ones before it in its plane left.

    Where a cut parts the wood, the piece that the design lies in goes on and the rest is offcut.
    """
    wanted = cache(lambda plane, work: _wanted(subject, plane, work))
    shapes: dict[Plane, Polygon] = {}
    stages = []
    for operation in operations:
        made = cut(operation, subject, allowances)
        if made is not None:
            before = shapes.get(made.plane) or blank(subject, made.plane, allowances)
            stage = _stage(made, before, wanted(made.plane, operation.asks.work))
            shapes[made.plane] = stage.after
            stages.append(stage)
    return tuple(stages)


def parts_of(area: Area) -> tuple[Polygon, ...]:
    """The separate pieces of an area, slivers without any size left out."""
    pieces = getattr(area, "geoms", (area,))
    return tuple(piece for piece in pieces if piece.area > NOTHING)


def kept(area: Area, wanted: Polygon) -> Polygon:
    """The piece that has most of what is wanted in it; an empty one where nothing is left."""
    pieces = parts_of(area)
    if len(pieces) <= 1:
        return pieces[0] if pieces else area.difference(area)
    return max(pieces, key=lambda piece: piece.intersection(wanted).area)


NOTHING = 1e-6  # mm2: a thousandth of a mm each way is no piece of wood


def _along(operation: Operation, plane: Plane) -> bool:
    """Whether it goes along sight edges, one or both of them; another end looks the same."""
    return operation.asks.work is Work.EDGE and plane is Plane.SECTION


def _edges(operation: Operation, subject: Subject) -> tuple[int, ...]:
    """The edges that the sheet names for the part. Where the cut stops short it goes along those
    stretches alone that are meant for it; what has no place is worked wherever it is meant for."""
    meant = worked_edges(operation.makes, subject)
    part = subject.part.name if subject.part else ""
    place = operation.place(part)
    if place is None:
        return meant if operation.asks.both else meant[:1]
    if any(stop.part == part for stop in operation.stops):
        return tuple(edge for edge in place.edges if edge in meant)
    return place.edges


def _run(operation: Operation, plane: Plane, sizes: dict[str, float], turned: bool) -> Run | None:
    from shapely import LineString  # noqa: PLC0415

    if operation.asks.down is None and not operation.settings:
        return None
    where = placement(operation.asks, plane, sizes, turned)
    across, top = (sizes[axis] for axis in where.machine_axes)
    outline = silhouette(operation, top, across)
    if outline is None:
        return None
    fence = None
    if operation.asks.against is not None:
        height = operation.machine.fence_height
        fence = LineString([(0, 0), (0, mm(height) if height is not None else top + AROUND)])
    return Run(
        placement=where,
        cutter=where.outline(outline),
        takes=where.outline(cleared(outline) if operation.asks.clears else outline),
        table=where.place(LineString([(-AROUND, 0), (across + AROUND, 0)])),
        fence=where.place(fence) if fence is not None else None,
        stands=(min(u for u, _ in outline), max(u for u, _ in outline)),
    )


def _wanted(subject: Subject, plane: Plane, work: Work) -> Polygon:
    """What the part must keep, to tell it from offcuts."""
    if plane is Plane.SECTION:
        return design(subject, work)
    if plane is Plane.END and subject.end is not None:
        return design(subject, Work.END)
    return blank(subject, plane)


def _stage(made: Cut, before: Polygon, wanted: Polygon) -> Stage:
    removed = before.intersection(made.removed)
    left = before.difference(made.removed)
    after = kept(left, wanted)
    offcuts = tuple(piece for piece in parts_of(left) if not piece.equals(after))
    return Stage(made, before, removed, after, offcuts)
