"""A machine whose file has another name today: what was recorded on it is still shown."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.commands.test_bench import CROSS_BAR, RIGHT, found
from tests.running import run


@pytest.fixture
def renamed(larder: Path) -> Path:
    """A shop with a proved set-up, whose crosscut saw was given another name after it."""
    readings = [*found(**(RIGHT | {"back_length": "14 1/2"})), *found(back_length="14 1/2")]
    assert run("log", "larder", CROSS_BAR, *readings).code == 0
    proved = ("--did", "advised", "--verdict", "proved", "--kept", "on the nail")
    assert run("log", "larder", CROSS_BAR, *found(**RIGHT), *proved).code == 0
    saw = larder / "machines" / "crosscut-saw.yaml"
    saw.rename(saw.with_name("radial-saw.yaml"))
    shop = larder / "shop.yaml"
    text = shop.read_text("utf-8")
    shop.write_text(text.replace("crosscut_saw: crosscut-saw", "crosscut_saw: radial-saw"), "utf-8")
    return larder


def test_recall_says_that_the_machine_is_gone_and_what_is_known(renamed: Path) -> None:
    ran = run("recall", "cope", "cross", "bar")
    assert ran.code == 0, ran.err
    assert "Changed since: the machine crosscut-saw is gone" in ran.out
    assert "Test piece kept from that set-up: on the nail" in ran.out
    row = next(line for line in ran.out.splitlines() if "back cheek: stop" in line)
    assert row.split()[3:8] == ["crosscut-saw", "3/8", "in", "7/16", "in"]


def test_the_sheet_takes_no_figure_from_a_machine_that_is_gone(renamed: Path) -> None:
    ran = run("sheet", "larder", "--to", renamed / "out", "--format", "json")
    assert ran.code == 0, ran.err
    sheets = json.loads((renamed / "out" / "larder.json").read_text("utf-8"))
    saw = next(each for each in sheets["machines"] if each["machine"] == "radial-saw")
    block, last = next((each, line) for each in saw["operations"] for line in each["last"]
                       if "on the nail" in line)  # fmt: skip
    assert "for larder, stop 7/16 in, height 3/4 in, proved; test piece kept" in last
    row = next(each for each in block["rows"] if each["set_up"] == CROSS_BAR)
    assert last.startswith(f"Operation {row['number']}: ")
    assert next(setting["set_to"] for setting in row["settings"]) == "3/8 in"


def test_a_test_piece_begins_a_record_of_the_machine_that_is_there(renamed: Path) -> None:
    ran = run("log", "larder", CROSS_BAR, *found(**RIGHT))
    assert ran.code == 0, ran.err
    texts = [path.read_text("utf-8") for path in (renamed / "records").glob("*.yaml")]
    assert sorted("machine: radial-saw" in text for text in texts) == [False, True]
