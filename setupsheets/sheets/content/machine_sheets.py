"""One sheet for each machine: its operations in the order of the route, and where parts go next."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from setupsheets.machining.tasks import Task, grouped
from setupsheets.sheets.content.finished import CautionLine, MachineSheet, OperationBlock
from setupsheets.sheets.content.inputs import SheetInputs
from setupsheets.sheets.content.operation_blocks import operation_block
from setupsheets.wording.lists import numbers, one_line
from setupsheets.wording.route import LAST, LEGEND, as_before, next_line, stop_line


def machine_sheets(inputs: SheetInputs) -> Iterator[MachineSheet]:
    """The sheets, in the order in which the route first comes to each machine."""
    tasks = inputs.plan.tasks
    found = {each.task.number: each for each in inputs.findings.operations}
    for name in dict.fromkeys(task.operation.machine.name for task in tasks):
        mine = [task for task in tasks if task.operation.machine.name == name]
        machine = mine[0].operation.machine
        groups = list(grouped(mine))
        blocks = [
            operation_block(
                [found[task.number] for task in group], inputs, _stop_line(group, after, tasks)
            )
            for group, after in zip(groups, [*groups[1:], ()], strict=True)
        ]
        common = _common_cautions(blocks)
        yield MachineSheet(
            machine=name,
            title=machine.title,
            summary=f"{numbers(task.number for task in mine).capitalize()} of {len(tasks)}",
            notes=one_line(machine.notes),
            cautions=common,
            legend=LEGEND if any(block.drawing for block in blocks) else "",
            operations=tuple(
                replace(block, cautions=tuple(c for c in block.cautions if c not in common))
                for block in _told_once(blocks)
            ),
            next_line=_next_line(mine[-1], tasks),
        )


def _told_once(blocks: Sequence[OperationBlock]) -> Iterator[OperationBlock]:
    """Jigs and notes that stand at an earlier operation of the sheet are only pointed to; cautions
    stand at every one."""
    told: dict[tuple[object, ...], str] = {}
    for block in blocks:
        first = told.setdefault((block.title, block.jigs, block.notes), block.number)
        if first == block.number or not (block.jigs or block.notes):
            yield block
        else:
            yield replace(block, jigs=(), notes=(as_before(first),))


def _common_cautions(blocks: Sequence[OperationBlock]) -> tuple[CautionLine, ...]:
    """What every cut on a machine brings out stands once, at the head of its sheet: a warning that
    is printed ten times is read once. None where the machine makes only one cut."""
    cutting = [block for block in blocks if block.settings]
    if len(cutting) < 2:
        return ()
    return tuple(c for c in cutting[0].cautions if all(c in block.cautions for block in cutting))


def _stop_line(group: Sequence[Task], after: Sequence[Task], tasks: Sequence[Task]) -> str:
    """What to do with parts that go to other machines now and come back to this one."""
    if not after:
        return ""
    last, following = group[-1], after[0]
    mine = [task for task in tasks if task.operation.machine.name == last.operation.machine.name]
    been = [task for task in mine if task.number <= last.number]
    between = [task for task in tasks if last.number < task.number < following.number]
    back = [task for task in mine if task.number >= following.number]
    parts = [name for name in _parts(been) if name in _parts(between) and name in _parts(back)]
    if not parts:
        return ""
    return stop_line(parts, _with(parts, between), _with(parts, back)[0].number)


def _parts(tasks: Iterable[Task]) -> dict[str, None]:
    return dict.fromkeys(name for task in tasks for name in task.counts)


def _with(parts: Iterable[str], tasks: Iterable[Task]) -> list[Task]:
    """The tasks that any of the parts goes through."""
    return [task for task in tasks if not set(parts).isdisjoint(task.counts)]


def _next_line(last: Task, tasks: Sequence[Task]) -> str:
    after = next((task for task in tasks if task.number == last.number + 1), None)
    return next_line(after) if after is not None else LAST
