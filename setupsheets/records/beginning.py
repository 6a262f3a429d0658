"""A new record of a set-up: what is aimed at and what is dialled before the first test piece."""

from __future__ import annotations

import datetime
from collections.abc import Mapping

from setupsheets.lengths import Length
from setupsheets.machining.operations import (
    Operation,
    Setting,
    SetUp,
)
from setupsheets.machining.plan import Plan
from setupsheets.records.record import Record, RecordedMeasure, RecordedSetting
from setupsheets.records.writing import record_name


def begin_record(
    plan: Plan, set_up: SetUp, dialled: Mapping[str, Length], date: datetime.date
) -> Record:
    """The record of a set-up that begins on a date, without test pieces yet.

    ``dialled``: by cause the figure that each setting is first dialled to.
    """
    subject = set_up.subject
    machines = list(dict.fromkeys(operation.machine.name for operation in set_up.operations))
    return Record(
        name=record_name(date, machines, set_up.name),
        date=date,
        job=plan.job.name,
        set_up=set_up.name,
        recipe=set_up.recipe.name,
        section=subject.section.name if subject.section else "",
        timber=plan.job.timber,
        parts=tuple(set_up.counts),
        settings=tuple(
            _setting(operation, setting, dialled)
            for operation in set_up.operations
            for setting in operation.settings
        ),
        measures=tuple(
            RecordedMeasure(
                name=measurement.name,
                title=measurement.title,
                by=measurement.instrument,
                target=measurement.target,
                under=measurement.under,
                over=measurement.over,
                moved_by=dict(measurement.sensitivities),
            )
            for measurement in set_up.measurements
        ),
    )


def _setting(
    operation: Operation, setting: Setting, dialled: Mapping[str, Length]
) -> RecordedSetting:
    return RecordedSetting(
        cause=setting.cause,
        machine=operation.machine.name,
        setting=setting.name,
        aim=setting.aim,
        dialled=dialled.get(setting.cause, setting.aim),
        cutter=operation.cutter.name if operation.cutter else "",
    )
