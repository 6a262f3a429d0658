"""Every cure and every limit has its sentence, filled with all that it names and nothing else."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest
from msgspec.structs import replace

from setupsheets.lengths import Length, Notation, Unit
from setupsheets.machining.operations import FittedJig, Operation, Setting, Stop
from setupsheets.machining.setting.block_stacks import BlockStack
from setupsheets.machining.setting.passes import Speed, SpeedLimit
from setupsheets.machining.setting.reach import Limit, Reach
from setupsheets.machining.setting.stopped_cuts import StoppedCut, TapeMarks
from setupsheets.machining.support.bearing import Bearing
from setupsheets.machining.support.runs import Cure, Remedy, Support
from setupsheets.shop.cutters import Cutter, CutterType
from setupsheets.shop.machine_kinds import MachineType
from setupsheets.shop.machines import Machine, MachineSetting, SetBy, SettingName
from setupsheets.shop.recipes import JigKind, MeasuredTo, RecipeOperation, Surface, Work
from setupsheets.wording.operations import down_and_against, setting_title
from setupsheets.wording.setting_up import (
    LIMITS,
    measured_words,
    reach_words,
    speed_words,
    stack_line,
    stop_words,
    tape_words,
)
from setupsheets.wording.support import CURES, cure_words, support_words

NOTATION = Notation(Unit.IN, Fraction(1, 64))
DIAL = MachineSetting("Fence dial", Length("1/64 in"), SetBy.RULE, "up", "down")
FENCE = Setting(SettingName.FENCE, "cut.fence", Length("1 in"), MeasuredTo.FAR, DIAL)
CUT = Operation(
    1,
    RecipeOperation("cut", "Cut", MachineType.ROUTER_TABLE, Work.EDGE),
    Machine("router", "Router by the door", MachineType.ROUTER_TABLE, {SettingName.FENCE: DIAL}),
    Cutter("bit", "Long bit", CutterType.STRAIGHT_BIT, diameter=Length("1 in")),
    (FENCE,),
)


@pytest.mark.parametrize("limit", Limit)
def test_every_limit_is_said_with_its_figures_and_its_ways_out(limit: Limit) -> None:
    what, ways = LIMITS[limit]
    reach = Reach(limit, CUT, Length("2 in"), Length("1 1/2 in"), FENCE)
    said = reach_words(reach, NOTATION)
    assert ": 2 in needed, 1 1/2 in there, 1/2 in short; " in said
    assert "{" not in said and ways
    names = {"dial": "fence dial", "machine": "router by the door", "cutter": "Long bit"}
    for field, name in names.items():
        assert (name in said) is (f"{{{field}}}" in what)
    assert reach_words(replace(reach, has=Length("2 in")), NOTATION).endswith("2 in there")


@pytest.mark.parametrize("cure", Cure)
def test_every_cure_is_said_with_its_size(cure: Cure) -> None:
    said = cure_words(Remedy(cure, 25.4, 50.8), NOTATION)
    assert ("1 in" in said) is ("{width}" in CURES[cure])
    assert ("2 in" in said) is ("{height}" in CURES[cure])
    assert "in" in said and "{" not in said


def test_a_jig_that_does_not_say_what_it_does_is_named_where_a_part_is_unsteady() -> None:
    bare = Bearing((), (), (), (10.0, 10.0), 20.0, (0.0, 8.0), ((0.0, 0.0), (0.0, 0.0)))
    jigs = FittedJig("our strip", JigKind.UNSAID, ""), FittedJig("stop", JigKind.STOPS, "")
    rocking = Support(replace(CUT, jigs=jigs), 0, bare, bare)
    assert support_words(rocking, NOTATION).endswith(
        "unsteady; try another order. What our strip does is not said: "
        "give it its kind in the recipe"
    )
    steady = replace(rocking, held_by="sled")
    assert "our strip" not in support_words(steady, NOTATION)


def test_a_spacer_is_told_where_the_end_goes_and_in_the_stop_s_figure() -> None:
    stop = Setting(SettingName.STOP, "cut.stop", Length("1 1/32 in"), MeasuredTo.FAR, DIAL)
    asks = replace(CUT.asks, down=Surface.FACE, against=Surface.END)
    saw = replace(CUT.machine, type=MachineType.CROSSCUT_SAW)
    plain = replace(CUT, asks=asks, machine=saw, settings=(stop,))
    jig = FittedJig("spacer", JigKind.SPACES, "", {"thickness": Length("1 in")})
    spaced = replace(plain, jigs=(jig,))
    assert down_and_against(plain, NOTATION)[1] == "END to the stop"
    assert setting_title(plain, stop) == "Fence dial, to the far side of the bit"
    against = down_and_against(spaced, NOTATION)[1]
    assert against == "END to the 1 in spacer, and that to the stop"
    assert setting_title(spaced, stop).endswith("far side of the bit, spacer counted in")


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"by": None, "limit": None, "rims": None}, "9000 rpm, rim 9000 ft/min"),
        ({"by": SpeedLimit.MAKER},
         "9000 rpm, rim 9000 ft/min (up to 12000 rpm: the maker's limit)"),
        ({"by": SpeedLimit.RIM},
         "9000 rpm, rim 9000 ft/min (up to 12000 rpm: 13800 ft/min at the rim, for feed by hand)"),
        ({"by": SpeedLimit.PRACTICE, "within": False},
         "9000 rpm, rim 9000 ft/min: over 12000 rpm, common practice: do not use it on this"
         " machine"),
        ({"by": SpeedLimit.MAKER, "rim": 39.9},
         "9000 rpm, rim 7900 ft/min (up to 12000 rpm: the maker's limit); under 7900 ft/min it"
         " snatches when fed by hand: take a larger one"),
        ({"by": SpeedLimit.MAKER, "rim": 40.0},
         "9000 rpm, rim 7900 ft/min (up to 12000 rpm: the maker's limit)"),
    ],
)  # fmt: skip
def test_a_speed_with_its_limit(change: dict[str, Any], words: str) -> None:
    """A metre a second is 196.85 ft/min: 45.72 are 9000, 40 are 7874, 70 are 13780."""
    speed = Speed(9000, 45.72, (40, 70), 12000, SpeedLimit.MAKER, within=True)
    assert speed_words(replace(speed, **change), NOTATION) == words


ON, OFF = ("lower the part on with its leading end 4 in past the cutter's middle",
           "stop and lift off with its leading end 10 in past the middle")  # fmt: skip


@pytest.mark.parametrize(
    ("lower_on", "lift_off", "ramp", "by_hand", "tape", "stop"),
    [
        (None, None, 5.0, (0.0, 0.0), "the cut runs through from end to end",
         "the cut runs through from end to end; its ramp lies in a mortise"),
        (101.6, None, 0.0, (0.0, 0.0), ON, ON),
        (101.6, 254.0, 12.7, (12.7, 0.0), f"{ON}; {OFF}; 1/2 in of ramp is left for hand tools",
         f"{ON}; {OFF}; chop out the last 1/2 in to full depth"),
        (None, 254.0, 12.7, (12.7, 6.35), f"{OFF}; 1/2 in of ramp is left for hand tools",
         f"{OFF}; chop out the last 1/2 in and 1/4 in to full depth"),
        (101.6, 254.0, 12.7, (0.0, 0.0), f"{ON}; {OFF}; 1/2 in of ramp is left for hand tools",
         f"{ON}; {OFF}; its ramp lies in a mortise"),
    ],
)  # fmt: skip
def test_where_a_stopped_cut_begins_and_ends(
    lower_on: float | None,
    lift_off: float | None,
    ramp: float,
    by_hand: tuple[float, float],
    tape: str,
    stop: str,
) -> None:
    marks = TapeMarks(0.0, 300.0, lower_on, lift_off, ramp, (0.0, 300.0))
    assert tape_words(marks, NOTATION) == tape
    cut = StoppedCut(Stop("stile", "upper end", *[Length("12 in")] * 5), marks, by_hand)
    assert stop_words(cut, NOTATION) == f"stile, upper end first: {stop}"


def stack(*blocks: str, shims: tuple[str, ...] = ()) -> BlockStack:
    laid, thin = (tuple(Length(f"{each} in") for each in some) for some in (blocks, shims))
    return BlockStack(laid, thin, Length("1 1/4 in"))


@pytest.mark.parametrize(
    ("laid", "line", "by_rule"),
    [
        (stack("1", "1/4"), "1 in + 1/4 in make 1 1/4 in", None),
        (stack("1 1/4"), "1 1/4 in makes 1 1/4 in", "one block"),
        (stack("1", "1/4", shims=(".004",)),
         "1 in + 1/4 in + shim .004 in come .004 in over 1 1/4 in", None),
        (stack("1"), "1 in comes 1/4 in under 1 1/4 in", None),
        (stack("1/2", "1/2", "1/8", "1/8"), "1/2 in + 1/2 in + 1/8 in + 1/8 in make 1 1/4 in", ""),
    ],
)  # fmt: skip
def test_blocks_laid_together(laid: BlockStack, line: str, by_rule: str | None) -> None:
    """Of four a rule is read sooner, unless the dial is set by blocks anyway."""
    assert stack_line(laid, NOTATION) == line
    assert measured_words(laid, SetBy.RULE, NOTATION) == (line if by_rule is None else by_rule)
    assert measured_words(laid, SetBy.BLOCK, NOTATION) == (by_rule or line)
