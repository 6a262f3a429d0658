"""A set-up of years ago, found by any words that one remembers, and what to set for it today."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum

from setupsheets.files.faults import DataFaults
from setupsheets.joinery.notes import DesignFaults
from setupsheets.lengths import Length
from setupsheets.machining.operations import SetUp
from setupsheets.machining.plan import plan_of
from setupsheets.records.current import CurrentSetting, FigureReason, ReasonKind, pieces_to_expect
from setupsheets.records.folder import ShopRecords
from setupsheets.records.model import dial_of, is_there
from setupsheets.records.offset_history import OffsetHistory, offset_history
from setupsheets.records.record import Record, RecordedSetting
from setupsheets.shop.finding import Shop


class ChangeKind(StrEnum):
    """What can have changed since a record was made."""

    JOB = "job"  # it does not make the set-up any more
    AIM = "aim"  # of a setting
    MACHINE_GONE = "machine gone"
    MACHINE = "machine"  # something was done to it
    CUTTER_GONE = "cutter gone"
    CUTTER = "cutter"  # something was done to it


@dataclass(frozen=True)
class ChangeSince:
    """One thing that has changed since a record was made: ``name`` is the job, cause, machine or
    cutter, ``what`` was done to it on a ``date``, an aim that was ``then`` is ``now``."""

    kind: ChangeKind
    name: str
    date: datetime.date | None = None
    what: str = ""
    then: Length = Length.ZERO
    now: Length = Length.ZERO


@dataclass(frozen=True)
class Recalled:
    """A set-up of an earlier day, reloaded for today: by cause what to set, what has changed since,
    and the test pieces to expect."""

    record: Record
    settings: Mapping[str, CurrentSetting]
    changes: tuple[ChangeSince, ...]
    pieces: int


def reload(record: Record, records: ShopRecords, today: datetime.date) -> Recalled:
    """A record's set-up for today, with what each machine is known by now put in."""
    shop = records.shop
    machines = [shop.machine(name) for name in record.machines if is_there(shop, "machine", name)]
    history = offset_history(records, machines, today)
    made = _as_made_today(record, shop)
    aims = {setting.cause: setting.aim for setting in made.settings} if made else {}
    fresh = tuple(replace(item, dialled=item.aim) for item in record.settings)
    return Recalled(
        record=record,
        settings={
            item.cause: _current(item, aims.get(item.cause, item.aim), history, shop)
            for item in record.settings
        },
        changes=tuple(_changes(record, made, shop)),
        pieces=pieces_to_expect(replace(record, pieces=(), settings=fresh), shop, history),
    )


def _as_made_today(record: Record, shop: Shop) -> SetUp | None:
    """The same set-up as the job would make it today; None where there is no such job or set-up."""
    if not is_there(shop, "job", record.job):
        return None
    try:
        plan = plan_of(shop.job(record.job), shop)
    except (DataFaults, DesignFaults):
        return None
    return next((item for item in plan.set_ups if item.name == record.set_up), None)


def _current(
    setting: RecordedSetting, aim: Length, history: OffsetHistory, shop: Shop
) -> CurrentSetting:
    known, dial = history.of(setting.machine, setting.setting), dial_of(setting, shop)
    if known is None or dial is None:
        return CurrentSetting(aim, aim, shop.settings.finest_mark)
    reason = FigureReason(ReasonKind.OFFSET, known)
    return CurrentSetting(aim, known.to_dial(aim, dial), dial.finest, reason)


def _changes(record: Record, made: SetUp | None, shop: Shop) -> Iterator[ChangeSince]:
    """What has changed since the record: the job's figures, machines, cutters."""
    if made is None:
        yield ChangeSince(ChangeKind.JOB, record.job)
    aims = {setting.cause: setting.aim for setting in made.settings} if made else {}
    for setting in record.settings:
        aim = aims.get(setting.cause, setting.aim)
        if aim != setting.aim:
            yield ChangeSince(ChangeKind.AIM, setting.cause, then=setting.aim, now=aim)
    for name in sorted(record.machines):
        if not is_there(shop, "machine", name):
            yield ChangeSince(ChangeKind.MACHINE_GONE, name)
            continue
        for event in shop.machine(name).events:
            if event.date >= record.date:
                yield ChangeSince(ChangeKind.MACHINE, name, event.date, event.what)
    for name in sorted({setting.cutter for setting in record.settings if setting.cutter}):
        if not is_there(shop, "cutter", name):
            yield ChangeSince(ChangeKind.CUTTER_GONE, name)
            continue
        for change in shop.cutter(name).changes:
            if change.date >= record.date:
                yield ChangeSince(ChangeKind.CUTTER, name, change.date, change.what)
