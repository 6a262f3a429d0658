"""Beads ordered as they are made: wide boards planed to a bead's depth, strips ripped off them.

A strip as narrow as a bead is never planed or ripped by itself, so what is ordered is a board for
all beads of one section. Sizes without a source here are common practice.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil

from msgspec import Struct

from setupsheets.joinery.members.parts import Bead, Joinery
from setupsheets.joinery.stock.packing import BoardPiece, pack
from setupsheets.lengths import Length, Unit
from setupsheets.shop.shop_terms import in_shop_terms

KERF = Length("1/8 in")  # of a saw where the job's stock does not say it
PLANED = Length("1/32 in")  # off the board's edge before each strip
LEFT = Length("2 in")  # of board beside the last strip, for a push block to bear on
WIDEST = Length("6 in")  # a board that every planer takes
SHORTEST, LONGEST = Length("12 in"), Length("48 in")  # strips that hands manage; common practice


class BeadBoard(Struct, frozen=True):
    """``count`` equal boards, planed to the ``depth`` of the beads of ``fields`` and as ``wide`` as
    it takes to rip ``strips`` strips of the beads' ``width`` and ``length`` off each."""

    fields: tuple[int, ...]
    width: Length
    depth: Length
    count: int
    strips: int
    length: Length
    wide: Length


def bead_boards(
    joinery: Joinery, kerf: Length | None, finest: Length, unit: Unit
) -> tuple[BeadBoard, ...]:
    """A board or more for the beads of each section, with one strip to spare; ``kerf`` is the
    saw's, lost at every mitre and beside every strip. Boards are sized to eight ``finest`` marks,
    an eighth of an inch or 4 mm where those are a sixty-fourth or half a millimetre, and left as
    long and wide as a shop of that ``unit`` says it."""
    groups: dict[tuple[Length, Length], list[Bead]] = {}
    for bead in joinery.beads:
        groups.setdefault((bead.width, bead.depth), []).append(bead)
    lost = kerf or in_shop_terms(KERF, unit)
    return tuple(_board(beads, lost, 8 * finest, unit) for beads in groups.values())


def _board(beads: list[Bead], kerf: Length, mark: Length, unit: Unit) -> BeadBoard:
    planed, left, widest, shortest, long = (
        in_shop_terms(size, unit) for size in (PLANED, LEFT, WIDEST, SHORTEST, LONGEST)
    )
    longest = max(bead.length for bead in beads)
    pieces = [BoardPiece(str(at), bead.length, bead.count) for at, bead in enumerate(beads)]
    strips = pack(pieces, [max(longest, long)], kerf, Length.ZERO)
    used = max(each.length - each.offcut for each in strips.boards)
    width, count = beads[0].width, strips.count + 1
    each = width + kerf + planed
    off_one = max(1, (widest - left) // each)
    boards = ceil(count / off_one)
    off_each = ceil(count / boards)
    return BeadBoard(
        fields=tuple(dict.fromkeys(bead.field for bead in beads)),
        width=width,
        depth=beads[0].depth,
        count=boards,
        strips=off_each,
        length=ceil(max(used, shortest) / mark) * mark,
        wide=ceil((off_each * each + left) / mark) * mark,
    )


def board_names(boards: tuple[BeadBoard, ...]) -> Iterator[str]:
    """What each is called in a list: `board for beads`, by its fields where there are several."""
    for board in boards:
        fields = ", ".join(str(field) for field in board.fields)
        yield f"board for the beads of field {fields}" if len(boards) > 1 else "board for beads"
