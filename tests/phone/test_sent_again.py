"""What is sent again is written once; two phones lose nothing; a killed server neither.

Readings are invented; what they are held against is what was sent and how often.
"""

from __future__ import annotations

import os
import re
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from threading import Barrier, Thread
from typing import Any

import httpx2
import pytest

from setupsheets.phone.server import bench_app
from setupsheets.shop.phone_addresses import page_path, token_of
from tests.commands.test_bench import CROSS_BAR
from tests.phone.phones import HOST, TOKEN, Phone
from tests.phone.test_pages import HERE, KEEP, LONG, RIGHT, acts, read
from tests.running import run


def texts(shop: Path) -> list[str]:
    return [path.read_text("utf-8") for path in acts(shop)]


class Twice(Phone):
    """A phone whose every form comes twice, as when the answer to the first was lost."""

    def send(self, action: str, fields: dict[str, str], **headers: str) -> Twice:
        before = self.path
        super().send(action, fields, **headers)
        first = self.status, re.sub(r"phone[0-9a-f]{16}", "", self.html), self.path
        self.path = before
        super().send(action, fields, **headers)
        assert (self.status, re.sub(r"phone[0-9a-f]{16}", "", self.html), self.path) == first
        return self


def test_every_form_of_the_whole_way_may_come_twice(larder: Path) -> None:
    phone = read(Twice(larder), *LONG[:3])
    phone.press("Take back the last figure").press(KEEP, typed=".375")
    for figure in LONG[3:]:
        phone.press(KEEP, typed=figure)
    phone.press("Write that", did="advised").press("Read a further test piece")
    for figure in RIGHT:
        phone.press(KEEP, typed=figure)
    phone.press("Cut the parts so", kept="peg 4")
    assert "PROVED" in phone.words
    assert len(acts(larder)) == 4, "a piece, what was done, a piece, the verdict"
    counts = [len(re.findall("  - of: ", text)) for text in texts(larder)]
    assert counts == [6 + 2 + 1, 0, 6, 0], "a line read thrice, and one that was struck out"


def test_another_figure_from_an_older_page_is_not_written(larder: Path) -> None:
    phone = Phone(larder).open(HERE).press("Read test piece")
    older = Phone(larder, phone.app)
    older.html, older.path = begun = phone.html, phone.path
    phone.press(KEEP, typed="15 1/8")
    older.press(KEEP, typed="15 1/16")
    assert older.status == 409 and "This figure is not written" in older.words
    assert "Overall, tenon end to tenon end 15 1/8 in" in older.words
    older.html, older.path = begun
    older.press(KEEP, typed="15 1/8; 15 1/16")
    assert older.status == 409 and "This figure is not written" in older.words, "one of two is"
    assert "15 1/16" not in "".join(texts(larder))


def test_a_figure_that_comes_after_the_record_was_closed_begins_no_other(larder: Path) -> None:
    phone = Phone(larder).open(HERE).press("Read test piece").press(KEEP, typed="15 1/8")
    ran = run("log", "larder", CROSS_BAR, "--date", "2021-03-01", "--verdict", "given up")
    assert ran.code == 0
    phone.press(KEEP, typed="14 3/8")
    assert phone.status == 409 and "closed meanwhile" in phone.words
    assert len(list((larder / "records").glob("*.yaml"))) == 1


def test_what_was_done_is_said_once_by_whoever_says_it_first(larder: Path) -> None:
    one = read(Phone(larder), *LONG)
    other = Phone(larder, one.app).open(f"{HERE}/answer")
    one.press("Write that", did="advised")
    other.press("Write that", did="nothing")
    assert other.status == 409 and "It has been said meanwhile" in other.words
    assert sum("\ndid:" in text for text in texts(larder)) == 1


def test_two_phones_at_one_set_up_see_each_other_s_piece(larder: Path) -> None:
    """The one that ends first has advice of both as far as they are read, the last word is of all
    that is there."""
    one = read(Phone(larder), *RIGHT[:2])
    other = Phone(larder, one.app).open(HERE)
    assert "Test piece 1 is being measured, or was broken off: 2 readings so far" in other.words
    read(other, RIGHT[0])
    words = Phone(larder, one.app).open(HERE).words
    for piece, readings in ((1, "2 readings"), (2, "1 reading")):
        said = f"Test piece {piece} is being measured, or was broken off: {readings} so far"
        assert said in words
    for figure in RIGHT[1:]:
        other.press(KEEP, typed=figure)
    assert "2 test pieces read" in other.words
    for figure in LONG[2:]:
        one.press(KEEP, typed=figure)
    assert "2 test pieces read" in one.words
    assert len(list((larder / "records").glob("*.yaml"))) == 1
    assert len(acts(larder)) == 3, "two pieces, and the advice of both behind them"
    last = texts(larder)[-1]
    assert "readings:" not in last and "advice:" in last
    assert other.open(f"{HERE}/answer").words == one.words


def test_two_phones_that_begin_at_one_moment_begin_one_record(larder: Path) -> None:
    app = bench_app(larder, TOKEN, [HOST])
    phones = [Phone(larder, app).open(HERE).press("Read test piece") for _ in range(4)]
    threads = [
        Thread(target=phone.press, args=(KEEP,), kwargs={"typed": "15 1/8"}) for phone in phones
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert [phone.status for phone in phones] == [200] * 4
    assert len(list((larder / "records").glob("*.yaml"))) == 1
    assert len(acts(larder)) == 4


def test_what_comes_through_two_servers_at_once_is_written_once(larder: Path) -> None:
    ports = free_port(), free_port()
    there = f"{page_path(token_of(larder), 'larder', CROSS_BAR)}/piece/phone0123456789abcdef"
    start = Barrier(2)

    def send(port: int, answers: list[int]) -> None:
        origin = f"http://127.0.0.1:{port}"
        for line, figure in enumerate(RIGHT):
            form = {"typed": figure, "at": str(line), "act": "keep"}
            start.wait()
            url, headers = f"{origin}{there}?line={line}", {"origin": origin}
            answers.append(httpx2.post(url, data=form, headers=headers, timeout=60).status_code)

    answers: list[list[int]] = [[], []]
    with serving(larder, ports[0]), serving(larder, ports[1]):
        threads = [Thread(target=send, args=each) for each in zip(ports, answers, strict=True)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
    assert answers == [[303] * 6] * 2
    (text,) = texts(larder)
    assert text.partition("advice:")[0].count("of: ") == 6


# ----------------------------------------------------------------------------- the server killed


@contextmanager
def serving(shop: Path, port: int) -> Iterator[subprocess.Popen[bytes]]:
    """The program's own `serve`, in a process of its own, once it answers."""
    command = [sys.executable, "-m", "setupsheets", "serve", "--port", str(port)]
    process = subprocess.Popen(command, cwd=shop, stdout=subprocess.DEVNULL, env=_environment())
    try:
        for _ in range(600):
            with socket.socket() as asked:
                if asked.connect_ex(("127.0.0.1", port)) == 0:
                    break
            assert process.poll() is None, "it has ended"
            time.sleep(0.05)
        yield process
    finally:
        process.kill()
        process.wait()


def _environment() -> dict[str, str]:
    root = Path(__file__).parents[2]
    return os.environ | {"PYTHONPATH": str(root)}


def free_port() -> int:
    with socket.socket() as asked:
        asked.bind(("127.0.0.1", 0))
        return int(asked.getsockname()[1])


@pytest.mark.parametrize("delay", [0.0, 0.04])
def test_a_server_killed_amid_a_form_loses_nothing_that_it_answered(
    larder: Path, delay: float
) -> None:
    """kill -9 so long after a figure was sent; sent again to the next server."""
    port = free_port()
    own = "phone0123456789abcdef"
    origin = f"http://127.0.0.1:{port}"
    there = f"{origin}{page_path(token_of(larder), 'larder', CROSS_BAR)}/piece/{own}"

    def send(line: int, figure: str) -> Any:
        form = {"typed": figure, "at": str(line), "act": "keep"}
        return httpx2.post(
            f"{there}?line={line}", data=form, headers={"origin": origin}, timeout=60
        )

    with serving(larder, port) as process:
        assert send(0, RIGHT[0]).status_code == 303
        assert "15 1/8" in texts(larder)[0]
        thread = Thread(target=_quietly, args=(send, 1, RIGHT[1]))
        thread.start()
        time.sleep(delay)
        process.send_signal(signal.SIGKILL)
        thread.join()
    with serving(larder, port):
        answers = [send(line, figure).status_code for line, figure in enumerate(RIGHT)]
    assert answers == [303] * 6
    (text,) = texts(larder)
    assert re.findall("of: (.+)", text.partition("advice:")[0]) == [
        *("overall", "back_length", "tenon_thickness", "face_to_tenon", "face_length"),
        "cope_depth",
    ]
    assert "Cut the parts" in text


def _quietly(send: Any, line: int, figure: str) -> None:
    with suppress(httpx2.HTTPError):
        send(line, figure)
