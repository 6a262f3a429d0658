"""A job worked out from end to end: its parts, its set-ups, its route, its tasks.

The first module of `machining` to open: `plan_of` is where a job becomes figures to set.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property

from msgspec import Struct
from msgspec.structs import replace

from setupsheets.files.faults import DataFaults, Fault, listed, stop_on
from setupsheets.files.known_results import once_known
from setupsheets.joinery.leaf import work_out
from setupsheets.joinery.members.parts import Joinery
from setupsheets.machining.operations import Operation, SetUp
from setupsheets.machining.planning.batches import route
from setupsheets.machining.planning.choices import (
    Equipment,
    OtherRecipe,
    choose_recipe,
    other_recipe,
    unknown_names,
)
from setupsheets.machining.planning.dry_fit_set_up import with_dry_fit
from setupsheets.machining.planning.piece_lengths import with_lengths, with_long_blanks
from setupsheets.machining.planning.set_ups import set_ups_of
from setupsheets.machining.planning.test_pieces import with_test_pieces
from setupsheets.machining.routing.route import Standing, by_number, routed, standing
from setupsheets.machining.routing.steps import Tally
from setupsheets.machining.tasks import Task, tasks_of
from setupsheets.shop.finding import Shop
from setupsheets.shop.jobs import Bars, Job, Rail, Stile
from setupsheets.shop.machines import Machine
from setupsheets.shop.sections import Section


class Plan(Struct, frozen=True, dict=True):
    """A job worked out: its joinery, and its set-ups joint by joint, whose operations are numbered
    in the order of the route; ``others`` are recipes taken for want of a machine, ``least`` is what
    no order of the operations comes below, None where no other was looked for. ``designed`` is the
    same with no end fitted to its mate as made, where any is: it is what proves on paper."""

    job: Job
    joinery: Joinery
    set_ups: tuple[SetUp, ...]
    others: tuple[OtherRecipe, ...] = ()
    least: Tally | None = None
    designed: Plan | None = None

    @property
    def operations(self) -> tuple[Operation, ...]:
        """The whole route, in order."""
        found = (operation for set_up in self.set_ups for operation in set_up.operations)
        return tuple(sorted(found, key=lambda operation: operation.number))

    @property
    def machines(self) -> tuple[Machine, ...]:
        """The machines of all operations, in the order of the route."""
        return tuple({each.machine.name: each.machine for each in self.operations}.values())

    @cached_property
    def tasks(self) -> tuple[Task, ...]:
        """The whole route, each operation in its set-up with its cut; worked out once."""
        return tuple(sorted(tasks_of(self.set_ups), key=lambda task: task.number))

    @cached_property
    def standing(self) -> Mapping[int, Standing]:
        """By number of an operation what is left as it is there, as it is aimed at."""
        return standing(by_number(self.set_ups))


def plan_of(job: Job, shop: Shop) -> Plan:
    """A job of a shop worked out from end to end: its parts, then its operations.

    Raises DesignFaults with all that is wrong with the design, or else as `plan_job`.
    """
    return plan_joinery(joinery_of(job, shop), shop)


def _told_by(joinery: Joinery, shop: Shop) -> object:
    return (files, joinery) if (files := shop.contents()) else None


@once_known(most=16, by=_told_by)
def plan_joinery(joinery: Joinery, shop: Shop) -> Plan:
    """The operations of a job whose parts are worked out, with what its dry fit measures."""
    plan, layout = plan_job(joinery.layout.job, joinery, shop), joinery.layout
    unit = shop.settings.unit
    return replace(plan, set_ups=tuple(with_dry_fit(item, layout, unit) for item in plan.set_ups))


def joinery_of(job: Job, shop: Shop) -> Joinery:
    """The parts of a job of a shop. Raises DesignFaults with all that is wrong with the design."""
    return work_out(job, sections_of(job, shop), shop.settings.finest_mark)


def sections_of(job: Job, shop: Shop) -> dict[str, Section]:
    """Every section that a job names. Raises DataFaults for those that there are not, and beside a
    section's own faults at the line of the job that asks for it."""
    named: list[Stile | Rail | Bars] = [job.stiles, *job.rails, *([job.bars] if job.bars else [])]
    faults: list[Fault] = []
    sections: dict[str, Section] = {}
    unusable: set[str] = set()
    for owner in named:
        try:
            shop.find("section", owner.section)
        except DataFaults as found:
            faults += [owner.marks.fault(fault.message, "section") for fault in found.faults]
            continue
        try:
            sections[owner.section] = shop.section(owner.section)
        except DataFaults as found:
            if owner.section not in unusable:
                told = owner.marks.fault(_unusable(owner.section, found), "section")
                faults += [*found.faults, told]
            unusable.add(owner.section)
    stop_on(faults)
    return sections


def _unusable(section: str, found: DataFaults) -> str:
    """That a section's own file is wrong, whose faults stand beside this."""
    files = listed(dict.fromkeys(fault.mark.path.name for fault in found.faults))
    plain = any(fault.field.startswith("sticking") for fault in found.faults)
    why = ". What meets a member is coped over its moulding, so each needs one" if plain else ""
    return f"section {section!r} cannot be used until {files} is put right{why}"


def plan_job(job: Job, joinery: Joinery, equipment: Equipment) -> Plan:
    """Every set-up that the job needs, its operations numbered in the order of the route; what is
    fitted to its mate as it was made beside the same as it was designed.

    Raises DataFaults for a choice that is missing or does not fit, and for a formula that cannot
    be worked out, all of them at once.
    """
    faults: list[Fault] = []
    set_ups: list[SetUp] = []
    others: list[OtherRecipe] = []
    designed = None
    if job.as_made or joinery.made:
        plain = replace(joinery, made={})
        designed = plan_job(replace(job, as_made={}), plain, equipment)
    joinery = with_long_blanks(joinery, job, equipment)
    for makes, who in route():
        batches = who(job, joinery)
        try:
            recipe = choose_recipe(makes, job, equipment) if batches else None
            if recipe is not None:
                if (other := other_recipe(recipe, job, equipment)) is not None:
                    others += [] if other in others else [other]
                    recipe = other.taken
                set_ups += set_ups_of(recipe, batches, job, joinery, equipment)
        except DataFaults as found:
            faults += found.faults
    stop_on([*faults, *unknown_names(job, (made.recipe for made in set_ups), equipment)])
    numbered = routed(with_lengths(set_ups, joinery, equipment.settings.unit), job.route)
    tested = with_test_pieces(numbered.set_ups, joinery, equipment.settings.unit)
    plan = Plan(job, joinery, tested, tuple(others), numbered.least)
    return _beside(designed, plan) if designed else plan


def _beside(designed: Plan, plan: Plan) -> Plan:
    """A plan whose ends are fitted to their mates as made, beside the same as it was designed."""
    same = {item.name: item for item in designed.set_ups}
    set_ups = tuple(replace(item, designed=same.get(item.name)) for item in plan.set_ups)
    return replace(plan, set_ups=set_ups, designed=designed)
