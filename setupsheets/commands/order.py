"""`order RECIPE`: the order of operations with the most support under every cut."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from setupsheets.commands.shared import JsonOption, ShopOption, open_shop, print_json

if TYPE_CHECKING:
    from setupsheets.lengths import Notation
    from setupsheets.machining.support.operation_order import BestOrder, Order
    from setupsheets.shop.finding import Shop


def order(
    recipe: Annotated[str, typer.Argument(metavar="RECIPE", help="The recipe, by name.")],
    section: Annotated[
        str | None,
        typer.Option("--section", help="The section to try it on; else the first one it fits."),
    ] = None,
    write: Annotated[
        bool,
        typer.Option("--write", help="Write a better order into the shop's copy of the recipe."),
    ] = False,
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Find the best-supported order of operations.

    Looks at every order that keeps what must come before what, and says why the others are worse.

    Example: setupsheets order bar-grooved --section ovolo-bar-inch
    """
    from setupsheets.machining.checking.stand_in import section_for, stand_in_plan  # noqa: PLC0415
    from setupsheets.machining.support.operation_order import best_order  # noqa: PLC0415
    from setupsheets.wording.joinery_faults import design_faults_worded  # noqa: PLC0415
    from setupsheets.wording.support import reason_words  # noqa: PLC0415

    opened = open_shop(shop)
    asked = opened.recipe(recipe)
    tried = opened.section(section) if section else section_for(asked, opened)
    with design_faults_worded(opened.settings.notation):
        set_ups = stand_in_plan(asked, tried, opened).set_ups
    if not set_ups:
        message = f"{recipe} has nothing to work on {tried.name}"
        raise typer.BadParameter(message, param_hint="--section")
    found = best_order(set_ups[0].operations, set_ups[0].subject)
    notation = opened.settings.notation
    written = _write(opened, recipe, found.best) if write and found.better else None
    if as_json:
        print_json(
            {
                "section": tried.name,
                "best": found.best.names,
                "given": found.given.names,
                "better": found.better,
                "reasons": [reason_words(reason, found.best, notation) for reason in found.reasons],
            }
        )
    else:
        _print(found, tried.name, notation)
    if written is not None:
        typer.echo(f"Written into {written}", err=True)


def _print(found: BestOrder, section: str, notation: Notation) -> None:
    from setupsheets.wording.support import reason_words, support_words  # noqa: PLC0415

    typer.echo(f"On {section}: {found.looked_at} cuts tried, each after others. The best order:")
    for number, step in enumerate(found.best.steps, 1):
        typer.echo(f"  {number}. {step.operation.title}")
        if step.support is not None:
            typer.echo(f"     {support_words(step.support, notation)}")
    typer.echo(
        "This order stands better than the recipe's own."
        if found.better
        else "The recipe's own order stands as well as any."
    )
    for reason in found.reasons:
        typer.echo(f"  {reason_words(reason, found.best, notation)}")


def _write(shop: Shop, recipe: str, best: Order) -> Path:
    """Put the operations into that order in the shop's own file, a new one where it has none."""
    from setupsheets.files.documents import read_document  # noqa: PLC0415
    from setupsheets.files.editing import changed_text, edit  # noqa: PLC0415
    from setupsheets.files.safe_writing import new_file  # noqa: PLC0415

    found = shop.find("recipe", recipe)
    places = {name: place for place, name in enumerate(best.names)}

    def change(data: dict[str, list[dict[str, str]]]) -> None:
        data["operations"].sort(key=lambda operation: places.get(operation["name"], len(places)))

    if found.own:
        edit(found.path, change)
        return found.path
    path = shop.folder / "recipes" / found.path.name
    new_file(path, changed_text(read_document(found.path), change))
    return path
