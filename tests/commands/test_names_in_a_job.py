"""Names in a job that mean nothing: each is told at its line, with what may have been meant."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.doors import begun, checked, door
from tests.running import run


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return begun(tmp_path_factory.mktemp("names"), "in")


SLIPS = {
    "a recipe": (
        "recipes: {cope: cope-crosscut}",
        "14:17: recipes.cope: unknown recipe 'cope-crosscut'; did you mean 'cope-crosscut-saw'?",
    ),
    # Of recipes for what is made alone: none of these is like it, and blanks-by-hand makes no cope.
    "a recipe by hand": (
        "recipes: {cope: by-hand}",
        "14:17: recipes.cope: unknown recipe 'by-hand'; known are cope-crosscut-saw, "
        "cope-router-table, cope-table-saw",
    ),
    "a recipe for something else": (
        "recipes: {cope: mortise-drill}",
        "14:17: recipes.cope: recipe 'mortise-drill' makes a mortise, not a cope",
    ),
    "a machine": (
        "machines: {table_saw: tabel-saw}",
        "14:23: machines.table_saw: unknown machine 'tabel-saw'; did you mean 'table-saw'?",
    ),
    "a machine of another kind": (
        "machines: {table_saw: planer}",
        "14:23: machines.table_saw: machine 'planer' is a planer, not a table saw",
    ),
    "a cutter": (
        "cutters: {cope_bit: cope-ovollo-inch}",
        "14:21: cutters.cope_bit: unknown cutter 'cope-ovollo-inch'; did you mean "
        "'cope-ovolo-inch'?",
    ),
    "an operation of a recipe": (
        "cutters: {cope-crosscut-saw.copee: cope-ovolo-inch}",
        "14:11: cutters.cope-crosscut-saw.copee: recipe 'cope-crosscut-saw': unknown "
        "operation 'copee'; did you mean 'cope'?",
    ),
    "a recipe of an operation": (
        "cutters: {cope-crosscut.cope: cope-ovolo-inch}",
        "14:11: cutters.cope-crosscut.cope: unknown recipe 'cope-crosscut'; did you mean "
        "'cope-crosscut-saw'?",
    ),
    "an input": (
        "inputs: {left_for_coppe: 1/64}",
        "14:10: inputs.left_for_coppe: unknown input 'left_for_coppe'; did you mean "
        "'left_for_cope'?",
    ),
}


@pytest.mark.parametrize("slip", SLIPS)
def test_a_name_that_means_nothing_is_told_at_its_line(shop: Path, slip: str) -> None:
    line, told = SLIPS[slip]
    job = door(shop, "in", more=f"{line}\n")
    ran = checked(job)
    assert ran.code == 1 and f"{job}:{told}" in ran.err.replace("\n", " ")
    assert ran.err.count("unknown") < 2 and "first_choice" not in ran.err
    parts = run("sheet", job, "--to", shop / "out")
    assert parts.code == 1 and told in parts.err


@pytest.mark.parametrize(
    "line",
    [
        "inputs: {left_for_cope: 1/32}",
        # Of recipes that this job does not use: a job may be begun like another one.
        "inputs: {board: 5}",
        "cutters: {rebate-two-saw-cuts.groove: rip-blade-10-inch}",
        "cutters: {cope-crosscut-saw.back_cheek: crosscut-blade-10-inch}",
    ],
)
def test_names_of_other_recipes_are_let_be(shop: Path, line: str) -> None:
    assert checked(door(shop, "in", more=f"{line}\n")).code == 0


def test_a_name_in_the_shop_s_own_file_is_told_there(tmp_path: Path) -> None:
    shop = begun(tmp_path, "in")
    own = shop / "shop.yaml"
    text = own.read_text("utf-8").replace("cope: cope-crosscut-saw", "cope: cope-crosscut")
    own.write_text(text, "utf-8")
    line = next(n for n, words in enumerate(text.splitlines(), 1) if "cope: cope-cross" in words)
    ran = checked(door(shop, "in"))
    assert f"{own}:{line}:" in ran.err
    assert "first_choice.recipes.cope: unknown recipe 'cope-crosscut'" in ran.err
