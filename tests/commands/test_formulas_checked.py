"""A formula that is wrong for some part, or behind some condition, is told by `check` with its
place, and not first by the sheet; and a caution that can never come is told as well.

No outside source: the slips are those of a hand in this project's own files.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.running import run

PROFILES = Path(__file__).parents[2] / "profiles"

CAUTION = """kind: caution
version: 1
title: Ours
cautions:
  - name: ours
    text: Mind it.
    basis: common practice
    when: WHEN
"""
CONDITIONS = {
    "part.length": "a condition is expected, not a length",
    "part.length - 12 in": "a condition is expected, not a length",
    "operation.passes": "a condition is expected, not a plain number",
    "operation.stopped and part.length > 12": "a length cannot be compared with a plain number",
    "part.lenght < 12 in": "unknown name 'part.lenght'; did you mean 'part.length'",
    "seting.fence > 1 in": "unknown operation 'seting'; did you mean 'setting'",
    "back_chek.stop > 1 in": "unknown operation 'back_chek'; did you mean 'back_cheek'",
    "setting.fense > 1 in": "unknown name 'setting.fense'; did you mean 'setting.fence'",
    "operation.work = 'egde'": "the nearest known one is 'edge'",
    "operation.down = 'top'": "unknown name 'top'",
}
GOOD = (
    "part.length < 12 in",
    "operation.work = 'edge' and operation.stopped",
    "back_cheek.stop > 1/2 in",
    "back_cheek.cutter.kerf > 1/2 in",
    "input.spacer > 1 in",
)


def caution(shop: Path, when: str) -> Path:
    (shop / "cautions").mkdir(exist_ok=True)
    path = shop / "cautions" / "ours.yaml"
    path.write_text(CAUTION.replace("WHEN", when), "utf-8")
    return path


@pytest.mark.parametrize("when", CONDITIONS)
def test_a_condition_that_is_none_or_never_holds_is_told_with_its_place(
    when: str, larder: Path
) -> None:
    path = caution(larder, when)
    ran = run("check", path)
    assert ran.code == 1
    assert f"{path}:8:11: cautions.1.when: " in ran.err and CONDITIONS[when] in ran.err


@pytest.mark.parametrize("when", GOOD)
def test_a_condition_that_some_operation_may_meet_is_sound(when: str, larder: Path) -> None:
    path = caution(larder, when)
    assert run("check", path).code == 0
    assert run("sheet", "larder", "--format", "md").code == 0


def test_a_condition_without_an_answer_for_some_cut_is_told_by_check_of_the_job(
    larder: Path,
) -> None:
    path = caution(larder, "part.width / (part.thickness - part.thickness) > 1")
    assert run("check", path).code == 0
    for command in (("check", larder / "jobs" / "larder.yaml"), ("sheet", "larder")):
        ran = run(*command)
        assert ran.code == 1, ran.out
        assert f"{path}:8:11: cautions.1.when: " in ran.err and "division by nought" in ran.err


HAUNCH = "    when: tenon.haunch > 0 in\n"
FENCE = "fence: {aim: section.rebate.width, to: far}"
RECIPE_SLIPS = {  # a recipe, what stands there, what then, where it is told, and the words
    "bare number": (
        *("cope-crosscut-saw", HAUNCH, HAUNCH.replace(" in", "")),
        *("when", "a length cannot be compared with a plain number"),
    ),
    "no condition": (
        *("cope-crosscut-saw", HAUNCH, HAUNCH.replace(" > 0 in", "")),
        *("when", "a condition is expected, not a length"),
    ),
    "passes in inches": (
        *("rebate-rebate-bit", "passes: ceil(setting.height / 1/4 in)", "passes: setting.height"),
        *("passes", "a plain number is expected, not a length"),
    ),
    "a hidden choice": (
        *("rebate-rebate-bit", FENCE),
        FENCE.replace(
            "section.rebate.width", '"choose(part.length > 1 in, section.rebate.width, 1)"'
        ),
        *("settings.fence.aim", "one choice is a length"),
    ),
    "a bare size": (
        *("cope-router-table", "sizes: {thickness: part.thickness}", "sizes: {thickness: 3/4}"),
        *("sizes.thickness", "a length is expected, not a plain number"),
    ),
}


@pytest.mark.parametrize("slip", RECIPE_SLIPS)
def test_a_slip_in_a_recipe_is_told_though_no_job_here_comes_to_it(slip: str, larder: Path) -> None:
    """No job of this shop has a haunch, and none of its parts is an inch long."""
    name, old, new, place, words = RECIPE_SLIPS[slip]
    text = (PROFILES / "recipes" / f"{name}.yaml").read_text("utf-8")
    assert old in text
    (larder / "recipes").mkdir()
    path = larder / "recipes" / f"{name}.yaml"
    path.write_text(text.replace(old, new, 1), "utf-8")
    ran = run("check", path)
    assert ran.code == 1, ran.out
    told = [line for line in ran.err.splitlines() if line.startswith(f"{path}:")]
    assert len(told) == 1 and f"{place}: " in told[0] and words in told[0], ran.err
