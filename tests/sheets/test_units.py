"""What is printed is in the shop's own terms: no figure of the other unit, no remainder that reads
as a tolerance."""

from __future__ import annotations

import re
import tempfile
from functools import cache
from pathlib import Path

import pytest

from setupsheets.lengths import Length
from setupsheets.wording.figures import area, glaziers_size, volume, weight
from tests.doors import begun, door
from tests.running import run
from tests.sheets.sheet_plans import JOBS, printed, shop

INCH, METRIC = shop("larder").settings.notation, shop("vestibule").settings.notation


@pytest.mark.parametrize("job", JOBS)
def test_no_remainder_stands_with_a_sign_behind_a_figure(job: str) -> None:
    """`10 mm +0.25` and `25/64 in +.0031` read as tolerances. Those have a space behind + or
    stand behind plus-minus."""
    assert re.findall(r"\b(?:mm|in) [+-]<?\.?\d[^|]*", printed(job)) == []


def test_a_metric_sheet_has_no_tolerance_of_an_inch_shop() -> None:
    tolerances = set(re.findall(r"(?:±|\+|−) (\d+(?:\.\d+)?) mm", printed("vestibule")))
    assert {"0.2", "0.4", "0.8", "1.5"} <= tolerances
    # 1/128 in, 1/64, 1/32, 1/16 and 1/8 in millimetres, cut or rounded
    assert not tolerances & {"0.19", "0.39", "0.79", "1.58", "1.59", "3.17", "3.175", "3.18"}
    assert "304.8" not in printed("vestibule")


def test_a_metric_figure_is_a_decimal() -> None:
    assert METRIC.show(Length("10.25 mm")) == "10.25 mm"
    assert METRIC.show(Length("27/64 in")) == "10.72 mm"  # 10.715625
    assert METRIC.show(Length("10.5 mm")) == "10.5 mm"


@pytest.mark.parametrize(
    ("job", "others"),
    [
        ("larder", r"\d (?:kg|m/s|square metres|cubic metres|mm)\b"),
        ("vestibule", r"\d (?:lb|ft/min|square feet, all|board feet)\b"),
    ],
)
def test_weights_speeds_areas_and_volumes_are_the_shops(job: str, others: str) -> None:
    found = re.findall(rf".{{30}}{others}", _without_rules(printed(job)))
    assert found == []


def _without_rules(page: str) -> str:
    """Without what is cited: a rule is quoted in its own unit."""
    cited = (
        r"Approved Document K|16 CFR|HSE|rule of thumb says|\([\d.]+ mm\)|common practice|OSHA|Wood"
    )
    return "\n".join(line for line in page.splitlines() if not re.search(cited, line))


def test_the_exact_conversions() -> None:
    """1 lb is 0.45359237 kg, 1 ft 0.3048 m (agreement of 1 July 1959); a board foot is 144 in3."""
    assert weight(45.359237, INCH) == "100 lb" and weight(45.359237, METRIC) == "45 kg"
    assert area(0.09290304 * 9.2, INCH) == "9.2 square feet"
    assert area(0.09290304 * 9.2, METRIC) == "0.85 square metres"
    assert volume(10, 0.0236, INCH) == "10.0 board feet"
    assert volume(10, 0.0236, METRIC) == "0.0236 cubic metres"


@pytest.mark.parametrize(
    ("size", "inch", "metric"),
    [
        ("10 41/64 in", "10 5/8 in", "270 mm"),
        ("10 5/8 in", "10 5/8 in", "269 mm"),
        ("154 mm", "6 1/16 in", "154 mm"),
    ],
)
def test_glass_is_ordered_to_the_mark_it_is_cut_to_and_never_larger(
    size: str, inch: str, metric: str
) -> None:
    """10 41/64 in is 270.27 mm, 10 5/8 in 269.875 mm, 154 mm 6.063 in."""
    assert glaziers_size(Length(size), INCH) == inch
    assert glaziers_size(Length(size), METRIC) == metric


def test_the_printed_order_has_whole_marks_alone() -> None:
    for job, mark in (("larder", r"(?:/16|/8|/4|/2| \d+|\d) in"), ("vestibule", r"\d mm")):
        block = printed(job).split("Glass to order")[1].split("\n## ")[0]
        sizes = [row.split("|")[2] for row in block.splitlines() if row.startswith("| ")][2:]
        assert sizes
        assert all(re.search(f"{mark} ×", size) and "." not in size for size in sizes)


OFF_THE_MARKS = """
count: 2
opening:
  width: 677 mm
  height: 1571 mm
  clearances: {top: 3.1 mm, hinge: 1.7 mm, lock: 4.9 mm, bottom: 6.3 mm}
  lock_bevel: 3
hinges: {length: 89 mm, closed: 3.3 mm, count: 3, from_top: 177 mm, from_bottom: 279 mm}
stiles: {section: ovolo-frame-metric, width: 63.7 mm, horn: 26 mm}
rails:
  - {name: top rail, section: ovolo-frame-metric, width: 75.9 mm, haunch: 19.4 mm}
  - {name: lock rail, section: ovolo-frame-metric, width: 140.1 mm}
  - {name: low rail, section: ovolo-frame-metric, width: 183.9 mm, haunch: 25.1 mm,
     twin_gap: 31.3 mm}
bars: {section: ovolo-bar-metric, through: halved}
joints: {rail_mortise: 44.1 mm, bar_mortise: 19.2 mm, bar_in_bar_mortise: 13.3 mm, gap: 1.4 mm}
glazing: {thickness: 3.9 mm, clearance: 2.9 mm, bedding: 1.8 mm}
panels: {thickness: 15.7 mm, groove_width: 9.7 mm, groove_depth: 11.3 mm, clearance: 3.3 mm,
  border: 44.7 mm}
lock: {above: 877 mm, height: 153 mm, depth: 31.9 mm, thickness: 15.9 mm}
stock: {lengths: [2440 mm, 3050 mm], kerf: 3.4 mm, trim: 51 mm}
allowances: {length: 26 mm, width: 6.1 mm, thickness: 3.3 mm}
seasons:
  made: {celsius: 20, humidity: 45}
  dry: {celsius: 21, humidity: 35}
  damp: {celsius: 20, humidity: 65}
"""
FIELDS = """
  - {fill: glass, rows: 2, columns: 3}
  - {fill: grooved panel, sight_height: 239.8 mm}"""
SMALL = re.compile(
    r"(?:± |shim |comes? |(?:binds|open|grows) by |room for |with |likely within |reading is "
    r"|the leaf |\| −|degrees: |square \| |degrees \| |off the back by |edge and )"
    r"(\.\d+ in)(?! (?:full|scant))"
    r"|(\.\d+ in)(?= (?:less|wider|narrower|too (?:long|short|little)|past the sight edge)\b)"
    r"|(?<=\| \+)(\.\d+ in \|.*)$",
    re.MULTILINE,
)
"""Where a tolerance, a spread, a gap or an error is told, which a feeler or a caliper measures."""


@cache
def off_the_marks() -> str:
    """All that an inch shop prints and draws for a door that is drawn in millimetres, its sections
    too, so that hardly any size of it is one that a rule has."""
    with tempfile.TemporaryDirectory() as folder:
        shop = begun(Path(folder), "in")
        job = door(shop, "in", fields=FIELDS, more=OFF_THE_MARKS)
        assert run("sheet", job, "--to", shop / "out", "--format", "md").code == 0
        assert run("rod", job, "--to", shop / "out").code == 0
        assert run("parts", job, "--format", "csv", "--to", shop / "out").code == 0
        labels = run("parts", job, "--format", "labels").out.partition("<body>")[2]
        files = [shop / "out" / "door.md", *sorted((shop / "out").rglob("*.[sc][vs][gv]"))]
        drawn = "\n".join(path.read_text("utf-8") for path in files) + labels
        return re.sub(r"<[^>]+>", "\n", drawn).replace("\u00a0", " ").replace("\\", "")


def test_sizes_are_told_by_the_rule_and_what_is_small_as_a_decimal() -> None:
    """A size is its nearest mark and what it is over or under, for nobody finds `.609 in` on a rule
    (common practice, no source); what a feeler gauge says is never told by the mark."""
    text = off_the_marks()
    sizes = SMALL.sub("", text)
    decimal = r".{0,60}(?<!full by )(?<!scant by )(?<![\d.])\d*\.\d+ in\b.{0,20}"
    assert re.findall(decimal, sizes) == []
    assert len(SMALL.findall(text)) > 60 and text.count(" full by ") > 100
    apart = r"(?:±|comes?|by|degrees:|degrees \||edge and) \d+/\d+ in (?:full|scant) by .*"
    assert re.findall(apart, text) == []
