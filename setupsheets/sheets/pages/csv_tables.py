"""The blocks of the parts sheets that other programs read, as comma-separated values."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping

from setupsheets.sheets.content.finished_parts import PartsSheet, Table

FOR_OTHERS = ("cut-list", "glass-order")
"""Blocks that go to a timber yard or a glazier: written as CSV where the job has them."""


def csv_files(sheet: PartsSheet) -> Mapping[str, str]:
    """Each block for others as a text of comma-separated values (RFC 4180), by the block's name."""
    found = ((name, sheet.block(name)) for name in FOR_OTHERS)
    return {
        name: csv_text(block.table)
        for name, block in found
        if block is not None and block.table is not None and block.table.rows
    }


def csv_text(table: Table) -> str:
    """A table with its headings, cells as they are printed.

    A cell that a spreadsheet would take for a formula is set behind an apostrophe.
    """
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow(table.headings)
    writer.writerows([_plain(cell) for cell in row] for row in table.rows)
    return out.getvalue()


def _plain(cell: str) -> str:
    return f"'{cell}" if cell.startswith(("=", "+", "-", "@", "\t", "\r")) else cell
