"""Sheets on a screen: telephone, tablet and desk, light and dark; every label whole.

What is past an edge or out of its drawing is asked of the browser. Accessibility is checked by
axe-core, a library of others: its file is named by the variable AXE_CORE.
"""

from __future__ import annotations

import os
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from setupsheets.sheets.letters.letters import FAMILY, font_faces
from setupsheets.sheets.pages.pages import to_html
from tests.browser.questions import LOST_LABELS, NARROW, OPERATIONS, PAST_THE_EDGE
from tests.sheets.sheet_plans import JOBS, content

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page, ViewportSize

WIDTHS = (390, 820, 1280)
FONTS = (FAMILY, "DejaVu Sans", "DejaVu Serif", "monospace")


@cache
def html(job: str) -> str:
    return to_html(content(job))


def shown(browser: Browser, page: str, width: int, dark: bool = False) -> Page:
    size: ViewportSize = {"width": width, "height": 844}
    made: Page = browser.new_page(viewport=size, color_scheme="dark" if dark else "light")
    made.set_content(page)
    made.evaluate("document.fonts.ready")
    return made


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("job", JOBS)
def test_nothing_is_past_the_edge_and_no_column_is_squeezed(
    browser: Browser, job: str, width: int
) -> None:
    page = shown(browser, html(job), width)
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert page.evaluate(PAST_THE_EDGE) == []
    assert page.evaluate(NARROW) == []
    page.close()


def test_an_operation_has_a_telephone_s_screen_to_itself(browser: Browser) -> None:
    page = shown(browser, html("larder"), 390)
    heights = page.evaluate(OPERATIONS)
    assert len(heights) > 20 and min(heights) >= 844
    page.close()


def test_a_dim_shop_has_light_words_on_dark(browser: Browser) -> None:
    page = shown(browser, html("larder"), 390, dark=True)
    style = "getComputedStyle(document.documentElement)"
    assert page.evaluate(f"{style}.backgroundColor") == "rgb(17, 17, 17)"
    assert page.evaluate(f"{style}.color") == "rgb(238, 238, 238)"
    page.close()


@pytest.mark.parametrize("font", FONTS)
@pytest.mark.parametrize("job", JOBS)
def test_no_label_reaches_out_of_its_drawing_whatever_the_font(
    browser: Browser, job: str, font: str
) -> None:
    """A page whose own letters are kept out is printed with whatever there is."""
    own = html(job)
    other = own if font == FAMILY else own.replace(font_faces(), "").replace(FAMILY, font)
    page = shown(browser, other, 1280)
    labels = page.evaluate("document.querySelectorAll('svg text').length")
    assert labels > 200
    assert page.evaluate(LOST_LABELS) == []
    page.close()


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("job", JOBS)
def test_axe_finds_nothing(browser: Browser, job: str, width: int) -> None:
    path = os.environ.get("AXE_CORE", "")
    if not path:
        pytest.skip("AXE_CORE names no file of axe-core")
    page = shown(browser, html(job), width)
    page.add_script_tag(content=Path(path).read_text(encoding="utf-8"))
    found = page.evaluate("async () => (await axe.run()).violations.map(each => each.id)")
    assert found == []
    page.close()
