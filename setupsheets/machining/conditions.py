"""When a caution is due: by an operation's machine, its cutter, its work and its figures."""

from __future__ import annotations

from collections.abc import Iterator

from setupsheets.files.faults import Fault
from setupsheets.formulas import FormulaError, Value
from setupsheets.lengths import Length, Unit
from setupsheets.machining.operations import Operation, SetUp
from setupsheets.machining.plan import Plan
from setupsheets.machining.planning.scope import Scope, cutter_scope, setting_scope, subject_scope
from setupsheets.shop.cautions import Caution
from setupsheets.shop.finding import Shop
from setupsheets.shop.jobs import Job
from setupsheets.shop.recipes import Work
from setupsheets.shop.shop_terms import in_shop_terms


def piece_scopes(operation: Operation, set_up: SetUp, job: Job, unit: Unit) -> Iterator[Scope]:
    """The names of a cut once for each length of the pieces that go through it. A board has none,
    nor has the one that beads are ripped off."""
    scope = caution_scope(operation, set_up, job, unit)
    lengths = dict.fromkeys(place.length for place in operation.places)
    board = set_up.subject.bead is not None and operation.asks.work is not Work.HAND
    for length in lengths or {Length.ZERO if board else None: None}:
        if length is None:
            yield scope
        elif length:
            yield scope | {"part.length": length}
        else:
            yield {name: value for name, value in scope.items() if name != "part.length"}


def caution_scope(operation: Operation, set_up: SetUp, job: Job, unit: Unit) -> Scope:
    """The names that a caution's ``when`` may use for this operation.

    Those of the recipe's formulas, the operation's own settings as ``setting.NAME``, and
    ``operation.makes``, ``.work``, ``.down``, ``.against``, ``.passes``, ``.both``, ``.clears``,
    ``.leaves_offcut``, ``.lowered_on`` and ``.stopped`` (short of an end), and ``shop.inch`` as a
    shop of that ``unit`` says it.
    """
    scope = subject_scope(set_up.subject, job.allowances, set_up.inputs)
    for earlier in set_up.operations:
        if earlier.number <= operation.number:
            scope |= setting_scope(earlier.name, earlier.settings)
            scope |= cutter_scope(earlier.cutter, f"{earlier.name}.cutter")
    scope |= cutter_scope(operation.cutter)
    own: dict[str, Value] = {f"setting.{item.name}": item.aim for item in operation.settings}
    asks = operation.asks
    own |= {
        "shop.inch": in_shop_terms(Length.inches(1), unit),
        "operation.makes": set_up.recipe.makes,
        "operation.work": asks.work,
        "operation.passes": operation.passes,
        "operation.both": asks.both,
        "operation.clears": asks.clears,
        "operation.leaves_offcut": asks.leaves_offcut,
        "operation.lowered_on": operation.lowered_on,
        "operation.stopped": bool(operation.stops),
    }
    surfaces = {"operation.down": asks.down, "operation.against": asks.against}
    own |= {name: surface for name, surface in surfaces.items() if surface is not None}
    return scope | own


def applies(caution: Caution, operation: Operation, scope: Scope) -> bool:
    """Whether all of a caution's conditions hold; one that names what this cut lacks does not.

    Raises FormulaError for a condition whose names are all there but that has no answer.
    """
    if caution.machines and operation.machine.type not in caution.machines:
        return False
    kind = operation.cutter.type if operation.cutter else None
    if caution.cutters and kind not in caution.cutters:
        return False
    if caution.work and operation.asks.work not in caution.work:
        return False
    if caution.when is None:
        return True
    return caution.when.names <= scope.keys() and caution.when.truth(scope)


def condition_faults(plan: Plan, shop: Shop) -> Iterator[Fault]:
    """The conditions of cautions that have no answer for some operation of a job, each once."""
    scopes = [
        (operation, scope)
        for set_up in plan.set_ups
        for operation in set_up.operations
        for scope in piece_scopes(operation, set_up, plan.job, shop.settings.unit)
    ]
    for file in shop.cautions():
        for index, caution in enumerate(file.cautions):
            try:
                for operation, scope in scopes if not caution.general else ():
                    applies(caution, operation, scope)
            except FormulaError as error:
                yield file.marks.fault(str(error), "cautions", index, "when")
