"""Recipes worked through on paper, the names in their formulas, and slips that must be told."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from setupsheets.files.documents import read_text
from setupsheets.files.faults import DataFaults
from setupsheets.formulas import Affine, Value
from setupsheets.lengths import Length, Unit
from setupsheets.shop.loading import made_from
from setupsheets.shop.machines import SettingName
from setupsheets.shop.recipes import Makes, Recipe
from tests.profiles.shipped import recipes

Scope = dict[str, Value]
COPES = [recipe for recipe in recipes().values() if recipe.makes is Makes.COPE]


def inches(text: str) -> Length:
    return Length(f"{text} in")


# ------------------------------------------------------------------------------ on paper

# Worked by hand: a part spanning a sight opening of 18 between mates with sticking 3/8 wide and
# rebates 7/16 wide, tenons reaching 1 1/4: face 18 3/4, back 18 7/8, overall 20 1/2.
PAPER: Scope = {
    "part.face": inches("18 3/4"),
    "part.back": inches("18 7/8"),
    "part.length": inches("20 1/2"),
    "part.thickness": inches("1 1/4"),
    "mate.sticking.width": inches("3/8"),
    "mate.sticking.depth": inches("3/8"),
    "mate.rebate.width": inches("7/16"),
    "tenon.reach": inches("1 1/4"),
    "tenon.thickness": inches("3/8"),
    "tenon.from_face": inches("3/8"),
    "input.left_for_cope": inches("1/32"),
    "dial.finest": inches("1/64"),
}
CUTTER = {"kerf": inches("1/8"), "profile.width": inches("3/8"), "cut_width": inches("3/4")}
SHOULD = {
    "overall": "20 1/2",
    "back_length": "18 7/8",
    "face_length": "18 3/4",
    "tenon_thickness": "3/8",
    "face_to_tenon": "3/8",
    "cope_depth": "3/8",
}


def with_causes(recipe: Recipe) -> Scope:
    """The paper's scope with every setting at its aim as a cause, and the blank as it should be."""
    scope: Scope = {
        "blank.length": Affine.cause("blank.length", inches("20 1/2")),
        "blank.thickness": Affine.cause("blank.thickness", inches("1 1/4")),
    }
    for operation in recipe.operations:
        own = PAPER | {f"cutter.{size}": value for size, value in CUTTER.items()}
        scope |= {f"{operation.name}.cutter.{size}": value for size, value in CUTTER.items()}
        for setting, aim in operation.settings.items():
            name = f"{operation.name}.{setting}"
            scope[name] = Affine.cause(name, aim.aim.length(own))
    return PAPER | scope


@pytest.mark.parametrize("recipe", COPES, ids=lambda recipe: recipe.name)
def test_three_lengths_worked_by_hand(recipe: Recipe) -> None:
    scope = with_causes(recipe)
    read = {each.name: each.reads.affine(scope).length for each in recipe.measures}
    should = {each.name: each.should.length(PAPER) for each in recipe.measures}
    assert read == should == {name: inches(text) for name, text in SHOULD.items()}


@pytest.mark.parametrize("recipe", COPES, ids=lambda recipe: recipe.name)
def test_six_readings_answer_to_seven_causes(recipe: Recipe) -> None:
    along = "fence" if recipe.name == "cope-router-table" else "stop"
    scope = with_causes(recipe)
    causes = {cause for each in recipe.measures for cause in each.reads.affine(scope).coefficients}
    assert len(recipe.measures) == 6
    assert causes == {
        *("blank.length", "blank.thickness", "cope.fence", "cope.height"),
        *("back_cheek.height", "face_cheek.height", f"back_cheek.{along}"),
    }


@pytest.mark.parametrize("recipe", COPES, ids=lambda recipe: recipe.name)
def test_a_long_blank_shows_alike_on_face_back_and_overall(recipe: Recipe) -> None:
    """Common practice, no published source: a part 1/4 long on face, back and over the tenons alike
    is long in the blank. Both ends are cut against one stop, so a stop counts twice."""
    scope = with_causes(recipe)
    reads = {each.name: each.reads.affine(scope) for each in recipe.measures}
    for name in ("face_length", "back_length", "overall"):
        assert reads[name].sensitivity("blank.length") == 1
    along = "fence" if recipe.name == "cope-router-table" else "stop"
    assert reads["face_length"].sensitivity("cope.fence") == Fraction(-2)
    assert reads["back_length"].sensitivity(f"back_cheek.{along}") == Fraction(-2)
    assert set(reads["overall"].coefficients) == {"blank.length"}


def test_a_bar_of_four_quarters_between_rebates() -> None:
    """Common practice, no published source: bars of 1/4 between rebates. 1 1/8 less twice 7/16."""
    scope: Scope = {
        "blank.width": inches("1 1/8"),
        "groove.fence": inches("7/16"),
        "blank.thickness": inches("1 1/4"),
    }
    measure = next(m for m in recipes()["bar-grooved"].measures if m.name == "tongue_width")
    assert measure.reads.length(scope) == inches("1/4")


def test_strips_fall_away_half_a_kerf_inside_the_first_cut() -> None:
    """The second cut meets the first for every blade: plane geometry of two kerfs."""
    for name in ("bar-grooved", "rebate-two-saw-cuts"):
        operations = {each.name: each for each in recipes()[name].operations}
        for kerf in ("1/8", "3/32", "1/16"):
            scope: Scope = {
                "section.rebate.width": inches("7/16"),
                "cutter.kerf": inches(kerf),
                "dial.finest": inches("1/128"),
            }
            far_side = operations["groove"].settings[SettingName.FENCE].aim.length(scope)
            top = operations["strip"].settings[SettingName.HEIGHT].aim.length(scope)
            assert far_side - inches(kerf) < top < far_side
        assert operations["strip"].leaves_offcut


# ---------------------------------------------------------------------- slips that are told

GOOD = """\
kind: recipe
version: 2
title: A rebate
makes: rebate
members: [frame]
unit: in
inputs:
  scant: {title: Left scant, default: 1/64}
operations:
  - name: groove
    title: First cut
    machine: table_saw
    cutters: [saw_blade]
    work: edge
    down: back
    against: sight_edge
    passes: ceil(setting.height / 1/4 in)
    settings:
      fence: {aim: section.rebate.width - input.scant, to: far}
      height: {aim: section.rebate.depth}
    jigs:
      - {name: fence, kind: heightens_fence, use: Tall, sizes: {height: part.width / 2}}
  - name: strip
    title: Second cut
    machine: table_saw
    cutters: [saw_blade]
    work: edge
    down: sight_edge
    against: face
    after: [groove]
    settings:
      fence: {aim: section.thickness - groove.height}
      height: {aim: section.rebate.width - groove.cutter.kerf / 2}
measures:
  - name: wall
    title: Wall
    instrument: caliper
    after: groove
    reads: groove.fence + input.scant
    should: section.rebate.width
    tolerance: {under: 1/64, over: 1/64}
"""
SLIPS: list[tuple[str, str, str, str]] = [
    # what stands, what takes its place, the field at fault, words of the message
    ("name: strip", "name: groove", "operations.2.name", "second operation called 'groove'"),
    ("name: strip", "name: mortise", "operations.2.name", "begins other names in formulas"),
    ("after: [groove]", "after: [grove]", "operations.2.after.1", "did you mean 'groove'?"),
    ("after: [groove]", "after: [strip]", "operations.2.after.1", "'strip' comes later"),
    ("[saw_blade]", "[cope_bit]", "operations.1.cutters.1", "table_saw holds no cope_bit"),
    ("rebate.depth}", "rebate.dept}", "operations.1.settings.height.aim", "rebate.depth'?"),
    ("input.scant, to", "input.scan, to", "operations.1.settings.fence.aim", "'input.scant'?"),
    ("setting.height", "setting.stop", "operations.1.passes", "unknown name 'setting.stop'"),
    ("part.width / 2", "part.widht / 2", "operations.1.jigs.1.sizes.height", "'part.width'?"),
    ("groove.height}", "strip.height}", "operations.2.settings.fence.aim", "'strip.height'"),
    ("after: groove", "after: grove", "measures.1.after", "did you mean 'groove'?"),
    ("reads: groove.fence", "reads: grove.fence", "measures.1.reads", "'groove.fence'?"),
    ("should: section.", "should: groove.", "measures.1.should", "unknown name 'groove."),
    ("should: section.rebate.width", "should: bead.width", "measures.1.should", "bead.width"),
]


def faults_in(text: str) -> list[tuple[int, str, str]]:
    try:
        made_from(read_text(text, Path("a-rebate.yaml")), Unit.IN)
    except DataFaults as found:
        return [(fault.mark.line, fault.field, fault.message) for fault in found.faults]
    return []


def test_the_recipe_that_the_slips_start_from_is_good() -> None:
    assert faults_in(GOOD) == []
    assert len(SLIPS) == 14


@pytest.mark.parametrize(("stands", "slip", "field", "words"), SLIPS)
def test_a_slip_is_told_where_it_stands(stands: str, slip: str, field: str, words: str) -> None:
    line = GOOD[: GOOD.index(stands)].count("\n") + 1
    faults = faults_in(GOOD.replace(stands, slip, 1))
    assert any(
        (line, field) == (at, where) and words in message for at, where, message in faults
    ), faults


def test_two_measures_of_one_name_are_told() -> None:
    again = GOOD[GOOD.index("  - name: wall") :]
    line = GOOD.count("\n") + 1
    assert faults_in(GOOD + again) == [(line, "measures.2.name", "a second measure called 'wall'")]


def test_all_slips_of_a_recipe_are_told_at_once() -> None:
    text = GOOD
    for stands, slip, *_ in (SLIPS[4], SLIPS[5], SLIPS[11]):
        text = text.replace(stands, slip, 1)
    assert len(faults_in(text)) == 3
