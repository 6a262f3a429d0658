"""How the rows of a block are laid out: plain arithmetic with the widths of its words.

196 mm in all, of which a row's box and number take 13 and a box for the pencil 22.
"""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from setupsheets.sheets.content.finished import Fact, MeasureRow, OperationBlock
from setupsheets.sheets.letters.letters import text_width
from setupsheets.sheets.pages.block_layout import (
    RowLayout,
    apart,
    figures,
    in_drawn_rows,
    in_rows,
    known_of,
    leave_room,
    letter,
    own_title,
    read_at_once,
    row_layout,
    side_by_side,
    uncaptioned,
)
from setupsheets.sheets.pages.heights import POINT
from tests.sheets.sheet_plans import content

SHORT, LONG, WIDE, FULL = (
    "7/8 in",
    "19 63/64 in",
    "1119 63/64 in",
    f"7 in full by {'1/64 in, ' * 3}",
)
EVERY = [each for sheet in content("larder").machines for each in sheet.operations]
BLOCK = next(each for each in EVERY if each.dials and each.has_measures)


def measure(title: str, target: str = "3/8 in", tolerance: str = "± 1/64 in") -> MeasureRow:
    return MeasureRow(title, "with a rule", target, tolerance)


def block(
    *figures: tuple[str, ...], read: tuple[MeasureRow, ...] = (), parts: str = "stile"
) -> OperationBlock:
    """A row for each tuple of figures to set, with what is read after each."""
    first = BLOCK.rows[0]
    rows = tuple(
        replace(first, number=str(at), parts=parts, measures=read, settings=tuple(
            replace(first.settings[0], title=f"dial {dial}", set_to=words, left="")
            for dial, words in enumerate(told)
        ))
        for at, told in enumerate(figures, 1)
    )  # fmt: skip
    return replace(BLOCK, rows=rows)


def bold(words: str, size: float) -> float:
    return text_width(words, size * POINT, True)


def to_set(words: str) -> float:
    """A figure of 28 points, its unit of 18, what it is full by of 16; 4 mm at its sides."""
    number, unit, rest = words.partition(" in")
    return round(max(24.0, bold(number.replace(" ", "\u00a0"), 28) + bold(unit, 18),
                     bold(rest.strip(), 16)) + 4, 1)  # fmt: skip


def to_read(letter: str, figure: str, within: str) -> float:
    """A letter, 2 mm, its target of 13 points; its tolerance; 3 mm at the sides."""
    beside = bold(letter, 11) + 2 + bold(figure, 13)
    return round(max(24.0, beside, text_width(within, 11 * POINT)) + 3, 1)


A, B, C = (measure(f"{name}: the cheek") for name in "ABC")
WIDE_TARGET = measure("W: the cheek", "1119 63/64 in")
WIDE_LIMIT = measure("W: the cheek", "3/8 in", "± 1/64 in, over the whole length")
ON_LINES = measure("W: the cheek", "3/8 in scant by 1/64 in or so")


def alone(each: float, *read: float) -> tuple[float, ...]:
    return 13, 183 - each - sum(read), each, *read


def two(each: float) -> tuple[float, ...]:
    return (13, 85 - each, each) * 2


BOXES = ("found 1", "found 2", "moved")
LAID: list[tuple[OperationBlock, RowLayout]] = [
    # set alone: one row, or two abreast where the words have 34 mm
    (block(()), RowLayout((13, 183), 1, (), (), 0)),
    (block((SHORT,)), RowLayout(alone(to_set(SHORT)), 1, (1,), (), 0)),
    (block((SHORT,), ("1/2 in",)), RowLayout(two(to_set(SHORT)), 1, (1,), (), 0, 2)),
    (block((SHORT,), ("1 1/2 in",)), RowLayout(two(to_set("1 1/2 in")), 1, (1,), (), 0, 2)),
    (block((LONG,), (SHORT,)), RowLayout(two(to_set(LONG)), 1, (1,), (), 0, 2)),
    (block((WIDE,), (SHORT,)), RowLayout(alone(to_set(WIDE)), 1, (1,), (), 0)),
    (block((FULL,), (SHORT,)), RowLayout(alone(to_set(FULL)), 1, (1,), (), 0)),
    # several dials in a row share what the words leave of 149 mm
    (block((SHORT, "1 in"), ("1 in", SHORT)),
     RowLayout((13, 183 - 2 * 28, 28, 28), 1, (1, 1), (), 0)),
    (block(("9 in",) * 4, (LONG,) * 4), RowLayout((13, 34.2, *[37.2] * 4), 1, (1,) * 4, (), 0)),
    # two that are set once stand above the rows
    (block((SHORT, "1 in")), RowLayout(alone(to_set(SHORT)), 1, (1,), (), 0)),
    # one figure and one reading in a row, with a box for what was moved
    *((block((SHORT,), read=(each,)),
       RowLayout(alone(28.0, wide, 22, 22, 22), 1, (1,), BOXES, 0))
      for each, wide in (
          (A, 27.0),
          (WIDE_TARGET, to_read("W", "1119\u00a063/64\u00a0in", "")),
          (WIDE_LIMIT, to_read("", "", "± 1/64 in, over the whole length")),
          (ON_LINES, round(bold("scant by 1/64 in or so", 13) + 3, 1)),
      )),
    # targets below what is set: two with two boxes, three with one, one with two in a row
    (block((SHORT,), ("1 in",), read=(A, B)),
     RowLayout((13, 27, 22, 22, 27, 22, 22, 41), 6, (1,), BOXES[:2], 2)),
    (block((LONG,), ("1 in",), read=(A, B)),
     RowLayout((13, 27, 22, 22, 27, 22, 22, 41), 5, (2,), BOXES[:2], 2)),
    (block((SHORT,), ("1 in",), read=(A, B, C)),
     RowLayout((13, 27, 22, 27, 22, 27, 22, 36), 6, (1,), BOXES[:1], 3)),
    (block((SHORT,), ("1 in",), read=(A, B, WIDE_LIMIT)),
     RowLayout((13, 35, 22, 35, 22, 35, 22, 12), 5, (2,), BOXES[:1], 3)),
]  # fmt: skip


@pytest.mark.parametrize("at", range(len(LAID)))
def test_rows_have_the_columns_that_their_words_need(at: int) -> None:
    of, wanted = LAID[at]
    laid = row_layout(of)
    assert laid.columns == pytest.approx(wanted.columns, abs=0.051)
    assert replace(laid, columns=()) == replace(wanted, columns=())


SAME, OTHER = measure("A: the cheek", "1/2 in"), measure("the shoulder")
ONE, TWO = block((SHORT,), ("1 in",), read=(A,)), block((SHORT,), ("1 in",), read=(A, SAME))
TOLD: list[tuple[OperationBlock, bool, bool]] = [
    # a reading in the row of its figure; what is read with the rows of what is set at all
    (ONE, True, True),
    (replace(ONE, rows=(ONE.rows[0], replace(ONE.rows[1], measures=()))), True, True),
    (replace(ONE, rows=(TWO.rows[0], ONE.rows[1])), False, True),
    (block((SHORT,), ("1 in",), read=(A, OTHER)), False, True),
    (block((SHORT,), read=(A, OTHER)), False, False),
    (block((SHORT, "1 in"), ("1 in", SHORT), read=(A,)), False, False),
    (block((SHORT, "1 in"), ("1 in", "1 in"), read=(A,)), False, True),
    (block((), (), read=(A,)), False, False),
    (block((SHORT,), ("1 in",)), False, False),
    # one row alone, whose parts have room beside its figure
    (block((SHORT,), read=(A,), parts="p" * 40), True, True),
    (block((SHORT,), read=(A,), parts="p" * 41), False, False),
    (block((SHORT,), ("1 in",), read=(A,), parts="p" * 41), True, True),
]


@pytest.mark.parametrize("at", range(len(TOLD)))
def test_what_is_read_stands_with_what_is_set_where_there_is_room(at: int) -> None:
    of, at_once, with_rows = TOLD[at]
    assert (read_at_once(of), in_rows(of)) == (at_once, with_rows)


def test_things_to_measure_are_named_by_their_letters_and_stand_in_rows() -> None:
    assert [letter(each) for each in (A, OTHER, measure("AB: the cheek"), measure("A"))] == [
        "A", "", "", ""]  # fmt: skip
    row = block((SHORT,), read=(A, B, C, SAME, OTHER)).rows[0]
    assert list(side_by_side(row, 2)) == [(A, B), (C, SAME), (OTHER,)]
    assert list(side_by_side(row, 3)) == [(A, B, C), (SAME, OTHER)]


def test_what_is_told_of_all_rows_or_at_the_machine_s_head_is_not_told_again() -> None:
    row = BLOCK.rows[0].settings[0]
    dial = replace(block((SHORT,)).dials[0], title="Stop")
    assert own_title(replace(row, title="Stop, spacer counted in"), dial) == "spacer counted in"
    assert own_title(replace(row, title="Stop"), dial) == ""
    machine = content("larder").machines[0]
    sheet = replace(machine, dials=(Fact("a", "by 1; as then."), Fact("b", "by 1.")))
    assert [known_of(words, sheet) for words in ("as then", "then", "by 1")] == ["", "then", "by 1"]


def test_drawings_stand_side_by_side_as_far_as_the_page_is_wide() -> None:
    """4 mm between them, 45 mm at the least for words at their right."""
    drawing = next(each.drawing for block in EVERY for each in block.cuts)
    half, more, most = (uncaptioned(replace(drawing, width=each)) for each in (96.0, 96.1, 147.0))
    assert in_drawn_rows([half, half, half]) == [[half, half], [half]]
    assert in_drawn_rows([half, more]) == [[half], [more]]
    assert in_drawn_rows([]) == []
    assert leave_room([most]) and not leave_room([half, half])
    assert not leave_room([uncaptioned(replace(drawing, width=147.1))])
    of = replace(BLOCK, cuts=(half,), where=(half.drawing,))
    assert [len(figures(of)), apart(of)] == [2, []]
    of = replace(BLOCK, cuts=(half,), where=(more.drawing,))
    assert figures(of) == [half] and [each.drawing for each in apart(of)] == [more.drawing]
    assert [each.note for each in (*apart(of), *figures(replace(of, cuts=())))] == [
        "After the cut.", ""]  # fmt: skip
