"""The cut list and the boards that it takes."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

import pytest
from msgspec.structs import replace

from setupsheets.joinery.leaf import work_out
from setupsheets.joinery.members.parts import Bead, LongBlank
from setupsheets.joinery.stock.bead_boards import BeadBoard, bead_boards
from setupsheets.joinery.stock.cutlist import (
    CutRow,
    RowKind,
    Size,
    TestPieces,
    boards,
    cut_list,
    scarf_notes,
)
from setupsheets.joinery.stock.packing import TooLong
from setupsheets.lengths import Length, Unit
from setupsheets.shop.jobs import Allowances, Fill, Job, Meeting, Opening, Stock
from setupsheets.wording.joinery_notes import note_texts
from tests.joinery.designs import FINEST, SECTIONS, SIXTY_FOURTHS, inches, leaf, two_fields

STOCK = Stock((inches("96"), inches("120")), inches("1/8"), inches("2"))
OVER = Allowances(inches("1"), inches("1/4"), inches("1/8"))


def rows(job: Job, **tests: int) -> dict[str, CutRow]:
    joinery = work_out(job, SECTIONS, FINEST)
    named = {name.replace("_", " "): TestPieces(count, inches("12"))
             for name, count in tests.items()}  # fmt: skip
    return {row.name: row for row in cut_list(job, joinery, Unit.IN, named, inches("3/32"))}


def row(name: str, length: str, count: int, kind: RowKind = RowKind.PART) -> CutRow:
    size = Size(inches(length), inches("3"), inches("1 1/2"))
    return CutRow(name, kind, count, size, size)


def test_board_feet_and_cubic_metres() -> None:
    """A board foot is 144 cubic inches; a cubic metre is about 423.776 of them (arithmetic)."""
    size = Size(inches("96"), inches("6"), inches("2"))
    assert size.board_feet == 8
    cube = Size(*(Length("1 m"),) * 3)
    assert cube.cubic_metres == 1
    assert float(cube.board_feet) == pytest.approx(423.776, abs=0.001)


def test_rough_sizes_have_the_allowances() -> None:
    found = rows(leaf(allowances=OVER))["cross bar"]
    assert found.count == 3
    assert found.finished == Size(inches("20 1/2"), inches("1 1/8"), inches("1 3/8"))
    assert found.rough == Size(inches("21 1/2"), inches("1 3/8"), inches("1 1/2"))
    assert found.first_longer == inches("3/32")
    assert rows(leaf())["stile"].first_longer == Length.ZERO


def test_test_pieces_are_of_the_length_that_is_asked_for() -> None:
    found = rows(leaf(allowances=OVER), cross_bar=4)["test piece of the cross bar"]
    assert (found.kind, found.count) == (RowKind.TEST, 4)
    assert found.finished == Size(inches("12"), inches("1 1/8"), inches("1 3/8"))
    assert found.rough == Size(inches("13"), inches("1 3/8"), inches("1 1/2"))
    assert "test piece of the stile" not in rows(leaf(), cross_bar=4)


@pytest.mark.parametrize("pair", [Meeting.ASTRAGAL, Meeting.STRIP])
def test_a_pair_has_one_strip_over_its_gap(pair: Meeting) -> None:
    """As long as the leaves are high: 80 less 1/8 above and 1/2 below (arithmetic)."""
    opening = Opening(inches("60"), inches("80"), pair=pair)
    found = rows(replace(leaf(count=4), leaf=None, opening=opening))[str(pair)]
    assert found.count == 2
    assert found.finished == Size(inches("79 3/8"), inches("1 1/4"), inches("3/8"))
    plain = replace(opening, pair=Meeting.PLAIN)
    assert str(pair) not in rows(replace(leaf(count=4), leaf=None, opening=plain))


def test_panels_are_in_the_list() -> None:
    found = rows(two_fields(Fill.PANEL))
    assert found["panel of field 2"].finished.thickness == inches("1/4")


@pytest.mark.parametrize(
    ("wide", "unit", "widest", "each"),
    [
        ("6 in", Unit.IN, None, [("panel", 2, "6 1/4 in")]),
        ("6 1/64 in", Unit.IN, None, [("board of the panel", 4, "3 3/16 in")]),
        ("150 mm", Unit.MM, None, [("panel", 2, "156.35 mm")]),
        ("151 mm", Unit.MM, None, [("board of the panel", 4, "3 1/8 in")]),
        ("8 in", Unit.IN, "8 in", [("panel", 2, "8 1/4 in")]),
        ("8 1/64 in", Unit.IN, "8 in", [("board of the panel", 4, "4 3/16 in")]),
    ],
)
def test_a_panel_wider_than_a_board_of_a_panel_is_bought_in_equal_boards(
    wide: str, unit: Unit, widest: str | None, each: list[tuple[str, int, str]]
) -> None:
    """Two panels with 1/4 in to spare in width. A board of 6 in (150 mm) at most where nobody says
    how wide: common practice. Halves of the rough width, up to a sixteenth (arithmetic)."""
    finished = Size(inches("20"), Length(wide), inches("1/4"))
    rough = replace(finished, width=finished.width + inches("1/4"))
    panel = CutRow("panel", RowKind.PANEL, 2, finished, rough)
    most = Length(widest) if widest else None
    needs = boards([panel], STOCK, FINEST, unit, most)
    bought = [(name, times * many.count, str(need.width)) for need in needs
              for many in need.packing.boards for name, _, times in many.pieces]  # fmt: skip
    assert bought == each


@pytest.mark.parametrize(
    ("holds", "name", "pieces"),
    [(1, "cross bar (left long)", 3), (2, "cross bar (two in each)", 2)],
)
def test_a_part_that_is_made_in_a_longer_piece_is_got_out_as_that(
    holds: int, name: str, pieces: int
) -> None:
    """Three cross bars: one in each length, or two, and the longer piece has to spare already."""
    joinery = work_out(leaf(), SECTIONS, FINEST)
    long = LongBlank(inches("44"), holds, 0)
    parts = tuple(replace(each, long=long) if each.name == "cross bar" else each
                  for each in joinery.parts)  # fmt: skip
    found = cut_list(leaf(), replace(joinery, parts=parts), Unit.IN, {}, inches("3/32"))
    (row,) = [row for row in found if row.name.startswith("cross bar")]
    assert (row.name, row.count, row.finished.length) == (name, pieces, inches("44"))
    assert row.first_longer == Length.ZERO
    assert rows(leaf())["cross bar"].count == 3


def strips(board: BeadBoard, beads: Sequence[Bead], kerf: Length) -> int:
    """How many strips of the board's length beads take, longest first into the first that has room:
    a maker's own way (plane arithmetic)."""
    left: list[Length] = []
    for bead in sorted(beads, key=lambda each: -each.length.mm):
        for _ in range(bead.count):
            at = next((n for n, room in enumerate(left) if room >= bead.length), len(left))
            left += [board.length] if at == len(left) else []
            left[at] -= min(left[at], bead.length + kerf)
    return len(left)


@pytest.mark.parametrize("kerf", ["1/8", "3/32"])
def test_beads_are_ordered_as_a_board_that_holds_them_all(kerf: str) -> None:
    """Every strip with the kerf beside it and a thirty-second planed off, every bead with its kerf,
    one strip over, and two inches that are never ripped (common practice, no source)."""
    saw = inches(kerf)
    for job in (leaf(), leaf(count=5), two_fields(Fill.PANEL)):
        joinery = work_out(job, SECTIONS, FINEST)
        boards_of = bead_boards(joinery, saw, FINEST, Unit.IN)
        assert {field for each in boards_of for field in each.fields} == {
            bead.field for bead in joinery.beads
        }
        for board in boards_of:
            beads = [each for each in joinery.beads if each.field in board.fields]
            assert board.length >= max(bead.length for bead in beads)
            assert board.count * board.strips >= strips(board, beads, saw)
            run = sum((each.count * (each.length + saw) for each in beads), -saw)
            assert (board.count * board.strips - 1) * (board.length + saw) >= run + saw
            room = board.strips * (board.width + saw + inches("1/32")) + inches("2")
            assert room <= board.wide < room + 8 * FINEST
            assert board.wide <= inches("6") + 8 * FINEST


def test_the_cut_list_has_boards_for_beads_and_no_strips() -> None:
    joinery = work_out(leaf(), SECTIONS, FINEST)
    (board,) = bead_boards(joinery, None, FINEST, Unit.IN)
    found = cut_list(leaf(allowances=OVER), joinery, Unit.IN, {}, beads=(board,))
    (ordered,) = [row for row in found if row.kind is RowKind.BEAD]
    assert (ordered.name, ordered.count) == ("board for beads", board.count)
    assert ordered.finished == Size(board.length, board.wide, board.depth)
    assert ordered.rough.thickness == board.depth + OVER.thickness


def test_beads_of_a_little_leaf_come_off_a_board_of_a_foot_or_of_300_mm() -> None:
    """It is planed: a piece under 12 in (300 mm) is not (common practice, no source)."""
    joinery = work_out(leaf(rows=1, sight_width="1 3/4", sight_height="1 3/4"), SECTIONS, FINEST)
    (inch,) = bead_boards(joinery, None, FINEST, Unit.IN)
    (metric,) = bead_boards(joinery, None, Length("0.5 mm"), Unit.MM)
    assert (inch.length, metric.length) == (inches("12"), Length("300 mm"))
    # two inches, or 50 mm, that are not ripped, and for each strip a kerf and a planed edge
    each = metric.width + Length("3 mm") + Length("0.8 mm")
    assert Length("50 mm") <= metric.wide - metric.strips * each < Length("54 mm")


def test_boards_are_grouped_by_width_and_thickness() -> None:
    needs = boards(rows(leaf(allowances=OVER)).values(), STOCK, FINEST, Unit.IN)
    assert [(need.width, need.thickness) for need in needs][:2] == [
        (inches("3 1/4"), inches("1 1/2")),
        (inches("1 3/8"), inches("1 1/2")),
    ]
    assert all(need.packing.proven for need in needs)
    # two stiles of 49 and two rails of 21 1/2, one of them 22 1/2, take 142 and three kerfs
    assert needs[0].packing.total == inches("192")
    assert needs[0].bought.board_feet == Fraction(192, 12) * Fraction(13, 48) * Fraction(3, 2)


def test_test_pieces_come_from_offcuts_where_they_are_long_enough() -> None:
    """80 and a kerf out of 94 leave 13 7/8, room for one of 12 (plain arithmetic)."""
    short = replace(STOCK, lengths=(inches("96"),))
    part = row("rail", "80", 1)
    (one,) = boards([part, row("test", "12", 1, RowKind.TEST)], short, FINEST, Unit.IN)
    assert one.from_offcuts == (("test", 1),)
    assert one.packing.count == 1
    (two,) = boards([part, row("test", "12", 2, RowKind.TEST)], short, FINEST, Unit.IN)
    assert two.from_offcuts == ()
    assert two.packing.count == 2
    (exact,) = boards([part, row("test", "13 7/8", 1, RowKind.TEST)], short, FINEST, Unit.IN)
    assert exact.packing.count == 1
    (over,) = boards([part, row("test", "13 57/64", 1, RowKind.TEST)], short, FINEST, Unit.IN)
    assert over.packing.count == 2


@pytest.mark.parametrize(
    ("length", "pieces", "each"),
    [
        ("118", 1, ""),
        ("118 1/64", 2, "65 1/16"),  # half of 130 1/64 is 65 1/128: up to a sixteenth
        ("224", 2, "118"),
        ("225", 3, "83"),
        ("224 1/8", 3, "82 3/4"),  # a third of 248 1/8 is 82 17/24
    ],
)
def test_a_part_longer_than_any_board_is_scarfed(length: str, pieces: int, each: str) -> None:
    """Boards give 118; a scarf of 8 to 1 in 1 1/2 stock is 12, so two make 224 (arithmetic)."""
    (need,) = boards([row("stile", length, 2)], STOCK, FINEST, Unit.IN)
    if pieces == 1:
        assert need.scarfs == ()
        return
    (scarf,) = need.scarfs
    assert (scarf.pieces, scarf.joint) == (pieces, inches("12"))
    assert scarf.length == inches(each)
    made = pieces * scarf.length - (pieces - 1) * scarf.joint
    assert inches(length) <= made < inches(length) + pieces * inches("1/16")
    cut = sum(times * board.count for board in need.packing.boards for _, _, times in board.pieces)
    assert cut == 2 * pieces
    notes = note_texts(scarf_notes([need]), SIXTY_FOURTHS)
    assert len(notes) == 2
    assert f"from {pieces} pieces" in notes[0]


def test_boards_that_are_shorter_than_a_scarf_make_nothing() -> None:
    short = replace(STOCK, lengths=(inches("12"),))
    with pytest.raises(TooLong):
        boards([row("stile", "118", 2)], short, FINEST, Unit.IN)


def test_without_scarfs_there_is_no_note() -> None:
    assert list(scarf_notes(boards([row("rail", "20", 2)], STOCK, FINEST, Unit.IN))) == []
