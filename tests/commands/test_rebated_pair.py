"""A rebated pair: one meeting stile is rebated out of its face, the other out of its back.

Half the thickness and the lap are what the job asks for; that one leaf takes either side is common
practice, no source. Figures are plane arithmetic.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.doors import begun, blocks, checked, door, printed, set_to

PAIRS = {
    "in": "count: 2\nopening: {width: 40, height: 48, pair: rebated, lap: 1/2}\n",
    "mm": "count: 2\nopening: {width: 1010, height: 1240, pair: rebated, lap: 12, "
    "clearances: {top: 3, hinge: 2, bottom: 7, meeting: 1.5}}\n",
}
# A stile 2 1/2 in wide less its moulding of 3/8 or its rebate of 7/16, and what the opening of
# 2 in about a bit 1 1/2 in across takes, 3/4 in; 65 mm less 10 or 12, and 12 - 18 + 25 = 19 mm.
RESTS = {
    "in": {"FACE": "1 3/8 in", "BACK": "1 5/16 in"},
    "mm": {"FACE": "36 mm", "BACK": "34 mm"},
}
FACE, BACK = (
    "Rebate the meeting stile of one leaf, out of its face",
    "Rebate the meeting stile of the other leaf, out of its back",
)


@pytest.mark.parametrize(
    ("unit", "lap", "depth", "lip"),
    [("in", "1/2 in", "5/8 in", "**5/8 in**"), ("mm", "12 mm", "22 mm", "**22 mm**")],
)
def test_each_stile_of_a_rebated_pair_has_its_set_up(
    tmp_path: Path, unit: str, lap: str, depth: str, lip: str
) -> None:
    job = door(begun(tmp_path, unit), unit, more=PAIRS[unit])
    ran = checked(job)
    assert ran.code == 0 and "sound" in ran.out, ran.err
    found = blocks(printed(job))
    for title, down in ((FACE, "FACE"), (BACK, "BACK")):
        block = found[title]
        assert set_to(block)[:2] == [lap, depth]
        assert f"**Down** {down} on the table" in block
        assert "**Against** OUTER EDGE to the fence" in block
        assert "1 × stile" in block, "one of the four stiles, and of two pairs two"
        assert f"bears at the least {RESTS[unit][down]} on the table " in block
        assert lip in block and "Thickness of the lip" in block
    assert "its lip on the side that it opens towards" in found[BACK]


@pytest.mark.parametrize(
    ("unit", "leaf", "covered"),
    [
        # (40 - 2/8 - 2/16 + 1/2) / 2; (1010 - 4 - 3 + 12) / 2; the lap less the gap between them.
        ("in", "20 1/16 in", "3/8 in less of its width"),
        ("mm", "507.5 mm", "9 mm less of its width"),
    ],
)
def test_what_the_lap_does_to_the_leaves_is_told(
    tmp_path: Path, unit: str, leaf: str, covered: str
) -> None:
    sheet = printed(door(begun(tmp_path, unit), unit, more=PAIRS[unit]))
    assert f"a pair of leaves of {leaf} by" in sheet
    assert covered in sheet


@pytest.mark.parametrize(
    ("unit", "fitting", "rebate", "told"),
    [
        ("in", "1/8", "5/8 in", "1/8 in of the meeting stiles' rebates is planed off"),
        ("mm", "3", "15 mm", "3 mm of the meeting stiles' rebates is planed off"),
    ],
)
def test_the_rebate_is_wider_by_what_is_planed_off_in_fitting(
    tmp_path: Path, unit: str, fitting: str, rebate: str, told: str
) -> None:
    """The edge that is fitted is the one that the rebate is measured from: 1/2 and 1/8, 12 and 3,
    so that the lap is left when the leaf hangs (plane arithmetic)."""
    more = PAIRS[unit].replace("pair: rebated", f"pair: rebated, fitting: {fitting}")
    sheet = printed(door(begun(tmp_path, unit), unit, more=more))
    found = blocks(sheet)
    for title in (FACE, BACK):
        assert set_to(found[title])[0] == rebate
        assert f"**{rebate}** ± " in found[title] or f"**{rebate}** \\+ " in found[title]
    assert told in sheet and f"{rebate} wide as cut, " in sheet


@pytest.mark.parametrize("unit", ["in", "mm"])
def test_only_a_rebated_pair_is_rebated_there(tmp_path: Path, unit: str) -> None:
    lap = {"in": ", lap: 1/2", "mm": ", lap: 12"}[unit]
    more = PAIRS[unit].replace("rebated", "plain").replace(lap, "")
    sheet = printed(door(begun(tmp_path, unit), unit, more=more))
    assert FACE not in sheet and BACK not in sheet


def test_two_pairs_have_two_stiles_of_either_kind(tmp_path: Path) -> None:
    job = door(begun(tmp_path, "in"), "in", more=PAIRS["in"].replace("count: 2", "count: 4"))
    found = blocks(printed(job))
    assert "2 × stile" in found[FACE] and "2 × stile" in found[BACK]
