"""The leaf in elevation as it is seen from outside: its parts by their names on the sheets, its
sizes, and the side that it hangs by. Of a pair both leaves, the right one a mirror image.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from msgspec import Struct

from setupsheets.joinery.members.elevation import Box, Elevation, Look
from setupsheets.joinery.stock.weights import hinges
from setupsheets.lengths import Length, Notation
from setupsheets.sheets.drawings import drawing as svg
from setupsheets.sheets.drawings.dimensions import Dimension, across, upright
from setupsheets.sheets.drawings.stick_drawing import spread
from setupsheets.sheets.letters.letters import text_width
from setupsheets.shop.jobs import Side
from setupsheets.wording.doors import HINGE_SIDE, leaf_in_words

_ROOM, _PAIR_ROOM = (95.0, 76.0), (110.0, 74.0)  # mm on the paper for the leaf or leaves alone
_TOP, _PITCH, _LEAD = 6.0, 4.6, 7.0
_HINGE = (1.4, 5.0)  # mm on the paper: a hinge as it is drawn, whatever its size
_FILLS = {Look.PANEL: svg.PALE, Look.GROOVED_PANEL: svg.PALE}
_PANES = frozenset({Look.GLASS, Look.PANEL, Look.GROOVED_PANEL})
_UNNAMED = _PANES | {Look.HORN}

Place = Callable[[Length], float]


class _LeafOnPaper(Struct, frozen=True):
    """One leaf on the paper: its left edge, its bottom line and the scale; a mirrored one is turned
    about its middle."""

    left: float
    foot: float
    scale: float
    wide: float
    mirrored: bool = False

    def rectangle(self, box: Box) -> tuple[float, float, float, float]:
        """Left, top, width and height of a rectangle of the leaf."""
        width, height = float(box.width.mm) * self.scale, float(box.height.mm) * self.scale
        x = float(box.x.mm) * self.scale
        x = self.wide - x - width if self.mirrored else x
        return self.left + x, self.foot - float(box.y.mm) * self.scale - height, width, height


def leaf_drawing(name: str, title: str, elevation: Elevation, notation: Notation) -> svg.Drawing:
    """The elevation to scale, horns with it, its sizes in the shop's notation beside it."""
    low = min((box.y for box in elevation.boxes), default=Length.ZERO)
    high = max((box.y + box.height for box in elevation.boxes), default=elevation.height)
    leaves = 1 if elevation.gap is None else 2
    whole = leaves * elevation.width + (elevation.gap or Length.ZERO)
    room = _ROOM if leaves == 1 else _PAIR_ROOM
    scale = min(room[0] / float(whole.mm), room[1] / float((high - low).mm))

    def down(length: Length) -> float:
        return _TOP + float((high - length).mm) * scale

    def shown(standing: bool, place: Place, edge: float) -> list[Dimension]:
        return [
            Dimension(place(size.start), place(size.end), notation.show(size.size), edge, edge)
            for size in elevation.dimensions
            if size.upright is standing
        ]

    left = upright(shown(True, down, 0.0), 0.0).depth + 3 + _HINGE[0]
    side, foot = upright(shown(True, down, left), left), down(low)

    def out(length: Length) -> float:
        return left + float(length.mm) * scale

    below = across(shown(False, out, foot), foot)
    wide, right = out(elevation.width) - left, out(whole)
    first = _LeafOnPaper(left, down(Length.ZERO), scale, wide)
    found = [first]
    if leaves > 1:
        found.append(_LeafOnPaper(right - wide, first.foot, scale, wide, mirrored=True))
    labels, reach = _names(elevation, found[-1], right, foot)
    elements = [element for leaf in found for element in _leaf(elevation, leaf)]
    size = (max(reach, below.high) + 3, foot + below.depth + 2)
    words = leaf_in_words(elevation, notation)
    return svg.finish(
        name, title, words, size, [*elements, *labels, *side.elements, *below.elements]
    )


def _leaf(elevation: Elevation, leaf: _LeafOnPaper) -> Iterator[str]:
    for box in elevation.boxes:
        yield from _drawn(box, leaf.rectangle(box))
    top = leaf.foot - float(elevation.height.mm) * leaf.scale
    for y in (leaf.foot, top):
        yield svg.line((leaf.left, y), (leaf.left + leaf.wide, y), svg.EDGE)
    if elevation.lock is not None:
        x, y, width, height = leaf.rectangle(elevation.lock)
        yield from _dotted((x, y), width, height)
    yield from _hinges(elevation, leaf, top)


def _hinges(elevation: Elevation, leaf: _LeafOnPaper, top: float) -> Iterator[str]:
    """Black marks along the edge that the leaf hangs by: where the job has its hinges, else as many
    as a leaf so high has."""
    if elevation.hinge is None:
        return
    at_left = (elevation.hinge is Side.LEFT) is not leaf.mirrored
    edge = leaf.left if at_left else leaf.left + leaf.wide
    count, high = hinges(elevation.height), leaf.foot - top
    usual = [top + high * (0.1 + 0.8 * index / (count - 1)) for index in range(count)]
    told = [leaf.foot - float((low + far).mm) / 2 * leaf.scale for low, far in elevation.hinges]
    for y in told or usual:
        x = edge - _HINGE[0] if at_left else edge
        yield svg.rectangle((x, y - _HINGE[1] / 2), *_HINGE, "#000")
    anchor = "start" if at_left else "end"
    yield svg.text((edge, _TOP - 2.0), HINGE_SIDE, svg.SMALL, anchor)


def _names(
    elevation: Elevation, leaf: _LeafOnPaper, right: float, foot: float
) -> tuple[list[str], float]:
    """Every name once, at the right, with a line from a part that bears it; how far they reach."""
    at: dict[str, svg.Point] = {}
    boxes = [box for box in elevation.boxes if box.look not in _UNNAMED]
    if elevation.lock is not None:
        boxes.append(elevation.lock)
    for box in boxes:
        x, y, width, height = leaf.rectangle(box)
        share = 0.72 if box.look is Look.STILE else 0.5
        inside = x + width - min(width / 2, 4.0), y + height * share
        if box.name not in at or (inside[0], -inside[1]) > (at[box.name][0], -at[box.name][1]):
            at[box.name] = inside
    names = sorted(at, key=lambda name: at[name][1])
    places = spread([at[name][1] for name in names], _PITCH, _TOP + 2.0, foot)
    beside = right + _HINGE[0] + _LEAD
    elements = []
    for name, place in zip(names, places, strict=True):
        start = at[name]
        elements.append(svg.polyline([start, (beside - 1.0, place - 1.1)], svg.HAIR))
        elements.append(svg.dot(start, 0.5))
        elements.append(svg.text((beside, place), name, svg.SMALL, "start"))
    wide = max((text_width(name, svg.SMALL) for name in names), default=0.0)
    return elements, beside + wide


def _drawn(box: Box, place: tuple[float, float, float, float]) -> list[str]:
    """One member or pane; glass has the two strokes it is drawn with, a horn is dotted."""
    x, y, width, height = place
    if box.look is Look.HORN:
        return [svg.rectangle((x, y), width, height, "#fff"), *_dotted((x, y), width, height)]
    fill = _FILLS.get(box.look, "#fff")
    elements = [svg.rectangle((x, y), width, height, fill, svg.THIN)]
    if box.look is Look.GLASS:
        middle, reach = (x + width / 2, y + height / 2), min(width, height) / 6
        for shift in (-0.8, 0.8):
            start = middle[0] - reach + shift, middle[1] + reach + shift
            end = middle[0] + reach + shift, middle[1] - reach + shift
            elements.append(svg.line(start, end, svg.HAIR))
    return elements


def _dotted(corner: svg.Point, width: float, height: float) -> Iterable[str]:
    """What comes off at the end, or goes in."""
    (x, y), dash = corner, svg.DOTS
    sides = (((x, y), (x + width, y)), ((x, y + height), (x + width, y + height)))
    ends = (((x, y), (x, y + height)), ((x + width, y), (x + width, y + height)))
    return [svg.line(start, end, svg.THIN, dash) for start, end in (*sides, *ends)]
