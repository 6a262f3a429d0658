"""A test piece measured from a phone: what one form says, kept by the functions that `log` uses.

The piece has letters of its own in its address. They name its entry, and ``at`` says how much of it
the page knew of: so whatever comes a second time is known and written once.
"""

from __future__ import annotations

import datetime
import secrets
from collections.abc import Iterable, Mapping, Sequence

from msgspec import Struct
from msgspec.structs import replace

from setupsheets.bench.acts import Act, Kept, before_next, is_own, read_done, with_done
from setupsheets.bench.piece_in_hand import (
    ReadingLine,
    finished,
    last_typed,
    lines_of,
    new_piece,
    read_line,
    same_piece,
    to_be_said,
    with_readings,
    with_slip_struck,
)
from setupsheets.bench.questions import MustBeSaid, Question, Unreadable
from setupsheets.bench.typed_pieces import TypedReadings, doubted, instrument_called
from setupsheets.records.entry import Entry
from setupsheets.records.folder import FOLDER, read_told
from setupsheets.records.open_set_up import OpenSetUp
from setupsheets.records.record import RecordedReading
from setupsheets.wording.phone import (
    BEGUN_ANEW,
    CLOSED_MEANWHILE,
    GONE_ON,
    KEPT_THERE,
    LOST,
    NO_MORE_AGAIN,
    NOT_WRITTEN,
    READ_ANEW,
    TWO_FIGURES,
)
from setupsheets.wording.reading_doubts import doubt_words, read_words
from setupsheets.wording.titles import titles_in

_OWN = "phone"
"""What the letters of a phone's acts begin with: a terminal's entry in hand is left to it."""

Form = Mapping[str, str]


def own_letters() -> str:
    """Letters of its own for an act that a phone will send."""
    return f"{_OWN}{secrets.token_hex(8)}"


def is_phones(own: str) -> bool:
    """Whether letters are of a phone's act."""
    return bool(is_own(own)) and own.startswith(_OWN)


def own_in(form: Form) -> str:
    """The letters of an act that a form has; KeyError where they are none of a phone's."""
    own = form.get("own", "")
    if not is_phones(own):
        raise KeyError(own)
    return own


class GoneOn(Exception):
    """What was sent is of a page that others have gone past; it is not written. ``lines`` say what
    there was, where it is to be read anew."""

    def __init__(self, words: str, lines: Sequence[str] = ()) -> None:
        super().__init__(words)
        self.lines = tuple(lines)


class PieceInHand(Struct, frozen=True):
    """A test piece being measured: ``entry`` is its act so far, with nothing in it before the first
    reading; ``lines`` what is read of it."""

    opened: OpenSetUp
    entry: Entry
    lines: tuple[ReadingLine, ...]
    own: str

    @property
    def at(self) -> int:
        """How much of it there is: readings and strikes."""
        return len(self.entry.readings) + len(self.entry.strikes)

    @property
    def is_finished(self) -> bool:
        """Whether its advice is given: then nothing is added to it."""
        return bool(self.entry.advice)

    def read_of(self, line: ReadingLine) -> tuple[RecordedReading, ...]:
        """What counts of what was read of a line."""
        struck = {(each.of, each.number) for each in self.entry.strikes}
        every = [each for each in self.entry.readings if each.of == line.name]
        return tuple(e for n, e in enumerate(every, 1) if (line.name, n) not in struck)

    def next_after(self, index: int) -> int:
        """The line to be read after one; as many as there are lines where none is left."""
        return min(index + 1, len(self.lines))

    @property
    def question(self) -> tuple[str, ...]:
        """What must be said before it is finished; nothing as a rule."""
        found = to_be_said(self.opened, self.entry) if self.entry.readings else None
        return found.words if found else ()

    @property
    def first_unread(self) -> int:
        """The first line that nothing counts of."""
        unread = (n for n, line in enumerate(self.lines) if not self.read_of(line))
        return next(unread, len(self.lines))


def piece_in_hand(
    opened: OpenSetUp, own: str, asked: Act, again: bool, length: str = ""
) -> PieceInHand:
    """The piece with these letters as it is now, a new one where there is none yet; ``again`` is of
    the last one measured again, what its advice asks for. Raises Unreadable for a ``length`` that
    is none, KeyError where nothing of it is kept, and GoneOn where it has been closed or nothing is
    to be read again."""
    if not opened.set_up.recipe.makes.is_logged:
        raise KeyError(opened.set_up.name)
    entry = acted(opened.told.entries, own)
    if entry is None and is_known(opened, own):
        raise GoneOn(CLOSED_MEANWHILE)
    only: tuple[str, ...] = ()
    if again:
        only = _again(opened) if entry is None else _again_in(opened, entry)
    if entry is None:
        found = TypedReadings(length=length or None)
        said = replace(asked, found=found, own=own, sure=True)
        entry = same_piece(opened, said, own) if again else new_piece(opened, said)
    return PieceInHand(opened, entry, tuple(lines_of(opened, entry, only)), own)


def acted(entries: Iterable[Entry], own: str) -> Entry | None:
    """The act with these letters of its own."""
    return next((each for each in entries if each.name.endswith(f"-{own}")), None)


def is_known(opened: OpenSetUp, own: str) -> bool:
    """Whether a piece with these letters is in the record, or in the one that it follows."""
    before = opened.before.acts if opened.before else ()
    return acted((*opened.told.entries, *before), own) is not None


def still_counts(opened: OpenSetUp, own: str, form: Form) -> None:
    """Raises GoneOn for a piece that another record was begun in place of: the page may not know it
    yet, and what it has is not to be read by nobody."""
    for name in () if is_known(opened, own) else opened.record.instead_of:
        path = opened.shop.folder / FOLDER / f"{name}.yaml"
        entry = acted(read_told(path, opened.shop).entries, own) if path.is_file() else None
        if entry is None and form.get("record") != name:
            continue
        lines, figure, titles = [], typed_in(form), titles_in(opened.record)
        if entry is not None and entry.readings:
            read = (
                f"{titles.get(each.of, each.of)} {read_words(each, opened.notation)}"
                for each in entry.readings
            )
            lines.append(KEPT_THERE.format(", ".join(read)))
        if figure:
            lines.append(NOT_WRITTEN.format(figure))
        raise GoneOn(BEGUN_ANEW, (*lines, READ_ANEW))


def _again(opened: OpenSetUp) -> tuple[str, ...]:
    """What is to be read again of the last piece."""
    names = opened.answer().again if opened.record.pieces else ()
    if not names:
        raise GoneOn(NO_MORE_AGAIN)
    return names


def _again_in(opened: OpenSetUp, entry: Entry) -> tuple[str, ...]:
    """The same of one that is begun, and what it has."""
    return (*opened.without(entry).answer().again, *(each.of for each in entry.readings))


def typed_in(form: Form) -> str:
    """The figure that a form says, in the words that `log` reads: as it was typed, or put together
    from the keypad's whole, fraction and hair."""
    typed = form.get("typed", "").strip()
    whole, over, under = (form.get(key, "").strip() for key in ("whole", "over", "under"))
    hair = form.get("hair", "").strip()
    parts = [whole, f"{over}/{under}" if over and under else over or ""]
    pad = " ".join(each for each in parts if each)
    if typed and pad:
        raise Unreadable(TWO_FIGURES)
    figure = typed or pad
    return f"{figure} {hair}" if figure and hair else figure


def keep_line(piece: PieceInHand, index: int, form: Form) -> PieceInHand:
    """What a form says of a line, written; the piece as it is then. What has come before is not
    written again. Raises Unreadable, MustBeSaid for what looks like a slip, and GoneOn."""
    line, at = piece.lines[index], _number(form.get("at", ""))
    if by := form.get("by", ""):
        line = replace(line, by=instrument_called(by, piece.opened))
    typed = read_line(line, typed_in(form), piece.opened)
    if not typed:
        return piece
    if form.get("pair"):
        typed = [(replace(reading, pieces=2), text) for reading, text in typed]
    readings = [reading for reading, _ in typed]
    if at != piece.at or piece.is_finished:
        if all(each in piece.entry.readings for each in readings):
            return piece
        raise GoneOn(LOST if at > piece.at else GONE_ON)
    doubts = list(doubted(piece.opened, typed, piece.entry.longer))
    if doubts and not form.get("sure"):
        words = (doubt_words(each, piece.opened.notation) for each in doubts)
        raise MustBeSaid(Question.SLIP, words, "")
    opened, entry = with_readings(piece.opened, piece.entry, readings)
    return replace(piece, opened=opened, entry=entry)


def take_back(piece: PieceInHand, form: Form) -> tuple[PieceInHand, int]:
    """The reading typed last struck out, and the line that it was of, which is read again."""
    slip = last_typed(piece.entry)
    if piece.is_finished or slip is None or _number(form.get("at", "")) != piece.at:
        return piece, piece.first_unread
    opened, entry = with_slip_struck(piece.opened, piece.entry, slip)
    index = next(n for n, line in enumerate(piece.lines) if line.name == slip.of)
    return replace(piece, opened=opened, entry=entry), index


def work_out(piece: PieceInHand, asked: Act) -> Kept | None:
    """The piece finished with its advice; None where nothing was read or it is finished already.
    Raises MustBeSaid where it must be said first what was done before it."""
    if not piece.entry.readings or piece.is_finished:
        return None
    entry = piece.entry
    if entry.did is None and (question := to_be_said(piece.opened, entry)) is not None:
        if not asked.did:
            raise question
        before = piece.opened.without(entry)
        entry = with_done(entry, before, read_done(asked.did, before))
    return finished(piece.opened, entry, asked)


def did_in(form: Form) -> tuple[str, ...]:
    """What a form says was done, in the words that `--did` takes; none where it says nothing."""
    did = form.get("did", "")
    if did in ("advised", "nothing"):
        return (did,)
    return told_in(form, "move-")


def may_be_said(opened: OpenSetUp, today: datetime.date, form: Form) -> bool:
    """Whether what was done may be said now: of the last advice, or, where that is said, of what
    was moved ``since`` so many pieces were read."""
    if not (since := form.get("since", "")):
        return before_next(opened, today) is not None
    pieces = opened.record.pieces
    return bool(pieces) and since == str(len(pieces)) and pieces[-1].answered


def told_in(form: Form, before: str) -> tuple[str, ...]:
    """The fields of a form whose names begin so and that are filled, as CAUSE=AMOUNT."""
    filled = ((key, text.strip()) for key, text in form.items() if key.startswith(before))
    return tuple(f"{key.removeprefix(before)}={text}" for key, text in filled if text)


def _number(text: str) -> int:
    """How much of a piece a page knew of; -1 where it does not say."""
    return int(text) if text.isdecimal() and len(text) < 6 else -1
