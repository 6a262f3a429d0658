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
from setupsheets.lengths import Length

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


def bead_boards(joinery: Joinery, kerf: Length | None, finest: Length) -> tuple[BeadBoard, ...]:
    """A board or more for the beads of each section, with one strip to spare; ``kerf`` is the
    saw's, lost at every mitre and beside every strip. Boards are sized to eight ``finest`` marks,
    an eighth of an inch or 4 mm where those are a sixty-fourth or half a millimetre."""
    groups: dict[tuple[Length, Length], list[Bead]] = {}
    for bead in joinery.beads:
        groups.setdefault((bead.width, bead.depth), []).append(bead)
    return tuple(_board(beads, kerf or KERF, 8 * finest) for beads in groups.values())


def _board(beads: list[Bead], kerf: Length, mark: Length) -> BeadBoard:
    longest = max(bead.length for bead in beads)
    pieces = [BoardPiece(str(at), bead.length, bead.count) for at, bead in enumerate(beads)]
    strips = pack(pieces, [max(longest, LONGEST)], kerf, Length.ZERO)
    used = max(each.length - each.offcut for each in strips.boards)
    width, count = beads[0].width, strips.count + 1
    each = width + kerf + PLANED
    off_one = max(1, (WIDEST - LEFT) // each)
    boards = ceil(count / off_one)
    off_each = ceil(count / boards)
    return BeadBoard(
        fields=tuple(dict.fromkeys(bead.field for bead in beads)),
        width=width,
        depth=beads[0].depth,
        count=boards,
        strips=off_each,
        length=ceil(max(used, SHORTEST) / mark) * mark,
        wide=ceil((off_each * each + LEFT) / mark) * mark,
    )


def board_names(boards: tuple[BeadBoard, ...]) -> Iterator[str]:
    """What each is called in a list: `board for beads`, by its fields where there are several."""
    for board in boards:
        fields = ", ".join(str(field) for field in board.fields)
        yield f"board for the beads of field {fields}" if len(boards) > 1 else "board for beads"
