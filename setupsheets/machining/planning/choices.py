"""Which recipe, machine and cutter a job takes: its own choice first, then the section's, then the
shop's first choice."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from itertools import combinations
from typing import Protocol

from setupsheets.files.faults import DataFaults, Fault
from setupsheets.lengths import Length
from setupsheets.machining.operations import Subject
from setupsheets.machining.setting.reach import dado_make_up
from setupsheets.shop.cutters import Cutter
from setupsheets.shop.jobs import Bars, Job, Rail, Stile
from setupsheets.shop.machine_kinds import MachineType
from setupsheets.shop.machines import Machine
from setupsheets.shop.recipes import OPTIONAL, Makes, Recipe, RecipeOperation
from setupsheets.shop.sections import Section
from setupsheets.shop.settings import ShopSettings
from setupsheets.values import dataclass

CLOSE = Length("1/256 in")
"""How near to the width wanted a dado stack has to be made up."""

# What no shop need think of: the first recipe for it that the shop has the machines for.
BY_ITSELF = frozenset(
    {Makes.MEETING, Makes.PARTING, Makes.PANEL, Makes.GLUE_UP, Makes.HANGING, Makes.GLAZING}
)


class Equipment(Protocol):
    """What planning needs of a shop: its settings, and machines, cutters and recipes by name."""

    @property
    def settings(self) -> ShopSettings:
        """The shop's own file."""

    def machine(self, name: str) -> Machine:
        """The machine of that name; DataFaults where there is none or it is faulty."""

    def cutter(self, name: str) -> Cutter:
        """The cutter of that name; DataFaults as above."""

    def recipe(self, name: str) -> Recipe:
        """The recipe of that name; DataFaults as above."""

    def recipes(self, makes: Makes) -> tuple[Recipe, ...]:
        """Every recipe that makes something, by name; DataFaults as above."""


@dataclass(frozen=True)
class OtherRecipe:
    """A recipe ``taken`` in the place of the shop's first choice, which needs machines of kinds
    (``lacks``) that neither the job nor the shop has chosen."""

    wanted: Recipe
    taken: Recipe
    lacks: tuple[MachineType, ...]


def other_recipe(wanted: Recipe, job: Job, equipment: Equipment) -> OtherRecipe | None:
    """What to take where a shop has no machine for its first choice: of the recipes that make the
    same with machines that it has, the one with the least work by hand. None where nothing lacks,
    where the job itself asks for that recipe, and where there is no other."""
    lacks = _lacking(wanted, job, equipment)
    if not lacks or wanted.makes in job.recipes:
        return None
    others = equipment.recipes(wanted.makes)
    can = [each for each in others if not _lacking(each, job, equipment)]
    least = min(can, key=lambda each: sum(not op.settings for op in each.operations), default=None)
    return OtherRecipe(wanted, least, lacks) if least is not None else None


def _lacking(recipe: Recipe, job: Job, equipment: Equipment) -> tuple[MachineType, ...]:
    """The kinds of machine that a recipe works on and that nobody has chosen."""
    chosen = {*job.machines, *equipment.settings.first_choice.machines}
    kinds = dict.fromkeys(operation.machine for operation in recipe.operations)
    return tuple(kind for kind in kinds if kind not in chosen)


def choose_recipe(makes: Makes, job: Job, equipment: Equipment) -> Recipe | None:
    """The recipe for what is to be made; None where there is no choice and none is needed."""
    name = job.recipes.get(makes) or equipment.settings.first_choice.recipes.get(makes)
    if name is not None:
        recipe = equipment.recipe(name)
        if recipe.makes != makes:
            raise _no_choice(
                job, f"recipe {name!r} makes a {recipe.makes}, not a {makes}", "recipes"
            )
        return recipe
    if makes in BY_ITSELF:
        every = equipment.recipes(makes)
        return next((each for each in every if not _lacking(each, job, equipment)), None)
    if makes in OPTIONAL:
        return None
    raise _no_choice(
        job,
        f"no recipe is chosen for {makes!s}: name one here under recipes: or in shop.yaml under "
        f"first_choice: recipes:",
        "recipes",
    )


def choose_machine(operation: RecipeOperation, job: Job, equipment: Equipment) -> Machine:
    """The machine that does an operation."""
    kind = operation.machine
    name = job.machines.get(kind) or equipment.settings.first_choice.machines.get(kind)
    if name is None:
        raise _no_choice(
            job,
            f"no {kind.replace('_', ' ')} is chosen for {operation.title!r}: name one here under "
            "machines: or in shop.yaml under first_choice: machines:",
            "machines",
        )
    try:
        machine = equipment.machine(name)
    except DataFaults as found:
        hint = f"; a shop that has no {kind.replace('_', ' ')} leaves it out of first_choice"
        told = (replace(each, message=each.message + hint) for each in found.faults)
        raise DataFaults(told if _is_unknown(found) else found.faults, found.left) from None
    if machine.type != kind:
        raise _no_choice(job, f"machine {name!r} is a {machine.type}, not a {kind}", "machines")
    return machine


def _is_unknown(found: DataFaults) -> bool:
    """Whether there is no such file, and not a faulty one."""
    return all(each.message.startswith("unknown machine") for each in found.faults)


def choose_cutter(
    operation: RecipeOperation, recipe: Recipe, subject: Subject, job: Job, equipment: Equipment
) -> Cutter | None:
    """The cutter for an operation, of one of the types that it takes; None for hand work."""
    if not operation.cutters:
        return None
    exact = job.cutters.get(f"{recipe.name}.{operation.name}")
    places = (job.cutters, *_section_choices(subject), equipment.settings.first_choice.cutters)
    name = exact or _first(operation.cutters, places)
    if name is None:
        kinds = " or ".join(kind.replace("_", " ") for kind in operation.cutters)
        message = (
            f"no {kinds} is chosen for {operation.title!r}: name one in the job under cutters:, in "
            "the section under cutters:, or in shop.yaml under first_choice: cutters:"
        )
        raise DataFaults([at_its_section(job, subject, message)])
    cutter = equipment.cutter(name)
    if cutter.type not in operation.cutters:
        taken = ", ".join(operation.cutters)
        message = f"cutter {name!r} is a {cutter.type}; {operation.title!r} takes {taken}"
        raise _no_choice(job, message, "cutters")
    return cutter


def at_its_section(job: Job, subject: Subject, message: str) -> Fault:
    """A fault at the line of the job that asks for the section that a cutter is for: the mate's
    where it copes."""
    sections = [subject.end.mate if subject.end else None, subject.section]
    names = [section.name for section in sections if section is not None]
    owners: list[Stile | Rail | Bars] = [job.stiles, *job.rails, *([job.bars] if job.bars else [])]
    for name in names:
        for owner in owners:
            if owner.section == name:
                return owner.marks.fault(message, "section")
    return job.marks.fault(message)


def made_up(cutter: Cutter, width: Length) -> Cutter:
    """A dado stack made up to a width, or to the most under it that its chippers give.

    Raises ValueError where its two outside blades by themselves are wider, or it is no stack.
    """
    if dado_make_up(width, cutter, CLOSE) is not None:
        return replace(cutter, kerf=width)
    assert cutter.stack is not None  # dado_make_up raises where there is none
    chippers, least = cutter.stack.chippers, 2 * cutter.stack.outside
    counts = range(len(chippers) + 1)
    sums = (sum(some, least) for count in counts for some in combinations(chippers, count))
    under = [total for total in sums if total <= width]
    if not under:
        raise ValueError(
            f"{cutter.title}: its outside blades cut {least} wide and {width} is wanted; "
            "take a single blade"
        )
    return replace(cutter, kerf=max(under))


def _section_choices(subject: Subject) -> list[Mapping[str, str]]:
    """A cope fits over the mate's moulding, so the mate's cutters come before the part's own."""
    sections: list[Section | None] = [subject.end.mate if subject.end else None, subject.section]
    return [section.cutters for section in sections if section is not None]


def _first(kinds: Iterable[str], places: Iterable[Mapping[str, str]]) -> str | None:
    order = tuple(kinds)
    return next((place[kind] for place in places for kind in order if kind in place), None)


def _no_choice(job: Job, message: str, *steps: str) -> DataFaults:
    return DataFaults([job.marks.fault(message, *steps)])
