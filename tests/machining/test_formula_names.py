"""The table of the names of formulas against what is really given to them.

No outside source: the table tells recipe writers what there is, so it must be true.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import cast

import pytest
from msgspec.structs import replace

from setupsheets.formulas import Value
from setupsheets.joinery.frame.layout import lay_out
from setupsheets.joinery.members.parts import End, Halving, Mortise, Tenon
from setupsheets.lengths import Length, Unit
from setupsheets.machining.conditions import caution_scope
from setupsheets.machining.operations import SetUp, Subject
from setupsheets.machining.planning.scope import (
    cutter_scope,
    machine_scope,
    reading_scope,
    subject_scope,
)
from setupsheets.shop.cutters import Cutter
from setupsheets.shop.finding import Shop
from setupsheets.shop.formula_names import FORMULA_NAMES, OTHER_FIRST_WORDS, There, names_there
from setupsheets.shop.jobs import Bars, Clearances, Hinges, Job, Lock, Meeting, Opening, Through
from setupsheets.shop.recipes import Makes
from tests.doors import begun
from tests.joinery.designs import BAR, FRAME, SECTIONS, inches, leaf
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
    assert all(each.what for each in FORMULA_NAMES)


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
                before = each.number <= operation.number
                if before and each.settings:
                    by_then.add(each.name)
                sized = each.cutter is not None and each.cutter.diameter is not None
                assert (f"{each.name}.cutter.diameter" in scope) is (before and sized)
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


Sizes = dict[str, str | bool]
UNSAID = (
    *("opening.top", "opening.hinge", "opening.leading", "opening.bottom", "opening.strip_width"),
    *("opening.strip_thickness", "opening.hinge_bevel", "opening.lock_bevel", "hinge.length"),
    *("hinge.recess", "hinge.from_top", "hinge.from_bottom", "lock.low", "lock.high", "lock.depth"),
    *("lock.thickness", "lock.wall"),
)
NOUGHT: Sizes = dict.fromkeys(UNSAID, "0")
PLAIN: Sizes = NOUGHT | {
    "leaf.width": "24",
    "leaf.height": "46",
    "leaf.horn": "1",
    "glazing.bedding": "1/16",
    "leaf.bars": True,
    "leaf.halved": False,
    "leaf.panels": False,
    "leaf.glass": True,
    "leaf.wedged": False,
    "opening.known": False,
    "glazing.clearance": "1/8",
}
GAPS = Clearances(*map(inches, ("3/32", "5/32", "7/32", "9/32", "3/64")))
OPENING = Opening(
    inches("30"), inches("50"), GAPS, hinge_bevel=Fraction(0), lock_bevel=Fraction(45)
)
HUNG: Sizes = {
    "opening.known": True,
    "opening.top": "3/32",
    "opening.hinge": "5/32",
    "opening.leading": "7/32",
    "opening.bottom": "9/32",
    "opening.lock_bevel": "1 3/8",
}
HINGES = Hinges(inches("3"), inches("1/4"), from_top=inches("5"), from_bottom=inches("7"))
HALVED = Bars("bar", through=Through.HALVED)
LOCK = Lock(inches("20"), inches("6"), inches("2"), inches("5/8"))


def bedded(rows: int = 4, columns: int = 1, **changes: object) -> Job:
    glazing = replace(leaf().glazing, bedding=inches("1/16"))
    return replace(leaf(rows=rows, columns=columns, glazing=glazing), **changes)


@pytest.mark.parametrize(
    ("job", "changed"),
    [
        (bedded(), {}),
        (bedded(rows=1), {"leaf.bars": False}),
        (bedded(rows=2, columns=2, bars=HALVED), {"leaf.halved": True}),
        (bedded(bars=HALVED), {}),
        (bedded(joints=replace(leaf().joints, rail_mortise=inches("3"))), {"leaf.wedged": True}),
        (bedded(opening=OPENING), HUNG),
        (
            bedded(opening=replace(OPENING, pair=Meeting.ASTRAGAL), count=2),
            HUNG | {"opening.leading": "3/64", "opening.strip_width": "1 1/4",
                    "opening.strip_thickness": "3/8"},
        ),
        (
            bedded(opening=replace(OPENING, pair=Meeting.PLAIN), count=2),
            HUNG | {"opening.leading": "3/64"},
        ),
        (
            bedded(hinges=HINGES),
            {"hinge.length": "3", "hinge.recess": "1/8", "hinge.from_top": "5",
             "hinge.from_bottom": "7"},
        ),
        (
            bedded(hinges=Hinges(inches("3"), inches("1/4")), opening=OPENING),
            HUNG | {"hinge.length": "3", "hinge.recess": "3/64", "hinge.from_top": "3",
                    "hinge.from_bottom": "3"},
        ),
        (
            bedded(lock=LOCK),
            {"lock.low": "17", "lock.high": "23", "lock.depth": "2", "lock.thickness": "5/8",
             "lock.wall": "3/8"},
        ),
    ],
)  # fmt: skip
def test_the_names_of_a_leaf_are_worth_what_the_table_says_of_them(
    job: Job, changed: Sizes
) -> None:
    """A leaf of 24 by 46, 1 3/8 thick, in inches (plane arithmetic): half of a lock's height to
    either side, half of what it leaves of the thickness; a bevel of 45 degrees takes off as much as
    the wood is thick; a hinge is let in by half of what it is when shut, less the gap."""
    subject = Subject(inches("24"), inches("1 3/8"), inches("46"), leaf=lay_out(job, SECTIONS))
    found = subject_scope(subject, job.allowances, {})
    expected = {
        name: value if isinstance(value, bool) else inches(value)
        for name, value in (PLAIN | changed).items()
    }
    names = names_there(Makes.GLUE_UP) - {"leaf.diagonal"}
    assert {name: found[name] for name in names} == expected
    assert float(cast(Length, found["leaf.diagonal"]).inches) == pytest.approx(51.8845, abs=5e-5)


def test_the_names_of_a_joint_are_worth_what_the_table_says_of_them() -> None:
    """Each from its own place, in inches, with what is left between or in all by arithmetic."""
    tenon = Tenon(inches("1/4"), inches("7/16"), inches("2"), inches("1"), twin_gap=inches("1/2"))
    end = End(FRAME, inches("1 1/4"), inches("1/16"), tenon)
    mortise = Mortise("stile", "rail", 0, *map(inches, ("2", "3 1/2", "3/8", "1/2", "1 5/8")))
    halving = Halving("bar", "bar", True, *map(inches, ("5", "5 3/4", "9/16")))
    bar = Subject(inches("1 1/8"), inches("1 3/8"), inches("20"), section=BAR, end=end)
    for subject, expected in (
        (bar, {"tenon.each": "3/4", "tenon.twin_gap": "1/2", "tenon.reach": "1 3/16",
               "mortise.depth": "1 1/4", "mortise.gap": "1/16", "tenon.from_face": "7/16",
               "mate.tongue.thickness": "1/4", "section.tongue.width": "1/4",
               "section.face_flat": "3/8", "mate.rebate.width": "7/16"}),
        (replace(bar, mortise=mortise), {"mortise.depth": "1 5/8", "mortise.thickness": "3/8",
                                         "mortise.from_face": "1/2", "mortise.length": "1 1/2"}),
        (replace(bar, halving=halving, from_end=inches("5 7/16")),
         {"halving.from_end": "5 7/16", "halving.width": "3/4", "halving.depth": "9/16"}),
    ):  # fmt: skip
        found = subject_scope(subject, leaf().allowances, {"longest": inches("24")})
        assert {name: found[name] for name in expected} == {
            name: inches(size) for name, size in expected.items()
        }
        assert found["input.longest"] == inches("24")
    edges = [
        subject_scope(replace(bar, width=inches(wide), mortise=mortise), leaf().allowances, {})[
            "mortise.edges"
        ]
        for wide in ("1 5/8", "1 41/64")
    ]
    assert edges == [2, 1]


def test_no_operation_may_begin_other_names() -> None:
    told = {each.name.split(".")[0] for each in FORMULA_NAMES}
    assert {*told, "input", "setting"} == OTHER_FIRST_WORDS
