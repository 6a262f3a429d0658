"""Reading a data file into a plain tree whose every value knows its line and column.

The files are plain text that people write, so a file that could mean two things is refused: see
`tree` for what.
"""

from __future__ import annotations

import errno
import os
import re
import stat
from collections.abc import Iterator, Mapping
from functools import cached_property
from pathlib import Path
from typing import NamedTuple

from msgspec import Struct

from setupsheets.files.events import parsed_events
from setupsheets.files.faults import (
    DataFaults,
    Fault,
    Marks,
    Place,
    Position,
    Step,
    listed,
    nearest,
    shown,
    stop_on,
    unknown,
    whole_file,
)
from setupsheets.files.kinds import CURRENT
from setupsheets.files.libyaml import libyaml_events
from setupsheets.files.plain_tree import EMPTY, Tree, Value, built_tree

MOST_BYTES = 1_000_000

ENVELOPE = frozenset({"kind", "version", "unit"})
"""Keys that every file may have at the top, whatever its kind."""


class Document(Struct, frozen=True, eq=False):
    """One data file. `data` is a plain tree of dict, list and scalars; nobody changes it."""

    path: Path
    kind: str
    version: int
    data: Mapping[str, Value]
    marks: Marks
    source: str


def read_document(path: Path, kinds: Mapping[str, int] = CURRENT) -> Document:
    """Read one file. Raises DataFaults with everything that is wrong with it."""
    return read_text(decoded(path, read_bytes(path)), path, kinds)


def read_text(
    text: str, path: Path = Path("(text)"), kinds: Mapping[str, int] = CURRENT
) -> Document:
    """Read the text of a file; `path` only names it in faults. Raises DataFaults."""
    data, marks = read_tree(text, path)
    stop_on((*_kind_faults(data, marks, kinds), *_version_faults(data, marks)))
    return Document(path, str(data["kind"]), int(str(data["version"])), data, marks, text)


class Parsed(NamedTuple):
    """The keys and values of any YAML file, and where they stand."""

    data: dict[str, Value]
    marks: Marks


def read_tree(text: str, path: Path) -> Parsed:
    """Read the text of a file, whatever it is about. Raises DataFaults."""
    stop_on(_merges(path, text))
    stop_on((*_unprintable(path, text), *_directives(path, text)))
    tree = _quick_tree(path, text) or built_tree(path, parsed_events(text))
    stop_on(tree.faults)
    if tree.root is None:
        raise DataFaults([Fault(Position(path, 1, 1), "", EMPTY)])
    if not isinstance(tree.root, dict):
        message = f"expected keys and values ('kind: job' first), found {shown(tree.root)}"
        raise DataFaults([tree.marks.fault(message)])
    return Parsed(tree.root, tree.marks)


def _quick_tree(path: Path, text: str) -> Tree | None:
    """The tree by libyaml; None where that is not there, or for any text that is not sound: what
    is wrong with one is told by the pure parser."""
    events = libyaml_events(text)
    tree = built_tree(path, events) if events is not None else None
    return tree if tree and not tree.faults and isinstance(tree.root, dict) else None


class PlacesIn(Mapping[tuple[Step, ...], Place]):
    """The places of everything in a file, read when the first is asked for: whoever has its tree
    from elsewhere needs them for faults alone. None where the file is not readable any more."""

    def __init__(self, path: Path) -> None:
        """Nothing is read yet."""
        self._path = path

    @cached_property
    def _places(self) -> Mapping[tuple[Step, ...], Place]:
        try:
            return read_tree(decoded(self._path, read_bytes(self._path)), self._path).marks.places
        except DataFaults:
            return {}

    def __getitem__(self, steps: tuple[Step, ...]) -> Place:
        return self._places[steps]

    def __iter__(self) -> Iterator[tuple[Step, ...]]:
        return iter(self._places)

    def __len__(self) -> int:
        return len(self._places)


def _kind_faults(
    data: Mapping[str, Value], marks: Marks, kinds: Mapping[str, int]
) -> tuple[Fault, ...]:
    kind = data.get("kind")
    if kind is None:
        return (_missing("kind", f"one of {listed(kinds)}", data, marks),)
    if not isinstance(kind, str):
        return (marks.fault(f"expected one of {listed(kinds)}, found {shown(kind)}", "kind"),)
    if kind not in kinds:
        return (marks.fault(unknown("kind", kind, kinds), "kind"),)
    return ()


def _version_faults(data: Mapping[str, Value], marks: Marks) -> tuple[Fault, ...]:
    version = data.get("version")
    if version is None:
        return (_missing("version", "a whole number, 1 for the first", data, marks),)
    if not isinstance(version, int) or isinstance(version, bool) or version < 1:
        message = f"expected a whole number from 1, found {shown(version)}"
        return (marks.fault(message, "version"),)
    return ()


def _missing(key: str, what: str, data: Mapping[str, Value], marks: Marks) -> Fault:
    """A key is missing; if another at the top is nearly the same, that was meant."""
    meant = nearest(key, data) if key not in data else None
    if meant is not None:
        return marks.key_fault(unknown("key", meant, [key]), meant)
    return marks.fault(f"missing {key!r}: {what}", key)


# -------------------------------------------------------------------------------- folders and files


class Listing(NamedTuple):
    """What lies in a folder: its data files by name, and all else."""

    files: tuple[os.DirEntry[str], ...]
    others: tuple[os.DirEntry[str], ...]


def data_files(folder: Path) -> Listing:
    """What lies in a folder, nothing where there is none; what begins with a dot is an editor's or
    the system's own, and no data file. Raises DataFaults for a folder that cannot be read: it must
    never be taken for an empty one.
    """
    try:
        with os.scandir(folder) as found:
            there = sorted(found, key=lambda each: each.name)
    except FileNotFoundError:
        if not folder.is_symlink():
            return Listing((), ())
        raise DataFaults([whole_file(folder, "this is a link that leads nowhere")]) from None
    except NotADirectoryError:
        message = "this is a file, where a folder is expected: move it away"
        raise DataFaults([whole_file(folder, message)]) from None
    except OSError as error:
        raise DataFaults([whole_file(folder, _unreadable("folder", error))]) from None
    files: list[os.DirEntry[str]] = []
    others: list[os.DirEntry[str]] = []
    for each in there:
        (files if _is_data_file(each.name) else others).append(each)
    return Listing(tuple(files), tuple(others))


def yaml_files(folder: Path) -> list[Path]:
    """The data files of a folder by name, as `data_files` lists them."""
    return [folder / each.name for each in data_files(folder).files]


def _is_data_file(name: str) -> bool:
    return name.endswith(".yaml") and not name.startswith(".")


def misspelt_files(folder: Path) -> list[Path]:
    """What lies in a folder and would be a data file if its name ended in `.yaml`."""
    names = (each.name for each in data_files(folder).others if not each.name.startswith("."))
    return [folder / name for name in names if name.lower().endswith((".yml", ".yaml"))]


ENDING = "this is passed over: files here end in .yaml, so call it {name}"
"""What to do about it."""

COPY = (
    "this is a copy of {whole} and is passed over: compare the two, put into {whole} what it lacks,"
    " and move the copy away"
)
"""What to do about a copy that a synced folder has made."""

_plain = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")
is_plain = _plain.fullmatch
"""Whether a name is one as the program gives them."""


def copied_from(path: Path) -> Path | None:
    """The file beside it that one is a copy of, as synced folders and file managers make them: by
    the same name with something behind or before it that no name of ours has. None where it is
    none."""
    plain = [part for part in _plain.findall(path.stem) if part != path.stem]
    wholes = (path.with_name(f"{part}.yaml") for part in plain)
    return next((whole for whole in wholes if is_there(whole)), None)


def is_there(path: Path) -> bool:
    """Whether a file has this name, readable or not; DataFaults where that cannot be said."""
    try:
        path.lstat()
    except OSError as error:
        if error.errno in (errno.ENOENT, errno.ENOTDIR, errno.ENAMETOOLONG, errno.ELOOP):
            return False
        raise DataFaults([whole_file(path, _unreadable("file", error))]) from None
    except ValueError:  # a NUL in the name
        return False
    return True


def _unreadable(what: str, error: OSError) -> str:
    if isinstance(error, PermissionError):
        return f"no permission to read this {what}: give it to whoever works here"
    return f"this {what} is not readable: {error.strerror or error}"


# ----------------------------------------------------------------------------------- bytes and text


def read_bytes(path: Path) -> bytes:
    """The content of a regular file of at most MOST_BYTES. Raises DataFaults."""
    try:
        found = path.stat()
        if not stat.S_ISREG(found.st_mode):  # a pipe would keep whoever opens it waiting
            what = "a folder" if stat.S_ISDIR(found.st_mode) else "no regular file"
            raise DataFaults([whole_file(path, f"this is {what}; expected a YAML file")])
        with path.open("rb") as file:
            data = file.read(min(found.st_size, MOST_BYTES) + 1)
    except FileNotFoundError:
        raise DataFaults([whole_file(path, _no_such_file(path))]) from None
    except OSError as error:
        raise DataFaults([whole_file(path, _unreadable("file", error))]) from None
    except ValueError as error:
        raise DataFaults([whole_file(path, f"not readable: {error}")]) from None
    if len(data) > MOST_BYTES:
        message = f"larger than {MOST_BYTES // 1000} KB, which no data file is"
        raise DataFaults([whole_file(path, message)])
    return data


def _no_such_file(path: Path) -> str:
    if path.is_symlink():
        return "this is a link that leads nowhere: remove it, or put back what it led to"
    try:
        names = {other.stem: other.name for other in path.parent.iterdir()}
    except OSError:
        return f"no such file: there is no folder {path.parent}"
    meant = nearest(path.stem, names)
    return f"no such file; did you mean {names[meant]!r}?" if meant else "no such file"


def decoded(path: Path, data: bytes) -> str:
    """The text of UTF-8 bytes, without a byte order mark. Raises DataFaults for any other."""
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        message = "this is UTF-16 text: save the file as UTF-8"
        raise DataFaults([Fault(Position(path, 1, 1), "", message)])
    try:
        return data.decode("utf-8").removeprefix("\ufeff")
    except UnicodeDecodeError as error:
        before = data[: error.start].decode("utf-8")
        message = (
            f"byte 0x{data[error.start]:02x} at byte {error.start + 1} is no UTF-8: "
            "save the file as UTF-8 text"
        )
        raise DataFaults([Fault(_mark_after(path, before), "", message)]) from None


# Printable characters by YAML 1.2.2, production 1 (c-printable); a byte order mark within the text
# is none. It takes 5 ms to compile.
_NOT_PRINTABLE = "[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufefe\uff00-\ufffd\U00010000-\U0010ffff]"


def _unprintable(path: Path, text: str) -> tuple[Fault, ...]:
    if text.isascii() and text.replace("\n", "").isprintable():
        return ()  # the usual file, fifty times faster than the search
    found = re.search(_NOT_PRINTABLE, text)
    if found is None:
        return ()
    before = text[: found.start()]
    place = len(before.encode("utf-8", "surrogatepass")) + 1
    message = (
        f"character U+{ord(found.group()):04X} at byte {place}: "
        "no text file holds that; it is binary or damaged"
    )
    return (Fault(_mark_after(path, before), "", message),)


def _mark_after(path: Path, before: str) -> Position:
    """The place of the character after `before`; lines end as in YAML: LF, CR or both."""
    lines = before.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    return Position(path, len(lines), len(lines[-1]) + 1)


_blank_or_comment = re.compile(r"[ \t]*(#.*)?$").match


def _merges(path: Path, text: str) -> tuple[Fault, ...]:
    """Where a merge that is not finished has left two versions, each place once; the marks are
    git's, at the beginning of a line."""
    faults: list[Fault] = []
    for number, line in enumerate(text.splitlines(), start=1):
        begins, ends = line.startswith("<<<<<<< "), line.startswith(">>>>>>> ")
        if begins or (ends and not faults):
            message = (
                "a merge is not finished: two versions stand here between <<<<<<< and >>>>>>>; "
                "keep what is right of both, take the marks out, and finish the merge"
            )
            faults.append(Fault(Position(path, number, 1), "", message))
    return tuple(faults)


def _directives(path: Path, text: str) -> tuple[Fault, ...]:
    """Faults of the lines that begin with '%' before the document; `%YAML 1.2` may stand there."""
    faults: list[Fault] = []
    for number, line in enumerate(text.splitlines(), start=1):
        if line.startswith("%"):
            if line.split() != ["%YAML", "1.2"]:
                message = f"the directive {shown(line)} is not read here: leave it out"
                faults.append(Fault(Position(path, number, 1), "", message))
        elif not _blank_or_comment(line):
            break
    return tuple(faults)
