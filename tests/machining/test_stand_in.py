"""The leaf made up for a recipe by itself: no more is worked out than that recipe's set-ups."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from msgspec.structs import replace

from setupsheets.files.faults import DataFaults
from setupsheets.machining.checking.stand_in import section_for, stand_in_plan
from setupsheets.shop.finding import Shop
from setupsheets.shop.sections import Member
from tests.machining.shipped_shop import PROFILES

SHOP = Shop.open(PROFILES.parent / "examples" / "larder")


def test_only_the_recipe_s_own_set_ups_are_worked_out() -> None:
    plan = stand_in_plan(SHOP.recipe("bar-grooved"), SHOP.section("ovolo-bar-inch"), SHOP)
    assert {item.recipe.name for item in plan.set_ups} == {"bar-grooved"}
    numbers = [operation.number for operation in plan.operations]
    assert numbers == list(range(1, len(numbers) + 1))


def test_a_bar_s_frame_is_the_one_that_it_fits_whatever_they_are_called(tmp_path: Path) -> None:
    """The shop's own bar of another name than any frame's; only the sticking and rebate agree."""
    shutil.copytree(SHOP.folder, tmp_path / "shop")
    sections = tmp_path / "shop" / "sections"
    sections.mkdir(exist_ok=True)
    shutil.copy(PROFILES / "sections" / "ovolo-bar-inch.yaml", sections / "my-own-bar.yaml")
    shop = Shop.open(tmp_path / "shop")
    plan = stand_in_plan(shop.recipe("bar-grooved"), shop.section("my-own-bar"), shop)
    frames = {part.section for part in plan.joinery.parts if part.section.member is Member.FRAME}
    (frame,) = frames
    bar = shop.section("my-own-bar")
    assert (frame.sticking, frame.rebate) == (bar.sticking, bar.rebate)


def test_a_bar_that_fits_no_frame_is_told() -> None:
    bar = SHOP.section("ovolo-bar-inch")
    odd = replace(bar, thickness=bar.thickness * 2)
    with pytest.raises(DataFaults, match="no frame section"):
        stand_in_plan(SHOP.recipe("bar-grooved"), odd, SHOP)


def test_the_section_tried_is_one_of_the_shop_s_jobs_first() -> None:
    assert section_for(SHOP.recipe("bar-grooved"), SHOP).name == "ovolo-bar-inch"
