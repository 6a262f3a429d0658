"""Sentences that makers did not understand are gone from what is printed, and what stands in their
place says what to do."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from setupsheets.files.places import data_folder
from setupsheets.shop.machine_kinds import MachineType
from tests.running import run
from tests.sheets.other_door import made
from tests.sheets.sheet_plans import JOBS, content, plan, printed

# Read by makers and not understood, or found odd.
PUZZLING = (
    "nothing slipped",
    "has been put right",
    "it alone explains",
    "moments looked at",
    "test piece of then",
    "is on no mark of the shop",
    "before the cutter",
    "value from memory",
    "things proved",
    "**Inputs**",
    "Lost by it",
    "Must fill",
    "rounded by itself",
    "broken bars",
    "can at the very worst",
    "of the Thickness planer",
    "length to hold it by",
)


@pytest.mark.parametrize("job", JOBS)
@pytest.mark.parametrize("words", PUZZLING)
def test_no_sheet_says_what_nobody_understands(job: str, words: str) -> None:
    assert words.lower() not in printed(job).lower()


@pytest.mark.parametrize("job", JOBS)
def test_common_practice_is_said_once_a_sheet(job: str) -> None:
    """Once on the cover and once for each machine, as each lies at its own machine."""
    page = printed(job)
    said = page.count("the others are common practice")
    assert said == 1 + len(content(job).machines)
    assert page.count("*common practice*") == 0


def test_a_source_stands_beside_its_caution() -> None:
    page = printed("vestibule")
    assert "*OSHA 29 CFR 1910.213(c) and (d); HSE (UK) rip saw guidance*" in page
    assert "*OSHA 29 CFR 1910.213(h)*" in page


ADVICE = "stops short of an end is advised against on a circular saw"


def test_the_examples_make_no_stopped_cut_on_a_saw() -> None:
    """HSE (UK) information sheet 16, as quoted by others, advises against it. The vestibule's
    rebate and groove stop in the stiles: its shop makes both on the router table."""
    for job in JOBS:
        page = printed(job)
        stopped = [each for each in plan(job).operations if each.stops]
        assert {each.machine.type for each in stopped} <= {MachineType.ROUTER_TABLE}
        assert ADVICE not in page
    assert any(each.stops for each in plan("vestibule").operations)


def test_the_saws_own_way_is_kept_and_prints_the_advice(tmp_path: Path) -> None:
    """With the cut, or once for all such cuts at the head of their machine's sheet."""
    shutil.copytree(Path(__file__).parents[2] / "examples/vestibule", tmp_path / "shop")
    job = tmp_path / "shop/jobs/vestibule.yaml"
    saw = "recipes: {groove: groove-table-saw, rebate: rebate-two-saw-cuts}\n"
    job.write_text(job.read_text(encoding="utf-8") + saw, encoding="utf-8")
    assert run("sheet", job, "--to", tmp_path, "--format", "md").code == 0
    page = (tmp_path / "vestibule.md").read_text(encoding="utf-8")
    saw = next(each for each in page.split("\n# ") if each.startswith("Table saw"))
    head, *blocks = saw.split("\n## ")
    told = next((line for line in head.splitlines() if ADVICE in line), "")
    lowered = [block for block in blocks if "lower the part on" in block]
    assert len(lowered) > 1
    for block in lowered:
        number = block.removeprefix("**").partition("**")[0]
        said = told if re.search(rf"\*\*.*\b{number}\b.*\*\*", told) else block
        assert ADVICE in said and "router table" in said


def test_no_wording_or_caution_tells_to_take_it_from_memory() -> None:
    for path in (data_folder("profiles") / "cautions").glob("*.yaml"):
        assert "from memory" not in path.read_text(encoding="utf-8")


HOLES = re.compile(
    r".*(?:[;:,(] ?[;,:)]|[;:,( ]\.(?!\d)|[^|\s]  +[^|\s]| [,;:)]|\.\.|\( |[;:,(] ?\||[;:,(]$"
    r"|\*\* ?\*\*(?!\w)).*",
    re.MULTILINE,
)


@pytest.mark.parametrize("job", [*JOBS, "other"])
def test_no_sentence_has_a_hole_where_a_word_should_stand(job: str) -> None:
    """Nowhere do two marks meet, is a space doubled, or does a mark stand apart or at the end."""
    page = made().sheet if job == "other" else printed(job)
    text = re.sub(r"^\|[-:| ]+\|$|!\[.*?\]\(.*?\)", "", page, flags=re.MULTILINE)
    assert HOLES.findall(text) == []


HEADS = """
Parts to get out: Part, How many, Finished length, overall
Test pieces: Set-up, Test pieces, Like the, Leave the first blanks longer by
Route: No., Operation, Machine, Parts, Test or go
Three lengths: Part, How many, Wide, Thick, Face, Back, Overall
Lights, between rebates: Field, Direction, Lights between rebates, Sight size, Edges of the tongues
From the opening: Edge of the leaf, Left open, Bevel, Narrower by, at the other face
Spacer blocks, between sight edges on the face: Field, Direction, Blocks, Between them, \
All together, Blocks as marked come out
Story stick: stile: No., Mark, At, To, Size
Story stick: top rail: No., Mark, At, To, Size
Story stick: lock rail: No., Mark, On, At, To, Size
Story stick: bottom rail: No., Mark, At
Story stick: end cross bar: No., Mark, At
Story stick: middle cross bar: No., Mark, At
Story stick: upright bar: No., Mark, On, At, To, Size
Cut list: Piece, How many, Finished, Rough, First blank
Boards to buy: Wide × thick, rough, Boards, Long, Left over, each, Cut into
What the seasons do: What, As made, Driest, Dampest, Room to grow, Covered if it shrinks
Glass to order: How many, Width × height to order, Thick, Tolerance, Opening, Field
Panels to make, grain upright: How many, Width × height, Thick, What, Opening, Field
Beads, mitred: Field, How many, Long side, Width × depth
What to measure before glue: Measure, Should be, Within, leaf 1, leaf 2
How the joints may come out: Fit, Of, Aimed at, Likely, At worst, Most of it from
""".replace("\\\n", "")


def test_every_table_of_the_cover_and_the_parts_has_its_heads() -> None:
    """Of a door that has them all; a column that would be empty is left out."""
    found = re.findall(r"^##+ ([^*\n]+)\n(?:(?!#).*\n)*?\|(.*)\|\n\| -", made().sheet, re.MULTILINE)
    told = [f"{title}: {', '.join(map(str.strip, heads.split('|')))}" for title, heads in found]
    assert told == HEADS.strip().splitlines()


TITLES = {
    "door": "Another door: one leaf, from outside",
    "section": "Another door: section of stile, lock rail and bottom rail at the sight edge",
    "measure": "Operation 21: where to measure",
    "operation": "Operation 34: Back cheek and shoulder, face down",
    "stops": "Operation 58: tape marks, stile, lower end first",
    "ramp": "Operation 58: the ramp at a stopped end",
    "stick": "Story stick of the stile",
}


def test_every_kind_of_drawing_says_what_it_is() -> None:
    """To who cannot see it: the first of each kind, in the order in which they stand."""
    named = r'<svg[^>]*\bid="([a-z]+)[^"]*"[^>]*><title[^>]*>(.*?)</title>'
    told: dict[str, str] = {}
    for kind, title in re.findall(named, made().page):
        told.setdefault(kind, title)
    assert told == TITLES
