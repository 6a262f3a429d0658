"""Blanks cut already: trimmed, good or short, and what a short one still serves for."""

from fractions import Fraction

import pytest
from msgspec.structs import replace

from setupsheets.lengths import Length
from setupsheets.records.blanks import blanks_found
from setupsheets.records.record import BLANK_LENGTH
from tests.records.made_up import RECORD, inches

WANTED = inches("20")
PARTS = {"rail": "24", "bar": "19", "bead": "19", "muntin": "19 31/32", "bar again": "20"}


def found(*lengths: str) -> list[tuple[int, str, tuple[str, ...]]]:
    """Number, kind and what it serves for, of blanks that may be 1/64 under and 1/32 over."""
    measure = replace(
        RECORD.measures[0],
        under=inches("1/64"),
        over=inches("1/32"),
        moved_by={BLANK_LENGTH: Fraction(1)},
    )
    parts = {name: inches(length) for name, length in PARTS.items()}
    record = replace(RECORD, measures=(measure,))
    blanks = blanks_found(record, WANTED, [inches(length) for length in lengths], parts)
    return [
        (b.number, "short" if b.short else "good" if b.good else "trim", b.serves) for b in blanks
    ]


# Worked by hand: 1/64 under and 1/32 over are still good, anything beyond is not.
@pytest.mark.parametrize(
    ("length", "kind"),
    [
        ("20 1/32", "good"),
        ("20.0313", "trim"),
        ("20", "good"),
        ("19 63/64", "good"),
        ("19.9843", "short"),
    ],
)
def test_blanks_are_sorted_at_both_limits(length: str, kind: str) -> None:
    assert [blank[1] for blank in found(length)] == [kind]


def test_those_to_trim_come_first_and_the_short_ones_last() -> None:
    kinds = [blank[:2] for blank in found("19", "20", "21", "20 1/64", "22")]
    assert kinds == [(3, "trim"), (5, "trim"), (2, "good"), (4, "good"), (1, "short")]


def test_a_short_blank_serves_for_shorter_parts_the_longest_first() -> None:
    assert found("19 31/32")[0][2] == ("muntin", "bar", "bead")
    assert found("19 1/2")[0][2] == ("bar", "bead")
    assert found("18")[0][2] == ()


def test_without_a_tolerance_only_the_very_length_is_good() -> None:
    record = replace(RECORD, measures=())
    lengths = [WANTED, WANTED + Length.millimetres(Fraction(1, 1000))]
    good = {blank.number: blank.good for blank in blanks_found(record, WANTED, lengths, {})}
    assert good == {1: True, 2: False}
