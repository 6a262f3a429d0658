"""Sheets of doors unlike the examples, as Chromium prints them. Sizes are invented."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.browser.questions import LOST_LABELS, OUT_OF_CELL, PAGES
from tests.doors import begun, door
from tests.running import run

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

MM = 96 / 25.4
DOORS = {
    # Rows that are no whole marks high, so that every figure along an upright bar is full or scant.
    "uneven": ("in", "[{fill: glass, rows: 5, columns: 2, row_shares: [1, 1, 1, 1, 2]}]",
               "leaf: {width: 17 31/64, height: 38 7/32}\n"
               "bars: {section: ovolo-bar-inch}\n"
               "joints: {rail_mortise: 1 1/2, bar_mortise: 3/4, gap: 1/16}\n"),
    "one light": ("mm", "[{fill: glass}]", ""),
}  # fmt: skip


@pytest.fixture(scope="module", params=DOORS)
def page(
    browser: Browser, request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Page:
    unit, fields, more = DOORS[request.param]
    job = door(begun(tmp_path_factory.mktemp("door"), unit), unit, fields=fields, more=more)
    assert run("sheet", job, "--format", "html", "--to", job.parent / "out").code == 0
    shown: Page = browser.new_page(viewport={"width": round(210 * MM), "height": 1000})
    shown.emulate_media(media="print")
    shown.goto((job.parent / "out" / "door.html").as_uri())
    shown.evaluate("document.fonts.ready")
    return shown


def test_every_figure_stands_in_its_own_cell(page: Page) -> None:
    assert page.locator("td .figure").count() > 10
    assert page.evaluate(OUT_OF_CELL) == []
    assert "</b><b" not in page.content(), "no word runs into the next"


def test_no_label_is_lost_and_no_page_but_the_last_is_a_third_white(page: Page) -> None:
    assert page.evaluate(LOST_LABELS) == []
    heights: list[float] = []
    for breaks, top, foot in page.evaluate(PAGES):
        if breaks or not heights:
            heights.append(0.0)
        heights[-1] += (foot - top) / MM
    assert len(heights) > 9 and max(heights) < 279.4 - 14
    assert min(heights[:-1]) >= max(heights) * 2 / 3


@pytest.mark.parametrize(
    ("name", "set_up", "found"),
    [
        ("one light", "cope-crosscut-saw", ["overall=366"]),
        ("uneven", "parting-crosscut-saw/end-upright-bar,-field-1,-no.-1", ["length=11 1/64"]),
    ],
)
def test_every_figure_of_a_card_stands_in_its_own_cell(
    browser: Browser, tmp_path: Path, name: str, set_up: str, found: list[str]
) -> None:
    unit, fields, more = DOORS[name]
    shop = begun(tmp_path, unit)
    job = door(shop, unit, fields=fields, more=more)
    readings = [word for each in found for word in ("--found", each)]
    assert run("log", job, set_up, "--date", "2026-03-14", *readings).code == 0
    card = tmp_path / "card.html"
    assert run("recall", "saw", "--shop", shop, "--card", card).code == 0
    shown = browser.new_page(viewport={"width": round(105 * MM), "height": 600})
    shown.emulate_media(media="print")
    shown.goto(card.as_uri())
    shown.evaluate("document.fonts.ready")
    assert shown.locator(".stood").count() > 0
    assert shown.evaluate(OUT_OF_CELL) == []
