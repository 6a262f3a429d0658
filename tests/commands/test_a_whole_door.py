"""One metric door read from the first to the last line of its parts: every size worked by hand.

The sizes are invented. Frame and bars are 44 mm thick, moulding 10, rebate 12 wide and 22 deep; a
bar is 34 mm wide, its tongue 34 - 24 = 10. What follows is plane arithmetic, told beside each.
"""

from __future__ import annotations

import math
import re
from fractions import Fraction
from pathlib import Path

import pytest

from tests.commands.test_worked_on_paper import table
from tests.doors import begun, checked, door
from tests.running import run

FIELDS = """
  - {fill: glass, rows: 2, columns: 3}
  - {fill: panel, sight_height: 600}
"""
MORE = """
opening:
  width: 806
  height: 2010
  clearances: {top: 3, hinge: 2, lock: 4, bottom: 7}
  hinge_bevel: 0
  lock_bevel: 3
stiles: {section: ovolo-frame-metric, width: 100, horn: 30}
rails:
  - {name: top rail, section: ovolo-frame-metric, width: 100, haunch: 30}
  - {name: lock rail, section: ovolo-frame-metric, width: 150}
  - {name: bottom rail, section: ovolo-frame-metric, width: 200, haunch: 60}
bars: {section: ovolo-bar-metric, through: upright}
joints: {rail_mortise: 60, bar_mortise: 30, bar_in_bar_mortise: 15, gap: 2}
glazing: {thickness: 6, clearance: 3, bedding: 2, panel_thickness: 10, panel_clearance: 5}
hinges: {length: 100, closed: 5, count: 3, from_top: 150, from_bottom: 225}
stock: {lengths: [2400, 3000], kerf: 3, trim: 50}
seasons:
  made: {celsius: 21.1, humidity: 50}
  dry: {celsius: 21.1, humidity: 30}
  damp: {celsius: 21.1, humidity: 65}
allowances: {length: 30, width: 6, thickness: 4}
"""


@pytest.fixture(scope="module")
def parts(tmp_path_factory: pytest.TempPathFactory) -> str:
    shop = begun(tmp_path_factory.mktemp("whole"), "mm")
    ran = run("parts", door(shop, "mm", fields=FIELDS, more=MORE), "--format", "md")
    assert (ran.code, ran.err) == (0, "")
    return ran.out


def under(sheet: str, heading: str) -> str:
    return sheet.split(f"\n## {heading}", 1)[1].partition("\n## ")[0].partition("\n# ")[0]


def notes(sheet: str, heading: str) -> list[str]:
    """The sentences under a heading."""
    return re.findall(r"^- (.*)$", under(sheet, heading), re.MULTILINE)


def sizes(cell: str) -> list[Fraction]:
    """The figures of a cell in mm."""
    return [Fraction(found) for found in re.findall(r"([\d.]+) mm", cell)]


def rows(*lines: str) -> list[list[str]]:
    return [[cell.strip() for cell in line.split("|")] for line in lines]


def test_three_lengths(parts: str) -> None:
    """Leaf 806 - 2 - 4 = 800 by 2010 - 3 - 7 = 2000; between the stiles 600; the glazed field
    2000 - 100 - 150 - 200 - 600 = 950 high. Face + 2 x 10, back + 2 x 12, overall + (60 - 2) or
    (30 - 2) or (15 - 2) at each end. Between uprights (600 - 2 x 34) / 3 = 177.33."""
    assert table(parts, "Three lengths") == rows(
        "stile             | 2 | 100 mm | 44 mm |           |           | 2060 mm",
        "top rail          | 1 | 100 mm | 44 mm | 620 mm    | 624 mm    | 716 mm",
        "lock rail         | 1 | 150 mm | 44 mm | 620 mm    | 624 mm    | 716 mm",
        "bottom rail       | 1 | 200 mm | 44 mm | 620 mm    | 624 mm    | 716 mm",
        "end cross bar     | 2 | 34 mm  | 44 mm | 197.33 mm | 201.33 mm | 218.33 mm",
        "middle cross bar  | 1 | 34 mm  | 44 mm | 197.33 mm | 201.33 mm | 203.33 mm",
        "upright bar       | 2 | 34 mm  | 44 mm | 970 mm    | 974 mm    | 1006 mm",
    )


def test_what_is_said_of_the_frame(parts: str) -> None:
    """Tenons 12 mm thick: 100 - 30 = 70, 150 and 200 - 60 = 140 wide are more than five times that
    (common practice, no source). A haunch goes 12 mm past the shoulder, itself 12 mm in. In an
    upright 34 - 2 x 15 = 4 mm."""
    stiles, between, *tenons = notes(parts, "Three lengths")
    assert stiles.startswith("the stiles are a pair: lay them face to face and mark one as the")
    assert between.startswith("only 4 mm is left between the mortises in a bar where bars end in")
    haunch = "mm wide and 24 mm long from the sight edge, so that it stands as far past the"
    begins = [
        "the tenon of the top rail is 70 mm wide, more than 5 times its thickness of 12 mm:",
        "the tenon of the lock rail is 150 mm wide, more than 5 times its thickness of 12 mm:",
        "the tenon of the bottom rail is 140 mm wide, more than 5 times its thickness of 12 mm:",
        f"haunch of the top rail: 30 {haunch}",
        f"haunch of the bottom rail: 60 {haunch}",
    ]
    for told, begin in zip(tenons, begins, strict=True):
        assert told.startswith(begin)


def test_the_drawings_are_called_what_they_show(parts: str) -> None:
    headings = re.findall(r"^## (Another door.*)$", parts, re.MULTILINE)
    frame, bars = "stile, top rail, lock rail and bottom rail", "end cross bar, middle cross bar"
    assert headings == [
        "Another door: one leaf, from outside",
        f"Another door: section of {frame} at the sight edge",
        f"Another door: section of {bars} and upright bar at the sight edge",
    ]


def test_lights(parts: str) -> None:
    """(950 - 34) / 2 = 458; 600 - 2 x 34 = 532, a third of it 177.33. A light has 12 mm more at
    each edge, and so a tongue begins 12 after the sight edge and is 10 wide."""
    found = table(parts, "Lights, between rebates")
    assert found == rows(
        "1 | up, from the lower sight edge | 2 × 482 mm | 458 mm | 470 mm, 480 mm",
        "1 | across, from the left sight edge | 3 × 201.33 mm | 177.33 mm "
        "| 189.33 mm, 199.33 mm, 400.67 mm, 410.67 mm",
        "2 | up, from the lower sight edge | 1 × 624 mm | 600 mm |",
        "2 | across, from the left sight edge | 1 × 624 mm | 600 mm |",
    )
    assert table(parts, "Spacer blocks") == rows(
        "1 | up | 2 × 458 mm | 1 bar of 34 mm | 950 mm | exact",
        "1 | across | 3 × 177.5 mm | 2 bars of 34 mm | 600 mm | 0.5 mm too long",
    )


def test_each_change_that_is_offered_brings_the_lights_onto_half_a_millimetre(parts: str) -> None:
    """Three lights share 600 + 24 - 2 x 10 = 604: two stiles take from it twice what each is wider
    by, two bars as well, the leaf adds what it is wider by. The least of each, either way."""
    (told,) = notes(parts, "Lights, between rebates")
    assert told.startswith("field 1, columns: lights of 201.33 mm between rebates do not fall on ")
    share = {"each stile": -2, "the leaf": 1, "each bar": -2}
    offered = re.findall(r"(each stile|the leaf|each bar) ([\d.]+) mm (wider|narrower)", told)
    by = [(what, Fraction(size) * (1 if way == "wider" else -1)) for what, size, way in offered]
    for what, more in by:
        assert (604 + share[what] * more) % Fraction("1.5") == 0
    least = {
        (what, min((m for m in marks if (604 + each * m) % Fraction("1.5") == 0), key=abs))
        for what, each in share.items()
        for marks in ([Fraction(n, 2) for n in range(1, 5)], [Fraction(-n, 2) for n in range(1, 5)])
    }
    assert set(by) == least - {("each stile", Fraction(-1))}  # two ways, and this the further


def test_from_the_opening(parts: str) -> None:
    """3 degrees over 44 mm: 44 tan 3 = 2.306."""
    assert (
        under(parts, "From the opening")
        .strip()
        .startswith("Opening 806 mm wide and 2010 mm high, closed by one leaf of 800 mm by 2000 mm")
    )
    assert table(parts, "From the opening") == rows(
        "top | 3 mm | square |", "hinge | 2 mm | square |",
        "lock | 4 mm | 3 degrees | 2.31 mm", "bottom | 7 mm | square |",
    )  # fmt: skip
    assert notes(parts, "From the opening") == [
        "the lock edge is bevelled 3 degrees: 2.31 mm over 44 mm, off the face away from the hinge "
        "pins; plane it after the leaf is glued up"
    ]


def test_story_sticks(parts: str) -> None:
    """Up the stile: 200; 200 + 600 = 800, + 150; 950 + 458 = 1408, + 34; 2000 - 100. A haunch is
    24 long and has the gap of 2 below it. The middle hinge lies midway between the outer ones,
    (225 + 1850 - 100) / 2. Along the rail: 177.33, and 2 x 177.33 + 34 = 388.67."""
    assert table(parts, "Story stick: stile") == rows(
        "1 | end of horn | −30 mm | |",
        "2 | end | 0 mm | |",
        "3 | mortise for the haunch of the bottom rail | 0 mm | 60 mm | 26 mm deep",
        "4 | mortise for the bottom rail | 60 mm | 200 mm | 60 mm deep",
        "5 | hinge, on the hinge stile | 225 mm | 325 mm |",
        "6 | mortise for the lock rail | 800 mm | 950 mm | 60 mm deep",
        "7 | hinge, on the hinge stile | 987.5 mm | 1087.5 mm |",
        "8 | mortise for the end cross bar | 1408 mm | 1442 mm | 30 mm deep",
        "9 | hinge, on the hinge stile | 1750 mm | 1850 mm |",
        "10 | mortise for the top rail | 1900 mm | 1970 mm | 60 mm deep",
        "11 | mortise for the haunch of the top rail | 1970 mm | 2000 mm | 26 mm deep",
        "12 | end | 2000 mm | |",
        "13 | end of horn | 2030 mm | |",
    )
    assert table(parts, "Story stick: top rail") == rows(
        "1 | end of tenon | −58 mm | |",
        "2 | back shoulder | −12 mm | |",
        "3 | face shoulder | −10 mm | |",
        "4 | sight edge | 0 mm | |",
        "5 | mortise for the upright bar | 177.33 mm | 211.33 mm | 30 mm deep",
        "6 | mortise for the upright bar | 388.67 mm | 422.67 mm | 30 mm deep",
        "7 | sight edge | 600 mm | |",
        "8 | face shoulder | 610 mm | |",
        "9 | back shoulder | 612 mm | |",
        "10 | end of tenon | 658 mm | |",
    )
    assert table(parts, "Story stick: upright bar")[4:6] == rows(
        "5 | mortise for the cross bar | left edge | 458 mm | 492 mm | 15 mm deep",
        "6 | mortise for the cross bar | right edge | 458 mm | 492 mm | 15 mm deep",
    )
    (lock,) = re.findall(r"\| 5 \| mortise .*", under(parts, "Story stick: lock rail"))
    assert "| upper edge | 177.33 mm |" in lock
    across = "Every figure from the left sight edge of the opening, the flag."
    assert under(parts, "Story stick: middle cross bar").split("\n\n")[1] == across
    assert "Mortises 12 mm wide, 10 mm from the face." in under(parts, "Story stick: top rail")


def test_the_cut_list_adds_what_the_job_leaves_on_and_sums_to_what_is_told(parts: str) -> None:
    """+ 30 in length, 6 in width, 4 in thickness; 1000^3 cubic millimetres to the cubic metre."""
    found = table(parts, "Cut list")
    whole = Fraction(0)
    for piece, count, finished, rough, *_ in found:
        extra = [more - size for size, more in zip(sizes(finished), sizes(rough), strict=True)]
        assert extra == [30, 6, 4], piece
        whole += int(count) * math.prod(sizes(rough))
    assert notes(parts, "Cut list") == [
        f"rough, all together: {float(whole) / 1e9:.4f} cubic metres"
    ]
    by_name = {row[0]: row[1:3] for row in found}
    for name, count, finished in (
        ("stile", "2", "2060 mm × 100 mm × 44 mm"),
        ("lock rail", "1", "716 mm × 150 mm × 44 mm"),
        ("upright bar", "2", "1006 mm × 34 mm × 44 mm"),
        ("panel of field 2", "1", "614 mm × 614 mm × 10 mm"),  # 600 + 24 - 2 x 5
    ):
        assert by_name[name] == [count, finished]


def test_boards_hold_what_is_cut_from_them(parts: str) -> None:
    """Each board is its pieces, 3 mm of kerf behind each, 50 mm of trimming and what is left; the
    pieces are those of the cut list, the first ones longer by what it says. The wide panel's are
    the boards that it is glued up from."""
    wanted: dict[tuple[str, *tuple[Fraction, ...]], int] = {}
    for piece, count, _, rough, first in table(parts, "Cut list"):
        long, wide, thick = sizes(rough)
        more = sizes(first)
        for name, size, n in (
            (piece, long, int(count) - len(more)),
            (f"{piece}, first", long + sum(more), len(more)),
        ):
            if n:
                wanted[name, size, wide, thick] = n
    glued = "panel of field 2"
    (panel,) = (key for key in wanted if key[0] == glued)
    length, across, deep = panel[1:]
    found = re.search(rf"{glued}: glued up from (\d+) boards ([\d.]+) mm wide", parts)
    assert found
    boards, each = int(found[1]), Fraction(found[2])
    assert 0 <= boards * each - across < Fraction(1, 100) * boards
    wanted[f"board of the {glued}", length, each, deep] = wanted.pop(panel) * boards
    whole = Fraction(0)
    for cross, count, board, left, pieces in table(parts, "Boards to buy"):
        wide, thick = sizes(cross)
        (long,) = sizes(board)
        cut = re.findall(r"(\d+) × ([^:]+): ([\d.]+) mm", pieces)
        for n, name, size_told in cut:
            wanted[name, Fraction(size_told), wide, thick] -= int(n) * int(count)
        spent = sum(int(n) * (Fraction(size_told) + 3) for n, _, size_told in cut)
        assert [long - 50 - spent] == sizes(left), pieces
        whole += int(count) * wide * thick * long
    assert not any(wanted.values()), wanted
    assert f"Boards bought, all together: {float(whole) / 1e9:.4f} cubic" in parts


def test_what_the_seasons_do(parts: str) -> None:
    """Wood Handbook (FPL-GTR-190, 2010), Table 4-2 at 70 F: 9.2, 6.2 and 12.0 % at 50, 30 and 65 %
    humidity, each printed to a tenth; Table 13-5: white oak .00365 for each per cent; equation
    13-2. The panel has 2 x 5 mm to grow and lies 2 x (12 - 5) in the rebates."""
    text = under(parts, "What the seasons do")
    assert "Moisture 9.2 % as made, 6.2 % at the driest, 12.0 % at the dampest" in text
    found = {row[0]: row[1:] for row in table(parts, "What the seasons do")}
    for what, size in (("width of the stile", 100), ("tenon of the bottom rail", 140),
                       ("panel of field 2, across", 614)):  # fmt: skip
        made, dry, damp = found[what][:3]
        assert made == f"{size} mm"
        for told, sign, change in ((dry, "−", 3.0), (damp, "+", 2.8)):
            moved = float(told.removesuffix(" mm").replace("−", "-"))
            assert told[0] == sign
            assert abs(abs(moved) - size * 0.00365 * change) < size * 0.00365 * 0.1 + 0.051
    assert found["panel of field 2, across"][3:] == ["10 mm", "14 mm"]
    assert found["width of the leaf, by its two stiles"][0::3] == ["200 mm", "6 mm"]


def test_glass_panels_and_beads(parts: str) -> None:
    """201.33 - 6 and 482 - 6, down to the whole millimetre; 624 - 10. Beads as deep as what is left
    of 22 behind 2 of bedding and 6 of glass or 10 of panel; two of each to a pane."""
    (glass,) = table(parts, "Glass to order")
    assert glass == rows("6 | 195 mm × 476 mm | 6 mm | ± 1.5 mm | 201.33 mm × 482 mm | 1")[0]
    assert table(parts, "Panels to make") == rows(
        "1 | 614 mm × 614 mm | 10 mm | panel | 624 mm × 624 mm | 2"
    )
    assert table(parts, "Beads, mitred") == rows(
        "1 | 12 | 201.33 mm | 12 mm × 14 mm",
        "1 | 12 | 482 mm | 12 mm × 14 mm",
        "2 | 4 | 624 mm | 12 mm × 10 mm",
    )
    square = 6 * 195 * 476 / 1e6
    assert notes(parts, "Glass to order")[0] == f"glass, all together: {square:.2g} square metres"


def test_what_the_leaf_weighs(parts: str) -> None:
    """Glass 2500 kg to the cubic metre (EN 572-1, value from memory): six of .195 by .476 by .006
    m. White oak .68 of water's weight when dry and 1.12 times that as it is (Wood Handbook, Table
    5-3; value from memory). Stiles .0164, rails .0120, bars .0023, panel .0038 and beads .0017
    cubic metres by their sections, mouldings and rebates taken off."""
    (told,) = re.findall(r"a leaf weighs about (\d+) kg, ([\d.]+) kg of it glass: (\d)", parts)
    assert told[1:] == (f"{6 * 0.195 * 0.476 * 0.006 * 2500:.1f}", "3")
    assert abs(int(told[0]) - (36.2 * 0.68 * 1.12 + 8.4)) < 2
    assert "lift and hang it with two people or a door lifter" in parts


def test_the_dry_fit(parts: str) -> None:
    """sqrt(800^2 + 2000^2) = 2154.07. The Architectural Woodwork Standards, 1st edition, 2009, have
    a leaf within 1/16 in (1.5 mm), its diagonals within 1/8 in (3 mm)."""
    sides = ["height over the rails at the left", "height over the rails at the right"]
    assert [row[:3] for row in table(parts, "What to measure before glue")] == [
        *([f"diagonal from lower {end}", "2154 mm", "± 3 mm"] for end in ("left", "right")),
        *([f"width at the {r} rail", "800 mm", "± 1.5 mm"] for r in ("top", "lock", "bottom")),
        *([side, "2000 mm", "± 1.5 mm"] for side in sides),
        *([f"field 1, row {n}", "458 mm", "± 0.8 mm"] for n in (1, 2)),
        *([f"field 1, column {n}", "177.5 mm", "± 0.8 mm"] for n in (1, 2, 3)),
    ]


@pytest.mark.parametrize(
    ("was", "now", "told"),
    [
        (
            "panel_clearance: 5",
            "panel_clearance: 13",
            "panel_clearance: field 2: a clearance of 13",
        ),
        ("clearance: 3,", "clearance: 12.5,", "clearance: field 1: a clearance of 12.5 mm is not"),
        (
            "panel_thickness: 10",
            "panel_thickness: 20",
            "panel_thickness: field 2: bedding 2 mm and panel 20",
        ),
        (
            "thickness: 6",
            "thickness: 20",
            "thickness: field 1: bedding 2 mm and glass 20 mm take 22 mm",
        ),
    ],
)
def test_what_a_rebate_does_not_hold_is_told_of_its_own_field(
    tmp_path: Path, was: str, now: str, told: str
) -> None:
    """A rebate 12 mm wide covers 12 mm at most; 2 of bedding and 20 fill its 22 mm of depth."""
    wrong = MORE.replace(was, now)
    ran = checked(door(begun(tmp_path, "mm"), "mm", fields=FIELDS, more=wrong))
    (line,) = ran.err.splitlines()
    assert ran.code == 1 and f": glazing.{told}" in line
