"""`list [KIND]`: what the shop has, and where each thing comes from."""

from __future__ import annotations

from typing import Annotated, Any

import typer

from setupsheets.commands.shared import JsonOption, ShopOption, open_shop, print_json


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
    from setupsheets.shop.listing import listed_things  # noqa: PLC0415

    found = listed_things(open_shop(shop), kind)
    if as_json:
        print_json([item.as_json() for item in found])
        return
    _print_table(found)


def _print_table(found: Any) -> None:
    from rich.console import Console  # noqa: PLC0415
    from rich.table import Table  # noqa: PLC0415
    from rich.text import Text  # noqa: PLC0415

    table = Table(box=None, pad_edge=False)
    for heading in ("kind", "name", "title", "from"):
        table.add_column(heading, overflow="fold")
    for item in found:
        table.add_row(*(Text(text) for text in (item.kind, item.name, item.title, item.origin)))
    Console(highlight=False).print(table)
