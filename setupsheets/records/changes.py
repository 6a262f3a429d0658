"""What has changed in the shop since a record was made, and for which of its figures.

A dial that was re-aligned, a cutter that was ground, another machine or cutter in the place of
theirs: from that day on what was proved is no more than a start.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum

from setupsheets.lengths import Length
from setupsheets.machining.operations import Operation, SetUp
from setupsheets.records.model import is_there
from setupsheets.records.record import Record, RecordedSetting, cutter_sizes
from setupsheets.shop.finding import Shop
from setupsheets.shop.machines import MachineEvent, SettingName


class ChangeKind(StrEnum):
    """What can have changed since a record was made."""

    JOB_GONE = "job gone"
    RECIPE_GONE = "recipe gone"
    SECTION_GONE = "section gone"
    JOB = "job"  # it does not make the set-up any more
    AIM = "aim"  # of a setting
    MACHINE_GONE = "machine gone"
    MACHINE_OTHER = "machine other"  # the set-up is made on another one today
    MACHINE = "machine"  # something was done to it
    CUTTER_GONE = "cutter gone"
    CUTTER_OTHER = "cutter other"  # the set-up is made with another one today
    CUTTER = "cutter"  # something was done to it
    CUTTER_SIZE = "cutter size"  # it has another size today


_NO_FIGURE = (
    ChangeKind.JOB_GONE,
    ChangeKind.RECIPE_GONE,
    ChangeKind.SECTION_GONE,
    ChangeKind.JOB,
    ChangeKind.AIM,
)
"""What changes no figure, or only by as much as the aim: a proof goes on."""


@dataclass(frozen=True)
class ChangeSince:
    """One thing that has changed since a record was made: ``name`` is the job, cause, machine or
    cutter and ``other`` the one in its place, ``what`` was done to it on a ``date``, an aim, or the
    size ``what``, that was ``then`` is ``now``. ``causes`` are the settings that it touches,
    ``shifts`` by how much that alone has moved the aims of any."""

    kind: ChangeKind
    name: str
    date: datetime.date | None = None
    what: str = ""
    then: Length = Length.ZERO
    now: Length = Length.ZERO
    other: str = ""
    causes: tuple[str, ...] = ()
    shifts: tuple[tuple[str, Length], ...] = ()

    @property
    def ends_proof(self) -> bool:
        """Whether what was proved before is no more than a start."""
        return self.kind not in _NO_FIGURE


def now_called(machine: str, shop: Shop) -> str:
    """The name that a machine has today, by what its file says of where it was moved to."""
    seen = {machine}
    while is_there(shop, "machine", machine):
        moved = [event.moved_to for event in shop.machine(machine).events if event.moved_to]
        if not moved or moved[-1] in seen:
            break
        machine = moved[-1]
        seen.add(machine)
    return machine


def events_of(machine: str, setting: SettingName, shop: Shop) -> Iterator[MachineEvent]:
    """Everything that ended what a dial was known for, under the names that the machine has had
    since it was called ``machine``, in the order of the files."""
    names = dict.fromkeys((machine, now_called(machine, shop)))
    for name in names:
        if is_there(shop, "machine", name):
            yield from (event for event in shop.machine(name).events if event.reset(setting))


def changes_since(
    record: Record, made: SetUp | None, shop: Shop, today: datetime.date
) -> tuple[ChangeSince, ...]:
    """What has changed, up to a day, since the last test piece of a record; ``made`` is its set-up
    as the job makes it today, None where it does not. What happened on the day of that test piece
    may have come after it, and counts."""
    operations = _operations(made)
    found: dict[ChangeSince, list[str]] = {}
    for change in (*_gone(record, shop), *_aims(record, made, shop)):
        found.setdefault(change, [])
    for setting in record.settings:
        operation = operations.get(setting.cause)
        for change in (
            *_machine(setting, operation, record, shop, today),
            *_cutter(setting, operation, record, shop, today),
        ):
            found.setdefault(change, []).append(setting.cause)
    kinds = list(ChangeKind)
    whole = (replace(change, causes=tuple(causes)) for change, causes in found.items())
    return tuple(sorted(whole, key=lambda change: kinds.index(change.kind)))


def last_day(record: Record) -> datetime.date:
    """The day of a record's last test piece, its own where it has none."""
    return max([record.date, *(piece.date for piece in record.pieces)])


def _operations(made: SetUp | None) -> Mapping[str, Operation]:
    """By cause the operation of today's set-up that it is set at."""
    if made is None:
        return {}
    return {setting.cause: each for each in made.operations for setting in each.settings}


def _gone(record: Record, shop: Shop) -> Iterator[ChangeSince]:
    for kind, thing, name in (
        (ChangeKind.JOB_GONE, "job", record.job),
        (ChangeKind.RECIPE_GONE, "recipe", record.recipe),
        (ChangeKind.SECTION_GONE, "section", record.section),
    ):
        if name and not is_there(shop, thing, name):
            yield ChangeSince(kind, name)


def _aims(record: Record, made: SetUp | None, shop: Shop) -> Iterator[ChangeSince]:
    if made is None:
        if is_there(shop, "job", record.job):
            yield ChangeSince(ChangeKind.JOB, record.job)
        return
    aims = {setting.cause: setting.aim for setting in made.settings}
    for setting in record.settings:
        aim = aims.get(setting.cause, setting.aim)
        if aim != setting.aim:
            yield ChangeSince(ChangeKind.AIM, setting.cause, then=setting.aim, now=aim)


def _machine(
    then: RecordedSetting,
    operation: Operation | None,
    record: Record,
    shop: Shop,
    today: datetime.date,
) -> Iterator[ChangeSince]:
    name = now_called(then.machine, shop)
    other = operation.machine.name if operation and operation.machine.name != name else ""
    if not is_there(shop, "machine", name):
        yield ChangeSince(ChangeKind.MACHINE_GONE, then.machine, other=other)
    elif other:
        yield ChangeSince(ChangeKind.MACHINE_OTHER, then.machine, other=other)
    for event in events_of(then.machine, then.setting, shop):
        if last_day(record) <= event.date <= today:
            yield ChangeSince(ChangeKind.MACHINE, then.machine, event.date, event.what)


def _cutter(
    then: RecordedSetting,
    operation: Operation | None,
    record: Record,
    shop: Shop,
    today: datetime.date,
) -> Iterator[ChangeSince]:
    if not then.cutter:
        return
    cutter = operation.cutter if operation else None
    other = cutter.name if cutter and cutter.name != then.cutter else ""
    if not is_there(shop, "cutter", then.cutter):
        yield ChangeSince(ChangeKind.CUTTER_GONE, then.cutter, other=other)
        return
    if other:
        yield ChangeSince(ChangeKind.CUTTER_OTHER, then.cutter, other=other)
    for event in shop.cutter(then.cutter).events:
        if last_day(record) <= event.date <= today:
            yield ChangeSince(ChangeKind.CUTTER, then.cutter, event.date, event.what)
    known = shop.cutter(then.cutter)
    cutter = cutter or (None if known.stack else known)
    sizes = cutter_sizes(cutter) if cutter and not other else {}
    for size, was in then.cutter_sizes.items():
        if sizes.get(size, was) != was:
            yield ChangeSince(
                ChangeKind.CUTTER_SIZE, then.cutter, what=size, then=was, now=sizes[size]
            )
