"""What fits: cope clearance, dials, cutter lengths, make-up of a stack, parts too short to hold."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest
from msgspec.structs import replace

from setupsheets.formulas import Formula
from setupsheets.lengths import Length, Notation, Unit
from setupsheets.machining.cutting.cuts import cut
from setupsheets.machining.operations import FittedJig, Operation
from setupsheets.machining.setting.reach import Limit, Reach, cope_clearance, dado_make_up, reaches
from setupsheets.machining.setting.stop_clearance import room_at_stop, with_spacer
from setupsheets.shop.cutters import Cutter, CutterType, DadoStack
from setupsheets.shop.machine_kinds import MachineType
from setupsheets.shop.machines import SettingName
from setupsheets.shop.recipes import JigKind, Makes, MeasuredTo, Surface, Work
from setupsheets.wording.setting_up import reach_words
from tests.machining.handmade import OVOLO, bit, blade, end, inches, machine, operation, subject
from tests.machining.shipped_shop import UNITS, plan

NOTATION = Notation(Unit.IN, Fraction(1, 64))
ROUTER = MachineType.ROUTER_TABLE


def cope(reach: str | None, fence: str = "1 1/4") -> Operation:
    tool = bit(CutterType.COPE_BIT, "2", profile=OVOLO, length=inches("1/2"),
               reach=inches(reach) if reach else None)  # fmt: skip
    settings = [("fence", fence, MeasuredTo.FAR), ("height", "7/16")]
    return operation("cope", ROUTER, tool, Work.END, Surface.FACE, Surface.END, settings)


def test_a_tenon_longer_than_the_bearing_lets_pass_is_told_with_ways_out() -> None:
    found = cope_clearance(cope("3/8"))
    assert found is not None and not found.fits
    text = reach_words(found, NOTATION)
    assert "1 1/4 in needed, 3/8 in there, 7/8 in short" in text
    ways = "a cutter made with a flush top, a tenon no longer than 3/8 in past the sight edge"
    assert text.endswith(f"{ways} or a loose tenon")
    assert "alter" not in text and "grind" not in text


@pytest.mark.parametrize(("reach", "fits"), [("1 1/4", True), ("1 15/64", False), ("3", True)])
def test_a_tenon_passes_up_to_the_reach(reach: str, fits: bool) -> None:
    found = cope_clearance(cope(reach))
    assert found is not None and found.fits is fits


def test_a_cutter_that_says_no_reach_is_not_guessed_at() -> None:
    assert cope_clearance(cope(None)) is None
    edge = operation("sticking", ROUTER, bit(CutterType.STICKING_BIT, profile=OVOLO))
    assert cope_clearance(edge) is None


def named(found: tuple[Reach, ...], limit: Limit) -> Reach:
    return next(item for item in found if item.limit is limit)


def test_a_blade_cannot_be_raised_over_what_its_saw_allows() -> None:
    made = operation("groove", MachineType.TABLE_SAW, blade(), settings=[("height", "3 1/8")])
    dial = replace(made.settings[0].dial, title="Blade height", greatest=inches("3"))
    high = replace(made, settings=(replace(made.settings[0], dial=dial),))
    found = named(reaches(high, subject()), Limit.DIAL)
    assert not found.fits
    assert reach_words(found, NOTATION).startswith(
        "the table saw, blade height: 3 1/8 in needed, 3 in there"
    )


def test_a_bit_must_be_as_long_as_one_pass_and_as_thick_as_it_stands_out() -> None:
    tool = bit(CutterType.STRAIGHT_BIT, "3/4", length=inches("1/2"))
    settings = [("fence", "7/8", MeasuredTo.FAR), ("height", "3/4")]
    made = operation("rebate", ROUTER, tool, Work.EDGE, settings=settings)
    assert not named(reaches(made, subject()), Limit.ONE_PASS).fits
    assert named(reaches(replace(made, passes=2), subject()), Limit.ONE_PASS).fits
    assert not named(reaches(made, subject()), Limit.OUT_OF_FENCE).fits
    clearing = replace(made, asks=replace(made.asks, clears=True))
    assert named(reaches(clearing, subject()), Limit.OUT_OF_FENCE).fits


def test_a_saw_s_blade_need_not_reach_from_the_fence() -> None:
    """12 in from the far side of a 10 in blade: what a bit stands out of, a blade stands in."""
    tall = replace(blade(), length=inches("1/8"))
    settings = [("fence", "12", MeasuredTo.FAR), ("height", "3/4")]
    for kind, told in (
        (MachineType.TABLE_SAW, set()),
        (ROUTER, {Limit.ONE_PASS, Limit.OUT_OF_FENCE}),
    ):
        made = operation("rip", kind, tall, settings=settings)
        assert {each.limit for each in reaches(made, subject()) if not each.fits} == told


def test_a_mortise_is_no_deeper_than_the_chisel_is_long() -> None:
    chisel = Cutter("chisel", "chisel", CutterType.MORTISE_CHISEL, width=inches("1/4"),
                    length=inches("1 1/2"))  # fmt: skip
    deep = operation("chop", MachineType.MORTISER, chisel, settings=[("depth", "1 5/8")])
    found = named(reaches(deep, subject()), Limit.PLUNGE)
    assert not found.fits
    told = reach_words(found, NOTATION)
    assert told.endswith("a longer one or a mortise no deeper than 1 1/2 in")


@pytest.mark.parametrize("name", ["sled", "no push block, no clamp"])
@pytest.mark.parametrize(
    ("length", "kind", "fits"),
    [
        ("12", None, True),
        ("11 63/64", None, False),
        *(("6", kind, kind.keeps_hands_off) for kind in JigKind),
        *(("5 63/64", kind, False) for kind in JigKind),
    ],
)
def test_the_shortest_part_that_can_be_held(
    length: str, kind: JigKind | None, fits: bool, name: str
) -> None:
    """12 in by hand, half of it held fast: common practice, no source."""
    jigs = (FittedJig(name, kind, ""),) if kind else ()
    made = operation("cut", MachineType.TABLE_SAW, blade(), jigs=jigs)
    assert named(reaches(made, subject(length=inches(length))), Limit.HOLD).fits is fits


@pytest.mark.parametrize(("length", "fits"), [("12", True), ("11 63/64", False)])
def test_a_part_too_short_for_the_spindle_moulder_is_told(length: str, fits: bool) -> None:
    """12 in by hand: common practice, no source."""
    block = bit(CutterType.REBATE_BLOCK, "5", length=inches("1/2"))
    settings = [("fence", "7/16", MeasuredTo.FAR), ("height", "9/16")]
    made = operation("rebate", MachineType.SPINDLE_MOULDER, block, Work.EDGE, settings=settings)
    found = reaches(made, subject(length=inches(length)))
    assert named(found, Limit.HOLD).fits is fits
    long_enough = named(found, Limit.ONE_PASS)
    assert not long_enough.fits
    assert reach_words(long_enough, NOTATION).endswith("more passes or a longer cutter block")


def test_what_keeps_hands_off_is_what_holds_carries_or_pushes() -> None:
    off = {kind for kind in JigKind if kind.keeps_hands_off}
    assert off == {JigKind.HOLDS_FAST, JigKind.CARRIES, JigKind.PUSHES}


def test_hands_need_no_length_to_work_on() -> None:
    made = operation("pare", machine(MachineType.BENCH), None, Work.HAND)
    assert reaches(made, subject(length=inches("1"), end=end())) == ()


STACK = Cutter(
    "stack", "Stack", CutterType.DADO_STACK, diameter=inches("8"), kerf=inches("1/2"),
    stack=DadoStack(
        inches("1/8"),
        tuple(map(inches, ("1/8", "1/8", "1/8", "1/16", "3/32"))),
        tuple(map(inches, (".004", ".008", ".012", ".02"))),
    ),
)  # fmt: skip


@pytest.mark.parametrize(
    ("width", "chippers", "shims"),
    [
        ("1/4", [], []),
        ("3/8", ["1/8"], []),
        ("7/16", ["1/8", "1/16"], []),
        ("1/2", ["1/8", "1/8"], []),
        ("11/32", ["3/32"], []),
        (".383", ["1/8"], [".008"]),
        ("13/32", ["3/32", "1/16"], []),
    ],
)
def test_a_stack_is_made_up_from_the_fewest(
    width: str, chippers: list[str], shims: list[str]
) -> None:
    made = dado_make_up(inches(width), STACK, Length.ZERO)
    assert made is not None
    assert made.total == inches(width)
    assert made.blocks == tuple(map(inches, ["1/8", "1/8", *chippers]))
    assert made.shims == tuple(map(inches, shims))


def test_a_width_that_no_make_up_gives() -> None:
    assert dado_make_up(inches("3/16"), STACK, Length.ZERO) is None  # less than two blades
    assert dado_make_up(inches("2"), STACK, inches("1/64")) is None
    near = dado_make_up(inches("1/4") + inches(".003"), STACK, inches(".004"))
    assert near is not None and near.shims == ()
    with pytest.raises(ValueError, match="no dado stack"):
        dado_make_up(inches("1/2"), blade(), Length.ZERO)


# ------------------------------------------------------------------------------ stop and blade


def at_the_stop(stop: str, to: MeasuredTo = MeasuredTo.FAR, **more: Any) -> Operation:
    return operation("cut", MachineType.CROSSCUT_SAW, blade("1/8"), Work.END, Surface.FACE,
                     Surface.END, [("stop", stop, to), ("height", "3/4")], **more)  # fmt: skip


@pytest.mark.parametrize(
    ("stop", "to", "needs"),
    [
        ("1/32", MeasuredTo.FAR, "3/16"),
        ("11/64", MeasuredTo.FAR, "3/16"),
        ("3/16", MeasuredTo.FAR, "3/16"),
        ("1/8", MeasuredTo.CENTRE, "1/8"),
        ("1/16", MeasuredTo.NEAR, "1/16"),
    ],
)
def test_a_blade_passes_clear_of_the_stop(stop: str, to: MeasuredTo, needs: str) -> None:
    """From the stop to the far side lies the whole kerf, 1/8, and 1/16 of air (plane geometry)."""
    found = named(reaches(at_the_stop(stop, to), subject()), Limit.STOP)
    assert (found.needs, found.has) == (inches(needs), inches(stop))
    assert found.fits is (inches(stop) >= inches(needs))


def test_a_fence_that_stops_an_end_on_a_saw_is_looked_at_and_a_bit_s_is_not() -> None:
    """A bit stands in its fence by intent."""
    on_saw, on_table = (
        operation("cut", kind, blade("1/8"), Work.END, Surface.FACE, Surface.END,
                  [("fence", "1/16", MeasuredTo.FAR), ("height", "3/4")])
        for kind in (MachineType.TABLE_SAW, MachineType.ROUTER_TABLE)
    )  # fmt: skip
    assert not named(reaches(on_saw, subject()), Limit.STOP).fits
    assert room_at_stop(on_table) is None
    along = replace(on_saw, asks=replace(on_saw.asks, against=Surface.SIGHT_EDGE))
    assert room_at_stop(along) is None


SPACER = FittedJig("spacer", JigKind.SPACES, "", {"thickness": inches("1")})


@pytest.mark.parametrize(("stop", "used"), [("11/64", True), ("3/16", False)])
def test_a_spacer_is_in_use_where_the_stop_would_be_sawn_and_nowhere_else(
    stop: str, used: bool
) -> None:
    made = with_spacer(at_the_stop(stop, jigs=(SPACER,)))
    setting = made.setting(SettingName.STOP)
    assert setting is not None
    assert setting.aim == inches(stop) + (inches("1") if used else inches("0"))
    assert made.from_part(setting) == inches(stop)
    assert (made.jigs == (SPACER,)) is used
    assert named(reaches(made, subject()), Limit.STOP).fits
    plain = cut(at_the_stop(stop), subject(end=end()))
    spaced = cut(made, subject(end=end()))
    assert plain is not None and spaced is not None
    assert spaced.removed.equals(plain.removed)


def test_a_spacer_thinner_than_the_cut_leaves_the_stop_in_the_way_and_that_is_told() -> None:
    thin = replace(SPACER, sizes={"thickness": inches("1/8")})
    found = named(reaches(with_spacer(at_the_stop("1/32", jigs=(thin,))), subject()),
                  Limit.STOP)  # fmt: skip
    assert not found.fits
    assert reach_words(found, NOTATION).startswith(
        "stop clear of the Blade, to the far side of the blade: 3/16 in needed, 5/32 in there"
    )


@pytest.mark.parametrize("unit", UNITS)
@pytest.mark.parametrize("recipe", ["cope-crosscut-saw", "cope-table-saw"])
def test_no_built_in_cope_has_its_stop_in_the_way(recipe: str, unit: str) -> None:
    """Bars in bars have shoulders a few hundredths from their ends."""
    whole = plan("ovolo", unit, {Makes.COPE: recipe})
    coped = [item for item in whole.set_ups if item.recipe.makes is Makes.COPE]
    found = [each for item in coped for operation in item.operations
             for each in reaches(operation, item.subject) if each.limit is Limit.STOP]  # fmt: skip
    assert found and all(each.fits for each in found)
    for each_cut in (each for item in coped for each in item.operations):
        if (room := room_at_stop(each_cut)) is not None:
            assert bool(each_cut.spacer) is (each_cut.from_part(room[0]) < room[1])


def test_a_bit_that_widens_a_groove_need_not_reach_from_the_fence() -> None:
    """The second wall of a groove 1/4 wide, 3/8 behind the face, with a 1/4 bit: what lies between
    bit and fence is the wall towards the face, which stays. A larger bit would take it off."""
    tool = bit(CutterType.STRAIGHT_BIT, "1/4", length=inches("1"))
    settings = [("fence", "3/4", MeasuredTo.FAR), ("height", "3/8")]
    made = operation("far_wall", ROUTER, tool, settings=settings)
    alone = [each.limit for each in reaches(made, subject()) if not each.fits]
    assert alone == [Limit.OUT_OF_FENCE]
    widens = replace(made, asks=replace(made.asks, wide=Formula.parse("1/8 in")))
    assert all(each.fits for each in reaches(widens, subject()))
