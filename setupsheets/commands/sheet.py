"""`sheet JOB`: the setup sheets into files."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from setupsheets.commands.shared import (
    JobArgument,
    ShopOption,
    of_these,
    open_plan,
    printed,
    tell_passed_over,
)

if TYPE_CHECKING:
    from setupsheets.sheets.content.finished import SheetContent

FORMATS = ("html", "md", "pdf", "json")


def sheet(
    job: JobArgument,
    machine: Annotated[
        str | None, typer.Option("--machine", help="Only the sheet of this machine, by name.")
    ] = None,
    to: Annotated[
        Path | None,
        typer.Option("--to", help="Where to write; else sheets/ in the shop folder."),
    ] = None,
    formats: Annotated[
        str, typer.Option("--format", help="Any of html, md, pdf, json, with commas between.")
    ] = "html,md",
    opened: Annotated[bool, typer.Option("--open", help="Show the sheets in the browser.")] = False,
    shop: ShopOption = None,
) -> None:
    """Write the setup sheets of a job.

    One sheet for each machine, behind a cover with the route across the machines.

    Example: setupsheets sheet larder --format html,pdf --open
    """
    wanted = of_these(formats, FORMATS, "--format")
    from setupsheets.files.safe_writing import write_all  # noqa: PLC0415
    from setupsheets.sheets.making import make_sheets, only_machine  # noqa: PLC0415
    from setupsheets.sheets.pages.pages import drawing_files  # noqa: PLC0415

    found, plan = open_plan(job, shop)
    content = make_sheets(found, plan, datetime.datetime.now().astimezone().date())
    tell_passed_over(found)
    if machine is not None:
        known = [each.machine for each in content.machines]
        if machine not in known:
            message = f"expected one of {', '.join(known)}, found {machine}"
            raise typer.BadParameter(message, param_hint="--machine")
        content = only_machine(content, machine)
    folder, name = to or found.folder / "sheets", plan.job.name
    pages = {f"{name}{end}": page for end, page in _pages(content, wanted).items()}
    drawings = drawing_files(content) if "md" in wanted else {}
    write_all(folder, {**drawings, **pages})
    paths = [folder / page for page in pages]
    for path in paths:
        typer.echo(path)
    for line in (content.cover.not_ready, *content.cover.obstacles):
        if line:
            typer.echo(line, err=True)
    if opened:
        typer.launch(paths[0].absolute().as_uri())


def _pages(content: SheetContent, formats: Sequence[str]) -> Mapping[str, str | bytes]:
    """The pages to write by what follows the job's name."""
    from setupsheets.sheets.pages import pages  # noqa: PLC0415

    files: dict[str, str | bytes] = {}
    if "html" in formats:
        files[".html"] = pages.to_html(content)
    if "md" in formats:
        files[".md"] = pages.to_markdown(content)
    if "pdf" in formats:
        files[".pdf"] = printed(pages.to_html(content))
    if "json" in formats:
        files[".json"] = pages.to_json(content)
    return files
