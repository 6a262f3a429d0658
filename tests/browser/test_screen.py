"""Sheets on a screen: telephone, tablet and desk, light and dark; every label whole.

What is past an edge or out of its drawing is asked of the browser. Accessibility is checked by
axe-core, a library of others: its file is named by the variable AXE_CORE.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from setupsheets.sheets.letters.letters import FAMILY, font_faces
from setupsheets.sheets.pages.pages import to_html
from tests.browser.questions import LOST_LABELS, NARROW, OPERATIONS, PAST_THE_EDGE
from tests.sheets.sheet_plans import JOBS, content

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

WIDTHS = (390, 820, 1280)
FONTS = (FAMILY, "DejaVu Sans", "DejaVu Serif", "monospace")
STYLE = "document.querySelector('style').textContent"
DRESSED = "style => { document.querySelector('style').textContent = style; }"


@pytest.fixture(scope="module", params=JOBS)
def page(browser: Browser, request: pytest.FixtureRequest) -> Iterator[Page]:
    """The sheets of an example, to be looked at on screens of any width."""
    made = browser.new_page()
    made.set_content(to_html(content(request.param)))
    made.evaluate("document.fonts.ready")
    yield made
    made.close()


def on_a_screen(page: Page, width: int) -> None:
    page.set_viewport_size({"width": width, "height": 844})


@pytest.mark.parametrize("width", WIDTHS)
def test_nothing_is_past_the_edge_and_no_column_is_squeezed(page: Page, width: int) -> None:
    on_a_screen(page, width)
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert page.evaluate(PAST_THE_EDGE) == []
    assert page.evaluate(NARROW) == []


def test_an_operation_has_a_telephone_s_screen_to_itself(page: Page) -> None:
    on_a_screen(page, 390)
    heights = page.evaluate(OPERATIONS)
    assert len(heights) > 20 and min(heights) >= 844


def test_a_dim_shop_has_light_words_on_dark(page: Page) -> None:
    on_a_screen(page, 390)
    page.emulate_media(color_scheme="dark")
    style = "getComputedStyle(document.documentElement)"
    colours = [page.evaluate(f"{style}.{each}") for each in ("backgroundColor", "color")]
    page.emulate_media(color_scheme="light")
    assert colours == ["rgb(17, 17, 17)", "rgb(238, 238, 238)"]


@pytest.mark.parametrize("font", FONTS)
def test_no_label_reaches_out_of_its_drawing_whatever_the_font(page: Page, font: str) -> None:
    """A page whose own letters are kept out is printed with whatever there is."""
    on_a_screen(page, 1280)
    own = page.evaluate(STYLE)
    if font != FAMILY:
        other = own.replace(font_faces(), "") + f"svg text {{ font-family: {font} }}"
        page.evaluate(DRESSED, other)
    labels = page.evaluate("document.querySelectorAll('svg text').length")
    assert labels > 200
    assert page.evaluate(LOST_LABELS) == []
    page.evaluate(DRESSED, own)


@pytest.mark.parametrize("page", ["vestibule"], indirect=True)
def test_axe_finds_nothing(page: Page) -> None:
    path = os.environ.get("AXE_CORE", "")
    if not path:
        pytest.skip("AXE_CORE names no file of axe-core")
    on_a_screen(page, 390)
    page.evaluate(Path(path).read_text(encoding="utf-8"))
    found = page.evaluate("async () => (await axe.run()).violations.map(each => each.id)")
    assert found == []
