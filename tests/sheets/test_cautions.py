"""Every condition of a caution both ways: machine, cutter, work and computed figures."""

from __future__ import annotations

from typing import Any

import pytest
from msgspec.structs import replace

from setupsheets.formulas import Formula, FormulaError
from setupsheets.lengths import Length, Unit
from setupsheets.machining.operations import (
    Operation,
    SetUp,
    WorkedAt,
)
from setupsheets.machining.plan import Plan
from setupsheets.sheets.content.cautions_due import general_cautions, operation_cautions
from setupsheets.shop.cautions import Caution
from setupsheets.shop.cutters import CutterType
from setupsheets.shop.machine_kinds import MachineType
from setupsheets.shop.machines import SettingName
from setupsheets.shop.recipes import Work
from tests.sheets.sheet_plans import NO_JOINERY, cautions, groove, inches, plan

JOB = plan("larder").job


def brought_out(caution: Caution, made: tuple[Operation, SetUp] | None = None) -> bool:
    operation, set_up = made or groove()
    return bool(operation_cautions(operation, set_up, JOB, [caution], Unit.IN))


def caution(when: str | None = None, **conditions: Any) -> Caution:
    formula = Formula.parse(when) if when else None
    return Caution("one", "Take care.", "common practice", when=formula, **conditions)


@pytest.mark.parametrize(
    ("holds", "does_not"),
    [
        ({}, {"general": True}),
        ({"machines": (MachineType.TABLE_SAW,)}, {"machines": (MachineType.PLANER,)}),
        ({"cutters": (CutterType.SAW_BLADE,)}, {"cutters": (CutterType.COPE_BIT,)}),
        ({"work": (Work.EDGE,)}, {"work": (Work.END,)}),
        ({"when": "setting.height > 7/16 in"}, {"when": "setting.height > 1/2 in"}),
        ({"when": "setting.fence < 1 in"}, {"when": "setting.fence < 7/16 in"}),
        ({"when": "part.length > 12 in"}, {"when": "part.length < 12 in"}),
        ({"when": "part.width < 2 in"}, {"when": "part.width < 1 in"}),
        ({"when": "cutter.diameter > 9 in"}, {"when": "cutter.diameter > 10 in"}),
        ({"when": "section.tongue.width < 3/8 in"}, {"when": "section.tongue.width < 1/4 in"}),
        ({"when": 'operation.down = "back"'}, {"when": 'operation.down = "face"'}),
        ({"when": 'operation.work = "edge"'}, {"when": 'operation.work = "end"'}),
        ({"when": "operation.passes = 1"}, {"when": "operation.passes > 1"}),
        ({"when": "groove.fence < 1 in"}, {"when": "setting.depth < 1 in"}),
        (
            {"machines": (MachineType.TABLE_SAW,), "when": "setting.height > 0 in"},
            {"machines": (MachineType.PLANER,), "when": "setting.height > 0 in"},
        ),
    ],
)
def test_a_condition_holds_or_does_not(holds: dict[str, Any], does_not: dict[str, Any]) -> None:
    assert brought_out(caution(**holds))
    assert not brought_out(caution(**does_not))


@pytest.mark.parametrize("name", ["both", "clears", "leaves_offcut", "lowered_on"])
def test_what_an_operation_does_brings_its_cautions_out(name: str) -> None:
    one = caution(f"operation.{name}")
    assert brought_out(one, groove(asks={name: True}))
    assert not brought_out(one, groove(asks={name: False}))


def test_a_condition_that_names_what_the_cut_lacks_does_not_apply() -> None:
    operation, set_up = groove()
    bare = replace(operation, cutter=None)
    with_cutter, without = caution("cutter.kerf > 0 in"), caution("mortise.depth > 0 in")
    assert brought_out(with_cutter, (operation, set_up))
    assert not brought_out(with_cutter, (bare, set_up))
    assert not brought_out(without, (operation, set_up))


def test_a_condition_without_an_answer_is_a_fault_and_not_a_silence() -> None:
    with pytest.raises(FormulaError):
        brought_out(caution("part.length > 12"))


def test_a_length_is_that_of_any_piece_as_it_is_by_then() -> None:
    """A short bar that still lies in a longer length is not short; a board is neither."""
    operation, set_up = groove()
    short, long = caution("part.length < 12 in"), caution("part.length > 48 in")

    def lying(*lengths: Length | None) -> tuple[Operation, SetUp]:
        places = tuple(WorkedAt(f"bar {at}", length=each) for at, each in enumerate(lengths))
        return replace(operation, places=places), set_up

    for lengths, is_short, is_long in (
        ([inches("11 63/64")], True, False),
        ([inches("12")], False, False),
        ([inches("49"), inches("11")], True, True),
        ([Length.ZERO], False, False),
    ):
        assert brought_out(short, lying(*lengths)) is is_short
        assert brought_out(long, lying(*lengths)) is is_long


def test_beads_are_ripped_off_a_board_that_is_long_enough() -> None:
    short = caution("part.length < 12 in")
    beads = next(each for each in plan("vestibule").set_ups if each.subject.bead)
    rip = next(each for each in beads.operations if each.name == "rip")
    assert beads.subject.length < inches("12")
    assert not brought_out(short, (rip, beads))


def test_general_cautions_stand_on_the_cover_only() -> None:
    assert [
        line.words for line in general_cautions([caution(), caution(general=True)], Unit.IN)
    ] == ["Take care."]


def test_every_shipped_caution_comes_out_somewhere_or_waits_for_its_figures() -> None:
    """A condition whose names no operation of either example knows could never come out."""
    never = set()
    for each in cautions():
        if each.general:
            continue
        found = [
            operation
            for job in ("larder", "vestibule")
            for set_up in plan(job).set_ups
            for operation in set_up.operations
            if operation_cautions(
                operation, set_up, plan(job).job, [replace(each, when=None)], Unit.IN
            )
        ]
        if not found:
            never.add(each.name)
    assert len(never) < len(cautions()) / 3, never


def test_a_plan_without_joinery_is_a_plan_all_the_same() -> None:
    _, set_up = groove()
    assert Plan(JOB, NO_JOINERY, (set_up,)).operations[0].aim(SettingName.FENCE) == inches("7/16")
