"""The record of a set-up that stands on a day, with what has changed since."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from enum import StrEnum
from functools import cache
from itertools import chain

from msgspec.structs import replace

from setupsheets.machining.operations import SetUp
from setupsheets.machining.plan import Plan
from setupsheets.records.answer import answer
from setupsheets.records.calling_proved import objections
from setupsheets.records.changes import ChangeKind, ChangeSince, changes_since, may_still_stand
from setupsheets.records.offset_history import offset_history
from setupsheets.records.record import Record
from setupsheets.records.shop_records import FoundRecord, ShopRecords, open_ones
from setupsheets.records.verdicts import Verdict


class Stands(StrEnum):
    """How the record of a set-up stands on a day."""

    NOT = "not"  # there is none, or it was given up
    OPEN = "open"
    LEFT = "left"  # open, and nothing was read for so long that the dials may have been set anew
    PROVED = "proved"  # so lately that the machines may still stand so
    AGED = "aged"  # proved longer ago than that
    REAIMED = "reaimed"  # read when another figure was to be made
    TIGHTENED = "tightened"  # read to wider limits, and does not bear today's
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
    if any(change.asks_anew and not change.unborne for change in changes):
        return Stands.REAIMED
    if any(change.unborne for change in changes):
        return Stands.TIGHTENED
    lately = may_still_stand(record, today)
    if record.verdict is Verdict.OPEN:
        return Stands.OPEN if lately or not record.pieces else Stands.LEFT
    return Stands.PROVED if lately else Stands.AGED


def standing_record(
    plan: Plan, set_up: SetUp, records: ShopRecords, today: datetime.date
) -> tuple[Record | None, tuple[ChangeSince, ...]]:
    """The record of a set-up that counts, else the newest, with what has changed since."""
    found = records.of(plan.job.name, set_up.name)

    @cache
    def known(each: FoundRecord) -> tuple[Record, tuple[ChangeSince, ...]]:
        record = records.record(each)
        return record, changes_since(record, set_up, records.shop, today)

    def holds(each: FoundRecord) -> bool:
        return not any(change.ends_proof for change in known(each)[1])

    counts = chain(open_ones(found, holds), filter(holds, found), found)
    record, changes = next(map(known, counts), (None, ()))
    return record, _weighed(record, changes, plan, records, today) if record else ()


def _weighed(
    record: Record,
    changes: Sequence[ChangeSince],
    plan: Plan,
    records: ShopRecords,
    today: datetime.date,
) -> tuple[ChangeSince, ...]:
    """The same changes, of narrower limits with whether what was read proves the set-up to them."""
    limits = [change for change in changes if change.kind is ChangeKind.LIMIT]
    if not limits:
        return tuple(changes)
    unborne = records.concluded(
        (_bears, record.name, *limits),
        lambda: not _bears(record, limits, plan, records, today),
    )
    return tuple(replace(each, unborne=unborne and each in limits) for each in changes)


def _bears(
    record: Record,
    limits: Sequence[ChangeSince],
    plan: Plan,
    records: ShopRecords,
    today: datetime.date,
) -> bool:
    """Whether the test pieces of a record prove it to narrower limits."""
    if record.verdict is not Verdict.PROVED or not record.pieces:
        return False
    sides = {(each.name, each.other): each.now for each in limits}
    measures = (
        replace(
            each,
            under=sides.get((each.name, "under"), each.under),
            over=sides.get((each.name, "over"), each.over),
        )
        for each in record.measures
    )
    narrowed, shop = replace(record, measures=tuple(measures)), records.shop
    history = offset_history(records, plan.machines, today)
    told = answer(narrowed, plan.joinery.layout, shop, history)
    return not objections(narrowed, told, float(shop.settings.sure_enough))


def record_of(
    plan: Plan, set_up: SetUp, records: ShopRecords, today: datetime.date
) -> Record | None:
    """The record of a set-up that counts; None where what has changed since makes its figures no
    more than a start: another piece begins a record of its own."""
    record, changes = standing_record(plan, set_up, records, today)
    return None if any(change.ends_proof for change in changes) else record
