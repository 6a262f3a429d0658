"""`begin FOLDER`: a shop folder to edit."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from setupsheets.lengths import Unit


def _examples(incomplete: str) -> list[str]:
    """Names of the examples, for the shell."""
    from setupsheets.shop.starting import examples  # noqa: PLC0415

    return [name for name in examples() if name.startswith(incomplete)]


def begin(
    folder: Annotated[Path, typer.Argument(help="A folder that is not there yet, or is empty.")],
    unit: Annotated[
        Unit | None, typer.Option(help="The unit that the shop works in; inches if not told.")
    ] = None,
    example: Annotated[
        str | None,
        typer.Option(
            help="Copy the shop of an example that comes with the program: larder (inches, two "
            "cupboard doors) or vestibule (metric, half glazed over a panel).",
            autocompletion=_examples,
        ),
    ] = None,
) -> None:
    """Start a shop folder.

    It has machines and one job to edit, and a place for records.

    Example: setupsheets begin my-shop --unit mm
    """
    from setupsheets.shop.starting import (  # noqa: PLC0415
        example_files,
        start_shop,
        starter_files,
    )

    if example is None:
        files = starter_files(unit or Unit.IN)
    elif unit is not None:
        raise typer.BadParameter("an example has its own unit: leave --unit out")
    else:
        try:
            files = example_files(example)
        except ValueError as fault:
            raise typer.BadParameter(str(fault), param_hint="--example") from None
    job = start_shop(folder, files)
    typer.echo(f"A shop stands in {folder}. Next:")
    typer.echo(f"  1. edit {folder / 'shop.yaml'} and the files in {folder / 'machines'}")
    typer.echo(f"  2. edit the job {job}")
    typer.echo(f"  3. setupsheets check --shop {folder}")
    typer.echo(f"  4. setupsheets sheet {job} --open")
