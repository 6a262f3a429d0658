"""A plan and what is known about it into finished sheets: all order, rounding and wording.

The templates only lay out what this makes. Every length goes through the shop's notation.
"""

from __future__ import annotations

import datetime
import hashlib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from setupsheets.joinery.leaf import Whole
from setupsheets.machining.operations import (
    Operation,
    SetUp,
)
from setupsheets.machining.plan import Plan
from setupsheets.machining.tasks import Task, grouped
from setupsheets.records.current import SetUpState
from setupsheets.records.record import Verdict
from setupsheets.sheets.content.cautions import general_cautions
from setupsheets.sheets.content.findings import Findings
from setupsheets.sheets.content.finished import (
    CautionLine,
    CountRow,
    Cover,
    Fact,
    MachineSheet,
    OperationBlock,
    RouteRow,
    SheetContent,
    TestRow,
)
from setupsheets.sheets.content.operations import (
    SheetInputs,
    operation_block,
)
from setupsheets.sheets.content.parts_sheet import parts_sheet
from setupsheets.shop.cautions import Caution
from setupsheets.shop.recipes import Makes
from setupsheets.shop.settings import ShopSettings
from setupsheets.wording.figures import units_line
from setupsheets.wording.lists import counted, listed, numbers, runs_of
from setupsheets.wording.set_ups import state_words

LEGEND = (
    "The drawings look along the feed. Hatched: what is cut away. Thick lines: where the part bears"
    " on the table and on the fence or stop."
)
_NOTHING_KNOWN = SetUpState(settings={})


def build_content(
    plan: Plan,
    shop: ShopSettings,
    standings: Mapping[str, SetUpState],
    cautions: Sequence[Caution],
    date: datetime.date,
    whole: Whole,
    findings: Findings | None = None,
    timber: str = "",
) -> SheetContent:
    """The finished sheets of a job.

    ``standings`` by set-up name; a set-up without one is taken as never made. ``whole`` is all that
    the job's joinery comes to. ``timber`` is its title where the job's name is not enough.
    """
    bench = SheetInputs(plan.job, shop.notation, standings, cautions, findings or Findings())
    tasks = plan.tasks
    return SheetContent(
        title=plan.job.title,
        date=date.isoformat(),
        fingerprint=fingerprint(plan, standings),
        cover=_cover(plan, shop, bench, date, timber),
        machines=tuple(_machine_sheets(tasks, bench)),
        parts=parts_sheet(plan.job, whole, shop.notation),
    )


def only_machine(content: SheetContent, machine: str) -> SheetContent:
    """The same with the sheet of one machine, by its name; KeyError where it has none."""
    found = tuple(sheet for sheet in content.machines if sheet.machine == machine)
    if not found:
        raise KeyError(machine)
    return replace(content, machines=found)


def fingerprint(plan: Plan, standings: Mapping[str, SetUpState]) -> str:
    """Eight hexadecimal digits that change with any figure of the plan or of what is to be set."""
    digest = hashlib.sha256("\n".join(_figures(plan, standings)).encode()).hexdigest()
    return f"{digest[:4]}-{digest[4:8]}"


def _figures(plan: Plan, standings: Mapping[str, SetUpState]) -> Iterator[str]:
    for part in plan.joinery.parts:
        sizes = (part.width, part.thickness, part.face, part.back, part.overall)
        yield f"part {part.name} {part.count} {' '.join(str(size.mm) for size in sizes)}"
    for mortise in plan.joinery.mortises:
        places = (mortise.start, mortise.end, mortise.depth)
        yield f"mortise {mortise.part} {' '.join(str(place.mm) for place in places)}"
    for set_up in plan.set_ups:
        yield f"set-up {set_up.name} {counted(set_up.counts)}"
        known = standings.get(set_up.name, _NOTHING_KNOWN).settings
        for operation in set_up.operations:
            cutter = operation.cutter.name if operation.cutter else ""
            yield f"{operation.number} {operation.name} {operation.machine.name} {cutter}"
            for setting in operation.settings:
                now = known[setting.cause].set_to if setting.cause in known else setting.aim
                yield f"{setting.name} {setting.aim.mm} {now.mm}"


def _cover(
    plan: Plan, shop: ShopSettings, bench: SheetInputs, date: datetime.date, timber: str
) -> Cover:
    job, notation = plan.job, bench.notation
    count = f"{job.count} of them, each " if job.count > 1 else ""
    size = f"{notation.show(job.size.width)} wide, {notation.show(job.size.height)} high"
    facts = [
        Fact("Job", job.name),
        Fact("Shop", shop.title),
        Fact("Timber", timber or job.timber.replace("-", " ")),
        Fact("Leaf", count + size),
        Fact("Date", date.isoformat()),
        Fact("Units", units_line(notation)),
        Fact("Inputs", fingerprint(plan, bench.standings)),
    ]
    return Cover(
        facts=tuple(facts),
        notes=" ".join(job.notes.split()),
        counts=tuple(
            CountRow(part.name, str(part.count), notation.show(part.overall))
            for part in plan.joinery.parts
        ),
        tests=tuple(_test_rows(plan, bench)),
        proofs=_proof_facts(bench),
        unproved=bench.findings.unproved,
        route=tuple(_route(plan, bench)),
        cautions=general_cautions(bench.cautions),
        unknown=tuple(_unknown(plan, bench)),
    )


def _test_rows(plan: Plan, bench: SheetInputs) -> Iterator[TestRow]:
    """Test pieces for every set-up that has something to measure; blanks in one row.

    A dry fit is of the leaf itself.
    """
    tested = [set_up for set_up in plan.set_ups if _is_tested(set_up)]
    blanks = [set_up for set_up in tested if set_up.recipe.makes is Makes.BLANK]
    for set_up in tested:
        if set_up not in blanks:
            yield _test_row(set_up.name, [set_up], plan, bench)
        elif set_up is blanks[0]:
            yield _test_row(_base(set_up), blanks, plan, bench)


def _is_tested(set_up: SetUp) -> bool:
    """Whether a set-up is tried on test pieces."""
    return bool(set_up.measurements) and set_up.recipe.makes is not Makes.FIT


def _test_row(name: str, set_ups: Sequence[SetUp], plan: Plan, bench: SheetInputs) -> TestRow:
    known = [bench.standings.get(set_up.name, _NOTHING_KNOWN) for set_up in set_ups]
    pieces = str(max(standing.pieces_expected for standing in known))
    longer = [standing.leave_longer for standing in known if standing.leave_longer]
    parts = dict.fromkeys(name for set_up in set_ups for name in set_up.counts)
    return TestRow(
        set_up=name,
        pieces=f"{pieces} at each figure" if len(set_ups) > 1 else pieces,
        of=_which(parts, plan),
        longer=bench.notation.show(max(longer)) if longer else "",
    )


def _base(set_up: SetUp) -> str:
    """The recipe's own name, without the part or operation behind a slash."""
    return set_up.name.partition("/")[0]


def _which(parts: Iterable[str], plan: Plan) -> str:
    """The parts by name, or that it is all of them."""
    names = list(parts)
    everything = {part.name for part in plan.joinery.parts}
    return "all parts" if len(everything) > 2 and set(names) == everything else listed(names)


def _proof_facts(bench: SheetInputs) -> tuple[Fact, ...]:
    """Everything that proves in one line, and a line for each thing that does not."""
    proofs = bench.findings.proofs
    bad = [Fact(name, words) for name, (proved, words) in proofs.items() if not proved]
    good = sum(1 for proved, _ in proofs.values() if proved)
    if not proofs:
        return ()
    if not bad:
        words = "worked through on paper, every cut makes what the design asks for"
        worst = bench.findings.worst
        return (Fact("Proved", f"{words}; {worst}" if worst else words),)
    return (*bad, Fact("Proved", f"{good} of {len(proofs)}")) if good else tuple(bad)


def _route(plan: Plan, bench: SheetInputs) -> Iterator[RouteRow]:
    """The whole route; operations that share a block share a line."""
    by_machine = grouped(
        Task(operation, set_up) for set_up in plan.set_ups for operation in set_up.operations
    )
    for group in by_machine:
        first = group[0]
        counts: dict[str, int] = {}
        for task in group:
            counts |= task.set_up.counts
        yield RouteRow(
            number=runs_of(task.operation.number for task in group),
            title=first.operation.title,
            machine=first.operation.machine.title,
            parts=_which(counts, plan),
            verdict=_verdict(first.operation, first.set_up, bench),
        )


def _verdict(operation: Operation, set_up: SetUp, bench: SheetInputs) -> str:
    """Whether to cut a test piece at this operation, or go; hand work needs neither."""
    if not operation.settings:
        return ""
    if not any(item.after == operation.name for item in set_up.measurements):
        return "go"
    state = bench.standings.get(set_up.name, _NOTHING_KNOWN)
    if state.verdict is Verdict.PROVED:
        return "go"
    return f"TEST: {state_words(state)}" if state.verdict else "TEST"


def _unknown(plan: Plan, bench: SheetInputs) -> Iterator[str]:
    """What nobody knows yet, each thing once."""
    fresh = [
        _base(set_up)
        for set_up in plan.set_ups
        if _is_tested(set_up)
        and bench.standings.get(set_up.name, _NOTHING_KNOWN).last is None
        and bench.standings.get(set_up.name, _NOTHING_KNOWN).verdict is None
    ]
    if fresh:
        yield (
            f"No record and no test piece yet: {listed(dict.fromkeys(fresh))}. What the dials"
            " really give will be known after the first test piece of each."
        )
    if not bench.findings.proofs:
        yield "The recipes have not been worked through on paper for this sheet."


def _machine_sheets(tasks: Sequence[Task], bench: SheetInputs) -> Iterator[MachineSheet]:
    """One sheet for each machine, in the order in which the route first comes to it."""
    order = list(dict.fromkeys(task.operation.machine.name for task in tasks))
    for name in order:
        mine = [task for task in tasks if task.operation.machine.name == name]
        machine = mine[0].operation.machine
        groups = list(grouped(mine))
        followers: list[tuple[Task, ...]] = [*groups[1:], ()]
        blocks = [
            operation_block(group, bench, _stop_line(group, after, tasks))
            for group, after in zip(groups, followers, strict=True)
        ]
        common = _common_cautions(blocks)
        yield MachineSheet(
            machine=name,
            title=machine.title,
            summary=f"{numbers(task.operation.number for task in mine).capitalize()} of"
            f" {len(tasks)}",
            notes=" ".join(machine.notes.split()),
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
            yield replace(block, jigs=(), notes=(f"Jigs and notes as at operation {first}.",))


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
    last, following = group[-1].operation, after[0].operation
    here = last.machine.name
    between = [task for task in tasks if last.number < task.operation.number < following.number]
    back = [
        task
        for task in tasks
        if task.operation.number >= following.number and task.operation.machine.name == here
    ]
    been = [
        task
        for task in tasks
        if task.operation.number <= last.number and task.operation.machine.name == here
    ]
    parts = [name for name in _parts(been) if name in _parts(between) and name in _parts(back)]
    if not parts:
        return ""
    away = [task for task in between if set(task.set_up.counts) & set(parts)]
    returns = min(t.operation.number for t in back if set(t.set_up.counts) & set(parts))
    return (
        f"the {listed(parts)} {'go' if len(parts) > 1 else 'goes'} to "
        f"{_places(away)} and {'come' if len(parts) > 1 else 'comes'} back for "
        f"operation {returns}."
    )


def _places(away: Iterable[Task]) -> str:
    """``the router table for operations 7–8 and the bench for operation 9``."""
    by_machine: dict[str, list[int]] = {}
    for task in away:
        by_machine.setdefault(task.operation.machine.title, []).append(task.operation.number)
    return listed(
        f"the {title[:1].lower()}{title[1:]} for {numbers(found)}"
        for title, found in by_machine.items()
    )


def _parts(tasks: Iterable[Task]) -> dict[str, None]:
    return dict.fromkeys(name for task in tasks for name in task.set_up.counts)


def _next_line(last: Task, tasks: Sequence[Task]) -> str:
    """Where the route goes on after this machine's last operation."""
    following = [task for task in tasks if task.operation.number == last.operation.number + 1]
    if not following:
        return "This was the last operation of the route."
    after = following[0].operation
    title = after.machine.title
    return (
        f"Done on this machine. Next in the route: operation {after.number},"
        f" {title[:1].lower()}{title[1:]}."
    )
