"""A set-up of years ago, found by any words that one remembers, and what to set for it today."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass, replace

from setupsheets.files.faults import DataFaults
from setupsheets.joinery.notes import DesignFaults
from setupsheets.machining.operations import SetUp
from setupsheets.machining.plan import Plan, plan_of
from setupsheets.records.changes import ChangeSince, changes_since, now_called
from setupsheets.records.current import (
    CurrentSetting,
    figures_today,
    pieces_to_expect,
    set_up_state,
)
from setupsheets.records.folder import ShopRecords
from setupsheets.records.model import is_there
from setupsheets.records.offset_history import offset_history
from setupsheets.records.record import Record
from setupsheets.shop.finding import Shop


@dataclass(frozen=True)
class Recalled:
    """A set-up of an earlier day, reloaded for today: by cause what to set, what has changed since,
    and the test pieces to expect."""

    record: Record
    settings: Mapping[str, CurrentSetting]
    changes: tuple[ChangeSince, ...]
    pieces: int


def reload(record: Record, records: ShopRecords, today: datetime.date) -> Recalled:
    """A record's set-up for today: what the sheet would say where the job still makes it, else what
    the record by itself says."""
    shop = records.shop
    plan = _planned_today(record, shop)
    made = _made_of(record, plan)
    machines = {now_called(name, shop) for name in record.machines}
    there = [shop.machine(name) for name in sorted(machines) if is_there(shop, "machine", name)]
    if plan is not None:
        there = [
            *{operation.machine.name: operation.machine for operation in plan.operations}.values()
        ]
    history = offset_history(records, there, today)
    changes = changes_since(record, made, shop, today)
    settings = figures_today(record, None, changes, history, shop)
    if plan is not None and made is not None:
        settings |= set_up_state(plan, made, records, history, today).settings
    fresh = tuple(replace(item, dialled=item.aim) for item in record.settings)
    return Recalled(
        record=record,
        settings=settings,
        changes=changes,
        pieces=pieces_to_expect(replace(record, pieces=(), settings=fresh), shop, history),
    )


def _planned_today(record: Record, shop: Shop) -> Plan | None:
    """The record's job as it is worked out today; None where it is gone or cannot be."""
    if not is_there(shop, "job", record.job):
        return None
    try:
        return plan_of(shop.job(record.job), shop)
    except (DataFaults, DesignFaults):
        return None


def _made_of(record: Record, plan: Plan | None) -> SetUp | None:
    """The same set-up as the job would make it today; None where there is no such job or set-up."""
    if plan is None:
        return None
    return next((item for item in plan.set_ups if item.name == record.set_up), None)
