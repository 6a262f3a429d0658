"""Figures in words: tolerances, and how a shop's figures are to be read."""

from __future__ import annotations

import re
from collections.abc import Mapping
from fractions import Fraction

from setupsheets.joinery.stock.bead_boards import BeadBoard
from setupsheets.lengths import Length, Notation, Unit
from setupsheets.machining.operations import PlannedMeasure
from setupsheets.shop.recipes import Miss, Missed
from setupsheets.wording.lists import many, one_line

_both = re.compile(r"(\d[\d ./]*?) (in|mm) \((\d[\d ./]*?) (in|mm)\)").sub


def own_unit_first(words: str, unit: Unit) -> str:
    """Words of a file in one line, a length that they have in both units in the shop's first:
    `18 in (450 mm)` for `450 mm (18 in)` in an inch shop."""

    def turned(found: re.Match[str]) -> str:
        one, its, other, own = found.groups()
        return found[0] if its == unit or own != unit else f"{other} {own} ({one} {its})"

    return one_line(_both(turned, words))


def tolerance(under: Length, over: Length, notation: Notation) -> str:
    """`± 1/64 in`, or both sides where they differ: `+ 1/64, − 1/128 in`."""
    if under == over:
        return f"± {notation.small(over, down=True)}"
    more, less = (notation.small(each, down=True) for each in (over, under))
    unit = f" {more.rpartition(' ')[2]}"
    return f"+ {more.removesuffix(unit) if less.endswith(unit) else more}, − {less}"


def about(length: Length, notation: Notation) -> str:
    """What is worked out and known roughly, as a spread is: never finer than a thousandth of an
    inch or a hundredth of a millimetre, whatever it came to."""
    if notation.unit is Unit.MM:
        steps = round(length / Length("0.01 mm"))
        return f"{steps / 100:.2f} mm" if steps else "<0.01 mm"
    steps = round(length / Length(".001 in"))
    return f"{steps / 1000:.3f} in".removeprefix("0") if steps else "<.001 in"


MISSES: Mapping[Miss, str] = {
    Miss.SPOILS: "spoils the part",
    Miss.EASED: "is put right by hand",
    Miss.UNSEEN: "does not show",
}


def missed_words(missed: Missed) -> str:
    """What a part outside its limits costs: `Too little spoils the part, too much is put right by
    hand.`; nothing
    where any miss spoils it."""
    if missed == Missed():
        return ""
    if missed.under is missed.over:
        return f"Too little or too much {MISSES[missed.under]}."
    return f"Too little {MISSES[missed.under]}, too much {MISSES[missed.over]}."


def limits_words(measure: PlannedMeasure) -> str:
    """What a part outside its limits costs, and where those come from, if that is a source; that
    the others are common practice is said once for all."""
    missed, basis = missed_words(measure.missed), measure.basis
    sourced = basis and "common practice" not in basis.lower()
    return f"{missed} Limits: {basis}" if sourced else missed


_POUND, _FOOT = 0.45359237, 0.3048  # kg and m, exactly: the agreement of 1 July 1959


def weight(kilograms: float, notation: Notation) -> str:
    """`57 lb` in an inch shop, `26 kg` in a metric one; what is under 10 with a decimal."""
    so_much, of = (kilograms / _POUND, "lb") if notation.unit is Unit.IN else (kilograms, "kg")
    return f"{so_much:.{0 if so_much >= 10 else 1}f} {of}"


def rim_speed(metres: float, notation: Notation) -> str:
    """A rim's speed, given in metres a second: `9100 ft/min` or `46 m/s`."""
    if notation.unit is Unit.IN:
        return f"{round(metres / _FOOT * 60, -2):.0f} ft/min"
    return f"{metres:.0f} m/s"


def degrees(angle: float | Fraction) -> str:
    """`1 degree`, `2.5 degrees`."""
    return f"{float(angle):g} {'degree' if angle == 1 else 'degrees'}"


def percent(share: float | Fraction) -> str:
    """`40 %`."""
    return f"{round(100 * share)} %"


def area(square_metres: float, notation: Notation) -> str:
    """`9.3 square feet` or `0.86 square metres`."""
    if notation.unit is Unit.IN:
        return f"{square_metres / _FOOT**2:.1f} square feet"
    return f"{square_metres:.2f} square metres"


def bead_board_words(board: BeadBoard, notation: Notation) -> str:
    """The boards that beads are ripped off: `rip them off 2 boards 24 in long and 5 1/2 in wide,
    planed to 7/16 in: ...`."""
    sizes = f"{notation.show(board.length)} long and {notation.show(board.wide)} wide"
    depth = notation.show(board.depth)
    several, every = ("s", " off each") if board.count > 1 else ("", "")
    strips = f"{many(board.strips, 'strip')} {notation.show(board.width)}"
    return (
        f"rip the beads {depth} deep off {board.count} board{several} {sizes}, planed to {depth}:"
        f" {strips} wide{every}, one in all to spare; a kerf at each mitre and beside each strip"
        " is counted, and what is planed off the edge before the next"
    )


def volume(board_feet: float, cubic_metres: float, notation: Notation) -> str:
    """How much timber, as it is sold: `31.2 board feet` or `0.0736 cubic metres`."""
    if notation.unit is Unit.IN:
        return f"{board_feet:.1f} board feet"
    return f"{cubic_metres:.4f} cubic metres"


def glaziers_mark(size: Length, notation: Notation) -> Length:
    """A size of glass at the mark that it is cut to, 1/16 in or 1 mm, rounded down so that the pane
    goes in (common practice, no source)."""
    mark = Length("1 mm") if notation.unit is Unit.MM else Length("1/16 in")
    return size // mark * mark


def glaziers_size(size: Length, notation: Notation) -> str:
    """A size of glass as it is ordered."""
    return notation.show(glaziers_mark(size, notation))


def units_line(notation: Notation) -> str:
    """How figures are written, for the cover."""
    one = notation.finest_mark
    if notation.unit is Unit.MM:
        return f"millimetres, to the nearest {notation.mark(one)}"
    mark = Length.inches(Fraction(25, 64))
    over, under = (notation.show(mark + rest) for rest in (one / 5, -one / 5))
    return (
        f"inches, to the nearest {notation.mark(one)}; {over} is so much more than the mark, and"
        f" {under} so much less"
    )
