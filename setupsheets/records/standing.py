"""The record of a set-up that stands on a day, with what has changed since."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from enum import StrEnum

from setupsheets.machining.operations import SetUp
from setupsheets.machining.plan import Plan
from setupsheets.records.changes import ChangeSince, changes_since, may_still_stand
from setupsheets.records.record import Record
from setupsheets.records.shop_records import ShopRecords, open_ones
from setupsheets.records.verdicts import Verdict


class Stands(StrEnum):
    """How the record of a set-up stands on a day."""

    NOT = "not"  # there is none, or it was given up
    OPEN = "open"
    LEFT = "left"  # open, and nothing was read for so long that the dials may have been set anew
    PROVED = "proved"  # so lately that the machines may still stand so
    AGED = "aged"  # proved longer ago than that
    REAIMED = "reaimed"  # read when another figure was to be made
    CHANGED = "changed"  # something was done to a machine or cutter since

    @property
    def goes_on(self) -> bool:
        """Whether what is measured belongs to that record."""
        return self in (Stands.OPEN, Stands.LEFT, Stands.PROVED)


def how_it_stands(
    record: Record | None, changes: Sequence[ChangeSince], today: datetime.date
) -> Stands:
    """How a record stands, ``changes`` being all that has changed since."""
    if record is None or record.verdict not in (Verdict.OPEN, Verdict.PROVED):
        return Stands.NOT
    if any(change.ends_proof for change in changes):
        return Stands.CHANGED
    if any(change.asks_anew for change in changes):
        return Stands.REAIMED
    lately = may_still_stand(record, today)
    if record.verdict is Verdict.OPEN:
        return Stands.OPEN if lately or not record.pieces else Stands.LEFT
    return Stands.PROVED if lately else Stands.AGED


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
