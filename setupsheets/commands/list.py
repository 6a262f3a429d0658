"""`list [KIND]`: what the shop has, and where each thing comes from."""

from __future__ import annotations

from typing import Annotated

import typer

from setupsheets.commands.shared import (
    JsonOption,
    ShopOption,
    open_shop,
    print_json,
    tell_passed_over,
)
from setupsheets.commands.terminal import print_table
from setupsheets.files.faults import nearest
from setupsheets.json_forms.document import form


def list_things(
    kind: Annotated[
        str | None,
        typer.Argument(
            metavar="[KIND]",
            help="machines, cutters, sections, recipes, timbers, cautions, jobs or records; "
            "or any word: rabbet finds rebate, muntin finds bar.",
        ),
    ] = None,
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """List the shop's own things and built-in ones.

    Example: setupsheets list recipes
    """
    from setupsheets.records.listed_records import RECORD_WORDS, listed_records  # noqa: PLC0415
    from setupsheets.shop.listing import KIND_WORDS, listed_things, not_listed  # noqa: PLC0415

    opened = open_shop(shop)
    found = [] if kind in RECORD_WORDS else listed_things(opened, kind)
    found += listed_records(opened, kind)
    for fault in () if kind in RECORD_WORDS else not_listed(opened, kind):
        typer.echo(str(fault), err=True)
    tell_passed_over(opened)
    words = (*KIND_WORDS, *RECORD_WORDS)
    if not found and kind is not None and kind not in words:
        near = nearest(kind, words)
        guess = f"; did you mean {near!r}?" if near else ""
        typer.echo(f"Nothing here has the word {kind!r} in it{guess}", err=True)
        raise typer.Exit(1)
    if as_json:
        print_json(form("list", things=[item.as_json() for item in found]))
        return
    rows = [(item.kind, item.name, item.origin, item.title) for item in found]
    print_table(("kind", "name", "from", "title"), rows)
