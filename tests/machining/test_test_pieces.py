"""How long a test piece is, and what it should measure: one place for boxes, cut list and log."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from setupsheets.lengths import Length, Unit
from setupsheets.machining.plan import Plan
from setupsheets.machining.planning.test_pieces import tried, with_test_pieces
from setupsheets.machining.setting.reach import Limit, reaches
from setupsheets.shop.recipes import Makes
from tests.machining.shipped_shop import UNITS, job, plan

RECIPES = {Makes.COPE: "cope-crosscut-saw", Makes.GROOVE: "groove-table-saw"}
ONE = {"inch": Length("1 in"), "metric": Length("10 mm")}


def coped(whole: Plan) -> list[tuple[str, Length, Length]]:
    """Part, its own length over all and that of its test piece, for every set-up of ends."""
    part = whole.joinery.part
    return [(tried(item), part(tried(item)).overall, item.test_length) for item in whole.set_ups
            if item.recipe.makes is Makes.COPE and item.test_length]  # fmt: skip


@pytest.mark.parametrize("unit", UNITS)
def test_a_piece_is_short_and_whole_or_as_long_as_its_part(unit: str) -> None:
    whole = plan("ovolo", unit, RECIPES)
    assert coped(whole)
    for _, own, length in coped(whole):
        steps = length / ONE[unit]
        assert length == own or (steps == int(steps) and length * 3 / 2 < own)


@pytest.mark.parametrize("unit", UNITS)
def test_every_machine_can_hold_it_and_all_pieces_of_a_part_are_equally_long(unit: str) -> None:
    whole = plan("ovolo", unit, RECIPES)
    lengths: dict[str, set[Length]] = {}
    for item in whole.set_ups:
        if item.test_length is None:
            continue
        lengths.setdefault(tried(item), set()).add(item.test_length)
        if item.test_length == whole.joinery.part(tried(item)).overall:
            continue
        short = replace(item.subject, length=item.test_length)
        held = [each for operation in item.operations for each in reaches(operation, short)
                if each.limit is Limit.HOLD]  # fmt: skip
        assert all(each.fits for each in held)
    assert lengths and all(len(each) == 1 for each in lengths.values())


def test_the_targets_of_a_short_piece_are_its_own() -> None:
    """Both shoulders are cut by one stop: the back of a piece is its length less twice the figure
    from end to shoulder (plane geometry), and what hangs on no length stays."""
    whole = plan("ovolo", "inch", RECIPES)
    item = next(each for each in whole.set_ups if each.recipe.makes is Makes.COPE)
    short = replace(item, test_length=Length("12 in"))
    end, reads = item.subject.end, {each.name: each for each in item.measurements}
    assert end is not None and short.longer == Length("12 in") - item.subject.length
    on = {name: each.target_on(short.longer) for name, each in reads.items()}
    assert on["overall"] == Length("12 in")
    assert on["back_length"] == Length("12 in") - 2 * (end.reach - end.mate.rebate.width)
    assert on["face_length"] == Length("12 in") - 2 * (end.reach - end.mate.sticking.width)
    assert on["tenon_thickness"] == end.tenon.thickness


def test_first_blanks_and_the_leaf_are_tried_without_a_test_piece() -> None:
    whole = plan("ovolo", "inch", RECIPES)
    makes = {item.recipe.makes for item in whole.set_ups if item.test_length is None}
    assert {Makes.BLANK, Makes.BEAD} <= makes
    assert Makes.COPE not in makes and Makes.BAR not in makes
    assert job("ovolo", "inch").name == whole.job.name


def test_a_part_up_to_half_again_the_shortest_is_tried_at_its_own_length() -> None:
    whole = plan("ovolo", "inch", RECIPES)
    item = next(each for each in whole.set_ups if each.recipe.makes is Makes.BAR)
    part = whole.joinery.part(tried(item))
    for sight, own in (("11 63/64", False), ("12", True), ("18", True), ("18 1/64", False)):
        sized = replace(part, sight=Length(f"{sight} in") - (part.overall - part.sight))
        parts = tuple(sized if each is part else each for each in whole.joinery.parts)
        made = replace(item, subject=replace(item.subject, part=sized, length=sized.overall))
        (found,) = with_test_pieces([made], replace(whole.joinery, parts=parts), Unit.IN)
        assert (found.test_length == sized.overall) is own
        assert found.test_length in (sized.overall, Length("12 in"))
