"""One act at the bench: what is said becomes one entry, written in one step, with its advice."""

from __future__ import annotations

import datetime
import re
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from msgspec import Struct
from msgspec.structs import replace

from setupsheets.bench.questions import MustBeSaid, Question, Unreadable
from setupsheets.bench.typed_pieces import NOTHING_READ, TypedReadings, lengths_by, piece_of
from setupsheets.files.faults import DataFaults, nearest, unknown
from setupsheets.lengths import Length
from setupsheets.machining.planning.fitted_ends import parts_fitted_to
from setupsheets.records.answer import Answer, DryFitAnswer
from setupsheets.records.calling_proved import objections
from setupsheets.records.entry import Entry, Strike, last_counted
from setupsheets.records.open_set_up import OpenSetUp, open_set_up
from setupsheets.records.record import RecordedPiece
from setupsheets.records.shop_records import ShopRecords
from setupsheets.records.verdicts import Verdict
from setupsheets.wording.answers import advice_lines
from setupsheets.wording.bench import (
    ALTHOUGH_OPTION,
    a_move,
    left_words,
    not_dialled_words,
    objection_words,
    same_again_options,
    same_again_words,
    unanswered_options,
    unanswered_words,
    untold_options,
    untold_words,
)
from setupsheets.wording.made_sizes import to_be_fitted_words

NO_MOVES: Mapping[str, Length] = {}
_NEAR = Length("1/4 in")
"""How near a figure that was dialled wrong is to what the pieces say of it: common practice, no
source."""

is_own = re.compile(r"[a-z0-9]{4,40}").fullmatch


class Act(Struct, frozen=True):
    """What is said at the bench, as the options of `log` say it."""

    date: datetime.date
    found: TypedReadings = NOTHING_READ
    did: Sequence[str] = ()
    dialled: Sequence[str] = ()
    same: bool = False
    next_piece: bool = False
    sure: bool = False
    strikes: Sequence[str] = ()
    verdict: Verdict | None = None
    although: str = ""
    kept: str = ""
    own: str = ""
    time: str = ""

    def entry_in(self, opened: OpenSetUp, own: str = "") -> Entry:
        """An entry of this act after all that is there, with nothing in it yet."""
        return replace(opened.entry(self.date, now(), own), time=self.time)

    def says_anything(self, opened: OpenSetUp) -> bool:
        """Whether there is anything to keep without asking."""
        return bool(
            self.found.readings
            or self.did
            or (self.dialled and opened.path)
            or self.strikes
            or self.verdict
            or (self.kept and opened.path)
        )


class Kept(NamedTuple):
    """A set-up after an act, and what its test pieces come to; ``others`` tells that somebody else
    has added to the record meanwhile."""

    opened: OpenSetUp
    told: Answer | DryFitAnswer | None
    others: bool = False


def to_be_fitted(opened: OpenSetUp, told: Answer | DryFitAnswer) -> str:
    """What came out otherwise than designed, and what is fitted to it from now on; else empty."""
    made, plan = opened.made(told), opened.plan
    parts = parts_fitted_to(opened.set_up, plan.joinery, made) if made else ()
    typed = {name for name in parts if made.keys() & plan.job.as_made.get(name, {}).keys()}
    return to_be_fitted_words(made, parts, typed, opened.notation)


def now() -> datetime.datetime:
    """The moment of an act."""
    return datetime.datetime.now(datetime.UTC)


def kept_before(opened: OpenSetUp, own: str) -> bool:
    """Whether an act with these letters of its own is kept already."""
    return bool(own) and any(each.name.endswith(f"-{own}") for each in opened.told.acts)


def keep(opened: OpenSetUp, asked: Act) -> Kept:
    """Keep what is said in one entry. Raises Unreadable, and MustBeSaid where something must be
    answered first; then nothing is written."""
    if opened.path is None and not asked.found.readings:
        message = "no record of this set-up is open: it begins with the readings of a test piece"
        raise Unreadable(message, "--found")
    entry = _entry(opened, asked)
    kept, told, _ = worked_out(opened, entry, asked)
    kept = opened.write(kept.told.entries[-1])
    try:
        others = kept.came_between()
    except DataFaults as found:
        raise DataFaults(found.faults, f"this act is kept in {kept.path}") from None
    if others is None:
        return Kept(kept, told)
    return advised_anew(others, asked.date)._replace(others=True)


def _entry(opened: OpenSetUp, asked: Act) -> Entry:
    """The entry that is asked for."""
    piece = piece_of(opened, asked.found, asked.date, sure=asked.sure)
    entry = replace(
        asked.entry_in(opened, asked.own),
        readings=piece.readings,
        longer=piece.longer,
        kept=asked.kept,
    )
    if asked.same:
        if not opened.record.pieces:
            raise Unreadable("there is no test piece yet to measure again", "--same")
        entry = replace(entry, again=opened.last.id, longer=opened.last.longer)
    if not asked.next_piece:
        _not_twice(opened, entry, piece)
    entry = with_done(entry, opened, _what_was_done(opened, asked, entry))
    return replace(
        entry,
        strikes=tuple(struck(opened, asked.strikes)),
        dialled=read_dialled(asked.dialled, opened),
    )


def _what_was_done(opened: OpenSetUp, asked: Act, entry: Entry) -> Mapping[str, Length] | None:
    """What was moved before the piece of an entry; it must be said where there was advice and
    nobody has said, or where its readings look as if something had been put right."""
    if asked.did:
        return read_done(asked.did, opened)
    if not asked.found.readings:
        return None
    if opened.record.pending:
        raise undone(opened, same=bool(entry.again))
    if moved := opened.untold(entry):
        raise untold(opened, moved)
    return None


def undone(opened: OpenSetUp, *, same: bool = False) -> MustBeSaid:
    """That it must be said what was done about the last advice, before a further piece or before
    the ``same`` one is measured again; to be raised or asked."""
    record, notation = opened.record, opened.notation
    words, options = unanswered_words(record, notation, same=same), unanswered_options
    like = f"advised, nothing, or CAUSE=AMOUNT, as in {a_move(record.pending, notation)}"
    return MustBeSaid(Question.DONE, [words], options(record, notation), like)


def before_next(opened: OpenSetUp, date: datetime.date) -> MustBeSaid | None:
    """What is to be asked before a further piece is read: what was done about the last advice, or
    whether the dials of a record that was left for long still stand; None as a rule."""
    if opened.record.pending:
        return undone(opened)
    return _left(opened) if opened.left_on(date) else None


def _left(opened: OpenSetUp) -> MustBeSaid:
    like = "nothing, or CAUSE=AMOUNT"
    return MustBeSaid(Question.DONE, [left_words(opened.record)], "", like)


def untold(opened: OpenSetUp, moved: Mapping[str, Length]) -> MustBeSaid:
    """That it must be said whether that was moved; to be raised or asked."""
    words = untold_words(opened.record, moved, opened.notation)
    like = f"nothing, or CAUSE=AMOUNT, as in {a_move(moved, opened.notation)}"
    return MustBeSaid(Question.DONE, [words], untold_options(moved, opened.notation), like)


def with_done(entry: Entry, opened: OpenSetUp, done: Mapping[str, Length] | None) -> Entry:
    """An entry with what was done before it, by shims where it was done as advised."""
    if done is None:
        return entry
    shims = opened.last.advised_by_shims if opened.record.pieces else ()
    waiting = opened.record.waiting
    as_advised = (each for each in shims if each in done and done[each] == waiting.get(each))
    return replace(entry, did=done, by_shims=tuple(as_advised))


def with_advice(entry: Entry, opened: OpenSetUp, told: Answer | DryFitAnswer) -> Entry:
    """An entry with what is advised in it."""
    return replace(
        entry,
        advice=advice_lines(told, opened.notation),
        advised=dict(told.moved),
        advised_by_shims=tuple(told.by_shims),
    )


def read_done(texts: Sequence[str], opened: OpenSetUp) -> Mapping[str, Length]:
    """What was moved, from the words for it; Unreadable for what cannot be read."""
    if list(texts) == ["nothing"]:
        return {}
    if list(texts) == ["advised"]:
        if not opened.record.waiting:
            message = (
                "no move that was advised waits to be done: say what was moved before this piece,"
                " since the one before it, or --did nothing"
            )
            raise Unreadable(message, "--did")
        return opened.record.waiting
    alone = next((each for each in texts if "=" not in each), None)
    if alone is not None:
        words = ("advised", "nothing")
        guess = f"; did you mean {near!r}?" if (near := nearest(alone, words)) else ""
        message = f"expected advised, nothing or CAUSE=AMOUNT, found {alone!r}{guess}"
        raise Unreadable(message, "--did")
    moved = lengths_by(texts, can_be_moved(opened), "--did", opened.notation)
    if not opened.record.pieces:
        message = "before the first piece there are no moves: say what was set by --dialled"
        raise Unreadable(message, "--did")
    return moved


def read_dialled(
    texts: Sequence[str], opened: OpenSetUp, far: Mapping[str, Length] = NO_MOVES
) -> Mapping[str, Length]:
    """What was really dialled at first, where that is said of a record that is begun. Unreadable
    where it is nowhere near what the pieces speak for: by cause, it was moved ``far``."""
    causes = [setting.cause for setting in opened.record.settings]
    figures = lengths_by(texts, causes, "--dialled", opened.notation)
    for cause in figures.keys() & far.keys():
        said, amount = opened.record.setting(cause).dialled, far[cause]
        if abs(figures[cause] - (said - amount)) > max(_NEAR, abs(amount)):
            raise Unreadable(not_dialled_words(opened, cause, amount, figures[cause]), "--dialled")
    return figures if opened.path else {}


def can_be_moved(opened: OpenSetUp) -> list[str]:
    """The causes that something may have been done to, each once."""
    causes = [setting.cause for setting in opened.record.settings]
    measures = opened.record.measures
    moved = sorted({cause for measure in measures for cause in measure.moved_by})
    return list(dict.fromkeys([*causes, *moved]))


def _not_twice(opened: OpenSetUp, entry: Entry, piece: RecordedPiece) -> None:
    """Readings that are those of the last act to the letter are kept once unless more is said."""
    told = opened.before if opened.before and not opened.told.entries else opened.told
    last = next((each for each in reversed(told.acts) if each.readings), None)
    if last is None or not piece.readings:
        return
    as_last = (last.date, last.readings, last.longer, bool(last.again))
    if as_last == (entry.date, entry.readings, piece.longer, bool(entry.again)):
        again = bool(entry.again)
        words = same_again_words(told.record, again=again)
        raise MustBeSaid(Question.FURTHER, [words], same_again_options(again=again))


def struck(opened: OpenSetUp, measures: Sequence[str]) -> list[Strike]:
    """The strikes of the last readings of measures; Unreadable where there is none to strike."""
    known = [*(measure.name for measure in opened.record.measures), *opened.record.blanks]
    found: list[Strike] = []
    for name in measures:
        if name not in known:
            raise Unreadable(unknown("measure", name, known), "--strike")
        so_far = Entry("z", datetime.date.min, strikes=tuple(found))
        strike = last_counted(opened.told.head, (*opened.told.acts, so_far), name)
        if strike is None:
            raise Unreadable(f"no reading of {name} counts", "--strike")
        found.append(strike)
    return found


def worked_out(opened: OpenSetUp, entry: Entry, asked: Act) -> Kept:
    """An entry with what it comes to put in: advice, verdict, what is taught. Nothing is written.

    Raises MustBeSaid for a verdict of proved without a reason that the pieces do not bear out.
    """
    kept = opened.with_entry(entry)
    told = kept.answer() if kept.record.pieces else None
    if told is not None and (not _only_done(entry) or (entry.did and told.moved)):
        entry = with_advice(entry, kept, told)
        kept = opened.with_entry(entry)
    if asked.verdict is not None:
        reason = _may_be_called(asked, kept, told)
        entry = replace(entry, verdict=asked.verdict, although=reason)
    if (asked.verdict or kept.record.verdict) is not Verdict.OPEN:
        entry = replace(entry, after=kept.after())
    return Kept(opened.with_entry(entry), told)


def _only_done(entry: Entry) -> bool:
    """Whether it tells at most what was done: then nothing new is known."""
    acts = (entry.readings, entry.strikes, entry.dialled, entry.joins, entry.apart)
    return not any(acts)


def _may_be_called(asked: Act, opened: OpenSetUp, told: Answer | DryFitAnswer | None) -> str:
    """Why a set-up is called proved although it is not; empty where it is, or is not called so."""
    if asked.verdict is not Verdict.PROVED:
        return ""
    against = objections(opened.record, told, float(opened.shop.settings.sure_enough))
    if against and not asked.although:
        raise MustBeSaid(Question.ALTHOUGH, [objection_words(against)], ALTHOUGH_OPTION)
    return asked.although if against else ""


def begun_afresh(opened: OpenSetUp, date: datetime.date) -> OpenSetUp:
    """Another record in place of one, its dials where that one left them; not written yet."""
    records = ShopRecords(opened.shop)
    return open_set_up(records, opened.plan, opened.set_up, date, afresh=True)


def joined(opened: OpenSetUp, asked: Act) -> Kept:
    """All that is open of the set-up made one record, written, and what it comes to."""
    one, entry = opened.joined(asked.entry_in(opened, asked.own))
    kept, told, _ = worked_out(one, entry, asked)
    return Kept(kept.write(kept.told.entries[-1]), told)


def owed(opened: OpenSetUp, date: datetime.date) -> Kept | None:
    """The advice that a broken-off act still owes its piece, written; None where none is owed."""
    if not opened.record.pieces or opened.path is None:
        return None
    if opened.last.advice or not opened.last.counted:
        return None
    return advised_anew(opened, date)


def advised_anew(opened: OpenSetUp, date: datetime.date) -> Kept:
    """Advice by itself in an entry, of all that is there by now."""
    told = opened.answer()
    return Kept(opened.write(with_advice(opened.entry(date, now()), opened, told)), told)
