"""Tables of values as a workbook (Office Open XML, ECMA-376), a sheet to each."""

from __future__ import annotations

import io
from collections.abc import Sequence
from fractions import Fraction

from openpyxl import Workbook
from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE
from openpyxl.styles import Font
from openpyxl.utils import get_column_letter

from setupsheets.sheets.content.order_tables import Cell, OrderTable


def workbook(tables: Sequence[OrderTable]) -> bytes:
    """The file: lengths and counts as numbers, words as words even where they begin as a formula
    does; the headings stay in sight."""
    book = Workbook()
    book.remove(book.worksheets[0])
    for table in tables:
        sheet = book.create_sheet(table.title)
        sheet.freeze_panes = "A2"
        for at, row in enumerate((table.headings, *table.rows), start=1):
            for column, value in enumerate(row, start=1):
                cell = sheet.cell(at, column, _known(value))
                if isinstance(value, str):
                    cell.data_type = "s"
                if at == 1:
                    cell.font = Font(bold=True)
        for column, cells in enumerate(zip(table.headings, *table.rows, strict=True), start=1):
            widest = max(len(str(_known(cell))) for cell in cells)
            sheet.column_dimensions[get_column_letter(column)].width = widest + 2
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _known(value: Cell) -> str | int | float:
    """A cell as the file can hold it: no control characters, which XML has none of."""
    if isinstance(value, str):
        return ILLEGAL_CHARACTERS_RE.sub(" ", value)
    return float(value) if isinstance(value, Fraction) else value
