"""What users note is read as Markdown, on the page and in `.md`, and can do nothing else.

What CommonMark (0.31, its sections named beside the cases) makes of the text is held against what
the page says; what it would do beyond that stands as written.
"""

from __future__ import annotations

from unittest.mock import patch

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from markdown_it import MarkdownIt
from msgspec.structs import replace

from setupsheets.machining.plan import Plan
from setupsheets.sheets.content.finished import SheetContent
from setupsheets.sheets.making import sheets_of
from setupsheets.sheets.pages import users_notes
from setupsheets.sheets.pages.pages import to_html, to_markdown
from setupsheets.sheets.pages.users_notes import notes_as_html, notes_as_markdown
from tests.sheets.sheet_plans import inputs, plan, whole

NOTES = """Hung in a *cold* hall, **never** in the sun.

- try the hinges first,
  both of them
- then `lock 2`
  1. knife
  2. chop

Last line\\
and one more."""


@pytest.mark.parametrize(
    ("notes", "page"),
    [
        ("a *b* c", "<p>a <em>b</em> c</p>"),  # 6.2 Emphasis
        ("a **b** c", "<p>a <strong>b</strong> c</p>"),
        ("a `b<i>` c", "<p>a <code>b&lt;i&gt;</code> c</p>"),  # 6.1 Code spans
        ("a\\\nb", "<p>a<br />\nb</p>"),  # 6.7 Hard line breaks
        ("one\n\ntwo", "<p>one</p>\n<p>two</p>"),  # 4.8 Paragraphs
        (
            "- a\n- b",
            '<ul class="noted">\n<li class="noted">a</li>\n<li class="noted">b</li>\n</ul>',
        ),
        ("3. a", '<ol start="3" class="noted">\n<li class="noted">a</li>\n</ol>'),  # 5.3 Lists
        ("1/8 in - 3", "<p>1/8 in - 3</p>"),
    ],
)
def test_notes_are_read_as_markdown(notes: str, page: str) -> None:
    assert notes_as_html(notes) == f'<div class="notes">{page}\n</div>'


@example("\x85", "a")
@given(
    st.text("aZ9 .,;:!?\"'()+-#=/°½é\u00a0\u2028<*&\n\t\x85", max_size=12),
    st.sampled_from("aé1 -("),
)
def test_what_nothing_is_to_be_read_in_is_what_the_reader_makes_of_it(
    text: str, first: str
) -> None:
    with patch.object(users_notes, "_plain", lambda notes: None):
        read = notes_as_html(first + text), notes_as_markdown(first + text)
    assert (notes_as_html(first + text), notes_as_markdown(first + text)) == read


@pytest.mark.parametrize(
    "notes",
    [
        "<script>alert(1)</script>",
        "<img src=x onerror=alert(1)>",
        "[a](http://example.com)",
        "![a](http://example.com/a.png)",
        "<http://example.com>",
        "# Heading",
        "Heading\n===",
        "> quoted",
        "| a |\n| --- |\n| b |",
        "    code",
        "***",
    ],
)
def test_all_else_stands_as_it_was_written(notes: str) -> None:
    page = notes_as_html(notes)
    tags = {each.split(">")[0].split()[0].strip("/") for each in page.split("<")[1:]}
    assert tags <= {"div", "p", "br"}
    # Any reader of the Markdown sees the same and no more: all its rules are on.
    every = MarkdownIt("commonmark", {"html": True}).enable(["table", "strikethrough"])
    read = every.render(notes_as_markdown(notes))
    tags = {each.split(">")[0].split()[0].strip("/") for each in read.split("<")[1:]}
    assert tags <= {"p", "br"}, read


def test_markdown_of_notes_reads_as_the_notes_do() -> None:
    every = MarkdownIt("commonmark", {"html": True, "xhtmlOut": True})
    # But for where a line of the source ends, which no reader sees.
    for notes in (NOTES, "**Bold** at the head", "*So* it is", "`a b` first", "- **bold** item"):
        told, meant = (every.render(each).split() for each in (notes_as_markdown(notes), notes))
        assert told == meant
        assert notes_as_markdown(notes_as_markdown(notes)) == notes_as_markdown(notes)


@pytest.mark.parametrize("notes", ["", "  \n ", "\x07"])
def test_no_notes_are_nothing(notes: str) -> None:
    assert notes_as_html(notes) in ("", '<div class="notes" />')
    assert notes_as_markdown(notes) == ""


def noted() -> SheetContent:
    """The larder with notes on its job, a machine and a cutter."""
    own = plan("larder")
    first = next(each for each in own.set_ups if each.operations[0].cutter)
    operation = first.operations[0]
    assert operation.cutter is not None
    changed = replace(
        operation,
        machine=replace(operation.machine, notes="Motor *hums*."),
        cutter=replace(operation.cutter, notes="Sharpened by **Monday**."),
    )
    set_up = replace(first, operations=(changed, *first.operations[1:]))
    job = replace(own.job, notes=NOTES)
    return sheets_of(inputs(Plan(job, own.joinery, (set_up,))), whole("larder"))


def test_notes_of_job_machine_and_cutter_stand_on_the_sheets() -> None:
    made = noted()
    page, markdown = to_html(made), to_markdown(made)
    for words in (
        "<em>cold</em>",
        "<code>lock 2</code>",
        "<em>hums</em>",
        "<strong>Monday</strong>",
    ):
        assert words in page
    for words in ("*cold*", "`lock 2`", "  1. knife", "Motor *hums*.", "Sharpened by **Monday**."):
        assert words in markdown
