"""A shop that lacks a machine makes the door another way, and says so; common practice, no source.

Nobody asks for the other recipe: the shop merely has no such machine among its first choices.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.doors import begun, blocks, checked, door, printed, set_to
from tests.running import run

BARS = {
    "in": ("[{fill: glass, rows: 2}]", "bars: {section: ovolo-bar-inch}\n", "3/4"),
    "mm": ("[{fill: glass, rows: 2}]", "bars: {section: ovolo-bar-metric}\n", "20"),
}


def without(shop: Path, *kinds: str) -> None:
    """The shop's machines less some: neither a file nor a first choice is left of them."""
    settings = shop / "shop.yaml"
    lines = settings.read_text("utf-8").splitlines(keepends=True)
    kept = [line for line in lines if not line.strip().startswith(tuple(f"{k}:" for k in kinds))]
    assert len(lines) - len(kept) == len(kinds)
    settings.write_text("".join(kept), "utf-8")
    for kind in kinds:
        (shop / "machines" / f"{kind.replace('_', '-')}.yaml").unlink()


def barred(folder: Path, unit: str, more: str = "") -> Path:
    """A door of two lights in a new shop."""
    fields, bars, deep = BARS[unit]
    job = door(begun(folder, unit), unit, fields=fields, more=bars + more)
    text = job.read_text("utf-8").replace("rail_mortise:", f"bar_mortise: {deep}, rail_mortise:")
    job.write_text(text, "utf-8")
    return job


@pytest.mark.parametrize(("unit", "rail", "long"), [("in", "13 7/8 in", "34 in"),
                                                    ("mm", "366 mm", "870 mm")])  # fmt: skip
def test_without_a_crosscut_saw_the_blanks_come_off_the_table_saw_and_long_ones_by_hand(
    tmp_path: Path, unit: str, rail: str, long: str
) -> None:
    """Rails are 11 + 2 (1 1/2 - 1/16) and 290 + 2 (40 - 2) long; stiles have their horns."""
    job = barred(tmp_path, unit)
    without(job.parents[1], "crosscut_saw")
    ran = checked(job)
    assert ran.code == 0, ran.err
    told = "blanks needs a crosscut saw, and none is chosen in this shop: blanks-table-saw is taken"
    assert told in ran.err
    assert "cope-crosscut-saw needs a crosscut saw" in ran.err
    sheet = printed(job)
    assert f"**Made otherwise** {told} in its place" in sheet
    assert "Crosscut saw" not in sheet.partition("## Route")[2]
    found = blocks(sheet)
    assert rail in set_to(found["Cut to length on the sled"])
    by_hand = found["Saw the long parts to length by hand"]
    assert "2 × stile" in by_hand and f"length {long}" in by_hand and "rail" not in by_hand
    rough = found["Saw rough to length by hand"]
    assert "2 × stile, 1 × top rail, 1 × bottom rail, 1 × cross bar" in rough


def test_without_saws_and_planer_the_blanks_are_got_out_by_hand(tmp_path: Path) -> None:
    panels = "panels: {thickness: 3/8, groove_width: 3/8, groove_depth: 3/8, clearance: 1/8}\n"
    job = door(begun(tmp_path, "in"), "in", fields="[{fill: grooved panel}]", more=panels)
    without(job.parents[1], "crosscut_saw", "table_saw", "planer")
    found = blocks(printed(job))
    told = checked(job).err
    assert "blanks needs a crosscut saw and a planer and a table saw, and none is chosen" in told
    assert "blanks-by-hand is taken" in told and "groove-router-table is taken" in told
    assert "thickness 1 1/4 in" in found["Plane to thickness"]
    assert "1 × top rail, 1 × bottom rail" in found["Cut to length"]
    assert "**13 7/8 in** ± 1/64 in" in found["Cut to length"]


def test_a_shop_without_a_mortiser_bores(tmp_path: Path) -> None:
    job = door(begun(tmp_path, "mm"), "mm")
    without(job.parents[1], "mortiser")
    assert "mortise-chisel needs a mortiser" in checked(job).err
    assert "Bore the mortises, sight edge up" in blocks(printed(job))


def test_what_the_job_itself_asks_for_is_not_made_otherwise(tmp_path: Path) -> None:
    job = door(begun(tmp_path, "in"), "in", more="recipes: {blank: blanks}\n")
    without(job.parents[1], "crosscut_saw")
    ran = checked(job)
    assert ran.code == 1
    assert "no crosscut saw is chosen for 'Cut rough to length'" in ran.err


def test_a_shop_that_has_every_machine_is_told_nothing(tmp_path: Path) -> None:
    job = door(begun(tmp_path, "in"), "in")
    assert checked(job).err == ""
    assert "Made otherwise" not in printed(job)


@pytest.mark.parametrize("unit", ["in", "mm"])
def test_hand_work_on_blanks_is_told_for_every_part(tmp_path: Path, unit: str) -> None:
    flat = blocks(printed(barred(tmp_path, unit)))[
        "Flatten the face side, straighten the face edge"
    ]
    assert "2 × stile, 1 × top rail, 1 × bottom rail, 1 × cross bar" in flat


def test_a_first_choice_whose_file_is_gone_is_told_how_to_do_without(tmp_path: Path) -> None:
    job = door(begun(tmp_path, "in"), "in")
    (job.parents[1] / "machines" / "crosscut-saw.yaml").unlink()
    ran = checked(job)
    assert ran.code == 1
    assert "unknown machine 'crosscut-saw'" in ran.err
    assert "; a shop that has no crosscut saw leaves it out of first_choice" in ran.err


@pytest.mark.parametrize(
    ("chosen", "told"),
    [
        (("saw_blade",), "1:1: no saw blade is chosen for 'Rip the beads off the board': name"),
        (
            ("straight_bit", "rebate_bit"),
            "6:19: stiles.section: no straight bit or rebate bit is chosen for 'Back cheek and",
        ),
    ],
)
def test_a_cutter_that_nobody_chose_is_asked_for_where_the_job_says_what_it_is_for(
    tmp_path: Path, chosen: tuple[str, ...], told: str
) -> None:
    """At the section that the joint is for; beads have none, and the job itself is named."""
    job = door(begun(tmp_path, "in"), "in", more="recipes: {cope: cope-router-table}\n")
    settings = job.parents[1] / "shop.yaml"
    lines = settings.read_text("utf-8").splitlines(keepends=True)
    kept = [each for each in lines if not each.strip().startswith(tuple(f"{k}: " for k in chosen))]
    assert len(lines) - len(kept) == len(chosen)
    settings.write_text("".join(kept), "utf-8")
    assert f"door.yaml:{told}" in checked(job).err


def test_without_a_planer_panels_and_beads_are_made_by_hand(tmp_path: Path) -> None:
    """12 of bead and what a rebate of 22 leaves behind 2 of bedding and 4 of glass; a panel of
    290 + 2 (10 - 2) with a groove of 12 for its tongue: none of it is left out of the route."""
    fields = "[{fill: glass, sight_height: 300}, {fill: grooved panel}]"
    more = (
        "panels: {thickness: 18, groove_width: 12, groove_depth: 10, clearance: 2, border: 40}\n"
        "rails:\n"
        + "".join(
            f"  - {{name: {name} rail, section: ovolo-frame-metric, width: 80{haunch}}}\n"
            for name, haunch in (("top", ", haunch: 20"), ("lock", ""), ("bottom", ", haunch: 20"))
        )
    )
    job = door(begun(tmp_path, "mm"), "mm", fields=fields, more=more)
    without(job.parents[1], "planer")
    told = checked(job).err
    assert "glazing-bead needs a planer" in told and "glazing-bead-by-hand is taken" in told
    found = blocks(printed(job))
    assert "depth 16 mm" in found["Plane a board to the bead's depth by hand"]
    assert "width 12 mm" in found["Saw the beads off the board"]
    assert "thickness 18 mm" in found["Plane the panel to thickness by hand"]
    assert "**306 mm**" in found["Cut the panel to width by hand"]
    border = found["Sink the border by hand"]
    assert "border 40 mm" in border and "tongue 12 mm" in border
    assert "each board" in found["Glue the panel up from boards"]


def test_hand_work_that_is_recalled_is_told_of_no_dials(tmp_path: Path) -> None:
    """A year later nothing has come back near where it stood, for nothing was dialled."""
    more = "panels: {thickness: 12, groove_width: 12, groove_depth: 10, clearance: 2}\n"
    job = door(begun(tmp_path, "mm"), "mm", fields="[{fill: grooved panel}]", more=more)
    without(job.parents[1], "planer")
    found = ("--found", "panel_thickness=12.4", "--found", "panel_width=306")
    shop = ("--shop", job.parents[1])
    logged = run("log", job, "panel-by-hand", "--date", "2024-05-06", *found, *shop)
    assert logged.code == 0, logged.err
    told = run("recall", "panel", "--date", "2025-06-07", *shop).out
    assert "Its record was left open after 1 test piece" in told and "13 months ago." in told
    assert "dial" not in told and "SET TO" not in told
