"""Every kind of machine, work and cutter has its row and its words, and none has another's."""

from __future__ import annotations

import itertools

import pytest

from setupsheets.lengths import Length
from setupsheets.machining.cutting import silhouettes
from setupsheets.shop.cutters import CUT_SHAPES, CutShape, CutterType
from setupsheets.shop.machine_kinds import MACHINE_KINDS, MachineType, Stand
from setupsheets.shop.recipes import Work
from setupsheets.wording.machines import CUTTERS, FEEDS


@pytest.mark.parametrize("kind", MachineType)
@pytest.mark.parametrize("work", Work)
def test_every_work_at_every_kind_of_machine_has_its_feed(kind: MachineType, work: Work) -> None:
    assert bool(FEEDS[kind][work]) is (kind is not MachineType.BENCH and work is not Work.HAND)


@pytest.mark.parametrize("kind", CutterType)
def test_every_kind_of_cutter_is_called_something_and_cuts_something(kind: CutterType) -> None:
    assert CUTTERS[kind]
    assert CUT_SHAPES[kind] in CutShape
    assert any(kind in machine.cutters for machine in MACHINE_KINDS.values())


@pytest.mark.parametrize("kind", MachineType)
def test_every_kind_of_machine_has_a_row_that_holds_together(kind: MachineType) -> None:
    """A machine with a cutter has a silhouette; one whose cutter comes up through the table has an
    opening; rows of speeds go down as the cutters grow (a rim's speed is pi D n / 60)."""
    row = MACHINE_KINDS[kind]
    assert row.stand in silhouettes.BY_STAND
    assert bool(row.cutters) is (row.stand is not Stand.HANDS)
    assert row.open_table is (row.stand in (Stand.BLADE_BELOW, Stand.UPRIGHT))
    assert row.stand.above is (not row.open_table and bool(row.cutters))
    assert row.shortest is None or row.shortest > Length.ZERO
    for (small, fast), (large, slow) in itertools.pairwise(row.unmarked):
        assert small < large and fast > slow
    for depth in filter(None, row.cutters.values()):
        assert Length.ZERO < depth.hard <= depth.soft


def test_every_stand_is_some_machines() -> None:
    assert {row.stand for row in MACHINE_KINDS.values()} == set(Stand) == set(silhouettes.BY_STAND)
