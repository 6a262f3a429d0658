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
    ran = run("sheet", "larder", "--to", renamed / "out", "--format", "json,md")
    assert ran.code == 0, ran.err
    sheets = json.loads((renamed / "out" / "larder.json").read_text("utf-8"))
    done = next(each for each in sheets["route"] if "on the nail" in each["last_time"])
    assert (done["machine"], done["set_up"]) == ("radial-saw", CROSS_BAR)
    told = "for larder, stop 7/16 in, height 3/4 in, proved; test piece kept"
    assert told in done["last_time"]
    assert done["settings"][0]["set_to"]["words"] == "3/8 in"
    page = (renamed / "out" / "larder.md").read_text("utf-8")
    assert f"Operation {done['number']}: " in page and told in page


def test_a_test_piece_begins_a_record_of_the_machine_that_is_there(renamed: Path) -> None:
    ran = run("log", "larder", CROSS_BAR, *found(**RIGHT))
    assert ran.code == 0, ran.err
    texts = [path.read_text("utf-8") for path in (renamed / "records").glob("*.yaml")]
    assert sorted("machine: radial-saw" in text for text in texts) == [False, True]
