"""The width rod of a pair: both leaves as they hang, fitted, with their gap, lap or cover strip."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TypeVar

from msgspec.structs import replace

from setupsheets.joinery.members.parts import Role
from setupsheets.joinery.members.rod_strips import (
    MeetingEdge,
    RodBeyond,
    RodCover,
    RodCut,
    RodHidden,
    RodMark,
    RodPane,
    RodStrip,
    edges_of,
)
from setupsheets.joinery.members.stick import Line
from setupsheets.lengths import Length
from setupsheets.shop.jobs import Meeting, Opening, Side

_Along = TypeVar("_Along", RodHidden, RodPane, RodBeyond)

MEETING_STILE = "meeting stile"
_TURNED: Mapping[Line, Line] = {
    Line.MORTISE_START: Line.MORTISE_END,
    Line.MORTISE_END: Line.MORTISE_START,
    Line.HALVING_START: Line.HALVING_END,
    Line.HALVING_END: Line.HALVING_START,
}


def both_leaves(strip: RodStrip, opening: Opening) -> RodStrip:
    """A strip of the left leaf as it is made, with the right one's beside it, its mirror image.
    What is left on for fitting is off both meeting edges, and marked."""
    left = _left(strip, opening)
    span = opening.greatest[0] - 2 * opening.clearances.hinge
    right = _mirrored(left, span)
    cover, over = None, list[RodMark]()
    if opening.pair in (Meeting.ASTRAGAL, Meeting.STRIP):
        half = opening.strip_width / 2
        cover = RodCover(span / 2 - half, span / 2 + half, opening.strip_thickness)
        over = [RodMark(Line.COVER, at) for at in (cover.low, cover.high)]
    return RodStrip(
        fields=strip.fields,
        cuts=(*left.cuts, *right.cuts),
        hidden=(*left.hidden, *right.hidden),
        panes=(*left.panes, *right.panes),
        beyond=(*left.beyond, *right.beyond),
        marks=(*left.marks, *right.marks, *over),
        cover=cover,
    )


def _left(strip: RodStrip, opening: Opening) -> RodStrip:
    """The left leaf as fitted: its right stile is the meeting stile."""
    leaf, (hanging, other, *rest) = Side.LEFT, strip.cuts
    edge = other.high - opening.fitting
    meets = MeetingEdge(Side.RIGHT, opening.lap, from_face=False)
    meeting = replace(other, part=MEETING_STILE, high=edge, meets=meets)
    own = [RodMark(Line.REBATE_WALL, edge - opening.lap, MEETING_STILE)] if opening.lap else []
    own += [RodMark(Line.BEFORE_FITTING, other.high, MEETING_STILE)] if opening.fitting else []
    marks = (
        *edges_of((hanging, meeting)),
        *own,
        *(mark for mark in strip.marks if mark.role is not Role.STILE),
    )
    return replace(
        strip,
        cuts=tuple(replace(cut, leaf=leaf) for cut in (hanging, meeting, *rest)),
        marks=tuple(replace(mark, leaf=leaf) for mark in marks),
    )


def _mirrored(strip: RodStrip, span: Length) -> RodStrip:
    """The right leaf, from the left one: what lay at a place lies as far from the other end."""

    def turned(all_of: Iterable[_Along]) -> tuple[_Along, ...]:
        return tuple(replace(one, start=span - one.end, end=span - one.start) for one in all_of)

    return replace(
        strip,
        cuts=tuple(_cut(each, span) for each in strip.cuts),
        hidden=turned(strip.hidden),
        panes=turned(strip.panes),
        beyond=turned(strip.beyond),
        marks=tuple(_mark(each, span) for each in strip.marks),
    )


def _mark(mark: RodMark, span: Length) -> RodMark:
    line = _TURNED.get(mark.line, mark.line)
    return replace(mark, line=line, at=span - mark.at, leaf=Side.RIGHT)


def _cut(cut: RodCut, span: Length) -> RodCut:
    meets = cut.meets and replace(cut.meets, at=Side.LEFT, from_face=not cut.meets.from_face)
    return replace(
        cut,
        low=span - cut.high,
        high=span - cut.low,
        moulded=cut.moulded[::-1],
        grooves=cut.grooves[::-1],
        meets=meets,
        leaf=Side.RIGHT,
    )
