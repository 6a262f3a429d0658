"""Writing a file so that a power cut, a full disk or a second program at any moment harms nothing.

A text goes to a temporary file beside its target, is flushed to the disk, and takes the target's
place in one step; then the folder is flushed. Whoever looks sees the old file or the new, whole.
What a writer who was broken off has left beside it is cleared an hour later.
"""

from __future__ import annotations

import errno
import os
import platform
import re
import secrets
import stat
import warnings
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

from setupsheets.files.faults import NOTHING, DataFaults, whole_file

LOCK_NAME = ".lock"
LOCK_SECONDS = 10.0
LEFT_OVER_SECONDS = 3600.0
"""How old a temporary file is that nobody writes any more."""


class WriteFault(DataFaults):
    """A file could not be written; `text` is what it should hold, for the caller to keep."""

    def __init__(self, path: Path, message: str, text: str = "", left: str = NOTHING) -> None:
        super().__init__([whole_file(path, message)], left)
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
    """Write `text` to a file that does not exist yet, making its folder if need be, for whoever may
    write in the one that it lies in.

    Raises WriteFault if there is one, even if another program made it a moment ago.
    """
    with _told(path, text):
        try:
            if not path.parent.is_dir():
                path.parent.mkdir(parents=True, exist_ok=True)
                with suppress(OSError):  # another program, of another user, made it a moment ago
                    path.parent.chmod(stat.S_IMODE(path.parent.parent.stat().st_mode))
        except FileExistsError:  # it is a file: the words for that are those of ENOTDIR
            raise NotADirectoryError(errno.ENOTDIR, os.strerror(errno.ENOTDIR)) from None
    _written(path, text, path, lambda temporary: _take_free_name(temporary, path))


def write_all(folder: Path, files: Mapping[str, str | bytes]) -> None:
    """Write files into a folder by their paths in it, making it if need be: all of them or none.

    All are written beside their places first, and only then put there. A link in the folder is
    replaced and not followed, so that nothing outside is written. Raises WriteFault; where the
    disk fails amid the last step, `left` names those that are new.
    """
    beside: dict[Path, Path] = {}
    new: list[Path] = []
    try:
        for name, content in files.items():
            target = folder / name
            data = content.encode() if isinstance(content, str) else content
            with _told(target):
                _make_folder_of(target, folder)
                if not _holds(target, data):
                    temporary = _temporary(target)
                    beside[temporary] = target
                    _write_through(temporary, data, target)
        for temporary, target in beside.items():
            with _told(target, left=_new_are(new)):
                temporary.replace(target)
                new.append(target)
        for parent in {target.parent for target in new}:
            with suppress(OSError):  # all of it can be made again
                _flush_folder(parent)
            _clear_left_over(parent)
    finally:
        for temporary in beside:
            with suppress(OSError):
                temporary.unlink(missing_ok=True)


@contextmanager
def locked(path: Path, seconds: float = LOCK_SECONDS) -> Iterator[None]:
    """Keep every other program that asks for it from the folder of `path`, for one edit.

    One lock file, `.lock`, serves a folder: one for each record would litter it. The same thread
    may ask again while it holds it; what stands in the file is who does. Raises WriteFault if it is
    not free within `seconds`.
    """
    from filelock import FileLock, Timeout  # noqa: PLC0415  (only what writes needs it)

    folder = path.resolve().parent
    try:
        with _told(path), warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of a disk without locks, in the library's words
            # Whoever may write in the folder may lock it: a shop may be shared by a group.
            bits = stat.S_IMODE(folder.stat().st_mode) & 0o666
            lock = FileLock(folder / LOCK_NAME, mode=bits, is_singleton=True)
            lock.acquire(timeout=seconds)
    except Timeout:
        message = (
            f"another program {_holder(folder)}has been writing in this folder for more than "
            f"{seconds:g} s: nothing was written; try again when it has finished"
        )
        raise WriteFault(path, message) from None
    with suppress(OSError):  # it says who waits for whom, and no more hangs on it
        (folder / LOCK_NAME).write_text(_me(), "utf-8")
    try:
        yield
    finally:
        with suppress(OSError):  # what is written is written, and the end of the program frees it
            lock.release()


def _me() -> str:
    """Who this is: a user, a computer, a process."""
    user = os.environ.get("USER") or os.environ.get("USERNAME") or "somebody"
    return f"{user} on {platform.node() or 'this computer'}, process {os.getpid()}"


def _holder(folder: Path) -> str:
    """Who holds the lock of a folder, as far as that is told, with a space behind."""
    with suppress(OSError, UnicodeDecodeError), (folder / LOCK_NAME).open(encoding="utf-8") as file:
        if (said := file.read(200)) and said.isprintable():
            return f"({said}) "
    return ""


# ------------------------------------------------------------------------------------ the steps


def _written(path: Path, text: str, target: Path, put_in_place: Callable[[Path], object]) -> None:
    """Write a temporary file beside `target`, put it in place, flush the folder."""
    temporary = _temporary(target)
    with _told(path, text):
        try:
            _write_through(temporary, text.encode("utf-8"), target)
            put_in_place(temporary)
        finally:
            with suppress(OSError):
                temporary.unlink(missing_ok=True)
    try:
        _flush_folder(target.parent)
    except OSError as error:
        message = f"kept, but the disk does not say that it will last: {_reason(error)}"
        raise WriteFault(path, message, text, f"kept in {path}") from error
    _clear_left_over(target.parent)


def _temporary(target: Path) -> Path:
    return target.with_name(f".{target.name}.{secrets.token_hex(4)}.tmp")


_is_temporary = re.compile(r"\..+\.[0-9a-f]{8}\.tmp").fullmatch


def _clear_left_over(folder: Path) -> None:
    """Remove what writers who were broken off have left, by the clock of the disk itself."""
    with suppress(OSError):
        now = folder.stat().st_mtime  # something was put in place a moment ago
        for path in folder.iterdir():
            if _is_temporary(path.name) and now - path.lstat().st_mtime > LEFT_OVER_SECONDS:
                path.unlink(missing_ok=True)


def _make_folder_of(target: Path, folder: Path) -> None:
    """Make the folder that a file goes into; WriteFault where a link leads out of ``folder``."""
    target.parent.mkdir(parents=True, exist_ok=True)
    if not target.parent.resolve().is_relative_to(folder.resolve()):
        message = "this is a link out of the folder that is written into: remove it, then try again"
        raise WriteFault(target.parent, message)


def _new_are(paths: Iterable[Path]) -> str:
    """What is on the disk when the writing of several files breaks off."""
    names = ", ".join(map(str, paths))
    return f"kept: {names} new, all others as they were" if names else NOTHING


def _holds(target: Path, data: bytes) -> bool:
    """Whether that very content is there already."""
    with suppress(OSError):
        there = target.lstat()
        if stat.S_ISREG(there.st_mode) and there.st_size == len(data):
            return target.read_bytes() == data
    return False


def _write_through(temporary: Path, data: bytes, like: Path) -> None:
    """Write a new file down to the disk, with the permission bits of `like` if that exists."""
    descriptor = os.open(temporary, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o666)
    with open(descriptor, "wb") as file:  # noqa: PTH123  (a descriptor, no path)
        with suppress(FileNotFoundError):
            found = like.lstat()
            if stat.S_ISREG(found.st_mode):
                temporary.chmod(stat.S_IMODE(found.st_mode))
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
        try:
            temporary.replace(path)
        except OSError:
            path.unlink()
            raise


def _flush_folder(folder: Path) -> None:
    """Make the new name last; systems that cannot open a folder do it by themselves."""
    with suppress(PermissionError, NotImplementedError):
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        except OSError as error:
            if error.errno not in (errno.EINVAL, errno.ENOTSUP):  # not meant for folders there
                raise
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


def _reason(error: OSError) -> str:
    """What is wrong and what to do about it."""
    return _REASONS.get(error.errno or 0, error.strerror or str(error))


@contextmanager
def _told(path: Path, text: str = "", left: str = NOTHING) -> Iterator[None]:
    """Turn an OSError into a WriteFault that says what to do."""
    try:
        yield
    except OSError as error:
        if isinstance(error, TimeoutError) and error.errno is None:
            raise  # the lock was not free: its own words
        again = "" if error.errno == errno.EEXIST else ", then try again"
        message = f"not written: {_reason(error)}{again}; what was there before is unchanged"
        raise WriteFault(path, message, text, left) from error
