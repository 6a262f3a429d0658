"""The record of a set-up that stands on a day, with what has changed since."""

from __future__ import annotations

import datetime

from setupsheets.machining.operations import SetUp
from setupsheets.machining.plan import Plan
from setupsheets.records.changes import ChangeSince, changes_since
from setupsheets.records.record import Record
from setupsheets.records.shop_records import ShopRecords, open_ones


def standing_record(
    plan: Plan, set_up: SetUp, records: ShopRecords, today: datetime.date
) -> tuple[Record | None, tuple[ChangeSince, ...]]:
    """The record of a set-up that counts, else the newest, with what has changed since."""
    found = records.of(plan.job.name, set_up.name)
    changes = {each.name: changes_since(each, set_up, records.shop, today) for each in found}
    held = [each for each in found if not any(one.ends_proof for one in changes[each.name])]
    record = next(iter([*open_ones(held), *held, *found]), None)
    return record, changes[record.name] if record else ()


def record_of(
    plan: Plan, set_up: SetUp, records: ShopRecords, today: datetime.date
) -> Record | None:
    """The record of a set-up that counts; None where what has changed since makes its figures no
    more than a start: another piece begins a record of its own."""
    record, changes = standing_record(plan, set_up, records, today)
    return None if any(change.ends_proof for change in changes) else record
