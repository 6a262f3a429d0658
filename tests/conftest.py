"""What every test shares: no clock in property tests, the same cases on every clean clone, and
what is read once for all of them."""

import gc
import os
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import typer.main
from hypothesis import settings
from ruamel.yaml import YAML

from setupsheets.commands import app
from setupsheets.files import known_results
from setupsheets.files.known_trees import KnownTrees
from setupsheets.lengths import Unit
from setupsheets.sheets import known_sheets
from setupsheets.shop import finding
from setupsheets.shop.loading import load
from tests.known_values import keep_what_is_pure

# A slow machine is not a wrong answer: speed is measured in tests/benchmarks/. With CI set the
# cases are the same each time; at the bench they differ from run to run and so find more.
settings.register_profile(
    "house", deadline=None, max_examples=50, derandomize=bool(os.environ.get("CI"))
)
settings.register_profile("thorough", deadline=None, max_examples=2000)
settings.load_profile("house")

# Compiled once: the tests, for the next run, and the program, for every process that a test starts.
sys.dont_write_bytecode = False
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)


def pytest_xdist_auto_num_workers() -> int:
    """One worker more than there are processors: a quarter of the time tests wait, for a browser, a
    server, a shell."""
    return len(os.sched_getaffinity(0)) + 1 if hasattr(os, "sched_getaffinity") else 3


def pytest_configure() -> None:
    """A built-in file is made into its object once, and so are the options of all commands:
    hundreds of tests run whole commands upon the same few. A file goes by what is in it, never by
    its name alone, so that one that a test has changed is read."""
    things: dict[tuple[Path, bytes, Unit], Any] = {}
    made = load

    def made_once(path: Path, kind: str, unit: Unit, trees: KnownTrees, **how: bool) -> Any:
        if not how.get("built_in"):
            return made(path, kind, unit, trees)
        key = (path, path.read_bytes(), unit)
        if key not in things:
            things[key] = made(path, kind, unit, trees, built_in=True)
        return things[key]

    patch = pytest.MonkeyPatch()
    patch.setattr(finding, "load", made_once)
    patch.setattr(app, "app_for", cache(app.app_for))
    patch.setattr(typer.main, "get_command", cache(typer.main.get_command))
    keep_what_is_pure()
    # Which plug-ins YAML's library has is not looked for on the disk with every text.
    patch.setattr(YAML, "official_plug_ins", lambda _: [])
    # No test pulls the plug: what is flushed to the disk is there without waiting for the disk.
    patch.setattr(os, "fsync", os.fstat)
    gc.set_threshold(400_000, 50, 50)  # as the program does


def pytest_collection_finish() -> None:
    """Thousands of gathered tests are not gone through again whenever memory is tidied up."""
    gc.collect()
    gc.freeze()


@pytest.fixture(scope="session", autouse=True)
def _own_cache(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """No test reads or writes in the cache of whoever runs it. The sheets that one is about are
    made each time, and what they come from is worked out (`known_values` has it within commands):
    the program may be another by then."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CACHE_HOME", str(tmp_path_factory.mktemp("cache")))
        for each in (known_sheets, known_results):
            patch.setattr(each, "users_store", lambda: None)
        yield
