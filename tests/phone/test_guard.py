"""Who is let in to the phone's pages, one demand at a time.

What is asked for: the Host and Origin of a request as RFC 9110, 7.2 and RFC 6454, 7 have them;
Content Security Policy Level 3 (W3C). Nothing here is kept unless it says so.
"""

from __future__ import annotations

import asyncio
import re
import secrets
import shutil
from collections.abc import Iterator
from pathlib import Path
from threading import Thread
from typing import Any
from unittest.mock import patch

import httpx2
import pytest
import uvicorn
from starlette.testclient import TestClient

from setupsheets.phone import guard
from setupsheets.phone.server import bench_app, listening, run
from tests.phone.phones import HOST, TOKEN, Phone, set_up_path

CROSS_BAR = set_up_path("larder", "cope-crosscut-saw/cross-bar-into-stile")
SENT = {"origin": f"http://{HOST}", "content-type": "application/x-www-form-urlencoded"}


@pytest.fixture
def client(larder: Path) -> TestClient:
    return TestClient(bench_app(larder, TOKEN, [HOST]), f"http://{HOST}", follow_redirects=False)


def writes(client: TestClient, **more: Any) -> int:
    """Send a first reading; the status that it is answered with."""
    return client.post(**(a_reading() | more)).status_code


def a_reading() -> dict[str, Any]:
    return {
        "url": f"{CROSS_BAR}/piece/phone0123456789abcdef?line=0",
        "content": "typed=15+1/8&at=0&act=keep",
        "headers": dict(SENT),
    }


def acts(shop: Path) -> list[Path]:
    return list((shop / "records").glob("*/*.yaml"))


def test_what_all_others_differ_from_is_let_in(client: TestClient, larder: Path) -> None:
    assert writes(client) == 303
    assert len(acts(larder)) == 1


# ------------------------------------------------------------------------------------- the token


@pytest.mark.parametrize(
    "given", ["", "x", TOKEN[:-1], TOKEN + "a", TOKEN.upper(), "%00", "..", "é" * 20]
)
def test_a_wrong_token_is_told_nothing(client: TestClient, given: str) -> None:
    answers = {
        (found.status_code, found.text)
        for end in ("/", "/larder", "/no-such-job", CROSS_BAR[44:])
        for found in [client.get(f"/{given}{end}")]
    }
    (answer,) = answers
    assert answer[0] == 404 and "larder" not in answer[1].lower()


def test_tokens_are_compared_in_a_time_that_tells_nothing(client: TestClient) -> None:
    with patch.object(secrets, "compare_digest", wraps=secrets.compare_digest) as compared:
        client.get("/wrong/")
        client.get(f"/{TOKEN}/")
    assert [each.args for each in compared.call_args_list] == [
        (b"wrong", TOKEN.encode()),
        (TOKEN.encode(), TOKEN.encode()),
    ]


def test_a_token_has_256_bits_and_is_its_owner_s_alone(tmp_path: Path) -> None:
    from setupsheets.shop.phone_addresses import token_of  # noqa: PLC0415

    first = token_of(tmp_path)
    path = tmp_path / ".phone" / "token"
    # 43 letters of 64 (RFC 4648, 5) hold 258 bits, so 32 bytes.
    assert re.fullmatch("[A-Za-z0-9_-]{43}", first)
    assert path.stat().st_mode & 0o777 == 0o600
    assert path.parent.stat().st_mode & 0o777 == 0o700
    assert (tmp_path / ".phone" / ".gitignore").read_text() == "*\n"
    path.chmod(0o644)
    assert token_of(tmp_path) == first
    assert path.stat().st_mode & 0o777 == 0o600
    assert token_of(tmp_path, new=True) != first
    assert path.stat().st_mode & 0o777 == 0o600
    path.write_text("short")
    assert len(token_of(tmp_path)) == 43


# ------------------------------------------------------------------------------- Host and Origin


@pytest.mark.parametrize("host", ["evil.example", f"{HOST}.evil.example", f"{HOST}:81", "", "["])
def test_a_name_made_to_lead_here_is_refused(client: TestClient, larder: Path, host: str) -> None:
    """Otherwise a page from elsewhere could read this one once its own name leads here."""
    assert client.get(f"/{TOKEN}/", headers={"host": host}).status_code == 421
    assert writes(client, headers=SENT | {"host": host, "origin": f"http://{host}"}) == 421
    assert not acts(larder)


@pytest.mark.parametrize(
    "origin",
    ["http://evil.example", "null", f"https://{HOST}", f"http://{HOST}:81", HOST, "", None],
)
def test_a_form_from_elsewhere_is_refused(
    client: TestClient, larder: Path, origin: str | None
) -> None:
    headers = {name: value for name, value in SENT.items() if name != "origin"}
    headers |= {"origin": origin} if origin is not None else {}
    assert writes(client, headers=headers) == 403
    assert not acts(larder)


def test_only_pages_and_forms_are_taken(client: TestClient, larder: Path) -> None:
    for method in ("PUT", "DELETE", "PATCH", "OPTIONS", "TRACE"):
        assert client.request(method, CROSS_BAR, headers=SENT).status_code == 405
    for kind in ("application/json", "text/plain", "multipart/form-data; boundary=x", ""):
        assert writes(client, headers=SENT | {"content-type": kind}) == 415
    assert client.get(f"{CROSS_BAR}/done").status_code == 405
    assert not acts(larder)


# ---------------------------------------------------------------------------- how much, how often


def test_more_than_a_form_is_refused(client: TestClient, larder: Path) -> None:
    assert writes(client, content="typed=" + "1" * guard.LARGEST) == 413
    assert writes(client, headers=SENT | {"content-length": "x"}) == 413

    def parts() -> Iterator[bytes]:
        yield b"typed="
        for _ in range(guard.LARGEST // 1000 + 1):
            yield b"1" * 1000

    assert writes(client, content=parts()) == 413, "it is counted as it comes"
    assert writes(client, content="&".join(f"f{n}=1" for n in range(200))) == 400
    assert writes(client, content="typed=%ff%fe&at=0") in (303, 422)
    assert client.get(f"/{TOKEN}/{'a' * 3000}").status_code == 414
    assert len(acts(larder)) <= 1


@pytest.mark.parametrize("told", [True, False])
@pytest.mark.parametrize(("size", "taken"), [(16_384, True), (16_385, False)])
def test_a_form_is_taken_up_to_its_last_byte(
    client: TestClient, size: int, *, taken: bool, told: bool
) -> None:
    """Whether its length is told beforehand or it comes in pieces; 16 KiB, as it was settled."""
    body = b"typed=" + b"+" * (size - 6)
    sent = body if told else iter([body[:9000], body[9000:]])
    answer = client.post(**(a_reading() | {"content": sent}))
    assert (answer.status_code == 422) is taken, "blanks are no figure"
    if not taken:
        assert answer.status_code == 413
        assert answer.text == "This is more than a form of readings can be.\n"


@pytest.mark.parametrize("figure", ["1" * 5_000, "1/" + "3" * 5_000, "1e400", "0." + "1" * 9_000])
def test_a_figure_of_thousands_of_digits_is_read_or_refused(
    client: TestClient, figure: str
) -> None:
    assert writes(client, content=f"typed={figure}&at=0") in (303, 422)


def test_a_form_that_never_ends_is_not_waited_for(
    larder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(guard, "SLOWEST", 0.1)
    sent: list[Any] = []

    async def receive() -> Any:
        await asyncio.sleep(60)

    async def send(message: Any) -> None:
        sent.append(message)

    headers = [(name.encode(), value.encode()) for name, value in (SENT | {"host": HOST}).items()]
    scope = {"type": "http", "method": "POST", "path": CROSS_BAR, "headers": headers}
    asyncio.run(guarded(larder, [0.0])(scope, receive, send))
    assert sent[0]["status"] == 408


def guarded(larder: Path, clock: list[float]) -> guard.Guard:
    async def app(scope: Any, receive: Any, send: Any) -> None:
        await send({"type": "http.response.start", "status": 200, "headers": []})
        await send({"type": "http.response.body", "body": b""})

    return guard.Guard(app, TOKEN, [HOST], lambda: clock[0])


def test_one_address_asks_so_often_in_a_minute_and_no_other_waits_for_it(larder: Path) -> None:
    clock = [0.0]
    app = guarded(larder, clock)
    one, other = (
        TestClient(app, f"http://{HOST}", client=(client, 1)) for client in ("10.0.0.1", "10.0.0.2")
    )
    answers = [one.get(f"/{TOKEN}/").status_code for _ in range(guard.A_MINUTE + 1)]
    assert answers == [200] * guard.A_MINUTE + [429]
    assert other.get(f"/{TOKEN}/").status_code == 200
    clock[0] = 61.0
    assert one.get(f"/{TOKEN}/").status_code == 200


def test_who_asks_is_told_by_the_socket_and_nothing_is_told_of_it(
    monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    """A header (X-Forwarded-For, common practice of proxies) would let one address be many; no
    answer names its server (RFC 9110, 10.2.4), and no log holds a token."""
    heard, servers = [], []

    class Server(uvicorn.Server):
        def __init__(self, config: uvicorn.Config) -> None:
            super().__init__(config)
            servers.append(self)

    async def app(scope: guard.Scope, receive: guard.Receive, send: guard.Send) -> None:
        heard.append((scope["client"][0], scope["scheme"]))
        await send({"type": "http.response.start", "status": 200, "headers": []})
        await send({"type": "http.response.body", "body": b""})

    monkeypatch.setattr(uvicorn, "Server", Server)
    at = listening("127.0.0.1", 0)
    serving = Thread(target=run, args=(app, at))
    serving.start()
    claimed = {"x-forwarded-for": "10.9.9.9", "x-forwarded-proto": "https"}
    answer = httpx2.get(f"http://127.0.0.1:{at.getsockname()[1]}/{TOKEN}/", headers=claimed)
    servers[0].should_exit = True
    serving.join()
    assert heard == [("127.0.0.1", "http")]
    assert answer.status_code == 200 and "server" not in answer.headers
    assert TOKEN not in "".join(capfd.readouterr())


def test_tokens_are_not_guessed_at_leisure(larder: Path) -> None:
    client = TestClient(guarded(larder, [0.0]), f"http://{HOST}")
    answers = [client.get(f"/{n}/").status_code for n in range(guard.WRONG_A_MINUTE + 1)]
    assert answers == [404] * guard.WRONG_A_MINUTE + [429]
    assert client.get(f"/{TOKEN}/").status_code == 200, "who has it is let in all the same"


def test_a_flood_of_addresses_is_not_kept(larder: Path) -> None:
    counts = guard._Counts(5, lambda: 0.0)
    for number in range(3 * guard.MOST_ADDRESSES):
        counts.may(str(number))
    assert len(counts._seen) == guard.MOST_ADDRESSES


# --------------------------------------------------------------------------------- what is served


def pages(larder: Path) -> Iterator[Phone]:
    phone = Phone(larder)
    yield phone.open(f"/{TOKEN}/")
    yield phone.open(f"/{TOKEN}/larder")
    yield phone.open(CROSS_BAR)
    yield phone.press("Read test piece")
    yield phone.press("Keep it, next line", typed="four")
    yield phone.press("Keep it, next line", typed="25 1/8")
    yield phone.press("It is right")
    for _ in range(5):
        phone.press("Skip this line")
    yield phone
    yield phone.press("What does it come to?")
    yield phone.open(f"/{TOKEN}/no-such-job")
    yield phone.open("/wrong/")


def test_every_answer_has_its_headers_and_no_cookie(larder: Path) -> None:
    phone = Phone(larder)
    policy = dict(part.strip().split(" ", 1) for part in
                  guard.HEADERS["content-security-policy"].split(";"))  # fmt: skip
    assert policy["default-src"] == "'none'"
    assert policy["frame-ancestors"] == policy["base-uri"] == "'none'"
    assert not {"'unsafe-inline'", "'unsafe-eval'", "*", "http:", "https:"} & {
        word for words in policy.values() for word in words.split()
    }
    style = re.search(rf'"(/{TOKEN}/phone-\w+\.css)"', phone.open(CROSS_BAR).html)
    assert style is not None
    for path in (f"/{TOKEN}/", CROSS_BAR, f"/{TOKEN}/none", "/wrong/", style[1]):
        headers = phone.client.get(path).headers
        kept = {"cache-control"} if path == style[1] else set()
        assert {name: headers[name] for name in guard.HEADERS.keys() - kept} == {
            name: value for name, value in guard.HEADERS.items() if name not in kept
        }
        assert "set-cookie" not in headers


def test_no_page_needs_an_exception_or_anything_from_outside(larder: Path) -> None:
    count = 0
    for phone in pages(larder):
        count += 1
        assert not re.search(r"<style|\sstyle=|\son\w+=|javascript:", phone.html), phone.path
        assert all('src="/' in tag for tag in re.findall(r"<script[^>]*>", phone.html))
        assert "://" not in phone.html, phone.path
    assert count == 11


def test_no_file_of_the_shop_is_served(larder: Path) -> None:
    shutil.copytree(larder, larder / "jobs" / "inside", ignore=shutil.ignore_patterns("jobs"))
    files = [path.relative_to(larder) for path in larder.rglob("*") if path.is_file()]
    assert len(files) > 15
    for path in files:
        phone = Phone(larder)  # a new one, that has not asked too often yet
        for way in (f"{path}", f"larder/{path}", f"../{path}", f"%2e%2e/{path}"):
            found = phone.open(f"/{TOKEN}/{way}")
            assert found.status in (404, 414), (way, found.status)


@pytest.mark.parametrize(
    "job",
    [
        *("%2e%2e", "..%2flarder", "%2fetc%2fpasswd", "larder.yaml", "jobs%2flarder.yaml"),
        *("larder%00", "LARDER", "~", "..~..", "larder;x", "a" * 300),
    ],
)
def test_no_name_leads_out_of_the_shop(larder: Path, job: str) -> None:
    (larder.parent / "larder.yaml").write_text("secret: yes\n")
    phone = Phone(larder)
    for end in ("", "/cope-crosscut-saw~cross-bar-into-stile", "/..~..~shop"):
        found = phone.open(f"/{TOKEN}/{job}{end}")
        assert found.status == 404 and "secret" not in found.html
    assert phone.open(f"/{TOKEN}/larder/{job}").status == 404
    assert phone.open(f"{CROSS_BAR}/piece/{job}").status == 404
    assert phone.open(f"{CROSS_BAR}/{job}/phone0123456789abcdef").status == 404


def test_what_a_maker_wrote_is_text(larder: Path) -> None:
    job = larder / "jobs" / "larder.yaml"
    text = job.read_text("utf-8")
    bad = "<script>alert(1)</script><b onclick=x>"
    job.write_text(re.sub(r"title: .*", f"title: '{bad}'", text, count=1), "utf-8")
    phone = Phone(larder)
    for path in (f"/{TOKEN}/", f"/{TOKEN}/larder"):
        assert bad not in phone.open(path).html
        assert "&lt;script&gt;alert(1)" in phone.html
    phone.open(CROSS_BAR).press("Read test piece").press("Keep it, next line", typed=bad)
    assert phone.status == 422 and bad not in phone.html and "no length" in phone.words
