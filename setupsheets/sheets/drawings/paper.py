"""Where a plane lies on the paper: figures of the wood (mm) into places on the sheet (mm)."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from msgspec import Struct

from setupsheets.machining.cutting.cuts import Area, parts_of
from setupsheets.sheets.drawings.drawing import Point, Ring


class Paper(Struct, frozen=True):
    """The figure ``zero`` of the wood lies at ``origin`` on the paper; ``right`` and ``down`` are 1
    where the wood's axes run as the paper's do, to the right and down it, and else -1."""

    origin: Point
    scale: float
    zero: Point = (0.0, 0.0)
    right: int = 1
    down: int = 1

    def x(self, figure: float) -> float:
        """How far right a figure along the wood's first axis lies."""
        return self.origin[0] + self.right * (figure - self.zero[0]) * self.scale

    def y(self, figure: float) -> float:
        """How far down a figure along its second axis lies."""
        return self.origin[1] + self.down * (figure - self.zero[1]) * self.scale

    def at(self, point: Sequence[float]) -> Point:
        """The place of a point of the wood."""
        return self.x(point[0]), self.y(point[1])

    def rings(self, rings: Iterable[Ring]) -> list[Ring]:
        """Outlines of the wood as they lie on the paper."""
        return [[self.at(point) for point in ring] for ring in rings]


def rings_of(area: Area) -> Iterator[Ring]:
    """The outlines of an area, and those of its holes."""
    for piece in parts_of(area):
        yield from (list(ring.coords) for ring in (piece.exterior, *piece.interiors))
