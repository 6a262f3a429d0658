"""Who is let in: right host, right token, right origin, no more and no larger than a phone sends.

An ASGI application around another one, with nothing else behind it: a page is reached through here
or not at all. What is refused says no more than it must.
"""

from __future__ import annotations

import asyncio
import secrets
import time
from collections import OrderedDict
from collections.abc import Awaitable, Callable, Iterable, MutableMapping
from typing import Any

Scope = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[MutableMapping[str, Any]]]
Send = Callable[[MutableMapping[str, Any]], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

LARGEST = 16_384
"""Bytes of what is sent: a form of readings has some hundreds."""
LONGEST = 2_048
"""Letters of an address."""
SLOWEST = 20.0
"""Seconds that a form may take to come: it goes into one packet."""
A_MINUTE = 300
"""Requests of one address in a minute: a hand at a page makes some tens."""
WRONG_A_MINUTE = 20
"""Wrong tokens of one address in a minute: one that was renewed is tried a few times."""
MOST_ADDRESSES = 1_000
"""Addresses that are counted at once, the latest: a flood of them cannot fill the memory."""

HEADERS = {
    "content-security-policy": (
        "default-src 'none'; style-src 'self'; script-src 'self'; connect-src 'self'; "
        "img-src 'self'; font-src data:; form-action 'self'; base-uri 'none'; "
        "frame-ancestors 'none'"
    ),
    # The origin of a form that is sent is kept, and nothing goes to any other place.
    "referrer-policy": "same-origin",
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "cache-control": "no-store",
}
"""Beside every answer: Content Security Policy Level 3 (W3C), Referrer Policy (W3C), and the
others of the Fetch and HTML standards (WHATWG)."""


class Guard:
    """``app`` behind its ``token``, reached under ``hosts`` alone (name and port as a browser
    sends them)."""

    def __init__(
        self,
        app: App,
        token: str,
        hosts: Iterable[str],
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self._app = app
        self._token = token.encode()
        self._hosts = frozenset(host.lower() for host in hosts)
        self._every = _Counts(A_MINUTE, clock)
        self._wrong = _Counts(WRONG_A_MINUTE, clock)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request in, or answer why not."""
        if scope["type"] != "http":
            return
        refusal = self._refusal(scope)
        if refusal is None:
            try:
                async with asyncio.timeout(SLOWEST):
                    body = await _body(receive) if scope["method"] == "POST" else b""
            except TimeoutError:
                refusal = 408, "This came too slowly."
            else:
                if body is not None:
                    await self._app(scope, _once(body), _with_headers(send))
                    return
                refusal = 413, "This is more than a form of readings can be."
        await _refuse(*refusal, send)

    def _refusal(self, scope: Scope) -> tuple[int, str] | None:
        headers = dict(scope["headers"])
        client = scope["client"][0] if scope.get("client") else ""
        if not self._every.may(client):
            return 429, "Too many requests from here: wait a minute."
        if headers.get(b"host", b"").decode("latin-1").lower() not in self._hosts:
            return 421, "This address does not lead to the bench."
        if len(scope.get("raw_path") or b"") + len(scope.get("query_string", b"")) > LONGEST:
            return 414, "This address is too long."
        given = scope["path"].split("/")[1].encode("utf-8", "replace")
        if not secrets.compare_digest(given, self._token):
            if not self._wrong.may(client):
                return 429, "Too many wrong addresses from here: wait a minute."
            return 404, "Nothing is here. The code on the sheet may be of an earlier token."
        if scope["method"] not in ("GET", "HEAD", "POST"):
            return 405, "Only pages are asked for here, and forms sent."
        if scope["method"] == "POST":
            return self._refused_form(headers)
        return None

    def _refused_form(self, headers: dict[bytes, bytes]) -> tuple[int, str] | None:
        """A form counts only where it was sent from a page of ours."""
        origin = headers.get(b"origin", b"").decode("latin-1").lower()
        host = headers.get(b"host", b"").decode("latin-1").lower()
        if origin != f"http://{host}":
            return 403, "This form was not sent from a page of the bench."
        kind = headers.get(b"content-type", b"").partition(b";")[0].strip().lower()
        if kind != b"application/x-www-form-urlencoded":
            return 415, "This is no form."
        length = headers.get(b"content-length", b"0")
        if not length.isdigit() or int(length) > LARGEST:
            return 413, "This is more than a form of readings can be."
        return None


class _Counts:
    """How often each address has asked, in windows of a minute."""

    def __init__(self, most: int, clock: Callable[[], float]) -> None:
        self._most = most
        self._clock = clock
        self._seen: OrderedDict[str, tuple[float, int]] = OrderedDict()

    def may(self, client: str) -> bool:
        """Count one more; whether it is within the limit."""
        now = self._clock()
        began, count = self._seen.pop(client, (now, 0))
        if now - began >= 60:
            began, count = now, 0
        self._seen[client] = began, count + 1
        while len(self._seen) > MOST_ADDRESSES:
            self._seen.popitem(last=False)
        return count < self._most


async def _body(receive: Receive) -> bytes | None:
    """All that is sent; None where it is too much, whatever its length was said to be."""
    parts: list[bytes] = []
    size = 0
    while True:
        message = await receive()
        if message["type"] == "http.disconnect":
            return None
        parts.append(message.get("body", b""))
        size += len(parts[-1])
        if size > LARGEST:
            return None
        if not message.get("more_body"):
            return b"".join(parts)


def _once(body: bytes) -> Receive:
    """What gives a body that has come already, once."""
    messages = iter([{"type": "http.request", "body": body}])

    async def receive() -> MutableMapping[str, Any]:
        return next(messages, {"type": "http.disconnect"})

    return receive


def _with_headers(send: Send) -> Send:
    async def sending(message: MutableMapping[str, Any]) -> None:
        if message["type"] == "http.response.start":
            own = {name.lower() for name, _ in message["headers"]}
            added = [
                (name.encode(), value.encode())
                for name, value in HEADERS.items()
                if name.encode() not in own
            ]
            message = {**message, "headers": [*message["headers"], *added]}
        await send(message)

    return sending


async def _refuse(status: int, words: str, send: Send) -> None:
    body = f"{words}\n".encode()
    headers = [
        (b"content-type", b"text/plain; charset=utf-8"),
        (b"content-length", str(len(body)).encode()),
        (b"connection", b"close"),
    ]
    sending = _with_headers(send)
    await sending({"type": "http.response.start", "status": status, "headers": headers})
    await sending({"type": "http.response.body", "body": body})
