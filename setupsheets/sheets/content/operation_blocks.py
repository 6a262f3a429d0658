"""A block of a machine's sheet: facts, drawing, settings, measuring, cautions.

Operations that differ only in their figures share one block, a row to each.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

from msgspec.structs import replace

from setupsheets.lengths import Notation
from setupsheets.machining.cutting.shapes import sight_edges
from setupsheets.machining.findings import OperationFindings
from setupsheets.machining.operations import Setting
from setupsheets.machining.tasks import Task
from setupsheets.records.current import ReasonKind
from setupsheets.sheets.content.cautions_due import operation_cautions
from setupsheets.sheets.content.finished import (
    PARTS,
    TEST_PIECE,
    CautionLine,
    DrawnCut,
    Fact,
    MeasureRow,
    OperationBlock,
    OperationRow,
    SettingRow,
)
from setupsheets.sheets.content.inputs import SheetInputs, first_longer
from setupsheets.sheets.content.sharing import held_by, parted
from setupsheets.sheets.content.where_to_measure import Letters, letters_of, where_to_measure
from setupsheets.sheets.drawings.chart import charted, readings_chart
from setupsheets.sheets.drawings.cut import cut_drawing
from setupsheets.sheets.drawings.drawing import Drawing
from setupsheets.sheets.drawings.joint_drawing import joint_drawing
from setupsheets.sheets.drawings.scene_paper import Labels
from setupsheets.sheets.drawings.scenes import scene_of
from setupsheets.sheets.drawings.stops_drawing import ramp_drawing, stops_drawing
from setupsheets.shop.machines import SettingName
from setupsheets.shop.recipes import Makes, Surface
from setupsheets.wording.answers import answer_lines
from setupsheets.wording.doors import leaves_in_words
from setupsheets.wording.figures import limits_words, own_unit_first, tolerance
from setupsheets.wording.lists import numbers, runs_of
from setupsheets.wording.machines import cutter_word, feed
from setupsheets.wording.made_sizes import fitted_lines, mate_lines
from setupsheets.wording.operations import (
    NEAREST,
    SEE_DRY_FIT,
    SURFACES,
    cope_words,
    down_and_against,
    drawn_words,
    figure_words,
    first_blank_words,
    jig_words,
    last_words,
    log_words,
    make_up_words,
    only_for,
    passes_words,
    setting_title,
    steady_lines,
    stop_lines,
    support_lines,
    test_ends_words,
    test_piece_words,
    undrawn_words,
)
from setupsheets.wording.places import lengths_words, parts_words, plunge_words, where_words
from setupsheets.wording.route import cutter_words, left_words
from setupsheets.wording.set_ups import reason_words
from setupsheets.wording.setting_up import measured_words, reach_words, stop_title

CUTTER = "Cutter"
FOUND = ("found 1", "found 2", "found 3")

_ACROSS: Mapping[Surface, Surface] = {
    Surface.FACE: Surface.BACK,
    Surface.BACK: Surface.FACE,
    Surface.SIGHT_EDGE: Surface.OUTER_EDGE,
    Surface.OUTER_EDGE: Surface.SIGHT_EDGE,
    Surface.EDGE: Surface.EDGE,
}
"""The surface across from each; an end has none that is shown."""


def operation_block(
    group: Sequence[OperationFindings], inputs: SheetInputs, leaving: Sequence[Fact]
) -> OperationBlock:
    """The block of one operation, or of several that share one."""
    first, notation = group[0], inputs.notation
    fits = first.task.set_up.recipe.makes is Makes.FIT
    whole = first.task.set_up.recipe.makes.on_leaf
    letters = {} if whole else letters_of(group)
    where = tuple(where_to_measure(group, letters))
    facts, own = parted({found.task.number: tuple(_facts(found, inputs)) for found in group})
    copes = [(found, cope_words(found.cope, notation)) for found in group if found.cope]

    def told(lines: Callable[[OperationFindings], Iterable[str]]) -> tuple[str, ...]:
        held = held_by({found.task.number: lines(found) for found in group})
        return tuple(only_for(each, held_for, len(group)) for each, held_for in held.items())

    return OperationBlock(
        number=runs_of(found.task.number for found in group),
        title=first.task.operation.title,
        facts=tuple(
            _with_cutter(fact, group, inputs)
            for fact in facts
            if fact.label != PARTS or len(group) == 1
        ),
        cuts=tuple(_cuts(group, inputs, after=not where)),
        where=where,
        rows=tuple(
            OperationRow(
                number=str(found.task.number),
                set_up=found.task.set_up.name,
                parts=parts_words(found.task.counts, found.where, inputs.notation),
                facts=tuple(fact for fact in own[found.task.number] if fact.label != PARTS),
                settings=tuple(_setting_rows(found, inputs)),
                measures=() if fits else tuple(_measures(found.task, letters, notation)),
            )
            for found in group
        ),
        log_line="" if whole else _log_line(group, inputs.plan.job.name),
        measured_on=leaves_in_words(inputs.plan.job.count) if whole else TEST_PIECE,
        boxes=_boxes(inputs.plan.job.count) if whole else (*FOUND, "moved"),
        findings=tuple(_findings(group, inputs)),
        charts=tuple(chart for found in group for chart in _chart(found.task, inputs)),
        jigs=tuple(_jigs(group, notation)),
        reach=told(lambda found: (reach_words(each, notation) for each in found.short)),
        support=(
            *told(lambda found: support_lines(found, notation)),
            *steady_lines(group, notation),
        ),
        centres=told(lambda found: plunge_words(found.plunges, notation)),
        stops=told(lambda found: stop_lines(found.stops, notation) if found.stops else ()),
        plans=tuple(drawing for found in group for drawing in _plans(found, notation)),
        joints=tuple(_joints(copes)),
        fits=told(lambda found: (cope_words(found.cope, notation),) if found.cope else ()),
        notes=told(lambda found: _notes(found.task, fits, inputs)),
        cautions=tuple(_cautions(group, inputs)),
        last=told(lambda found: _last(found.task, inputs)),
        stop_lines=tuple(leaving),
        codes=tuple(_codes(group, inputs)),
    )


def _codes(group: Sequence[OperationFindings], inputs: SheetInputs) -> Iterator[DrawnCut]:
    """A code for each set-up of a block, with the numbers of its operations there; none where
    nothing is set and nothing read."""
    tasks = [found.task for found in group]
    dialled = any(each.operation.settings or each.set_up.measurements for each in tasks)
    held = held_by({each.number: (each.set_up.name,) for each in tasks}) if dialled else {}
    for name, its in held.items():
        if address := inputs.addresses.get(name):
            from setupsheets.sheets.drawings.phone_code import phone_code  # noqa: PLC0415

            title = f"{numbers(its).capitalize()} on a phone"
            yield DrawnCut(phone_code(f"code-{its[0]:02}", title, address), f"No. {runs_of(its)}")


def _boxes(leaves: int) -> tuple[str, ...]:
    """What stands over the boxes for readings of leaves that are made alike, up to three."""
    every = (f"leaf {number}" for number in range(1, min(leaves, len(FOUND)) + 1))
    return (*(every if leaves > 1 else ("found",)), "put right")


def _facts(found: OperationFindings, inputs: SheetInputs) -> Iterator[Fact]:
    """What to know before the machine is touched, in the order in which it is needed."""
    notation = inputs.notation
    operation, set_up = found.task.operation, found.task.set_up
    down, against = down_and_against(operation, notation)
    dialled = {item.cause: inputs.records.to_dial(set_up, item) for item in operation.settings}
    facts = (
        (CUTTER, operation.cutter.title if operation.cutter else ""),
        ("Stack", make_up_words(found, notation)),
        (PARTS, parts_words(found.task.counts, found.where, notation)),
        ("Lengths", lengths_words(found.where)),
        ("Down", down),
        ("Against", against),
        ("Do", where_words(found.where, operation.asks.work, operation.makes)),
        ("Feed", feed(operation)),
        ("Passes", passes_words(found, dialled, notation)),
        ("Test piece", test_piece_words(found, notation)),
        ("Ends", test_ends_words(found)),
    )
    return (Fact(label, words) for label, words in facts if words)


def _with_cutter(fact: Fact, group: Sequence[OperationFindings], inputs: SheetInputs) -> Fact:
    """A fact; that of the cutter with when it is put in."""
    if fact.label != CUTTER:
        return fact
    since = {each.task.number: inputs.standing[each.task.number].cutter for each in group}
    return replace(fact, words=cutter_words(fact.words, since))


def _findings(group: Sequence[OperationFindings], inputs: SheetInputs) -> Iterator[str]:
    """What the readings of each set-up say so far, with its last measuring."""
    for task in (found.task for found in group):
        answer = inputs.records.state(task.set_up).answer
        if answer and task.set_up.ends_with(task.operation):
            if len(group) > 1:
                yield f"{numbers([task.number]).capitalize()}:"
            yield from answer_lines(answer, inputs.notation)


def _jigs(group: Sequence[OperationFindings], notation: Notation) -> Iterator[Fact]:
    """Every jig once, with the operations that need it where not all of them do."""
    told = {
        found.task.number: [
            Fact(jig.name, jig_words(jig, notation)) for jig in found.task.operation.jigs
        ]
        for found in group
    }
    for jig, needed in held_by(told).items():
        yield Fact(jig.label, only_for(jig.words, needed, len(group)))


def _cautions(group: Sequence[OperationFindings], inputs: SheetInputs) -> Iterator[CautionLine]:
    job, unit = inputs.plan.job, inputs.notation.unit
    told = {
        each.number: operation_cautions(each.operation, each.set_up, job, inputs.cautions, unit)
        for each in (found.task for found in group)
    }
    for line, due in held_by(told).items():
        yield replace(line, of="" if len(due) == len(group) else numbers(due).capitalize())


def _last(task: Task, inputs: SheetInputs) -> tuple[str, ...]:
    last = inputs.records.state(task.set_up).last
    return (last_words(last, task.operation, inputs.notation),) if last else ()


def _setting_rows(found: OperationFindings, inputs: SheetInputs) -> Iterator[SettingRow]:
    task, notation = found.task, inputs.notation
    left = inputs.standing[task.number].settings
    for setting in task.operation.settings:
        blocks = found.blocks.get(setting.name)
        figure = inputs.records.to_dial(task.set_up, setting)
        yield SettingRow(
            title=setting_title(task.operation, setting),
            aim=notation.show(setting.aim),
            history=_history(task, setting, inputs),
            set_to=figure_words(setting, figure, notation),
            finest=notation.small(setting.dial.finest),
            more=setting.dial.more,
            blocks=measured_words(blocks, setting.dial.set_by, notation) if blocks else "",
            left=left_words(left[setting.name]) if setting.name in left else "",
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
    parts = (inputs.plan.joinery.part(name) for name in task.counts) if makes is Makes.BLANK else ()
    alone = any(part.ends and part.long is None for part in parts)
    if longer and alone and task.operation.setting(SettingName.STOP):
        yield first_blank_words(longer, inputs.notation)
    if task.operation.asks.notes:
        yield own_unit_first(task.operation.asks.notes, inputs.notation.unit)
    if task.undrawn:
        yield undrawn_words(task)
    if task.operation.name in task.set_up.fitted_at:
        yield from fitted_lines(task.set_up.subject.fitted_to, inputs.notation)
    if task.set_up.ends_with(task.operation):
        mates = inputs.records.state(task.set_up).mates
        yield from mate_lines(mates, task.counts, inputs.notation, unread=False)
    if fits and task.set_up.measured_after(task.operation):
        yield SEE_DRY_FIT


def _measures(task: Task, letters: Letters, notation: Notation) -> Iterator[MeasureRow]:
    """What to measure; a leaf to a mark."""
    write = notation.mark if task.set_up.recipe.makes.on_leaf else notation.show
    for item in task.set_up.measured_after(task.operation):
        letter = letters.get(item.title)
        how = f"{item.instrument.capitalize()}. {item.how} {limits_words(item)}"
        yield MeasureRow(
            title=f"{letter}: {item.title}" if letter else item.title,
            how=own_unit_first(how, notation.unit),
            target=write(item.target_on(task.set_up.longer)),
            tolerance=tolerance(item.under, item.over, notation),
        )


def _log_line(group: Sequence[OperationFindings], job: str) -> str:
    """The command that keeps the readings, where there are any; set-ups that begin alike are told
    by what they end with."""
    tasks = [found.task for found in group]
    measured = [task for task in tasks if task.set_up.measured_after(task.operation)]
    held = held_by({task.number: (task.set_up.name,) for task in measured})
    return log_words(job, held) if held else ""


def _chart(task: Task, inputs: SheetInputs) -> Iterator[Drawing]:
    """The readings of this job so far, where there are any, with the last measuring."""
    if task.set_up.ends_with(task.operation):
        shown = charted(task.set_up.measurements, inputs.records.state(task.set_up).readings)
        name = f"readings-{task.number:02}"
        if shown:
            yield readings_chart(name, "Readings so far", shown, inputs.notation, across=3)


def _cuts(
    group: Sequence[OperationFindings], inputs: SheetInputs, after: bool
) -> Iterator[DrawnCut]:
    """The cut as it is made on the first part; it names alone what is set row by row. What it
    leaves is drawn ``after`` it, unless that is drawn with what to measure."""
    tasks = [found.task for found in group]
    dialled = [
        [inputs.records.to_dial(task.set_up, each) for each in task.operation.settings]
        for task in tasks
    ]
    names = [each.name for each in group[0].task.operation.settings]
    by_row = frozenset(
        name for name, found in zip(names, zip(*dialled, strict=True), strict=True)
        if len(set(found)) > 1
    )  # fmt: skip
    cut = _drawing(group[0], by_row, inputs, after)
    if cut is not None:
        note = drawn_words(tasks[0].number, by_row) if len(group) > 1 else ""
        yield replace(cut, note=f"{cut.note} {note}".strip())


def _drawing(
    found: OperationFindings, by_row: frozenset[SettingName], inputs: SheetInputs, after: bool
) -> DrawnCut | None:
    """The cut with its settings, and the line below it; what is set ``by_row`` is named alone."""
    task, operation = found.task, found.task.operation
    subject, asks = task.set_up.subject, operation.asks
    if task.stage is None:
        return None
    to_set = {each.cause: inputs.records.to_dial(task.set_up, each) for each in operation.settings}
    scene = scene_of(task.stage, subject, inputs.notation, found.supports, to_set)
    if scene is None:
        return None
    marks = (
        replace(mark, name="", words=mark.name, light="") if mark.name in by_row else mark
        for mark in scene.marks
    )
    moulded = sight_edges(subject)
    labels = Labels(
        down=_surface(asks.down),
        top=_opposite(asks.down, moulded),
        against=_surface(asks.against),
        free=_opposite(asks.against, moulded),
        rest="stop" if operation.setting(SettingName.STOP) is not None else "fence",
        cutter=cutter_word(operation),
    )
    title = f"Operation {task.number}: {operation.title}"
    scene = replace(scene, marks=tuple(marks))
    return DrawnCut(*cut_drawing(f"operation-{task.number:02}", title, scene, labels, after))


def _surface(surface: Surface | None) -> str:
    return SURFACES[surface] if surface else ""


def _opposite(surface: Surface | None, moulded: int) -> str:
    """The surface across from one; a bar has two sight edges."""
    if surface is Surface.SIGHT_EDGE and moulded > 1:
        return SURFACES[surface]
    return _surface(_ACROSS.get(surface)) if surface else ""


def _plans(found: OperationFindings, notation: Notation) -> Iterator[Drawing]:
    """A stopped cut in plan, once for each way it is fed, and the ramp that it leaves."""
    number, stops = found.task.number, found.stops
    for count, each in enumerate(stops.cuts if stops else (), 1):
        if each.marks.lower_on is not None or each.marks.lift_off is not None:
            title = f"Operation {number}: tape marks, {stop_title(each)}"
            yield stops_drawing(f"stops-{number:02}-{count}", title, each, notation)
    if stops and stops.ramp and stops.cuts and (long := stops.cuts[0].marks.ramp) > 0:
        title = f"Operation {number}: the ramp at a stopped end"
        yield ramp_drawing(f"ramp-{number:02}", title, stops.ramp, long, notation)


def _joints(copes: Sequence[tuple[OperationFindings, str]]) -> Iterator[Drawing]:
    """The end on its mate as it is set where it does not close, once for all that are alike."""
    drawn: set[str] = set()
    for found, words in copes:
        if words not in drawn and found.cope is not None and not found.cope.as_set.closes:
            number = found.task.number
            title = f"Operation {number}: the end on its mate"
            yield joint_drawing(f"joint-{number:02}", title, found.cope.as_set, f"{words}.")
            drawn.add(words)
