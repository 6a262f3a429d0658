"""A layer under the program: it counts the file calls upon a shop and harms one of them.

The calls are those of `os`, of `open` with what it writes, and of the lock; a path counts when it
lies in the shop, a descriptor when it was opened there. It is put into a forked process.
"""

from __future__ import annotations

import builtins
import errno
import fcntl
import io
import os
import signal
from collections.abc import Callable
from dataclasses import dataclass, field
from enum import Enum, auto
from pathlib import Path
from typing import Any

import filelock

WRITING = ("fsync", "replace", "rename", "link", "unlink", "remove", "mkdir", "chmod", "rmdir")
READING = ("stat", "scandir", "listdir")

HELD = "held"
"""What stands in a report where the command was held."""

INDEX = f"{os.sep}.index"

FAILURES = tuple(
    getattr(errno, name)
    for name in ("ENOSPC", "EIO", "EACCES", "EROFS", "EDQUOT", "EMFILE", "ESTALE", "EPERM")
)
"""What a call may fail with: disk full, broken, not allowed, read only, share used up, too many
files open, network folder gone."""


class Harm(Enum):
    """What happens at the chosen call: the power goes before, amid or after it, or it fails."""

    NOTHING = auto()
    KILL_BEFORE = auto()
    KILL_AMID = auto()
    KILL_AFTER = auto()
    FAIL = auto()


@dataclass(frozen=True)
class Case:
    """What a held command is to meet: the harm of one call, or none and a report of all calls."""

    at: int = 0
    harm: Harm = Harm.NOTHING
    error: int = errno.EIO
    lasting: bool = False
    report: Path | None = None


@dataclass
class Layer:
    """Harms the call number ``at``, counted from 1. ``calls`` are those that were seen;
    ``lasting`` harms all that come after as well, as a full disk does. ``hold`` is called once,
    before the first call that may write; what is kept from run to run aside."""

    folder: Path
    at: int = 0
    harm: Harm = Harm.NOTHING
    error: int = errno.EIO
    lasting: bool = False
    report: Path | None = None
    calls: list[str] = field(default_factory=list)
    ours: set[int] = field(default_factory=set)
    hold: Callable[[], object] | None = None

    def change(self, case: Case) -> None:
        """Have another call harmed than it was put in for, from the call at which it is held."""
        self.at, self.harm, self.error, self.lasting = case.at, case.harm, case.error, case.lasting
        self.report = case.report
        for name in (*self.calls, HELD):
            self._report(name)

    def install(self) -> None:
        """Put it between the program and the system, for the rest of this process."""
        real_open = os.open

        def opened(path: Any, flags: int, *rest: Any, **named: Any) -> int:
            writes = bool(flags & (os.O_WRONLY | os.O_RDWR | os.O_CREAT))
            found: int = self._call(
                "open" if writes else "read", real_open, path, flags, *rest, **named
            )
            if self._is_ours(path):
                self.ours.add(found)
            return found

        put = [(os, name, self._wrapped(name)) for name in (*WRITING, *READING)]
        put += [(os, "open", opened), (os, "close", self._closer(os.close))]
        put += [(fcntl, "flock", self._wrapped("flock"))]
        put += [(filelock, "FileLock", self._before_a_lock(filelock.FileLock))]
        for module, name, layered in put:
            setattr(module, name, layered)
        io.open = builtins.open = self._opener(io.open)

    def _wrapped(self, name: str) -> Callable[..., Any]:
        real = getattr(fcntl if name == "flock" else os, name)

        def called(*given: Any, **named: Any) -> Any:
            ours = any(self._is_ours(each) for each in given[:2])
            return self._call(name, real, *given, **named) if ours else real(*given, **named)

        return called

    def _before_a_lock(self, real: Callable[..., Any]) -> Callable[..., Any]:
        """A lock is not carried into a forked process: whoever is held is held before it."""

        def made(*given: Any, **named: Any) -> Any:
            self._hold()
            return real(*given, **named)

        return made

    def _closer(self, real: Callable[[int], None]) -> Callable[[int], None]:
        def closed(descriptor: int) -> None:
            self.ours.discard(descriptor)  # the next file to be opened may have its number
            real(descriptor)

        return closed

    def _opener(self, real: Callable[..., Any]) -> Callable[..., Any]:
        def opened(file: Any, mode: str = "r", *rest: Any, **named: Any) -> Any:
            if not self._is_ours(file):
                return real(file, mode, *rest, **named)
            if not set(mode) & set("wxa+"):
                return self._call("read", real, file, mode, *rest, **named)
            raw_mode = mode.replace("b", "").replace("t", "")
            raw = self._call("open", lambda *_: _Raw(self, file, raw_mode), file)
            buffered = io.BufferedWriter(raw)
            return buffered if "b" in mode else io.TextIOWrapper(buffered, encoding="utf-8")

        return opened

    def _is_ours(self, given: Any) -> bool:
        if isinstance(given, int) and not isinstance(given, bool):
            return given in self.ours
        if not isinstance(given, str | os.PathLike):
            return False
        path = os.path.abspath(os.fspath(given))  # noqa: PTH100  (a link is not followed)
        return f"{path}/".startswith(f"{self.folder}/")

    def _call(self, name: str, real: Callable[..., Any], *given: Any, **named: Any) -> Any:
        if name not in (*READING, "read") and not _throwaway(given):
            self._hold()
        self._count(name)
        if self.now and self.harm is Harm.KILL_BEFORE:
            die()
        if self.now and self.harm is Harm.FAIL:
            raise OSError(self.error, os.strerror(self.error), _path(given))
        done = real(*given, **named)
        if self.now and self.harm in (Harm.KILL_AMID, Harm.KILL_AFTER):
            die()
        return done

    def _hold(self) -> None:
        if self.hold is not None:
            hold, self.hold = self.hold, None
            hold()

    def write(self, real: Callable[[Any], int], data: Any) -> int:
        """Bytes on their way into a file of the shop: half of them may get there."""
        self._count("write")
        if self.now and self.harm is Harm.KILL_BEFORE:
            die()
        if self.now and self.harm in (Harm.KILL_AMID, Harm.FAIL):
            real(bytes(data)[: len(data) // 2])
            if self.harm is Harm.KILL_AMID:
                die()
            raise OSError(self.error, os.strerror(self.error))
        done = real(data)
        if self.now and self.harm is Harm.KILL_AFTER:
            die()
        return done

    @property
    def now(self) -> bool:
        """Whether the call last counted is the one to harm."""
        return len(self.calls) == self.at or (self.lasting and len(self.calls) > self.at > 0)

    def _count(self, name: str) -> None:
        self.calls.append(name)
        self._report(name)

    def _report(self, name: str) -> None:
        if self.report is not None:
            with io.FileIO(self.report, "a") as file:
                file.write(f"{name}\n".encode())


class _Raw(io.FileIO):
    """A file of the shop whose writes are counted."""

    def __init__(self, layer: Layer, file: Any, mode: str) -> None:
        super().__init__(file, mode)
        self._layer = layer
        layer.ours.add(self.fileno())

    def close(self) -> None:
        if not self.closed:
            self._layer.ours.discard(self.fileno())
        super().close()

    def write(self, data: Any, /) -> int:
        return self._layer.write(super().write, data)


def _throwaway(given: tuple[Any, ...]) -> bool:
    """Whether a call is about the index, which nothing hangs on."""
    paths = (os.fspath(each) for each in given if isinstance(each, str | os.PathLike))
    return any(INDEX in str(path) for path in paths)


def die() -> None:
    """The power goes."""
    os.kill(os.getpid(), signal.SIGKILL)


def _path(given: tuple[Any, ...]) -> str | None:
    return next((os.fspath(each) for each in given if isinstance(each, str | os.PathLike)), None)
