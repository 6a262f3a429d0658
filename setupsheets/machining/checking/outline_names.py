"""Names for the edges of what the design asks for, so that a fault can be told in words.

Every outline is cut up into named lines in mm: the rebate's floor, the back shoulder, the cope.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from setupsheets.joinery.members.parts import Groove
from setupsheets.machining.cutting.planes import Plane, extents, mm
from setupsheets.machining.cutting.shapes import (
    edge_grooves,
    groove_points,
    halving_points,
    moulded_edge,
)
from setupsheets.machining.operations import Subject
from setupsheets.shop.outlines import Point
from setupsheets.shop.recipes import Work
from setupsheets.shop.sections import Section

if TYPE_CHECKING:
    from shapely import Geometry

Line = tuple[str, tuple[Point, ...]]

NEAR = 0.05  # mm: how close to a line a boundary lies that counts as along it
ALONG_EDGE = ("the sticking", "the tongue", "the rebate's floor", "the rebate's wall")
ALONG_GROOVE = (
    "the groove's wall towards the face",
    "the groove's bottom",
    "the groove's back wall",
)
AT_END = ("the cope", "the tongue's shoulder", "the lip on the rebate's floor", "the back shoulder")


def edge_lines(section: Section, thickness: float, names: Sequence[str] = ALONG_EDGE) -> list[Line]:
    """The moulded edge cut into its four runs, from the face to the back."""
    points = moulded_edge(section, thickness)
    count = len(section.sticking.points())
    runs = [points[:count], *(points[at : at + 2] for at in range(count - 1, len(points) - 1))]
    return [(name, tuple(run)) for name, run in zip(names, runs, strict=False) if len(run) > 1]


def design_lines(subject: Subject, work: Work, plane: Plane = Plane.SECTION) -> list[Line]:
    """All named lines of what that work is to make."""
    if work is Work.BLANK:
        return _blank_lines(subject, plane)
    if work is Work.END and subject.end is not None:
        return _end_lines(subject)
    if work is Work.MORTISE and subject.mortise is not None:
        first = mm(subject.mortise.from_face)
        last, depth = first + mm(subject.mortise.thickness), mm(subject.mortise.depth)
        return [
            ("the mortise's wall towards the face", ((0, first), (depth, first))),
            ("the mortise's wall towards the back", ((0, last), (depth, last))),
            ("the mortise's bottom", ((depth, first), (depth, last))),
        ]
    if work is Work.HALVING and subject.halving is not None:
        points = halving_points(subject)
        names = ("the notch's near wall", "the notch's floor", "the notch's far wall")
        walls = [(name, tuple(points[at : at + 2])) for at, name in enumerate(names)]
        return [*walls, *_blank_lines(subject, Plane.END)]
    if subject.section is None:
        return _blank_lines(subject, plane)
    width, thickness = mm(subject.width), mm(subject.thickness)
    plain: list[Line] = [
        ("the face", ((0, 0), (width, 0))),
        ("the back", ((0, thickness), (width, thickness))),
    ]
    near, *second = (
        _along_edge(subject.section, thickness, groove) for groove in edge_grooves(subject)
    )
    if not second:
        return [*near, *plain, ("the outer edge", ((width, 0), (width, thickness)))]
    far = [
        (f"{name} of the second edge", tuple((width - x, y) for x, y in run))
        for name, run in second[0]
    ]
    return [*((f"{name} of the first edge", run) for name, run in near), *far, *plain]


def _along_edge(section: Section, thickness: float, groove: Groove | None) -> list[Line]:
    """The named runs of one sight edge, with its rebate or its groove."""
    if groove is None:
        return edge_lines(section, thickness)
    points = groove_points(groove)
    walls = [(name, tuple(points[at : at + 2])) for at, name in enumerate(ALONG_GROOVE)]
    sight = ("the sight edge behind the groove", (points[-1], (0.0, thickness)))
    return [("the sticking", tuple(section.sticking.points())), *walls, sight]


def name_of(shape: Geometry, lines: Sequence[Line]) -> str:
    """The line that the shape's boundary keeps to longest, or else the nearest one."""
    from shapely import LineString  # noqa: PLC0415

    def closeness(line: Line) -> tuple[float, float]:
        run = LineString(line[1])
        along = shape.boundary.intersection(run.buffer(NEAR)).length
        return (along if along > 3 * NEAR else 0.0, -shape.distance(run))

    return max(lines, key=closeness)[0]


def _blank_lines(subject: Subject, plane: Plane) -> list[Line]:
    sizes = extents(subject)
    across, up = (sizes[axis] for axis in plane.axes)
    sides = ("near end", "far end") if plane is Plane.END else ("near edge", "far edge")
    return [
        ("the face", ((0, 0), (across, 0))),
        ("the back", ((0, up), (across, up))),
        *((f"the {side}", ((x, 0), (x, up))) for side, x in zip(sides, (0, across), strict=True)),
    ]


def _end_lines(subject: Subject) -> list[Line]:
    end = subject.end
    assert end is not None
    reach, thickness = mm(end.reach), extents(subject)["y"]
    first, last = mm(end.tenon.from_face), mm(end.tenon.from_face + end.tenon.thickness)
    mate = edge_lines(end.mate, thickness, AT_END)
    return [
        *((name, tuple((reach - x, y) for x, y in run)) for name, run in mate),
        ("the tenon's cheek towards the face", ((0, first), (reach, first))),
        ("the tenon's cheek towards the back", ((0, last), (reach, last))),
        ("the tenon's tip", ((0, first), (0, last))),
    ]
