"""Whole conversations at a terminal, word by word: what is asked, what is typed and what is said.

They lie in `conversations/`, one to a file, and are run from top to bottom in a folder that is
empty. A command stands behind `$ `; what is typed at a question behind `>`; a line of dots stands
for any lines. What figures rest on is told behind `#`; names and readings are invented.
"""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

from tests.running import Keyboard, run
from tests.test_documents import shows

FOLDER = Path(__file__).parent / "conversations"
FOUND = sorted(FOLDER.glob("*.txt"))


def test_there_are_conversations() -> None:
    assert len(FOUND) >= 3


@pytest.mark.parametrize("told", FOUND, ids=lambda path: path.stem)
def test_it_is_said_so(told: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    first, *steps = re.split(r"^\$ ", told.read_text("utf-8"), flags=re.MULTILINE)
    assert all(line.startswith("#") for line in first.splitlines() if line), "said by no command"
    for command, _, shown in (step.partition("\n") for step in steps):
        program, *words = shlex.split(command)
        if program == "cd":
            monkeypatch.chdir(*words)
            continue
        if program == "cat":
            assert shows(shown, Path(*words).read_text("utf-8")), command
            continue
        said, typed = spoken(shown)
        keyboard = Keyboard(typed)
        ran = run(*words, typed=keyboard, columns=100)
        new = [line for line in printed(ran.out).splitlines() if line.rstrip() not in said]
        assert shows(said, printed(ran.out)), "\n".join((f"$ {command}", *new))
        assert not keyboard.read(), "typed and never asked for"


def spoken(shown: str) -> tuple[str, str]:
    """What the screen shows in the end, and what of it is typed."""
    typed = re.findall(r"(?<=[:?]) >(.*)$", shown, re.MULTILINE)
    return re.sub(r"(?<=[:?]) >(.*)$", r" \1", shown, flags=re.MULTILINE), "".join(
        f"{line}\n" for line in typed
    )


def printed(text: str) -> str:
    """What was printed, without the folder and what is drawn anew for each record's name."""
    return re.sub(r"-[0-9a-f]{6}(?=\.yaml|;)", "", text.replace(f"{Path.cwd()}/", ""))
