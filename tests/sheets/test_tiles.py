"""A plate larger than a page both ways: its tiles are laid cross on cross, all round.

Where a cross must lie is plane geometry: in the middle of what two neighbours both show, 14 mm.
"""

from __future__ import annotations

import re
from collections import Counter

import pytest

from setupsheets.sheets.full_size.plate import Ink, Plate, Stroke
from setupsheets.sheets.full_size.tiles import PlatePaper, page_size, pages_html, tiles_of, window

PAPER = 12.0  # mm of margin
Cross = tuple[float, float]


def crosses(page: str) -> list[Cross]:
    """The middles of the lines 10 mm long that lie across a longer one, on a page."""
    lines = re.findall(r'points="([\d.]+),([\d.]+) ([\d.]+),([\d.]+)"', page)
    ends = [tuple(map(float, each)) for each in lines]
    return [
        ((x1 + x2) / 2, (y1 + y2) / 2)
        for x1, y1, x2, y2 in ends
        if abs(x2 - x1) + abs(y2 - y1) == pytest.approx(10.0)
    ]


def test_a_page_shows_all_between_its_margins_but_its_foot() -> None:
    """A4 is 210 by 297 mm (ISO 216)."""
    wide, high = window((210.0, 297.0))
    assert wide == 210 - 2 * PAPER
    less, foot = window((210.0, 200.0))[1], 297 - 2 * PAPER - high
    assert high - less == 97 and 0 < foot < 50


@pytest.mark.parametrize(
    ("wide", "high", "across", "down"), [(300.0, 400.0, 2, 2), (150.0, 600.0, 1, 3)]
)
def test_neighbours_share_their_crosses_and_the_outside_has_none(
    wide: float, high: float, across: int, down: int
) -> None:
    plate = Plate("high", "High", ("Measure it.",), (0.0, 0.0), (wide, high), (), ())
    shown = window(page_size(plate, PlatePaper.A4))
    tiles = tiles_of(plate, shown)
    pages = pages_html([plate], PlatePaper.A4).split("<svg")[1:]
    assert (len(tiles), len(pages)) == (across * down, across * down)
    told = Counter[Cross]()
    for tile, page in zip(tiles, pages, strict=True):
        (left, top), found = tile.corner, crosses(page)
        beside = (
            (tile.row > 0) + (tile.row < down - 1) + (tile.column > 0) + (tile.column < across - 1)
        )
        assert len(found) == 2 * beside
        told.update((round(x - PAPER + left, 1), round(y - PAPER + top, 1)) for x, y in found)
        assert f"Tile {tile.name} of {len(tiles)}, joined to " in page
        inside = {(round((x - PAPER) / shown[0], 2), round((y - PAPER) / shown[1], 2))
                  for x, y in found}  # fmt: skip
        assert all({0.25, 0.75} & {*each} for each in inside)
    joins = down * (across - 1) + across * (down - 1)
    assert len(told) == 2 * joins and set(told.values()) == {2}
    step = shown[1] - 14.0
    assert {y for _, y in told} >= {round(step * row + 7.0, 1) for row in range(1, down)}


def test_a_page_shows_its_own_piece_of_the_plate_at_full_size() -> None:
    """Marks every 20 mm both ways, from a corner that is not nought: each stands on every page
    whose window it lies in, so far from that window's edges as in the plate, and on no other."""
    strokes = [Stroke(Ink.MARK, ((x, y), (x + 1.0, y))) for x in range(-25, 280, 20)
               for y in range(-35, 360, 20)]  # fmt: skip
    plate = Plate("m", "M", ("Measure it.",), (-30.0, -40.0), (300.0, 400.0), tuple(strokes), ())
    shown = window(page_size(plate, PlatePaper.A4))
    tiles = tiles_of(plate, shown)
    pages = pages_html([plate], PlatePaper.A4).split("<svg")[1:]
    for tile, page in zip(tiles, pages, strict=True):
        dx, dy = map(float, re.findall(r"translate\(([-\d.]+) ([-\d.]+)\)", page)[0])
        drawn = re.findall(
            r'points="([-\d.]+),([-\d.]+) [-\d.]+,[-\d.]+"', page.partition("</g>")[0]
        )
        found = {(float(x) + dx - PAPER, float(y) + dy - PAPER) for x, y in drawn}
        (left, top), (wide, high) = tile.corner, shown
        wanted = {(x - left, y - top) for (x, y), _ in (each.points for each in strokes)
                  if left <= x + 1 and x <= left + wide and top <= y <= top + high}  # fmt: skip
        assert {(round(x, 1), round(y, 1)) for x, y in found} == {
            (round(x, 1), round(y, 1)) for x, y in wanted
        }
