"""Trade shapes as outlines: the curve between a moulding's face edge and its sight edge.

An outline runs from ``(width, 0)`` on the outside face to ``(0, depth)`` on the sight edge, x into
the wood from the sight edge, y from the face to the back. y never falls along the way, so that one
x belongs to each depth and a cutter of the same shape, turned over, makes the cope that fits it.
Points are plain floats in mm, arcs flattened so that no chord strays further than ``FLATNESS``.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Mapping, Sequence
from enum import StrEnum

from msgspec import Struct

from setupsheets.lengths import Length

FLATNESS = 0.01  # mm: how far a chord may stray from the arc that it stands for

Point = tuple[float, float]


class Shape(StrEnum):
    """The trade's names for the mouldings worked on a frame or a bar."""

    OVOLO = "ovolo"
    OGEE = "ogee"
    COVE = "cove"
    BEAD = "bead"
    CHAMFER = "chamfer"
    SQUARE = "square"


class OutlineStep(Struct, frozen=True):
    """One line of an outline of the shop's own, or one arc when it has a centre."""

    to: tuple[Length, ...]
    centre: tuple[Length, ...] | None = None


def arc(centre: Point, start: Point, end: Point, flatness: float = FLATNESS) -> list[Point]:
    """Points after ``start`` up to ``end`` on the shorter arc about ``centre`` (mm)."""
    radius = math.dist(centre, start)
    first = math.atan2(start[1] - centre[1], start[0] - centre[0])
    last = math.atan2(end[1] - centre[1], end[0] - centre[0])
    turn = math.remainder(last - first, math.tau)
    if radius <= flatness:
        return [end]
    step = 2 * math.acos(1 - flatness / radius)
    count = max(1, math.ceil(abs(turn) / step))
    angles = (first + turn * index / count for index in range(1, count))
    inner = [(centre[0] + radius * math.cos(a), centre[1] + radius * math.sin(a)) for a in angles]
    return [*inner, end]


def _ovolo(width: float, depth: float, quirk: float) -> list[Point]:
    radius = min(depth - quirk, width)
    start, end = (width, quirk), (width - radius, quirk + radius)
    return [start, *arc((width, quirk + radius), start, end)]


def _cove(width: float, depth: float, quirk: float) -> list[Point]:
    radius = min(depth - quirk, width)
    start, end = (width, quirk), (width - radius, quirk + radius)
    return [start, *arc((width - radius, quirk), start, end)]


def _ogee(width: float, depth: float, quirk: float) -> list[Point]:
    """A hollow at the face running into a round at the sight edge, of equal radius."""
    radius = min((depth - quirk) / 2, width / 2)
    start, middle = (width, quirk), (width - radius, quirk + radius)
    end = (width - 2 * radius, quirk + 2 * radius)
    hollow = arc((width - radius, quirk), start, middle)
    return [start, *hollow, *arc((width - radius, quirk + 2 * radius), middle, end)]


def _bead(width: float, depth: float, quirk: float) -> list[Point]:
    """A half round standing out at the sight edge, a quirk above it and the tongue below."""
    radius = min((depth - quirk) / 2, width)
    top, nose, bottom = (radius, quirk), (0.0, quirk + radius), (radius, quirk + 2 * radius)
    centre = (radius, quirk + radius)
    return [(width, quirk), top, *arc(centre, top, nose), *arc(centre, nose, bottom)]


def _chamfer(width: float, depth: float, quirk: float) -> list[Point]:
    return [(width, quirk), (0.0, depth)]


def _square(width: float, depth: float, quirk: float) -> list[Point]:
    return [(width, depth)]


_SHAPES: Mapping[Shape, Callable[[float, float, float], list[Point]]] = {
    Shape.OVOLO: _ovolo,
    Shape.OGEE: _ogee,
    Shape.COVE: _cove,
    Shape.BEAD: _bead,
    Shape.CHAMFER: _chamfer,
    Shape.SQUARE: _square,
}


def shape_outline(shape: Shape, width: float, depth: float, quirk: float) -> tuple[Point, ...]:
    """Outline of a trade shape in mm, from ``(width, 0)`` to ``(0, depth)``.

    ``quirk`` is the flat drop at the face before the curve begins.
    """
    inner = _SHAPES[shape](width, depth, quirk)
    return _without_repeats([(width, 0.0), *inner, (0.0, depth)])


def steps_outline(width: float, depth: float, steps: tuple[OutlineStep, ...]) -> tuple[Point, ...]:
    """Outline given by lines and arcs, each ``to`` a point, from ``(width, 0)`` to ``(0, depth)``.

    Raises ValueError where y falls along the way, where the last point is not ``(0, depth)``, and
    where an arc's two ends are not equally far from its centre.
    """
    points: list[Point] = [(width, 0.0)]
    for number, step in enumerate(steps, 1):
        end = _point(step.to)
        points += [end] if step.centre is None else _step_arc(step.centre, points[-1], end, number)
    if any(later[1] < earlier[1] - FLATNESS for earlier, later in itertools.pairwise(points)):
        raise ValueError("an outline may not climb back towards the face: no cutter can follow it")
    if math.dist(points[-1], (0.0, depth)) > FLATNESS:
        raise ValueError("an outline must end on the sight edge, at x 0 and y the depth")
    return _without_repeats(points)


def same_outline(one: Sequence[Point], other: Sequence[Point]) -> bool:
    """Whether two outlines stray no further from each other than an arc's chords may from it, from
    corner to corner: two of one shape that are told in two ways are the same."""
    return all(
        min(_away(point, *chord) for chord in itertools.pairwise(there)) <= 2 * FLATNESS
        for here, there in ((one, other), (other, one))
        for point in here
    )


def _away(point: Point, start: Point, end: Point) -> float:
    """How far a point lies from a chord, mm."""
    across, down = end[0] - start[0], end[1] - start[1]
    along = (point[0] - start[0]) * across + (point[1] - start[1]) * down
    share = min(max(along / (across**2 + down**2), 0.0), 1.0)
    return math.dist(point, (start[0] + share * across, start[1] + share * down))


def _step_arc(middle: tuple[Length, ...], start: Point, end: Point, number: int) -> list[Point]:
    centre = _point(middle)
    radii = math.dist(centre, start), math.dist(centre, end)
    if abs(radii[0] - radii[1]) > FLATNESS:
        raise ValueError(
            f"step {number} of the outline is no arc: it begins {radii[0]:.3f} mm from its centre "
            f"and ends {radii[1]:.3f} mm from it"
        )
    return arc(centre, start, end)


def _point(pair: tuple[Length, ...]) -> Point:
    x, y = pair
    return float(x.mm), float(y.mm)


def _without_repeats(points: list[Point]) -> tuple[Point, ...]:
    kept = points[:1]
    for point in points[1:]:
        if math.dist(point, kept[-1]) > 1e-9:
            kept.append(point)
    return (*kept[:-1], points[-1])  # the end is exact, however near the point before it lies
