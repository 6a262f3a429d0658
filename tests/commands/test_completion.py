"""What a shell puts behind a half-typed line, tried in the shells themselves.

No outside source but the shells: bash and zsh are typed at through a terminal, fish answers
`complete -C`. Those that are not on this machine are skipped.
"""

from __future__ import annotations

import contextlib
import os
import pty
import select
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from setupsheets.commands.completing import candidates, complete, split
from setupsheets.commands.known_names import KINDS
from setupsheets.shop.listing import KIND_WORDS
from tests.commands.conftest import EXAMPLES
from tests.known_values import a_command
from tests.running import run

CROSS_BAR = "cope-crosscut-saw/cross-bar-into-stile"
BIN = Path(sys.executable).parent


@pytest.fixture(autouse=True)
def _in_a_shop(larder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(larder)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))


@pytest.mark.parametrize(
    ("line", "found"),
    [
        ("rec", ["recall"]),
        ("log la", ["larder"]),
        ("order cope-c", ["cope-crosscut-saw"]),
        ("log larder cope-crosscut-saw/cr", [CROSS_BAR]),
        ("log larder glue", []),  # nothing of it is logged
        (f"log larder {CROSS_BAR} --found back", ["back_length="]),
        (f"log larder {CROSS_BAR} --found=back", ["--found=back_length="]),
        (f"correct larder {CROSS_BAR} --found blank.t", ["blank.thickness="]),
        (f"log larder {CROSS_BAR} --strike cope", ["cope_depth"]),
        (f"log larder {CROSS_BAR} --did cope.", ["cope.fence=", "cope.height="]),
        (f"log larder {CROSS_BAR} --did blank.l", ["blank.length="]),
        (f"log larder {CROSS_BAR} --did a", ["advised"]),
        (f"log larder {CROSS_BAR} --dialled blank", []),  # no dial
        ("log larder bar-grooved --found back", []),  # of another set-up
        (f"log larder {CROSS_BAR} --by c", ["caliper"]),
        ("log larder cope --verdict o", ["open", "out of reach"]),
        ("log --verdict proved larder sticking", ["sticking-router-table"]),
        ("sheet larder --machine mo", ["mortiser"]),
        ("sheet larder --format html,", ["html,json", "html,md", "html,pdf"]),
        ("rod larder --paper ", ["A4", "Letter", "roll"]),
        ("parts larder --format c", ["csv"]),
        ("list rec", ["recipe", "recipes", "records"]),
        ("recall router", ["router-table", "router-table-inch", "router-table-metric"]),
        ("recall larder router", ["router-table", "router-table-inch", "router-table-metric"]),
        ("log larder cope larder", []),  # a third word, which log does not take
        ("log --found ", []),  # of what set-up, nobody has said yet
        ("order bar-grooved --section ovolo-bar", ["ovolo-bar-inch", "ovolo-bar-metric"]),
        ("begin new --example v", ["vestibule"]),
        ("begin new --unit ", ["in", "mm"]),
        ("begin --cutter ours --like sticking-og", ["sticking-ogee-inch", "sticking-ogee-metric"]),
        ("begin --job ours --like ", ["larder"]),
        ("begin --like ", []),  # of what kind, nobody has said yet
        ("sheet larder --with boards,s", ["boards,seasons", "boards,sticks"]),
        ("parts larder --format csv,x", ["csv,xlsx"]),
        ("completion f", ["fish"]),
        ("blocks 3/4 --w", ["--within"]),
        ("check jobs/", []),  # a path, which the shell itself completes
        ("nothing at ", []),
        ("sheet bookcas --machine ", []),
    ],
)  # fmt: skip
def test_what_a_line_may_go_on_with(line: str, found: list[str]) -> None:
    with a_command():
        assert candidates(split(line)) == found


def test_every_command_and_kind_is_there() -> None:
    told = run("--help").out
    commands = candidates([""])
    assert commands and all(f"\n  {each} " in told for each in commands)
    assert {*KIND_WORDS, "records", "formulas"} == set(KINDS)


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_what_teaches_a_shell_is_printed_whole(shell: str) -> None:
    """It sets what the program asks for, and ends with its last line."""
    told = run("completion", shell)
    assert told.code == 0 and told.out.count("_SETUPSHEETS_COMPLETE") == 1
    assert f"_SETUPSHEETS_COMPLETE={shell}" in told.out and told.out.endswith("\n")
    assert not told.out.endswith("\n\n")


def test_the_shop_of_a_job_s_path_or_that_is_named_is_the_one_that_is_meant(
    larder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    job, typed = str(larder / "jobs" / "larder.yaml"), "cope-crosscut-saw/cr"
    assert candidates(["log", "larder", typed]) == []
    assert candidates(["log", job, typed]) == [CROSS_BAR]
    assert candidates(["log", "--shop", str(larder), "larder", typed]) == [CROSS_BAR]
    (larder / "below").mkdir()
    monkeypatch.chdir(larder / "below")
    assert candidates(["log", "larder", typed]) == [CROSS_BAR], "of a folder above this one"
    assert candidates(["log", "--shop", ".", "larder", typed]) == [], "that is named is no shop"


def test_a_set_up_is_known_as_soon_as_the_job_has_it(larder: Path) -> None:
    assert candidates(["log", "larder", "cope-table"]) == []
    job = larder / "jobs" / "larder.yaml"
    job.write_text(f"{job.read_text('utf-8')}\nrecipes: {{cope: cope-table-saw}}\n", "utf-8")
    found = candidates(["log", "larder", "cope-table"])
    assert found and all(each.startswith("cope-table-saw/") for each in found)


def test_words_are_parted_as_a_shell_parts_them() -> None:
    assert split("a --found 'x=1 1/2' b") == ["a", "--found", "x=1 1/2", "b"]
    assert split("a --verdict 'out o") == ["a", "--verdict", "out o"]
    assert split("a ") == ["a", ""] and split("") == [""]
    assert complete("setupsheets log larder cope --verdict ou", "bash") == ["out\\ of\\ reach"]
    assert complete("setupsheets log larder cope --verdict 'ou", "bash") == ["out of reach"]
    assert complete("setupsheets sheet larder --format=h", "bash") == ["html"]


@contextlib.contextmanager
def at_a_prompt(shell: str) -> Iterator[int]:
    """A terminal at which a shell that has been taught waits for a line."""
    command, setting_up = SHELLS[shell]
    environment = {**os.environ, "PATH": f"{BIN}:{os.environ['PATH']}", "TERM": "dumb",
                   "COLUMNS": "200", "PS1": "> ", "HISTFILE": ""}  # fmt: skip
    child, terminal = pty.fork()
    if not child:
        os.execvpe(command[0], command, environment)
    try:
        os.write(terminal, f"{setting_up}; echo READ''Y\n".encode())
        assert "READY" in _until(terminal, "READY")
        yield terminal
    finally:
        os.close(terminal)
        os.waitpid(child, 0)


def completed(terminal: int, line: str, wanted: str) -> str:
    """What stands in a terminal once a line has been typed, with a tabulator behind it, and been
    thrown away; waits until it is what is wanted, half a minute at most."""
    os.write(terminal, f"{line}\t".encode())
    told = _until(terminal, wanted)
    os.write(terminal, b"\x15echo AG''AIN\n")
    return told + _until(terminal, "AGAIN").partition("echo AG")[0]


def _until(terminal: int, wanted: str) -> str:
    seen = ""
    until = time.monotonic() + 30
    while wanted not in seen and time.monotonic() < until:
        if select.select([terminal], [], [], 0.2)[0]:
            read = os.read(terminal, 4096).decode(errors="replace")
            seen += read.replace("\r\n", "\n").replace("\a", "")  # the bell
    return seen


SHELLS = {
    "bash": (["bash", "--norc", "--noprofile", "-i"], 'eval "$(setupsheets completion bash)"'),
    "zsh": (["zsh", "-f", "-i"],
            'autoload -U compinit; compinit -D; eval "$(setupsheets completion zsh)"'),
}  # fmt: skip


LINES = {
    "setupsheets log larder cope-crosscut-saw/cr": f"larder {CROSS_BAR} ",
    f"setupsheets log larder {CROSS_BAR} --found fac": "--found face_",
    f"setupsheets log larder {CROSS_BAR} --found back": "--found back_length=",
    "setupsheets sheet larder --format=html,p": "--format=html,pdf",
    "setupsheets check jobs/la": "jobs/larder.yaml",
}


@pytest.mark.parametrize("shell", SHELLS)
def test_a_shell_completes_it(shell: str) -> None:
    if shutil.which(shell) is None:
        pytest.skip(f"no {shell} here")
    with at_a_prompt(shell) as terminal:
        for line, becomes in LINES.items():
            told = completed(terminal, line, becomes)
            assert becomes in told, (line, told)
            if becomes.endswith("="):  # the length follows at once
                assert f"{becomes} " not in told, (line, told)


def test_fish_completes_it() -> None:
    if shutil.which("fish") is None:
        pytest.skip("no fish here")
    environment = {**os.environ, "PATH": f"{BIN}:{os.environ['PATH']}"}
    for line, found in (
        ("log larder cope-crosscut-saw/cr", CROSS_BAR),
        (f"log larder {CROSS_BAR} --found back", "back_length="),
        ("check jobs/la", "jobs/larder.yaml"),
    ):
        script = f"setupsheets completion fish | source; complete -C 'setupsheets {line}'"
        ran = subprocess.run(
            ["fish", "--no-config", "-c", script],
            capture_output=True, text=True, env=environment, check=True, timeout=60,
        )  # fmt: skip
        assert [each.split("\t")[0] for each in ran.stdout.splitlines()] == [found], ran


def test_an_unknown_shell_guesses() -> None:
    ran = run("completion", "fsh")
    assert ran.code == 2 and "fish" in ran.err


def test_examples_are_those_that_there_are() -> None:
    there = sorted(each.name for each in EXAMPLES.iterdir() if each.is_dir())
    assert candidates(["begin", "x", "--example", ""]) == there
