"""Raised panels: glued up, cut and sunk. Figures are plane arithmetic, by hand beside each."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.doors import begun, blocks, checked, door, printed, set_to
from tests.running import run

PANELS = {
    "in": "panels: {thickness: 3/4, groove_width: 3/8, groove_depth: 3/8, clearance: 1/8, "
    "border: 1 1/2}\n",
    "mm": "panels: {thickness: 20, groove_width: 12, groove_depth: 12, clearance: 3, border: 40}\n",
}
FIELDS = "[{fill: grooved panel}]"


def panelled(folder: Path, unit: str, panels: str = "") -> Path:
    shop = begun(folder, unit)
    return door(shop, unit, fields=FIELDS, more=panels or PANELS[unit])


@pytest.mark.parametrize(
    ("unit", "width", "length", "thick", "border", "sunk", "across"),
    [
        # 16 less two 2 1/2 and 32 less two 3, all round 3/8 of groove less 1/8 of clearance.
        ("in", "11 1/2 in", "26 1/2 in", "3/4 in", "1 1/2 in", "3/8 in", "3/4 in"),
        # 420 - 130 + 24 - 6, 820 - 160 + 24 - 6; a bit of 20 clears 40 in two steps.
        ("mm", "308 mm", "678 mm", "20 mm", "40 mm", "8 mm", "20 mm"),
    ],
)
def test_a_raised_panel_has_its_own_set_ups(
    tmp_path: Path, unit: str, width: str, length: str, thick: str, border: str, sunk: str,
    across: str,
) -> None:  # fmt: skip
    job = panelled(tmp_path, unit)
    ran = checked(job)
    assert ran.code == 0 and "sound" in ran.out, ran.err
    found = blocks(printed(job))
    assert set_to(found["Plane the panel to thickness"])[0] == thick
    assert set_to(found["Rip the panel to width"])[0] == width
    assert f"length {length}" in found["Cut the panel to length"]
    raised = found["Sink the border, face down"]
    assert set_to(raised)[:2] == [border, sunk]
    assert "FACE on the table" in raised and "**Against** EDGE to the fence" in raised
    assert f"at each height the fence first at {across}, then as set" in raised
    assert "All four edges at these settings, the two ends first" in raised
    assert "Thickness of the tongue" in raised and "Width of the border" in raised


@pytest.mark.parametrize(
    ("unit", "boards"),
    [
        # 11 1/2 and 1/4 to plane off is two boards of less than 6 in; 308 and 6 three of less than
        # 150 mm, a third of 314 and so much more as a rule has it.
        ("in", "each board 5 7/8 in, together at least 11 3/4 in, length 27 1/2 in, "
         "thickness 1 in"),
        ("mm", "each board 106 mm, together at least 314 mm, length 703 mm, thickness 26 mm"),
    ],
)  # fmt: skip
def test_a_wide_panel_is_glued_up_from_boards(tmp_path: Path, unit: str, boards: str) -> None:
    found = blocks(printed(panelled(tmp_path, unit)))
    assert boards in found["Glue the panel up from boards"]
    stock = {"in": "lengths: [96], kerf: 1/8", "mm": "lengths: [2400], kerf: 3"}[unit]
    sheet = printed(panelled(tmp_path / "stock", unit, PANELS[unit] + f"stock: {{{stock}}}\n"))
    # 27 1/2 twice in 96; three of 703 mm in 2400
    count, wide, bought = {
        "in": (2, "5 7/8 in", "| 5 7/8 in × 1 in | 1 | 96 in |"),
        "mm": (3, "106 mm", "| 106 mm × 26 mm | 1 | 2400 mm |"),
    }[unit]
    assert f"panel of field 1: glued up from {count} boards {wide} wide" in sheet
    row = next(line for line in sheet.splitlines() if line.startswith(bought))
    assert f"{count} × board of the panel of field 1: " in row
    assert "Get the panel out of one board" not in found


@pytest.mark.parametrize(("wide", "boards"), [("262", 0), ("263", 2)])
def test_a_metric_shop_glues_up_what_is_wider_than_150_mm(
    tmp_path: Path, wide: str, boards: int
) -> None:
    """262 less two stiles of 65 is 132, and 2 x 9 more in the grooves make 150. What is bought is
    what the bench is told to glue up."""
    more = (
        PANELS["mm"]
        + f"leaf: {{width: {wide}, height: 820}}\nstock: {{lengths: [2400], kerf: 3}}\n"
    )
    sheet = printed(panelled(tmp_path, "mm", more))
    assert ("Glue the panel up from boards" in blocks(sheet)) is bool(boards)
    assert (f"glued up from {boards} boards 80 mm wide" in sheet) is bool(boards)


def test_a_narrow_flat_panel_is_one_board_and_not_raised(tmp_path: Path) -> None:
    flat = "panels: {thickness: 3/8, groove_width: 3/8, groove_depth: 3/8, clearance: 1/8}\n"
    job = panelled(tmp_path, "in", flat + "inputs: {board: 12}\n")
    found = blocks(printed(job))
    assert "width 11 3/4 in" in found["Get the panel out of one board"]
    more = "inputs: {board: 12}\nstock: {lengths: [96], kerf: 1/8}\n"
    assert "glued up from" not in printed(panelled(tmp_path / "stock", "in", flat + more))
    assert "Sink the border, face down" not in found
    assert "Try the panel in its groove" in found


@pytest.mark.parametrize(("unit", "proud"), [("in", "1/8 in"), ("mm", "4 mm")])
def test_a_field_that_stands_in_front_of_the_frame_is_told(
    tmp_path: Path, unit: str, proud: str
) -> None:
    """The moulding is 3/8 in and 10 mm deep; 7/8 less 3/8 and 26 less 12 come before the groove."""
    thick = {"in": ("thickness: 3/4", "thickness: 7/8"), "mm": ("thickness: 20", "thickness: 26")}
    job = panelled(tmp_path, unit, PANELS[unit].replace(*thick[unit]))
    assert f"stands {proud} in front of the frame's face" in printed(job)
    assert "in front of the frame's face" not in printed(panelled(tmp_path / "flush", unit))


def test_the_vestibules_panel_is_raised(tmp_path: Path) -> None:
    job = Path(__file__).parents[2] / "examples" / "vestibule" / "jobs" / "vestibule.yaml"
    assert run("sheet", job, "--format", "md", "--to", tmp_path).code == 0
    found = blocks((tmp_path / "vestibule.md").read_text("utf-8"))
    assert "| 45 mm |" in found["Sink the border, face down"]
    assert set_to(found["Sink the border, face down"])[1] == "8 mm"


def test_a_flat_panel_lies_in_the_rebate_also_where_another_is_grooved(tmp_path: Path) -> None:
    """420 - 2 x 65 = 290 between the stiles. The flat one goes 12 - 3 into each rebate, 308 wide;
    the other 14 - 2 into each groove, 314: each is covered by so much at both edges."""
    outer = "section: ovolo-frame-metric, width: 80, haunch: 20}"
    more = f"""
rails:
  - {{name: top rail, {outer}
  - {{name: middle rail, section: ovolo-frame-metric, width: 100}}
  - {{name: bottom rail, {outer}
panels: {{thickness: 18, groove_width: 10, groove_depth: 14, clearance: 2, border: 40}}
glazing: {{panel_thickness: 10, panel_clearance: 3, bedding: 2}}
seasons:
  made: {{celsius: 21, humidity: 50}}
  dry: {{celsius: 21, humidity: 30}}
  damp: {{celsius: 21, humidity: 65}}
"""
    fields = "\n  - {fill: panel, sight_height: 200}\n  - {fill: grooved panel}"
    job = door(begun(tmp_path, "mm"), "mm", fields=fields, more=more)
    ran = run("parts", job, "--format", "md")
    assert ran.code == 0, ran.err
    rows = [line.strip("| ").split(" | ") for line in ran.out.splitlines() if ", across |" in line]
    assert {row[0]: (row[1], *row[4:]) for row in rows} == {
        "panel of field 1, across": ("308 mm", "6 mm", "18 mm"),
        "panel of field 2, across": ("314 mm", "4 mm", "24 mm"),
    }
