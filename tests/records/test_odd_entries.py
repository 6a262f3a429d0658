"""One odd entry among the records: told once, and the rest still serves; a folder that cannot be
read is a fault, never an empty one.

The entries are those of `tests/faults`, which tries them against every command.
"""

from __future__ import annotations

import os
import re
import shutil
import sys
from pathlib import Path

import pytest

from tests.faults.entries import DOT_ENTRIES, FOLDER_ENTRIES, NAME, RECORD_ENTRIES, Entry
from tests.running import run

EXAMPLES = Path(__file__).parents[2] / "examples"
RECALL = ("recall", "cope", "--date", "2026-03-15")
ROOT_READS_ALL = sys.platform != "win32" and os.geteuid() == 0
SHOWN = [
    pytest.param(each, id=each.name)
    for each in (*RECORD_ENTRIES, *DOT_ENTRIES)
    if not (each.name == "no right to read" and ROOT_READS_ALL)
]

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="links, pipes and rights of POSIX")


@pytest.fixture
def larder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    shop = Path(shutil.copytree(EXAMPLES / "larder", tmp_path / "larder"))
    monkeypatch.chdir(shop)
    return shop


@pytest.mark.parametrize("entry", SHOWN)
def test_an_odd_entry_is_told_and_the_rest_serves(entry: Entry, larder: Path) -> None:
    before = run(*RECALL)
    dot = "." if entry in DOT_ENTRIES else ""
    entry.make(larder / "records" / f"{dot}{NAME}")
    ran = run(*RECALL)
    assert (ran.code, ran.out) == (0, before.out)
    assert ran.err.count(NAME) == int(entry.told)
    assert ("does not count until it is put right" in ran.err) == entry.told


@pytest.mark.parametrize(
    "entry",
    [
        pytest.param(each, id=each.name)
        for each in FOLDER_ENTRIES
        if each.name != "no right to the folder" or not ROOT_READS_ALL
    ],
)
@pytest.mark.parametrize(
    "command",
    [RECALL, ("parts", "larder"), ("sheet", "larder"), ("log", "larder", "blanks/rip/stile")],
)
def test_records_that_cannot_be_read_are_not_none(
    entry: Entry, command: tuple[str, ...], larder: Path
) -> None:
    entry.make(larder / "records")
    ran = run(*command)
    assert ran.code == 1
    assert f"{larder / 'records'}: " in ran.err
    assert not (larder / "sheets").exists()


def test_the_sheet_itself_says_that_a_record_does_not_count(larder: Path) -> None:
    """What is told on the terminal does not go to the machine with the paper."""
    record = next((larder / "records").glob("2022*.yaml"))
    record.write_text(record.read_text("utf-8") + "<<<<<<< HEAD\n", "utf-8")
    assert run("sheet", "larder", "--format", "md").code == 0
    page = (larder / "sheets" / "larder.md").read_text("utf-8")
    (told,) = (line.replace("\\", "") for line in page.splitlines() if "not be read" in line)
    begin, end = told.split(record.name)
    assert begin.lstrip("- ").startswith(
        "This record could not be read, and no figure here counts what was found then: "
    )
    assert end == ". Put right what `setupsheets check` says, and print the sheets again."


def test_a_records_folder_may_be_a_link(larder: Path, tmp_path: Path) -> None:
    before = run(*RECALL)
    (larder / "records").rename(tmp_path / "elsewhere")
    (larder / "records").symlink_to(tmp_path / "elsewhere")
    assert run(*RECALL).out == before.out
    log = ("log", "larder", "cope-crosscut-saw/cross-bar", "--date", "2026-03-15")
    assert run(*log, "--found", "overall=15 1/8").code == 0
    assert run(*log, "--found", "overall=15 3/32", "--did", "nothing").code == 0
    assert len([*(tmp_path / "elsewhere").glob("2026*/*.yaml")]) == 2
    assert (larder / "records").is_symlink()


def test_no_folder_of_records_is_a_new_shop(larder: Path) -> None:
    shutil.rmtree(larder / "records")
    assert run("sheet", "larder", "--format", "md").code == 0


def test_no_new_record_is_begun_over_one_that_cannot_be_read(larder: Path) -> None:
    """Its test pieces would be forgotten; only the maker can say that they are to be."""
    first = ("log", "larder", "cope-crosscut-saw/cross-bar", "--date", "2026-03-15")
    assert run(*first, "--found", "overall=15 1/8").code == 0
    record = next((larder / "records").glob("2026*.yaml"))
    record.write_bytes(b"")
    ran = run(*first, "--found", "overall=15 1/16", "--did", "nothing")
    assert ran.code == 1
    assert f"{record}: this may be the record of this set-up" in ran.err
    ran = run(*first, "--found", "overall=15 1/16", "--did", "nothing", "--afresh")
    assert ran.code == 0, ran.err


def test_an_odd_entry_of_another_job_s_record_keeps_nobody_from_logging(larder: Path) -> None:
    bookcase = next((larder / "records").glob("2022*.yaml"))
    odd = bookcase.with_suffix("") / "20230101-120000-000000-abcdef.yaml"
    odd.parent.mkdir(exist_ok=True)
    odd.write_bytes(b"")
    log = ("log", "larder", "cope-crosscut-saw/cross-bar", "--date", "2026-03-15")
    ran = run(*log, "--found", "overall=15 1/8")
    assert ran.code == 0 and odd.name in ran.err, ran.err
    mine = next((larder / "records").glob("2026*/*.yaml"))
    mine.write_bytes(b"")
    ran = run(*log, "--found", "overall=15 1/16", "--did", "nothing")
    assert ran.code == 1 and f"{mine}: this may be the record" in ran.err


COPE = "cope-crosscut-saw-cross-bar-into-stile-abcdef.yaml"
WHOSE = {  # by the name of a record that is empty: whether it may be that of the larder's set-up
    f"2026-01-01-larder-crosscut-saw-{COPE}": True,
    f"2026-01-01-larder-no-such-saw-{COPE}": True,
    f"2026-01-01-crosscut-saw-{COPE}": True,  # of earlier days, when a name said no job
    f"2026-01-01-no-such-saw-{COPE}": True,
    f"2026-01-01-larder-two-crosscut-saw-{COPE}": False,
    f"2026-01-01-dresser-crosscut-saw-{COPE}": False,
    "2026-01-01-larder-crosscut-saw-cope-crosscut-saw-top-rail-abcdef.yaml": False,
}


@pytest.mark.parametrize("name", WHOSE)
def test_an_empty_record_keeps_only_its_own_set_up_from_logging(name: str, larder: Path) -> None:
    job = larder / "jobs" / "larder.yaml"
    for other in ("larder-two", "dresser"):
        job.with_stem(other).write_bytes(job.read_bytes())
    (larder / "records" / name).write_bytes(b"")
    ran = run("log", "larder", "cope-crosscut-saw/cross-bar", "--found", "overall=15 1/8")
    assert name in ran.err
    assert ("this may be the record of this set-up" in ran.err) == WHOSE[name]
    assert ran.code == int(WHOSE[name])


@pytest.mark.parametrize("job", ["larder", "dresser"])
def test_a_record_with_a_fault_still_says_whose_it_is(job: str, larder: Path) -> None:
    record = next((larder / "records").glob("2022*.yaml"))
    text = record.read_text("utf-8").replace("job: bookcase", f"job: {job}")
    assert f"job: {job}" in text
    record.write_text(text.replace("recipe:", "recipi:"), "utf-8")
    ran = run("log", "larder", "cope-crosscut-saw/cross-bar", "--found", "overall=15 1/8")
    assert ran.code == int(job == "larder") and record.name in ran.err


LEADS_NOWHERE = {  # what is wrong, the line it stands in, and what would be right
    "strikes:\n  - {entry: 20250101-000000-000000-abcdef, of: overall, number: 1}\n":
        (6, "strikes.1.entry: unknown entry '20250101-000000-000000-abcdef'"),
    "again: 20250101-000000-000000-abcdef\n": (5, "again: unknown test piece"),
    "did: {cope.fense: 1/64}\n": (5, "did.cope.fense: unknown cause"),
    "joins: [2022-01-01-larder-x-abcdef]\n": (5, "joins.1: the record 2022-01-01-larder-x-abcdef"),
    "readings:\n  - {of: overal, found: 15 1/8, by: rule}\n": (6, "readings.1.of: unknown measure"),
}  # fmt: skip


@pytest.mark.parametrize("wrong", LEADS_NOWHERE)
def test_an_entry_that_leads_nowhere_is_told_by_its_line(wrong: str, larder: Path) -> None:
    log = ("log", "larder", "cope-crosscut-saw/cross-bar", "--date", "2026-03-15")
    assert run(*log, "--found", "overall=15 1/8").code == 0
    before = run(*RECALL)
    (first,) = (larder / "records").glob("2026*/*.yaml")
    entry = first.with_name("29991231-235959-000000-aaaaaa.yaml")
    entry.write_text(f"kind: entry\nversion: 1\nunit: in\ndate: 2026-03-16\n{wrong}", "utf-8")
    ran = run(*RECALL)
    line, told = LEADS_NOWHERE[wrong]
    assert ran.out == before.out
    assert f"{entry}:{line}:" in ran.err and told in ran.err, ran.err
    known = re.findall(r"known are (.*)", ran.err)
    assert all(len(names := each.split(", ")) == len(set(names)) for each in known)
