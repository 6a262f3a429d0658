"""A plate larger than a page both ways: its tiles are laid cross on cross, all round.

Where a cross must lie is plane geometry: in the middle of what two neighbours both show, 14 mm.
"""

from __future__ import annotations

import re
from collections import Counter

import pytest

from setupsheets.sheets.full_size.plate import Plate
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
    joins = down * (across - 1) + across * (down - 1)
    assert len(told) == 2 * joins and set(told.values()) == {2}
    step = shown[1] - 14.0
    assert {y for _, y in told} >= {round(step * row + 7.0, 1) for row in range(1, down)}
