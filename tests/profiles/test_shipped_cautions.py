"""Cautions: on what they stand, what they must say, and both sides of every condition."""

from __future__ import annotations

from typing import Any, cast

import pytest
from msgspec.structs import replace

from setupsheets.formulas import Formula, Value
from setupsheets.lengths import Length
from setupsheets.machining.conditions import applies
from setupsheets.shop.cautions import Caution
from setupsheets.shop.cutters import CutterType
from setupsheets.shop.formula_names import FORMULA_NAMES, There
from setupsheets.shop.machine_kinds import MachineType
from setupsheets.shop.machines import SettingName
from setupsheets.shop.recipes import Work
from tests.machining.handmade import bit, operation
from tests.profiles.shipped import things

CAUTIONS: list[Caution] = [each for group in things("caution").values() for each in group.cautions]
BY_NAME = {caution.name: caution for caution in CAUTIONS}
GENERAL = [caution for caution in CAUTIONS if caution.general]


def test_how_many_there_are_and_that_each_has_a_name_of_its_own() -> None:
    assert len(BY_NAME) == len(CAUTIONS) == 81
    assert len(GENERAL) == 12


# ------------------------------------------------------------ what they rest on

PUBLISHED: list[tuple[str, str, tuple[str, ...]]] = [
    # caution, work it names, what that work says and the caution must say
    ("riving_knife", "HSE (UK) rip saw guidance", ("8 mm",)),
    ("push_sticks", "HSE (UK) rip saw guidance", ("450 mm", "300 mm")),
    ("guarded_grooves", "HSE (UK) rip saw guidance", ("Rebate and groove", "guarded")),
    ("guards", "OSHA 29 CFR 1910.213(c) and (d)", ("guard",)),
    ("radial_guard", "OSHA 29 CFR 1910.213(h)", ("Upper and lower guards", "no further forward")),
    ("stopped_on_saw", "HSE (UK) information sheet 16", ("advised against", "router table")),
    ("safety_glass", "16 CFR 1201.2", ("safety glazing",)),
    ("safety_glass", "International Residential Code 2015 R308.4.1", ("door",)),
    ("safety_glass", "Approved Document K (England, 2013)", ("beside a door",)),
]


@pytest.mark.parametrize(("name", "work", "says"), PUBLISHED)
def test_published_rules_are_named_and_said(name: str, work: str, says: tuple[str, ...]) -> None:
    caution = BY_NAME[name]
    assert work in caution.basis
    assert all(words in caution.text for words in says)


@pytest.mark.parametrize("caution", CAUTIONS, ids=lambda caution: caution.name)
def test_nothing_else_calls_itself_published(caution: Caution) -> None:
    published = [work for name, work, _ in PUBLISHED if name == caution.name]
    told = ("common practice", "value from memory", *published)
    assert caution.basis.startswith(told)
    if not published:
        assert not any(word in caution.basis.removeprefix(told[1]) for word in ("HSE", "Code"))


# ------------------------------------------------------------ what they say

# What a sheet's cautions must hold (design: general cautions), as words of the text.
MUST_SAY = (
    *("Guards on", "Riving knife", "Push stick", "eye and ear", "dust", "Unplug"),
    *("speed marked", "against the rotation", "short part", "Never freehand", "lowered onto"),
    *("test piece", "long enough to hold", "safety glazing", "qualified glazier", "lead"),
    *("sled with a floor", "clear of the fence", "hook angle", "stand or a helper", "crown guard"),
    *("0.9 to 1.1 mm", "40 to 70 m/s", "Never a climb cut", "false fence", "ring guard"),
    *("dropped onto a turning block", "finish the stopped end with hand tools"),
    *("Fire doors", "manual", "clamp", "Never alter a cutter"),
)


@pytest.mark.parametrize("words", MUST_SAY)
def test_something_says(words: str) -> None:
    assert any(words in caution.text for caution in CAUTIONS)


@pytest.mark.parametrize("caution", CAUTIONS, ids=lambda caution: caution.name)
def test_each_is_short_and_in_whole_sentences(caution: Caution) -> None:
    assert len(caution.text) <= 260
    assert caution.text.endswith(".")
    assert all(len(sentence.split()) <= 30 for sentence in caution.text.split(". "))


# ------------------------------------------------------------ what brings them out

Scope = dict[str, Value]
KNOWN = {
    *(each.name for each in FORMULA_NAMES if each.there is not There.AIM),
    *(f"setting.{name}" for name in SettingName),
}
CONDITIONAL = [caution for caution in CAUTIONS if caution.when is not None]


@pytest.mark.parametrize("caution", CONDITIONAL, ids=lambda caution: caution.name)
def test_conditions_use_names_that_there_are(caution: Caution) -> None:
    """A caution whose condition names what no operation has would never be printed."""
    assert caution.when is not None
    assert caution.when.names <= KNOWN


ONE_CUT = operation("cut", MachineType.ROUTER_TABLE, bit(CutterType.STRAIGHT_BIT), Work.EDGE)
OVER = Formula.parse("setting.fence > 1/4 in")
STOPPED_TOO = Formula.parse("setting.fence > 1/4 in and operation.stopped")


@pytest.mark.parametrize(
    ("asks", "scope", "due"),
    [
        ({}, {}, True),
        ({"machines": (MachineType.TABLE_SAW, MachineType.ROUTER_TABLE)}, {}, True),
        ({"machines": (MachineType.TABLE_SAW,)}, {}, False),
        ({"cutters": (CutterType.STRAIGHT_BIT,)}, {}, True),
        ({"cutters": (CutterType.SAW_BLADE,)}, {}, False),
        ({"work": (Work.END, Work.EDGE)}, {}, True),
        ({"work": (Work.END,)}, {}, False),
        ({"when": OVER}, {"setting.fence": Length("17/64 in")}, True),
        ({"when": OVER}, {"setting.fence": Length("1/4 in")}, False),
        ({"when": OVER}, {"setting.height": Length("17/64 in")}, False),
        ({"when": STOPPED_TOO}, {"setting.fence": Length("17/64 in")}, False),
        ({"when": OVER, "work": (Work.END,)}, {"setting.fence": Length("17/64 in")}, False),
    ],
)
def test_a_caution_is_due_where_all_that_it_asks_for_is_so(
    asks: dict[str, Any], scope: Scope, due: bool
) -> None:
    """What it names and this cut has not brings nothing out."""
    assert applies(Caution("one", "One.", "common practice", **asks), ONE_CUT, scope) is due
    bare = replace(ONE_CUT, cutter=None)
    assert applies(Caution("one", "One.", "", cutters=(CutterType.SAW_BLADE,)), bare, {}) is False


def inches(text: str) -> Length:
    return Length(f"{text} in")


def standing_out(fence: str) -> Scope:
    return {"setting.fence": inches(fence), "cutter.diameter": inches("1 5/8")}


def on_edge(down: str, width: str) -> Scope:
    sizes = {"part.width": inches(width), "part.thickness": inches("1 3/4")}
    return {"operation.down": down, **sizes}


GLAZED: Scope = {"operation.makes": "glazing", "leaf.glass": True}
SIDES: list[tuple[str, Scope, Scope]] = [
    # caution, what just brings it out, what just does not
    ("on_edge", {"operation.down": "sight_edge"}, {"operation.down": "back"}),
    ("on_edge", {"operation.down": "outer_edge"}, {"operation.down": "face"}),
    ("strip_away", {"operation.leaves_offcut": True}, {"operation.leaves_offcut": False}),
    ("narrow_rip", {"setting.fence": inches("1 63/64")}, {"setting.fence": inches("2")}),
    ("short_end_part", {"part.length": inches("11 63/64")}, {"part.length": inches("12")}),
    ("short_edge_part", {"part.length": inches("11 63/64")}, {"part.length": inches("12")}),
    ("dado_deep", {"setting.height": inches("33/64")}, {"setting.height": inches("1/2")}),
    ("stopped_on_saw", {"operation.stopped": True}, {"operation.stopped": False}),
    ("lowered_on_saw", {"operation.lowered_on": True}, {"operation.lowered_on": False}),
    ("buried_blade", {"operation.clears": True}, {"operation.clears": False}),
    ("short_crosscut", {"part.length": inches("11 63/64")}, {"part.length": inches("12")}),
    ("large_bit", {"cutter.diameter": inches("1 1/64")}, {"cutter.diameter": inches("1")}),
    ("long_projection", standing_out("1 1/64"), standing_out("1")),
    (
        "cope_clear",
        {"tenon.reach": inches("25/64"), "cutter.reach": inches("3/8")},
        {"tenon.reach": inches("3/8"), "cutter.reach": inches("3/8")},
    ),
    ("slender_edge", {"part.width": inches("1 63/64")}, {"part.width": inches("2")}),
    ("short_edge", {"part.length": inches("11 63/64")}, {"part.length": inches("12")}),
    (
        "small_tongue",
        {"section.tongue.width": inches("15/64")},
        {"section.tongue.width": inches("1/4")},
    ),
    ("deep_pass", {"operation.passes": 2}, {"operation.passes": 1}),
    ("lowered_on_bit", {"operation.lowered_on": True}, {"operation.lowered_on": False}),
    ("deep_mortise", {"setting.depth": inches("2 1/64")}, {"setting.depth": inches("2")}),
    (
        "thin_wall",
        {"mortise.from_face": inches("15/64")},
        {"mortise.from_face": inches("1/4")},
    ),
    ("long_edge", {"part.length": inches("48 1/64")}, {"part.length": inches("48")}),
    ("long_crosscut", {"part.length": inches("48 1/64")}, {"part.length": inches("48")}),
    ("long_on_mortiser", {"part.length": inches("48 1/64")}, {"part.length": inches("48")}),
    ("long_rip", {"part.length": inches("48 1/64")}, {"part.length": inches("48")}),
    ("planer_long", {"part.length": inches("48 1/64")}, {"part.length": inches("48")}),
    ("sled_on_bit", {"setting.height": inches("1/64")}, {"setting.height": inches("0")}),
    ("sled_on_saw", {"setting.height": inches("1/64")}, {"setting.height": inches("0")}),
    ("long_projection", standing_out("1 5/8"), standing_out("1 41/64")),
    ("clear_of_fence", standing_out("1 41/64"), standing_out("1 5/8")),
    ("planer_on_edge", on_edge("sight_edge", "5 17/64"), on_edge("sight_edge", "5 1/4")),
    ("planer_on_edge", on_edge("sight_edge", "5 17/64"), on_edge("face", "6")),
    ("planer_short", {"part.length": inches("11 63/64")}, {"part.length": inches("12")}),
    ("planer_thin", {"setting.thickness": inches("23/64")}, {"setting.thickness": inches("3/8")}),
    ("moulder_short", {"part.length": inches("11 63/64")}, {"part.length": inches("12")}),
    ("moulder_slender", {"part.width": inches("1 63/64")}, {"part.width": inches("2")}),
    ("moulder_passes", {"operation.passes": 2}, {"operation.passes": 1}),
    ("moulder_lowered_on", {"operation.lowered_on": True}, {"operation.lowered_on": False}),
    ("glass_edges", GLAZED, {**GLAZED, "leaf.glass": False}),
    ("glass_edges", GLAZED, {**GLAZED, "operation.makes": "fit"}),
]


def test_every_condition_has_both_its_sides_in_the_table() -> None:
    assert {name for name, _, _ in SIDES} == {caution.name for caution in CONDITIONAL}
    assert len(SIDES) == 40


@pytest.mark.parametrize(("name", "brings", "spares"), SIDES)
def test_each_condition_holds_on_its_side_of_the_limit(
    name: str, brings: Scope, spares: Scope
) -> None:
    when: Any = BY_NAME[name].when
    inch: Scope = {"shop.inch": inches("1")}
    assert when.truth(brings | inch) is True
    assert when.truth(spares | inch) is False


SHORT = [each.name for each in CONDITIONAL if "part.length <" in cast(Formula, each.when).text]


@pytest.mark.parametrize("name", SHORT)
def test_a_short_part_of_a_metric_shop_is_one_under_300_mm(name: str) -> None:
    """As the README says, and as no rule of that shop says 304.8."""
    when: Any = BY_NAME[name].when
    metric: Scope = {"shop.inch": Length("25 mm")}
    assert when.truth({"part.length": Length("299.5 mm"), **metric}) is True
    assert when.truth({"part.length": Length("300 mm"), **metric}) is False
