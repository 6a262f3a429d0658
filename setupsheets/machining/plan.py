"""A job's set-ups in the order of the route, every operation numbered."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from setupsheets.files.faults import DataFaults, Fault, stop_on
from setupsheets.joinery.leaf import work_out
from setupsheets.joinery.members.parts import Joinery
from setupsheets.machining.operations import Plan, SetUp
from setupsheets.machining.planning.batches import BATCHES, Batch, Item, batched
from setupsheets.machining.planning.choices import Things, choose_recipe
from setupsheets.machining.planning.dry_fit_set_up import with_dry_fit
from setupsheets.machining.planning.working import set_up
from setupsheets.machining.setting.stopped_cuts import stops_of
from setupsheets.shop.finding import Shop
from setupsheets.shop.jobs import Bars, Job, Rail, Stile
from setupsheets.shop.recipes import Makes, Recipe, Work
from setupsheets.shop.sections import Section


def plan_of(job: Job, shop: Shop) -> Plan:
    """A job of a shop worked out from end to end: its parts, then its operations."""
    return plan_joinery(joinery_of(job, shop), shop)


def plan_joinery(joinery: Joinery, shop: Shop) -> Plan:
    """The operations of a job whose parts are worked out, with what its dry fit measures."""
    return with_dry_fit(plan_job(joinery.layout.job, joinery, shop), joinery.layout)


def joinery_of(job: Job, shop: Shop) -> Joinery:
    """The parts of a job of a shop. Raises DataFaults with all that is wrong with the design."""
    return work_out(job, sections_of(job, shop), shop.settings.notation)


def sections_of(job: Job, shop: Shop) -> dict[str, Section]:
    """Every section that a job names. Raises DataFaults for those that there are not."""
    named: list[Stile | Rail | Bars] = [job.stiles, *job.rails, *([job.bars] if job.bars else [])]
    faults: list[Fault] = []
    sections: dict[str, Section] = {}
    for owner in named:
        try:
            shop.find("section", owner.section)
        except DataFaults as found:
            faults += [owner.marks.fault(fault.message, "section") for fault in found.faults]
        else:
            sections[owner.section] = shop.section(owner.section)
    stop_on(faults)
    return sections


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
                set_ups += _set_ups(recipe, batches, job, joinery, things)
        except DataFaults as found:
            faults += found.faults
    stop_on(faults)
    return Plan(job, joinery, tuple(_numbered(set_ups)))


def _set_ups(
    recipe: Recipe, batches: tuple[Batch, ...], job: Job, joinery: Joinery, things: Things
) -> list[SetUp]:
    """The recipe's set-ups; where there are several, their labels tell them apart."""
    if recipe.makes is Makes.BLANK:
        return list(_blank_set_ups(recipe, batches, job, things))
    made = [
        _stopped(set_up(recipe, each.subject, job, things, each.counts, each.subjects), joinery)
        for each in batches
    ]
    if len(made) == 1:
        return made
    return [_labelled(item, batch) for item, batch in zip(made, batches, strict=True)]


def _stopped(made: SetUp, joinery: Joinery) -> SetUp:
    """The set-up with the stops of all its parts in every operation that goes along an edge."""
    stops = tuple(
        stop
        for part in joinery.parts
        if part.name in made.counts
        for stop in stops_of(part, made.recipe.makes)
    )
    operations = tuple(
        replace(operation, stops=stops if operation.asks.work is Work.EDGE else ())
        for operation in made.operations
    )
    return replace(made, operations=operations)


def _blank_set_ups(
    recipe: Recipe, batches: tuple[Batch, ...], job: Job, things: Things
) -> Iterator[SetUp]:
    """Blanks go through each operation by themselves: all of one figure share its set-up."""
    for operation in recipe.operations:
        measures = tuple(each for each in recipe.measures if each.after == operation.name)
        name = f"{recipe.name}/{operation.name}"
        one = replace(recipe, name=name, operations=(operation,), measures=measures)
        items = []
        for batch in batches:
            made = set_up(one, batch.subject, job, things, batch.counts)
            key = tuple(setting.aim for setting in made.settings)
            name, count = next(iter(batch.counts.items()))
            if made.operations:
                items.append(Item(key, batch.subject, name, count, batch.label))
        for batch in batched(items):
            made = set_up(one, batch.subject, job, things, batch.counts)
            yield _labelled(replace(made, recipe=recipe), batch)


def _labelled(made: SetUp, batch: Batch) -> SetUp:
    return replace(made, name=f"{made.name}/{batch.label.replace(' ', '-')}")


def _numbered(set_ups: Sequence[SetUp]) -> Iterator[SetUp]:
    number = 0
    for item in set_ups:
        operations = tuple(
            replace(operation, number=number + index)
            for index, operation in enumerate(item.operations, 1)
        )
        number += len(operations)
        yield replace(item, operations=operations)
