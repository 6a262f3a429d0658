"""Plates on pages to print at full size: one long page to each, or tiles that overlap.

Tiles are cut from one drawing, so that a line which crosses a join is the same line on both. Each
join has its register marks, and each tile its check scale; it is laid on the one before it until
the marks lie on each other. The pages are HTML for a printer of any kind, sizes in mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from enum import StrEnum

from msgspec import Struct

from setupsheets.sheets.drawings import drawing as svg
from setupsheets.sheets.full_size.plate import (
    LINE,
    SCALE_HIGH,
    Ink,
    Plate,
    Stroke,
    check_scale,
    footed,
    lines_below,
)
from setupsheets.sheets.full_size.plate_svg import elements, placed
from setupsheets.wording.rods import AT_FULL_SIZE, tile_words


class PlatePaper(StrEnum):
    """What a plate is printed on; a roll is as long as the plate is."""

    ROLL = "roll"
    A4 = "A4"
    LETTER = "Letter"


_SIZES = {PlatePaper.A4: (210.0, 297.0), PlatePaper.LETTER: (215.9, 279.4)}
MARGIN = 12.0
"""What no printer is trusted to print on at the edges of a page, in mm."""
OVERLAP = 14.0
"""How much of a tile lies on the next one, in mm: the join is in its middle."""
_FOOT = SCALE_HIGH + 4.5 * LINE
LONGEST = 14_400 / 72 * 25.4
"""How long a page of a PDF may be, in mm (ISO 32000-1, Annex C: 14,400 units of 1/72 in)."""


class Tile(Struct, frozen=True):
    """One page of a plate: the window of it that it shows, and its place among the others."""

    row: int
    column: int
    corner: svg.Point

    @property
    def name(self) -> str:
        """`A1`: rows by letter from the top, columns by number from the left."""
        return f"{chr(ord('A') + self.row)}{self.column + 1}"


def pages_html(plates: Iterable[Plate], paper: PlatePaper) -> str:
    """Pages of one HTML file, each as large as its paper. Raises ValueError for a plate that is too
    long for one page."""
    rules, bodies = [], []
    for number, (size, inside) in enumerate(_pages(plates, paper)):
        wide, high = (svg.number(each) for each in size)
        rules.append(f"@page p{number} {{ size: {wide}mm {high}mm; margin: 0 }}")
        shape = f'width="{wide}mm" height="{high}mm" viewBox="0 0 {wide} {high}"'
        drawn = f'<svg xmlns="http://www.w3.org/2000/svg" {shape}>{"".join(inside)}</svg>'
        bodies.append(f'<div style="page: p{number}">{drawn}</div>')
    style = "body{margin:0}svg{display:block}div{break-after:page}div:last-child{break-after:auto}"
    return (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8"><title>Full size</title>'
        f"<style>{style}{''.join(rules)}</style></head><body>{''.join(bodies)}</body></html>\n"
    )


def _pages(plates: Iterable[Plate], paper: PlatePaper) -> Iterator[tuple[svg.Point, Iterable[str]]]:
    for plate in plates:
        if paper is PlatePaper.ROLL:
            whole = footed(plate)
            size = whole.width + 2 * MARGIN, whole.height + 2 * MARGIN
            if max(size) > LONGEST:
                raise ValueError(f"{plate.title} is longer than a page of a PDF may be")
            yield size, placed(whole, (MARGIN - whole.corner[0], MARGIN - whole.corner[1]))
        else:
            size = page_size(plate, paper)
            tiles = tiles_of(plate, window(size))
            yield from ((size, _tile(plate, tile, tiles, window(size))) for tile in tiles)


def page_size(plate: Plate, paper: PlatePaper) -> svg.Point:
    """The paper upright or level, whichever takes fewer tiles."""
    wide, high = _SIZES[paper]
    return min(((high, wide), (wide, high)), key=lambda size: len(tiles_of(plate, window(size))))


def window(size: svg.Point) -> svg.Point:
    """How much of a plate a page of that size shows: without its margins and its foot."""
    return size[0] - 2 * MARGIN, size[1] - 2 * MARGIN - _FOOT


def tiles_of(plate: Plate, shown: svg.Point) -> tuple[Tile, ...]:
    """The tiles of a plate that show so much each, row by row from its upper left corner."""
    (left, top), (wide, high) = plate.corner, shown
    columns, rows = _count(plate.width, wide), _count(plate.height, high)
    return tuple(
        Tile(row, column, (left + column * (wide - OVERLAP), top + row * (high - OVERLAP)))
        for row in range(rows)
        for column in range(columns)
    )


def _count(size: float, shown: float) -> int:
    return max(1, math.ceil((size - OVERLAP) / (shown - OVERLAP) - 1e-9))


def _tile(plate: Plate, tile: Tile, tiles: tuple[Tile, ...], shown: svg.Point) -> Iterator[str]:
    """A window of the plate with its joins, and below it what tile it is and the check scale."""
    (left, top), (wide, high) = tile.corner, shown
    name = f"{plate.name}-{tile.name}"
    clip = svg.rectangle((MARGIN, MARGIN), wide, high, "#fff")
    yield f'<defs><clipPath id="{name}">{clip}</clipPath></defs><g clip-path="url(#{name})">'
    part = _seen(plate, (left, top, left + wide, top + high))
    yield f'<g transform="translate({svg.number(MARGIN - left)} {svg.number(MARGIN - top)})">'
    yield from elements(part, plate.words)
    yield "</g></g>"
    scale, figures = check_scale((MARGIN, MARGIN + high + 3.0))
    beside = [each.name for each in tiles if _is_beside(each, tile)]
    said = (plate.title, tile_words(tile.name, len(tiles), beside), plate.notes[0], AT_FULL_SIZE)
    lines = lines_below((MARGIN, MARGIN + high + 3.0 + SCALE_HIGH), said)
    yield from elements([*_joins(tile, tiles, shown), *scale], [*figures, *lines])


def _seen(plate: Plate, view: tuple[float, float, float, float]) -> Iterator[Stroke]:
    """The lines of which something may lie in the window."""
    left, top, right, foot = view
    for stroke in plate.strokes:
        across, down = zip(*stroke.points, strict=True)
        if min(across) <= right and max(across) >= left and min(down) <= foot and max(down) >= top:
            yield stroke


def _joins(tile: Tile, tiles: tuple[Tile, ...], shown: svg.Point) -> list[Stroke]:
    """Where other tiles meet this one: a line along the middle of the overlap and two crosses."""
    last_row, last_column = max(each.row for each in tiles), max(each.column for each in tiles)
    (wide, high), half = shown, OVERLAP / 2
    ends = [half] * (tile.column > 0) + [wide - half] * (tile.column < last_column)
    sides = [half] * (tile.row > 0) + [high - half] * (tile.row < last_row)
    strokes: list[Stroke] = []
    for x in (MARGIN + each for each in ends):
        strokes.append(Stroke(Ink.REGISTER, ((x, MARGIN), (x, MARGIN + high))))
        for y in (MARGIN + high * 0.25, MARGIN + high * 0.75):
            strokes.append(Stroke(Ink.REGISTER, ((x - 5.0, y), (x + 5.0, y))))
    for y in (MARGIN + each for each in sides):
        strokes.append(Stroke(Ink.REGISTER, ((MARGIN, y), (MARGIN + wide, y))))
        for x in (MARGIN + wide * 0.25, MARGIN + wide * 0.75):
            strokes.append(Stroke(Ink.REGISTER, ((x, y - 5.0), (x, y + 5.0))))
    return strokes


def _is_beside(one: Tile, other: Tile) -> bool:
    return abs(one.row - other.row) + abs(one.column - other.column) == 1
