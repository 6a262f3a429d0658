"""The phone's pages over HTTP: an address and a form in, a page or the address of the next out.

A form is answered once what it says is written, by the address of the next page (303): what was
answered is on the disk.
"""

from __future__ import annotations

import datetime
import socket
from collections.abc import Awaitable, Callable, Iterable
from pathlib import Path
from urllib.parse import parse_qsl

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Route

from setupsheets.phone.bench_pages import BenchPages, Go, Make, Shown, Visit
from setupsheets.phone.guard import Guard
from setupsheets.phone.page_making import assets
from setupsheets.wording.phone import NOT_HERE

_FIELDS = 100
"""Fields of a form: a piece has a figure, an act one for each thing that may have been moved."""


def bench_app(
    folder: Path,
    token: str,
    hosts: Iterable[str],
    today: Callable[[], datetime.date] | None = None,
) -> Guard:
    """The application for the shop in a folder, behind its guard. ``today`` says what day it is."""
    bench = BenchPages(folder, token, today or _this_day)
    at, piece = "/{token}", "/{token}/{job}/{set_up}/{kind:str}/{own}"
    set_up = f"{at}/{{job}}/{{set_up}}"
    routes = [
        *(Route(f"{at}/{name}", _asset(*made)) for name, made in assets().items()),
        _get(f"{at}/", bench.jobs),
        _get(f"{at}/{{job}}", bench.route),
        _get(set_up, bench.set_up),
        _get(f"{set_up}/answer", bench.answer),
        _post(f"{set_up}/done", bench.say_done),
        _post(f"{set_up}/dialled", bench.say_dialled),
        _post(f"{set_up}/owed", bench.work_out_owed),
        _post(f"{set_up}/strike", bench.strike),
        _post(f"{set_up}/proved", bench.prove),
        _post(f"{set_up}/given-up", bench.give_up),
        _post(f"{set_up}/joined", bench.join),
        _get(piece, bench.line),
        _post(piece, bench.read),
    ]
    return Guard(
        Starlette(routes=routes, exception_handlers={HTTPException: _not_found}), token, hosts
    )


def listening(host: str, port: int) -> socket.socket:
    """A socket that takes phones at an address. Raises OSError where it is not free."""
    made = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        made.bind((host, port))
        made.listen(200)
    except OSError:
        made.close()
        raise
    return made


def run(app: Guard, at: socket.socket) -> None:
    """Answer at a socket until it is stopped; what was answered is written by then."""
    import uvicorn  # noqa: PLC0415

    settings = uvicorn.Config(
        app,
        log_level="warning",
        access_log=False,  # a log would hold the token
        server_header=False,
        proxy_headers=False,  # who asks is told by the socket alone
        lifespan="off",
        ws="none",
        limit_concurrency=200,
        timeout_keep_alive=15,
        h11_max_incomplete_event_size=16_384,
        http="h11",
    )
    uvicorn.Server(settings).run(sockets=[at])


def _this_day() -> datetime.date:
    return datetime.datetime.now().astimezone().date()


def _get(path: str, make: Make) -> Route:
    return Route(path, _endpoint(make), methods=["GET"])


def _post(path: str, make: Make) -> Route:
    return Route(path, _endpoint(make), methods=["POST"])


def _endpoint(make: Make) -> Callable[[Request], Awaitable[Response]]:
    async def answered(request: Request) -> Response:
        form = {}
        if request.method == "POST":
            try:
                text = (await request.body()).decode("utf-8")
                form = dict(parse_qsl(text, keep_blank_values=True, max_num_fields=_FIELDS))
            except ValueError:  # a UnicodeDecodeError is one
                return _page(Shown(NOT_HERE, 400))
        steps = {name: str(value) for name, value in request.path_params.items()}
        visit = Visit(steps, dict(request.query_params), form, sent=request.method == "POST")
        found = await run_in_threadpool(make, visit)
        if isinstance(found, Go):
            return RedirectResponse(found.path, status_code=303)
        return _page(found)

    return answered


def _asset(kind: str, text: str) -> Callable[[Request], Awaitable[Response]]:
    async def answered(request: Request) -> Response:
        kept = {"cache-control": "private, max-age=86400"}  # its name changes with what is in it
        return Response(text, media_type=kind, headers=kept)

    return answered


async def _not_found(request: Request, error: Exception) -> Response:
    status = error.status_code if isinstance(error, HTTPException) else 404
    return _page(Shown(NOT_HERE, status))


def _page(found: Shown) -> Response:
    kind = HTMLResponse if found.html.startswith("<!DOCTYPE") else _PlainText
    return kind(found.html, status_code=found.status)


class _PlainText(Response):
    media_type = "text/plain"
