"""Cut list and glass order as values: CSV and workbook, read back by other readers.

CSV is read by Python's csv (RFC 4180), the workbook by openpyxl (ECMA-376). Figures of the larder
are worked by hand from its job file: a stile is 41 1/2 in and a horn of 1 in at both ends, with
1, 1/4 and 1/8 in allowed for the rough; a light of 7 1/16 by 12 1/4 in gives up 1/8 in all round.
"""

from __future__ import annotations

import csv
import io
from fractions import Fraction

import pytest
from msgspec.structs import replace
from openpyxl import load_workbook
from openpyxl.worksheet.worksheet import Worksheet

from setupsheets.joinery.stock.cutlist import CutRow, RowKind, Size
from setupsheets.lengths import Length, Notation, Unit, read_length
from setupsheets.sheets.content.order_tables import OrderTable, order_tables
from setupsheets.sheets.pages.csv_tables import csv_text
from setupsheets.sheets.pages.workbook import workbook
from tests.sheets.sheet_plans import JOBS, inches, plan, shop, whole

INCHES, METRIC = Notation(Unit.IN, Fraction(1, 64)), Notation(Unit.MM, Fraction(1, 2))
STARTS = ("=1+1", "+1", "-1", "@a", "\t=1", "\r=1", "#N/A")


def tables(name: str) -> tuple[OrderTable, ...]:
    of = shop(name)
    return order_tables(whole(name), of.timber_of(plan(name).job).title, of.settings.notation)


def read_csv(table: OrderTable) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(csv_text(table), newline="")))


def of_one(row: CutRow, notation: Notation = INCHES) -> list[dict[str, str]]:
    """The rows that a cut list of one row comes to."""
    return read_csv(order_tables(replace(whole("larder"), rows=(row,)), "Ash", notation)[0])


def a_row(count: int, longer: str, size: Size | None = None) -> CutRow:
    finished = size or Size(inches("16 3/8"), inches("2 1/4"), inches("1 1/4"))
    rough = replace(finished, length=finished.length + inches("1"))
    return CutRow("rail", RowKind.PART, count, finished, rough, inches(longer))


def test_a_stile_is_told_in_numbers_and_as_written() -> None:
    stile = next(row for row in read_csv(tables("larder")[0]) if row["Piece"] == "stile")
    assert stile == {
        "Piece": "stile",
        "What for": "part",
        "How many": "4",
        "Timber": "Black cherry",
        "Grain": "along the length",
        "Board, rough width × thickness": "2 1/2 in × 1 3/8 in",
        "Finished length (in)": "43.5",
        "Finished length, as written": "43 1/2 in",
        "Finished width (in)": "2.25",
        "Finished width, as written": "2 1/4 in",
        "Finished thickness (in)": "1.25",
        "Finished thickness, as written": "1 1/4 in",
        "Rough length (in)": "44.5",
        "Rough length, as written": "44 1/2 in",
        "Rough width (in)": "2.5",
        "Rough width, as written": "2 1/2 in",
        "Rough thickness (in)": "1.375",
        "Rough thickness, as written": "1 3/8 in",
    }


def test_a_panel_stands_upright_and_test_pieces_have_rows_of_their_own() -> None:
    found = {row["What for"]: row for row in read_csv(tables("vestibule")[0])}
    assert set(found) == {"part", "bead", "panel"}
    assert found["panel"]["Grain"] == "along the length, upright in the leaf"
    assert {found[each]["Grain"] for each in ("part", "bead")} == {"along the length"}
    tests = [row for row in read_csv(tables("larder")[0]) if row["What for"] == "test piece"]
    # sheet_plans asks for three, 12 in long; the allowance is 1 in
    assert [(row["How many"], row["Rough length (in)"]) for row in tests] == [("3", "13")]


@pytest.mark.parametrize(
    ("count", "longer", "expected"),
    [
        (3, "0", [("rail", "part", "3", "17.375")]),
        (
            3,
            "3/32",
            [("rail, first", "first blank", "1", "17.46875"), ("rail", "part", "2", "17.375")],
        ),
        (1, "3/32", [("rail, first", "first blank", "1", "17.46875")]),
    ],
)
def test_a_first_blank_has_its_own_row_as_long_as_it_is_got_out(
    count: int, longer: str, expected: list[tuple[str, ...]]
) -> None:
    """Arithmetic: 16 3/8 + 1 = 17.375, and 3/32 more is 17.46875. None is counted twice."""
    rows = of_one(a_row(count, longer))
    keys = ("Piece", "What for", "How many", "Rough length (in)")
    assert [tuple(row[key] for key in keys) for row in rows] == expected
    assert {row["Finished length (in)"] for row in rows} == {"16.375"}


def test_the_number_is_in_the_shops_unit_to_six_places() -> None:
    """25.4 mm to the inch: 1/64 in is 0.396875 mm, a third of an inch .333333, 10 mm .393701."""
    size = Size(inches("1/64"), Length.inches(Fraction(1, 3)), Length.millimetres("10"))
    (row,) = of_one(a_row(1, "0", size), METRIC)
    assert row["Finished length (mm)"] == "0.396875" and row["Finished thickness (mm)"] == "10"
    (row,) = of_one(a_row(1, "0", size))
    assert row["Finished length (in)"] == "0.015625"
    assert row["Finished width (in)"] == "0.333333" and row["Finished thickness (in)"] == "0.393701"


@pytest.mark.parametrize("name", JOBS)
def test_number_and_words_are_one_size(name: str) -> None:
    unit = shop(name).settings.unit
    compared = 0
    for table in tables(name):
        for row in read_csv(table):
            for heading in (each for each in row if each.endswith(f" ({unit})")):
                number = row[heading]
                words = row[heading.replace(f" ({unit})", ", as written")]
                assert read_length(number, unit) == read_length(words, unit), (heading, row)
                compared += 1
    assert compared > 50


def test_glass_is_told_at_the_mark_that_it_is_cut_to() -> None:
    (line,) = read_csv(tables("larder")[1])
    assert line["How many"] == "12" and line["Field"] == "1"
    # 7 1/16 - 1/4 = 6 13/16, 12 1/4 - 1/4 = 12; glass is 1/8 in thick, cut to 1/16 in
    assert [line[f"{side} to order (in)"] for side in ("Width", "Height")] == ["6.8125", "12"]
    assert [line[f"Opening {side} (in)"] for side in ("width", "height")] == ["7.0625", "12.25"]
    assert line["Thickness (in)"] == "0.125" and line["Tolerance ± (in)"] == "0.0625"


def test_glass_between_two_marks_is_rounded_down_in_the_number_too() -> None:
    """12 1/64 in lies over the mark of 12 in: common practice, no source."""
    found = whole("larder")
    wide = inches("12 1/64")
    order = tuple(replace(line, width=wide) for line in found.order)
    panes = tuple(replace(pane, width=wide) for pane in found.joinery.panes)
    odd = replace(found, order=order, joinery=replace(found.joinery, panes=panes))
    (line,) = read_csv(order_tables(odd, "Ash", INCHES)[1])
    assert line["Width to order (in)"] == "12" and line["Width to order, as written"] == "12 in"


def test_without_glass_there_is_no_order() -> None:
    assert [
        each.name for each in order_tables(replace(whole("larder"), order=()), "Ash", INCHES)
    ] == ["cut-list"]


@pytest.mark.parametrize("name", JOBS)
def test_the_workbook_has_every_cell_of_the_csv_numbers_as_numbers(name: str) -> None:
    book = load_workbook(io.BytesIO(workbook(tables(name))))
    assert book.sheetnames == ["Cut list", "Glass to order"]
    for table, sheet in zip(tables(name), book.worksheets, strict=True):
        (heads, *rows), (expected_heads, *expected) = cells_of(sheet), csv_rows(table)
        assert heads == expected_heads and len(rows) == len(expected) > 0
        for row, words in zip(rows, expected, strict=True):
            for head, cell, text in zip(heads, row, words, strict=True):
                if str(head).endswith((" (in)", " (mm)")) or head == "How many":
                    assert isinstance(cell, int | float) and cell == float(text)
                else:
                    assert cell == text


def test_the_workbook_s_columns_are_as_wide_as_their_words_and_its_headings_stay() -> None:
    """In letters, two more than the longest cell; the headings are bold."""
    table = OrderTable("a", "a", ("Piece", "Of"), (("top rail", 3), ("bar", Fraction(1, 8))))
    (sheet,) = load_workbook(io.BytesIO(workbook([table]))).worksheets
    assert [sheet.column_dimensions[each].width for each in "AB"] == [10, 7]
    assert sheet.freeze_panes == "A2"
    assert [[cell.font.bold for cell in row] for row in sheet] == [[True] * 2, *[[False] * 2] * 2]


def cells_of(sheet: Worksheet) -> list[list[object]]:
    return [list(row) for row in sheet.iter_rows(values_only=True)]


def csv_rows(table: OrderTable) -> list[list[str]]:
    return list(csv.reader(io.StringIO(csv_text(table), newline="")))


def test_csv_reads_back_cell_for_cell() -> None:
    """RFC 4180: fields with commas, quotes and line ends come back as they were; lines end CRLF."""
    table = OrderTable("a", "a", ("Piece", "Rough"), (('a, "b"', Fraction(1, 2)), ("line\nend", 3)))
    assert csv_rows(table) == [["Piece", "Rough"], ['a, "b"', "0.5"], ["line\nend", "3"]]
    assert csv_text(table).startswith("Piece,Rough\r\n")


@pytest.mark.parametrize("words", STARTS)
def test_words_are_no_formula_of_a_spreadsheet(words: str) -> None:
    table = OrderTable("a", "a", ("b",), ((words,),))
    if words != "#N/A":
        assert csv_rows(table)[1] == [f"'{words}"]
    cell = load_workbook(io.BytesIO(workbook([table]))).worksheets[0]["A2"]
    assert cell.data_type == "s" and str(cell.value).strip() == words.strip()


def test_what_a_workbook_cannot_hold_is_left_out_of_it() -> None:
    """XML 1.0 has no control characters but tab and line ends."""
    table = OrderTable("a", "a", ("b",), (("bell\x07 rail",),))
    cell = load_workbook(io.BytesIO(workbook([table]))).worksheets[0]["A2"]
    assert cell.value == "bell  rail"
