"""What README.md and DEVELOPERS.md show is what happens.

In each document, from top to bottom and in one folder: every ``console`` block is run, its
commands standing behind `$ `, and what the block shows below a command must be the whole of what
that prints. `...` in a shown line stands for any text, alone on a line for any lines. A file that
the reader is asked to write is a block behind `<!-- file: PATH -->`.
"""

import contextlib
import os
import re
import shlex
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest

from tests import running
from tests.test_house import ORDER

ROOT = Path(__file__).resolve().parent.parent
README = ROOT / "README.md"
DEVELOPERS = ROOT / "DEVELOPERS.md"
NEEDED = ("setupsheets", "profiles", "schemas", "examples")

_block = re.compile(
    r"(?:^<!-- (?P<mark>[^\n]*?) -->\n+)?^```(?P<language>\w*)\n(?P<text>.*?)^```$", re.M | re.S
)


@dataclass(frozen=True)
class Block:
    """One fenced block, with the comment that stands right before it."""

    language: str
    text: str
    mark: str = ""

    def commands(self) -> list[tuple[str, str]]:
        """The commands of a console block, each with the output that it shows."""
        steps = re.split(r"^\$ ", self.text, flags=re.M)
        assert not steps[0], f"a console block starts with `$ `, found {steps[0]!r}"
        return [(command, shown) for command, _, shown in (s.partition("\n") for s in steps[1:])]


def blocks(document: Path) -> list[Block]:
    found = _block.finditer(document.read_text(encoding="utf-8"))
    return [Block(item["language"], item["text"], item["mark"] or "") for item in found]


def marked(mark: str) -> str:
    """The one command of the README behind that comment."""
    (block,) = [block for block in blocks(README) if block.mark == mark]
    (line,) = block.text.splitlines()
    return line


def run(command: str, folder: Path, checkout: Path) -> str:
    """What a command prints, both streams together as a terminal shows them; it must succeed."""
    here = str(Path(sys.executable).parent)
    path = os.pathsep.join([here, os.environ["PATH"]])
    own = {"PATH": path, "PYTHONPATH": str(checkout), "COLUMNS": "100", "NO_COLOR": "1"}
    inherited = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    done = subprocess.run(
        ["bash", "-c", command],
        cwd=folder,
        env=inherited | own,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        check=False,
    )
    assert done.returncode == 0, f"$ {command}\n{done.stdout}"
    return done.stdout


def run_here(command: str, folder: Path, checkout: Path) -> str:
    """The same, of a command of the program's alone without a shell."""
    program, *words = shlex.split(command)
    if program != "setupsheets" or "||" in words:
        return run(command, folder, checkout)
    with contextlib.chdir(folder):
        ran = running.run(*words, columns=100, together=True)
    assert ran.code == 0, f"$ {command}\n{ran.out}"
    return ran.out


def shows(shown: str, printed: str) -> bool:
    """Whether the shown lines are what was printed, `...` standing for the rest."""
    parts: list[list[str]] = [[]]
    for line in shown.rstrip().splitlines():
        if line == "...":
            parts.append([])
        else:
            parts[-1].append(_line_pattern(line.rstrip()))
    lines, at = [line.rstrip() for line in printed.rstrip().splitlines()], 0
    for number, part in enumerate(parts):
        end = len(lines) - len(part)
        places = range(at if number < len(parts) - 1 else max(at, end), end + 1)
        found = (p for p in places if all(map(re.fullmatch, part, lines[p:])))
        at = next(found, -1 - len(part)) + len(part)
        if at < 0 or (number == 0 and at > len(part)):
            return False
    return True


@pytest.mark.parametrize(
    ("shown", "printed", "is_so"),
    [
        ("a\nb", "a\nb", True), ("a", "a\nb", False), ("b", "a\nb", False), ("a\nb", "a", False),
        ("...\nb", "a\nb", True), ("b\n...", "a\nb\nc", False), ("a\n...", "a", True),
        ("a\n...\nc", "a\nb\nc", True), ("a\n...\nc", "a\nb\nd", False), ("a\n...\na", "a", False),
        ("a\n...\nb\n...\nd", "a\nb\nc\nb\nd", True), ("...\nb\n...\nb\n...", "a\nb", False),
        ("x... y", "xab y", True),
    ],
)  # fmt: skip
def test_what_is_shown_is_all_that_is_printed(shown: str, printed: str, is_so: bool) -> None:
    assert shows(shown, printed) is is_so


def _line_pattern(line: str) -> str:
    return r"[^\n]*".join(re.escape(piece) for piece in line.split("..."))


@pytest.fixture
def checkout(tmp_path: Path) -> Path:
    """A copy of what a reader has in front of them, to write in; compiled as it lies here."""
    for name in NEEDED:
        shutil.copytree(ROOT / name, tmp_path / name, ignore=shutil.ignore_patterns("*.lock"))
    return tmp_path


@pytest.mark.parametrize(("document", "at_least"), [(README, 10), (DEVELOPERS, 5)])
def test_every_console_block_runs_as_printed(document: Path, at_least: int, checkout: Path) -> None:
    folder, ran = checkout, 0
    for block in blocks(document):
        if block.mark.startswith("file: "):
            (checkout / block.mark.removeprefix("file: ")).write_text(block.text, encoding="utf-8")
        elif block.language == "console":
            for command, shown in block.commands():
                if command.startswith("cd "):
                    folder = folder / command.removeprefix("cd ")
                    continue
                printed = run_here(command, folder, checkout)
                assert shows(shown, printed), f"$ {command}\n{printed}\n-- but shown:\n{shown}"
                ran += 1
    assert ran >= at_least


@pytest.mark.parametrize("document", [README, DEVELOPERS])
def test_no_block_is_overlooked(document: Path) -> None:
    """Every fence belongs to a block that is found, and every block says what it is."""
    fences = re.findall(r"^ *```", document.read_text(encoding="utf-8"), flags=re.M)
    found = blocks(document)
    assert len(fences) == 2 * len(found)
    assert {block.language for block in found} <= {"console", "sh", "yaml", "text", "python"}


def test_a_fresh_machine_needs_one_command_for_the_tests() -> None:
    """The command itself is what .ci/run runs on a clean clone."""
    *setting_up, test = marked("tests").split(" && ")
    assert setting_up[0] == "python3 -m venv .venv"
    assert test == ".venv/bin/python -m pytest"
    assert "README.md" in (ROOT / ".ci" / "run").read_text(encoding="utf-8")


def test_a_fresh_machine_needs_one_command_for_the_main_job(checkout: Path) -> None:
    *setting_up, job = marked("main job").split(" && ")
    assert setting_up[0] == "python3 -m venv .venv"
    assert setting_up[1:] == [".venv/bin/python -m pip install --quiet ."]
    assert job.startswith(".venv/bin/setupsheets sheet examples/larder/")
    run(job.removeprefix(".venv/bin/"), checkout, checkout)
    folder = checkout / job.split()[-1]
    assert {".html", ".md"} <= {path.suffix for path in folder.iterdir()}


def text_of(path: Path) -> str:
    """The text of a Python file; nothing where there is none."""
    return path.read_text(encoding="utf-8") if path.suffix == ".py" and path.is_file() else ""


def test_every_room_has_its_row_in_the_guide() -> None:
    """And in the order in which imports go, each with the module to open first; a module that
    stands beside the rooms is named."""
    rooms = [each for each in ORDER if (ROOT / "setupsheets" / each).is_dir()]
    rows = re.findall(
        r"^\| `(\w+)/` \|.*\| `(\w+)/\w+\.py` \|$", DEVELOPERS.read_text("utf-8"), re.M
    )
    assert [room for room, _ in rows] == [first for _, first in rows] == rooms
    assert {path.parent.name for path in (ROOT / "setupsheets").glob("*/__init__.py")} == set(rooms)
    assert all(f"`{each}.py`" in DEVELOPERS.read_text("utf-8") for each in {*ORDER} - {*rooms})


def test_every_benchmark_stands_in_the_guide() -> None:
    scripts = {
        f"tests.benchmarks.{path.stem}"
        for path in (ROOT / "tests" / "benchmarks").iterdir()
        if 'if __name__ == "__main__"' in text_of(path if path.is_file() else path / "__main__.py")
    }
    told = re.findall(r"^python -m (tests\.benchmarks\.\w+)", DEVELOPERS.read_text("utf-8"), re.M)
    assert scripts and sorted(told) == sorted(scripts)


def test_every_place_in_the_guide_is_there() -> None:
    """Files and folders that DEVELOPERS.md names, from the top or from the package."""
    named = set(
        re.findall(r"`([\w/.-]+(?:/|\.py|\.json|\.md|\.yaml))`", DEVELOPERS.read_text("utf-8"))
    )
    places = (ROOT, ROOT / "setupsheets", ROOT / "schemas")
    of_a_shop = {"recipes/", "records/NAME.yaml", "records/NAME/MOMENT-LETTERS.yaml"}
    missing = {n for n in named if not any((place / n).exists() for place in places)}
    assert len(named) > 20
    assert missing == of_a_shop


def test_every_command_stands_in_the_readme() -> None:
    names = re.findall(
        r"^  (\w+)\b", run("setupsheets --help", ROOT, ROOT).split("Commands:")[1], re.M
    )
    table = re.findall(r"^\| `(\w+)[^|]*\|", README.read_text(encoding="utf-8"), re.M)
    assert sorted(names) == sorted(table)
    assert len(names) >= 8


@pytest.mark.parametrize(
    ("shown", "printed", "same"),
    [
        ("", "", True),
        ("", "something\n", False),
        ("one\n", "one\n", True),
        ("one\n", "one\ntwo\n", False),
        ("one\n...\n", "one\ntwo\n", True),
        ("...\ntwo\n", "one\ntwo\n", True),
        ("...\ntwo\n", "one\ntwo\nthree\n", False),
        ("one ... three\n", "one two three\n", True),
        ("one ... three\n", "one two\nthree\n", False),
        ("a.c\n", "abc\n", False),
    ],
)
def test_shown_is_what_is_printed(shown: str, printed: str, same: bool) -> None:
    assert shows(shown, printed) is same
