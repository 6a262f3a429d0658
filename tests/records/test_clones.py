"""Two clones of a shop in real git: what both add to records comes together without a conflict, and
a merge that is not finished is told as one.

git itself is what is outside: it merges, and its own marks are what is told. Readings are invented.
"""

from __future__ import annotations

import os
import shutil
import subprocess
from pathlib import Path

import pytest

from tests.commands.test_bench import CROSS_BAR, RIGHT, found
from tests.running import Ran, run

EXAMPLES = Path(__file__).parents[2] / "examples"
DAY = ("--date", "2021-03-01")
LONG = found(**(RIGHT | {"back_length": "14 1/2"}))
LESS = found(**(RIGHT | {"back_length": "14 15/32"}))

pytestmark = pytest.mark.skipif(shutil.which("git") is None, reason="git is not here")


def git(*said: str, code: int = 0) -> str:
    """One git command in the current folder."""
    ran = subprocess.run(
        ["git", "-c", "user.name=maker", "-c", "user.email=maker@example.org", *said],
        capture_output=True,
        text=True,
        env=os.environ | {"GIT_CONFIG_GLOBAL": os.devnull, "GIT_CONFIG_SYSTEM": os.devnull},
        check=False,
    )
    assert ran.returncode == code, ran.stdout + ran.stderr
    return ran.stdout


def log(*options: str) -> Ran:
    ran = run("log", "larder", CROSS_BAR, *options, *DAY)
    assert ran.code == 0, ran.err
    return ran


def kept(words: str) -> None:
    """All that there is, committed."""
    git("add", "-A")
    git("commit", "-q", "-m", words)


@pytest.fixture
def clones(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> tuple[Path, Path]:
    """A shop begun by the program, with the larder's files, and a clone of it."""
    monkeypatch.chdir(tmp_path)
    assert run("begin", "bench").code == 0
    for name in ("jobs", "machines", "shop.yaml"):
        place = tmp_path / "bench" / name
        shutil.rmtree(place) if place.is_dir() else place.unlink()
        copy = shutil.copytree if (EXAMPLES / "larder" / name).is_dir() else shutil.copy
        copy(EXAMPLES / "larder" / name, place)
    monkeypatch.chdir(tmp_path / "bench")
    git("init", "-q", "-b", "main")
    kept("the shop")
    return tmp_path / "bench", tmp_path / "other"


def cloned(clones: tuple[Path, Path]) -> None:
    git("clone", "-q", str(clones[0]), str(clones[1]))


def pieces(shop: Path) -> list[str]:
    """Every file of a record that git keeps."""
    return [path for path in git("-C", str(shop), "ls-files", "records").splitlines() if path]


def test_both_add_to_one_open_record(
    clones: tuple[Path, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    _, other = clones
    log(*LONG)
    kept("begun")
    cloned(clones)
    log(*LESS, "--did", "back_cheek.stop=1/64")
    kept("at the bench")
    monkeypatch.chdir(other)
    log(*LESS, "--did", "back_cheek.stop=1/32", "--next")
    log("--strike", "overall")
    kept("at the other")
    git("pull", "-q", "--no-rebase", "--no-edit", "origin", "main")
    checked = run("check")
    assert checked.code == 0, checked.err
    ran = run("log", "larder", CROSS_BAR, "--did", "nothing", *DAY)
    assert ran.code == 0, ran.err
    # 3/8 as the sheet says, and both moves.
    assert "back cheek: stop 27/64 in" in ran.out
    assert not [path for path in pieces(other) if ".lock" in path or ".index" in path]


def test_both_begin_a_record_of_one_set_up(
    clones: tuple[Path, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    cloned(clones)
    log(*LONG)
    kept("begun at the bench")
    monkeypatch.chdir(clones[1])
    log(*LESS)
    kept("begun at the other")
    git("pull", "-q", "--no-rebase", "--no-edit", "origin", "main")
    assert "More than one record" in run("recall", "cross", *DAY).err
    ran = run("log", "larder", CROSS_BAR, "--join", *DAY)
    assert ran.code == 0 and "2 test pieces count, each once" in " ".join(ran.err.split())
    kept("joined")
    git("-C", str(clones[0]), "pull", "-q", "--no-rebase", "--no-edit", str(clones[1]), "main")
    monkeypatch.chdir(clones[0])
    assert "More than one record" not in run("recall", "cross", *DAY).err


def test_both_join_at_once_and_nothing_counts_twice(
    clones: tuple[Path, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    cloned(clones)
    log(*LONG)
    kept("begun at the bench")
    monkeypatch.chdir(clones[1])
    log(*LESS)
    kept("begun at the other")
    for here, there in (clones[::-1], clones):
        monkeypatch.chdir(here)
        git("pull", "-q", "--no-rebase", "--no-edit", str(there), "main")
    for here in clones:
        monkeypatch.chdir(here)
        assert run("log", "larder", CROSS_BAR, "--join", *DAY).code == 0
        kept("joined here")
    git("pull", "-q", "--no-rebase", "--no-edit", str(clones[0]), "main")
    ran = run("log", "larder", CROSS_BAR, "--did", "nothing", *DAY)
    assert ran.code == 0 and run("check").code == 0
    told = run("recall", "cross", "--json", *DAY)
    assert told.out.count('"of": "overall"') == 2


@pytest.mark.parametrize("command", [("check",), ("sheet", "larder"), ("log", "larder", CROSS_BAR)])
def test_an_unfinished_merge_is_told_as_one(
    command: tuple[str, ...], clones: tuple[Path, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    cloned(clones)
    for shop, title in zip(clones, ("Pantry", "Scullery"), strict=True):
        monkeypatch.chdir(shop)
        job = shop / "jobs" / "larder.yaml"
        lines = job.read_text("utf-8").splitlines()
        said = [f"title: {title}" if line.startswith("title:") else line for line in lines]
        job.write_text("\n".join(said) + "\n", "utf-8")
        kept(title)
    git("pull", "-q", "--no-rebase", "--no-edit", "origin", "main", code=1)
    ran = run(*command)
    assert ran.code == 1
    (line,) = [each for each in ran.err.splitlines() if "jobs/larder.yaml:" in each]
    assert ":1: a merge is not finished: two versions stand here" in line, line
