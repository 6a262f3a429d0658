"""What must come before what, and what must stay as it was tested: the larder's operations.

What is expected is the trade's own sense, common practice, no source, and what the recipes say.
"""

from __future__ import annotations

from functools import cache

import pytest
from msgspec.structs import replace

from setupsheets.machining.operations import SetUp
from setupsheets.machining.routing.exact_search import best_order_of
from setupsheets.machining.routing.route import joint_by_joint
from setupsheets.machining.routing.rules import aimed, ruled_steps, step_of
from setupsheets.machining.routing.steps import Step
from setupsheets.machining.setting.passes import passes
from setupsheets.machining.tasks import Task
from setupsheets.shop.cutters import CutterType
from setupsheets.shop.machine_kinds import MachineType
from setupsheets.shop.machines import SettingName
from tests.machining.handmade import bit, blade, inches, operation
from tests.sheets.sheet_plans import plan


@cache
def tasks() -> list[Task]:
    return joint_by_joint(plan("larder").set_ups)


@cache
def ruled() -> list[Step]:
    return ruled_steps(tasks())


def places(set_up: str, operation: str) -> list[int]:
    named = [(task.set_up.name, task.operation.name) for task in tasks()]
    return [
        at for at, (of, name) in enumerate(named) if of.startswith(set_up) and name == operation
    ]


@cache
def ahead(first: int, then: int) -> bool:
    """Whether one step must come before another, by way of others as well."""
    before = [at for at in range(len(ruled())) if ruled()[then].before >> at & 1]
    return first in before or any(ahead(first, at) for at in before)


@pytest.mark.parametrize(
    ("first", "then"),
    [
        (("blanks/rough/cross-bar", "rough"), ("blanks/crosscut/cross-bar", "crosscut")),
        (("blanks/edge/cross-bar", "edge"), ("blanks/crosscut/cross-bar", "crosscut")),
        (("blanks/crosscut/cross-bar", "crosscut"), ("mortise-chisel/cross-bar", "mark_out")),
        (("blanks/crosscut/cross-bar", "crosscut"), ("cope-crosscut-saw/cross-bar", "back_cheek")),
        (("mortise-chisel/stile-for-bottom-rail", "chop"), ("cope-crosscut-saw/top-rail", "cope")),
        # The reading of the tenon's thickness, after the face cheek, is of both cheeks.
        (
            ("cope-crosscut-saw/top-rail", "back_cheek"),
            ("cope-crosscut-saw/top-rail", "face_cheek"),
        ),
        (("cope-crosscut-saw/cross-bar", "cope"), ("bar-grooved", "groove")),
        (("mortise-chisel/cross-bar", "chop"), ("bar-grooved", "sticking")),
        (("rebate-dado-stack", "rebate"), ("sticking-router-table", "sticking")),
        (("sticking-router-table", "sticking"), ("glazing-bead", "mitre")),
        (("bar-grooved", "strip"), ("dry-fit", "joints")),
        (("dry-fit", "lights"), ("glue-up", "frame")),
    ],
)
def test_what_must_come_first(first: tuple[str, str], then: tuple[str, str]) -> None:
    pairs = [(one, other) for one in places(*first) for other in places(*then)]
    assert pairs and all(ahead(*pair) for pair in pairs)
    assert not any(ahead(other, one) for one, other in pairs)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (("blanks/plane/stile", "plane"), ("blanks/rip/stile", "rip")),
        (("mortise-chisel/cross-bar", "clean"), ("cope-crosscut-saw/cross-bar", "cope")),
        (("cope-crosscut-saw/cross-bar", "back_cheek"), ("cope-crosscut-saw/top-rail", "cope")),
        (("bar-grooved", "strip"), ("sticking-router-table", "sticking")),
        (("glazing-bead", "rip"), ("blanks/rough/stile", "rough")),
    ],
)
def test_what_may_be_done_either_way(one: tuple[str, str], other: tuple[str, str]) -> None:
    pairs = [(here, there) for here in places(*one) for there in places(*other)]
    assert pairs and not any(ahead(*pair) or ahead(*pair[::-1]) for pair in pairs)


def test_a_height_stands_until_the_reading_that_shows_it_is_taken_elsewhere() -> None:
    """With the back cheeks on the table saw: the tenon's thickness is read after the face cheek on
    the crosscut saw, and only then is it known whether the table saw's height was right. On one saw
    the face cheek moves that very height, so that nothing can be held."""
    assert not any(step.holds for step in ruled())
    moved = joint_by_joint([_on_the_table_saw(each) for each in plan("larder").set_ups])
    steps = ruled_steps(moved)
    cheeks = [at for at, task in enumerate(moved) if task.operation.name == "back_cheek"]
    assert len(cheeks) == 3
    for at in cheeks:
        (hold,) = steps[at].holds
        assert hold.name == SettingName.HEIGHT
        assert moved[hold.until].operation.name == "face_cheek"
        assert moved[hold.until].set_up is moved[at].set_up
    order = best_order_of(steps).order
    for at in cheeks:
        until = steps[at].holds[0].until
        between = order[order.index(at) + 1 : order.index(until)]
        assert all(_leaves(steps[each], steps[at]) for each in between)


def test_what_is_set_otherwise_before_its_reading_is_not_held() -> None:
    """Back cheek on the table saw, the next operation there at twice its height, and only then on
    the other saw the cut after which the thickness is read: nothing is left to be held."""
    moved = joint_by_joint([_on_the_table_saw(each) for each in plan("larder").set_ups])
    named = [task.operation.name for task in moved]
    back, face, cope = (moved[named.index(name)] for name in ("back_cheek", "face_cheek", "cope"))
    higher = tuple(replace(each, aim=2 * each.aim) for each in back.operation.settings)
    asks = replace(back.operation.asks, name=cope.operation.name)
    there = replace(back.operation, asks=asks, settings=higher)
    assert back.set_up is face.set_up is cope.set_up
    assert [hold.until for hold in ruled_steps([back, face])[0].holds] == [1]
    assert not ruled_steps([back, replace(back, operation=there), face])[0].holds


def test_a_height_that_hard_wood_takes_in_passes_is_never_said_to_stand() -> None:
    """5/16 for a plain bit: once in soft timber, at 3/8 a pass, twice in hard at 1/4 (common
    practice, no source). Whoever raises the bit twice has moved what would stand."""
    task, *_ = tasks()
    plain = bit(CutterType.STRAIGHT_BIT)
    for height, moved in (("1/4", set()), ("5/16", {"height"})):
        made = operation("cut", MachineType.ROUTER_TABLE, plain, settings=[("height", height)])
        assert passes(made, hard=False) is None
        assert step_of(replace(task, operation=made), aimed).stepped == moved


@pytest.mark.parametrize(
    ("clears", "wide", "passes", "moved"),
    [
        (True, None, 1, set()),
        (True, None, 2, {"fence"}),
        (False, "1/2", 1, set()),
        (False, "1/2", 2, {"fence"}),
        (False, None, 2, set()),
    ],
)
def test_a_fence_that_passes_move_is_set_anew_and_one_that_one_pass_leaves_is_not(
    clears: bool, wide: str | None, passes: int, moved: set[str]
) -> None:
    """On a saw: waste nibbled away or a groove widened, once past the blade or twice."""
    task, *_ = tasks()
    made = operation("cut", MachineType.TABLE_SAW, blade(), clears=clears,
                     settings=[("fence", "3/4"), ("height", "1/4")])  # fmt: skip
    made = replace(made, wide=inches(wide) if wide else None, passes=passes)
    assert step_of(replace(task, operation=made), aimed).stepped == moved


def _leaves(step: Step, held: Step) -> bool:
    """Whether a step is on another machine, or needs the very height that is held."""
    height = SettingName.HEIGHT
    return step.machine != held.machine or step.settings.get(height) == held.settings[height]


def _on_the_table_saw(set_up: SetUp) -> SetUp:
    saw = next(t.operation.machine for t in tasks() if t.operation.machine.name == "table-saw")
    operations = (replace(each, machine=saw) if each.name == "back_cheek" else each
                  for each in set_up.operations)  # fmt: skip
    return replace(set_up, operations=tuple(operations))
