"""Bars halved over each other, as the sheets print them: a test piece that its notch lies in, and
words that speak of notches and not of ends."""

from __future__ import annotations

import re

import pytest

from setupsheets.lengths import Length
from tests.doors import begun, door, operations, printed, set_to

BARS = {
    "in": ("ovolo-bar-inch", "joints: {rail_mortise: 1 1/2, bar_mortise: 3/4, gap: 1/16}\n"),
    "mm": ("ovolo-bar-metric", "joints: {rail_mortise: 40, bar_mortise: 24, gap: 2}\n"),
}


@pytest.fixture(scope="module", params=["in", "mm"])
def sheet(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> str:
    """Two cross bars over one upright bar, in a leaf as high as two feet and more."""
    unit: str = request.param
    shop = begun(tmp_path_factory.mktemp("halved"), unit)
    section, joints = BARS[unit]
    more = f"bars: {{section: {section}, through: halved}}\n{joints}"
    return printed(door(shop, unit, fields="[{fill: glass, rows: 2, columns: 3}]", more=more))


def notches(sheet: str) -> list[tuple[str, str]]:
    """The operations that cut a notch on the machine."""
    return [each for each in operations(sheet) if each[0].startswith("Notch in the")]


def test_a_test_piece_holds_its_notch_and_wood_beyond_it(sheet: str) -> None:
    """The far wall stands at the figure to set; a piece that ends there has no second wall, and a
    hand's breadth beyond it is what the clamp holds (plane geometry; common practice, no source).
    """
    assert len(notches(sheet)) == 4
    for title, block in notches(sheet):
        long = Length(re.search(r"Test piece[^0-9]*([\d /.]+ (?:in|mm)) over all", block)[1])  # type: ignore[index]
        assert long >= Length(set_to(block)[0]) + Length("6 in"), title


def test_trying_a_crossing_speaks_of_notches(sheet: str) -> None:
    block = next(
        text for title, text in operations(sheet) if title == "Try one crossing, fill the notches"
    )
    assert "one end alone" not in block and "both ends" not in block and "no such cut" not in block
    assert "cross bar | both notches" in block and "upright bar | the notch in the middle" in block
