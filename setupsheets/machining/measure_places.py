"""Where on a test piece a thing is measured, as the names in its design formula say it.

What a measure should come to is a formula over the design; the same names say between which of the
piece's surfaces it lies. A recipe of a shop's own that asks for the same sizes is drawn as well.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from msgspec import Struct

from setupsheets.lengths import Length
from setupsheets.machining.operations import Subject

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
    mean none that is known, or none that it has."""
    first, *_ = ordered = sorted(names) or [""]
    places = _PLACES.get(first.partition(".")[0])
    return places(subject).get(" ".join(ordered)) if places else None


Places = Mapping[str, MeasurePlace]
"""By the names of a formula, in order."""


def _across(end: Length, y: Length, start: Length = ZERO, z: Length = ZERO) -> MeasurePlace:
    return MeasurePlace("x", start, end, {"y": y, "z": z})


def _down(end: Length, x: Length = ZERO, start: Length = ZERO, z: Length = ZERO) -> MeasurePlace:
    return MeasurePlace("y", start, end, {"x": x, "z": z})


def _in_section(subject: Subject) -> Places:
    if (section := subject.section) is None:
        return {}
    rebate, sticking = section.rebate.width, section.sticking.width
    thick, wide = section.thickness, subject.width
    return {
        "section.rebate.depth section.thickness": _down(thick - section.rebate.depth),
        "section.rebate.width": _across(rebate, thick),
        "section.sticking.width": _across(sticking, ZERO),
        "section.sticking.depth": _down(section.sticking.depth),
        "section.tongue.width": _across(wide - rebate, thick, start=rebate),
        "section.face_flat": _across(wide - sticking, ZERO, start=sticking),
    }


def _in_panel(subject: Subject) -> Places:
    """In the groove for a panel, and on a panel itself."""
    found: dict[str, MeasurePlace] = {}
    if groove := subject.groove:
        near, far = groove.from_face, groove.from_face + groove.width
        found["panel.groove.depth"] = _across(groove.depth, near + groove.width / 2)
        found["panel.groove.width"] = _down(far, start=near)
        found["panel.groove.from_face"] = _down(near)
    if panel := subject.panel:
        found["panel.border"] = _across(panel.border, ZERO)
        sunk = subject.thickness - panel.tongue
        found["panel.tongue"] = _down(subject.thickness, start=sunk)
    return found


def _in_mortise(subject: Subject) -> Places:
    if (mortise := subject.mortise) is None:
        return {}
    near, thick = mortise.from_face, mortise.thickness
    deep = _across(mortise.depth / 2 if subject.through else mortise.depth, near + thick / 2)
    return {
        "mortise.depth": deep,
        "mortise.depth mortise.edges": deep,
        "mortise.thickness": _down(near + thick, start=near),
        "mortise.from_face": _down(near),
    }


def _on_end(subject: Subject) -> Places:
    if (end := subject.end) is None:
        return {}
    near, thick = end.tenon.from_face, end.tenon.thickness
    return {
        "tenon.thickness": _down(near + thick, start=near, z=end.reach / 4),
        "tenon.from_face": _down(near, z=end.reach - end.mate.sticking.width),
        "mate.sticking.depth": _down(end.mate.sticking.depth, z=end.reach),
    }


def _at_notch(subject: Subject) -> Places:
    if (notch := subject.halving) is None:
        return {}
    thick, first = subject.thickness, subject.from_end
    mouth = ZERO if notch.from_face else thick
    floor = notch.depth if notch.from_face else thick - notch.depth
    return {
        "halving.depth": _down(max(mouth, floor), start=min(mouth, floor), z=first),
        "halving.width": MeasurePlace("z", first, first + notch.end - notch.start, {"y": mouth}),
        "halving.from_end": MeasurePlace("z", ZERO, first, {"y": mouth}),
    }


def _where_leaves_meet(subject: Subject) -> Places:
    if (rebate := subject.meeting) is None:
        return {}
    wide, thick = subject.width, subject.thickness
    mouth, start = (ZERO, rebate.depth) if rebate.from_face else (thick, ZERO)
    lip = _down(start + thick - rebate.depth, x=wide, start=start)
    return {
        "meeting.lap": _across(wide, mouth, start=wide - rebate.lap),
        "meeting.depth part.thickness": lip,
    }


def _on_piece(subject: Subject) -> Places:
    """Over the whole piece, and between its shoulders."""
    thick, end = subject.thickness, subject.end
    width, thickness = _across(subject.width, thick / 2), _down(thick, x=subject.width / 2)
    middle = end.tenon.from_face + end.tenon.thickness / 2 if end else thick / 2
    beside = {"x": subject.width / 2, "y": middle}
    found = {
        **dict.fromkeys(("part.width", "allowance.width part.width", "bead.width"), width),
        **dict.fromkeys(("part.thickness", "bead.depth"), thickness),
        "part.length": MeasurePlace("z", ZERO, ZERO, beside, over_all=True),
    }
    if end:
        back, face = (end.reach - each.width for each in (end.mate.rebate, end.mate.sticking))
        found["part.back"] = MeasurePlace("z", back, back, {"y": thick}, over_all=True)
        found["part.face"] = MeasurePlace("z", face, face, {"y": ZERO}, over_all=True)
    return found


_PLACES: Mapping[str, Callable[[Subject], Places]] = {
    "section": _in_section,
    "panel": _in_panel,
    "mortise": _in_mortise,
    **dict.fromkeys(("tenon", "mate"), _on_end),
    "halving": _at_notch,
    "meeting": _where_leaves_meet,
    **dict.fromkeys(("part", "allowance", "bead"), _on_piece),
}
"""By the first word of a formula's first name in order."""
