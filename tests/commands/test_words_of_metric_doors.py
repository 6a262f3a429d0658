"""Doors and sashes in millimetres, unlike the examples: what is printed of them, word and figure.

Sizes are invented; what is expected of them is plane arithmetic or a fact of the trade.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.doors import begun, checked, door, printed
from tests.running import run

RAILS = """rails:
  - {name: top rail, section: ovolo-frame-metric, width: 65, haunch: 20}
  - {name: lock rail, section: ovolo-frame-metric, width: 90}
  - {name: bottom rail, section: ovolo-frame-metric, width: 80, haunch: 20}
"""
PANELS = "panels: {thickness: 12, groove_width: 12, groove_depth: 10, clearance: 3"


def parts(job: Path) -> str:
    """All that `parts` says, on long lines."""
    ran = run("parts", job, "--format", "md")
    assert ran.code == 0, ran.err
    return ran.out


def test_a_groove_is_told_in_every_part_that_has_one(tmp_path: Path) -> None:
    """Two panels side by side: their grooves run in the middle stile as well, and both go in."""
    fields = "[{fill: glass, sight_height: 300}, {fill: grooved panel, columns: 2}]"
    more = f"{RAILS}{PANELS}, middle_stile: 60}}\n"
    job = door(begun(tmp_path, "mm"), "mm", fields=fields, more=more)
    told = parts(job)
    assert ("and in both rails, and in both edges of each middle stile; no rebate there; the "
            "panels go in dry") in told  # fmt: skip
    assert "with 1 pane and 2 panels." in printed(job)


def test_one_panel_alone_stands_between_stiles_and_rails(tmp_path: Path) -> None:
    more = f"{PANELS}}}\n"
    job = door(begun(tmp_path, "mm"), "mm", fields="[{fill: grooved panel}]", more=more)
    assert "and in both rails; no rebate there; the panel goes in dry" in parts(job)
    assert "with 1 panel." in printed(job)


def test_hinges_between_the_outer_ones_stand_on_a_mark(tmp_path: Path) -> None:
    """Four of 125 mm in 2580: the outer two from 260 and from 2275; 2015 / 3 is no half
    millimetre, so those between begin at 931.5 for 931.67 and at 1603.5 for 1603.33."""
    more = (
        "leaf: {width: 700, height: 2580}\n"
        "hinges: {length: 125, closed: 6, count: 4, from_top: 180, from_bottom: 260}\n"
    )
    stick = re.findall(r"hinge, on the hinge stile \| ([\d.]+) mm \| ([\d.]+) mm",
                       parts(door(begun(tmp_path, "mm"), "mm", more=more)))  # fmt: skip
    assert stick == [
        ("260", "385"),
        ("931.5", "1056.5"),
        ("1603.5", "1728.5"),
        ("2275", "2400"),
    ]


@pytest.mark.parametrize(("count", "told"), [(2, "where the job has 2, and"), (3, "thumb, and")])
def test_fewer_hinges_than_the_height_asks_for_are_told(
    tmp_path: Path, count: int, told: str
) -> None:
    """Above 60 in of height a third hinge: common practice, no source."""
    more = (
        f"leaf: {{width: 420, height: 1700}}\nhinges: {{length: 65, closed: 4, count: {count}}}\n"
    )
    sentence = next(each for each in parts(door(begun(tmp_path, "mm"), "mm", more=more)).split("\n")
                    if "a leaf weighs" in each)  # fmt: skip
    assert "3 hinges by rule of thumb" in sentence and told in sentence


@pytest.mark.parametrize(
    ("glazing", "told"),
    [
        ("bedding: 3", "bedding 3 mm and glass 14 mm take 17 mm of a rebate 10 mm deep: it must be "
         "deeper than that, for the bead"),
        ("bedding: 3, bead_depth: 6", "bedding 3 mm, glass 14 mm and bead take 23 mm of a rebate "
         "10 mm deep: it must be that deep or more"),
    ],
)  # fmt: skip
def test_a_rebate_too_shallow_for_its_glass_says_how_deep_it_must_be(
    tmp_path: Path, glazing: str, told: str
) -> None:
    shop = begun(tmp_path, "mm")
    like = ("--like", "ovolo-frame-metric", "--with", "rebate.depth=10")
    assert run("begin", "--section", "shallow", *like, "--shop", shop).code == 0
    more = f"glazing: {{thickness: 14, clearance: 3, {glazing}}}\n"
    ran = checked(door(shop, "mm", section="shallow", more=more))
    assert ran.code == 1 and told in ran.err and "−" not in ran.err


def test_a_section_begun_in_the_place_of_a_built_in_one_is_told_by_its_own_sizes(
    tmp_path: Path,
) -> None:
    """43.6 thick, 10 of moulding and 22 of rebate: 11.6 stands between them."""
    name = "ovolo-frame-metric"
    given = ("--like", name, "--with", "thickness=43.6", "--shop", begun(tmp_path, "mm"))
    ran = run("begin", "--section", name, *given)
    assert "takes the place of the built-in section" in ran.out
    assert "Between its moulding and its rebate 11.6 mm stands" in ran.out


@pytest.mark.parametrize(
    ("count", "each", "boxes"), [(1, "the leaf", 1), (2, "each leaf", 2), (6, "each of the 6", 6)]
)
def test_every_leaf_of_several_alike_is_measured(
    tmp_path: Path, count: int, each: str, boxes: int
) -> None:
    sheet = printed(door(begun(tmp_path, "mm"), "mm", more=f"count: {count}\n"))
    assert f"| Measure on {each}" in sheet
    dry = sheet.partition("# Dry fit")[2]
    header = re.search(r"\| Measure \| Should be \| Within \|(.*)\|", dry)
    assert header and len(header[1].split("|")) == boxes
    assert "on the back" not in dry


def test_more_leaves_than_boxes_are_told(tmp_path: Path) -> None:
    told = parts(door(begun(tmp_path, "mm"), "mm", more="count: 8\n"))
    assert "log door dry-fit. Boxes for 6 of the 8 leaves, the others on the back" in told


BARS = """bars: {section: ovolo-bar-metric, through: THROUGH}
joints: {rail_mortise: 40, bar_mortise: 18, gap: 2}
"""


@pytest.mark.parametrize(("through", "mitred"), [("halved", True), ("cross", False)])
def test_halved_bars_are_mitred_when_they_are_moulded(
    tmp_path: Path, through: str, mitred: bool
) -> None:
    """A step of its own, after the bars' moulding and before a joint is tried: common practice."""
    more = BARS.replace("THROUGH", through)
    job = door(
        begun(tmp_path, "mm"), "mm", fields="[{fill: glass, rows: 2, columns: 2}]", more=more
    )
    steps = re.findall(r"^\| [\d–]+ \| ([^|]+) \|", printed(job), flags=re.MULTILINE)
    mitre = "Mitre the mouldings of halved bars"
    assert (mitre in steps) is mitred
    if mitred:
        last = max(at for at, step in enumerate(steps) if "strips off" in step or "Mould" in step)
        assert last < steps.index(mitre) < steps.index("Try every joint by itself")


def test_a_fit_that_may_close_is_told_as_in_its_table(tmp_path: Path) -> None:
    more = "joints: {rail_mortise: 40, gap: 1.5}\n"
    told = parts(door(begun(tmp_path, "mm"), "mm", more=more))
    row = re.search(r"\| room under the tenon \| [^|]+ \| 1.5 mm \| ± (\S+) mm \| ± (\S+) mm", told)
    assert row and f"it is likely within {row[1]} mm, at worst {row[2]} mm" in told


def test_a_long_stile_is_held_up_at_every_machine_that_takes_it(tmp_path: Path) -> None:
    """2.1 m on a table of half a metre tips: common practice, no source."""
    sheet = printed(door(begun(tmp_path, "mm"), "mm", more="leaf: {width: 700, height: 2050}\n"))
    machines = re.split(r"^# ", sheet, flags=re.MULTILINE)[1:]
    held = {each.partition("\n")[0] for each in machines if "A long part: " in each}
    assert held == {"Crosscut saw (radial arm)", "Table saw", "Thickness planer", "Router table",
                    "Hollow chisel mortiser"}  # fmt: skip


def test_a_sash_with_horns_is_told_what_becomes_of_them_and_of_a_thick_meeting_rail(
    tmp_path: Path,
) -> None:
    """A sliding sash keeps the horns at its meeting rail; what the rail stands out by the parting
    bead is no part of a leaf that is flush: common practice, no source."""
    shop = begun(tmp_path, "mm")
    sash = door(shop, "mm", more="stiles: {section: ovolo-frame-metric, width: 65, horn: 65}\n")
    assert "as at the meeting rail of a sliding sash, is left" in printed(sash)
    like = ("--like", "ovolo-frame-metric", "--with", "thickness=54", "--with", "rebate.depth=32")
    assert run("begin", "--section", "meeting-rail", *like, "--shop", shop).code == 0
    thick = RAILS.replace(
        "lock rail, section: ovolo-frame-metric", "lock rail, section: meeting-rail"
    )
    fields = "[{fill: glass, sight_height: 300}, {fill: glass}]"
    ran = checked(door(shop, "mm", fields=fields, more=thick))
    assert ran.code == 1 and "choose one that is no thicker, and fix on afterwards" in ran.err


def test_a_panel_is_tried_in_what_is_cut_by_then(tmp_path: Path) -> None:
    """One lies in a rebate and one in a groove: neither is tried before its own is there."""
    fields = "[{fill: panel, sight_height: 300}, {fill: grooved panel}]"
    glazing = "glazing: {panel_thickness: 9, panel_clearance: 2, bedding: 2}\n"
    recipes = "recipes: {rebate: rebate-spindle-moulder, groove: groove-router-table}\n"
    more = f"{RAILS}{PANELS}}}\n{glazing}{recipes}"
    job = door(begun(tmp_path, "mm"), "mm", fields=fields, more=more)
    steps = re.findall(r"^\| [\d–]+ \| ([^|]+) \|", printed(job), flags=re.MULTILINE)
    at = {step: place for place, step in enumerate(steps)}
    assert at["Rebate, flat on the back"] < at["Try the panel in its rebate"]
    assert at["Groove, wall towards the back"] < at["Try the panel in its groove"]


def test_one_web_between_two_holes_is_one(tmp_path: Path) -> None:
    """A mortise of 34 by a bit of 12 has a hole at each end and one web; longer ones have more."""
    more = BARS.replace("THROUGH", "cross") + "recipes: {mortise: mortise-drill}\n"
    job = door(begun(tmp_path, "mm"), "mm", fields="[{fill: glass, rows: 2}]", more=more)
    centres = [line for line in printed(job).splitlines() if "**Centres**" in line]
    bar = next(line for line in centres if "for the cross bar" in line)
    assert re.search(r"mm and [\d.]+ mm, last the web at [\d.]+ mm$", bar)
    assert any("last the webs at " in line for line in centres)


def test_a_bit_wider_than_its_groove_is_refused_with_a_way_on(tmp_path: Path) -> None:
    """The shop's straight bit is 20 wide and the groove 12; with the built-in one of 12 it goes."""
    more = f"{PANELS}}}\nrecipes: {{groove: groove-straight-bit}}\n"
    shop = begun(tmp_path, "mm")
    ran = checked(door(shop, "mm", fields="[{fill: grooved panel}]", more=more))
    assert ran.code == 1 and "(8 mm too much); take a cutter that makes it, or another" in ran.err
    more += "cutters: {straight_bit: straight-bit-12-mm}\n"
    assert checked(door(shop, "mm", fields="[{fill: grooved panel}]", more=more)).code == 0
