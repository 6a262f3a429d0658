"""The records of a shop, looked up by what is asked of them: set-up, machine, words."""

from __future__ import annotations

import datetime
from collections import Counter
from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping, Sequence
from functools import cached_property
from heapq import merge
from pathlib import Path
from typing import Any, NamedTuple, TypeVar

from setupsheets.files.documents import copied_from, is_plain
from setupsheets.files.faults import DataFaults, whole_file
from setupsheets.records.folder import (
    DOES_NOT_COUNT,
    FOLDER,
    NO_HEAD,
    Contents,
    Copied,
    alone,
    alone_before,
    contents_of,
)
from setupsheets.records.index import (
    ANYTHING,
    Facts,
    Index,
    Row,
    all_words,
    begun_in,
    hints_in,
    joins_in,
    seen_in,
    words_in,
    words_of,
)
from setupsheets.records.record import Record
from setupsheets.records.told import Told, with_joined
from setupsheets.records.verdicts import Verdict
from setupsheets.shop.finding import Shop
from setupsheets.shop.spellings import plain_words

T = TypeVar("T")

AT_ONCE = 200
"""Records that are taken apart before what came of it is kept: little is lost if it ends there, and
no more of them are held in memory than that."""


CLOSED = 8
"""Closed records of one set-up that are looked at, the newest: what made these no more than a
start has made those before them so too."""


class FoundRecord(NamedTuple):
    """A record that is found: where its head is, and what a list tells of it."""

    path: Path
    facts: Facts

    @property
    def name(self) -> str:
        """The record's name."""
        return self.path.stem

    @property
    def is_open(self) -> bool:
        """Whether nobody has closed it."""
        return self.facts.verdict == Verdict.OPEN

    @property
    def is_proved(self) -> bool:
        """Whether it was called proved."""
        return self.facts.verdict == Verdict.PROVED


class ShopRecords:
    """The records of a shop as they stand when a run first asks for any, newest first.

    The folder is listed once, and what its index does not know is read. Taking a file's YAML apart
    is slow, so a record is only taken apart when it may be what is asked for, and its trees are
    kept in the index. A folder that cannot be read raises DataFaults; a record or an entry that is
    wrong is passed over, and the shop's run tells of it.
    """

    def __init__(self, shop: Shop) -> None:
        """Nothing is read yet."""
        self.shop = shop
        self.folder = shop.folder / FOLDER
        self._told: dict[Path, Told] = {}
        self._fresh: dict[Path, Contents] = {}
        self._to_keep: dict[str, Row] = {}
        self._wrong = 0
        self._concluded: dict[Hashable, Any] = {}
        self._odd: set[Path] = set()

    def concluded(self, key: Hashable, conclude: Callable[[], T]) -> T:
        """What is concluded from these records, once for each ``key``, which says what of."""
        if key not in self._concluded:
            self._concluded[key] = conclude()
        found: T = self._concluded[key]
        return found

    @cached_property
    def _index(self) -> Index:
        return Index(self.folder, self.shop.settings.unit)

    @cached_property
    def _rows(self) -> dict[str, Row]:
        """What is known of each record by its head's file, newest first, without copies."""
        there, headless = seen_in(self.folder)
        for name in headless:
            self._tell_of_headless(self.folder / name)
        known = dict(self._index.rows())
        rows: dict[str, Row] = {}
        for head, stamp in there.items():
            row = known.get(head)
            if row is None or not stamp or row.stamp != stamp:
                row = self._seen(self.folder / head, stamp, row)
            if row is not None:
                rows[head] = row
        self._index.keep(self._to_keep, known.keys() - there.keys())
        self._to_keep = {}
        for head, whole in _copies(rows, self.folder).items():
            path = self.folder / head
            self._tell(path, Copied(path, path.with_name(whole)))
            del rows[head]
        newest = sorted(rows, key=lambda head: _moment(head, rows[head]), reverse=True)
        return {head: rows[head] for head in newest}

    @property
    def contents(self) -> Mapping[str, Mapping[str, str]]:
        """By the name of each record's head what stands for what is in each of its files."""
        return {head: row.files for head, row in self._rows.items()}

    def _tell_of_headless(self, path: Path) -> None:
        """A folder of entries that no head belongs to: a copy of one, or its head is gone."""
        whole = copied_from(path.with_name(f"{path.name}.yaml"))
        if whole is not None:
            self._tell(path, Copied(path, whole.with_suffix("")))
        else:
            message = NO_HEAD.format(head=f"{path.name}.yaml")
            self._tell(path, DataFaults([whole_file(path, message)]))

    def _seen(self, path: Path, stamp: str, before: Row | None) -> Row | None:
        """What a record's files say that the index does not know; None where its head cannot be
        read."""
        wrong = self._wrong
        try:
            contents = contents_of(path, self._tell)
        except DataFaults as found:
            self._tell(path, found)
            return None
        stamp = stamp if wrong == self._wrong else ""
        files = contents.digests(path.name)
        if before is not None and list(before.files.items()) == list(files.items()):
            row = before._replace(stamp=stamp)
        else:
            head, text = contents.head.decode(errors="replace"), contents.text
            joins = joins_in(text) is not None
            words = ANYTHING if joins else words_in(path.stem, text)
            row = Row(stamp, files, begun_in(head), words, hints_in(head), joins)
            if len(self._fresh) < AT_ONCE:
                self._fresh[path] = contents
        self._to_keep[path.name] = row
        return row

    def _tell(self, path: Path, found: DataFaults) -> None:
        self._wrong += 1
        told = found if isinstance(found, Copied) else DataFaults(found.faults, DOES_NOT_COUNT)
        self.shop.passed_over[path] = told

    def passed_over(self) -> Mapping[Path, DataFaults]:
        """All that is wrong with any of the records, and what lies among them and is none, by the
        path of the file or folder."""
        for _ in self._told_of(tuple(self._rows)):
            pass
        passed = self.shop.passed_over.items()
        return {path: found for path, found in passed if self.folder in path.parents}

    def joined_to(self, name: str) -> tuple[str, ...]:
        """The names of the records that are part of that one."""
        return tuple(part for part, whole in self.joined.items() if whole == name)

    @cached_property
    def joined(self) -> Mapping[str, str]:
        """By name the records that are part of another one, with the name of that."""
        found = [self.told(self.folder / head) for head, row in self._rows.items() if row.joins]
        return {part.head.name: told.head.name for told in found if told for part in told.joined}

    @cached_property
    def _whole(self) -> tuple[str, ...]:
        """The heads of records that are no part of another one, newest first."""
        parts = {f"{name}.yaml" for name in self.joined}
        return tuple(head for head in self._rows if head not in parts)

    def told(self, path: Path) -> Told | None:
        """A record as its files tell it, taken apart once, with what is joined to it; None where
        the head is wrong. Where nothing is wrong with it the index keeps what it says."""
        if path not in self._told and (own := self._alone(path)) is not None:
            wrong, row = self._wrong, self._rows[path.name]
            told = with_joined(own, lambda n: self._alone(self.folder / f"{n}.yaml"), self._tell)
            self._told[path] = told
            if row.facts is None:
                record = told.record
                facts, words = Facts.of(record), words_of(_texts(record))
                self._rows[path.name] = row._replace(words=words, facts=facts)
                if wrong == self._wrong and path not in self._odd and not row.joins:
                    self._to_keep[path.name] = self._rows[path.name]
        return self._told.get(path)

    def _alone(self, path: Path) -> Told | None:
        """A record by itself, from the trees of the index where it was taken apart before."""
        if path.name not in self._rows or path in self.shop.passed_over:
            return None
        row, found = self._rows[path.name], None
        self._index.trees.fetch(row.files.values())
        if row.facts is not None:
            found = alone_before(path, row.files, self.shop, self._index)
        if found is not None:
            return found
        wrong = self._wrong
        try:
            contents = self._fresh.pop(path, None) or contents_of(path, self._tell)
            found = alone(path, contents, self.shop, self._tell, self._index)
        except DataFaults as faults:
            self._tell(path, faults)
            return None
        self._rows[path.name] = row._replace(files=contents.digests(path.name))
        if wrong != self._wrong:
            self._odd.add(path)
        return found

    def record(self, found: FoundRecord) -> Record:
        """The record that was found."""
        told = self.told(found.path)
        assert told is not None, "it has been taken apart, and its head is not wrong"
        return told.record

    def _keep(self) -> None:
        """Have the index keep what has been taken apart."""
        self._index.keep(self._to_keep)
        self._to_keep = {}

    def _told_of(self, heads: Iterable[str]) -> Iterator[FoundRecord]:
        """What records say, those left out whose heads are wrong."""
        try:
            for head in heads:
                if self._rows[head].facts is None:
                    self.told(self.folder / head)
                if len(self._to_keep) >= AT_ONCE:
                    self._keep()
                    self._told.clear()
                if (facts := self._rows[head].facts) is not None:
                    yield FoundRecord(self.folder / head, facts)
        finally:
            self._keep()

    @cached_property
    def _by(self) -> dict[tuple[str, ...], dict[tuple[str | None, ...], list[str]]]:
        """By keys of LOOKED_UP and by what is at them, the records that have or may have that."""
        return {}

    @cached_property
    def _taught(self) -> dict[tuple[str, str | None], list[str]]:
        """By machine and recipe the records that taught something of it, newest first; under no
        machine's name those of which that is not known."""
        groups: dict[tuple[str, str | None], list[str]] = {}
        for head in self._whole:
            row = self._rows[head]
            for machine in row.facts.taught if row.facts else ("",):
                groups.setdefault((machine, row.may_have("recipe")), []).append(head)
        return groups

    def having(self, **wanted: str) -> Iterator[FoundRecord]:
        """The records that have at each key of LOOKED_UP what is ``wanted``."""
        keys, values = tuple(wanted), tuple(wanted.values())
        if keys not in self._by:
            groups: dict[tuple[str | None, ...], list[str]] = {}
            for head in self._whole:
                at = tuple(map(self._rows[head].may_have, keys))
                groups.setdefault(at if None not in at else (), []).append(head)
            self._by[keys] = groups
        unsaid, said = (self._by[keys].get(at, ()) for at in ((), values))
        words = all_words(" ".join(values))
        may = (*said, *(head for head in unsaid if self._rows[head].mentions(words)))
        for found in self._told_of(self._newest(may)):
            if all(getattr(found.facts, key) == text for key, text in wanted.items()):
                yield found

    def _newest(self, heads: Iterable[str]) -> list[str]:
        return sorted(heads, key=lambda head: _moment(head, self._rows[head]), reverse=True)

    def teaching(self, machine: str, *, at_most: int, until: datetime.date) -> Iterator[Record]:
        """Of each recipe the newest up to a day that taught something of a machine: proved ones,
        and beside them as many that were not, so that these push out nothing that was proved. Those
        older than the last proved one are not taken apart, however many there are."""
        words, rows, by = all_words(f"{machine} offset"), self._rows, self._taught

        def newest(recipe: str | None) -> Iterator[FoundRecord]:
            said, unsaid = by.get((machine, recipe), ()), by.get(("", recipe), ())
            every = merge(said, unsaid, key=lambda head: _moment(head, rows[head]), reverse=True)
            found = self._told_of(head for head in every if rows[head].mentions(words))
            taught = (each for each in found if machine in each.facts.taught)
            then = (each for each in taught if each.facts.date <= until.isoformat())
            return up_to(then, at_most) if recipe is not None else then

        def up_to(found: Iterable[FoundRecord], proved: int) -> Iterator[FoundRecord]:
            for each in found:
                yield each
                proved -= each.is_proved
                if not proved:
                    return

        recipes = dict.fromkeys(recipe for _, recipe in by)
        found = {each.path.name: each for recipe in recipes for each in newest(recipe)}
        seen: Counter[tuple[str, bool]] = Counter()
        for each in map(found.__getitem__, self._newest(found)):
            seen[of := (each.facts.recipe, each.is_proved)] += 1
            if seen[of] <= at_most:
                yield self.record(each)

    def asked_for(self, words: str) -> Iterator[FoundRecord]:
        """Those that all the words are found in, in either spelling: by profile, cutter, machine,
        job, timber, part, date, verdict or the place where the test piece hangs."""
        asked = plain_words(words)
        may = (head for head in self._whole if self._rows[head].found_by(asked))
        for found in self._told_of(may):
            if self._rows[found.path.name].found_by(asked):
                yield found

    def of(self, job: str, set_up: str) -> tuple[FoundRecord, ...]:
        """The records of a job's set-up, newest first, without those that another one was begun
        in place of: every open one, and the newest that are closed."""
        found = list(self.having(job=job, set_up=set_up))
        replaced = {name for each in found for name in each.facts.instead_of}
        count = [each for each in found if each.name not in replaced]
        older = {each.path for each in [each for each in count if not each.is_open][CLOSED:]}
        return tuple(each for each in count if each.path not in older)

    def open_together(self) -> Iterator[tuple[FoundRecord, ...]]:
        """Of each set-up of which more than one record is open all of those, the one that counts
        first."""
        every = [each.facts for each in self.asked_for("") if each.is_open]
        open_ = Counter((facts.job, facts.set_up) for facts in every)
        for job, set_up in (each for each, count in open_.items() if count > 1):
            if len(found := tuple(open_ones(self.of(job, set_up)))) > 1:
                yield found


def _copies(rows: Mapping[str, Row], folder: Path) -> dict[str, str]:
    """What each copy among heads is a copy of: by its name, or because a head is written once and
    no two are alike to the letter."""
    odd = (folder / head for head in rows if not is_plain(head[: -len(".yaml")]))
    wholes = ((path.name, copied_from(path)) for path in odd)
    named = {head: whole.name for head, whole in wholes if whole and whole.name in rows}
    first: dict[str, str] = {}
    times = Counter(row.head for row in rows.values())
    alike = (h for h, row in rows.items() if times[row.head] > 1 and h not in named)
    for head in sorted(alike, key=lambda head: (len(rows[head].files) == 1, head)):
        whole = first.setdefault(rows[head].head, head)
        if whole != head:
            named[head] = whole
    return named


def open_ones(
    records: Sequence[FoundRecord], count: Callable[[FoundRecord], bool] = lambda _: True
) -> Iterator[FoundRecord]:
    """Of one set-up's records, newest first, those that are open, in the order in which they were
    begun; one from before the day of the last that was closed was left and counts no more. Only
    those that ``count`` are looked at, and as few as can be are asked."""
    closed = (each for each in records if not each.is_open)
    lately = sorted(closed, key=lambda each: each.facts.date, reverse=True)
    last = next((each.facts.date for each in lately if count(each)), "")
    for each in reversed(records):
        if each.is_open and each.facts.date >= last and count(each):
            yield each


def _moment(head: str, row: Row) -> tuple[str, str, str]:
    """What orders records: the day in their name, then when they were begun."""
    return head[:10], row.begun, head[: -len(".yaml")]


def _texts(record: Record) -> Iterator[str]:
    yield from (record.name, record.job, record.set_up, record.recipe, record.section)
    yield from (record.timber, *record.parts, str(record.date), str(record.verdict))
    yield from (record.kept, record.notes)
    for setting in record.settings:
        yield from (setting.machine, setting.setting, setting.cutter)
