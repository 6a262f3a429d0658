"""Figures in words: tolerances, and how a shop's figures are to be read."""

from __future__ import annotations

from fractions import Fraction

from setupsheets.lengths import Length, Notation, Unit


def tolerance(under: Length, over: Length, notation: Notation) -> str:
    """`± 1/64 in`, or both sides where they differ."""
    if under == over:
        return f"± {notation.small(over, down=True)}"
    return f"+ {notation.small(over, down=True)}, − {notation.small(under, down=True)}"


def units_line(notation: Notation) -> str:
    """How figures are written, for the cover."""
    one = notation.finest_mark
    if notation.unit is Unit.MM:
        return f"millimetres, to the nearest {notation.mark(one)}"
    sample = notation.show(Length.inches(Fraction(25, 64)) + one / 5)
    return (
        f"inches, to the nearest {notation.mark(one)}; a figure such as {sample} is the mark"
        " and so much more"
    )
