"""Where on a test piece a thing is measured, as the names in its design formula say it.

What a measure should come to is a formula over the design; the same names say between which of the
piece's surfaces it lies. A recipe of a shop's own that asks for the same sizes is drawn as well.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from msgspec import Struct

from setupsheets.joinery.members.parts import Halving
from setupsheets.lengths import Length
from setupsheets.machining.operations import Subject
from setupsheets.shop.sections import Section

ZERO = Length.ZERO


class MeasurePlace(Struct, frozen=True):
    """A distance on a piece along its ``axis`` (x from the sight edge, y from the face, z from the
    end) from ``start`` to ``end``, read where ``beside`` says on the other axis of its picture.
    One that is ``over_all`` has its ``end`` counted from the piece's other end."""

    axis: str
    start: Length
    end: Length
    beside: Mapping[str, Length]
    over_all: bool = False


def place_of(names: frozenset[str], subject: Subject) -> MeasurePlace | None:
    """The place that the names in a measure's design formula mean on a subject; None where they
    mean none that is known."""
    for known, find in _PLACES.items():
        if names == known:
            return find(subject)
    return None


def _across(end: Length, y: Length, start: Length = ZERO, z: Length = ZERO) -> MeasurePlace:
    return MeasurePlace("x", start, end, {"y": y, "z": z})


def _down(end: Length, x: Length = ZERO, start: Length = ZERO, z: Length = ZERO) -> MeasurePlace:
    return MeasurePlace("y", start, end, {"x": x, "z": z})


def _section(subject: Subject) -> Section:
    assert subject.section is not None
    return subject.section


def _rebate_floor(subject: Subject) -> MeasurePlace:
    section = _section(subject)
    return _down(section.thickness - section.rebate.depth)


def _rebate_width(subject: Subject) -> MeasurePlace:
    section = _section(subject)
    return _across(section.rebate.width, section.thickness)


def _sticking_width(subject: Subject) -> MeasurePlace:
    return _across(_section(subject).sticking.width, ZERO)


def _sticking_depth(subject: Subject) -> MeasurePlace:
    return _down(_section(subject).sticking.depth)


def _tongue(subject: Subject) -> MeasurePlace:
    section = _section(subject)
    wide = section.rebate.width
    return _across(subject.width - wide, section.thickness, start=wide)


def _face_flat(subject: Subject) -> MeasurePlace:
    wide = _section(subject).sticking.width
    return _across(subject.width - wide, ZERO, start=wide)


def _groove_depth(subject: Subject) -> MeasurePlace | None:
    groove = subject.groove
    return _across(groove.depth, groove.from_face + groove.width / 2) if groove else None


def _groove_width(subject: Subject) -> MeasurePlace | None:
    groove = subject.groove
    if groove is None:
        return None
    return _down(groove.from_face + groove.width, start=groove.from_face)


def _groove_wall(subject: Subject) -> MeasurePlace | None:
    return _down(subject.groove.from_face) if subject.groove else None


def _mortise_depth(subject: Subject) -> MeasurePlace | None:
    found = subject.mortise
    if found is None:
        return None
    deep = found.depth / 2 if subject.through else found.depth
    return _across(deep, found.from_face + found.thickness / 2)


def _mortise_width(subject: Subject) -> MeasurePlace | None:
    found = subject.mortise
    return _down(found.from_face + found.thickness, start=found.from_face) if found else None


def _mortise_wall(subject: Subject) -> MeasurePlace | None:
    return _down(subject.mortise.from_face) if subject.mortise else None


def _length(subject: Subject) -> MeasurePlace:
    y = subject.thickness / 2
    if subject.end is not None:
        y = subject.end.tenon.from_face + subject.end.tenon.thickness / 2
    return MeasurePlace("z", ZERO, ZERO, {"x": subject.width / 2, "y": y}, over_all=True)


def _back(subject: Subject) -> MeasurePlace | None:
    end = subject.end
    if end is None:
        return None
    at = end.reach - end.mate.rebate.width
    return MeasurePlace("z", at, at, {"y": subject.thickness}, over_all=True)


def _face(subject: Subject) -> MeasurePlace | None:
    end = subject.end
    if end is None:
        return None
    at = end.reach - end.mate.sticking.width
    return MeasurePlace("z", at, at, {"y": ZERO}, over_all=True)


def _tenon(subject: Subject) -> MeasurePlace | None:
    end = subject.end
    if end is None:
        return None
    tenon, near = end.tenon, end.reach / 4
    return _down(tenon.from_face + tenon.thickness, start=tenon.from_face, z=near)


def _face_to_tenon(subject: Subject) -> MeasurePlace | None:
    end = subject.end
    return _down(end.tenon.from_face, z=end.reach - end.mate.sticking.width) if end else None


def _cope_depth(subject: Subject) -> MeasurePlace | None:
    end = subject.end
    return _down(end.mate.sticking.depth, z=end.reach) if end else None


def _notch(
    subject: Subject, place: Callable[[Halving, Length, Length], MeasurePlace]
) -> MeasurePlace | None:
    """A place at a notch, given its mouth and its floor, from the face."""
    found = subject.halving
    if found is None:
        return None
    mouth = ZERO if found.from_face else subject.thickness
    return place(found, mouth, found.depth if found.from_face else mouth - found.depth)


def _notch_depth(subject: Subject) -> MeasurePlace | None:
    return _notch(
        subject,
        lambda _, mouth, floor: _down(
            max(mouth, floor), start=min(mouth, floor), z=subject.from_end
        ),
    )


def _notch_width(subject: Subject) -> MeasurePlace | None:
    first = subject.from_end
    return _notch(
        subject,
        lambda found, mouth, _: MeasurePlace(
            "z", first, first + found.end - found.start, {"y": mouth}
        ),
    )


def _notch_place(subject: Subject) -> MeasurePlace | None:
    return _notch(
        subject, lambda _, mouth, __: MeasurePlace("z", ZERO, subject.from_end, {"y": mouth})
    )


def _width(subject: Subject) -> MeasurePlace:
    return _across(subject.width, subject.thickness / 2)


def _thickness(subject: Subject) -> MeasurePlace:
    return _down(subject.thickness, x=subject.width / 2)


def _border(subject: Subject) -> MeasurePlace | None:
    return _across(subject.panel.border, ZERO) if subject.panel else None


def _panel_tongue(subject: Subject) -> MeasurePlace | None:
    if subject.panel is None:
        return None
    return _down(subject.thickness, start=subject.thickness - subject.panel.tongue)


def _meeting_lap(subject: Subject) -> MeasurePlace | None:
    found = subject.meeting
    if found is None:
        return None
    mouth = ZERO if found.from_face else subject.thickness
    return _across(subject.width, mouth, start=subject.width - found.lap)


def _meeting_lip(subject: Subject) -> MeasurePlace | None:
    found = subject.meeting
    if found is None:
        return None
    left = subject.thickness - found.depth
    start = found.depth if found.from_face else ZERO
    return _down(start + left, x=subject.width, start=start)


_PLACES: Mapping[frozenset[str], Callable[[Subject], MeasurePlace | None]] = {
    frozenset({"section.thickness", "section.rebate.depth"}): _rebate_floor,
    frozenset({"section.rebate.width"}): _rebate_width,
    frozenset({"section.sticking.width"}): _sticking_width,
    frozenset({"section.sticking.depth"}): _sticking_depth,
    frozenset({"section.tongue.width"}): _tongue,
    frozenset({"section.face_flat"}): _face_flat,
    frozenset({"panel.groove.depth"}): _groove_depth,
    frozenset({"panel.groove.width"}): _groove_width,
    frozenset({"panel.groove.from_face"}): _groove_wall,
    frozenset({"mortise.depth"}): _mortise_depth,
    frozenset({"mortise.depth", "mortise.edges"}): _mortise_depth,
    frozenset({"mortise.thickness"}): _mortise_width,
    frozenset({"mortise.from_face"}): _mortise_wall,
    frozenset({"part.length"}): _length,
    frozenset({"part.back"}): _back,
    frozenset({"part.face"}): _face,
    frozenset({"tenon.thickness"}): _tenon,
    frozenset({"tenon.from_face"}): _face_to_tenon,
    frozenset({"mate.sticking.depth"}): _cope_depth,
    frozenset({"halving.depth"}): _notch_depth,
    frozenset({"halving.width"}): _notch_width,
    frozenset({"halving.from_end"}): _notch_place,
    frozenset({"part.width"}): _width,
    frozenset({"part.width", "allowance.width"}): _width,
    frozenset({"bead.width"}): _width,
    frozenset({"part.thickness"}): _thickness,
    frozenset({"bead.depth"}): _thickness,
    frozenset({"meeting.lap"}): _meeting_lap,
    frozenset({"part.thickness", "meeting.depth"}): _meeting_lip,
    frozenset({"panel.border"}): _border,
    frozenset({"panel.tongue"}): _panel_tongue,
}
