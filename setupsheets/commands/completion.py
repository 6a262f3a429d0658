"""`completion SHELL`: what teaches a shell to complete."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer


class ShellName(StrEnum):
    """The shells that can be taught."""

    BASH = "bash"
    ZSH = "zsh"
    FISH = "fish"


def completion(
    shell: Annotated[ShellName, typer.Argument(metavar="SHELL", help="bash, zsh or fish.")],
) -> None:
    """Print what teaches a shell to complete.

    Commands, options, jobs, set-ups, what is measured of them, and all that a shop has a name for.

    Example: eval "$(setupsheets completion bash)"
    """
    script = Path(__file__).parent / "shells" / f"completion.{shell}"
    typer.echo(script.read_text("utf-8"), nl=False)
