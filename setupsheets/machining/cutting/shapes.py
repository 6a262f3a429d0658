"""What a blank is and what the design asks for, as polygons in mm.

A section lies in x, y and an end in z, y: see `planes`. An end fits its mate when it begins where
the mate's moulded edge leaves off, so both come from one outline.
"""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING

from setupsheets.joinery.members.parts import Groove, MeetingRebate, Pane
from setupsheets.machining.cutting.planes import HAIR, Plane, extents, mm, polygon
from setupsheets.machining.operations import Subject
from setupsheets.shop.jobs import Allowances
from setupsheets.shop.outlines import Point
from setupsheets.shop.recipes import Makes, Work
from setupsheets.shop.sections import Member, Section

if TYPE_CHECKING:
    from shapely import Polygon


class Corner(StrEnum):
    """What is taken out of a section along a sight edge."""

    STICKING = "sticking"
    REBATE = "rebate"
    GROOVE = "groove"


Corners = frozenset[Corner]
ALL_CORNERS: Corners = frozenset(Corner)


def blank(
    subject: Subject, plane: Plane = Plane.SECTION, allowances: Allowances | None = None
) -> Polygon:
    """The blank in a plane, one corner at nought; ``allowances`` make it a rough one."""
    sizes = extents(subject, allowances)
    across, up = (sizes[axis] for axis in plane.axes)
    return polygon([(0, 0), (across, 0), (across, up), (0, up)])


def design(subject: Subject, work: Work, corners: Corners = ALL_CORNERS) -> Polygon:
    """What the design asks for once that work is done: the section, the end, the mortised section,
    the halved bar along its length.

    ``corners`` are those of the section that are asked for. For work on a whole blank, for beads
    and for flat panels that is the plain finished size. Raises ValueError where the subject lacks
    what the work needs.
    """
    if work is Work.END:
        return _end(subject)
    if work is Work.MORTISE:
        return _mortised(subject)
    if work is Work.HALVING:
        return _halved(subject)
    if work is Work.EDGE and subject.meeting is not None:
        return blank(subject).difference(polygon(meeting_points(subject, subject.meeting)))
    if work is Work.EDGE and subject.section is not None:
        return _section(subject, subject.section, corners)
    if work is Work.EDGE and subject.panel is not None and subject.panel.border:
        return polygon(raised_points(subject, subject.panel))
    return blank(subject)


def sight_edges(subject: Subject) -> int:
    """How many edges are moulded: 2 on a bar."""
    bar = subject.section is not None and subject.section.member is Member.BAR
    return 2 if bar else subject.sight_edges


def edge_grooves(subject: Subject) -> tuple[Groove | None, ...]:
    """What groove each sight edge has, None for a rebate."""
    return subject.grooves or (None,) * sight_edges(subject)


def worked_edges(makes: Makes | None, subject: Subject) -> tuple[int, ...]:
    """The sight edges that work along them is for: rebates go where there is no groove."""
    grooves = enumerate(edge_grooves(subject))
    if makes not in (Makes.REBATE, Makes.GROOVE):
        return tuple(edge for edge, _ in grooves)
    return tuple(edge for edge, groove in grooves if (groove is None) == (makes is Makes.REBATE))


def moulded_edge(
    section: Section,
    thickness: float,
    corners: Corners = ALL_CORNERS,
    groove: Groove | None = None,
) -> list[Point]:
    """The sight edge from face to back in mm, for wood so thick: sticking, tongue, and a rebate or
    else a groove."""
    rebate = mm(section.thickness - section.rebate.depth)
    width = mm(section.rebate.width)
    edge = [*section.sticking.points()] if Corner.STICKING in corners else [(0.0, 0.0)]
    if groove is not None:
        cut = groove_points(groove) if Corner.GROOVE in corners else []
        return [*edge, *(point for point in cut if point != edge[-1]), (0.0, thickness)]
    if rebate >= thickness or Corner.REBATE not in corners:
        return [*edge, (0.0, thickness)]
    return [*edge, (0.0, rebate), (width, rebate), (width, thickness)]


def _section(subject: Subject, section: Section, corners: Corners) -> Polygon:
    width, thickness = mm(subject.width), mm(section.thickness)
    near, *second = (
        moulded_edge(section, thickness, corners, groove) for groove in edge_grooves(subject)
    )
    far = [(width - x, y) for x, y in second[0]] if second else [(width, 0.0), (width, thickness)]
    return polygon([*near, *reversed(far)])


def meeting_points(subject: Subject, meeting: MeetingRebate) -> list[Point]:
    """A meeting stile's rebate in mm, out of the outer edge, from its wall round."""
    width, thickness = mm(subject.width), mm(subject.thickness)
    mouth = 0.0 if meeting.from_face else thickness
    wall, floor = width - mm(meeting.lap), abs(mouth - mm(meeting.depth))
    return [(wall, mouth), (wall, floor), (width, floor), (width, mouth)]


def raised_points(subject: Subject, panel: Pane) -> list[Point]:
    """A raised panel across its grain in mm, from its field's edge round: the border is sunk from
    the face all along, and the tongue left at the back."""
    width, thickness, border = mm(subject.width), mm(subject.thickness), mm(panel.border)
    sunk = thickness - mm(panel.tongue)
    near = [(border, 0.0), (border, sunk), (0.0, sunk), (0.0, thickness)]
    return [*near, *((width - x, y) for x, y in reversed(near))]


def groove_points(groove: Groove) -> list[Point]:
    """A groove's outline in mm, from its mouth towards the face round to the other side."""
    depth, first = mm(groove.depth), mm(groove.from_face)
    last = mm(groove.from_face + groove.width)
    return [(0.0, first), (depth, first), (depth, last), (0.0, last)]


def _end(subject: Subject) -> Polygon:
    """The mate's moulded edge turned over, its sight edge at the reach, and the tenon beyond it."""
    end = subject.end
    if end is None:
        raise ValueError("work on an end needs the end that is asked for")
    sizes, reach = extents(subject), mm(end.reach)
    edge = [(reach - x, y) for x, y in moulded_edge(end.mate, sizes["y"])]
    body = polygon([*edge, (sizes["z"], sizes["y"]), (sizes["z"], 0.0)])
    first = mm(end.tenon.from_face)
    last = mm(end.tenon.from_face + end.tenon.thickness)
    tenon = polygon([(0, first), (sizes["z"], first), (sizes["z"], last), (0, last)])
    return body.union(tenon)


def _mortised(subject: Subject) -> Polygon:
    mortise = subject.mortise
    if mortise is None:
        raise ValueError("work on a mortise needs the mortise that is asked for")
    first, last = mm(mortise.from_face), mm(mortise.from_face + mortise.thickness)
    depth = min(mm(mortise.depth), mm(subject.width) - HAIR)
    return blank(subject).difference(
        polygon([(0, first), (depth, first), (depth, last), (0, last)])
    )


def halving_points(subject: Subject) -> list[Point]:
    """A notch along the bar in mm, z from the bar's end, from its mouth round to its mouth."""
    halving = subject.halving
    if halving is None:
        raise ValueError("work across a halved bar needs the halving that is asked for")
    first, thickness = mm(subject.from_end), mm(subject.thickness)
    last = mm(subject.from_end + halving.end - halving.start)
    mouth = 0.0 if halving.from_face else thickness
    floor = abs(mouth - mm(halving.depth))
    return [(first, mouth), (first, floor), (last, floor), (last, mouth)]


def _halved(subject: Subject) -> Polygon:
    return blank(subject, Plane.END).difference(polygon(halving_points(subject)))
