"""The planes that cuts are drawn and proved in, and how a part lies on a machine.

A part's own axes: x from the sight edge into the wood, y from the outside face to the back, z from
the end (the tip of the tenon) into the part. A machine's: u from the surface that is against the
fence or stop, v upwards from the table. All in mm.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from enum import StrEnum
from typing import TYPE_CHECKING

from msgspec import Struct

from setupsheets.lengths import Length
from setupsheets.machining.operations import Subject
from setupsheets.shop.jobs import Allowances
from setupsheets.shop.outlines import Point
from setupsheets.shop.recipes import RecipeOperation, Surface, Work

if TYPE_CHECKING:
    from shapely import Geometry, Polygon

Show = Callable[[Length], str]
"""How a shop writes lengths for people: `Notation.show`."""

HAIR = 1e-3
"""In mm: what is left standing in a picture where a mortise goes right through, for the part beside
it is whole and does not fall in two."""
DIGITS = 9  # decimals of a mm kept: edges that should meet meet, whichever way they were reckoned


class Plane(StrEnum):
    """A plane through the part, named for what it shows; its two axes, across and up."""

    SECTION = "section"
    END = "end"
    PLAN = "plan"

    @property
    def axes(self) -> tuple[str, str]:
        """The part's axes that lie across and up in this plane."""
        return {Plane.SECTION: ("x", "y"), Plane.END: ("z", "y"), Plane.PLAN: ("z", "x")}[self]


AXIS: Mapping[Surface, str] = {
    Surface.FACE: "y",
    Surface.BACK: "y",
    Surface.SIGHT_EDGE: "x",
    Surface.OUTER_EDGE: "x",
    Surface.EDGE: "x",
    Surface.END: "z",
}
_FAR_SIDE = frozenset({Surface.BACK, Surface.OUTER_EDGE})


class CutError(ValueError):
    """An operation from which no cut can be worked out, with what it lacks."""


def plane_of(asks: RecipeOperation) -> Plane | None:
    """The plane that an operation's cut shows in; None for hand work."""
    if asks.work is Work.HAND:
        return None
    axes = {AXIS[surface] for surface in (asks.down, asks.against) if surface is not None}
    if "z" in axes or asks.work is Work.END:
        return Plane.PLAN if "x" in axes else Plane.END
    return Plane.SECTION


def extents(subject: Subject, allowances: Allowances | None = None) -> dict[str, float]:
    """How far a blank reaches along each axis, in mm, with the allowances of a rough one.

    Of an end no more is shown than its reach and once more the thickness.
    """
    over = allowances or Allowances()
    length = subject.length + over.length
    if subject.end is not None:
        length = min(length, subject.end.reach + subject.thickness)
    sizes = {"x": subject.width + over.width, "y": subject.thickness + over.thickness, "z": length}
    return {axis: mm(size) for axis, size in sizes.items()}


def mm(length: Length) -> float:
    """An exact length as the float that polygons are made of."""
    return float(length.mm)


def polygon(points: Iterable[Point]) -> Polygon:
    """A polygon of points in mm, rounded so that edges which should meet do."""
    from shapely import Polygon  # noqa: PLC0415

    return Polygon([(round(x, DIGITS), round(y, DIGITS)) for x, y in points])


class Placement(Struct, frozen=True):
    """How a part stands on a machine: ``across`` and ``up`` are the plane's axes as functions of u
    and v, each as (factor of u, factor of v, constant in mm)."""

    plane: Plane
    across: tuple[int, int, float]
    up: tuple[int, int, float]

    @property
    def machine_axes(self) -> tuple[str, str]:
        """The part's axes that lie along u and v."""
        first, second = self.plane.axes
        return (first, second) if self.across[0] else (second, first)

    def outline(self, points: Iterable[Point]) -> Polygon:
        """The polygon of points (u, v) in the part's plane."""
        (a, b, x), (d, e, y) = self.across, self.up
        return polygon((a * u + b * v + x, d * u + e * v + y) for u, v in points)

    def place(self, geometry: Geometry) -> Geometry:
        """Any geometry in machine axes, moved into the part's plane."""
        from shapely import affinity  # noqa: PLC0415

        (a, b, x), (d, e, y) = self.across, self.up
        return affinity.affine_transform(geometry, [a, b, d, e, x, y])

    def view(self, geometry: Geometry) -> Geometry:
        """A geometry of the part's plane as it lies on the machine: u across, v up."""
        from shapely import affinity  # noqa: PLC0415

        (a, b, x), (d, e, y) = self.across, self.up
        shift = [-(a * x + d * y), -(b * x + e * y)]
        return affinity.affine_transform(geometry, [a, d, b, e, *shift])


def placement(
    asks: RecipeOperation, plane: Plane, sizes: Mapping[str, float], turned: bool = False
) -> Placement:
    """How the part lies for an operation; ``turned`` brings its other sight edge to the fence.

    ``sizes`` are the extents of the blank. Raises CutError when the surfaces that are down and
    against do not span the plane.
    """
    down, against = asks.down, asks.against
    if down is None:
        raise CutError(f"{asks.name}: which surface is down on the table is not said")
    first, second = plane.axes
    v_axis = AXIS[down]
    u_axis = AXIS[against] if against is not None else second if v_axis == first else first
    if {u_axis, v_axis} != {first, second}:
        raise CutError(f"{asks.name}: {down} down and {against} against are the same way round")
    rows: dict[str, tuple[int, int, float]] = {}
    for axis, surface, is_u in ((u_axis, against, True), (v_axis, down, False)):
        far = surface in _FAR_SIDE
        sign, origin = (-1, sizes[axis]) if far else (1, 0.0)
        if turned and axis == "x":
            sign, origin = -sign, sizes["x"] - origin
        rows[axis] = (sign, 0, origin) if is_u else (0, sign, origin)
    return Placement(plane, rows[first], rows[second])
