"""What a recipe's schema cannot say: names that lead nowhere, and cutters that fit no such machine.

A recipe is data that a shop writes for itself, so every slip is told with its place and the nearest
name, before any part is worked out by it.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass

from setupsheets.files.faults import Fault, Step, listed, unknown
from setupsheets.formulas import Formula
from setupsheets.shop.machine_kinds import MACHINE_KINDS
from setupsheets.shop.recipes import OTHER_FIRST_WORDS, Makes, Recipe, RecipeOperation

_MOULDING = (
    *("thickness", "sticking.width", "sticking.depth", "sticking.quirk"),
    *("rebate.width", "rebate.depth", "tongue.thickness"),
)
PART_NAMES = frozenset(
    {
        *("part.width", "part.thickness", "part.length", "part.face", "part.back", "part.sight"),
        *("allowance.length", "allowance.width", "allowance.thickness"),
        *(f"section.{name}" for name in _MOULDING),
    }
)
"""Names of every part."""

NAMES_OF: Mapping[Makes, frozenset[str]] = {
    Makes.BAR: frozenset({"section.tongue.width", "section.face_flat"}),
    Makes.COPE: frozenset(
        {
            *(f"mate.{name}" for name in _MOULDING),
            *("tenon.thickness", "tenon.from_face", "tenon.width", "tenon.haunch"),
            *("tenon.set_back", "tenon.reach", "mortise.depth", "mortise.gap"),
            *("tenon.from_lower", "tenon.from_upper", "tenon.haunch_depth"),
            *("tenon.twin_gap", "tenon.each"),
        }
    ),
    Makes.MORTISE: frozenset(
        f"mortise.{name}" for name in ("depth", "thickness", "from_face", "length")
    ),
    Makes.HALVING: frozenset(
        f"halving.{name}" for name in ("from_end", "width", "depth", "from_face")
    ),
    Makes.GROOVE: frozenset({"panel.groove.width", "panel.groove.depth", "panel.groove.from_face"}),
    Makes.BEAD: frozenset({"bead.width", "bead.depth", "bead.length"}),
}
"""Further names by what a recipe makes."""

DIAL_NAMES = frozenset({"dial.finest"})
BLANK_NAMES = frozenset({"blank.length", "blank.width", "blank.thickness"})
CUTTER_SIZES = (
    *("kerf", "diameter", "width", "length", "reach", "cut_width"),
    *("profile.width", "profile.depth"),
)


def recipe_faults(recipe: Recipe) -> tuple[Fault, ...]:
    """Everything in a recipe that leads nowhere, in the order of the file."""
    return tuple(_Checks(recipe).faults())


@dataclass(frozen=True)
class _Checks:
    recipe: Recipe

    def faults(self) -> Iterator[Fault]:
        for index in range(len(self.recipe.operations)):
            yield from self.operation(index)
        names = [measure.name for measure in self.recipe.measures]
        for index in range(len(names)):
            yield from self.repeated("measure", names, index)
            yield from self.measure(index)

    def operation(self, index: int) -> Iterator[Fault]:
        operation, place = self.recipe.operations[index], ("operations", index)
        names = [each.name for each in self.recipe.operations]
        yield from self.repeated("operation", names, index)
        if operation.name in OTHER_FIRST_WORDS:
            message = f"{operation.name!r} begins other names in formulas; call it otherwise"
            yield self.fault(message, *place, "name")
        for number, name in enumerate(operation.after):
            if name not in names[:index]:
                later = name in names
                message = (
                    f"{name!r} comes later" if later else unknown("operation", name, names[:index])
                )
                yield self.fault(message, *place, "after", number)
        for number, kind in enumerate(operation.cutters):
            if kind not in (held := MACHINE_KINDS[operation.machine].cutters):
                holds = listed(sorted(held)) or "no cutter"
                message = f"a {operation.machine} holds no {kind}; it holds {holds}"
                yield self.fault(message, *place, "cutters", number)
        yield from self.operation_formulas(operation, index)

    def operation_formulas(self, operation: RecipeOperation, index: int) -> Iterator[Fault]:
        place = ("operations", index)
        before = self.design_names | _names_of(self.recipe.operations[:index])
        own = before | {f"cutter.{size}" for size in CUTTER_SIZES if operation.cutters}
        set_too = own | {f"setting.{setting}" for setting in operation.settings}
        yield from self.formula(operation.when, before, *place, "when")
        for setting, aim in operation.settings.items():
            yield from self.formula(aim.aim, own | DIAL_NAMES, *place, "settings", setting, "aim")
        yield from self.formula(operation.stack, before, *place, "stack")
        yield from self.formula(operation.wide, set_too, *place, "wide")
        yield from self.formula(operation.passes, set_too, *place, "passes")
        for number, jig in enumerate(operation.jigs):
            for name, size in jig.sizes.items():
                yield from self.formula(size, set_too, *place, "jigs", number, "sizes", name)

    def measure(self, index: int) -> Iterator[Fault]:
        measure, place = self.recipe.measures[index], ("measures", index)
        names = [each.name for each in self.recipe.operations]
        if measure.after not in names:
            yield self.fault(unknown("operation", measure.after, names), *place, "after")
        causes = _names_of(self.recipe.operations) | BLANK_NAMES
        yield from self.formula(measure.when, self.design_names | causes, *place, "when")
        yield from self.formula(measure.reads, self.design_names | causes, *place, "reads")
        yield from self.formula(measure.should, self.design_names, *place, "should")

    @property
    def design_names(self) -> frozenset[str]:
        """The names that any formula of the recipe may use."""
        inputs = {f"input.{name}" for name in self.recipe.inputs}
        return PART_NAMES | NAMES_OF.get(self.recipe.makes, frozenset()) | inputs

    def formula(
        self, formula: Formula | None, known: Collection[str], *place: Step
    ) -> Iterator[Fault]:
        for name in sorted(formula.names - set(known)) if formula is not None else ():
            yield self.fault(unknown("name", name, known), *place)

    def repeated(self, what: str, names: Sequence[str], index: int) -> Iterator[Fault]:
        if names[index] in names[:index]:
            message = f"a second {what} called {names[index]!r}"
            yield self.fault(message, f"{what}s", index, "name")

    def fault(self, message: str, *place: Step) -> Fault:
        return self.recipe.marks.fault(message, *place)


def _names_of(operations: Sequence[RecipeOperation]) -> frozenset[str]:
    """The names that operations give to later formulas: their settings, their cutters' sizes."""
    settings = {f"{each.name}.{setting}" for each in operations for setting in each.settings}
    cutting = [each for each in operations if each.cutters]
    sizes = {f"{each.name}.cutter.{size}" for each in cutting for size in CUTTER_SIZES}
    return frozenset(settings | sizes)
