"""What the command line says of what it does not know, and of places in files.

The project's own wording, no outside source.
"""

from __future__ import annotations

import shutil
import sys
from pathlib import Path

import pytest
from pytest import MonkeyPatch

from setupsheets.commands import recall as recall_command
from tests.commands.conftest import EXAMPLES
from tests.commands.test_bench import CROSS_BAR, RIGHT, found
from tests.running import run

LOG = ("log", "larder", CROSS_BAR)


@pytest.mark.parametrize(
    ("asked", "meant"),
    [
        (("sheet", "lardr"), "did you mean 'larder'?"),
        (("sheet", "larder", "--machine", "morticer"), "did you mean 'mortiser'?"),
        (("sheet", "larder", "--format", "html,dpf"), "did you mean 'pdf'?"),
        (("sheet", "larder", "--paper", "leter"), "did you mean 'Letter'?"),
        (("parts", "larder", "--format", "cvs"), "did you mean 'csv'?"),
        (("rod", "larder", "--format", "dxff"), "did you mean 'dxf'?"),
        (("rod", "larder", "--paper", "rol"), "did you mean 'roll'?"),
        (("begin", "new", "--example", "lardr"), "did you mean 'larder'?"),
        (("order", "cope-croscut-saw"), "did you mean 'cope-crosscut-saw'?"),
        (("order", "bar-grooved", "--section", "ovolo-bar-inc"), "did you mean 'ovolo-bar-inch'?"),
        (("check", "jobs/lardr.yaml"), "did you mean 'larder.yaml'?"),
        (("log", "larder", "cope-crosscut-saw/crossbar"), f"did you mean '{CROSS_BAR}'?"),
        ((*LOG, "--found", "overal=1"), "did you mean 'overall'?"),
        ((*LOG, "--by", "calliper", "--found", "overall=1"), "did you mean 'caliper'?"),
        ((*LOG, "--dialled", "cope.fense=1"), "did you mean 'cope.fence'?"),
        (("list", "recipies"), "did you mean 'recipes'?"),
        (("list", "jb", "--keys"), "did you mean 'job'?"),
        (("shet", "larder"), "Did you mean 'sheet'?"),
        (("sheet", "larder", "--formt", "md"), "--format"),
        ((*LOG, "--verdict", "prooved"), "'open', 'proved', 'out of reach', 'given up'"),
        (("begin", "new", "--unit", "inch"), "'in', 'mm'"),
    ],
)
def test_an_unknown_name_guesses(larder: Path, asked: tuple[str, ...], meant: str) -> None:
    ran = run(*asked)
    assert ran.code in (1, 2) and meant in ran.err, ran
    assert ":1:1" not in ran.err


LIKE = ("begin", "--cutter", "ours", "--like", "rip-blade-10-inch")
A_LENGTH = "is no length: column 1: a number is expected, not 'x'; accepted: 14 11/16"
REFUSED = (
    (("begin",), "", "give a folder for a new shop, or one thing such as --cutter NAME"),
    (("begin", "new", "--cutter", "a"), "", "give a folder for a new shop, or one thing such as"),
    (("begin", "--cutter", "a", "--job", "b"), "", "give a folder for a new shop, or one thing"),
    (("begin", "new", "--like", "a"), "", "--like and --with are for one thing, such as --cutter"),
    (("begin", "new", "--with", "a=1"), "", "--like and --with are for one thing, such as"),
    (("begin", "new", "--example", "larder", "--unit", "in"), "",
     "an example has its own unit: leave --unit out"),
    (("begin", "--cutter", "Our Blade"), "--cutter",
     "'Our Blade' cannot be asked for by name: call the file by lower-case letters and digits with "
     "hyphens between, and .yaml"),
    (("begin", "--recipe", "x"), "--like",
     "a recipe is begun as a copy of another: give --like NAME, one of those that `setupsheets list"
     " recipe` tells"),
    (("begin", "--cutter", "ours"), "--cutter",
     'nobody is here to ask, and this is needed: --with "type=..." (Which kind of cutter it is); or'
     " --like NAME"),
    ((*LIKE, "--with", "diameter"), "--with", "diameter: expected KEY=VALUE, found 'diameter'"),
    ((*LIKE, "--with", " diameter =x"), "--with", f"diameter: 'x' {A_LENGTH}"),
    (("begin", "--machine", "table-saw"), "--machine",
     "there is a machine of this name already, machines/table-saw.yaml: choose another"),
    (("blocks", "x"), "LENGTH", f"'x' {A_LENGTH}"),
    (("blocks", "1", "--within", "x"), "--within", f"'x' {A_LENGTH}"),
    (("blocks", "1", "--within", "0", "x"), "LENGTH", "'1 x' is no length"),
    (("blocks", "0"), "", "a distance is more than nought, and how near is not less than it"),
    (("blocks", "1", "--within", "-1/64"), "", "a distance is more than nought, and how near"),
    (("list", "--keys"), "KIND", "of which kind? machine, cutter, section, recipe, timber,"),
    (("list", "job.opning", "--keys"), "KIND", "unknown key 'opning'; did you mean 'opening'?"),
    ((*LOG, "--join", "--afresh"), "--join",
     "this is an act of its own: give it without other options"),
    ((*LOG, "--apart", "--next", "--verdict", "proved"), "--apart", "this is an act of its own:"),
    (("order", "larder", "--section", "ovolo-bar-inch"), "--section",
     "larder is a job; this goes with a recipe"),
    (("order", "larder", "--write"), "--write", "larder is a job; this goes with a recipe"),
    (("parts", "larder", "--format", "xlsx"), "--to",
     "expected a folder to write xlsx into: a terminal cannot show it"),
    (("parts", "larder", "--format", "md,csv"), "--to",
     "expected a folder to write md,csv into: a terminal shows one of them"),
    (("correct", "larder", CROSS_BAR, "--blank", "x"), "--blank", f"'x' {A_LENGTH}"),
    (("rod", "larder", "--paper", "A4,Letter"), "--paper",
     "expected one of roll, A4, Letter, found A4,Letter"),
)  # fmt: skip


@pytest.mark.parametrize(("asked", "option", "said"), REFUSED)
def test_what_is_refused_is_told_whole_and_by_its_option(
    larder: Path, asked: tuple[str, ...], option: str, said: str
) -> None:
    ran = run(*asked)
    at = f" for {option}" if option else ""
    assert ran.code == 2 and not ran.out
    assert f"Error: Invalid value{at}: {said}" in " ".join(ran.err.split())


def test_as_many_records_are_shown_as_are_asked_for_and_there_are(
    larder: Path, monkeypatch: MonkeyPatch
) -> None:
    shutil.copytree(EXAMPLES / "larder" / "records", larder / "records", dirs_exist_ok=True)
    ran = run("recall", "cope", "--number", "4")
    assert ran.code == 2 and "Invalid value for --number: only 3 found, not 4" in ran.err
    first = run("recall", "cope", "--number", "3").out
    assert "> 3. " in first and "and earlier ones" not in first
    monkeypatch.setattr(recall_command, "SHOWN", 2)
    more = "  and earlier ones: another word finds fewer, --number 3 shows more\n"
    shown = run("recall", "cope").out
    assert shown.startswith("> 1. ") and shown.count(more) == 1
    assert "  2. " in shown and "  3. " not in shown
    monkeypatch.setattr(recall_command, "SHOWN", 3)
    assert "and earlier ones" not in run("recall", "cope").out


def test_words_that_no_record_has_and_what_was_done_guess(larder: Path) -> None:
    run(*LOG, *found(**RIGHT))
    ran = run("recall", "routr-table", "cope")
    assert ran.code == 1 and "did you mean 'router-table cope'?" in ran.err
    assert "did you mean" not in run("recall", "1887").err
    for said, meant in (("coping", "cope"), ("Muntin scribing", "muntin scribe")):
        assert f"did you mean '{meant}'?" in run("recall", *said.split()).err
    for said, meant in (("advise", "advised"), ("nothin", "nothing")):
        ran = run(*LOG, "--next", "--did", said, *found(**RIGHT))
        assert ran.code == 2 and f"did you mean '{meant}'?" in ran.err, ran.err


def test_what_is_wrong_with_an_option_is_told_before_anything_is_asked(larder: Path) -> None:
    ran = run("correct", "larder", CROSS_BAR, "--blank", "x")
    assert ran.code == 2 and "--blank" in ran.err and "What did" not in ran.out
    ran = run("blocks", "3/4x")
    assert ran.code == 2 and "LENGTH" in ran.err


def test_a_folder_has_no_line(larder: Path) -> None:
    assert f"{larder / 'jobs'}: unknown job" in run("sheet", "nowhere").err
    assert run("sheet", "larder", "--shop", "nowhere").err.startswith("nowhere/shop.yaml: no shop")


def test_a_fault_of_a_section_is_told_once(larder: Path) -> None:
    (larder / "sections").mkdir()
    text = (Path(__file__).parents[2] / "profiles/sections/ovolo-frame-inch.yaml").read_text()
    own = larder / "sections" / "ovolo-frame-inch.yaml"
    own.write_text(text.replace("thickness: ", "thicknes: "), "utf-8")
    for asked in (("sheet", "larder"), ("check",), (*LOG, "--found", "overall=15")):
        said = run(*asked)
        told = (said.out + said.err).splitlines()
        assert sum("thicknes" in line and "unknown key" in line for line in told) <= 1
        assert sum("cannot be used until ovolo-frame-inch.yaml" in line for line in told) == 1
        assert len(told) == len(set(told)), told


def test_a_fault_of_a_machine_is_told_once_and_its_job_says_so(larder: Path) -> None:
    own = larder / "machines" / "planer.yaml"
    own.write_text("title: [\n", "utf-8")
    said = run("check")
    told = (said.out + said.err).splitlines()
    assert said.code == 1 and sum(f"{own}:" in line for line in told) == 1
    assert any("larder.yaml: cannot be worked through until " in line for line in told)


def test_a_file_with_another_ending_is_told(larder: Path) -> None:
    told = "this is passed over: files here end in .yaml, so call it second.yaml"
    (larder / "jobs" / "second.yml").write_text((larder / "jobs" / "larder.yaml").read_text())
    for asked in (("list", "jobs"), ("check",), ("sheet", "second")):
        ran = run(*asked)
        assert f"second.yml: {told}" in ran.err, ran
    assert run("check").code == 1
    (larder / "shop.yaml").rename(larder / "shop.yml")
    assert "so call it shop.yaml" in run("sheet", "larder").err


@pytest.mark.parametrize(
    ("asked", "extra"),
    [
        (("sheet", "larder", "--format", "pdf"), "pdf"),
        (("rod", "larder", "--format", "dxf", "--to", "out"), "drawings"),
        (("parts", "larder", "--format", "xlsx", "--to", "out"), "spreadsheet"),
    ],
)
def test_what_an_extra_is_installed_by(
    larder: Path, monkeypatch: pytest.MonkeyPatch, asked: tuple[str, ...], extra: str
) -> None:
    """As README has it: no registry is asked for the program."""
    for name in ("weasyprint", "ezdxf", "openpyxl", "xlsxwriter"):
        monkeypatch.setitem(sys.modules, name, None)
    for name in [each for each in sys.modules if each.startswith(("ezdxf.", "openpyxl."))]:
        monkeypatch.setitem(sys.modules, name, None)
    for name in ("workbook", "plate_dxf"):
        for each in [each for each in sys.modules if each.endswith(f".{name}")]:
            monkeypatch.delitem(sys.modules, each)
    ran = run(*asked)
    assert ran.code == 2 and f"pip install '.[{extra}]' in the program's folder" in ran.err, ran
    assert f"`{extra}`" in Path(__file__).parents[2].joinpath("README.md").read_text("utf-8")


def test_sheet_and_parts_are_of_the_day_that_is_said(larder: Path) -> None:
    run(*LOG, "--date", "2026-03-14", *found(**RIGHT), "--verdict", "proved", "--although", "a")
    own = larder / "machines" / "router-table.yaml"
    event = "events:\n  - {date: 2026-12-01, what: Fence re-aligned}\n"
    own.write_text(f"{own.read_text('utf-8')}\n{event}", "utf-8")
    sheets, parts = {}, {}
    for day in ("2026-11-30", "2026-12-02"):
        assert run("sheet", "larder", "--date", day, "--format", "md", "--to", day).code == 0
        sheets[day] = Path(day, "larder.md").read_text("utf-8")
        assert day in sheets[day]
        parts[day] = run("parts", "larder", "--date", day, "--format", "csv").out
    assert "Fence re-aligned" in sheets["2026-12-02"]
    assert "Fence re-aligned" not in sheets["2026-11-30"]
    assert parts["2026-11-30"] != parts["2026-12-02"]
    for command in ("sheet", "parts"):
        ran = run(command, "larder", "--date", "14/3/2026")
        assert ran.code == 2 and "write year, month and day, 2026-03-14" in ran.err


def test_a_better_order_is_written_and_nothing_else_is_changed(larder: Path) -> None:
    """Line by line what was there is there still: comments, quotes, blank lines, spelling."""
    text = (Path(__file__).parents[2] / "profiles/recipes/bar-grooved.yaml").read_text("utf-8")
    text = text.replace("    after: [groove, sticking]\n", "")
    names = ("groove", "strip", "tongue_width")
    groove, strip, measure = (text.index(f"  - name: {each}\n") for each in names)
    measures = text.rindex("measures:", 0, measure)
    own = larder / "recipes" / "bar-grooved.yaml"
    own.parent.mkdir()
    worse = (
        text[:groove] + "  # the strip, as 'we' do it\n" + text[strip:measures]
        + text[groove:strip] + text[measures:]
    )  # fmt: skip
    own.write_text(worse.replace('"Low, ahead', "'Low, ahead").replace('beside it"', "beside it'"))
    before = own.read_text("utf-8")
    assert run("order", "bar-grooved", "--write").code == 0
    after = own.read_text("utf-8")
    assert after != before and sorted(after.splitlines()) == sorted(before.splitlines())
    assert after.index("  # the strip") == after.index("  - name: strip") - len(
        "  # the strip, as 'we' do it\n"
    )
