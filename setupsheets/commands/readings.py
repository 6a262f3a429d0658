"""The options that `correct` and `log` share: what was found on a test piece."""

from __future__ import annotations

import datetime
import sys
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from setupsheets.commands.shared import open_plan, tell_passed_over
from setupsheets.commands.terminal import say

if TYPE_CHECKING:
    from setupsheets.lengths import Length, Notation
    from setupsheets.machining.operations import SetUp
    from setupsheets.records.answer import Answer, DryFitAnswer
    from setupsheets.records.open_set_up import OpenSetUp
    from setupsheets.records.reading_doubts import ReadingDoubt
    from setupsheets.records.record import RecordedPiece, RecordedReading

RecipeArgument = Annotated[
    str,
    typer.Argument(
        metavar="RECIPE",
        help="The recipe or set-up as the sheet names it, or the beginning of its name.",
    ),
]
FoundOption = Annotated[
    list[str],
    typer.Option(
        "--found",
        metavar="MEASURE=LENGTH",
        help='What was read, such as "back_length=18 7/8 full", or a fit: tight, fits, loose. '
        "Again for each reading; the same measure may be read several times.",
    ),
]
ByOption = Annotated[
    str | None,
    typer.Option(
        "--by", metavar="INSTRUMENT", help="What it was read with, as shop.yaml names it."
    ),
]
LengthOption = Annotated[
    str | None,
    typer.Option(
        "--length",
        metavar="LENGTH",
        help="How long this piece was cut over all, where it is not the sheet's test piece.",
    ),
]
PairOption = Annotated[
    bool,
    typer.Option("--pair", help="Read over a pair of short test pieces, one end each."),
]
SureOption = Annotated[
    bool,
    typer.Option("--sure", help="Keep readings that look like slips: they are right as typed."),
]


def _day_or_moment(text: str) -> datetime.datetime:
    """A day or a moment of one, as ISO 8601 writes them: no order of day and month is guessed."""
    for form in ("%Y-%m-%d", "%Y-%m-%dT%H:%M"):
        with suppress(ValueError):
            return datetime.datetime.strptime(text, form)
    message = (
        f"{text!r} is no day that can be told for sure: write year, month and day, 2026-03-14, "
        "and a time behind a T if you want one, 2026-03-14T09:30"
    )
    raise typer.BadParameter(message)


DateOption = Annotated[
    datetime.datetime | None,
    typer.Option(
        "--date",
        parser=_day_or_moment,
        metavar="YEAR-MONTH-DAY",
        help="The day, if not today; a time behind it tells it from what else happened then.",
    ),
]


@dataclass(frozen=True)
class TypedReadings:
    """What the options say of a test piece."""

    readings: Sequence[str]
    by: str | None
    length: str | None
    pair: bool


def day(date: datetime.datetime | None) -> datetime.date:
    """The day that the options give, or today."""
    return date.date() if date is not None else datetime.datetime.now().astimezone().date()


def time_of(date: datetime.datetime | None) -> str:
    """The time of that day that the options give; empty where they give none."""
    return f"{date:%H:%M}" if date is not None and date.time() != datetime.time() else ""


def set_up_of(
    job: str,
    recipe: str,
    shop: Path | None,
    date: datetime.date,
    *,
    dialled: Sequence[str] = (),
    afresh: bool = False,
    ask: bool = False,
) -> OpenSetUp:
    """The set-up that a command is about, with its record; ``ask`` which, where several are
    meant."""
    from setupsheets.records.open_set_up import open_set_up, set_ups_called  # noqa: PLC0415

    opened, plan = open_plan(job, shop)
    try:
        found = set_ups_called(plan, recipe)
    except LookupError as error:
        raise typer.BadParameter(str(error.args[0]), param_hint="RECIPE") from None
    set_up = found[0] if len(found) == 1 else _which(found, recipe, ask=ask or at_terminal())
    causes = [setting.cause for setting in set_up.settings]
    figures = lengths_by(dialled, causes, "--dialled", opened.settings.notation)
    made = open_set_up(opened, plan, set_up, date, dialled=figures, afresh=afresh)
    tell_passed_over(opened)
    return made


def _which(found: Sequence[SetUp], recipe: str, *, ask: bool) -> SetUp:
    """The one of several set-ups that is meant: asked for, or else refused with their names."""
    names = [item.name for item in found]
    message = f"{recipe!r} is set up {len(found)} times in this job: say which: {', '.join(names)}"
    if not ask:
        raise typer.BadParameter(message, param_hint="RECIPE")
    for number, name in enumerate(names, 1):
        typer.echo(f"  {number}. {name}", err=True)

    def read(text: str) -> SetUp:
        if text.isdecimal() and 1 <= int(text) <= len(found):
            return found[int(text) - 1]
        raise typer.BadParameter(f"expected a number from 1 to {len(found)}")

    try:
        chosen: SetUp = typer.prompt("Which of these?", value_proc=read, err=True)
    except typer.Abort:
        raise typer.BadParameter(message, param_hint="RECIPE") from None
    return chosen


def piece_of(
    opened: OpenSetUp, found: TypedReadings, date: datetime.date, *, sure: bool = False
) -> RecordedPiece:
    """The test piece that the options tell of; BadParameter for what cannot be read. What looks
    like a slip is asked about at a terminal, and refused without one unless it is ``sure``."""
    from setupsheets.records.record import RecordedPiece  # noqa: PLC0415

    longer = opened.set_up.longer
    if found.length:
        asked = [f"length={found.length}"]
        length = lengths_by(asked, ["length"], "--length", opened.notation)["length"]
        longer = length - opened.set_up.subject.length
    typed = list(_readings(opened, found))
    doubts = [] if sure else list(doubted(opened, typed, longer, date))
    _settle(doubts, opened.notation)
    return RecordedPiece(date=date, readings=tuple(each for each, _ in typed), longer=longer)


def doubted(
    opened: OpenSetUp,
    typed: Sequence[tuple[RecordedReading, str]],
    longer: Length,
    date: datetime.date | None = None,
) -> Iterator[ReadingDoubt]:
    """What looks like a slip in readings and the texts that they were typed as."""
    from setupsheets.records.reading_doubts import dated_before, doubt_of  # noqa: PLC0415

    if date is not None and (early := dated_before(opened.record, date)):
        yield early
    measures = {measure.name: measure for measure in opened.record.measures}
    for reading, text in typed:
        if reading.found is not None and reading.of in measures:
            measure, unit = measures[reading.of], opened.notation.unit
            found = doubt_of(opened.record, measure, reading.found, text, longer, unit)
            if found is not None:
                yield found


def _settle(doubts: Sequence[ReadingDoubt], notation: Notation) -> None:
    """Ask whether what looks like a slip is right, or stop."""
    from setupsheets.wording.reading_doubts import DOUBTED, doubt_words  # noqa: PLC0415

    for doubt in doubts:
        typer.echo(doubt_words(doubt, notation), err=True)
    if not doubts:
        return
    if not at_terminal():
        typer.echo(DOUBTED, err=True)
        raise typer.Exit(1)
    if not typer.confirm("Is it right as typed?", default=False, err=True):
        raise typer.Exit(1)


def at_terminal() -> bool:
    """Whether somebody is there to be asked."""
    return sys.stdin is not None and sys.stdin.isatty()


def tell(opened: OpenSetUp, found: Answer | DryFitAnswer) -> None:
    """Print what the test pieces come to."""
    from setupsheets.machining.planning.fitted_ends import parts_fitted_to  # noqa: PLC0415
    from setupsheets.wording.answers import answer_lines  # noqa: PLC0415
    from setupsheets.wording.made_sizes import to_be_fitted_words  # noqa: PLC0415

    say("\n".join(answer_lines(found, opened.notation, opened.joint(found))))
    if (made := opened.made(found)) and (
        parts := parts_fitted_to(opened.set_up, opened.plan.joinery)
    ):
        say(to_be_fitted_words(made, parts, opened.notation))


def _readings(opened: OpenSetUp, found: TypedReadings) -> Iterator[tuple[RecordedReading, str]]:
    from setupsheets.files.faults import unknown  # noqa: PLC0415
    from setupsheets.lengths import LengthError  # noqa: PLC0415
    from setupsheets.records.model import closest_instrument  # noqa: PLC0415
    from setupsheets.records.typed_readings import read_reading  # noqa: PLC0415

    usual = {measure.name: measure.by for measure in opened.record.measures}
    usual |= dict.fromkeys(opened.record.blanks, closest_instrument(opened.shop))
    tools = opened.shop.settings.instruments
    if found.by and found.by not in tools:
        raise typer.BadParameter(unknown("instrument", found.by, tools), param_hint="--by")
    for name, text in pairs(found.readings, list(usual), "--found"):
        try:
            reading = read_reading(name, text, found.by or usual[name], opened.notation)
        except LengthError as error:
            raise typer.BadParameter(f"{name}: {error}", param_hint="--found") from None
        yield replace(reading, pieces=2 if found.pair else 1), text


def pairs(texts: Sequence[str], known: Sequence[str], option: str) -> Iterator[tuple[str, str]]:
    """NAME=VALUE options; BadParameter for one without =, or of a name that is not known."""
    from setupsheets.files.faults import unknown  # noqa: PLC0415

    for text in texts:
        name, equals, value = text.partition("=")
        if not equals:
            raise typer.BadParameter(f"expected NAME=VALUE, found {text!r}", param_hint=option)
        if name.strip() not in known:
            raise typer.BadParameter(unknown("name", name.strip(), known), param_hint=option)
        yield name.strip(), value.strip()


def lengths_by(
    texts: Sequence[str], known: Sequence[str], option: str, notation: Notation
) -> Mapping[str, Length]:
    """NAME=LENGTH options; BadParameter for what cannot be read."""
    from setupsheets.lengths import LengthError, read_shop_length  # noqa: PLC0415

    try:
        return {
            name: read_shop_length(text, notation.unit)
            for name, text in pairs(texts, known, option)
        }
    except LengthError as error:
        raise typer.BadParameter(str(error), param_hint=option) from None


def blank_lengths(texts: Sequence[str], notation: Notation) -> list[Length]:
    """Lengths of blanks; BadParameter for what cannot be read."""
    from setupsheets.lengths import LengthError  # noqa: PLC0415
    from setupsheets.records.typed_readings import read_found  # noqa: PLC0415

    try:
        return [read_found(text, notation) for text in texts]
    except LengthError as error:
        raise typer.BadParameter(str(error), param_hint="--blank") from None
