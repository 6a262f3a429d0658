"""What is known of a shop's records without reading them again: an index that may be thrown away.

Of each record a row: by what its files are known to be as they were, what a look-up asks for, and
the words that it has. Of each file its tree, by what is in it. Nothing is told from the index that
the files would not tell: whoever finds a row takes the record itself apart, or its trees.
"""

from __future__ import annotations

import json
import os
import re
import time
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import NamedTuple

from setupsheets import __version__
from setupsheets.files.documents import data_files
from setupsheets.files.faults import DataFaults
from setupsheets.files.kinds import CURRENT
from setupsheets.files.known_trees import KnownTrees
from setupsheets.files.places import data_folder
from setupsheets.files.throwaway import Throwaway, digest_of
from setupsheets.lengths import Unit
from setupsheets.records.record import Record
from setupsheets.records.verdicts import Verdict
from setupsheets.shop.spellings import SAME, plain_words

FOLDER = ".index"
"""Within the folder of the records: no record, no copy of one, and nothing that git keeps."""

SETTLED_SECONDS = 2.5
"""How old a file's last change must be for a further one to show: a disk may note the time in steps
of two seconds (the FAT file system). What is younger, or of tomorrow, is read again."""

LOOKED_UP = ("job", "set_up", "recipe", "section")
"""What records are looked up by; a head tells it, and it never changes."""


class Facts(NamedTuple):
    """What look-ups and lists tell of a record without taking it apart; ``taught`` are the machines
    that it taught something of."""

    date: str
    job: str
    set_up: str
    recipe: str
    section: str
    timber: str
    verdict: str
    taught: tuple[str, ...]
    instead_of: tuple[str, ...]

    @classmethod
    def of(cls, record: Record) -> Facts:
        """Those of a record."""
        return cls(
            record.date.isoformat(),
            record.job,
            record.set_up,
            record.recipe,
            record.section,
            record.timber,
            record.verdict,
            tuple(dict.fromkeys(item.machine for item in record.after)),
            record.instead_of,
        )


class Row(NamedTuple):
    """One record. ``stamp`` is what its files look like from outside, empty where that is not to be
    relied on; ``files`` by name what is in each, the head first; ``begun`` when it was. ``words``
    are those of all its files until it was taken apart, then those that it is found by; ``hints``
    what a look-up may go by until then, and ``facts`` from then on. One that ``joins`` others is
    told by their files as well, and taken apart anew each time."""

    stamp: str
    files: Mapping[str, str]
    begun: str
    words: str
    hints: Mapping[str, str]
    joins: bool = False
    facts: Facts | None = None

    @property
    def head(self) -> str:
        """What is in its head."""
        return next(iter(self.files.values()))

    def may_have(self, key: str) -> str | None:
        """What it has of LOOKED_UP; None where that is not known without taking it apart."""
        return getattr(self.facts, key) if self.facts else self.hints.get(key)

    def mentions(self, words: Iterable[str]) -> bool:
        """Whether some words, as `all_words` gives them, may be in it, as far as that is known."""
        known = self.facts is None and self.words != ANYTHING
        return not known or all(f" {word} " in self.words for word in words)

    def found_by(self, asked: Iterable[str]) -> bool:
        """Whether every one of some plain words begins one of its own."""
        return self.words == ANYTHING or all(f" {word}" in self.words for word in asked)


ANYTHING = "*"
"""In place of words where a file may spell some out: a backslash stands in it."""


def words_in(name: str, text: str) -> str:
    """Every word of a record's files, in any spelling, to be looked through."""
    if "\\" in text:
        return ANYTHING
    # Nothing that was not written can be found, but for a verdict left at its default.
    return f" {' '.join(sorted(all_words(f'{name} {Verdict.OPEN} {text}')))} "


def all_words(text: str) -> frozenset[str]:
    """The words of a text as they stand there, and in the spelling of our own files."""
    there = frozenset(re.findall(r"[a-z0-9]+", text.lower()))
    return there | plain_words(" ".join(there))


def words_of(texts: Iterable[str]) -> str:
    """The plain words of texts, to be looked through."""
    return f" {' '.join(sorted(plain_words(' '.join(texts))))} "


_begun = re.compile(r"^begun: *['\"]?([^'\"\s]+)", re.MULTILINE).search

_key_line = re.compile(
    rf"^({'|'.join(LOOKED_UP)}): *(?:'([^'\n]*)'|\"([^\"\\\n]*)\"|([A-Za-z][\w./-]*))$",
    re.MULTILINE,
)


joins_in = re.compile(r"^[\"']?joins", re.MULTILINE).search
"""Whether a record may join others, by the text of its files."""


def begun_in(head: str) -> str:
    """When a head says that its record was begun."""
    found = _begun(head)
    return found[1] if found else ""


def hints_in(head: str) -> dict[str, str]:
    """The few keys of a head that stand plainly on lines of their own, each once."""
    found: dict[str, str] = {}
    for key, *values in _key_line.findall(head.replace("\r\n", "\n")):
        if head.count(f"{key}:") == 1:
            found[key] = "".join(values)
    return found


class Seen(NamedTuple):
    """A folder of records from outside: by its head's name what the files of each record look like,
    and the folders that no head belongs to."""

    stamps: Mapping[str, str]
    headless: tuple[str, ...]


def seen_in(folder: Path) -> Seen:
    """What a folder of records looks like. Raises DataFaults for one that cannot be read."""
    settled = time.time_ns() - int(SETTLED_SECONDS * 1e9)
    heads = data_files(folder)
    named = {head.name[: -len(".yaml")] for head in heads.files}
    beside = {each.name for each in heads.others}
    headless = (each for each in heads.others if each.name not in named and each.name[0] != ".")
    return Seen(
        {head.name: _stamp(folder, head, beside, settled) for head in heads.files},
        tuple(each.name for each in headless if each.is_dir() and _has_files(folder / each.name)),
    )


def _has_files(folder: Path) -> bool:
    try:
        return bool(data_files(folder).files)
    except DataFaults:
        return True


def _stamp(folder: Path, head: os.DirEntry[str], folders: set[str], settled: int) -> str:
    name = head.name[: -len(".yaml")]
    try:
        there = data_files(folder / name).files if name in folders else ()
        seen = [(each.name, each.stat()) for each in (head, *there)]
    except (OSError, DataFaults):
        return ""
    if any(not 0 < max(s.st_mtime_ns, s.st_ctime_ns) < settled for _, s in seen):
        return ""
    return ";".join(
        f"{name} {s.st_size} {s.st_mtime_ns} {s.st_ctime_ns} {s.st_ino}" for name, s in seen
    )


class Index:
    """The rows of a shop's records, and the trees of their files, as an earlier run has left
    them. What is not there any more, or was never, is as if it had not been seen."""

    def __init__(self, folder: Path, unit: Unit) -> None:
        """Nothing is read yet."""
        schemas = (data_folder("schemas") / f"{n}.json" for n in ("record", "entry"))
        made_by = (*(each.read_bytes() for each in schemas), __version__, unit, CURRENT, SAME)
        form = digest_of(repr(made_by).encode())
        self._store = Throwaway(folder / FOLDER, form) if folder.is_dir() else None
        self.trees = KnownTrees(self._store)

    def rows(self) -> Iterator[tuple[str, Row]]:
        """The rows that there are, by the names of their heads."""
        for name, text in self._store.every("record").items() if self._store else ():
            row = Row._make(json.loads(text))
            if row.facts is not None:
                told = (tuple(each) if isinstance(each, list) else each for each in row.facts)
                row = row._replace(facts=Facts._make(told))
            yield name, row

    def keep(self, rows: Mapping[str, Row], gone: Iterable[str] = ()) -> None:
        """Put in rows by name, and what trees have come; take out those that are gone."""
        if self._store is not None:
            self.trees.keep()
            self._store.keep("record", {name: json.dumps(row) for name, row in rows.items()}, gone)
