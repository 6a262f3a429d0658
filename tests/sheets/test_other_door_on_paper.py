"""The page of a door unlike the examples against its Markdown, and as it lies on paper.

What the one tells the other must tell; a table is as wide as the place where it stands, no word or
figure of it is wider than its column, and pages are counted. Plain arithmetic, in mm.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from html import unescape
from itertools import pairwise

import pytest

from setupsheets.sheets.letters.letters import text_width
from setupsheets.sheets.pages.heights import INLINE, POINT, RULES
from setupsheets.wording.route import LEGEND
from tests.sheets.other_door import made

LABELS = (
    "note|jigs|caution|parts|do|down|against|feed|cutter|test piece|ends|passes|speed|stack|support"
    "|stops|centres|log|lengths|stop here"
)
TOLD_OTHERWISE = (
    *("found 3", "blocks for the true distance", "of 95", "leave it as it is", "2 × leaf"),
    *("spacer counted in", "one from either end", "cut apart at"),
)
"""How paper has it: two boxes and one for what was moved, "the same as before", "2 of 3"; the
spacer with what lies at the stop; how short parts lie in their lengths where a machine first has
them."""


def flat(words: str) -> str:
    """Words without their marks, each a space from the next."""
    text = unescape(words).replace("\u00a0", " ").replace("’", "'").lower()
    words_alone = re.sub(r"[^\w/%+−×±°>-]+", " ", text)
    return f" {' '.join(words_alone.split())} "


def page_words(page: str) -> str:
    """What is to be read of a piece of the page, its drawings left out."""
    text = re.sub(r"<svg.*?</svg>", " ", page, flags=re.DOTALL)
    text = re.sub(r"</?(?:b|small|span|code|strong)\b[^>]*>", "", text)
    return flat(re.sub(r"<[^>]+>", " ", text))


def sheet_pieces(sheet: str) -> Iterator[str]:
    """Every sentence and every cell of Markdown, without its label and the operations before it."""
    text = re.sub(r"!\[.*?\]\(.*?\)", "\n", sheet)
    text = re.sub(r"\\([-+|.#*_<>\[\]()&])", r"\1", text).replace("*", "").replace("`", "")
    text = re.sub(r"^\|.*\|\n\| -.*$", "", text, flags=re.MULTILINE)  # heads of tables
    for line in text.splitlines():
        words = re.sub(r"^\s*([-#>]+)\s", "", line)
        for cell in words.strip("|").split("|") if line.startswith("|") else [words]:
            for piece in re.split(r"[.;:](?=\s)", cell):
                told = re.sub(rf"^(?:{LABELS}) ", "", flat(piece).strip())
                told = re.sub(r"^operations? [\d–, and]+ ", "", told)
                if told.strip("- ") and not any(each in told for each in TOLD_OTHERWISE):
                    yield f" {told} "


def operations() -> Iterator[tuple[str, str]]:
    """Every block of Markdown by the number of its first operation."""
    blocks = re.split(r"^## \*\*(\d+)[\d–, ]*\*\* ", made().sheet, flags=re.MULTILINE)
    for number, block in zip(blocks[1::2], blocks[2::2], strict=True):
        yield number, re.split(r"^#+ ", block, flags=re.MULTILINE)[0]


def section_of(number: str) -> list[str]:
    """The sheet of an operation's machine: its head, and its blocks."""
    (found,) = [
        each for each in re.split(r"(?=<section)", made().page) if f'id="o{number}"' in each
    ]
    return re.split(r"(?=<article)", found)


def article_of(number: str) -> str:
    """The block of an operation on paper."""
    (found,) = [each for each in section_of(number) if f'id="o{number}"' in each]
    return found


def test_paper_tells_of_each_operation_what_markdown_tells_of_it() -> None:
    """In its own block, or at the head of its machine's sheet, where what goes for all of them is
    told once."""
    told = 0
    for number, block in operations():
        found = page_words(section_of(number)[0]) + page_words(article_of(number))
        for piece in sheet_pieces(block):
            assert piece in found, (number, piece)
            told += 1
    assert told > 1000


def test_a_figure_that_has_the_spacer_in_it_says_so_where_it_is_set() -> None:
    """In its own row, or at the head of rows that all have it."""
    told = 0
    for number, block in operations():
        spaced = len(re.findall(r"^\| .*, spacer counted in\.", block, re.MULTILINE))
        if spaced:
            rows = re.findall(r"<tr>.*?</tr>", article_of(number), re.DOTALL)
            assert sum("Spacer counted in." in each for each in rows) == spaced, number
            told += spaced
    assert told == 4


def test_every_thing_to_measure_has_its_target_and_boxes_on_paper() -> None:
    """Also where nothing is set and a drawing shows where: a rail planed to width by hand."""
    told = 0
    for number, block in operations():
        measured = re.findall(r"\| \*\*[^*|]+\*\* (?:±|\\\+)", block)
        article = article_of(number)
        assert article.count('class="within"') == len(measured), number
        assert bool(measured) is ('<td class="box">' in article), number
        told += len(measured)
    assert told > 60
    assert " 7 1/4 in ± 1/64 in " in page_words(article_of("20"))


COLUMNS = re.compile(r"<table[^>]*>.*?</table>", re.DOTALL)


def test_a_table_is_as_wide_as_its_place_and_no_word_is_wider_than_its_column() -> None:
    """196 mm between the margins that A4 and Letter both have, 95.8 in one of two columns."""
    tables = COLUMNS.findall(made().page)
    assert len(tables) > 50
    for table in tables:
        widths = [float(each) for each in re.findall(r'<col style="width: ([\d.]+)mm"', table)]
        given = re.match(r'<table[^>]*style="width: ([\d.]+)mm"', table)
        places = (float(given[1]),) if given else (196.0, 95.8)
        assert min(abs(sum(widths) - place) for place in places) < 0.4, table[:400]
        for row in re.findall(r"<tr[^>]*>(.*?)</tr>", table, re.DOTALL):
            at = 0
            cells = re.findall(r"<(t[hd])([^>]*)>(.*?)</\1>", row, re.DOTALL)
            whole = sum(_reach(each) for _, each, _ in cells) == len(widths)
            for kind, about, words in cells if whole else ():
                wide = sum(widths[at : at + _reach(about)])
                at += _reach(about)
                size, bold = (9.5, True) if 'scope="col"' in about else (11, kind == "th")
                for word in re.sub(r"<[^>]+>", " ", words).split(" "):
                    needs = text_width(unescape(word).strip(), size * POINT, bold)
                    assert needs + RULES["td"].side < wide + 0.1, (word, wide)


def _reach(about: str) -> int:
    told = re.search(r'colspan="(\d+)"', about)
    return int(told[1]) if told else 1


def test_a_figure_to_set_has_room_for_itself_on_one_line() -> None:
    """In letters of 28 points, its unit in 18, what it is full or scant by on a line of its own."""
    tried = 0
    for table in COLUMNS.findall(made().page):
        widths = [float(each) for each in re.findall(r'<col style="width: ([\d.]+)mm"', table)]
        for row in re.findall(r"<tr[^>]*>(.*?)</tr>", table, re.DOTALL):
            cells = re.findall(r"<(t[hd])([^>]*)>(.*?)</\1>", row, re.DOTALL)
            at = 0
            for _, about, words in cells:
                wide = sum(widths[at : at + _reach(about)])
                at += _reach(about)
                figure = re.search(r'<span class="figure">(.*?)</span>', words)
                if figure is not None:
                    unit = text_width(" in", INLINE["span.unit"].size * POINT, True)
                    needs = text_width(
                        unescape(figure[1]), INLINE["span.figure"].size * POINT, True
                    )
                    assert needs + unit + RULES["td"].side < wide, words
                    tried += 1
    assert tried > 40


def letters(words: str, size: float, bold: bool = False) -> float:
    """How wide words are on a line, in mm."""
    return text_width(unescape(words), size * POINT, bold)


def figure_needs(table: str) -> float:
    """How wide a column of figures to set is: each with its unit, over what it is full or scant by,
    or its heading, and 4 mm of room."""
    kinds = ("figure", "unit", "rest")
    wide = [24.0]
    for cell in re.findall(r'<td class="set"[^>]*>(.*?)</td>', table):
        told = (re.search(rf'<span class="{kind}">(.*?)</span>', cell) for kind in kinds)
        number, unit, rest = (
            letters(found[1], INLINE[f"span.{kind}"].size, True) if found else 0.0
            for kind, found in zip(kinds, told, strict=True)
        )
        wide += [number + unit, rest]
    return max(wide) + 4


def target_needs(table: str) -> float:
    """How wide a column of targets is: each behind its letter, over its tolerance, and 3 mm."""
    wide = [24.0]
    for cell in re.findall(r"<td>((?:(?!</td>).)*?<b class=\"target\".*?)</td>", table):
        letter = re.match(r"<b>(\w)</b> ", cell)
        first, *more = re.findall(r'<b class="target">(.*?)</b>', cell)
        wide.append((letters(letter[1], 11, True) + 2 if letter else 0) + letters(first, 13, True))
        wide += [letters(each, 13, True) for each in more]
        wide += [letters(each, 11) for each in re.findall(r'"within">(.*?)<', cell)]
    return round(max(wide) + 3, 1)


def heads_of(table: str) -> list[list[str]]:
    """The words over the columns, row by row."""
    rows = re.findall(r"<tr>(.*?)</tr>", table.partition("</thead>")[0], re.DOTALL)
    return [re.findall(r"<th[^>]*>(.*?)</th>", row) for row in rows]


def test_a_column_of_figures_has_the_room_they_need_and_words_have_the_rest() -> None:
    """A box is 22 mm wide, a number 13; no column of words under 34. Where targets stand in rows of
    their own the figure to set reaches over as few of their columns as it needs."""
    kinds: set[tuple[int, bool]] = set()
    for table in re.findall(r'<table class="rows">.*?</table>', made().page, re.DOTALL):
        widths = [float(each) for each in re.findall(r'<col style="width: ([\d.]+)mm"', table)]
        head, *below = heads_of(table)
        needs, should = figure_needs(table), target_needs(table)
        assert widths == [round(each, 1) for each in widths]
        assert widths[0] == 13
        if below:
            many, boxes = below[0].count("should be"), below[0].count("found 1")
            assert below[0][-1] == "moved" and widths[2] == 22
            most = (196 - 13 - 12) / many - 22 * (len(below[0]) - 1 - many) / many
            assert widths[1] == pytest.approx(min(should, most), abs=0.06) and boxes == many
            assert sum(widths) == pytest.approx(196, abs=0.2)
            over = _reach(re.findall(r"<th([^>]*)>SET TO", table)[0])
            assert sum(widths[-over:]) >= needs > sum(widths[1 - over :]) * (over > 1)
        elif head.count("No.") == 2:
            assert widths[2] == pytest.approx(needs, abs=0.06) and widths[:3] == widths[3:]
            assert widths[1] == pytest.approx(98 - 13 - needs, abs=0.06)
        else:
            figures, boxes = sum(each.startswith("SET TO") for each in head), head.count("moved")
            read = boxes * (should + 3 * 22)
            each = min(needs, (196 - 13 - read - 34) / figures)
            assert widths[2 : 2 + figures] == pytest.approx([each] * figures, abs=0.06)
            assert not boxes or widths[2 + figures :] == pytest.approx([should, 22, 22, 22])
            assert sum(widths) == pytest.approx(196, abs=0.2)
        kinds.add((len(head), bool(below)))
    assert len(kinds) > 2


def test_the_cover_says_what_the_drawings_mean_and_no_page_says_none() -> None:
    body = made().page.partition("</head>")[2]
    assert flat(LEGEND) in page_words(body)
    assert not re.search(r"\bNone\b", re.sub(r"<svg.*?</svg>|<[^>]+>", " ", body, flags=re.DOTALL))


def test_a_dial_s_figure_has_room_and_a_target_s_words_have_what_the_boxes_leave() -> None:
    for kind, across in (("dials", (196.0, 95.8)), ("measures", (196.0, 95.8))):
        tables = re.findall(rf'<table[^>]*class="{kind}".*?</table>', made().page, re.DOTALL)
        for table in tables:
            given, *widths = (float(each) for each in re.findall(r"width: ([\d.]+)mm", table))
            assert given in across and sum(widths) == pytest.approx(given, abs=0.11)
            if kind == "dials":
                assert widths[1] == pytest.approx(figure_needs(table) + 6, abs=0.06)
            else:
                ((*_, last),) = heads_of(table)
                number = heads_of(table)[0][0] == "No."
                assert widths[:1] == [14.0] or not number
                boxes = widths[1 + number :]
                assert set(boxes) == {22.0} and len(boxes) == (4 if given > 100 else 2)
                assert last == ("leaf 2" if "on each leaf" in table else last)
        assert len(tables) > 2


HEAD = re.compile(r'<(?:header|p) class="running[^>]*>(.*?)</(?:header|p)>', re.DOTALL)


def pages() -> list[tuple[str, int, int, str]]:
    """Every page as it is parted: whose it is, which of how many, and what stands on it."""
    body = made().page[made().page.index("<main") :]
    heads, rest = HEAD.findall(body), HEAD.split(body)[2::2]
    found = []
    for head, inside in zip(heads, rest, strict=True):
        words = re.sub(r"<[^>]+>", "", head)
        told = re.fullmatch(r"(.+?) (\d+) of (\d+) · Another door · 2024-05-06 · [\da-f-]+", words)
        assert told, words
        found.append((told[1], int(told[2]), int(told[3]), inside))
    return found


def test_every_page_says_whose_it_is_and_which_of_how_many() -> None:
    """A block that goes on from the page before is named at the head of the next, and none else."""
    within = None  # the block in which the page before ended
    for name, _, _, inside in pages():
        assert name.endswith(", continued") is bool(within), name
        assert not within or re.search(rf" {within}\b", name), (name, within)
        for mark in re.finditer(r"<article([^>]*)>|</article>", inside):
            number = re.search(r'id="o(\d+)"', mark[1] or "")
            within = number and number[1]
    counts = [(which, many) for _, which, many, _ in pages()]
    for (which, many), (following, of) in pairwise(counts):
        assert (following, of) == ((which + 1, many) if which < many else (1, of))
    assert counts[0][0] == 1 and counts[-1][0] == counts[-1][1] and len(counts) > 30


def test_every_row_fills_its_table_and_rows_over_the_page_have_their_heads_again() -> None:
    """Cells count for as many columns, and for as many rows, as they reach over."""
    rows = 0
    for table in COLUMNS.findall(made().page):
        assert table.count("<thead") == 1, table[:300]
        columns = table.count("<col ")
        from_above: list[int] = []  # how many more rows each cell from a row above reaches down
        for row in re.findall(r"<tr[^>]*>(.*?)</tr>", table, re.DOTALL):
            cells = re.findall(r"<t[hd]([^>]*)>", row)
            wide = sum(map(_reach, cells)) + len(from_above)
            assert wide == columns, row
            down = [int(found[1]) for each in cells for found in [re.search(DOWN, each)] if found]
            from_above = [each - 1 for each in (*from_above, *down) if each > 1]
            rows += 1
    assert rows > 200


DOWN = re.compile(r'rowspan="(\d+)"')
