"""One operation as it stands on its machine's sheet: facts, drawing, settings, measuring, cautions.

Plain work on blanks that differs only in its figures (the stops for five lengths, the fences for
three widths) shares one block, a row to each figure.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from setupsheets.lengths import Notation
from setupsheets.machining.cutting.shapes import sight_edges
from setupsheets.machining.findings import OperationFindings
from setupsheets.machining.operations import Setting
from setupsheets.machining.tasks import Task
from setupsheets.records.current import ReasonKind
from setupsheets.sheets.content.cautions_due import operation_cautions
from setupsheets.sheets.content.finished import Fact, MeasureRow, OperationBlock, SettingRow
from setupsheets.sheets.content.inputs import SheetInputs, first_longer
from setupsheets.sheets.drawings.chart import charted, readings_chart
from setupsheets.sheets.drawings.cut import Labels, cut_drawing
from setupsheets.sheets.drawings.drawing import Drawing
from setupsheets.sheets.drawings.joint_drawing import joint_drawing
from setupsheets.sheets.drawings.scenes import scene_of
from setupsheets.sheets.drawings.stops_drawing import stops_drawing
from setupsheets.shop.machines import SettingName
from setupsheets.shop.recipes import Makes, Surface, Work
from setupsheets.wording.answers import answer_lines
from setupsheets.wording.figures import missed_words, tolerance
from setupsheets.wording.lists import one_line, runs_of
from setupsheets.wording.machines import cutter_word, feed
from setupsheets.wording.operations import (
    NEAREST,
    SEE_DRY_FIT,
    SURFACES,
    cope_lines,
    down_and_against,
    figure_words,
    first_blank_words,
    fitted_words,
    jig_words,
    last_words,
    make_up_words,
    passes_words,
    setting_title,
    speed_words,
    stop_lines,
    support_lines,
    test_piece_words,
    undrawn_words,
)
from setupsheets.wording.places import lengths_words, parts_words, plunge_words, where_words
from setupsheets.wording.set_ups import reason_words
from setupsheets.wording.setting_up import reach_words, stack_line, stop_title

_ACROSS: Mapping[Surface, Surface] = {
    Surface.FACE: Surface.BACK,
    Surface.BACK: Surface.FACE,
    Surface.SIGHT_EDGE: Surface.OUTER_EDGE,
    Surface.OUTER_EDGE: Surface.SIGHT_EDGE,
}
"""The surface across from each; an end has none that is shown."""


def operation_block(
    group: Sequence[OperationFindings], inputs: SheetInputs, stop_line: str
) -> OperationBlock:
    """The block of one operation, or of several that share one."""
    first, notation = group[0], inputs.notation
    operation, set_up = first.task.operation, first.task.set_up
    tasks = [found.task for found in group]
    state, ends = inputs.records.state(set_up), set_up.ends_with(operation)
    drawing, legend = _drawing(first, inputs)
    fits = set_up.recipe.makes is Makes.FIT
    cope = cope_lines(first.cope, notation) if first.cope else ()
    return OperationBlock(
        number=runs_of(task.number for task in tasks),
        title=operation.title,
        facts=tuple(_facts(group, inputs)),
        drawing=drawing,
        drawing_note=legend,
        settings=tuple(row for found in group for row in _setting_rows(found, inputs, group)),
        measures=() if fits else tuple(_measures(tasks, notation)),
        log_line="" if fits else _log_line(tasks, inputs.plan.job.name),
        findings=answer_lines(state.answer, notation) if state.answer and ends else (),
        chart=_chart(first.task, inputs) if ends else None,
        jigs=tuple(Fact(jig.name, jig_words(jig, notation)) for jig in operation.jigs),
        reach=_each_once(reach_words(each, notation) for found in group for each in found.short),
        support=_each_once(line for found in group for line in support_lines(found, notation)),
        centres=_each_once(
            plunge_words(each, notation) for found in group for each in found.plunges
        ),
        stops=stop_lines(first.stops, notation) if first.stops else (),
        plans=tuple(_plans(first, notation)),
        joint=_joint(first, cope[0]) if cope else None,
        fits=cope,
        notes=tuple(_notes(first.task, fits, inputs)),
        cautions=operation_cautions(operation, set_up, inputs.plan.job, inputs.cautions),
        last=last_words(state.last, operation, notation) if state.last else "",
        stop_line=stop_line,
    )


def _facts(group: Sequence[OperationFindings], inputs: SheetInputs) -> Iterator[Fact]:
    """What to know before the machine is touched, in the order in which it is needed."""
    found, notation = group[0], inputs.notation
    operation, set_up = found.task.operation, found.task.set_up
    down, against = down_and_against(operation, notation)
    dialled = {item.cause: inputs.records.to_dial(set_up, item) for item in operation.settings}
    facts = (
        ("Cutter", operation.cutter.title if operation.cutter else ""),
        ("Stack", make_up_words(found, notation)),
        ("Parts", parts_words(found.task.counts, found.where) if len(group) == 1 else ""),
        ("Lengths", lengths_words((each for item in group for each in item.where), notation)),
        ("Down", down),
        ("Against", against),
        ("Do", where_words(found.where, operation.asks.work)),
        ("Feed", feed(operation)),
        ("Passes", passes_words(found, dialled, notation)),
        ("Speed", speed_words(found, notation)),
        ("Test piece", test_piece_words(found, notation)),
    )
    return (Fact(label, words) for label, words in facts if words)


def _setting_rows(
    found: OperationFindings, inputs: SheetInputs, group: Sequence[OperationFindings]
) -> Iterator[SettingRow]:
    task, notation, shared = found.task, inputs.notation, len(group) > 1
    for setting in task.operation.settings:
        blocks = found.blocks.get(setting.name)
        figure = inputs.records.to_dial(task.set_up, setting)
        yield SettingRow(
            number=str(task.number) if shared else "",
            parts=parts_words(task.counts, found.where) if shared else "",
            title=setting_title(task.operation, setting),
            aim=notation.show(setting.aim),
            history=_history(task, setting, inputs),
            set_to=figure_words(setting, figure, notation),
            finest=notation.small(setting.dial.finest),
            more=setting.dial.more,
            blocks=stack_line(blocks, notation) if blocks else "",
        )


def _history(task: Task, setting: Setting, inputs: SheetInputs) -> str:
    """Where the figure to dial comes from. Where nothing is known of the dial it is the aim, or the
    nearest to it, and the cover tells once that nothing is known."""
    state, known = inputs.records.state(task.set_up), inputs.records.of(task.set_up, setting)
    told = known or state.settings.get(setting.cause)
    if told is not None and told.reason.kind is not ReasonKind.AIM:
        return reason_words(told, inputs.notation)
    return NEAREST if inputs.records.to_dial(task.set_up, setting) != setting.aim else ""


def _notes(task: Task, fits: bool, inputs: SheetInputs) -> Iterator[str]:
    """What the recipe says, how long first blanks are left, and where a dry fit's readings have
    their boxes."""
    longer, makes = first_longer(inputs.records.states), task.set_up.recipe.makes
    if longer and makes is Makes.BLANK and task.operation.setting(SettingName.STOP):
        yield first_blank_words(longer, inputs.notation)
    if task.operation.asks.notes:
        yield one_line(task.operation.asks.notes)
    if task.undrawn:
        yield undrawn_words(task)
    if task.operation.asks.work is Work.END and task.set_up.measured_after(task.operation):
        yield from fitted_words(task.counts, inputs.plan.job.as_made, inputs.notation)
    if fits and task.set_up.measured_after(task.operation):
        yield SEE_DRY_FIT


def _measures(tasks: Sequence[Task], notation: Notation) -> Iterator[MeasureRow]:
    """What to measure; how is told once in a block."""
    for task in tasks:
        for item in task.set_up.measured_after(task.operation):
            which = f"{task.number}: " if len(tasks) > 1 else ""
            missed = missed_words(item.missed)
            how = one_line(f"{item.instrument.capitalize()}. {item.how} {missed}")
            yield MeasureRow(
                title=f"{which}{item.title}",
                how=how if task is tasks[0] else "",
                target=notation.show(item.target_on(task.set_up.longer)),
                tolerance=tolerance(item.under, item.over, notation),
            )


def _log_line(tasks: Sequence[Task], job: str) -> str:
    """The command that keeps the readings, where there are any."""
    measured = [task.set_up for task in tasks if task.set_up.measured_after(task.operation)]
    if not measured:
        return ""
    name = measured[0].name if len(measured) == 1 else measured[0].recipe.name
    return f"setupsheets log {job} {name}"


def _chart(task: Task, inputs: SheetInputs) -> Drawing | None:
    """The readings of this job so far, where there are any."""
    shown = charted(task.set_up.measurements, inputs.records.state(task.set_up).readings)
    name = f"readings-{task.number:02}"
    return readings_chart(name, "Readings so far", shown, inputs.notation) if shown else None


def _drawing(found: OperationFindings, inputs: SheetInputs) -> tuple[Drawing | None, str]:
    """The cut with its settings, and the line below it."""
    task, operation = found.task, found.task.operation
    subject, asks = task.set_up.subject, operation.asks
    if task.stage is None:
        return None, ""
    to_set = {each.cause: inputs.records.to_dial(task.set_up, each) for each in operation.settings}
    scene = scene_of(task.stage, subject, inputs.notation, found.supports, to_set)
    if scene is None:
        return None, ""
    moulded = sight_edges(subject)
    labels = Labels(
        down=_surface(asks.down),
        top=_opposite(asks.down, moulded),
        against=_surface(asks.against),
        free=_opposite(asks.against, moulded),
        rest="stop" if operation.setting(SettingName.STOP) is not None else "fence",
        cutter=cutter_word(operation),
    )
    name = f"operation-{task.number:02}"
    return cut_drawing(name, f"Operation {task.number}: {operation.title}", scene, labels)


def _surface(surface: Surface | None) -> str:
    return SURFACES[surface] if surface else ""


def _opposite(surface: Surface | None, moulded: int) -> str:
    """The surface across from one; a bar has two sight edges."""
    if surface is Surface.SIGHT_EDGE and moulded > 1:
        return SURFACES[surface]
    return _surface(_ACROSS.get(surface)) if surface else ""


def _plans(found: OperationFindings, notation: Notation) -> Iterator[Drawing]:
    """A stopped cut in plan, once for each way it is fed; its ramp is drawn in the first."""
    number, stops = found.task.number, found.stops
    for count, each in enumerate(stops.cuts if stops else (), 1):
        if each.marks.lower_on is not None or each.marks.lift_off is not None:
            yield stops_drawing(
                f"stops-{number:02}-{count}",
                f"Operation {number}: tape marks, {stop_title(each)}",
                each,
                stops.ramp if stops and count == 1 else (),
                notation,
            )


def _joint(found: OperationFindings, words: str) -> Drawing | None:
    """The end on its mate as it is set."""
    number = found.task.number
    title = f"Operation {number}: the end on its mate"
    assert found.cope is not None
    return joint_drawing(f"joint-{number:02}", title, found.cope.as_set, f"{words}.")


def _each_once(lines: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(lines))
