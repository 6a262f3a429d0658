"""What commands say beside their answer: the whole of a dialogue, and what to type next.

The words are this program's own; what is named in them is held against files and keys.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.commands.test_bench import CROSS_BAR
from tests.running import run

DIALS = {
    "crosscut saw (radial arm)": ["Stop on the fence", "Blade above the table"],
    "drill press": ["Fence to the bit's centre", "Depth stop"],
    "hollow chisel mortiser": ["Fence to the chisel", "Depth stop"],
    "thickness planer": ["Thickness"],
    "router table": ["Bit out of the fence", "Bit height"],
    "spindle moulder": ["Block out of the fence", "Block height"],
    "table saw": ["Rip fence", "Blade height", "Stop on the sled"],
}


def test_begin_asks_for_every_dial_of_every_machine_and_says_what_each_answer_is(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("setupsheets.commands.readings.at_terminal", lambda: True)
    said = run("begin", tmp_path / "new", "--unit", "in", typed="\n" * 60).err
    lines = [
        "Enter takes what stands in brackets. Nothing is written before all is asked.",
        "The finest mark that is worked to, as a fraction or a decimal.",
        "Your machines, each with the finest move that its dials really take:",
        "Your cutters: one of those that are built in, none, or own for one of yours:",
        "The moulding of the door that is there to begin with; one of your own is begun later:",
    ]
    at = [said.index(f"{line}\n") for line in lines]
    assert at == sorted(at)
    machines = [
        each
        for name, dials in DIALS.items()
        for each in (f"Is there a {name}", *(f"  {dial}: finest move, in inches" for dial in dials))
    ]
    pattern = r"Is there a [^?]*|  [A-Z][^:]*: finest move, in inches"
    assert re.findall(pattern, said) == machines
    assert "bench" not in said  # it is there, and has nothing to set


def test_a_word_that_only_files_may_hold_is_told_with_how_to_ask_for_it(larder: Path) -> None:
    said = run("list", "clearance").err
    (command,) = re.findall(r"setupsheets (list \S+ --keys) and 1 more", said)
    told = run(*command.split())
    assert told.code == 0 and "\npanels.clearance: a length, " in told.out
    assert told.out.startswith("job: One leaf") and "None" not in run("list", "job", "--keys").out


def test_a_file_without_its_first_line_gets_it_and_that_is_said(larder: Path) -> None:
    job = larder / "jobs" / "larder.yaml"
    was = job.read_text("utf-8")
    assert "$schema" not in was
    ran = run("check", "--upgrade", "jobs/larder.yaml")
    assert ran.err == "jobs/larder.yaml: its first line leads an editor to its schema\n"
    first, _, rest = job.read_text("utf-8").partition("\n")
    assert "$schema=" in first and rest == was
    assert run("check", "--upgrade", "jobs/larder.yaml").err == ""


def test_what_was_sent_before_is_said_to_be_kept_before(larder: Path) -> None:
    sent = ("log", "larder", CROSS_BAR, "--found", "overall=15 1/8", "--id", "abcd1234")
    assert "Kept before in" not in run(*sent).err
    said = run(*sent).err
    assert said.count("Kept") == 1 and f"Kept before in {larder}" in said


def test_an_addition_that_there_is_not_is_told_by_its_option(larder: Path) -> None:
    ran = run("sheet", "larder", "--with", "bords")
    assert ran.code == 2
    assert "--with: expected any of boards, fits, seasons, sticks, found bords" in ran.err


def test_a_first_choice_that_there_is_not_is_told_by_its_line_in_the_shop_s_file(
    larder: Path,
) -> None:
    shop = larder / "shop.yaml"
    lines = shop.read_text("utf-8").splitlines()
    (at,) = (n for n, line in enumerate(lines) if line.startswith("    saw_blade: "))
    lines[at] = "    saw_blade: combination-blade-9-inch"
    shop.write_text("\n".join(lines) + "\n", "utf-8")
    said = run("parts", "larder").err + run("check", "jobs/larder.yaml").err
    assert f"shop.yaml:{at + 1}:16: first_choice.cutters.saw_blade: unknown cutter" in said


def test_a_machine_that_goes_on_as_itself_is_told_by_the_line_that_says_so(larder: Path) -> None:
    saw = larder / "machines" / "crosscut-saw.yaml"
    event = "events:\n  - {date: 2021-01-01, what: Sold, moved_to: crosscut-saw}\n"
    saw.write_text(saw.read_text("utf-8") + event, "utf-8")
    (line,) = run("check", "machines/crosscut-saw.yaml").err.splitlines()
    at = len(saw.read_text("utf-8").splitlines())
    told = f"crosscut-saw.yaml:{at}:46: events.1.moved_to: this leads back, from crosscut-saw to "
    assert f"{told}crosscut-saw: a machine goes on under one name in the end" in line
