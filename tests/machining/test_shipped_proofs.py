"""Every shipped recipe proved on every shipped section, and no wrong formula that goes unseen."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from functools import cache

import pytest
from msgspec.structs import replace

from setupsheets.formulas import Formula
from setupsheets.machining import plan as planning
from setupsheets.machining.checking.joint import joint
from setupsheets.machining.checking.proof import prove_plan
from setupsheets.machining.cutting.cuts import run
from setupsheets.machining.plan import Plan
from setupsheets.machining.planning.batches import route
from setupsheets.machining.support.runs import supports
from setupsheets.shop.jobs import RouteKind, Through
from setupsheets.shop.recipes import Makes, Recipe, Work
from setupsheets.wording.proofs import joint_words, proof_line
from tests.machining.shipped_shop import (
    SHAPES,
    UNITS,
    Shipped,
    names,
    plan,
    recipe,
    recipes_that_make,
    without,
)

MAKES = [makes for makes in Makes if recipes_that_make(makes)]
SAME = {makes for makes in MAKES if len(recipes_that_make(makes)) == 1}
NARROW = 4  # stiles wide: its rails and cross bars are too short to be worked by themselves
VARIANTS = max(len(recipes_that_make(makes)) for makes in MAKES)


def variant(number: int) -> dict[Makes, str]:
    """The recipes of one variant: over all of them each recipe has its turn."""
    chosen = {makes: recipes_that_make(makes) for makes in MAKES}
    return {makes: recipes[number % len(recipes)] for makes, recipes in chosen.items()}


# The bits that shops take first are wider than the grooves.
SLENDER = {
    unit: {f"groove-straight-bit.{wall}_wall": f"straight-bit-{size}" for wall in ("near", "far")}
    for unit, size in (("inch", "1-4-inch"), ("metric", "6-mm"))
}


@cache
def whole_plan(shape: str, unit: str, number: int) -> Plan:
    """Bars are halved over each other in all variants but the first."""
    through = Through.HALVED if number else Through.CROSS
    return plan(shape, unit, variant(number), cutters=SLENDER[unit], through=through)


def turns(shape: str, unit: str) -> Sequence[int]:
    """Every variant in inches; in millimetres each with one shape, and the first with two."""
    return range(VARIANTS) if unit == "inch" else (0, 1 + SHAPES.index(shape) % (VARIANTS - 1))


def test_every_recipe_has_its_turn() -> None:
    assert {name for number in range(VARIANTS) for name in variant(number).values()} == set(
        names("recipes")
    )
    sections = {f"{shape}-{member}-{unit}"
                for shape in SHAPES for member in ("frame", "bar") for unit in UNITS}  # fmt: skip
    assert sections == set(names("sections"))


@pytest.mark.parametrize("unit", UNITS)
@pytest.mark.parametrize("shape", SHAPES)
def test_every_recipe_proves_on_every_section(shape: str, unit: str) -> None:
    show = Shipped(unit).settings.notation.show
    for number in turns(shape, unit):
        whole = whole_plan(shape, unit, number)
        proofs = prove_plan(whole if number == 0 else without(whole, Makes.BLANK, Makes.BEAD))
        assert [proof_line(proof, show) for proof in proofs if not proof.holds] == []
        assert {proof.work for proof in proofs} >= {Work.EDGE, Work.END, Work.MORTISE}
        assert (Work.HALVING in {proof.work for proof in proofs}) == bool(number)


@pytest.mark.parametrize("unit", UNITS)
@pytest.mark.parametrize("shape", SHAPES)
def test_every_end_closes_on_its_mate_and_every_cut_but_one_is_supported(
    shape: str, unit: str
) -> None:
    """Sawing the strips off a bar is the hard one: its filler strip must hold it towards the fence;
    how it leans away from the fence depends on the section, and the sheet says so."""
    for number in turns(shape, unit):
        for set_up in whole_plan(shape, unit, number).set_ups:
            if set_up.subject.end is not None:
                assert joint_words(joint([set_up]), str) == "closes everywhere"
            if set_up.subject.section is None or (number and set_up.recipe.makes in SAME):
                continue
            for found in supports(run(set_up.operations, set_up.subject), set_up.subject):
                if set_up.recipe.makes is Makes.BAR and found.operation.name == "strip":
                    assert found.after.levers[0] > 0
                else:
                    assert found.steady, (set_up.name, found.operation.name)


# ------------------------------------------------------------------ formulas that are wrong

# What makes no difference to the wood, and why: later cuts take it away. The measurements catch
# these; with the measurements gone, as here, nothing needs to.
HARMLESS = {
    ("blanks", "rough", "stop", "+"): "the blank is cut to length after",
    ("blanks", "rough", "stop", "-"): "it is long enough still",
    ("blanks", "rip", "fence", "+"): "the sawn edge is planed after",
    ("blanks", "rip", "fence", "-"): "it is wide enough still",
    ("blanks-table-saw", "rip", "fence", "+"): "the sawn edge is planed after",
    ("blanks-table-saw", "rip", "fence", "-"): "it is wide enough still",
    ("cope-crosscut-saw", "face_cheek", "stop", "-"): "the cope cutter takes what is left",
    ("cope-crosscut-saw", "face_cheek", "height", "+"): "the cope cutter takes what is left",
    ("cope-router-table", "face_cheek", "fence", "-"): "the cope cutter takes what is left",
    ("cope-router-table", "face_cheek", "height", "-"): "the cope cutter takes what is left",
    ("cope-table-saw", "face_cheek", "stop", "-"): "the cope cutter takes what is left",
    ("cope-table-saw", "face_cheek", "height", "-"): "the cope cutter takes what is left",
}
THIN = {
    "saw_blade": "thin-rip-blade-10-inch",
    "mortise_chisel": "mortise-chisel-1-4-inch",
    "drill_bit": "drill-bit-1-4-inch",
    **SLENDER["inch"],
}
"""Half of its kerf is less than a sixteenth: a thick blade's strip still falls when it is off.
Chisel and bit are thinner than the tenons, and each of their rows makes its own wall."""


def mutations() -> Iterator[tuple[str, str, str, str]]:
    for name in names("recipes"):
        for operation in recipe(name).operations:
            for setting in operation.settings:
                yield from ((name, operation.name, setting, sign) for sign in "+-")


MUTATIONS = tuple(mutations())


def a_sixteenth_off(name: str, operation: str, setting: str, sign: str) -> Recipe:
    """The recipe with one formula wrong, and no measurements to give it away."""
    of = recipe(name)
    operations = tuple(
        replace(asks, settings={
            key: replace(aim, aim=Formula.parse(f"({aim.aim.text}) {sign} 1/16 in"))
            if key == setting else aim
            for key, aim in asks.settings.items()
        }) if asks.name == operation else asks
        for asks in of.operations
    )  # fmt: skip
    return replace(of, operations=operations, measures=())


def proves(name: str, changed: Recipe) -> bool:
    """In the recipe's own order, without what other recipes make: no route has to be looked for."""
    of, in_order = recipe(name), RouteKind.JOINT_BY_JOINT
    things = Shipped("inch", {name: changed})
    through = Through.HALVED if of.makes is Makes.HALVING else Through.CROSS
    wide = NARROW if of.makes is Makes.PARTING else 10
    pair = of.makes is Makes.MEETING
    made = [each for each in route() if each[0] in (of.makes, Makes.GROOVE)]
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(planning, "route", lambda: made)
        whole = plan(
            "ovolo", "inch", {of.makes: name}, things, THIN, through, wide, pair, route=in_order
        )
    mine = tuple(item for item in whole.set_ups if item.recipe.makes is of.makes)
    proofs = prove_plan(Plan(whole.job, whole.joinery, mine))
    return all(proof.holds for proof in proofs)


@pytest.mark.parametrize("name", sorted({mutation[0] for mutation in MUTATIONS}))
def test_a_formula_a_sixteenth_off_does_not_prove(name: str) -> None:
    mine = [mutation for mutation in MUTATIONS if mutation[0] == name]
    assert proves(name, replace(recipe(name), measures=()))
    unseen = {mutation for mutation in mine if proves(name, a_sixteenth_off(*mutation))}
    assert unseen == {mutation for mutation in mine if mutation in HARMLESS}


def test_only_in_blanks_is_a_formula_harmless_both_ways() -> None:
    assert len(MUTATIONS) > 80
    assert set(HARMLESS) <= set(MUTATIONS)
    signs = Counter((name, operation, setting) for name, operation, setting, _ in HARMLESS)
    assert {key[0] for key, count in signs.items() if count == 2} == {"blanks", "blanks-table-saw"}
