"""All faults and the fuzzing, in one table: `python -m tests.faults [--minutes N] [--part NAME]`.

Without --minutes it takes a few minutes. `--short` is the fixed form that the suite runs.
"""

from __future__ import annotations

import argparse
import errno
import json
import os
import sys
import tempfile
import time
import traceback
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from random import Random

from tests.faults import entries, forked, shells, trials, writers
from tests.faults.acts import ACTS, Act, UnmadeError, drawn_act
from tests.faults.layer import FAILURES
from tests.faults.tally import WRONGS, Tally, as_json, table


@dataclass(frozen=True)
class Budget:
    """When a part has to be done, and the random choices of this run."""

    until: float
    random: Random

    @property
    def left(self) -> bool:
        """Whether there is time for one more."""
        return time.monotonic() < self.until

    def share(self, part: float) -> Budget:
        """A part of the time that is left."""
        now = time.monotonic()
        return Budget(now + (self.until - now) * part, self.random)


def kills(budget: Budget) -> Iterator[Tally]:
    """The power goes at every file call that may write, act by act."""
    for act in _acts(budget):
        tally = Tally("kill" if act.drawn else f"kill, {act.name}")
        with _unless_unmade(act), trials.in_room(act) as stage:
            for moment in trials.kills(stage):
                if budget.left:
                    trials.killed(stage, *moment, tally)
        yield tally


def _acts(budget: Budget) -> Iterator[Act]:
    """The acts, then others that are drawn at random, until the time is over."""
    for act in ACTS:
        if budget.left:
            yield act
    while budget.left:
        yield drawn_act(budget.random)


@contextmanager
def _unless_unmade(act: Act) -> Iterator[None]:
    """Pass over an act that was drawn and cannot be done."""
    try:
        yield
    except UnmadeError:
        if not act.drawn:
            raise


def failures(budget: Budget) -> Iterator[Tally]:
    """Every file call that may write fails, by itself or with all after it, act by act; and a few
    of those that read."""
    for act in _acts(budget):
        tally = Tally("fail" if act.drawn else f"fail, {act.name}")
        with _unless_unmade(act), trials.in_room(act) as stage:
            reads = budget.random.sample(range(1, stage.reads + 1), 3)
            for call in (*reads, *range(stage.reads + 1, len(stage.calls) + 1)):
                for lasting in (False, True):
                    if budget.left:
                        error = budget.random.choice(FAILURES)
                        trials.failed(stage, call, error, tally, lasting=lasting)
        yield tally


def by_strace(budget: Budget) -> Iterator[Tally]:
    """System calls fail by `strace`."""
    tally = Tally("fail, strace")
    if shells.can_strace():
        act = budget.random.choice([act for act in ACTS if not act.typed])
        with trials.in_room(act) as stage:
            while budget.left:
                call, when = budget.random.choice(shells.CALLS), budget.random.randint(1, 6)
                error = budget.random.choice(("EIO", "ENOSPC", "EACCES"))
                shells.straced(stage, call, when, error, tally)
    yield tally


def many_writers(budget: Budget) -> Iterator[Tally]:
    """A hundred at once, until the time is over."""
    while True:
        yield writers.writers_at_once(100, begun=budget.random.random() < 0.8)
        if not budget.left:
            return


def odd_entries(budget: Budget) -> Iterator[Tally]:
    """Each odd entry against each command."""
    tally = Tally("odd entries")
    cases = list(entries.cases())
    budget.random.shuffle(cases)
    for entry, place, command in cases:
        if budget.left:
            entries.met(entry, place, command, tally)
    yield tally


def full_disk(budget: Budget) -> Iterator[Tally]:
    """A disk with little room or none."""
    while True:
        tally = shells.full_disks(budget.random, 1)
        yield tally
        if not tally.tried or not budget.left:
            return


def outputs(budget: Budget) -> Iterator[Tally]:
    """Each command, its output going nowhere."""
    tally = Tally("output lost")
    cases = [(command, way) for command in shells.COMMANDS for way in shells.REDIRECTIONS]
    budget.random.shuffle(cases)
    for command, way in cases:
        if budget.left:
            shells.output_lost(command, way, tally)
    yield tally


def ctrl_c(budget: Budget) -> Iterator[Tally]:
    """Ctrl-C in the first second, the very start of Python left out."""
    tally = Tally("Ctrl-C")
    while budget.left:
        shells.interrupted(budget.random.uniform(0.06, 1.2), tally)
    yield tally


def fuzzed_files(budget: Budget) -> Iterator[Tally]:
    """Files that `check` passes taken on through the program, lengths, formulas, command lines."""
    from tests.fuzz.__main__ import fuzzed  # noqa: PLC0415  (it imports this)

    minutes = (budget.until - time.monotonic()) / 60
    yield from fuzzed(minutes, budget.random.randrange(10**9), [])


Part = Callable[[Budget], Iterator[Tally]]
PARTS: dict[str, tuple[Part, float]] = {
    "kills": (kills, 0.25),
    "failures": (failures, 0.2),
    "fuzz": (fuzzed_files, 0.25),
    "strace": (by_strace, 0.05),
    "writers": (many_writers, 0.05),
    "entries": (odd_entries, 0.1),
    "disk": (full_disk, 0.03),
    "outputs": (outputs, 0.05),
    "ctrl-c": (ctrl_c, 0.02),
}
"""Each part with its share of the time."""


def run(parts: list[str], minutes: float, seed: int) -> list[Tally]:
    """Run parts one after the other; one tally for each line of the table."""
    whole = sum(PARTS[name][1] for name in parts)
    found: dict[str, Tally] = {}
    for name in parts:
        part, share = PARTS[name]
        budget = Budget(time.monotonic() + minutes * 60 * share / whole, Random(seed))
        for tally in part(budget):
            found[tally.what] = added(found.get(tally.what), tally)
            print(f"{tally.what}: {tally.tried}", file=sys.stderr)
    return list(found.values())


def added(one: Tally | None, other: Tally) -> Tally:
    """Two tallies of the same thing in one."""
    if one is None:
        return other
    sums = {kind: getattr(one, kind) + getattr(other, kind) for kind in ("tried", *WRONGS)}
    return Tally(one.what, **sums, examples=one.examples + other.examples)


def short() -> list[Tally]:
    """The fixed form of the suite: the same few cases each time, of what needs a process that may
    be killed, hang or give up its rights."""
    random = Random(10)
    found = [Tally("kills"), Tally("failures"), Tally("odd entries")]
    act = next(act for act in ACTS if act.name == "log: piece and verdict")
    with trials.in_room(act) as stage:
        for moment in trials.kills(stage):
            trials.killed(stage, *moment, found[0])
        writes = range(stage.reads + 1, len(stage.calls) + 1)
        for number in (*writes, random.randint(1, stage.reads)):
            trials.failed(stage, number, errno.ENOSPC, found[1])
    for entry in (*entries.RECORD_ENTRIES, *entries.FOLDER_ENTRIES):
        if entry.name in ("a pipe", "no right to read", "no right to the folder", "two gigabytes"):
            place = "records" if entry in entries.FOLDER_ENTRIES else f"records/{entries.NAME}"
            entries.met(entry, place, "recall", found[2])
    return [*found, writers.writers_at_once(5, begun=True)]


def at_once(jobs: int, work: Callable[[int], list[Tally]]) -> list[Tally]:
    """The same work in several processes, each with a number of its own; their tallies added."""
    with tempfile.TemporaryDirectory() as folder:
        for number in range(jobs):
            if os.fork() == 0:
                try:
                    (Path(folder) / str(number)).write_text(as_json(work(number)), "utf-8")
                except BaseException:
                    traceback.print_exc()
                finally:
                    os._exit(0)
        for _ in range(jobs):
            os.wait()
        found: dict[str, Tally] = {}
        for file in sorted(Path(folder).iterdir()):
            for each in json.loads(file.read_text("utf-8")):
                found[each["what"]] = added(found.get(each["what"]), Tally(**each))
        return list(found.values())


def main() -> None:
    """Read the options, run, print the table and the story of whatever went wrong."""
    options = argparse.ArgumentParser(prog="python -m tests.faults", description=__doc__)
    options.add_argument("--minutes", type=float, default=5.0)
    options.add_argument("--part", action="append", choices=[*PARTS], default=[])
    options.add_argument("--jobs", type=int, default=1)
    options.add_argument("--seed", type=int, default=int(time.time()))
    options.add_argument("--short", action="store_true", help="the fixed form of the suite")
    options.add_argument("--json", action="store_true")
    asked = options.parse_args()
    forked.warm_up()
    parts = asked.part or list(PARTS)
    found = (
        short()
        if asked.short
        else at_once(asked.jobs, lambda n: run(parts, asked.minutes, asked.seed + n))
    )
    if asked.json:
        print(as_json(found))
        return
    print(table(found))
    for tally in found:
        for story in tally.examples:
            print(f"{tally.what}: {story}")
    sys.exit(0 if all(tally.sound for tally in found) else 1)


if __name__ == "__main__":
    main()
