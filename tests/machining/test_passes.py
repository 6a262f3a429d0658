"""Passes and speeds against the check values and the rule for the last, light pass."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest
from msgspec.structs import replace

from setupsheets.lengths import Length, Notation, Unit
from setupsheets.machining.operations import Operation
from setupsheets.machining.setting.passes import (
    LIGHT,
    SpeedLimit,
    across,
    count_of,
    greatest_pass,
    passes,
    rim_speed,
    speed,
    step_up,
)
from setupsheets.shop.cutters import Cutter, CutterType
from setupsheets.shop.machine_kinds import MachineType
from setupsheets.shop.machines import SettingName
from setupsheets.shop.recipes import Makes, MeasuredTo, Surface, Work
from setupsheets.wording.setting_up import speed_words
from tests.machining.handmade import OVOLO, bit, blade, inches, machine, millimetres, operation
from tests.machining.shipped_shop import UNITS, Shipped, plan

ROUTER = MachineType.ROUTER_TABLE
SPEEDS = (8000, 10000, 12000, 16000, 18000, 22000)


def test_rim_speeds_of_the_check_values() -> None:
    """pi D n / 60: 150 mm at 6000 rpm 47.1 m/s (computation); 3 in at 24000 rpm 18850 ft/min."""
    assert rim_speed(millimetres("150"), 6000) == pytest.approx(47.1, abs=0.05)
    assert rim_speed(inches("3"), 24000) / 0.3048 * 60 == pytest.approx(18850, abs=0.5)


# Common practice, the low end: up to 1 in 18000, 1 to 2 in 12000, 2 to 2 1/2 in 9000, over 6000.
@pytest.mark.parametrize(
    ("diameter", "limit", "chosen"),
    [
        ("1/2", 18000, 18000),
        ("1", 18000, 18000),
        ("1 1/64", 12000, 12000),
        ("2", 12000, 12000),
        ("2 1/64", 9000, 8000),
        ("2 1/2", 9000, 8000),
        ("2 33/64", 6000, 8000),
        ("4", 6000, 8000),
        ("4 1/64", 6000, 8000),  # the largest are no quicker than the last of the table
    ],
)
def test_a_bit_without_a_limit_takes_the_low_end_of_what_is_usual(
    diameter: str, limit: int, chosen: int
) -> None:
    found = speed(machine(ROUTER, speeds=SPEEDS), bit(CutterType.STRAIGHT_BIT, diameter))
    assert found is not None
    assert (found.limit, found.revolutions, found.by) == (limit, chosen, SpeedLimit.PRACTICE)
    assert found.within is (chosen <= limit)


METRIC, INCH = Notation(Unit.MM, Fraction(1, 2)), Notation(Unit.IN, Fraction(1, 64))


def test_an_inch_shop_reads_a_rim_in_feet_a_minute() -> None:
    """pi D n / 60 by hand: 3 in at 24000 a minute is 18850 ft/min."""
    found = speed(
        machine(ROUTER, speeds=(24000,)), bit(CutterType.STRAIGHT_BIT, "3", greatest_speed=30000)
    )
    assert found is not None
    assert speed_words(found, INCH).startswith("24000 rpm, rim 18800 ft/min")


def test_the_makers_limit_governs() -> None:
    marked = bit(CutterType.STICKING_BIT, "1 3/8", greatest_speed=10000, profile=OVOLO)
    found = speed(machine(ROUTER, speeds=SPEEDS), marked)
    assert found is not None and found.revolutions == 10000 and found.by is SpeedLimit.MAKER
    assert (
        speed_words(found, METRIC) == "10000 rpm, rim 18 m/s (up to 10000 rpm: the maker's limit)"
    )
    fast = speed(machine(ROUTER, speeds=(20000,)), marked)
    assert fast is not None and not fast.within
    assert "do not use it on this machine" in speed_words(fast, METRIC)


def test_a_saw_without_a_limit_turns_as_its_machine_turns() -> None:
    found = speed(machine(MachineType.TABLE_SAW, speeds=(4000,)), blade())
    assert found is not None and found.limit is None and found.within
    assert found.rim == pytest.approx(53.2, abs=0.05)  # 10 in at 4000: pi .254 4000 / 60
    assert speed(machine(MachineType.TABLE_SAW), blade()) is None


MOULDER = MachineType.SPINDLE_MOULDER


# Rims at 40 to 70 m/s for feed by hand: a machine manual. pi D n / 60 with D = 125 mm: 39.27 m/s at
# 6000, 49.09 at 7500, 58.90 at 9000, 78.54 at 12000; 70 m/s is 10695 a minute.
@pytest.mark.parametrize(
    ("speeds", "marked", "chosen", "by", "limit", "slow", "within"),
    [
        ((3000, 6000, 7500, 9000), 8000, 7500, SpeedLimit.MAKER, 8000, False, True),
        ((3000, 6000, 7500, 9000, 12000), None, 9000, SpeedLimit.RIM, 10695, False, True),
        ((7500, 9000, 12000), 20000, 9000, SpeedLimit.RIM, 10695, False, True),
        ((3000, 6000), None, 6000, SpeedLimit.RIM, 10695, True, True),
        ((12000,), None, 12000, SpeedLimit.RIM, 10695, False, False),
        ((9000,), 8000, 9000, SpeedLimit.MAKER, 8000, False, False),
    ],
)
def test_a_blocks_rim_keeps_to_the_speeds_for_feed_by_hand(
    speeds: tuple[int, ...],
    marked: int | None,
    chosen: int,
    by: SpeedLimit,
    limit: int,
    slow: bool,
    within: bool,
) -> None:
    block = Cutter("block", "Block", CutterType.REBATE_BLOCK, diameter=millimetres("125"),
                   length=millimetres("50"), greatest_speed=marked)  # fmt: skip
    found = speed(machine(MOULDER, speeds=speeds), block)
    assert found is not None
    assert (found.revolutions, found.by, found.limit) == (chosen, by, limit)
    assert (found.slow, found.within) == (slow, within)
    said = speed_words(found, METRIC)
    assert ("snatches" in said) is slow
    assert ("do not use it on this machine" in said) is not within


def test_a_block_takes_its_moulding_in_passes_out_of_the_fence() -> None:
    """3/8 in hard timber at 1/4 a pass: 11/32 in two heavy ones, 11/64 each, and a light one of
    1/32; in soft timber, at 3/8 a pass, once is enough."""
    block = bit(CutterType.MOULDING_BLOCK, "5", profile=OVOLO)
    settings = [("fence", "3/8", MeasuredTo.FAR), ("height", "7/16")]
    made = operation("sticking", MOULDER, block, Work.EDGE, Surface.FACE, Surface.SIGHT_EDGE,
                     settings)  # fmt: skip
    hard, soft = passes(made, hard=True), passes(made, hard=False)
    assert soft is None
    assert hard is not None and hard.setting is SettingName.FENCE
    assert [str(each) for each in hard.figures] == ["11/64 in", "11/32 in", "3/8 in"]


def test_a_bit_takes_no_more_than_half_its_diameter() -> None:
    router = machine(ROUTER)
    assert greatest_pass(router, bit(CutterType.STRAIGHT_BIT, "3/4"), True) == inches("1/4")
    assert greatest_pass(router, bit(CutterType.STRAIGHT_BIT, "3/4"), False) == inches("3/8")
    assert greatest_pass(router, bit(CutterType.STRAIGHT_BIT, "1/4"), False) == inches("1/8")
    assert greatest_pass(machine(MachineType.TABLE_SAW), blade(), hard=True) is None


@pytest.mark.parametrize(
    ("depth", "most", "count"),
    [
        ("1/4", "1/4", 1),
        ("17/64", "1/4", 2),
        ("9/32", "1/4", 2),  # 1/4 and the light 1/32
        ("19/64", "1/4", 3),
        ("17/32", "1/4", 3),
        ("1/2", "1/4", 3),
    ],
)
def test_passes_are_counted_with_a_light_one_at_the_end(depth: str, most: str, count: int) -> None:
    assert count_of(inches(depth), inches(most)) == count


def test_no_pass_takes_more_than_its_share_and_the_last_is_light() -> None:
    for depth in ("9/32", "1/2", "5/8", "1"):
        whole, most, finest = inches(depth), inches("1/4"), inches("1/64")
        steps = list(step_up(whole, count_of(whole, most), finest))
        taken = [later - earlier for earlier, later in pairwise([Length.ZERO, *steps])]
        assert steps[-1] == whole
        assert taken[-1] <= LIGHT + finest
        assert all(Length.ZERO < each <= most + finest for each in taken)
        assert all(step % finest == Length.ZERO for step in steps)


def routed(kind: CutterType, **sizes: str) -> tuple[str, list[str]] | None:
    tool = bit(kind, "1 1/2", profile=OVOLO if kind is CutterType.STICKING_BIT else None)
    settings = [("fence", sizes["fence"], MeasuredTo.FAR), ("height", sizes["height"])]
    made = operation("cut", ROUTER, tool, Work.EDGE, Surface.FACE, Surface.SIGHT_EDGE, settings)
    found = passes(made, hard=True)
    return (found.setting, [str(each) for each in found.figures]) if found else None


def test_a_plain_bit_is_raised_and_a_moulding_bit_comes_out_of_the_fence() -> None:
    assert routed(CutterType.STRAIGHT_BIT, fence="3/8", height="17/32") == (
        "height", ["1/4 in", "1/2 in", "17/32 in"]
    )  # fmt: skip
    assert routed(CutterType.STRAIGHT_BIT, fence="3/8", height="1/4") is None
    # 3/8 at 3/16 a pass: two heavy ones reach 11/32 and a light one the printed 3/8; 11/64 each
    assert routed(CutterType.STICKING_BIT, fence="3/8", height="7/16") == (
        "fence", ["11/64 in", "11/32 in", "3/8 in"]
    )  # fmt: skip


@pytest.mark.parametrize(
    ("fence", "before"),
    [
        ("3/4", []),
        ("49/64", ["3/8 in"]),
        ("1 1/2", ["3/4 in"]),
        ("1 33/64", ["1/2 in", "1 1/64 in"]),
    ],
)
def test_a_bit_that_clears_more_than_its_own_width_is_let_out_in_even_steps(
    fence: str, before: list[str]
) -> None:
    """3/4 wide: halves and thirds of the way, to the dial's 64ths, a tie to the greater one
    (arithmetic). 49/128 is .3828, two thirds of 97/64 are 1.0104."""
    settings = [("fence", fence, MeasuredTo.FAR), ("height", "1/4")]
    cutter = bit(CutterType.STRAIGHT_BIT, "3/4")
    made = operation("clear", ROUTER, cutter, settings=settings, clears=True)
    assert [str(each) for each in across(made)] == before
    moulded = bit(CutterType.STICKING_BIT, "3/4", profile=OVOLO)
    others = (
        operation("cut", ROUTER, cutter, settings=settings),
        operation("cut", MachineType.TABLE_SAW, cutter, settings=settings, clears=True),
        operation("cut", ROUTER, moulded, settings=settings, clears=True),
        operation("cut", ROUTER, cutter, settings=settings[1:], clears=True),
    )
    assert not any(across(each) for each in others)


def test_the_recipe_may_ask_for_more_passes() -> None:
    made = operation("cut", ROUTER, bit(CutterType.STRAIGHT_BIT), settings=[("height", "1/4")])
    found = passes(replace(made, passes=3), hard=True)
    assert found is not None
    assert [str(each) for each in found.figures] == ["7/64 in", "7/32 in", "1/4 in"]
    saw = operation("cut", MachineType.TABLE_SAW, blade(), settings=[("height", "2")])
    assert passes(replace(saw, passes=3), hard=True) is None


@pytest.mark.parametrize("unit", UNITS)
@pytest.mark.parametrize("kerf", [Fraction(1, 8), Fraction(1, 9), Fraction(2, 17)])
def test_passes_that_go_on_by_less_than_a_cut_reach_from_end_to_shoulder(
    unit: str, kerf: Fraction
) -> None:
    """Eight kerfs of an eighth in an inch leave nothing to overlap: it takes nine."""

    class Sawn(Shipped):
        def cutter(self, name: str) -> Cutter:
            found = super().cutter(name)
            return replace(found, kerf=shoulder * kerf) if found.kerf else found

    def cheeks(shop: Shipped) -> list[Operation]:
        of = plan("ovolo", unit, {Makes.COPE: "cope-crosscut-saw"}, shop)
        return [each for each in of.operations if each.name == "back_cheek"]

    stop = cheeks(Shipped(unit))[0].setting(SettingName.STOP)
    assert stop is not None
    shoulder = stop.aim
    (count,) = {each.passes for each in cheeks(Sawn(unit))
                if each.aim(SettingName.STOP) == shoulder}  # fmt: skip
    assert count == {Fraction(1, 8): 9, Fraction(1, 9): 10, Fraction(2, 17): 9}[kerf]
