"""Every command as a new user meets it: help, exit codes, what goes to stdout and to stderr."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from importlib.metadata import version
from itertools import pairwise
from pathlib import Path

import pytest

from setupsheets.commands import blocks
from tests.commands.conftest import full_after
from tests.running import run
from tests.sheets.drawn_lines import Read, overlapping, read

LOG = ("log", "larder", "cope-crosscut-saw/cross-bar-into-stile", "--date", "2026-03-14")

COMMANDS = (
    "begin",
    "list",
    "check",
    "parts",
    "sheet",
    "correct",
    "log",
    "recall",
    "blocks",
    "order",
)


@pytest.mark.parametrize("command", COMMANDS)
def test_help_shows_an_example(command: str) -> None:
    ran = run(command, "--help")
    assert ran.code == 0
    assert f"Example: setupsheets {command}" in ran.out


@pytest.mark.parametrize("unit", ["in", "mm"])
def test_begin_makes_a_shop_that_is_sound_and_prints_sheets(tmp_path: Path, unit: str) -> None:
    folder = tmp_path / "shop"
    assert run("begin", folder, "--unit", unit).code == 0
    checked = run("check", "--shop", folder)
    assert checked.code == 0, checked.err
    assert "shapes come out on paper as designed" in checked.out
    assert run("sheet", folder / "jobs" / "first-door.yaml").code == 0
    page = (folder / "sheets" / "first-door.html").read_text("utf-8")
    assert "First door" in page


def test_begin_overwrites_nothing(tmp_path: Path) -> None:
    (tmp_path / "mine.txt").write_text("mine", "utf-8")
    ran = run("begin", tmp_path)
    assert ran.code == 1
    assert "empty folder" in ran.err
    assert [path.name for path in tmp_path.iterdir()] == ["mine.txt"]


def test_begin_goes_on_with_a_start_that_was_broken_off(tmp_path: Path) -> None:
    whole, half = tmp_path / "whole", tmp_path / "half"
    assert run("begin", whole).code == 0
    shutil.copytree(whole, half)
    shutil.rmtree(half / "machines")
    (half / "jobs" / ".first-door.yaml.0123abcd.tmp").write_text("kind", "utf-8")
    assert run("begin", half).code == 0
    for path in whole.rglob("*"):
        if path.is_file():
            assert (half / path.relative_to(whole)).read_bytes() == path.read_bytes()
    (half / "shop.yaml").write_text("kind: shop\nversion: 1\nmine: 1\n", "utf-8")
    assert run("begin", half).code == 1
    assert "mine: 1" in (half / "shop.yaml").read_text("utf-8")


@pytest.mark.parametrize("room", [0, 1, 5])
def test_begin_leaves_nothing_on_a_full_disk(
    room: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(os, "fsync", full_after(room))
    ran = run("begin", tmp_path / "shop")
    assert ran.code == 1
    assert "the disk is full: make room on it" in ran.err and "[" not in ran.err
    assert not (tmp_path / "shop").exists()


@pytest.mark.skipif(shutil.which("git") is None, reason="git is not here")
def test_git_passes_over_locks_and_temporary_files(tmp_path: Path) -> None:
    """Outside source: git itself."""
    shop = tmp_path / "shop"
    assert run("begin", shop).code == 0
    for name in (".lock", ".a.yaml.0123abcd.tmp", "a.yaml"):
        (shop / "records" / name).write_text("", "utf-8")
    subprocess.run(["git", "init", "-q"], cwd=shop, check=True)
    listed = ["git", "status", "--porcelain", "--untracked-files=all"]
    found = subprocess.run(listed, cwd=shop, capture_output=True, text=True, check=True).stdout
    assert "records/a.yaml" in found and ".lock" not in found and ".tmp" not in found
    assert run("begin", shop).code == 1, "records/a.yaml is a maker's own"


def test_list_says_where_things_come_from(larder: Path) -> None:
    own = larder / "cutters"
    own.mkdir()
    built_in = Path(__file__).parents[2] / "profiles" / "cutters" / "cope-ovolo-inch.yaml"
    (own / built_in.name).write_text(built_in.read_text("utf-8"), "utf-8")
    listed = {
        item["name"]: item["from"]
        for item in json.loads(run("list", "cutters", "--json").out)["things"]
    }
    assert listed["cope-ovolo-inch"] == "the shop, in place of the built-in one"
    assert listed["cope-cove-inch"] == "built in"


@pytest.mark.parametrize(
    ("word", "name"), [("rabbet", "rebate-dado-stack"), ("muntin", "bar-grooved")]
)
def test_list_finds_either_spelling(larder: Path, word: str, name: str) -> None:
    # Common practice, no source: rabbet is the American word for rebate, muntin for glazing bar.
    assert name in [item["name"] for item in json.loads(run("list", word, "--json").out)["things"]]


def test_check_says_where_a_file_is_wrong_and_exits_1(larder: Path) -> None:
    job = larder / "jobs" / "larder.yaml"
    job.write_text(job.read_text("utf-8").replace("count: 2", "cuont: 2"), "utf-8")
    ran = run("check", job)
    assert ran.code == 1
    assert f"{job}:6:1: " in ran.err and "did you mean 'count'?" in ran.err
    assert ran.out == ""


def test_check_names_first_choices_that_there_are_not(larder: Path) -> None:
    shop = larder / "shop.yaml"
    shop.write_text(
        shop.read_text("utf-8").replace("mortiser: mortiser", "mortiser: mortizer"), "utf-8"
    )
    ran = run("check", shop)
    assert ran.code == 1
    (at,) = (
        n for n, line in enumerate(shop.read_text("utf-8").splitlines(), 1) if "mortizer" in line
    )
    assert f"shop.yaml:{at}:" in ran.err and "first_choice.machines.mortiser: " in ran.err
    assert "mortizer" in ran.err and "did you mean 'mortiser'?" in ran.err


def test_check_and_upgrade_leave_files_of_other_programs_alone(larder: Path) -> None:
    others = {".checks.yaml": "repos: []\n", "site.yaml": "nav: [a]\n", "notes/x.yaml": "a: [\n"}
    (larder / "notes").mkdir()
    for name, text in others.items():
        (larder / name).write_text(text, "utf-8")
    (larder / "mine.yaml").write_text("kind: timber\nversion: 1\n", "utf-8")
    ran = run("check", "--upgrade")
    assert "mine.yaml" in ran.err and not [name for name in others if name in ran.err + ran.out]
    assert {name: (larder / name).read_text("utf-8") for name in others} == others
    (larder / "mine.yaml").unlink()
    assert run("check", "--upgrade").code == 0


def test_check_names_a_file_that_no_command_finds_by_its_name(larder: Path) -> None:
    shutil.move(larder / "jobs" / "larder.yaml", larder / "jobs" / "Larder doors.yaml")
    ran = run("check")
    assert ran.code == 0
    assert "'Larder doors' cannot be asked for by name" in ran.err


def test_check_draws_what_does_not_prove(larder: Path) -> None:
    """A rebate a sixteenth too narrow leaves a strip of wood: plane geometry."""
    own = larder / "recipes"
    own.mkdir()
    built_in = Path(__file__).parents[2] / "profiles" / "recipes" / "rebate-dado-stack.yaml"
    text = built_in.read_text("utf-8")
    wrong = text.replace(
        "fence: {aim: section.rebate.width", "fence: {aim: section.rebate.width - 1/16 in"
    )
    assert wrong != text
    wrong = wrong.replace("reads: rebate.fence", "reads: rebate.fence + 1/16 in")
    (own / built_in.name).write_text(wrong, "utf-8")
    ran = run("check", "jobs/larder.yaml", "--draw", larder / "pictures")
    assert ran.code == 1
    assert "does not prove: left over" in ran.err and "1/16 in" in ran.err
    drawn = sorted((larder / "pictures").glob("*.svg"))
    assert drawn and "left over" in drawn[0].read_text("utf-8")
    told = json.loads(run("check", "jobs/larder.yaml", "--json").out)["files"][0]["proofs"]
    assert len(drawn) == sum(not each["holds"] for each in told) < len(told)
    assert all(each["holds"] or each["words"] in ran.err for each in told)
    for path in drawn:
        _points_at_what_is_wrong(read(path))


def _points_at_what_is_wrong(picture: Read) -> None:
    """A ring about each piece that is hatched or black, and a line from its side to its words."""
    (hatch,) = {each.fill for each in picture.areas if each.fill.startswith("url(#")}
    assert hatch == f"url(#{picture.name}-h)" and "face" in {each.words for each in picture.words}
    pieces = [each.shape for each in picture.areas if each.fill in (hatch, "#000")]
    words = [each for each in picture.words if each.words.startswith(("left over: ", "missing: "))]
    assert len(pieces) == len(words) == len(picture.dots)
    for piece, ring, said in zip(pieces, picture.dots, words, strict=True):
        middle = (piece.bounds[0] + piece.bounds[2]) / 2, (piece.bounds[1] + piece.bounds[3]) / 2
        assert ring == pytest.approx(middle, abs=0.02)
        bends = [(ring[0] + 2.2, ring[1]), (said.at[0] - 3, said.at[1] - 1)]
        bends.append((said.at[0] - 1, said.at[1] - 1))
        for one, other in pairwise(bends):
            line = pytest.approx((*one, *other), abs=0.02)
            assert any((*each.start, *each.end) == line for each in picture.lines)
        wood = max(picture.filled("#fff"), key=lambda area: area.area)
        assert said.box[0] > wood.bounds[2] + 5 and said.box[2] < picture.width
        assert said.box[3] < picture.height and wood.bounds[3] < picture.height - 3
    assert list(overlapping(picture)) == []


def test_a_fault_of_the_program_itself_is_told_plainly(
    larder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Python's own words, which a maker can send on whole."""

    def broken(*_: object) -> None:
        raise ZeroDivisionError("by nought")

    monkeypatch.setattr(sys, "excepthook", sys.excepthook)
    monkeypatch.setattr(blocks, "open_shop", broken)
    with pytest.raises(ZeroDivisionError) as found:
        run("blocks", "3/4")
    sys.excepthook(found.type, found.value, found.tb)
    said = capsys.readouterr().err
    assert said.startswith("Traceback (most recent call last):\n")
    assert said.endswith("\nZeroDivisionError: by nought\n")


def test_a_record_that_lies_elsewhere_is_checked_by_itself(larder: Path, tmp_path: Path) -> None:
    assert run(*LOG, "--found", "overall=15 1/8").code == 0
    (record,) = (larder / "records").glob("*.yaml")
    away = Path(shutil.copytree(larder / "records", tmp_path / "away")) / record.name
    checked = run("check", away, "--shop", larder)
    assert (checked.code, checked.err) == (0, "") and f"{away}: sound" in checked.out
    (entry,) = away.with_suffix("").glob("*.yaml")
    entry.write_text(entry.read_text("utf-8").replace("of: overall", "of: overal"), "utf-8")
    checked = run("check", away, "--shop", larder)
    assert checked.code == 1 and "did you mean 'overall'?" in checked.err
    assert run("check", record).code == 0


def test_the_chart_of_a_record_names_its_set_up_and_day(larder: Path) -> None:
    assert run(*LOG, "--found", "overall=15 1/8").code == 0
    assert run("recall", "cope", "--chart", "chart.svg").code == 0
    drawn = (larder / "chart.svg").read_text("utf-8")
    assert ">cope-crosscut-saw/cross-bar-into-stile, 2026-03-14</title>" in drawn
    assert "piece 1" in drawn


def test_what_cannot_be_kept_any_more_says_what_is_kept_of_it(
    larder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The disk is full once the first figure is on it."""
    monkeypatch.setattr(os, "fsync", full_after(2))
    ran = run(*LOG, typed="15 1/8\n14 3/8\n")
    assert ran.code == 1 and "the disk is full" in ran.err
    (record,) = (larder / "records").glob("*.yaml")
    assert f"what was typed before is kept in {record}" in ran.err
    kept = [path.read_text("utf-8") for path in record.with_suffix("").glob("*.yaml")]
    assert sum(text.count("of: ") for text in kept) == 1


@pytest.mark.parametrize(
    ("word", "guess"),
    [
        ("recipies", "'recipes'?"),
        ("timbrs", "'timbers'?"),
        ("coping", "'cope'?"),
        ("mortizer", "'mortiser'?"),
        ("qqqqzz", ""),
    ],
)
def test_a_word_that_nothing_has_is_told_with_the_nearest(
    larder: Path, word: str, guess: str
) -> None:
    ran = run("list", word)
    assert (ran.code, ran.out) == (1, "")
    assert f"the word {word!r}" in ran.err
    assert (f"did you mean {guess}" in ran.err) is bool(guess)
    assert ("did you mean" in ran.err) is bool(guess)


@pytest.mark.parametrize("date", ["14/3/2026", "03-14-2026", "tomorrow", "2026-02-30"])
def test_a_date_that_is_none_is_told_how_to_write_one(larder: Path, date: str) -> None:
    ran = run("recall", "cope", "--date", date)
    said = " ".join(ran.err.replace("│", " ").split())
    assert ran.code == 2 and "write year, month and day, 2026-03-14" in said
    assert "%" not in ran.err


def test_parts_as_json_are_exact(larder: Path) -> None:
    parts = {
        part["name"]: part for part in json.loads(run("parts", "larder", "--json").out)["parts"]
    }
    assert parts["cross bar"]["width"] == {"mm": "1143/40", "words": "1 1/8 in"}


def test_parts_in_the_terminal_show_three_lengths(larder: Path) -> None:
    ran = run("parts", "larder")
    row = next(line for line in ran.out.splitlines() if line.strip().startswith("cross bar"))
    assert "14 1/4 in" in row and "14 3/8 in" in row and "15 1/8 in" in row


def test_the_version_is_that_of_the_package() -> None:
    """As the installed package tells its own, and nothing else."""
    ran = run("--version")
    assert (ran.code, ran.out, ran.err) == (0, f"{version('setupsheets')}\n", "")


def test_what_is_printed_without_a_folder_has_no_drawings_in_it(larder: Path) -> None:
    ran = run("parts", "larder", "--format", "md")
    assert ran.code == 0 and ran.out.startswith("# ") and "<svg" not in ran.out
    ran = run("parts", "larder", "--format", "md", "--to", "out")
    names = {path.name for path in (larder / "out").rglob("*") if path.is_file()}
    assert ran.out.split() == [str(Path("out") / "larder-parts.md")]
    assert "larder-parts.md" in names and any(name.endswith(".svg") for name in names)


def test_sheet_of_one_machine(larder: Path) -> None:
    assert run("sheet", "larder", "--machine", "mortiser", "--format", "json").code == 0
    sheets = json.loads((larder / "sheets" / "larder.mortiser.json").read_text("utf-8"))
    assert {each["machine"] for each in sheets["route"]} == {"mortiser"}


def test_the_sheet_of_one_machine_leaves_the_whole_set_as_it_is(larder: Path) -> None:
    def files() -> dict[Path, bytes]:
        return {path: path.read_bytes() for path in (larder / "sheets").rglob("*.*")
                if path.is_file()}  # fmt: skip

    assert run("sheet", "larder").code == 0
    before = files()
    job = larder / "jobs" / "larder.yaml"
    job.write_text(
        job.read_text("utf-8").replace("rail_mortise: 1 1/2", "rail_mortise: 1 9/16"), "utf-8"
    )
    ran = run("sheet", "larder", "--machine", "mortiser")
    written = [Path(line).name for line in ran.out.split()]
    assert written == ["larder.mortiser.html", "larder.mortiser.md"]
    after = files()
    assert {path: after[path] for path in before} == before
    page = (larder / "sheets" / "larder.mortiser.md").read_text("utf-8")
    drawn = re.findall(r"\]\((larder\.mortiser\.drawings/.*?\.svg)\)", page)
    assert drawn and all((larder / "sheets" / each).is_file() for each in drawn)
    assert len(drawn) == page.count("](")


def test_nothing_but_the_document_goes_to_stdout(larder: Path) -> None:
    """In a process of its own, where a library that prints by itself would be seen."""
    command = [sys.executable, "-m", "setupsheets", "parts", "larder", "--json"]
    ran = subprocess.run(command, capture_output=True, text=True, check=True)
    assert json.loads(ran.stdout)["parts"]


WRONG_USAGE = {
    "no such command": ["sheat", "larder"],
    "no job": ["sheet"],
    "an unknown format": ["sheet", "larder", "--format", "doc"],
    "an unknown machine": ["sheet", "larder", "--machine", "lathe"],
    "an unknown unit": ["begin", "x", "--unit", "ell"],
}


@pytest.mark.parametrize("case", WRONG_USAGE)
def test_wrong_usage_exits_2_without_a_traceback(larder: Path, case: str) -> None:
    ran = run(*WRONG_USAGE[case])
    assert ran.code == 2
    assert ran.out == "" and ran.err and "Traceback" not in ran.err


WRONG_DATA = {
    "an unknown job": (["parts", "lader"], "did you mean 'larder'?"),
    "no record": (["recall", "chamfer"], "No record has all of"),
    "no shop": (["list", "--shop", "jobs"], "begin"),
    "a file that is not there": (["parts", "jobs/nothing.yaml"], "nothing.yaml"),
}


@pytest.mark.parametrize("case", WRONG_DATA)
def test_wrong_data_exits_1_and_says_what_would_be_right(larder: Path, case: str) -> None:
    arguments, wanted = WRONG_DATA[case]
    ran = run(*arguments)
    assert ran.code == 1
    assert wanted in ran.err and "Traceback" not in ran.err
