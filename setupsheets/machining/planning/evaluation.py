"""One recipe worked out for one subject: its formulas into figures, its readings into an affine
model, and whatever cannot be worked out into faults with their place in the recipe."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping
from fractions import Fraction
from typing import TypeVar

from msgspec import Struct

from setupsheets.files.faults import NOWHERE, DataFaults, Fault
from setupsheets.formulas import Formula, FormulaError
from setupsheets.lengths import Length
from setupsheets.machining.operations import (
    FittedJig,
    Operation,
    PlannedMeasure,
    Setting,
    SetUp,
    Subject,
    WorkedAt,
)
from setupsheets.machining.planning.choices import (
    Equipment,
    at_its_section,
    choose_cutter,
    choose_machine,
    made_up,
)
from setupsheets.machining.planning.scope import (
    Scope,
    cutter_scope,
    machine_scope,
    reading_scope,
    setting_scope,
    subject_scope,
)
from setupsheets.machining.setting.stop_clearance import with_spacer
from setupsheets.shop.cutters import Cutter
from setupsheets.shop.jobs import Job
from setupsheets.shop.machines import ACROSS, Machine
from setupsheets.shop.recipes import Measure, MeasuredTo, Recipe, RecipeOperation, Work
from setupsheets.shop.shop_terms import in_shop_terms

Place = tuple[str | int, ...]
T = TypeVar("T")


def evaluate(
    recipe: Recipe,
    subject: Subject,
    job: Job,
    equipment: Equipment,
    counts: Mapping[str, int],
    subjects: Mapping[str, Subject] | None = None,
) -> SetUp:
    """One recipe worked out for one subject; its operations are numbered from 1.

    ``subjects`` are those of each part that shares the set-up: hand work is told for each of them.
    Raises DataFaults with the place in the recipe of every formula that cannot be worked out.
    """
    inputs = {name: _in_shop_sizes(each.default, equipment) for name, each in recipe.inputs.items()}
    inputs |= {name: value for name, value in job.inputs.items() if name in inputs}
    machines = machine_scope(job, equipment)
    scope = subject_scope(subject, job.allowances, inputs) | machines
    scopes = {name: subject_scope(each, job.allowances, inputs) | machines
              for name, each in (subjects or {}).items()}  # fmt: skip
    evaluation = _Evaluation(recipe, subject, job, equipment, scopes, [])
    operations = evaluation.operations(dict(scope))
    measurements = evaluation.measurements(scope, operations)
    if evaluation.faults:
        raise DataFaults(evaluation.faults)
    return SetUp(
        recipe.name,
        recipe,
        subject,
        counts,
        operations,
        measurements,
        inputs=inputs,
        hangs_on=_hangs_on(recipe, operations, measurements, scope),
    )


def _hangs_on(
    recipe: Recipe,
    operations: Iterable[Operation],
    measurements: Iterable[PlannedMeasure],
    scope: Scope,
) -> Mapping[str, Length]:
    """The lengths that aims and targets are worked out from; cutters' sizes and dials' marks are
    not among them."""
    aims = (each.aim for operation in operations for each in operation.asks.settings.values())
    done = {each.name for each in measurements}
    targets = (each.should for each in recipe.measures if each.name in done)
    names = sorted({name for formula in (*aims, *targets) for name in formula.names})
    found = ((name, scope[name]) for name in names if name in scope)
    return {name: value for name, value in found if isinstance(value, Length)}


def _in_shop_sizes(default: Length, equipment: Equipment) -> Length:
    """A recipe's own number as the shop would say it: a foot is 300 mm. What is finer than an inch
    belongs to a joint and stays as it is."""
    fine = default < Length.inches(1)
    return default if fine else in_shop_terms(default, equipment.settings.unit)


class _Evaluation(Struct, frozen=True):
    """One recipe's formulas for one subject; ``faults`` takes in what is wrong with them, so that
    all of it is told at once."""

    recipe: Recipe
    subject: Subject
    job: Job
    equipment: Equipment
    scopes: Mapping[str, Scope]
    faults: list[Fault]

    def operations(self, scope: Scope) -> tuple[Operation, ...]:
        made: list[Operation] = []
        for index, asks in enumerate(self.recipe.operations):
            place = ("operations", index)
            by_part = self._by_part(asks, scope, place)
            if not by_part:
                continue
            machine = choose_machine(asks, self.job, self.equipment)
            cutter = choose_cutter(asks, self.recipe, self.subject, self.job, self.equipment)
            cutter = self._made_up(asks, cutter, scope, place)
            own = scope | cutter_scope(cutter)
            settings = self._settings(asks, machine, own, place)
            scope |= setting_scope(asks.name, settings) | cutter_scope(
                cutter, f"{asks.name}.cutter"
            )
            own |= {f"setting.{setting.name}": setting.aim for setting in settings}
            jigs = tuple(self._jigs(asks, own, by_part, place))
            passes = self._passes(asks, cutter, settings, own, place)
            wide = self._length(asks.wide, own, *place, "wide") if asks.wide else None
            operation = Operation(
                number=len(made) + 1,
                asks=asks,
                machine=machine,
                cutter=cutter,
                settings=settings,
                passes=passes,
                jigs=jigs,
                makes=self.recipe.makes,
                wide=wide,
                places=tuple(WorkedAt(part) for part in by_part if part),
            )
            made.append(with_spacer(operation))
        return tuple(made)

    def _by_part(self, asks: RecipeOperation, scope: Scope, place: Place) -> Mapping[str, Scope]:
        """The names of every part that the operation is done on: hands do on each what that asks
        for, a machine on all what the set-up's subject does."""
        found = self.scopes if asks.work is Work.HAND and self.scopes else {"": {}}
        return {
            part: names
            for part, names in found.items()
            if self._applies(asks.when, scope | names, *place)
        }

    def _jigs(
        self, asks: RecipeOperation, own: Scope, by_part: Mapping[str, Scope], place: Place
    ) -> Iterator[FittedJig]:
        """The jigs; one that has other sizes for other parts once for each of them, named."""
        everyone = "" in by_part or len(by_part) == len(self.scopes)
        for number, jig in enumerate(asks.jigs):
            at = (*place, "jigs", number)
            wanted = {part: own | names for part, names in by_part.items()
                      if self._applies(jig.when, own | names, *at)}  # fmt: skip
            sizes: dict[tuple[tuple[str, Length], ...], list[str]] = {}
            for part, names in wanted.items():
                fitted = {
                    name: self._length(size, names, *at, "sizes", name)
                    for name, size in jig.sizes.items()
                }
                sizes.setdefault(tuple(fitted.items()), []).append(part)
            alike = not jig.sizes or (everyone and len(sizes) == 1)
            for each, parts in sizes.items():
                alone = alike and len(wanted) == len(by_part)
                name = jig.name if alone else f"{jig.name} for the {', '.join(parts)}"
                yield FittedJig(name, jig.kind, jig.use, dict(each))

    def _made_up(
        self, asks: RecipeOperation, cutter: Cutter | None, scope: Scope, place: Place
    ) -> Cutter | None:
        """The cutter; a dado stack as it is made up for the operation, where that says how wide."""
        if asks.stack is None or cutter is None or cutter.stack is None:
            return cutter
        try:
            return made_up(cutter, self._length(asks.stack, scope, *place, "stack"))
        except ValueError as error:
            self._fault(str(error), *place, "stack")
            return cutter

    def measurements(
        self, scope: Scope, operations: tuple[Operation, ...]
    ) -> tuple[PlannedMeasure, ...]:
        done = {operation.name for operation in operations}
        cutters = {each.name: each.cutter.title for each in operations if each.cutter}
        causes = scope | reading_scope(operations, self.subject)
        made = []
        for index, measure in enumerate(self.recipe.measures):
            place = ("measures", index)
            if measure.after in done and self._applies(measure.when, causes, *place):
                made.append(self._measurement(measure, scope, causes, cutters, place))
        return tuple(item for item in made if item is not None)

    def _measurement(
        self,
        measure: Measure,
        scope: Scope,
        causes: Scope,
        cutters: Mapping[str, str],
        place: Place,
    ) -> PlannedMeasure | None:
        try:
            reads, should = measure.reads.affine(causes), measure.should.length(scope)
            found = reads.length
        except FormulaError as error:
            self._fault(str(error), *place)
            return None
        if found != should:
            used = {
                title
                for name, title in cutters.items()
                if any(each.startswith(f"{name}.cutter.") for each in measure.reads.names)
            }
            words = self._mismatch(measure, found, should, used)
            if used and self.job.marks is not NOWHERE:
                words += "; take a cutter that makes it, or another section or recipe"
                self.faults.append(at_its_section(self.job, self.subject, words))
            else:
                self._fault(words, *place, "reads")
            return None
        return PlannedMeasure(
            name=measure.name,
            title=measure.title,
            instrument=measure.instrument,
            how=measure.how,
            after=measure.after,
            target=should,
            under=in_shop_terms(measure.tolerance.under, self.equipment.settings.unit),
            over=in_shop_terms(measure.tolerance.over, self.equipment.settings.unit),
            sensitivities={name: value for name, value in reads.coefficients.items() if value},
            missed=measure.missed,
            basis=measure.basis,
            as_made=measure.as_made,
        )

    def _mismatch(
        self, measure: Measure, reads: Length, should: Length, used: Iterable[str]
    ) -> str:
        """By how much a measurement's two formulas differ; the cutters whose sizes it reads are
        named, for one of them may be the wrong one."""
        show, off = self.equipment.settings.notation.show, reads - should
        cutter = "".join(f" with the {title}" for title in sorted(used))
        return (
            f"{measure.title!r} on {self._on}{cutter} should come to {show(should)} but the "
            f"settings make {show(reads)} ({show(abs(off))} too "
            f"{'much' if off > Length.ZERO else 'little'})"
        )

    def _settings(
        self, asks: RecipeOperation, machine: Machine, scope: Scope, place: Place
    ) -> tuple[Setting, ...]:
        made = []
        for name, wanted in asks.settings.items():
            at = (*place, "settings", name)
            dial = machine.settings.get(name)
            if dial is None:
                has = ", ".join(machine.settings) or "none"
                self._fault(f"{machine.name} has no setting {name!r}; it has {has}", *at)
                continue
            aim = self._length(wanted.aim, scope | {"dial.finest": dial.finest}, *at, "aim")
            made.append(Setting(name, f"{asks.name}.{name}", aim, wanted.to, dial))
        return tuple(made)

    def _passes(
        self,
        asks: RecipeOperation,
        cutter: Cutter | None,
        settings: tuple[Setting, ...],
        scope: Scope,
        place: Place,
    ) -> int:
        if asks.passes is not None:
            return math.ceil(self._number(asks.passes, scope, *place, "passes"))
        if asks.wide is not None and cutter is not None:
            wide = self._length(asks.wide, scope, *place, "wide")
            return max(1, math.ceil(wide / cutter.cut_width))
        across = next((item for item in settings if item.name in ACROSS), None)
        if not asks.clears or cutter is None or across is None:
            return 1
        far = across.aim if across.to is MeasuredTo.FAR else across.aim + cutter.cut_width
        count = max(1, math.ceil(far / cutter.cut_width))
        # Each pass goes on by less than a cut, so as many whole cuts need one more.
        return count + 1 if count > 1 and far == count * cutter.cut_width else count

    def _applies(self, when: Formula | None, scope: Scope, *place: str | int) -> bool:
        return when is None or self._worked(when.truth, False, scope, *place, "when")

    def _length(self, formula: Formula, scope: Scope, *place: str | int) -> Length:
        return self._worked(formula.length, Length.ZERO, scope, *place)

    def _number(self, formula: Formula, scope: Scope, *place: str | int) -> Fraction:
        return self._worked(formula.number, Fraction(1), scope, *place)

    def _worked(
        self, formula: Callable[[Scope], T], otherwise: T, scope: Scope, *place: str | int
    ) -> T:
        """What a formula comes to; ``otherwise``, and a fault told, where it has no answer."""
        try:
            return formula(scope)
        except FormulaError as error:
            self._fault(str(error), *place)
            return otherwise

    @property
    def _on(self) -> str:
        part = self.subject.part
        return part.name if part is not None else "the whole"

    def _fault(self, message: str, *place: str | int) -> None:
        self.faults.append(self.recipe.marks.fault(message, *place))
