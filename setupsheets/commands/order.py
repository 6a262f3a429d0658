"""`order RECIPE`: the order of operations with the most support under every cut; `order JOB`: the
route of a job, in which least is set, walked and carried."""

from __future__ import annotations

from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from setupsheets.commands.readings import day
from setupsheets.commands.shared import (
    JsonOption,
    ShopOption,
    is_path,
    open_plan,
    open_shop,
    print_json,
    tell_passed_over,
)
from setupsheets.commands.terminal import say

if TYPE_CHECKING:
    from setupsheets.lengths import Notation
    from setupsheets.machining.support.operation_order import BestOrder, Order
    from setupsheets.shop.finding import Shop


def order(
    what: Annotated[
        str,
        typer.Argument(
            metavar="RECIPE|JOB", help="A recipe by name; or a job by name, or its file's path."
        ),
    ],
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
    """Find the best order of operations: of a recipe, or of a whole job.

    Of a recipe the order with the best support, and why the others are worse. Of a job the route in
    which least is set, then walked, then carried, and what that saves.

    Example: setupsheets order bar-grooved --section ovolo-bar-inch
    """
    opened = open_shop(shop, what)
    if _is_job(opened, what):
        if section is not None or write:
            message = f"{what} is a job; this goes with a recipe"
            raise typer.BadParameter(message, param_hint="--write" if write else "--section")
        _order_job(what, shop, as_json)
    else:
        _order_recipe(opened, what, section, write, as_json)


def _is_job(shop: Shop, name: str) -> bool:
    """Whether a job is meant: a path always is one, a recipe goes before a job of its name. Raises
    DataFaults with the nearest name where there is neither."""
    from setupsheets.files.faults import DataFaults, unknown, whole_file  # noqa: PLC0415

    recipes, jobs = ([each.name for each in shop.everything(kind)] for kind in ("recipe", "job"))
    if is_path(name) or name in recipes:
        return is_path(name)
    if name not in jobs:
        message = unknown("recipe or job", name, sorted({*recipes, *jobs}))
        raise DataFaults([whole_file(shop.folder, message)])
    return True


def _order_job(job: str, shop: Path | None, as_json: bool) -> None:
    from setupsheets.machining.routing.route import by_number  # noqa: PLC0415
    from setupsheets.machining.tasks import grouped  # noqa: PLC0415
    from setupsheets.records.current import set_up_states  # noqa: PLC0415
    from setupsheets.sheets.content.cover import saved_lines, which  # noqa: PLC0415
    from setupsheets.sheets.content.inputs import OnRecord  # noqa: PLC0415
    from setupsheets.wording.lists import runs_of  # noqa: PLC0415

    today = day(None)
    found, plan = open_plan(job, shop, today)
    records = OnRecord(set_up_states(plan, found, today))
    tell_passed_over(found.shop)
    if as_json:
        from setupsheets.json_forms.route_form import route_form  # noqa: PLC0415

        print_json(route_form(plan, records, found.shop.settings.notation))
        return
    route = by_number(plan.set_ups)
    for machine, tasks in groupby(route, key=lambda task: task.operation.machine.title):
        say(machine)
        for group in grouped(tasks):
            parts = which((name for task in group for name in task.counts), plan)
            numbers = runs_of(task.number for task in group)
            say(f"  {numbers}. {group[0].operation.title}: {parts}")
    for line in saved_lines(plan, records):
        say(line)


def _order_recipe(
    opened: Shop, recipe: str, section: str | None, write: bool, as_json: bool
) -> None:
    from setupsheets.machining.checking.stand_in import section_for, stand_in_plan  # noqa: PLC0415
    from setupsheets.machining.support.operation_order import best_order  # noqa: PLC0415
    from setupsheets.wording.joinery_faults import design_faults_worded  # noqa: PLC0415

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
        from setupsheets.json_forms.route_form import order_form  # noqa: PLC0415

        print_json(order_form(found, recipe, tried.name, notation))
    else:
        _print(found, tried.name, notation)
    if written is not None:
        typer.echo(f"Written into {written}", err=True)


def _print(found: BestOrder, section: str, notation: Notation) -> None:
    from setupsheets.wording.support import reason_words, support_words  # noqa: PLC0415

    cuts = "1 cut" if found.looked_at == 1 else f"{found.looked_at} cuts"
    each = "" if found.looked_at == 1 else ", each after others"
    say(f"On {section}: {cuts} tried{each}. The best order:")
    for number, step in enumerate(found.best.steps, 1):
        say(f"  {number}. {step.operation.title}")
        if step.support is not None:
            say(f"     {support_words(step.support, notation)}")
    typer.echo(
        "This order stands better than the recipe's own."
        if found.better
        else "The recipe's own order stands as well as any."
    )
    for reason in found.reasons:
        say(f"  {reason_words(reason, found.best, notation)}")


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
