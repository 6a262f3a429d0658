"""The story stick of a part: every mark in its place with its number, mortises in grey.

The figures stand in the table beside it, by these numbers. The drawing is to scale along the stick,
not across it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from msgspec import Struct

from setupsheets.joinery.members.stick import Stick
from setupsheets.lengths import Length, Notation
from setupsheets.sheets.drawings import drawing as svg
from setupsheets.wording.places import LIES

WIDTH = 180.0  # mm on the paper, which both A4 and Letter hold between their margins
_ABOVE, _STICK, _SIDE, _GAP = 9.0, 6.0, 10.0, 5.0

MOST = 38  # numbers that stand beside each other on the paper

Place = Callable[[Length], float]  # a length past the datum to mm on the paper


class Zone(Struct, frozen=True):
    """A row of the stick's table: a stretch that is cut away, from mark to mark (a mortise, a
    halving, a lock), or a mark alone, which starts where it ends."""

    start: Length
    end: Length


def story_stick(
    name: str, parts: str, stick: Stick, zones: Sequence[Zone], notation: Notation
) -> svg.Drawing | None:
    """The stick drawn to scale along its length at its rounded marks, the number of each of its
    ``zones`` above it.

    None where there are more marks than there is room for.
    """
    figures = sorted({mark.mark for mark in stick.marks})
    if len(figures) < 2 or len(zones) > MOST:
        return None
    first, last = figures[0], figures[-1]
    scale = (WIDTH - 2 * _SIDE) / float((last - first).mm)

    def at(length: Length) -> float:
        return _SIDE + float((length - first).mm) * scale

    cut = [zone for zone in zones if zone.start != zone.end]
    numbered = [((zone.start + zone.end) / 2, str(row)) for row, zone in enumerate(zones, 1)]
    top, bottom = _ABOVE, _ABOVE + _STICK
    elements = [
        svg.rectangle((at(first), top), at(last) - at(first), _STICK, "#fff", svg.EDGE),
        *(
            svg.rectangle(
                (at(each.start), top), at(each.end) - at(each.start), _STICK, svg.GREY, svg.THIN
            )
            for each in cut
        ),
        *(svg.line((at(each), top), (at(each), bottom), svg.THIN) for each in figures),
        *_numbers(sorted(numbered), at, top),
        *_datum(at(Length.ZERO), top, bottom),
    ]
    words = f"Marks from one datum, {LIES[stick.role].datum}: {_in_words(stick, notation)}."
    return svg.finish(name, f"Story stick of the {parts}", words, (WIDTH, bottom + 3), elements)


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


def _numbers(items: Sequence[tuple[Length, str]], at: Place, edge: float) -> list[str]:
    """Numbers above an edge of the stick, each with a line from its mark aslant to the place that
    it is moved to."""
    true = [at(length) for length, _ in items]
    places = spread(true, _GAP, 4.0, WIDTH - 4.0)
    elements = []
    for (_, words), mark, place in zip(items, true, places, strict=True):
        elements.append(svg.polyline([(mark, edge), (place, edge - 4)], svg.HAIR))
        elements.append(svg.text((place, edge - 4.8), words, svg.SMALL))
    return elements


def _datum(x: float, top: float, bottom: float) -> list[str]:
    """The datum as a heavy line through the stick, with a flag at its head."""
    head = top - 4.2  # below the numbers
    flag = [[(x, head), (x + 4, head + 1.5), (x, head + 3)]]
    return [svg.line((x, head), (x, bottom + 2), svg.EDGE), svg.area(flag, "#000")]
