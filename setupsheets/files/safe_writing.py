"""Writing a file so that a power cut, a full disk or a second program at any moment harms nothing.

A text goes to a temporary file beside its target, is flushed to the disk, and takes the target's
place in one step; then the folder is flushed. Whoever looks sees the old file or the new, whole.
"""

from __future__ import annotations

import errno
import os
import secrets
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from setupsheets.files.faults import DataFaults, whole_file

LOCK_NAME = ".lock"
LOCK_SECONDS = 10.0


class WriteFault(DataFaults):
    """A file could not be written; `text` is what it should hold, for the caller to keep."""

    def __init__(self, path: Path, message: str, text: str = "") -> None:
        super().__init__([whole_file(path, message)])
        self.text = text


def write_atomically(path: Path, text: str) -> None:
    """Write `text` as UTF-8, its line ends as they are, in place of the file at `path`.

    The file need not exist. The permission bits of one that does stay; a symbolic link stays and
    its target is written.
    Raises WriteFault, and then the old file is untouched.
    """
    target = path.resolve()
    _written(path, text, target, lambda temporary: temporary.replace(target))


def new_file(path: Path, text: str) -> None:
    """Write `text` to a file that does not exist yet, making its folder if need be.

    Raises WriteFault if there is one, even if another program made it a moment ago.
    """
    with _told(path, text):
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
        except FileExistsError:  # it is a file: the words for that are those of ENOTDIR
            raise NotADirectoryError(errno.ENOTDIR, os.strerror(errno.ENOTDIR)) from None
    _written(path, text, path, lambda temporary: _take_free_name(temporary, path))


@contextmanager
def locked(path: Path, seconds: float = LOCK_SECONDS) -> Iterator[None]:
    """Keep every other program that asks for it from the folder of `path`, for one edit.

    One lock file, `.lock`, serves a folder: one for each record would litter it. The same thread
    may ask again while it holds it. Raises WriteFault if it is not free within `seconds`.
    """
    from filelock import FileLock, Timeout  # noqa: PLC0415  (only what writes needs it)

    folder = path.resolve().parent
    lock = FileLock(folder / LOCK_NAME, is_singleton=True)
    try:
        with _told(path, ""):
            folder.stat()  # the lock would make a folder that is not there
            lock.acquire(timeout=seconds)
    except Timeout:
        message = (
            f"another program has been writing in this folder for more than {seconds:g} s: "
            "nothing was written; try again when it has finished"
        )
        raise WriteFault(path, message) from None
    try:
        yield
    finally:
        lock.release()


# ------------------------------------------------------------------------------------ the steps


def _written(path: Path, text: str, target: Path, put_in_place: Callable[[Path], object]) -> None:
    """Write a temporary file beside `target`, put it in place, flush the folder."""
    temporary = target.with_name(f".{target.name}.{secrets.token_hex(4)}.tmp")
    with _told(path, text):
        try:
            _write_through(temporary, text.encode("utf-8"), target)
            put_in_place(temporary)
        finally:
            with suppress(OSError):
                temporary.unlink(missing_ok=True)
        _flush_folder(target.parent)


def _write_through(temporary: Path, data: bytes, like: Path) -> None:
    """Write a new file down to the disk, with the permission bits of `like` if that exists."""
    descriptor = os.open(temporary, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o666)
    with open(descriptor, "wb") as file:  # noqa: PTH123  (a descriptor, no path)
        with suppress(FileNotFoundError):
            temporary.chmod(like.stat().st_mode & 0o7777)
        file.write(data)
        file.flush()
        os.fsync(file.fileno())


def _take_free_name(temporary: Path, path: Path) -> None:
    """Give the temporary file its name, unless there is a file of that name."""
    try:
        os.link(temporary, path)  # fails if the name is taken: one step, whoever else writes
    except FileExistsError:
        raise
    except OSError:  # a file system without hard links: hold the name, then replace what holds it
        os.close(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o666))
        temporary.replace(path)


def _flush_folder(folder: Path) -> None:
    """Make the new name last; systems that cannot open a folder do it by themselves."""
    with suppress(PermissionError, NotImplementedError):
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)


# ------------------------------------------------------------------------------- what went wrong

_REASONS = {
    errno.ENOSPC: "the disk is full: make room on it",
    errno.EDQUOT: "your share of the disk is used up: make room on it",
    errno.EROFS: "the disk can only be read: make it writable or work on a copy elsewhere",
    errno.EACCES: "no permission to write here: change it for the folder, or work elsewhere",
    errno.EPERM: "no permission to write here: change it for the folder, or work elsewhere",
    errno.ENOENT: "there is no such folder: make it first",
    errno.ENOTDIR: "part of this path is a file, not a folder: correct the path",
    errno.EISDIR: "this is a folder: name a file",
    errno.EEXIST: "there is a file of this name already: choose another name or move it away",
    errno.ENAMETOOLONG: "the name is too long: choose a shorter one",
    errno.EIO: "the disk failed: check it, and copy what is on it",
}


@contextmanager
def _told(path: Path, text: str) -> Iterator[None]:
    """Turn an OSError into a WriteFault that says what to do."""
    try:
        yield
    except TimeoutError:
        raise
    except OSError as error:
        reason = _REASONS.get(error.errno or 0, error.strerror or str(error))
        unchanged = "" if error.errno == errno.EEXIST else ", then try again"
        message = f"not written: {reason}{unchanged}; what was there before is unchanged"
        raise WriteFault(path, message, text) from error
