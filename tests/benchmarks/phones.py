"""Fifty phones at once at one shop, beside one phone alone: how long each waits, what is lost.

    python -m tests.benchmarks.phones [PHONES]

Each has a network address of its own, opens a set-up, and reads a piece there line by line with a
thumb that never rests; several are at one set-up. The server is the program's own `serve` in a
process of its own. Then the files are read: every figure that was answered must be there once.
"""

from __future__ import annotations

import datetime
import re
import shutil
import statistics
import sys
import tempfile
import time
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import httpx2

from setupsheets.commands.shared import open_plan
from setupsheets.shop.phone_addresses import page_path, token_of
from tests.phone.test_sent_again import free_port, serving

EXAMPLES = Path(__file__).parents[2] / "examples"
PHONES = 50


@dataclass
class Thumb:
    """One phone at one set-up: what it waited for, and the figures that it was told are written."""

    number: int
    origin: str
    path: str
    figures: list[str]
    waited: dict[str, list[float]] = field(default_factory=lambda: {"page": [], "figure": []})
    answered: Counter[str] = field(default_factory=Counter)

    def read_a_piece(self) -> None:
        """From the set-up to the answer."""
        own = f"phone{self.number:016x}"
        transport = httpx2.HTTPTransport(local_address=f"127.0.1.{self.number + 1}")
        with httpx2.Client(base_url=self.origin, transport=transport, timeout=300) as client:
            self._wait("page", client.get, self.path)
            for line, figure in enumerate(self.figures):
                form = {"typed": figure, "at": str(line), "act": "keep", "sure": "1"}
                there = f"{self.path}/piece/{own}?line={line}"
                headers = {"origin": self.origin}
                answer = self._wait("figure", client.post, there, data=form, headers=headers)
                assert answer.status_code == 303, answer.text
                self.answered[figure] += 1
                self._wait("page", client.get, answer.headers["location"])

    def _wait(self, kind: str, ask: Any, *said: Any, **more: Any) -> Any:
        began = time.perf_counter()
        answer = ask(*said, **more)
        self.waited[kind].append(time.perf_counter() - began)
        return answer


def thumbs(shop: Path, origin: str, count: int) -> list[Thumb]:
    """Phones at the set-ups of the larder that anything is read of, in turn; each reads the design,
    and a figure of its own on the first line."""
    _, plan = open_plan("larder", shop, datetime.date.today())
    read = [each for each in plan.set_ups if each.measurements and each.test_length is not None]
    token = token_of(shop)
    made = []
    for number in range(count):
        set_up = read[number % len(read)]
        figures = [f"{float(each.target.mm) / 25.4:.4f}" for each in set_up.measurements]
        figures[0] = f"{float(figures[0]) + number / 100_000:.5f}"
        path = page_path(token, "larder", set_up.name)
        made.append(Thumb(number, origin, path, figures))
    return made


def run(count: int) -> tuple[list[float], list[float], float, int, int]:
    """So many phones at once: how long they waited for pages and for figures, the whole time, how
    many figures were answered, and how many of those the files do not have exactly once."""
    with tempfile.TemporaryDirectory() as place:
        shop = Path(place) / "larder"
        shutil.copytree(EXAMPLES / "larder", shop, ignore=shutil.ignore_patterns("records"))
        (shop / "records").mkdir()
        port = free_port()
        origin = f"http://127.0.0.1:{port}"
        phones = thumbs(shop, origin, count)
        with serving(shop, port):
            began = time.perf_counter()
            with ThreadPoolExecutor(count) as pool:
                list(pool.map(Thumb.read_a_piece, phones))
            whole = time.perf_counter() - began
        wrong = 0
        for phone in phones:
            (path,) = (shop / "records").glob(f"*/*-phone{phone.number:016x}.yaml")
            text = path.read_text("utf-8").partition("advice:")[0]
            found = len(re.findall(r"^  - of: ", text, re.M))
            wrong += found != len(phone.figures) or sum(phone.answered.values()) != found
        pages, figures = (
            [each for phone in phones for each in phone.waited[kind]] for kind in ("page", "figure")
        )
        return pages, figures, whole, len(figures), wrong


def told(name: str, waited: list[float]) -> str:
    at = statistics.quantiles(waited, n=20, method="inclusive")
    return (
        f"{name}: median {at[9] * 1000:.0f} ms, 95th percentile {at[18] * 1000:.0f} ms, "
        f"longest {max(waited) * 1000:.0f} ms"
    )


def main() -> None:
    many = int(sys.argv[1]) if len(sys.argv) > 1 else PHONES
    alone: dict[str, float] = {}
    for count in (1, many):
        pages, figures, whole, answered, wrong = run(count)
        print(
            f"{count} at once: {answered} figures answered in {whole:.1f} s, {wrong} pieces wrong"
        )
        for name, waited in (("  pages", pages), ("  figures", figures)):
            ratio = statistics.median(waited) / alone.setdefault(name, statistics.median(waited))
            print(f"{told(name, waited)}; median {ratio:.1f} times that of one alone")


if __name__ == "__main__":
    main()
