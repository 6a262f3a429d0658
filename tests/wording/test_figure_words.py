"""Figures in words: units by their definitions, tolerances, beads, and what ends are fitted to."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction

import pytest
from msgspec.structs import replace

from setupsheets.joinery.stock.bead_boards import BeadBoard
from setupsheets.lengths import Length, Notation, Unit
from setupsheets.shop.recipes import MadeSize
from setupsheets.wording.figures import (
    about,
    area,
    bead_board_words,
    degrees,
    glaziers_size,
    own_unit_first,
    rim_speed,
    tolerance,
    units_line,
    volume,
    weight,
)
from setupsheets.wording.made_sizes import as_drawn_line, to_be_fitted_words
from setupsheets.wording.sentences import fill
from tests.records.made_up import inches

INCH, METRIC = Notation(Unit.IN, Fraction(1, 64)), Notation(Unit.MM, Fraction(1, 2))


# One pound is .45359237 kg and one foot .3048 m (the agreement of 1 July 1959).
@pytest.mark.parametrize(
    ("words", "inch", "metric"),
    [
        (lambda to: weight(26.0, to), "57 lb", "26 kg"),
        (lambda to: weight(0.7, to), "1.5 lb", "0.7 kg"),
        (lambda to: weight(0.14, to), "0.3 lb", "0.1 kg"),
        (lambda to: rim_speed(46.0, to), "9100 ft/min", "46 m/s"),
        (lambda to: area(0.864, to), "9.3 square feet", "0.86 square metres"),
        (lambda to: volume(31.24, 0.07361, to), "31.2 board feet", "0.0736 cubic metres"),
        (lambda to: glaziers_size(Length("10.99 in"), to), "10 15/16 in", "279 mm"),
        (lambda to: fill("{size:large}", {"size": Length("120 in")}, to), "10 ft", "3.05 m"),
        (lambda to: fill("{size:size}", {"size": Length("-127 mm")}, to), "5 in", "127 mm"),
        (lambda to: about(Length("1.27 mm"), to), ".050 in", "1.27 mm"),
        (lambda to: about(Length("0.004 mm"), to), "<.001 in", "<0.01 mm"),
    ],
)  # fmt: skip
def test_a_measure_in_either_unit(words: object, inch: str, metric: str) -> None:
    assert callable(words)
    assert (words(INCH), words(METRIC)) == (inch, metric)


@pytest.mark.parametrize(
    ("angle", "words"), [(1, "1 degree"), (2.5, "2.5 degrees"), (0, "0 degrees")]
)
def test_degrees(angle: float, words: str) -> None:
    assert degrees(angle) == words


@pytest.mark.parametrize(
    ("under", "over", "notation", "words"),
    [
        ("1/64 in", "1/64 in", INCH, "± 1/64 in"),
        ("1/128 in", "1/64 in", INCH, "+ 1/64, − 1/128 in"),
        ("0.1 mm", "0.3 mm", METRIC, "+ 0.3, − 0.1 mm"),
    ],
)
def test_tolerances(under: str, over: str, notation: Notation, words: str) -> None:
    assert tolerance(Length(under), Length(over), notation) == words


BOARD = BeadBoard((1,), inches("5/16"), inches("7/16"), 2, 9, inches("24"), inches("5 1/2"))


@pytest.mark.parametrize(
    ("board", "words"),
    [
        (BOARD, "off 2 boards 24 in long and 5 1/2 in wide, planed to 7/16 in: 9 strips 5/16 in"
         " wide off each, one in all to spare;"),
        (replace(BOARD, count=1), "off 1 board 24 in long and 5 1/2 in wide, planed to 7/16 in: 9"
         " strips 5/16 in wide, one in all to spare;"),
        (replace(BOARD, count=1, length=Length("610 mm"), wide=Length("140 mm"),
                 width=Length("8 mm")),
         "off 1 board 24 1/64 in long and 5 33/64 in scant by .004 in wide, planed to 7/16 in: 9"
         " strips 5/16 in full by .002 in wide, one in all to spare;"),
        (replace(BOARD, count=1, strips=1), "off 1 board 24 in long and 5 1/2 in wide, planed to"
         " 7/16 in: 1 strip 5/16 in wide, one in all to spare;"),
    ],
)  # fmt: skip
def test_boards_that_beads_are_ripped_off(board: BeadBoard, words: str) -> None:
    assert bead_board_words(board, INCH) == (
        f"rip the beads 7/16 in deep {words} a kerf at each mitre and beside each strip is counted,"
        " and what is planed off the edge before the next"
    )


def test_how_figures_are_to_be_read() -> None:
    """25/64 in and a fifth of 1/64 in, .003, more and less."""
    assert units_line(METRIC) == "millimetres, to the nearest 0.5 mm"
    assert units_line(INCH) == (
        "inches, to the nearest 1/64 in; 25/64 in full by .003 in is so much more than the mark,"
        " and 25/64 in scant by .003 in so much less"
    )


WIDE, DEEP = MadeSize.MORTISE_WIDTH, MadeSize.STICKING_DEPTH


@pytest.mark.parametrize(
    ("made", "parts", "typed", "words"),
    [
        ({WIDE: ".38"}, [], [], ""),
        ({WIDE: ".38"}, ["rail"], [],
         "It came out with the mortise 3/8 in full by .005 in wide. What goes there is fitted to"
         " that from now on: rail."),
        ({WIDE: "3/8", DEEP: "1/2"}, ["rail", "bar"], ["bar"],
         "It came out with the mortise 3/8 in wide and the moulding 1/2 in deep. What goes there is"
         " fitted to that from now on: rail. For bar the job's file says what counts: as_made."),
        ({DEEP: "1/2"}, ["rail", "bar"], ["bar", "rail", "stile"],
         "It came out with the moulding 1/2 in deep. For rail and bar the job's file says what"
         " counts: as_made."),
    ],
)  # fmt: skip
def test_what_is_fitted_from_now_on(
    made: Mapping[MadeSize, str], parts: Sequence[str], typed: Sequence[str], words: str
) -> None:
    sizes = {size: inches(found) for size, found in made.items()}
    assert to_be_fitted_words(sizes, parts, typed, INCH) == words
    drawn = as_drawn_line(WIDE, inches(".38"), INCH)
    assert drawn == "Thickness of the tenon: 3/8 in full by .005 in, as drawn."


@pytest.mark.parametrize(
    ("written", "inch", "metric"),
    [
        ("at least 450 mm (18 in) long, for the last 300 mm (12 in)",
         "at least 18 in (450 mm) long, for the last 12 in (300 mm)",
         "at least 450 mm (18 in) long, for the last 300 mm (12 in)"),
        ("12000 up to 2 1/2 in (64 mm), about 1/16 in (1.5 mm)",
         "12000 up to 2 1/2 in (64 mm), about 1/16 in (1.5 mm)",
         "12000 up to 64 mm (2 1/2 in), about 1.5 mm (1/16 in)"),
        ("a taper of 1 in 8 (steep), 3 in (at most)", "a taper of 1 in 8 (steep), 3 in (at most)",
         "a taper of 1 in 8 (steep), 3 in (at most)"),
    ],
)  # fmt: skip
def test_a_length_in_both_units_begins_with_the_shop_s(
    written: str, inch: str, metric: str
) -> None:
    assert own_unit_first(written, Unit.IN) == inch
    assert own_unit_first(written, Unit.MM) == metric
