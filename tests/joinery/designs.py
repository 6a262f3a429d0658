"""Leaves of plain design for the tests; sizes are invented unless a test says otherwise."""

from __future__ import annotations

from fractions import Fraction

from msgspec.structs import replace

from setupsheets.lengths import Length, Notation, Unit
from setupsheets.shop.jobs import (
    Bars,
    Fill,
    FrameField,
    Glazing,
    Job,
    Joints,
    Leaf,
    Rail,
    Stile,
)
from setupsheets.shop.outlines import Shape
from setupsheets.shop.sections import Member, Rebate, Section, Sticking

SIXTY_FOURTHS = Notation(Unit.IN, Fraction(1, 64))
FINEST = Length("1/64 in")


def inches(text: str) -> Length:
    return Length(f"{text} in")


FRAME = Section(
    name="frame",
    title="Frame, 1 3/8 thick",
    member=Member.FRAME,
    thickness=inches("1 3/8"),
    sticking=Sticking(Shape.OVOLO, inches("3/8"), inches("3/8")),
    rebate=Rebate(inches("7/16"), inches("3/4")),
)
BAR = replace(FRAME, name="bar", title="Bar, 1 1/8 wide", member=Member.BAR, width=inches("1 1/8"))
SECTIONS = {"frame": FRAME, "bar": BAR}


def leaf(
    sight_width: str = "18",
    sight_height: str = "40",
    rows: int = 4,
    columns: int = 1,
    **changes: object,
) -> Job:
    """A one-field leaf with the given sight opening, 3 in stiles and rails."""
    three = inches("3")
    width, height = inches(sight_width) + 2 * three, inches(sight_height) + 2 * three
    job = Job(
        name="test",
        title="Test leaf",
        timber="white-oak",
        leaf=Leaf(width, height),
        stiles=Stile("frame", three, horn=inches("1")),
        rails=(
            Rail("top rail", three, "frame", haunch=inches("1")),
            Rail("bottom rail", three, "frame", haunch=inches("1")),
        ),
        fields=(FrameField(Fill.GLASS, rows, columns),),
        bars=Bars("bar"),
        joints=Joints(
            rail_mortise=inches("1 1/4"),
            bar_mortise=inches("1 1/4"),
            bar_in_bar_mortise=inches("9/16"),
        ),
        glazing=Glazing(thickness=inches("1/8"), clearance=inches("1/8")),
    )
    return replace(job, **changes)


def two_fields(lower: Fill = Fill.GLASS, **changes: object) -> Job:
    """A leaf with a lock rail 5 in wide between a field of 3 by 2 lights and one of 1 by 2."""
    job = leaf("20", "65", 1, 1, **changes)
    top, bottom = job.rails
    lock = Rail("lock rail", inches("5"), "frame")
    divided = lower is Fill.GLASS
    fields = (
        FrameField(Fill.GLASS, 3, 2, inches("40")),
        FrameField(lower, 1, 2 if divided else 1),
    )
    panel = replace(job.glazing, panel_thickness=inches("1/4"))
    return replace(job, rails=(top, lock, bottom), fields=fields, glazing=panel)
