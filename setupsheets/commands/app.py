"""The program's commands, gathered. A new command is a module beside this one and a line here."""

from __future__ import annotations

from typing import Annotated

import typer

from setupsheets import __version__
from setupsheets.commands.begin import begin
from setupsheets.commands.blocks import blocks
from setupsheets.commands.check import check
from setupsheets.commands.completion import completion
from setupsheets.commands.correct import correct
from setupsheets.commands.list import list_things
from setupsheets.commands.log import log
from setupsheets.commands.order import order
from setupsheets.commands.parts import parts
from setupsheets.commands.recall import recall
from setupsheets.commands.rod import rod
from setupsheets.commands.serve import serve
from setupsheets.commands.sheet import sheet

app = typer.Typer(
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    context_settings={"help_option_names": ["-h", "--help"]},
    help=(
        "Setup sheets for glazed doors, sashes and cupboard doors: parts and their lengths, every "
        "fence, height and stop, the right correction from a test piece, and the record of it.\n\n"
        "Example: setupsheets begin my-shop"
    ),
)


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(__version__)
        raise typer.Exit


@app.callback()
def _program(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Say the version.")
    ] = False,
) -> None:
    """Options of the program itself; the help is the app's own."""


app.command()(begin)
app.command("list")(list_things)
app.command()(check)
app.command()(parts)
app.command()(sheet)
app.command()(rod)
app.command()(correct)
app.command()(log)
app.command()(recall)
app.command()(serve)
app.command()(blocks)
app.command()(order)
app.command()(completion)
