"""A member's cross-section: thickness, sticking, rebate, and what is left between them.

x runs from the sight edge into the wood, y from the outside face to the back.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum

from msgspec import Struct, field

from setupsheets.files.faults import NOWHERE, Marks
from setupsheets.lengths import Length
from setupsheets.shop.outlines import OutlineStep, Point, Shape, shape_outline, steps_outline

ZERO = Length.ZERO


class Member(StrEnum):
    """A frame member has one moulded edge (a middle rail two); a bar always has two."""

    FRAME = "frame"
    BAR = "bar"


class Sticking(Struct, frozen=True):
    """The moulded edge: a corner taken out of the face, or the cutter that takes it.

    ``width`` along x, ``depth`` along y; ``outline`` gives the shop's own shape by lines and arcs.
    Raises ValueError for a shape that cannot be drawn: no width or depth, a quirk that leaves no
    room for the curve, an outline that no cutter can follow.
    """

    shape: Shape
    width: Length
    depth: Length
    quirk: Length = ZERO
    outline: tuple[OutlineStep, ...] = ()

    def __post_init__(self) -> None:
        if self.width <= ZERO or self.depth <= ZERO:
            raise ValueError("a moulding needs a width and a depth of more than nought")
        if not ZERO <= self.quirk < self.depth:
            raise ValueError("the quirk must leave some of the depth for the curve")
        if self.outline:
            self.points()

    def points(self) -> tuple[Point, ...]:
        """The outline in mm, from ``(width, 0)`` on the face to ``(0, depth)``."""
        width, depth = float(self.width.mm), float(self.depth.mm)
        if self.outline:
            return steps_outline(width, depth, self.outline)
        return shape_outline(self.shape, width, depth, float(self.quirk.mm))


class Rebate(Struct, frozen=True):
    """The corner taken out of the back for the glass: ``width`` along x, ``depth`` along y."""

    width: Length
    depth: Length


class Section(Struct, frozen=True):
    """The cross-section of a frame member or a bar, as the design asks for it.

    ``width`` is a bar's own width; ``cutters`` names, by cutter type, the bits that fit it.
    """

    name: str
    title: str
    member: Member
    thickness: Length
    sticking: Sticking
    rebate: Rebate
    width: Length | None = None
    cutters: Mapping[str, str] = field(default_factory=dict)
    marks: Marks = NOWHERE

    def __hash__(self) -> int:
        return hash((self.name, self.thickness, self.width))

    @property
    def tongue_thickness(self) -> Length:
        """What stands between sticking and rebate at the sight edge: T - ds - dr."""
        return self.thickness - self.sticking.depth - self.rebate.depth

    def tongue_width(self, width: Length) -> Length:
        """What a bar of this width leaves between its two rebates: W - 2 wr."""
        return width - 2 * self.rebate.width

    def face_flat(self, width: Length) -> Length:
        """What a bar of this width leaves flat on its face: W - 2 ws."""
        return width - 2 * self.sticking.width
