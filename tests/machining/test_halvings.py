"""Bars halved over each other: where the notches are, who shares a stop, and the proof of them."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from setupsheets.joinery.leaf import work_out
from setupsheets.joinery.members.parts import Halving
from setupsheets.lengths import Length
from setupsheets.machining.checking.proof import prove_plan
from setupsheets.machining.cutting.planes import Plane
from setupsheets.machining.cutting.shapes import blank, design
from setupsheets.machining.operations import SetUp
from setupsheets.machining.plan import Plan, plan_job
from setupsheets.shop.jobs import Through
from setupsheets.shop.machines import SettingName
from setupsheets.shop.recipes import Makes, Work
from setupsheets.shop.sections import Member
from tests.machining.handmade import inches, section, subject
from tests.machining.shipped_shop import UNITS, Shipped, job, plan, recipes_that_make
from tests.machining.shipped_shop import section as shipped


def halved(unit: str, recipe: str, cutters: dict[str, str] | None = None) -> Plan:
    recipes = {Makes.HALVING: recipe}
    return plan("ovolo", unit, recipes, cutters=cutters, through=Through.HALVED)


def made(whole: Plan) -> tuple[SetUp, ...]:
    return tuple(item for item in whole.set_ups if item.recipe.makes is Makes.HALVING)


def notch(from_face: bool) -> Halving:
    return Halving("bar", "other", from_face, inches("5"), inches("5 3/8"), inches("11/16"))


@pytest.mark.parametrize(
    ("from_face", "low", "high"), [(True, 0, 11 / 16), (False, 11 / 16, 11 / 8)]
)
def test_a_notch_is_taken_out_of_its_own_side(from_face: bool, low: float, high: float) -> None:
    """3/8 by 11/16 out of a bar 24 long and 1 3/8 thick, its first wall 6 from the end."""
    bar = replace(subject(section(Member.BAR), "1 1/8"), halving=notch(from_face),
                  from_end=inches("6"))  # fmt: skip
    gone = blank(bar, Plane.END).difference(design(bar, Work.HALVING))
    assert gone.area / 25.4**2 == pytest.approx(3 / 8 * 11 / 16)
    x0, y0, x1, y1 = (each / 25.4 for each in gone.bounds)
    assert [x0, x1] == pytest.approx([6, 6.375])
    assert [y0, y1] == pytest.approx([low, high])


@pytest.mark.parametrize("recipe", recipes_that_make(Makes.HALVING))
@pytest.mark.parametrize("unit", UNITS)
def test_every_notch_has_its_stop_and_proves(unit: str, recipe: str) -> None:
    """Two lights each way: each bar has one notch, in its middle; cross bars in the face."""
    whole = halved(unit, recipe)
    cross, upright = sorted(made(whole), key=lambda item: item.name)
    assert list(cross.counts) == ["cross bar"] and list(upright.counts) == ["upright bar"]
    for item, side in ((cross, "face"), (upright, "back")):
        assert {each.name.split("_")[0] for each in item.operations} == {side, "try"}
        part, halving = item.subject.part, item.subject.halving
        assert part is not None and halving is not None
        width = halving.end - halving.start
        near, *further = (each for each in item.operations if each.settings)
        assert near.aim(SettingName.STOP) == (part.overall - width) / 2
        if not further:  # a stack made up to the notch
            assert near.cutter is not None and near.cutter.kerf == width
        for far in further:
            assert far.aim(SettingName.STOP) == (part.overall + width) / 2
    proofs = prove_plan(Plan(whole.job, whole.joinery, made(whole)))
    assert [proof.work for proof in proofs] == [Work.HALVING] * 2
    assert all(proof.holds for proof in proofs)


def test_notches_as_far_from_either_end_share_a_stop() -> None:
    """Four lights in height: three notches in each upright, the outer two at one stop."""
    of = job("ovolo", "inch", Through.HALVED)
    fields = (replace(of.fields[0], rows=4), *of.fields[1:])
    of = replace(of, fields=fields, recipes={})
    sections = {f"ovolo-{each}-inch": shipped("ovolo", each, "inch") for each in ("frame", "bar")}
    things = Shipped("inch")
    joinery = work_out(of, sections, things.settings.finest_mark)
    found = made(plan_job(of, joinery, things))
    assert {item.name.split("/")[1] for item in found} == {
        *("cross-bar", "upright-bar-1", "upright-bar-2")
    }
    ends = sorted(item.subject.from_end for item in found if "upright" in item.name)
    length = joinery.part("upright bar").overall
    assert ends[0] < ends[1] < length / 2
    assert len([each for each in joinery.halvings if each.part == "upright bar"]) == 3
    assert ends[0] > Length.ZERO
