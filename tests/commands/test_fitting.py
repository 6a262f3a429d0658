"""What is printed of an opening out of square; the sizes are the vestibule's, our own.

The figures are plane geometry, worked out by tests/joinery/test_out_of_square.py on corners."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.doors import begun, checked, door, printed
from tests.running import run

OPENINGS = {
    "mm": "opening: {width: 842, height: 2047, clearances: {top: 3, hinge: 2, lock: 3, bottom: 7}, "
    "out_of_square: {bottom: 840, right: 2046, diagonal: 2212}, fitting: 3}\n",
    # A square opening, a quarter of an inch left on.
    "in": "opening: {width: 24, height: 48, fitting: 1/4}\n",
}


@pytest.mark.parametrize(
    ("clearances", "leaf"),
    [
        ("", "915 mm wide and 2033 mm high"),
        (", clearances: {hinge: 2}", "916 mm wide and 2033 mm high"),
        (", clearances: {bottom: 1/2 in}", "915 mm wide and 2032.3 mm high"),
    ],
)
def test_a_metric_opening_is_left_open_by_metric_clearances(
    tmp_path: Path, clearances: str, leaf: str
) -> None:
    """3 mm at top, hinge and lock and 12 mm at the bottom, where nothing else is said: common
    practice, no source. What is said is kept, in whichever unit."""
    opening = f"opening: {{width: 921, height: 2048{clearances}}}\n"
    ran = run("parts", door(begun(tmp_path, "mm"), "mm", more=opening), "--format", "md")
    assert f"from outside, {leaf}" in ran.out


def test_the_defaults_of_a_metric_opening_are_told_as_they_count(tmp_path: Path) -> None:
    ran = run("list", "job", "--keys", "--shop", begun(tmp_path, "mm"), "--json")
    told = {each["key"]: each.get("default") for each in json.loads(ran.out)["keys"]}
    gaps = ("top", "hinge", "lock", "bottom", "meeting")
    assert [told[f"opening.clearances.{gap}"] for gap in gaps] == (
        ["3 mm", "3 mm", "3 mm", "12 mm", "1.5 mm"]
    )
    assert [told[f"opening.strip_{way}"] for way in ("width", "thickness")] == ["30 mm", "9 mm"]


def test_every_edge_of_a_leaf_out_of_square_has_its_two_figures(tmp_path: Path) -> None:
    sheet = printed(door(begun(tmp_path, "mm"), "mm", more=OPENINGS["mm"]))
    assert "842 mm wide at the top and 840 mm at the bottom, 2047 mm high at the left" in sheet
    assert "one leaf of 840 mm by 2040 mm at the widest face, 3 mm of it each way left on" in sheet
    assert "| leaf | top | hinge side: 0 mm | lock side: 1.5 mm |" in sheet
    assert "| leaf | lock | top: 3 mm | bottom: 5 mm |" in sheet
    assert "| leaf | bottom | hinge side: 3 mm | lock side: 2.5 mm |" in sheet
    assert "the hinge edge stays as it is" in sheet


def test_a_square_opening_loses_what_was_left_on(tmp_path: Path) -> None:
    """24 less two eighths and 48 less 1/8 and 1/2, a quarter over: 24 by 47 5/8."""
    sheet = printed(door(begun(tmp_path, "in"), "in", more=OPENINGS["in"]))
    assert "one leaf of 24 in by 47 5/8 in at the widest face, 1/4 in of it each way" in sheet
    assert "| leaf | lock | top: 1/4 in | bottom: 1/4 in |" in sheet
    assert "| leaf | bottom | hinge side: 1/4 in | lock side: 1/4 in |" in sheet
    assert "| leaf | top |" not in sheet


@pytest.mark.parametrize("head", ["arched", "raked"])
def test_a_head_that_is_not_straight_is_refused_at_its_line(tmp_path: Path, head: str) -> None:
    job = door(begun(tmp_path, "in"), "in", more=f"head: {head}\n")
    lines = job.read_text("utf-8").splitlines()
    ran = checked(job)
    assert ran.code == 1
    place = f"door.yaml:{lines.index(f'head: {head}') + 1}:7: head: found a head that is {head}"
    assert place in ran.err


def test_a_section_without_moulding_is_refused_at_the_jobs_own_line(tmp_path: Path) -> None:
    shop = begun(tmp_path, "in")
    plain = shop / "sections" / "plain.yaml"
    plain.parent.mkdir()
    plain.write_text(
        "kind: section\nversion: 1\ntitle: Plain\nmember: frame\nthickness: 1 1/4\n"
        "sticking: {shape: square, width: 0, depth: 3/8}\nrebate: {width: 7/16, depth: 1/2}\n",
        "utf-8",
    )
    job = door(shop, "in")
    text = job.read_text("utf-8").replace("top rail, section: ovolo-frame-inch",
                                          "top rail, section: plain")  # fmt: skip
    job.write_text(text, "utf-8")
    ran = checked(job)
    assert ran.code == 1
    line = next(n for n, each in enumerate(text.splitlines(), 1) if "section: plain" in each)
    assert f"door.yaml:{line}:" in ran.err
    assert "rails.1.section: section 'plain' cannot be used until plain.yaml" in ran.err
    assert "coped over its moulding, so each needs one" in ran.err


def test_a_missing_cutter_is_told_at_the_line_of_the_section_that_wants_it(tmp_path: Path) -> None:
    """A cupboard door 3/4 in thick, whose section names no cutters for its moulding."""
    shop = begun(tmp_path, "in")
    (shop / "sections").mkdir()
    (shop / "sections" / "thin.yaml").write_text(
        "kind: section\nversion: 1\ntitle: Thin\nmember: frame\nthickness: 3/4\n"
        "sticking: {shape: ovolo, width: 1/4, depth: 1/4}\nrebate: {width: 3/8, depth: 1/4}\n"
        "cutters: {mortise_chisel: mortise-chisel-1-4-inch}\n",
        "utf-8",
    )
    job = door(shop, "in", section="thin")
    ran = checked(job)
    line = next(n for n, each in enumerate(job.read_text("utf-8").splitlines(), 1)
                if each.startswith("stiles:"))  # fmt: skip
    assert ran.code == 1
    assert f"door.yaml:{line}:19: stiles.section: no cope bit is chosen" in ran.err
    assert f"door.yaml:{line}:19: stiles.section: no sticking bit is chosen" in ran.err


def test_a_cupboard_door_three_quarters_thick_with_its_cutters_works(tmp_path: Path) -> None:
    """Moulding 3/8, groove and tongue 1/4, 1/8 behind them."""
    shop = begun(tmp_path, "in")
    (shop / "sections").mkdir()
    (shop / "sections" / "thin.yaml").write_text(
        "kind: section\nversion: 1\ntitle: Thin\nmember: frame\nthickness: 3/4\n"
        "sticking: {shape: ovolo, width: 3/8, depth: 3/8, quirk: 1/16}\n"
        "rebate: {width: 3/8, depth: 1/8}\n"
        "cutters: {sticking_bit: sticking-ovolo-inch, cope_bit: cope-ovolo-inch, "
        "mortise_chisel: mortise-chisel-1-4-inch}\n",
        "utf-8",
    )
    panels = "panels: {thickness: 1/4, groove_width: 1/4, groove_depth: 3/8, clearance: 1/8}\n"
    job = door(shop, "in", section="thin", fields="[{fill: grooved panel}]", more=panels)
    ran = run("check", job)
    assert (ran.code, "sound" in ran.out) == (0, True), ran.err
