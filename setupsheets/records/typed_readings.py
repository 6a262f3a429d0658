"""What a maker says of a test piece, read: `18 3/4 full`, `back_length=18.87`, `tight`."""

from __future__ import annotations

import re

from setupsheets.corrections.observations import Fit
from setupsheets.lengths import Length, LengthError, Notation, read_shop_length
from setupsheets.records.record import RecordedReading

# The trade says "full" for a hair over the mark and "scant" for a hair under: less than half a
# mark, so a quarter is taken. Common practice, no source.
_HAIR = {"full": 1, "strong": 1, "scant": -1, "shy": -1}

_said = re.compile(r"\s*(?P<length>.+?)\s+(?P<hair>full|strong|scant|shy)\s*", re.IGNORECASE)


def read_found(text: str, notation: Notation) -> Length:
    """What was read, in the shop's unit where none is said; `full` and `scant` are a quarter of
    the finest mark over and under. Raises LengthError."""
    if (said := _said.fullmatch(text)) is None:
        return read_shop_length(text, notation.unit)
    mark = notation.finest_mark
    return read_shop_length(said["length"], notation.unit) + _HAIR[said["hair"].lower()] * mark / 4


def read_reading(name: str, text: str, by: str, notation: Notation) -> RecordedReading:
    """One reading of a measure: a length, or a fit where no number was taken.

    Raises LengthError for text that is neither.
    """
    word = text.strip().lower()
    if word in set(Fit):
        return RecordedReading(of=name, fit=Fit(word), by=by)
    try:
        return RecordedReading(of=name, found=read_found(text, notation), by=by)
    except LengthError as error:
        if word.isalpha():
            error.reason += f" (a fit is one of {', '.join(Fit)})"
        raise
