"""A set-up at the bench: its record so far, a new test piece, and the answer to it.

Everything is written as soon as it is known: a reading when it is typed, advice when it is given,
a move when it is made. Nothing is lost when the work is broken off.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from setupsheets.files.faults import Fault, stop_on, unknown, whole_file
from setupsheets.lengths import Length, Notation
from setupsheets.machining.checking.joint import Joint, joint
from setupsheets.machining.operations import SetUp
from setupsheets.machining.plan import Plan
from setupsheets.records import folder
from setupsheets.records.answer import Answer, DryFitAnswer, answer
from setupsheets.records.blanks import BlankFound, blanks_found
from setupsheets.records.current import record_of, set_up_state
from setupsheets.records.model import millimetres
from setupsheets.records.offset_history import OffsetHistory, offset_history, offsets_shown
from setupsheets.records.record import (
    Record,
    RecordedPiece,
    RecordedReading,
    Verdict,
    begin_record,
)
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
class OpenSetUp:
    """One set-up with its record. ``path`` is None until something is written; ``history`` is
    what the machines are known by."""

    shop: Shop
    plan: Plan
    set_up: SetUp
    record: Record
    history: OffsetHistory
    path: Path | None = None

    @property
    def notation(self) -> Notation:
        """How the shop writes lengths."""
        return self.shop.settings.notation

    @property
    def last(self) -> RecordedPiece:
        """The test piece in hand."""
        return self.record.pieces[-1]

    def answer(self) -> Answer | DryFitAnswer:
        """What the test pieces so far come to."""
        return answer(self.record, self.plan.joinery.layout, self.shop, self.history)

    def joint(self, found: Answer | DryFitAnswer) -> Joint | None:
        """For an end, how it is to be expected to lie on its mate once that is done."""
        if self.set_up.recipe.makes is not Makes.COPE or not found.errors:
            return None
        offsets = {cause: millimetres(error) for cause, error in found.errors.items()}
        return joint((self.set_up,), offsets)

    def blanks(self, lengths: Sequence[Length]) -> tuple[BlankFound, ...]:
        """What becomes of blanks that are cut already, by their lengths."""
        parts = {part.name: part.overall for part in self.plan.joinery.parts}
        return blanks_found(self.record, self.set_up.subject.length, lengths, parts)

    def with_piece(self, piece: RecordedPiece) -> OpenSetUp:
        """The same with one more test piece, nothing written."""
        return replace(self, record=replace(self.record, pieces=(*self.record.pieces, piece)))

    def with_reading(self, reading: RecordedReading) -> OpenSetUp:
        """The same with one more reading of the test piece in hand, nothing written."""
        return self._with_last(replace(self.last, readings=(*self.last.readings, reading)))

    def write_piece(self, piece: RecordedPiece) -> OpenSetUp:
        """Write one more test piece, and the record itself if it is not there yet."""
        made = self.with_piece(piece)
        if self.path is None:
            place = self.shop.folder / folder.FOLDER
            return replace(made, path=folder.write_new(made.record, place, self.notation))
        folder.add_piece(self.path, piece, self.notation)
        return made

    def write_reading(self, reading: RecordedReading) -> OpenSetUp:
        """Write one more reading of the test piece in hand."""
        assert self.path is not None, "a reading belongs to a piece that is written"
        folder.add_reading(self.path, len(self.record.pieces) - 1, reading, self.notation)
        return self.with_reading(reading)

    def with_done(
        self, advice: Sequence[str], moved: Mapping[str, Length], by_shims: Sequence[str] = ()
    ) -> OpenSetUp:
        """The same with the advice given after the piece in hand and what was then moved."""
        return self._with_last(self.last.with_done(advice, moved, by_shims))

    def write_done(
        self, advice: Sequence[str], moved: Mapping[str, Length], by_shims: Sequence[str] = ()
    ) -> OpenSetUp:
        """Write the advice that was given after the piece in hand and what was then moved."""
        assert self.path is not None, "advice belongs to a piece that is written"
        done = self.with_done(advice, moved, by_shims)
        folder.add_done(self.path, done.last, self.notation)
        return done

    def close(self, verdict: Verdict, kept: str) -> OpenSetUp:
        """Write the verdict, where the test piece is kept, and what a proved set-up teaches."""
        assert self.path is not None, "a verdict belongs to a record that is written"
        after = offsets_shown(self.record, self.shop) if verdict is Verdict.PROVED else ()
        folder.close(self.path, verdict, kept, after, self.notation)
        return replace(self, record=replace(self.record, verdict=verdict, kept=kept, after=after))

    def _with_last(self, piece: RecordedPiece) -> OpenSetUp:
        pieces = (*self.record.pieces[:-1], piece)
        return replace(self, record=replace(self.record, pieces=pieces))


def _unread_records_of(set_up: SetUp, shop: Shop) -> Iterator[Fault]:
    """Records that could not be read and may by their names be those of this set-up: to begin
    another in their place would forget their test pieces."""
    for path, found in shop.passed_over.items():
        if set_up.name.replace("/", "-") in path.stem:
            message = (
                "this may be the record of this set-up: put it right first; log begins another "
                "with --afresh"
            )
            yield from (*found.faults, whole_file(path, message))


def open_set_up(
    shop: Shop,
    plan: Plan,
    set_up: SetUp,
    date: datetime.date,
    *,
    dialled: Mapping[str, Length] | None = None,
    afresh: bool = False,
) -> OpenSetUp:
    """The open record of a set-up, or a new one that begins with what the sheet says to dial.

    ``dialled`` overrules that by cause; ``afresh`` begins anew whatever there is.
    """
    machines = {operation.machine.name: operation.machine for operation in set_up.operations}
    records = folder.ShopRecords(shop)
    history = offset_history(records, machines.values(), date)
    record = None if afresh else record_of(plan, set_up, records)
    if not afresh:
        stop_on(_unread_records_of(set_up, shop))
    if record is not None and record.verdict is Verdict.OPEN:
        path = records.folder / f"{record.name}.yaml"
        return OpenSetUp(shop, plan, set_up, record, history, path)
    state = set_up_state(plan, set_up, records, history, date)
    figures = {cause: item.set_to for cause, item in state.settings.items()} | dict(dialled or {})
    new = begin_record(plan, set_up, figures, date)
    return OpenSetUp(shop, plan, set_up, new, history)
