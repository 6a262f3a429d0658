"""Every cure and every limit has its sentence, filled with all that it names and nothing else."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from setupsheets.lengths import Length, Notation, Unit
from setupsheets.machining.operations import FittedJig, Operation, Setting
from setupsheets.machining.setting.reach import Limit, Reach
from setupsheets.machining.support.bearing import Bearing
from setupsheets.machining.support.runs import Cure, Remedy, Support
from setupsheets.shop.cutters import Cutter, CutterType
from setupsheets.shop.machine_kinds import MachineType
from setupsheets.shop.machines import Machine, MachineSetting, SetBy, SettingName
from setupsheets.shop.recipes import JigKind, MeasuredTo, RecipeOperation, Surface, Work
from setupsheets.wording.operations import down_and_against, setting_title
from setupsheets.wording.setting_up import LIMITS, reach_words
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
    assert against == "END to the spacer, 1 in thick, and that to the stop"
    assert setting_title(spaced, stop).endswith("far side of the bit, the spacer counted in")
