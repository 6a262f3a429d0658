"""What stands on the page on which one line of a test piece is read."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from setupsheets.phone.measuring import PieceInHand
from setupsheets.phone.screens import Movable, dials_of, title_of
from setupsheets.wording.figures import own_unit_first
from setupsheets.wording.reading_doubts import read_words
from setupsheets.wording.set_ups import piece_read


class Read(Struct, frozen=True):
    """A line of the piece with what was read of it so far, and its place among all."""

    title: str
    found: str
    path: str


class LineScreen(Struct, frozen=True):
    """One line to be read; ``line`` is None where all are read. ``length`` is how long the sheet's
    test piece is, where the piece may still be told to be of another length; ``dials`` what may
    still be told to have been set otherwise than the sheet says; ``record`` the one that it goes
    into, where that is begun, ``piece`` what is read for it."""

    title: str
    piece: str
    number: int
    count: int
    name: str
    by: str
    to_be: str
    limits: str
    how: str
    at: int
    read: tuple[Read, ...]
    inches: bool
    length: str
    dials: tuple[Movable, ...]
    instruments: tuple[str, ...]
    record: str
    skip: str
    any_read: bool


def line_screen(piece: PieceInHand, index: int, here: str) -> LineScreen:
    """One line of a piece, or that all are read."""
    opened, set_up = piece.opened, piece.opened.set_up
    line = piece.lines[index] if index < len(piece.lines) else None
    how = {measure.name: measure.how for measure in set_up.measurements}
    other = set_up.test_length if not piece.entry.readings and not piece.entry.again else None
    return LineScreen(
        title=title_of(opened),
        piece=piece_read(opened.record),
        number=index + 1,
        count=len(piece.lines),
        name=line.title if line else "",
        by=line.by if line else "",
        to_be=line.to_be if line else "",
        limits=line.limits if line else "",
        how=own_unit_first(how.get(line.name, ""), opened.notation.unit) if line else "",
        at=piece.at,
        read=tuple(_read(piece, here)),
        inches=opened.notation.unit.value == "in",
        length=opened.notation.show(other) if other is not None else "",
        dials=dials_of(opened) if opened.path is None else (),
        instruments=tuple(opened.shop.settings.instruments),
        record=opened.record.name if opened.path else "",
        skip=f"{here}?line={piece.next_after(index)}",
        any_read=any(piece.read_of(each) for each in piece.lines),
    )


def _read(piece: PieceInHand, here: str) -> Iterator[Read]:
    notation = piece.opened.notation
    for number, line in enumerate(piece.lines):
        found = "; ".join(read_words(each, notation) for each in piece.read_of(line))
        yield Read(line.title, found, f"{here}?line={number}")
