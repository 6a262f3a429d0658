"""The phone in a real browser: from the code on paper to "proved", the connection cut at
every step; what axe-core finds, what a finger can hit, what is past the edge.

Readings are invented. 48 px for what is pressed is common practice, no source; 24 px is the least
of WCAG 2.2, 2.5.8.
"""

from __future__ import annotations

import io
import os
import re
import shutil
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
import zxingcpp
from PIL import Image

from setupsheets.shop.phone_addresses import page_path, token_of
from tests.browser.questions import LOST_LABELS, PAST_THE_EDGE
from tests.commands.conftest import EXAMPLES, larder
from tests.commands.test_bench import CROSS_BAR
from tests.phone.phones import TOKEN, Phone
from tests.phone.test_addresses import codes_in, sheets
from tests.phone.test_sent_again import free_port, serving, texts
from tests.running import run

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserContext, Page, Route

__all__ = ["larder"]

WIDTHS = (390, 820)
MORTISE = "mortise-chisel/stile-for-cross-bar"
AXE = "async how => (await axe.run(document, how)).violations.map(each => each.id)"
LETTERS = """() => Math.min(...[...document.querySelectorAll('svg text')].map(each =>
  parseFloat(each.getAttribute('font-size')) * each.getScreenCTM().a))"""
SMALL_LETTERS = """() => [...document.querySelectorAll('svg text')].filter(each =>
  parseFloat(each.getAttribute('font-size')) * Math.hypot(each.getScreenCTM().a,
    each.getScreenCTM().b) < 10).map(each => each.textContent)"""
CODES_ALONE = """() => {
  const codes = [...document.querySelectorAll('svg[id^=code-]')].map(each => each.parentElement);
  document.querySelector('main').replaceChildren(...codes);
  return codes.map(each => {
    const box = each.querySelector('svg').getBoundingClientRect();
    return [[box.left, box.top, box.width, box.height],
            each.querySelector('figcaption').innerText];
  });
}"""
TOO_SMALL = """() => [...document.querySelectorAll('a, button, input:not([type=hidden]), summary')]
  .map(each => [each, (each.matches('.choices input') ? each.closest('label') : each)])
  .filter(([each]) => each.checkVisibility())
  .map(([each, hit]) => [each, hit.getBoundingClientRect()])
  .filter(([each, box]) => box.height < 48 || box.width < 48)
  .map(([each, box]) => `${each.outerHTML.slice(0, 80)} ${box.width} x ${box.height}`)"""


WRONG = f"""() => [{PAST_THE_EDGE}, {TOO_SMALL}, {LOST_LABELS}, {SMALL_LETTERS}]
  .flatMap(each => each())"""


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("phone") / "larder"
    shutil.copytree(EXAMPLES / "larder", folder, ignore=shutil.ignore_patterns("records"))
    (folder / "records").mkdir()
    return folder


@pytest.fixture(scope="module")
def bench(shop: Path) -> Iterator[str]:
    """The program's own `serve` on a shop; where its pages begin."""
    port = free_port()
    with serving(shop, port):
        yield f"http://127.0.0.1:{port}"


@pytest.fixture
def fresh(shop: Path) -> Path:
    """The same shop without a record."""
    shutil.rmtree(shop / "records")
    (shop / "records").mkdir()
    return shop


def opened(browser: Browser, width: int = 390, *, script: bool = True) -> BrowserContext:
    return browser.new_context(
        viewport={"width": width, "height": 844}, has_touch=True, java_script_enabled=script
    )


def pressed(page: Page, words: str) -> None:
    """Press what says these words, and wait for the next page."""
    with page.expect_navigation():
        page.locator("a, button").filter(has_text=words).first.click()


def figure(page: Page, text: str) -> None:
    """Type a decimal; where there is a keypad for fractions its field for them is folded away."""
    folded = page.locator("#reading details", has=page.locator("[name=typed]"))
    if folded.count() and folded.get_attribute("open") is None:
        folded.locator("summary").click()
    page.fill("#reading [name=typed]", text)


def test_each_block_has_a_code_that_opens_that_very_set_up(larder: Path, browser: Browser) -> None:
    """Read from the page as a screen has it, a third as fine as a printer."""
    with (larder / "shop.yaml").open("a") as file:
        file.write("\naddress: 192.168.1.20\n")
    page = sheets(larder)
    token = token_of(larder)
    blocks = re.findall(r'<article class="operation" id="o\d+">(.*?)</article>', page, re.S)
    worked = [block for block in blocks if 'class="hand"' not in block]
    assert len(worked) > 15 and all(codes_in(block) for block in worked)
    shown = browser.new_page(viewport={"width": 800, "height": 1100})
    shown.set_content(page)
    figures = shown.evaluate(CODES_ALONE)
    picture = Image.open(io.BytesIO(shown.screenshot(full_page=True)))
    read = {}
    for (x, y, wide, high), caption in figures:
        (found,) = zxingcpp.read_barcodes(picture.crop((x, y, x + wide, y + high)))
        read[found.text] = caption
    shown.close()
    assert len(read) > 20
    phone = Phone(larder)
    for address, caption in read.items():
        start = f"http://192.168.1.20:8731/{token}/"
        assert address.startswith(start)
        phone.open(f"/{TOKEN}/{address.removeprefix(start)}")
        assert phone.status == 200
        first = re.findall(r"\d+", caption)[0]
        assert f'<article id="o{first}">' in phone.html, (address, caption)
    assert token not in (larder / "out" / "larder.json").read_text("utf-8")
    assert token not in (larder / "out" / "larder.md").read_text("utf-8")


# ----------------------------------------------------------------------------------- the whole way


def way(page: Page, bench: str, shop: Path) -> Iterator[str]:
    """From the address to "proved", a page at a time: each is yielded by what it is."""
    home = f"{bench}{page_path(token_of(shop))}"
    page.goto(home)
    yield "jobs"
    pressed(page, "Larder cupboard doors")
    yield "route"
    page.goto(f"{bench}{page_path(token_of(shop), 'larder', MORTISE)}")
    yield "set-up"
    pressed(page, "Read test piece 1")
    yield "first line"
    figure(page, "9.375")
    pressed(page, "Keep it, next line")
    yield "doubt"
    figure(page, ".39")
    pressed(page, "Keep it, next line")
    figure(page, ".375")
    pressed(page, "Keep it, next line")
    pressed(page, "Skip this line")
    yield "all gone through"
    pressed(page, "What does it come to?")
    for _ in range(3):
        if page.locator("text=Read that again").count():
            pressed(page, "Read that again")
            figure(page, ".39")
            pressed(page, "Keep it, next line")
    yield "answer"
    assert not page.locator(".move").first.is_visible()
    page.check("[value=otherwise]")
    assert page.locator(".move").first.is_visible()
    page.check("[value=advised]")
    pressed(page, "Write that")
    pressed(page, "Read a further test piece")
    for text in (".375", ".375", ".875"):
        figure(page, text)
        pressed(page, "Keep it, next line")
    yield "ready"
    page.fill("[name=kept]", "on the nail")
    pressed(page, "Cut the parts so")
    yield "proved"
    assert "PROVED" in page.inner_text("main")


@pytest.mark.parametrize(("width", "script"), [(min(WIDTHS), True), (max(WIDTHS), False)])
def test_from_the_address_to_proved(
    browser: Browser, bench: str, fresh: Path, width: int, script: bool
) -> None:
    context = opened(browser, width, script=script)
    page = context.new_page()
    said: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    core = os.environ.get("AXE_CORE", "")
    seen = []
    for name in way(page, bench, fresh):
        seen.append(name)
        assert page.evaluate("document.documentElement.scrollWidth") <= width, name
        assert page.evaluate(PAST_THE_EDGE) == [], name
        assert page.evaluate(TOO_SMALL) == [], name
        if core and script:
            assert axe(page, core) == [], name
    assert len(seen) == 9
    assert [words for words in said if "422" not in words] == []
    assert len(texts(fresh)) in (4, 5)
    context.close()


def axe(page: Page, core: str) -> list[str]:
    """What axe-core finds, of colours in the dark too; it is put in from outside what the page
    allows."""
    page.evaluate(Path(core).read_text(encoding="utf-8"))
    page.emulate_media(color_scheme="light")
    found: list[str] = page.evaluate(AXE, {})
    page.emulate_media(color_scheme="dark")
    return [*found, *page.evaluate(AXE, {"runOnly": ["color-contrast"]})]


def test_a_finger_presses_a_fraction(browser: Browser, bench: str, fresh: Path) -> None:
    context = opened(browser)
    page = context.new_page()
    page.goto(f"{bench}{page_path(token_of(fresh), 'larder', CROSS_BAR)}")
    pressed(page, "Read test piece 1")
    digits = page.locator("#digits")
    for key in ("1", "6", "back", "5"):
        digits.get_by_text(key, exact=True).click()
    page.locator(".key", has_text=re.compile(r"^1/8$")).click()
    digits.get_by_text("1", exact=True).click()
    page.locator(".key", has_text="full").click()
    pressed(page, "Keep it, next line")
    assert "found: 15 1/8 in + 1/256 in" in texts(fresh)[0]
    context.close()


COVERED = """() => [...document.querySelectorAll('#reading :is(input, select, button, summary)')]
  .filter(each => each.type !== 'hidden' && each.checkVisibility())
  .filter(each => {
    each.focus();
    each.scrollIntoView({block: 'nearest'});
    const box = each.getBoundingClientRect(), middle = box.left + box.width / 2;
    const hits = [box.top + 1, box.bottom - 1].map(y => document.elementFromPoint(middle, y));
    return !hits.every(hit => hit && (hit === each || hit.closest('label')?.contains(each)));
  }).map(each => each.outerHTML.slice(0, 80))"""


def test_what_keeps_a_figure_is_on_the_screen_with_it(
    browser: Browser, bench: str, fresh: Path
) -> None:
    context = opened(browser)
    page = context.new_page()
    page.goto(f"{bench}{page_path(token_of(fresh), 'larder', CROSS_BAR)}")
    pressed(page, "Read test piece 1")
    keep = page.locator("button", has_text="Keep it, next line")
    for place in ("[name=whole]", "#digits", "fieldset:has([name=hair])"):
        page.locator(place).scroll_into_view_if_needed()
        box = keep.bounding_box()
        assert box and box["y"] >= 0 and box["y"] + box["height"] <= 844, place
    for summary in page.locator("#reading summary").all():
        summary.click()
    assert page.evaluate(COVERED) == []
    context.close()


# ------------------------------------------------------------------------------- the connection cut


class Cut:
    """A connection that is cut twice at each form: before it has left, then once it is written."""

    def __init__(self, context: BrowserContext) -> None:
        self.seen: Counter[str] = Counter()
        context.route("**/*", self._pass)

    def _pass(self, route: Route) -> None:
        request = route.request
        sent = f"{request.url} {request.post_data}"
        if request.method != "POST" or self.seen[sent] == 2:
            route.continue_()
            return
        self.seen[sent] += 1
        if self.seen[sent] == 2:
            route.fetch(max_redirects=0)
        route.abort("connectionreset")


def test_a_connection_cut_twice_at_every_step_loses_and_doubles_nothing(
    browser: Browser, bench: str, fresh: Path
) -> None:
    context = opened(browser)
    cut = Cut(context)
    page = context.new_page()
    for _ in way(page, bench, fresh):
        pass
    assert len(cut.seen) >= 9 and set(cut.seen.values()) == {2}
    kept = texts(fresh)
    assert len(re.findall("  - of: ", "".join(kept))) >= 5
    assert sum("\ndid:" in text for text in kept) == 1
    assert sum("verdict: proved" in text for text in kept) == 1
    figures = re.findall(r"found: '?(.+?)'?$", kept[0], re.M)
    assert figures == [".39 in", "3/8 in"], "each once"
    assert page.evaluate("localStorage.length") == 0
    context.close()


def test_what_was_not_sent_is_on_the_phone_when_it_is_opened_again(
    browser: Browser, bench: str, fresh: Path
) -> None:
    """Away from the network the page is closed; opened again within reach it sends by itself."""
    context = opened(browser)
    page = context.new_page()
    here = f"{bench}{page_path(token_of(fresh), 'larder', CROSS_BAR)}"
    page.goto(here)
    pressed(page, "Read test piece 1")
    page.locator("#reading [name=typed]").wait_for(state="attached")
    context.set_offline(True)
    figure(page, "15.125")
    page.locator("button", has_text="Keep it, next line").click()
    page.locator("#unsent", has_text="Not written yet: 15.125. No connection").wait_for()
    assert "sent again by itself; the next waits until then" in page.inner_text("#unsent")
    page.locator("button", has_text="Keep it, next line").click()
    page.close()
    assert texts(fresh) == []
    context.set_offline(False)
    page = context.new_page()
    with page.expect_navigation(url="**line=1"):
        page.goto(f"{bench}{page_path(token_of(fresh))}", wait_until="commit")
    (text,) = texts(fresh)
    assert text.count("found:") == 1 and "found: 15 1/8 in" in text
    context.close()


def test_what_the_bench_does_not_take_is_kept_until_it_is_thrown_away(
    browser: Browser, bench: str, fresh: Path
) -> None:
    """As when the token was renewed: the address is none any more."""
    context = opened(browser)
    page = context.new_page()
    page.goto(f"{bench}{page_path(token_of(fresh), 'larder', CROSS_BAR)}")
    pressed(page, "Read test piece 1")
    page.evaluate("document.getElementById('reading').action = '/old/larder'")
    figure(page, "15.125")
    page.locator("button", has_text="Keep it, next line").click()
    page.locator(
        "#unsent",
        has_text="15.125. Nothing is here. The code on the sheet may be of an earlier token. It",
    ).wait_for()
    page.reload()
    page.locator(
        "#unsent",
        has_text="15.125. Nothing is here. The code on the sheet may be of an earlier token. It",
    ).wait_for()
    page.locator("button", has_text="Throw it away").click()
    assert page.inner_text("#unsent") == ""
    assert page.evaluate("localStorage.length") == 0
    context.close()


@pytest.mark.parametrize("job", ["larder", "vestibule"])
def test_a_set_up_of_every_recipe_fits_a_phone(browser: Browser, tmp_path: Path, job: str) -> None:
    """Nothing past the edge, every label whole and legible: 10 px is 2.6 mm at 96 dots to the inch,
    as a phone counts them."""
    shop, port = tmp_path / job, free_port()
    shutil.copytree(EXAMPLES / job, shop)
    context = opened(browser)
    page = context.new_page()
    with serving(shop, port):
        page.goto(f"http://127.0.0.1:{port}{page_path(token_of(shop), job)}")
        found = page.eval_on_selector_all("a.step", "all => all.map(each => each.href)")
        paths = {each.rpartition("/")[2].partition("~")[0]: str(each) for each in found}
        assert len(paths) > 10
        for path in paths.values():
            page.goto(path)
            assert page.evaluate("document.documentElement.scrollWidth") <= 390, path
            assert page.evaluate(WRONG) == [], path
    context.close()


def test_the_chart_of_readings_is_legible_on_a_phone(
    browser: Browser, bench: str, fresh: Path
) -> None:
    """On the page, and as `recall` writes it; two pieces, one of them outside."""
    chart = fresh / "chart.svg"
    day = ("--shop", fresh, "--date", "2021-03-01")
    for text in ("14 1/2", "14 3/8"):
        said = ("--found", f"back_length={text}", "--found", "overall=15 1/8", "--did", "nothing")
        ran = run("log", "larder", CROSS_BAR, *day, *(said[:4] if text == "14 1/2" else said))
        assert ran.code == 0, ran.err
    assert run("recall", "cope", "--shop", fresh, "--chart", chart).code == 0
    context = opened(browser)
    page = context.new_page()
    page.goto(f"{bench}{page_path(token_of(fresh), 'larder', CROSS_BAR)}/answer")
    on_page = page.locator("figure.chart svg")
    assert "piece 1 +1/8 in OUTSIDE, piece 2 0 in inside" in str(on_page.text_content())
    assert page.evaluate(LOST_LABELS) == [] and page.evaluate(SMALL_LETTERS) == []
    assert page.evaluate(LETTERS) >= 14
    alone = opened(browser).new_page()
    alone.set_content(
        f"<style>svg {{ width: 100%; height: auto }}</style>{chart.read_text('utf-8')}"
    )
    assert str(alone.locator("svg").text_content()) == str(on_page.text_content())
    assert alone.evaluate(LOST_LABELS) == [] and alone.evaluate(LETTERS) >= 14
    context.close()


def test_the_server_may_stop_between_two_figures(browser: Browser, fresh: Path) -> None:
    port = free_port()
    context = opened(browser)
    page = context.new_page()
    with serving(fresh, port):
        page.goto(f"http://127.0.0.1:{port}{page_path(token_of(fresh), 'larder', CROSS_BAR)}")
        pressed(page, "Read test piece 1")
        figure(page, "15.125")
        pressed(page, "Keep it, next line")
    figure(page, "14.375")
    page.locator("button", has_text="Keep it, next line").click()
    page.locator("#unsent", has_text="No connection").wait_for()
    with page.expect_navigation(url="**line=2"), serving(fresh, port):
        page.wait_for_url("**line=2")
    assert re.findall("found: (.+)", texts(fresh)[0]) == ["15 1/8 in", "14 3/8 in"]
    context.close()
