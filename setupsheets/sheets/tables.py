"""The parts sheet as plain tables, for a terminal or a CSV file."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from setupsheets.sheets.finished import PartsSheet


@dataclass(frozen=True)
class PrintedTable:
    """A title, the headings of the columns and the rows, every cell as it is printed."""

    title: str
    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


def parts_tables(sheet: PartsSheet) -> tuple[PrintedTable, ...]:
    """The tables that have rows, in the order of the parts sheet."""
    return tuple(table for table in _tables(sheet) if table.rows)


def _tables(sheet: PartsSheet) -> Iterator[PrintedTable]:
    yield PrintedTable(
        "Parts",
        ("part", "how many", "width", "thickness", "face", "back", "overall"),
        tuple(
            (row.part, row.count, row.width, row.thickness, row.face, row.back, row.overall)
            for row in sheet.parts
        ),
    )
    yield PrintedTable(
        "Lights, between rebates",
        ("field", "direction", "openings", "sight size", "tongue edges from the sight edge"),
        tuple(
            (row.field, row.direction, row.opening, row.sight, row.tongues) for row in sheet.lights
        ),
    )
    for stick in sheet.sticks:
        yield PrintedTable(
            f"Story stick of the {stick.part}, from {stick.datum}",
            ("holds", "edge", "from", "to", "mortise"),
            tuple((row.holds, row.edge, row.start, row.end, row.size) for row in stick.marks),
        )
    yield PrintedTable(
        "Glass and panels",
        ("what", "how many", "size to order", "opening", "thickness"),
        tuple((row.what, row.count, row.size, row.opening, row.thickness) for row in sheet.glass),
    )
    yield PrintedTable(
        "Beads, mitred, long side",
        ("field", "how many", "length", "section"),
        tuple((row.field, row.count, row.length, row.section) for row in sheet.beads),
    )
