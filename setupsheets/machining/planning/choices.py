"""Which recipe, machine and cutter a job takes: its own choice first, then the section's, then the
shop's first choice."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from itertools import combinations
from typing import Any, Protocol, TypeVar

from msgspec import Struct
from msgspec.structs import replace

from setupsheets.files.faults import DataFaults, Fault, Marks, Step, unknown
from setupsheets.lengths import Length
from setupsheets.machining.operations import Subject
from setupsheets.machining.setting.reach import dado_make_up
from setupsheets.shop.cutters import Cutter
from setupsheets.shop.jobs import Bars, Job, Rail, Stile
from setupsheets.shop.machine_kinds import MachineType
from setupsheets.shop.machines import Machine, SettingName
from setupsheets.shop.recipes import OPTIONAL, Makes, Recipe, RecipeOperation
from setupsheets.shop.sections import Section
from setupsheets.shop.settings import ShopSettings

_Thing = TypeVar("_Thing")

CLOSE = Length("1/256 in")
"""How near to the width wanted a dado stack has to be made up."""

# What no shop need think of: the recipe for it that asks for no machine that the shop has not.
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


class OtherRecipe(Struct, frozen=True):
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
    least = _least_by_hand(wanted.makes, job, equipment)
    return OtherRecipe(wanted, least, lacks) if least is not None else None


def _least_by_hand(makes: Makes, job: Job, equipment: Equipment) -> Recipe | None:
    """Of the recipes for something that work on no machine that nobody has chosen, the one with the
    least work by hand; the first by name of several."""
    can = (each for each in equipment.recipes(makes) if not _lacking(each, job, equipment))
    return min(can, key=lambda each: sum(not op.settings for op in each.operations), default=None)


def _lacking(recipe: Recipe, job: Job, equipment: Equipment) -> tuple[MachineType, ...]:
    """The kinds of machine that a recipe works on and that nobody has chosen."""
    chosen = {*job.machines, *equipment.settings.first_choice.machines}
    kinds = dict.fromkeys(operation.machine for operation in recipe.operations)
    return tuple(kind for kind in kinds if kind not in chosen)


class _Choice(Struct, frozen=True):
    """A name and where it is said."""

    name: str
    marks: Marks
    place: tuple[Step, ...]

    def fault(self, message: str) -> DataFaults:
        """That something is wrong with it, told where it is said."""
        return DataFaults([self.marks.fault(message, *self.place)])

    def found(self, find: Callable[[str], _Thing], told: Callable[[str], str] = str) -> _Thing:
        """What it names. Raises DataFaults where it is said if there is no such thing, ``told`` of
        what was found out."""
        try:
            return find(self.name)
        except DataFaults as found:
            message = found.faults[0].message
            if not message.startswith("unknown "):
                raise
            raise self.fault(told(message)) from None


_Place = tuple[Mapping[Any, str], Marks, tuple[Step, ...]]


def _chosen(keys: Iterable[str], places: Iterable[_Place]) -> _Choice | None:
    """The first choice for any of these, in the first place that has one."""
    every = tuple(keys)
    found = (
        _Choice(place[key], marks, (*steps, key))
        for place, marks, steps in places
        for key in every
        if key in place
    )
    return next(found, None)


def _places(of: str, job: Job, equipment: Equipment) -> tuple[_Place, _Place]:
    """Where a job chooses its recipes, machines or cutters itself, and where its shop does."""
    settings = equipment.settings
    usual = getattr(settings.first_choice, of)
    return (getattr(job, of), job.marks, (of,)), (usual, settings.marks, ("first_choice", of))


def choose_recipe(makes: Makes, job: Job, equipment: Equipment) -> Recipe | None:
    """The recipe for what is to be made; None where there is no choice and none is needed."""
    choice = _chosen([makes], _places("recipes", job, equipment))
    if choice is not None:
        name = choice.name

        def of_these(_: str) -> str:
            return unknown("recipe", name, [each.name for each in equipment.recipes(makes)])

        recipe = choice.found(equipment.recipe, of_these)
        if recipe.makes != makes:
            raise choice.fault(f"recipe {name!r} makes a {recipe.makes}, not a {makes}")
        return recipe
    if makes in BY_ITSELF:
        return _least_by_hand(makes, job, equipment)
    if makes in OPTIONAL:
        return None
    raise _no_choice("recipe", str(makes), "recipes", job)


def choose_machine(operation: RecipeOperation, job: Job, equipment: Equipment) -> Machine:
    """The machine that does an operation."""
    kind = operation.machine
    choice = _chosen([kind], _places("machines", job, equipment))
    called = kind.replace("_", " ")
    if choice is None:
        raise _no_choice(called, repr(operation.title), "machines", job)
    shops_own = choice.place[0] == "first_choice"
    hint = f"; a shop that has no {called} leaves it out of first_choice" if shops_own else ""
    machine = choice.found(equipment.machine, lambda message: message + hint)
    if machine.type != kind:
        of = machine.type.replace("_", " ")
        raise choice.fault(f"machine {choice.name!r} is a {of}, not a {called}")
    return machine


def greatest_figure(
    job: Job, equipment: Equipment, kind: MachineType, setting: SettingName
) -> Length | None:
    """The largest figure that the chosen machine of a kind can be set to; None where none is chosen
    or there, or its file does not say."""
    name = job.machines.get(kind) or equipment.settings.first_choice.machines.get(kind)
    try:
        dial = equipment.machine(name).settings.get(setting) if name else None
    except DataFaults:  # told where an operation asks for the machine
        return None
    return dial.greatest if dial else None


def choose_cutter(
    operation: RecipeOperation, recipe: Recipe, subject: Subject, job: Job, equipment: Equipment
) -> Cutter | None:
    """The cutter for an operation, of one of the types that it takes; None for hand work."""
    if not operation.cutters:
        return None
    own, usual = _places("cutters", job, equipment)
    sections = ((each.cutters, each.marks, ("cutters",)) for each in _sections(subject))
    choice = _chosen([f"{recipe.name}.{operation.name}"], [own]) or _chosen(
        operation.cutters, [own, *sections, usual]
    )
    if choice is None:
        kinds = " or ".join(kind.replace("_", " ") for kind in operation.cutters)
        message = (
            f"no {kinds} is chosen for {operation.title!r}: name one in the job under cutters:, in "
            "the section under cutters:, or in shop.yaml under first_choice: cutters:"
        )
        raise DataFaults([at_its_section(job, subject, message)])
    cutter = choice.found(equipment.cutter)
    if cutter.type not in operation.cutters:
        is_a = cutter.type.replace("_", " ")
        taken = ", ".join(kind.replace("_", " ") for kind in operation.cutters)
        raise choice.fault(f"cutter {choice.name!r} is a {is_a}; {operation.title!r} takes {taken}")
    return cutter


def unknown_names(job: Job, recipes: Iterable[Recipe], equipment: Equipment) -> Iterator[Fault]:
    """Inputs and cutters of single operations that no recipe has, neither of those in use nor any
    other: a job may be begun like another one, and what that needed is let be."""
    used = {recipe.name: recipe for recipe in recipes}
    inputs = {name for recipe in used.values() for name in recipe.inputs}
    if odd := [name for name in job.inputs if name not in inputs]:
        every = (recipe for makes in Makes for recipe in equipment.recipes(makes))
        known = sorted({name for recipe in every for name in recipe.inputs})
        for name in odd:
            if name not in known:
                yield job.marks.key_fault(unknown("input", name, known), "inputs", name)
    for key in job.cutters:
        name, dot, operation = key.partition(".")
        if not dot:
            continue
        try:
            recipe = used.get(name) or equipment.recipe(name)
        except DataFaults as found:
            yield job.marks.key_fault(found.faults[0].message, "cutters", key)
            continue
        names = [each.name for each in recipe.operations]
        if operation not in names:
            message = f"recipe {name!r}: {unknown('operation', operation, names)}"
            yield job.marks.key_fault(message, "cutters", key)


def at_its_section(job: Job, subject: Subject, message: str) -> Fault:
    """A fault at the line of the job that asks for the section that a cutter is for: the mate's
    where it copes."""
    owners: list[Stile | Rail | Bars] = [job.stiles, *job.rails, *([job.bars] if job.bars else [])]
    for section in _sections(subject):
        for owner in owners:
            if owner.section == section.name:
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


def _sections(subject: Subject) -> list[Section]:
    """A cope fits over the mate's moulding, so the mate's cutters come before the part's own."""
    sections = [subject.end.mate if subject.end else None, subject.section]
    return [section for section in sections if section is not None]


def _no_choice(called: str, wanted_for: str, of: str, job: Job) -> DataFaults:
    message = (
        f"no {called} is chosen for {wanted_for}: name one here under {of}: or in shop.yaml under "
        f"first_choice: {of}:"
    )
    return DataFaults([job.marks.fault(message, of)])
