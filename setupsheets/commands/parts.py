"""`parts JOB`: parts and their lengths, mortise positions, glass and beads."""

from __future__ import annotations

from typing import TYPE_CHECKING

import typer

from setupsheets.commands.shared import JobArgument, JsonOption, ShopOption, open_job, print_json

if TYPE_CHECKING:
    from collections.abc import Sequence

    from setupsheets.sheets.tables import PrintedTable


def parts(job: JobArgument, shop: ShopOption = None, as_json: JsonOption = False) -> None:
    """Print parts, lengths, mortises, glass, beads.

    Example: setupsheets parts larder
    """
    from setupsheets.machining.planning import joinery_of  # noqa: PLC0415

    opened, found = open_job(job, shop)
    notation = opened.settings.notation
    joinery = joinery_of(found, opened)
    if as_json:
        from setupsheets.files.plain import plain  # noqa: PLC0415

        print_json(plain(joinery, notation, brief=False))
        return
    from setupsheets.machining.operations import Plan  # noqa: PLC0415
    from setupsheets.sheets.content_parts import parts_sheet  # noqa: PLC0415
    from setupsheets.sheets.tables import parts_tables  # noqa: PLC0415

    _print(found.title, parts_tables(parts_sheet(Plan(found, joinery, ()), notation)))
    for note in joinery.notes:
        typer.echo(f"Note: {note}")


def _print(title: str, tables: Sequence[PrintedTable]) -> None:
    from rich import box  # noqa: PLC0415
    from rich.console import Console  # noqa: PLC0415
    from rich.table import Table  # noqa: PLC0415
    from rich.text import Text  # noqa: PLC0415

    console = Console(highlight=False)
    console.print(Text(title, style="bold"))
    for each in tables:
        table = Table(title=Text(each.title), title_justify="left", box=box.SIMPLE_HEAD)
        for heading in each.headings:
            table.add_column(Text(heading), overflow="fold")
        for row in each.rows:
            table.add_row(*(Text(cell) for cell in row))
        console.print(table)
