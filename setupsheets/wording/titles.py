"""What causes, measures and machines are called, from the names in records and formulas."""

from __future__ import annotations

from collections.abc import Mapping

from setupsheets.records.record import Record, RecordedSetting


def cause_title(cause: str) -> str:
    """What moves a reading: `back shoulder: stop` for `back_shoulder.stop`, `blanks: length`."""
    place, _, what = cause.replace("_", " ").partition(".")
    return f"{'blanks' if place == 'blank' else place}: {what}"


def machine_title(setting: RecordedSetting) -> str:
    """The machine as its sheet calls it; by its file's name where a record knows no other."""
    return setting.machine_title or setting.machine


def titles_in(record: Record) -> Mapping[str, str]:
    """What the causes and measures of a record are called within a sentence, by name: `Back` for a
    measure whose title is `Back, shoulder to shoulder`."""
    causes = {cause for measure in record.measures for cause in measure.moved_by}
    measures = {measure.name: measure.title.split(",")[0] for measure in record.measures}
    return {cause: cause_title(cause) for cause in causes} | measures
