"""Dials that one set-up of a job leaves as they are for the next: put right once, they stay so."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from msgspec import Struct

from setupsheets.lengths import Length
from setupsheets.machining.operations import Setting, SetUp
from setupsheets.machining.plan import Plan
from setupsheets.machining.routing.route import by_number
from setupsheets.records.record import Record
from setupsheets.records.verdicts import Verdict
from setupsheets.shop.machines import SettingName


class LeftDial(Struct, frozen=True):
    """A setting whose dial stands at ``figure``, as ``record`` has it after ``operation``, by its
    number in the route."""

    setting: Setting
    figure: Length
    record: Record
    operation: int


def left_dials(
    plan: Plan, set_up: SetUp, record_of: Callable[[SetUp], Record | None]
) -> Iterator[LeftDial]:
    """The settings of a set-up that earlier operations of the route leave as they are to be, where
    the set-up of one of those has a record that counts: the last of them says how the dial stands,
    with what was advised and not answered yet, and as far on as its aim has moved since."""
    tasks = by_number(plan.set_ups)
    for operation in set_up.operations:
        for name, since in plan.standing[operation.number].settings.items():
            earlier = [
                task
                for task in tasks
                if since <= task.number < operation.number
                and task.operation.machine == operation.machine
            ]
            for task in reversed(earlier):
                mine = operation.setting(SettingName(name))
                theirs = task.operation.setting(SettingName(name))
                record = record_of(task.set_up)
                if mine is None or theirs is None or record is None:
                    continue
                if record.verdict in (Verdict.OPEN, Verdict.PROVED) and theirs.cause in {
                    each.cause for each in record.settings
                }:
                    advised = record.pending.get(theirs.cause, Length.ZERO)
                    shift = theirs.aim - record.setting(theirs.cause).aim
                    figure = record.dialled(theirs.cause) + advised + shift
                    yield LeftDial(mine, figure, record, task.number)
                    break
