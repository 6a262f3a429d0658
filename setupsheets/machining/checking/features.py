"""The features of what a design asks for, each as lines in mm: the rebate's floor, the back
shoulder, the cope. A piece that is left over or missing is told by the one that it lies along.
"""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum
from itertools import pairwise
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from setupsheets.joinery.members.parts import Groove, Tenon
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

NEAR = 0.05  # mm: how close to a line a boundary lies that counts as along it


class Feature(StrEnum):
    """One side of a blank, a section, an end, a mortise or a notch."""

    FACE = "face"
    BACK = "back"
    OUTER_EDGE = "outer_edge"
    NEAR_EDGE = "near_edge"
    FAR_EDGE = "far_edge"
    NEAR_END = "near_end"
    FAR_END = "far_end"
    STICKING = "sticking"
    TONGUE = "tongue"
    REBATE_FLOOR = "rebate_floor"
    REBATE_WALL = "rebate_wall"
    GROOVE_FACE_WALL = "groove_face_wall"
    GROOVE_BOTTOM = "groove_bottom"
    GROOVE_BACK_WALL = "groove_back_wall"
    BEHIND_GROOVE = "behind_groove"
    COPE = "cope"
    TONGUE_SHOULDER = "tongue_shoulder"
    LIP = "lip"
    BACK_SHOULDER = "back_shoulder"
    FACE_CHEEK = "face_cheek"
    BACK_CHEEK = "back_cheek"
    TIP = "tip"
    MORTISE_FACE_WALL = "mortise_face_wall"
    MORTISE_BACK_WALL = "mortise_back_wall"
    MORTISE_BOTTOM = "mortise_bottom"
    NOTCH_NEAR_WALL = "notch_near_wall"
    NOTCH_FLOOR = "notch_floor"
    NOTCH_FAR_WALL = "notch_far_wall"


class FeatureLine(Struct, frozen=True):
    """A feature's line through points in mm; ``edge`` is 1 or 2 where it is there on both edges."""

    feature: Feature
    points: tuple[Point, ...]
    edge: int = 0


ALONG_EDGE = (Feature.STICKING, Feature.TONGUE, Feature.REBATE_FLOOR, Feature.REBATE_WALL)
AT_END = (Feature.COPE, Feature.TONGUE_SHOULDER, Feature.LIP, Feature.BACK_SHOULDER)
_ALONG_GROOVE = (Feature.GROOVE_FACE_WALL, Feature.GROOVE_BOTTOM, Feature.GROOVE_BACK_WALL)
_NOTCH = (Feature.NOTCH_NEAR_WALL, Feature.NOTCH_FLOOR, Feature.NOTCH_FAR_WALL)


def edge_lines(
    section: Section, thickness: float, features: Sequence[Feature] = ALONG_EDGE
) -> list[FeatureLine]:
    """The moulded edge cut into its four runs, from the face to the back."""
    points = moulded_edge(section, thickness)
    count = len(section.sticking.points())
    runs = [points[:count], *(points[at : at + 2] for at in range(count - 1, len(points) - 1))]
    named = zip(features, runs, strict=False)
    return [FeatureLine(feature, tuple(run)) for feature, run in named]


def cheek_lines(tenon: Tenon, long: float) -> tuple[FeatureLine, FeatureLine]:
    """Both cheeks of a tenon that reaches so far (mm), the face's first."""
    first, last = mm(tenon.from_face), mm(tenon.from_face + tenon.thickness)
    face = FeatureLine(Feature.FACE_CHEEK, ((0.0, first), (long, first)))
    return face, FeatureLine(Feature.BACK_CHEEK, ((0.0, last), (long, last)))


def design_lines(subject: Subject, work: Work, plane: Plane = Plane.SECTION) -> list[FeatureLine]:
    """The features of all that the work is to make."""
    if work is Work.BLANK:
        return _blank_lines(subject, plane)
    if work is Work.END and subject.end is not None:
        return _end_lines(subject)
    if work is Work.MORTISE and subject.mortise is not None:
        return _mortise_lines(subject)
    if work is Work.HALVING and subject.halving is not None:
        return [*_runs(_NOTCH, halving_points(subject)), *_blank_lines(subject, Plane.END)]
    if subject.section is None:
        return _blank_lines(subject, plane)
    return _section_lines(subject, subject.section)


def nearest_line(shape: Geometry, lines: Sequence[FeatureLine]) -> FeatureLine:
    """The line that the shape's boundary keeps to longest, or else the nearest one."""
    from shapely import LineString  # noqa: PLC0415

    def closeness(line: FeatureLine) -> tuple[float, float]:
        run = LineString(line.points)
        along = shape.boundary.intersection(run.buffer(NEAR)).length
        return (along if along > 3 * NEAR else 0.0, -shape.distance(run))

    return max(lines, key=closeness)


def _section_lines(subject: Subject, section: Section) -> list[FeatureLine]:
    """A section with one moulded edge, or with two."""
    width, thickness = mm(subject.width), mm(subject.thickness)
    plain = [
        FeatureLine(Feature.FACE, ((0, 0), (width, 0))),
        FeatureLine(Feature.BACK, ((0, thickness), (width, thickness))),
    ]
    near, *second = (_along_edge(section, thickness, each) for each in edge_grooves(subject))
    if not second:
        outer = FeatureLine(Feature.OUTER_EDGE, ((width, 0), (width, thickness)))
        return [*near, *plain, outer]
    turned = (
        replace(line, points=tuple((width - x, y) for x, y in line.points), edge=2)
        for line in second[0]
    )
    return [*(replace(line, edge=1) for line in near), *turned, *plain]


def _along_edge(section: Section, thickness: float, groove: Groove | None) -> list[FeatureLine]:
    """The runs of one sight edge, with its rebate or its groove."""
    if groove is None:
        return edge_lines(section, thickness)
    points = groove_points(groove)
    sticking = FeatureLine(Feature.STICKING, tuple(section.sticking.points()))
    behind = FeatureLine(Feature.BEHIND_GROOVE, (points[-1], (0.0, thickness)))
    return [sticking, *_runs(_ALONG_GROOVE, points), behind]


def _blank_lines(subject: Subject, plane: Plane) -> list[FeatureLine]:
    sizes = extents(subject)
    across, up = (sizes[axis] for axis in plane.axes)
    ends = (Feature.NEAR_END, Feature.FAR_END)
    near, far = ends if plane is Plane.END else (Feature.NEAR_EDGE, Feature.FAR_EDGE)
    return [
        FeatureLine(Feature.FACE, ((0, 0), (across, 0))),
        FeatureLine(Feature.BACK, ((0, up), (across, up))),
        FeatureLine(near, ((0, 0), (0, up))),
        FeatureLine(far, ((across, 0), (across, up))),
    ]


def _mortise_lines(subject: Subject) -> list[FeatureLine]:
    mortise = subject.mortise
    assert mortise is not None
    first, depth = mm(mortise.from_face), mm(mortise.depth)
    last = first + mm(mortise.thickness)
    return [
        FeatureLine(Feature.MORTISE_FACE_WALL, ((0, first), (depth, first))),
        FeatureLine(Feature.MORTISE_BACK_WALL, ((0, last), (depth, last))),
        FeatureLine(Feature.MORTISE_BOTTOM, ((depth, first), (depth, last))),
    ]


def _end_lines(subject: Subject) -> list[FeatureLine]:
    end = subject.end
    assert end is not None
    reach = mm(end.reach)
    mate = edge_lines(end.mate, extents(subject)["y"], AT_END)
    turned = (replace(each, points=tuple((reach - x, y) for x, y in each.points)) for each in mate)
    cheeks = cheek_lines(end.tenon, reach)
    tip = FeatureLine(Feature.TIP, (cheeks[0].points[0], cheeks[1].points[0]))
    return [*turned, *cheeks, tip]


def _runs(features: Sequence[Feature], points: Sequence[Point]) -> list[FeatureLine]:
    """Each stretch from one point to the next as a feature of its own."""
    return [
        FeatureLine(feature, run) for feature, run in zip(features, pairwise(points), strict=True)
    ]
