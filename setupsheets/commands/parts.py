"""`parts JOB`: parts and lengths, sticks, cut list, glass order and all that surrounds them."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from setupsheets.commands.shared import (
    JobArgument,
    JsonOption,
    ShopOption,
    open_job,
    print_json,
    tell_passed_over,
)
from setupsheets.commands.terminal import print_table, say

if TYPE_CHECKING:
    from setupsheets.joinery.members.parts import Part
    from setupsheets.lengths import Notation
    from setupsheets.sheets.content.finished_parts import PartsSheet
    from setupsheets.shop.jobs import Job

FORMATS = ("text", "md", "html", "csv", "labels")


def parts(
    job: JobArgument,
    shop: ShopOption = None,
    form: Annotated[
        str,
        typer.Option(
            "--format", help="One of text, md, html, csv (cut list, glass order), labels."
        ),
    ] = "text",
    to: Annotated[
        Path | None, typer.Option("--to", help="A folder to write into; else it is printed.")
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """Print parts, lengths, sticks, cut list, glass order and dry fit.

    Example: setupsheets parts larder --format csv --to orders
    """
    if form not in FORMATS:
        message = f"expected one of {', '.join(FORMATS)}, found {form}"
        raise typer.BadParameter(message, param_hint="--format")
    if to is not None and form == "text":
        message = "expected md, html, csv or labels with --to: text is for the terminal"
        raise typer.BadParameter(message, param_hint="--format")
    from setupsheets.sheets.making import make_parts  # noqa: PLC0415

    opened, found = open_job(job, shop)
    whole, sheet = make_parts(opened, found, datetime.datetime.now().astimezone().date())
    tell_passed_over(opened)
    if as_json:
        from setupsheets.json_forms.parts_form import parts_form  # noqa: PLC0415

        print_json(parts_form(whole, opened.settings.notation))
    elif form == "labels":
        page = _labels(whole.joinery.parts, found, opened.settings.notation)
        _hand_over({"-labels.html": page}, found.name, to)
    elif form == "text":
        _print(sheet)
    else:
        _hand_over(_files(sheet, form), found.name, to)


def _labels(parts: tuple[Part, ...], job: Job, notation: Notation) -> str:
    from setupsheets.sheets.content.small_papers import labels_of  # noqa: PLC0415
    from setupsheets.sheets.pages.pages import labels_to_html  # noqa: PLC0415

    return labels_to_html(job.title, labels_of(parts, job, notation))


def _print(sheet: PartsSheet) -> None:
    say(sheet.title)
    for page in sheet.pages:
        say(f"\n{page.title.upper()}")
        for block in page.blocks:
            if not (block.table or block.notes):
                continue
            say(f"\n{block.title}")
            if block.words:
                say(f"  {block.words}")
            if block.table and block.table.rows:
                print_table(block.table.headings, block.table.rows)
            for note in block.notes:
                say(f"  - {note}")


def _files(sheet: PartsSheet, form: str) -> Mapping[str, str]:
    """What to write or print, by what follows the job's name in the name of its file."""
    from setupsheets.sheets.pages import csv_tables, pages  # noqa: PLC0415

    if form == "csv":
        return {f"-{name}.csv": text for name, text in csv_tables.csv_files(sheet).items()}
    if form == "html":
        return {"-parts.html": pages.parts_to_html(sheet)}
    return {"-parts.md": pages.parts_to_markdown(sheet)} | dict(pages.drawing_files(sheet))


def _hand_over(files: Mapping[str, str], job: str, to: Path | None) -> None:
    """Write the files into a folder, or print those that are no drawings."""
    from setupsheets.files.safe_writing import write_all  # noqa: PLC0415

    if to is None:
        texts = [text for name, text in files.items() if name.startswith("-")]
        typer.echo("\n".join(texts), nl=False)
        return
    named = {f"{job}{name}" if name.startswith("-") else name: text for name, text in files.items()}
    write_all(to, named)
    for name in files:
        if name.startswith("-"):
            typer.echo(to / f"{job}{name}")
