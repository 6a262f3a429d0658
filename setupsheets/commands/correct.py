"""`correct JOB RECIPE`: from measured readings to advice, writing nothing."""

from __future__ import annotations

from typing import Annotated

import typer
from msgspec.structs import replace

from setupsheets.commands.readings import (
    ByOption,
    DateOption,
    FoundOption,
    LengthOption,
    PairOption,
    RecipeArgument,
    SureOption,
    blank_lengths,
    day,
    set_up_of,
    tell,
)
from setupsheets.commands.shared import JobArgument, JsonOption, ShopOption, print_json
from setupsheets.commands.terminal import say


def correct(
    job: JobArgument,
    recipe: RecipeArgument,
    found: FoundOption = [],  # noqa: B006  (typer makes a new list of it)
    by: ByOption = None,
    length: LengthOption = None,
    pair: PairOption = False,
    sure: SureOption = False,
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
    from setupsheets.bench.acts import Act  # noqa: PLC0415
    from setupsheets.bench.typed_pieces import TypedReadings, piece_of  # noqa: PLC0415
    from setupsheets.commands.asking import ask_readings, settled  # noqa: PLC0415
    from setupsheets.wording.answers import blank_lines  # noqa: PLC0415
    from setupsheets.wording.bench import stands_words  # noqa: PLC0415

    today = day(date)
    opened = set_up_of(job, recipe, shop, today, ask=not found)
    notation = opened.notation
    if stands := stands_words(opened):
        typer.echo(stands, err=True)
    lengths = blank_lengths(blank, notation)
    asked = Act(today, TypedReadings(found, by, length, pair), sure=sure)
    if found:
        piece = settled(
            opened, asked, lambda said: piece_of(opened, said.found, today, sure=said.sure)
        )
        entry = replace(asked.entry_in(opened), readings=piece.readings, longer=piece.longer)
        opened = opened.with_entry(entry)
    else:
        opened, _ = ask_readings(opened, asked, keep=False)
    told = opened.answer()
    blanks = blank_lines(opened.blanks(lengths), notation) if lengths else ()
    if as_json:
        from setupsheets.json_forms.answer_form import correct_form  # noqa: PLC0415

        print_json(correct_form(opened, told, tuple(blanks)))
        return
    tell(opened, told)
    if blanks:
        say("\n  ".join(("Blanks cut already:", *blanks)))
