"""`begin FOLDER`: a shop folder to edit; and a cutter, section or whatever else in one."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from setupsheets.commands.shared import ShopOption, open_shop
from setupsheets.lengths import Unit

NOBODY = "Nobody is here to ask: what is usual is taken, as with --yes. Change it in the files."


def _new(kind: str) -> typer.models.OptionInfo:
    option: typer.models.OptionInfo = typer.Option(
        f"--{kind}", metavar="NAME", help=f"Begin a {kind} of that name in the shop."
    )
    return option


FolderArgument = Annotated[
    Path | None,
    typer.Argument(metavar="[FOLDER]", help="A folder that is not there yet, or is empty."),
]
ExampleOption = Annotated[
    str | None,
    typer.Option(
        help="Copy the shop of an example that comes with the program: larder (inches, two "
        "cupboard doors) or vestibule (metric, half glazed over a panel).",
    ),
]
LikeOption = Annotated[
    str | None,
    typer.Option(metavar="NAME", help="Begin it as a copy of another one, to be changed."),
]
WithOption = Annotated[
    list[str] | None,
    typer.Option(
        "--with",
        metavar="KEY=VALUE",
        help="What it has there, not to be asked: diameter=1 3/8, rails.*.section=our-frame; "
        "`setupsheets list KIND --keys` tells the keys.",
    ),
]


def begin(
    folder: FolderArgument = None,
    unit: Annotated[
        Unit | None, typer.Option(help="The unit that the shop works in; inches if not told.")
    ] = None,
    example: ExampleOption = None,
    machine: Annotated[str | None, _new("machine")] = None,
    cutter: Annotated[str | None, _new("cutter")] = None,
    section: Annotated[str | None, _new("section")] = None,
    job: Annotated[str | None, _new("job")] = None,
    recipe: Annotated[str | None, _new("recipe")] = None,
    timber: Annotated[str | None, _new("timber")] = None,
    caution: Annotated[str | None, _new("caution")] = None,
    like: LikeOption = None,
    given: WithOption = None,
    yes: Annotated[
        bool, typer.Option("--yes", "-y", help="Ask nothing: what is usual is taken.")
    ] = False,
    shop: ShopOption = None,
) -> None:
    """Start a shop folder, or something new in one.

    It asks for what there is: machines with their finest moves, instruments, cutters; of a new
    cutter what can be measured on it. Nothing that is there is overwritten.

    Example: setupsheets begin my-shop --unit mm

    Example: setupsheets begin --cutter our-ovolo
    """
    kinds = {
        "machine": machine,
        "cutter": cutter,
        "section": section,
        "job": job,
        "recipe": recipe,
        "timber": timber,
        "caution": caution,
    }
    new = [(kind, name) for kind, name in kinds.items() if name is not None]
    if len(new) > 1 or (folder is None) is (not new):
        raise typer.BadParameter("give a folder for a new shop, or one thing such as --cutter NAME")
    if new:
        from setupsheets.commands.begin_thing import begin_thing  # noqa: PLC0415

        begin_thing(*new[0], open_shop(shop), like, given or [], yes=yes)
    elif like is not None or given:
        raise typer.BadParameter("--like and --with are for one thing, such as --cutter NAME")
    else:
        assert folder is not None
        _begin_shop(folder, unit, example, yes=yes)


def _begin_shop(folder: Path, unit: Unit | None, example: str | None, *, yes: bool) -> None:
    from setupsheets.commands import readings  # noqa: PLC0415
    from setupsheets.shop.starting import (  # noqa: PLC0415
        example_files,
        refuse_strangers,
        start_shop,
        starter_files,
    )

    if example is not None and unit is not None:
        raise typer.BadParameter("an example has its own unit: leave --unit out")
    if example is not None:
        try:
            files = example_files(example)
        except ValueError as fault:
            raise typer.BadParameter(str(fault), param_hint="--example") from None
    elif yes or not readings.at_terminal():
        if not yes:
            typer.echo(NOBODY, err=True)
        files = starter_files(unit or Unit.IN)
    else:
        from setupsheets.commands.questions import ask_shop  # noqa: PLC0415

        refuse_strangers(folder)
        files = ask_shop(folder, unit).files()
    job = start_shop(folder, files)
    where = folder if folder.name else "this folder"
    typer.echo(f"A shop stands in {where}. Next:")
    typer.echo(f"  1. edit {folder / 'shop.yaml'} and the files in {folder / 'machines'}")
    typer.echo(f"  2. edit the job {job}")
    typer.echo(f"  3. setupsheets check --shop {folder}")
    typer.echo(f"  4. setupsheets sheet {job} --open")
    typer.echo("A cutter or moulding of your own: setupsheets begin --cutter NAME in the folder.")
    typer.echo("What a file may hold: setupsheets list job --keys; machine, shop and so on.")
