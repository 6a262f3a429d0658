"""The cut list, the boards it takes, what the seasons do to it, and what it weighs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from setupsheets.joinery.stock.cutlist import BoardNeed, CutRow, Size
from setupsheets.joinery.stock.seasons import Moistures, SeasonalMovement
from setupsheets.lengths import Length, Notation, Unit
from setupsheets.sheets.content.finished_parts import PartsBlock, Table
from setupsheets.shop.jobs import Stock
from setupsheets.wording.figures import volume


def cut_list_block(rows: Sequence[CutRow], notation: Notation) -> PartsBlock:
    """Every piece to get out with its finished and rough sizes, test pieces with them."""
    feet = sum((row.board_feet for row in rows), Fraction(0))
    metres = sum((row.cubic_metres for row in rows), Fraction(0))
    return PartsBlock(
        "cut-list",
        "Cut list",
        "Length × width × thickness; panels with the grain upright.",
        table=Table(
            ("Piece", "How many", "Finished", "Rough", "First blank"),
            tuple(_cut_row(row, notation) for row in rows),
            (1,),
        ),
        notes=(f"rough, all together: {volume(float(feet), float(metres), notation)}",)
        if rows
        else (),
    )


def _cut_row(row: CutRow, notation: Notation) -> tuple[str, ...]:
    longer = f"{notation.show(row.first_longer)} longer" if row.first_longer else ""
    finished = _size(row.finished, notation) if row.finished != row.rough else ""
    return row.name, str(row.count), finished, _size(row.rough, notation), longer


def _size(size: Size, notation: Notation) -> str:
    return " × ".join(notation.show(each) for each in (size.length, size.width, size.thickness))


def boards_block(
    needs: Sequence[BoardNeed], stock: Stock | None, notes: Sequence[str], notation: Notation
) -> PartsBlock:
    """The boards to buy, and how each is cut; nothing without stock to choose from."""
    words = [*_board_words(needs, notation)]
    if stock is not None:
        lengths = " or ".join(notation.show(each) for each in sorted(stock.lengths))
        words.insert(
            0,
            f"From boards {lengths} long, {notation.show(stock.kerf)} of"
            f" kerf for each cut and {notation.show(stock.trim)} trimmed off a board.",
        )
    return PartsBlock(
        "boards",
        "Boards to buy",
        " ".join(words),
        table=Table(
            ("Wide × thick, rough", "Boards", "Long", "Left over, each", "Cut into"),
            tuple(row for need in needs for row in _board_rows(need, notation)),
            (1,),
        ),
        notes=tuple(notes),
    )


def _board_rows(need: BoardNeed, notation: Notation) -> Iterator[tuple[str, ...]]:
    section = f"{notation.show(need.width)} × {notation.show(need.thickness)}"
    for boards in need.packing.boards:
        cut = (f"{count} × {name}: {notation.show(long)}" for name, long, count in boards.pieces)
        yield (
            section,
            str(boards.count),
            notation.show(boards.length),
            notation.mark(boards.offcut),
            "; ".join(cut),
        )


def _board_words(needs: Sequence[BoardNeed], notation: Notation) -> Iterator[str]:
    if not needs:
        return
    feet = sum((need.bought.board_feet for need in needs), Fraction(0))
    metres = sum((need.bought.cubic_metres for need in needs), Fraction(0))
    yield f"Boards bought, all together: {volume(float(feet), float(metres), notation)}."
    if all(need.packing.proven for need in needs):
        yield "No way of cutting needs less length of board: proved."
    else:
        short = sum((need.packing.total - need.packing.bound for need in needs), Length.ZERO)
        yield f"At most {notation.show(short)} less of board might do."
    spare = [f"{count} × {name}" for need in needs for name, count in need.from_offcuts]
    if spare:
        yield f"Out of offcuts: {', '.join(spare)}."


def movement_block(
    moved: Sequence[SeasonalMovement], found: Moistures | None, notation: Notation
) -> PartsBlock:
    """What every size does from where it is made to the driest and the dampest season."""
    words = ""
    if found is not None:
        made, dry, damp = (f"{float(each):.1f} %" for each in (found.made, found.dry, found.damp))
        words = (
            f"Moisture {made} as made, {dry} at the driest, {damp} at the dampest; flat-sawn, the"
            " larger of two rates, so quartered stock moves less."
        )
    return PartsBlock(
        "movement",
        "What the seasons do",
        words,
        table=Table(
            ("What", "As made", "Driest", "Dampest", "Room to grow", "Covered if it shrinks"),
            tuple(_move_row(move, notation) for move in moved),
        ),
    )


def _move_row(move: SeasonalMovement, notation: Notation) -> tuple[str, ...]:
    return (
        move.what,
        notation.show(move.size),
        _signed(move.dry, notation),
        _signed(move.damp, notation),
        _limit(move.room, move.binds, "binds", notation),
        _limit(move.cover, move.bares, "a gap shows", notation),
    )


def _signed(by: Length, notation: Notation) -> str:
    sign = "−" if by < Length.ZERO else "+"
    return f"{sign}{_moved(abs(by), notation)}"


def _moved(by: Length, notation: Notation) -> str:
    """A movement: no rule for it is good to more than a tenth of a mm or 1/64 in."""
    if notation.unit is Unit.MM:
        return f"{float(by.mm):.1f} mm"
    return f"{float(by.inches):.3f} in".removeprefix("0")


def _limit(limit: Length | None, over: bool, what: str, notation: Notation) -> str:
    if limit is None:
        return ""
    return f"{notation.small(limit)}: {what.upper()}" if over else notation.small(limit)
