"""`parts JOB`: parts and lengths, sticks, cut list, glass order and all that surrounds them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from setupsheets.commands.readings import DateOption, day
from setupsheets.commands.shared import (
    JobArgument,
    JsonOption,
    ShopOption,
    of_these,
    open_job,
    print_json,
    tell_passed_over,
)
from setupsheets.commands.terminal import print_table, say
from setupsheets.files.faults import extra_needed

if TYPE_CHECKING:
    from setupsheets.joinery.leaf import Whole
    from setupsheets.joinery.members.parts import Part
    from setupsheets.lengths import Notation
    from setupsheets.sheets.content.finished_parts import PartsSheet
    from setupsheets.sheets.content.order_tables import OrderTable
    from setupsheets.shop.finding import Shop
    from setupsheets.shop.jobs import Job

FORMATS = ("text", "md", "html", "csv", "xlsx", "labels")


def parts(
    job: JobArgument,
    shop: ShopOption = None,
    formats: Annotated[
        str,
        typer.Option(
            "--format",
            help="One of text, md, html, csv or xlsx (cut list, glass order), labels; into a "
            "folder several, with commas between.",
        ),
    ] = "text",
    to: Annotated[
        Path | None, typer.Option("--to", help="A folder to write into; else it is printed.")
    ] = None,
    date: DateOption = None,
    as_json: JsonOption = False,
) -> None:
    """Print parts, lengths, sticks, cut list, glass order and dry fit.

    Example: setupsheets parts larder --format csv,labels --to orders
    """
    wanted = of_these(formats, FORMATS, "--format")
    if to is not None and "text" in wanted:
        message = "expected md, html, csv, xlsx or labels with --to: text is for the terminal"
        raise typer.BadParameter(message, param_hint="--format")
    if to is None and "xlsx" in wanted and not as_json:
        message = "expected a folder to write xlsx into: a terminal cannot show it"
        raise typer.BadParameter(message, param_hint="--to")
    if to is None and len(wanted) > 1 and not as_json:
        message = f"expected a folder to write {formats} into: a terminal shows one of them"
        raise typer.BadParameter(message, param_hint="--to")
    from setupsheets.sheets.making import make_parts  # noqa: PLC0415

    opened, found = open_job(job, shop)
    whole = make_parts(opened, found, day(date))
    tell_passed_over(opened)
    if as_json:
        from setupsheets.json_forms.parts_form import parts_form  # noqa: PLC0415

        print_json(parts_form(whole, opened.settings.notation))
    elif wanted == ("text",):
        from setupsheets.sheets.content.parts_sheet import parts_sheet  # noqa: PLC0415

        _print(parts_sheet(found, whole, opened.settings.notation))
    else:
        files: dict[str, str | bytes] = {}
        for form in wanted:
            files |= _made(form, opened, found, whole)
        _hand_over(files, found.name, to)


def _made(form: str, opened: Shop, job: Job, whole: Whole) -> Mapping[str, str | bytes]:
    """What a form has to write or print, by what follows the job's name in the name of its file."""
    notation = opened.settings.notation
    if form == "labels":
        return {"-labels.html": _labels(whole.joinery.parts, job, notation)}
    if form in ("csv", "xlsx"):
        from setupsheets.sheets.content.order_tables import order_tables  # noqa: PLC0415

        return _spreadsheets(order_tables(whole, opened.timber_of(job).title, notation), form)
    from setupsheets.sheets.content.door import door_drawings  # noqa: PLC0415
    from setupsheets.sheets.content.parts_sheet import parts_sheet  # noqa: PLC0415

    return _files(parts_sheet(job, whole, notation, door_drawings(whole, notation)), form)


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


def _files(sheet: PartsSheet, form: str) -> Mapping[str, str | bytes]:
    from setupsheets.sheets.pages import pages  # noqa: PLC0415

    if form == "html":
        return {"-parts.html": pages.parts_to_html(sheet)}
    return {"-parts.md": pages.parts_to_markdown(sheet)} | dict(pages.drawing_files(sheet))


def _spreadsheets(tables: Sequence[OrderTable], form: str) -> Mapping[str, str | bytes]:
    """The same for tables of values; typer's own error where the library is not there."""
    if form == "csv":
        from setupsheets.sheets.pages.csv_tables import csv_text  # noqa: PLC0415

        return {f"-{table.name}.csv": csv_text(table) for table in tables}
    try:
        from setupsheets.sheets.pages.workbook import workbook  # noqa: PLC0415
    except ImportError:
        message = extra_needed("xlsx", "spreadsheet")
        raise typer.BadParameter(message, param_hint="--format") from None
    return {"-parts.xlsx": workbook(tables)}


def _hand_over(files: Mapping[str, str | bytes], job: str, to: Path | None) -> None:
    """Write the files into a folder, or print those that are no drawings.

    A CSV file begins with a byte order mark: without one common spreadsheets take its letters for
    those of an older encoding.
    """
    from setupsheets.files.safe_writing import write_all  # noqa: PLC0415

    if to is None:
        texts = [str(text) for name, text in files.items() if name.startswith("-")]
        typer.echo("\n".join(texts), nl=False)
        return
    marked = {
        name: f"\ufeff{content}" if isinstance(content, str) and name.endswith(".csv") else content
        for name, content in files.items()
    }
    named = {f"{job}{name}" if name.startswith("-") else name: it for name, it in marked.items()}
    write_all(to, named)
    for name in files:
        if name.startswith("-"):
            typer.echo(to / f"{job}{name}")
