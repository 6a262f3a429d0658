"""A record as its files tell it: its head, its entries, and the records that were joined to it.

Two records of one set-up, begun by two people or in two copies of a shop, are of one machine that
was dialled and moved by both. Joined they are one: each test piece was cut with the dials at the
figures that its own record gives, so what was moved between two pieces is the difference of those.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import partial
from pathlib import Path
from typing import NamedTuple

from msgspec.structs import replace

from setupsheets.files.faults import DataFaults, Fault
from setupsheets.lengths import Length
from setupsheets.records.entry import NO_MOMENT, Entry, entry_faults, folded, version_1_piece
from setupsheets.records.record import Record

Tell = Callable[[Path, DataFaults], None]


class Told(NamedTuple):
    """The head alone, the entries in the order of their moments, and the records that are joined to
    this one, by its entries or by those of such a record."""

    head: Record
    entries: tuple[Entry, ...]
    joined: tuple[Told, ...] = ()

    @property
    def acts(self) -> tuple[Entry, ...]:
        """Its entries and those of the records joined to it, as entries of one record."""
        return tuple(_Union(self).acts()) if self.joined else self.entries

    @property
    def record(self) -> Record:
        """What they come to together."""
        return folded(self.head, self.acts)

    @property
    def last(self) -> str:
        """The name of the last entry; empty where there is none."""
        return max((entry.name for entry in self.acts), default="")

    def without(self, name: str) -> Told:
        """The same without its own entry of that name; what is joined to it stays."""
        return self._replace(entries=tuple(each for each in self.entries if each.name != name))


def joins_of(entries: tuple[Entry, ...]) -> tuple[str, ...]:
    """The names of the records that entries join and none takes apart again."""
    names: dict[str, None] = {}
    for entry in sorted(entries, key=lambda item: item.name):
        names |= dict.fromkeys(entry.joins)
        for name in entry.apart:
            names.pop(name, None)
    return tuple(names)


def unlike(one: Record, other: Record) -> tuple[str, ...]:
    """The causes and measures that two records do not have alike: what is aimed at and measured
    must be the same for test pieces to count together. What was first dialled may differ."""
    first, second = _asked(one), _asked(other)
    return tuple(key for key in (first | second) if first.get(key) != second.get(key))


def _asked(record: Record) -> dict[str, object]:
    settings = {
        each.cause: (each.machine, each.setting, each.aim, each.cutter, each.cutter_sizes, each.to)
        for each in record.settings
    }
    measures = {
        each.name: (each.target, each.under, each.over, each.moved_by) for each in record.measures
    }
    return {**settings, **measures, **record.blanks}


def with_joined(alone: Told, read: Callable[[str], Told | None], tell: Tell) -> Told:
    """A record with all that is joined to it, which ``read`` gives by its name, None where it is
    not there or wrong. An entry that leads nowhere is told and left out."""
    parts, wanted = {alone.head.name: alone}, [alone.head.name]
    while wanted:
        name = wanted.pop()
        for joined in joins_of(parts[name].entries):
            other = parts.get(joined) or read(joined)
            wrong = partial(_join_faults, parts[name].head, joined, other)
            parts[name] = _without(parts[name], wrong, tell)
            if other is not None and joined in joins_of(parts[name].entries):
                wanted += [joined] if joined not in parts else []
                parts[joined] = other
    acts = _told(parts.values()).acts
    for name, part in parts.items():
        parts[name] = _without(part, partial(entry_faults, part.head, acts), tell)
    return _told(parts.values())


def _told(parts: Iterable[Told]) -> Told:
    first, *joined = parts
    return Told(first.head, first.entries, tuple(joined))


def _without(part: Told, wrong: Callable[[Entry], Iterable[Fault]], tell: Tell) -> Told:
    """A record without the entries that are wrong, which are told."""
    faults = {entry.name: tuple(wrong(entry)) for entry in part.entries}
    for entry in part.entries:
        if faults[entry.name]:
            tell(entry.marks.path, DataFaults(faults[entry.name]))
    return Told(part.head, tuple(each for each in part.entries if not faults[each.name]))


def _join_faults(head: Record, joined: str, other: Told | None, entry: Entry) -> Iterator[Fault]:
    """Why an entry cannot join a record to the one with that head."""
    if joined not in entry.joins:
        return
    place = ("joins", entry.joins.index(joined))
    if other is None:
        message = f"the record {joined} is not there, or cannot be read: it does not count"
        yield entry.marks.fault(message, *place)
    elif names := unlike(head, other.head):
        message = f"{joined} is no part of this: not the same in both are {', '.join(names)}"
        yield entry.marks.fault(message, *place)


Figures = dict[str, Length]


class _Union:
    """The acts of several records told as those of the first, in the order of their moments.

    Until an entry joins two records each has figures of its own, what its dials stood at; from then
    on they have the same, those of the one that was cut with last.
    """

    def __init__(self, told: Told) -> None:
        self.told = told
        self.parts = {part.head.name: part for part in (told, *told.joined)}
        self.figures: dict[str, Figures] = {
            name: {each.cause: each.dialled for each in part.head.settings}
            | {cause: each for entry in part.entries for cause, each in entry.dialled.items()}
            for name, part in self.parts.items()
        }
        for piece in told.head.pieces:
            _move(self.figures[told.head.name], piece.moved)
        self.cut: dict[str, str] = {}
        self.holder = told.head.name
        self.joins = {
            (name, each) for name, part in self.parts.items() for each in joins_of(part.entries)
        }

    def acts(self) -> Iterator[Entry]:
        found = [(each, name) for name, part in self.parts.items() for each in self._all_of(part)]
        for entry, name in sorted(found, key=lambda item: item[0].name):
            yield self._told(entry, name)

    def _all_of(self, part: Told) -> Iterator[Entry]:
        """The entries of a record; of one that is joined also what its head has inside, as entries
        whose names no other record's have."""
        if part is self.told:
            yield from part.entries
            return
        head = part.head
        names = {version_1_piece(n): _inside(head, n) for n, _ in enumerate(head.pieces, 1)}
        done: Mapping[str, Length] | None = None
        for number, piece in enumerate(head.pieces, 1):
            yield Entry(
                _inside(head, number),
                piece.date,
                did=done,
                readings=piece.readings,
                longer=piece.longer,
                advice=piece.advice,
                notes=piece.notes,
            )
            done = piece.moved or None
        if done or head.notes or head.kept:
            name = _inside(head, len(head.pieces) + 1)
            yield Entry(name, head.date, did=done, notes=head.notes, kept=head.kept)
        for entry in part.entries:
            strikes = tuple(
                replace(each, entry=names.get(each.entry, each.entry)) for each in entry.strikes
            )
            yield replace(entry, again=names.get(entry.again, entry.again), strikes=strikes)

    def _told(self, entry: Entry, name: str) -> Entry:
        """One entry of the record ``name`` as the first has it."""
        joins = [each for each in entry.joins if (name, each) in self.joins and each in self.parts]
        if joins:
            self._join(name, joins)
            entry = replace(entry, did=None)
        mine = self.figures[name]
        _move(mine, entry.did or {})
        stood = self.figures[self.holder]
        if mine is stood:
            told = entry
        elif entry.new_piece:
            told = replace(entry, did=_moved(stood, mine), by_shims=())
        else:
            told = replace(entry, did=None, advice=(), advised={})
        if entry.new_piece:
            self.holder = name
            self.cut |= {each: entry.name for each, at in self.figures.items() if at is mine}
        return (
            told
            if name == self.told.head.name
            else replace(told, verdict=None, after=(), dialled={})
        )

    def _join(self, name: str, joins: list[str]) -> None:
        """From here on all of them stand at the same figures: those of the last cut."""
        all_ = [name, *joins]
        last = max(all_, key=lambda each: self.cut.get(each, ""))
        stand = self.figures[last]
        together = [self.figures[each] for each in all_]
        for each, at in list(self.figures.items()):
            if any(at is one for one in together):
                self.figures[each] = stand


def _inside(head: Record, number: int) -> str:
    """What a piece inside a joined head is called: before all entries of its day."""
    return f"{head.date:%Y%m%d}-{NO_MOMENT}-{number:06}-{head.name}"


def _move(figures: Figures, did: Mapping[str, Length]) -> None:
    for cause, amount in did.items():
        figures[cause] = figures.get(cause, Length.ZERO) + amount


def _moved(before: Figures, after: Figures) -> Mapping[str, Length]:
    changes = {
        cause: after.get(cause, Length.ZERO) - before.get(cause, Length.ZERO)
        for cause in (*before, *(cause for cause in after if cause not in before))
    }
    return {cause: amount for cause, amount in changes.items() if amount}
