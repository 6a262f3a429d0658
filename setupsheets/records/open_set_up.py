"""A set-up at the bench: its record so far, a new test piece, and the answer to it.

One act is one entry, and one write: what was done before, the readings, the advice. At the prompts
the entry in hand is written anew with each reading, so that nothing is lost when the work is broken
off.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping, Sequence
from contextlib import ExitStack, suppress
from functools import cached_property
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from setupsheets.files.documents import yaml_files
from setupsheets.files.faults import NOTHING, stop_on, unknown
from setupsheets.files.safe_writing import WriteFault, locked
from setupsheets.lengths import Length, Notation
from setupsheets.machining.checking.joint import Joint, joint
from setupsheets.machining.operations import SetUp
from setupsheets.machining.plan import Plan
from setupsheets.records import folder
from setupsheets.records.answer import Answer, DryFitAnswer, answer, untold
from setupsheets.records.blanks import BlankFound, blanks_found
from setupsheets.records.changes import SAME, known_events, last_day
from setupsheets.records.current import set_up_state
from setupsheets.records.entry import Entry, entry_name
from setupsheets.records.index import Facts
from setupsheets.records.mates import Mate, mates_of, sizes_made
from setupsheets.records.model import dial_of, millimetres, spread_of
from setupsheets.records.offset_history import OffsetHistory, offset_history, offsets_shown
from setupsheets.records.pieces_due import PiecesDue
from setupsheets.records.record import (
    CHECKED_WITHIN,
    Record,
    RecordedOffset,
    RecordedPiece,
    begin_record,
)
from setupsheets.records.shop_records import ShopRecords, open_ones
from setupsheets.records.standing import Stands, how_it_stands, standing_record
from setupsheets.records.told import Told, joins_of, unlike
from setupsheets.records.unread import unread_records_of
from setupsheets.records.verdicts import Verdict
from setupsheets.shop.finding import Shop
from setupsheets.shop.recipes import MadeSize, Makes

_FAR = 2.0  # times the spread of a setting made afresh: common practice, no source

BEGINNERS_WAIT = 30.0
"""Seconds that one who begins a record waits for others who do: each takes a few hundredths."""

MOMENT = "%Y-%m-%dT%H:%M:%S.%fZ"


def set_ups_called(plan: Plan, asked: str) -> tuple[SetUp, ...]:
    """The set-up of that name, else those of a recipe or of the beginning of a name; of several
    those that anything is measured of.

    Raises LookupError that says what there is, where none is meant.
    """
    names = [set_up.name for set_up in plan.set_ups]
    exact = [item for item in plan.set_ups if item.name == asked]
    found = exact or [item for item in plan.set_ups if item.name.startswith(asked)]
    if not found:
        raise LookupError(unknown("recipe", asked, names))
    if not any(item.recipe.makes.is_logged for item in found):
        message = (
            f"{asked!r} is read on the leaf: its boxes are on the sheet, and nothing is logged"
        )
        raise LookupError(f"{message}; what is logged of a leaf is its dry fit")
    return tuple(item for item in found if item.measurements) or tuple(found)


class OpenSetUp(Struct, frozen=True, dict=True):
    """One set-up with its record: ``told`` are the head and the entries so far. ``path`` is the
    head's, None until it is written; ``history`` is what the machines are known by; ``others`` are
    further open records of the same set-up; ``before`` is the one that a new one follows: closed,
    or read when other figures were to be made; ``due`` are the test pieces that a new one asks for,
    None where a record goes on that was not left for long; ``mates`` what its ends or panels go
    into."""

    shop: Shop
    plan: Plan
    set_up: SetUp
    told: Told
    history: OffsetHistory
    path: Path | None = None
    others: tuple[Told, ...] = ()
    elsewhere: tuple[Facts, ...] = ()
    before: Told | None = None
    due: PiecesDue | None = None
    mates: tuple[Mate, ...] = ()

    @cached_property
    def record(self) -> Record:
        """What head and entries come to."""
        return self.told.record

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

    def left_on(self, date: datetime.date) -> bool:
        """Whether nobody has told of the dials for so long before a day that they may have been
        set again meanwhile."""
        said = (each.date for each in self.told.acts if each.new_piece or each.did is not None)
        last = max([last_day(self.record), *said])
        return bool(self.record.pieces) and date - last > CHECKED_WITHIN

    def untold(self, entry: Entry) -> Mapping[str, Length]:
        """By cause, what was likely moved before the piece of an entry that does not say so."""
        if entry.did is not None or entry.again or not entry.readings or not self.record.pieces:
            return {}
        if self.last.answered or self.record.is_dry_fit:
            return {}
        return untold(self.with_entry(entry).record, self.shop, self.history)

    def doubted_dials(self, found: Answer | DryFitAnswer | None = None) -> Mapping[str, Length]:
        """By cause, what was moved by more than a setting is usually out, though nobody has said
        that it had been set wrong: in the last act, or before the last piece where that is the
        first to show it; or what the last act asks to be moved so to where it cannot stand.
        ``found`` is what that act comes to: a move that its piece does not show is to be looked at,
        and nothing is asked of it before."""
        if not self.told.entries:
            return {}
        last = self.told.entries[-1]
        moved, shims = last.did or {}, last.by_shims
        if last.readings and not moved and len(self.record.pieces) > 2:
            earlier = self.record.pieces[-3]
            moved, shims = self._hidden(earlier.moved), earlier.by_shims
        hidden = found.unfollowed if isinstance(found, Answer) else ()
        beyond = self.beyond(found)
        settled = {cause for entry in self.told.acts for cause in entry.dialled}
        settled |= {move.cause.name for move in hidden}
        dials = {item.cause: dial_of(item, self.shop) for item in self.record.settings}
        by_marks = {cause: amount for cause, amount in moved.items() if cause not in shims}
        return {
            cause: amount
            for cause, amount in {**by_marks, **beyond}.items()
            if cause in dials and cause not in settled
            if abs(millimetres(amount)) > _FAR * spread_of(dials[cause]).first
        }

    def beyond(self, found: Answer | DryFitAnswer | None) -> Mapping[str, Length]:
        """By cause what an answer asks of dials that cannot stand so."""
        return found.beyond if isinstance(found, Answer) else {}

    def _hidden(self, moved: Mapping[str, Length]) -> Mapping[str, Length]:
        """What of these moves the piece before the last did not show."""
        if not moved:
            return {}
        before = replace(self.record, pieces=self.record.pieces[:-1])
        told = answer(before, self.plan.joinery.layout, self.shop, self.history)
        hidden = told.unfollowed if isinstance(told, Answer) else ()
        return {m.cause.name: moved[m.cause.name] for m in hidden if m.cause.name in moved}

    def made(self, found: Answer | DryFitAnswer) -> Mapping[MadeSize, Length]:
        """What ends are to be fitted to, where a mate was made and came out otherwise than it was
        designed: as last read, once the parts can be cut so or it is called proved."""
        proved = self.record.verdict is Verdict.PROVED
        if not proved and (not found.ready or found.moved):
            return {}
        targets = {each.as_made: each.target for each in self.set_up.measurements}
        made = sizes_made(self.record, self.set_up)
        return {s: each.size for s, each in made.items() if abs(each.size - targets[s]) > SAME}

    def joint(self, found: Answer | DryFitAnswer) -> Joint | None:
        """For an end, how it is to be expected to lie on its mate once that is done; None where
        every measure is expected inside its limits, and while the piece is to be measured again:
        nobody knows yet."""
        if self.set_up.recipe.makes is not Makes.COPE or not found.errors:
            return None
        if isinstance(found, Answer) and (found.held or found.right):
            return None
        offsets = {cause: millimetres(error) for cause, error in found.errors.items()}
        return joint((self.set_up,), offsets)

    def blanks(self, lengths: Sequence[Length]) -> tuple[BlankFound, ...]:
        """What becomes of blanks that are cut already, by their lengths."""
        parts = {part.name: part.overall for part in self.plan.joinery.parts}
        return blanks_found(self.record, self.set_up.subject.length, lengths, parts)

    def entry(self, date: datetime.date, now: datetime.datetime, own: str = "") -> Entry:
        """An entry that comes after all that is there, with nothing in it yet."""
        return Entry(entry_name(now, self.told.last, own), date, follows=self.told.last)

    def with_entry(self, entry: Entry) -> OpenSetUp:
        """The same with one more entry, or with another in place of the one of its name; nothing is
        written."""
        others = self.told.without(entry.name)
        return replace(self, told=others._replace(entries=(*others.entries, entry)))

    def without(self, entry: Entry) -> OpenSetUp:
        """The same without the entry in hand."""
        return replace(self, told=self.told.without(entry.name))

    def unlike_others(self) -> tuple[str, ...]:
        """The causes and measures in which another open record is not like this one: the two cannot
        be joined then."""
        found = (name for each in self.others for name in unlike(self.told.head, each.head))
        return tuple(dict.fromkeys(found))

    def joined(self, entry: Entry) -> tuple[OpenSetUp, Entry]:
        """The same and its other open records as one, and the entry that says so; nothing is
        written. What the dials have come to stand at meanwhile is moved in the entry, for the day
        on which they are taken apart again."""
        parts = (part for each in self.others for part in (each._replace(joined=()), *each.joined))
        told = self.told._replace(joined=(*self.told.joined, *parts))
        one = replace(self, told=told, others=())
        names = tuple(each.head.name for each in self.others)
        entry = replace(entry, joins=names, verdict=Verdict.OPEN)
        now, before = one.with_entry(entry).record.stand, self.record.stand
        did = {cause: now[cause] - before.get(cause, Length.ZERO) for cause in now}
        return one, replace(entry, did={cause: by for cause, by in did.items() if by} or None)

    def taken_apart(self, entry: Entry) -> tuple[OpenSetUp, Entry]:
        """The same without what was joined to it, and the entry that says so; nothing is
        written."""
        names = joins_of(self.told.entries)
        entry = replace(entry, apart=names, verdict=Verdict.OPEN)
        return replace(self, told=self.told._replace(joined=())), entry

    def write(self, entry: Entry) -> OpenSetUp:
        """Write an entry in one step, after the head where that is not there yet. Raises
        WriteFault, whose words say what is kept then."""
        opened = self._with_head()
        assert opened.path is not None, "its head is written"
        try:
            folder.write_entry(opened.path, entry, self.notation)
        except WriteFault as fault:
            if self.path is None and fault.left == NOTHING:
                fault.left = (
                    f"the set-up is begun in {opened.path}, and nothing of this piece is kept: give"
                    " the same command again"
                )
            raise
        return opened.with_entry(entry)

    def rewrite(self, entry: Entry) -> OpenSetUp:
        """Write the entry in hand anew, while its act goes on."""
        assert self.path is not None, "an entry that is written has its head"
        try:
            folder.rewrite_entry(self.path, entry, self.notation)
        except WriteFault as fault:
            if fault.left == NOTHING:
                fault.left = f"what was typed before is kept in {self.path}"
            raise
        return self.with_entry(entry)

    def _with_head(self) -> OpenSetUp:
        """The same with its head written; two who begin at one moment begin one record."""
        if self.path is not None:
            return self
        place, head = self.shop.folder / folder.FOLDER, self.told.head
        with ExitStack() as stack:
            with suppress(WriteFault):  # without a lock two records are begun, told and joined
                stack.enter_context(locked(place / head.name, BEGINNERS_WAIT))
            if (other := folder.begun_meanwhile(head, place, self.shop)) is not None:
                began = folder.read_told(other, self.shop)._replace(entries=())
                return replace(self, path=other, told=began)
            return replace(self, path=folder.write_new(head, place, self.notation))

    def came_between(self) -> OpenSetUp | None:
        """The same as its files are by now, where others have added to them; None where nobody
        has."""
        known = {item.name for item in self.told.acts}
        there = yaml_files(folder.entries_folder(self.path)) if self.path is not None else ()
        if not self.told.joined and {entry.stem for entry in there} <= known:
            return None  # no file has come, so none need be read
        now = self.as_now()
        return None if {item.name for item in now.told.acts} <= known else now

    def as_now(self) -> OpenSetUp:
        """The same with its record as its files tell it at this moment."""
        if self.path is None:
            return self
        return replace(self, told=folder.read_told(self.path, self.shop))

    def after(self) -> tuple[RecordedOffset, ...]:
        """What the record teaches, once it is closed."""
        return offsets_shown(self.record, self.shop)


def open_set_up(
    records: ShopRecords,
    plan: Plan,
    set_up: SetUp,
    date: datetime.date,
    *,
    dialled: Mapping[str, Length] | None = None,
    afresh: bool = False,
    now: datetime.datetime | None = None,
) -> OpenSetUp:
    """The record of a set-up that is open, or that was proved lately: what is measured then checks
    it. Else a new one that begins with what the sheet says to dial.

    ``dialled`` overrules that by cause; ``afresh`` begins anew whatever there is; ``now`` is the
    moment at which it begins, the clock's where none is given.
    """
    shop = records.shop
    history = offset_history(records, plan.machines, date)
    record, changes = standing_record(plan, set_up, records, date)
    mates = mates_of(plan, set_up, records, date)
    if not afresh:
        stop_on(unread_records_of(plan.job.name, set_up.name, records))
        stands = how_it_stands(record, changes, date)
        if record is not None and stands.goes_on:
            path = records.folder / f"{record.name}.yaml"
            told = records.told(path)
            assert told is not None, "it has been read"
            return OpenSetUp(
                shop=shop,
                plan=plan,
                set_up=set_up,
                told=told,
                history=history,
                path=path,
                others=tuple(_others(record, records)),
                due=PiecesDue(1, stands, record, date) if stands is Stands.LEFT else None,
                mates=mates,
            )
    state = set_up_state(plan, set_up, records, history, date)
    figures = {cause: item.set_to for cause, item in state.settings.items()} | dict(dialled or {})
    known = shop.settings.instruments
    begun = begin_record(plan, set_up, figures, date)
    new = replace(
        begun,
        begun=f"{(now or datetime.datetime.now(datetime.UTC)).astimezone(datetime.UTC):{MOMENT}}",
        instead_of=tuple(item.name for item in open_ones(records.of(plan.job.name, set_up.name))),
        after_events=known_events(begun, shop),
        instruments={item.by: known[item.by] for item in begun.measures if item.by in known},
    )
    before = None
    if record is not None and not afresh and not any(each.ends_proof for each in changes):
        before = records.told(records.folder / f"{record.name}.yaml")
    told, elsewhere = Told(new, ()), tuple(_elsewhere(new, records))
    opened = OpenSetUp(shop, plan, set_up, told, history, elsewhere=elsewhere)
    return replace(opened, before=before, mates=mates, due=None if afresh else state.due)


def _others(record: Record, records: ShopRecords) -> Iterator[Told]:
    """The further open records of its set-up."""
    for each in open_ones(records.of(record.job, record.set_up)):
        told = records.told(each.path)
        if told is not None and told.head.name != record.name:
            yield told


def _elsewhere(new: Record, records: ShopRecords) -> Iterator[Facts]:
    """What is known of the open records of the same recipe and section under another job."""
    for found in records.having(recipe=new.recipe, section=new.section):
        if found.is_open and found.facts.job != new.job:
            yield found.facts
