"""`sheet JOB`: the setup sheets into files."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from setupsheets.commands.readings import DateOption, day
from setupsheets.commands.shared import (
    JobArgument,
    ShopOption,
    of_these,
    open_shop,
    plan_in,
    printed,
    tell_passed_over,
)

if TYPE_CHECKING:
    import datetime

    from setupsheets.records.shop_records import ShopRecords
    from setupsheets.sheets.content.finished import MachinePages, SheetContent
    from setupsheets.sheets.known_sheets import Sheets

FORMATS = ("html", "md", "pdf", "json")
PAPERS = ("A4", "Letter")
ALSO = ("boards", "fits", "seasons", "sticks")


def sheet(
    job: JobArgument,
    machine: Annotated[
        str | None, typer.Option("--machine", help="Only this machine's pages, by its name.")
    ] = None,
    to: Annotated[
        Path | None,
        typer.Option("--to", help="Where to write; else sheets/ in the shop folder."),
    ] = None,
    formats: Annotated[
        str, typer.Option("--format", help="Any of html, md, pdf, json, with commas between.")
    ] = "html,md",
    paper: Annotated[
        str, typer.Option("--paper", help="What the pdf is for: A4 or Letter.")
    ] = "A4",
    also: Annotated[
        str | None,
        typer.Option("--with", help=f"Print as well any of {', '.join(ALSO)}, or all."),
    ] = None,
    opened: Annotated[bool, typer.Option("--open", help="Show the sheets in the browser.")] = False,
    date: DateOption = None,
    shop: ShopOption = None,
) -> None:
    """Write the setup sheets of a job.

    One sheet for each machine, behind a cover with the route across the machines. The pages of one
    machine alone go into files of their own.

    Example: setupsheets sheet larder --format html,pdf --open
    """
    wanted = of_these(formats, FORMATS, "--format")
    (chosen,) = of_these(paper, PAPERS, "--paper", one=True)
    words = ALSO if also == "all" else of_these(also, ALSO, "--with") if also else ()
    from setupsheets.files.safe_writing import write_all  # noqa: PLC0415
    from setupsheets.records.shop_records import ShopRecords  # noqa: PLC0415
    from setupsheets.sheets.known_sheets import KnownSheets  # noqa: PLC0415

    today = day(date)
    records = ShopRecords(open_shop(shop, job))
    known = KnownSheets(records, job, today, [machine or "", *wanted, chosen, *words])
    if (made := known.find()) is None:
        made = _made(records, job, today, machine, wanted, chosen, words)
        known.keep(made)
    tell_passed_over(records.shop)
    folder = to or records.shop.folder / "sheets"
    write_all(folder, made.files)
    for page in made.pages:
        typer.echo(folder / page)
    for line in made.said:
        typer.echo(line, err=True)
    if opened:
        typer.launch((folder / made.pages[0]).absolute().as_uri())


def _made(
    records: ShopRecords,
    job: str,
    today: datetime.date,
    machine: str | None,
    formats: Sequence[str],
    paper: str,
    also: Sequence[str],
) -> Sheets:
    """The sheets of a job as they are asked for, each file by its path in the folder to write."""
    from setupsheets.sheets.content.asked_for import with_asked  # noqa: PLC0415
    from setupsheets.sheets.known_sheets import Sheets  # noqa: PLC0415
    from setupsheets.sheets.making import make_sheets, only_machine  # noqa: PLC0415
    from setupsheets.sheets.pages.pages import DRAWINGS, drawing_files  # noqa: PLC0415
    from setupsheets.wording.asked_for import Asked  # noqa: PLC0415

    plan = plan_in(records, job, today)
    made = make_sheets(records, plan, today)
    whole = made.content
    content: SheetContent | MachinePages = whole
    on_paper: SheetContent | MachinePages = with_asked(whole, [Asked(each) for each in also])
    name, drawn = plan.job.name, DRAWINGS
    if machine is not None:
        of_these(machine, [each.machine for each in whole.machines], "--machine", one=True)
        # No job's name has a point in it, so that nothing of any whole set is overwritten.
        name, drawn = f"{name}.{machine}", f"{name}.{machine}.{DRAWINGS}"
        content = on_paper = only_machine(whole, machine)
    pages = {
        f"{name}{end}": page
        for end, page in _pages(content, on_paper, formats, drawn, paper).items()
    }
    if "json" in formats:
        from setupsheets.json_forms.sheet_form import sheet_json  # noqa: PLC0415

        pages[f"{name}.json"] = sheet_json(content, made.inputs, made.joinery, machine)
    drawings = drawing_files(content, drawn) if "md" in formats else {}
    said = (whole.cover.not_ready, *whole.cover.obstacles)
    return Sheets({**drawings, **pages}, tuple(pages), [line for line in said if line])


def _pages(
    content: SheetContent | MachinePages,
    on_paper: SheetContent | MachinePages,
    formats: Sequence[str],
    drawn: str,
    paper: str,
) -> Mapping[str, str | bytes]:
    """The pages to write by what follows their name, of them ``on_paper`` what is to be printed;
    ``drawn`` is the drawings' folder."""
    from setupsheets.sheets.pages import pages  # noqa: PLC0415

    files: dict[str, str | bytes] = {}
    if "html" in formats:
        files[".html"] = pages.to_html(on_paper)
    if "md" in formats:
        files[".md"] = pages.to_markdown(content, drawn)
    if "pdf" in formats:
        files[".pdf"] = printed(pages.to_html(on_paper, paper))
    return files
