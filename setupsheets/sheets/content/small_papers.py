"""Small papers that go with the wood: a card to hang with a test piece, a label for every part."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from setupsheets.joinery.members.parts import Part
from setupsheets.lengths import Notation
from setupsheets.records.record import Record, RecordedMeasure, RecordedSetting
from setupsheets.sheets.content.finished import Fact
from setupsheets.shop.finding import Shop
from setupsheets.shop.jobs import Job
from setupsheets.wording.lists import either, listed, one_line
from setupsheets.wording.reading_doubts import read_words
from setupsheets.wording.set_ups import verdict_words
from setupsheets.wording.titles import cause_title, machine_title


class CardRow(Struct, frozen=True):
    """What something was: a dial with the figure that it stood at and the one aimed at, or a
    measure with what was found on the last piece and what it should be."""

    title: str
    found: str
    wanted: str


class SetUpCard(Struct, frozen=True):
    """One set-up as its record has it, to hang with its test piece; ``command`` reloads it."""

    title: str
    facts: tuple[Fact, ...]
    settings: tuple[CardRow, ...]
    measures: tuple[CardRow, ...]
    record: str
    command: str


class PartLabel(Struct, frozen=True):
    """What is stuck on one part: which it is, of how many and for which leaf, its sizes and what
    its ends go into."""

    job: str
    part: str
    which: str
    lines: tuple[str, ...]


def card_of(record: Record, shop: Shop) -> SetUpCard:
    """The card of a record: the figures at which its dials stood in the end."""
    notation, recipe = shop.settings.notation, record.recipe
    title = shop.recipe(recipe).title if shop.has("recipe", recipe) else recipe
    return SetUpCard(
        title=title,
        facts=tuple(Fact(label, one_line(words)) for label, words in _facts(record) if words),
        settings=tuple(_setting(each, record, shop) for each in record.settings),
        measures=tuple(
            row for each in record.measures for row in _measured(each, record, notation)
        ),
        record=record.name,
        command=f"setupsheets recall {record.set_up} {record.date.isoformat()}",
    )


def _facts(record: Record) -> Iterator[tuple[str, str]]:
    yield "Date", record.date.isoformat()
    yield "Stands", verdict_words(record)
    yield "Hangs", record.kept
    yield "Set-up", record.set_up
    yield "Job", record.job
    yield "Section", record.section
    yield "Timber", record.timber
    yield "Parts", listed(record.parts)
    yield "Cutters", listed(dict.fromkeys(_cutter(each) for each in record.settings if each.cutter))
    yield "Notes", record.notes


def _cutter(setting: RecordedSetting) -> str:
    return setting.cutter_title or setting.cutter


def _setting(setting: RecordedSetting, record: Record, shop: Shop) -> CardRow:
    notation = shop.settings.notation
    finest = setting.dial.finest if setting.dial else shop.settings.finest_mark
    return CardRow(
        title=f"{machine_title(setting)}: {cause_title(setting.cause)}",
        found=notation.dialled(record.dialled(setting.cause), finest),
        wanted=notation.show(setting.aim),
    )


def _measured(measure: RecordedMeasure, record: Record, notation: Notation) -> Iterator[CardRow]:
    """A measure with its last reading, on the piece that it was taken from; none where it was never
    read."""
    read = [
        (piece, reading)
        for piece in record.pieces
        for reading in piece.counted
        if reading.of == measure.name
    ]
    if read:
        piece, reading = read[-1]
        found = read_words(reading, notation)
        yield CardRow(measure.title, found, notation.show(measure.target_on(piece)))


def labels_of(parts: tuple[Part, ...], job: Job, notation: Notation) -> tuple[PartLabel, ...]:
    """A label for every part of a job, leaf by leaf."""
    return tuple(
        label
        for leaf in range(1, job.count + 1)
        for part in parts
        for label in _labels(part, leaf, job, notation)
    )


def _labels(part: Part, leaf: int, job: Job, notation: Notation) -> Iterator[PartLabel]:
    each = part.count // job.count
    for number in range(1, each + 1):
        which = f"{number} of {each}" if each > 1 else ""
        of = f"leaf {leaf} of {job.count}" if job.count > 1 else ""
        yield PartLabel(
            job=job.title,
            part=part.name,
            which=", ".join(words for words in (which, of) if words),
            lines=tuple(_lines(part, notation)),
        )


def _lines(part: Part, notation: Notation) -> Iterator[str]:
    show = notation.show
    yield f"{show(part.width)} wide, {show(part.thickness)} thick"
    if not part.ends:
        yield f"{show(part.overall)} long, a horn of {show(part.horn)} at each end counted in"
        return
    yield f"face {show(part.face)}, back {show(part.back)}, over the tenons {show(part.overall)}"
    goes = [f"into the {either(each)}" for each in dict.fromkeys(part.into)]
    if len(goes) == 1:
        yield f"both ends {goes[0]}"
    elif goes:
        yield f"one end {goes[0]}, the other {goes[1]}"
