"""Odd entries in the folders of a shop, each against every command that may meet it.

What editors, synced folders, shared disks and slips of the hand leave there.
"""

from __future__ import annotations

import ctypes
import os
import shutil
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from tests.faults import forked
from tests.faults.acts import LOG, new_shop
from tests.faults.tally import Tally

RECORD = "2022-10-02-crosscut-saw-cope-crosscut-saw-cross-bar-into-stile-c153f0"
ENTRY = "20230101-120000-000000-abcdef.yaml"
"""A record of the larder, and an act at the bench that stands beside it."""
NAME = "2023-01-01-crosscut-saw-odd-000000.yaml"


@dataclass(frozen=True)
class Entry:
    """One odd entry. ``told``: a command that reads the folder says so; ``served``: the others in
    the folder still serve, else the command ends with a fault."""

    name: str
    make: Callable[[Path], object]
    told: bool = True
    served: bool = True


def _copy(source: str) -> Callable[[Path], object]:
    def make(path: Path) -> object:
        return shutil.copy(next(path.parent.glob(f"{source}*.yaml")), path)

    return make


def _changed(old: str, new: str) -> Callable[[Path], object]:
    """A record that all that asks for records of a cope takes apart."""

    def make(path: Path) -> object:
        text = next((path.parents[1] / "records").glob("2022*.yaml")).read_text("utf-8")
        assert old in text
        return path.write_text(text.replace(old, new), "utf-8")

    return make


def _sparse(path: Path) -> None:
    with path.open("wb") as file:
        file.truncate(2_000_000_000)


def _no_right(path: Path) -> None:
    _copy("2022")(path)
    path.chmod(0)


RECORD_ENTRIES = (
    Entry("a dangling link", lambda path: path.symlink_to("nowhere.yaml")),
    Entry("a link to itself", lambda path: path.symlink_to(path.name)),
    Entry("a folder", lambda path: path.mkdir()),
    Entry("a pipe", os.mkfifo),
    Entry("no right to read", _no_right),
    Entry("two gigabytes", _sparse),
    Entry("not UTF-8", lambda path: path.write_bytes(b"kind: record\nversion: 1\nnotes: \xe9\n")),
    Entry("UTF-16", lambda path: path.write_bytes("kind: record\n".encode("utf-16"))),
    Entry("empty", lambda path: path.write_bytes(b"")),
    Entry("zeroes", lambda path: path.write_bytes(b"\0" * 4096)),
    Entry("another kind", lambda path: path.write_text("kind: job\nversion: 1\n"), told=False),
    Entry("a newer version", _changed("version: 1", "version: 99")),
    Entry("an unfinished merge", _changed("verdict: ", "<<<<<<< HEAD\nverdict: ")),
)
"""By what stands in records/ under the name of a record."""

DOT_ENTRIES = (
    Entry("an editor's lock", lambda path: path.symlink_to("maker@bench.123"), told=False),
    Entry("a shared disk's leaf", lambda path: path.write_bytes(b"\0\5\x16\7\0\2\0\0"), told=False),
    Entry("a hidden pipe", os.mkfifo, told=False),
    Entry("a left temporary file", lambda path: path.write_text("kind: rec", "utf-8"), told=False),
)
"""Entries that begin with a dot are nobody's records."""


IN_A_RECORD = (
    *("a dangling link", "a link to itself", "a folder", "a pipe", "two gigabytes", "not UTF-8"),
    *("UTF-16", "empty", "zeroes"),
)
"""Those of them that are tried among the entries of a record as well."""


def _closed(path: Path) -> None:
    path.chmod(0)


def _a_file(path: Path) -> None:
    shutil.rmtree(path)
    path.write_text("", "utf-8")


def _dangling(path: Path) -> None:
    shutil.rmtree(path)
    path.symlink_to("/nowhere/at/all")


FOLDER_ENTRIES = (
    Entry("no right to the folder", _closed, served=False),
    Entry("a file in the folder's place", _a_file, served=False),
    Entry("a dangling link in the folder's place", _dangling, served=False),
)
"""What may have become of the folder records/ itself."""

COMMANDS = {
    "check": ("check",),
    "list": ("list",),
    "list records": ("list", "records"),
    "parts": ("parts", "larder"),
    "sheet": ("sheet", "larder"),
    "recall": ("recall", "cope"),
    "correct": ("correct", *LOG[1:], "--found", "overall=15 1/8"),
    "log": (*LOG, "--found", "overall=15 1/8"),
    "blocks": ("blocks", "17/32"),
}
READERS = ("sheet", "recall", "correct", "log")
"""Commands whose figures hang on the records."""


def cases() -> Iterator[tuple[Entry, str, str]]:
    """Every odd entry, where it stands, and the command that meets it."""
    for command in COMMANDS:
        yield from ((entry, f"records/{NAME}", command) for entry in RECORD_ENTRIES)
        yield from ((entry, f"records/.{NAME}", command) for entry in DOT_ENTRIES)
        yield from ((entry, "records", command) for entry in FOLDER_ENTRIES)
        odd = (each for each in RECORD_ENTRIES if each.name in IN_A_RECORD)
        yield from ((entry, f"records/{RECORD}/{ENTRY}", command) for entry in odd)
        for folder in ("machines", "jobs", "cutters"):
            odd = (e for e in RECORD_ENTRIES if e.name not in ("no right to read",))
            yield from ((entry, f"{folder}/odd.yaml", command) for entry in odd)
            yield from ((entry, f"{folder}/.odd.yaml", command) for entry in DOT_ENTRIES)


def met(entry: Entry, place: str, command: str, tally: Tally) -> None:
    """One command in a shop with one odd entry: it ends, says so once, and serves the rest."""
    with tempfile.TemporaryDirectory(prefix="faults-") as room:
        shop = new_shop(Path(room).resolve() / "shop", records=True)
        path = shop / place
        path.parent.mkdir(exist_ok=True)
        entry.make(path)
        outcome = forked.run(COMMANDS[command], shop, before=as_anybody)
        if not path.is_symlink():
            path.chmod(0o755)
    story = f"{entry.name} as {place.replace(NAME, 'NAME.yaml')}, {command}"
    tally.ended(story, outcome)
    if not place.startswith("records") or command not in READERS or outcome.traceback:
        return
    said = outcome.err + outcome.out
    if entry.told and Path(place).name not in said:
        tally.wrong("untrue", f"{story}: exit {outcome.code} without a word of it")
    if outcome.code != 0 and entry.served:
        tally.wrong("lost", f"{story}: the rest does not serve: {outcome.err.strip()[-120:]!r}")
    if outcome.code == 0 and not entry.served:
        tally.wrong("untrue", f"{story}: figures as if there were no records")


def as_anybody() -> None:
    """Give up the right of root to read what others may not (capabilities 1 and 2 of Linux)."""
    if os.geteuid() != 0:
        return
    header = (ctypes.c_uint32 * 2)(0x20080522, 0)  # capability.h: version 3, this process
    sets = (ctypes.c_uint32 * 6)()
    libc = ctypes.CDLL(None, use_errno=True)
    if libc.capget(header, sets) == 0:
        sets[0] &= ~0b110  # what counts now: neither CAP_DAC_OVERRIDE nor CAP_DAC_READ_SEARCH
        libc.capset(header, sets)
