"""What the operations of one block have in common stands once, the rest names its operations."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from typing import TypeVar

from setupsheets.machining.tasks import Task
from setupsheets.sheets.content.finished import Fact

T = TypeVar("T", bound=Hashable)


def alike(tasks: Iterable[Task]) -> tuple[tuple[Task, ...], ...]:
    """A machine's tasks in blocks: those that a recipe asks for in the same words and that are cut
    with the same cutter differ in their figures alone. Blocks stand in the order of their first."""
    groups: list[list[Task]] = []
    for task in tasks:
        found = next((group for group in groups if _alike(group[0], task)), None)
        if found is None:
            groups.append([task])
        else:
            found.append(task)
    return tuple(tuple(group) for group in groups)


def _alike(one: Task, other: Task) -> bool:
    return (
        one.operation.asks == other.operation.asks
        and one.operation.cutter == other.operation.cutter
        and (one.stage is None) == (other.stage is None)
    )


def held_by(told: Mapping[int, Iterable[T]]) -> Mapping[T, tuple[int, ...]]:
    """Everything told, once, with the numbers of the operations that it is told of."""
    found: dict[T, list[int]] = {}
    for number, items in told.items():
        for item in dict.fromkeys(items):
            found.setdefault(item, []).append(number)
    return {item: tuple(numbers) for item, numbers in found.items()}


def parted(told: Mapping[int, Sequence[Fact]]) -> tuple[list[Fact], Mapping[int, list[Fact]]]:
    """The facts that hold for all operations, and by operation those that do not."""
    held = held_by(told)
    common = [fact for fact, numbers in held.items() if len(numbers) == len(told)]
    own = {
        number: [fact for fact in facts if len(held[fact]) < len(told)]
        for number, facts in told.items()
    }
    return common, own


def shared_by_all(told: Sequence[Sequence[Fact]], labels: Iterable[str]) -> Iterator[Fact]:
    """The facts of these labels that every block of a sheet has in the same words."""
    for label in labels:
        found = {fact for facts in told for fact in facts if fact.label == label}
        if len(found) == 1 and all(found <= set(facts) for facts in told):
            yield found.pop()
