"""`order` and `blocks` from end to end: the order found and written, the stack that makes a length.

The larder's blocks are sixteenths to a half, 3/4, 1, 2 and 3 in, its shims .002 to .012 in.
"""

from __future__ import annotations

import json
import re
import shutil
from itertools import combinations
from pathlib import Path

import pytest

from setupsheets.files.documents import read_document
from setupsheets.lengths import Length
from setupsheets.shop import finding
from tests.running import run

RECIPE = Path(__file__).parents[2] / "profiles" / "recipes" / "bar-grooved.yaml"


@pytest.fixture
def strip_first(larder: Path) -> Path:
    """A shop's own bar, whose strips would be sawn off before anything is guided by them."""
    text = re.sub(r"^    after: \[.*\n", "", RECIPE.read_text("utf-8"), flags=re.MULTILINE)
    head, groove, sticking, strip = re.split(r"(?m)^(?=  - name: (?:groove|sticking|strip)$)", text)
    end = re.search(r"(?m)^\S", strip)
    assert end is not None
    own = larder / "recipes" / RECIPE.name
    own.parent.mkdir()
    strip, rest = strip[: end.start()], strip[end.start() :]
    own.write_text(head + strip + groove + sticking + rest, "utf-8")
    return own


def operations(path: Path) -> list[str]:
    return re.findall(r"^  - name: (groove|sticking|strip)$", path.read_text("utf-8"), re.MULTILINE)


def test_the_recipe_s_own_order_is_said_to_stand_as_well_as_any(larder: Path) -> None:
    told = json.loads(run("order", "bar-grooved", "--json").out)
    assert told["best"] == told["given"] == ["groove", "sticking", "strip"]
    assert told["better"] is False
    ran = run("order", "bar-grooved", "--write")
    assert "The recipe's own order stands as well as any." in ran.out
    assert not (larder / "recipes").exists(), "nothing is written where nothing is better"


def test_a_recipe_of_one_cut_is_told_in_the_singular(larder: Path) -> None:
    told = run("order", "mortise-chisel").out
    assert told.startswith("On ovolo-frame-inch: 1 cut tried. The best order:\n"), told


def test_a_better_order_is_told_with_its_reason(strip_first: Path) -> None:
    # Common practice, no source: a strip beside a groove stays on as long as it guides.
    ran = run("order", "bar-grooved")
    assert ran.code == 0
    assert "This order stands better than the recipe's own." in ran.out
    assert "groove before strip: the other way round groove tips" in ran.out
    assert operations(strip_first) == ["strip", "groove", "sticking"], "only --write writes"


def test_a_better_order_is_written_and_nothing_else(strip_first: Path) -> None:
    before = read_document(strip_first).data
    ran = run("order", "bar-grooved", "--write")
    assert ran.code == 0 and str(strip_first) in ran.err.replace("\n", "")
    after = read_document(strip_first).data
    assert operations(strip_first) == ["sticking", "groove", "strip"]
    given = before["operations"]
    assert isinstance(given, list)
    assert after == {**before, "operations": [given[place] for place in (2, 1, 0)]}
    assert run("check", strip_first).code == 0
    assert json.loads(run("order", "bar-grooved", "--json").out)["better"] is False


def test_a_built_in_recipe_is_written_into_the_shop_and_stays_as_it_was(
    larder: Path, tmp_path: Path, strip_first: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As if a recipe came with the program whose order another one betters."""
    built_in = tmp_path / "built-in"
    shutil.copytree(RECIPE.parents[1], built_in)
    before = strip_first.read_text("utf-8")
    strip_first.replace(built_in / "recipes" / RECIPE.name)
    monkeypatch.setattr(finding, "profiles", lambda: built_in)
    ran = run("order", "bar-grooved", "--write")
    assert ran.code == 0 and str(strip_first) in ran.err.replace("\n", "")
    assert operations(strip_first) == ["sticking", "groove", "strip"]
    assert (built_in / "recipes" / RECIPE.name).read_text("utf-8") == before
    told = json.loads(run("order", "bar-grooved", "--json").out)
    assert told["given"] == told["best"] and told["better"] is False


def test_the_order_of_a_job_is_the_route_of_its_sheet(larder: Path) -> None:
    """Every operation once, in the order of its number, beneath its machine; and what it saves."""
    ran = run("order", "larder")
    assert ran.code == 0
    numbers: list[int] = []
    for line in re.findall(r"^  ([\d–, ]+)\. ", ran.out, re.MULTILINE):
        for run_of in line.split(", "):
            first, _, last = run_of.partition("–")
            numbers += range(int(first), int(last or first) + 1)
    assert numbers == list(range(1, len(numbers) + 1)) and len(numbers) > 40
    assert run("sheet", "larder", "--format", "md", "--to", "out").code == 0
    sheet = (larder / "out" / "larder.md").read_text("utf-8")
    under = sheet.partition("## Route")[2].partition("\n# ")[0]
    route = re.findall(r"^\| ([\d–, ]+) \| ([^|]+) \| ([^|]+) \|", under, re.MULTILINE)
    machine, told = "", []
    for line in ran.out.splitlines():
        if not line.startswith(" "):
            machine = line
        elif found := re.match(r"  ([\d–, ]+)\. (.*): ", line):
            told.append((found[1], found[2], machine))
    assert told == route
    saved = next(line for line in sheet.splitlines() if " in place of " in line)
    assert saved.split(".")[0] in ran.out


def test_check_says_what_order_finds(strip_first: Path) -> None:
    checked = run("check", strip_first)
    assert checked.code == 0 and "sound" in checked.out
    assert "put them sticking, groove, strip (`setupsheets order` says why)" in checked.err
    (told,) = json.loads(run("check", strip_first, "--json").out)["files"][0]["notices"]
    assert "the part stands better under sticking: put them sticking, groove, strip" in told
    assert run("order", "bar-grooved", "--write").code == 0
    assert run("check", strip_first).err == ""


def test_a_cope_before_its_cheeks_is_called_out_by_order_and_check(larder: Path) -> None:
    """Common practice, no source: a cope bit takes its moulding, and a saw the waste."""
    text = (RECIPE.parent / "cope-router-table.yaml").read_text("utf-8")
    head, back, face, cope, rest = re.split(
        r"(?m)^(?=  - name: (?:back_cheek|face_cheek|cope|haunch)$)", text, maxsplit=4
    )
    own = larder / "recipes" / "cope-router-table.yaml"
    own.parent.mkdir()
    cope = cope.replace("    after: [back_cheek, face_cheek]\n", "")
    own.write_text(head + back + cope + face + rest, "utf-8")
    told = " ".join(run("check", own).err.split())
    assert "in this order cope goes into solid wood" in told
    assert "put them face_cheek, cope, back_cheek" in told
    said = " ".join(run("order", "cope-router-table").out.split())
    assert "face_cheek before cope: the other way round cope goes into solid wood" in said


def test_an_operation_takes_its_comment_to_its_new_place(strip_first: Path) -> None:
    comment = "  # the off-side strip first, then turn the bar"
    text = strip_first.read_text("utf-8")
    strip_first.write_text(text.replace("  - name: strip\n", f"{comment}\n  - name: strip\n"))
    assert run("order", "bar-grooved", "--write").code == 0
    lines = strip_first.read_text("utf-8").splitlines()
    assert lines[lines.index("  - name: strip") - 1] == comment
    assert operations(strip_first) == ["sticking", "groove", "strip"]


def test_a_section_that_the_recipe_is_not_for_is_refused(larder: Path) -> None:
    ran = run("order", "bar-grooved", "--section", "ovolo-frame-inch")
    assert ran.code == 2
    assert "nothing to work on ovolo-frame-inch" in " ".join(ran.err.split())


@pytest.mark.parametrize("length", ["5", "13/16", "17/32", "1/64", "4 11/16"])
def test_a_stack_comes_near_enough_with_the_fewest(larder: Path, length: str) -> None:
    ran = run("blocks", length, "--json")
    assert ran.code == 0, ran.err
    told = json.loads(ran.out)["stack"]
    used = [Length.millimetres(each["mm"]) for each in told["blocks"] + told["shims"]]
    wanted, near = Length(f"{length} in"), Length("1/128 in")
    assert abs(sum(used, Length.ZERO) - wanted) <= near
    # By hand, every smaller choice: none of them comes as near.
    sizes = ("1/16", "1/8", "3/16", "1/4", "5/16", "3/8", "7/16", "1/2", "3/4", "1", "2", "3")
    kit = [Length(f"{size} in") for size in (*sizes, ".002", ".004", ".008", ".012")]
    fewer = (sum(each, Length.ZERO) for n in range(len(used)) for each in combinations(kit, n))
    assert all(abs(total - wanted) > near for total in fewer)


def test_a_stack_in_the_terminal(larder: Path) -> None:
    # 3 + 2 is the only pair of these blocks that makes 5 (plain arithmetic).
    assert run("blocks", "5").out == "3 in + 2 in make 5 in\n"


# By hand: fences go by 0.25 mm there, so 0.125 is near enough, and planer and bits by 0.1: 0.05.
METRIC_STACKS = {
    "10.25": ["10 mm + shim 0.2 mm come 0.05 mm under 10.25 mm"],
    "10.1": [
        "10 mm comes 0.1 mm under 10.1 mm",
        "for what is moved by 0.1 mm: 10 mm + shim 0.1 mm make 10.1 mm",
    ],
}


@pytest.mark.parametrize("length", METRIC_STACKS)
def test_a_stack_is_as_near_as_a_dial_can_be_set(vestibule: Path, length: str) -> None:
    """Not as half of the finest mark of 0.5 mm, from which 10 mm would do for 10.25 mm."""
    assert run("blocks", length).out.splitlines() == METRIC_STACKS[length]
    told = json.loads(run("blocks", length, "--json").out)
    assert [each["move"]["mm"] for each in told["finer"]] == ["1/10"] * (length == "10.1")
    asked = json.loads(run("blocks", length, "--json", "--within", ".25").out)
    assert asked["finer"] == [] and asked["stack"]["total"]["mm"] == "10"


def test_a_mixed_number_is_read_without_quotes(larder: Path) -> None:
    """A shell splits `1 3/16` in two."""
    told = run("blocks", "1", "3/16")
    assert told.code == 0 and told.out == run("blocks", "1 3/16").out
    assert told.out == "3/4 in + 7/16 in make 1 3/16 in\n"


def test_blocks_says_how_far_off_its_stack_is(larder: Path) -> None:
    """29/64 is .4531; 7/16 and a shim of .012 are .4495."""
    ran = run("blocks", "29/64", "--json")
    told = json.loads(ran.out)["stack"]
    laid = (Length.millimetres(each["mm"]) for each in told["blocks"] + told["shims"])
    used = sum(laid, Length.ZERO)
    assert Length.millimetres(told["total"]["mm"]) == used
    assert Length.millimetres(told["off"]["mm"]) == used - Length("29/64 in") != Length.ZERO
    assert abs(used - Length("29/64 in")) <= Length("1/128 in")
    said = run("blocks", "29/64").out
    assert "come .00" in said and " 29/64 in" in said
    assert ("under" in said) is (used < Length("29/64 in"))


@pytest.mark.parametrize(
    ("arguments", "code", "words"),
    [
        (["40"], 1, "No stack of the shop's blocks and shims"),
        (["5/128", "--within", "0"], 1, "No stack of the shop's blocks and shims"),
        (["0"], 2, "more than nought"),
        (["5", "--within=-1/64"], 2, "more than nought"),
        (["five"], 2, "no length"),
    ],
)
def test_what_cannot_be_stacked(larder: Path, arguments: list[str], code: int, words: str) -> None:
    ran = run("blocks", *arguments)
    assert (ran.code, ran.out) == (code, "")
    assert words in " ".join(ran.err.split())
