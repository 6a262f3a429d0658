"""Which ends and which edges: what is told for a part is what is cut of it, and no more."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from msgspec.structs import replace

from setupsheets.joinery.leaf import work_out
from setupsheets.joinery.members.parts import Joinery
from setupsheets.lengths import Length
from setupsheets.machining.checking.proof import prove_plan
from setupsheets.machining.findings import operation_findings
from setupsheets.machining.operations import Operation, WorkedAt
from setupsheets.machining.plan import Plan
from setupsheets.machining.planning.batches import BATCHES
from setupsheets.machining.tasks import Task
from setupsheets.shop.jobs import Bars, Fill, Job, Through
from setupsheets.shop.machine_kinds import MachineType
from setupsheets.shop.recipes import Makes, Work
from setupsheets.wording.places import where_words
from tests.joinery.designs import FINEST, SECTIONS, leaf, two_fields
from tests.machining.handmade import inches, mortise, operation, subject
from tests.machining.shipped_shop import UNITS, joinery, plan

RECIPES = {
    Makes.COPE: "cope-crosscut-saw",
    Makes.HALVING: "halving-table-saw",
    Makes.GROOVE: "groove-table-saw",
}


def whole_plan(unit: str = "inch", through: Through = Through.CROSS) -> Plan:
    return plan("ovolo", unit, RECIPES, through=through)


def told(whole: Plan, makes: Makes, name: str) -> list[tuple[int, str]]:
    """What every operation of that name says, with its number."""
    return [
        (task.number, where_words(found.where, task.operation.asks.work))
        for task in whole.tasks
        if task.set_up.recipe.makes is makes and task.operation.name == name
        for found in [operation_findings(task, whole.joinery, route=whole.operations)]
    ]


def altered(whole: Plan, change: Callable[[Operation], tuple[WorkedAt, ...]]) -> Plan:
    """The plan with other places for its operations."""
    set_ups = tuple(
        replace(item, operations=tuple(replace(each, places=change(each))
                                       for each in item.operations))
        for item in whole.set_ups
    )  # fmt: skip
    return Plan(whole.job, whole.joinery, set_ups)


def faults(whole: Plan) -> set[Work]:
    return {proof.work for proof in prove_plan(whole) if not proof.holds}


# ------------------------------------------------------------------------------ what is told


def test_a_bar_with_two_sorts_of_ends_has_one_end_named_at_each_cut() -> None:
    """An upright bar in two pieces: one end in a rail, the other in the cross bar."""
    rail, _, bar = told(whole_plan(), Makes.COPE, "back_cheek")
    assert rail[1] == (
        "top, lock and cross bar: both ends; upright bar: one end alone, "
        f"the one that goes into the lock or the top (the other end: operation {bar[0]})"
    )
    assert bar[1] == (
        f"one end alone, the one that goes into the cross bar (the other end: operation {rail[0]})"
    )


def test_ends_know_what_takes_them() -> None:
    part = whole_plan().joinery.part
    assert part("top").into == (("stile",), ("stile",))
    assert part("cross bar").into == (("stile",), ("stile",))
    assert part("upright bar").into == (("cross bar",), ("lock", "top"))
    assert part("stile").into == ()


def test_a_notch_says_which_end_comes_to_the_stop() -> None:
    """Two lights each way, so every notch is in the middle of its bar."""
    whole = whole_plan(through=Through.HALVED)
    near = [*told(whole, Makes.HALVING, "back_near"), *told(whole, Makes.HALVING, "face_near")]
    assert near and {words for _, words in near} == {
        "one notch, in the middle: either end to the stop"
    }


# ------------------------------------------------------------------------------ what is proved


@pytest.mark.parametrize("unit", UNITS)
def test_both_ends_told_for_a_bar_whose_ends_differ_does_not_prove(unit: str) -> None:
    def both(operation: Operation) -> tuple[WorkedAt, ...]:
        ends = (0, 1) if operation.asks.work is Work.END else ()
        return tuple(replace(place, ends=ends) for place in operation.places)

    whole = whole_plan(unit)
    assert faults(whole) == set()
    assert Work.END in faults(altered(whole, both))


@pytest.mark.parametrize("edges", [(0,), (1,), (0, 1)])
def test_only_the_edges_that_are_meant_prove(edges: tuple[int, ...]) -> None:
    """The lock rail: rebated on its upper edge alone, moulded along both."""
    whole = whole_plan()

    def wrong(makes: Makes) -> Plan:
        def change(operation: Operation) -> tuple[WorkedAt, ...]:
            places = operation.places
            if operation.makes is not makes:
                return places
            return tuple(replace(p, edges=edges) if p.part == "lock" else p for p in places)

        return altered(whole, change)

    assert (Work.EDGE in faults(wrong(Makes.REBATE))) == (edges != (1,))
    assert (Work.EDGE in faults(wrong(Makes.STICKING))) == (edges != (0, 1))


def test_an_end_that_no_operation_is_told_for_does_not_prove() -> None:
    def none(operation: Operation) -> tuple[WorkedAt, ...]:
        return tuple(p for p in operation.places if p.part != "cross bar" or not p.ends)

    assert Work.END in faults(altered(whole_plan(), none))


def test_hand_work_is_told_for_the_parts_that_ask_for_it() -> None:
    """The lock rail shares its set-up with the top rail and the bars, and alone has a groove in
    line with its tenon."""
    task: Task = next(task for task in whole_plan().tasks if task.operation.name == "trim")
    assert dict(task.counts) == {"lock": 1}
    assert set(task.set_up.counts) == {"top", "lock", "cross bar", "upright bar"}


@pytest.mark.parametrize("unit", UNITS)
@pytest.mark.parametrize("through", list(Through))
def test_every_end_and_every_moulded_edge_is_told_once(unit: str, through: Through) -> None:
    whole, made = whole_plan(unit, through), joinery("ovolo", unit, through)
    assert isinstance(made, Joinery)
    for part in made.parts:
        places = [
            (operation.makes, place)
            for operation in whole.operations
            if operation.name in ("back_cheek", "mould")
            and (place := operation.place(part.name)) is not None
        ]
        ends = [end for makes, place in places if makes is Makes.COPE for end in place.ends]
        assert sorted(ends) == list(range(len(part.ends)))


SHALLOW = replace(leaf().joints, bar_mortise=Length("1 in"))


@pytest.mark.parametrize(
    ("job", "labels"),
    [
        (leaf(rows=2, columns=2), ["top rail into stile", "upright bar into cross bar"]),
        (
            two_fields(bars=Bars("bar", through=Through.UPRIGHT)),
            ["top rail into stile", "cross bar into upright bar, field 1"],
        ),
        (
            replace(leaf(rows=1, columns=2), joints=SHALLOW),
            ["top rail into stile", "upright bar into top rail"],
        ),
    ],
)
def test_a_set_up_of_ends_is_named_by_what_takes_them(job: Job, labels: list[str]) -> None:
    """A bar goes into the rails or the bars that it meets, not into whatever else has a mortise as
    deep; the first of those that share a set-up gives it its name."""
    found = BATCHES[Makes.COPE](job, work_out(job, SECTIONS, FINEST))
    assert [each.label for each in found] == labels


def test_beads_of_one_section_share_a_set_up_and_those_of_another_depth_have_their_own() -> None:
    """Four to each of six lights of 1/8 glass and to one panel of 1/4, all in a rebate 3/4 deep and
    7/16 wide without bedding: 5/8 and 1/2 are left for them (arithmetic)."""
    job = two_fields(Fill.PANEL)
    found = BATCHES[Makes.BEAD](job, work_out(job, SECTIONS, FINEST))
    assert [(each.subject.width, each.subject.thickness, each.counts) for each in found] == [
        (Length("7/16 in"), Length("5/8 in"), {"bead": 24}),
        (Length("7/16 in"), Length("1/2 in"), {"bead": 4}),
    ]
    assert [each.label for each in found] == ["field 1", "field 2"]


@pytest.mark.parametrize(
    ("deep", "stop", "both"),
    [("2 1/4", "1 1/8", True), ("2 1/4", "2 15/64", True), ("2 1/4", "2 1/4", False),
     ("2 15/64", "1 1/8", False)],
)  # fmt: skip
def test_a_mortise_right_through_comes_from_both_edges_where_its_stop_stands_short(
    deep: str, stop: str, both: bool
) -> None:
    """In a stile 2 1/4 wide: a chisel that goes all the way needs no second edge."""
    of = subject(mortise=replace(mortise(), depth=inches(deep)))
    made = operation("chop", MachineType.MORTISER, None, Work.MORTISE, settings=[("depth", stop)])
    assert made.from_both_edges(of) is both
    pared = operation("pare", MachineType.BENCH, None, Work.END, settings=[("depth", stop)])
    assert not pared.from_both_edges(of)
