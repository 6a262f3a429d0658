"""Where to measure: a piece as an operation leaves it, each thing to measure between its arrows
under the letter that stands beside its boxes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from msgspec import Struct

from setupsheets.lengths import Length
from setupsheets.machining.cutting.planes import mm
from setupsheets.machining.measure_places import MeasurePlace
from setupsheets.sheets.drawings import drawing as svg
from setupsheets.sheets.drawings.dimensions import Dimension, Placed, across, upright
from setupsheets.sheets.drawings.paper import Paper, rings_of
from setupsheets.sheets.letters.letters import text_width

if TYPE_CHECKING:
    from shapely import Geometry

_ROOM = (26.0, 16.0)  # mm on the paper for the piece, or for one end of it
_PLAIN_ROOM = (26.0, 10.0)  # the same for a blank
_HEAD, _BETWEEN, _GREATEST = 6.0, 7.0, 2.0
_LONG = 80.0  # mm of a piece drawn from its end at the least, where it is longer


class _Piece(Struct, frozen=True):
    """The piece on the paper. Where both its ends are drawn, ``middle`` is the line between
    them about which the second is a mirror image of the first."""

    paper: Paper
    axes: tuple[str, str]
    width: float
    depth: float
    middle: float | None

    def dimension(self, letter: str, place: MeasurePlace) -> tuple[bool, Dimension]:
        """The dimension of a place, and whether it is level."""
        across_axis, down_axis = self.axes
        if place.axis == across_axis:
            start, end = self.paper.x(mm(place.start)), self.paper.x(mm(place.end))
            if place.over_all:
                assert self.middle is not None
                end = 2 * self.middle - end
            edge = self.paper.y(mm(place.beside.get(down_axis, Length.ZERO)))
            return True, Dimension(start, end, letter, edge, edge)
        start, end = self.paper.y(mm(place.start)), self.paper.y(mm(place.end))
        edge = self.paper.x(mm(place.beside.get(across_axis, Length.ZERO)))
        return False, Dimension(start, end, letter, edge, edge)


def measure_drawing(
    name: str,
    title: str,
    piece_of: tuple[tuple[str, str], Geometry],
    places: Mapping[str, MeasurePlace],
    words: str,
    plain: bool = False,
) -> svg.Drawing:
    """A piece, its two axes and its area in mm, with the places by their letters, all of which lie
    along one of the axes. ``words`` say what each letter stands for; a ``plain`` blank is drawn
    small."""
    axes, every = piece_of
    whole = any(place.over_all for place in places.values())
    area = _near(every, axes, places)
    _, top, right, foot = area.bounds
    room = _PLAIN_ROOM if plain else _ROOM
    scale = min(_GREATEST, room[0] / right, room[1] / (foot - top))

    def placed(left: float) -> tuple[_Piece, Placed, Placed]:
        paper = Paper((left, _HEAD), scale, (0.0, top))
        middle = paper.x(right) + _BETWEEN / 2 if whole else None
        piece = _Piece(paper, axes, right, foot, middle)
        found = [piece.dimension(letter, place) for letter, place in places.items()]
        level = [each for is_level, each in found if is_level]
        standing = [each for is_level, each in found if not is_level]
        return piece, upright(standing, left), across(level, paper.y(foot))

    _, side, below = placed(0.0)
    piece, side, below = placed(max(side.depth + 1.0, 1.0 - below.low, 2.0))
    elements = [
        *_drawn(piece, area, right < every.bounds[2] - 1e-6),
        *side.elements,
        *below.elements,
    ]
    far = piece.paper.x(right) if piece.middle is None else 2 * piece.middle - piece.paper.x(0.0)
    told = piece.paper.x(0.0) + text_width(_label(axes), svg.SMALL)
    size = (
        max(far, below.high, told) + 2.0,
        max(piece.paper.y(foot) + below.depth, side.high) + 2.0,
    )
    return svg.finish(name, title, words, size, elements)


def _near(area: Geometry, axes: Sequence[str], shown: Mapping[str, MeasurePlace]) -> Geometry:
    """The piece, or as much of it from its end as the places take and a little more."""
    from shapely import clip_by_rect  # noqa: PLC0415

    left, top, right, foot = area.bounds
    reach = [mm(place.end) for place in shown.values() if place.axis == axes[0]]
    reach += [mm(place.beside.get(axes[0], Length.ZERO)) for place in shown.values()]
    last = max([_LONG if axes[0] == "z" else right, *(each * 1.25 for each in reach)])
    return area if right <= last else clip_by_rect(area, left, top, last, foot)


def _drawn(piece: _Piece, area: Geometry, goes_on: bool) -> list[str]:
    """The piece; where both ends are drawn, or it goes on, broken off."""
    paper = piece.paper
    head, foot, right = paper.y(0.0), paper.y(piece.depth), paper.x(piece.width)
    rings = paper.rings(rings_of(area))
    drawn = [(rings, right)]
    if piece.middle is not None:
        turn = 2 * piece.middle
        drawn.append(([[(turn - x, y) for x, y in ring] for ring in rings], turn - right))
    elements = []
    for each, edge in drawn:
        open_at = edge if goes_on or piece.middle is not None else None
        elements += [svg.area(each, svg.PALE), svg.edges(each, svg.EDGE, (open_at, None))]
        if open_at is not None:
            elements.append(svg.break_line((edge, head), (edge, foot)))
    elements.append(svg.text((paper.x(0.0), head - 2.0), _label(piece.axes), svg.SMALL, "start"))
    return elements


def _label(axes: tuple[str, str]) -> str:
    return "face" if axes[1] == "y" else "seen from the face"
