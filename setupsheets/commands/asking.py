"""Asking at the bench: readings one by one with the target shown, and what was done."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import typer

from setupsheets.commands.readings import lengths_by
from setupsheets.lengths import Length, LengthError, Notation
from setupsheets.records.answer import Answer
from setupsheets.records.bench import Bench
from setupsheets.records.model import target_of
from setupsheets.records.reading import read_reading
from setupsheets.records.record import RecordedMeasure, RecordedPiece, RecordedReading


def ask_readings(bench: Bench, piece: RecordedPiece, *, keep: bool) -> Bench:
    """Ask for every measure in turn; an empty answer skips it, `;` parts repeated readings.

    ``keep`` writes each reading as soon as it is typed.
    """
    typer.echo("What did the test piece measure? Enter skips, ; between repeated readings.")
    begun = False
    for measure in bench.record.measures:
        for reading in _ask_measure(measure, piece, bench.shop.settings.notation):
            if not begun:
                first = replace(piece, readings=(reading,))
                bench = bench.write_piece(first) if keep else bench.with_piece(first)
                begun = True
                if keep:
                    typer.echo(f"Keeping it in {bench.path}", err=True)
            elif keep:
                bench = bench.write_reading(reading)
            else:
                whole = replace(bench.last, readings=(*bench.last.readings, reading))
                record = replace(bench.record, pieces=(*bench.record.pieces[:-1], whole))
                bench = replace(bench, record=record)
    if not begun:
        raise typer.BadParameter("nothing was measured: give at least one reading")
    return bench


def ask_again(bench: Bench, names: Sequence[str]) -> Bench:
    """Ask for some measures of the test piece in hand once more, and write what is typed."""
    for measure in bench.record.measures:
        if measure.name in names:
            for reading in _ask_measure(measure, bench.last, bench.shop.settings.notation):
                bench = bench.write_reading(reading)
    return bench


def _ask_measure(
    measure: RecordedMeasure, piece: RecordedPiece, notation: Notation
) -> tuple[RecordedReading, ...]:
    def read(text: str) -> tuple[RecordedReading, ...]:
        said = [each for each in text.split(";") if each.strip()]
        try:
            return tuple(read_reading(measure.name, each, measure.by, notation) for each in said)
        except LengthError as error:
            raise typer.BadParameter(str(error)) from None

    target = notation.show(target_of(measure, piece))
    under, over = notation.write(measure.under), notation.write(measure.over)
    prompt = f"{measure.title} ({measure.by}) to be {target}, -{under} +{over}"
    answered: tuple[RecordedReading, ...] = typer.prompt(
        prompt, default="", show_default=False, value_proc=read, err=True
    )
    return answered


def ask_done(bench: Bench, told: Answer) -> Mapping[str, Length]:
    """Ask what was moved: `advised`, `nothing`, or cause=amount with commas between."""
    if not told.changes:
        return {}

    def read(text: str) -> Mapping[str, Length]:
        return done([each.strip() for each in text.split(",")], bench, told)

    answered: Mapping[str, Length] = typer.prompt(
        "What was done? advised, nothing, or CAUSE=AMOUNT",
        default="advised",
        value_proc=read,
        err=True,
    )
    return answered


def done(texts: list[str], bench: Bench, told: Answer) -> Mapping[str, Length]:
    """What was moved, from the words for it; BadParameter for what cannot be read."""
    if texts == ["advised"]:
        return told.moved
    if texts in ([], ["nothing"]):
        return {}
    causes = [setting.cause for setting in bench.record.settings]
    causes += sorted({cause for measure in bench.record.measures for cause in measure.moved_by})
    return lengths_by(texts, causes, "--did", bench.shop.settings.notation)
