"""An instrument that the shop has sold, renamed or never had: what was read with it still serves.

The shop and its readings are invented.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from setupsheets.records.model import instrument_of
from setupsheets.shop.finding import Shop
from tests.commands.test_bench import CROSS_BAR, RIGHT, found
from tests.records.made_up import HEAD
from tests.running import run

CALIPER = "  caliper: {title: Caliper, spread: 0.001, resolution: 0.001}\n"
DAY = ("--date", "2021-03-01")
LONG = found(**(RIGHT | {"back_length": "14 1/2"}))
PROFILES = Path(__file__).parents[2] / "profiles"


def without_caliper(shop: Path) -> None:
    path = shop / "shop.yaml"
    text = path.read_text("utf-8")
    assert CALIPER in text
    path.write_text(text.replace(CALIPER, ""), "utf-8")


@pytest.mark.parametrize("kept", [True, False], ids=["as the record kept it", "of version 1"])
def test_records_serve_when_their_instrument_is_gone(kept: bool, larder: Path) -> None:
    log = ("log", "larder", CROSS_BAR, *DAY)
    assert run(*log, *LONG).code == 0
    if not kept:
        (head,) = (larder / "records").glob("*.yaml")
        before, _, rest = head.read_text("utf-8").partition("instruments:\n")
        lines = rest.splitlines(keepends=True)
        after = next((n for n, each in enumerate(lines) if not each.startswith(" ")), len(lines))
        head.write_text(before + "".join(lines[after:]), "utf-8")
    without_caliper(larder)
    for command in (
        ("sheet", "larder", "--format", "md"),
        ("recall", "cross", *DAY),
        ("check", next((larder / "records").glob("*.yaml"))),
        (*log, "--found", "overall=15 1/8", "--did", "nothing"),
    ):
        ran = run(*command)
        assert ran.code == 0, ran.err
    refused = run(*log, "--found", "overall=15 1/8", "--by", "caliper", "--next")
    assert refused.code == 2 and "unknown instrument 'caliper'" in " ".join(refused.err.split())


def test_what_nobody_knows_any_more_counts_as_the_coarsest(larder: Path) -> None:
    shop = Shop.open(larder)
    rule, unknown = (instrument_of(name, HEAD, shop) for name in ("rule", "micrometer"))
    assert (unknown.sd, unknown.resolution) == (rule.sd, rule.resolution)
    assert instrument_of("caliper", HEAD, shop).sd < rule.sd


def test_check_tells_of_an_instrument_that_the_shop_does_not_have(larder: Path) -> None:
    text = (PROFILES / "recipes" / "rebate-rebate-bit.yaml").read_text("utf-8")
    assert "instrument: caliper" in text
    path = larder / "recipes" / "rebate-rebate-bit.yaml"
    path.parent.mkdir()
    path.write_text(text.replace("instrument: caliper", "instrument: calliper", 1), "utf-8")
    ran = run("check", path)
    assert ran.code == 0
    assert (
        "measures.1.instrument: unknown instrument 'calliper'; did you mean 'caliper'?" in ran.err
    )
    assert "counts as the coarsest" in ran.err
