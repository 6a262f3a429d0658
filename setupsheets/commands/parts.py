"""`parts JOB`: parts and their lengths, mortise positions, glass and beads."""

from __future__ import annotations

import typer

from setupsheets.commands.shared import (
    JobArgument,
    JsonOption,
    ShopOption,
    open_job,
    print_json,
    print_table,
)


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

    typer.echo(found.title)
    for each in parts_tables(parts_sheet(Plan(found, joinery, ()), notation)):
        print_table(each.headings, each.rows, each.title)
    for note in joinery.notes:
        typer.echo(f"Note: {note}")
