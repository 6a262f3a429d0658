"""The route: all operations of a job in the order in which least is set, walked and carried.

The first module of `routing` to open.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import count

from msgspec import Struct
from msgspec.structs import replace

from setupsheets.machining.operations import Operation, SetUp
from setupsheets.machining.routing.exact_search import best_order_of
from setupsheets.machining.routing.rules import Figure, aimed, ruled_steps, step_of
from setupsheets.machining.routing.steps import CUTTER, Tally, left_standing, tally
from setupsheets.machining.tasks import Task
from setupsheets.shop.jobs import RouteKind


class Route(Struct, frozen=True):
    """Set-ups with their operations numbered in the order of the route; ``least`` is what no order
    comes below, None where no other was looked for."""

    set_ups: tuple[SetUp, ...]
    least: Tally | None = None


class Standing(Struct, frozen=True):
    """What is left as it is at an operation, by the number of the one at which it was set."""

    settings: Mapping[str, int]
    cutter: int | None = None


def joint_by_joint(set_ups: Iterable[SetUp]) -> list[Task]:
    """All operations, one set-up after the other, each in its recipe's own order."""
    return [Task(operation, set_up) for set_up in set_ups for operation in _as_asked(set_up)]


def _as_asked(set_up: SetUp) -> list[Operation]:
    places = {asks.name: place for place, asks in enumerate(set_up.recipe.operations)}
    return sorted(set_up.operations, key=lambda operation: places[operation.name])


def by_number(set_ups: Iterable[SetUp]) -> list[Task]:
    """All operations in the order of the route, their cuts not drawn."""
    return sorted(joint_by_joint(set_ups), key=lambda task: task.number)


def routed(set_ups: Sequence[SetUp], kind: RouteKind) -> Route:
    """Set-ups with their operations numbered through from 1 in the order of the route."""
    tasks, least = joint_by_joint(set_ups), None
    order: Sequence[int] = range(len(tasks))
    if kind is RouteKind.FEWEST_SETTINGS:
        found = best_order_of(ruled_steps(tasks))
        order, least = found.order, found.least
    numbers = {at: number for number, at in enumerate(order, 1)}
    places = count()
    return Route(
        tuple(
            _numbered(each, [numbers[next(places)] for _ in each.operations]) for each in set_ups
        ),
        least,
    )


def _numbered(set_up: SetUp, numbers: Sequence[int]) -> SetUp:
    """The set-up with its operations in the order of their numbers, given in the recipe's."""
    tasks = joint_by_joint([set_up])
    found = (replace(task.operation, number=each)
             for task, each in zip(tasks, numbers, strict=True))  # fmt: skip
    return replace(set_up, operations=tuple(sorted(found, key=lambda each: each.number)))


def standing(tasks: Sequence[Task], figure: Figure = aimed) -> Mapping[int, Standing]:
    """By number, what is left as it is at each operation of a route."""
    numbers = [task.number for task in tasks]
    found = left_standing(step_of(task, figure) for task in tasks)
    return {
        number: Standing(
            {name: numbers[at] for name, at in left.items() if name != CUTTER},
            numbers[left[CUTTER]] if CUTTER in left else None,
        )
        for number, left in zip(numbers, found, strict=True)
    }


def comes_to(tasks: Iterable[Task], figure: Figure = aimed) -> Tally:
    """What is set, changed and carried when operations are done in this order."""
    return tally([step_of(task, figure) for task in tasks])
