"""What the records say about a set-up today: the figures to set now, and where they come from."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass, field

from setupsheets.lengths import Length


@dataclass(frozen=True)
class Standing:
    """One setting as it stands: ``set_to`` is the figure to dial so that the aim comes out.

    ``because`` says in plain words where it comes from ("aim and nothing known",
    "this job's test piece 2", "reads 1/32 strong in 3 set-ups since 2019"); ``give_or_take`` is one
    standard deviation of where the cut will really be.
    """

    set_to: Length
    because: str
    give_or_take: Length | None = None


@dataclass(frozen=True)
class Reading:
    """One reading of one piece, for the chart: deviation from the target."""

    piece: int
    measurement: str
    deviation: Length
    inside: bool


@dataclass(frozen=True)
class LastTime:
    """The last time this set-up was made, in any job of the shop."""

    date: datetime.date
    job: str
    record: str
    kept: str
    verdict: str
    dialled: Mapping[str, Length] = field(default_factory=dict)


@dataclass(frozen=True)
class SetUpStanding:
    """All that the records say about one set-up: by cause the standing of each setting, the
    readings of this job so far, advice in plain words, and the last time it was made."""

    settings: Mapping[str, Standing]
    readings: tuple[Reading, ...] = ()
    advice: tuple[str, ...] = ()
    state: str = "not tested"
    last: LastTime | None = None
    leave_longer: Length | None = None
    pieces_expected: int = 2
