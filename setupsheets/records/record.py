"""A record: one set-up, what was aimed at, what was dialled, every test piece, and the verdict.

It keeps targets, tolerances and sensitivities beside the readings, so that it can be understood
years later when the recipe, the section or the job has changed.
"""

from __future__ import annotations

import datetime
import re
import secrets
from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import TYPE_CHECKING

from msgspec import Struct, field
from msgspec.structs import replace

from setupsheets.corrections.observations import Fit
from setupsheets.files.faults import NOWHERE, Marks
from setupsheets.joinery.members.parts import MadeAs
from setupsheets.lengths import Length
from setupsheets.records.verdicts import Verdict
from setupsheets.shop.cutters import Cutter
from setupsheets.shop.machine_kinds import MachineType
from setupsheets.shop.machines import ACROSS, MachineSetting, SettingName
from setupsheets.shop.recipes import MadeSize, MeasuredTo, Missed
from setupsheets.shop.settings import Instrument

if TYPE_CHECKING:
    from setupsheets.machining.operations import Operation, Setting, SetUp
    from setupsheets.machining.plan import Plan

BLANK_LENGTH = "blank.length"
"""The cause that makes a part longer or shorter as its blank is."""


CHECKED_WITHIN = datetime.timedelta(days=30)
"""How long after a proof a further piece checks that very set-up, and is none of a new one: as long
as a job may lie on the bench. Common practice, no source; `log --afresh` says otherwise."""


class RecordedSetting(Struct, frozen=True):
    """One setting: the figure aimed at and the figure first dialled, known offset put in.

    ``dial``, the machine's title and type, the cutter's title and sizes are what they were that day
    (None and empty in a record of version 1): it can be read when machine and cutter are gone.
    ``to`` is the side of the cutter that a fence or stop is measured to. ``looked_at``: after
    a test piece somebody looked at the dial and said what it had been dialled to.
    """

    cause: str
    machine: str
    setting: SettingName
    aim: Length
    dialled: Length
    cutter: str = ""
    dial: MachineSetting | None = None
    machine_title: str = ""
    machine_type: MachineType | None = None
    cutter_title: str = ""
    cutter_sizes: Mapping[str, Length] = field(default_factory=dict)
    to: MeasuredTo | None = None
    looked_at: bool = False


class RecordedMeasure(Struct, frozen=True):
    """What was to be measured, ``by`` which instrument of the shop, and what it depends on: by
    cause the change for a change of 1. ``missed`` is what a part outside its limits costs,
    ``basis`` what they come from."""

    name: str
    title: str
    by: str
    target: Length
    under: Length
    over: Length
    moved_by: Mapping[str, Fraction]
    missed: Missed = field(default_factory=Missed)
    basis: str = ""

    def target_on(self, piece: RecordedPiece) -> Length:
        """What it should be on a piece whose blank was meant to be longer than the part's."""
        return self.target + self.moved_by.get(BLANK_LENGTH, 0) * piece.longer

    def allows(self, deviation: Length) -> bool:
        """Whether that far from the target is within tolerance."""
        return -self.under <= deviation <= self.over


class RecordedReading(Struct, frozen=True):
    """One reading: ``found`` with an instrument of the shop, or a ``fit``. One that was ``struck``
    out, a slip, stays to be read and counts no more from that day."""

    of: str
    found: Length | None = None
    fit: Fit | None = None
    by: str = ""
    pieces: int = 1
    struck: datetime.date | None = None
    marks: Marks = NOWHERE


class RecordedPiece(Struct, frozen=True):
    """One test piece. ``moved``: what was moved after it was measured and before anything else was
    cut, by cause, in the setting's own direction, and ``by_shims`` which of it finer than by marks;
    ``longer`` how much longer its blank was meant to be than the part's.

    ``advice`` in words, and ``advised``, what of it was to be moved, ``advised_by_shims`` which of
    that by shims; ``answered`` once it was said what was done about it. ``left``: it was cut so
    long after anybody told of the dials that they may have been set again meanwhile. ``id`` names
    the entry that it is from, ``time`` when on its day it was measured, empty where nobody knows.
    """

    date: datetime.date
    readings: tuple[RecordedReading, ...] = ()
    moved: Mapping[str, Length] = field(default_factory=dict)
    longer: Length = Length.ZERO
    advice: tuple[str, ...] = ()
    notes: str = ""
    by_shims: tuple[str, ...] = ()
    advised: Mapping[str, Length] = field(default_factory=dict)
    advised_by_shims: tuple[str, ...] = ()
    answered: bool = False
    left: bool = False
    id: str = ""
    time: str = ""

    @property
    def counted(self) -> tuple[RecordedReading, ...]:
        """Its readings without those that were struck out."""
        return tuple(reading for reading in self.readings if reading.struck is None)

    def with_done(self, moved: Mapping[str, Length], by_shims: Sequence[str]) -> RecordedPiece:
        """The same with what was moved beside what had been moved before."""
        total = {
            cause: self.moved.get(cause, Length.ZERO) + moved.get(cause, Length.ZERO)
            for cause in (*self.moved, *(cause for cause in moved if cause not in self.moved))
        }
        coarse = {cause for cause in self.moved if cause not in self.by_shims}
        coarse |= {cause for cause in moved if cause not in by_shims}
        shims = tuple(cause for cause in total if cause not in coarse)
        return replace(self, moved=total, by_shims=shims, answered=True)


class RecordedOffset(Struct, frozen=True):
    """What a set-up taught about one machine's setting, proved or not: how much further it really
    stood than the figure dialled, and one standard deviation of that. ``to`` is the side of the
    cutter that it was told on, None where the record has a single one. ``tied``: the correlation
    with others of the record, by their names.
    """

    machine: str
    setting: SettingName
    offset: Length
    give_or_take: Length
    tied: Mapping[str, Fraction] = field(default_factory=dict)
    to: MeasuredTo | None = None

    @property
    def name(self) -> str:
        """`table-saw.fence`, or `table-saw.fence.near` where the side is told."""
        return ".".join((self.machine, self.setting, *([self.to] if self.to else [])))


class MeasuredIn(Struct, frozen=True):
    """The record of a mate and the day on which what an end is fitted to was measured there."""

    record: str
    date: datetime.date


class ReadingDeviation(Struct, frozen=True):
    """One reading that is a length, on a test piece counted from 1: how far from the target."""

    piece: int
    measure: str
    deviation: Length
    inside: bool


class Record(Struct, frozen=True):
    """One set-up: the head, written once, and what the entries beside it come to.

    ``name`` is the head's stem, ``begun`` the moment, in UTC, by which records of one day are told
    apart; ``instead_of`` the records that it was begun afresh in place of. ``although``: why a
    set-up is called proved that is not. ``instruments`` are those of its measures, as they were;
    ``blanks`` what a piece's blank was meant to be, by cause, where a measure hangs on it and none
    tells it by itself. ``count`` is how many parts go through, 0 where nobody knows; ``fitted_to``
    is what was measured on its mates, ``measured_in`` where; ``after_events`` what had happened to
    its tools that day, known then; ``hangs_on`` what aims and targets came from, by formula names.
    """

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
    blanks: Mapping[str, Length] = field(default_factory=dict)
    begun: str = ""
    instead_of: tuple[str, ...] = ()
    although: str = ""
    instruments: Mapping[str, Instrument] = field(default_factory=dict)
    count: int = 0
    fitted_to: Mapping[MadeSize, Length] = field(default_factory=dict)
    measured_in: Mapping[MadeSize, MeasuredIn] = field(default_factory=dict)
    after_events: tuple[str, ...] = ()
    hangs_on: Mapping[str, Length] = field(default_factory=dict)
    marks: Marks = NOWHERE

    @property
    def pending(self) -> Mapping[str, Length]:
        """What was advised to be moved after the last test piece, while nobody has said what was
        done about it."""
        return {} if self.pieces and self.pieces[-1].answered else self.waiting

    @property
    def waiting(self) -> Mapping[str, Length]:
        """What was advised to be moved after the last test piece and is not done: nobody has said
        what was, or it was said that nothing was moved."""
        last = self.pieces[-1] if self.pieces else None
        return last.advised if last and not (last.answered and last.moved) else {}

    @property
    def fits(self) -> Mapping[MadeSize, MadeAs]:
        """What it is fitted to, and where that was measured."""
        return {
            size: MadeAs(found, told.record, told.date) if told else MadeAs(found)
            for size, found in self.fitted_to.items()
            for told in [self.measured_in.get(size)]
        }

    def blank_of(self, cause: str, longer: Length) -> Length:
        """What the blank of a piece was meant to be that was cut so much longer than the part."""
        return self.blanks[cause] + (longer if cause == BLANK_LENGTH else Length.ZERO)

    @property
    def is_dry_fit(self) -> bool:
        """Whether nothing that was measured can be moved by a setting."""
        return not any(measure.moved_by for measure in self.measures)

    @property
    def machines(self) -> tuple[str, ...]:
        """The machines that its settings are of, each once."""
        return tuple(dict.fromkeys(setting.machine for setting in self.settings))

    @property
    def moves(self) -> Mapping[str, Length]:
        """By cause, everything it was moved by since it was first dialled."""
        total: dict[str, Length] = {}
        for piece in self.pieces:
            for cause, amount in piece.moved.items():
                total[cause] = total.get(cause, Length.ZERO) + amount
        return total

    @property
    def stand(self) -> Mapping[str, Length]:
        """By cause what its dials stand at in the end, and by how much its blanks were changed."""
        begun = {setting.cause: setting.dialled for setting in self.settings}
        moves = self.moves
        return {
            cause: begun.get(cause, Length.ZERO) + moves.get(cause, Length.ZERO)
            for cause in dict.fromkeys((*begun, *moves))
        }

    def setting(self, cause: str) -> RecordedSetting:
        """The setting that is that cause; KeyError where it has none."""
        return {setting.cause: setting for setting in self.settings}[cause]

    def dialled(self, cause: str) -> Length:
        """The figure that a setting stood at in the end; KeyError for an unknown cause."""
        return self.setting(cause).dialled + self.moves.get(cause, Length.ZERO)

    def deviations(self) -> tuple[ReadingDeviation, ...]:
        """Every reading that is a length of something known, piece by piece."""
        measures = {measure.name: measure for measure in self.measures}
        read = (
            (number, piece, measures[reading.of], reading.found)
            for number, piece in enumerate(self.pieces, 1)
            for reading in piece.counted
            if reading.found is not None and reading.of in measures
        )
        return tuple(
            ReadingDeviation(number, measure.name, off, measure.allows(off))
            for number, piece, measure, found in read
            for off in [found - measure.target_on(piece)]
        )


MOST_OF_A_JOB = 40
"""Letters of a job's name in that of its records: a file's name has room for no more."""


def record_name(date: datetime.date, job: str, machines: Sequence[str], set_up: str) -> str:
    """Date, job, machine, set-up and a short random part: two people never write the same one, and
    it can be told whose one is that cannot be read."""
    words = (date.isoformat(), job[:MOST_OF_A_JOB], *machines[:1], set_up)
    return f"{'-'.join(map(words_of_a_name, words))}-{secrets.token_hex(3)}"


def words_of_a_name(text: str) -> str:
    """Small letters and digits, with hyphens for all else."""
    return re.sub(r"[^a-z0-9-]+", "-", text.lower())


def begin_record(
    plan: Plan, set_up: SetUp, dialled: Mapping[str, Length], date: datetime.date
) -> Record:
    """The record of a set-up that begins on a date, without test pieces yet.

    ``dialled``: by cause the figure that each setting is first dialled to, the aim where none is.
    """
    subject, machines = set_up.subject, [each.machine.name for each in set_up.operations]
    return Record(
        name=record_name(date, plan.job.name, machines, set_up.name),
        date=date,
        job=plan.job.name,
        set_up=set_up.name,
        recipe=set_up.recipe.name,
        section=subject.section.name if subject.section else "",
        timber=plan.job.timber,
        parts=tuple(set_up.counts),
        count=sum(set_up.counts.values()),
        fitted_to={size: made.size for size, made in subject.fitted_to.items()},
        measured_in={
            size: MeasuredIn(made.record, made.date)
            for size, made in subject.fitted_to.items()
            if made.date is not None
        },
        settings=tuple(
            _begun(operation, setting, dialled.get(setting.cause, setting.aim))
            for operation in set_up.operations
            for setting in operation.settings
        ),
        measures=tuple(
            RecordedMeasure(
                name=measure.name,
                title=measure.title,
                by=measure.instrument,
                target=measure.target,
                under=measure.under,
                over=measure.over,
                moved_by=dict(measure.sensitivities),
                missed=measure.missed,
                basis=measure.basis,
            )
            for measure in set_up.measurements
        ),
        blanks=_blanks(set_up),
        hangs_on=set_up.hangs_on,
    )


def _blanks(set_up: SetUp) -> Mapping[str, Length]:
    subject = set_up.subject
    sizes = {
        BLANK_LENGTH: subject.length,
        "blank.width": subject.width,
        "blank.thickness": subject.thickness,
    }
    moved_by = [dict(measure.sensitivities) for measure in set_up.measurements]
    return {
        cause: size
        for cause, size in sizes.items()
        if any(cause in each for each in moved_by) and {cause: 1} not in moved_by
    }


def _begun(operation: Operation, setting: Setting, dialled: Length) -> RecordedSetting:
    machine, cutter = operation.machine, operation.cutter
    return RecordedSetting(
        cause=setting.cause,
        machine=machine.name,
        setting=setting.name,
        aim=setting.aim,
        dialled=dialled,
        cutter=cutter.name if cutter else "",
        dial=setting.dial,
        machine_title=machine.title,
        machine_type=machine.type,
        cutter_title=cutter.title if cutter else "",
        cutter_sizes=cutter_sizes(cutter) if cutter else {},
        to=setting.to if setting.name in ACROSS else None,
    )


def cutter_sizes(cutter: Cutter) -> Mapping[str, Length]:
    """The sizes of a cutter that a figure may hang on, by their names."""
    sizes = {name: getattr(cutter, name) for name in ("diameter", "kerf", "width", "length")}
    return {name: size for name, size in sizes.items() if size is not None}
