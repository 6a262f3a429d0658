"""What JSON tells of a set-up and its readings, against what the terminal says of the same ones.

Figures come from the examples' jobs, readings are invented.
"""

from __future__ import annotations

import json
import re
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from tests.commands.test_bench import CROSS_BAR, found
from tests.running import run

METRIC = "cope-crosscut-saw/end-cross-bar-into-stile"
LONG = found(overall="15 3/8", back_length="14 5/8", face_length="14 1/2", tenon_thickness=".378")
LONG_MM = found(overall="312", back_length="292", face_length="288.5", tenon_thickness="12.2")
DEEP = 3 * found(sticking_width="3/8", sticking_depth=".445")
""".07 in deep: the bit's height is moved by its dial, which has marks of 1/128 in."""


def both(*command: str) -> tuple[str, Any]:
    """What a command says, and its JSON."""
    said, told = (run(*command, "--date", "2021-03-01", *form) for form in ((), ("--json",)))
    assert said.code == told.code == 0, said.err + told.err
    return said.out, json.loads(told.out)


ANSWERS = [
    ("larder", CROSS_BAR, LONG),
    ("larder", "sticking-router-table", DEEP),
    ("vestibule", METRIC, LONG_MM),
]


@pytest.mark.parametrize(("job", "set_up", "readings"), ANSWERS, ids=["inch", "dial", "metric"])
def test_an_answer_is_told_as_it_is_said(
    job: str, set_up: str, readings: list[str], request: pytest.FixtureRequest
) -> None:
    """Size by size: what it is to be, what is expected, how sure; move by move: from where to
    where, by shims or by the dial's own marks."""
    request.getfixturevalue(job)
    said, told = both("correct", job, set_up, *readings)
    answer = told["answer"]
    expected = re.findall(r"^  (.+): (.+) give or take (.+) \(to be (.+)\)$", said, re.M)
    assert len(expected) == len(answer["expected"]) > 1
    for (title, then, sure, to_be), each in zip(expected, answer["expected"], strict=True):
        assert (title, to_be) == (each["title"], each["target"]["words"])
        off, sd = (float(Fraction(each[key]["mm"])) for key in ("off", "give_or_take"))
        assert sure == each["give_or_take"]["words"]
        if abs(off) <= sd:
            assert then == to_be, "as good as that"
    moves = re.search(r"^What to do:\n((?:  .+\n)+)", said, re.M)
    assert moves and answer["moves"]
    for move in answer["moves"]:
        assert f"  {move['words']}\n" in moves[1]
        by = move["by"]["words"].removeprefix("−")
        assert by in move["words"] and (by != move["by"]["words"]) == (move["by"]["mm"][0] == "-")
        assert move["by_shims"] == ("shim" in move["words"])
        if move["from"] and not move["by_shims"]:
            assert f"from {move['from']['words']} to {move['to']['words']} (" in move["words"]
        if move["from"]:
            old, new, by_ = (Fraction(move[key]["mm"]) for key in ("from", "to", "by"))
            assert new == old + by_ and by_ != 0


@pytest.mark.parametrize("job", ["larder", "vestibule"])
def test_a_set_up_of_long_ago_is_told_as_it_is_said(job: str, tmp_path: Path) -> None:
    """Its figures then and today, and the cutter that its record's file has."""
    shop = tmp_path / job
    assert run("begin", shop, "--example", job).code == 0
    said, told = both("recall", "cope", "--shop", f"{shop}")
    recalled = told["recalled"]
    keys = ("then_aim", "then_dialled", "aim", "set_to")
    figures = [
        (each["title"], each["machine"], *(each[key]["words"] for key in keys))
        for each in recalled["settings"]
    ]
    rows = [tuple(re.split("  +", line.strip())) for line in said.splitlines()]
    assert [row for row in rows if row[0] in {each[0] for each in figures}] == figures
    assert len(figures) > 3
    assert any(each["set_to"] != each["aim"] for each in recalled["settings"])
    kept = (shop / "records" / f"{recalled['record']['name']}.yaml").read_text("utf-8")
    cutters = re.findall(r"^    cutter: (.+)$", kept, re.M)
    assert cutters == [each["cutter"] for each in recalled["settings"]]


def test_what_may_be_out_is_told_as_the_metric_sheet_prints_it(vestibule: Path) -> None:
    """Glass within 1.5 mm, diagonals 3, a leaf's size 1.5, a bar's place 0.8: common practice for
    the 1/16, 1/8, 1/16 and 1/32 in of the standards."""
    told = json.loads(run("parts", vestibule / "jobs" / "vestibule.yaml", "--json").out)
    glass = {each["tolerance"]["mm"] for each in told["glass_and_panels"] if each["tolerance"]}
    dry = {each["sort"]: each["tolerance"]["mm"] for each in told["dry_fit"]}
    assert glass == {"3/2"}
    assert dry == {"diagonal": "3", "width": "3/2", "height": "3/2", "spacing": "4/5"}
