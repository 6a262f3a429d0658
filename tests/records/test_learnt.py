"""Where what was learnt of a dial holds: the same side of the cutter, at about the same figures.

That a fence set by one stretch of its scale says nothing of the other end, or of the cutter's other
side, is common practice, no source.
"""

from __future__ import annotations

import datetime
import shutil
from fractions import Fraction
from pathlib import Path

import pytest
from msgspec.structs import replace

from setupsheets.files.documents import Document, read_text
from setupsheets.lengths import Length
from setupsheets.machining.plan import plan_of
from setupsheets.records import folder, index
from setupsheets.records.current import set_up_states
from setupsheets.records.folder import write_new
from setupsheets.records.learnt import DialStretch, joined, side_of, stretch_at, stretch_of
from setupsheets.records.offset_history import offset_history, offsets_shown
from setupsheets.records.record import (
    RecordedMeasure,
    RecordedOffset,
    RecordedPiece,
    RecordedReading,
    RecordedSetting,
    begin_record,
)
from setupsheets.records.shop_records import ShopRecords
from setupsheets.records.verdicts import Verdict
from setupsheets.shop.finding import Shop
from setupsheets.shop.machines import SettingName
from setupsheets.shop.recipes import MeasuredTo
from tests.records.made_up import RECORD, inches
from tests.records.test_current import TODAY, shop

__all__ = ["shop"]

ONE = DialStretch("far", inches("1"), inches("1"))
LONG = DialStretch("near", inches("40"), inches("44"))

# By hand: twice the figure, or 25 mm (0.984 in) more, whichever is the more; the same downward.
HOLDS = {
    "where it was learnt": (ONE, "far", "1", True),
    "twice it": (ONE, "far", "2", True),
    "over twice it": (ONE, "far", "2 1/64", False),
    "far down": (ONE, "far", "1/32", True),
    "the length of a rail": (ONE, "far", "43", False),
    "two metres": (ONE, "far", "78 3/4", False),
    "the blade's other side": (ONE, "near", "1", False),
    "a side that nobody knows": (ONE, None, "1", False),
    "half of the least": (LONG, "near", "20", True),
    "under half": (LONG, "near", "19 63/64", False),
    "twice the greatest": (LONG, "near", "88", True),
    "over that": (LONG, "near", "88 1/64", False),
}


@pytest.mark.parametrize("case", HOLDS)
def test_what_was_learnt_holds_about_there_alone(case: str) -> None:
    stretch, side, figure, holds = HOLDS[case]
    assert stretch.reaches(side, inches(figure)) == holds


def test_figures_near_each_other_are_learnt_from_together() -> None:
    def at(side: str, *figures: str) -> list[DialStretch]:
        return [DialStretch(side, inches(each), inches(each)) for each in figures]

    found = joined([*at("near", "12", "30", "16"), *at("far", "1", "3/8"), *at("near", "1")])
    assert found == (
        DialStretch("far", inches("3/8"), inches("1")),
        DialStretch("near", inches("1"), inches("1")),
        DialStretch("near", inches("12"), inches("30")),
    )
    named = {str(number): one for number, one in enumerate(found)}
    assert stretch_at(named, "near", inches("25")) == "2"
    assert stretch_at(named, "near", inches("5")) is None


def setting(cause: str, aim: str, to: MeasuredTo | None = None) -> RecordedSetting:
    length = inches(aim)
    return RecordedSetting(cause, "crosscut-saw", SettingName.STOP, length, length, to=to)


SIDES = {
    "as it says": (setting("back_cheek.stop", "1", MeasuredTo.NEAR), "cope-crosscut-saw", "near"),
    "as its recipe says": (setting("back_cheek.stop", "1"), "cope-crosscut-saw", "far"),
    "its recipe is gone": (setting("back_cheek.stop", "1"), "an-older-way", None),
    "its recipe has no such cut": (setting("old_cheek.stop", "1"), "cope-crosscut-saw", None),
}


@pytest.mark.parametrize("case", SIDES)
def test_the_side_is_of_the_record_or_of_its_recipe(shop: Shop, case: str) -> None:
    one, recipe, side = SIDES[case]
    assert side_of(one, replace(RECORD, recipe=recipe), shop) == side


def test_a_dial_told_of_on_both_sides_at_once_tells_of_neither(shop: Shop) -> None:
    far, near = setting("a.stop", "1", MeasuredTo.FAR), setting("b.stop", "1", MeasuredTo.NEAR)
    measure = replace(RECORD.measures[0], moved_by={"a.stop": Fraction(1), "b.stop": Fraction(1)})
    both = replace(RECORD, settings=(far, near), measures=(measure,))
    told = RecordedOffset("crosscut-saw", SettingName.STOP, inches("1/64"), inches(".004"))
    assert stretch_of(both, told, shop) is None
    assert stretch_of(both, replace(told, to=MeasuredTo.FAR), shop) == ONE
    one = replace(both, measures=(replace(measure, moved_by={"a.stop": Fraction(1)}),))
    assert stretch_of(one, told, shop) == ONE


def learnt(
    shop: Shop, name: str, aim: str, to: MeasuredTo, offset: str, date: str = "2020-05-01"
) -> None:
    """A proved set-up of one stop that stood off by so much."""
    measure = RecordedMeasure(
        "length",
        "Length",
        "rule",
        inches(aim),
        inches("1/64"),
        inches("1/64"),
        {"cut.stop": Fraction(1)},
    )
    record = replace(
        RECORD,
        name=f"{date}-{name}",
        date=datetime.date.fromisoformat(date),
        set_up=name,
        settings=(setting("cut.stop", aim, to),),
        measures=(measure,),
        pieces=(),
        verdict=Verdict.PROVED,
        after=(RecordedOffset("crosscut-saw", SettingName.STOP, inches(offset), inches(".004")),),
    )
    write_new(record, shop.folder / "records", shop.settings.notation)


def test_each_stretch_of_a_dial_has_its_own_offset(shop: Shop) -> None:
    learnt(shop, "shoulders", "1", MeasuredTo.FAR, "1/32")
    learnt(shop, "lengths", "43", MeasuredTo.NEAR, "-1/16")
    history = offset_history(ShopRecords(shop), [shop.machine("crosscut-saw")], TODAY)

    def of(side: str, figure: str) -> Length | None:
        known = history.of("crosscut-saw", "stop", side, inches(figure))
        return known.offset if known else None

    shoulder, length = of("far", "1"), of("near", "43")
    assert shoulder is not None and shoulder > inches("1/64")
    assert length is not None and length < Length.ZERO
    assert [of("far", "43"), of("near", "1"), of("near", "12")] == [None, None, None]


def test_shoulders_say_nothing_of_the_lengths_of_blanks(shop: Shop) -> None:
    learnt(shop, "shoulders", "1", MeasuredTo.FAR, "1/32")
    plan = plan_of(shop.job("larder"), shop)
    states = set_up_states(plan, ShopRecords(shop), TODAY)
    figures = [
        (item.aim, item.set_to)
        for set_up in plan.set_ups
        if set_up.recipe.name == "blanks"
        for item in states[set_up.name].settings.values()
    ]
    assert figures and all(aim == set_to for aim, set_to in figures)


def test_lengths_say_nothing_of_rough_lengths(shop: Shop) -> None:
    for name in ("lengths", "lengths-again"):
        learnt(shop, name, "15", MeasuredTo.NEAR, "1/16")
    plan = plan_of(shop.job("larder"), shop)
    states = set_up_states(plan, ShopRecords(shop), TODAY)
    moved = {
        cause
        for name, state in states.items()
        if name.startswith("blanks")
        for cause, item in state.settings.items()
        if item.set_to != item.aim
    }
    assert moved == {"crosscut.stop"}, "the last cut to length, and not the rough one"


def test_the_last_time_is_of_the_same_cut_or_there_is_none(shop: Shop) -> None:
    plan = plan_of(shop.job("larder"), shop)
    name = "cope-crosscut-saw/cross-bar-into-stile"
    other = "cope-crosscut-saw/top-rail-into-stile"
    (set_up,) = (item for item in plan.set_ups if item.name == name)
    record = replace(begin_record(plan, set_up, {}, TODAY), job="another", verdict=Verdict.PROVED)
    write_new(record, shop.folder / "records", shop.settings.notation)
    states = set_up_states(plan, ShopRecords(shop), TODAY)
    last = states[name].last
    assert last is not None and last.name == record.name
    assert states[other].last is None
    ends = [each for each in states if each.startswith("cope-crosscut-saw/end-upright-bar")]
    assert ends and all(states[each].last is None for each in ends), "13/32 in says nothing of 1/32"


@pytest.mark.parametrize(
    ("further", "to", "same"),
    [("2 mm", None, True), ("2.1 mm", None, False), ("-2.1 mm", None, False),
     ("0 mm", MeasuredTo.FAR, True), ("0 mm", MeasuredTo.NEAR, False)],
)  # fmt: skip
def test_a_cut_is_the_same_to_one_side_and_at_about_one_figure(
    shop: Shop, further: str, to: MeasuredTo | None, same: bool
) -> None:
    """Each setting for itself: all the others are as they are today."""
    plan = plan_of(shop.job("larder"), shop)
    name, stop = "cope-crosscut-saw/cross-bar-into-stile", "back_cheek.stop"
    (set_up,) = (item for item in plan.set_ups if item.name == name)
    record = replace(begin_record(plan, set_up, {}, TODAY), job="another", verdict=Verdict.PROVED)
    settings = tuple(
        replace(each, aim=each.aim + Length(further), to=to or each.to) if each.cause == stop
        else each
        for each in record.settings
    )  # fmt: skip
    write_new(replace(record, settings=settings), shop.folder / "records", shop.settings.notation)
    last = set_up_states(plan, ShopRecords(shop), TODAY)[name].last
    assert (last is not None) is same


def test_however_many_records_there_are_the_newest_few_are_taken_apart(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    for year in range(2000, 2020):
        learnt(shop, f"shoulders-{year}", "1", MeasuredTo.FAR, "1/32", date=f"{year}-05-01")
    shutil.rmtree(shop.folder / folder.FOLDER / index.FOLDER)  # as in a shop that was copied
    taken_apart = []

    def counted(text: str, path: Path) -> Document:
        taken_apart.append(path.name[:4])
        return read_text(text, path)

    monkeypatch.setattr(folder, "read_text", counted)
    history = offset_history(ShopRecords(shop), [shop.machine("crosscut-saw")], TODAY)
    known = history.of("crosscut-saw", "stop", "far", inches("1"))
    assert known is not None and (known.set_ups, known.since) == (6, 2014)
    assert sorted(taken_apart) == [str(year) for year in range(2014, 2020)]


def test_a_dial_that_was_set_on_both_sides_is_known_on_each(shop: Shop) -> None:
    """A fence that stands 1/32 off to the far side of the blade and 1/64 the other way to the near
    side, each read by itself: what was dialled and found says so without any arithmetic."""
    sides = {"a.stop": (MeasuredTo.FAR, "1/32"), "b.stop": (MeasuredTo.NEAR, "-1/64")}
    measures = tuple(
        replace(
            RECORD.measures[0], name=cause[0], target=inches("1"), moved_by={cause: Fraction(1)}
        )
        for cause in sides
    )
    readings = tuple(
        RecordedReading(cause[0], inches("1") + inches(off), by="caliper")
        for cause, (_, off) in sides.items()
    )
    record = replace(
        RECORD,
        settings=tuple(setting(cause, "1", to) for cause, (to, _) in sides.items()),
        measures=measures,
        pieces=(RecordedPiece(datetime.date(2020, 5, 1), readings),),
        after=(),
        blanks={},
    )
    taught = offsets_shown(record, shop)
    assert {each.name for each in taught} == {"crosscut-saw.stop.far", "crosscut-saw.stop.near"}
    write_new(replace(record, after=taught), shop.folder / "records", shop.settings.notation)
    history = offset_history(ShopRecords(shop), [shop.machine("crosscut-saw")], TODAY)
    for to, off in sides.values():
        known = history.of("crosscut-saw", "stop", to, inches("1"))
        (told,) = (each.offset for each in taught if each.to == to)
        assert abs(told - inches(off)) < inches(".002")
        # One set-up is believed in part: the side is that side's all the same.
        assert known is not None and (known.offset > Length.ZERO) == (told > Length.ZERO)


def test_what_bar_grooved_proves_of_the_saw_s_fence_is_known_in_the_next_job(shop: Shop) -> None:
    """Groove and strip are sawn with the fence to one side of the blade and to the other."""
    plan = plan_of(shop.job("larder"), shop)
    set_up = next(each for each in plan.set_ups if each.name == "bar-grooved")
    begun = begin_record(plan, set_up, {}, datetime.date(2020, 5, 1))
    sides = {side_of(each, begun, shop) for each in begun.settings if each.setting == "fence"}
    assert len(sides) > 1
    readings = tuple(
        RecordedReading(each.name, each.target + inches("1/64"), by=each.by)
        for each in begun.measures
    )
    pieces = (RecordedPiece(begun.date, readings),)
    proved = replace(begun, pieces=pieces, verdict=Verdict.PROVED, job="another")
    proved = replace(proved, after=offsets_shown(proved, shop))
    write_new(proved, shop.folder / "records", shop.settings.notation)
    found = set_up_states(plan, ShopRecords(shop), TODAY)["bar-grooved"].settings
    known = {cause for cause, each in found.items() if each.reason.offset is not None}
    assert {"groove.fence", "strip.fence", "sticking.fence"} <= known
