"""The phone in a hand at the machine: what is pressed is seen, what fails is told where the thumb
is, and a browser of five years ago loses nothing.

Readings are invented; 360 x 640 px is a small phone, common practice, no source.
"""

from __future__ import annotations

import re
import shutil
from pathlib import Path
from typing import TYPE_CHECKING

from setupsheets.shop.phone_addresses import page_path, token_of
from tests.browser.test_phone import bench, figure, fresh, opened, pressed, shop
from tests.commands.conftest import EXAMPLES
from tests.commands.test_bench import CROSS_BAR
from tests.phone.test_sent_again import free_port, serving, texts

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

__all__ = ["bench", "fresh", "shop"]

IN_SIGHT = """each => { const box = each.getBoundingClientRect();
  return box.height > 0 && box.top >= 0 && box.bottom <= innerHeight; }"""


def first_line(page: Page, bench: str, shop: Path) -> None:
    page.goto(f"{bench}{page_path(token_of(shop), 'larder', CROSS_BAR)}")
    pressed(page, "Read test piece 1")


def pad(page: Page, *keys: str) -> None:
    """Press digits, `/8` for eighths, and what is a hair off."""
    for key in keys:
        name = re.compile(rf"^1{key}$" if key.startswith("/") else rf"^{key}$")
        page.locator(".key, #digits button").filter(has_text=name).first.click()


def test_a_digit_is_pressed_in_sight_of_its_field(
    browser: Browser, bench: str, fresh: Path
) -> None:
    context = opened(browser)
    page = context.new_page()
    page.set_viewport_size({"width": 360, "height": 640})
    first_line(page, bench, fresh)
    page.locator("[name=whole]").evaluate("each => each.closest('.figure-in').scrollIntoView()")
    foot = page.locator(".keep").bounding_box()
    for place in ("[name=whole]", "[name=over]", "#digits"):
        box = page.locator(place).bounding_box()
        assert foot and box and box["y"] >= 0, place
        assert box["y"] + box["height"] <= foot["y"], f"{place} lies under what keeps the figure"
    context.close()


def test_what_is_not_written_is_told_where_the_thumb_is_as_it_was_typed(
    browser: Browser, bench: str, fresh: Path
) -> None:
    context = opened(browser)
    page = context.new_page()
    first_line(page, bench, fresh)
    pad(page, "1", "5", "/8", "1", "full")
    pressed(page, "Keep it, next line")
    machine = fresh / "machines" / "crosscut-saw.yaml"
    text = machine.read_text("utf-8")
    machine.write_text(text.replace("type:", "typ:"), "utf-8")
    try:
        pad(page, "1", "4", "/8", "3")
        page.locator("button", has_text="Keep it, next line").click()
        told = page.locator("#unsent", has_text="Not written yet: 14 3/8. machines/crosscut-saw")
        told.wait_for()
        assert "did you mean 'type'?" in told.inner_text() and "500" not in told.inner_text()
        page.evaluate("scrollTo(0, document.documentElement.scrollHeight)")
        assert told.evaluate(IN_SIGHT)
    finally:
        machine.write_text(text, "utf-8")
    page.wait_for_url("**line=2")
    assert re.findall("found: '?(.+?)'?\n", texts(fresh)[0]) == [
        "15 1/8 in + 1/256 in",
        "14 3/8 in",
    ]
    context.close()


def test_a_browser_that_does_not_tell_the_button_sends_it_all_the_same(
    browser: Browser, bench: str, fresh: Path
) -> None:
    """Some browsers tell it only since 2022 (value from memory)."""
    context = opened(browser)
    context.add_init_script("delete SubmitEvent.prototype.submitter")
    page = context.new_page()
    first_line(page, bench, fresh)
    figure(page, "15 1/8")
    pressed(page, "Keep it, and read this line again")
    assert "Line 1 of 6" in page.inner_text("main")
    pressed(page, "Take back the last figure")
    assert "strikes:" in texts(fresh)[0]
    context.close()


def test_a_comma_of_the_phone_s_own_keys_is_a_point(browser: Browser, tmp_path: Path) -> None:
    shop, port = tmp_path / "vestibule", free_port()
    shutil.copytree(EXAMPLES / "vestibule", shop)
    context = opened(browser)
    page = context.new_page()
    with serving(shop, port):
        here = page_path(token_of(shop), "vestibule", "mortise-chisel/stile-for-bottom-rail")
        page.goto(f"http://127.0.0.1:{port}{here}")
        pressed(page, "Read test piece 1")
        page.locator("[name=typed]").press_sequentially("10,25")
        assert page.input_value("[name=typed]") == "10.25"
    context.close()
