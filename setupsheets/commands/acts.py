"""One act of `log`: what its options say becomes one entry, written in one step, then told."""

from __future__ import annotations

import datetime
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import typer

from setupsheets.commands.readings import TypedReadings, at_terminal, lengths_by, piece_of, tell
from setupsheets.commands.shared import print_json
from setupsheets.commands.terminal import say
from setupsheets.files.faults import DataFaults, unknown
from setupsheets.records.calling_proved import objections
from setupsheets.records.entry import Entry, Strike, last_counted
from setupsheets.records.record import Verdict
from setupsheets.wording.answers import advice_lines
from setupsheets.wording.bench import (
    broken_off_words,
    came_between_words,
    dials_line,
    joined_words,
    objection_words,
    others_words,
    same_again_words,
    unanswered_words,
    unlike_words,
    untold_words,
)

if TYPE_CHECKING:
    from setupsheets.lengths import Length
    from setupsheets.records.answer import Answer, DryFitAnswer
    from setupsheets.records.open_set_up import OpenSetUp
    from setupsheets.records.record import RecordedPiece

is_own = re.compile(r"[a-z0-9]{4,40}").fullmatch


@dataclass(frozen=True)
class Act:
    """What the options of `log` say."""

    date: datetime.date
    found: TypedReadings
    did: Sequence[str] = ()
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
            or self.strikes
            or self.verdict
            or (self.kept and opened.path)
        )


def refuse(words: str) -> typer.Exit:
    """What is wrong with the data, told on stderr; to be raised."""
    typer.echo(words, err=True)
    return typer.Exit(1)


def now() -> datetime.datetime:
    """The moment of an act."""
    return datetime.datetime.now(datetime.UTC)


def tell_beside(opened: OpenSetUp) -> None:
    """What is to be known before anything is kept: other open records of the same set-up."""
    for line in others_words(opened):
        typer.echo(line, err=True)


def act(opened: OpenSetUp, asked: Act, *, as_json: bool) -> None:
    """Keep what the options say in one entry and tell what it comes to."""
    if asked.own and not is_own(asked.own):
        message = "expected 4 to 40 lower-case letters and digits"
        raise typer.BadParameter(message, param_hint="--id")
    if asked.own and any(e.name.endswith(f"-{asked.own}") for e in opened.told.acts):
        typer.echo(f"Kept before in {opened.path}", err=True)
        _tell(opened, opened.answer() if opened.record.pieces else None, as_json=as_json)
        return
    if opened.path is None and not asked.found.readings:
        message = "no record of this set-up is open: it begins with the readings of a test piece"
        raise typer.BadParameter(message, param_hint="--found")
    opened = answered(opened, asked.date)
    entry = _entry(opened, asked)
    kept, told = worked_out(opened, entry, asked)
    kept = opened.write(kept.told.entries[-1])
    try:
        others = kept.came_between()
    except DataFaults as found:
        raise DataFaults(found.faults, f"this act is kept in {kept.path}") from None
    if others is not None:
        typer.echo(came_between_words(), err=True)
        kept, told = _advised_anew(others, asked.date)
    _tell(kept, told, as_json=as_json)


def join(opened: OpenSetUp, asked: Act, *, as_json: bool) -> None:
    """Make one record of all that are open of the set-up, and tell what they come to together."""
    if not opened.others:
        raise refuse("Only one record of this set-up is open: there is nothing to join.")
    if names := opened.unlike_others():
        raise refuse(unlike_words(opened, names))
    _one_or_apart(*opened.joined(asked.entry_in(opened)), asked, as_json=as_json)


def take_apart(opened: OpenSetUp, asked: Act, *, as_json: bool) -> None:
    """Take apart again what was joined, and tell what the record comes to by itself."""
    if not opened.told.joined:
        raise refuse("No other record was joined to this one: there is nothing to take apart.")
    _one_or_apart(*opened.taken_apart(asked.entry_in(opened)), asked, as_json=as_json)


def _one_or_apart(opened: OpenSetUp, entry: Entry, asked: Act, *, as_json: bool) -> None:
    kept, told = worked_out(opened, entry, asked)
    kept = opened.write(kept.told.entries[-1])
    typer.echo(joined_words(kept.told, entry), err=True)
    _tell(kept, told, as_json=as_json)


def _tell(opened: OpenSetUp, told: Answer | DryFitAnswer | None, *, as_json: bool) -> None:
    if as_json:
        from setupsheets.json_forms.answer_form import log_form  # noqa: PLC0415

        dials = dials_line(opened.record, opened.notation)
        print_json(log_form(str(opened.path), dials, told, opened.notation))
    else:
        if told is not None and opened.record.verdict is not Verdict.GIVEN_UP:
            tell(opened, told)
        say(dials_line(opened.record, opened.notation))
    typer.echo(f"Kept in {opened.path}", err=True)


def _entry(opened: OpenSetUp, asked: Act) -> Entry:
    """The entry that the options ask for; refused where something must be said first."""
    piece = piece_of(opened, asked.found, asked.date, sure=asked.sure)
    entry = replace(
        asked.entry_in(opened, asked.own),
        readings=piece.readings,
        longer=piece.longer,
        kept=asked.kept,
    )
    if asked.same:
        if not opened.record.pieces:
            message = "there is no test piece yet to measure again"
            raise typer.BadParameter(message, param_hint="--same")
        entry = replace(entry, again=opened.last.id, longer=opened.last.longer)
    if not asked.next_piece:
        _not_twice(opened, entry, piece)
    entry = with_done(entry, opened, what_was_done(opened, asked, entry))
    return replace(entry, strikes=tuple(struck(opened, asked.strikes)))


def what_was_done(opened: OpenSetUp, asked: Act, entry: Entry) -> Mapping[str, Length] | None:
    """What was moved before the piece of an entry. Where there was advice and nobody has said, or
    where its readings look as if something had been put right, it is asked at a terminal, and
    refused without one."""
    if asked.did:
        return read_done(asked.did, opened)
    if not asked.found.readings:
        return None
    if opened.record.pending:
        words = unanswered_words(opened.record, opened.notation)
    elif moved := opened.untold(entry):
        words = untold_words(opened.record, moved, opened.notation)
    else:
        return None
    if not at_terminal():
        raise refuse(words)
    typer.echo(words, err=True)
    return ask_done(opened, WHAT_WAS_DONE)


WHAT_WAS_DONE = "What was done before this piece? advised, nothing, or CAUSE=AMOUNT"
"""The question; the answer is what `--did` takes."""


def with_done(entry: Entry, opened: OpenSetUp, done: Mapping[str, Length] | None) -> Entry:
    """An entry with what was done before it, by shims where it was done as advised."""
    if done is None:
        return entry
    last = opened.last if opened.record.pieces else None
    shims = last.advised_by_shims if last else ()
    as_advised = (cause for cause in shims if done.get(cause) == opened.record.pending.get(cause))
    return replace(entry, did=done, by_shims=tuple(c for c in as_advised if c in done))


def with_advice(entry: Entry, opened: OpenSetUp, told: Answer | DryFitAnswer) -> Entry:
    """An entry with what is advised in it."""
    return replace(
        entry,
        advice=advice_lines(told, opened.notation),
        advised=dict(told.moved),
        advised_by_shims=tuple(told.by_shims),
    )


def ask_done(opened: OpenSetUp, question: str) -> Mapping[str, Length]:
    """Ask what was moved, until it is said."""

    def read(text: str) -> Mapping[str, Length]:
        return read_done([each.strip() for each in text.split(",")], opened)

    answer: Mapping[str, Length] = typer.prompt(question, value_proc=read, err=True)
    return answer


def read_done(texts: Sequence[str], opened: OpenSetUp) -> Mapping[str, Length]:
    """What was moved, from the words for it; BadParameter for what cannot be read."""
    if list(texts) == ["nothing"]:
        return {}
    if list(texts) == ["advised"]:
        if not opened.record.pending:
            message = (
                "nothing that was advised waits to be done: --did says what was moved before this "
                "piece, since the one before it"
            )
            raise typer.BadParameter(message, param_hint="--did")
        return opened.record.pending
    causes = [setting.cause for setting in opened.record.settings]
    causes += sorted({cause for measure in opened.record.measures for cause in measure.moved_by})
    moved = lengths_by(texts, causes, "--did", opened.notation)
    if not opened.record.pieces:
        message = "before the first piece there are no moves: say what was set by --dialled"
        raise typer.BadParameter(message, param_hint="--did")
    return moved


def _not_twice(opened: OpenSetUp, entry: Entry, piece: RecordedPiece) -> None:
    """Refuse, or ask about, readings that are those of the last act to the letter."""
    told = opened.before if opened.before and not opened.told.entries else opened.told
    last = next((each for each in reversed(told.acts) if each.readings), None)
    if last is None or not piece.readings:
        return
    as_last = (last.date, last.readings, last.longer, bool(last.again))
    if as_last != (entry.date, entry.readings, piece.longer, bool(entry.again)):
        return
    words = same_again_words(told.record, again=bool(entry.again))
    if not at_terminal():
        raise refuse(words)
    if not typer.confirm(f"{words} Keep it as a further one?", default=False, err=True):
        raise typer.Exit(1)


def struck(opened: OpenSetUp, measures: Sequence[str]) -> list[Strike]:
    """The strikes of the last readings of measures; BadParameter where there is none to strike."""
    known = [*(measure.name for measure in opened.record.measures), *opened.record.blanks]
    found: list[Strike] = []
    for name in measures:
        if name not in known:
            raise typer.BadParameter(unknown("measure", name, known), param_hint="--strike")
        so_far = Entry("z", datetime.date.min, strikes=tuple(found))
        strike = last_counted(opened.told.head, (*opened.told.acts, so_far), name)
        if strike is None:
            raise typer.BadParameter(f"no reading of {name} counts", param_hint="--strike")
        found.append(strike)
    return found


def worked_out(
    opened: OpenSetUp, entry: Entry, asked: Act
) -> tuple[OpenSetUp, Answer | DryFitAnswer | None]:
    """An entry with what it comes to put in: advice, verdict, what is taught. Nothing is written.

    A verdict of proved that the test pieces do not bear out is refused without a reason.
    """
    kept = opened.with_entry(entry)
    told = kept.answer() if kept.record.pieces else None
    if told is not None and not _only_closes(entry):
        entry = with_advice(entry, kept, told)
        kept = opened.with_entry(entry)
    if asked.verdict is not None:
        reason = may_be_called(asked, kept, told)
        entry = replace(entry, verdict=asked.verdict, although=reason)
    if Verdict.PROVED in (asked.verdict, None if asked.verdict else kept.record.verdict):
        entry = replace(entry, after=kept.after())
    return opened.with_entry(entry), told


def _only_closes(entry: Entry) -> bool:
    acts = (entry.readings, entry.strikes, entry.did, entry.joins, entry.apart)
    return not any(acts)


def may_be_called(asked: Act, opened: OpenSetUp, told: Answer | DryFitAnswer | None) -> str:
    """Why a set-up is called proved although it is not; empty where it is, or is not called so."""
    if asked.verdict is not Verdict.PROVED:
        return ""
    against = objections(opened.record, told, float(opened.shop.settings.sure_enough))
    if not against or asked.although:
        return asked.although if against else ""
    words = objection_words(against)
    if not at_terminal():
        raise refuse(words)
    typer.echo(words, err=True)
    reason: str = typer.prompt("Why is it to be called proved all the same?", err=True)
    return reason


def answered(opened: OpenSetUp, date: datetime.date) -> OpenSetUp:
    """The same with the advice that a broken-off act still owes its piece, told and written."""
    if not opened.record.pieces or opened.path is None:
        return opened
    if opened.last.advice or not opened.last.counted:
        return opened
    typer.echo(broken_off_words(opened.record), err=True)
    kept, told = _advised_anew(opened, date)
    tell(kept, told)
    return kept


def _advised_anew(
    opened: OpenSetUp, date: datetime.date
) -> tuple[OpenSetUp, Answer | DryFitAnswer]:
    """Advice by itself in an entry, of all that is there by now."""
    told = opened.answer()
    return opened.write(with_advice(opened.entry(date, now()), opened, told)), told
