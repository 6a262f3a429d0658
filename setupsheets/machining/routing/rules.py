"""What must come before what among all operations of a job, and what must stay as it was tested.

An operation is one step: its test piece goes through and is measured, and all its parts follow,
before anything else is set on that machine. What is not ruled here may be done in any order.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Mapping, Sequence

from msgspec.structs import replace

from setupsheets.machining.cutting.planes import plane_of
from setupsheets.machining.operations import Operation, Setting, SetUp
from setupsheets.machining.routing.steps import Hold, Step
from setupsheets.machining.setting.passes import across, passes
from setupsheets.machining.tasks import Task
from setupsheets.shop.machines import ACROSS, SettingName
from setupsheets.shop.recipes import Makes, Recipe, Surface, Work

_EITHER_WAY = frozenset({Makes.MORTISE, Makes.COPE})
"""What may be made on one part in any order: neither takes away what the other is measured from,
held or run by. Common practice, no source. A mortise is made ahead of the ends that go into it."""

_LIES_IN = frozenset({Makes.REBATE, Makes.GROOVE})
"""What a panel is tried in."""

Figure = Callable[[SetUp, Setting], Hashable]
"""What a setting is set to: of two with the same nothing is set anew between them."""


def aimed(set_up: SetUp, setting: Setting) -> Hashable:
    """The figure that is aimed at."""
    return setting.aim


def step_of(task: Task, figure: Figure) -> Step:
    """An operation as a step, without the rules."""
    operation = task.operation
    return Step(
        machine=operation.machine.name,
        cutter=(operation.cutter.name, operation.cutter.kerf) if operation.cutter else None,
        settings={each.name: (each.to, figure(task.set_up, each)) for each in operation.settings},
        stepped=frozenset(_stepped(operation)),
        parts=_carried(task),
    )


def _carried(task: Task) -> Mapping[str, int]:
    """What is carried to an operation, part by part; beads go in one board, then in one bundle."""
    bead = task.set_up.recipe.makes is Makes.BEAD
    return dict.fromkeys(task.counts, 1) if bead else task.counts


def ruled_steps(tasks: Sequence[Task]) -> list[Step]:
    """All operations of a job, in the order joint by joint, as steps with the rules among them."""
    steps = [
        replace(
            step_of(then, aimed),
            before=sum(
                1 << at for at, first in enumerate(tasks[:turn]) if _goes_first(first, then)
            ),
        )
        for turn, then in enumerate(tasks)
    ]
    return [replace(each, holds=tuple(_holds(at, tasks, steps))) for at, each in enumerate(steps)]


def _stepped(operation: Operation) -> Iterator[SettingName]:
    """What passes move, and so is set anew each time though its last figure is the same.

    As many passes as hard wood takes: a dial is never said to stand that may have been moved.
    """
    found = passes(operation, hard=True)
    if found is not None:
        yield found.setting
    for setting in operation.settings:
        nibbled = operation.asks.clears and setting.name is SettingName.FENCE
        widened = operation.wide is not None and setting.name in ACROSS
        if (operation.passes > 1 and (nibbled or widened)) or (nibbled and across(operation)):
            yield setting.name


def _goes_first(first: Task, then: Task) -> bool:
    """Whether an operation must be done ahead of one that comes after it joint by joint."""
    makes = first.set_up.recipe.makes, then.set_up.recipe.makes
    if first.set_up is then.set_up:
        return _goes_first_in(first.set_up, first.operation, then.operation)
    if makes[0].on_leaf or makes[1].on_leaf:
        return True  # the leaf is put together once all its parts are made
    if makes[1] is Makes.BEAD and then.operation.asks.work is Work.HAND:
        return True  # beads are cut to the openings
    if makes[1] is Makes.PANEL and makes[0] in _LIES_IN and _is_tried(then):
        return True
    if _is_fitted_to(then.set_up, first):
        return True
    if first.counts.keys().isdisjoint(then.counts):
        return False
    if makes == (Makes.BLANK, Makes.BLANK):
        lengths = Surface.END in (first.operation.asks.against, then.operation.asks.against)
        told = _all_after(then.operation.name, then.set_up.recipe)
        return lengths or first.operation.name in told
    return makes != (Makes.HALVING, Makes.HALVING) and not set(makes) <= _EITHER_WAY


def _is_tried(task: Task) -> bool:
    """Whether an operation ends its recipe, by hand: what is made is tried in its place."""
    operations = task.set_up.recipe.operations
    last = not any(task.operation.name in each.after for each in operations)
    return last and task.operation.asks.work is Work.HAND


def _is_fitted_to(set_up: SetUp, made: Task) -> bool:
    """Whether the ends that a set-up makes are fitted to what an operation makes, as it is measured
    there: a tenon to its mortise."""
    end, subject = set_up.subject.end, made.set_up.subject
    if end is None or subject.mortise is None or subject.section is None:
        return False
    if (end.mate.name, end.mortise_depth) != (subject.section.name, subject.mortise.depth):
        return False
    return any(each.as_made for each in made.set_up.measured_after(made.operation))


def _all_after(name: str, recipe: Recipe) -> set[str]:
    """Every operation that one of a recipe comes after, by way of others as well: those that a
    part does without stand between all the same."""
    after = {each.name: each.after for each in recipe.operations}
    found: set[str] = set()
    waiting = [name]
    while waiting:
        new = set(after[waiting.pop()]) - found
        found |= new
        waiting += new
    return found


def _goes_first_in(set_up: SetUp, first: Operation, then: Operation) -> bool:
    """Whether two operations of one set-up stay in the recipe's order: because it says so, because
    a reading after the second is of both, because hands do both, or because both cut in one plane:
    what the part rests on at the second is what the first has left."""
    if first.name in _all_after(then.name, set_up.recipe) or _shown_by(then, set_up, first):
        return True
    if Work.HAND in (first.asks.work, then.asks.work):
        return first.asks.work is then.asks.work
    return plane_of(first.asks) is plane_of(then.asks)


def _shown_by(then: Operation, set_up: SetUp, first: Operation) -> Mapping[str, None]:
    """The settings of an operation that a reading after another one depends on."""
    read = {cause for each in set_up.measured_after(then) for cause in each.sensitivities}
    return {each.name: None for each in first.settings if each.cause in read}


def _holds(at: int, tasks: Sequence[Task], steps: Sequence[Step]) -> Iterator[Hold]:
    """What stays as it is after a step until a reading after a later one has shown it to be right;
    not where that one, or one between them in the set-up, sets it otherwise itself."""
    task, between = tasks[at], list[Step]()
    for until in range(at + 1, len(tasks)):
        if tasks[until].set_up is not task.set_up:
            return
        between.append(steps[until])
        for name in _shown_by(tasks[until].operation, task.set_up, task.operation):
            if not any(each.disturbs(steps[at], name) for each in between):
                yield Hold(name, until)
