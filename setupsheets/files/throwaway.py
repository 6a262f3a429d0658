"""A store of what was worked out from files, so that it need not be worked out again.

It may be thrown away at any time without loss: it is never the only place of anything, each value
is sealed, and what is damaged, of another version or not to be opened is as if it were not there.
"""

from __future__ import annotations

import os
import sqlite3
import stat
import sys
import zlib
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import closing, suppress
from functools import cache
from hashlib import blake2b
from pathlib import Path
from typing import Any, TypeVar

from setupsheets import __version__
from setupsheets.files.places import PACKAGE, data_folder, user_cache

T = TypeVar("T")

WAIT_SECONDS = 1.0
"""How long another program that writes in the store is waited for; then it is done without."""

_NOT_DAMAGED = ("BUSY", "LOCKED", "READONLY", "CANTOPEN", "PERM", "AUTH", "IOERR", "FULL", "NOMEM")
"""What keeps from the store and does not mean that anything in it is wrong."""

_TABLE = "create table kept (kind text, key text, seal blob, value text, primary key (kind, key))"
_BUT_THE_LAST = (
    "delete from kept where kind = ? and rowid not in"
    " (select rowid from kept where kind = ? order by rowid desc limit ?)"
)


def digest_of(content: bytes) -> str:
    """What stands for the content of a file."""
    return blake2b(content, digest_size=16).hexdigest()


def users_store() -> Throwaway | None:
    """The store in the user's cache, one for each version of the program and of Python; None where
    nothing is to be kept there."""
    if (folder := user_cache()) is None:
        return None
    return Throwaway(folder / f"{__version__}-{sys.implementation.cache_tag}", made_by())


@cache
def made_by() -> str:
    """The program's own files as they look from outside and the libraries beside it when a run
    begins, so that nobody is told what yesterday's code worked out."""
    places = (PACKAGE, data_folder("schemas"), data_folder("profiles"))
    seen = [
        (each.path, found.st_size, found.st_mtime_ns)
        for place in places
        for folder, *_ in os.walk(place)
        for each in os.scandir(folder)
        if each.name.endswith(_OWN)
        for found in (each.stat(),)
    ]
    return digest_of(repr((sys.version, sorted(seen), sorted(_installed()))).encode())


_OWN = (".py", ".json", ".html", ".md", ".css", ".woff2", ".yaml")


def _installed() -> Iterator[str]:
    """What is installed for this Python, each with its version."""
    for place in sys.path[1:]:  # the first is where the program was called
        with suppress(OSError):
            yield from (each.name for each in os.scandir(place) if each.name.endswith("-info"))


class Throwaway:
    """Texts by kind and key, in a hidden folder that git leaves alone. Nothing here raises: what
    cannot be read is not there, and what cannot be written is worked out again the next time.

    ``form`` says what the values are and by what they were made: with another one all begins anew.
    """

    def __init__(self, folder: Path, form: str) -> None:
        """Nothing is read or written yet; the folder is made in one that is there already."""
        self._folder = folder
        self._file = folder / "kept.sqlite"
        self._form = zlib.crc32(form.encode()) >> 1
        self._serves = True

    def every(self, kind: str) -> dict[str, str]:
        """All the values of a kind, by key."""

        def read(store: sqlite3.Connection) -> dict[str, str]:
            query = "select key, seal, value from kept where kind = ?"
            return dict(_unsealed(kind, store.execute(query, (kind,))))

        return self._opened(read) or {}

    def some(self, kind: str, keys: Iterable[str]) -> dict[str, str]:
        """The values of a kind that there are for these keys."""

        def read(store: sqlite3.Connection) -> dict[str, str]:
            query = "select key, seal, value from kept where kind = ? and key = ?"
            rows = (row for key in keys for row in store.execute(query, (kind, key)))
            return dict(_unsealed(kind, rows))

        return self._opened(read) or {}

    def keep(
        self,
        kind: str,
        values: Mapping[str, str],
        gone: Iterable[str] = (),
        most: int | None = None,
    ) -> None:
        """Put in values by key, in place of those that there are; take out those that are gone, and
        all of the kind but the ``most`` that were put in last."""
        rows = [(kind, key, _seal(kind, key, value), value) for key, value in values.items()]
        keys = [(kind, key) for key in gone]

        def write(store: sqlite3.Connection) -> None:
            store.executemany("insert or replace into kept values (?, ?, ?, ?)", rows)
            store.executemany("delete from kept where kind = ? and key = ?", keys)
            if most is not None:
                store.execute(_BUT_THE_LAST, (kind, kind, most))

        if rows or keys:
            self._opened(write, new=True)

    def _opened(self, work: Callable[[sqlite3.Connection], T], *, new: bool = False) -> T | None:
        """What a piece of work upon the store gives, all of it or nothing; None where the store
        does not serve. One that is damaged is removed, any other is done without from then on."""
        try:
            if self._serves and self._is_there(new=new):
                with closing(self._connected()) as store, store:
                    if self._is_ours(store):
                        return work(store)
                self._remove()
                return self._opened(work, new=True) if new else None
        except OSError:
            self._serves = False
        except (sqlite3.Error, ValueError, TypeError) as error:
            name = getattr(error, "sqlite_errorname", "")
            self._serves = not any(each in name for each in _NOT_DAMAGED)
            if self._serves:
                self._remove()
        return None

    def _is_there(self, *, new: bool) -> bool:
        """Whether there is a store to open; it is made where a ``new`` one is wanted."""
        try:
            self._serves = stat.S_ISREG(self._file.lstat().st_mode)
        except FileNotFoundError:
            if new:
                self._made()
            return new
        return self._serves

    def _is_ours(self, store: sqlite3.Connection) -> bool:
        """Whether a store is of this form; one of another is thrown away."""
        return bool(store.execute("pragma user_version").fetchone() == (self._form,))

    def _connected(self) -> sqlite3.Connection:
        place = f"{self._file.absolute().as_uri()}?mode=rw"
        store = sqlite3.connect(place, timeout=WAIT_SECONDS, uri=True)
        try:
            store.execute("pragma synchronous = off")  # what a power cut harms is made again
        except sqlite3.Error:
            store.close()
            raise
        return store

    def _made(self) -> None:
        """A new store: whoever may write in the shop may write in it."""
        bits = stat.S_IMODE(self._folder.parent.stat().st_mode)
        with suppress(FileExistsError):
            self._folder.mkdir()
            self._folder.chmod(bits)
        (self._folder / ".gitignore").write_text("*\n", "utf-8")
        self._file.touch(exist_ok=True)
        self._file.chmod(bits & 0o666)
        with closing(self._connected()) as store, store:
            store.execute("begin immediate")
            if not self._is_ours(store):
                store.execute(_TABLE)
                store.execute(f"pragma user_version = {self._form}")

    def _remove(self) -> None:
        """Throw all of it away; a new one is begun where there is something to keep."""
        try:
            self._file.unlink(missing_ok=True)
        except OSError:
            self._serves = False


def _unsealed(kind: str, rows: Iterable[tuple[Any, ...]]) -> Iterator[tuple[str, str]]:
    """Keys and values whose seals are whole; ValueError for another."""
    for key, seal, value in rows:
        if _seal(kind, key, value) != seal:
            raise ValueError(key)
        yield key, value


def _seal(kind: str, key: str, value: str) -> bytes:
    return blake2b("\0".join((kind, key, value)).encode(), digest_size=8).digest()
