"""What stands on each page, finished: every string as it is shown, every address where it leads."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from itertools import groupby

from msgspec import Struct

from setupsheets.bench.acts import before_next, can_be_moved, to_be_fitted, undone
from setupsheets.files.faults import DataFaults
from setupsheets.machining.findings import OperationFindings
from setupsheets.machining.obstacles import obstacles_of
from setupsheets.machining.tasks import Task
from setupsheets.phone.measuring import is_phones, own_letters
from setupsheets.records.answer import Answer, DryFitAnswer
from setupsheets.records.open_set_up import OpenSetUp
from setupsheets.records.record import Record
from setupsheets.records.standing import Stands
from setupsheets.records.verdicts import Verdict
from setupsheets.sheets.content.cautions_due import general_cautions
from setupsheets.sheets.content.cover import verdict_of, which
from setupsheets.sheets.content.finished import CautionLine, Fact, OperationBlock
from setupsheets.sheets.content.inputs import SheetInputs
from setupsheets.sheets.content.operation_blocks import operation_block
from setupsheets.sheets.drawings.chart import record_chart
from setupsheets.sheets.drawings.drawing import Drawing
from setupsheets.shop.finding import Shop
from setupsheets.shop.phone_addresses import page_path
from setupsheets.shop.recipes import Makes
from setupsheets.wording.answers import NEXT, WHAT_TO_DO, answer_sections
from setupsheets.wording.bench import (
    cured_question,
    dials_line,
    doubted_dial_words,
    others_words,
    verdict_line,
)
from setupsheets.wording.lists import capital, many
from setupsheets.wording.phone import BEING_MEASURED, CUT_SO, IT_FITS, on_phone
from setupsheets.wording.pieces_due import due_line
from setupsheets.wording.readiness import not_ready, obstacle_lines
from setupsheets.wording.reading_doubts import read_words
from setupsheets.wording.set_ups import piece_read, state_words
from setupsheets.wording.titles import cause_title


class Link(Struct, frozen=True):
    """Where something leads, and what is said of it; ``words`` alone where it leads nowhere."""

    words: str
    path: str = ""
    more: str = ""


class RouteStep(Struct, frozen=True):
    """One operation of a route; ``state`` is what its set-up's test pieces have come to, ``read``
    whether anything is logged of it, ``done`` whether it is proved."""

    number: str
    title: str
    parts: str
    verdict: str
    state: str
    read: bool
    done: bool
    path: str


class RouteScreen(Struct, frozen=True):
    """A job's route, machine by machine in the order in which they are gone to."""

    title: str
    facts: tuple[Fact, ...]
    not_ready: str
    obstacles: tuple[str, ...]
    visits: tuple[tuple[str, tuple[RouteStep, ...]], ...]
    cautions: tuple[CautionLine, ...]


class MachineBlock(Struct, frozen=True):
    """One operation of a set-up, at its machine. ``cautions`` are those that were not told of an
    earlier one at this machine; ``as_for`` names that one where any were."""

    machine: str
    block: OperationBlock
    cautions: tuple[CautionLine, ...]
    as_for: str


class SetUpScreen(Struct, frozen=True):
    """One set-up: its operations, and where to read, to go on reading, or to see the answer.
    ``to_know`` is what is to be settled before: other open records, files that cannot be used;
    ``record`` is what can be given up, ``joins`` whether it can be made one with the others that
    are open, ``afresh`` where another is begun in its place."""

    title: str
    state: str
    to_know: tuple[str, ...]
    not_ready: str
    obstacles: tuple[str, ...]
    blocks: tuple[MachineBlock, ...]
    dials: str
    measure: Link | None
    in_hand: tuple[Link, ...]
    answer: str
    piece: str
    kept: str
    record: str
    joins: bool
    afresh: str
    own: str


class AnswerPart(Struct, frozen=True):
    """A heading of the answer with its lines; ``large`` is what a hand acts on."""

    title: str
    lines: tuple[str, ...]
    large: bool


class Movable(Struct, frozen=True):
    """Something that may have been moved otherwise than advised, or set wrong at first."""

    cause: str
    title: str


class AnswerScreen(Struct, frozen=True):
    """What the test pieces come to, and what can be said and done then. ``waits`` tells that it
    must be said first what was done, ``left`` that nobody knows whether its dials still stand,
    ``since`` of how many pieces it was said and may be added to; ``doubted_dials`` what likely was
    set wrong, ``set_wrong`` what else may have been; ``afresh`` is where another record is begun
    once what put it out of reach is cured; ``proves`` is said by calling it proved; ``own`` are
    letters for what is sent, to which each form adds one.
    """

    title: str
    verdict: str
    sections: tuple[AnswerPart, ...]
    fitted: str
    dials: str
    piece: str
    waits: bool
    left: str
    since: int
    moves: tuple[Movable, ...]
    doubted_dials: tuple[Movable, ...]
    set_wrong: tuple[Movable, ...]
    again: str
    afresh: str
    ready: bool
    proves: str
    proved: bool
    kept: str
    chart: Drawing | None
    struck: tuple[Link, ...]
    own: str
    measure: str


def job_links(names: list[str], shop: Shop, token: str) -> Iterator[Link]:
    """The jobs of a shop; one whose file has faults leads nowhere."""
    for name in names:
        title = ""
        with suppress(DataFaults):
            title = shop.job(name).title
        yield Link(title or name, page_path(token, name) if title else "", name)


def route_screen(inputs: SheetInputs, token: str) -> RouteScreen:
    """A job's route with what is done ticked."""
    plan = inputs.plan
    obstacles = obstacles_of(inputs.findings.operations)
    unproved = sum(not proof.holds for proof in inputs.findings.proofs)
    visits = groupby(plan.tasks, lambda task: task.operation.machine.title)
    return RouteScreen(
        title=plan.job.title,
        facts=(Fact("Timber", inputs.timber),),
        not_ready=not_ready(obstacles, unproved).capitalize(),
        obstacles=tuple(obstacle_lines(obstacles, inputs.notation)),
        visits=tuple(
            (machine, tuple(_step(task, inputs, token) for task in tasks))
            for machine, tasks in visits
        ),
        cautions=general_cautions(inputs.cautions, inputs.notation.unit),
    )


def _step(task: Task, inputs: SheetInputs, token: str) -> RouteStep:
    state = inputs.records.state(task.set_up)
    tried, dry_fit = task.set_up.is_tried, task.set_up.recipe.makes is Makes.FIT
    return RouteStep(
        number=str(task.number),
        title=task.operation.title,
        parts=which(task.counts, inputs.plan),
        verdict=verdict_of(task.operation, task.set_up, inputs),
        state=state_words(state) if tried and state.due.stands is not Stands.NOT else "",
        read=tried or dry_fit,
        done=(tried or dry_fit) and not state.due.pieces,
        path=page_path(token, inputs.plan.job.name, task.set_up.name),
    )


def set_up_screen(
    opened: OpenSetUp, inputs: SheetInputs, token: str, today: datetime.date
) -> SetUpScreen:
    """One set-up as it is to be made now."""
    set_up, record = opened.set_up, opened.record
    found = [each for each in inputs.findings.operations if each.task.set_up.name == set_up.name]
    obstacles = obstacles_of(found)
    here = page_path(token, inputs.plan.job.name, set_up.name)
    read = bool(record.measures) and set_up.recipe.makes.is_logged
    tried = set_up.is_tried
    return SetUpScreen(
        title=title_of(opened),
        state=on_phone(due_line(inputs.records.state(set_up).due, opened.notation))
        if tried
        else "",
        to_know=(*map(on_phone, others_words(opened)), *_passed_over(opened.shop)),
        not_ready=not_ready(obstacles).capitalize(),
        obstacles=tuple(obstacle_lines(obstacles, inputs.notation)),
        blocks=tuple(_blocks(found, inputs)),
        dials=dials_line(record, opened.notation) if tried and record.pieces else "",
        measure=_measure(opened, here, today) if read else None,
        in_hand=tuple(_in_hand(opened, here)),
        answer=f"{here}/answer" if record.pieces else "",
        piece=piece_read(record),
        kept=record.kept,
        record=record.name if opened.path and record.verdict is Verdict.OPEN else "",
        joins=bool(opened.others) and not opened.unlike_others(),
        afresh=f"{here}/afresh/{own_letters()}" if opened.path and read else "",
        own=own_letters(),
    )


def _passed_over(shop: Shop) -> Iterator[str]:
    """The files that could not be used, by their places in the shop, and what is done without."""
    for found in shop.passed_over.values():
        for fault in found.faults:
            yield str(fault).replace(f"{shop.folder}/", "")
        yield found.left


def _blocks(found: Sequence[OperationFindings], inputs: SheetInputs) -> Iterator[MachineBlock]:
    """The operations in order; what a maker has been warned of at a machine is not said again."""
    told: dict[str, dict[CautionLine, str]] = {}
    for each in found:
        machine = each.task.operation.machine.title
        block, before = operation_block([each], inputs, ()), told.setdefault(machine, {})
        known = (before[line] for line in block.cautions if line in before)
        new = tuple(line for line in block.cautions if line not in before)
        yield MachineBlock(machine, block, new, next(known, ""))
        before |= dict.fromkeys(new, block.number)


def title_of(opened: OpenSetUp) -> str:
    """What is made and of which parts."""
    return f"{opened.set_up.recipe.title}: {which(opened.set_up.counts, opened.plan)}"


def _measure(opened: OpenSetUp, here: str, today: datetime.date) -> Link:
    """Where a further test piece is read; what is to be asked before it leads there first."""
    record = opened.record
    words = f"Read {_called(record, len(record.pieces) + 1)}"
    if question := before_next(opened, today):
        waits = undone(opened, same=True) if record.pending else question
        return Link(words, f"{here}/answer#done", waits.words[0])
    return Link(words, f"{here}/piece/{own_letters()}")


def _in_hand(opened: OpenSetUp, here: str) -> Iterator[Link]:
    """Test pieces that have readings and no advice yet: of a phone to go on with, else to be worked
    out as they are."""
    pieces = {piece.id: number for number, piece in enumerate(opened.record.pieces, 1)}
    later = [each for each in opened.told.acts if each.advice]
    for entry in opened.told.acts:
        counted = len(entry.readings) - len(entry.strikes)
        if entry.advice or counted < 1 or any(each.name > entry.name for each in later):
            continue
        number = pieces.get(entry.again or entry.name, 0)
        called = _called(opened.record, number)
        words = BEING_MEASURED.format(called=called, read=many(counted, "reading"))
        own = entry.name.rpartition("-")[2]
        there = f"{here}/{'again' if entry.again else 'piece'}/{own}"
        yield Link(capital(words), there if is_phones(own) else "")


def _called(record: Record, number: int) -> str:
    return "the dry fit" if record.is_dry_fit else f"test piece {number}"


def answer_screen(opened: OpenSetUp, token: str, today: datetime.date) -> AnswerScreen:
    """What the test pieces of a set-up come to now."""
    record, notation = opened.record, opened.notation
    here = page_path(token, opened.plan.job.name, opened.set_up.name)
    told = opened.answer()
    far = opened.doubted_dials(told)
    proved, question = record.verdict is Verdict.PROVED, before_next(opened, today)
    acts = (WHAT_TO_DO, NEXT) if _acts(told) else (NEXT,)
    answered = record.pieces[-1].answered and not proved
    return AnswerScreen(
        title=title_of(opened),
        verdict=_verdict(opened),
        sections=tuple(
            AnswerPart(title, tuple(map(on_phone, lines)), title in acts)
            for title, lines in answer_sections(told, notation, opened.joint(told))
        ),
        fitted=to_be_fitted(opened, told),
        dials="" if record.is_dry_fit else dials_line(record, notation),
        piece=piece_read(record),
        waits=bool(record.pending) and not proved,
        left="" if record.pending or question is None else question.words[0],
        since=len(record.pieces) if answered and not question else 0,
        moves=moves_of(opened),
        doubted_dials=tuple(
            Movable(cause, doubted_dial_words(opened, cause, amount, opened.beyond(told)))
            for cause, amount in far.items()
        ),
        set_wrong=tuple(each for each in dials_of(opened) if each.cause not in far),
        again=f"{here}/again/{own_letters()}" if told.again and not proved else "",
        afresh=f"{here}/afresh/{own_letters()}" if cured_question(told) and not proved else "",
        ready=told.ready and not told.moved and not proved,
        proves=IT_FITS if record.is_dry_fit else CUT_SO,
        proved=proved,
        kept=record.kept,
        chart=record_chart(record, notation),
        struck=tuple(_strikes(opened)),
        own=own_letters(),
        measure=f"{here}/piece/{own_letters()}",
    )


def _acts(told: Answer | DryFitAnswer) -> bool:
    """Whether a hand has more to do than to leave all as it is."""
    return isinstance(told, Answer) and bool(told.moved or told.held or told.creeping)


def moves_of(opened: OpenSetUp) -> tuple[Movable, ...]:
    """What may have been moved."""
    return tuple(Movable(cause, cause_title(cause)) for cause in can_be_moved(opened))


def _verdict(opened: OpenSetUp) -> str:
    record = opened.record
    if record.verdict is Verdict.PROVED:
        return f"Called proved, although: {record.although}" if record.although else "PROVED"
    read, again = f"{many(len(record.pieces), piece_read(record))} read", verdict_line(opened)
    return f"{read}. {again.removesuffix('.')}" if again else read


def _strikes(opened: OpenSetUp) -> Iterator[Link]:
    """The last reading of each measure, which may have been a slip."""
    last: Mapping[str, str] = {
        each.of: read_words(each, opened.notation)
        for piece in opened.record.pieces
        for each in piece.counted
    }
    titles = {measure.name: measure.title for measure in opened.record.measures}
    for name, found in last.items():
        yield Link(f"{titles.get(name) or cause_title(name)}: {found}", name)


def dials_of(opened: OpenSetUp) -> tuple[Movable, ...]:
    """Every dial of a set-up."""
    return tuple(Movable(each.cause, cause_title(each.cause)) for each in opened.record.settings)
