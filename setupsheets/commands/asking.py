"""Asking at the bench: readings one by one with the target shown, and what was done."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import typer

from setupsheets.commands.readings import lengths_by
from setupsheets.lengths import Length, LengthError, Notation
from setupsheets.records.answer import Answer, DryFitAnswer
from setupsheets.records.model import closest_instrument
from setupsheets.records.open_set_up import OpenSetUp
from setupsheets.records.record import RecordedMeasure, RecordedPiece, RecordedReading
from setupsheets.records.typed_readings import read_reading
from setupsheets.wording.titles import cause_title


def ask_readings(opened: OpenSetUp, piece: RecordedPiece, *, keep: bool) -> OpenSetUp:
    """Ask for every measure in turn; an empty answer skips it, `;` parts repeated readings.

    ``keep`` writes each reading as soon as it is typed.
    """
    typer.echo("What did the test piece measure? Enter skips, ; between repeated readings.")
    begun = False
    for measure in opened.record.measures:
        for reading in _ask_measure(measure, piece, opened.notation):
            if not begun:
                first = replace(piece, readings=(reading,))
                opened = opened.write_piece(first) if keep else opened.with_piece(first)
                begun = True
                if keep:
                    typer.echo(f"Keeping it in {opened.path}", err=True)
            elif keep:
                opened = opened.write_reading(reading)
            else:
                opened = opened.with_reading(reading)
    if not begun:
        raise typer.BadParameter("nothing was measured: give at least one reading")
    return opened


def ask_again(opened: OpenSetUp, names: Sequence[str]) -> OpenSetUp:
    """Ask for some measures of the test piece in hand once more, and write what is typed."""
    for measure in opened.record.measures:
        if measure.name in names:
            for reading in _ask_measure(measure, opened.last, opened.notation):
                opened = opened.write_reading(reading)
    by = closest_instrument(opened.shop)
    for cause, size in opened.record.blanks.items():
        if cause in names:
            meant = f"{cause_title(cause)} ({by}) of this piece, meant to be "
            prompt = meant + opened.notation.show(size)
            for reading in _ask(prompt, cause, by, opened.notation):
                opened = opened.write_reading(reading)
    return opened


def _ask_measure(
    measure: RecordedMeasure, piece: RecordedPiece, notation: Notation
) -> tuple[RecordedReading, ...]:
    target = notation.show(measure.target_on(piece))
    under, over = notation.write(measure.under), notation.write(measure.over)
    prompt = f"{measure.title} ({measure.by}) to be {target}, -{under} +{over}"
    return _ask(prompt, measure.name, measure.by, notation)


def _ask(prompt: str, name: str, by: str, notation: Notation) -> tuple[RecordedReading, ...]:
    """Ask for one thing; an empty answer skips it, `;` parts repeated readings."""

    def read(text: str) -> tuple[RecordedReading, ...]:
        said = [each for each in text.split(";") if each.strip()]
        try:
            return tuple(read_reading(name, each, by, notation) for each in said)
        except LengthError as error:
            raise typer.BadParameter(str(error)) from None

    answered: tuple[RecordedReading, ...] = typer.prompt(
        prompt, default="", show_default=False, value_proc=read, err=True
    )
    return answered


def ask_done(opened: OpenSetUp, told: Answer | DryFitAnswer) -> Mapping[str, Length]:
    """Ask what was moved: `advised`, `nothing`, or cause=amount with commas between."""
    if not told.moved:
        return {}

    def read(text: str) -> Mapping[str, Length]:
        return done([each.strip() for each in text.split(",")], opened, told)

    answered: Mapping[str, Length] = typer.prompt(
        "What was done? advised, nothing, or CAUSE=AMOUNT",
        default="advised",
        value_proc=read,
        err=True,
    )
    return answered


def done(texts: list[str], opened: OpenSetUp, told: Answer | DryFitAnswer) -> Mapping[str, Length]:
    """What was moved, from the words for it; BadParameter for what cannot be read."""
    if texts == ["advised"]:
        return told.moved
    if texts in ([], ["nothing"]):
        return {}
    causes = [setting.cause for setting in opened.record.settings]
    causes += sorted({cause for measure in opened.record.measures for cause in measure.moved_by})
    return lengths_by(texts, causes, "--did", opened.notation)
