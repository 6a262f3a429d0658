"""Asking at the bench: readings one by one with the target shown, and what was done."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import typer

from setupsheets.commands.acts import (
    WHAT_WAS_DONE,
    Act,
    answered,
    ask_done,
    read_done,
    with_done,
    worked_out,
)
from setupsheets.commands.readings import at_terminal, doubted, piece_of, tell
from setupsheets.commands.terminal import say
from setupsheets.files.faults import NOTHING, DataFaults
from setupsheets.lengths import LengthError
from setupsheets.records.answer import Answer, DryFitAnswer
from setupsheets.records.entry import Entry, Strike
from setupsheets.records.model import closest_instrument
from setupsheets.records.record import BLANK_LENGTH, RecordedReading, Verdict
from setupsheets.records.told import Told
from setupsheets.records.typed_readings import read_reading
from setupsheets.wording.bench import (
    came_between_words,
    dials_line,
    unanswered_words,
    untold_words,
)
from setupsheets.wording.reading_doubts import doubt_words
from setupsheets.wording.titles import cause_title

if TYPE_CHECKING:
    from setupsheets.records.open_set_up import OpenSetUp


def piece_after_piece(opened: OpenSetUp, asked: Act) -> None:
    """Ask and advise, until the parts are cut or the maker stops.

    Without a terminal and with nothing to read, it only shows what the dials stand at.
    """
    say(dials_line(opened.record, opened.notation))
    opened = answered(opened, asked.date)
    going_on = True
    while going_on:
        opened = _done_before(opened, asked)
        opened, entry = ask_readings(opened, asked, keep=True)
        with _typed_is_kept(opened):
            opened, told = _finished(opened, entry, asked)
            while told.again and _agreed("Measure that now?", default=True):
                opened, told = _measured_again(opened, told.again, asked)
            opened = _done_after(opened, asked)
            if told.ready and _agreed(
                "Cut the parts so, and call the set-up proved?", default=True
            ):
                _called_proved(opened, asked)
                return
        going_on = _agreed("Measure the next test piece now?", default=False)
    say(dials_line(opened.record, opened.notation))


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


def _done_before(opened: OpenSetUp, asked: Act) -> OpenSetUp:
    """What was done about the last advice, asked before the next piece is measured."""
    if not opened.record.pending:
        return opened
    typer.echo(unanswered_words(opened.record, opened.notation), err=True)
    with _nobody_asked():
        did = ask_done(opened, WHAT_WAS_DONE)
    return opened.write(with_done(asked.entry_in(opened), opened, did))


def _done_after(opened: OpenSetUp, asked: Act) -> OpenSetUp:
    """What is done about the advice at once, where it is; else it is asked before the next."""
    if not opened.record.pending:
        return opened

    def read(text: str) -> Sequence[str]:
        texts = [each.strip() for each in text.split(",") if each.strip()]
        if texts:
            read_done(texts, opened)
        return texts

    said: Sequence[str] = typer.prompt(
        "What was done? advised, nothing, or CAUSE=AMOUNT; Enter if nothing yet",
        default="",
        show_default=False,
        value_proc=read,
        err=True,
    )
    if not said:
        return opened
    entry = asked.entry_in(opened)
    return opened.write(with_done(entry, opened, read_done(said, opened)))


def ask_readings(opened: OpenSetUp, asked: Act, *, keep: bool) -> tuple[OpenSetUp, Entry]:
    """Ask for every measure in turn; an empty answer skips it, `;` parts repeated readings, and
    `strike` strikes out what was typed last.

    ``keep`` writes each reading as soon as it is typed.
    """
    typer.echo(
        "What did the test piece measure? Enter skips, ; between repeated readings, "
        "strike takes back what was typed last."
    )
    piece = piece_of(opened, asked.found, asked.date)
    entry = replace(asked.entry_in(opened, asked.own), longer=piece.longer)
    for line in _lines(opened, entry):
        if entry.readings or not keep:
            opened, entry = _ask_into(opened, entry, line, keep=keep)
        else:
            with _nobody_asked():
                opened, entry = _ask_into(opened, entry, line, keep=keep)
    if not entry.readings:
        raise typer.BadParameter("nothing was measured: give at least one reading")
    return opened.with_entry(entry), entry


def _ask_into(
    opened: OpenSetUp, entry: Entry, line: _Line, *, keep: bool
) -> tuple[OpenSetUp, Entry]:
    """Ask for one line and put what is read into the entry in hand; `strike` strikes out what
    was typed last, which is then asked again."""
    while (found := _ask_line(line, opened, entry)) is None:
        if (slip := _last_typed(entry)) is None:
            typer.echo("Nothing is typed yet that could be struck out.", err=True)
            continue
        typer.echo(f"Struck out: the reading of {slip.of} typed last.", err=True)
        entry = replace(entry, strikes=(*entry.strikes, slip))
        if keep:
            opened = opened.rewrite(entry)
        if slip.of != line.name:
            lines = (*_lines(opened, entry), *_blank_lines(opened, entry))
            again = next(each for each in lines if each.name == slip.of)
            opened, entry = _ask_into(opened, entry, again, keep=keep)
    for reading in found:
        first = not entry.readings
        entry = replace(entry, readings=(*entry.readings, reading))
        if keep:
            opened = opened.write(entry) if first else opened.rewrite(entry)
            if first:
                typer.echo(f"Keeping it in {opened.path}", err=True)
    return opened, entry


def _last_typed(entry: Entry) -> Strike | None:
    """The reading of the entry in hand that was typed last and still counts."""
    seen: Counter[str] = Counter()
    counted = []
    for reading in entry.readings:
        seen[reading.of] += 1
        strike = Strike(entry.name, reading.of, seen[reading.of])
        if strike not in entry.strikes:
            counted.append(strike)
    return counted[-1] if counted else None


def _finished(
    opened: OpenSetUp, entry: Entry, asked: Act
) -> tuple[OpenSetUp, Answer | DryFitAnswer]:
    """The entry in hand with its advice, of all that is there by now, written and told."""
    if (others := opened.came_between()) is not None:
        typer.echo(came_between_words(), err=True)
        opened = others
    entry = _untold_asked(opened, entry)
    kept, told = worked_out(opened, entry, replace(asked, verdict=None))
    assert told is not None, "the entry has readings"
    kept = opened.rewrite(next(e for e in kept.told.entries if e.name == entry.name))
    tell(kept, told)
    return kept, told


def _untold_asked(opened: OpenSetUp, entry: Entry) -> Entry:
    """The entry in hand with what was done before it, asked where its readings look as if something
    had been put right."""
    others = tuple(each for each in opened.told.entries if each.name != entry.name)
    told = Told(opened.told.head, others)
    before = replace(opened, told=told, record=told.record)
    if not (moved := before.untold(entry)):
        return entry
    typer.echo(untold_words(before.record, moved, opened.notation), err=True)
    return with_done(entry, before, ask_done(before, WHAT_WAS_DONE))


def _measured_again(
    opened: OpenSetUp, names: Sequence[str], asked: Act
) -> tuple[OpenSetUp, Answer | DryFitAnswer]:
    """Ask for some measures of the test piece in hand once more."""
    last = opened.last
    entry = replace(asked.entry_in(opened), again=last.id, longer=last.longer)
    for line in (*_lines(opened, entry), *_blank_lines(opened, entry)):
        if line.name in names:
            opened, entry = _ask_into(opened, entry, line, keep=True)
    if not entry.readings:
        return opened, opened.answer()
    return _finished(opened, entry, asked)


def _called_proved(opened: OpenSetUp, asked: Act) -> None:
    where = typer.prompt("Where is the test piece kept?", default="", show_default=False, err=True)
    asked = replace(asked, verdict=Verdict.PROVED, kept=where)
    entry = replace(asked.entry_in(opened), kept=where)
    kept, _ = worked_out(opened, entry, asked)
    opened.write(kept.told.entries[-1])
    say(dials_line(kept.record, kept.notation))


@dataclass(frozen=True)
class _Line:
    """One thing to be read of a piece, and how it is asked for."""

    name: str
    by: str
    prompt: str


def _lines(opened: OpenSetUp, entry: Entry) -> Iterator[_Line]:
    """The measures of a set-up, for the piece that an entry is of."""
    notation = opened.notation
    for measure in opened.record.measures:
        blank = measure.moved_by.get(BLANK_LENGTH, 0) * entry.longer
        target = notation.show(measure.target + blank)
        under, over = notation.write(measure.under), notation.write(measure.over)
        prompt = f"{measure.title} ({measure.by}) to be {target}, -{under} +{over}"
        yield _Line(measure.name, measure.by, prompt)


def _blank_lines(opened: OpenSetUp, entry: Entry) -> Iterator[_Line]:
    """What may be read of a piece's blank where a measure hangs on it."""
    by = closest_instrument(opened.shop) if opened.record.blanks else ""
    for cause in opened.record.blanks:
        own = opened.notation.show(opened.record.blank_of(cause, entry.longer))
        yield _Line(cause, by, f"{cause_title(cause)} ({by}) of this piece, meant to be {own}")


def _ask_line(line: _Line, opened: OpenSetUp, entry: Entry) -> tuple[RecordedReading, ...] | None:
    """What was read of one line, None where the last reading is to be struck out; what is likely a
    slip is asked again."""
    notation = opened.notation

    def read(text: str) -> list[tuple[RecordedReading, str]] | None:
        said = [each for each in text.split(";") if each.strip()]
        if [each.strip() for each in said] == ["strike"]:
            return None
        try:
            return [(read_reading(line.name, each, line.by, notation), each) for each in said]
        except LengthError as error:
            raise typer.BadParameter(str(error)) from None

    while True:
        typed = typer.prompt(line.prompt, default="", show_default=False, value_proc=read, err=True)
        if typed is None:
            return None
        doubts = list(doubted(opened, typed, entry.longer))
        for doubt in doubts:
            typer.echo(doubt_words(doubt, notation), err=True)
        if not doubts or _agreed("Is it right as typed?", default=False):
            return tuple(reading for reading, _ in typed)


def _agreed(question: str, *, default: bool) -> bool:
    return typer.confirm(question, default=default, err=True)
