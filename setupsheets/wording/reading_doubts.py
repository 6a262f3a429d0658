"""A reading in words, and doubts about one: what is odd, and what was likely meant."""

from __future__ import annotations

from collections.abc import Mapping

from setupsheets.lengths import Notation, Unit
from setupsheets.records.reading_doubts import ReadingDoubt, Slip
from setupsheets.records.record import RecordedReading

DOUBTS: Mapping[Slip, str] = {
    Slip.NOUGHT: "{measure}: {text!r} is nought or less, which nothing measures",
    Slip.NO_MARK: "{measure}: {text!r} is a fraction that is on no rule",
    Slip.POINT: "{measure}: {text!r} is far from {target}; with the point moved it is {meant}",
    Slip.UNIT: "{measure}: {text!r} is far from {target}; read as {unit} it is {meant}",
    Slip.FEET: "{measure}: {text!r} is in feet and far from {target}; in inches it is {meant}",
    Slip.WHOLE: (
        "{measure}: {text!r} is far from {target}; but for whole {steps} it would be near: {meant}?"
    ),
    Slip.LINE: (
        "{measure}: {text!r} is far from {target}; it is what {other} should be: the wrong line?"
    ),
    Slip.FAR: (
        "{measure}: {text!r} is further from {target} than any setting is off, unless the piece was"
        " cut to another length than the sheet's test piece"
    ),
    Slip.DATE: "the piece is dated {text}, before its record, which was begun on {other}",
}


def read_words(reading: RecordedReading, notation: Notation) -> str:
    """What was read: a length, or a fit in a word."""
    return str(reading.fit or "") if reading.found is None else notation.show(reading.found)


def doubt_words(doubt: ReadingDoubt, notation: Notation) -> str:
    """One doubt in a sentence."""
    inches = notation.unit is Unit.IN
    return DOUBTS[doubt.slip].format(
        measure=doubt.measure,
        text=doubt.text,
        target=notation.show(doubt.target),
        meant=notation.show(doubt.meant),
        other=doubt.other,
        unit="millimetres" if inches else "inches",
        steps="inches" if inches else "centimetres",
    )


DOUBTED = (
    "Nothing is kept yet: give it again as it is, or say --sure if it is right as typed, and of a "
    "piece of another length how long it is by --length."
)
"""What to do about a doubt where nobody can be asked."""
