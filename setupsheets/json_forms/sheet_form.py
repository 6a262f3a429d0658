"""`sheet --format json`: the route with every figure to set and to measure."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from setupsheets.joinery.leaf import Whole
from setupsheets.json_forms.document import form
from setupsheets.json_forms.json_values import length, value
from setupsheets.json_forms.parts_form import parts_form
from setupsheets.json_forms.pieces_due_form import pieces_of_set_up
from setupsheets.machining.findings import OperationFindings
from setupsheets.machining.operations import PlannedMeasure, Setting
from setupsheets.sheets.content.finished import MachinePages, SheetContent
from setupsheets.sheets.content.inputs import SheetInputs
from setupsheets.wording.operations import down_and_against, figure_words, last_words, setting_title
from setupsheets.wording.places import where_words
from setupsheets.wording.set_ups import reason_words


def sheet_json(
    content: SheetContent | MachinePages, inputs: SheetInputs, found: Whole, machine: str | None
) -> str:
    """The document as text; of one ``machine`` alone its operations, without the parts."""
    cover = content.cover if isinstance(content, SheetContent) else content
    told = form(
        "sheet",
        job=inputs.plan.job.name,
        title=content.title,
        date=content.date,
        revision=content.fingerprint,
        ready=not cover.not_ready,
        in_the_way=list(cover.obstacles),
        cautions=[line.words for line in cover.cautions],
        route=list(_route(content, inputs, machine)),
        parts=None if machine else parts_form(found, inputs.notation),
    )
    return json.dumps(told, indent=2, ensure_ascii=False) + "\n"


def _route(
    content: SheetContent | MachinePages, inputs: SheetInputs, machine: str | None
) -> Iterator[dict[str, Any]]:
    cautions = {
        row.number: [line.words for line in block.cautions]
        for each in content.machines
        for block in each.operations
        for row in block.rows
    }
    for found in inputs.findings.operations:
        if machine in (None, found.task.operation.machine.name):
            yield _operation(found, inputs, cautions[str(found.task.number)])


def _operation(
    found: OperationFindings, inputs: SheetInputs, cautions: list[str]
) -> dict[str, Any]:
    task, notation = found.task, inputs.notation
    operation, set_up = task.operation, task.set_up
    last = inputs.records.state(set_up).last
    down, against = down_and_against(operation, notation)
    return {
        "number": task.number,
        "operation": operation.name,
        "title": operation.title,
        "set_up": set_up.name,
        "machine": operation.machine.name,
        "cutter": operation.cutter.name if operation.cutter else None,
        "parts": dict(task.counts),
        "down": down,
        "against": against,
        "do": where_words(found.where, operation.asks.work, operation.makes),
        "settings": [_setting(setting, found, inputs) for setting in operation.settings],
        "measures": [_measure(item, found, inputs) for item in set_up.measured_after(operation)],
        "cautions": cautions,
        **pieces_of_set_up(set_up, inputs.records.state(set_up).due, notation),
        "last_time": last_words(last, operation, notation) if last else "",
    }


def _setting(setting: Setting, found: OperationFindings, inputs: SheetInputs) -> dict[str, Any]:
    """One figure to set; ``left_from`` is the operation that it is left as it is from."""
    task, notation = found.task, inputs.notation
    figure = inputs.records.to_dial(task.set_up, setting)
    known = inputs.records.of(task.set_up, setting)
    return {
        "name": setting.name.value,
        "title": setting_title(task.operation, setting),
        "aim": value(setting.aim, notation),
        "set_to": length(figure, figure_words(setting, figure, notation)),
        "finest": value(setting.dial.finest, notation),
        "because": reason_words(known, notation) if known else "",
        "left_from": inputs.standing[task.number].settings.get(setting.name),
    }


def _measure(item: PlannedMeasure, found: OperationFindings, inputs: SheetInputs) -> dict[str, Any]:
    notation, target = inputs.notation, item.target_on(found.task.set_up.longer)
    return {
        "name": item.name,
        "title": item.title,
        "instrument": item.instrument,
        "target": value(target, notation),
        "least": value(target - item.under, notation),
        "most": value(target + item.over, notation),
    }
