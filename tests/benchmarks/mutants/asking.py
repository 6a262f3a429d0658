"""One mutant, asked of the tests that come to its place: does one of them fail?

All tests are gathered once. Each mutant is put into a fork of that process, where its function gets
other code, and the tests run one after another until one fails. Whatever has been at work already
by then, when the program was imported, is asked of a process that imports it anew.
"""

from __future__ import annotations

import importlib
import math
import os
import resource
import signal
import sys
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import partial
from itertools import accumulate, zip_longest
from multiprocessing import get_context
from multiprocessing.connection import Connection

import pytest

from tests.benchmarks.mutants.changes import ROOT, Mutant, changed
from tests.benchmarks.mutants.entered import Entered, forget_what_tests_keep, import_all
from tests.benchmarks.mutants.program import Source, place_of, put_in

MOST_SECONDS = 20
"""On the processor, beyond what its tests take without it: what goes on for longer hangs."""
LOOKS_SECONDS = 0.05
"""A test that takes less may be looking at what another one of its file has had made."""
WHOLE = (
    "tests/commands/test_conversations.py",
    "tests/phone/test_walk.py",
    "tests/sheets/test_cuts_drawn_whole.py",
    "tests/sheets/test_drawn_as_seen.py",
    "tests/sheets/test_drawn_to_scale.py",
    "tests/sheets/test_other_door_on_paper.py",
    "tests/sheets/test_units.py",
)
"""Files of tests that read whole answers: they come everywhere, and see what others look past."""
OPTIONS = ("-q", "-n0", "--assert=plain", "-p", "no:cacheprovider")


@dataclass(frozen=True)
class Answer:
    """What became of a mutant: what saw it (None: it survived), of how many tests."""

    by: str | None
    asked: int


def tests_for(mutant: Mutant, entered: Entered, enough: float) -> list[str]:
    """The files whose tests come to its place, more time for those that come to little besides its
    module or read whole answers, so that a quick file of its own is asked whole ahead of the bulk.
    In each first the tests that take ways of their own through it, the quickest first, then the
    others that come there, then the quick ones, which may look at what another has had made. Of a
    function that the map does not know, and of what is at work at import, those that come to its
    module. No more than take ``enough`` seconds, by what they took when all ran."""
    place, way = place_of(mutant), entered.ways(f"{mutant.module}:")
    is_new = not any(one.startswith(place.rpartition(":")[0] + ":") for one in entered.come_to)
    direct = set(way) if is_new or place in entered.at_import else entered.of(place)
    files: dict[str, list[str]] = {name.partition("::")[0]: [] for name in direct}
    taken = Counter[frozenset[str]]()
    rank: dict[str, int] = {}
    for name in entered.quickest_first:
        file = name.partition("::")[0]
        if file in files and (name in direct or entered.seconds[name] < LOOKS_SECONDS):
            files[file].append(name)
            same = way.get(name, frozenset())
            rank[name] = taken[same] if name in direct else len(entered.seconds)
            taken[same] += name in direct
    in_turn: list[tuple[float, str]] = []
    for file, tests in files.items():
        ordered = sorted(tests, key=lambda one: rank[one])
        near = (len(way[name]) / entered.places[name] for name in ordered if name in way)
        close = 1.0 if file in WHOLE else max(near)
        until = accumulate(entered.seconds[name] / close for name in ordered)
        in_turn += zip(until, ordered, strict=True)
    chosen, spent = [], 0.0
    for _, name in sorted(in_turn):
        if spent > enough:
            break
        chosen.append(name)
        spent += entered.seconds[name]
    return chosen


# --------------------------------------------------------------------------------- a fork for each


def in_a_fork(deed: Callable[[], str | None], usual: float) -> str | None:
    """What the deed gives, done in a fork without a voice that may not go on for ever beyond its
    ``usual`` seconds; a name of what ended it, where it ended otherwise."""
    ours, its = get_context("fork").Pipe(duplex=False)
    child = os.fork()
    if child == 0:
        try:
            most = MOST_SECONDS + math.ceil(2 * usual)
            resource.setrlimit(resource.RLIMIT_CPU, (most, most))
            resource.setrlimit(resource.RLIMIT_AS, (6 << 30, 6 << 30))
            signal.alarm(10 * most)  # that waits for what never comes
            silence()
            its.send(deed())
        finally:
            os._exit(0)
    its.close()
    try:
        told: str | None = ours.recv()
    except EOFError:
        told = ""
    _, status = os.waitpid(child, 0)
    if os.WIFSIGNALED(status):
        return f"(goes on without end, or dies: {signal.Signals(os.WTERMSIG(status)).name})"
    return "(breaks off)" if told == "" else told


def silence() -> None:
    """Let this process read nothing and be heard by nobody."""
    null = os.open(os.devnull, os.O_RDWR)
    for descriptor in (0, 1, 2):
        os.dup2(null, descriptor)


@dataclass(eq=False)
class Failed:
    """A pytest plugin that keeps which tests failed."""

    names: list[str] = field(default_factory=list)

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.failed:
            self.names.append(report.nodeid)


def first_that_fails(items: Sequence[pytest.Item]) -> str | None:
    """The name of the first of these tests that fails; the rest do not run."""
    failed = Failed()
    for item, following in zip_longest(items, items[1:]):
        plugins = item.config.pluginmanager
        if not plugins.is_registered(failed):
            plugins.register(failed)
        item.config.hook.pytest_runtest_protocol(item=item, nextitem=following)
        if failed.names:
            return failed.names[0]
    return None


def first_without_fault(
    ask: Callable[[Mutant | None, Sequence[str]], str | None], mutant: Mutant, wanted: Sequence[str]
) -> str | None:
    """The first of the tests that fails with the mutant and passes, the same ones, not without."""
    while (by := ask(mutant, wanted)) in wanted:
        if ask(None, wanted[: wanted.index(by) + 1]) is None:
            break
        wanted = [name for name in wanted if name != by]
    return by


# ------------------------------------------------------------- gathered once, or imported each time

ANEW = "(has to be imported anew)"


@dataclass(eq=False)
class Asked:
    """A pytest plugin that, once tests are gathered, asks them of one mutant after another."""

    questions: Connection

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        there = {item.nodeid: item for item in session.items}
        forget_what_tests_keep()  # what was worked out to gather them had no mutant in it

        def ask(usual: float, mutant: Mutant | None, wanted: Sequence[str]) -> str | None:
            items = [there[name] for name in wanted]

            def deed() -> str | None:
                return first_that_fails(items) if mutant is None or put_in(mutant) else ANEW

            return in_a_fork(deed, usual)

        for mutant, wanted, usual in iter(self.questions.recv, None):
            present = [name for name in wanted if name in there]
            self.questions.send(first_without_fault(partial(ask, usual), mutant, present))
        return True


@contextmanager
def gathered(files: Sequence[str]) -> Iterator[Connection]:
    """A process with these files of tests gathered, at the other end of what is given: it is sent a
    mutant and its tests, and sends back what saw it."""
    context = get_context("fork")
    ours, its = context.Pipe()

    def run() -> None:
        silence()
        import_all()
        pytest.main([*OPTIONS, *(str(ROOT / file) for file in files)], [Asked(its)])

    job = context.Process(target=run)
    job.start()
    its.close()
    try:
        yield ours
    finally:
        ours.send(None)
        job.join()


@dataclass(eq=False)
class Only:
    """A pytest plugin that runs these tests alone, in this order, until one fails."""

    wanted: Sequence[str]
    failed: str | None = None

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        there = {item.nodeid: item for item in session.items}
        self.failed = first_that_fails([there[name] for name in self.wanted if name in there])
        return True


def ask_anew(usual: float, mutant: Mutant | None, wanted: Sequence[str]) -> str | None:
    """The first of these tests, which take ``usual`` seconds, that fails in a process that imports
    the program with the mutant in it."""

    def deed() -> str | None:
        if mutant is not None:
            changing = Source(lambda _, tree: changed(tree, mutant), mutant.module)
            sys.meta_path.insert(0, changing)
        files = dict.fromkeys(str(ROOT / name.partition("::")[0]) for name in wanted)
        only = Only(wanted)
        code = pytest.main([*OPTIONS, *files], [only])
        return only.failed or (f"(pytest ends with {code})" if code else None)

    return in_a_fork(deed, usual)


def asked(mutant: Mutant, wanted: Sequence[str], entered: Entered, process: Connection) -> Answer:
    """What becomes of a mutant, asked of these tests."""
    by: str | None = ANEW if place_of(mutant) in entered.at_import else None
    usual = sum(entered.seconds[name] for name in wanted)
    if wanted and by is None:
        process.send((mutant, wanted, usual))
        by = process.recv()
    if by == ANEW:
        by = first_without_fault(partial(ask_anew, usual), mutant, wanted) if wanted else None
    return Answer(by, len(wanted))


def warm_up(compiled: str) -> None:
    """Import the libraries, and nothing of the program: each process finds them there. What is
    compiled of the program and its tests is kept beside the map."""
    sys.dont_write_bytecode, sys.pycache_prefix = False, compiled
    for name in ("typer", "ruamel.yaml", "jsonschema", "jinja2", "shapely", "numpy", "highspy",
                 "filelock", "hypothesis", "markdown_it"):  # fmt: skip
        importlib.import_module(name)
