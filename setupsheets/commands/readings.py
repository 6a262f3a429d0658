"""What `correct` and `log` share: the options that say what was found, the set-up, the answer."""

from __future__ import annotations

import datetime
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
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
    from setupsheets.bench.typed_pieces import first_dialled  # noqa: PLC0415
    from setupsheets.records.open_set_up import open_set_up, set_ups_called  # noqa: PLC0415
    from setupsheets.records.shop_records import ShopRecords  # noqa: PLC0415

    records, plan = open_plan(job, shop, date)
    opened = records.shop
    try:
        found = set_ups_called(plan, recipe)
    except LookupError as error:
        raise typer.BadParameter(str(error.args[0]), param_hint="RECIPE") from None
    set_up = found[0]
    if len(found) > 1:
        set_up = _which(found, recipe, ask=ask or at_terminal())
        records = ShopRecords(opened)  # others may have written while it was asked
    with usage():
        figures = first_dialled(dialled, set_up, opened.settings.notation)
    made = open_set_up(records, plan, set_up, date, dialled=figures, afresh=afresh)
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
        chosen: SetUp = typer.prompt(
            "Which of these?", prompt_suffix=" ", value_proc=read, err=True
        )
    except typer.Abort:
        raise typer.BadParameter(message, param_hint="RECIPE") from None
    return chosen


@contextmanager
def usage() -> Iterator[None]:
    """What cannot be read as wrong usage, the way the command line tells it."""
    from setupsheets.bench.questions import Unreadable  # noqa: PLC0415

    try:
        yield
    except Unreadable as error:
        raise typer.BadParameter(str(error), param_hint=error.option or None) from None


def at_terminal() -> bool:
    """Whether somebody is there to be asked."""
    return sys.stdin is not None and sys.stdin.isatty()


def tell(opened: OpenSetUp, found: Answer | DryFitAnswer) -> None:
    """Print what the test pieces come to."""
    from setupsheets.bench.acts import to_be_fitted  # noqa: PLC0415
    from setupsheets.wording.answers import answer_lines  # noqa: PLC0415

    say("\n".join(answer_lines(found, opened.notation, opened.joint(found))))
    if words := to_be_fitted(opened, found):
        say(words)


def blank_lengths(texts: Sequence[str], notation: Notation) -> list[Length]:
    """Lengths of blanks; BadParameter for what cannot be read."""
    from setupsheets.lengths import LengthError  # noqa: PLC0415
    from setupsheets.records.typed_readings import read_found  # noqa: PLC0415

    try:
        return [read_found(text, notation) for text in texts]
    except LengthError as error:
        raise typer.BadParameter(str(error), param_hint="--blank") from None
