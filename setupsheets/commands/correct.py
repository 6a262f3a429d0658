"""`correct JOB RECIPE`: from measured readings to advice, writing nothing."""

from __future__ import annotations

from typing import Annotated

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
    blank_lengths,
    day,
    piece_of,
    print_answer,
)
from setupsheets.commands.shared import JobArgument, JsonOption, ShopOption, print_json


def correct(
    job: JobArgument,
    recipe: RecipeArgument,
    found: FoundOption = [],  # noqa: B006  (typer makes a new list of it)
    by: ByOption = None,
    longer: LongerOption = None,
    pair: PairOption = False,
    blank: Annotated[
        list[str],
        typer.Option(
            "--blank",
            metavar="LENGTH",
            help="The length of a blank that is cut already; again for each. Says which can be "
            "trimmed and what the short ones still serve for.",
        ),
    ] = [],  # noqa: B006
    date: DateOption = None,
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Turn a test piece's readings into advice.

    Asks for the readings if none are given. Writes nothing.

    Example: setupsheets correct larder cope-crosscut-saw/cross-bar --found "back_length=14 5/8"
    """
    from setupsheets.commands.asking import ask_readings  # noqa: PLC0415

    today = day(date)
    bench = bench_of(job, recipe, shop, today)
    piece = piece_of(bench, TypedReadings(found, by, longer, pair), today)
    bench = bench.with_piece(piece) if found else ask_readings(bench, piece, keep=False)
    told = bench.answer()
    blanks = bench.blanks(blank_lengths(blank, bench.shop.settings.notation)) if blank else ()
    notation = bench.shop.settings.notation
    if as_json:
        from setupsheets.files.plain import plain  # noqa: PLC0415

        print_json({**plain(told, notation, brief=False), "blanks": blanks})
        return
    print_answer(bench, told)
    for line in blanks:
        typer.echo(f"  {line}")
