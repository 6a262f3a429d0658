"""`blocks LENGTH`: the fewest set-up blocks and shims that make a distance."""

from __future__ import annotations

from functools import partial
from typing import Annotated

import typer

from setupsheets.commands.shared import JsonOption, ShopOption, open_shop, print_json
from setupsheets.commands.terminal import say
from setupsheets.json_forms.document import form

NONE = "No stack of the shop's blocks and shims comes"


def blocks(
    length: Annotated[
        list[str],
        typer.Argument(metavar="LENGTH", help="The distance, such as 14 11/16 or 37.3 mm."),
    ],
    within: Annotated[
        str | None,
        typer.Option(
            "--within", metavar="LENGTH", help="How near is near enough; else as on the sheets."
        ),
    ] = None,
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Stack set-up blocks to a length.

    Finds the fewest blocks and shims of shop.yaml that come near enough: as on the sheets, within
    half of the finer of the shop's finest mark and the dial's finest move.

    Example: setupsheets blocks 1 3/32
    """
    from setupsheets.json_forms.json_values import value  # noqa: PLC0415
    from setupsheets.lengths import Length, LengthError, read_shop_length  # noqa: PLC0415
    from setupsheets.machining.setting.block_stacks import (  # noqa: PLC0415
        for_each_move,
        make_up,
        near_enough,
    )
    from setupsheets.wording.setting_up import stack_line  # noqa: PLC0415

    there = open_shop(shop)
    settings = there.settings
    notation = settings.notation
    hint = "LENGTH"
    try:
        wanted = read_shop_length(" ".join(length), settings.unit)
        hint = "--within"
        asked = read_shop_length(within, settings.unit) if within else None
    except LengthError as error:
        raise typer.BadParameter(str(error), param_hint=hint) from None
    if wanted <= Length.ZERO or (asked is not None and asked < Length.ZERO):
        raise typer.BadParameter("a distance is more than nought, and how near is not less than it")
    if asked is not None:
        made = {asked: make_up(wanted, settings.blocks, settings.shims, asked)}
    else:
        chosen = filter(partial(there.has, "machine"), settings.first_choice.machines.values())
        made = for_each_move(wanted, settings, map(there.machine, chosen))
    (move, stack), *others = made.items()
    finer = [(other, one) for other, one in others if one is not None]
    if as_json:
        told = [{"move": value(m, notation), "stack": value(s, notation)} for m, s in finer]
        print_json(form("blocks", stack=value(stack, notation), finer=told))
    elif stack is not None:
        say(stack_line(stack, notation))
        for other, one in finer:
            say(f"for what is moved by {notation.small(other)}: {stack_line(one, notation)}")
    if stack is None:
        near = near_enough(settings.finest_mark, move) if asked is None else asked
        typer.echo(f"{NONE} within {notation.small(near)} of {notation.show(wanted)}", err=True)
        raise typer.Exit(1)
