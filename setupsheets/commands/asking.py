"""Asking at the bench: readings one by one with the target shown, and what was done."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, nullcontext
from typing import TYPE_CHECKING, TypeVar

import typer
from msgspec.structs import replace

from setupsheets.bench.acts import (
    Act,
    Kept,
    before_next,
    begun_afresh,
    owed,
    read_dialled,
    read_done,
    undone,
    with_done,
)
from setupsheets.bench.piece_in_hand import (
    ReadingLine,
    blank_reading_lines,
    called_proved,
    dialled_first,
    done,
    finished,
    last_typed,
    lines_of,
    new_piece,
    read_line,
    reading_lines,
    same_piece,
    to_be_said,
    with_readings,
    with_slip_struck,
)
from setupsheets.bench.questions import MustBeSaid, Question
from setupsheets.bench.typed_pieces import doubted
from setupsheets.commands.readings import at_terminal, tell, usage
from setupsheets.commands.terminal import say
from setupsheets.files.faults import NOTHING, DataFaults
from setupsheets.records.entry import Entry
from setupsheets.records.record import RecordedReading
from setupsheets.wording.bench import (
    broken_off_words,
    came_between_words,
    cured_question,
    dials_line,
    doubted_dial_words,
    verdict_line,
)
from setupsheets.wording.reading_doubts import doubt_words

if TYPE_CHECKING:
    from setupsheets.records.answer import Answer, DryFitAnswer
    from setupsheets.records.open_set_up import OpenSetUp


T = TypeVar("T")

WHAT_WAS_DONE = "What was done before this piece?"
"""The question; the answer is what `--did` takes."""


def settled(opened: OpenSetUp, asked: Act, keep: Callable[[Act], T]) -> T:
    """What an act comes to. What must be said first is asked at a terminal, and refused without
    one; wrong usage where something cannot be read."""
    while True:
        try:
            with usage():
                return keep(asked)
        except MustBeSaid as found:
            asked = _said(found, opened, asked)


def _said(found: MustBeSaid, opened: OpenSetUp, asked: Act) -> Act:
    """The act with the answer to a question."""
    if found.question is Question.FURTHER and at_terminal():
        if not _agreed(f"{' '.join(found.words)} Keep it as a further one?", default=False):
            raise typer.Exit(1)
        return replace(asked, next_piece=True)
    if not at_terminal():
        typer.echo(_words(found), err=True)
        raise typer.Exit(1)
    _put(found)
    if found.question is Question.SLIP:
        if not _agreed("Is it right as typed?", default=False):
            raise typer.Exit(1)
        return replace(asked, sure=True)
    if found.question is Question.DONE:
        return replace(asked, did=_ask_done(opened, found))
    reason = _worded("Why is it to be called proved all the same?")
    return replace(asked, although=reason)


def _worded(question: str, default: str | None = None) -> str:
    """What is answered in words."""
    said: str = typer.prompt(
        question, default=default, show_default=False, prompt_suffix=" ", err=True
    )
    return said


def _typed(question: str, read: Callable[[str], T], default: str | None = "") -> T:
    """What is read of an answer, asked until it can be; an empty one is taken unless ``default`` is
    None."""
    found: T = typer.prompt(
        question, default=default, show_default=False, value_proc=read, err=True
    )
    return found


def _put(question: MustBeSaid) -> None:
    """Say what must be said first; how, the question that follows tells."""
    typer.echo("\n".join(question.words), err=True)


def _words(question: MustBeSaid) -> str:
    between = "\n" if question.question is Question.SLIP else " "
    return between.join((*question.words, question.options))


def _ask_done(
    opened: OpenSetUp,
    said: MustBeSaid,
    question: str = WHAT_WAS_DONE,
    unless: str = "",
) -> Sequence[str]:
    """Ask what was moved, until it is said, in the words that `--did` takes; an empty answer is
    taken ``unless`` it is none, and says that."""

    def read(text: str) -> Sequence[str]:
        texts = [each.strip() for each in text.split(",") if each.strip()]
        with usage():
            read_done(texts, opened)
        return texts

    text = f"{question} {said.like}{f'; Enter if {unless}' if unless else ''}"
    return _typed(text, read, "" if unless else None)


def answered(opened: OpenSetUp, date: datetime.date) -> OpenSetUp:
    """The same with the advice that a broken-off act still owes its piece, told and written."""
    if (kept := owed(opened, date)) is None:
        return opened
    typer.echo(broken_off_words(opened.record), err=True)
    assert kept.told is not None, "it has a piece"
    tell(kept.opened, kept.told)
    return kept.opened


def piece_after_piece(opened: OpenSetUp, asked: Act) -> None:
    """Ask and advise, until the parts are cut or the maker stops.

    Without a terminal and with nothing to read, it only shows what the dials stand at.
    """
    say(dials_line(opened.record, opened.notation))
    opened = answered(opened, asked.date)
    going_on = True
    while going_on:
        opened = _done_before(_cured(opened, asked), asked)
        opened, entry = ask_readings(opened, asked, keep=True)
        with _typed_is_kept(opened):
            opened, told, _ = _finished(opened, entry, asked)
            opened, told = _settled_of_piece(opened, told, asked)
            opened = _done_after(opened, asked)
            if (
                told
                and told.ready
                and _agreed("Cut the parts so, and call the set-up proved?", default=True)
            ):
                _called_proved(opened, asked)
                return
        going_on = _agreed("Measure the next test piece now?", default=False)
    say(dials_line(opened.record, opened.notation))


def _settled_of_piece(
    opened: OpenSetUp, told: Answer | DryFitAnswer | None, asked: Act
) -> tuple[OpenSetUp, Answer | DryFitAnswer | None]:
    """What the piece comes to once what is asked for is measured again and dials are looked at,
    those first of which the readings ask what cannot be."""
    anew = told
    while anew is not None:
        told = anew
        while told and told.again and not told.to_look_at:
            if not _agreed("Measure that now?", default=True):
                break
            opened, told, _ = _measured_again(opened, told.again, asked)
        opened, anew, _ = _dialled_first(opened, asked, told)
    return opened, told


@contextmanager
def _typed_is_kept(opened: OpenSetUp) -> Iterator[None]:
    """What cannot be written any more leaves what was typed before, and that is said."""
    try:
        yield
    except DataFaults as found:
        if found.left == NOTHING:
            found.left = f"what was typed before is kept in {opened.path}"
        raise


@contextmanager
def _nobody_asked() -> Iterator[None]:
    """Without a terminal and with nothing to read, `log` has shown what there is and ends well."""
    try:
        yield
    except typer.Abort:
        if at_terminal():
            raise
        typer.echo("", err=True)
        raise typer.Exit(0) from None


def _cured(opened: OpenSetUp, asked: Act) -> OpenSetUp:
    """Another record in place of one that is at an end, where what put its parts out of reach is
    cured."""
    question = cured_question(opened.answer()) if opened.record.pieces else ""
    if not question:
        return opened
    with _nobody_asked():
        if not _agreed(question, default=False):
            return opened
    opened = begun_afresh(opened, asked.date)
    say(dials_line(opened.record, opened.notation))
    return opened


def _done_before(opened: OpenSetUp, asked: Act) -> OpenSetUp:
    """What was done about the last advice, or since the dials were last told of where that is long
    ago, asked before the next piece is measured."""
    if (question := before_next(opened, asked.date)) is None:
        return opened
    _put(question)
    with _nobody_asked():
        did = _ask_done(opened, question, unless="" if opened.record.pending else "nobody knows")
    if not did:
        return opened
    return _dialled_first(done(opened, replace(asked, did=did)), asked).opened


def _done_after(opened: OpenSetUp, asked: Act) -> OpenSetUp:
    """What is done about the advice at once, where it is; else it is asked before the next."""
    if not opened.record.pending:
        return opened
    said = _ask_done(opened, undone(opened), "What was done?", unless="nothing yet")
    return _dialled_first(done(opened, replace(asked, did=said)), asked).opened if said else opened


def _dialled_first(
    opened: OpenSetUp, asked: Act, told: Answer | DryFitAnswer | None = None
) -> Kept:
    """What was moved far may have been set wrong at first: what it was dialled to then is asked,
    unless the last piece does not show that move, by what it has ``told``. What the pieces come to
    by that is told where nothing could be moved before; there Enter says that it was looked at."""
    beyond = opened.beyond(told)

    def read(text: str) -> Sequence[str]:
        said = text.strip()
        if not said and cause in beyond:
            said = opened.notation.write(opened.record.setting(cause).dialled)
        texts = [f"{cause}={said}"] if said else []
        with usage():
            read_dialled(texts, opened, far)
        return texts

    said: list[str] = []
    far = opened.doubted_dials(told)
    for cause, amount in far.items():
        typer.echo(doubted_dial_words(opened, cause, amount, beyond), err=True)
        said += _typed("To what had it been dialled at first? Enter if to that", read)
    kept = dialled_first(opened, replace(asked, dialled=said))
    if kept.told is not None:
        tell(kept.opened, kept.told)
    return kept


def ask_readings(opened: OpenSetUp, asked: Act, *, keep: bool) -> tuple[OpenSetUp, Entry]:
    """Ask for every measure in turn; an empty answer skips it, `;` parts repeated readings, and
    `strike` strikes out what was typed last.

    ``keep`` writes each reading as soon as it is typed.
    """
    typer.echo(
        "What did the test piece measure? Enter skips what cannot be measured, ; between repeated "
        "readings, strike takes back what was typed last."
    )
    entry = settled(opened, asked, lambda said: new_piece(opened, said))
    for line in reading_lines(opened, entry):
        with nullcontext() if entry.readings or not keep else _nobody_asked():
            opened, entry = _ask_into(opened, entry, line, keep=keep)
    if not entry.readings:
        raise typer.BadParameter("nothing was measured: give at least one reading")
    return opened.with_entry(entry), entry


def _ask_into(
    opened: OpenSetUp, entry: Entry, line: ReadingLine, *, keep: bool
) -> tuple[OpenSetUp, Entry]:
    """Ask for one line and put what is read into the entry in hand; `strike` strikes out what
    was typed last, which is then asked again."""
    while (found := _ask_line(line, opened, entry)) is None:
        if (slip := last_typed(entry)) is None:
            typer.echo("Nothing is typed yet that could be struck out.", err=True)
            continue
        typer.echo(f"Struck out: the reading of {slip.of} typed last.", err=True)
        opened, entry = with_slip_struck(opened, entry, slip, keep=keep)
        if slip.of != line.name:
            lines = (*reading_lines(opened, entry), *blank_reading_lines(opened, entry))
            again = next(each for each in lines if each.name == slip.of)
            opened, entry = _ask_into(opened, entry, again, keep=keep)
    new = not entry.readings
    opened, entry = with_readings(opened, entry, found, keep=keep)
    if keep and new and entry.readings:
        typer.echo(f"Keeping it in {opened.path}", err=True)
    return opened, entry


def _finished(opened: OpenSetUp, entry: Entry, asked: Act) -> Kept:
    """The entry in hand with its advice, of all that is there by now, written and told."""
    if (others := opened.came_between()) is not None:
        typer.echo(came_between_words(), err=True)
        opened = others
    if (question := to_be_said(opened, entry)) is not None:
        before = opened.without(entry)
        _put(question)
        entry = with_done(entry, before, read_done(_ask_done(before, question), before))
    kept = finished(opened, entry, asked)
    assert kept.told is not None, "the entry has readings"
    tell(kept.opened, kept.told)
    return kept


def _measured_again(opened: OpenSetUp, names: Sequence[str], asked: Act) -> Kept:
    """Ask for some measures of the test piece in hand once more."""
    entry = same_piece(opened, asked)
    for line in lines_of(opened, entry, names):
        opened, entry = _ask_into(opened, entry, line, keep=True)
    if not entry.readings:
        return Kept(opened, opened.answer())
    return _finished(opened, entry, asked)


def _called_proved(opened: OpenSetUp, asked: Act) -> None:
    fits = opened.record.is_dry_fit
    where = "" if fits else _worded("Where is the test piece kept?", default="")
    asked = replace(asked, kept=where)
    opened = settled(opened, asked, lambda said: called_proved(opened, said))
    say(verdict_line(opened))
    say(dials_line(opened.record, opened.notation))


def _ask_line(
    line: ReadingLine, opened: OpenSetUp, entry: Entry
) -> tuple[RecordedReading, ...] | None:
    """What was read of one line, None where the last reading is to be struck out; what is likely a
    slip is asked again."""

    def read(text: str) -> list[tuple[RecordedReading, str]] | None:
        if [each.strip() for each in text.split(";") if each.strip()] == ["strike"]:
            return None
        with usage():
            return read_line(line, text, opened)

    while True:
        if (typed := _typed(line.prompt, read)) is None:
            return None
        doubts = list(doubted(opened, typed, entry.longer))
        for doubt in doubts:
            typer.echo(doubt_words(doubt, opened.notation), err=True)
        if not doubts or _agreed("Is it right as typed?", default=False):
            return tuple(reading for reading, _ in typed)


def _agreed(question: str, *, default: bool) -> bool:
    return typer.confirm(question, default=default, err=True)
