"""Every operation of a route in its set-up, with its cut in the wood as that is by then."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from msgspec import Struct

from setupsheets.machining.cutting.cuts import Stage, run
from setupsheets.machining.cutting.planes import CutError
from setupsheets.machining.operations import Operation, SetUp
from setupsheets.shop.recipes import Work


class Task(Struct, frozen=True):
    """One operation in its set-up; ``stage`` is its cut where that can be drawn, ``undrawn`` why it
    cannot."""

    operation: Operation
    set_up: SetUp
    stage: Stage | None = None
    undrawn: str = ""

    @property
    def number(self) -> int:
        """Its number in the whole route."""
        return self.operation.number

    @property
    def counts(self) -> Mapping[str, int]:
        """How many of each part it is done on."""
        return self.set_up.counts_at(self.operation)


def tasks_of(set_ups: Sequence[SetUp]) -> Iterator[Task]:
    """Every operation of the route in order, each with its cut; whole blanks are not drawn."""
    for index, set_up in enumerate(set_ups):
        stages: dict[int, Stage] = {}
        undrawn = ""
        drawn = [item for item in set_up.operations if item.asks.work is not Work.BLANK]
        before = [item for earlier in set_ups[:index] for item in _edges_before(earlier, set_up)]
        try:
            stages = {item.operation.number: item for item in run(before + drawn, set_up.subject)}
        except (CutError, ValueError) as error:
            undrawn = str(error)
        for operation in set_up.operations:
            here = undrawn if operation in drawn and operation.settings else ""
            yield Task(operation, set_up, stages.get(operation.number), here)


def _edges_before(earlier: SetUp, set_up: SetUp) -> list[Operation]:
    """Cuts along the same edges in an earlier set-up, which the wood already has."""
    part = set_up.subject.part
    if part is None or part.name not in earlier.counts:
        return []
    if all(item.asks.work is not Work.EDGE for item in set_up.operations):
        return []
    if earlier.subject.meeting:
        return []  # the outer edge of some of the stiles
    return [item for item in earlier.operations if item.asks.work is Work.EDGE]


def grouped(tasks: Iterable[Task]) -> Iterator[tuple[Task, ...]]:
    """Tasks in order, those together that differ in their figures alone: plain work on blanks, one
    after the other."""
    group: list[Task] = []
    for task in tasks:
        if group and not _alike(group[-1], task):
            yield tuple(group)
            group = []
        group.append(task)
    if group:
        yield tuple(group)


def _alike(one: Task, other: Task) -> bool:
    return (
        one.operation.asks.work is Work.BLANK
        and one.operation.asks == other.operation.asks
        and one.operation.cutter == other.operation.cutter
        and one.number + 1 == other.number
    )
