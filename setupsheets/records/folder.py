"""The records folder of a shop: reading heads and entries, and writing each of them once."""

from __future__ import annotations

import datetime
import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TypeVar

from setupsheets.files.documents import (
    COPY,
    copied_from,
    decoded,
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
from setupsheets.lengths import Notation
from setupsheets.records.entry import Entry, is_entry_name
from setupsheets.records.record import Record, Verdict
from setupsheets.records.record_checks import record_faults
from setupsheets.records.told import Tell, Told, with_joined
from setupsheets.shop.finding import Shop
from setupsheets.shop.loading import named, validated
from setupsheets.shop.spellings import asked_for

FOLDER = "records"
DOES_NOT_COUNT = "what cannot be read does not count until it is put right; all other records do"

T = TypeVar("T", Record, Entry)

COPIES_COUNT_ONCE = "a copy counts once, as what it is a copy of"


class Copied(DataFaults):
    """A file is a copy of another one: told, and passed over."""

    def __init__(self, path: Path, whole: Path) -> None:
        message = COPY.format(whole=whole.name)
        super().__init__([whole_file(path, message)], COPIES_COUNT_ONCE)


NO_ENTRY = (
    "this is not called as an entry is: it may be a copy that a synced folder made; compare it with"
    " the others here and move it away"
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
            return _alone(place, _contents_of(place, tell), shop, tell)
        except DataFaults as found:
            tell(place, found)
            return None

    return with_joined(_alone(path, _contents_of(path, tell), shop, tell), joined, tell)


def entries_folder(path: Path) -> Path:
    """The folder of a record's entries, beside its head."""
    return path.with_suffix("")


@dataclass(frozen=True)
class _Contents:
    """The bytes of a record's files."""

    head: bytes
    entries: Mapping[Path, bytes]

    @cached_property
    def text(self) -> bytes:
        """All of it, to be searched."""
        return b"\n".join((self.head, *self.entries.values()))


def _contents_of(path: Path, tell: Tell) -> _Contents:
    """What a record's files hold; an entry that is not readable is told. Raises DataFaults for the
    head, and for a folder of entries that cannot be read."""
    entries = {}
    for each in yaml_files(entries_folder(path)):
        try:
            entries[each] = _text_in(each)
        except DataFaults as found:
            tell(each, found)
    return _Contents(_text_in(path), entries)


def _text_in(path: Path) -> bytes:
    """The bytes of a file that is a text with anything in it. Raises DataFaults."""
    content = read_bytes(path)
    if not decoded(path, content).strip("\0 \n\r"):
        raise DataFaults([whole_file(path, EMPTY)])
    return content


def _made(cls: type[T], path: Path, content: bytes, shop: Shop) -> T:
    kind, unit = ("record" if cls is Record else "entry"), shop.settings.unit
    document = validated(read_text(decoded(path, content), path), kind, unit)
    return build(cls, named(document), unit)


def _alone(path: Path, contents: _Contents, shop: Shop, tell: Tell) -> Told:
    """A head with its own entries; one that cannot be read is left out and told. Raises DataFaults
    where the head is wrong."""
    head = _made(Record, path, contents.head, shop)
    stop_on(record_faults(head))
    found = []
    for each, content in sorted(contents.entries.items()):
        try:
            if (whole := copied_from(each)) is not None:
                raise Copied(each, whole)
            if not is_entry_name(each.stem):
                raise DataFaults([whole_file(each, NO_ENTRY)])
            found.append(_made(Entry, each, content, shop))
        except DataFaults as faults:
            tell(each, faults)
    return Told(head, tuple(found))


class ShopRecords:
    """The records of a shop as they stand when a run first asks for any, newest first.

    The folder is listed once and each file read at most once. Taking a file's YAML apart is slow
    and a search of its text is not, so a record is only taken apart when its text has what is
    asked for in it. A folder that cannot be read raises DataFaults; a record or an entry that is
    wrong is passed over, and the shop's run tells of it. An index that a shop keeps from run to run
    would take the place of `_contents`.
    """

    def __init__(self, shop: Shop) -> None:
        """Nothing is read yet."""
        self.shop = shop
        self.folder = shop.folder / FOLDER
        self._records: dict[Path, Told] = {}

    @cached_property
    def _contents(self) -> Mapping[Path, _Contents]:
        found = {path: self._read(path) for path in yaml_files(self.folder)}
        read = {path: content for path, content in found.items() if content is not None}
        for path, whole in _copies(read).items():
            self._tell(path, Copied(path, whole))
            del read[path]
        newest = sorted(read, key=lambda path: _moment(path, read[path].head), reverse=True)
        return {path: read[path] for path in newest}

    def _read(self, path: Path) -> _Contents | None:
        try:
            return _contents_of(path, self._tell)
        except DataFaults as found:
            self._tell(path, found)
            return None

    def _tell(self, path: Path, found: DataFaults) -> None:
        told = found if isinstance(found, Copied) else DataFaults(found.faults, DOES_NOT_COUNT)
        self.shop.passed_over[path] = told

    @property
    def copies(self) -> Mapping[Path, Copied]:
        """The files that are copies of others."""
        for path in self._contents:
            self.told(path)
        passed = self.shop.passed_over.items()
        return {path: found for path, found in passed if isinstance(found, Copied)}

    def joined_to(self, name: str) -> tuple[str, ...]:
        """The names of the records that are part of that one."""
        return tuple(part for part, whole in self.joined.items() if whole == name)

    @property
    def _whole(self) -> Mapping[Path, _Contents]:
        """The contents of the records that are no part of another one."""
        return {path: each for path, each in self._contents.items() if path.stem not in self.joined}

    def _record(self, path: Path) -> Record | None:
        """A record, read once; one that is wrong is passed over, and the others still serve."""
        told = self.told(path)
        return told.record if told else None

    def told(self, path: Path) -> Told | None:
        """A record as its files tell it, read once; None where the head is wrong."""
        if path not in self._records and (alone := self._alone(path)) is not None:
            self._records[path] = with_joined(
                alone, lambda name: self._alone(self.folder / f"{name}.yaml"), self._tell
            )
        return self._records.get(path)

    def _alone(self, path: Path) -> Told | None:
        if path not in self._contents or path in self.shop.passed_over:
            return None
        try:
            return _alone(path, self._contents[path], self.shop, self._tell)
        except DataFaults as found:
            self._tell(path, found)
            return None

    @cached_property
    def joined(self) -> Mapping[str, str]:
        """By name the records that are part of another one, with the name of that."""
        found = (self.told(path) for path, each in self._contents.items() if _joins(each.text))
        return {part.head.name: told.head.name for told in found if told for part in told.joined}

    def mentioning(self, *texts: str) -> Iterator[Record]:
        """Those whose files have every one of ``texts`` in them."""
        wanted = [text.encode() for text in texts]
        for path, content in self._whole.items():
            record = self._record(path) if all(text in content.text for text in wanted) else None
            if record is not None:
                yield record

    def newest_by_recipe(self, *texts: str, at_most: int, until: datetime.date) -> Iterator[Record]:
        """Of each recipe the newest up to a day whose files have every one of ``texts`` in them; no
        others are taken apart, however many there are."""
        wanted = [text.encode() for text in texts]
        seen: Counter[bytes] = Counter()
        for path, content in self._whole.items():
            recipe = _recipe(content.head)
            if recipe is None or seen[recipe[1]] >= at_most:
                continue
            record = self._record(path) if all(text in content.text for text in wanted) else None
            if record is not None and record.date <= until:
                seen[recipe[1]] += 1
                yield record

    def asked_for(self, words: str) -> Iterator[Record]:
        """Those that all the words are found in, in either spelling: by profile, cutter, machine,
        job, timber, part, date, verdict or the place where the test piece hangs."""
        for path, content in self._whole.items():
            # Nothing that was not written can be found, but for a verdict left at its default and
            # letters that a backslash spells out.
            text = f"{path.stem} {Verdict.OPEN} {content.text.decode(errors='replace')}"
            if "\\" in text or _joins(content.text) or asked_for(words, text):
                record = self._record(path)
                if record is not None and asked_for(words, " ".join(_texts(record))):
                    yield record

    def of(self, job: str, set_up: str) -> tuple[Record, ...]:
        """The records of a job's set-up, newest first, without those that another one was begun
        in place of."""
        found = [
            item
            for item in self.mentioning(job, set_up)
            if (item.job, item.set_up) == (job, set_up)
        ]
        replaced = {name for item in found for name in item.instead_of}
        return tuple(item for item in found if item.name not in replaced)

    def latest(self, job: str, set_up: str) -> Record | None:
        """The record of a job's set-up that counts, whatever its verdict: the one that is open, the
        earlier of two, else the newest."""
        found = self.of(job, set_up)
        return next(iter(open_ones(found)), next(iter(found), None))

    def open_together(self) -> Iterator[tuple[Record, ...]]:
        """Of each set-up of which more than one record is open all of those, the one that counts
        first."""
        set_ups = dict.fromkeys((item.job, item.set_up) for item in self.mentioning())
        for job, set_up in set_ups:
            if len(found := open_ones(self.of(job, set_up))) > 1:
                yield found


def _copies(read: Mapping[Path, _Contents]) -> dict[Path, Path]:
    """By path what each copy among heads is a copy of: by its name, or because a head is written
    once and no two are alike to the letter."""
    named = {path: whole for path in read if (whole := copied_from(path)) in read and whole}
    first: dict[bytes, Path] = {}
    unnamed = (path for path in read if path not in named)
    for path in sorted(unnamed, key=lambda path: (not read[path].entries, path)):
        whole = first.setdefault(read[path].head, path)
        if whole != path:
            named[path] = whole
    return named


def open_ones(records: Iterable[Record]) -> tuple[Record, ...]:
    """Of one set-up's records, newest first, those that are open, in the order in which they were
    begun; one from before the day of the last that was closed was left and counts no more."""
    found = tuple(records)
    closed = [item.date for item in found if item.verdict is not Verdict.OPEN]
    return tuple(
        item
        for item in reversed(found)
        if item.verdict is Verdict.OPEN and (not closed or item.date >= max(closed))
    )


_joins = re.compile(rb"^[\"']?joins", re.MULTILINE).search

_recipe = re.compile(rb"^recipe: *(\S+)", re.MULTILINE).search

_begun = re.compile(rb"^begun: *['\"]?([^'\"\s]+)", re.MULTILINE).search


def _moment(path: Path, head: bytes) -> tuple[str, str, str]:
    """What orders records: the day in their name, then when they were begun."""
    begun = _begun(head)
    return path.stem[:10], begun[1].decode(errors="replace") if begun else "", path.stem


def _texts(record: Record) -> Iterator[str]:
    yield from (record.name, record.job, record.set_up, record.recipe, record.section)
    yield from (record.timber, *record.parts, str(record.date), str(record.verdict))
    yield from (record.kept, record.notes)
    for setting in record.settings:
        yield from (setting.machine, setting.setting, setting.cutter)


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
    path = folder / f"{record.name}.yaml"
    new_file(path, record_text(record, notation))
    return path


def write_entry(path: Path, entry: Entry, notation: Notation) -> Path:
    """Write an entry of the record whose head is at ``path``, in one step, and give its own path.

    Raises WriteFault, also where there is one of its name.
    """
    place = entries_folder(path) / f"{entry.name}.yaml"
    new_file(place, entry_text(entry, notation))
    return place


def rewrite_entry(path: Path, entry: Entry, notation: Notation) -> None:
    """Write an entry anew while its act goes on; only whoever began it does so."""
    place = entries_folder(path) / f"{entry.name}.yaml"
    write_atomically(place, entry_text(entry, notation))
