"""The story stick of one part: every mark in its place and with its figure, mortises in grey.

All figures count from one datum, each rounded by itself; nothing is stepped off. The drawing is to
scale along the stick, not across it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from setupsheets.joinery.members.stick import Line, Stick
from setupsheets.lengths import Length, Notation
from setupsheets.sheets.drawings import drawing as svg
from setupsheets.sheets.letters.letters import text_width
from setupsheets.wording.places import DATUMS

WIDTH = 180.0  # mm on the paper, which both A4 and Letter hold between their margins
_STICK, _SIDE, _GAP = 9.0, 10.0, 4.6

MOST = 38  # names or figures that stand beside each other on the paper
PLAIN = frozenset(
    {
        *(Line.END, Line.HORN, Line.TENON),
        *(Line.FACE_SHOULDER, Line.BACK_SHOULDER, Line.SIGHT_EDGE),
    }
)

Place = Callable[[Length], float]  # a length past the datum to mm on the paper


@dataclass(frozen=True)
class Zone:
    """A stretch of the stick that is cut away, from mark to mark: a mortise, a halving, a lock."""

    start: Length
    end: Length
    words: str


def story_stick(
    name: str, stick: Stick, zones: Sequence[Zone], notation: Notation
) -> svg.Drawing | None:
    """The stick drawn to scale along its length at its rounded marks, names above, figures below.

    None where there are more marks than there is room for.
    """
    figures = sorted({mark.mark for mark in stick.marks})
    names = [(mark.mark, mark.line.value) for mark in stick.marks if mark.line in PLAIN]
    names = [*dict.fromkeys(names), *(((each.start + each.end) / 2, each.words) for each in zones)]
    if len(figures) < 2 or max(len(names), len(figures)) > MOST:
        return None
    first, last = figures[0], figures[-1]
    scale = (WIDTH - 2 * _SIDE) / float((last - first).mm)

    def at(length: Length) -> float:
        return _SIDE + float((length - first).mm) * scale

    above = max((text_width(words, svg.SMALL) for _, words in names), default=0.0) + 8
    below = max(text_width(notation.mark(each), svg.SMALL) for each in figures) + 12
    top, bottom = above, above + _STICK
    elements = [
        svg.rectangle((at(first), top), at(last) - at(first), _STICK, "#fff", svg.EDGE),
        *(
            svg.rectangle(
                (at(each.start), top), at(each.end) - at(each.start), _STICK, svg.GREY, svg.THIN
            )
            for each in zones
        ),
        *(svg.line((at(each), top), (at(each), bottom), svg.THIN) for each in figures),
        *_words(sorted(names), at, top, -4, "start"),
        *_words([(each, notation.mark(each)) for each in figures], at, bottom, 5, "end"),
        *_datum(at(Length.ZERO), top, bottom),
    ]
    words = f"Marks from one datum, {DATUMS[stick.role]}: {_in_words(stick, notation)}."
    title = f"Story stick of the {stick.part}"
    return svg.finish(name, title, words, (WIDTH, bottom + below), elements)


def _in_words(stick: Stick, notation: Notation) -> str:
    return "; ".join(
        f"{mark.line.value}{f' for the {mark.of}' if mark.of else ''} {notation.mark(mark.mark)}"
        for mark in stick.marks
    )


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


def _words(
    items: Sequence[tuple[Length, str]], at: Place, edge: float, lead: int, anchor: str
) -> list[str]:
    """Words beside an edge of the stick, each with a line from its mark: ``lead`` mm aslant to the
    place that it is moved to, and one more. They stand above the edge where that is less than 0."""
    true = [at(length) for length, _ in items]
    step = 1 if lead > 0 else -1
    elements = []
    for (_, words), mark, place in zip(
        items, true, spread(true, _GAP, 4.0, WIDTH - 4.0), strict=True
    ):
        aslant = [(mark, edge), (place, edge + lead), (place, edge + (lead + step))]
        elements.append(svg.polyline(aslant, svg.HAIR))
        start = place + 1.1, edge + (lead + 2 * step)
        elements.append(svg.text(start, words, svg.SMALL, anchor, upright=True))
    return elements


def _datum(x: float, top: float, bottom: float) -> list[str]:
    """The datum as a heavy line through the stick, with a flag at its head."""
    flag = [[(x, top - 5), (x + 4, top - 3.5), (x, top - 2)]]
    return [svg.line((x, top - 5), (x, bottom + 2), svg.EDGE), svg.area(flag, "#000")]
