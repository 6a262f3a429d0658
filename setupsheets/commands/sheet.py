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
    open_plan,
    printed,
    tell_passed_over,
)

if TYPE_CHECKING:
    from setupsheets.sheets.content.finished import MachinePages, SheetContent
    from setupsheets.wording.asked_for import Asked

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
    asked = _asked(also)
    from setupsheets.files.safe_writing import write_all  # noqa: PLC0415
    from setupsheets.json_forms.sheet_form import sheet_json  # noqa: PLC0415
    from setupsheets.sheets.content.asked_for import with_asked  # noqa: PLC0415
    from setupsheets.sheets.making import make_sheets, only_machine  # noqa: PLC0415
    from setupsheets.sheets.pages.pages import DRAWINGS, drawing_files  # noqa: PLC0415

    today = day(date)
    records, plan = open_plan(job, shop, today)
    made = make_sheets(records, plan, today)
    tell_passed_over(records.shop)
    whole = made.content
    content: SheetContent | MachinePages = whole
    on_paper: SheetContent | MachinePages = with_asked(whole, asked)
    name, drawn = plan.job.name, DRAWINGS
    if machine is not None:
        of_these(machine, [each.machine for each in whole.machines], "--machine", one=True)
        # No job's name has a point in it, so that nothing of any whole set is overwritten.
        name, drawn = f"{name}.{machine}", f"{name}.{machine}.{DRAWINGS}"
        content = on_paper = only_machine(whole, machine)
    folder = to or records.shop.folder / "sheets"
    made_pages = _pages(content, on_paper, wanted, drawn, chosen)
    pages = {f"{name}{end}": page for end, page in made_pages.items()}
    if "json" in wanted:
        pages[f"{name}.json"] = sheet_json(content, made.inputs, made.joinery, machine)
    drawings = drawing_files(content, drawn) if "md" in wanted else {}
    write_all(folder, {**drawings, **pages})
    _tell([folder / page for page in pages], whole, opened)


def _tell(paths: Sequence[Path], whole: SheetContent, opened: bool) -> None:
    """Says what was written and what is not ready, and shows the first of it where that is asked
    for."""
    for path in paths:
        typer.echo(path)
    for line in (whole.cover.not_ready, *whole.cover.obstacles):
        if line:
            typer.echo(line, err=True)
    if opened:
        typer.launch(paths[0].absolute().as_uri())


def _asked(also: str | None) -> Sequence[Asked]:
    """What `--with` asks for."""
    from setupsheets.wording.asked_for import Asked  # noqa: PLC0415

    words = ALSO if also == "all" else of_these(also, ALSO, "--with") if also else ()
    return [Asked(each) for each in words]


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
