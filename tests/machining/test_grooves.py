"""Grooves for panels: who is grooved and who rebated, edge by edge, and where cuts must stop."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from msgspec.structs import replace

from setupsheets.files.faults import DataFaults
from setupsheets.joinery.leaf import work_out
from setupsheets.joinery.members.parts import Groove
from setupsheets.lengths import Notation, Unit
from setupsheets.machining.checking.proof import prove_plan
from setupsheets.machining.cutting.planes import mm
from setupsheets.machining.cutting.shapes import Corner, design, worked_edges
from setupsheets.machining.operations import (
    Operation,
    SetUp,
)
from setupsheets.machining.plan import Plan, plan_job
from setupsheets.machining.planning.choices import made_up
from setupsheets.machining.setting.passes import passes
from setupsheets.machining.setting.stopped_cuts import ramp_outline, stopped
from setupsheets.shop.cutters import CutterType, DadoStack
from setupsheets.shop.jobs import Fill, FrameField, Job, Panels
from setupsheets.shop.recipes import Makes, Work
from setupsheets.wording.proofs import proof_line
from setupsheets.wording.setting_up import stop_words
from tests.machining.handmade import blade, inches, section, subject
from tests.machining.shipped_shop import UNITS, Shipped, job, plan
from tests.machining.shipped_shop import section as shipped

SIXTEENTHS = Notation(Unit.IN, Fraction(1, 16))
SAW = {Makes.GROOVE: "groove-table-saw"}
SLOT = {Makes.GROOVE: "groove-router-table", Makes.REBATE: "rebate-rebate-bit"}
GROOVE = Groove(inches("1/4"), inches("1/2"), inches("7/16"))


def made(whole: Plan, makes: Makes) -> tuple[SetUp, ...]:
    return tuple(item for item in whole.set_ups if item.recipe.makes is makes)


def operations(whole: Plan, makes: Makes) -> list[Operation]:
    return [operation for item in made(whole, makes) for operation in item.operations]


def marks(operation: Operation) -> dict[str, list[float | None]]:
    """By the end that leads: where to lower on and lift off, in inches."""

    def in_inches(figure: float | None) -> float | None:
        return None if figure is None else figure / 25.4

    return {
        found.stop.leading: [in_inches(found.marks.lower_on), in_inches(found.marks.lift_off)]
        for found in stopped(operation)
    }


def flat_panels(unit: str) -> Job:
    """The leaf with a panel in a groove below and above."""
    fields = (FrameField(Fill.GROOVED_PANEL), *job("ovolo", unit).fields[1:])
    return replace(job("ovolo", unit), fields=fields, bars=None, recipes=SAW)


@pytest.mark.parametrize("unit", UNITS)
def test_a_rail_between_panels_is_not_rebated(unit: str) -> None:
    """The lower field has a panel in a groove: its rail is only grooved, the lock rail both."""
    whole = plan("ovolo", unit, SAW)
    assert [list(item.counts) for item in made(whole, Makes.REBATE)] == [["stile", "top", "lock"]]
    assert [list(item.counts) for item in made(whole, Makes.GROOVE)] == [
        ["stile", "lock", "bottom"]
    ]
    assert [len(item.counts) for item in made(whole, Makes.STICKING)] == [4]


def test_without_a_rebate_anywhere_no_recipe_for_rebates_is_asked_for() -> None:
    of, things = flat_panels("inch"), Shipped("inch")
    sections = {"ovolo-frame-inch": shipped("ovolo", "frame", "inch")}
    joinery = work_out(of, sections, things.settings.finest_mark)
    whole = plan_job(of, joinery, things)
    assert not made(whole, Makes.REBATE)
    assert len(made(whole, Makes.GROOVE)[0].counts) == 4
    assert [proof_line(proof, str) for proof in prove_plan(whole) if not proof.holds] == []


def test_rebates_and_grooves_go_along_their_own_edges() -> None:
    both = replace(subject(), sight_edges=2, grooves=(GROOVE, None))
    assert worked_edges(Makes.GROOVE, both) == (0,)
    assert worked_edges(Makes.REBATE, both) == (1,)
    assert worked_edges(Makes.STICKING, both) == (0, 1)
    assert worked_edges(Makes.REBATE, replace(both, grooves=())) == (0, 1)


def test_a_rail_between_glass_and_a_panel_says_which_edge() -> None:
    whole = plan("ovolo", "inch", SAW)

    def edges(part: str, makes: Makes) -> set[tuple[int, ...]]:
        places = (each.place(part) for item in made(whole, makes) for each in item.operations)
        return {place.edges for place in places if place is not None}

    assert edges("lock", Makes.GROOVE) == {(0,)}
    assert edges("lock", Makes.REBATE) == {(1,)}
    assert edges("lock", Makes.STICKING) == {(0, 1)}
    assert edges("stile", Makes.GROOVE) == edges("stile", Makes.REBATE) == {(0,)}
    assert edges("cross bar", Makes.BAR) == {(0, 1)}


def test_a_bit_too_wide_for_the_groove_is_named() -> None:
    with pytest.raises(DataFaults) as found:
        plan("ovolo", "inch", {Makes.GROOVE: "groove-straight-bit"})
    words = "with the Straight bit 3/4 in should come to 3/8 in but the settings make 3/4 in"
    assert any(words in fault.message for fault in found.value.faults)


def test_the_grooved_section_is_the_blank_less_moulding_and_groove() -> None:
    """2 1/4 by 1 3/8 less a groove of 1/4 by 1/2 is 2.96875 square inches (arithmetic)."""
    grooved = replace(subject(), grooves=(GROOVE,))
    made_so = design(grooved, Work.EDGE, frozenset({Corner.GROOVE}))
    assert made_so.area / 25.4**2 == pytest.approx(2.96875)
    whole, moulded = (design(each, Work.EDGE) for each in (grooved, subject()))
    rebate = section().rebate
    assert whole.area - moulded.area == pytest.approx(
        mm(rebate.width) * mm(rebate.depth) - mm(GROOVE.width) * mm(GROOVE.depth)
    )


def test_tape_marks_of_a_stile_half_rebated_half_grooved() -> None:
    """A stile 52 1/2 long, no horns; the lock rail stands from 19 11/16 to 21 7/8. The rebate must
    stop at 19 11/16, the groove is full to 20 1/8 and may reach 21 7/8. The stack, radius 4, 1/2
    up, cuts sqrt(16 - 3.5^2) = 1.93649 either side; the blade, radius 5, 7/16 up,
    sqrt(25 - 4.5625^2) = 2.04538 (plain computation). Fed the other way round, the same marks
    are counted from the other end."""
    whole = plan("ovolo", "inch", SAW | {Makes.REBATE: "rebate-dado-stack"})
    (rebate,) = operations(whole, Makes.REBATE)
    near, far = operations(whole, Makes.GROOVE)
    low = 19.6875 + math.sqrt(16 - 3.5**2)
    high = 21.875 - math.sqrt(25 - 4.5625**2)
    assert whole.joinery.part("stile").overall == inches("52 1/2")
    assert marks(rebate) == {
        "lower end": [pytest.approx(low), None],
        "upper end": [None, pytest.approx(52.5 - low)],
    }
    assert (
        marks(near)
        == marks(far)
        == {
            "lower end": [None, pytest.approx(high)],
            "upper end": [pytest.approx(52.5 - high), None],
        }
    )
    assert all(operation.lowered_on for operation in (rebate, near, far))
    assert not any(operation.lowered_on for operation in operations(whole, Makes.STICKING))
    for operation in (near, far):
        for found in stopped(operation):
            assert sum(found.by_hand) / 25.4 == pytest.approx(20.125 - high)
    assert "chop out the last" in stop_words(stopped(rebate)[0], SIXTEENTHS)


def test_a_slot_cutters_ramp_is_its_own_round_and_lies_in_the_mortise() -> None:
    """Radius 15/16, 7/16 out of the fence: sqrt(0.9375^2 - 0.5^2) = 0.79304 either side at the
    edge, nothing at full depth; from 21 7/8 that is full to 21.082, past the 20 1/8 needed."""
    near = operations(plan("ovolo", "inch", SLOT), Makes.GROOVE)[0]
    first, last = ramp_outline(near, steps=1)
    assert first == (0, 0)
    assert list(last) == pytest.approx([mm(inches("0.79304")), mm(inches("7/16"))], rel=1e-4)
    assert marks(near)["lower end"] == [None, pytest.approx(21.875 - 0.79304, abs=1e-5)]
    assert all(sum(found.by_hand) == 0 for found in stopped(near))
    assert "its ramp lies in a mortise" in stop_words(stopped(near)[0], SIXTEENTHS)


def test_a_slot_cutter_comes_out_of_the_fence_pass_by_pass() -> None:
    near, far = operations(plan("ovolo", "inch", SLOT), Makes.GROOVE)
    found = passes(near, hard=False)
    assert found is not None
    assert (found.setting, found.figures[-1]) == ("fence", inches("7/16"))
    assert passes(far, hard=False) is None
    assert far.passes == 2


def stack(outside: str = "1/8", *chippers: str) -> DadoStack:
    return DadoStack(inches(outside), tuple(map(inches, chippers)))


def test_a_stack_is_made_up_to_the_groove_or_as_near_under_it_as_it_goes() -> None:
    dado = replace(blade(), type=CutterType.DADO_STACK, stack=stack("1/8", "1/8", "1/16"))
    assert made_up(dado, inches("3/8")).kerf == inches("3/8")
    assert made_up(dado, inches("1/4")).kerf == inches("1/4")
    assert made_up(dado, inches("0.35")).kerf == inches("5/16")
    assert made_up(dado, inches("2")).kerf == inches("7/16")
    with pytest.raises(ValueError, match="outside blades cut 1/4 in wide"):
        made_up(dado, inches("3/16"))


def test_with_a_stack_the_groove_is_one_cut() -> None:
    cutters = {"groove-table-saw.near_wall": "dado-stack-8-inch"}
    whole = plan("ovolo", "inch", SAW, cutters=cutters)
    (near,) = operations(whole, Makes.GROOVE)
    assert near.cutter is not None and near.cutter.kerf == inches("3/8")
    (set_up,) = made(whole, Makes.GROOVE)
    assert {each.name for each in set_up.measurements} == {
        *("near_wall", "groove_depth", "one_cut_width")
    }
    proofs = prove_plan(Plan(whole.job, whole.joinery, (set_up,)))
    assert proofs and all(proof.holds for proof in proofs)


def test_a_stack_too_wide_for_the_groove_is_told_with_its_place() -> None:
    three = inches("3/16")
    narrow = Panels(three, three, inches("7/16"), inches("1/16"))
    cutters = {"groove-table-saw.near_wall": "dado-stack-8-inch"}
    of = replace(job("ovolo", "inch"), panels=narrow, recipes=SAW, cutters=cutters)
    sections = {f"ovolo-{member}-inch": shipped("ovolo", member, "inch")
                for member in ("frame", "bar")}  # fmt: skip
    things = Shipped("inch")
    joinery = work_out(of, sections, things.settings.finest_mark)
    with pytest.raises(DataFaults) as found:
        plan_job(of, joinery, things)
    told = {fault.field: fault.message for fault in found.value.faults}
    assert "take a single blade" in told["operations.1.stack"]
