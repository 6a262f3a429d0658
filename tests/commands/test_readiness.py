"""What cannot be made or held: `check`, `sheet` and the cover count it and name it.

Each shop here is the larder's with one thing changed; what a machine takes and what hands can hold
is common practice, no source, as the shop's files have it.
"""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from setupsheets.shop.finding import profiles
from tests.doors import begun, blocks, checked, door, printed, put, set_to
from tests.running import run

JOB = Path("jobs/larder.yaml")
EXAMPLES = Path(__file__).parents[2] / "examples"
# What is changed: a file, a piece of its text, and what stands there then.
Change = tuple[str, str, str]


def change(*changes: Change) -> None:
    for file, old, new in changes:
        path = Path(file)
        text = path.read_text(encoding="utf-8")
        assert old in text
        path.write_text(text.replace(old, new, 1), encoding="utf-8")


def test_a_job_that_can_be_made_is_sound_and_its_cover_says_nothing_else(larder: Path) -> None:
    checked = run("check", JOB)
    assert checked.code == 0 and "not ready" not in checked.out + checked.err
    assert run("sheet", "larder", "--format", "md").err == ""
    cover = Path("sheets/larder.md").read_text(encoding="utf-8")
    assert "Not ready" not in cover and "**Proved:**" in cover


def slow_bit() -> None:
    """A cope bit of the shop's own that may turn no faster than 1000 rpm."""
    bit = Path(__file__).parents[2] / "profiles/cutters/cope-ovolo-inch.yaml"
    text = re.sub(r"greatest_speed: \d+", "greatest_speed: 1000", bit.read_text(encoding="utf-8"))
    assert "greatest_speed: 1000" in text
    Path("cutters").mkdir(exist_ok=True)
    Path("cutters/cope-own.yaml").write_text(text, encoding="utf-8")


IMPOSSIBLE: dict[str, tuple[tuple[Change, ...], str]] = {
    "a groove deeper than the blade reaches": (
        (("machines/table-saw.yaml", "greatest: 3\n", "greatest: 1/8\n"),),
        "bar): cannot be made: the table saw, blade height: 1/2 in needed, 1/8 in there, "
        "3/8 in short",
    ),
    "a tenon that meets the bearing": (
        (("jobs/larder.yaml", "notes:", "cutters: {cope_bit: cope-ovolo-bearing-inch}\nnotes:"),),
        "tenon past the cope's root, under bearing and nut",
    ),
    "a cutter that no speed of the machine suits": (
        (("jobs/larder.yaml", "notes:", "cutters: {cope_bit: cope-own}\nnotes:"),),
        "rpm, the maker's limit: do not use it on this machine",
    ),
}  # fmt: skip


@pytest.mark.parametrize("case", IMPOSSIBLE)
def test_what_is_impossible_is_named_and_check_exits_1(larder: Path, case: str) -> None:
    changes, words = IMPOSSIBLE[case]
    slow_bit()
    change(*changes)
    checked = run("check", JOB)
    assert checked.code == 1
    assert words in checked.err and "sound" not in checked.out
    counted = re.search(r"larder.yaml: not ready: (\d+) operations? cannot be made", checked.err)
    assert counted
    named = {line.split(",")[0] for line in checked.err.splitlines() if "cannot be made:" in line}
    assert len(named) == int(counted[1])
    # The sheets are written all the same, and say it in their first line and in the terminal.
    printed = run("sheet", "larder", "--format", "md")
    assert printed.code == 0 and words in printed.err
    title, first = Path("sheets/larder.md").read_text(encoding="utf-8").split("\n\n")[:2]
    assert title == "# Larder cupboard doors"
    assert first.startswith(f"> **Not ready: {counted[1]} operation")
    assert words in Path("sheets/larder.md").read_text(encoding="utf-8").split("## ")[0]
    assert "**Proved:**" not in Path("sheets/larder.md").read_text(encoding="utf-8")


def test_a_part_too_short_to_hold_is_named_and_is_not_impossible(larder: Path) -> None:
    size = ("jobs/larder.yaml", "width: 36 3/8", "width: 22 3/8")
    change(size, ("jobs/larder.yaml", "height: 41 3/4", "height: 13 1/4"))
    checked = run("check", JOB)
    assert checked.code == 0
    assert "the part cannot be held safely as it stands" in checked.out
    assert "sound" not in checked.out
    # In a carrier a quarter of a foot will do (common practice, no source); all of it is one line.
    (line,) = [line for line in checked.err.splitlines() if "too short to hold" in line]
    assert re.search(r"operations [\d–, ]+ \(middle upright bar\): the part is too short to", line)
    assert (
        " hold: 3 in needed, 2 13/16 in there, 3/16 in short; that end sawn and fitted by" in line
    )
    plain = json.loads(run("check", JOB, "--json").out)["files"][0]
    assert plain["sound"] and not plain["ready"] and plain["in_the_way"]
    assert run("sheet", JOB, "--format", "json", "--to", "out").code == 0
    sheet = json.loads(Path("out", "larder.json").read_text("utf-8"))
    assert not sheet["ready"] and sheet["in_the_way"] == plain["in_the_way"]


# Millimetres typed in an inch shop, and a size that is none in either unit.
@pytest.mark.parametrize(
    ("leaf", "words"),
    [
        (
            "{width: 400, height: 900}",
            "leaf.width: 400 in (33.3 ft) is no usual size for a leaf: is 400 mm meant?",
        ),
        (
            "{width: 16, height: 900}",
            "leaf.height: 900 in (75 ft) is no usual size for a leaf: is 900 mm meant?",
        ),
        (
            "{width: 5 7/8, height: 36}",
            "leaf.width: 5 7/8 in (0.49 ft) is no usual size for a leaf: look at the figure",
        ),
    ],
)
def test_check_doubts_a_size_that_no_leaf_has(larder: Path, leaf: str, words: str) -> None:
    text = JOB.read_text(encoding="utf-8")
    start, end = text.index("opening:"), text.index("stiles:")
    text = f"{text[:start]}leaf: {leaf}\n{text[end:]}"
    JOB.write_text(text.replace("columns: 2", "columns: 1"), encoding="utf-8")
    found = run("check", JOB)
    line = next((line for line in found.err.splitlines() if words in line), None)
    assert line is not None, found.err
    assert re.match(r"jobs/larder.yaml:7:\d+: ", line)


def test_ordinary_sizes_are_not_doubted(larder: Path) -> None:
    assert "no usual size" not in run("check", JOB).err


@pytest.mark.parametrize("command", ["check", "parts", "sheet"])
def test_an_unknown_timber_is_told_at_the_jobs_own_line(larder: Path, command: str) -> None:
    change(("jobs/larder.yaml", "timber: black-cherry", "timber: black-cherri"))
    ran = run(command, JOB)
    assert ran.code == 1
    assert "jobs/larder.yaml:5:9: timber: unknown timber 'black-cherri'" in ran.err
    assert "did you mean 'black-cherry'" in ran.err and "timbers:1:1" not in ran.err


@pytest.mark.parametrize(("dry", "code"), [(35, 0), (64, 0), (66, 1), (90, 1)])
def test_dry_air_that_is_damper_than_damp_is_refused(larder: Path, dry: int, code: int) -> None:
    """At one temperature the wood's moisture rises with the air's humidity (Wood Handbook,
    FPL-GTR-190, table 4-2): the damp air here has 65 %."""
    driest = f"dry: {{celsius: 20, humidity: {dry}}}"
    change(("jobs/larder.yaml", "dry: {celsius: 21, humidity: 35}", driest))
    checked = run("check", JOB)
    assert checked.code == code
    assert ("the wrong way round?" in checked.err) is bool(code)
    assert not code or "jobs/larder.yaml:27:8: seasons.dry" in checked.err


@pytest.mark.parametrize(("thickness", "code"), [("1 1/8", 0), ("1 1/4", 1), ("1 1/2", 1)])
def test_a_lock_as_thick_as_its_stile_is_refused(larder: Path, thickness: str, code: int) -> None:
    lock = f"lock: {{above: 20, height: 4, depth: 1 1/2, thickness: {thickness}}}\nnotes:"
    change(("jobs/larder.yaml", "notes:", lock))
    checked = run("check", JOB)
    assert checked.code == code, checked.err
    assert ("expected a lock that goes into the stile" in checked.err) is bool(code)


@pytest.mark.parametrize(("resolution", "told"), [("1/64", False), ("1/16", True)])
def test_a_tolerance_finer_than_its_instrument_is_told(
    larder: Path, resolution: str, told: bool
) -> None:
    """A rule to sixteenths cannot read what may be 1/64 in under or over."""
    change(("shop.yaml", "resolution: 1/64", f"resolution: {resolution}"))
    checked = run("check", JOB)
    assert checked.code == 0
    assert ("the Steel rule to 64ths reads no finer than 1/16 in" in checked.err) is told


def test_what_is_in_the_way_is_a_list_apart_from_the_facts_of_the_job(larder: Path) -> None:
    """CommonMark 0.31, 5.3: another bullet begins another list, so that neither becomes loose."""
    size = ("jobs/larder.yaml", "width: 36 3/8", "width: 22 3/8")
    change(size, ("jobs/larder.yaml", "height: 41 3/4", "height: 13 1/4"))
    assert run("sheet", JOB, "--to", "sheets").code == 0
    page = Path("sheets/larder.html").read_text("utf-8")
    assert "Not ready" in page
    assert "<div><dt>Job</dt> <dd>larder</dd></div>" in page


def test_both_examples_are_ready(tmp_path: Path) -> None:
    for name in ("larder", "vestibule"):
        job = EXAMPLES / name / "jobs" / f"{name}.yaml"
        checked = run("check", job)
        assert checked.code == 0 and ": sound, " in checked.out and not checked.err
        assert run("sheet", job, "--format", "html,json", "--to", tmp_path).code == 0
        assert "Not ready" not in (tmp_path / f"{name}.html").read_text("utf-8")
        sheet = json.loads((tmp_path / f"{name}.json").read_text("utf-8"))
        assert sheet["ready"] and not sheet["in_the_way"]


def test_a_cut_that_cannot_be_drawn_says_why_where_its_drawing_would_be(tmp_path: Path) -> None:
    """A recipe of the shop's own that sets no height: nobody can say what the bit takes."""
    shop = begun(tmp_path, "mm")
    mould = "recipes/sticking-router-table.yaml"
    text = (profiles() / mould).read_text("utf-8").partition("  - name: sticking_depth")[0]
    for was, then in (("      height: {aim: section.sticking.depth}\n", ""),
                      ("setting.height", "10 mm")):  # fmt: skip
        assert was in text
        text = text.replace(was, then)
    put(shop, mould, text)
    job = door(shop, "mm")
    assert "section of stile: does not prove: sticking: its height is not set\n" in checked(job).err
    sheet = printed(job)
    assert "> **Not ready: 2 shapes do not come out on paper as designed.**" in sheet
    assert "![The leaf from outside, 420 mm wide and 820 mm high, with 1 pane. Parts: " in sheet
    block = blocks(sheet)["Mould the sight edge, face down"]
    assert "- **Note** No drawing: sticking: its height is not set.\n" in block
    assert "Before the cut" not in block and set_to(block) == ["10 mm"]
