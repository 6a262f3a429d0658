"""Bearing, centre of gravity and steadiness against plane geometry worked by hand, and the bar
made in the wrong order."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

import pytest
from msgspec.structs import replace
from shapely import Polygon, box

from setupsheets.lengths import Notation, Unit
from setupsheets.machining.cutting.cuts import run
from setupsheets.machining.cutting.planes import Placement, Plane
from setupsheets.machining.operations import FittedJig, Operation, Subject
from setupsheets.machining.support.bearing import bearing, footprint
from setupsheets.machining.support.runs import Cure, Support, supports
from setupsheets.shop.cutters import CutterType
from setupsheets.shop.machine_kinds import MachineType
from setupsheets.shop.recipes import JigKind, MeasuredTo, Surface, Work
from setupsheets.shop.sections import Member
from setupsheets.wording.support import cure_words, steady_words, support_words
from tests.machining.handmade import (
    OVOLO,
    bit,
    blade,
    end,
    inches,
    machine,
    mm,
    operation,
    section,
    subject,
    with_figures,
)

FAR = MeasuredTo.FAR
FACE, BACK, SIGHT = Surface.FACE, Surface.BACK, Surface.SIGHT_EDGE
SAW = machine(MachineType.TABLE_SAW, fence_height=inches("3"), table_opening=inches("3/8"))
ROUTER = machine(MachineType.ROUTER_TABLE, fence_height=inches("3"), table_opening=inches("2"))
AS_DRAWN = Placement(Plane.SECTION, (1, 0, 0.0), (0, 1, 0.0))
NOTATION = Notation(Unit.IN, Fraction(1, 64))


def test_a_plain_square_bears_on_all_of_its_two_sides() -> None:
    found = bearing(footprint(box(0, 0, 40, 30), AS_DRAWN))
    assert found.table == ((0, 40),)
    assert found.fence == ((0, 30),)
    assert found.centre == pytest.approx((20, 15))
    assert found.held
    assert found.levers == pytest.approx((20, 20))


def test_the_opening_is_no_table_and_a_short_part_falls_into_it() -> None:
    square = box(0, 0, 40, 30)
    long = bearing(footprint(square, AS_DRAWN), opening=(-10, 25))
    short = bearing(footprint(square, AS_DRAWN), opening=(-10, 25), bridges=False)
    assert long.beside == short.beside == ((25, 40),)
    assert long.on_table == 15
    assert long.base == (0, 40)
    assert short.base == (25, 40)
    assert short.margin < 0


def test_the_centre_of_gravity_of_a_t_is_where_statics_puts_it() -> None:
    """A T of 40 x 10 on a stem of 10 x 30: areas 400 at 35 and 300 at 15, centre 26.4286 up.

    It stands on its stem: the lever is 5 less a quarter of the height of its centre."""
    tee = Polygon([(15, 0), (25, 0), (25, 30), (40, 30), (40, 40), (0, 40), (0, 30), (15, 30)])
    found = bearing(footprint(tee, AS_DRAWN))
    assert found.centre == pytest.approx((20, (400 * 35 + 300 * 15) / 700))
    assert found.table == ((15, 25),)
    assert found.fence == ((30, 40),)
    assert not found.held  # the fence bears on a quarter of its height only
    assert found.margin == pytest.approx(5 - 26.4286 / 4, abs=1e-4)
    assert found.hollows == ((15, 30), (15, 30))
    at_its_foot = bearing(footprint(tee, AS_DRAWN), fence_height=30)
    assert (at_its_foot.fence, at_its_foot.over) == ((), (30, 40))
    over_it = bearing(footprint(tee, AS_DRAWN), fence_height=31)
    assert (over_it.fence, over_it.over) == (((30, 31),), None)


@pytest.mark.parametrize(
    ("fence_height", "held"), [(100, True), (27, True), (26, False), (20, False), (0, False)]
)
def test_a_fence_holds_a_part_upright_from_two_thirds_of_its_height(
    fence_height: float, held: bool
) -> None:
    assert bearing(footprint(box(0, 0, 5, 40), AS_DRAWN), fence_height=fence_height).held is held


def test_a_filler_strip_carries_only_in_a_hollow_as_high_as_it_is() -> None:
    ledge = Polygon([(12, 0), (30, 0), (30, 30), (0, 30), (0, 8), (12, 8)])
    assert bearing(footprint(ledge, AS_DRAWN)).base == (12, 30)
    assert bearing(footprint(ledge, AS_DRAWN), filler=(12, 8)).base == (0, 30)
    assert bearing(footprint(ledge, AS_DRAWN), filler=(12, 6)).base == (12, 30)
    assert bearing(footprint(ledge, AS_DRAWN), filler=(12, 10)).base == (12, 30)
    turned = Placement(Plane.SECTION, (-1, 0, 30.0), (0, 1, 0.0))
    assert bearing(footprint(ledge, turned), filler=(5, 8)).base == (0, 23)


# A bar 1 1/8 wide and 1 1/4 thick, moulding 3/8 x 3/8, rebates 7/16 x 1/2: a tongue 1/4 wide.
STICKING = replace(OVOLO, depth=inches("3/8"))
BAR = subject(section(Member.BAR, STICKING, "1 1/4", ("7/16", "1/2")), "1 1/8", length=inches("16"))


def groove() -> Operation:
    settings = [("fence", "7/16", FAR), ("height", "1/2")]
    return operation("groove", SAW, blade(), Work.EDGE, BACK, SIGHT, settings, both=True)


def rebate() -> Operation:
    settings = [("fence", "7/16", FAR), ("height", "1/2")]
    return operation(
        "rebate", SAW, blade(), Work.EDGE, BACK, SIGHT, settings, both=True, clears=True
    )


def moulding() -> Operation:
    tool = bit(CutterType.STICKING_BIT, profile=STICKING)
    made = operation("sticking", ROUTER, tool, Work.EDGE, FACE, SIGHT, both=True)
    return with_figures(made, fence=STICKING.width, height=STICKING.depth)


def strip(*jigs: FittedJig) -> Operation:
    settings = [("fence", "3/4"), ("height", "3/8")]
    return operation("strip", SAW, blade(), Work.EDGE, SIGHT, FACE, settings, jigs=jigs,
                     both=True, leaves_offcut=True)  # fmt: skip


FILLER = FittedJig(
    "filler strip", JigKind.FILLS, "", {"width": inches("3/8"), "height": inches("3/8")}
)


def support(operations: Sequence[Operation], of: Subject = BAR) -> tuple[Support, ...]:
    return supports(run(operations, of), of)


def named(found: Sequence[Support], name: str, edge: int = 0) -> Support:
    return next(item for item in found if item.operation.name == name and item.edge == edge)


def test_a_bar_grooved_moulded_and_then_sawn_off_on_a_filler_strip_stands_under_every_cut() -> None:
    found = support([groove(), moulding(), strip(FILLER)])
    assert len(found) == 6  # each on both edges
    assert all(item.steady for item in found)


def test_a_bar_moulded_first_and_rebated_after_rocks_on_what_is_left_of_its_back() -> None:
    found = support([moulding(), rebate()])
    assert named(found, "sticking", 1).steady
    rocking = named(found, "rebate", 1)
    assert not rocking.steady
    assert rocking.after.table[0] == pytest.approx((mm("7/16"), mm("11/16")))
    assert rocking.after.on_fence == pytest.approx(mm("3/8"))  # the tongue at the sight edge


def test_sawing_the_strips_off_without_the_filler_strip_rocks_and_the_strip_is_named() -> None:
    """On edge, moulding towards the fence: hollow 3/8 wide and 3/8 high beside the tongue."""
    found = named(support([groove(), moulding(), strip()]), "strip", 1)
    assert not found.steady
    filler = next(item for item in found.remedies if item.cure is Cure.FILLER_STRIP)
    assert (filler.width, filler.height) == pytest.approx((mm("3/8"), mm("3/8")))
    assert "unsteady; add filler strip 3/8 in wide and 3/8 in high" in support_words(
        found, NOTATION
    )
    tongue = next(item for item in found.remedies if item.cure is Cure.TONGUE)
    assert tongue.width == pytest.approx(-found.margin)


def test_nothing_is_laid_where_an_offcut_falls_but_the_part_is_held_down() -> None:
    """A thick bar tips away from the fence, over the rebate that its strip falls out of. It stands
    on its tongue and its filler strip, 3/4 from the face."""
    thick = subject(section(Member.BAR, STICKING, "2 1/4", ("7/16", "1 1/2")), "1 1/8")
    deep = [with_height(groove(), "1 1/2"), moulding(), strip(FILLER)]
    found = named(support(deep, thick), "strip")
    assert found.after.levers[1] < 0
    (hold_down,) = found.remedies
    assert hold_down.cure is Cure.HOLD_DOWN
    assert hold_down.width == pytest.approx(mm("3/4"))
    assert support_words(found, NOTATION).endswith(
        "unsteady; add hold-down on the fence, pressing no further than 3/4 in from it"
    )


def with_height(made: Operation, height: str) -> Operation:
    settings = tuple(
        replace(item, aim=inches(height)) if item.name == "height" else item
        for item in made.settings
    )
    return replace(made, settings=settings)


def test_a_run_is_as_steady_as_the_worse_of_before_and_after_it() -> None:
    """A base of 40 whole, of 15 once the cutter has been there, and the other way round."""
    wide, narrow = (bearing(footprint(box(0, 0, wide, 30), AS_DRAWN)) for wide in (40, 15))
    made = operation("cut", ROUTER, None, settings=[("fence", "1")])
    assert Support(made, 0, wide, narrow).margin == narrow.margin < wide.margin
    assert Support(made, 0, narrow, wide).margin == narrow.margin


def test_a_wide_rail_on_edge_needs_a_fence_two_thirds_as_high() -> None:
    """A rail 8 wide and 1 3/8 thick on its edge: centre 4 up, a quarter of it is more than half
    the thickness. A fence of 3 bears on 3 of 8; two thirds, 5 1/3, hold it."""
    rail = subject(width="8")
    edge_on = operation("strip", SAW, blade(), Work.EDGE, SIGHT, FACE,
                        [("fence", "11/16"), ("height", "3/8")])  # fmt: skip
    (found,) = support([edge_on], rail)
    assert not found.steady
    (taller,) = found.remedies
    assert taller.cure is Cure.TALLER_FENCE
    assert taller.height == pytest.approx(mm("16/3"))
    assert cure_words(taller, NOTATION).startswith("taller fence, at least 5 21/64 in")
    tall = FittedJig("tall fence", JigKind.HEIGHTENS_FENCE, "", {"height": inches("16/3")})
    (held,) = support([replace(edge_on, jigs=(tall,))], rail)
    assert held.steady


def test_bearing_is_told_before_and_after_and_clear_of_the_opening() -> None:
    """2 1/4 wide on its back: an opening of 3/8 about the middle of a blade from 5/16 to 7/16
    leaves 3/16 on the near side and 1 11/16 on the far; after a cleared rebate the far side."""
    (found,) = support([rebate()], subject())
    assert found.before.on_table == pytest.approx(mm("1 7/8"))
    assert found.after.on_table == pytest.approx(mm("1 11/16"))
    assert found.before.on_fence == pytest.approx(mm("1 3/8"))
    assert found.after.on_fence == pytest.approx(mm("7/8"))
    assert support_words(found, NOTATION).startswith(
        "bears 1 7/8 in on the table, 1 3/8 in on the fence; after the cut 1 11/16 in on the table,"
        " 7/8 in on the fence"
    )
    assert steady_words([found], NOTATION) == (
        "steady: bears at the least 1 11/16 in on the table and 7/8 in on the fence"
    )


def test_a_bar_that_lies_over_the_opening_is_not_said_to_bear_on_a_hair_of_table() -> None:
    """A bit 3/8 out of the fence in an opening of 2: its middle is 5/16 behind the fence line, so
    the opening ends 11/16 in front; of a bar 3/4 wide on its face 1/16 stands on the table at
    the bit, and all its flat before and behind."""
    table = machine(
        MachineType.ROUTER_TABLE, fence_height=inches("3 1/2"), table_opening=inches("2")
    )
    tool = bit(CutterType.STICKING_BIT, "1 3/8", profile=OVOLO, length=inches("1/2"))
    made = operation("stick", table, tool, Work.EDGE, Surface.FACE, SIGHT,
                     [("fence", "3/8", FAR), ("height", "3/8")])  # fmt: skip
    told = steady_words(support([made], replace(subject(), width=inches("3/4"))), NOTATION)
    assert told.startswith(
        "steady: bears on the table before and behind its opening, on next to nothing beside the"
        " cutter, and at the least "
    )
    assert "1/16 in on the table" not in told and told.endswith(" on the fence")


def test_the_ring_of_a_spindle_moulder_is_no_table() -> None:
    """A block 5 across and 7/16 out of the fence has its middle 2 1/16 behind it: an opening of
    5 1/2 ends 11/16 in front, and of 2 1/4 on its back 1 9/16 are left to stand on."""
    moulder = machine(
        MachineType.SPINDLE_MOULDER, fence_height=inches("4"), table_opening=inches("5 1/2")
    )
    block = bit(CutterType.REBATE_BLOCK, "5", length=inches("2"))
    made = operation("rebate", moulder, block, Work.EDGE, BACK, SIGHT,
                     [("fence", "7/16", FAR), ("height", "1/2")])  # fmt: skip
    (found,) = support([made], subject())
    assert found.before.on_table == pytest.approx(mm("1 9/16"))
    assert found.before.base == pytest.approx((0, mm("2 1/4")))  # 24 in long, it lies over the ring
    (short,) = support([made], subject(length=inches("16")))
    assert short.before.base == pytest.approx((mm("11/16"), mm("2 1/4")))
    assert short.held_by == ""


def test_a_sled_or_a_machines_own_clamp_holds_the_part_fast() -> None:
    on_edge = operation("strip", SAW, blade(), Work.EDGE, SIGHT, FACE,
                        [("fence", "11/16"), ("height", "3/8")])  # fmt: skip
    sled = FittedJig("sled", JigKind.HOLDS_FAST, "", {})
    (found,) = support([replace(on_edge, jigs=(sled,))], subject(width="8"))
    assert found.steady and found.held_by == "sled"
    bore = operation("bore", MachineType.MORTISER, bit(CutterType.DRILL_BIT, "1/4"),
                     Work.EDGE, Surface.OUTER_EDGE, FACE,
                     [("fence", "1/2"), ("depth", "1")])  # fmt: skip
    (clamped,) = support([bore], subject(width="8"))
    assert clamped.steady and clamped.held_by == "mortiser"


def test_an_end_stands_on_the_whole_part_and_not_on_what_is_drawn_of_it() -> None:
    part = subject(end=end())
    made = operation("cheek", SAW, blade(), Work.END, BACK, Surface.END,
                     [("stop", "13/16", FAR), ("height", "1/2")], clears=True)  # fmt: skip
    (found,) = support([made], part)
    assert found.before.table[0] == pytest.approx((0, mm("24")))
    assert found.after.table[0] == pytest.approx((mm("13/16"), mm("24")))
    assert found.before.centre[0] == pytest.approx(mm("12"))


@pytest.mark.parametrize(
    ("kind", "steady"),
    [
        (JigKind.HOLDS_DOWN, True),
        (JigKind.HOLDS_FAST, True),
        (JigKind.CARRIES, False),
        (JigKind.PUSHES, False),
        (JigKind.PRESSES, False),
        (JigKind.STOPS, False),
        (JigKind.BACKS, False),
        (JigKind.CLOSES, False),
        (JigKind.MARKS, False),
        (JigKind.UNSAID, False),
    ],
)
@pytest.mark.parametrize("name", ["no clamp needed", "sled", "hold-down", "anything"])
def test_what_a_jig_is_called_holds_nothing(kind: JigKind, steady: bool, name: str) -> None:
    """The bar whose strips are sawn off without a filler strip rocks, whatever a jig is called,
    until one holds it by its kind."""
    jig = FittedJig(name, kind, "")
    found = named(support([groove(), moulding(), strip(jig)]), "strip", 1)
    assert found.steady is steady
    assert found.held_by == (name if steady else "")


def test_a_strip_fills_and_a_fence_is_heightened_by_kind_alone() -> None:
    packing = replace(FILLER, name="packing strip")
    assert named(support([groove(), moulding(), strip(packing)]), "strip", 1).steady
    named_only = replace(FILLER, kind=JigKind.UNSAID)
    assert not named(support([groove(), moulding(), strip(named_only)]), "strip", 1).steady
    rail = subject(width="8")
    edge_on = operation("strip", SAW, blade(), Work.EDGE, SIGHT, FACE,
                        [("fence", "11/16"), ("height", "3/8")])  # fmt: skip
    for kind, steady in ((JigKind.HEIGHTENS_FENCE, True), (JigKind.CLOSES, False)):
        tall = FittedJig("tall fence", kind, "", {"height": inches("16/3")})
        (found,) = support([replace(edge_on, jigs=(tall,))], rail)
        assert found.steady is steady
