"""Sheets as Chromium prints them: nothing is higher than it was laid out to be, on either paper.

How high everything prints is asked of the browser, element by element, with its print style; what
the program says of it is `sheets/pages/heights.py`.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator
from functools import cache
from typing import TYPE_CHECKING, Any

import pytest

from setupsheets.sheets.pages import web
from setupsheets.sheets.pages.heights import height
from setupsheets.sheets.pages.pages import to_html
from setupsheets.sheets.pages.paging import HIGH, lay_out
from tests.benchmarks.paper import html_of
from tests.browser.questions import BROKEN_FIGURES, PAGES, SIZES, TALLER
from tests.sheets.sheet_plans import JOBS, content

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

    from playwright.sync_api import Browser, Page

MM = 96 / 25.4
PAPERS = {"A4": 297.0 - 14, "Letter": 279.4 - 14}


def printed(job: str, everything: bool) -> str:
    """All that can be printed of an example without records, or what `sheet` prints of it today;
    each piece of it with how high it was said to be."""

    def say(main: Element, *rest: Any) -> None:
        lay_out(main, *rest)
        for holder in (*main.findall("section"), *main.iterfind("section/article")):
            for each in holder:
                if each.tag != "article":
                    each.set("data-said", f"{height(each):.2f}")

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(web, "lay_out", say)
        return to_html(content(job)) if everything else html_of(job)


@pytest.fixture(scope="module")
def pages(browser: Browser) -> Iterator[Callable[[str, bool], Page]]:
    """Opens what is ``printed`` as paper has it, once."""
    context = browser.new_context(viewport={"width": round(210 * MM), "height": 1000})

    @cache
    def opened(job: str, everything: bool) -> Page:
        shown = context.new_page()
        shown.emulate_media(media="print")
        shown.set_content(printed(job, everything))
        shown.evaluate("document.fonts.ready")
        return shown

    yield opened
    context.close()


@pytest.fixture(params=[(job, every) for job in JOBS for every in (True, False)])
def page(pages: Callable[[str, bool], Page], request: pytest.FixtureRequest) -> Page:
    return pages(*request.param)


def test_no_page_is_higher_than_its_paper_and_none_but_the_last_a_third_white(page: Page) -> None:
    heights: list[float] = []
    for breaks, top, foot in page.evaluate(PAGES):
        if breaks or not heights:
            heights.append(0.0)
        heights[-1] += (foot - top) / MM
    assert len(heights) > 10
    assert max(heights) <= HIGH < min(PAPERS.values())
    assert min(heights[:-1]) >= HIGH * 2 / 3


def test_no_table_breaks_a_figure_over_two_lines(page: Page) -> None:
    figures = page.evaluate(BROKEN_FIGURES)
    assert {"±", "."} <= {sign for words, _ in figures for sign in words}
    assert len(figures) > 300
    assert [words for words, lines in figures if lines != 1] == []


def test_what_is_set_is_28_pt_and_what_is_worked_from_11(page: Page) -> None:
    """Heads of tables, captions, commands, sources and what names a page are 9 pt at least."""
    found = page.evaluate(SIZES)
    assert len(found) > 1000
    assert {size for size, _, figure, _ in found if figure} == {28}
    assert [words for size, *_, words in found if size < 9] == []
    assert [words for size, small, _, words in found if size < 11 and not small] == []


LINE = 4.3
"""A line of 11 pt in mm."""


@pytest.mark.parametrize("job", JOBS)
def test_what_stands_on_a_page_is_as_high_as_was_said(
    pages: Callable[[str, bool], Page], job: str
) -> None:
    """No piece of a page is higher, and all together are lower by half a line a page at most."""
    found = pages(job, False).evaluate(TALLER)
    assert len(found) > 100
    assert [words for words, said, high in found if high > said + 0.1] == []
    assert sum(said - high for _, said, high in found) <= LINE / 2 * MOST[job]


MOST = {"larder": 17, "vestibule": 22}
"""Pages of each example as `sheet` prints it. Three grooves, four copes and a panel more than the
larder take the vestibule's six."""


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("job", JOBS)
def test_an_example_takes_no_more_pages_than_this(
    pages: Callable[[str, bool], Page], job: str, paper: str
) -> None:
    from pypdf import PdfReader  # noqa: PLC0415

    made = pages(job, False).pdf(
        format=paper, margin={"top": "7mm", "bottom": "7mm", "left": "7mm", "right": "7mm"}
    )
    assert len(PdfReader(io.BytesIO(made)).pages) <= MOST[job]
