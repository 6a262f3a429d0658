"""Glue-up, horns, fitting, bevels, hinges, lock and glazing: what the bench pages print.

The order is common practice, no source; figures are plane arithmetic, by hand beside each.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.doors import SECTION, begun, blocks, checked, door, printed, set_to
from tests.running import run

# 24 by 48 less 1/8 and 1/8, 1/8 and 1/2; 640 by 1240 less 2 and 3, 3 and 7.
HUNG = {
    "in": "opening: {width: 24, height: 48, hinge_bevel: 0, lock_bevel: 3}\n"
    "lock: {above: 20, height: 3, depth: 1 3/4, thickness: 1/2}\n"
    "hinges: {length: 3, closed: 3/16}\n",
    "mm": "opening: {width: 640, height: 1240, clearances: {top: 3, hinge: 2, lock: 3, bottom: 7}, "
    "hinge_bevel: 2, lock_bevel: 3}\n"
    "lock: {above: 600, height: 165, depth: 45, thickness: 16}\n"
    "hinges: {length: 100, closed: 5, count: 3, from_top: 150, from_bottom: 225}\n",
}


def hung(folder: Path, unit: str, more: str = "") -> dict[str, str]:
    return blocks(printed(door(begun(folder, unit), unit, more=HUNG[unit] + more)))


FITTED = (
    "Plane the leaf to its opening",
    "Bevel the hinge edge",
    "Bevel the leading edge",
    "Mark out and let in the hinges",
)


def titles(found: dict[str, str]) -> list[str]:
    return list(found)


def test_the_leaf_is_glued_then_fitted_then_glazed(tmp_path: Path) -> None:
    sheet = printed(door(begun(tmp_path, "in"), "in", more=HUNG["in"]))
    route = re.findall(r"^\| [\d–]+ \| ([^|]+) \| Bench \| leaf", sheet, re.MULTILINE)
    wanted = [
        "Try every joint by itself",
        "Lay out clamps and glue, go through it once dry",
        "Glue the frame, one stile last",
        "Check before it sets",
        "Clean up the faces",
        "Saw off the horns",
        "Plane the leaf to its opening",
        "Bevel the leading edge",
        "Mark out and let in the hinges",
        "Mark out and mortise for the lock",
        "Hang it and read the gaps",
        "Bed the pane",
        "Fix the beads, mitres closed",
    ]
    assert [title for title in route if title in wanted] == wanted


@pytest.mark.parametrize(
    ("unit", "diagonal", "across", "horn", "height"),
    [
        # 23 3/4 by 47 3/8: the root of 2808.453 is 52.9948, 635 by 1230: of 1916125 is 1384.24.
        ("in", "53 in", "over the stiles 23 3/4 in", "saw off 1 in", "47 3/8 in"),
        ("mm", "1384 mm", "over the stiles 635 mm", "saw off 25 mm", "1230 mm"),
    ],
)
def test_before_the_glue_sets_diagonals_and_wind_have_their_boxes(
    tmp_path: Path, unit: str, diagonal: str, across: str, horn: str, height: str
) -> None:
    found = hung(tmp_path, unit)
    frame = found["Glue the frame, one stile last"]
    assert "rails that are home in a stile cannot spread" in frame
    check = found["Check before it sets"]
    assert check.count(f"| **{diagonal}** ±") == 2
    assert "Wind, over the length of the stiles" in check
    assert "Measure on the leaf | Should be | found | put right |" in check
    assert "**Log**" not in check
    assert across in found["Lay out clamps and glue, go through it once dry"]
    horns = found["Saw off the horns"]
    assert horn in horns and f"height left {height}" in horns and f"**{height}** ±" in horns


@pytest.mark.parametrize(
    ("unit", "bevel"),
    # 3 degrees over 1 1/4 in and over 44 mm: 0.0655 in and 2.306 mm; 2 degrees over 44: 1.537 mm.
    [("in", "taken off there 1/16 in full by .003 in"), ("mm", "taken off there 2.31 mm")],
)
def test_bevels_are_told_by_what_comes_off_and_off_which_face(
    tmp_path: Path, unit: str, bevel: str
) -> None:
    found = hung(tmp_path, unit)
    leading = found["Bevel the leading edge"]
    assert bevel in leading and "on the face away from the hinge pins" in leading
    assert ("Bevel the hinge edge" in found) == (unit == "mm")
    if unit == "mm":
        assert "taken off there 1.54 mm" in found["Bevel the hinge edge"]


@pytest.mark.parametrize(
    ("unit", "hinges", "recess", "stick"),
    [
        # (3/16 - 1/8) / 2; a hinge's own length from either end of 47 3/8.
        ("in", "from top 3 in, from bottom 3 in, length 3 in", "recess 1/32 in",
         ("3 in | 6 in", "41 3/8 in | 44 3/8 in")),
        # (5 - 2) / 2; 225, 1230 - 150 - 100 = 980, and half way between them 602.5.
        ("mm", "from top 150 mm, from bottom 225 mm, length 100 mm", "recess 1.5 mm",
         ("225 mm | 325 mm", "602.5 mm | 702.5 mm", "980 mm | 1080 mm")),
    ],
)  # fmt: skip
def test_hinges_are_let_in_to_half_of_what_they_are_thicker_than_the_gap(
    tmp_path: Path, unit: str, hinges: str, recess: str, stick: tuple[str, ...]
) -> None:
    job = door(begun(tmp_path, unit), unit, more=HUNG[unit])
    sheet = printed(job)
    block = blocks(sheet)["Mark out and let in the hinges"]
    assert hinges in block and recess in block
    for places in stick:
        assert f"| hinge, on the hinge stile | {places} |" in sheet


@pytest.mark.parametrize(
    ("unit", "marks"),
    [
        # 20 and 600, half of 3 and of 165 to either side; (1 1/4 - 1/2) / 2 and (44 - 16) / 2.
        ("in", "lower end 18 1/2 in, upper end 21 1/2 in, first wall 3/8 in, between walls 1/2 in, "
               "depth 1 3/4 in"),
        ("mm", "lower end 517.5 mm, upper end 682.5 mm, first wall 14 mm, between walls 16 mm, "
               "depth 45 mm"),
    ],
)  # fmt: skip
def test_the_lock_is_marked_out_in_the_middle_of_its_stile(
    tmp_path: Path, unit: str, marks: str
) -> None:
    found = hung(tmp_path, unit)
    assert marks in found["Mark out and mortise for the lock"]
    told = "carried over before a shaving is taken, for the lines that they count from"
    fit = found["Plane the leaf to its opening"]
    assert f"*story stick, hinges:* Their places {told}" in fit, "its ends are planed away after"
    assert f"*story stick, lock:* Its ends {told}" in fit


def test_of_a_window_with_hinges_alone_nothing_is_said_of_a_lock(tmp_path: Path) -> None:
    """Nor that it is a door: the rules on glass in doors are told for where it is one."""
    more = re.sub(r"lock: \{.*\n", "", HUNG["mm"])
    text = printed(door(begun(tmp_path, "mm"), "mm", more=more))
    hanging = [block for title, block in blocks(text).items() if title in FITTED]
    assert len(hanging) == 4 and "*story stick, hinges:*" in hanging[0]
    assert not [block for block in hanging if "lock" in block]
    assert "where the leaf is a door, a piece of" in text and "in a door, a piece" not in text


@pytest.mark.parametrize("unit", ["in", "mm"])
def test_a_lock_that_leaves_less_than_a_quarter_of_the_stile_beside_it_is_told(
    tmp_path: Path, unit: str
) -> None:
    """1 1/4 less 5/8 leaves a quarter of the stile on either side, 44 less 22 likewise."""
    thick, thicker = {"in": ("5/8", "11/16"), "mm": ("22", "24")}[unit]
    old = {"in": "thickness: 1/2", "mm": "thickness: 16"}[unit]
    job = door(begun(tmp_path, unit), unit)
    for size, told in ((thick, False), (thicker, True)):
        more = HUNG[unit].replace(old, f"thickness: {size}")
        sheet = printed(door(job.parents[1], unit, more=more))
        assert ("is weak (common practice): a thinner lock, or thicker stiles" in sheet) == told


@pytest.mark.parametrize(("unit", "thickness"), [("in", "1/16 in"), ("mm", "2 mm")])
def test_panes_are_bedded_blocked_and_beaded(tmp_path: Path, unit: str, thickness: str) -> None:
    found = hung(tmp_path, unit)
    bed = found["Bed the pane"]
    assert "*bedding:* Putty" in bed and bed.count(f"thickness {thickness}") == 3
    assert "Under the pane's lower edge" in bed
    assert (
        "Top and bottom bead of a light first, then the two sides"
        in found["Fix the beads, mitres closed"]
    )
    order = titles(found)
    assert order.index("Measure every light, order the glass") < order.index("Bed the pane")


@pytest.mark.parametrize("unit", ["in", "mm"])
def test_only_what_a_leaf_has_is_told(tmp_path: Path, unit: str) -> None:
    """No horn, no opening, no bars, no lock; its tenons stop in the stile."""
    job = door(begun(tmp_path, unit), unit)
    text = re.sub(r", horn: [\d]+", "", job.read_text("utf-8"))
    job.write_text(text, "utf-8")
    assert checked(job).code == 0, checked(job).err
    found = titles(blocks(printed(job)))
    for title in ("Saw off the horns", "Plane the leaf to its opening", "Bevel the leading edge",
                  "Mark out and mortise for the lock", "Glue the bars to each other",
                  "Wedge the through tenons", "Finish the panels before they go in"):  # fmt: skip
        assert title not in found
    assert "Mark out and let in the hinges" in found


@pytest.mark.parametrize(
    ("unit", "whole", "half", "gap", "wide"),
    # 4 in is deeper than the chisel is long, 2 in is not; a leaf 16 in or 420 mm wide.
    [("in", "4", "2 in", "1/16", "16 in"), ("mm", "65", "32.5 mm", "2", "420 mm")],
)
def test_through_tenons_are_wedged(
    tmp_path: Path, unit: str, whole: str, half: str, gap: str, wide: str
) -> None:
    """Chopped from either edge to the middle, with nothing left under the tenons (common practice,
    no source); a cope cutter that a longer tenon passes over stands on no router table there is."""
    shop = begun(tmp_path, unit)
    stiles = f"stiles: {{section: {SECTION[unit]}, width: {whole}, horn: 0}}\n"
    joints = f"joints: {{rail_mortise: {whole}, gap: {gap}}}\n"
    job = door(shop, unit, more=stiles + joints)
    ran = checked(job)
    assert "chisel" not in ran.err
    assert unit == "in" or (ran.code == 0 and "sound" in ran.out), ran.err
    sheet = printed(job)
    found = blocks(sheet)
    titles = list(found)
    assert titles.index("Make room for the wedges") < titles.index("Glue the frame, one stile last")
    assert "Wedge the through tenons" in found
    chop = found["Chop the mortises, sight edge up"]
    assert "right through is made half way" in chop
    assert half in set_to(chop) and f"**{half}** " in chop
    assert "half way from the sight edge, then from the edge opposite, until both meet" in chop
    assert (
        "halves of one that goes right through meet" in found["Clear the bottom, check the walls"]
    )
    assert "is left under the tenons" not in sheet and "room under the tenon" not in sheet
    parts = sheet.partition("Three lengths")[2]
    assert f"| {wide} |" in parts.partition("| top rail |")[2].partition("\n")[0]


def test_a_leaf_of_grooved_panels_is_not_glazed(tmp_path: Path) -> None:
    panels = "panels: {thickness: 3/8, groove_width: 3/8, groove_depth: 3/8, clearance: 1/8}\n"
    job = door(begun(tmp_path, "in"), "in", fields="[{fill: grooved panel}]", more=panels)
    found = titles(blocks(printed(job)))
    assert "Finish the panels before they go in" in found
    assert "Bed the pane" not in found


def test_the_leaf_asks_for_no_test_pieces(tmp_path: Path) -> None:
    sheet = printed(door(begun(tmp_path, "in"), "in", more=HUNG["in"]))
    pieces = sheet.partition("## Test pieces")[2].partition("## ")[0]
    assert "blanks" in pieces
    assert not re.search("glue-up|hanging|glazing/|glazing ", pieces)


def test_both_examples_end_at_the_bench(tmp_path: Path) -> None:
    for name, hinges in (("larder", "from top 2 1/2 in"), ("vestibule", "from top 150 mm")):
        folder = Path(__file__).parents[2] / "examples" / name
        out = run("sheet", folder / "jobs" / f"{name}.yaml", "--format", "md", "--to", tmp_path)
        assert out.code == 0, out.err
        found = blocks((tmp_path / f"{name}.md").read_text("utf-8"))
        assert hinges in found["Mark out and let in the hinges"]
        assert "Saw off the horns" in found and "Bed the pane" in found


@pytest.mark.parametrize("command", ["log", "correct"])
def test_only_the_dry_fit_of_a_leaf_is_logged(tmp_path: Path, command: str) -> None:
    job = door(begun(tmp_path, "in"), "in", more=HUNG["in"])
    reading = ("--found", "gap_top=1")
    ran = run(command, job, "hanging", *reading, "--shop", job.parents[1])
    assert ran.code == 2
    assert "its boxes are on the sheet" in " ".join(ran.err.split())
    assert not list((job.parents[1] / "records").glob("*.yaml"))


@pytest.mark.parametrize(("bedding", "told"), [("0", False), ("1/32", True)])
def test_a_pane_without_bedding_is_told_of_none(tmp_path: Path, bedding: str, told: bool) -> None:
    more = f"glazing: {{thickness: 1/8, clearance: 3/32, bedding: {bedding}}}\n"
    bed = blocks(printed(door(begun(tmp_path, "in"), "in", more=more)))["Bed the pane"]
    assert ("Putty, mastic or tape all round" in bed) is told
    assert "thickness 3/32 in" in bed and "thickness 0 in" not in bed


@pytest.mark.parametrize(
    ("pair", "told"), [("astragal", True), ("cover strip", True), ("plain", False)]
)
def test_the_strip_over_the_gap_of_a_pair_is_fixed(tmp_path: Path, pair: str, told: bool) -> None:
    """1000 less 3 above and 7 below; common practice, no source: the leaf that opens first carries
    it, on the side towards which both open."""
    more = (
        f"count: 2\nopening: {{width: 840, height: 1000, pair: {pair}, strip_width: 34, "
        "strip_thickness: 9, clearances: {top: 3, bottom: 7}}\n"
        "lock: {above: 480, height: 120, depth: 45, thickness: 14}\n"
    )
    found = blocks(printed(door(begun(tmp_path, "mm"), "mm", more=more)))
    assert ("Fix the strip that covers the gap" in found) is told
    lock = found["Mark out and mortise for the lock"]
    assert "Of a pair the leaf that opens first alone has the lock" in lock
    if told:
        block = found["Fix the strip that covers the gap"]
        assert "length 990 mm, width 34 mm, thickness 9 mm" in block
        assert "on the face with the hinge pins" in block and "the leaf that opens first" in block
