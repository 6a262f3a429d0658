"""Where a phone finds the pages: the code on paper, the one in the terminal, `serve` itself.

A code is read back by a decoder of others (zxing-cpp, for QR of ISO/IEC 18004).
"""

from __future__ import annotations

import re
import socket
import sys
from contextlib import closing
from pathlib import Path

import pytest
import zxingcpp
from PIL import Image

from setupsheets.commands import serve
from setupsheets.phone import server
from setupsheets.sheets.drawings.phone_code import code_in_letters, phone_code
from setupsheets.shop.phone_addresses import host_and_port, page_path, token_of
from tests.phone.phones import HOST, TOKEN, Phone
from tests.running import run

ADDRESS = f"http://192.168.1.20:8731{page_path(TOKEN, 'larder', 'cope-crosscut-saw/cross-bar')}"


def sheets(shop: Path, *options: str) -> str:
    ran = run("sheet", "larder", "--to", shop / "out", "--format", "html,md,json", *options)
    assert ran.code == 0, ran.err
    return (shop / "out" / "larder.html").read_text("utf-8")


def codes_in(page: str) -> list[str]:
    return re.findall(r'<svg id="code-\d+".*?</svg>', page, re.S)


def test_a_shop_without_an_address_has_no_codes_and_no_token(larder: Path) -> None:
    assert codes_in(sheets(larder)) == []
    assert not (larder / ".phone").exists()


def test_without_the_library_the_sheets_have_no_codes_and_say_so(
    larder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("setupsheets.sheets.making.find_spec", lambda name: None)
    with (larder / "shop.yaml").open("a") as file:
        file.write("\naddress: 192.168.1.20\n")
    ran = run("sheet", "larder", "--to", larder / "out")
    assert ran.code == 0 and "address: codes need the extra `phone`" in ran.err
    assert codes_in((larder / "out" / "larder.html").read_text("utf-8")) == []


def test_a_code_says_which_operations_it_leads_to(larder: Path) -> None:
    with (larder / "shop.yaml").open("a") as file:
        file.write("\naddress: 192.168.1.20\n")
    page = sheets(larder)
    captions = re.findall(
        r'<svg id="code-(\d+)"[^>]*><title[^>]*>(.*?)</title>.*?</svg>\s*<figcaption>(.*?)<',
        page,
        re.DOTALL,
    )
    assert len(captions) == len(codes_in(page)) > 20
    for number, title, caption in captions:
        told = re.fullmatch(r"No\. ([\d–, ]+)", caption)
        several = "s" if told and re.search("[–,]", told[1]) else ""
        assert told and title == f"Operation{several} {told[1]} on a phone"
        assert number == f"{int(re.split('[–,]', told[1])[0]):02}"


def test_a_code_on_paper_is_no_larger_than_it_need_be() -> None:
    """QR of level L takes 106 bytes in 37 modules (ISO/IEC 18004:2015, table 7), and 8 of white."""
    assert 78 < len(ADDRESS) <= 106
    assert phone_code("code", "Code", ADDRESS).width == pytest.approx(45 * 0.42)


def test_a_code_in_the_terminal_is_read_as_it_is_shown() -> None:
    rows = code_in_letters(ADDRESS).splitlines()
    dark = {"█": (255, 255), "▀": (255, 0), "▄": (0, 255), " ": (0, 0)}
    wide = max(map(len, rows))
    image = Image.new("L", (wide, 2 * len(rows)))
    for y, row in enumerate(rows):
        for x, letter in enumerate(row):
            for below in (0, 1):
                image.putpixel((x, 2 * y + below), dark[letter][below])
    (found,) = zxingcpp.read_barcodes(
        image.resize((8 * wide, 16 * len(rows)), Image.Resampling.BOX)
    )
    assert found.text == ADDRESS


@pytest.mark.parametrize(
    ("address", "found"),
    [("192.168.1.20", ("192.168.1.20", 8731)), ("bench.lan:80", ("bench.lan", 80))],
)
def test_an_address_has_its_port_or_the_usual_one(address: str, found: tuple[str, int]) -> None:
    assert host_and_port(address) == found


@pytest.mark.parametrize("wrong", ["http://bench", "bench/x", "bench:0", "bench:", "-b", "b c", ""])
def test_an_address_that_is_none_is_refused(larder: Path, wrong: str) -> None:
    with (larder / "shop.yaml").open("a") as file:
        file.write(f'\naddress: "{wrong}"\n')
    ran = run("check")
    assert ran.code == 1 and "address" in ran.err + ran.out


# --------------------------------------------------------------------------------- the command


class Started:
    """What `serve` would run, without running it."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.app: object = None
        self.at: tuple[str, int] = ("", 0)
        monkeypatch.setattr("setupsheets.phone.server.run", self._run)
        monkeypatch.setattr("setupsheets.phone.server.listening", self._listening)
        monkeypatch.setattr(serve, "_own_address", lambda: "192.168.1.20")

    def _listening(self, host: str, port: int) -> None:
        self.at = host, port

    def _run(self, app: object, at: object) -> None:
        self.app = app


def test_it_listens_to_this_machine_alone_unless_the_network_is_asked_for(
    larder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    started = Started(monkeypatch)
    ran = run("serve")
    assert ran.code == 0 and started.at == ("127.0.0.1", 8731)
    address = ran.out.splitlines()[0]
    assert address == f"http://127.0.0.1:8731/{token_of(larder)}/"
    assert "a network that you trust, and nothing is encrypted" in " ".join(ran.out.split())
    assert "█" in ran.out
    run("serve", "--lan", "--port", "9000")
    assert started.at == ("192.168.1.20", 9000)
    with (larder / "shop.yaml").open("a") as file:
        file.write("\naddress: bench.lan:8000\n")
    ran = run("serve", "--lan")
    assert started.at == ("192.168.1.20", 8000)
    assert ran.out.startswith(f"http://bench.lan:8000/{token_of(larder)}/")
    phone = Phone(larder, started.app)
    for host, status in (("bench.lan:8000", 200), ("192.168.1.20:8000", 200), (HOST, 421)):
        found = phone.client.get(f"/{token_of(larder)}/", headers={"host": host})
        assert found.status_code == status


@pytest.mark.parametrize("own", ["192.168.1.20", "127.0.1.1", ""])
def test_the_network_s_address_is_never_that_of_this_machine_alone(
    larder: Path, monkeypatch: pytest.MonkeyPatch, own: str
) -> None:
    """Outside source: RFC 1122, 3.2.1.3: 127 and all behind it is the machine itself."""

    class Asked:
        """A socket that says by which address it would go out, where there is a way out."""

        def connect(self, _: object) -> None:
            if not own:
                raise OSError("Network is unreachable")

        def getsockname(self) -> tuple[str, int]:
            return own, 9

        def close(self) -> None:
            """Nothing is open."""

    own_address = serve._own_address
    started = Started(monkeypatch)
    monkeypatch.setattr(serve, "_own_address", own_address)
    monkeypatch.setattr(socket, "socket", lambda *_: closing(Asked()))
    ran = run("serve", "--lan", "--port", "9000")
    if own.startswith("192."):
        assert ran.code == 0 and started.at == (own, 9000)
    else:
        assert ran.code == 2 and started.app is None
        assert "Invalid value for --lan: this machine is on no network" in ran.err


def test_the_port_that_no_browser_says_is_not_asked_for(
    larder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    started = Started(monkeypatch)
    run("serve", "--port", "80")
    client = Phone(larder, started.app).client
    for host, status in (("127.0.0.1", 200), ("127.0.0.1:8731", 421)):
        found = client.get(f"/{token_of(larder)}/", headers={"host": host})
        assert found.status_code == status


def test_a_new_token_makes_the_old_addresses_lead_nowhere(
    larder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    started = Started(monkeypatch)
    old = run("serve").out.splitlines()[0]
    assert run("serve").out.splitlines()[0] == old
    new = run("serve", "--new-token").out.splitlines()[0]
    assert new != old
    client = Phone(larder, started.app).client
    host = {"host": "127.0.0.1:8731"}
    assert client.get(new, headers=host).status_code == 200
    assert client.get(old, headers=host).status_code == 404


@pytest.mark.parametrize("library", ["starlette.applications", "segno"])
def test_without_its_extra_the_command_says_what_it_needs(
    larder: Path, monkeypatch: pytest.MonkeyPatch, library: str
) -> None:
    monkeypatch.setitem(sys.modules, library, None)
    monkeypatch.setattr("setupsheets.phone.server", server)  # goes back into the package as well
    monkeypatch.delitem(sys.modules, "setupsheets.phone.server")
    ran = run("serve")
    assert ran.code == 2 and "needs the extra `phone`" in " ".join(ran.err.split())


def test_a_port_that_is_taken_is_told(larder: Path) -> None:
    import socket  # noqa: PLC0415

    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        ran = run("serve", "--port", str(taken.getsockname()[1]))
    assert ran.code == 2 and "is not free to listen at" in ran.err


def test_a_machine_on_no_network_is_told(larder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def nowhere(*_: object) -> None:
        raise OSError(101, "Network is unreachable")

    monkeypatch.setattr("socket.socket", nowhere)
    ran = run("serve", "--lan")
    assert ran.code == 2 and "this machine is on no network" in ran.err
