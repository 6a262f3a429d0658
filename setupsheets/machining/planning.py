"""A job's set-ups in the order of the route, every operation numbered."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from setupsheets.files.faults import DataFaults, Fault
from setupsheets.joinery.parts import Joinery
from setupsheets.machining.batches import BATCHES, Batch, batched
from setupsheets.machining.choices import Things, choose_recipe
from setupsheets.machining.operations import Plan, SetUp
from setupsheets.machining.working import set_up
from setupsheets.shop.jobs import Job
from setupsheets.shop.recipes import Makes, Recipe


def plan_job(job: Job, joinery: Joinery, things: Things) -> Plan:
    """Every set-up that the job needs, in the order of the route, its operations numbered.

    Raises DataFaults for a choice that is missing or does not fit, and for a formula that cannot
    be worked out, all of them at once.
    """
    faults: list[Fault] = []
    set_ups: list[SetUp] = []
    for makes in Makes:
        batches = BATCHES[makes](job, joinery)
        try:
            recipe = choose_recipe(makes, job, things) if batches else None
            if recipe is not None:
                set_ups += _set_ups(recipe, batches, job, things)
        except DataFaults as found:
            faults += found.faults
    if faults:
        raise DataFaults(faults)
    return Plan(job, joinery, tuple(_numbered(set_ups)))


def _set_ups(recipe: Recipe, batches: tuple[Batch, ...], job: Job, things: Things) -> list[SetUp]:
    if recipe.makes is Makes.BLANK:
        made = list(_blank_set_ups(recipe, batches, job, things))
    else:
        made = [set_up(recipe, batch.subject, job, things, batch.counts) for batch in batches]
    if len(made) == 1:
        return made
    return [
        replace(item, name=f"{item.name}/{Batch(item.subject, item.counts).first}") for item in made
    ]


def _blank_set_ups(
    recipe: Recipe, batches: tuple[Batch, ...], job: Job, things: Things
) -> Iterator[SetUp]:
    """Blanks go through each operation by themselves: all of one figure share its set-up."""
    for operation in recipe.operations:
        one = replace(recipe, name=f"{recipe.name}/{operation.name}", operations=(operation,))
        one = replace(one, measures=tuple(m for m in recipe.measures if m.after == operation.name))
        items = []
        for batch in batches:
            made = set_up(one, batch.subject, job, things, batch.counts)
            key = tuple(setting.aim for setting in made.settings)
            items += [(key, batch.subject, name, count) for name, count in batch.counts.items()]
        for batch in batched(items):
            yield set_up(one, batch.subject, job, things, batch.counts)


def _numbered(set_ups: Sequence[SetUp]) -> Iterator[SetUp]:
    number = 0
    for item in set_ups:
        operations = tuple(
            replace(operation, number=number + index)
            for index, operation in enumerate(item.operations, 1)
        )
        number += len(operations)
        yield replace(item, operations=operations)
