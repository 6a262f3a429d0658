"""What an end or a panel is fitted to, as `log`, `correct` and `recall` tell other programs: the
mate's own record, what the job's file says, or the drawing.

Figures are those of the examples' jobs, readings are invented.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from tests.commands.test_bench import CROSS_BAR, RIGHT, found
from tests.commands.test_fitted import DAY, chopped, told
from tests.running import run

Sizes = dict[str, tuple[str, str]]


def sizes(fitted: list[dict[str, Any]]) -> Sizes:
    return {each["size"]: (each["source"], each["is"]["words"]) for each in fitted}


def answered(command: str, *options: str) -> dict[str, Any]:
    ran = run(command, "larder", CROSS_BAR, *DAY, *options, "--json")
    assert ran.code == 0, ran.err
    form: dict[str, Any] = json.loads(ran.out)
    return form


DRAWN = {
    "mortise_width": ("drawing", "3/8 in"),
    "mortise_from_face": ("drawing", "3/8 in"),
    "sticking_depth": ("drawing", "3/8 in"),
}


def test_as_drawn_until_a_mate_is_on_record(larder: Path) -> None:
    assert sizes(answered("correct", *found(**RIGHT))["fitted_to"]) == DRAWN
    log = answered("log", *found(**RIGHT))
    assert sizes(log["fitted_to"]) == DRAWN
    words = {each["words"] for each in log["fitted_to"]}
    assert "Thickness of the tenon: 3/8 in, as drawn." in words
    recalled = json.loads(run("recall", CROSS_BAR, *DAY, "--json").out)["recalled"]
    assert (recalled["record"]["fitted_to"], sizes(recalled["fitted_to"])) == ([], DRAWN)


def test_the_mate_s_record_is_named_with_its_day(larder: Path) -> None:
    chopped()
    wide = ("record", "3/8 in full by .005 in")
    for command in ("correct", "log"):
        fitted = answered(command, *found(**RIGHT | {"tenon_thickness": ".380"}))["fitted_to"]
        assert sizes(fitted) == DRAWN | {"mortise_width": wide}
        (told_,) = (each for each in fitted if each["source"] == "record")
        assert told_["date"] == "2026-11-26" and told_["record"].startswith("2026-11-26-larder-")
        assert (larder / "records" / f"{told_['record']}.yaml").is_file()
        assert told_["words"].startswith("Thickness of the tenon: 3/8 in full by .005 in, to the")
    recalled = json.loads(run("recall", "larder", CROSS_BAR, *DAY, "--json").out)["recalled"]
    assert sizes(recalled["record"]["fitted_to"]) == {"mortise_width": wide}
    assert sizes(recalled["fitted_to"]) == DRAWN | {"mortise_width": wide}


def test_what_was_typed_is_told_as_the_job_s(larder: Path) -> None:
    told(larder, "larder", "{cross bar: {mortise_width: .378}, end upright bar: {}}")
    fitted = answered("correct", *found(**RIGHT | {"tenon_thickness": ".378"}))["fitted_to"]
    assert sizes(fitted)["mortise_width"] == ("job", "3/8 in full by .003 in")
    assert all(each["record"] is None for each in fitted)
    asked = run("log", "larder", CROSS_BAR, *DAY, typed="15 1/8\n14 3/8\n").err
    line = "Thickness of the tenon (caliper) to be 3/8 in full by .003 in, + 1/64, − 1/128 in"
    assert line in asked


def test_what_makes_no_end_is_fitted_to_nothing(larder: Path) -> None:
    ran = run("correct", "larder", "bar-grooved", *DAY, "--found", "sticking_depth=3/8", "--json")
    assert json.loads(ran.out)["fitted_to"] == []
