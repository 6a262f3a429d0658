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
    bench_of,
    day,
    piece_of,
    print_answer,
)
from setupsheets.commands.shared import JobArgument, JsonOption, ShopOption, print_json
from setupsheets.records.record import RecordedPiece, Verdict

if TYPE_CHECKING:
    from setupsheets.records.answer import Answer
    from setupsheets.records.bench import Bench


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
    bench = bench_of(job, recipe, shop, today, dialled=dialled, afresh=afresh)
    piece = piece_of(bench, TypedReadings(found, by, longer, pair), today)
    if not found and not (verdict and bench.path):
        _at_the_bench(bench, piece)
        return
    if found:
        bench = _again(bench, piece) if same else bench.write_piece(piece)
        told = bench.answer()
        bench = bench.write_done(told, done(did, bench, told))
        _print(told, bench, as_json)
    if verdict:
        bench = bench.close(verdict, kept)
    typer.echo(f"Kept in {bench.path}", err=True)


def _again(bench: Bench, piece: RecordedPiece) -> Bench:
    if not bench.record.pieces:
        raise typer.BadParameter("there is no test piece yet to measure again", param_hint="--same")
    for reading in piece.readings:
        bench = bench.write_reading(reading)
    return bench


def _print(told: Answer, bench: Bench, as_json: bool) -> None:
    notation = bench.shop.settings.notation
    if as_json:
        from setupsheets.files.plain import plain  # noqa: PLC0415

        print_json({"record": str(bench.path), "answer": plain(told, notation, brief=False)})
    else:
        print_answer(bench, told)


def _at_the_bench(bench: Bench, piece: RecordedPiece) -> None:
    """Piece after piece, until the parts are cut or the maker stops."""
    from setupsheets.commands.asking import ask_again, ask_done, ask_readings  # noqa: PLC0415

    going_on = True
    while going_on:
        bench = ask_readings(bench, piece, keep=True)
        told = _told(bench)
        while told.again and typer.confirm("Measure that now?", default=True, err=True):
            bench = ask_again(bench, told.again)
            told = _told(bench)
        bench = bench.write_done(told, ask_done(bench, told))
        if told.verdict == "cut parts" and typer.confirm(
            "Cut the parts so, and call the set-up proved?", default=True, err=True
        ):
            where = typer.prompt(
                "Where is the test piece kept?", default="", show_default=False, err=True
            )
            bench.close(Verdict.PROVED, where)
            return
        going_on = typer.confirm("Measure the next test piece now?", default=False, err=True)


def _told(bench: Bench) -> Answer:
    """The answer to the test pieces so far, printed."""
    told = bench.answer()
    print_answer(bench, told)
    return told
