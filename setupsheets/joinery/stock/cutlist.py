"""The cut list: finished and rough sizes, test pieces, and the boards that all of it takes."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from enum import StrEnum
from fractions import Fraction
from math import ceil

from msgspec import Struct
from msgspec.structs import replace

from setupsheets.joinery.members.parts import Joinery, Pane, Part
from setupsheets.joinery.notes import Note, NoteKind, note
from setupsheets.joinery.stock.bead_boards import SHORTEST, BeadBoard, board_names
from setupsheets.joinery.stock.packing import BoardPiece, Packing, pack
from setupsheets.lengths import Length, Unit
from setupsheets.shop.jobs import Allowances, Fill, Job, Meeting, Stock
from setupsheets.shop.settings import rough_mark
from setupsheets.shop.shop_terms import in_shop_terms

ZERO = Length.ZERO
FOOT, INCH, METRE = Length("1 ft"), Length("1 in"), Length("1 m")
WIDEST = Length("6 in")
"""Of a single board in a panel, as recipes have it where the job does not say: common practice."""


class RowKind(StrEnum):
    """What a row of the cut list is for."""

    PART = "part"
    BEAD = "bead"
    PANEL = "panel"
    TEST = "test piece"


class Size(Struct, frozen=True):
    """Length along the grain, width and thickness."""

    length: Length
    width: Length
    thickness: Length

    @property
    def board_feet(self) -> Fraction:
        """Square feet of board one inch thick."""
        return (self.length / FOOT) * (self.width / FOOT) * (self.thickness / INCH)

    @property
    def cubic_metres(self) -> Fraction:
        """Volume."""
        return (self.length / METRE) * (self.width / METRE) * (self.thickness / METRE)


class TestPieces(Struct, frozen=True):
    """How many test pieces like a part to get out, and how long each is, cut to length."""

    __test__ = False  # no test of pytest's

    count: int
    length: Length


class CutRow(Struct, frozen=True):
    """``count`` equal pieces; the first blank of a row is left ``first_longer`` than the rest."""

    name: str
    kind: RowKind
    count: int
    finished: Size
    rough: Size
    first_longer: Length = ZERO

    @property
    def board_feet(self) -> Fraction:
        """Of all its rough pieces."""
        return self.count * self.rough.board_feet

    @property
    def cubic_metres(self) -> Fraction:
        """Of all its rough pieces."""
        return self.count * self.rough.cubic_metres


class Scarf(Struct, frozen=True):
    """A part that no board is long enough for, glued up from ``pieces`` of ``length`` each with
    scarfs ``joint`` long."""

    name: str
    count: int
    pieces: int
    length: Length
    joint: Length


class BoardNeed(Struct, frozen=True):
    """Boards of one rough width and thickness, how they are cut, and what is made of offcuts.

    ``from_offcuts`` are the test pieces that need no board of their own, by name and count.
    """

    width: Length
    thickness: Length
    packing: Packing
    from_offcuts: tuple[tuple[str, int], ...]
    scarfs: tuple[Scarf, ...]

    @property
    def bought(self) -> Size:
        """All boards end to end."""
        return Size(self.packing.total, self.width, self.thickness)


def cut_list(
    job: Job,
    joinery: Joinery,
    unit: Unit,
    tests: Mapping[str, TestPieces],
    first_longer: Length = ZERO,
    beads: tuple[BeadBoard, ...] = (),
) -> tuple[CutRow, ...]:
    """Parts, panels, boards for beads and test pieces with finished and rough sizes.

    ``tests`` says how many test pieces of each part to get out and how long: as many as its set-ups
    are expected to take. They have the section of their part. ``first_longer`` is how much longer
    the first blank of a part with tenons is left; one that is longer than its part has that to
    spare already.
    """
    allowances = job.allowances
    parts = [_part_row(part, allowances, first_longer) for part in joinery.parts]
    wanted = (part for part in joinery.parts if part.name in tests)
    return (
        *parts,
        *(
            _panel_row(pane, allowances, unit)
            for pane in joinery.panes
            if pane.fill is not Fill.GLASS
        ),
        *_bead_rows(beads, allowances),
        *_strip_rows(job, allowances),
        *(_test_row(part, tests[part.name], allowances) for part in wanted),
    )


def _part_row(part: Part, allowances: Allowances, first_longer: Length) -> CutRow:
    finished = Size(part.piece_length, part.width, part.thickness)
    longer = first_longer if part.ends and part.long is None else ZERO
    inside = (
        "" if part.long is None else " (two in each)" if part.long.holds > 1 else " (left long)"
    )
    return _row(f"{part.name}{inside}", RowKind.PART, part.pieces, finished, allowances, longer)


def _panel_row(pane: Pane, allowances: Allowances, unit: Unit) -> CutRow:
    """A panel's grain stands upright: common practice, so that it moves across the leaf. A low one
    is got out as long as a planer asks for."""
    finished = Size(pane.height, pane.width, pane.thickness)
    row = _row(f"panel of field {pane.field}", RowKind.PANEL, pane.count, finished, allowances)
    long = max(row.rough.length, in_shop_terms(SHORTEST, unit))
    return replace(row, rough=replace(row.rough, length=long))


def _bead_rows(boards: tuple[BeadBoard, ...], allowances: Allowances) -> Iterator[CutRow]:
    for name, board in zip(board_names(boards), boards, strict=True):
        finished = Size(board.length, board.wide, board.depth)
        yield _row(name, RowKind.BEAD, board.count, finished, allowances)


def _strip_rows(job: Job, allowances: Allowances) -> Iterator[CutRow]:
    """What covers the gap of a pair: one strip for every two leaves, as long as they are high."""
    opening = job.opening
    if opening is not None and opening.pair in (Meeting.ASTRAGAL, Meeting.STRIP):
        finished = Size(job.size.height, opening.strip_width, opening.strip_thickness)
        yield _row(str(opening.pair), RowKind.PART, (job.count + 1) // 2, finished, allowances)


def _row(
    name: str, kind: RowKind, count: int, finished: Size, more: Allowances, longer: Length = ZERO
) -> CutRow:
    rough = Size(
        finished.length + more.length,
        finished.width + more.width,
        finished.thickness + more.thickness,
    )
    return CutRow(name, kind, count, finished, rough, longer)


def _test_row(part: Part, pieces: TestPieces, allowances: Allowances) -> CutRow:
    finished = Size(pieces.length, part.width, part.thickness)
    name = f"test piece of the {part.name}"
    return _row(name, RowKind.TEST, pieces.count, finished, allowances)


def boards(
    rows: Iterable[CutRow],
    stock: Stock,
    finest: Length,
    unit: Unit,
    widest: Length | None = None,
) -> tuple[BoardNeed, ...]:
    """Boards to buy for all rows, one group for each rough width and thickness, widest first;
    what is worked out of rough wood comes up to a round number of ``finest`` marks.

    A panel wider than the ``widest`` board of a panel is bought in the boards it is glued up from.
    Test pieces come from offcuts where one is long enough, else out of boards with the rest.
    Raises TooLong for a part that even scarfed pieces of the longest board do not make.
    """
    groups: dict[tuple[Length, Length], list[CutRow]] = {}
    for row in (_in_boards(row, finest, unit, widest) for row in rows):
        groups.setdefault((row.rough.width, row.rough.thickness), []).append(row)
    return tuple(
        _need(wide, thick, groups[wide, thick], stock, finest)
        for wide, thick in sorted(groups, reverse=True)
    )


def _side_by_side(row: CutRow, unit: Unit, widest: Length | None) -> int:
    """From how many boards side by side a panel is glued up, all of one width; 1 of all else."""
    most = widest or in_shop_terms(WIDEST, unit)
    wide = row.kind is RowKind.PANEL and row.finished.width > most
    return ceil(row.rough.width / most) if wide else 1


def _rough(size: Length, finest: Length) -> Length:
    """A rough size that is worked out, up to what rough wood is measured to."""
    mark = rough_mark(finest)
    return ceil(size / mark) * mark


def _in_boards(row: CutRow, finest: Length, unit: Unit, widest: Length | None) -> CutRow:
    """A row as its boards are bought: of a panel that is glued up those that it is made of."""
    if (count := _side_by_side(row, unit, widest)) == 1:
        return row
    one = replace(row.rough, width=_rough(row.rough.width / count, finest))
    return replace(row, name=f"board of the {row.name}", count=row.count * count, rough=one)


def _need(
    width: Length, thickness: Length, rows: list[CutRow], stock: Stock, finest: Length
) -> BoardNeed:
    longest = max(stock.lengths) - stock.trim
    made = [row for row in rows if row.kind is not RowKind.TEST]
    scarfs = tuple(
        _got_out(_scarf(row, longest, stock), longest, finest)
        for row in made
        if _blank(row) > longest
    )
    long = {scarf.name for scarf in scarfs}
    pieces = [piece for row in made if row.name not in long for piece in _pieces(row)]
    pieces += [BoardPiece(f"{s.name}, to scarf", s.length, s.count * s.pieces) for s in scarfs]
    tests = [piece for row in rows if row.kind is RowKind.TEST for piece in _pieces(row)]
    packing = pack(pieces, stock.lengths, stock.kerf, stock.trim)
    spare = _from_offcuts(packing, tests, stock.kerf)
    if spare is None:
        packing, spare = pack([*pieces, *tests], stock.lengths, stock.kerf, stock.trim), ()
    return BoardNeed(width, thickness, packing, spare, scarfs)


def _blank(row: CutRow) -> Length:
    return row.rough.length + row.first_longer


def _pieces(row: CutRow) -> Iterator[BoardPiece]:
    """The first blank, left longer, and the rest."""
    if row.first_longer:
        yield BoardPiece(f"{row.name}, first", _blank(row), 1)
        yield BoardPiece(row.name, row.rough.length, row.count - 1)
    else:
        yield BoardPiece(row.name, row.rough.length, row.count)


def _from_offcuts(
    packing: Packing, tests: list[BoardPiece], kerf: Length
) -> tuple[tuple[str, int], ...] | None:
    """Test pieces out of offcuts, the longest first; None where they do not all go in."""
    left = [board.offcut for board in packing.boards for _ in range(board.count)]
    for piece in sorted(tests, key=lambda test: -test.length.mm):
        for _ in range(piece.count):
            place = next((n for n, room in enumerate(left) if room >= piece.length), None)
            if place is None:
                return None
            left[place] = max(left[place] - piece.length - kerf, ZERO)
    return tuple((piece.name, piece.count) for piece in tests)


def _scarf(row: CutRow, longest: Length, stock: Stock) -> Scarf:
    """The fewest equal pieces that make the part: k pieces lose k - 1 scarfs (plane geometry)."""
    joint, length = stock.scarf * row.rough.thickness, _blank(row)
    gain = longest - joint
    pieces = ceil((length - joint) / gain) if gain > ZERO else 0
    each = (length + (pieces - 1) * joint) / pieces if pieces else length
    return Scarf(row.name, row.count, pieces or 1, each, joint)


def _got_out(scarf: Scarf, longest: Length, finest: Length) -> Scarf:
    """The same of pieces as they are measured on rough wood; none longer than a board."""
    fits = scarf.length <= longest
    return replace(scarf, length=min(_rough(scarf.length, finest), longest)) if fits else scarf


def part_scarf(part: Part, job: Job) -> Scarf:
    """How a part's rough blank is got out: of one piece where a board is long enough or the job
    gives none, else scarfed."""
    row, stock = _part_row(part, job.allowances, ZERO), job.stock
    if stock is not None and row.rough.length > (longest := max(stock.lengths) - stock.trim):
        return _scarf(row, longest, stock)
    return Scarf(part.name, part.count, 1, row.rough.length, ZERO)


def scarf_notes(needs: Iterable[BoardNeed]) -> Iterator[Note]:
    """What to know where parts are glued up for length: all of it common practice."""
    scarfs = [scarf for need in needs for scarf in need.scarfs]
    for scarf in scarfs:
        yield note(NoteKind.GLUED_UP_FOR_LENGTH, scarf=scarf)
    if scarfs:
        yield note(NoteKind.GLUE_FOR_SCARFS)


def panel_notes(
    rows: Iterable[CutRow], finest: Length, unit: Unit, board: Length | None = None
) -> Iterator[Note]:
    """Panels wider than one ``board`` of a panel, which are bought in the boards they are of."""
    for row in rows:
        if (count := _side_by_side(row, unit, board)) > 1:
            wide = _in_boards(row, finest, unit, board).rough.width
            yield note(NoteKind.PANEL_OF_BOARDS, row=row, count=count, wide=wide)
