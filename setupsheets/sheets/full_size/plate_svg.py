"""A plate, or a window of it, as SVG in mm at full size."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from setupsheets.sheets.drawings import drawing as svg
from setupsheets.sheets.full_size.plate import DASHED, WEIGHTS, Plate, Stroke, Word, footed


def plate_drawing(plate: Plate) -> svg.Drawing:
    """The whole plate with its foot, its upper left corner at the drawing's."""
    whole = footed(plate)
    (left, top), size = whole.corner, (whole.width, whole.height)
    inside = placed(whole, (-left, -top))
    return svg.finish(plate.name, plate.title, " ".join(plate.notes), size, inside)


def placed(plate: Plate, by: svg.Point) -> Iterator[str]:
    """All of it in one group, moved."""
    yield f'<g transform="translate({svg.number(by[0])} {svg.number(by[1])})">'
    yield from elements(plate.strokes, plate.words)
    yield "</g>"


def elements(strokes: Iterable[Stroke], words: Iterable[Word]) -> Iterator[str]:
    """Lines and words as SVG."""
    for each in strokes:
        dash = svg.DASH if each.ink in DASHED else ""
        yield svg.polyline(each.points, WEIGHTS[each.ink], dash)
    for word in words:
        yield svg.text(word.at, word.words, word.size, word.anchor, upright=word.upright)
