"""The records folder of a shop: reading heads and entries, and writing each of them once."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from pathlib import Path
from typing import TypeVar

from msgspec import Struct
from msgspec.structs import replace

from setupsheets.files.documents import (
    COPY,
    copied_from,
    decoded,
    is_there,
    read_bytes,
    read_text,
    yaml_files,
)
from setupsheets.files.dumping import yaml_text
from setupsheets.files.faults import DataFaults, Fault, stop_on, whole_file
from setupsheets.files.kinds import CURRENT
from setupsheets.files.objects import build
from setupsheets.files.plain import plain
from setupsheets.files.plain_tree import EMPTY
from setupsheets.files.safe_writing import new_file, write_atomically
from setupsheets.files.throwaway import digest_of
from setupsheets.lengths import Notation, Unit
from setupsheets.records.entry import Entry, is_entry_name
from setupsheets.records.index import Index
from setupsheets.records.record import Record
from setupsheets.records.record_checks import record_faults
from setupsheets.records.told import Tell, Told, with_joined
from setupsheets.shop.finding import Shop
from setupsheets.shop.loading import named, validated

FOLDER = "records"
DOES_NOT_COUNT = "what cannot be read does not count until it is put right; all other records do"

T = TypeVar("T", Record, Entry)

COPIES_COUNT_ONCE = "a copy counts once, as what it is a copy of"


class Copied(DataFaults):
    """A file, or a folder of entries, is a copy of another one: told, and passed over."""

    def __init__(self, path: Path, whole: Path) -> None:
        message = (COPY if whole.suffix else COPIED_FOLDER).format(whole=whole.name)
        super().__init__([whole_file(path, message)], COPIES_COUNT_ONCE)


COPIED_FOLDER = (
    "this is a copy of the folder {whole} and is passed over: put into {whole} the acts that it "
    "lacks, and move the copy away"
)
NO_HEAD = (
    "these are the acts of a record whose head, {head}, is not here: bring it back, or move them "
    "away"
)
NO_ENTRY = (
    "this is not called as an entry is: it may be a copy that a synced folder made; compare it with"
    " the others here and move it away"
)


MISSING = (
    "this act is not here, and {after} followed it: what was done and found then does not count; "
    "bring it back, or take `follows` out of that one if it is gone for good"
)


def read_record(path: Path, shop: Shop) -> Record:
    """One record with all its entries. Raises DataFaults with everything that is wrong with it."""
    faults: list[Fault] = []

    def tell(_: Path, found: DataFaults) -> None:
        faults.extend(found.faults)

    told = _read_told(path, shop, tell)
    stop_on(faults)
    return told.record


def read_told(path: Path, shop: Shop) -> Told:
    """One record as its files tell it now; an entry that is wrong is passed over and told. Raises
    DataFaults where the head is."""

    def tell(entry: Path, found: DataFaults) -> None:
        shop.passed_over[entry] = DataFaults(found.faults, DOES_NOT_COUNT)

    return _read_told(path, shop, tell)


def _read_told(path: Path, shop: Shop, tell: Tell) -> Told:
    def joined(name: str) -> Told | None:
        place = path.with_name(f"{name}.yaml")
        try:
            return alone(place, contents_of(place, tell), shop, tell)
        except DataFaults as found:
            tell(place, found)
            return None

    return with_joined(alone(path, contents_of(path, tell), shop, tell), joined, tell)


def entries_folder(path: Path) -> Path:
    """The folder of a record's entries, beside its head."""
    return path.with_suffix("")


class Contents(Struct, frozen=True):
    """The bytes of a record's files."""

    head: bytes
    entries: Mapping[Path, bytes]

    @property
    def text(self) -> str:
        """All of it, to be searched."""
        return "\n".join(
            each.decode(errors="replace") for each in (self.head, *self.entries.values())
        )

    def digests(self, head: str) -> dict[str, str]:
        """By name what stands for what is in each file, that of the head first."""
        entries = {path.name: digest_of(content) for path, content in self.entries.items()}
        return {head: digest_of(self.head)} | entries


def contents_of(path: Path, tell: Tell) -> Contents:
    """What a record's files hold; an entry that is not readable is told. Raises DataFaults for the
    head, and for a folder of entries that cannot be read."""
    entries = {}
    for each in yaml_files(entries_folder(path)):
        try:
            entries[each] = _text_in(each)
        except DataFaults as found:
            tell(each, found)
    return Contents(_text_in(path), entries)


def _text_in(path: Path) -> bytes:
    """The bytes of a file that is a text with anything in it. Raises DataFaults."""
    content = read_bytes(path)
    if not decoded(path, content).strip("\0 \n\r"):
        raise DataFaults([whole_file(path, EMPTY)])
    return content


def _made(cls: type[T], path: Path, content: bytes, shop: Shop, index: Index | None) -> T:
    kind, unit = ("record" if cls is Record else "entry"), shop.settings.unit
    digest = digest_of(content) if index else ""
    document = index.trees.document(path, digest) if index else None
    if document is None:
        document = validated(read_text(decoded(path, content), path), kind, unit)
        if index:
            index.trees.add(digest, document)
    return build(cls, named(document), unit)


def alone(
    path: Path, contents: Contents, shop: Shop, tell: Tell, index: Index | None = None
) -> Told:
    """A head with its own entries, the trees that an index has as they are; an entry that cannot be
    read is left out and told. Raises DataFaults where the head is wrong."""
    head = _made(Record, path, contents.head, shop, index)
    stop_on(record_faults(head))
    found = []
    for each, content in sorted(contents.entries.items()):
        try:
            if (whole := copied_from(each)) is not None:
                raise Copied(each, whole)
            if not is_entry_name(each.stem):
                raise DataFaults([whole_file(each, NO_ENTRY)])
            found.append(_made(Entry, each, content, shop, index))
        except DataFaults as faults:
            tell(each, faults)
    for entry, missing in _after_missing(found, entries_folder(path)):
        tell(missing, DataFaults([whole_file(missing, MISSING.format(after=entry.name))]))
    return Told(head, tuple(found))


def _after_missing(entries: Sequence[Entry], folder: Path) -> Iterator[tuple[Entry, Path]]:
    """The entries that follow one that is not in their folder, with where that was. Once records
    were joined the one before may be another record's."""
    if any(entry.joins for entry in entries):
        return
    names = {entry.name for entry in entries}
    for entry in entries:
        before = folder / f"{entry.follows}.yaml"
        if entry.follows and entry.follows not in names and not is_there(before):
            yield entry, before


def alone_before(path: Path, files: Mapping[str, str], shop: Shop, index: Index) -> Told | None:
    """The same of a record in whose ``files`` nothing was wrong when they were taken apart, from
    the trees that an index has of all of them; None where it has not."""
    unit, beside = shop.settings.unit, entries_folder(path)
    places = [path, *(beside / name for name in list(files)[1:])]
    known = zip(places, files.values(), strict=True)
    found = [index.trees.document(place, digest) for place, digest in known]
    head, *entries = (each and named(each) for each in found)
    if head is None or None in entries:
        return None
    return Told(build(Record, head, unit), tuple(build(Entry, e, unit) for e in entries if e))


def record_text(record: Record, notation: Notation) -> str:
    """A record's head as YAML; one with pieces inside is written with them."""
    return _text("record", record, notation)


def entry_text(entry: Entry, notation: Notation) -> str:
    """An entry's file as YAML."""
    return _text("entry", entry, notation)


def _text(kind: str, value: Record | Entry, notation: Notation) -> str:
    data = {"kind": kind, "version": CURRENT[kind], "unit": str(notation.unit)}
    data |= plain(value, notation)
    del data["name"]
    return yaml_text(data)


def write_new(record: Record, folder: Path, notation: Notation) -> Path:
    """Write the head of a record that is not there yet; WriteFault if it cannot be written."""
    path, text = folder / f"{record.name}.yaml", record_text(record, notation)
    new_file(path, text)
    _known(text, path, folder, notation.unit)
    return path


def _known(text: str, path: Path, folder: Path, unit: Unit) -> None:
    """What has just been written is checked at once, so that the next run need not do it; where it
    were not sound that one would tell."""
    with suppress(DataFaults):
        document = read_text(text, path)
        index = Index(folder, unit)
        index.trees.add(digest_of(text.encode()), validated(document, document.kind, unit))
        index.trees.keep()


def begun_meanwhile(head: Record, folder: Path, shop: Shop) -> Path | None:
    """Where somebody else has just begun the very record that a head would begin, and has not
    closed it; None where nobody has."""
    found = []
    for path in yaml_files(folder):
        if path.stem[:-6] != head.name[:-6]:
            continue
        with suppress(DataFaults):
            contents = contents_of(path, lambda *_: None)
            other = _made(Record, path, contents.head, shop, None)
            alike = replace(other, name=head.name, begun=head.begun) == head
            if alike and not any(map(_closes, contents.entries.values())):
                found.append((other.begun, path))
    return min(found)[1] if found else None


_closes = re.compile(rb"^[\"']?verdict[\"']?: *(?!open)", re.MULTILINE).search


def write_entry(path: Path, entry: Entry, notation: Notation) -> Path:
    """Write an entry of the record whose head is at ``path``, in one step, and give its own path.

    Raises WriteFault, also where there is one of its name.
    """
    place = entries_folder(path) / f"{entry.name}.yaml"
    text = entry_text(entry, notation)
    new_file(place, text)
    _known(text, place, path.parent, notation.unit)
    return place


def rewrite_entry(path: Path, entry: Entry, notation: Notation) -> None:
    """Write an entry anew while its act goes on; only whoever began it does so."""
    place = entries_folder(path) / f"{entry.name}.yaml"
    text = entry_text(entry, notation)
    write_atomically(place, text)
    _known(text, place, path.parent, notation.unit)
