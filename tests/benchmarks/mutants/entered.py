"""Which places of the program every test comes to, and how long it takes."""

from __future__ import annotations

import ast
import builtins
import hashlib
import importlib
import json
import multiprocessing
import sys
import time
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import _lru_cache_wrapper, cached_property
from pathlib import Path

import pytest

from tests.benchmarks.mutants.changes import FOLDERS, ROOT, modules_of
from tests.benchmarks.mutants.program import MARK, Source, with_marks

WITHOUT = ("test_installation.py", "faults", "browser", "test_documents.py")
"""Tests that run the program in processes of its own, which no mutant is in."""


@dataclass
class Entered:
    """What was written down of the tests: for each its file, its time on the processor in seconds,
    and the places that it comes to."""

    seconds: dict[str, float] = field(default_factory=dict)
    come_to: dict[str, set[str]] = field(default_factory=dict)
    """Tests by place."""
    at_import: set[str] = field(default_factory=set)
    """Places that are come to before any test begins."""
    files: dict[str, str] = field(default_factory=dict)
    """Files of tests that are known, each with the digest of what was in it."""

    def of(self, place: str) -> set[str]:
        return self.come_to.get(place, set())

    def ways(self, module: str) -> dict[str, frozenset[str]]:
        """The places of a module that each test comes to, of the tests that come there at all."""
        found: dict[str, set[str]] = {}
        for place, tests in self.come_to.items():
            for test in tests if place.startswith(module) else ():
                found.setdefault(test, set()).add(place)
        return {test: frozenset(places) for test, places in found.items()}

    @cached_property
    def places(self) -> Counter[str]:
        """How many places each test comes to."""
        return Counter(test for tests in self.come_to.values() for test in tests)

    @cached_property
    def quickest_first(self) -> list[str]:
        return sorted(self.seconds, key=lambda one: self.seconds[one])


def known(where: Path) -> Entered:
    """What the file at `where` says; of a file of tests that ran more than once, the last run."""
    kept = Entered()
    lines = where.read_text("utf-8").splitlines() if where.exists() else []
    runs: dict[str, tuple[float, str, list[str]]] = {}
    names: list[str] = []
    for part in map(json.loads, lines):
        if "names" in part:
            names = part["names"]
            kept.at_import = {names[at] for at in part["at_import"]}
        else:
            kept.files[part["file"]] = part["digest"]
            runs |= {test: (*told, names) for test, told in part["tests"].items()}
    for test, (seconds, places, called) in runs.items():
        kept.seconds[test] = seconds
        for at in _numbers(places):
            kept.come_to.setdefault(called[at], set()).add(test)
    return kept


def _numbers(places: str) -> Iterator[int]:
    bits = bin(int(places, 16))[:1:-1]
    at = bits.find("1")
    while at >= 0:
        yield at
        at = bits.find("1", at + 1)


def brought_up_to_date(where: Path) -> Entered:
    """The map at `where`, with the files of tests that are new or changed run once."""
    kept = known(where)
    files = {str(path.relative_to(ROOT)): digest_of(path) for path in test_files()}
    new = [name for name, digest in files.items() if kept.files.get(name) != digest]
    if new:
        job = multiprocessing.get_context("fork").Process(target=_record, args=(where, new))
        job.start()
        job.join()
        kept = known(where)
    return kept


def test_files() -> list[Path]:
    """Files of tests that run the program in their own process."""
    every = sorted((ROOT / "tests").rglob("test_*.py"))
    return [each for each in every if each.relative_to(ROOT / "tests").parts[0] not in WITHOUT]


test_files.__test__ = False  # type: ignore[attr-defined]


def digest_of(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()[:16]


def _record(where: Path, files: Sequence[str]) -> None:
    """Run these files of tests in this process and write down, after each, what it came to."""
    plugin = Recording(where)
    vars(builtins)[MARK] = plugin.seen.add
    sys.meta_path.insert(0, Source(plugin.made))
    import_all()
    plugin.names_are_known()
    options = ["-q", "-n0", "--assert=plain", "-p", "no:cacheprovider"]
    pytest.main([*options, *(str(ROOT / each) for each in files)], [plugin])
    for each in files:
        if each not in plugin.written:  # nothing in it could run here
            plugin.write_tests(each)


@dataclass(eq=False)
class Recording:
    """A pytest plugin that writes down which places every test comes to."""

    where: Path
    names: list[str] = field(default_factory=list)
    seen: set[int] = field(default_factory=set)
    tests: dict[str, tuple[float, str]] = field(default_factory=dict)
    failed: set[str] = field(default_factory=set)
    written: set[str] = field(default_factory=set)
    complete: bool = False

    def made(self, module: str, tree: ast.Module) -> ast.Module:
        return tree if self.complete else with_marks(module, tree, self.names)

    def names_are_known(self) -> None:
        self.complete = True
        self._write({"names": self.names, "at_import": sorted(self.seen)})

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(
        self, item: pytest.Item, nextitem: pytest.Item | None
    ) -> Iterator[None]:
        if not self.tests:
            forget_what_tests_keep()
        # The program is imported with its marks first.
        from tests import known_values  # noqa: PLC0415

        known_values.known.cache_clear()
        self.seen.clear()
        begun = time.process_time()
        found = yield
        bits = bytearray(len(self.names) // 8 + 1)
        for at in self.seen:
            bits[at // 8] |= 1 << at % 8
        places = bits[::-1].hex().lstrip("0") or "0"
        self.tests[item.nodeid] = (round(time.process_time() - begun, 4), places)
        file = item.nodeid.partition("::")[0]
        if nextitem is None or nextitem.nodeid.partition("::")[0] != file:
            self.write_tests(file)
        return found

    def write_tests(self, file: str) -> None:
        """Write down what ran of this file, but for what failed: it says nothing of a mutant."""
        tests = {name: each for name, each in self.tests.items() if name not in self.failed}
        self._write({"file": file, "digest": digest_of(ROOT / file), "tests": tests})
        self.written.add(file)
        self.tests = {}

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.failed:
            self.failed.add(report.nodeid)

    def _write(self, part: object) -> None:
        with self.where.open("a", encoding="utf-8") as file:
            file.write(json.dumps(part) + "\n")


def import_all() -> None:
    """Import every module of the program, so that what is done at import is done before tests."""
    for folder in FOLDERS:
        for module, _ in modules_of(folder):
            importlib.import_module(module)


def forget_what_tests_keep() -> None:
    """Empty the caches of the tests' helpers, so that every file shows what it comes to."""
    for name, module in list(sys.modules.items()):
        if name.startswith("tests."):
            for each in list(vars(module).values()):
                if isinstance(each, _lru_cache_wrapper):
                    each.cache_clear()
