"""A set-up at the bench: its record so far, a new test piece, and the answer to it.

Everything is written as soon as it is known: a reading when it is typed, advice when it is given,
a move when it is made. Nothing is lost when the work is broken off.
"""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from setupsheets.files.faults import unknown
from setupsheets.lengths import Length
from setupsheets.machining.checking.joint import Joint, joint
from setupsheets.machining.operations import SetUp
from setupsheets.machining.plan import Plan
from setupsheets.records.answer import Answer, answer
from setupsheets.records.beginning import begin_record
from setupsheets.records.blanks import blank_lines
from setupsheets.records.folder import latest, records_folder
from setupsheets.records.lessons import lessons_of
from setupsheets.records.memory import Memory, remembered
from setupsheets.records.model import millimetres
from setupsheets.records.record import Record, RecordedPiece, RecordedReading, Verdict
from setupsheets.records.standing import Now, standing
from setupsheets.records.writing import add_done, add_piece, add_reading, close, write_new
from setupsheets.shop.finding import Shop
from setupsheets.shop.recipes import Makes


def find_set_up(plan: Plan, asked: str) -> SetUp:
    """The set-up of a recipe's or a set-up's name, or of the beginning of one.

    Raises LookupError that says what there is, where none or several are meant.
    """
    names = [set_up.name for set_up in plan.set_ups]
    exact = [item for item in plan.set_ups if item.name == asked]
    found = exact or [item for item in plan.set_ups if item.name.startswith(asked)]
    if len(found) == 1:
        return found[0]
    if found:
        several = ", ".join(item.name for item in found)
        raise LookupError(
            f"{asked!r} is set up {len(found)} times in this job: say which: {several}"
        )
    raise LookupError(unknown("recipe", asked, names))


@dataclass(frozen=True)
class Bench:
    """One set-up with its record. ``path`` is None until something is written; ``memory`` is
    what the machines are known by."""

    shop: Shop
    plan: Plan
    set_up: SetUp
    record: Record
    memory: Memory
    path: Path | None = None

    @property
    def last(self) -> RecordedPiece:
        """The test piece in hand."""
        return self.record.pieces[-1]

    def answer(self) -> Answer:
        """What the test pieces so far come to."""
        return answer(self.record, self.shop, self.memory)

    def expected_joint(self, told: Answer) -> Joint | None:
        """For an end, how it is to be expected to fit its mate; None for other work."""
        if self.set_up.recipe.makes is not Makes.COPE or not told.errors:
            return None
        offsets = {cause: millimetres(error) for cause, error in told.errors.items()}
        return joint((self.set_up,), offsets)

    def blanks(self, lengths: Sequence[Length]) -> tuple[str, ...]:
        """What becomes of blanks that are cut already, by their lengths."""
        parts = {part.name: part.overall for part in self.plan.joinery.parts}
        wanted, notation = self.set_up.subject.length, self.shop.settings.notation
        return blank_lines(self.record, wanted, lengths, parts, notation)

    def with_piece(self, piece: RecordedPiece) -> Bench:
        """The same with one more test piece, nothing written."""
        return replace(self, record=replace(self.record, pieces=(*self.record.pieces, piece)))

    def write_piece(self, piece: RecordedPiece) -> Bench:
        """Write one more test piece, and the record itself if it is not there yet."""
        made = self.with_piece(piece)
        notation = self.shop.settings.notation
        if self.path is None:
            path = write_new(made.record, records_folder(self.shop), notation)
            return replace(made, path=path)
        add_piece(self.path, piece, notation)
        return made

    def write_reading(self, reading: RecordedReading) -> Bench:
        """Write one more reading of the test piece in hand."""
        assert self.path is not None, "a reading belongs to a piece that is written"
        add_reading(self.path, len(self.record.pieces) - 1, reading, self.shop.settings.notation)
        piece = replace(self.last, readings=(*self.last.readings, reading))
        return self._with_last(piece)

    def write_done(self, told: Answer, moved: Mapping[str, Length]) -> Bench:
        """Write what was advised after the test piece in hand and what was then moved."""
        assert self.path is not None, "advice belongs to a piece that is written"
        add_done(self.path, told.advice, moved, self.shop.settings.notation)
        done = dict(moved) or self.last.moved
        return self._with_last(replace(self.last, advice=told.advice, moved=done))

    def close(self, verdict: Verdict, kept: str) -> Bench:
        """Write the verdict, where the test piece is kept, and what a proved set-up teaches."""
        assert self.path is not None, "a verdict belongs to a record that is written"
        proved = verdict is Verdict.PROVED
        after = lessons_of(self.record, self.shop) if proved else ()
        close(self.path, verdict, kept, after, self.shop.settings.notation)
        return replace(self, record=replace(self.record, verdict=verdict, kept=kept, after=after))

    def _with_last(self, piece: RecordedPiece) -> Bench:
        pieces = (*self.record.pieces[:-1], piece)
        return replace(self, record=replace(self.record, pieces=pieces))


def open_bench(
    shop: Shop,
    plan: Plan,
    set_up: SetUp,
    date: datetime.date,
    *,
    dialled: Mapping[str, Length] | None = None,
    afresh: bool = False,
) -> Bench:
    """The open record of a set-up, or a new one that begins with what the sheet says to dial.

    ``dialled`` overrules that by cause; ``afresh`` begins anew whatever there is.
    """
    machines = {operation.machine.name: operation.machine for operation in set_up.operations}
    memory = remembered(shop, machines.values(), date)
    record = None if afresh else latest(shop, plan.job.name, set_up.name)
    if record is not None and record.verdict is Verdict.OPEN:
        path = records_folder(shop) / f"{record.name}.yaml"
        return Bench(shop, plan, set_up, record, memory, path)
    now = standing(plan, set_up, Now(shop, date, memory))
    figures = {cause: item.set_to for cause, item in now.settings.items()} | dict(dialled or {})
    new = begin_record(plan, set_up, figures, date)
    return Bench(shop, plan, set_up, new, memory)
