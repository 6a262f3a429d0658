"""What the commands share: their arguments, opening the shop that they are about, JSON.

Whatever is slow to import is imported inside the functions, so that help and completion are quick.
"""

from __future__ import annotations

import datetime
import json
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from setupsheets.files.faults import extra_needed, nearest

if TYPE_CHECKING:
    from setupsheets.machining.plan import Plan
    from setupsheets.records.shop_records import ShopRecords
    from setupsheets.shop.finding import Shop
    from setupsheets.shop.jobs import Job


JobArgument = Annotated[
    str,
    typer.Argument(
        metavar="JOB",
        help="A job of the shop by name, or the path of its file.",
    ),
]
ShopOption = Annotated[
    Path | None,
    typer.Option(
        "--shop", help="The shop folder; else the one that the job or this folder lies in."
    ),
]
JsonOption = Annotated[bool, typer.Option("--json", help="Print one JSON document.")]


def open_shop(shop: Path | None, job: str | None = None) -> Shop:
    """The shop that a command is about. Raises DataFaults where there is none."""
    from setupsheets.shop.finding import Shop  # noqa: PLC0415

    if shop is not None:
        return Shop.open(shop)
    return Shop.around(Path(job) if job is not None and is_path(job) else Path.cwd())


def tell_passed_over(shop: Shop) -> None:
    """Tell once of each file that the run could not use, and what it did without."""
    for found in shop.passed_over.values():
        typer.echo(str(found), err=True)
    for left in dict.fromkeys(found.left for found in shop.passed_over.values()):
        typer.echo(left, err=True)


def open_job(job: str, shop: Path | None) -> tuple[Shop, Job]:
    """The shop and the job of a command."""
    opened = open_shop(shop, job)
    return opened, job_in(opened, job)


def job_in(shop: Shop, job: str) -> Job:
    """A job of a shop by its name or the path of its file."""
    from setupsheets.shop.loading import load  # noqa: PLC0415

    if is_path(job):
        found: Job = load(Path(job), "job", shop.settings.unit, shop.trees)
        return found
    return shop.job(job)


def open_plan(job: str, shop: Path | None, today: datetime.date) -> tuple[ShopRecords, Plan]:
    """The records of a command's shop and the plan of its job on a day."""
    from setupsheets.records.shop_records import ShopRecords  # noqa: PLC0415

    records = ShopRecords(open_shop(shop, job))
    return records, plan_in(records, job, today)


def plan_in(records: ShopRecords, job: str, today: datetime.date) -> Plan:
    """The plan of a job of the shop that records are of, its ends fitted to what was measured on
    their mates up to a day."""
    from setupsheets.machining.plan import plan_of  # noqa: PLC0415
    from setupsheets.records.mates import plan_as_made  # noqa: PLC0415
    from setupsheets.wording.joinery_faults import design_faults_worded  # noqa: PLC0415

    shop = records.shop
    found = job_in(shop, job)
    with design_faults_worded(shop.settings.notation):
        designed = plan_of(found, shop)
    return plan_as_made(designed, records, today)


def of_these(
    given: str, known: Sequence[str], option: str, *, one: bool = False
) -> tuple[str, ...]:
    """The words of an option, with commas between where there may be several; typer's own error
    where one is none of the ``known``."""
    words = (given,) if one else tuple(each.strip() for each in given.split(","))
    if wrong := [each for each in words if each not in known]:
        any_of = "one of" if one else "any of"
        near = nearest(wrong[0], known)
        guess = f"; did you mean {near!r}?" if near else ""
        message = f"expected {any_of} {', '.join(known)}, found {', '.join(wrong)}{guess}"
        raise typer.BadParameter(message, param_hint=option)
    return words


def printed(html: str) -> bytes:
    """A page as PDF; typer's own error where the library is not there."""
    try:
        from weasyprint import HTML  # noqa: PLC0415
    except (ImportError, OSError):
        message = f"{extra_needed('PDF', 'pdf')}, and the Pango library"
        raise typer.BadParameter(message, param_hint="--format") from None
    made: bytes = HTML(string=html).write_pdf()
    return made


def print_json(value: Any) -> None:
    """One JSON document on stdout."""
    narrow = not (sys.stdout.encoding or "utf-8").lower().startswith("utf")
    json.dump(value, sys.stdout, ensure_ascii=narrow, indent=2)
    sys.stdout.write("\n")


def is_path(job: str) -> bool:
    """Whether a job is named by the path of its file."""
    return job.endswith((".yaml", ".yml")) or "/" in job or "\\" in job
