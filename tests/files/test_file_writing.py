"""Writing: whole or not at all, whatever happens; told in words when it cannot be done.

Outside source: POSIX.1-2017, rename() and link(), for what replaces in one step. The refusals of a
disk are simulated: a test that runs as root meets none.
"""

from __future__ import annotations

import errno
import os
import random
import re
import signal
import stat
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest

from setupsheets.files import safe_writing as writing
from setupsheets.files.faults import DataFaults
from setupsheets.files.safe_writing import (
    WriteFault,
    locked,
    new_file,
    write_all,
    write_atomically,
)

ROOT = Path(__file__).resolve().parent.parent.parent
OLD = "old: 1\n"


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_a_file_is_replaced_and_nothing_else_is_left(tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    write_atomically(path, OLD)
    write_atomically(path, "new: é\r\n")
    assert path.read_bytes() == "new: é\r\n".encode()
    assert names(tmp_path) == ["a.yaml"]


@pytest.mark.skipif(sys.platform == "win32", reason="POSIX permission bits")
@pytest.mark.parametrize("bits", [0o600, 0o640, 0o664, 0o444])
def test_permission_bits_stay(bits: int, tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    path.write_text(OLD)
    path.chmod(bits)
    write_atomically(path, "new: 1\n")
    assert stat.S_IMODE(path.stat().st_mode) == bits


@pytest.mark.skipif(sys.platform == "win32", reason="POSIX permission bits")
def test_a_new_file_has_the_usual_bits(tmp_path: Path) -> None:
    """So that others in the shop may read it; a temporary file of the library has 0600."""
    usual = tmp_path / "usual"
    usual.write_text("")
    write_atomically(tmp_path / "a.yaml", OLD)
    new_file(tmp_path / "b.yaml", OLD)
    for name in ("a.yaml", "b.yaml"):
        assert (tmp_path / name).stat().st_mode == usual.stat().st_mode


@pytest.mark.skipif(sys.platform == "win32", reason="symbolic links")
def test_a_symbolic_link_stays_one(tmp_path: Path) -> None:
    real = tmp_path / "real" / "a.yaml"
    real.parent.mkdir()
    real.write_text(OLD)
    link = tmp_path / "a.yaml"
    link.symlink_to(real)
    write_atomically(link, "new: 1\n")
    assert link.is_symlink()
    assert real.read_text() == "new: 1\n"


def test_a_new_file_never_takes_the_place_of_another(tmp_path: Path) -> None:
    path = tmp_path / "deep" / "er" / "a.yaml"
    new_file(path, OLD)
    with pytest.raises(WriteFault, match="there is a file of this name already") as found:
        new_file(path, "new: 1\n")
    assert found.value.text == "new: 1\n"
    assert path.read_text() == OLD
    assert names(path.parent) == ["a.yaml"]


def test_a_new_file_without_hard_links(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """As on many memory sticks and shared folders."""

    def refuse(*_: object) -> None:
        raise OSError(errno.EPERM, "Operation not permitted")

    monkeypatch.setattr(os, "link", refuse)
    path = tmp_path / "a.yaml"
    new_file(path, OLD)
    with pytest.raises(WriteFault, match="choose another name or move it away; what was there"):
        new_file(path, "new: 1\n")
    assert path.read_text() == OLD
    assert names(tmp_path) == ["a.yaml"]


# The call that fails, its error, and the words.
FAILURES: list[tuple[str, int, str]] = [
    ("fsync", errno.ENOSPC, "the disk is full: make room on it"),
    ("fsync", errno.EDQUOT, "your share of the disk is used up"),
    ("fsync", errno.EIO, "the disk failed"),
    ("open", errno.EROFS, "the disk can only be read"),
    ("open", errno.EACCES, "no permission to write here"),
    ("open", errno.EPERM, "no permission to write here"),
    ("open", errno.ENAMETOOLONG, "the name is too long"),
    ("open", errno.EMFILE, "Too many open files"),
    ("replace", errno.EACCES, "no permission to write here"),
    ("replace", errno.ENOSPC, "the disk is full"),
]


@pytest.mark.parametrize(("call", "code", "words"), FAILURES)
def test_a_failure_leaves_the_old_file_and_says_what_to_do(
    call: str, code: int, words: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert len(FAILURES) == 10

    def fail(*_: object, **__: object) -> None:
        raise OSError(code, os.strerror(code))

    path = tmp_path / "a.yaml"
    path.write_text(OLD)
    monkeypatch.setattr(os, call, fail)
    with pytest.raises(WriteFault) as found:
        write_atomically(path, "typed: by hand\n")
    monkeypatch.undo()
    assert words in str(found.value)
    assert ", then try again; what was there before is unchanged" in str(found.value)
    assert found.value.text == "typed: by hand\n"
    assert path.read_text() == OLD
    assert names(tmp_path) == ["a.yaml"]


def test_a_write_fault_is_a_fault_as_any_other(tmp_path: Path) -> None:
    with pytest.raises(DataFaults, match="there is no such folder: make it first"):
        write_atomically(tmp_path / "none" / "a.yaml", OLD)


@pytest.mark.skipif(sys.platform == "win32", reason="POSIX path rules")
def test_a_file_in_place_of_a_folder(tmp_path: Path) -> None:
    (tmp_path / "a").write_text("")
    with pytest.raises(WriteFault, match="part of this path is a file"):
        new_file(tmp_path / "a" / "b.yaml", OLD)


def test_flushed_before_it_takes_its_place_and_the_folder_after(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    calls: list[str] = []
    fsync, replace = os.fsync, os.replace

    def note_fsync(descriptor: int) -> None:
        kind = "folder" if stat.S_ISDIR(os.fstat(descriptor).st_mode) else "file"
        calls.append(f"fsync {kind}")
        fsync(descriptor)

    def note_replace(source: Path, target: Path) -> None:
        calls.append("replace")
        replace(source, target)

    monkeypatch.setattr(os, "fsync", note_fsync)
    monkeypatch.setattr(os, "replace", note_replace)
    write_atomically(tmp_path / "a.yaml", OLD)
    assert calls == ["fsync file", "replace", "fsync folder"]


WRITER = """
import sys
from pathlib import Path
from setupsheets.files.safe_writing import write_atomically
path = Path(sys.argv[1])
print("ready", flush=True)
for number in range(10**9):
    write_atomically(path, f"{number % 10}" * 200_000)
"""


@pytest.mark.skipif(sys.platform == "win32", reason="SIGKILL")
def test_killed_at_any_moment_the_file_is_whole(tmp_path: Path) -> None:
    """Eight kills while it writes without pause; a plain write is caught half done most times."""
    path = tmp_path / "a.yaml"
    path.write_text("9" * 200_000)
    moments = random.Random(7)
    for _ in range(8):
        with subprocess.Popen(
            [sys.executable, "-c", WRITER, str(path)], stdout=subprocess.PIPE, cwd=ROOT
        ) as process:
            assert process.stdout is not None
            process.stdout.readline()
            time.sleep(moments.uniform(0.005, 0.03))
            process.send_signal(signal.SIGKILL)
        text = path.read_text()
        assert len(text) == 200_000
        assert len(set(text)) == 1


ADDER = """
import sys
from pathlib import Path
from setupsheets.files.editing import edit
for number in range(12):
    piece = {"by": sys.argv[2], "number": number}
    edit(Path(sys.argv[1]), lambda data: data["pieces"].append(piece))
"""


def test_two_programs_that_add_to_a_file_lose_nothing(tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    path.write_text("kind: record\nversion: 1\npieces: []   # none yet\n")
    processes = [
        subprocess.Popen([sys.executable, "-c", ADDER, str(path), name], cwd=ROOT)
        for name in ("one", "two")
    ]
    assert [process.wait() for process in processes] == [0, 0]
    text = path.read_text()
    for name in ("one", "two"):
        assert text.count(f"by: {name}") == 12
    assert names(tmp_path) == [".lock", "a.yaml"]


def not_free(path: Path) -> str:
    with pytest.raises(WriteFault) as found, locked(path, 0.01):
        pass
    return str(found.value)


def test_a_lock_that_is_held_is_told(tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    inside, done = threading.Event(), threading.Event()

    def hold() -> None:
        with locked(path):
            inside.set()
            done.wait(10)

    holder = threading.Thread(target=hold)
    holder.start()
    inside.wait(10)
    try:
        assert re.search(rf"program \(.+ on .+, process {os.getpid()}\) has been", not_free(path))
        for nobody in ("", "a\nb", "a\0b"):
            (tmp_path / ".lock").write_text(nobody, "utf-8")
            assert not_free(path) == (
                f"{path}: another program has been writing in this folder for more than 0.01 s:"
                " nothing was written; try again when it has finished"
            )
    finally:
        done.set()
        holder.join()
    with locked(path, 0.1):
        pass


def test_a_lock_may_be_asked_for_twice(tmp_path: Path) -> None:
    with locked(tmp_path / "a.yaml"), locked(tmp_path / "b.yaml", 0.1):
        pass
    with locked(tmp_path / "b.yaml", 0.1):
        pass


def test_a_lock_in_a_folder_that_cannot_be_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise OSError(errno.EROFS, "Read-only file system")

    monkeypatch.setattr(os, "open", refuse)
    with pytest.raises(WriteFault, match="the disk can only be read"), locked(tmp_path / "a.yaml"):
        pass


def test_a_lock_makes_no_folder(tmp_path: Path) -> None:
    with pytest.raises(WriteFault, match="there is no such folder"), locked(tmp_path / "b" / "a"):
        pass
    assert names(tmp_path) == []


def test_the_body_of_a_lock_keeps_its_own_errors(tmp_path: Path) -> None:
    """A fault within is not taken for one of the lock, and the lock is free again."""
    with pytest.raises(ZeroDivisionError), locked(tmp_path / "a.yaml"):
        raise ZeroDivisionError
    with locked(tmp_path / "a.yaml", 0.1):
        pass
    assert writing.LOCK_SECONDS >= 1


def test_several_files_are_written_together(tmp_path: Path) -> None:
    write_all(tmp_path / "out", {"a.svg": "<svg/>", "deep/b.pdf": b"\x00"})
    assert (tmp_path / "out" / "a.svg").read_text() == "<svg/>"
    assert (tmp_path / "out" / "deep" / "b.pdf").read_bytes() == b"\x00"
    assert names(tmp_path / "out") == ["a.svg", "deep"] and names(tmp_path / "out" / "deep")


def disk_is_full_after(count: int, monkeypatch: pytest.MonkeyPatch, call: str) -> None:
    real, calls = getattr(os, call), iter(range(count))

    def full(*given: object) -> object:
        if next(calls, None) is None:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        return real(*given)

    monkeypatch.setattr(os, call, full)


@pytest.mark.parametrize("count", [0, 1, 2])
def test_of_several_files_none_is_new_where_one_finds_no_room(
    count: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    old = {name: f"old {name}" for name in ("a", "b", "c")}
    write_all(tmp_path, old)
    disk_is_full_after(count, monkeypatch, "fsync")
    with pytest.raises(WriteFault) as found:
        write_all(tmp_path, {name: f"new {name}" for name in old})
    assert found.value.left == "nothing was written"
    assert {path.name: path.read_text() for path in tmp_path.iterdir()} == old


def test_of_several_files_those_that_are_new_are_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The very last step breaks off: rare, and then it is told what there is."""
    write_all(tmp_path, {"a": "old", "b": "old"})
    disk_is_full_after(1, monkeypatch, "replace")
    with pytest.raises(WriteFault) as found:
        write_all(tmp_path, {"a": "new", "b": "new"})
    assert f"{tmp_path / 'a'} new, all others as they were" in found.value.left
    assert {path.name: path.read_text() for path in tmp_path.iterdir()} == {"a": "new", "b": "old"}


@pytest.mark.skipif(sys.platform == "win32", reason="symbolic links")
def test_no_link_leads_out_of_the_folder_that_is_written_into(tmp_path: Path) -> None:
    mine, out = tmp_path / "mine", tmp_path / "out"
    mine.mkdir()
    (mine / "page.html").write_text("mine")
    out.mkdir()
    (out / "page.html").symlink_to(mine / "page.html")
    (out / "drawings").symlink_to(mine)
    write_all(out, {"page.html": "page"})
    assert (mine / "page.html").read_text() == "mine"
    assert (out / "page.html").read_text() == "page" and not (out / "page.html").is_symlink()
    with pytest.raises(WriteFault, match="a link out of the folder"):
        write_all(out, {"drawings/page.html": "page"})
    assert (mine / "page.html").read_text() == "mine"


def test_what_is_there_already_is_left_alone(tmp_path: Path) -> None:
    write_all(tmp_path, {"a": "same"})
    before = (tmp_path / "a").stat()
    write_all(tmp_path, {"a": "same"})
    assert (tmp_path / "a").stat().st_ino == before.st_ino


def test_temporary_files_of_those_who_were_broken_off_are_cleared(tmp_path: Path) -> None:
    """Two hours old and a minute old, by the clock of the disk."""
    old, new = tmp_path / ".a.yaml.0123abcd.tmp", tmp_path / ".a.yaml.4567cdef.tmp"
    mine = tmp_path / ".mine.tmp"
    for path, age in ((old, 7200), (new, 60), (mine, 7200)):
        path.write_text("half")
        os.utime(path, (time.time() - age,) * 2)
    write_atomically(tmp_path / "a.yaml", OLD)
    assert names(tmp_path) == [new.name, mine.name, "a.yaml"]


@pytest.mark.skipif(sys.platform == "win32", reason="POSIX permission bits")
@pytest.mark.parametrize(("folder", "lock"), [(0o755, 0o644), (0o775, 0o664), (0o777, 0o666)])
def test_whoever_may_write_in_the_folder_may_lock_it(
    folder: int, lock: int, tmp_path: Path
) -> None:
    shared = tmp_path / "records"
    shared.mkdir()
    shared.chmod(folder)
    with locked(shared / "a.yaml"):
        assert stat.S_IMODE((shared / ".lock").stat().st_mode) == lock


@pytest.mark.skipif(sys.platform == "win32", reason="POSIX permission bits")
@pytest.mark.parametrize("bits", [0o700, 0o755, 0o775, 0o2775, 0o777])
def test_whoever_may_write_in_the_folder_may_write_in_one_that_is_made_in_it(
    bits: int, tmp_path: Path
) -> None:
    """A record's entries are written by all who share the shop, whatever the first one's umask."""
    shared = tmp_path / "records"
    shared.mkdir()
    shared.chmod(bits)
    old = os.umask(0o077)
    try:
        new_file(shared / "record" / "entry.yaml", OLD)
    finally:
        os.umask(old)
    assert stat.S_IMODE((shared / "record").stat().st_mode) == bits


def test_a_folder_that_cannot_be_flushed_is_told_and_the_file_is_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "a.yaml"
    disk_is_full_after(1, monkeypatch, "fsync")
    with pytest.raises(WriteFault, match="kept, but the disk does not say that it will last") as f:
        write_atomically(path, OLD)
    assert f.value.left == f"kept in {path}" and path.read_text() == OLD
