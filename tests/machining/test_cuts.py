"""Cuts and shapes against plane geometry worked by hand and the geometry library's areas."""

from __future__ import annotations

import math
from typing import Any

import pytest
import shapely
from msgspec.structs import replace
from shapely import box

from setupsheets.machining.cutting.cuts import cut, kept, run
from setupsheets.machining.cutting.planes import CutError, Plane
from setupsheets.machining.cutting.shapes import blank, design
from setupsheets.machining.operations import Operation
from setupsheets.shop.cutters import Cutter, CutterType
from setupsheets.shop.jobs import Allowances
from setupsheets.shop.machine_kinds import MachineType
from setupsheets.shop.outlines import FLATNESS, Shape
from setupsheets.shop.recipes import MeasuredTo, Surface, Work
from setupsheets.shop.sections import Member, Sticking
from tests.machining.handmade import (
    OVOLO,
    bit,
    blade,
    end,
    inches,
    machine,
    millimetres,
    mm,
    mortise,
    operation,
    section,
    subject,
    with_figures,
)

NEAR, FAR, CENTRE = MeasuredTo.NEAR, MeasuredTo.FAR, MeasuredTo.CENTRE
SAW, CROSSCUT, ROUTER = MachineType.TABLE_SAW, MachineType.CROSSCUT_SAW, MachineType.ROUTER_TABLE
FACE, BACK = Surface.FACE, Surface.BACK
SIGHT, OUTER, END = Surface.SIGHT_EDGE, Surface.OUTER_EDGE, Surface.END


def inch_box(x0: str, y0: str, x1: str, y1: str) -> shapely.Polygon:
    return box(mm(x0), mm(y0), mm(x1), mm(y1))


def same(one: shapely.Geometry, other: shapely.Geometry) -> bool:
    return bool(one.symmetric_difference(other).area < 1e-6)


# Where a cut falls in a 2 1/4 x 1 3/8 section, by hand: x from the sight edge, y from the face.
PLACES = [
    # saw below the table: from the back, 7/16 to the far side of a 1/8 kerf, 5/8 high
    (SAW, "blade", BACK, SIGHT, [("fence", "7/16", FAR), ("height", "5/8")],
     ("5/16", "3/4", "7/16", "1 3/8")),
    # the same measured to the near side, face down
    (SAW, "blade", FACE, SIGHT, [("fence", "7/16", NEAR), ("height", "5/8")],
     ("7/16", "0", "9/16", "5/8")),
    # to the middle of the blade, from the outer edge
    (SAW, "blade", FACE, OUTER, [("fence", "1", CENTRE), ("height", "1/2")],
     ("1 3/16", "0", "1 5/16", "1/2")),
    # on edge, face to the fence: u runs through the thickness, v up from the sight edge
    (SAW, "blade", SIGHT, FACE, [("fence", "3/4"), ("height", "3/8")],
     ("0", "3/4", "3/8", "7/8")),
    # on the other edge, back to the fence
    (SAW, "blade", OUTER, BACK, [("fence", "1/4"), ("height", "1")],
     ("1 1/4", "1", "2 1/4", "1 1/8")),
    # straight bit standing out 3/8 in front of the fence
    (ROUTER, "straight", FACE, SIGHT, [("fence", "3/8", FAR), ("height", "1/4")],
     ("0", "0", "3/8", "1/4")),
    # slot cutter 1/4 thick with its top 1/2 above the table
    (ROUTER, "slot", FACE, SIGHT, [("fence", "3/8", FAR), ("height", "1/2")],
     ("0", "1/4", "3/8", "1/2")),
    # rebate block standing out 7/16 in front of the fence, its top 1/2 above the table
    (MachineType.SPINDLE_MOULDER, "block", BACK, SIGHT, [("fence", "7/16", FAR), ("height", "1/2")],
     ("0", "7/8", "7/16", "1 3/8")),
]  # fmt: skip
CUTTERS = {
    "blade": blade(),
    "straight": bit(CutterType.STRAIGHT_BIT),
    "slot": bit(CutterType.SLOT_CUTTER, kerf=inches("1/4")),
    "block": bit(CutterType.REBATE_BLOCK, "5", length=inches("2")),
}


@pytest.mark.parametrize(("kind", "tool", "down", "against", "settings", "expected"), PLACES)
def test_a_cut_falls_where_plane_geometry_says(
    kind: MachineType, tool: str, down: Surface, against: Surface, settings: Any, expected: Any
) -> None:
    made = operation("cut", kind, CUTTERS[tool], Work.EDGE, down, against, settings)
    (stage,) = run([made], subject())
    assert same(stage.removed, inch_box(*expected))
    assert same(stage.after, stage.before.difference(inch_box(*expected)))


def test_there_are_as_many_places_as_written() -> None:
    assert len(PLACES) == 8


def test_both_edges_of_a_bar_are_cut_alike_and_one_edge_of_a_stile_only() -> None:
    grooves = [("fence", "7/16", FAR), ("height", "5/8")]
    groove = operation("groove", SAW, blade(), Work.EDGE, BACK, SIGHT, grooves, both=True)
    bar = subject(section(Member.BAR), "1 1/8")
    near, far = ("5/16", "3/4", "7/16", "1 3/8"), ("11/16", "3/4", "13/16", "1 3/8")
    assert same(run([groove], bar)[0].removed, inch_box(*near).union(inch_box(*far)))
    assert same(run([groove], subject())[0].removed, inch_box(*near))


def test_clearing_takes_all_between_the_fence_and_the_cut() -> None:
    settings = [("fence", "7/16", FAR), ("height", "5/8")]
    made = operation("rebate", SAW, blade(), Work.EDGE, BACK, SIGHT, settings, clears=True)
    (stage,) = run([made], subject())
    assert same(stage.removed, inch_box("0", "3/4", "7/16", "1 3/8"))
    assert same(stage.cut.runs[0].cutter.intersection(stage.before),
                inch_box("5/16", "3/4", "7/16", "1 3/8"))  # fmt: skip


def test_a_strip_that_two_cuts_free_falls_off() -> None:
    groove = operation("groove", SAW, blade(), Work.EDGE, BACK, SIGHT,
                       [("fence", "7/16", FAR), ("height", "5/8")])  # fmt: skip
    strip = operation("strip", SAW, blade(), Work.EDGE, SIGHT, FACE,
                      [("fence", "3/4"), ("height", "3/8")], leaves_offcut=True)  # fmt: skip
    first, second = run([groove, strip], subject())
    (offcut,) = second.offcuts
    assert first.offcuts == ()
    assert same(offcut, inch_box("0", "7/8", "5/16", "1 3/8"))
    assert same(second.after, blank(subject()).difference(inch_box("0", "3/4", "7/16", "1 3/8")))


def test_a_crosscut_saw_works_from_above_and_a_stop_counts_from_the_end() -> None:
    settings = [("stop", "13/16", FAR), ("height", "3/4")]
    made = operation("shoulder", CROSSCUT, blade(), Work.END, FACE, END, settings)
    (stage,) = run([made], subject(end=end()))
    assert stage.cut.plane is Plane.END
    assert same(stage.removed, inch_box("11/16", "3/4", "13/16", "1 3/8"))


def test_what_goes_on_is_the_piece_that_the_end_lies_in_however_small_it_is() -> None:
    """Of an end of 1 5/16 with its shoulders, parted 1 3/4 from its tip: less is left than falls
    off, but the shoulders are there (plane geometry). Where all of it is taken nothing goes on."""
    settings = [("stop", "1 3/4", FAR), ("height", "0")]
    made = operation("part", CROSSCUT, blade(), Work.END, FACE, END, settings)
    (stage,) = run([made], subject(end=end()))
    assert same(stage.after, inch_box("1 3/4", "0", "2 5/8", "1 3/8"))
    assert [each.area for each in stage.offcuts] == pytest.approx([mm("1 5/8") * mm("1 3/8")])
    everything = blank(subject())
    assert kept(everything.difference(everything), everything).is_empty


def test_what_widens_a_cut_stands_on_the_side_that_its_fence_is_not_measured_to() -> None:
    """A kerf of 1/8 widened to 1/2: away from the fence where that is measured to the near side,
    towards it where to the far one (plane geometry)."""
    for to, first, last in ((NEAR, "3/4", "1 1/4"), (FAR, "1/4", "3/4")):
        made = operation("groove", SAW, blade(), Work.EDGE, BACK, SIGHT,
                         [("fence", "3/4", to), ("height", "1/4")])  # fmt: skip
        (stage,) = run([replace(made, wide=inches("1/2"))], subject())
        assert same(stage.removed, inch_box(first, "1 1/8", last, "1 3/8"))


@pytest.mark.parametrize(
    ("kind", "settings"),
    [
        (MachineType.MORTISER, [("fence", "7/16", NEAR), ("depth", "1 5/16")]),
        (MachineType.DRILL_PRESS, [("fence", "9/16", CENTRE), ("depth", "1 5/16")]),
    ],
)
def test_a_mortise_is_sunk_from_the_edge_that_is_up(kind: MachineType, settings: Any) -> None:
    tool = bit(CutterType.DRILL_BIT, "1/4")
    made = operation("bore", kind, tool, Work.MORTISE, OUTER, FACE, settings)
    stile = subject(mortise=mortise())
    (stage,) = run([made], stile)
    assert same(stage.removed, inch_box("0", "7/16", "1 5/16", "11/16"))
    assert same(stage.after, design(stile, Work.MORTISE))


def test_a_planer_takes_what_stands_over_its_thickness() -> None:
    made = operation("plane", MachineType.PLANER, None, Work.BLANK, FACE, None,
                     [("thickness", "1 3/8")])  # fmt: skip
    over = Allowances(thickness=inches("1/8"), width=inches("1/4"))
    (stage,) = run([made], subject(), over)
    assert same(stage.removed, inch_box("0", "1 3/8", "2 1/2", "1 1/2"))


def test_a_blank_is_ripped_and_cut_to_length_from_a_rough_one() -> None:
    over = Allowances(length=inches("1"), width=inches("1/4"))
    rip = operation("rip", SAW, blade(), Work.BLANK, FACE, SIGHT, [("fence", "2 1/4")])
    length = operation("crosscut", CROSSCUT, blade(), Work.BLANK, FACE, END, [("stop", "24")])
    ripped, cut_off = run([rip, length], subject(), over)
    assert same(ripped.after, blank(subject()))
    assert same(cut_off.after, inch_box("0", "0", "24", "1 3/8"))
    assert same(cut_off.offcuts[0], inch_box("24 1/8", "0", "25", "1 3/8"))


# What a shape takes out of a corner of width w and depth d, by hand: an ovolo leaves a quarter
# round, so r^2 - pi r^2/4 goes and the quirk's strip; a cove takes the quarter circle itself; a
# chamfer half the rectangle; an ogee's hollow and round of equal radius balance; a square all.
R = 9.0
CORNERS = [
    (Shape.OVOLO, "9", "10", R * R * (1 - math.pi / 4) + 9 * 1),
    (Shape.COVE, "9", "10", R * R * math.pi / 4 + 9 * 1),
    (Shape.CHAMFER, "9", "10", 9 * 10 / 2),
    (Shape.OGEE, "9", "10", 9 * 1 + 9 * 9 / 2),
    (Shape.SQUARE, "9", "10", 9 * 10),
]


@pytest.mark.parametrize(("shape", "width", "depth", "expected"), CORNERS)
def test_the_corner_that_a_bit_takes_has_the_area_worked_by_hand(
    shape: Shape, width: str, depth: str, expected: float
) -> None:
    quirk = millimetres("1") if shape in (Shape.OVOLO, Shape.COVE, Shape.OGEE) else millimetres("0")
    sticking = Sticking(shape, millimetres(width), millimetres(depth), quirk)
    tool = bit(CutterType.STICKING_BIT, "2", profile=sticking)
    made = sticking_operation(tool, sticking)
    (stage,) = run([made], subject())
    arc_error = FLATNESS * math.pi / 2 * R  # a chord strays by no more, along a quarter circle
    assert stage.removed.area == pytest.approx(expected, abs=arc_error)


def sticking_operation(tool: Cutter, sticking: Sticking) -> Operation:
    made = operation("sticking", ROUTER, tool, Work.EDGE, FACE, SIGHT)
    return with_figures(made, fence=sticking.width, height=sticking.depth)


def test_a_sticking_bit_set_to_its_profile_leaves_the_section_asked_for() -> None:
    plain = section(rebate=("0", "0"))
    tool = bit(CutterType.STICKING_BIT, profile=OVOLO)
    (stage,) = run([sticking_operation(tool, OVOLO)], subject(plain))
    assert same(stage.after, design(subject(plain), Work.EDGE))


def test_a_bit_set_too_high_cuts_the_whole_profile_lower_with_a_square_step_under_it() -> None:
    """With the height 1/16 over, the moulding moves 1/16 into the wood and the step is as wide."""
    tool = bit(CutterType.STICKING_BIT, profile=OVOLO)
    true, high = (
        run([with_figures(sticking_operation(tool, OVOLO), fence=OVOLO.width, height=height)],
            subject())[0].removed.area
        for height in (OVOLO.depth, OVOLO.depth + inches("1/16"))
    )  # fmt: skip
    assert high - true == pytest.approx(mm("1/16") * mm("3/8"))


def test_a_cope_is_the_stickings_reverse() -> None:
    """Laid together the coped end and the moulded edge fill the rectangle without a gap."""
    tool = bit(CutterType.COPE_BIT, "2", profile=OVOLO)
    fence, height = inches("1 1/4"), OVOLO.depth
    made = with_figures(operation("cope", ROUTER, tool, Work.END, FACE, END),
                        fence=fence, height=height)  # fmt: skip
    (stage,) = run([made], subject(end=end()))
    outline = [(mm("1 1/4") - x, y) for x, y in OVOLO.points()]
    mate = shapely.Polygon([(mm("1 1/4") - 60, 0), *outline, (mm("1 1/4") - 60, outline[-1][1])])
    below = box(0, 0, mm("2 5/8"), mm("7/16"))
    assert same(stage.after.intersection(below), below.difference(mate))
    assert same(stage.after.difference(below), box(0, mm("7/16"), mm("2 5/8"), mm("1 3/8")))


def test_the_end_that_is_asked_for_has_the_three_lengths_of_the_design() -> None:
    """A 1 1/4 reach, a 3/8 sticking and a 7/16 rebate: face 7/8, back 13/16 and tongue 1 1/4."""
    mate = section(rebate=("7/16", "5/8"))  # a sixteenth of the tongue shows behind the tenon
    shape = design(subject(mate, end=end(mate)), Work.END)

    def begins(y: str) -> float:
        level = shapely.LineString([(-1, mm(y)), (200, mm(y))])
        return float(shape.intersection(level).bounds[0])

    assert begins("0") == pytest.approx(mm("7/8"))
    assert begins("1/2") == pytest.approx(0)
    assert begins("23/32") == pytest.approx(mm("1 1/4"))
    assert begins("1") == pytest.approx(mm("13/16"))


def test_a_machine_sees_the_part_as_it_lies_and_back_again() -> None:
    made = operation("groove", SAW, blade(), Work.EDGE, BACK, OUTER,
                     [("fence", "1/2"), ("height", "1/4")])  # fmt: skip
    made_cut = cut(made, subject())
    assert made_cut is not None
    (only,) = made_cut.runs
    assert only.placement.view(only.cutter).bounds[0::2] == pytest.approx((mm("1/2"), mm("5/8")))
    assert only.placement.view(blank(subject())).bounds == pytest.approx(
        (0, 0, mm("2 1/4"), mm("1 3/8"))
    )
    assert same(only.placement.place(only.placement.view(only.takes)), only.takes)
    assert only.table.bounds[1] == only.table.bounds[3] == pytest.approx(mm("1 3/8"))
    assert only.fence is not None and only.fence.bounds[0] == pytest.approx(mm("2 1/4"))


def test_hand_work_cuts_nothing_in_any_plane() -> None:
    assert cut(operation("pare", MachineType.BENCH, None, Work.HAND), subject()) is None


def test_bench_work_on_an_end_leaves_the_shape_as_it_is() -> None:
    made = operation("pare", MachineType.BENCH, None, Work.END, FACE, END)
    (stage,) = run([made], subject(end=end()))
    assert same(stage.before, stage.after)


BARE = Cutter("bare", "Bare", CutterType.STRAIGHT_BIT)
REFUSED: list[tuple[dict[str, Any], str]] = [
    ({"on": SAW, "cutter": blade(), "against": SIGHT, "settings": [("height", "1")]},
     "it has neither fence nor stop"),
    ({"on": SAW, "against": SIGHT, "settings": [("fence", "1")]}, "it has no cutter"),
    ({"on": SAW, "cutter": blade(), "down": None, "settings": [("fence", "1")]},
     "which surface is down on the table is not said"),
    ({"on": SAW, "cutter": blade(), "against": BACK, "settings": [("fence", "1")]},
     "face down and back against are the same way round"),
    ({"on": ROUTER, "cutter": bit(CutterType.COPE_BIT), "settings": [("height", "1")]},
     "cope_bit lacks its profile or diameter"),
    ({"on": ROUTER, "cutter": BARE, "settings": [("height", "1")]}, "bare has no diameter"),
    ({"on": ROUTER, "cutter": blade(), "settings": [("fence", "1")]}, "its height is not set"),
    ({"on": MachineType.PLANER, "settings": [("height", "1")]}, "its thickness is not set"),
]  # fmt: skip


@pytest.mark.parametrize(("said", "lacks"), REFUSED)
def test_what_an_operation_lacks_is_named(said: dict[str, Any], lacks: str) -> None:
    with pytest.raises(CutError, match=f"^odd: {lacks}$"):
        cut(operation("odd", **{"down": FACE, "against": None, **said}), subject())


def test_a_tall_wooden_fence_is_drawn_as_high_as_it_stands() -> None:
    saw = machine(SAW, fence_height=inches("3"))
    made = operation("groove", saw, blade(), Work.EDGE, BACK, SIGHT,
                     [("fence", "1/2"), ("height", "1/4")])  # fmt: skip
    made_cut = cut(made, subject())
    assert made_cut is not None and made_cut.runs[0].fence is not None
    assert made_cut.runs[0].fence.length == pytest.approx(mm("3"))
