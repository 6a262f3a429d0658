"""A set-up of years ago, found by any words that one remembers, and what to set for it today."""

from __future__ import annotations

import datetime
from collections.abc import Mapping

from msgspec import Struct
from msgspec.structs import replace

from setupsheets.files.faults import DataFaults
from setupsheets.joinery.notes import DesignFaults
from setupsheets.machining.operations import SetUp
from setupsheets.machining.plan import Plan, plan_job, plan_of
from setupsheets.records.changes import ChangeKind, ChangeSince, changes_since, now_called
from setupsheets.records.current import CurrentSetting, figures_today, set_up_state
from setupsheets.records.mates import Mate, plan_as_made
from setupsheets.records.offset_history import offset_history
from setupsheets.records.pieces_due import PiecesDue, pieces_due
from setupsheets.records.record import Record
from setupsheets.records.shop_records import ShopRecords
from setupsheets.shop.cutters import Cutter
from setupsheets.shop.finding import Shop
from setupsheets.shop.machines import Machine
from setupsheets.shop.recipes import Makes, Recipe
from setupsheets.shop.settings import ShopSettings


class Recalled(Struct, frozen=True):
    """A set-up of an earlier day, reloaded for today: by cause what to set, what has changed since,
    the test pieces that are ``due``, as the sheet counts them, what its ends or panels go into, and
    the set-up as the job makes it today, None where it does not."""

    record: Record
    settings: Mapping[str, CurrentSetting]
    changes: tuple[ChangeSince, ...]
    due: PiecesDue
    mates: tuple[Mate, ...] = ()
    made: SetUp | None = None


def reload(record: Record, records: ShopRecords, today: datetime.date) -> Recalled:
    """A record's set-up for today: what the sheet would say where the job still makes it, else what
    the record by itself says."""
    shop = records.shop
    plan = _planned_today(record, records, today)
    made = _made_of(record, plan)
    called = {now_called(name, shop) for name in record.machines}
    there = (shop.machine(name) for name in sorted(called) if shop.has("machine", name))
    history = offset_history(records, there if plan is None else plan.machines, today)
    changes = changes_since(record, made, shop, today)
    if plan is not None and made is not None:
        changes = tuple(_with_shifts(change, plan, made, shop) for change in changes)
    settings = figures_today(record, None, changes, history, shop, today)
    if plan is not None and made is not None:
        state = set_up_state(plan, made, records, history, today)
        settings |= state.settings
        return Recalled(record, settings, changes, state.due, state.mates, made)
    fresh = tuple(replace(item, dialled=item.aim) for item in record.settings)
    alone = replace(record, pieces=(), settings=fresh)
    due = pieces_due(record, changes, today, history, shop, alone)
    return Recalled(record, settings, changes, due)


def _planned_today(record: Record, records: ShopRecords, today: datetime.date) -> Plan | None:
    """The record's job as it is worked out today; None where it is gone or cannot be."""
    shop = records.shop
    if not shop.has("job", record.job):
        return None
    try:
        plan = plan_of(shop.job(record.job), shop)
    except (DataFaults, DesignFaults):
        return None
    return plan_as_made(plan, records, today)


def _made_of(record: Record, plan: Plan | None) -> SetUp | None:
    """The same set-up as the job would make it today; None where there is no such job or set-up."""
    if plan is None:
        return None
    return next((item for item in plan.set_ups if item.name == record.set_up), None)


class _AsThen(Struct, frozen=True):
    """A shop with one cutter as it was."""

    shop: Shop
    cutter_then: Cutter

    @property
    def settings(self) -> ShopSettings:
        return self.shop.settings

    def machine(self, name: str) -> Machine:
        return self.shop.machine(name)

    def recipe(self, name: str) -> Recipe:
        return self.shop.recipe(name)

    def recipes(self, makes: Makes) -> tuple[Recipe, ...]:
        return self.shop.recipes(makes)

    def cutter(self, name: str) -> Cutter:
        return self.cutter_then if name == self.cutter_then.name else self.shop.cutter(name)


def _with_shifts(change: ChangeSince, plan: Plan, made: SetUp, shop: Shop) -> ChangeSince:
    """A change of a cutter's size with what it does to the aims: the set-up as the job makes it
    today, against the same made with the cutter as it was."""
    if change.kind is not ChangeKind.CUTTER_SIZE:
        return change
    known = shop.cutter(change.name)
    if known.stack is not None:  # made up to the width that each operation asks for
        return change
    then = replace(known, **{change.what: change.then})
    try:
        before = plan_job(plan.job, plan.joinery, _AsThen(shop, then))
    except DataFaults:
        return change
    aims = {
        item.cause: item.aim
        for each in before.set_ups
        for item in each.settings
        if each.name == made.name
    }
    shifts = ((item.cause, item.aim - aims.get(item.cause, item.aim)) for item in made.settings)
    return replace(change, shifts=tuple((cause, by) for cause, by in shifts if by))
