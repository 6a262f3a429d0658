"""The program's commands: a new one is a module of its name beside this one and a line here."""

from __future__ import annotations

from collections.abc import Mapping
from importlib import import_module
from typing import Annotated

import typer

from setupsheets import __version__

COMMANDS: Mapping[str, str] = {
    "begin": "begin",
    "list": "list_things",
    "check": "check",
    "parts": "parts",
    "sheet": "sheet",
    "rod": "rod",
    "correct": "correct",
    "log": "log",
    "recall": "recall",
    "serve": "serve",
    "blocks": "blocks",
    "order": "order",
    "completion": "completion",
}
"""By its name, which is its module's, the function of each command, in the order of the help."""


def app_for(command: str) -> typer.Typer:
    """The program with the command of that name alone, for the others take time to load; with all
    of them where none has it."""
    app = typer.Typer(
        add_completion=False,
        no_args_is_help=True,
        pretty_exceptions_enable=False,
        rich_markup_mode=None,
        context_settings={"help_option_names": ["-h", "--help"]},
        help=(
            "Setup sheets for glazed doors, sashes and cupboard doors: parts and their lengths, "
            "every fence, height and stop, the right correction from a test piece, and the record "
            "of it.\n\n"
            "Example: setupsheets begin my-shop"
        ),
    )
    app.callback()(_program)
    for name in (command,) if command in COMMANDS else COMMANDS:
        module = import_module(f"setupsheets.commands.{name}")
        app.command(name)(getattr(module, COMMANDS[name]))
    return app


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(__version__)
        raise typer.Exit


def _program(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Say the version.")
    ] = False,
) -> None:
    """Options of the program itself; the help is the app's own."""
