"""A plate: something drawn at full size, as plain lines and words in mm, whatever it is written to.

x runs right and y down. Every curve has been made lines before, so that SVG, DXF and print get the
very same points.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from enum import StrEnum
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from setupsheets.sheets.drawings.drawing import SMALL, Point, Ring
from setupsheets.sheets.letters.letters import text_width

if TYPE_CHECKING:
    from shapely import Geometry, Polygon


class Ink(StrEnum):
    """What a line is; the name of its layer in a DXF file."""

    SECTION = "section"
    BEYOND = "beyond"
    HIDDEN = "hidden"
    HATCH = "hatching"
    PANE = "pane"
    DATUM = "datum"
    MARK = "marks"
    SCALE = "check-scale"
    REGISTER = "register"


DASHED = frozenset({Ink.HIDDEN})
WEIGHTS = {
    Ink.SECTION: 0.35,
    Ink.BEYOND: 0.18,
    Ink.HIDDEN: 0.25,
    Ink.HATCH: 0.09,
    Ink.PANE: 0.18,
    Ink.DATUM: 0.5,
    Ink.MARK: 0.13,
    Ink.SCALE: 0.18,
    Ink.REGISTER: 0.18,
}
"""How thick a line prints, in mm: thin, for it is measured from."""


class Stroke(Struct, frozen=True):
    """Straight lines from point to point."""

    ink: Ink
    points: Ring


class Word(Struct, frozen=True):
    """Words that begin, end or have their middle at a point; ``upright`` ones read from below."""

    at: Point
    words: str
    size: float = SMALL
    anchor: str = "start"
    upright: bool = False


class Plate(Struct, frozen=True):
    """One drawing at full size. It lies between ``corner``, its upper left, and ``far``; ``title``
    and ``notes`` say what it is and how to trust it, ``name`` is safe as a file's."""

    name: str
    title: str
    notes: tuple[str, ...]
    corner: Point
    far: Point
    strokes: tuple[Stroke, ...]
    words: tuple[Word, ...]

    @property
    def width(self) -> float:
        """How wide it is."""
        return self.far[0] - self.corner[0]

    @property
    def height(self) -> float:
        """How high it is."""
        return self.far[1] - self.corner[1]


def outline(ink: Ink, area: Geometry) -> Iterator[Stroke]:
    """The outlines of an area, those of its holes with them."""
    from setupsheets.machining.cutting.cuts import parts_of  # noqa: PLC0415

    for piece in parts_of(area):
        for ring in (piece.exterior, *piece.interiors):
            yield Stroke(ink, tuple(ring.coords))


def hatched(area: Polygon, gap: float = 3.0) -> Iterator[Stroke]:
    """Slanting lines over an area, ``gap`` mm apart, as a section is drawn."""
    from shapely import LineString, MultiLineString  # noqa: PLC0415

    left, top, right, foot = area.bounds
    high, step = foot - top, gap * 2**0.5
    count = int((right - left + high) / step) + 1
    starts = [left + step * (index + 0.5) for index in range(count)]
    lines = MultiLineString([LineString([(x, top), (x - high, foot)]) for x in starts])
    yield from lines_of(Ink.HATCH, lines.intersection(area))


def lines_of(ink: Ink, geometry: Geometry) -> Iterator[Stroke]:
    """Every line of a geometry of lines."""
    for each in getattr(geometry, "geoms", (geometry,)):
        if each.geom_type == "LineString" and not each.is_empty:
            yield Stroke(ink, tuple(each.coords))


_TICK, _LONG = 2.0, 3.5
EDGE, LINE = 6.0, 4.6
"""Room around a plate, and from one line of words to the next, in mm."""
SCALE_HIGH = 13.0
"""How high the check scale stands, in mm, its figures and all."""


def check_scale(at: Point) -> tuple[list[Stroke], list[Word]]:
    """Bars of 100 mm and of 4 in from a point on their common left end, to hold a rule to."""
    x, y = at
    strokes, words = [], []
    for base, unit, full, count, long in (
        (y + 4.0, 10.0, "100 mm", 10, 5),
        (y + 9.0, 25.4 / 4, "4 in", 16, 4),
    ):
        strokes.append(Stroke(Ink.SCALE, ((x, base), (x + unit * count, base))))
        for index in range(count + 1):
            tick = _TICK if index % long else _LONG
            place = x + unit * index
            strokes.append(Stroke(Ink.SCALE, ((place, base), (place, base - tick))))
        words.append(Word((x + unit * count + 1.5, base), full))
    return strokes, words


def lines_below(at: Point, lines: Iterable[str]) -> list[Word]:
    """Lines of words under each other, the first one standing on the point."""
    return [Word((at[0], at[1] + LINE * row), line) for row, line in enumerate(lines)]


def footed(plate: Plate) -> Plate:
    """The same with the check scale, its title and its notes below it."""
    left, foot = plate.corner[0] + EDGE, plate.far[1]
    scale, figures = check_scale((left, foot))
    said = (plate.title, *plate.notes)
    lines = lines_below((left, foot + SCALE_HIGH + LINE), said)
    right = max(word.at[0] + text_width(word.words, SMALL) for word in (*figures, *lines))
    return replace(
        plate,
        far=(max(plate.far[0], right + EDGE), foot + SCALE_HIGH + LINE * len(said) + EDGE),
        strokes=(*plate.strokes, *scale),
        words=(*plate.words, *figures, *lines),
    )
