"""One sheet for each machine: its operations in the order of the route, and where parts go next."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from msgspec.structs import replace

from setupsheets.machining.findings import OperationFindings
from setupsheets.machining.tasks import Task
from setupsheets.sheets.content.finished import CautionLine, Fact, MachineSheet, OperationBlock
from setupsheets.sheets.content.inputs import SheetInputs
from setupsheets.sheets.content.operation_blocks import operation_block
from setupsheets.sheets.content.sharing import alike, shared_by_all
from setupsheets.shop.machines import MachineSetting
from setupsheets.wording.lists import numbers
from setupsheets.wording.operations import speed_words
from setupsheets.wording.route import (
    EVERY_CUT,
    LAST,
    LEGEND,
    STOP_HERE,
    next_line,
    stop_after,
    stop_line,
)

ONCE = ("Feed",)
"""Facts that stand once a machine where all its cuts have them alike: how it is run, and not how a
part lies in it. The speed stands there once for each cutter."""
SPEED = "Speed"


def machine_sheets(inputs: SheetInputs) -> Iterator[MachineSheet]:
    """The sheets, in the order in which the route first comes to each machine."""
    tasks = inputs.plan.tasks
    found = {each.task.number: each for each in inputs.findings.operations}
    for name in dict.fromkeys(task.operation.machine.name for task in tasks):
        mine = [task for task in tasks if task.operation.machine.name == name]
        machine = mine[0].operation.machine
        blocks = [
            operation_block(
                [found[task.number] for task in group],
                inputs,
                tuple(_leaving(group, mine, tasks)),
            )
            for group in alike(mine)
        ]
        cutting = [block for block in blocks if block.dials]
        several = cutting if len(cutting) > 1 else []
        facts = (
            *shared_by_all([block.facts for block in several], ONCE),
            *_speeds(mine, found, inputs),
        )
        cautions = tuple(_repeated(blocks))
        told = {(line.words, line.basis) for line in cautions}
        yield MachineSheet(
            machine=name,
            title=machine.title,
            summary=f"{numbers(task.number for task in mine).capitalize()} of {len(tasks)}",
            notes=machine.notes,
            facts=facts,
            dials=tuple(_dials(mine, blocks, inputs)),
            cutters=tuple(_noted(mine)),
            cautions=cautions,
            legend=LEGEND if any(block.cuts for block in blocks) else "",
            operations=tuple(
                replace(
                    block,
                    facts=tuple(
                        fact for fact in block.facts if fact not in facts and fact.label != SPEED
                    ),
                    cautions=tuple(
                        line
                        for line in block.cautions
                        if line.of or (line.words, line.basis) not in told
                    ),
                )
                for block in blocks
            ),
            next_line=_next_line(mine[-1], tasks),
        )


def _speeds(
    mine: Sequence[Task], found: Mapping[int, OperationFindings], inputs: SheetInputs
) -> Iterator[Fact]:
    """The speed of each cutter, with the limit that it keeps."""
    told = dict.fromkeys(
        (task.operation.cutter.title, words)
        for task in mine
        if task.operation.cutter and (words := speed_words(found[task.number], inputs.notation))
    )
    alike = {words for _, words in told}
    if len(alike) == 1:
        yield Fact(SPEED, alike.pop())
    elif alike:
        yield Fact(SPEED, "; ".join(f"{cutter}: {words}" for cutter, words in told))


def _noted(mine: Sequence[Task]) -> Iterator[Fact]:
    """The cutters of which something is noted."""
    cutters = (task.operation.cutter for task in mine)
    noted = {each.title: each.notes for each in cutters if each is not None and each.notes.strip()}
    yield from (Fact(title, notes) for title, notes in noted.items())


def _dials(
    mine: Sequence[Task], blocks: Sequence[OperationBlock], inputs: SheetInputs
) -> Iterator[Fact]:
    """Every dial that is set, how finely it moves, which way its figure grows, and what is known of
    it where that is the same for all its figures."""
    dials: dict[str, tuple[MachineSetting, set[str]]] = {}
    rows = {int(row.number): row.settings for block in blocks for row in block.rows}
    for task in mine:
        for setting, row in zip(task.operation.settings, rows[task.number], strict=True):
            dials.setdefault(setting.dial.title, (setting.dial, set()))[1].add(row.history)
    for title, (dial, histories) in dials.items():
        known = f"; {histories.pop()}" if len(histories) == 1 and histories != {""} else ""
        moves = f"by {inputs.notation.small(dial.finest)}, more is {dial.more}{known}"
        yield Fact(title, f"{moves}.")


def _repeated(blocks: Sequence[OperationBlock]) -> Iterator[CautionLine]:
    """What more than one block of a machine brings out stands once, at the head of its sheet, with
    the operations that it is for: a warning that is printed ten times is read once."""
    told = dict.fromkeys(line for block in blocks for line in block.cautions if not line.of)
    for line in told:
        due = [block for block in blocks if line in block.cautions]
        if len(due) > 1:
            every = len(due) == len(blocks)
            rows = (int(row.number) for block in due for row in block.rows)
            yield replace(line, of=EVERY_CUT if every else numbers(rows).capitalize())


def _leaving(group: Sequence[Task], mine: Sequence[Task], tasks: Sequence[Task]) -> Iterator[Fact]:
    """What to do with parts that go to other machines after an operation and come back here."""
    for task in group:
        following = next((each for each in mine if each.number > task.number), None)
        line = _stop_line(task, following, mine, tasks) if following else ""
        if line:
            yield Fact(STOP_HERE if len(group) == 1 else stop_after(task.number), line)


def _stop_line(last: Task, following: Task, mine: Sequence[Task], tasks: Sequence[Task]) -> str:
    been = [task for task in mine if task.number <= last.number]
    between = [task for task in tasks if last.number < task.number < following.number]
    back = [task for task in mine if task.number >= following.number]
    parts = [name for name in _parts(been) if name in _parts(between) and name in _parts(back)]
    if not parts:
        return ""
    here = len(_parts(been))
    return stop_line(parts, here, _with(parts, between), _with(parts, back)[0].number)


def _parts(tasks: Iterable[Task]) -> dict[str, None]:
    return dict.fromkeys(name for task in tasks for name in task.counts)


def _with(parts: Iterable[str], tasks: Iterable[Task]) -> list[Task]:
    """The tasks that any of the parts goes through."""
    return [task for task in tasks if not set(parts).isdisjoint(task.counts)]


def _next_line(last: Task, tasks: Sequence[Task]) -> str:
    after = next((task for task in tasks if task.number == last.number + 1), None)
    return next_line(after) if after is not None else LAST
