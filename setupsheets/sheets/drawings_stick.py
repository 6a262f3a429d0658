"""The story stick of one part: every mortise in its place and every mark with its figure.

All figures count from one datum at the left end of the drawing, each rounded by itself; nothing is
stepped off. Sizes are exact lengths; the drawing is to scale along the stick, not across it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from setupsheets.lengths import Length, Notation
from setupsheets.sheets.drawings import (
    EDGE,
    GREY,
    HAIR,
    SMALL,
    THIN,
    Drawing,
    area,
    finish,
    line,
    polyline,
    rectangle,
    text,
    text_width,
)

WIDTH = 180.0  # mm on the paper, which both A4 and Letter hold between their margins
_STICK, _SIDE, _GAP = 9.0, 10.0, 4.6

Place = Callable[[Length], float]  # a length past the datum to mm on the paper


@dataclass(frozen=True)
class StickMark:
    """One mortise on the stick: from ``start`` to ``end`` past the datum, for ``holds``."""

    start: Length
    end: Length
    holds: str


@dataclass(frozen=True)
class Stick:
    """One edge of one part: how far it reaches before and past the datum, and its mortises."""

    title: str
    datum: str
    first: Length
    last: Length
    marks: tuple[StickMark, ...]


def story_stick(name: str, stick: Stick, notation: Notation) -> Drawing:
    """The stick drawn to scale along its length, names above and figures below."""
    scale = (WIDTH - 2 * _SIDE) / float((stick.last - stick.first).mm)

    def at(length: Length) -> float:
        return _SIDE + float((length - stick.first).mm) * scale

    names = [mark.holds for mark in stick.marks]
    above = max((text_width(words, SMALL) for words in names), default=0.0) + 8
    figures = [(length, notation.show(length)) for length in _figures(stick)]
    below = max((text_width(words, SMALL) for _, words in figures), default=0.0) + 12
    top, bottom = above, above + _STICK
    elements = [
        rectangle((at(stick.first), top), at(stick.last) - at(stick.first), _STICK, "#fff", EDGE),
        *_mortises(stick, at, top),
        *_names(stick, at, top),
        *_marks(figures, at, bottom),
        *_datum(at(Length.ZERO), top, bottom),
    ]
    listed = "; ".join(
        f"{mark.holds} {notation.show(mark.start)} to {notation.show(mark.end)}"
        for mark in stick.marks
    )
    words = f"Marks from one datum, {stick.datum}: {listed}."
    return finish(name, stick.title, words, (WIDTH, bottom + below), elements)


def spread(places: Sequence[float], gap: float, low: float, high: float) -> list[float]:
    """Places moved apart to at least ``gap``, as little as needs be and inside low to high.

    ``places`` rise. Groups that come too close are spread about their common middle.
    """
    groups: list[list[float]] = []
    for place in places:
        groups.append([place])
        while len(groups) > 1 and _start(groups[-1], gap) < _start(groups[-2], gap) + gap * len(
            groups[-2]
        ):
            last = groups.pop()
            groups[-1] = groups[-1] + last
    spaced = [_start(group, gap) + gap * n for group in groups for n in range(len(group))]
    for index, place in enumerate(spaced):
        spaced[index] = max(place, low + gap * index)
    for index in range(len(spaced) - 1, -1, -1):
        spaced[index] = min(spaced[index], high - gap * (len(spaced) - 1 - index))
    return spaced


def _start(group: Sequence[float], gap: float) -> float:
    """Where a group's first member stands when the group is spread about its middle."""
    return sum(group) / len(group) - gap * (len(group) - 1) / 2


def _figures(stick: Stick) -> list[Length]:
    """Every mark once, in order along the stick."""
    return sorted({length for mark in stick.marks for length in (mark.start, mark.end)})


def _mortises(stick: Stick, at: Place, top: float) -> list[str]:
    return [
        rectangle((at(mark.start), top), at(mark.end) - at(mark.start), _STICK, GREY, THIN)
        for mark in stick.marks
    ]


def _names(stick: Stick, at: Place, top: float) -> list[str]:
    ordered = sorted(stick.marks, key=lambda mark: mark.start)
    middles = [(at(mark.start) + at(mark.end)) / 2 for mark in ordered]
    placed = spread(middles, _GAP, 4.0, WIDTH - 4.0)
    elements = []
    for mark, middle, place in zip(ordered, middles, placed, strict=True):
        elements.append(polyline([(middle, top), (place, top - 4), (place, top - 5)], HAIR))
        elements.append(text((place + 1.1, top - 6), mark.holds, SMALL, "start", upright=True))
    return elements


def _marks(figures: Sequence[tuple[Length, str]], at: Place, bottom: float) -> list[str]:
    places = [at(length) for length, _ in figures]
    placed = spread(places, _GAP, 4.0, WIDTH - 4.0)
    elements = []
    for (_, words), true, place in zip(figures, places, placed, strict=True):
        elements.append(polyline([(true, bottom), (place, bottom + 5), (place, bottom + 6)], HAIR))
        elements.append(text((place + 1.1, bottom + 7), words, SMALL, "end", upright=True))
    return elements


def _datum(x: float, top: float, bottom: float) -> list[str]:
    """The datum as a heavy line through the stick, with a flag at its head."""
    flag = [[(x, top - 5), (x + 4, top - 3.5), (x, top - 2)]]
    return [line((x, top - 5), (x, bottom + 2), EDGE), area(flag, "#000")]
