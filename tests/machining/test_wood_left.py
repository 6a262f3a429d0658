"""Cuts in the wrong order: a cope into solid wood, an end cut when its edges are moulded.

That ends are cut before edges, and cheeks before copes, is common practice, no source; how much is
left is plane geometry.
"""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from setupsheets.lengths import Length
from setupsheets.machining.cutting.cuts import run
from setupsheets.machining.findings import findings_of, operation_findings
from setupsheets.machining.obstacles import ObstacleKind, obstacles_of
from setupsheets.machining.operations import FittedJig, Operation
from setupsheets.machining.support.operation_order import best_order
from setupsheets.machining.support.wood_left import Spoils, Waste, cope_waste, unbacked
from setupsheets.shop.cutters import CutterType
from setupsheets.shop.machine_kinds import MachineType
from setupsheets.shop.recipes import JigKind, Makes, MeasuredTo, Surface, Work
from setupsheets.wording.operations import support_lines
from setupsheets.wording.readiness import obstacle_line
from setupsheets.wording.support import order_notice, reason_words
from tests.machining.handmade import OVOLO, bit, blade, end, inches, mm, operation, subject
from tests.machining.shipped_shop import UNITS, Shipped, names, plan, recipe, recipes_that_make
from tests.machining.test_order import NOTATION
from tests.machining.test_shipped_proofs import NARROW

RAIL = subject(end=end(), length=inches("20"))
FAR = MeasuredTo.FAR


def cheek(stop: str) -> Operation:
    settings = [("stop", stop, FAR), ("height", "11/16")]
    return operation("face_cheek", MachineType.CROSSCUT_SAW, blade(), Work.END, Surface.BACK,
                     Surface.END, settings, clears=True)  # fmt: skip


def cope() -> Operation:
    """Over the mate's moulding 3/8 wide, its root 1 1/4 from the end."""
    settings = [("fence", "1 1/4", FAR), ("height", "7/16")]
    return operation("cope", MachineType.ROUTER_TABLE, bit(CutterType.COPE_BIT, profile=OVOLO),
                     Work.END, Surface.FACE, Surface.END, settings)  # fmt: skip


def moulding() -> Operation:
    settings = [("fence", "3/8", FAR), ("height", "7/16")]
    tool = bit(CutterType.STICKING_BIT, profile=OVOLO)
    return operation("sticking", MachineType.ROUTER_TABLE, tool, Work.EDGE, Surface.FACE,
                     Surface.SIGHT_EDGE, settings)  # fmt: skip


@pytest.mark.parametrize(
    ("cut_to", "left", "solid"),
    [
        (None, "7/8", True),  # 1 1/4 less the moulding's 3/8
        ("27/32", "1/32", False),
        ("7/8", "0", False),
        ("1/2", "3/8", False),  # as much as the moulding is wide, and a hair more
        ("15/32", "13/32", True),
    ],
)
def test_a_cope_knows_how_much_waste_lies_before_its_moulding(
    cut_to: str | None, left: str, solid: bool
) -> None:
    ahead = [cheek(cut_to)] if cut_to else []
    stage = run([*ahead, cope()], RAIL)[-1]
    waste = cope_waste(stage.operation, stage.before, stage.cut.removed)
    assert waste is not None and waste.most == mm("3/8")
    assert waste.long == pytest.approx(mm(left), abs=0.01)
    assert waste.solid is solid


def test_a_cope_bit_along_an_edge_or_without_a_fence_has_no_such_waste() -> None:
    (stage,) = run([cope()], RAIL)
    fence, height = cope().settings
    along = replace(cope(), asks=replace(cope().asks, work=Work.EDGE))
    for made in (along, replace(cope(), settings=(height,))):
        assert cope_waste(made, stage.before, stage.cut.removed) is None
    alone = replace(cope(), settings=(fence,))
    assert cope_waste(alone, stage.before, stage.cut.removed) is not None


def test_other_cuts_have_no_such_waste() -> None:
    for each in run([cheek("7/8")], RAIL):
        assert cope_waste(each.operation, each.before, each.cut.removed) is None


def test_a_cope_before_its_cheek_is_put_behind_it() -> None:
    found = best_order([cope(), cheek("27/32")], RAIL)
    assert found.given.worst.spoils is Spoils.SOLID_WOOD and found.better
    assert found.best.names == ("face_cheek", "cope") and found.best.steady
    (reason,) = found.reasons
    assert reason_words(reason, found.best, NOTATION) == (
        "face_cheek before cope: the other way round cope goes into solid wood, where its cutter is"
        " made for the moulding alone"
    )
    assert order_notice(found).startswith("in this order cope goes into solid wood")
    assert "put them face_cheek, cope (" in order_notice(found)


def test_a_moulding_before_the_ends_is_put_behind_them() -> None:
    found = best_order([moulding(), cheek("27/32"), cope()], RAIL)
    assert found.given.worst.spoils is Spoils.MOULDED_EDGE and found.better
    assert found.best.names == ("face_cheek", "cope", "sticking")
    told = [reason_words(each, found.best, NOTATION) for each in found.reasons]
    assert told[-1] == (
        "cope before sticking: the other way round cope breaks out of an edge that is moulded"
        " already"
    )


def test_an_order_that_may_not_be_changed_is_told_as_what_it_is() -> None:
    late = replace(cheek("27/32"), asks=replace(cheek("27/32").asks, after=("cope",)))
    found = best_order([cope(), late], RAIL)
    assert not found.better
    assert order_notice(found).endswith("alone, and `after` allows no other")
    assert order_notice(best_order([cheek("27/32"), cope()], RAIL)) == ""


@pytest.mark.parametrize("unit", UNITS)
@pytest.mark.parametrize("name", recipes_that_make(Makes.COPE))
def test_no_built_in_cope_goes_into_solid_wood(name: str, unit: str) -> None:
    for wide in (10, NARROW) if unit == "inch" else (NARROW,):
        whole = plan("ovolo", unit, {Makes.COPE: name}, wide=wide)
        found = findings_of(whole, Shipped(unit).settings, True).operations
        wastes = [each.waste for each in found if each.waste is not None]
        assert wastes and not any(each.solid for each in wastes)


@pytest.mark.parametrize("name", recipes_that_make(Makes.COPE))
def test_a_recipe_that_leaves_the_cheek_out_cannot_be_made(name: str) -> None:
    of = recipe(name)
    fewer = tuple(
        replace(each, after=tuple(set(each.after) - {"face_cheek"}))
        for each in of.operations
        if each.name != "face_cheek"
    )
    measures = tuple(each for each in of.measures if each.after != "face_cheek")
    bare = replace(of, operations=fewer, measures=measures)
    whole = plan("ovolo", "inch", {Makes.COPE: name}, Shipped("inch", {name: bare}))
    found = obstacles_of(findings_of(whole, Shipped("inch").settings, True).operations)
    told = [each for each in found if each.kind is ObstacleKind.SOLID_WOOD]
    assert told and all(each.impossible for each in told)
    notation = Shipped("inch").settings.notation
    for each in told:
        assert isinstance(each.what, Waste)
        end_of = each.task.set_up.subject.end
        assert end_of is not None
        long = end_of.reach - end_of.mate.sticking.width  # all before the tip of the cope
        assert abs(Length.from_float(each.what.long) - long) < Length("0.02 mm")
        assert "cut the face cheek first" in obstacle_line(each, notation)


@pytest.mark.parametrize("unit", UNITS)
def test_ends_that_are_cut_when_their_edges_are_moulded_are_backed_to_the_moulding(
    unit: str,
) -> None:
    whole = plan("ovolo", unit, {}, wide=NARROW)
    notation = Shipped(unit).settings.notation
    short = {part.name: part.long for part in whole.joinery.parts if part.long and part.ends}
    for found in findings_of(whole, Shipped(unit).settings, True).operations:
        places = found.task.operation.places
        late = {
            each.part
            for each in places
            if (long := short.get(each.part)) and 1 - long.outer in each.ends
        }
        works = found.task.operation.asks.work is Work.END
        assert set(found.moulded) == (late if works else set())
        said = any("reverse of the moulding" in line for line in support_lines(found, notation))
        assert said is bool(found.moulded)


@pytest.mark.parametrize(("kind", "told"), [(None, True), (JigKind.STOPS, True),
                                            (JigKind.BACKS, False)])  # fmt: skip
def test_a_cut_across_the_grain_with_nothing_behind_it_is_told(
    kind: JigKind | None, told: bool
) -> None:
    jigs = (FittedJig("block", kind, ""),) if kind else ()
    found = plan("ovolo", "inch", {})
    task = next(each for each in found.tasks if each.operation.name == "cope")
    bare = replace(task, operation=replace(task.operation, jigs=jigs))
    said = list(support_lines(operation_findings(bare, found.joinery), NOTATION))
    assert any("nothing stands behind the part" in line for line in said) is told
    edge = next(each for each in found.tasks if each.operation.name == "sticking")
    assert not unbacked(replace(edge.operation, jigs=()))


def test_every_built_in_cut_across_the_grain_is_backed() -> None:
    across = [each for name in names("recipes") for each in recipe(name).operations
              if each.work in (Work.END, Work.HALVING)]  # fmt: skip
    assert across
    assert all(any(jig.kind is JigKind.BACKS for jig in each.jigs) for each in across)
