"""Tenons thicker than the chisel or the bit: a row of holes along each wall (plane arithmetic)."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.doors import begun, checked, door, operations, printed, put, set_to

# A moulding 3/8 in deep before a tongue of 2 1/4 - 3/8 - 1 1/8 = 3/4 in, which is two chisels of
# 3/8; 10 mm before a tongue of 60 - 10 - 30 = 20 mm, which is one of 12 and eight more.
THICK = {
    "in": ("2 1/4", "width: 3/8, depth: 3/8, quirk: 1/16", "width: 7/16, depth: 1 1/8", "inch"),
    "mm": ("60", "width: 10, depth: 10, quirk: 1.5", "width: 12, depth: 30", "metric"),
}
TOOLS = {"in": ("3-8-inch", "1-4-inch"), "mm": ("12-mm", "6-mm")}


def thick_door(folder: Path, unit: str, tool: str, recipe: str) -> Path:
    shop = begun(folder, unit)
    thick, sticking, rebate, units = THICK[unit]
    section = (
        f"kind: section\nversion: 1\ntitle: Thick frame\nmember: frame\nthickness: {thick}\n"
        f"sticking: {{shape: ovolo, {sticking}}}\nrebate: {{{rebate}}}\n"
        f"cutters: {{sticking_bit: sticking-ovolo-{units}, cope_bit: cope-ovolo-{units}, "
        f"mortise_chisel: mortise-chisel-{tool}, drill_bit: drill-bit-{tool}}}\n"
    )
    put(shop, "sections/thick.yaml", section)
    return door(shop, unit, "thick", more=f"recipes: {{mortise: {recipe}}}\n")


@pytest.mark.parametrize(
    ("unit", "recipe", "first", "second", "fences"),
    [
        ("in", "mortise-chisel", "Chop the mortises", "Second row, along", ("3/8 in", "3/4 in")),
        ("in", "mortise-drill", "Bore the mortises", "Second row of", ("9/16 in", "15/16 in")),
        ("mm", "mortise-chisel", "Chop the mortises", "Second row, along", ("10 mm", "18 mm")),
        ("mm", "mortise-drill", "Bore the mortises", "Second row of", ("16 mm", "24 mm")),
    ],
)
def test_a_mortise_thicker_than_the_tool_has_a_row_along_each_wall(
    tmp_path: Path, unit: str, recipe: str, first: str, second: str, fences: tuple[str, str]
) -> None:
    job = thick_door(tmp_path, unit, TOOLS[unit][0], recipe)
    assert (checked(job).code, "sound" in checked(job).out) == (0, True)
    found = operations(printed(job))
    rows = [next(text for title, text in found if title.startswith(each))
            for each in (first, second)]  # fmt: skip
    assert tuple(set_to(row)[0] for row in rows) == fences
    # Fence and depth, mortise by mortise.
    depths = [sorted(each for title, text in found if title.startswith(begins)
                     for each in set_to(text)[1::2]) for begins in (first, second)]  # fmt: skip
    assert depths[0] == depths[1] and len(depths[0]) > 1
    assert all(re.search(r"\*\*Centres\*\* (Operations? [^:]*: )?stile", row) for row in rows)
    assert "Width of the mortise" in rows[1] and "Width of the mortise" not in rows[0]


@pytest.mark.parametrize("unit", ["in", "mm"])
def test_two_rows_of_a_tool_less_than_half_as_thick_do_not_prove(tmp_path: Path, unit: str) -> None:
    ran = checked(thick_door(tmp_path, unit, TOOLS[unit][1], "mortise-chisel"))
    assert ran.code == 1
    assert "mortise in stile for bottom rail: does not prove: left over" in ran.out + ran.err


@pytest.mark.parametrize("unit", ["in", "mm"])
def test_a_mortise_as_thick_as_the_tool_has_one_row(tmp_path: Path, unit: str) -> None:
    sheet = printed(door(begun(tmp_path, unit), unit))
    assert "Chop the mortises" in sheet
    assert "Second row" not in sheet


@pytest.mark.parametrize("unit", ["in", "mm"])
def test_a_door_without_bars_needs_no_mortise_for_bars(tmp_path: Path, unit: str) -> None:
    job = door(begun(tmp_path, unit), unit)
    assert "bar_mortise" not in job.read_text("utf-8")
    assert checked(job).code == 0, checked(job).err
