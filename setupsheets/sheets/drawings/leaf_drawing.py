"""The leaf in elevation, dimensioned: stiles, rails, bars and panes as seen from outside."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from setupsheets.joinery.frame.elevation import Box, Elevation, Look
from setupsheets.lengths import Length, Notation
from setupsheets.sheets.drawings import drawing as svg
from setupsheets.sheets.drawings.dimensions import Dimension, across, upright
from setupsheets.sheets.letters.letters import text_width

_ROOM = (95.0, 92.0)  # mm on the paper for the leaf itself
_FILLS = {Look.PANEL: svg.PALE, Look.GROOVED_PANEL: svg.PALE}
_NAMED = frozenset({Look.RAIL})

Place = Callable[[Length], float]


def leaf_drawing(name: str, title: str, elevation: Elevation, notation: Notation) -> svg.Drawing:
    """The elevation to scale, horns with it, its sizes in the shop's notation beside it."""
    low = min((box.y for box in elevation.boxes), default=Length.ZERO)
    high = max((box.y + box.height for box in elevation.boxes), default=elevation.height)
    scale = min(_ROOM[0] / float(elevation.width.mm), _ROOM[1] / float((high - low).mm))
    top, foot = 3.0, 3.0 + float((high - low).mm) * scale

    def down(length: Length) -> float:
        return top + float((high - length).mm) * scale

    def shown(standing: bool, place: Place, edge: float) -> list[Dimension]:
        return [
            Dimension(place(size.start), place(size.end), notation.show(size.size), edge, edge)
            for size in elevation.dimensions
            if size.upright is standing
        ]

    left = upright(shown(True, down, 0.0), 0.0).depth + 3
    side = upright(shown(True, down, left), left)

    def out(length: Length) -> float:
        return left + float(length.mm) * scale

    below = across(shown(False, out, foot), foot)
    width = out(elevation.width)
    elements = [
        *(element for box in elevation.boxes for element in _drawn(box, out, down, scale)),
        svg.line((left, down(Length.ZERO)), (width, down(Length.ZERO)), svg.EDGE),
        svg.line((left, down(elevation.height)), (width, down(elevation.height)), svg.EDGE),
    ]
    size = (max(width, below.high) + 4, foot + below.depth + 2)
    return svg.finish(
        name, title, _in_words(elevation, notation), size,
        [*elements, *side.elements, *below.elements],
    )  # fmt: skip


def _drawn(box: Box, out: Place, down: Place, scale: float) -> list[str]:
    """One member or pane; glass has the two strokes it is drawn with, a rail its name."""
    corner = out(box.x), down(box.y + box.height)
    width, height = float(box.width.mm) * scale, float(box.height.mm) * scale
    elements = [svg.rectangle(corner, width, height, _FILLS.get(box.look, "#fff"), svg.THIN)]
    if box.look is Look.GLASS:
        middle, reach = (corner[0] + width / 2, corner[1] + height / 2), min(width, height) / 6
        for shift in (-0.8, 0.8):
            start = middle[0] - reach + shift, middle[1] + reach + shift
            end = middle[0] + reach + shift, middle[1] - reach + shift
            elements.append(svg.line(start, end, svg.HAIR))
    if box.look is Look.HORN:
        elements = [svg.rectangle(corner, width, height, "#fff"), *_dotted(corner, width, height)]
    if (
        box.look in _NAMED
        and height > svg.SMALL + 1
        and text_width(box.name, svg.SMALL) < width - 2
    ):
        middle_of = (corner[0] + width / 2, corner[1] + height / 2 + 1.1)
        elements.append(svg.text(middle_of, box.name, svg.SMALL))
    return elements


def _dotted(corner: tuple[float, float], width: float, height: float) -> Iterable[str]:
    """A horn comes off at the end."""
    (x, y), dash = corner, svg.DOTS
    sides = (((x, y), (x + width, y)), ((x, y + height), (x + width, y + height)))
    ends = (((x, y), (x, y + height)), ((x + width, y), (x + width, y + height)))
    return [svg.line(start, end, svg.THIN, dash) for start, end in (*sides, *ends)]


def _in_words(elevation: Elevation, notation: Notation) -> str:
    looks = [box.look for box in elevation.boxes]
    panes = sum(look in (Look.GLASS, Look.PANEL, Look.GROOVED_PANEL) for look in looks)
    rails = sum(look is Look.RAIL for look in looks)
    return (
        f"The leaf from outside, {notation.show(elevation.width)} wide and "
        f"{notation.show(elevation.height)} high, two stiles, {rails} rails and {panes} panes."
    )
