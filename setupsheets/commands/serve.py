"""`serve`: the sheets and `log` as pages for a phone at the machine."""

from __future__ import annotations

from contextlib import suppress
from typing import Annotated

import typer

from setupsheets.commands.shared import ShopOption, open_shop
from setupsheets.commands.terminal import say
from setupsheets.files.faults import extra_needed

LOOPBACK = "127.0.0.1"

HTTP = 80
"""The port that no browser says (RFC 9110, 4.2.1)."""

NEEDS = extra_needed("serve", "phone")


def serve(
    lan: Annotated[
        bool,
        typer.Option("--lan", help="Open it to the shop's own network, not to this machine alone."),
    ] = False,
    port: Annotated[
        int | None,
        typer.Option("--port", min=1, max=65535, help="Where to listen; else as shop.yaml says."),
    ] = None,
    new_token: Annotated[
        bool,
        typer.Option(
            "--new-token", help="Make every earlier address and printed code lead nowhere."
        ),
    ] = False,
    shop: ShopOption = None,
) -> None:
    """Show sheets and take readings on a phone at the machine.

    Prints the address and a code for the phone's camera, and runs until it is stopped. Readings are
    kept as `log` keeps them, each before it is answered.

    Example: setupsheets serve --lan
    """
    from setupsheets.sheets.drawings.phone_code import code_in_letters  # noqa: PLC0415
    from setupsheets.shop.phone_addresses import host_and_port, page_path, token_of  # noqa: PLC0415
    from setupsheets.wording.phone import TRUSTED  # noqa: PLC0415

    opened = open_shop(shop)
    said, usual = host_and_port(opened.settings.address)
    at = port or usual
    host = _own_address() if lan else LOOPBACK
    names = dict.fromkeys(name for name in ((said if lan else ""), host, "localhost") if name)
    token = token_of(opened.folder, new=new_token)
    address = f"http://{next(iter(names))}:{at}{page_path(token)}"
    try:
        from setupsheets.phone.server import bench_app, listening, run  # noqa: PLC0415

        code = code_in_letters(address)
    except ImportError:
        raise typer.BadParameter(NEEDS, param_hint="serve") from None
    try:
        listens = listening(host, at)
    except OSError as error:
        message = f"{host}:{at} is not free to listen at: {error.strerror or error}"
        raise typer.BadParameter(message, param_hint="--port") from None
    say(address)
    say(TRUSTED)
    typer.echo(code)
    hosts = [name if at == HTTP else f"{name}:{at}" for name in names]
    run(bench_app(opened.folder, token, hosts), listens)


def _own_address() -> str:
    """This machine's address on the network that it would go out by; nothing is sent to find it.

    Raises BadParameter where it is on none.
    """
    import socket  # noqa: PLC0415

    with suppress(OSError), socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asked:
        asked.connect(("192.0.2.1", 9))  # for documentation alone: RFC 5737
        found = str(asked.getsockname()[0])
        if not found.startswith("127."):
            return found
    raise typer.BadParameter("this machine is on no network", param_hint="--lan")
