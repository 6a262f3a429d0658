"""What `check` and the sheets say of doors unlike the examples: figures and the words around them.

Sizes are invented; what is expected of them is plane arithmetic or a fact of the trade.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.doors import begun, blocks, checked, door, operations, printed, put
from tests.running import run

WIDE = {"in": "ovolo-frame-inch", "mm": "ovolo-frame-metric"}


def rails(unit: str, *more: str) -> str:
    """Rails from top to bottom, the middle ones and the fields between them."""
    names = ("top rail", *(["lock rail"] if len(more) > 2 else []), "bottom rail")
    rows = (f"  - {{name: {name}, section: {WIDE[unit]}, {keys}}}\n"
            for name, keys in zip(names, more, strict=True))  # fmt: skip
    return "rails:\n" + "".join(rows)


def test_the_leaves_of_a_rebated_pair_overlap_by_less_than_their_rebates(tmp_path: Path) -> None:
    """Rebates of 1/2 in with a gap of 1/8 in between the leaves: 3/8 in lies on the other."""
    more = "count: 2\nopening: {width: 40, height: 48, pair: rebated, lap: 1/2}\n"
    sheet = printed(door(begun(tmp_path, "in"), "in", more=more))
    assert "the meeting stiles are rebated, one from the face and the other from the back" in sheet
    assert "1/2 in wide and 5/8 in deep" in sheet
    assert "with the gap of 1/8 in the leaves overlap by 3/8 in" in sheet
    assert "lap by 1/2" not in sheet


@pytest.mark.parametrize(("lap", "sound"), [("1/8", False), ("9/64", True)])
def test_a_lap_that_the_gap_takes_up_is_refused(tmp_path: Path, lap: str, sound: bool) -> None:
    more = f"count: 2\nopening: {{width: 40, height: 48, pair: rebated, lap: {lap}}}\n"
    ran = checked(door(begun(tmp_path, "in"), "in", more=more))
    assert ("opening.lap: a lap of 1/8 in and a gap of 1/8 in" in ran.err) is not sound
    assert ("must be more than 1/8 in" in ran.err) is not sound


@pytest.mark.parametrize(
    ("keys", "says", "says_not"),
    [
        (("width: 5", "width: 5"), "haunch it or make twin tenons", "wider"),
        (("width: 5, haunch: 3/4", "width: 5, haunch: 3/4"),
         "give it a wider haunch or make twin tenons", "haunch it"),
        (("width: 7, haunch: 3/4, twin_gap: 1/2", "width: 7, haunch: 3/4, twin_gap: 1/2"),
         "give it a wider haunch or leave more between the two", "make twin tenons"),
        (("width: 2 1/2, haunch: 3/4", "width: 5", "width: 2 1/2, haunch: 3/4"),
         "make twin tenons", "haunch it"),
        (("width: 2 1/2, haunch: 3/4", "width: 8, twin_gap: 1", "width: 2 1/2, haunch: 3/4"),
         "leave more between the two", "make twin tenons"),
    ],
)  # fmt: skip
def test_a_wide_tenon_is_told_what_it_has_not_yet(
    tmp_path: Path, keys: tuple[str, ...], says: str, says_not: str
) -> None:
    """A middle rail has no outer edge to haunch; the others may have haunch, gap or both already
    (common practice, no source)."""
    fields = "[{fill: glass}, {fill: glass, sight_height: 8}]" if len(keys) > 2 else ""
    sheet = printed(door(begun(tmp_path, "in"), "in", fields=fields, more=rails("in", *keys)))
    told = next(line for line in sheet.splitlines() if "more than 5 times" in line)
    assert told.endswith(f": it may split the stile as it swells; {says}")
    assert says_not not in told


def test_a_bevel_of_one_degree_is_one(tmp_path: Path) -> None:
    more = "opening: {width: 410, height: 825, hinge_bevel: 1, lock_bevel: 2.5}\n"
    sheet = printed(door(begun(tmp_path, "mm"), "mm", more=more))
    assert "bevelled 1 degree:" in sheet and "| 1 degree |" in sheet
    assert "bevelled 2.5 degrees:" in sheet and "1 degrees" not in sheet


def test_a_pane_is_told_by_the_size_that_is_ordered(tmp_path: Path) -> None:
    """32 in less 6 of rails and 2 x 7/16 of rebates more, less 2 x 3/32: 26 11/16; across 16 - 5 +
    7/8 - 3/16 = 11 11/16, and 11 45/64 in a leaf 1/64 wider, cut to 11 11/16."""
    more = (
        "leaf: {width: 16 1/64, height: 32}\n"
        "glazing: {thickness: 1/8, clearance: 3/32, bedding: 1/16}\n"
    )
    sheet = printed(door(begun(tmp_path, "in"), "in", more=more))
    assert "| 1 | 11 11/16 in × 26 11/16 in |" in sheet
    assert "piece 11 11/16 in by 26 11/16 in" in sheet and "11 45/64" not in sheet


def test_a_third_of_a_rail_is_told_to_the_mark(tmp_path: Path) -> None:
    more = rails("mm", "width: 65, haunch: 20", "width: 235, haunch: 55")
    sheet = printed(door(begun(tmp_path, "mm"), "mm", more=more))
    assert "takes 55 mm of 235 mm: about a third, 78.5 mm, is usual" in sheet


def test_a_middle_stile_that_stands_nowhere_is_refused(tmp_path: Path) -> None:
    keys = ("width: 65, haunch: 20", "width: 90", "width: 90, haunch: 25")
    more = rails("mm", *keys) + (
        "panels: {thickness: 20, groove_width: 12, groove_depth: 12, clearance: 3, border: 40, "
        "middle_stile: 60}\n"
    )
    fields = "[{fill: glass}, {fill: grooved panel, sight_height: 250}]"
    ran = checked(door(begun(tmp_path, "mm"), "mm", fields=fields, more=more))
    assert ran.code == 1
    assert "panels.middle_stile: no field has panels side by side" in ran.err
    assert "columns: 2" in ran.err


@pytest.mark.parametrize(
    ("unit", "wide", "told"),
    [("mm", "65", "height 45 mm or more"), ("mm", "67.5", "height 45 mm or more"),
     ("in", "2 1/2", "height 1 3/4 in or more"), ("in", "3", "height 2 in or more")],
)  # fmt: skip
def test_a_tall_fence_is_as_high_as_somebody_would_make_one(
    tmp_path: Path, unit: str, wide: str, told: str
) -> None:
    """Two thirds of 65 mm are 43.3, of 2 1/2 in 1 2/3: the next 5 mm, the next quarter inch."""
    keys = (
        f"width: {wide}, haunch: {wide[0]}/4" if unit == "in" else f"width: {wide}, haunch: 20",
    ) * 2
    more = rails(unit, *keys) + "recipes: {rebate: rebate-two-saw-cuts}\n"
    more += f"stiles: {{section: {WIDE[unit]}, width: {wide}}}\n"
    sheet = printed(door(begun(tmp_path, unit), unit, more=more))
    assert f"Screwed to the fence, so that the part cannot tip: {told}" in sheet


def test_pieces_of_a_board_are_told_apart(tmp_path: Path) -> None:
    """Two fields of one row each with an upright bar, which differ: names with commas of their own,
    and figures that must not run into `field 1`."""
    bars = (
        "bars: {section: ovolo-bar-metric}\njoints: {rail_mortise: 40, bar_mortise: 24, gap: 2}\n"
    )
    keys = ("width: 65, haunch: 20", "width: 80", "width: 90, haunch: 25")
    fields = "[{fill: glass, columns: 2, sight_height: 330}, {fill: glass, columns: 2}]"
    more = (
        rails("mm", *keys)
        + bars
        + "stock: {lengths: [2400], kerf: 3}\nleaf: {width: 420, height: 1100}\n"
    )
    job = door(begun(tmp_path, "mm"), "mm", fields=fields, more=more)
    sheet = printed(job)
    assert "1 × upright bar, field 1, first: 401.5 mm; " in sheet, "330 + 2 x 22 + 25 and 2.5"
    assert "1 × upright bar, field 1; 1 × upright bar, field 2" in sheet
    assert "field 1 and upright" not in sheet and "field 1, 1 ×" not in sheet


STOUT = """kind: section
version: 1
title: Stout frame
member: frame
thickness: 57
sticking: {shape: ovolo, width: 10, depth: 10, quirk: 1.5}
rebate: {width: 15, depth: 32}
cutters: {sticking_bit: sticking-ovolo-metric, cope_bit: cope-ovolo-metric}
"""


@pytest.mark.parametrize(("high", "reaches"), [("32", False), ("36", True)])
def test_a_stop_that_the_end_passes_over_is_told_with_the_height_it_needs(
    tmp_path: Path, high: str, reaches: bool
) -> None:
    """57 mm back down, its back cheek of 32 mm gone: wood from 32 to 57 mm, its middle at 44.5."""
    shop = begun(tmp_path, "mm")
    put(shop, "sections/stout.yaml", STOUT)
    saw = shop / "machines" / "crosscut-saw.yaml"
    text = saw.read_text("utf-8")
    assert "fence_height: 32" in text
    saw.write_text(text.replace("fence_height: 32", f"fence_height: {high}"), "utf-8")
    job = door(shop, "mm", section="stout", more="recipes: {rebate: rebate-rebate-bit}\n")
    said = (
        "cannot be made: fence and stop reach no higher than 32 mm, and what earlier cuts have "
        "left begins 32 mm above the table: one at least 44.5 mm high"
    )
    assert (said in checked(job).err) is not reaches
    assert "nothing to run against" not in checked(job).err
    run("sheet", job, "--format", "md", "--to", job.parent / "out")
    assert (
        "one at least 44.5 mm high" in (job.parent / "out" / "door.md").read_text()
    ) is not reaches


@pytest.mark.parametrize(
    ("cutters", "told"),
    [
        ("cope_bit: cope-ovolo-inch", "end of top rail on ogee-frame-inch: does not prove: "),
        ("sticking_bit: sticking-cove-inch", "section of stile: does not prove: "),
    ],
)
def test_a_bit_of_another_moulding_is_named(tmp_path: Path, cutters: str, told: str) -> None:
    more = f"cutters: {{{cutters}}}\n"
    ran = checked(door(begun(tmp_path, "in"), "in", section="ogee-frame-inch", more=more))
    title = (
        "Ovolo cope bit 3/8 in, flush top" if "cope" in cutters[:4] else "Cove sticking bit 3/8 in"
    )
    line = next(each for each in ran.err.splitlines() if told in each)
    assert line.endswith(f"; the {title} is made for another moulding than ogee-frame-inch has")


def test_a_lock_beside_the_leaf_is_refused(tmp_path: Path) -> None:
    """32 in high: a case of 6 in whose middle is at 30 ends at 33; at 2, it begins at -1."""
    for above, sound in (("30", False), ("29", True), ("2", False), ("3", True)):
        more = f"lock: {{above: {above}, height: 6, depth: 1 1/4, thickness: 1/2}}\n"
        ran = checked(door(begun(tmp_path / above, "in"), "in", more=more))
        said = "does not lie within a leaf 32 in high"
        assert (
            f"lock.above: the lock, 6 in high with its middle at {above} in, {said}" in ran.err
        ) is not sound


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("fields: [{fill: glass}, {fill: glass}]\n", "expected 1 field between 2 rails, found 2"),
        ("stiles: {section: ovolo-frame-inch, width: 3/8}\n", "on its moulded edge"),
        (rails("in", "width: 3, haunch: 3", "width: 3, haunch: 1"),
         "rails.1.haunch: the tenon of the"),
        (rails("in", "width: 3, twin_gap: 4, haunch: 1/2", "width: 3, haunch: 1"),
         "rails.1.twin_gap: the tenon of the"),
    ],
)  # fmt: skip
def test_a_slip_is_told_where_it_is_and_counted_right(tmp_path: Path, line: str, told: str) -> None:
    ran = checked(door(begun(tmp_path, "in"), "in", more=line))
    assert ran.code == 1 and told in ran.err and "1 edges" not in ran.err


def test_a_section_is_told_in_words_as_it_is_drawn(tmp_path: Path) -> None:
    """By the sizes of the section's file: a thickness is none that goes deep into anything."""
    sheet = printed(door(begun(tmp_path, "mm"), "mm"))
    assert (
        "Stile, top rail and bottom rail: along the face moulding 10 mm, rebate 12 mm, mortise "
        "40 mm; from face to back moulding 10 mm, rebate 22 mm, tenon 12 mm, thick 44 mm."
    ) in sheet


@pytest.mark.parametrize(
    ("unit", "wide", "by_hand"),
    [("in", "6", False), ("in", "6 1/64", True), ("mm", "150", False), ("mm", "235", True)],
)
def test_a_rail_wider_than_the_planer_is_high_is_planed_by_hand(
    tmp_path: Path, unit: str, wide: str, by_hand: bool
) -> None:
    """The starter's planer takes 6 in or 150 mm on edge; what is left on for planing comes off by
    hand there, of that rail alone."""
    shop, haunch = begun(tmp_path, unit), {"in": "2", "mm": "50"}[unit]
    size, slim = {"in": ("40", "3"), "mm": ("1020", "80")}[unit]
    more = rails(unit, f"width: {slim}, haunch: 1/2 in", f"width: {wide}, haunch: {haunch}")
    job = door(shop, unit, more=more + f"leaf: {{width: {size}, height: {size}}}\n")
    ran = checked(job)
    assert ran.code == 0 and "sound" in ran.out, ran.err
    told = blocks(printed(job))
    assert ("Plane the sawn edge to width by hand" in told) is by_hand
    assert (f"| **{wide} {unit}** |" in told["Plane the sawn edge to width"]) is not by_hand
    if by_hand:
        hand = told["Plane the sawn edge to width by hand"]
        assert "1 × bottom rail\n" in hand and f"width {wide} {unit}" in hand
        assert f"**{wide} {unit}** ± " in hand


@pytest.mark.parametrize(("wide", "by_hand"), [("34 1/8", False), ("35 3/8", True)])
def test_a_panel_wider_than_the_rip_fence_goes_is_cut_by_hand(
    tmp_path: Path, wide: str, by_hand: bool
) -> None:
    """The starter's fence goes to 30 in: two stiles of 2 1/2 less two rebates of 7/16 and 1/8 of
    clearance at each side leave 30 and 31 1/4."""
    more = f"leaf: {{width: {wide}, height: 60}}\nfields: [{{fill: panel}}]\n"
    more += "glazing: {panel_thickness: 1/4, panel_clearance: 0}\n"
    job = door(begun(tmp_path, "in"), "in", more=more)
    assert checked(job).code == 0, checked(job).err
    told = blocks(printed(job))
    assert ("Cut the panel to width by hand" in told) is by_hand
    assert ("Rip the panel to width" in told) is not by_hand
    size = "31 1/4" if by_hand else "30"
    block = told["Cut the panel to width by hand" if by_hand else "Rip the panel to width"]
    assert f"**{size} in** \\+ 1/64, − 1/32 in" in block


def test_a_line_of_the_route_says_test_where_any_of_its_operations_is_tested(
    tmp_path: Path,
) -> None:
    """Short bars are cut out of longer pieces, which have no length of their own to measure, and
    come first here, for the stop stands at theirs already; the stiles, on that line, have one."""
    more = rails("in", "width: 4 3/8, haunch: 1 3/8", "width: 4 3/8, haunch: 1 3/8")
    more += (
        "leaf: {width: 35 3/4, height: 46 1/8}\nbars: {section: ovolo-bar-inch, through: upright}\n"
    )
    more += "stiles: {section: ovolo-frame-inch, width: 4 3/8}\n"
    more += (
        "joints: {rail_mortise: 2 3/4, bar_mortise: 7/8, bar_in_bar_mortise: 17/32, gap: 1/16}\n"
    )
    more += "allowances: {length: 1, width: 1/4, thickness: 1/4}\n"
    fields = "[{fill: glass, rows: 3, columns: 3}]"
    job = door(begun(tmp_path, "in"), "in", fields=fields, more=more)
    sheet = printed(job)
    line = next(each for each in sheet.splitlines() if "| Cut to length |" in each)
    assert line.endswith("| all parts | TEST |")


def test_a_door_without_glass_or_bars_is_not_told_of_them(tmp_path: Path) -> None:
    panels = (
        "panels: {thickness: 20, groove_width: 12, groove_depth: 12, clearance: 3, border: 40}\n"
    )
    job = door(begun(tmp_path, "mm"), "mm", fields="[{fill: grooved panel}]", more=panels)
    told = dict(operations(printed(job)))
    assert "Check every light between rebates" not in told and "Assemble dry" in told
    weight = next(each for each in printed(job).splitlines() if "a leaf weighs about" in each)
    assert "glass" not in weight and " kg: 2 hinges by rule of thumb" in weight
    glazed = printed(door(job.parents[1], "mm"))
    assert "Check every light between rebates" in glazed and " kg of it glass: 2 hinges" in glazed


PANEL_IN_A_REBATE = "fields: [{fill: panel}]\n"


@pytest.mark.parametrize(
    ("glazing", "told"),
    [
        ("", "glazing.panel_thickness: expected the panels' thickness: a field has a panel"),
        ("glazing: {panel_thickness: 6}\n",
         "glazing.panel_clearance: expected what is left between a panel and its rebate"),
    ],
)  # fmt: skip
def test_a_panel_in_a_rebate_asks_for_its_own_sizes_and_not_for_the_glass(
    tmp_path: Path, glazing: str, told: str
) -> None:
    job = door(begun(tmp_path, "mm"), "mm", more=PANEL_IN_A_REBATE + (glazing or "glazing: {}\n"))
    if not glazing:
        job.write_text(job.read_text().replace("glazing: {}\n", ""))
    ran = checked(job)
    assert ran.code == 1 and told in ran.err
    assert "glass" not in ran.err and "missing" not in ran.err


def test_a_panel_in_a_rebate_is_made_without_a_word_of_glass_or_groove(tmp_path: Path) -> None:
    """420 - 2 x 65 and 2 x 12 of rebates: 314 less 2 x 2 of clearance; 820 - 160 + 24 - 4: 680."""
    more = PANEL_IN_A_REBATE + "glazing: {panel_thickness: 6, panel_clearance: 2, bedding: 2}\n"
    sheet = printed(door(begun(tmp_path, "mm"), "mm", more=more))
    assert "| 1 | 310 mm × 680 mm | 6 mm | panel |" in sheet
    told = blocks(sheet)
    assert "Try the panel in its rebate" in told and "Try the panel in its groove" not in told
    bed = told["Bed the panel"]
    assert "Bed the pane" not in told and "glass" not in bed.lower()
    assert "thickness 2 mm" in bed and "**2 mm** \\+ 1.5, − 0.8 mm" in bed
    assert "Handle glass" not in sheet


def test_gloves_are_asked_for_where_glass_is_in_hand(tmp_path: Path) -> None:
    """Beads are mitred without it, a leaf is tried, glued and hung before it goes in."""
    sheet = printed(door(begun(tmp_path, "mm"), "mm"))
    gloves = re.search(r"\*\*Operations (\d+)–(\d+)\*\* Handle glass", sheet)
    numbered = dict(re.findall(r"^## \*\*(\d+)\*\* (.+)", sheet, re.MULTILINE))
    assert gloves and sheet.count("Handle glass") == 1
    assert numbered[gloves[1]] == "Measure every light, order the glass"
    assert numbered[gloves[2]] == "Trim the bedding, clean the glass"


def test_grooved_panels_alone_need_no_glazing(tmp_path: Path) -> None:
    more = "panels: {thickness: 6, groove_width: 6, groove_depth: 10, clearance: 2}\nglazing: {}\n"
    fields = "[{fill: grooved panel}]"
    job = door(begun(tmp_path, "mm"), "mm", fields=fields, more=more)
    job.write_text(job.read_text().replace("glazing: {}\n", ""))
    told = blocks(printed(job))
    assert "Try the panel in its groove" in told and "Try the panel in its rebate" not in told
    ends = (f"out at the {end} of the leaf, where the tenon or its haunch fills it"
            for end in ("bottom", "top"))  # fmt: skip
    along = f"groove along the stiles: {'; '.join(ends)}"
    assert next(line for line in printed(job).splitlines() if along in line).endswith(along)


def test_glass_says_what_it_lacks(tmp_path: Path) -> None:
    ran = checked(door(begun(tmp_path, "in"), "in", more="glazing: {clearance: 1/16}\n"))
    assert "glazing.thickness: expected the thickness of the glass: a field has glass" in ran.err
    job = door(begun(tmp_path, "in"), "in", more="joints: {}\n")
    told = (
        "joints.rail_mortise: missing 'rail_mortise': how deep the mortises for the rails go into"
    )
    assert told in checked(job).err


@pytest.mark.parametrize(("deep", "sound"), [("64.5", True), ("65", False), ("70", False)])
def test_a_lock_deeper_than_its_stile_is_refused(tmp_path: Path, deep: str, sound: bool) -> None:
    more = f"lock: {{above: 400, height: 60, depth: {deep}, thickness: 14}}\n"
    ran = checked(door(begun(tmp_path, "mm"), "mm", more=more))
    told = f"lock.depth: the lock is {deep} mm deep and the stile 65 mm wide: its case would come"
    assert (told in ran.err) is not sound and ran.code == (0 if sound else 1)


BARE = rails("mm", "width: 80", "width: 80, haunch: 20")


@pytest.mark.parametrize(("horn", "told"), [("0", False), ("25", True)])
def test_a_stile_without_horns_is_told_of_none(tmp_path: Path, horn: str, told: bool) -> None:
    more = f"stiles: {{section: ovolo-frame-metric, width: 65, horn: {horn}}}\n"
    sheet = printed(door(begun(tmp_path, "mm"), "mm", more=more))
    assert ("end of horn" in sheet) is told and "| end | 820 mm |" in sheet
    assert "its mortise runs out" not in sheet
    bare = printed(door(begun(tmp_path / "bare", "mm"), "mm", more=more + BARE))
    out = "the top rail has no haunch: its mortise runs out at the end of the stile"
    assert (f"{out} once the horn is cut off" in bare) is told
    assert (f"{out}, which may split while it is chopped: leave horns on" in bare) is not told
    assert ("| end of horn | −25 mm |" in sheet) is told and "-25 mm" not in sheet


def test_the_leaves_of_a_pair_are_planed_at_hinge_and_meeting_side(tmp_path: Path) -> None:
    more = "count: 2\nopening: {width: 840, height: 1000, pair: plain, fitting: 2}\n"
    sheet = printed(door(begun(tmp_path, "mm"), "mm", more=more))
    assert "| left leaf | bottom | hinge side: 2 mm | meeting side: 2 mm |" in sheet
    assert "lock side" not in sheet


@pytest.mark.parametrize(
    ("unit", "leaf", "rough", "length"),
    [
        # A stop goes to 96 in and to 2400 mm; 94 and two horns of 1 in are just as long, 2350 and
        # two of 25 as well, and the rough piece is longer by another. Then the finished one is too.
        ("in", "{width: 32, height: 94}", "97 in", ""),
        ("in", "{width: 32, height: 94 1/2}", "97 1/2 in", "96 1/2 in"),
        ("mm", "{width: 800, height: 2350}", "2425 mm", ""),
        ("mm", "{width: 800, height: 2351}", "2426 mm", "2401 mm"),
    ],
)
def test_a_part_past_the_stop_is_cut_at_a_line(
    tmp_path: Path, unit: str, leaf: str, rough: str, length: str
) -> None:
    """Both ends held up and the part clamped, the blade brought to the line at rest: common
    practice, no source."""
    job = door(begun(tmp_path, unit), unit, more=f"leaf: {leaf}\n")
    ran = checked(job)
    assert ran.code == 0, ran.err
    found = blocks(printed(job))
    long = found["Saw the long parts rough to length, at a line"]
    assert f"rough length {rough}" in long and "2 × stile" in long
    assert "Under both ends" in long and "clamped" in long
    assert "stile" not in found["Cut rough to length"].partition("Stop")[0]
    title = "Saw the long parts to length, at a knife line"
    assert (title in found) is bool(length)
    assert ("2 × stile" in found["Cut to length"]) is not bool(length)
    if length:
        assert f"all round: length {length}" in found[title]
        assert f"| **{length}** ±" in found[title] and "at rest" in found[title]
        assert "`setupsheets log door blanks/crosscut_long/stile`" in found[title]
