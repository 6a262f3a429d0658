"""The sheet's cover and `recall` give one count of test pieces for one set-up on one day."""

from __future__ import annotations

import datetime
import re
from pathlib import Path

import pytest

from tests.running import run

COPE = "cope-crosscut-saw/cross-bar-into-stile"
RIGHT = (
    ("overall", "14 7/8"),
    ("back_length", "14 3/8"),
    ("face_length", "14 1/4"),
    ("tenon_thickness", "3/8"),
    ("face_to_tenon", "3/8"),
    ("cope_depth", "3/8"),
)
TODAY = datetime.datetime.now().astimezone().date()


def counts(shop: Path) -> tuple[str, str]:
    """What the cover says of the set-up, and what `recall` does."""
    assert run("sheet", "larder", "--format", "md", "--to", shop / "out").code == 0
    page = (shop / "out" / "larder.md").read_text("utf-8")
    row = re.search(rf"^\| {COPE} \| (\d+)", page, re.MULTILINE)
    told = re.search(r"^Test pieces to get out: (\d+)", run("recall", COPE).out, re.MULTILINE)
    assert row and told, page[:4000]
    return row[1], told[1]


def logged(*more: str, wrong: str = "") -> None:
    found = (f"{name}={wrong if name == 'overall' and wrong else text}" for name, text in RIGHT)
    options = [each for text in found for each in ("--found", text)]
    ran = run("log", "larder", COPE, "--date", TODAY.isoformat(), *options, "--sure", *more)
    assert ran.code == 0, ran.err


@pytest.mark.parametrize("proved", [False, True])
def test_open_and_proved(larder: Path, proved: bool) -> None:
    logged(wrong="15")
    if proved:
        logged("--did", "nothing", "--verdict", "proved", "--although", "it fits")
    on_the_sheet, recalled = counts(larder)
    assert on_the_sheet == recalled == ("0" if proved else "1")


def test_where_the_world_has_changed_since(larder: Path) -> None:
    logged("--verdict", "proved", "--although", "it fits")
    saw = larder / "machines" / "crosscut-saw.yaml"
    text = re.sub(r"(?m)^events:.*\n(?:[ -].*\n)*", "", saw.read_text("utf-8"))
    day = TODAY + datetime.timedelta(days=0)
    event = f"events:\n  - {{date: {day}, what: Fence re-aligned}}\n"
    saw.write_text(text + event, "utf-8")
    on_the_sheet, recalled = counts(larder)
    assert on_the_sheet == recalled and int(recalled) > 1
