"""No dial is moved on which nothing that was read bears: any shipped recipe, any of its readings.

A maker moves a dial because something that was measured says so: common practice, no source.
"""

from __future__ import annotations

import datetime
import tempfile
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from setupsheets.lengths import Length
from setupsheets.machining.checking.stand_in import section_for, stand_in_plan
from setupsheets.machining.operations import SetUp
from setupsheets.machining.plan import Plan, plan_of
from setupsheets.records.answer import Answer, answer
from setupsheets.records.open_set_up import OpenSetUp, open_set_up
from setupsheets.records.record import BLANK_LENGTH, RecordedPiece, RecordedReading
from setupsheets.records.shop_records import ShopRecords
from setupsheets.shop.finding import Shop
from tests.doors import begun
from tests.profiles.shipped import recipes

TODAY = datetime.date(2026, 1, 1)
EXAMPLES = Path(__file__).parents[2] / "examples"
UNITS = ("in", "mm")
BITS = {
    "in": ("straight-bit-3-4-inch", "straight-bit-1-4-inch"),
    "mm": ("straight-bit-20-mm", "straight-bit-6-mm"),
}
"""The straight bit of a shop as begun, and one that a groove has room for."""


@cache
def shop(where: str) -> Shop:
    """An example with the records of its machines, or a shop as `begin` makes it."""
    if where not in UNITS:
        return Shop.open(EXAMPLES / where)
    folder = begun(Path(tempfile.mkdtemp()), where)
    file, (wide, narrow) = folder / "shop.yaml", BITS[where]
    file.write_text(file.read_text("utf-8").replace(wide, narrow), "utf-8")
    return Shop.open(folder)


@cache
def plan(where: str, recipe: str) -> Plan:
    if where in UNITS:
        shipped = shop(where).recipe(recipe)
        return stand_in_plan(shipped, section_for(shipped, shop(where)), shop(where))
    return plan_of(shop(where).job(where), shop(where))


@cache
def opened(where: str, recipe: str) -> tuple[OpenSetUp, ...]:
    """The set-ups of a recipe, or of all of an example's job, of which something is measured that
    hangs on a dial."""
    found = [
        each
        for each in plan(where, recipe).set_ups
        if recipe in ("", each.recipe.name) and _is_measured(each)
    ]
    records = ShopRecords(shop(where))
    return tuple(
        open_set_up(records, plan(where, recipe), each, TODAY, afresh=True) for each in found
    )


def _is_measured(set_up: SetUp) -> bool:
    causes = {cause for each in set_up.measurements for cause in each.sensitivities}
    return any(not cause.startswith("blank.") for cause in causes)


MEASURED = [
    name
    for name, each in recipes().items()
    if each.measures and not each.makes.on_leaf and any(o.settings for o in each.operations)
]


@pytest.mark.parametrize("where", ["larder", "vestibule"])
@settings(max_examples=60)
@given(data=st.data())
def test_with_records_of_its_machines_a_dial_is_left_alone_until_it_is_read(
    where: str, data: st.DataObject
) -> None:
    """What earlier set-ups have shown of the dials is put in where they are set, to the mark."""
    left_alone(opened(where, ""), data)


@pytest.mark.parametrize("where", UNITS)
@pytest.mark.parametrize("recipe", MEASURED)
@settings(max_examples=8)
@given(data=st.data())
def test_a_dial_is_left_alone_until_it_is_read(
    where: str, recipe: str, data: st.DataObject
) -> None:
    left_alone(opened(where, recipe), data)


def left_alone(set_ups: tuple[OpenSetUp, ...], data: st.DataObject) -> None:
    """All that is read is as designed, but that the blank is long or short alike in all of it."""
    one = set_ups[data.draw(st.integers(0, len(set_ups) - 1), one_of(set_ups))]
    measures = {each.name: each for each in one.record.measures}
    read = data.draw(st.lists(st.sampled_from(sorted(measures)), min_size=1, unique=True))
    off = Length(f"{data.draw(st.sampled_from((0, 4, 8, 16, -4)))} mm") / 64 * 25
    readings = tuple(
        RecordedReading(each.name, each.target + each.moved_by.get(BLANK_LENGTH, 0) * off)
        for each in (measures[name] for name in read)
    )
    record = replace(one.record, pieces=(RecordedPiece(TODAY, readings),))
    found = answer(record, one.plan.joinery.layout, one.shop, one.history)
    assert isinstance(found, Answer)
    told = {cause for name in read for cause in measures[name].moved_by}
    assert {*found.moved} <= told
    if not off:
        assert not found.moved, "all of it reads right"
    unread = {move.cause.name for move in found.advice.moves if not move.told}
    assert unread == {move.cause.name for move in found.advice.moves} - told


def one_of(set_ups: tuple[OpenSetUp, ...]) -> str:
    return " / ".join(each.set_up.name for each in set_ups)
