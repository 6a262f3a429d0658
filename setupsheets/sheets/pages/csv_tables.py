"""Tables of values as comma-separated values, for a yard's or a glazier's own programs."""

from __future__ import annotations

import csv
import io
from fractions import Fraction

from setupsheets.lengths.digits import decimal_text
from setupsheets.sheets.content.order_tables import Cell, OrderTable


def csv_text(table: OrderTable) -> str:
    """A table with its headings (RFC 4180), a point before the decimals.

    Words that a spreadsheet would take for a formula are set behind an apostrophe.
    """
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow(table.headings)
    writer.writerows([_plain(cell) for cell in row] for row in table.rows)
    return out.getvalue()


def _plain(cell: Cell) -> str:
    if isinstance(cell, str):
        return f"'{cell}" if cell.startswith(("=", "+", "-", "@", "\t", "\r")) else cell
    return decimal_text(Fraction(cell))
