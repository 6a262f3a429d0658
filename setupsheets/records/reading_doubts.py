"""Readings that are likely slips, doubted before they are kept: a point, a unit, a whole inch, the
wrong line, a fraction that is on no rule."""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterator
from enum import StrEnum
from fractions import Fraction

from msgspec import Struct

from setupsheets.lengths import Length, Unit
from setupsheets.records.record import BLANK_LENGTH, Record, RecordedMeasure


class Slip(StrEnum):
    """What a reading was likely meant to be, or what is odd about it."""

    NOUGHT = "nought"  # or less: nothing measures that
    NO_MARK = "no mark"  # a fraction that no rule has
    POINT = "point"  # the decimal point slipped
    UNIT = "unit"  # typed in the other unit
    FEET = "feet"  # marked as feet
    WHOLE = "whole"  # whole inches, or centimetres, too many or too few
    LINE = "line"  # what another measure of the piece should be
    FAR = "far"  # further off than any setting is, and no slip is known that explains it
    DATE = "date"  # a piece dated before its record


class ReadingDoubt(Struct, frozen=True):
    """One reading doubted: ``meant`` is what it was likely to be, ``other`` the measure whose line
    it may stand in, ``by`` how far off it is or by how many whole steps."""

    slip: Slip
    measure: str = ""
    found: Length = Length.ZERO
    target: Length = Length.ZERO
    meant: Length = Length.ZERO
    other: str = ""
    text: str = ""


# How far a reading may be off before it is doubted: a blank is cut a quarter inch long and a fence
# is set on the wrong side of a line, but nothing is set half an inch wrong, nor by a half of what
# it should be. Common practice, no source.
_FAR = Length.inches(Fraction(1, 2))
_SHARE = Fraction(1, 2)

# How near the figure that a slip explains must come to what was to be: as near as a fault of a
# setting leaves it. Common practice, no source.
_NEAR = Length.inches(Fraction(1, 4))
_NEAR_SHARE = Fraction(1, 8)
_ON_THE_LINE = Length.inches(Fraction(1, 16))

_fraction = re.compile(r"\d\s*/\s*(\d+)").search


def doubt_of(
    record: Record, measure: RecordedMeasure, found: Length, text: str, longer: Length, unit: Unit
) -> ReadingDoubt | None:
    """What is doubtful about one reading typed as ``text``; None where nothing is.

    ``longer`` is how much longer than the part's the piece's blank was meant to be.
    """
    target = measure.target + measure.moved_by.get(BLANK_LENGTH, 0) * longer

    def doubt(slip: Slip, meant: Length = Length.ZERO, other: str = "") -> ReadingDoubt:
        return ReadingDoubt(slip, measure.title, found, target, meant, other, text.strip())

    if found <= Length.ZERO:
        return doubt(Slip.NOUGHT)
    off = abs(found - target)
    if off <= min(_FAR, abs(target) * _SHARE):
        return doubt(Slip.NO_MARK) if _on_no_rule(text, unit) else None
    for other in record.measures:
        should = other.target + other.moved_by.get(BLANK_LENGTH, 0) * longer
        if other.name != measure.name and abs(found - should) <= min(_ON_THE_LINE, should / 8):
            return doubt(Slip.LINE, should, other.title)
    for slip, meant in _meant(found, text, target, unit):
        if abs(meant - target) <= min(_NEAR, abs(target) * _NEAR_SHARE):
            return doubt(slip, meant)
    return doubt(Slip.FAR)


def _meant(found: Length, text: str, target: Length, unit: Unit) -> Iterator[tuple[Slip, Length]]:
    """What a reading may have been meant to be, slip by slip."""
    if "'" in text or "ft" in text.lower():
        yield Slip.FEET, found / 12
    for tens in (10, 100, 1000):
        yield Slip.POINT, found / tens
        yield Slip.POINT, found * tens
    inch = Fraction(254, 10)
    yield Slip.UNIT, found / inch if unit is Unit.IN else found * inch
    step = Length.inches(1) if unit is Unit.IN else Length.millimetres(10)
    steps = round((found - target) / step)
    if steps and abs(found - steps * step - target) <= step / 4:
        yield Slip.WHOLE, found - steps * step


def _on_no_rule(text: str, unit: Unit) -> bool:
    """Whether a fraction is typed that no rule has: a rule halves the inch and halves it again."""
    typed = _fraction(text)
    return typed is not None and int(typed[1]).bit_count() != 1


def dated_before(record: Record, date: datetime.date) -> ReadingDoubt | None:
    """A piece dated before the record that it is put into."""
    return (
        ReadingDoubt(Slip.DATE, text=f"{date}", other=f"{record.date}")
        if date < record.date
        else None
    )
