"""`recall --json`: what was found, and one set-up reloaded for today."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from setupsheets.json_forms.document import form
from setupsheets.json_forms.fitted_form import fitted_told
from setupsheets.json_forms.json_values import length, value
from setupsheets.json_forms.pieces_due_form import pieces_told
from setupsheets.lengths import Notation
from setupsheets.machining.planning.fitted_ends import designed_for
from setupsheets.records.recall import Recalled
from setupsheets.records.record import Record, RecordedSetting
from setupsheets.wording.set_ups import change_words, reason_words
from setupsheets.wording.titles import cause_title


def recall_form(
    found: Sequence[str],
    more: bool,
    joined: Sequence[str],
    recalled: Recalled,
    notation: Notation,
) -> dict[str, Any]:
    """Names of the records ``found``, the newest first, and the one that was asked for, with those
    that were ``joined`` to it."""
    told = _told(recalled, notation)
    return form("recall", found=list(found), more=more, joined=list(joined), recalled=told)


def _told(recalled: Recalled, notation: Notation) -> dict[str, Any]:
    made = recalled.made
    return {
        "record": _record(recalled.record, notation),
        "settings": [_setting(then, recalled, notation) for then in recalled.record.settings],
        "fitted_to": fitted_told(made.subject.fitted_to, designed_for(made), notation)
        if made
        else [],
        "changes": [change_words(change, notation) for change in recalled.changes],
        **pieces_told(recalled.due, notation),
    }


def _record(record: Record, notation: Notation) -> dict[str, Any]:
    return {
        "name": record.name,
        "begun": record.begun,
        "date": record.date.isoformat(),
        "job": record.job,
        "set_up": record.set_up,
        "recipe": record.recipe,
        "section": record.section,
        "timber": record.timber,
        "parts": list(record.parts),
        "verdict": record.verdict.value,
        "although": record.although,
        "kept": record.kept,
        "fitted_to": fitted_told(record.fits, {}, notation),
        "measures": [
            {
                "name": measure.name,
                "title": measure.title,
                "by": measure.by,
                "target": value(measure.target, notation),
                "least": value(measure.target - measure.under, notation),
                "most": value(measure.target + measure.over, notation),
            }
            for measure in record.measures
        ],
        "pieces": value(record.pieces, notation),
    }


def _setting(then: RecordedSetting, recalled: Recalled, notation: Notation) -> dict[str, Any]:
    now, dialled = recalled.settings[then.cause], recalled.record.dialled(then.cause)
    return {
        "cause": then.cause,
        "title": cause_title(then.cause),
        "machine": then.machine,
        "setting": then.setting.value,
        "cutter": then.cutter or None,
        "then_aim": value(then.aim, notation),
        "then_dialled": length(dialled, notation.dialled(dialled, now.finest)),
        "aim": value(now.aim, notation),
        "set_to": length(now.set_to, notation.dialled(now.set_to, now.finest)),
        "finest": value(now.finest, notation),
        "because": reason_words(now, notation),
    }
