"""Where pages end: heads that count, tables that go on, titles that are never left alone.

Plain arithmetic on made-up sheets: a row is as high as its line and its cell's room (`RULES`).
"""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path
from xml.etree.ElementTree import Element, fromstring, parse, tostring

import pytest

from setupsheets.sheets.letters.letters import text_width
from setupsheets.sheets.pages.heights import POINT, RULES, WIDE, height, rule_of
from setupsheets.sheets.pages.paging import lay_out
from setupsheets.sheets.pages.parting import rows_of
from setupsheets.sheets.pages.web import environment
from tests.sheets.sheet_plans import JOBS, content

ROW = RULES["td"].line + RULES["td"].before + RULES["td"].after


def table(rows: int) -> str:
    body = "".join(f"<tr><th>{number}</th><td>x</td></tr>" for number in range(rows))
    return (
        '<table><colgroup><col style="width: 90mm"/><col style="width: 100mm"/></colgroup>'
        f"<thead><tr><th>No.</th><th>What</th></tr></thead><tbody>{body}</tbody></table>"
    )


def laid(*sheets: str, high: float = 100.0, which: str = "a door · today") -> Element:
    """These sheets on pages, none of which is fuller than it is high; where a table or list goes
    on, its next row had no room; nothing is empty."""
    named = (
        f'<section data-name="Saw {number}"><h1>Saw {number}</h1>{sheet}</section>'
        for number, sheet in enumerate(sheets, 1)
    )
    main = fromstring(f"<main>{''.join(named)}</main>")
    told = _words(main)
    lay_out(main, which, high)
    pages = [0.0]
    for section in main:
        _fill(pages, section, high)
    assert max(pages) < high + 0.61  # each of two lists has room behind it
    assert _words(main) == told, "all of it once, in order"
    assert all(each.find(".//tbody/tr") is not None for each in main.iter("table"))
    assert all(len(each) for each in main.iter("ul"))
    return main


def _words(main: Element) -> list[str]:
    """What is told, without the heads of pages and of tables."""
    heads = {
        each
        for part in main.iter()
        for each in part.iter()
        if part.tag in ("header", "thead", "h1") or "running" in part.get("class", "")
    }
    return [each.text for each in main.iter() if each.text and each not in heads]


def _fill(pages: list[float], parent: Element, high: float) -> None:
    """How high each page is used, one piece after another."""
    for at, each in enumerate(parent):
        if "break" in each.get("class", ""):
            goes_on = at > 0 and parent[at - 1].tag == parent[at + 1].tag
            if goes_on and each.tag == "p" and parent[at + 1].tag in ("table", "ul"):
                _, first = next(rows_of(parent[at + 1]))
                assert pages[-1] + first > high, "its next row would have had room"
            pages.append(0.0)
        if each.find(".//*[@class='running break']") is not None:
            pages[-1] += rule_of(each).before
            _fill(pages, each, high)
        else:
            pages[-1] += height(each)


def heads(main: Element) -> list[str]:
    running = (each for each in main.iter() if "running" in each.get("class", ""))
    return [" ".join("".join(each.itertext()).split()) for each in running]


def test_each_page_says_which_of_its_own_machine_s_pages_it_is() -> None:
    """A table of 40 rows of 5.3 mm goes on over three pages of 100 mm."""
    main = laid(table(40), table(2))
    assert heads(main)[:3] == [f"Saw 1 {number} of 3 · a door · today" for number in (1, 2, 3)]
    assert heads(main)[3:] == ["Saw 2 1 of 1 · a door · today"]


def test_a_table_that_goes_on_has_its_head_again_and_every_row_once() -> None:
    main = laid(f"{table(40)}<p>behind</p>")
    tables = list(main.iter("table"))
    assert len(tables) == 3 and all(len(each.findall("thead/tr")) == 1 for each in tables)
    rows = [each.text for each in main.iterfind(".//tbody/tr/th")]
    assert rows == [str(number) for number in range(40)]
    assert all(height(each) <= 100 for each in tables)


@pytest.mark.parametrize("lines", range(1, 24))
def test_a_short_table_is_whole_or_begins_with_two_rows(lines: int) -> None:
    tables = list(laid(f"{'<p>word</p>' * lines}{table(3)}<p>behind</p>").iter("table"))
    assert [len(each.findall("tbody/tr")) for each in tables] in ([3], [2, 1])


@pytest.mark.parametrize("letters", range(88, 106))
def test_a_head_that_takes_two_lines_has_room_for_both(letters: int) -> None:
    """Behind a sheet's name and the count of its pages."""
    which = "n" * letters
    assert len(heads(laid("<p>word</p>" * 70, table(40), which=which))) > 4


@pytest.mark.parametrize("lines", range(1, 24))
def test_a_block_begins_with_the_first_of_the_things_that_a_paragraph_says(lines: int) -> None:
    """However long the others are."""
    first, rest = f"<b>Clamp</b> {'word ' * 50}", f"<b>Stop</b> {'word ' * 120}"
    pages = in_pages(
        laid(f"{'<p>word</p>' * lines}<article><h2>Rip</h2><p>{first}{rest}</p></article>")
    )
    begun = fromstring(f"<article><h2>Rip</h2><p>{first}</p></article>")
    head = RULES["header.running"].line + RULES["header.running"].after
    room = 100 - head - lines * (LINE + AFTER) >= height(begun)
    assert ("Rip" in pages[0]) is ("Clamp" in pages[0]) is room


def test_a_title_is_never_the_last_thing_on_a_page_and_what_goes_on_is_named() -> None:
    words = "<p>word</p>" * 16
    block = (
        '<article class="operation"><div class="title"><h2><b class="number">7</b> Rip</h2></div>'
        f"{table(30)}</article>"
    )
    main = laid(words + block, high=110.0)
    order = [each for each in main.find("section") or [] if each.tag in ("p", "article")]
    before = order[[each.tag for each in order].index("article") - 1]
    assert before.get("class") == "running break"
    assert "Saw 1 7, continued 3 of 3 · a door · today" in heads(main)


@pytest.mark.parametrize("lines", range(1, 24))
def test_what_stands_under_a_title_begins_on_its_page(lines: int) -> None:
    """However far the page is filled: no head of a sheet, no title, and no words between a title
    and its table are the last thing on it."""
    block = f'<article class="block"><h2>Cut list</h2><p>word</p>{table(3)}</article>'
    main = laid("<p>word</p>" * lines, block)
    for parent in main.iter():
        for before, head in pairwise(parent):
            if "break" in head.get("class", ""):
                assert before.tag not in ("header", "h2")
                assert parent.tag != "article" or before.tag != "p"
        first = parent[0] if parent.tag == "article" and len(parent) else None
        assert first is None or "break" not in first.get("class", "")
    begun = main.find(".//table/tbody")
    assert begun is not None and len(begun) >= 2, "a head and one row are no beginning"


@pytest.mark.parametrize("lines", range(40, 56))
def test_a_list_without_a_title_begins_under_its_sheet_s_head(lines: int) -> None:
    """On a page as high as paper, where two of its items have room and the rest has not."""
    block = f'<article class="block"><ul>{"<li>word</li>" * 9}</ul></article>'
    main = laid("<p>word</p>" * lines, block, high=265.0)
    begun = main.find(".//article")
    assert begun is not None and begun[0].tag == "ul"
    assert len(main.findall(".//li")) == 9


@pytest.mark.parametrize(("high", "parted"), [(266.0, [9]), (267.0, [2, 7]), (266.0, [56, 1])])
def test_a_few_lines_are_left_white_rather_than_a_list_parted(
    high: float, parted: list[int]
) -> None:
    """A 25th of a page: 10.64 of 266 mm, of which 10.36 are left; 10.68 of 267, of which 11.36."""
    main = laid(
        f"{'<p>word</p>' * 49}<ul>{'<li>word</li>' * sum(parted)}</ul><p>behind</p>", high=high
    )
    assert [len(each) for each in main.iter("ul")] == parted
    block = f"<article><ul>{'<li>word</li>' * sum(parted)}</ul></article>"
    main = laid(f"{'<p>word</p>' * 49}{block}", high=high + RULES["article"].before)
    assert [len(each) for each in main.iter("ul")] == parted


@pytest.mark.parametrize("more", range(12))
def test_columns_stand_on_the_page_of_the_words_that_are_about_them(more: int) -> None:
    """However little of it is left white."""
    items = f"<ul>{'<li>Items</li>' * 9}</ul>"
    block = f'<article><h2>Rip</h2><p>About</p><div class="columns">{items}</div></article>'
    pages = in_pages(laid("<p>word</p>" * 47 + block, high=265 + more / 2))
    page = next(page for page in pages if "Rip" in page)
    assert page[page.index("Rip") :][:3] == ["Rip", "About", "Items"]


@pytest.mark.parametrize("lines", range(1, 24))
def test_two_high_things_in_columns_begin_where_the_first_has_room(lines: int) -> None:
    items = "".join(f"<article><h2>{each}</h2>{'<p>word</p>' * 6}</article>" for each in "ab")
    pages = in_pages(laid(f'{"<p>word</p>" * lines}<div class="columns">{items}</div>'))
    head = RULES["header.running"].line + RULES["header.running"].after
    first = height(fromstring(f"<article><h2>a</h2>{'<p>word</p>' * 6}</article>"))
    assert ("a" in pages[0]) is (head + lines * (LINE + AFTER) + first <= 100)
    assert [each for page in pages for each in page if each in "ab"] == ["a", "b"]


@pytest.mark.parametrize("lines", range(1, 24))
def test_two_bodies_of_rows_are_parted_between_them(lines: int) -> None:
    body = f"<tbody>{'<tr><td>x</td><td>x</td></tr>' * 3}</tbody>"
    column = '<col style="width: 90mm"/>'
    main = laid(f"{'<p>word</p>' * lines}<table>{column * 2}{body * 2}</table><p>behind</p>")
    assert [len(each) for each in main.iter("tbody")] == [3, 3]


@pytest.mark.parametrize("lines", range(1, 24))
def test_rows_of_drawings_are_parted_where_a_page_ends(lines: int) -> None:
    """Three drawings of 90 by 40 mm, two in a row: what has room stays, nothing is lost, and the
    page before is white by less than a row."""
    figure = '<figure style="width: 90mm"><svg width="90mm" height="40mm"/></figure>'
    rows = f'<div class="beside below">{figure * 2}</div>'
    main = laid(f'{"<p>word</p>" * lines}{rows}<div class="beside">{figure}<p>words</p></div>')
    assert len(list(main.iter("figure"))) == 3 and len(list(main.iter("p"))) >= lines + 1
    section = main.find("section")
    assert section is not None
    used = 0.0
    for each in section:
        if "break" in each.get("class", "") and list(section).index(each):
            assert used + 42 > 100, "a row would have had room"
            used = 0.0
        used += height(each)
        assert used <= 100.1


@pytest.mark.parametrize("lines", range(1, 24))
def test_all_of_two_columns_is_there_once_wherever_they_begin(lines: int) -> None:
    """The first of the columns alone takes more than a few lines leave of a page of 100 mm."""
    items = "".join(f"<article><h2>{each}</h2>{'<p>word</p>' * 9}</article>" for each in "abc")
    main = laid(f'{"<p>word</p>" * lines}<div class="columns">{items}</div><p>behind</p>')
    assert [each.text for each in main.iterfind(".//article/h2")] == ["a", "b", "c"]
    for columns in main.iterfind(".//div[@class='columns']"):
        assert len(list(columns.iter("article"))) > 1, "none stands alone in half of the width"


@pytest.mark.parametrize("lines", range(10, 18))
def test_two_columns_begin_where_the_first_of_either_has_room(lines: int) -> None:
    """However high the third thing is."""
    low, tall = "<p>word</p>" * 2, "<p>word</p>" * 12
    items = "".join(f"<article>{each}</article>" for each in (low, low, tall))
    main = laid(f'{"<p>word</p>" * lines}<div class="columns">{items}</div>')
    section = main.find("section")
    assert section is not None
    begins = next(at for at, each in enumerate(section) if each.get("class") == "columns")
    head = RULES["header.running"].line + RULES["header.running"].after
    left = 100 - head - lines * (RULES["p"].line + RULES["p"].after)
    needs = height(fromstring(f"<article>{low}</article>")) + RULES["div.columns"].after
    ended = [each for each in section[:begins] if "break" in each.get("class", "")]
    assert bool(ended) is (needs > left)


def in_pages(main: Element) -> list[list[str]]:
    """On each page the first words of all that stands on it, and `svg` for a drawing."""
    pages: list[list[str]] = [[]]
    for each in main.iter():
        if "break" in each.get("class", ""):
            pages.append([])
        elif each.tag == "svg":
            pages[-1].append("svg")
        elif each.text and each.text.strip() and each.tag != "h1" and not each.get("class"):
            pages[-1].append(each.text.split()[0])
    return pages


NAMES = ["Clamp", "Stop", "Spacer"]


@pytest.mark.parametrize("lines", range(1, 24))
def test_a_paragraph_goes_on_with_another_of_the_things_that_it_says(lines: int) -> None:
    """Three things, by their names; as many stay on the page as have room there."""
    said = [f"<b>{name}</b> {'word ' * 40}" for name in NAMES]
    main = laid(f"{'<p>word</p>' * lines}<p>{''.join(said)}</p><p>behind</p>")
    told = [each for page in in_pages(main) for each in page if each in (*NAMES, "behind")]
    assert told == [*NAMES, "behind"]
    pages = [[each for each in page if each in NAMES] for page in in_pages(main)]
    room = 100 - RULES["header.running"].line - RULES["header.running"].after
    left = room - lines * (RULES["p"].line + RULES["p"].after)
    begun = (height(fromstring(f"<p>{''.join(said[:many])}</p>")) for many in (1, 2, 3))
    assert len(pages[0]) == (sum(high <= left for high in begun) if left > 4 else 0)


@pytest.mark.parametrize("lines", range(1, 18))
def test_a_warning_is_never_parted(lines: int) -> None:
    said = "".join(f"<b>{name}</b> {'word ' * 60}" for name in NAMES)
    main = laid(f"""{"<p>word</p>" * lines}<p class="warning">{said}</p>""")
    assert len(main.findall(".//p[@class='warning']")) == 1


def bodies(count: int, rows: int) -> str:
    """A table of rows that belong together, the first cell of each body over all of them."""
    body = "".join(
        f'<tbody><tr><th rowspan="{rows}">{each}</th><td>x</td></tr>'
        f"{'<tr><td>x</td></tr>' * (rows - 1)}</tbody>"
        for each in range(count)
    )
    return (
        '<table><colgroup><col style="width: 90mm"/><col style="width: 106mm"/></colgroup>'
        f"<thead><tr><th>No.</th><th>What</th></tr></thead>{body}</table>"
    )


@pytest.mark.parametrize("rows", [1, 3])
@pytest.mark.parametrize("lines", range(1, 24))
def test_rows_that_belong_together_stand_on_one_page(lines: int, rows: int) -> None:
    main = laid("<p>word</p>" * lines + bodies(30, rows))
    parted = list(main.iter("table"))
    assert [each.text for each in main.iterfind(".//tbody/tr/th")] == [*map(str, range(30))]
    assert all(len(each) == rows for each in main.iter("tbody"))
    assert all(each.find("thead") is not None and height(each) <= 100 for each in parted)
    most = int((100 - RULES["p.running"].line - 2 - 2 * ROW) // (rows * ROW))
    assert all(len(each.findall("tbody")) in (most - 1, most) for each in parted[1:-1])
    assert len(parted) - 2 <= 30 // most


def test_rows_of_one_cell_stay_together_where_no_page_has_room_for_them() -> None:
    main = fromstring(f"<main><section><h1>Saw</h1>{bodies(1, 25)}</section></main>")
    lay_out(main, "a door · today", 100.0)
    assert len(list(main.iter("table"))) == 1 and len(list(main.iter("tr"))) == 26


@pytest.mark.parametrize("lines", range(1, 18))
def test_as_many_words_stay_beside_a_drawing_as_the_page_has_room_for(lines: int) -> None:
    """The others go on below it, on the next page, as wide as that is."""
    drawn = '<figure style="width: 90mm"><svg width="90mm" height="30mm"/></figure>'
    said = [f"<p>{name} {'word ' * 90}</p>" for name in "abcd"]
    main = laid(f'{"<p>word</p>" * lines}<div class="beside">{drawn}{"".join(said)}</div>')
    kept = main.find(".//div[@class='beside']")
    assert kept is not None and [each[0] for page in in_pages(main) for each in page][lines:]
    head = RULES["header.running"].line + RULES["header.running"].after
    left = 100 - head - lines * (RULES["p"].line + RULES["p"].after)
    begun = [
        height(fromstring(f'<div class="beside">{drawn}{"".join(said[:many])}</div>'))
        for many in range(5)
    ]
    room = left if begun[0] <= left and left > 4 else 100 - head
    assert len(kept.findall("p")) == sum(high <= room for high in begun) - 1
    told = [words[0] for each in main.iter("p") if len(words := each.text or "") > 99]
    assert told == [*"abcd"]


@pytest.mark.parametrize("lines", range(1, 24))
def test_a_block_begins_where_its_drawing_has_room(lines: int) -> None:
    """A drawing of 50 mm and four paragraphs: the words are of the drawing, and none stands a page
    before it."""
    words = "".join(f"<p>{name} {'word ' * 30}</p>" for name in "abcd")
    drawn = '<figure style="width: 90mm"><svg width="90mm" height="50mm"/></figure>'
    block = f'<article><h2>Rip</h2><div class="beside">{drawn}{words}</div></article>'
    pages = in_pages(laid("<p>word</p>" * lines + block))
    page = next(page for page in pages if "Rip" in page)
    at, order = page.index("Rip"), [each for page in pages for each in page]
    assert [each for each in order if len(each) == 1] == list("abcd"), "all of it once, in order"
    assert page[at + 1 : at + 2] == ["svg"]


@pytest.mark.parametrize("job", JOBS)
def test_no_heading_of_the_examples_stands_alone_at_a_page_s_foot(job: str) -> None:
    """What stands before a page's end is never the title of what is on the next page, nor the title
    with the one paragraph that tells of a table there."""
    main = fromstring(environment().get_template("sheets.html").render(content=content(job)))
    lay_out(main, "a door · today")
    ends = 0
    for parent in main.iter():
        for before, head in pairwise(parent):
            if "break" in head.get("class", ""):
                ends += 1
                assert before.tag not in ("h1", "h2", "header"), "".join(before.itertext())
                assert before.get("class") != "title", "".join(before.itertext())
                at = list(parent).index(head)
                words = [each.tag for each in parent[:at] if each.tag != "h2"]
                about = parent[at + 1].tag in ("table", "div")
                assert parent.tag != "article" or words != ["p"] or not about, before.text
    assert ends > 10


def test_a_sheet_begins_on_the_page_of_the_last_one_where_that_is_half_white() -> None:
    both, apart = laid(table(5), table(2)), laid(table(14), table(2))
    assert not any("break" in each.get("class", "") for each in both.iter("header"))
    assert [each.get("class") for each in apart.iter("header")] == ["running", "running break"]


@pytest.mark.parametrize("lines", [1, 2, 5])
def test_words_are_as_high_as_their_lines(lines: int) -> None:
    """As many words to a line as its width holds, a space between them."""
    wide, space = text_width("word", 11 * POINT), text_width(" ", 11 * POINT)
    fits = int((WIDE - 0.35 + space) // (wide + space))
    words = " ".join(["word"] * fits * lines)
    rule = RULES["p"]
    assert height(fromstring(f"<p>{words}</p>")) == pytest.approx(lines * rule.line + rule.after)
    more = height(fromstring(f"<p>{words} word</p>"))
    assert more == pytest.approx((lines + 1) * rule.line + rule.after)


@pytest.mark.parametrize(("room", "lines"), [(0.05, 2), (0.15, 1)])
def test_a_tenth_of_a_mm_at_a_line_s_end_is_kept_in_hand(room: float, lines: int) -> None:
    wide = text_width("word word", 11 * POINT)
    assert height(fromstring("<p>word word</p>"), wide + room) == lines * LINE + AFTER


@pytest.mark.parametrize(("high", "lines"), [(3.0, 1), (4.2, 2), (4.8, 2)])
def test_words_that_begin_about_where_a_drawing_ends_are_held_to_stand_beside_it(
    high: float, lines: int
) -> None:
    """Half a millimetre is in doubt."""
    drawn = f'<figure style="width: 90mm"><svg width="90mm" height="{high}mm"/></figure>'
    beside = fromstring(f'<div class="beside">{drawn}<p>word</p><p>{"word " * 14}</p></div>')
    line, after = RULES["p"].line, RULES["p"].after
    wanted = (1 + lines) * line + 2 * after + RULES["div.beside"].after
    assert height(beside) == pytest.approx(wanted)


FIG = '<figure style="width: 90mm"><svg width="90mm" height="20mm"/></figure>'
LINE, AFTER = RULES["p"].line, RULES["p"].after
ITEM = RULES["li"].line + RULES["li"].after
BESIDE, LIST = RULES["div.beside"].after, RULES["ul"].after
HEIGHTS: list[tuple[str, float]] = [
    # words at the right of a drawing of 20 mm and half a mm below it, and words below it
    (f'<div class="beside">{FIG}<p>word</p></div>', 20.5 + BESIDE),
    (f'<div class="beside">{FIG}{"<p>word</p>" * 5}</div>', 5 * (LINE + AFTER) + BESIDE),
    (f'<div class="beside below">{FIG}<p>word</p></div>', 20.5 + LINE + AFTER + BESIDE),
    (f'<div class="beside below">{FIG}<ul><li>a</li><li>b</li></ul></div>',
     20.5 + 2 * ITEM + LIST - 0.3 + BESIDE),
    # the room after a list is the larger of its own and of what its last item leaves
    ("<ul><li>a</li><li>b</li></ul>", 2 * ITEM + LIST - 0.3),
    ('<ul class="steps"><li>a</li></ul>', RULES["li"].line),
    ("<ul/>", LIST),
    ('<p class="sign">date</p>', 0.0),
    ('<div class="title"><h2>A</h2><p class="sign">date</p></div>', RULES["h2"].line + 2 * 0.7),
    # a table of dials beside a drawing, as high as its rows
    (f'<div class="beside">{FIG}<table><col style="width: 90mm"/><tbody>{"<tr><td>x</td></tr>" * 5}'
     "</tbody></table></div>", 5 * ROW + 1.35 + BESIDE),
    # two columns, each as high as what stands in it
    ('<div class="columns"><p>a</p><p>b</p><p>c</p></div>', 2 * (LINE + AFTER) + 0.9),
    ('<div class="columns"><ul><li>a</li><li>b</li><li>c</li></ul></div>', 2 * ITEM + 0.9),
    ('<div class="columns"><p>a</p></div>', LINE + AFTER + 0.9),
    # a drawing with its words below it, and with a table
    (f"{FIG[:-9]}<figcaption>a</figcaption></figure>",
     20.5 + RULES["figcaption"].line + 0.6),
    # rows as high as their highest cell, and no less than one over several of them
    (bodies(2, 1), 2 * ROW + RULES["thead/th"].line + 1.0 + 1.35),
    ('<table><col style="width: 20mm"/><col style="width: 90mm"/><tbody><tr>'
     f'<th rowspan="2">{"wordword " * 4}</th><td>x</td></tr>'
     "<tr><td>x</td></tr></tbody></table>", 4 * RULES["td"].line + 0.85 + 1.35),
    ('<table><col style="width: 50mm"/><col style="width: 50mm"/><tbody><tr>'
     f'<td colspan="2">{"word " * 9}</td></tr><tr><td class="box"/><td>x</td></tr></tbody></table>',
     ROW + 10.0 + 1.35),
]  # fmt: skip


@pytest.mark.parametrize("at", range(len(HEIGHTS)))
def test_made_up_pieces_are_as_high_as_what_stands_in_them(at: int) -> None:
    piece, high = HEIGHTS[at]
    assert height(fromstring(piece)) == pytest.approx(high, abs=0.01)


def test_a_number_s_frame_takes_room_beside_it() -> None:
    """5.2 mm, in which a word may have no room any more."""
    wide = text_width("ww", 11 * POINT) + text_width(" ", 11 * POINT)
    room = WIDE - 0.1 - text_width("7", 11 * POINT, True)
    for kind, frame in (("", 0.0), (' class="number"', 5.2)):
        two_lines = (
            height(fromstring(f"<p><b{kind}>7</b>{' ww' * many}</p>")) > LINE + AFTER + 0.1
            for many in range(1, 99)
        )
        assert [*two_lines].index(True) == int((room - frame) // wide)


def test_pieces_of_a_printed_sheet_are_as_high_as_chromium_made_them() -> None:
    """What `printed_heights.xml` holds: of a door unlike the examples 41 pieces, all kinds that its
    sheets have, each with its height as Chromium 156 printed it (`getBoundingClientRect` and its
    margins, in mm). None is lower than said, and none by more than the room that is kept in hand:
    a tenth of a mm for every line, half a mm for words that begin about where a drawing ends."""
    pieces = parse(Path(__file__).parent / "printed_heights.xml").getroot()
    assert len(pieces) > 40
    for piece in pieces:
        printed, said = float(piece.get("mm", "")), height(piece[0])
        assert printed - 0.06 < said < printed + 0.6, tostring(piece[0], "unicode")[:200]
