"""What each command may import, slow libraries and rooms of the program: more of it is time at
every start. A run before has left what it knows in the user's cache."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.test_house import ROOT, SLOW

LARDER = ROOT / "examples" / "larder"
COPE = "cope-crosscut-saw/cross-bar"
READ = ("--found", "overall=13 1/8", "--found", "face_length=12 7/16", "--sure")

WORDS = ("lengths", "files", "records", "json_forms", "commands")
"""Rooms of which a command line tells names: units, faults, verdicts."""
WORKED_OUT = (*WORDS, "formulas", "shop", "joinery", "machining", "corrections")

MAY: dict[tuple[str, ...], tuple[tuple[str, ...], tuple[str, ...]]] = {
    ("--help",): ((), WORDS),
    ("log", "--help"): ((), WORDS),
    ("--version",): ((), WORDS),
    ("blocks", "3 3/8"): ((), (*WORKED_OUT, "wording")),
    ("list",): (("yaml",), (*WORKED_OUT, "wording")),
    ("check",): (("numpy", "shapely", "highspy", "yaml"), (*WORKED_OUT, "wording")),
    ("order", "larder"): (("numpy",), (*WORKED_OUT, "wording", "sheets")),
    ("parts", "larder"): (("numpy", "highspy"), (*WORKED_OUT, "wording", "sheets")),
    ("correct", "larder", COPE, *READ): (("numpy",), (*WORKED_OUT, "wording", "bench")),
    # What is written is dumped, read back and held against its schema.
    ("log", "larder", COPE, *READ): (
        ("numpy", "ruamel", "yaml", "jsonschema"),
        (*WORKED_OUT, "wording", "bench"),
    ),
}
COMPLETED: dict[str, tuple[str, ...]] = {
    "setupsheets ": WORDS,
    "setupsheets sheet l": WORDS,
    "setupsheets log --sho": WORDS,
}
PROGRAM = (
    "import atexit, sys\n"
    "atexit.register(lambda: print('IMPORTED', *sys.modules, file=sys.stderr))\n"
    "from setupsheets.__main__ import program\n"
    "program()"
)


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A shop whose files the user's cache knows already."""
    place = tmp_path_factory.mktemp("shop") / "larder"
    shutil.copytree(LARDER, place)
    for arguments in (("check",), ("list",), ("correct", "larder", COPE, *READ)):
        imported(place, arguments)
    return place


def imported(shop: Path, arguments: tuple[str, ...], **told: str) -> set[str]:
    """The modules that a run of the program has imported."""
    ran = subprocess.run(
        [sys.executable, "-c", PROGRAM, *arguments],
        cwd=shop,
        env={**os.environ, "PYTHONPATH": str(ROOT), **told},
        capture_output=True,
        text=True,
        check=False,
    )
    last = ran.stderr.strip().splitlines()[-1]
    assert last.startswith("IMPORTED ") and "Traceback" not in ran.stderr, ran.stderr
    return set(last.split()[1:])


def libraries(modules: set[str]) -> set[str]:
    return {name.split(".")[0] for name in modules} & set(SLOW)


def rooms(modules: set[str]) -> set[str]:
    parts = (name.split(".") for name in modules if name.startswith("setupsheets."))
    return {name[1] for name in parts} - {"__main__"}


@pytest.mark.parametrize("arguments", MAY, ids=" ".join)
def test_a_command_imports_no_more_than_it_may(shop: Path, arguments: tuple[str, ...]) -> None:
    may_libraries, may_rooms = MAY[arguments]
    modules = imported(shop, arguments)
    assert "typer" in modules
    assert libraries(modules) <= set(may_libraries)
    assert rooms(modules) <= set(may_rooms)
    if arguments in (("list",), ("check",)):
        assert "setupsheets.corrections.belief" not in modules, "no test piece is weighed"


@pytest.mark.parametrize("line", COMPLETED)
def test_completion_imports_no_more_than_it_may(shop: Path, line: str) -> None:
    modules = imported(shop, (line,), _SETUPSHEETS_COMPLETE="zsh")
    assert not libraries(modules) and rooms(modules) <= set(COMPLETED[line])


def test_only_what_prints_pages_imports_their_rooms(shop: Path) -> None:
    imported(shop, ("sheet", "larder", "--date", "2030-01-01"))
    modules = imported(shop, ("sheet", "larder", "--date", "2030-01-02"))
    assert libraries(modules) == {"jinja2", "numpy", "shapely"}, "how boards are packed is known"
    assert "sheets" in rooms(modules)


def test_what_was_logged_is_checked_then_and_not_by_the_next_run(shop: Path) -> None:
    imported(shop, ("recall", "cope"))
    assert "jsonschema" in imported(shop, ("log", "larder", COPE, *READ, "--afresh"))
    assert "jsonschema" not in imported(shop, ("recall", "cope"))


def test_known_sheets_are_written_without_any_slow_library(shop: Path) -> None:
    imported(shop, ("sheet", "larder"))
    modules = imported(shop, ("sheet", "larder"))
    assert not libraries(modules)
    assert {name for name in modules if name.startswith("setupsheets.sheets.")} == {
        "setupsheets.sheets.known_sheets"
    }
