"""The route as it is printed: what it saves is counted again from the paper, and what recipes ask
for is read from their files by themselves."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from ruamel.yaml import YAML

from setupsheets.machining.findings import findings_of
from setupsheets.machining.plan import plan_of
from setupsheets.shop.finding import Shop
from tests.doors import SECTION, SIZES, begun, door
from tests.running import run

ROOT = Path(__file__).resolve().parents[2]
BARS = {"in": "ovolo-bar-inch", "mm": "ovolo-bar-metric"}
DEEP = {"in": ("3/4", "17/32"), "mm": ("20", "15")}
EXAMPLES = ("vestibule",)
OTHERS = ("in on the router table", "mm halved")
"""Other doors with bars: all tenons made on the router table, the bars halved."""


def other_door(folder: Path, unit: str, more: str) -> Path:
    deep, deep_in_bar = DEEP[unit]
    size, through = SIZES[unit], "halved" if more == "halved" else "cross"
    lines = (
        f"bars: {{section: {BARS[unit]}, through: {through}}}\n"
        f"joints: {{rail_mortise: {size['deep']}, bar_mortise: {deep},"
        f" bar_in_bar_mortise: {deep_in_bar}, gap: {size['gap']}}}\n"
    )
    if more == "on the router table":
        lines += "recipes: {cope: cope-router-table}\n"
    fields = "[{fill: glass, rows: 3, columns: 2}]"
    return door(begun(folder, unit), unit, SECTION[unit], fields, lines)


@pytest.fixture(scope="module", params=[*EXAMPLES, *OTHERS])
def job(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder, name = tmp_path_factory.mktemp("route"), str(request.param)
    if name not in EXAMPLES:
        unit, _, more = name.partition(" ")
        return other_door(folder, unit, more)
    shutil.copytree(ROOT / "examples" / name, folder / name)
    return folder / name / "jobs" / f"{name}.yaml"


@pytest.fixture(scope="module")
def by_joints(job: Path) -> Path:
    """The same job in a shop of its own, joint by joint."""
    shop = job.parents[1]
    copy = shop.with_name(f"{shop.name}-by-joints")
    shutil.copytree(shop, copy)
    found = copy / "jobs" / job.name
    found.write_text(found.read_text("utf-8") + "route: joint by joint\n", "utf-8")
    return found


@dataclass(frozen=True)
class Row:
    """One figure to set, as printed: the number of its operation, what is set, and since when it
    stands so."""

    number: int
    title: str
    figure: str
    since: int | None


@dataclass(frozen=True)
class Paper:
    """What a maker reads off a printed route: by operation its machine, its cutter, whether that is
    in already, and what its passes move; the rows of figures; the parts of every line."""

    text: str
    machine: Mapping[int, str]
    cutter: Mapping[int, tuple[str, bool]]
    passes: Mapping[int, str]
    rows: tuple[Row, ...]
    parts: Mapping[int, list[str]]

    @property
    def order(self) -> list[int]:
        return sorted(self.machine)


def expanded(numbers: str) -> list[int]:
    spans = (each.partition("–") for each in re.findall(r"[\d–]+", numbers))
    return [
        number for first, _, last in spans for number in range(int(first), int(last or first) + 1)
    ]


@cache
def paper(job: Path) -> Paper:
    ran = run("sheet", job, "--format", "md", "--to", job.parents[1] / "out")
    assert ran.code == 0, ran.err
    text = (job.parents[1] / "out" / f"{job.stem}.md").read_text("utf-8")
    machine, cutter, passes, parts = {}, {}, {}, {}
    rows: list[Row] = []
    route = text.partition("## Route")[2].partition("\n# ")[0]
    lines = re.findall(r"^\| ([\d–]+) \| .*? \| (.*?) \| (.*?) \| .*? \|$", route, re.MULTILINE)
    for numbers, title, names in lines:
        for number in expanded(numbers):
            machine[number] = title
            parts[number] = [name for name in re.split(r", | and ", names) if name]
    for block in re.split(r"^## \*\*(?=[\d–, ]+\*\* )", text, flags=re.MULTILINE)[1:]:
        numbers = expanded(block.partition("**")[0])
        found = re.search(r"^- \*\*Cutter\*\* (.*?)(?:, (put in for|in the machine from) (.*))?$",
                          block, re.MULTILINE)  # fmt: skip
        for number in numbers:
            passes[number] = " ".join(re.findall(rf"^(?:- \*\*Passes\*\*|\| {number} \|) .*$",
                                                 block, re.MULTILINE))  # fmt: skip
            if found:
                put_in = {"put in for": expanded((found[3] or "").partition("operation")[2]),
                          "in the machine from": []}.get(found[2], numbers[:1])  # fmt: skip
                cutter[number] = (found[1], number not in put_in)
        rows += list(_rows(block, numbers))
    return Paper(text, machine, cutter, passes, tuple(rows), parts)


def _rows(block: str, numbers: list[int]) -> Iterator[Row]:
    for line in re.findall(r"^\|.*\. \*By .*$", block, re.MULTILINE):
        bold = re.search(r"\| \*\*([^*]+)\*\*(?: leave it as it is from operation (\d+))? \|", line)
        assert bold, line
        first, second, *_ = (each.strip() for each in line.strip("|").split("|"))
        number, title = (int(first), second) if len(numbers) > 1 else (numbers[0], first)
        title = title.partition(". *")[0].removesuffix(", spacer counted in")
        yield Row(number, title, bold[1], int(bold[2]) if bold[2] else None)


def counted(paper: Paper, counts: Mapping[str, int]) -> tuple[int, int, int]:
    """Figures and cutters to set, changes of machine and parts carried, from the paper alone."""
    to_set = sum(row.since is None for row in paper.rows)
    cutters = sum(not there for _, there in paper.cutter.values())
    order = paper.order
    changes = sum(paper.machine[one] != paper.machine[other] for one, other in pairwise(order))
    moves, lies = 0, dict[str, str]()
    for number in order:
        names = list(counts) if paper.parts[number] == ["all parts"] else paper.parts[number]
        for name in names:
            carried = lies.get(name, paper.machine[number]) != paper.machine[number]
            moves += counts.get(name, 1) * carried
            lies[name] = paper.machine[number]
    return to_set + cutters, changes, moves


def parts_told(text: str) -> dict[str, int]:
    table = text.partition("## Parts to get out")[2].partition("\n## ")[0]
    rows = re.findall(r"^\| (.*?) \| (\d+) \| ", table, re.MULTILINE)
    return {name: int(count) for name, count in rows}


def said(text: str) -> list[list[int]]:
    """The three figures of the sentence, each with what it stands in place of."""
    line = re.search(r"^(\d+ settings and cutters to set .*)$", text, re.MULTILINE)
    assert line, text
    first = re.search(r"^(\d+) settings and cutters to set(?: in place of (\d+))?", line[1])
    second = re.search(r"(\d+) changes of machine(?: in place of (\d+))?", line[1])
    third = re.search(r"another machine (\d+) times(?: in place of (\d+))?", line[1])
    assert first and second and third
    return [[int(each[1]), int(each[2] or each[1])] for each in (first, second, third)]


def test_what_is_saved_is_counted_from_the_paper(job: Path, by_joints: Path) -> None:
    solved, one_by_one = paper(job), paper(by_joints)
    counts = parts_told(solved.text)
    assert "in place of" not in one_by_one.text.partition("## Route")[2].partition("| No.")[0]
    figures = zip(counted(solved, counts), counted(one_by_one, counts), strict=True)
    assert said(solved.text) == [list(each) for each in figures]
    assert counted(solved, counts) < counted(one_by_one, counts)
    assert "No order takes less" in solved.text


def test_the_larder_walks_half_as_often() -> None:
    """27 changes of machine joint by joint, counted by hand; a blade height for each of three back
    cheeks, a bit height for each of three copes, a mortise fence at each of three depths: once."""
    out = run("order", ROOT / "examples/larder/jobs/larder.yaml").out
    assert " 14 changes of machine in place of 27," in out
    told = json.loads(run("order", ROOT / "examples/larder/jobs/larder.yaml", "--json").out)
    for operation, setting in (("back_cheek", "height"), ("cope", "height"), ("chop", "fence")):
        left = [each["left_from"].get(setting) for each in told["route"]
                if each["operation"] == operation]  # fmt: skip
        assert len(left) == 3 and left[0] is None and left[1] == left[2] is not None


def test_what_is_left_as_it_is_stands_so_on_the_paper(job: Path) -> None:
    solved = paper(job)
    left = [row for row in solved.rows if row.since is not None]
    assert left
    for row in left:
        assert row.since is not None
        between = [number for number in solved.order if row.since <= number <= row.number
                   and solved.machine[number] == solved.machine[row.number]]  # fmt: skip
        assert len({solved.cutter[number][0] for number in between}) == 1
        for number in between:
            same = [each.figure for each in solved.rows
                    if each.number == number and each.title == row.title]  # fmt: skip
            assert same == [row.figure]
            moved = re.search(r" \d+: (height|fence) ", solved.passes[number])
            assert not (moved and moved[1] in row.title.lower())
        first = [each for each in solved.rows
                 if each.number == row.since and each.title == row.title]  # fmt: skip
        assert [each.since for each in first] == [None]


@cache
def recipe(name: str) -> dict[str, Any]:
    found = YAML(typ="safe").load((ROOT / "profiles/recipes" / f"{name}.yaml").read_text("utf-8"))
    assert isinstance(found, dict)
    return found


OPENED, MOULDED = ("mortise", "halving"), ("sticking", "bar", "rebate", "groove")


def test_every_part_goes_through_its_recipes_as_they_say(job: Path) -> None:
    """`after` and readings from the recipes' own files; ends and mortises before the edges that
    they break out of, blanks before all (common practice, no source)."""
    route = json.loads(run("order", job, "--json").out)["route"]
    assert [each["number"] for each in route] == list(range(1, len(route) + 1))
    checked = 0
    for then in route:
        of = recipe(then["set_up"].partition("/")[0])
        asks = next(each for each in of["operations"] if each["name"] == then["operation"])
        for first in route:
            if not set(first["parts"]) & set(then["parts"]):
                continue
            makes = recipe(first["set_up"].partition("/")[0])["makes"], of["makes"]
            early = first["number"] < then["number"]
            if first["set_up"].partition("/")[0] == then["set_up"].partition("/")[0]:
                same = of["makes"] == "blank" or first["set_up"] == then["set_up"]
                if same and first["operation"] in asks.get("after", ()):
                    assert early, (first, then)
                    checked += 1
                if same and _is_read(of, first["operation"], then["operation"]):
                    assert early, (first, then)
            elif makes[0] == "blank" or (makes[0] in OPENED and makes[1] in MOULDED):
                assert early, (first, then)
                checked += 1
    assert checked > 40


def _is_read(of: Mapping[str, Any], first: str, then: str) -> bool:
    """Whether a reading after one operation has a setting of another in it."""
    readings = (each for each in of.get("measures", ()) if each["after"] == then)
    return first != then and any(
        re.search(rf"\b{first}\.", str(each["reads"])) for each in readings
    )


@pytest.mark.parametrize(
    ("job", "mortise", "ends"),
    [
        ("larder", "stile-for-bottom-rail", "top-rail-into-stile"),
        ("larder", "stile-for-cross-bar", "cross-bar-into-stile"),
        ("larder", "cross-bar-for-upright-bar", "end-upright-bar-into-cross-bar"),
        ("vestibule", "stile-for-bottom-rail", "top-rail-into-stile"),
        ("vestibule", "stile-for-end-cross-bar", "end-cross-bar-into-stile"),
        ("vestibule", "upright-bar-for-cross-bar", "middle-cross-bar-into-upright-bar"),
    ],
)
def test_a_mortise_is_measured_before_the_tenon_that_fits_it_is_cut(
    job: str, mortise: str, ends: str
) -> None:
    """The tenon is cut to the mortise as the chisel made it: common practice, no source."""
    told = json.loads(run("order", ROOT / "examples" / job / "jobs" / f"{job}.yaml", "--json").out)
    numbers = {(each["set_up"], each["operation"]): each["number"] for each in told["route"]}
    chopped = numbers[f"mortise-chisel/{mortise}", "chop"]
    assert chopped < numbers[f"cope-crosscut-saw/{ends}", "back_cheek"]


def test_nothing_stands_less_steadily_than_joint_by_joint(job: Path, by_joints: Path) -> None:
    def margins(job: Path) -> dict[tuple[str, str], list[float]]:
        shop = Shop.around(job)
        made = plan_of(shop.job(job.stem), shop)
        found = findings_of(made, shop.settings, hard=True).operations
        return {(each.task.set_up.name, each.task.operation.name):
                [support.margin for support in each.supports] for each in found}  # fmt: skip

    assert margins(job) == margins(by_joints)


def test_joint_by_joint_finishes_one_set_up_before_the_next(by_joints: Path) -> None:
    route = json.loads(run("order", by_joints, "--json").out)
    turns = [each["set_up"] for each in route["route"]]
    assert len({*turns}) == 1 + sum(one != other for one, other in pairwise(turns))
    assert route["least"] is None
    assert route["comes_to"] == route["joint_by_joint"]


def test_a_name_that_is_neither_recipe_nor_job_is_told_with_the_nearest(tmp_path: Path) -> None:
    shop = begun(tmp_path, "in")
    ran = run("order", "bar-groved", "--shop", shop)
    assert ran.code == 1
    assert "unknown recipe or job 'bar-groved'; did you mean 'bar-grooved'" in ran.err


@pytest.mark.parametrize("option", [["--write"], ["--section", "ovolo-bar-inch"]])
def test_what_goes_with_a_recipe_is_refused_for_a_job(tmp_path: Path, option: list[str]) -> None:
    ran = run("order", door(begun(tmp_path, "in"), "in"), *option)
    assert ran.code == 2
    assert "door.yaml is a job; this goes with a recipe" in " ".join(ran.err.split())


def test_a_dial_that_a_test_put_right_is_left_so_for_the_joints_after_it(tmp_path: Path) -> None:
    """The first back cheek's height is moved by 1/64 in (3/4 less 1/64 is 47/64): the next two are
    cut at that height, not at the aim, and a mortise's depth, set for each, is left alone."""
    shutil.copytree(ROOT / "examples" / "larder", tmp_path / "larder")
    job = tmp_path / "larder" / "jobs" / "larder.yaml"
    first = "cope-crosscut-saw/top-rail-into-stile"
    log = ("log", job, first, "--date", "2026-03-14", "--found", "face_to_tenon=.375", "--found")
    assert run(*log, "tenon_thickness=.36").code == 0
    moved = run(*log, "tenon_thickness=.377", "--did", "back_cheek.height=-1/64")
    assert moved.code == 0, moved.err
    rows = paper(job).rows
    found = [row for row in rows if row.title == "Blade above the table"]
    back = found[0].number
    assert [(row.figure, row.since) for row in found[:3]] == [
        ("47/64 in", None), ("47/64 in", back), ("47/64 in", back),
    ]  # fmt: skip
    assert f"as it stood for operation {back}, 2026-03-14" in paper(job).text
    assert [row.figure for row in rows if row.title == "Depth stop"] == ["1 1/2 in", "7/8 in",
                                                                         "17/32 in"]  # fmt: skip
    # The next joint's own record begins with the dial as it stands.
    second = ("log", job, "cope-crosscut-saw/cross-bar-into-stile", "--date", "2026-03-14")
    assert "back cheek: height 47/64 in" in run(*second, "--found", "overall=15 1/8").out


def test_a_dial_that_is_left_goes_along_with_its_aim(tmp_path: Path) -> None:
    """The tenons become .005 in thicker after the first back cheek was put right by 1/64 in: what
    it leaves is 47/64 in and .005 in over, for the joints after it as for itself."""
    shutil.copytree(ROOT / "examples" / "larder", tmp_path / "larder")
    job = tmp_path / "larder" / "jobs" / "larder.yaml"
    first = "cope-crosscut-saw/top-rail-into-stile"
    log = ("log", job, first, "--date", "2026-03-14", "--found", "face_to_tenon=.375", "--found")
    assert run(*log, "tenon_thickness=.36").code == 0
    moved = ("--did", "back_cheek.height=-1/64")
    assert run(*log, "tenon_thickness=.377", *moved).code == 0
    ends = ("top rail", "bottom rail", "cross bar", "end upright bar", "middle upright bar")
    made = ", ".join(f"{name}: {{mortise_width: .380}}" for name in ends)
    job.write_text(job.read_text("utf-8") + f"as_made: {{{made}}}\n", "utf-8")
    rows = [row for row in paper(job).rows if row.title == "Blade above the table"]
    assert {row.figure for row in rows[:3]} == {"47/64 in full by .005 in"}
