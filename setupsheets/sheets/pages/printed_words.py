"""Words as they are printed: in which lines they may be parted, and how wide they are."""

from __future__ import annotations

import re

from setupsheets.sheets.letters.letters import text_width
from setupsheets.sheets.pages.escaping import printable
from setupsheets.sheets.pages.heights import POINT

# What must not be parted at a line's end: a figure and its unit, its fraction, its tolerance's
# sign, and a count and its sign.
_in_figures = re.compile(
    r"(?<=\d) (?=\d+/\d)|(?<=\d) (?=(?:in|mm|ft|lb|kg|rpm|m/s|%)(?![a-z]))|(?<=[±+−]) (?=[\d.])"
    r"|(?<=\d) (?=× [a-z])"
).sub
_SPACE = r"[ \n\t\r\f\v]+"
_figure = re.compile(r"(.*?)( in| mm)((?: full| scant) by .*)?").fullmatch


def shown(value: object) -> object:
    """A value as it is printed: one line of text in which no figure is parted from its unit. What
    a template has made already stays as it is."""
    if hasattr(value, "__html__"):
        return value
    words = " ".join(re.split(_SPACE, printable(value).strip(" \n\t\r")))
    return _in_figures("\u00a0", words)


def whole(words: str) -> str:
    """Words that no line's end parts."""
    return str(shown(words)).replace(" ", "\u00a0")


def in_parts(words: str) -> tuple[str, str, str]:
    """A figure to set: its number, which is not parted, its unit, and what it is full or scant by,
    which stands on a line of its own."""
    found = _figure(words)
    number, unit, rest = found.groups() if found else (words, "", None)
    return number.replace(" ", "\u00a0"), unit.strip(), (rest or "").strip()


def target_parts(words: str) -> list[str]:
    """A target: its figure with its unit, and what it is full or scant by, each on one line."""
    number, unit, rest = in_parts(words)
    return [whole(each) for each in (f"{number} {unit}".rstrip(), rest) if each]


def width(words: str, size: float = 11.0, bold: bool = False) -> float:
    """How wide words print in mm, on one line, ``size`` in points."""
    return text_width(words, size * POINT, bold)
