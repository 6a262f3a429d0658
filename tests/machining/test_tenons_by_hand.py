"""Haunches and twin tenons: hand work with every part's own sizes, mortises for the haunches."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from setupsheets.joinery.leaf import work_out
from setupsheets.joinery.members.parts import Mortise
from setupsheets.lengths import Length
from setupsheets.machining.checking.proof import prove_plan
from setupsheets.machining.operations import Operation
from setupsheets.machining.plan import Plan, plan_job
from setupsheets.shop.jobs import Fill, FrameField, Job
from setupsheets.shop.machines import SettingName
from setupsheets.shop.recipes import Makes, Work
from tests.machining.handmade import inches
from tests.machining.shipped_shop import Shipped, job, section


def plan_of(of: Job) -> Plan:
    sections = {f"ovolo-{each}-inch": section("ovolo", each, "inch") for each in ("frame", "bar")}
    things = Shipped("inch")
    return plan_job(of, work_out(of, sections, things.settings.finest_mark), things)


def haunched(lower: Fill = Fill.GROOVED_PANEL) -> Job:
    """Rails 2 3/16 wide: the top one haunched by 3/4, the bottom one by 5/8, the lock rail's tenon
    split by 1/2."""
    of = job("ovolo", "inch")
    top, lock, bottom = of.rails
    fields = (of.fields[0], FrameField(lower, sight_height=of.fields[1].sight_height))
    glazing = replace(of.glazing, panel_thickness=inches("1/8"))
    return replace(of, recipes={}, fields=fields, glazing=glazing, rails=(
        replace(top, haunch=inches("3/4")),
        replace(lock, twin_gap=inches("1/2")),
        replace(bottom, haunch=inches("5/8")),
    ))  # fmt: skip


def by_hand(whole: Plan, name: str) -> dict[str, dict[str, Length]]:
    """The sizes of the marking gauge in every operation of that name, by the parts it is for."""
    found: list[tuple[Operation, list[str]]] = [
        (operation, list(item.counts))
        for item in whole.set_ups
        if item.recipe.makes is Makes.COPE
        for operation in item.operations
        if operation.name == name
    ]
    assert all(operation.asks.work is Work.HAND for operation, _ in found)
    return {
        jig.name.partition(" for the ")[2] or ", ".join(parts): dict(jig.sizes)
        for operation, parts in found
        for jig in operation.jigs
    }


def test_every_part_has_its_own_haunch() -> None:
    """Mortise depth 3 times 7/16 less a seventh of that: reach 1 5/16 - 1/16 = 1 1/4. The top
    rail's haunch stands as far past its back shoulder, 7/16, as the tongue is thick, 3/8 (common
    practice, no source); the bottom rail's, whose shoulder is at the sight edge, fills its groove,
    7/16."""
    sizes = by_hand(plan_of(haunched()), "haunch")
    assert sizes == {
        "top": {"from_edge": inches("3/4"), "haunch_left": inches("13/16"),
                "from_end": inches("7/16")},
        "bottom": {"from_edge": inches("5/8"), "haunch_left": inches("7/16"),
                   "from_end": inches("1 1/4") - inches("7/16")},
    }  # fmt: skip


def test_twin_tenons_have_every_size() -> None:
    """The lock rail is 2 3/16 wide and its groove takes 7/16: 1 3/4 less the gap of 1/2 is twice
    5/8 (arithmetic)."""
    sizes = by_hand(plan_of(haunched()), "twins")
    assert sizes == {
        "lock": {"from_lower_edge": inches("7/16"), "each_tenon": inches("5/8"),
                 "gap": inches("1/2"), "from_end": inches("1 1/4")},
    }  # fmt: skip


def test_grooves_have_the_tenons_edges_trimmed_and_haunches_left_alone() -> None:
    whole = plan_of(haunched())
    assert by_hand(whole, "trim")["lock"] == {
        "from_lower_edge": inches("7/16"),
        "from_upper_edge": Length.ZERO,
        "width_left": inches("1 3/4"),
    }
    assert by_hand(whole, "trim_inner") == {
        "bottom": {"from_moulded_edge": inches("7/16"), "width_left": inches("1 1/8")}
    }


def shallow(whole: Plan) -> dict[str, Mortise]:
    return {mortise.holds: mortise for mortise in whole.joinery.haunches}


@pytest.mark.parametrize(
    ("lower", "holds"),
    [(Fill.GROOVED_PANEL, {"top"}), (Fill.PANEL, {"top", "bottom"})],
)
def test_haunches_have_shallow_mortises_unless_a_groove_takes_them(
    lower: Fill, holds: set[str]
) -> None:
    whole = plan_of(haunched(lower))
    found = shallow(whole)
    assert set(found) == {f"haunch of the {name}" for name in holds}
    top = found["haunch of the top"]
    height = whole.job.size.height
    assert (top.start, top.end) == (height - inches("3/4"), height)
    assert top.depth == inches("13/16") + inches("1/16")  # the gap under every tenon
    (item,) = (each for each in whole.set_ups if each.subject.mortise in found.values())
    assert item.name.startswith("mortise-chisel/stile-for-haunch-of-the-")
    assert {each.aim(SettingName.DEPTH) for each in item.operations if each.settings} == {top.depth}
    proofs = prove_plan(Plan(whole.job, whole.joinery, (item,)))
    assert [proof.holds for proof in proofs] == [True]


def test_a_leaf_without_haunches_has_none() -> None:
    assert plan_of(replace(job("ovolo", "inch"), recipes={})).joinery.haunches == ()
