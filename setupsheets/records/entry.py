"""An entry: one act at the bench, in a file of its own beside its record, never changed after it.

So one act is one write, two people never write the same file, and two copies of a shop come
together without a conflict. `folded` makes of a head and its entries the record that they tell.
"""

from __future__ import annotations

import datetime
import re
import secrets
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence

from msgspec import Struct, field
from msgspec.structs import replace

from setupsheets.files.faults import NOWHERE, Fault, Marks, unknown
from setupsheets.lengths import Length
from setupsheets.records.record import (
    CHECKED_WITHIN,
    Record,
    RecordedOffset,
    RecordedPiece,
    RecordedReading,
)
from setupsheets.records.verdicts import Verdict

_MOMENT = "%Y%m%d-%H%M%S-%f"

NO_MOMENT = "000000"
"""What stands for it in the name of a piece inside a joined head: before all entries of its day."""

is_entry_name = re.compile(r"\d{8}-\d{6}-\d{6}-[a-z0-9]+(?:-[a-z0-9]+)*").fullmatch
"""Whether a text is an entry's name: its moment, and letters of its own."""


class Strike(Struct, frozen=True):
    """A slip struck out: the reading ``of`` a measure in an ``entry``, by its ``number`` there
    among those of that measure, counted from 1."""

    entry: str
    of: str
    number: int


class Entry(Struct, frozen=True):
    """One act. ``name`` is its file's stem, `follows` the entry that was the last one before it.

    ``did``: what was moved before it, since the act before, by cause; None where nobody said.
    ``readings`` are of a new test piece, or of the one that ``again`` names. ``advice`` is what was
    advised then, ``advised`` what of it was to be moved. What of either was moved by shims is named
    beside it. ``joins`` are records that are one with this from here on, and ``apart`` those that
    are not after all; ``did`` is then what its dials have been moved to meanwhile. ``time`` is when
    on its day it was, where somebody said so. ``dialled``: what a setting had really been dialled
    to at first, by cause, where somebody looked.
    """

    name: str
    date: datetime.date
    follows: str = ""
    did: Mapping[str, Length] | None = None
    by_shims: tuple[str, ...] = ()
    readings: tuple[RecordedReading, ...] = ()
    again: str = ""
    longer: Length = Length.ZERO
    advice: tuple[str, ...] = ()
    advised: Mapping[str, Length] = field(default_factory=dict)
    advised_by_shims: tuple[str, ...] = ()
    strikes: tuple[Strike, ...] = ()
    verdict: Verdict | None = None
    although: str = ""
    kept: str = ""
    after: tuple[RecordedOffset, ...] = ()
    notes: str = ""
    joins: tuple[str, ...] = ()
    apart: tuple[str, ...] = ()
    time: str = ""
    dialled: Mapping[str, Length] = field(default_factory=dict)
    marks: Marks = NOWHERE

    @property
    def clock(self) -> str:
        """When on its day it was, as said or by its name where it was written on that very day, the
        clock of this place; empty where nobody knows."""
        if self.time or not is_entry_name(self.name) or self.name[9:15] == NO_MOMENT:
            return self.time
        moment = _moment_in(self.name).astimezone()
        return f"{moment:%H:%M}" if moment.date() == self.date else ""

    @property
    def new_piece(self) -> bool:
        """Whether its readings are of a piece that was not measured before."""
        return bool(self.readings) and not self.again


def entry_name(now: datetime.datetime, last: str = "", own: str = "") -> str:
    """A name for an entry: later than the ``last`` one, whatever the clock says, with letters of
    its ``own`` where the caller gives any."""
    moment = now.astimezone(datetime.UTC)
    if is_entry_name(last):
        moment = max(moment, _moment_in(last) + datetime.timedelta(microseconds=1))
    return f"{moment:{_MOMENT}}-{own or secrets.token_hex(3)}"


def _moment_in(name: str) -> datetime.datetime:
    return datetime.datetime.strptime(f"{name[:22]} +0000", f"{_MOMENT} %z")


def folded(head: Record, entries: Sequence[Entry]) -> Record:
    """The record that a head and its entries, by their moments, come to.

    What a head of version 1 has inside comes before all entries. A strike of nothing and readings
    of a piece that is not there are left out: `entry_faults` tells of them.
    """
    fold = _Fold(head, {strike: item.date for item in entries for strike in item.strikes})
    for entry in sorted(entries, key=lambda item: item.name):
        fold.add(entry)
    return fold.record


def version_1_piece(number: int) -> str:
    """What a piece is called that a head of version 1 has inside, counted from 1."""
    return f"piece-{number}"


class _Fold:
    """The record as it is after the entries so far."""

    def __init__(self, head: Record, struck_on: Mapping[Strike, datetime.date]) -> None:
        self.struck_on = struck_on
        pieces = (
            replace(
                piece,
                id=(name := version_1_piece(number)),
                answered=bool(piece.moved),
                readings=self._struck(name, piece.readings),
            )
            for number, piece in enumerate(head.pieces, 1)
        )
        self.record = replace(head, pieces=tuple(pieces))
        self.told_on = max((piece.date for piece in head.pieces), default=head.date)

    def add(self, entry: Entry) -> None:
        """One more entry."""
        if entry.dialled:
            self._dialled(entry.dialled, looked_at=True)
        if entry.did is not None:
            self._move(entry.did, entry.by_shims)
            self.told_on = max(self.told_on, entry.date)
        piece = self._measured(entry)
        if piece is not None and (entry.advice or entry.readings):
            self._put(
                piece,
                advice=entry.advice,
                advised=entry.advised,
                advised_by_shims=entry.advised_by_shims,
                answered=False,
            )
        if entry.new_piece and not self._inside(entry):
            self._say(verdict=Verdict.OPEN, after=(), although="")
        if entry.verdict is not None:
            self._say(verdict=entry.verdict, although=entry.although, after=entry.after)
        elif entry.after:
            self._say(after=entry.after)
        self._say(
            kept=entry.kept or self.record.kept,
            notes="\n".join(filter(None, (self.record.notes, entry.notes))),
        )

    def _move(self, did: Mapping[str, Length], by_shims: Sequence[str]) -> None:
        """What was moved adds to what was moved before; without a piece it was dialled so."""
        if self.record.pieces:
            done = self.record.pieces[-1].with_done(did, by_shims)
            self._say(pieces=(*self.record.pieces[:-1], done))
            return
        self._dialled(
            {
                item.cause: item.dialled + did.get(item.cause, Length.ZERO)
                for item in self.record.settings
            }
        )

    def _dialled(self, figures: Mapping[str, Length], *, looked_at: bool = False) -> None:
        """What settings were first dialled to, as said then or as found by a look at them."""
        settings = (
            replace(
                item,
                dialled=figures.get(item.cause, item.dialled),
                looked_at=item.looked_at or (looked_at and item.cause in figures),
            )
            for item in self.record.settings
        )
        self._say(settings=tuple(settings))

    def _measured(self, entry: Entry) -> int | None:
        """The index of the piece that an entry is about, its readings put there."""
        readings = self._struck(entry.name, entry.readings)
        ids = [piece.id for piece in self.record.pieces]
        if entry.again:
            if entry.again not in ids:
                return None
            number = ids.index(entry.again)
            self._put(number, readings=(*self.record.pieces[number].readings, *readings))
        elif readings:
            piece = RecordedPiece(
                date=entry.date,
                readings=readings,
                longer=entry.longer,
                id=entry.name,
                time=entry.clock,
                left=bool(ids) and entry.date - self.told_on > CHECKED_WITHIN,
            )
            self.told_on = max(self.told_on, entry.date)
            self._say(pieces=(*self.record.pieces, piece))
        return len(self.record.pieces) - 1 if self.record.pieces else None

    def _struck(
        self, name: str, readings: tuple[RecordedReading, ...]
    ) -> tuple[RecordedReading, ...]:
        """The readings of an entry, with the day on those that were struck out."""
        seen: Counter[str] = Counter()
        found = []
        for reading in readings:
            seen[reading.of] += 1
            on = self.struck_on.get(Strike(name, reading.of, seen[reading.of]))
            found.append(replace(reading, struck=on) if on else reading)
        return tuple(found)

    def _inside(self, entry: Entry) -> bool:
        number = len(self.record.pieces)
        return all(item.inside for item in self.record.deviations() if item.piece == number)

    def _put(self, number: int, **changes: object) -> None:
        pieces = list(self.record.pieces)
        pieces[number] = replace(pieces[number], **changes)
        self._say(pieces=tuple(pieces))

    def _say(self, **changes: object) -> None:
        self.record = replace(self.record, **changes)


def last_counted(head: Record, entries: Sequence[Entry], measure: str) -> Strike | None:
    """What strikes out the last reading of a measure; None where none is left that counts."""
    told = [(version_1_piece(n), piece.readings) for n, piece in enumerate(head.pieces, 1)]
    told += [(item.name, item.readings) for item in sorted(entries, key=lambda item: item.name)]
    struck = {strike for item in entries for strike in item.strikes}
    for name, readings in reversed(told):
        count = sum(reading.of == measure for reading in readings)
        for number in range(count, 0, -1):
            if (strike := Strike(name, measure, number)) not in struck:
                return strike
    return None


def entry_faults(head: Record, entries: Sequence[Entry], entry: Entry) -> Iterator[Fault]:
    """What in one of the entries leads nowhere: told, and the entry left out of the record."""
    measures = [*(measure.name for measure in head.measures), *head.blanks]
    pieces = [version_1_piece(number) for number, _ in enumerate(head.pieces, 1)]
    pieces += [each.name for each in entries if each.new_piece]
    if entry.again and entry.again not in pieces:
        yield entry.marks.fault(unknown("test piece", entry.again, pieces), "again")
    for reading in entry.readings:
        if reading.of not in measures:
            yield reading.marks.fault(unknown("measure", reading.of, measures), "of")
    names = list(dict.fromkeys([*pieces, *(each.name for each in entries)]))
    for index, strike in enumerate(entry.strikes):
        if strike.entry not in names:
            message = unknown("entry", strike.entry, names)
            yield entry.marks.fault(message, "strikes", index, "entry")
    causes = {setting.cause for setting in head.settings}
    causes |= {cause for measure in head.measures for cause in measure.moved_by}
    told = (("did", entry.did or {}), ("advised", entry.advised), ("dialled", entry.dialled))
    for key, moves in told:
        for cause in moves.keys() - causes:
            yield entry.marks.key_fault(unknown("cause", cause, sorted(causes)), key, cause)
