"""The search for the order with the most support, against every order tried one by one."""

from __future__ import annotations

from fractions import Fraction
from itertools import permutations

import pytest
from msgspec.structs import replace

from setupsheets.lengths import Notation, Unit
from setupsheets.machining.cutting.cuts import run
from setupsheets.machining.operations import FittedJig, Operation
from setupsheets.machining.support.operation_order import MOST, PLENTY, best_order
from setupsheets.machining.support.runs import supports
from setupsheets.shop.cutters import CutterType
from setupsheets.shop.machine_kinds import MachineType
from setupsheets.shop.recipes import JigKind, MeasuredTo, Surface, Work
from setupsheets.shop.sections import Member
from setupsheets.wording.support import reason_words, support_words
from tests.machining.handmade import (
    OVOLO,
    bit,
    blade,
    inches,
    machine,
    operation,
    section,
    subject,
    with_figures,
)

NOTATION = Notation(Unit.IN, Fraction(1, 64))
FAR = MeasuredTo.FAR
FACE, BACK, SIGHT = Surface.FACE, Surface.BACK, Surface.SIGHT_EDGE
SAW = machine(MachineType.TABLE_SAW, fence_height=inches("3"), table_opening=inches("3/8"))
STICKING = replace(OVOLO, depth=inches("3/8"))
BAR = subject(section(Member.BAR, STICKING, "1 1/4", ("7/16", "1/2")), "1 1/8", length=inches("16"))
FILLER = FittedJig(
    "filler strip", JigKind.FILLS, "", {"width": inches("3/8"), "height": inches("3/8")}
)


def groove() -> Operation:
    settings = [("fence", "7/16", FAR), ("height", "1/2")]
    return operation("groove", SAW, blade(), Work.EDGE, BACK, SIGHT, settings, both=True)


def rebate() -> Operation:
    settings = [("fence", "7/16", FAR), ("height", "1/2")]
    return operation(
        "rebate", SAW, blade(), Work.EDGE, BACK, SIGHT, settings, both=True, clears=True
    )


def moulding(after: tuple[str, ...] = ()) -> Operation:
    tool = bit(CutterType.STICKING_BIT, profile=STICKING)
    made = operation("sticking", MachineType.ROUTER_TABLE, tool, Work.EDGE, FACE, SIGHT, both=True)
    made = replace(made, asks=replace(made.asks, after=after))
    return with_figures(made, fence=STICKING.width, height=STICKING.depth)


def strip() -> Operation:
    settings = [("fence", "3/4"), ("height", "3/8")]
    return operation("strip", SAW, blade(), Work.EDGE, SIGHT, FACE, settings, jigs=(FILLER,),
                     both=True, leaves_offcut=True, after=("groove", "sticking"))  # fmt: skip


def without_filler() -> Operation:
    return replace(strip(), jigs=(), asks=replace(strip().asks, after=()))


def face_groove(fence: str) -> Operation:
    settings = [("fence", fence), ("height", "1/8")]
    return operation(f"face {fence}", SAW, blade("1/16"), Work.EDGE, FACE, SIGHT, settings)


def worst_of(order: tuple[Operation, ...]) -> float:
    return min(min(item.margin, PLENTY) for item in supports(run(order, BAR), BAR))


def test_the_shipped_way_of_a_bar_is_the_best_there_is() -> None:
    found = best_order([groove(), moulding(), strip()], BAR)
    assert found.best.names == ("groove", "sticking", "strip")
    assert found.best.steady
    assert not found.better
    reason = found.reasons[-1]
    assert reason_words(reason, found.best, NOTATION) == "sticking before strip: the recipe says so"


def test_a_bar_moulded_first_is_put_the_other_way_round() -> None:
    """Moulding, then rebates by one cut each: the bar rocks. Rebates first is steadier."""
    found = best_order([moulding(), rebate()], BAR)
    assert not found.given.steady
    assert found.given.worst.operation.name == "rebate"
    assert found.better
    assert found.best.names == ("rebate", "sticking")
    (reason,) = found.reasons
    assert reason_words(reason, found.best, NOTATION).startswith(
        "rebate before sticking: the other way round rebate tips by"
    )


@pytest.mark.parametrize(
    "operations",
    [
        [moulding(), rebate()],
        [replace(strip(), asks=replace(strip().asks, after=())), moulding(), groove()],
        [moulding(), rebate(), replace(groove(), asks=replace(groove().asks, both=False))],
        [moulding(), rebate(), without_filler(), face_groove("1/2"), face_groove("7/16")],
    ],
)
def test_no_order_tried_one_by_one_stands_better(operations: list[Operation]) -> None:
    best = max(worst_of(order) for order in permutations(operations))
    assert best_order(operations, BAR).best.worst.margin == pytest.approx(best)


def test_what_must_come_first_comes_first_even_where_it_stands_worse() -> None:
    held_back = replace(rebate(), asks=replace(rebate().asks, after=("sticking",)))
    found = best_order([held_back, moulding()], BAR)
    assert found.best.names == ("sticking", "rebate")
    assert not found.best.steady
    assert "the recipe says so" in reason_words(found.reasons[0], found.best, NOTATION)


def test_of_orders_as_good_the_recipes_own_is_kept() -> None:
    """Two shallow grooves in the broad back of a stile: either may go first."""

    def cut(name: str, fence: str) -> Operation:
        return operation(name, SAW, blade(), Work.EDGE, BACK, SIGHT,
                         [("fence", fence), ("height", "1/8")])  # fmt: skip

    stile = subject(width="6")
    found = best_order([cut("two", "2"), cut("one", "3")], stile)
    assert found.best.names == ("two", "one")
    assert not found.better
    assert reason_words(found.reasons[0], found.best, NOTATION).endswith(
        "either way stands as well"
    )


def test_an_operation_whose_edge_is_gone_cannot_come_later() -> None:
    """Ripping the sight edge off takes what the groove's fence counts from: groove first."""
    rip = operation("rip", SAW, blade(), Work.EDGE, FACE, Surface.OUTER_EDGE,
                    [("fence", "2")])  # fmt: skip
    made = operation("groove", SAW, blade(), Work.EDGE, BACK, SIGHT,
                     [("fence", "1"), ("height", "1/4")])  # fmt: skip
    found = best_order([rip, made], subject())
    assert found.best.names == ("groove", "rip")
    assert not found.given.steady
    worst = found.given.worst.support
    assert worst is not None and worst.unguided
    assert "nothing is left to run against" in support_words(worst, NOTATION)


def test_hand_work_takes_its_place_and_needs_no_support() -> None:
    pare = operation("pare", MachineType.BENCH, None, Work.HAND, after=("strip",))
    found = best_order([groove(), moulding(), strip(), pare], BAR)
    assert found.best.names[-1] == "pare"
    assert found.best.steps[-1].support is None


def test_a_circle_of_what_comes_first_and_too_many_operations_are_refused() -> None:
    round_about = [
        replace(groove(), asks=replace(groove().asks, after=("sticking",))),
        moulding(after=("groove",)),
    ]
    with pytest.raises(ValueError, match="circle"):
        best_order(round_about, BAR)
    with pytest.raises(ValueError, match="more than the 14"):
        best_order([groove()] * (MOST + 1), BAR)
