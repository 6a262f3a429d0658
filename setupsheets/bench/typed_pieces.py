"""What a maker types of a test piece, read and doubted, whoever asks for it."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping, Sequence

from msgspec import Struct
from msgspec.structs import replace

from setupsheets.bench.questions import MustBeSaid, Question, Unreadable
from setupsheets.files.faults import unknown
from setupsheets.lengths import Length, LengthError, Notation, read_shop_length
from setupsheets.machining.operations import SetUp
from setupsheets.records.model import closest_instrument
from setupsheets.records.open_set_up import OpenSetUp
from setupsheets.records.reading_doubts import ReadingDoubt, dated_before, doubt_of
from setupsheets.records.record import RecordedPiece, RecordedReading
from setupsheets.records.typed_readings import read_reading
from setupsheets.wording.reading_doubts import DOUBTED, doubt_words


class TypedReadings(Struct, frozen=True):
    """What is said of a test piece: ``readings`` as MEASURE=LENGTH, ``by`` the instrument where it
    is not the usual one, ``length`` how long the piece was cut where it is not the sheet's."""

    readings: Sequence[str] = ()
    by: str | None = None
    length: str | None = None
    pair: bool = False


NOTHING_READ = TypedReadings()
"""Nothing said of any reading."""


def piece_of(
    opened: OpenSetUp, found: TypedReadings, date: datetime.date, *, sure: bool = False
) -> RecordedPiece:
    """The test piece that is told of. Raises Unreadable for what cannot be read, and MustBeSaid for
    what looks like a slip unless it is ``sure``."""
    longer = opened.set_up.longer
    if found.length:
        asked = [f"length={found.length}"]
        length = lengths_by(asked, ["length"], "--length", opened.notation)["length"]
        longer = length - opened.set_up.subject.length
    typed = list(_readings(opened, found))
    doubts = [] if sure else list(doubted(opened, typed, longer, date))
    if doubts:
        words = (doubt_words(doubt, opened.notation) for doubt in doubts)
        raise MustBeSaid(Question.SLIP, words, DOUBTED)
    return RecordedPiece(date=date, readings=tuple(each for each, _ in typed), longer=longer)


def doubted(
    opened: OpenSetUp,
    typed: Sequence[tuple[RecordedReading, str]],
    longer: Length,
    date: datetime.date | None = None,
) -> Iterator[ReadingDoubt]:
    """What looks like a slip in readings and the texts that they were typed as."""
    if date is not None and (early := dated_before(opened.record, date)):
        yield early
    measures = {measure.name: measure for measure in opened.record.measures}
    for reading, text in typed:
        if reading.found is not None and reading.of in measures:
            measure, unit = measures[reading.of], opened.notation.unit
            found = doubt_of(opened.record, measure, reading.found, text, longer, unit)
            if found is not None:
                yield found


def _readings(opened: OpenSetUp, found: TypedReadings) -> Iterator[tuple[RecordedReading, str]]:
    usual = {measure.name: measure.by for measure in opened.record.measures}
    usual |= dict.fromkeys(opened.record.blanks, closest_instrument(opened.shop))
    by = instrument_called(found.by, opened) if found.by else ""
    for name, text in pairs(found.readings, list(usual), "--found"):
        try:
            reading = read_reading(name, text, by or usual[name], opened.notation)
        except LengthError as error:
            raise Unreadable(f"{name}: {error}", "--found") from None
        yield replace(reading, pieces=2 if found.pair else 1), text


def instrument_called(name: str, opened: OpenSetUp) -> str:
    """The name of an instrument that the shop has; Unreadable for another."""
    tools = opened.shop.settings.instruments
    if name not in tools:
        raise Unreadable(unknown("instrument", name, tools), "--by")
    return name


def pairs(texts: Sequence[str], known: Sequence[str], option: str) -> Iterator[tuple[str, str]]:
    """NAME=VALUE texts; Unreadable for one without =, or of a name that is not known."""
    for text in texts:
        name, equals, value = text.partition("=")
        if not equals:
            raise Unreadable(f"expected NAME=VALUE, found {text!r}", option)
        if name.strip() not in known:
            raise Unreadable(unknown("name", name.strip(), known), option)
        yield name.strip(), value.strip()


def first_dialled(texts: Sequence[str], set_up: SetUp, notation: Notation) -> Mapping[str, Length]:
    """What a record begins with where that is not what the sheet says, from CAUSE=FIGURE;
    Unreadable for what cannot be read."""
    causes = [setting.cause for setting in set_up.settings]
    return lengths_by(texts, causes, "--dialled", notation)


def lengths_by(
    texts: Sequence[str], known: Sequence[str], option: str, notation: Notation
) -> Mapping[str, Length]:
    """NAME=LENGTH texts; Unreadable for what cannot be read."""
    try:
        return {
            name: read_shop_length(text, notation.unit)
            for name, text in pairs(texts, known, option)
        }
    except LengthError as error:
        raise Unreadable(str(error), option) from None
