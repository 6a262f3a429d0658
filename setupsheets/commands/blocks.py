"""`blocks LENGTH`: the fewest set-up blocks and shims that make a distance."""

from __future__ import annotations

from typing import Annotated

import typer

from setupsheets.commands.shared import JsonOption, ShopOption, open_shop, print_json
from setupsheets.commands.terminal import say
from setupsheets.json_forms.document import form


def blocks(
    length: Annotated[
        list[str],
        typer.Argument(metavar="LENGTH", help="The distance, such as 14 11/16 or 37.3 mm."),
    ],
    within: Annotated[
        str | None,
        typer.Option(
            "--within", metavar="LENGTH", help="How near is near enough; else half a finest mark."
        ),
    ] = None,
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Stack set-up blocks to a length.

    Finds the fewest blocks and shims of shop.yaml that come near enough.

    Example: setupsheets blocks 1 3/32
    """
    from setupsheets.json_forms.json_values import value  # noqa: PLC0415
    from setupsheets.lengths import Length, LengthError, read_shop_length  # noqa: PLC0415
    from setupsheets.machining.setting.block_stacks import make_up, near_enough  # noqa: PLC0415
    from setupsheets.wording.setting_up import stack_line  # noqa: PLC0415

    settings = open_shop(shop).settings
    notation = settings.notation
    hint = "LENGTH"
    try:
        wanted = read_shop_length(" ".join(length), settings.unit)
        hint = "--within"
        usual = near_enough(settings.finest_mark)
        near = read_shop_length(within, settings.unit) if within else usual
    except LengthError as error:
        raise typer.BadParameter(str(error), param_hint=hint) from None
    if wanted <= Length.ZERO or near < Length.ZERO:
        raise typer.BadParameter("a distance is more than nought, and how near is not less than it")
    stack = make_up(wanted, settings.blocks, settings.shims, near)
    if as_json:
        print_json(form("blocks", stack=value(stack, notation)))
    elif stack is not None:
        say(stack_line(stack, notation))
    if stack is None:
        typer.echo(
            f"No stack of the shop's blocks and shims comes within {notation.small(near)} of "
            f"{notation.show(wanted)}",
            err=True,
        )
        raise typer.Exit(1)
