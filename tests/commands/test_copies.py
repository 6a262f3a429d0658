"""What synced folders, file managers and two clones make of a shop: every copy is told by `check`
and `list`, none counts twice, and what comes together is all there.

The names are those that such programs give, by common practice, no source.
"""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from subprocess import run as spawn

import pytest

from tests.commands.test_bench import CROSS_BAR, RIGHT, found
from tests.commands.test_join import moved
from tests.running import Ran, run

DAY = ("--date", "2026-03-14")
LONG = found(**(RIGHT | {"back_length": "14 1/2"}))
LESS = found(**(RIGHT | {"back_length": "14 15/32"}))
COPIES = (
    "{} (1)",
    "{} (conflicted copy 2026-03-14)",
    "{} (Workshop's conflicted copy 2026-03-14)",
    "{}.sync-conflict-20260314-081500-ABCDEFG",
    "{}.orig",
    "{} - Copy",
    "{}~HEAD",
    "Copy of {}",
)


def log(*options: str) -> Ran:
    ran = run("log", "larder", CROSS_BAR, *options, *DAY)
    assert ran.code == 0, ran.err
    return ran


def figures() -> str:
    told = json.loads(run("recall", CROSS_BAR, *DAY, "--json").out)["recalled"]
    return json.dumps([told["settings"], told["record"]["pieces"]])


@pytest.mark.parametrize("command", ["check", "list"])
def test_copies_of_a_job_a_machine_a_cutter_and_the_shop_s_own_file(
    larder: Path, command: str
) -> None:
    cutter = larder / "cutters" / "my-bit.yaml"
    cutter.parent.mkdir()
    cutter.write_text("kind: cutter\nversion: 2\ntitle: Mine\ntype: saw_blade\n", "utf-8")
    wholes = ("jobs/larder.yaml", "machines/crosscut-saw.yaml", "cutters/my-bit.yaml", "shop.yaml")
    copies = {}
    for path in (larder / whole for whole in wholes):
        for name in COPIES:
            copy = path.with_name(f"{name.format(path.stem)}.yaml")
            shutil.copy(path, copy)
            copies[copy] = path.name
    ran = run(command)
    for copy, whole in copies.items():
        assert f"{copy}: this is a copy of {whole} and is passed over" in ran.err
        assert f" {copy.stem} " not in ran.out


def test_a_copy_under_a_name_of_its_own_is_found_by_what_is_in_it(larder: Path) -> None:
    shutil.copy(larder / "jobs" / "larder.yaml", larder / "jobs" / "larder-2.yaml")
    for command in (("check",), ("list", "jobs")):
        assert "larder-2.yaml: this is the same as larder.yaml to the letter" in (run(*command).err)
    job = larder / "jobs" / "larder-2.yaml"
    job.write_text(job.read_text("utf-8").replace("title: ", "title: Second "), "utf-8")
    assert "larder-2.yaml: " not in run("check").err + run("list", "jobs").err


def test_copies_of_a_record_are_told_and_count_once(larder: Path) -> None:
    log(*LONG)
    log(*LESS, "--did", "back_cheek.stop=1/64")
    before = figures()
    (head,) = (larder / "records").glob("*.yaml")
    entry = max((larder / "records").glob("*/*.yaml"))
    copies = []
    folder = head.with_suffix("")
    for path, names in ((folder, COPIES[:4]), (head, COPIES[4:]), (entry, COPIES)):
        for name in names:
            copies.append(path.with_name(name.format(path.stem) + path.suffix))
            (shutil.copytree if path.is_dir() else shutil.copy)(path, copies[-1])
    ran = run("list", "records")
    assert ran.out.count(CROSS_BAR) == 1
    checked = run("check", "--json")
    for copy in copies:
        assert ran.err.count(f"{copy}: this is a copy of ") == 1, ran.err
        assert checked.out.count(f"{copy}: this is a copy of ") == 1
    assert figures() == before
    log(*LESS, "--did", "nothing", "--next", "--sure")


def test_a_folder_of_acts_without_its_head_is_told(larder: Path) -> None:
    log(*LONG)
    (head,) = (larder / "records").glob("*.yaml")
    head.unlink()
    told = f"{head.with_suffix('')}: these are the acts of a record whose head, {head.name}"
    for command in (("check",), ("list", "records"), ("recall", CROSS_BAR)):
        assert told in run(*command).err


def test_an_act_that_is_missing_is_told(larder: Path) -> None:
    """A synced folder has not brought it yet: what was moved in it is in no figure."""
    log(*LONG)
    log(*LESS, "--did", "back_cheek.stop=1/64")
    log(*LESS, "--did", "nothing", "--next")
    (head,) = (larder / "records").glob("*.yaml")
    _, second, third = sorted(head.with_suffix("").glob("*.yaml"))
    kept = second.read_bytes()
    second.unlink()
    told = f"{second}: this act is not here, and {third.stem} followed it"
    for command in (("check",), ("list", "records"), ("recall", CROSS_BAR), ("sheet", "larder")):
        for _ in range(2):
            assert run(*command).err.count(told) == 1, command
    page = (larder / "sheets" / "larder.md").read_text("utf-8")
    assert second.name in page and "no figure here counts" in page
    assert run("check").code == 1
    second.write_bytes(kept)
    assert "is not here" not in run("recall", CROSS_BAR).err
    second.unlink()
    text = third.read_text("utf-8")
    lines = [line for line in text.splitlines(True) if not line.startswith("follows")]
    third.write_text("".join(lines), "utf-8")
    assert "is not here" not in run("recall", CROSS_BAR).err


def test_a_machine_goes_on_under_a_name_that_there_is(larder: Path) -> None:
    saw = larder / "machines" / "crosscut-saw.yaml"
    text = saw.read_text("utf-8")
    event = "  - {{date: 2024-01-01, what: New name, moved_to: {}}}\n"

    def told(*moves: tuple[str, str]) -> Ran:
        for name, to in moves:
            saw.with_name(f"{name}.yaml").write_text(f"{text}events:\n{event.format(to)}", "utf-8")
        return run("check", saw)

    saw.with_name("radial-saw.yaml").write_text(text, "utf-8")
    assert told(("crosscut-saw", "radial-saw")).code == 0
    ran = told(("crosscut-saw", "radial-sew"))
    assert ran.code == 1 and "events.1.moved_to: unknown machine 'radial-sew'" in ran.err
    ran = told(("crosscut-saw", "crosscut-saw"))
    assert ran.code == 1 and "leads back, from crosscut-saw to crosscut-saw" in ran.err
    ran = told(("crosscut-saw", "radial-saw"), ("radial-saw", "crosscut-saw"))
    assert "from crosscut-saw to radial-saw to crosscut-saw" in ran.err
    assert f"{saw}:{ran.err.split(f'{saw}:')[1].split(':')[0]}:" in ran.err


def test_upgrade_visits_the_acts_of_a_record(larder: Path) -> None:
    log(*LONG)
    (entry,) = (larder / "records").glob("*/*.yaml")
    entry.write_text(entry.read_text("utf-8").replace("version: 1", "version: 99"), "utf-8")
    ran = run("check", "--upgrade")
    assert ran.code == 1 and f"{entry}:2:" in ran.err and "version 99" in ran.err


# ------------------------------------------------------------------------------- two clones, in git


def git(place: Path, *words: str) -> str:
    named = ("-c", "user.name=maker", "-c", "user.email=maker@shop.example")
    ran = spawn(["git", "-C", place, *named, *words], check=True, capture_output=True, text=True)
    return ran.stdout


@pytest.fixture
def clones(larder: Path) -> tuple[Path, Path]:
    """A shop with one set-up begun, and a clone of it."""
    if shutil.which("git") is None:
        pytest.skip("no git here")
    log(*LONG)
    git(larder, "init", "-q", ".")
    git(larder, "add", "-A")
    git(larder, "commit", "-qm", "begun")
    git(larder.parent, "clone", "-q", "larder", "other")
    return larder, larder.with_name("other")


def merged(one: Path, other: Path) -> None:
    for shop in (one, other):
        git(shop, "add", "-A")
        git(shop, "commit", "-qm", "logged")
    git(one, "pull", "-q", "--no-rebase", "--no-edit", str(other), "HEAD")
    assert not git(one, "status", "--porcelain")


def test_two_clones_that_add_to_one_record_come_together(
    clones: tuple[Path, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    one, other = clones
    log(*LESS, "--did", "back_cheek.stop=1/64")
    monkeypatch.chdir(other)
    log(*found(**RIGHT), "--did", "back_cheek.stop=1/32")
    merged(one, other)
    monkeypatch.chdir(one)
    told = json.loads(run("recall", CROSS_BAR, *DAY, "--json").out)["recalled"]["record"]
    # By hand: a piece that both had, one that each has added; each move once, 1/64 + 1/32.
    assert [len(piece["readings"]) for piece in told["pieces"]] == [6, 6, 6]
    assert [moved(piece) for piece in told["pieces"]][:2] == [
        {"back_cheek.stop": "1/64 in"},
        {"back_cheek.stop": "1/32 in"},
    ]
    assert run("list", "records").out.count(CROSS_BAR) == 1
    assert run("check", *(one / "records").glob("*.yaml")).code == 0


def test_two_clones_that_begin_one_set_up_each_have_it_told(
    clones: tuple[Path, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    one, other = clones
    joint = ("log", "larder", "bar-grooved", "--found", "tongue_width=1/4", "--sure", *DAY)
    for shop in (one, other):
        monkeypatch.chdir(shop)
        assert run(*joint).code == 0
    merged(one, other)
    monkeypatch.chdir(one)
    heads = sorted(path.stem for path in one.glob("records/*bar-grooved*.yaml"))
    assert len(heads) == 2
    for command in (("check",), ("recall", "bar-grooved", *DAY), joint):
        err = run(*command).err
        assert all(head in err for head in heads), (command, err)
    assert "does not count beside" in run("list", "records").out
