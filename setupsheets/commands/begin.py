"""`begin FOLDER`: a shop folder to edit."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from setupsheets.lengths import Unit


def begin(
    folder: Annotated[Path, typer.Argument(help="A folder that is not there yet, or is empty.")],
    unit: Annotated[Unit, typer.Option(help="The unit that the shop works in.")] = Unit.IN,
) -> None:
    """Start a shop folder.

    It has machines and one job to edit, and a place for records.

    Example: setupsheets begin my-shop --unit mm
    """
    from setupsheets.shop.starting import start_shop  # noqa: PLC0415

    job = start_shop(folder, unit)
    typer.echo(f"A shop stands in {folder}. Next:")
    typer.echo(f"  1. edit {folder / 'shop.yaml'} and the files in {folder / 'machines'}")
    typer.echo(f"  2. edit the job {job}")
    typer.echo(f"  3. setupsheets check --shop {folder}")
    typer.echo(f"  4. setupsheets sheet {job} --open")
