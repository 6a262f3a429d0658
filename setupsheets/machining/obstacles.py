"""What keeps an operation from being made, or its part from being held, as it stands.

A proof says that the figures make the design; it does not say that the machine reaches them or that
hands can hold the part. That is gathered here, one value for each thing, out of what is found out
of each operation.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from enum import StrEnum, auto

from msgspec import Struct

from setupsheets.machining.findings import MortisePlunges, OperationFindings
from setupsheets.machining.setting.passes import Speed
from setupsheets.machining.setting.reach import Limit, Reach
from setupsheets.machining.support.runs import Support
from setupsheets.machining.support.wood_left import Waste
from setupsheets.machining.tasks import Task


class ObstacleKind(StrEnum):
    """What stands in the way."""

    SHORT_REACH = auto()
    TOO_FAST = auto()
    NO_TAPE_MARKS = auto()
    NO_CENTRES = auto()
    NOTHING_TO_RUN_AGAINST = auto()
    FENCE_TOO_LOW = auto()
    SOLID_WOOD = auto()
    TIPS = auto()
    TOO_SHORT_TO_HOLD = auto()


_HELD_OTHERWISE = frozenset({ObstacleKind.TIPS, ObstacleKind.TOO_SHORT_TO_HOLD})
"""What another way of holding the part cures; the others need another machine, tool or design."""


class Obstacle(Struct, frozen=True):
    """One thing in the way of an operation: ``what`` is the reach, speed, support, mortise,
    waste or fault."""

    kind: ObstacleKind
    task: Task
    what: Reach | Speed | Support | MortisePlunges | Waste | str

    @property
    def impossible(self) -> bool:
        """Whether it cannot be made as it stands, and not only not be held."""
        return self.kind not in _HELD_OTHERWISE


def obstacles_of(operations: Iterable[OperationFindings]) -> tuple[Obstacle, ...]:
    """Everything in the way of these operations, in their order."""
    return tuple(each for found in operations for each in _in_the_way(found))


def _in_the_way(found: OperationFindings) -> Iterator[Obstacle]:
    task = found.task
    for reach in found.short:
        held = reach.limit is Limit.HOLD
        kind = ObstacleKind.TOO_SHORT_TO_HOLD if held else ObstacleKind.SHORT_REACH
        yield Obstacle(kind, task, reach)
    if found.speed is not None and not found.speed.within:
        yield Obstacle(ObstacleKind.TOO_FAST, task, found.speed)
    if found.stops is not None and found.stops.fault:
        yield Obstacle(ObstacleKind.NO_TAPE_MARKS, task, found.stops.fault)
    for plunges in found.plunges:
        if plunges.at is None:
            yield Obstacle(ObstacleKind.NO_CENTRES, task, plunges)
    if found.waste is not None and found.waste.solid:
        yield Obstacle(ObstacleKind.SOLID_WOOD, task, found.waste)
    unsteady = [support for support in found.supports if not support.steady]
    if unsteady:
        worst = min(unsteady, key=lambda support: (not support.unguided, support.margin))
        yield Obstacle(_unsteady(worst), task, worst)


def _unsteady(support: Support) -> ObstacleKind:
    if support.passes_over:
        return ObstacleKind.FENCE_TOO_LOW
    return ObstacleKind.NOTHING_TO_RUN_AGAINST if support.unguided else ObstacleKind.TIPS
