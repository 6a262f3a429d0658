"""Two panels in grooves side by side, a middle stile between them; plane arithmetic by hand."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.doors import begun, blocks, checked, door, printed
from tests.running import run

DOORS = {
    "in": "leaf: {width: 30, height: 36}\npanels: {thickness: 3/8, groove_width: 3/8, "
    "groove_depth: 3/8, clearance: 1/8, middle_stile: 3}\n",
    "mm": "leaf: {width: 700, height: 900}\npanels: {thickness: 12, groove_width: 12, "
    "groove_depth: 12, clearance: 3, middle_stile: 80}\n",
}
FIELDS = "[{fill: grooved panel, columns: 2}]"


def two(folder: Path, unit: str) -> Path:
    return door(begun(folder, unit), unit, fields=FIELDS, more=DOORS[unit])


@pytest.mark.parametrize(
    ("unit", "lengths", "panel", "mortise"),
    [
        # Sight 25 by 30. Face and mortise as any rail's; no rebate, so the back is the sight.
        # (25 + 3/4 - (3 - 3/4)) / 2 less 1/4; 11 and 14 less a groove on either side.
        ("in", "| middle stile | 1 | 3 in | 1 1/4 in | 30 3/4 in | 30 in | 32 7/8 in |",
         "11 1/2 in × 30 1/2 in", "11 3/8 in | 13 5/8 in"),
        # Sight 570 by 740; (570 + 24 - 56) / 2 less 6; 245 and 325 less 12 on either side.
        ("mm", "| middle stile | 1 | 80 mm | 44 mm | 760 mm | 740 mm | 816 mm |",
         "263 mm × 758 mm", "257 mm | 313 mm"),
    ],
)  # fmt: skip
def test_two_panels_stand_side_by_side(
    tmp_path: Path, unit: str, lengths: str, panel: str, mortise: str
) -> None:
    job = two(tmp_path, unit)
    ran = checked(job)
    assert ran.code == 0 and "sound" in ran.out, ran.err
    sheet = printed(job)
    assert lengths in sheet
    assert f"| 2 | {panel} |" in sheet
    stick = sheet.partition("Story stick: top rail and bottom rail")[2]
    assert f"| mortise for the middle stile | {mortise} |" in stick.partition("## Story")[0]
    for rail in ("top rail", "bottom rail"):
        centres = (
            f"**Centres** {rail}, sight edge, from the blank's left end: for the middle stile "
        )
        assert centres in sheet
    found = blocks(sheet)
    grooved = next(text for title, text in found.items() if title.startswith("Groove"))
    assert "middle stile: both edges, left and right" in grooved
    assert "middle stile" not in found["Chop the mortises, sight edge up"].partition("Centres")[0]


@pytest.mark.parametrize(
    ("unit", "blocks_of", "out", "by"),
    [
        # 25 less 3, and 570 less 80, in two. One column 1/8 in or 4 mm large, the other as small.
        ("in", "| 2 × 11 in | 1 middle stile of 3 in | 25 in | exact |",
         ("11 1/8", "10 7/8"), "1/8 in"),
        ("mm", "| 2 × 245 mm | 1 middle stile of 80 mm | 570 mm | exact |", ("249", "241"), "4 mm"),
    ],
)  # fmt: skip
def test_what_holds_them_apart_is_called_a_middle_stile(
    tmp_path: Path, unit: str, blocks_of: str, out: tuple[str, str], by: str
) -> None:
    job = two(tmp_path, unit)
    sheet = printed(job)
    spacers = sheet.partition("## Spacer blocks")[2].partition("\n## ")[0]
    assert blocks_of in spacers and "they hold the middle stiles apart" in spacers
    assert re.search(r"\bbars?\b", spacers, re.IGNORECASE) is None
    found = [f"--found=field_1_column_{at}={size}" for at, size in enumerate(out, start=1)]
    said = run("log", job, "dry-fit", "--date", "2024-05-06", *found)
    assert f"field 1: middle stile 1 stands {by} too far to the right" in said.out, said.err


@pytest.mark.parametrize("unit", ["in", "mm"])
def test_the_rods_show_the_middle_stile(tmp_path: Path, unit: str) -> None:
    job = two(tmp_path, unit)
    ran = run("rod", job, "--to", tmp_path / "rods")
    assert ran.code == 0, ran.err
    drawn = [path.read_text("utf-8") for path in sorted((tmp_path / "rods").glob("*width*.svg"))]
    assert any("middle stile" in text for text in drawn)


def test_panels_one_above_the_other_and_side_by_side_without_a_width_are_refused(
    tmp_path: Path,
) -> None:
    shop = begun(tmp_path, "in")
    rows = door(shop, "in", fields="[{fill: grooved panel, rows: 2}]", more=DOORS["in"])
    assert "fields.1.rows: panels in grooves stand side by side" in checked(rows).err
    bare = DOORS["in"].replace(", middle_stile: 3", "")
    nothing = door(shop, "in", fields=FIELDS, more=bare)
    assert "panels.middle_stile: expected how wide the stile is" in checked(nothing).err
