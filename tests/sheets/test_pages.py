"""The pages: structure, escaping, no way out of the page, the same bytes each time.

What a browser makes of a page is checked with the standard library's HTML parser; the rules of
Markdown that titles are tried against are those of CommonMark 0.31 (block and inline starts).
"""

from __future__ import annotations

import itertools
import re
from functools import cache
from html.parser import HTMLParser
from xml.etree.ElementTree import fromstring

import pytest
from jinja2 import UndefinedError
from markdown_it import MarkdownIt

from setupsheets.sheets.content.finished import RouteRow, SheetContent, TestRow
from setupsheets.sheets.content.finished_parts import Table
from setupsheets.sheets.letters.letters import text_width
from setupsheets.sheets.making import only_machine
from setupsheets.sheets.pages import pages, web
from setupsheets.sheets.pages.escaping import escape_markdown
from setupsheets.sheets.pages.heights import POINT, width_of
from setupsheets.sheets.pages.pages import (
    drawing_files,
    to_html,
    to_markdown,
)
from setupsheets.sheets.pages.web import page_of
from tests.sheets.sheet_plans import JOBS, content, titled

NASTY = (
    "<script>alert(1)</script>",
    "</style><b>bold</b>",
    "| pipe | in | a | title |",
    "# heading",
    "#",
    "[rail](http://example.org)",
    "![x](drawings/operation-01.svg)",
    "![x](http://example.org/x.png)",
    "<http://example.org>",
    "&lt;b&gt; &amp; &#60;",
    "**bold** _low_ `code` ~~gone~~",
    "- item",
    "+ item",
    "* item",
    "1. item",
    "2) item",
    "---",
    "===",
    "> quoted",
    "```fence",
    "    four spaces",
    "back\\slash\\",
    "two\nlines\n\n# and more",
    "tab\tand\x00nul\x1b",
    "\"quotes\" and 'apostrophes'",
    "{{ content }} {% raw %}",
    "[ref]: http://example.org",
    "a\\| b",
)
VOID = {"meta", "br", "hr", "img", "link", "input", "col"}


class Page(HTMLParser):
    """Tags in order with their attributes, the words of every element, and whether all close."""

    def __init__(self, html: str) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.open: list[str] = []
        self.words: list[tuple[str, str]] = []
        self.feed(html)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self.open and self.open.pop() == tag, f"</{tag}> closes nothing that is open"

    def handle_data(self, data: str) -> None:
        if data.strip() and self.open:
            self.words.append((self.open[-1], data))

    def count(self, tag: str) -> int:
        return sum(1 for name, _ in self.tags if name == tag)

    def of(self, tag: str) -> list[dict[str, str | None]]:
        return [attrs for name, attrs in self.tags if name == tag]


@pytest.fixture(scope="module", params=JOBS)
def sheets(request: pytest.FixtureRequest) -> SheetContent:
    return content(request.param)


@pytest.fixture(scope="module")
def html(sheets: SheetContent) -> str:
    return to_html(sheets)


@pytest.fixture(scope="module")
def page(html: str) -> Page:
    return Page(html)


def test_what_is_got_out_beside_the_parts_stands_under_them(
    sheets: SheetContent, html: str
) -> None:
    for page, ends in ((to_markdown(sheets), "## Test pieces"), (html, "</article")):
        told = page.replace("\xa0", " ").partition("Parts to get out")[2].partition(ends)[0]
        assert sheets.cover.besides and sheets.cover.besides in told


def test_the_page_is_whole_and_leads_nowhere_else(
    sheets: SheetContent, html: str, page: Page
) -> None:
    assert page.open == [] and html.startswith("<!DOCTYPE html>")
    assert page.of("html") == [{"lang": "en"}] and page.count("title") > 1
    for tag in ("script", "link", "img", "iframe", "object", "form"):
        assert page.count(tag) == 0
    assert all((each["href"] or "").startswith("#") for each in page.of("a"))
    told = re.sub(r"url\(data:font/woff2;base64,[A-Za-z0-9+/=]+\)", "", html)
    assert not re.search(r"https?:|//[a-z]|@import|url\((?!#)", told)
    assert len(html) - len(told) > 20_000  # both weights of the letters are in the page
    faces = re.findall(r"font-family: \"[^\"]+\"; font-weight: (\d+); src: url\(data:", html)
    assert faces == ["400", "700"]
    assert page.count("svg") == len(sheets.drawings)


def test_headings_stand_in_order_and_every_sheet_and_operation_has_one(
    sheets: SheetContent, page: Page
) -> None:
    levels = [int(tag[1]) for tag, _ in page.tags if re.fullmatch("h[1-6]", tag)]
    assert levels[0] == 1 and all(b - a <= 1 for a, b in itertools.pairwise(levels))
    sections = 2 + len(sheets.machines) + len(sheets.parts.pages)  # the cover and the route
    assert levels.count(1) == sections == page.count("section")
    blocks = sum(len(sheet.operations) for sheet in sheets.machines)
    kinds = [(each["class"] or "").split() for each in page.of("article")]
    assert sum("operation" in each for each in kinds) == blocks


def test_a_page_s_head_says_of_which_job_day_and_figures_it_is(
    sheets: SheetContent, html: str
) -> None:
    assert f" · {sheets.title} · {sheets.date} · {sheets.fingerprint}</span>" in html


def test_tables_are_real_with_heads_for_columns_and_rows(page: Page) -> None:
    assert page.count("table") == page.count("thead") == page.count("caption") > 20
    scopes = {each.get("scope") for each in page.of("th")}
    assert scopes == {"col", "row"}


def test_every_measure_has_empty_boxes_for_the_pencil_in_its_own_row(
    sheets: SheetContent, html: str
) -> None:
    """As many targets in a row as it has boxes at the least, and every measure once."""
    blocks = [block for sheet in sheets.machines for block in sheet.operations]
    measures = sum(len(row.measures) for block in blocks for row in block.rows)
    rows = re.findall(r"<tr[^>]*>(?:(?!</tr>).)*</tr>", html, re.DOTALL)
    found = [
        (row.count('class="target"'), re.findall(r'<td class="box">(.*?)</td>', row))
        for row in rows
    ]
    found = [(targets, boxes) for targets, boxes in found if targets or boxes]
    dry_fit = sheets.parts.block("dry-fit")
    assert dry_fit is not None and dry_fit.table is not None
    assert sum(targets for targets, _ in found) == measures + len(dry_fit.table.rows)
    assert all(len(boxes) >= targets > 0 for targets, boxes in found)
    assert {words for _, boxes in found for words in boxes} == {""}


def test_what_is_done_is_told_apart_from_the_parts_that_it_is_done_on(html: str) -> None:
    words = re.sub(r"<[^>]*>", "", html)
    assert "× stile; the sight edge." in words and "stile, the sight edge" not in words


def test_ids_are_unique_in_the_whole_page(sheets: SheetContent, html: str) -> None:
    ids = re.findall(r'\bid="([^"]+)"', html)
    assert len(ids) == len(set(ids)) > len(sheets.drawings)


def test_every_line_of_the_route_leads_to_its_operation(sheets: SheetContent, page: Page) -> None:
    ids = {attrs["id"] for _, attrs in page.tags if "id" in attrs}
    numbers = [row.number for m in sheets.machines for b in m.operations for row in b.rows]
    assert {f"o{number}" for number in numbers} <= ids
    jumps = [(attrs["href"] or "").removeprefix("#o") for attrs in page.of("a")]
    firsts = [row.first for row in sheets.cover.route]
    assert len(jumps) > 20 and [each for each in firsts if each in jumps] == jumps
    # What is done alike one after another is one step, and its number says how far it goes.
    titles = {row.first: (row.title, row.machine, row.verdict) for row in sheets.cover.route}
    ends = [*map(firsts.index, jumps[1:]), len(firsts)]
    for each, end in zip(jumps, ends, strict=True):
        step = firsts[firsts.index(each) : end]
        assert {titles[first] for first in step} == {titles[each]}


def test_the_route_says_how_many_test_pieces_to_expect_and_what_the_number_is(
    sheets: SheetContent, page: Page
) -> None:
    printed = " ".join(words.strip() for _, words in page.words)
    assert "Behind TEST: how many test pieces to expect" in printed
    tested = {row.pieces for row in sheets.cover.route if row.verdict == "TEST"}
    told = {int(each) for each in re.findall(r"\bTEST\u00a0(\d+)\b", printed)}
    assert tested and told and told <= tested and max(told) == max(tested)


def test_operations_for_which_one_figure_is_set_and_nothing_read_stand_two_in_a_row(
    sheets: SheetContent,
) -> None:
    main = fromstring(web.environment().get_template("sheets.html").render(content=sheets))
    every = (block for machine in sheets.machines for block in machine.operations)
    block = next(block for block in every if block.title == "Cut rough to length")
    article = main.find(f".//article[@id='o{block.rows[0].number}']")
    assert article is not None
    rows = article.findall(".//table/tbody/tr")
    told = [
        [" ".join("".join(cell.itertext()).split()) for cell in row if len(cell) or cell.text]
        for row in rows
    ]
    assert len(rows) == (len(block.rows) + 1) // 2 > 1
    assert [each for row in told for each in row] == [
        words
        for row in block.rows
        for words in (row.number, f"{row.parts}.", row.settings[0].set_to.replace("\u00a0", " "))
    ]


def test_drawings_stand_in_rows_that_the_page_holds_and_words_with_the_last_of_them(
    sheets: SheetContent,
) -> None:
    """Gaps of 4 mm between them, 196 mm in all."""
    main = fromstring(web.environment().get_template("sheets.html").render(content=sheets))
    rows = [
        [width_of(figure) for figure in each.findall("figure")]
        for each in main.iter("div")
        if "beside" in each.get("class", "").split()
    ]
    assert len(rows) > 15 and max(map(len, rows)) > 1
    assert all(sum(row) + 4 * (len(row) - 1) <= 196 for row in rows)
    cover = main.find(".//section[@id='cover']")
    assert cover is not None
    *others, last = cover.findall("div")
    drawn = [each.find("svg") for row in (*others, last) for each in row.findall("figure")]
    assert [each.get("id") for each in drawn if each is not None] == [
        each.name for each in sheets.cover.drawings
    ]
    assert last.find("p") is not None and all(row.find("p") is None for row in others[1:])


def test_markdown_links_to_drawings_that_are_written_beside_it(sheets: SheetContent) -> None:
    markdown, files = to_markdown(sheets), drawing_files(sheets)
    links = re.findall(r"\]\(([^)]+)\)", markdown)
    assert links == [f"drawings/{drawing.name}.svg" for drawing in sheets.drawings]
    assert set(links) == set(files)
    assert all(text.startswith("<svg xmlns=") for text in files.values())


def test_markdown_has_whole_tables_and_no_html(sheets: SheetContent) -> None:
    markdown = to_markdown(sheets)
    assert "<" not in markdown.replace("\\<", "")
    for table in re.findall(r"(?:^\|.*\n)+", markdown, re.MULTILINE):
        widths = {len(re.findall(r"(?<!\\)\|", line)) for line in table.splitlines()}
        assert len(widths) == 1, table
    assert "\n\n\n" not in markdown and not re.search(r"[^\n|]\n#", markdown)


def test_the_same_input_gives_the_same_bytes() -> None:
    content.cache_clear()
    once = content("larder")
    first = (to_html(once), to_markdown(once))
    content.cache_clear()
    again = content("larder")
    assert first == (to_html(again), to_markdown(again))


COLUMN = ("div", "column")


def unparted(made: SheetContent) -> Page:
    return Page(page_of("sheets.html", "", made.title, high=1e9, content=made))


@cache
def plain_page() -> Page:
    return unparted(titled("Plain words"))


@pytest.mark.parametrize("title", [*NASTY[:3], " ".join(NASTY)])
def test_what_a_user_writes_is_shown_and_does_nothing_else(title: str) -> None:
    """On pages of any length, so that no table is parted for what its words are long; which of two
    columns a block stands in may well hang on that."""
    made = titled(title)
    plain, nasty = plain_page(), unparted(made)
    page = Page(to_html(made))
    assert page.open == [] == nasty.open
    kinds, expected = (
        [kind for tag, attrs in each.tags if (kind := (tag, attrs.get("class"))) != COLUMN]
        for each in (nasty, plain)
    )
    assert kinds == expected
    assert {tag for tag, _ in page.tags} == {tag for tag, _ in plain.tags}
    shown = " ".join("".join(c for c in title if c >= " " or c.isspace()).split())
    told = [" ".join(words.split()) for tag, words in page.words if tag in ("title", "h1")]
    assert f"{shown}: setup sheets" in told and shown in told


@pytest.mark.parametrize("title", NASTY)
def test_escaped_words_come_back_from_markdown_as_they_were(title: str) -> None:
    shown = " ".join("".join(c for c in title if c >= " " or c.isspace()).split())
    reader = MarkdownIt("commonmark").enable(["table", "strikethrough"])
    written = escape_markdown(title)
    for page in (f"{written}\n", f"- **x** {written}\n", f"| a |\n| --- |\n| {written} |\n"):
        found = Page(reader.render(page))
        words = " ".join("".join(words for tag, words in found.words if tag != "th").split())
        assert words.removeprefix("x ").removeprefix("x") == shown


@pytest.mark.parametrize(
    ("words", "written"),
    [
        ("18 3/4 in", "18 3/4 in"),
        ("-1/32 in", "-1/32 in"),
        ("- 1/32 in", "\\- 1/32 in"),
        ("25/64 in +.0031", "25/64 in +.0031"),
        ("1/8 in - 3", "1/8 in - 3"),
        ("1. of two", "1\\. of two"),
        ("1.5 mm", "1.5 mm"),
        ("# 4 bit", "\\# 4 bit"),
        ("#4 bit", "#4 bit"),
        (7, "7"),
        ("", ""),
    ],
)
def test_only_what_would_be_markup_is_escaped(words: object, written: str) -> None:
    assert escape_markdown(words) == written


def test_a_missing_value_stops_the_page() -> None:
    environment = pages._environment()
    with pytest.raises(UndefinedError):
        environment.from_string("{{ sheet.tittle }}").render(sheet=content("larder"))
    with pytest.raises(UndefinedError):
        environment.get_template("cover.md").render()
    with pytest.raises(UndefinedError):
        web.environment().get_template("cover.html").render()


def test_one_machine_alone_has_its_own_pages_and_every_caution() -> None:
    whole = content("larder")
    one = only_machine(whole, "table-saw")
    assert one.machines == tuple(each for each in whole.machines if each.machine == "table-saw")
    for page in (to_markdown(one), to_html(one)):
        assert "Table saw" in page and "Router table" not in page and "Cut list" not in page
        assert all(line.words[:20] in page for line in whole.cover.cautions)
    with pytest.raises(KeyError):
        only_machine(whole, "table-saws")


def test_the_table_of_test_pieces_says_what_each_is_like() -> None:
    rows = [TestRow("cope", "2, 60 % right", "cross bar", "3/32 in"),
            TestRow("chop", "3, 60 % right", "stile", "")]  # fmt: skip
    table = web.test_table(rows)
    assert table.headings == (
        "Set-up", "Test pieces, 60 % right", "Like the", "First blanks longer by"
    )  # fmt: skip
    assert [row[1:3] for row in table.rows] == [("2", "cross bar"), ("3", "stile")]
    mixed = [*rows[:1], TestRow("chop", "3, best over 99 % right", "stile", "")]
    table = web.test_table(mixed)
    assert table.headings[1] == "Test pieces"
    assert [row[1] for row in table.rows] == ["2, 60 % right", "3, best over 99 % right"]
    assert web.doubtful([*mixed, TestRow("rip", "1", "stile", "")]) == rows[:1]


STEPS: list[tuple[list[tuple[str, str, str, str, int]], tuple[str, str, str]]] = [
    # number, title, parts, verdict and pieces of each row; number, parts and verdict of the step
    ([("1", "Rip", "stile", "", 0)], ("1", "stile", "")),
    ([("1", "Rip", "leaf", "", 0)], ("1", "", "")),
    ([("1–3", "Rip", "stile, rail and bar", "", 0)], ("1–3", "", "")),
    ([("1–3", "Rip", "stile and rail", "go", 0)], ("1–3", "stile and rail", "go")),
    ([("2", "Cope", "rail", "TEST", 2)], ("2", "rail", "TEST\u00a02")),
    ([("2", "Cope", "rail", "TEST: 1 so far", 3)], ("2", "rail", "TEST\u00a03: 1 so far")),
    ([("2", "Cope", "rail", "TEST", 1), ("3–4, 7", "Cope", "bar", "TEST", 3)],
     ("2–7", "", "TEST\u00a03")),
]  # fmt: skip


def test_a_step_of_the_route_tells_parts_and_pieces_once() -> None:
    """Of more than two parts, and of several blocks, the names stand with the blocks."""
    for told, (number, parts, verdict) in STEPS:
        rows = [
            RouteRow(each, re.split("[–,]", each)[0], title, "Saw", of, said, pieces)
            for each, title, of, said, pieces in told
        ]
        ((machine, (step,)),) = web.visits(rows)
        assert (machine, step.title, step.first) == ("Saw", told[0][1], rows[0].first)
        assert (step.number, step.parts, step.verdict) == (number, parts, verdict)


def test_a_long_stay_at_a_machine_is_told_in_several_visits() -> None:
    """Six steps at the most; another machine is another visit."""
    rows = [RouteRow(str(n), str(n), f"Cut {n}", "Saw", "", "", 0) for n in range(1, 14)]
    rows += [RouteRow("14", "14", "Chop", "Mortiser", "", "", 0), rows[0]]
    told = [(name, [step.number for step in steps]) for name, steps in web.visits(rows)]
    stays = [[*map(str, range(1, 7))], [*map(str, range(7, 13))], ["13"]]
    assert told == [*(("Saw", each) for each in stays), ("Mortiser", ["14"]), ("Saw", ["1"])]


def test_columns_are_as_wide_as_their_words_and_share_what_is_left() -> None:
    """By the widths of the letters: 3 mm of room at the sides of a cell; a heading may be parted
    between its words, a cell where there is no room for all of it in one line."""

    def wide(words: str) -> float:
        return text_width(words, 11 * POINT) + 3

    def head(words: str) -> float:
        return text_width(words, 9.5 * POINT, True) + 3

    short = Table(("Part", "How many"), (("stile", "4"), ("a longer name", "12")))
    needs = [wide("a longer name"), head("many")]
    each = (100 - sum(needs)) / 2
    assert web.columns(short, 100.0) == pytest.approx([need + each for need in needs], abs=0.06)
    long = "word " * 60
    low, name = wide("word"), wide("stile")
    narrow = Table(("A", "B"), (("stile", long.strip()),))
    assert web.columns(narrow, 100.0) == pytest.approx([name, 100 - name], abs=0.06)
    two = Table(("A", "B"), ((long.strip(), long.strip()),))
    assert web.columns(two, 100.0) == [50.0, 50.0]
    thrice = Table(("A", "B"), ((long.strip(), (long * 3).strip()),))
    once, more = (wide(each.strip()) - low for each in (long, long * 3))
    left = 100 - 2 * low
    shares = [low + left * each / (once + more) for each in (once, more)]
    assert web.columns(thrice, 100.0) == pytest.approx(shares, abs=0.06)
    boxed = Table(("A", "found", "moved"), (("stile", "", ""),), boxes=1)
    ratio = (name + (100 - name - 44) / 3) / (22 + (100 - name - 44) / 3)
    first, second, third = web.columns(boxed, 100.0)
    assert (first, second) == (round(first, 1), round(second, 1))
    assert second == third and first / second == pytest.approx(ratio, abs=0.01)
