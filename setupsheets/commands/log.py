"""`log JOB RECIPE`: a test piece into the record, with the advice; asks what was not given."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from setupsheets.commands.readings import (
    ByOption,
    DateOption,
    FoundOption,
    LongerOption,
    PairOption,
    RecipeArgument,
    TypedReadings,
    day,
    piece_of,
    set_up_of,
    tell,
)
from setupsheets.commands.shared import JobArgument, JsonOption, ShopOption, print_json
from setupsheets.records.record import RecordedPiece, Verdict

if TYPE_CHECKING:
    from collections.abc import Mapping

    from setupsheets.lengths import Length
    from setupsheets.records.answer import Answer, DryFitAnswer
    from setupsheets.records.open_set_up import OpenSetUp


def log(
    job: JobArgument,
    recipe: RecipeArgument,
    found: FoundOption = [],  # noqa: B006  (typer makes a new list of it)
    by: ByOption = None,
    longer: LongerOption = None,
    pair: PairOption = False,
    same: Annotated[
        bool,
        typer.Option("--same", help="These readings are of the last test piece, measured again."),
    ] = False,
    did: Annotated[
        list[str],
        typer.Option(
            "--did",
            metavar="WHAT",
            help="What was moved after this piece: advised, nothing, or CAUSE=AMOUNT for each.",
        ),
    ] = [],  # noqa: B006
    dialled: Annotated[
        list[str],
        typer.Option(
            "--dialled",
            metavar="CAUSE=FIGURE",
            help="A figure first dialled, where it was not what the sheet says.",
        ),
    ] = [],  # noqa: B006
    verdict: Annotated[
        Verdict | None, typer.Option("--verdict", help="Close the record with this verdict.")
    ] = None,
    kept: Annotated[str, typer.Option("--kept", help="Where the test piece is kept.")] = "",
    afresh: Annotated[
        bool, typer.Option("--afresh", help="Begin a new record even if one is open.")
    ] = False,
    date: DateOption = None,
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Keep a test piece's readings, and advise.

    Asks for what is not given, and goes on with the next piece until the parts can be cut.

    Example: setupsheets log larder cope-crosscut-saw/cross-bar
    """
    from setupsheets.commands.asking import done  # noqa: PLC0415

    today = day(date)
    opened = set_up_of(job, recipe, shop, today, dialled=dialled, afresh=afresh)
    piece = piece_of(opened, TypedReadings(found, by, longer, pair), today)
    if not found and not (verdict and opened.path):
        _piece_after_piece(opened, piece)
        return
    if found:
        opened = _again(opened, piece) if same else opened.write_piece(piece)
        told = opened.answer()
        opened = _keep(opened, told, done(did, opened, told))
        _print(told, opened, as_json)
    if verdict:
        opened = opened.close(verdict, kept)
    typer.echo(f"Kept in {opened.path}", err=True)


def _again(opened: OpenSetUp, piece: RecordedPiece) -> OpenSetUp:
    if not opened.record.pieces:
        raise typer.BadParameter("there is no test piece yet to measure again", param_hint="--same")
    for reading in piece.readings:
        opened = opened.write_reading(reading)
    return opened


def _keep(opened: OpenSetUp, told: Answer | DryFitAnswer, moved: Mapping[str, Length]) -> OpenSetUp:
    """Write what was advised, in words, and what was moved."""
    from setupsheets.wording.answers import advice_lines  # noqa: PLC0415

    shims = [cause for cause in told.by_shims if moved.get(cause) == told.moved[cause]]
    return opened.write_done(advice_lines(told, opened.notation), moved, shims)


def _print(told: Answer | DryFitAnswer, opened: OpenSetUp, as_json: bool) -> None:
    if as_json:
        from setupsheets.wording.answers import answer_as_json  # noqa: PLC0415

        answer = answer_as_json(told, opened.notation)
        print_json({"record": str(opened.path), "answer": answer})
    else:
        tell(opened, told)


def _piece_after_piece(opened: OpenSetUp, piece: RecordedPiece) -> None:
    """Ask and advise, until the parts are cut or the maker stops."""
    from setupsheets.commands.asking import ask_again, ask_done, ask_readings  # noqa: PLC0415

    going_on = True
    while going_on:
        opened = ask_readings(opened, piece, keep=True)
        tell(opened, told := opened.answer())
        while told.again and _agreed("Measure that now?", default=True):
            opened = ask_again(opened, told.again)
            tell(opened, told := opened.answer())
        opened = _keep(opened, told, ask_done(opened, told))
        if told.ready and _agreed("Cut the parts so, and call the set-up proved?", default=True):
            where = typer.prompt(
                "Where is the test piece kept?", default="", show_default=False, err=True
            )
            opened.close(Verdict.PROVED, where)
            return
        going_on = _agreed("Measure the next test piece now?", default=False)


def _agreed(question: str, *, default: bool) -> bool:
    return typer.confirm(question, default=default, err=True)
