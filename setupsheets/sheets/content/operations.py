"""One operation as it stands on its machine's sheet: facts, drawing, settings, measuring, cautions.

Plain work on blanks that differs only in its figures (the stops for five lengths, the fences for
three widths) shares one block, a row to each figure.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from setupsheets.lengths import Notation
from setupsheets.machining.cutting.shapes import sight_edges
from setupsheets.machining.operations import Operation, Setting
from setupsheets.machining.tasks import Task
from setupsheets.records.current import LastTime, SetUpState
from setupsheets.sheets.content.cautions import operation_cautions
from setupsheets.sheets.content.findings import Findings
from setupsheets.sheets.content.finished import Fact, MeasureRow, OperationBlock, SettingRow
from setupsheets.sheets.drawings.chart import charted, readings_chart
from setupsheets.sheets.drawings.cut import Labels, cut_drawing
from setupsheets.sheets.drawings.drawing import Drawing
from setupsheets.sheets.drawings.scenes import scene_of
from setupsheets.shop.cautions import Caution
from setupsheets.shop.jobs import Job
from setupsheets.shop.machines import SettingName
from setupsheets.shop.recipes import Makes, Surface
from setupsheets.wording.answers import answer_lines
from setupsheets.wording.figures import tolerance
from setupsheets.wording.lists import counted, runs_of
from setupsheets.wording.machines import cutter_word, feed
from setupsheets.wording.operations import (
    SURFACES,
    both_ways,
    down_and_against,
    figure_to_set,
    says_more,
    setting_title,
)
from setupsheets.wording.set_ups import reason_words


@dataclass(frozen=True)
class SheetInputs:
    """All that the blocks of one job are made from."""

    job: Job
    notation: Notation
    standings: Mapping[str, SetUpState]
    cautions: Sequence[Caution]
    findings: Findings


def operation_block(tasks: Sequence[Task], bench: SheetInputs, stop_line: str) -> OperationBlock:
    """The block of one operation, or of several that share one."""
    first = tasks[0]
    operation, set_up = first.operation, first.set_up
    drawing, legend = _drawing(first, bench)
    chart = _chart(first, bench) if _closes(first) else None
    standing = bench.standings.get(set_up.name)
    stopped = bench.findings.stops.get(operation.number)
    fit = bench.findings.fits.get(operation.number)
    fits = set_up.recipe.makes is Makes.FIT
    return OperationBlock(
        number=runs_of(task.operation.number for task in tasks),
        title=operation.title,
        facts=tuple(_facts(tasks, bench)),
        drawing=drawing,
        drawing_note=legend,
        settings=tuple(row for task in tasks for row in _setting_rows(task, bench, tasks)),
        measures=() if fits else tuple(_measures(tasks, bench)),
        log_line="" if fits else _log_line(tasks, bench.job),
        findings=answer_lines(standing.answer, bench.notation)
        if standing and standing.answer and _closes(first)
        else (),
        chart=chart,
        jigs=tuple(_jigs(operation, bench.notation)),
        reach=_lines(tasks, bench.findings.reach),
        support=_lines(tasks, bench.findings.support),
        centres=_lines(tasks, bench.findings.centres),
        stops=stopped.words if stopped else (),
        plans=stopped.drawings if stopped else (),
        joint=fit.drawing if fit else None,
        fits=fit.words if fit else (),
        notes=tuple(_notes(first, fits)),
        cautions=operation_cautions(operation, set_up, bench.job, bench.cautions),
        last=_last(standing.last, operation, bench.notation) if standing and standing.last else "",
        stop_line=stop_line,
    )


def _facts(tasks: Sequence[Task], bench: SheetInputs) -> Iterator[Fact]:
    """What to know before the machine is touched, in the order in which it is needed."""
    operation = tasks[0].operation
    down, against = down_and_against(operation)
    if operation.cutter:
        yield Fact("Cutter", operation.cutter.title)
    if stack := bench.findings.stacks.get(operation.number):
        yield Fact("Stack", stack)
    if len(tasks) == 1:
        yield Fact("Parts", counted(tasks[0].set_up.counts))
    if down:
        yield Fact("Down", down)
    if against:
        yield Fact("Against", against)
    if both := both_ways(operation):
        only = bench.findings.only.get(tasks[0].set_up.name, "")
        yield Fact("Do", f"{both}; {only}" if only else both)
    if way := feed(operation):
        yield Fact("Feed", way)
    if passes := bench.findings.passes.get(operation.number):
        yield Fact("Passes", passes)
    elif operation.passes > 1:
        yield Fact("Passes", str(operation.passes))
    if speed := bench.findings.speeds.get(operation.number):
        yield Fact("Speed", speed)
    elif operation.cutter and operation.cutter.greatest_speed:
        yield Fact("Speed", f"never over {operation.cutter.greatest_speed} rpm, the cutter's limit")


def _setting_rows(task: Task, bench: SheetInputs, shared: Sequence[Task]) -> Iterator[SettingRow]:
    standing = bench.standings.get(task.set_up.name)
    for setting in task.operation.settings:
        known = standing.settings.get(setting.cause) if standing else None
        yield SettingRow(
            number=str(task.operation.number) if len(shared) > 1 else "",
            parts=counted(task.set_up.counts) if len(shared) > 1 else "",
            title=setting_title(task.operation, setting),
            aim=bench.notation.show(setting.aim),
            history=_history(setting, standing, bench.notation),
            set_to=bench.notation.dialled(figure_to_set(setting, known), setting.dial.finest),
            finest=bench.notation.small(setting.dial.finest),
            more=setting.dial.more,
            blocks=bench.findings.blocks.get((task.operation.number, setting.name), ""),
        )


def _history(setting: Setting, standing: SetUpState | None, notation: Notation) -> str:
    """Where the figure to dial comes from. Where nothing is known of the dial it is the aim, or the
    nearest to it, and the cover tells once that nothing is known."""
    known = standing.settings.get(setting.cause) if standing else None
    if known is None or standing is None or not says_more(setting, known):
        if figure_to_set(setting, known) != setting.aim:
            return "the nearest that it can be moved to"
        return reason_words(known, notation) if known and standing and standing.verdict else ""
    return reason_words(known, notation)


def _notes(task: Task, fits: bool) -> Iterator[str]:
    """What the recipe says, and where a dry fit's readings have their boxes."""
    if task.operation.asks.notes:
        yield _flat(task.operation.asks.notes)
    if task.undrawn:
        yield f"No drawing: {task.undrawn}."
    if fits and any(item.after == task.operation.name for item in task.set_up.measurements):
        yield "What to read, and the boxes for it: the sheet Dry fit."


def _measures(tasks: Sequence[Task], bench: SheetInputs) -> Iterator[MeasureRow]:
    return (row for task in tasks for row in _measure_rows(task, bench, tasks))


def _measure_rows(task: Task, bench: SheetInputs, shared: Sequence[Task]) -> Iterator[MeasureRow]:
    for item in task.set_up.measurements:
        if item.after == task.operation.name:
            which = f"{task.operation.number}: " if len(shared) > 1 else ""
            told = task is shared[0]
            yield MeasureRow(
                title=f"{which}{item.title}",
                how=_flat(f"{item.instrument.capitalize()}. {item.how}") if told else "",
                target=bench.notation.show(item.target),
                tolerance=tolerance(item.under, item.over, bench.notation),
            )


def _log_line(tasks: Sequence[Task], job: Job) -> str:
    """The command that keeps the readings, where there are any."""
    measured = [
        task
        for task in tasks
        if any(item.after == task.operation.name for item in task.set_up.measurements)
    ]
    if len(measured) == 1:
        return f"setupsheets log {job.name} {measured[0].set_up.name}"
    return f"setupsheets log {job.name} {measured[0].set_up.recipe.name}" if measured else ""


def _closes(task: Task) -> bool:
    """Whether this operation is the last of its set-up after which something is measured."""
    measured = {item.after for item in task.set_up.measurements}
    names = [item.name for item in task.set_up.operations if item.name in measured]
    return bool(names) and names[-1] == task.operation.name


def _chart(task: Task, bench: SheetInputs) -> Drawing | None:
    """The readings of this job so far, where there are any."""
    standing = bench.standings.get(task.set_up.name)
    if standing is None or not standing.readings:
        return None
    shown = charted(task.set_up.measurements, standing.readings)
    name = f"readings-{task.operation.number:02}"
    return readings_chart(name, "Readings so far", shown, bench.notation) if shown else None


def _drawing(task: Task, bench: SheetInputs) -> tuple[Drawing | None, str]:
    operation = task.operation
    stands = bench.findings.stands.get(operation.number, ())
    subject = task.set_up.subject
    scene = scene_of(task.stage, subject, bench.notation, stands) if task.stage else None
    if scene is None:
        return None, ""
    stopped = operation.setting(SettingName.STOP) is not None
    moulded = sight_edges(subject)
    labels = Labels(
        down=_surface(operation.asks.down),
        top=_opposite(operation.asks.down, moulded),
        against=_surface(operation.asks.against),
        free=_opposite(operation.asks.against, moulded),
        rest="stop" if stopped else "fence",
        cutter=cutter_word(operation),
    )
    name = f"operation-{operation.number:02}"
    return cut_drawing(name, f"Operation {operation.number}: {operation.title}", scene, labels)


def _surface(surface: Surface | None) -> str:
    return SURFACES[surface] if surface else ""


def _opposite(surface: Surface | None, moulded: int) -> str:
    """The surface across from one; a bar has two sight edges, and an end none that is shown."""
    if surface is Surface.SIGHT_EDGE and moulded > 1:
        return SURFACES[surface]
    across = {
        Surface.FACE: Surface.BACK,
        Surface.BACK: Surface.FACE,
        Surface.SIGHT_EDGE: Surface.OUTER_EDGE,
        Surface.OUTER_EDGE: Surface.SIGHT_EDGE,
    }
    return _surface(across.get(surface)) if surface else ""


def _jigs(operation: Operation, notation: Notation) -> Iterator[Fact]:
    for jig in operation.jigs:
        sizes = ", ".join(
            f"{name.replace('_', ' ')} {notation.show(size)}" for name, size in jig.sizes.items()
        )
        yield Fact(jig.name, _flat(f"{jig.use}: {sizes}" if sizes else jig.use))


def _last(last: LastTime, operation: Operation, notation: Notation) -> str:
    """When it was last set up, what was dialled then, and where that test piece is kept."""
    dialled = [
        f"{setting.name} {notation.show(last.dialled[setting.cause])}"
        for setting in operation.settings
        if setting.cause in last.dialled
    ]
    parts = [f"{last.date.isoformat()} for {last.job}", *dialled, last.verdict]
    kept = f"; test piece kept: {last.kept}" if last.kept else ""
    return f"{', '.join(part for part in parts if part)}{kept} (record {last.record})"


def _lines(tasks: Sequence[Task], found: Mapping[int, tuple[str, ...]]) -> tuple[str, ...]:
    lines = [line for task in tasks for line in found.get(task.operation.number, ())]
    return tuple(dict.fromkeys(lines))


def _flat(words: str) -> str:
    """Words in one line."""
    return " ".join(words.split())
