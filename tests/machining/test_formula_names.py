"""The table of the names of formulas against what is really given to them.

No outside source: the table tells recipe writers what there is, so it must be true.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import cast

import pytest

from setupsheets.formulas import Value
from setupsheets.lengths import Length, Unit
from setupsheets.machining.conditions import caution_scope
from setupsheets.machining.operations import SetUp
from setupsheets.machining.planning.scope import (
    cutter_scope,
    machine_scope,
    reading_scope,
    subject_scope,
)
from setupsheets.shop.cutters import Cutter
from setupsheets.shop.finding import Shop
from setupsheets.shop.formula_names import FORMULA_NAMES, OTHER_FIRST_WORDS, There, names_there
from setupsheets.shop.jobs import Job, Through
from setupsheets.shop.recipes import Makes
from tests.doors import begun
from tests.machining.shipped_shop import PROFILES, names, plan, recipes_that_make, thing

BY_NAME = {each.name: each for each in FORMULA_NAMES}


@cache
def set_ups() -> tuple[tuple[Job, SetUp], ...]:
    """Every set-up of two leaves, with bars into each other and with halved ones, and of a pair."""
    choices = {
        makes: found[0]
        for makes in Makes
        if (found := [each for each in recipes_that_make(makes) if "fit" not in each])
    }
    plans = [
        plan("ovolo", "inch", choices, through=through, pair=pair)
        for through, pair in (
            (Through.CROSS, False),
            (Through.HALVED, False),
            (Through.CROSS, True),
        )
    ]
    return tuple((made.job, set_up) for made in plans for set_up in made.set_ups)


def given() -> Mapping[Makes, Mapping[str, Value]]:
    found: dict[Makes, dict[str, Value]] = defaultdict(dict)
    for job, set_up in set_ups():
        found[set_up.recipe.makes] |= subject_scope(set_up.subject, job.allowances, {})
    return found


def test_no_name_stands_twice_for_one_place() -> None:
    assert len({(each.there, each.name) for each in FORMULA_NAMES}) == len(FORMULA_NAMES) > 60


def test_subjects_give_the_names_of_the_table_and_no_others() -> None:
    told = names_there(There.EVERYWHERE, *Makes)
    assert {name for scope in given().values() for name in scope} == told


def test_machines_give_the_names_of_the_table(tmp_path: Path) -> None:
    """The starter's planer takes 6 in, its fence goes to 30 and its stop to 96; a file that says
    nothing, and a machine that is not there, stand in the way of nothing."""
    folder = begun(tmp_path, "in")
    shop, job = Shop.open(folder), set_ups()[0][0]
    scope = machine_scope(job, shop)
    assert scope.keys() == names_there(There.MACHINES)
    assert scope["greatest.planer.thickness"] == Length("6 in")
    assert scope["greatest.table_saw.fence"] == Length("30 in")
    assert scope["greatest.crosscut_saw.stop"] == Length("96 in")
    saw = folder / "machines" / "table-saw.yaml"
    saw.write_text(saw.read_text("utf-8").replace("    greatest: 30\n", ""), "utf-8")
    for gone in ("planer", "crosscut-saw"):
        (folder / "machines" / f"{gone}.yaml").unlink()
    assert scope["shop.rough_mark"] == Length("1/16 in")
    endless = machine_scope(job, Shop.open(folder))
    assert endless.pop("shop.rough_mark") == Length("1/16 in")
    assert all(value == Length("1000 m") for value in endless.values())


@pytest.mark.parametrize("makes", [each.there for each in FORMULA_NAMES if each.there in Makes])
def test_what_is_made_has_its_own_names(makes: Makes) -> None:
    assert names_there(makes) <= given()[makes].keys()


def test_values_are_of_the_type_that_is_told() -> None:
    for scope in given().values():
        for name, value in scope.items():
            assert isinstance(value, BY_NAME[name].type), name


def test_cutters_give_the_names_of_the_table() -> None:
    cutters = (
        cast(Cutter, thing(PROFILES / "cutters" / f"{name}.yaml")) for name in names("cutters")
    )
    assert {name for cutter in cutters for name in cutter_scope(cutter)} == names_there(
        There.OWN_CUTTER
    )


def test_readings_have_the_blank_as_a_cause() -> None:
    _, set_up = set_ups()[0]
    scope = reading_scope(set_up.operations, set_up.subject)
    assert {name for name in scope if name.startswith("blank.")} == names_there(There.READING)


def test_cautions_are_told_of_the_operation() -> None:
    found: dict[str, Value] = {}
    for job, set_up in set_ups():
        for operation in set_up.operations:
            scope = caution_scope(operation, set_up, job, Unit.MM)
            there = names_there(There.CAUTION) & scope.keys()
            found |= {name: scope[name] for name in there}
    assert found.keys() == names_there(There.CAUTION)
    for name, value in found.items():
        assert type(value) is BY_NAME[name].type, name
    assert found["shop.inch"] == Length("25 mm")


def test_a_caution_knows_the_figures_of_a_cut_and_of_those_before_it_alone() -> None:
    """As with what a maker has in front of them: what comes later is not set yet."""
    seen = 0
    for job, set_up in set_ups():
        for operation in set_up.operations:
            scope = caution_scope(operation, set_up, job, Unit.IN)
            told, by_then = set[str](), set[str]()
            for each in set_up.operations:
                if scope.keys() & {f"{each.name}.{setting.name}" for setting in each.settings}:
                    told.add(each.name)
                if each.number <= operation.number and each.settings:
                    by_then.add(each.name)
            assert told == by_then
            seen += len(by_then) > 1
    assert seen > 20


def test_cautions_know_the_inputs_as_the_recipe_is_worked_out_with_them() -> None:
    """The stop on the sled takes two feet; a shop that works in millimetres has 600 of them."""
    choices = {makes: recipes_that_make(makes)[0] for makes in Makes if recipes_that_make(makes)}
    for unit, longest in (("inch", "24 in"), ("metric", "600 mm")):
        made = plan("ovolo", unit, choices | {Makes.BLANK: "blanks-table-saw"})
        sawn = next(each for each in made.set_ups if each.recipe.makes is Makes.BLANK)
        scope = caution_scope(sawn.operations[0], sawn, made.job, Unit.IN)
        assert scope["input.longest"] == Length(longest)


def test_no_operation_may_begin_other_names() -> None:
    told = {each.name.split(".")[0] for each in FORMULA_NAMES}
    assert {*told, "input", "setting"} == OTHER_FIRST_WORDS
