"""A record: one set-up, what was aimed at, what was dialled, every test piece, and the verdict.

It keeps targets, tolerances and sensitivities beside the readings, so that it can be understood
years later when the recipe, the section or the job has changed.
"""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from fractions import Fraction

from setupsheets.corrections.observations import Fit
from setupsheets.files.faults import NOWHERE, Marks
from setupsheets.lengths import Length
from setupsheets.shop.machines import SettingName


class Verdict(StrEnum):
    """Where a set-up stands."""

    OPEN = "open"
    PROVED = "proved"
    OUT_OF_REACH = "out of reach"
    GIVEN_UP = "given up"


@dataclass(frozen=True)
class RecordedSetting:
    """One setting: the figure aimed at and the figure first dialled, known offset put in."""

    cause: str
    machine: str
    setting: SettingName
    aim: Length
    dialled: Length
    cutter: str = ""


@dataclass(frozen=True)
class RecordedMeasure:
    """What was to be measured, ``by`` which instrument of the shop, and what it depends on: by
    cause the change for a change of 1."""

    name: str
    title: str
    by: str
    target: Length
    under: Length
    over: Length
    moved_by: Mapping[str, Fraction]


@dataclass(frozen=True)
class RecordedReading:
    """One reading: ``found`` with an instrument of the shop, or a ``fit``."""

    of: str
    found: Length | None = None
    fit: Fit | None = None
    by: str = ""
    pieces: int = 1
    marks: Marks = field(default=NOWHERE, compare=False, repr=False)


@dataclass(frozen=True)
class RecordedPiece:
    """One test piece. ``moved``: what was moved after it was measured and before anything else was
    cut, by cause, in the setting's own direction; ``longer`` how much longer its blank was meant to
    be than the part's."""

    date: datetime.date
    readings: tuple[RecordedReading, ...] = ()
    moved: Mapping[str, Length] = field(default_factory=dict)
    longer: Length = Length.ZERO
    advice: tuple[str, ...] = ()
    notes: str = ""


@dataclass(frozen=True)
class RecordedOffset:
    """What a proven set-up taught about one machine's setting: how much further it really stood
    than the figure dialled, and one standard deviation of that. ``tied``: the correlation with
    other dials of the record, named `machine.setting`."""

    machine: str
    setting: SettingName
    offset: Length
    give_or_take: Length
    tied: Mapping[str, Fraction] = field(default_factory=dict)


@dataclass(frozen=True)
class Record:
    """One record file. ``name`` is its file's stem."""

    name: str
    date: datetime.date
    job: str
    set_up: str
    recipe: str
    section: str
    timber: str
    parts: tuple[str, ...]
    settings: tuple[RecordedSetting, ...]
    measures: tuple[RecordedMeasure, ...]
    pieces: tuple[RecordedPiece, ...] = ()
    verdict: Verdict = Verdict.OPEN
    kept: str = ""
    after: tuple[RecordedOffset, ...] = ()
    notes: str = ""
    marks: Marks = field(default=NOWHERE, compare=False, repr=False)

    @property
    def moves(self) -> Mapping[str, Length]:
        """By cause, everything it was moved by since it was first dialled."""
        total: dict[str, Length] = {}
        for piece in self.pieces:
            for cause, amount in piece.moved.items():
                total[cause] = total.get(cause, Length.ZERO) + amount
        return total

    def dialled(self, cause: str) -> Length:
        """The figure that a setting stood at in the end; KeyError for an unknown cause."""
        first = {setting.cause: setting.dialled for setting in self.settings}[cause]
        return first + self.moves.get(cause, Length.ZERO)
