"""One bold figure for one setting: the drawing carries what is set, blocks make the distance."""

from __future__ import annotations

import re
from fractions import Fraction
from xml.etree import ElementTree as ET

import pytest
from msgspec.structs import replace

from setupsheets.lengths import Length, Notation, Unit
from setupsheets.machining.findings import findings_of
from setupsheets.machining.setting.block_stacks import BlockStack
from setupsheets.records.shop_records import ShopRecords
from setupsheets.sheets.content.finished import Dial
from setupsheets.sheets.drawings.drawing import Drawing
from setupsheets.sheets.making import make_sheets
from setupsheets.shop.machines import SetBy
from setupsheets.wording.setting_up import measured_words, stack_line
from tests.running import run
from tests.sheets.sheet_plans import DATE, JOBS, inches, plan, shop

INCHES = Notation(Unit.IN, Fraction(1, 64))


def bold(svg: str) -> list[str]:
    """Every bold text of a drawing that has a figure in it."""
    texts = (each for each in ET.fromstring(svg).iter() if each.tag.endswith("text"))
    heavy = (each for each in texts if each.get("font-weight") == "bold")
    return [words for each in heavy if re.search(r"\d", words := "".join(each.itertext()))]


@pytest.mark.parametrize("job", JOBS)
def test_every_bold_figure_of_a_drawing_is_one_to_set(job: str) -> None:
    differing = 0
    for sheet in make_sheets(ShopRecords(shop(job)), plan(job), DATE).content.machines:
        for block in sheet.operations:
            to_set = {each.set_to for row in block.rows for each in row.settings}
            for cut in block.cuts:
                for words in bold(cut.drawing.svg):
                    assert re.sub(r"^(fence|stop|height|depth|thickness) ", "", words) in to_set
                for row in block.rows:
                    if row.settings[0].aim != row.settings[0].set_to:
                        differing += 1
                        _aim_is_told(block.dials[0], row.settings[0].aim, cut.drawing)
    assert differing > 5


def _aim_is_told(dial: Dial, aim: str, drawing: Drawing) -> None:
    """A figure that is the same in all rows has its aim beside it; one that differs from row to row
    has neither in the drawing."""
    if dial.once is not None:
        assert f"(true {aim})" in drawing.description and f"true {aim}" in drawing.svg
    else:
        assert "true" not in drawing.description and "true" not in drawing.svg


@pytest.mark.parametrize("job", JOBS)
def test_blocks_make_the_distance_and_not_what_a_dial_is_turned_to(job: str) -> None:
    of = shop(job)
    found = findings_of(plan(job), of.settings, True).operations
    stacks = [
        (setting.aim, stack)
        for each in found
        for setting in each.task.operation.settings
        if (stack := each.blocks.get(setting.name)) is not None
    ]
    assert stacks
    assert all(stack.wanted == aim for aim, stack in stacks)
    for aim, words in {(aim, stack_line(stack, of.settings.notation)) for aim, stack in stacks}:
        asked = run("blocks", of.settings.notation.write(aim), "--shop", of.folder).out
        assert words in " ".join(asked.split()), "asked for by itself it is the sheet's"


@pytest.mark.parametrize("job", JOBS)
def test_no_stack_is_further_off_than_its_dial_can_be_moved_by(job: str) -> None:
    """A bit set by blocks to 1/128 is not set by a stack that misses by as much (common practice,
    no source); here in a shop that marks no finer than 1/8 in or 4 mm."""
    settings = shop(job).settings
    rough = replace(settings, finest=Fraction(1, 8) if settings.unit is Unit.IN else Fraction(4))
    seen = [
        (stack, setting.dial)
        for each in findings_of(plan(job), rough, True).operations
        for setting in each.task.operation.settings
        if (stack := each.blocks.get(setting.name)) is not None
    ]
    assert seen and all(abs(stack.off) <= dial.finest / 2 for stack, dial in seen)


@pytest.mark.parametrize(
    ("blocks", "shims", "words"),
    [
        (("1", "1/32"), (), "1 in + 1/32 in make 1 1/32 in"),
        (("1",), (), "1 in comes 1/32 in under 1 1/32 in"),
        (("1",), (".033",), "1 in + shim .033 in come .002 in over 1 1/32 in"),
    ],
)
def test_a_stack_says_what_it_makes_and_how_far_off_it_is(
    blocks: tuple[str, ...], shims: tuple[str, ...], words: str
) -> None:
    stack = BlockStack(tuple(map(inches, blocks)), tuple(map(inches, shims)), inches("1 1/32"))
    assert stack_line(stack, INCHES) == words
    assert stack_line(BlockStack((Length("1 in"),), (), Length("1 in")), INCHES).endswith(
        "1 in makes 1 in"
    )


@pytest.mark.parametrize(
    ("pieces", "by", "stacked"),
    [
        (3, SetBy.RULE, True),
        (4, SetBy.RULE, False),
        (4, SetBy.GAUGE, False),
        (4, SetBy.BLOCK, True),
    ],
)
def test_a_stack_of_many_pieces_gives_way_to_a_rule(pieces: int, by: SetBy, stacked: bool) -> None:
    """Three at the most, unless the setting is made by blocks: common practice, no source."""
    stack = BlockStack((inches("1"),) * (pieces - 1), (inches(".002"),), inches("4"))
    said = measured_words(stack, by, INCHES)
    assert (said == stack_line(stack, INCHES)) is stacked
    assert (said == "") is not stacked  # nothing said of blocks: by the rule
