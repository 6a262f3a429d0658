"""What a recipe's schema cannot say: names that lead nowhere, and cutters that fit no such machine.

A recipe is data that a shop writes for itself, so every slip is told with its place and the nearest
name, before any part is worked out by it.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from msgspec import Struct

from setupsheets.files.faults import Fault, Step, listed, unknown
from setupsheets.formulas import Formula, FormulaError
from setupsheets.lengths import Length
from setupsheets.shop.formula_names import OTHER_FIRST_WORDS, TYPES, There, names_there
from setupsheets.shop.machine_kinds import MACHINE_KINDS
from setupsheets.shop.recipes import JIG_SIZES, JigKind, Recipe, RecipeOperation

CUTTER_NAMES = names_there(There.OWN_CUTTER)


def recipe_faults(recipe: Recipe) -> tuple[Fault, ...]:
    """Everything in a recipe that leads nowhere, in the order of the file."""
    return tuple(_Checks(recipe).faults())


def recipe_notices(recipe: Recipe, instruments: Collection[str]) -> tuple[Fault, ...]:
    """What keeps no recipe from being used and should be put right: jigs that do not say what they
    do, as those of older files, and so count as holding nothing; what is to be measured with an
    ``instrument`` that the shop does not have."""
    return (*_unsaid_jigs(recipe), *_unknown_instruments(recipe, instruments))


def _unknown_instruments(recipe: Recipe, instruments: Collection[str]) -> Iterator[Fault]:
    for index, measure in enumerate(recipe.measures):
        if measure.instrument not in instruments:
            message = unknown("instrument", measure.instrument, instruments)
            message += "; it counts as the coarsest that the shop has"
            yield recipe.marks.fault(message, "measures", index, "instrument")


def _unsaid_jigs(recipe: Recipe) -> tuple[Fault, ...]:
    kinds = listed([kind for kind in JigKind if kind is not JigKind.UNSAID])
    return tuple(
        recipe.marks.fault(
            f"what {jig.name!r} does is not said, so it counts as holding nothing; say kind: "
            f"one of {kinds}",
            *("operations", index, "jigs", number, "kind"),
        )
        for index, operation in enumerate(recipe.operations)
        for number, jig in enumerate(operation.jigs)
        if jig.kind is JigKind.UNSAID
    )


class _Checks(Struct, frozen=True):
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
        own = before | (CUTTER_NAMES if operation.cutters else set())
        set_too = own | {f"setting.{setting}" for setting in operation.settings}
        yield from self.formula(operation.when, bool, before, *place, "when")
        for setting, aim in operation.settings.items():
            names = own | names_there(There.AIM)
            yield from self.formula(aim.aim, Length, names, *place, "settings", setting, "aim")
        yield from self.formula(operation.stack, Length, before, *place, "stack")
        yield from self.formula(operation.wide, Length, set_too, *place, "wide")
        yield from self.formula(operation.passes, int, set_too, *place, "passes")
        for number, jig in enumerate(operation.jigs):
            yield from self.formula(jig.when, bool, set_too, *place, "jigs", number, "when")
            for missing in sorted(JIG_SIZES.get(jig.kind, frozenset()) - jig.sizes.keys()):
                message = f"a jig that {jig.kind.replace('_', ' ')} says its {missing}"
                yield self.fault(message, *place, "jigs", number, "sizes", missing)
            for name, size in jig.sizes.items():
                yield from self.formula(
                    size, Length, set_too, *place, "jigs", number, "sizes", name
                )

    def measure(self, index: int) -> Iterator[Fault]:
        measure, place = self.recipe.measures[index], ("measures", index)
        names = [each.name for each in self.recipe.operations]
        if measure.after not in names:
            yield self.fault(unknown("operation", measure.after, names), *place, "after")
        causes = _names_of(self.recipe.operations) | names_there(There.READING)
        yield from self.formula(measure.when, bool, self.design_names | causes, *place, "when")
        yield from self.formula(measure.reads, Length, self.design_names | causes, *place, "reads")
        yield from self.formula(measure.should, Length, self.design_names, *place, "should")

    @property
    def design_names(self) -> frozenset[str]:
        """The names that any formula of the recipe may use."""
        inputs = {f"input.{name}" for name in self.recipe.inputs}
        return names_there(There.EVERYWHERE, There.MACHINES, self.recipe.makes) | inputs

    def formula(
        self, formula: Formula | None, kind: type, known: Collection[str], *place: Step
    ) -> Iterator[Fault]:
        """What is wrong with a formula whatever it is worked out for: its names, its ``kind``."""
        if formula is None:
            return
        strangers = sorted(formula.names - set(known))
        yield from (self.fault(unknown("name", name, known), *place) for name in strangers)
        if not strangers:
            try:
                formula.check(kind, {name: TYPES.get(name, Length) for name in known})
            except FormulaError as error:
                yield self.fault(str(error), *place)

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
    sizes = {f"{each.name}.{name}" for each in cutting for name in CUTTER_NAMES}
    return frozenset(settings | sizes)
