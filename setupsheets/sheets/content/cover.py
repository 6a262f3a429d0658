"""The first page: facts of the job, parts, test pieces, proofs, the route, what is not known."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from setupsheets.joinery.stock.cutlist import CutRow, RowKind
from setupsheets.machining.checking.doubts import made_otherwise
from setupsheets.machining.checking.proof import Proof
from setupsheets.machining.obstacles import obstacles_of
from setupsheets.machining.operations import Operation, SetUp
from setupsheets.machining.plan import Plan
from setupsheets.machining.routing.route import by_number, comes_to, joint_by_joint
from setupsheets.machining.tasks import grouped
from setupsheets.records.standing import Stands
from setupsheets.sheets.content.cautions_due import general_cautions
from setupsheets.sheets.content.finished import CountRow, Cover, Fact, RouteRow, TestRow
from setupsheets.sheets.content.inputs import OnRecord, SheetInputs, first_longer
from setupsheets.sheets.drawings.drawing import Drawing
from setupsheets.sheets.drawings.joint_drawing import proof_drawing
from setupsheets.shop.jobs import Meeting
from setupsheets.shop.recipes import Makes
from setupsheets.wording.advice import reach_words
from setupsheets.wording.doubts import doubt_words
from setupsheets.wording.figures import units_line
from setupsheets.wording.lists import listed, runs_of
from setupsheets.wording.open_together import beside_words
from setupsheets.wording.proofs import proof_line, unproved_title, worst_reading
from setupsheets.wording.readiness import not_ready, obstacle_lines
from setupsheets.wording.route import (
    NOT_PROVED,
    TESTS_AHEAD,
    also_got_out,
    fingerprint_words,
    saved_words,
    sound,
    unread,
    untested,
)
from setupsheets.wording.set_ups import state_words


def cover_of(
    inputs: SheetInputs, fingerprint: str, rows: Sequence[CutRow], drawings: tuple[Drawing, ...]
) -> Cover:
    """The cover of a job's sheets; ``rows`` are its cut list, ``drawings`` show the door."""
    plan, notation = inputs.plan, inputs.notation
    obstacles = obstacles_of(inputs.findings.operations)
    unproved_count = sum(not proof.holds for proof in inputs.findings.proofs)
    return Cover(
        not_ready=not_ready(obstacles, unproved_count).capitalize(),
        obstacles=tuple(obstacle_lines(obstacles, notation)),
        facts=tuple(_facts(inputs, fingerprint)),
        notes=plan.job.notes,
        counts=tuple(
            CountRow(part.name, str(part.count), notation.show(part.overall))
            for part in plan.joinery.parts
        ),
        besides=_besides(rows),
        tests=tuple(_test_rows(inputs)),
        proofs=_proof_facts(inputs, ready=not obstacles),
        drawings=drawings,
        unproved=tuple(unproved(inputs)),
        left_out="",
        route=tuple(_route(inputs)),
        saved=tuple(saved_lines(inputs.plan, inputs.records)),
        cautions=general_cautions(inputs.cautions, inputs.notation.unit),
        unknown=tuple(_unknown(inputs)),
    )


def _facts(inputs: SheetInputs, fingerprint: str) -> Iterator[Fact]:
    job, show = inputs.plan.job, inputs.notation.show
    count = f"{job.count} of them, each " if job.count > 1 else ""
    size = f"{show(job.size.width)} wide, {show(job.size.height)} high"
    yield Fact("Job", job.name)
    yield Fact("Shop", inputs.shop.title)
    yield Fact("Timber", inputs.timber)
    yield Fact("Leaf", count + size)
    for doubt in made_otherwise(inputs.plan):
        yield Fact("Made otherwise", doubt_words(doubt, inputs.notation))
    yield Fact("Date", inputs.date.isoformat())
    yield Fact("Units", units_line(inputs.notation))
    yield Fact("Printed as", fingerprint_words(fingerprint))


def _besides(rows: Sequence[CutRow]) -> str:
    """Panels, boards for beads and what covers a pair's gap."""
    strips = frozenset(map(str, Meeting))
    also = {
        row.name: row.count
        for row in rows
        if row.kind in (RowKind.PANEL, RowKind.BEAD) or row.name in strips
    }
    return also_got_out(also) if also else ""


def _test_rows(inputs: SheetInputs) -> Iterator[TestRow]:
    """Test pieces for every set-up that has something to measure; blanks in one row."""
    tested = [set_up for set_up in inputs.plan.set_ups if set_up.is_tried]
    blanks = [set_up for set_up in tested if set_up.recipe.makes is Makes.BLANK]
    for set_up in tested:
        if set_up not in blanks:
            yield _test_row(set_up.name, [set_up], inputs)
        elif set_up is blanks[0]:
            yield _test_row(_base(set_up), blanks, inputs)


def _test_row(name: str, set_ups: Sequence[SetUp], inputs: SheetInputs) -> TestRow:
    known = [inputs.records.state(set_up) for set_up in set_ups]
    pieces = str(max(standing.due.pieces for standing in known))
    longer = [standing.leave_longer for standing in known if standing.leave_longer]
    worst = min(
        (standing.due.reach for standing in known if standing.due.reach),
        key=lambda reach: reach.attainable,
        default=None,
    )
    titles = {m.name: m.title.split(",")[0] for each in set_ups for m in each.measurements}
    best = f", {reach_words(worst, titles)}" if worst else ""
    return TestRow(
        set_up=name,
        pieces=(f"{pieces} at each figure" if len(set_ups) > 1 else pieces) + best,
        of=which((part for set_up in set_ups for part in set_up.counts), inputs.plan),
        longer=inputs.notation.show(first_longer(inputs.records.states)) if longer else "",
    )


def _base(set_up: SetUp) -> str:
    """The recipe's own name, without the part or operation behind a slash."""
    return set_up.name.partition("/")[0]


def which(parts: Iterable[str], plan: Plan) -> str:
    """The parts by name, each once, or that it is all of them."""
    names = list(dict.fromkeys(parts))
    everything = {part.name for part in plan.joinery.parts}
    return "all parts" if len(everything) > 2 and set(names) == everything else listed(names)


def _proof_facts(inputs: SheetInputs, ready: bool) -> tuple[Fact, ...]:
    """Everything that proves in one line, and a line for each thing that does not. Where not all is
    ``ready`` it says that the figures alone are proved."""
    proofs, show = inputs.findings.by_set_up, inputs.notation.show
    bad = [
        Fact(name, "; ".join(proof_line(each, show) for each in found if not each.holds))
        for name, found in proofs.items()
        if not all(each.holds for each in found)
    ]
    if not bad:
        worst = worst_reading(inputs.findings.proofs, inputs.notation)
        label = "Proved" if ready else "The figures alone"
        return (Fact(label, sound(worst)),) if proofs else ()
    good = len(proofs) - len(bad)
    return (*bad, Fact("Proved", f"{good} of {len(proofs)}")) if good else tuple(bad)


def unproved(inputs: SheetInputs) -> Iterator[Drawing]:
    """A picture of every thing that does not prove and can be drawn."""
    failing: list[Proof] = [
        proof for proof in inputs.findings.proofs if proof.left_over or proof.missing
    ]
    for number, proof in enumerate(failing, 1):
        drawing = proof_drawing(
            f"proof-{number:02}", unproved_title(proof), proof, inputs.notation.show
        )
        if drawing is not None:
            yield drawing


def _route(inputs: SheetInputs) -> Iterator[RouteRow]:
    """The whole route; operations that share a block share a line, which says to test where any
    of them is to be tested."""
    for group in grouped(inputs.plan.tasks):
        first = group[0]
        verdicts = [verdict_of(each.operation, each.set_up, inputs) for each in group]
        tried = next((at for at, said in enumerate(verdicts) if said.startswith("TEST")), 0)
        yield RouteRow(
            number=runs_of(task.number for task in group),
            first=str(first.number),
            title=first.operation.title,
            machine=first.operation.machine.title,
            parts=which((name for task in group for name in task.counts), inputs.plan),
            verdict=verdicts[tried],
            pieces=inputs.records.state(group[tried].set_up).due.pieces,
        )


def saved_lines(plan: Plan, records: OnRecord) -> Iterator[str]:
    """What the order of a route saves, and that test pieces go by it as well."""
    tasks = by_number(plan.set_ups)
    made = comes_to(tasks, records.to_dial)
    given = comes_to(joint_by_joint(plan.set_ups), records.to_dial)
    if plan.least is not None:
        yield saved_words(made, given, plan.least if made == comes_to(tasks) else None)
    if any(set_up.is_tried for set_up in plan.set_ups):
        yield TESTS_AHEAD


def verdict_of(operation: Operation, set_up: SetUp, inputs: SheetInputs) -> str:
    """Whether to cut a test piece at this operation, or go; hand work needs neither."""
    if not operation.settings:
        return ""
    state = inputs.records.state(set_up)
    causes = {setting.cause for setting in operation.settings}
    changed = any(causes & set(change.causes) for change in state.due.since)
    if not state.due.pieces or not (set_up.measured_after(operation) or changed):
        return "go"
    return "TEST" if state.due.stands is Stands.NOT else f"TEST: {state_words(state)}"


def _unknown(inputs: SheetInputs) -> Iterator[str]:
    """What nobody knows yet, each thing once."""
    fresh = [
        _base(set_up)
        for set_up in inputs.plan.set_ups
        if set_up.is_tried
        and inputs.records.state(set_up).last is None
        and inputs.records.state(set_up).due.stands is Stands.NOT
    ]
    if inputs.records.unread:
        yield unread(inputs.records.unread)
    for set_up in inputs.plan.set_ups:
        if len(open_ := inputs.records.state(set_up).open) > 1:
            yield beside_words(inputs.plan.job.name, set_up.name, open_)
    if fresh:
        yield untested(fresh)
    if not inputs.findings.proofs:
        yield NOT_PROVED
