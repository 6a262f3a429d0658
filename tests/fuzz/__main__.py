"""Fuzzing, and one table: `python -m tests.fuzz [--minutes N] [--jobs N]`.

Files that `check` passes go on through the program; lengths, formulas and command lines are read.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from random import Random

from tests.faults import forked
from tests.faults.__main__ import added, at_once
from tests.faults.tally import Tally, table
from tests.fuzz import shops, texts

BATCH = 20_000


def fuzzed(minutes: float, seed: int, kinds: list[str]) -> list[Tally]:
    """Half of the time for files, a fifth for lengths and formulas each, the rest for commands."""
    random = Random(seed)
    found: dict[str, Tally] = {}
    start, whole = time.monotonic(), minutes * 60
    for tally in (
        *texts_until(start + whole * 0.1, random, "lengths"),
        *texts_until(start + whole * 0.2, random, "formulas"),
        lines_until(start + whole * 0.35, random),
        *files_until(start + whole, random, kinds),
    ):
        found[tally.what] = added(found.get(tally.what), tally)
    return list(found.values())


def texts_until(until: float, random: Random, what: str) -> Iterator[Tally]:
    """Batches of texts until the time is over."""
    one = {"lengths": texts.a_length, "formulas": texts.a_formula}[what]
    while time.monotonic() < until:
        yield texts.many(what, one, random.randrange(10**9), BATCH)


def lines_until(until: float, random: Random) -> Tally:
    """Command lines until the time is over."""
    tally = Tally("command lines")
    with tempfile.TemporaryDirectory(prefix="fuzz-") as room:
        while time.monotonic() < until:
            texts.command_line(random, Path(room).resolve(), tally)
    return tally


def files_until(until: float, random: Random, kinds: list[str]) -> Iterator[Tally]:
    """Changed files until the time is over, by kind."""
    tallies = {kind: Tally(f"files, {kind}") for kind in kinds or shops.FOLDERS}
    known = [seed for seed in shops.seeds() if seed.kind in tallies]
    by_kind = {kind: [seed for seed in known if seed.kind == kind] for kind in tallies}
    with tempfile.TemporaryDirectory(prefix="fuzz-") as room:
        ground = shops.Ground(Path(room).resolve())
        while time.monotonic() < until:
            kind = random.choice([*tallies])
            seed = random.choice(by_kind[kind])
            ground.tried(seed, shops.changed(seed, random), tallies[kind])
    yield from tallies.values()


def main() -> None:
    """Read the options, run, print the table and what went wrong."""
    options = argparse.ArgumentParser(prog="python -m tests.fuzz", description=__doc__)
    options.add_argument("--minutes", type=float, default=5.0)
    options.add_argument("--jobs", type=int, default=1)
    options.add_argument("--seed", type=int, default=int(time.time()))
    options.add_argument("--kind", action="append", choices=[*shops.FOLDERS], default=[])
    asked = options.parse_args()
    forked.warm_up()
    found = at_once(asked.jobs, lambda n: fuzzed(asked.minutes, asked.seed + n, asked.kind))
    print(table(found))
    for tally in found:
        for story in tally.examples:
            print(f"{tally.what}: {story}")
    sys.exit(0 if all(tally.sound for tally in found) else 1)


if __name__ == "__main__":
    main()
