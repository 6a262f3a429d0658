"""A test piece measured line by line: each reading is written as soon as it is typed, and its
advice once all are."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from msgspec import Struct
from msgspec.structs import replace

from setupsheets.bench.acts import (
    Act,
    Kept,
    advised_anew,
    read_dialled,
    read_done,
    untold,
    with_done,
    worked_out,
)
from setupsheets.bench.questions import MustBeSaid, Unreadable
from setupsheets.bench.typed_pieces import piece_of
from setupsheets.lengths import LengthError
from setupsheets.records.answer import Answer
from setupsheets.records.entry import Entry, Strike
from setupsheets.records.model import closest_instrument
from setupsheets.records.open_set_up import OpenSetUp
from setupsheets.records.record import BLANK_LENGTH, RecordedReading
from setupsheets.records.typed_readings import read_reading
from setupsheets.records.verdicts import Verdict
from setupsheets.wording.figures import tolerance
from setupsheets.wording.titles import cause_title


class ReadingLine(Struct, frozen=True):
    """One thing to be read of a piece: what it is called, what it is read ``by``, what it is to be
    and how far it may be out, in words; a blank's size has no limits."""

    name: str
    title: str
    by: str
    to_be: str
    limits: str = ""

    @property
    def prompt(self) -> str:
        """How it is asked for."""
        if not self.limits:
            return f"{self.title} ({self.by}) of this piece, meant to be {self.to_be}"
        return f"{self.title} ({self.by}) to be {self.to_be}, {self.limits}"


def reading_lines(opened: OpenSetUp, entry: Entry) -> Iterator[ReadingLine]:
    """The measures of a set-up, for the piece that an entry is of."""
    notation = opened.notation
    for measure in opened.record.measures:
        blank = measure.moved_by.get(BLANK_LENGTH, 0) * entry.longer
        target = notation.show(measure.target + blank)
        limits = tolerance(measure.under, measure.over, notation)
        yield ReadingLine(measure.name, measure.title, measure.by, target, limits)


def blank_reading_lines(opened: OpenSetUp, entry: Entry) -> Iterator[ReadingLine]:
    """What may be read of a piece's blank where a measure hangs on it."""
    by = closest_instrument(opened.shop) if opened.record.blanks else ""
    for cause in opened.record.blanks:
        own = opened.notation.show(opened.record.blank_of(cause, entry.longer))
        yield ReadingLine(cause, cause_title(cause), by, own)


def lines_of(opened: OpenSetUp, entry: Entry, only: Sequence[str] = ()) -> list[ReadingLine]:
    """What is read of the piece of an entry, in order; of one measured again ``only`` what is to be
    read again, if need be of its blank."""
    measures = list(reading_lines(opened, entry))
    if not only:
        return measures
    every = (*measures, *blank_reading_lines(opened, entry))
    return [each for each in every if each.name in only]


def new_piece(opened: OpenSetUp, asked: Act) -> Entry:
    """The entry of a further test piece, with nothing in it and nowhere written."""
    piece = piece_of(opened, asked.found, asked.date, sure=asked.sure)
    return replace(asked.entry_in(opened, asked.own), longer=piece.longer)


def same_piece(opened: OpenSetUp, asked: Act, own: str = "") -> Entry:
    """The entry of the last test piece measured again, with nothing in it and nowhere written."""
    last = opened.last
    return replace(asked.entry_in(opened, own), again=last.id, longer=last.longer)


def read_line(line: ReadingLine, text: str, opened: OpenSetUp) -> list[tuple[RecordedReading, str]]:
    """The readings typed on one line, `;` between repeated ones, each with its own text; none for
    an empty one. Raises Unreadable."""
    try:
        return [
            (read_reading(line.name, each, line.by, opened.notation), each)
            for each in text.split(";")
            if each.strip()
        ]
    except LengthError as error:
        raise Unreadable(str(error)) from None


def with_readings(
    opened: OpenSetUp, entry: Entry, readings: Sequence[RecordedReading], *, keep: bool = True
) -> tuple[OpenSetUp, Entry]:
    """The entry in hand with more readings, each written as it comes if they are to be kept."""
    for reading in readings:
        first = not entry.readings
        entry = replace(entry, readings=(*entry.readings, reading))
        if keep:
            opened = opened.write(entry) if first else opened.rewrite(entry)
    return opened, entry


def with_slip_struck(
    opened: OpenSetUp, entry: Entry, slip: Strike, *, keep: bool = True
) -> tuple[OpenSetUp, Entry]:
    """The entry in hand with a reading of its own struck out, written if it is to be kept."""
    entry = replace(entry, strikes=(*entry.strikes, slip))
    return (opened.rewrite(entry) if keep else opened), entry


def last_typed(entry: Entry) -> Strike | None:
    """The reading of the entry in hand that was typed last and still counts."""
    seen: Counter[str] = Counter()
    counted = []
    for reading in entry.readings:
        seen[reading.of] += 1
        strike = Strike(entry.name, reading.of, seen[reading.of])
        if strike not in entry.strikes:
            counted.append(strike)
    return counted[-1] if counted else None


def to_be_said(opened: OpenSetUp, entry: Entry) -> MustBeSaid | None:
    """What must be said before the entry in hand is finished: whether something was moved before
    its piece, where its readings look so and nobody has said it."""
    before = opened.without(entry)
    moved = before.untold(entry)
    return untold(before, moved) if moved else None


def finished(opened: OpenSetUp, entry: Entry, asked: Act) -> Kept:
    """The entry in hand with its advice, of all that is there by now, written. Where others have
    acted since it was begun, the advice is told anew as the last act."""
    kept, told, _ = worked_out(opened, entry, replace(asked, verdict=None))
    kept = opened.rewrite(next(each for each in kept.told.entries if each.name == entry.name))
    if kept.told.last != entry.name:
        return advised_anew(kept, asked.date)
    return Kept(kept, told)


def done(opened: OpenSetUp, asked: Act, own: str = "") -> OpenSetUp:
    """What was done about the last advice, written by itself. Raises Unreadable."""
    entry = asked.entry_in(opened, own)
    return opened.write(with_done(entry, opened, read_done(asked.did, opened)))


def dialled_first(opened: OpenSetUp, asked: Act, own: str = "") -> Kept:
    """What settings had been dialled to at first, written by itself where that is said; with what
    the pieces come to by that where nothing could be moved before it was. Raises Unreadable."""
    figures = read_dialled(asked.dialled, opened)
    if figures:
        told = opened.answer() if opened.record.pieces else None
        figures = read_dialled(asked.dialled, opened, opened.doubted_dials(told))
    if not figures:
        return Kept(opened, None)
    entry = replace(asked.entry_in(opened, own), dialled=figures)
    if not _beyond(opened):
        return Kept(opened.write(entry), None)
    one, told, _ = worked_out(opened, entry, asked)
    return Kept(opened.write(one.told.entries[-1]), told)


def _beyond(opened: OpenSetUp) -> bool:
    """Whether the readings so far ask of a dial what it cannot give."""
    told = opened.answer() if opened.record.pieces else None
    return isinstance(told, Answer) and bool(told.beyond)


def called_proved(opened: OpenSetUp, asked: Act, own: str = "") -> OpenSetUp:
    """The set-up called proved, and where its test piece is kept. Raises MustBeSaid where the
    pieces do not prove it."""
    asked = replace(asked, verdict=Verdict.PROVED)
    entry = replace(asked.entry_in(opened, own), kept=asked.kept)
    kept = worked_out(opened, entry, asked)
    return opened.write(kept.opened.told.entries[-1])
