"""Stock too short for a part: it is glued up for length, on the sheet; plane arithmetic."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.doors import begun, blocks, checked, door, printed, set_to

# Stiles are 32 and two horns of 1, rough 35 in, 1 1/4 and 1/4 thick; 820 and two of 25, rough 895
# mm, 44 and 6 thick. Eight thicknesses are 12 in and 400 mm. A board of 29 less 1, and of 760 less
# 20, makes two pieces of (35 + 12) / 2 and (895 + 400) / 2, which is 647.5: rough, a whole mm.
STOCK = {
    "in": ("stock: {lengths: [29], kerf: 1/8, trim: 1}\n", "stock: {lengths: [36], kerf: 1/8, "
           "trim: 1}\n",
           "each piece 23 1/2 in, scarf 12 in, thickness 1 1/2 in, glued up at least 35 in"),
    "mm": ("stock: {lengths: [760], kerf: 3, trim: 20}\n", "stock: {lengths: [915], kerf: 3, "
           "trim: 20}\n",
           "each piece 648 mm, scarf 400 mm, thickness 50 mm, glued up at least 895 mm"),
}  # fmt: skip
SCARF, ROUGH = "Glue up for length, scarfed end to end", "Cut rough to length"


@pytest.mark.parametrize("unit", ["in", "mm"])
@pytest.mark.parametrize("recipe", ["blanks", "blanks-table-saw", "blanks-by-hand"])
def test_a_stile_longer_than_any_board_is_scarfed(tmp_path: Path, unit: str, recipe: str) -> None:
    short, _, sizes = STOCK[unit]
    job = door(begun(tmp_path, unit), unit, more=short + f"recipes: {{blank: {recipe}}}\n")
    assert checked(job).code == 0, checked(job).err
    found = blocks(printed(job))
    assert sizes in found[SCARF]
    assert "2 × stile" in found[SCARF] and "rail" not in found[SCARF].partition("Jigs")[0]
    rough = next(text for title, text in found.items() if "rough to length" in title)
    assert "rail" in rough and "stile" not in rough.partition("Note")[0]


@pytest.mark.parametrize("unit", ["in", "mm"])
def test_a_board_just_long_enough_is_cut_in_one_piece(tmp_path: Path, unit: str) -> None:
    """36 less 1 is 35, and 915 less 20 is 895."""
    found = blocks(printed(door(begun(tmp_path, unit), unit, more=STOCK[unit][1])))
    assert SCARF not in found
    assert {"in": "35 in", "mm": "895 mm"}[unit] in set_to(found[ROUGH])
