"""What `log` says is what it has kept, also where the disk fails amid an act, and the same command
given again keeps nothing twice."""

from __future__ import annotations

import errno
import json
import os
import signal
import subprocess
import sys
from itertools import count
from pathlib import Path

import pytest

from setupsheets.files.faults import DataFaults, whole_file
from setupsheets.records.entry import Entry
from setupsheets.records.open_set_up import OpenSetUp
from setupsheets.shop import finding
from tests.commands.conftest import full_after
from tests.running import Ran, run

LOG = ("log", "larder", "cope-crosscut-saw/cross-bar", "--date", "2026-03-15")
FOUND = ("--found", "overall=15 1/8", "--found", "back_length=14 3/8")


def pieces() -> int:
    found = json.loads(run("recall", "cross", "--json", "--date", "2026-03-15").out)
    return len(found["recalled"]["record"]["pieces"])


@pytest.mark.parametrize("closing", [[], ["--verdict", "given up"]])
def test_the_same_command_again_keeps_nothing_twice(larder: Path, closing: list[str]) -> None:
    """As after a power cut: nobody knows whether the first was kept."""
    assert run(*LOG, *FOUND, *closing).code == 0
    again = run(*LOG, *FOUND, "--did", "nothing", *closing)
    assert again.code == 1 and "nothing is kept twice" in again.err
    assert pieces() == 1 and len([*(larder / "records").glob("*.yaml")]) == 1


def test_an_act_that_is_kept_is_said_to_be_kept_whatever_fails_after_it(
    larder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The record is read once more after the act, for what others have added meanwhile."""

    def gone(*_: object) -> object:
        raise DataFaults([whole_file(Path("records"), "not readable: Stale file handle")])

    with monkeypatch.context() as failing:
        failing.setattr(OpenSetUp, "came_between", gone)
        ran = run(*LOG, *FOUND)
    assert ran.code == 1 and "this act is kept in" in ran.err
    assert "nothing was written" not in ran.err
    assert pieces() == 1


def test_what_was_read_before_an_act_is_not_looked_for_after_it(
    larder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A dial moved far is asked about once the act is kept: a machine that the disk no longer gives
    must not have it said that nothing was written."""
    write = OpenSetUp.write

    def then_gone(path: Path) -> bool:
        raise DataFaults([whole_file(path, "not readable: Stale file handle")])

    def written(opened: OpenSetUp, entry: Entry) -> OpenSetUp:
        kept = write(opened, entry)
        failing.setattr(finding, "is_there", then_gone)
        return kept

    assert run(*LOG, *FOUND).code == 0
    with monkeypatch.context() as failing:
        failing.setattr(OpenSetUp, "write", written)
        ran = run(*LOG, "--found", "overall=15 1/64", "--did", "cope.fence=1/8")
    assert ran.code == 0 and "Kept in" in ran.err
    assert "cope: fence: 1/8 in is more than a setting is usually out" in ran.err


@pytest.mark.parametrize("room", [2, 3, 7, 8])
def test_what_was_typed_before_the_disk_was_full_is_said_to_be_kept(
    room: int, larder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A file and its folder are flushed for the head, for each of six readings, for the advice,
    for the verdict."""
    with monkeypatch.context() as failing:
        failing.setattr(os, "fsync", full_after(room))
        ran = run(*LOG, typed="15 1/8\n14 3/8\n.375\n.375\n14 1/4\n.375\ny\nshelf\n")
    assert ran.code == 1 and "what was typed before is kept in" in ran.err
    assert "nothing was written" not in ran.err
    assert pieces() == 1


def test_two_who_begin_at_one_moment_begin_one_record(
    larder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The second has looked for records before the first wrote any."""
    real, first = OpenSetUp.write, iter([True])

    def late(self: OpenSetUp, entry: Entry) -> OpenSetUp:
        if next(first, False):
            assert run(*LOG, "--found", "overall=15 3/32").code == 0
        return real(self, entry)

    monkeypatch.setattr(OpenSetUp, "write", late)
    ran = run(*LOG, *FOUND)
    assert ran.code == 0, ran.err
    assert "Somebody else has added to this record meanwhile" in " ".join(ran.err.split())
    assert len([*(larder / "records").glob("*.yaml")]) == 1 and pieces() == 2


@pytest.mark.parametrize("unlike", [["--dialled", "cope.fence=1"], ["--verdict", "given up"]])
def test_what_was_dialled_otherwise_or_is_closed_is_another_record(
    unlike: list[str], larder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real, first = OpenSetUp.write, iter([True])

    def late(self: OpenSetUp, entry: Entry) -> OpenSetUp:
        if next(first, False):
            assert run(*LOG, "--found", "overall=15 3/32", *unlike).code == 0
        return real(self, entry)

    monkeypatch.setattr(OpenSetUp, "write", late)
    assert run(*LOG, *FOUND).code == 0
    assert len([*(larder / "records").glob("*.yaml")]) == 2


@pytest.mark.parametrize("folder", ["cutters", "machines", "recipes", "sections", "jobs"])
def test_what_cannot_be_looked_at_is_not_gone(
    folder: str, larder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A machine or cutter that is gone makes a record no more than a start; one whose folder does
    not answer for a moment, whenever that is, must not make `log` begin another record beside it.
    """
    assert run(*LOG, *FOUND).code == 0
    real_lstat, asked = Path.lstat, count()

    def logged(failing: int) -> tuple[Ran, int]:
        """Log a piece while that look-up in the folder fails; with how many there were."""
        looked = count()

        def lstat(path: Path) -> os.stat_result:
            if path.parent == larder / folder and next(looked) == failing:
                raise OSError(errno.EIO, os.strerror(errno.EIO))
            return real_lstat(path)

        with monkeypatch.context() as patch:
            patch.setattr(Path, "lstat", lstat)
            reading = f"overall=15.{next(asked) + 41:03}"
            return run(*LOG, "--found", reading, "--did", "nothing"), next(looked)

    whole, looks = logged(-1)
    assert whole.code == 0 and looks > 0
    for failing in range(0, looks, looks // 8 + 1):
        ran, _ = logged(failing)
        assert ran.code == 1 and "this file is not readable" in ran.err
        assert len([*(larder / "records").glob("*.yaml")]) == 1


@pytest.mark.skipif(sys.platform == "win32", reason="locks of POSIX")
@pytest.mark.parametrize("error", [errno.ENOSYS, errno.ENOLCK, errno.EOPNOTSUPP, errno.EIO])
def test_a_disk_without_locks_keeps_nobody_from_logging(
    error: int, larder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As some network folders are; nothing is said of it, for all is kept."""

    def none(*_: object) -> None:
        raise OSError(error, os.strerror(error))

    monkeypatch.setattr("fcntl.flock", none)
    for reading, did in (("15 1/8", []), ("15 3/32", ["--did", "nothing"])):
        ran = run(*LOG, "--found", f"overall={reading}", *did)
        assert ran.code == 0 and len(ran.err.splitlines()) == 1, ran.err
    assert pieces() == 2


@pytest.mark.skipif(sys.platform == "win32", reason="signals of POSIX")
@pytest.mark.parametrize("name", ["SIGINT", "SIGTERM", "SIGHUP"])
def test_a_signal_between_two_readings_leaves_the_first_and_the_next_run_tells(
    name: str, larder: Path
) -> None:
    process = subprocess.Popen(
        [sys.executable, "-m", "setupsheets", *LOG],
        cwd=larder,
        env=os.environ | {"PYTHONPATH": str(Path(__file__).parents[2])},
        stdin=subprocess.PIPE,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        text=True,
    )
    assert process.stdin is not None and process.stderr is not None
    process.stdin.write("15 1/8\n")
    process.stdin.flush()
    said = ""
    while "Keeping it in" not in said:
        said += process.stderr.read(1)
    process.send_signal(getattr(signal, name))
    assert "Traceback" not in process.communicate()[1]
    assert process.returncode == -getattr(signal, name)
    ran = run(*LOG, "--found", "overall=15 3/32", "--did", "nothing")
    assert ran.code == 0 and "Test piece 1 is kept without its advice" in ran.err
    assert pieces() == 2
