"""An operation in words: how the part lies, what is set, and all that is found out about it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from math import ceil

from setupsheets.lengths import Length, Notation, Unit
from setupsheets.machining.findings import CopeFit, OperationFindings, StoppedCuts
from setupsheets.machining.operations import FittedJig, Operation, Setting
from setupsheets.machining.setting.passes import across
from setupsheets.machining.support.wood_left import unbacked
from setupsheets.machining.tasks import Task
from setupsheets.records.record import Record
from setupsheets.shop.machines import ACROSS, SettingName
from setupsheets.shop.recipes import JigKind, MeasuredTo, Surface
from setupsheets.wording import setting_up
from setupsheets.wording.figures import own_unit_first
from setupsheets.wording.lists import listed, numbers, runs_of
from setupsheets.wording.machines import SIDES, cutter_word
from setupsheets.wording.proofs import closing_words, joint_words
from setupsheets.wording.support import steady_words, support_words

SURFACES: Mapping[Surface, str] = {
    Surface.FACE: "face",
    Surface.BACK: "back",
    Surface.SIGHT_EDGE: "sight edge",
    Surface.OUTER_EDGE: "outer edge",
    Surface.EDGE: "edge",
    Surface.END: "end",
}


NEAREST = "the nearest that it can be moved to"
"""Why a figure to set is not the aim, where nothing is on record."""
SEE_DRY_FIT = "What to read, and the boxes for it: the sheet Dry fit."


def figure_words(setting: Setting, figure: Length, notation: Notation) -> str:
    """The figure to set, as the dial shows it: on the sheet and in its drawing alike."""
    return notation.dialled(figure, setting.dial.finest)


def true_words(setting: Setting, figure: Length, notation: Notation) -> str:
    """`true 7/16 in`: the distance itself, where the figure to set is another; else empty."""
    true = notation.show(setting.aim)
    return f"true {true}" if true != figure_words(setting, figure, notation) else ""


def setting_title(operation: Operation, setting: Setting) -> str:
    """What a hand moves and which side of the cutter it is measured to."""
    # Behind a fence `far` is how far the cutter comes out of it, and the dial says so.
    out = operation.machine.kind.upright and setting.to is MeasuredTo.FAR
    if setting.name not in ACROSS or operation.cutter is None or out:
        return setting.dial.title
    side = SIDES[setting.to]
    spaced = ", spacer counted in" if setting.aim != operation.from_part(setting) else ""
    return f"{setting.dial.title}, to the {side} of the {cutter_word(operation)}{spaced}"


def down_and_against(operation: Operation, notation: Notation) -> tuple[str, str]:
    """Which surface is down and which is against the fence or stop; empty where none is told."""
    asks = operation.asks
    down = f"{SURFACES[asks.down].upper()} on the table" if asks.down else ""
    if asks.against is None:
        return down, ""
    stopped = operation.setting(SettingName.STOP) is not None
    rest = "the stop" if stopped and asks.against is Surface.END else "the fence"
    thick = f"the {notation.show(operation.spacer)} spacer, and that to "
    spacer = thick if operation.spacer else ""
    return down, f"{SURFACES[asks.against].upper()} to {spacer}{rest}"


def passes_words(
    found: OperationFindings, dialled: Mapping[str, Length], notation: Notation
) -> str:
    """How many passes; for a router's cutter also where its setting stands for each, in the dial's
    own moves, so that the last is the figure ``dialled`` for its cause. Empty for one pass."""
    operation, passes = found.task.operation, found.passes
    setting = operation.setting(passes.setting) if passes else None
    if passes is None or setting is None:
        more = across_words(operation, dialled, notation)
        return f"{operation.passes}{more}" if operation.passes > 1 or more else ""
    moved = dialled[setting.cause] - setting.aim
    figures = (notation.dialled(each + moved, setting.dial.finest) for each in passes.figures)
    *first, _ = figures
    steps = f"{len(passes.figures)}: {passes.setting} {', '.join(first)}, then as set"
    return steps + across_words(operation, dialled, notation)


def across_words(operation: Operation, dialled: Mapping[str, Length], notation: Notation) -> str:
    """Where the fence stands at each height, where the bit is narrower than what it clears."""
    fence, stands = operation.setting(SettingName.FENCE), across(operation)
    if fence is None or not stands:
        return ""
    moved = dialled[fence.cause] - fence.aim
    first = ", ".join(notation.dialled(each + moved, fence.dial.finest) for each in stands)
    return f"; at each height the fence first at {first}, then as set"


def speed_words(found: OperationFindings, notation: Notation) -> str:
    """The speed to set and its limit; empty where nothing turns or no speed is known."""
    if found.speed is not None:
        return setting_up.speed_words(found.speed, notation)
    cutter = found.task.operation.cutter
    if cutter is None or not cutter.greatest_speed:
        return ""
    return f"never over {cutter.greatest_speed} rpm, the cutter's limit"


def make_up_words(found: OperationFindings, notation: Notation) -> str:
    """What a dado stack is made up from, outside blades first; empty for other cutters."""
    cutter = found.task.operation.cutter
    if cutter is None or cutter.stack is None or cutter.kerf is None:
        return ""
    wide = notation.small(cutter.kerf)
    if found.make_up is None:
        return f"{wide} wide, which its chippers and shims do not make"
    return f"{wide} wide, from {setting_up.stack_words(found.make_up, notation)}"


def support_lines(found: OperationFindings, notation: Notation) -> Iterator[str]:
    """What to add where a part bears too little on table or fence, or where an edge that is made
    already would break out."""
    if found.moulded:
        yield (
            f"the edges of the {listed(found.moulded)} are moulded by now and would break out where"
            " the cutter leaves them: behind them a block cut to the reverse of the moulding and"
            " the rebate, in place of a flat one"
        )
    if unbacked(found.task.operation):
        yield (
            "nothing stands behind the part, and it breaks out where the cutter leaves it: a"
            " backing block there, as thick as the part"
        )
    for each in found.supports:
        if not each.steady or each.unguided:
            yield f"{'second edge: ' if each.edge else ''}{support_words(each, notation)}"


def steady_lines(group: Iterable[OperationFindings], notation: Notation) -> Iterator[str]:
    """The least that parts bear on table and fence in all runs of a block that stand steady."""
    if words := steady_words((each for found in group for each in found.supports), notation):
        yield words


def stop_lines(stops: StoppedCuts, notation: Notation) -> tuple[str, ...]:
    """Where to lower on and lift off, for every part and each way that it is fed."""
    if stops.fault:
        return (f"no tape marks: {stops.fault}",)
    return tuple(setting_up.stop_words(each, notation) for each in stops.cuts)


def cope_words(fit: CopeFit, notation: Notation) -> str:
    """How an end closes as it is set, and what one finest move of the cope's height does first."""
    step, show = notation.small(fit.step), notation.small
    low, high = (joint_words(each, show).partition(";")[0] for each in (fit.low, fit.high))
    closes = closing_words(fit.as_set, notation)
    return f"as set: {closes}; each {step} lower: {low}; each {step} higher: {high}"


def jig_words(jig: FittedJig, notation: Notation) -> str:
    """What a jig is for, and its sizes."""
    tall = jig.kind is JigKind.HEIGHTENS_FENCE
    sizes = ", ".join(
        f"{name.replace('_', ' ')} {_at_least(size, notation) if tall else notation.show(size)}"
        for name, size in jig.sizes.items()
    )
    return own_unit_first(f"{jig.use}: {sizes}" if sizes else jig.use, notation.unit)


def _at_least(size: Length, notation: Notation) -> str:
    """What need not be so by a mark: the next whole step above it."""
    step = Length("5 mm") if notation.unit is Unit.MM else Length("1/4 in")
    return f"{notation.show(ceil(size / step) * step)} or more"


def test_piece_words(found: OperationFindings, notation: Notation) -> str:
    """How long the test piece is cut before this operation; empty where nothing is measured."""
    set_up, operation = found.task.set_up, found.task.operation
    if set_up.test_length is None or not set_up.measured_after(operation):
        return ""
    return f"{notation.show(set_up.test_length)} over all"


def test_ends_words(found: OperationFindings) -> str:
    """What is done at a test piece's ends; empty where it is no end that is measured."""
    set_up = found.task.set_up
    if set_up.subject.end is None or set_up.subject.part is None:
        return ""
    cut = set_up.test_length is not None and set_up.measured_after(found.task.operation)
    return "both of a test piece are cut alike, and its figures are for that" if cut else ""


def only_for(words: str, operations: Sequence[int], of: int) -> str:
    """What is told of some of a block's ``of`` operations, with their numbers before it."""
    if len(operations) == of:
        return words
    return f"{numbers(operations).capitalize()}: {words}"


def drawn_words(operation: int, by_row: Iterable[SettingName]) -> str:
    """Which operation of a block its drawing is of, and which figures it leaves to the rows."""
    left = listed(sorted(by_row))
    return f"Drawn: operation {operation}{f'; {left} row by row' if left else ''}."


def log_words(job: str, set_ups: Mapping[str, Sequence[int]]) -> str:
    """The command that keeps the readings of these set-ups, by name with their operations."""
    names = list(set_ups)
    if len(names) == 1:
        return f"setupsheets log {job} {names[0]}"
    ends = [f"{name.rpartition('/')[2]} ({runs_of(set_ups[name])})" for name in names]
    if len({name.rpartition("/")[0] for name in names}) == 1 and "/" in names[0]:
        return f"setupsheets log {job} {names[0].rpartition('/')[0]}/… with {listed(ends)}"
    ends = [f"{name} ({runs_of(found)})" for name, found in set_ups.items()]
    return f"setupsheets log {job} … with {listed(ends)}"


def first_blank_words(longer: Length, notation: Notation) -> str:
    """How much longer the first blank of each part is left, for a second try at its ends."""
    return (
        f"The first blank of each part with tenons: {notation.show(longer)} longer than the figure "
        "here, so that a first try at its ends can be cut away."
    )


def undrawn_words(task: Task) -> str:
    """Why an operation has no drawing."""
    return f"No drawing: {task.undrawn}."


def last_words(last: Record, operation: Operation, notation: Notation) -> str:
    """When it was last set up, what was dialled then, and where that test piece is kept."""
    causes = {setting.cause for setting in last.settings}
    dialled = [
        f"{setting.name} {notation.show(last.dialled(setting.cause))}"
        for setting in operation.settings
        if setting.cause in causes
    ]
    parts = [f"{last.date.isoformat()} for {last.job}", *dialled, last.verdict]
    kept = f"; test piece kept: {last.kept}" if last.kept else ""
    return f"{', '.join(part for part in parts if part)}{kept}"
