"""Exact lengths: reading them as a shop writes them, and writing them back with nothing lost.

A length is a rational number of millimetres, and one inch is 25.4 mm exactly (the yard is 0.9144 m
since 1 July 1959: addendum of 22 January 1960 to NBS Circular 572), so both units convert exactly.
Binary floating point is refused everywhere: 1/10 has no exact float, and the error would creep on.
"""

from setupsheets.lengths.grammar import (
    MAX_DIGITS,
    MAX_TEXT,
    MM_PER_INCH,
    NUMBER,
    LengthError,
    Unit,
)
from setupsheets.lengths.length import Length, read_length, read_shop_length
from setupsheets.lengths.notation import Notation

__all__ = [
    "MAX_DIGITS",
    "MAX_TEXT",
    "MM_PER_INCH",
    "NUMBER",
    "Length",
    "LengthError",
    "Notation",
    "Unit",
    "read_length",
    "read_shop_length",
]
