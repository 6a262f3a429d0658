"""The parts sheets, finished: blocks of words, one table and one drawing, as they are printed.

One list of blocks serves the pages, the terminal and the files for other programs.
"""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from setupsheets.sheets.drawings.drawing import Drawing


class Table(Struct, frozen=True):
    """Headings and rows, every cell as it is printed; ``counts`` are the columns set to the right.

    Columns from ``boxes`` on are empty, to be pencilled in.
    """

    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    counts: tuple[int, ...] = ()
    boxes: int | None = None

    @property
    def without_empty(self) -> Table:
        """The same without the columns in which no row has anything, boxes aside."""
        kept = [
            column
            for column in range(len(self.headings))
            if (self.boxes is not None and column >= self.boxes)
            or any(row[column] for row in self.rows)
        ]
        return Table(
            tuple(self.headings[column] for column in kept),
            tuple(tuple(row[column] for column in kept) for row in self.rows),
            tuple(kept.index(column) for column in self.counts if column in kept),
            None if self.boxes is None else sum(column < self.boxes for column in kept),
        )


class PartsBlock(Struct, frozen=True):
    """One thing to know about the parts: ``words`` before the table, ``notes`` after it. ``worked``
    is a story stick by which something is cut at the bench or the mortiser."""

    name: str
    title: str
    words: str = ""
    drawing: Drawing | None = None
    table: Table | None = None
    notes: tuple[str, ...] = ()
    worked: bool = True

    @property
    def shows(self) -> bool:
        """Whether there is anything in it."""
        return bool(self.drawing or (self.table and self.table.rows) or self.notes)


class PartsPage(Struct, frozen=True):
    """One sheet of blocks under a heading."""

    name: str
    title: str
    blocks: tuple[PartsBlock, ...]


class PartsSheet(Struct, frozen=True):
    """All sheets about the parts, only with what there is."""

    title: str
    pages: tuple[PartsPage, ...] = ()

    @property
    def blocks(self) -> Iterator[PartsBlock]:
        """Every block in order."""
        for page in self.pages:
            yield from page.blocks

    @property
    def drawings(self) -> tuple[Drawing, ...]:
        """Every drawing in order."""
        return tuple(block.drawing for block in self.blocks if block.drawing is not None)

    def block(self, name: str) -> PartsBlock | None:
        """The block of that name; None where the job has nothing for it."""
        return next((block for block in self.blocks if block.name == name), None)
