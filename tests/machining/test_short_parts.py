"""Parts too short to be worked by themselves: got out in longer pieces, cut apart, ends coped last.

That a part under 12 in (300 mm) is not fed past a cutter by itself is common practice, no source.
"""

from __future__ import annotations

import re
from collections import Counter
from fractions import Fraction
from functools import cache

import pytest
from msgspec.structs import replace

from setupsheets.joinery.leaf import work_out
from setupsheets.joinery.members.parts import Part, Stretch
from setupsheets.joinery.stock.cutlist import RowKind, TestPieces, cut_list
from setupsheets.lengths import Length, Notation, Unit
from setupsheets.machining.checking.proof import prove_plan
from setupsheets.machining.findings import findings_of
from setupsheets.machining.obstacles import obstacles_of
from setupsheets.machining.operations import FittedJig, WorkedAt
from setupsheets.machining.plan import Plan, plan_job
from setupsheets.machining.planning.batches import BARS
from setupsheets.machining.planning.piece_lengths import (
    ROOM,
    _carried,
    _long_blank,
    with_long_blanks,
)
from setupsheets.machining.setting.reach import Limit, Reach, reaches
from setupsheets.shop.jobs import Fill, FrameField, RouteKind, Through
from setupsheets.shop.machine_kinds import MachineType
from setupsheets.shop.machines import SettingName
from setupsheets.shop.recipes import JigKind, Makes, Work
from setupsheets.shop.settings import ShopSettings
from setupsheets.wording.places import lengths_words, parts_words, where_words
from setupsheets.wording.proofs import proof_line
from setupsheets.wording.setting_up import reach_words
from tests.joinery.designs import FINEST, SECTIONS, leaf
from tests.machining import handmade
from tests.machining.shipped_shop import (
    SHAPES,
    UNITS,
    Shipped,
    job,
    joinery,
    plan,
    recipes_that_make,
    section,
)
from tests.machining.test_shipped_proofs import NARROW

LEAST = {"inch": Length("12 in"), "metric": Length("300 mm")}
PARTINGS = recipes_that_make(Makes.PARTING)


@cache
def narrow(unit: str, shape: str = "ovolo") -> Plan:
    """Its cross bars are let into the upright one, two of them."""
    return plan(shape, unit, {}, through=Through.UPRIGHT, wide=NARROW)


def short(of: Plan) -> list[Part]:
    return [part for part in of.joinery.parts if part.long]


@pytest.mark.parametrize("unit", UNITS)
def test_whatever_is_too_short_is_made_in_a_longer_piece_and_nothing_else(unit: str) -> None:
    of = narrow(unit)
    assert short(of) and len(short(of)) < len(of.joinery.parts)
    for part in of.joinery.parts:
        assert (part.long is not None) == (part.overall < LEAST[unit]), part.name
        if part.long:
            assert part.long.length >= LEAST[unit]
            assert part.long.length >= part.long.holds * part.overall + ROOM
            assert part.pieces * part.long.holds >= part.count
    # A bar is the same turned end for end, a rail is not.
    holds = {(part.role in BARS, part.long.holds) for part in short(of) if part.long}
    assert holds == {(True, 2), (False, 1)}


@pytest.mark.parametrize(
    ("sight", "rows", "holds"), [("9 1/2", 4, None), ("9 31/64", 4, 2), ("9 31/64", 2, 1)]
)
def test_a_part_of_a_foot_is_worked_by_itself_and_a_lone_one_has_its_piece_to_itself(
    sight: str, rows: int, holds: int | None
) -> None:
    """A cross bar is 2 1/2 in longer than the light is wide here: 12 in, or a 64th less (common
    practice); three of them lie two to a piece, one lies in its own."""
    joinery = work_out(leaf(sight, rows=rows), SECTIONS, FINEST)
    long = _long_blank(joinery.part("cross bar"), Unit.IN)
    assert (long and long.holds) == holds


@pytest.mark.parametrize(("length", "carried"), [("6", False), ("5 63/64", True)])
def test_an_end_on_a_piece_too_short_for_its_sled_has_a_carrier(length: str, carried: bool) -> None:
    """Half of 12 in, held fast: common practice, no source."""
    sled = FittedJig("sled", JigKind.HOLDS_FAST, "")
    made = handmade.operation("cope", MachineType.ROUTER_TABLE, None, Work.END, jigs=(sled,))
    there = replace(made, places=(WorkedAt("bar", (0,), length=Length(f"{length} in")),))
    jigs = _carried(there, Unit.IN).jigs
    assert [each.kind for each in jigs] == [JigKind.HOLDS_FAST, *[JigKind.CARRIES] * carried]


@pytest.mark.parametrize("recipe_name", PARTINGS)
@pytest.mark.parametrize("unit", UNITS)
@pytest.mark.parametrize("shape", SHAPES)
def test_short_parts_come_out_as_designed(shape: str, unit: str, recipe_name: str) -> None:
    """In the recipes' own order: no route has to be looked for. Bars run through one way and the
    other in turn."""
    through = (Through.CROSS, Through.UPRIGHT)[
        (SHAPES.index(shape) + PARTINGS.index(recipe_name)) % 2
    ]
    chosen, in_order = {Makes.PARTING: recipe_name}, RouteKind.JOINT_BY_JOINT
    of = plan(shape, unit, chosen, through=through, wide=NARROW, route=in_order)
    show = Shipped(unit).settings.notation.show
    proofs = prove_plan(of)
    assert [proof_line(each, show) for each in proofs if not each.holds] == []
    parting = {each.name for each in of.set_ups if each.recipe.makes is Makes.PARTING}
    assert parting == {name for each in proofs for name in each.set_ups if name in parting}


@pytest.mark.parametrize("unit", UNITS)
def test_every_operation_knows_how_long_the_piece_is_by_then(unit: str) -> None:
    """Rough until it is cut to length, then the long piece's length, then the part's own."""
    of = narrow(unit)
    over = of.job.allowances.length
    for part in short(of):
        assert part.long
        seen = [
            (operation, place.length)
            for operation in of.operations
            if (place := operation.place(part.name)) is not None
        ]
        apart = next(each.number for each, _ in seen if each.makes is Makes.PARTING)
        cut = next(each.number for each, _ in seen if each.name == "crosscut")
        for operation, length in seen:
            wanted = part.long.length + (over if operation.number < cut else Length.ZERO)
            assert length == (part.overall if operation.number >= apart else wanted), operation.name
    assert all(reach.has == place.length
               for operation in of.operations for place in operation.places[:1]
               if len(operation.places) == 1
               for reach in reaches(operation, of.set_ups[0].subject) if reach.limit is Limit.HOLD
               )  # fmt: skip


@pytest.mark.parametrize("unit", UNITS)
def test_every_end_is_coped_once_the_outer_before_moulding_the_other_after_parting(
    unit: str,
) -> None:
    of = narrow(unit)
    numbers: dict[Makes, dict[str, list[int]]] = {}
    ends: Counter[tuple[str, int, str]] = Counter()
    for operation in of.operations:
        assert operation.makes is not None
        for place in operation.places:
            numbers.setdefault(operation.makes, {}).setdefault(place.part, []).append(
                operation.number
            )
            if operation.asks.work is Work.END:
                ends.update((place.part, end, operation.name) for end in place.ends)
    assert set(ends.values()) == {1}
    for part in short(of):
        assert part.long
        (apart,) = numbers[Makes.PARTING][part.name]
        last = [
            operation.number
            for operation in of.operations
            if (at := operation.place(part.name)) and 1 - part.long.outer in at.ends
            if operation.asks.work is Work.END
        ]
        moulded = numbers.get(Makes.BAR, {}) | numbers.get(Makes.STICKING, {})
        assert max(moulded[part.name]) < apart < min(last)
        first = set(numbers[Makes.COPE][part.name]) - set(last)
        assert min(first) < min(moulded[part.name])


def too_short(of: Plan, unit: str) -> list[Reach]:
    found = findings_of(of, Shipped(unit).settings, True).operations
    told = (each.what for each in obstacles_of(found))
    return [what for what in told if isinstance(what, Reach) and what.limit is Limit.HOLD]


@pytest.mark.parametrize("unit", UNITS)
@pytest.mark.parametrize("through", [Through.CROSS, Through.UPRIGHT])
def test_such_a_door_is_held_everywhere(unit: str, through: Through) -> None:
    of = plan("ovolo", unit, {}, through=through, wide=NARROW)
    least = min(part.overall for part in of.joinery.parts)
    assert LEAST[unit] / 4 < least < LEAST[unit]
    assert too_short(of, unit) == []


@pytest.mark.parametrize("unit", UNITS)
def test_an_end_of_a_piece_too_short_for_a_sled_is_cut_in_a_carrier(unit: str) -> None:
    """Half of 12 in on a sled, a quarter in a carrier of 12 in: common practice, no source."""
    of = narrow(unit)
    carried = 0
    for operation in of.operations:
        carrier = next((each for each in operation.jigs if each.name == "carrier"), None)
        ends = operation.asks.work is Work.END and operation.settings
        short_of = operation.shortest is not None and operation.shortest < LEAST[unit] / 2
        assert (carrier is not None) is bool(ends and short_of), operation.name
        carried += carrier is not None
        assert carrier is None or carrier.sizes == {"length": LEAST[unit]}
    assert carried


@pytest.mark.parametrize(("quarter", "held"), [(Fraction(1), True), (Fraction(63, 64), False)])
def test_what_is_too_short_even_for_a_carrier_is_told(quarter: Fraction, held: bool) -> None:
    of = narrow("inch")
    cope = next(each for each in of.operations if each.jigs and each.jigs[-1].name == "carrier")
    assert cope.jigs[-1].kind is JigKind.CARRIES
    places = tuple(replace(each, length=quarter * LEAST["inch"] / 4) for each in cope.places)
    found = reaches(replace(cope, places=places), of.set_ups[0].subject)
    (hold,) = [each for each in found if each.limit is Limit.HOLD]
    assert hold.fits is held and hold.apart is False


def test_a_part_that_was_made_in_a_longer_piece_is_not_sent_to_one() -> None:
    """What is left is the hand, or bars that are longer: common practice, no source."""
    of = narrow("inch")
    apart = next(each for each in of.set_ups if each.recipe.makes is Makes.PARTING)
    (cut,) = apart.operations
    short_by = tuple(replace(each, length=LEAST["inch"] / 8) for each in cut.places)
    found = reaches(replace(cut, places=short_by), apart.subject)
    (told,) = [
        reach_words(each, Notation(Unit.IN, Fraction(1, 64)))
        for each in found
        if each.limit is Limit.HOLD
    ]
    assert "longer piece" not in told
    assert told.endswith(
        "that end sawn and fitted by hand in a vice, all bars halved or bars run through the other"
        " way"
    )


@pytest.mark.parametrize("unit", UNITS)
def test_the_length_of_a_piece_that_is_cut_apart_later_is_not_measured(unit: str) -> None:
    of = narrow(unit)
    long = {part.name for part in short(of)}
    for item in of.set_ups:
        if item.operations[0].name == "crosscut":
            assert bool(item.measurements) is bool(set(item.counts) - long)
        if item.recipe.makes is Makes.PARTING:
            assert [each.name for each in item.measurements] == ["length"]


def test_the_words_name_the_piece_the_end_and_where_the_rest_is_done() -> None:
    of = narrow("metric")
    notation = Shipped("metric").settings.notation
    bar = next(part for part in short(of) if part.role in BARS)
    assert bar.long
    by_number = {each.task.number: each for each in findings_of(of, Shipped("metric").settings,
                 True).operations}  # fmt: skip
    mine = [each for each in by_number.values() if each.task.operation.place(bar.name)]
    early = next(each for each in mine if each.task.operation.name == "cope")
    late = next(each for each in reversed(mine) if each.task.operation.name == "cope")
    apart = next(each for each in mine if each.task.operation.makes is Makes.PARTING)
    said = parts_words(early.task.counts, early.where, notation)
    lying = rf"{bar.count} × {bar.name} in {bar.pieces} lengths? of (.*?)(?:, |$)"
    assert re.findall(lying, said) == [notation.show(bar.long.length)]
    words = lengths_words(early.where)
    assert f"{bar.name}: two in each length, one from either end" in words
    assert words.endswith(f"cut apart at operation {apart.task.number}")
    assert lengths_words(late.where) == lengths_words(apart.where) == ""
    do = where_words(early.where, Work.END)
    assert "either end of each length, the one that goes into " in do
    assert f"(the ends between the two parts: operation {late.task.number})" in do
    assert f"the end cut last, the one that goes into the {bar.into[1][0]} (the other end: " in (
        where_words(late.where, Work.END)
    )


def test_the_cut_list_orders_the_long_pieces() -> None:
    of = narrow("inch")
    bar = next(part for part in short(of) if part.role in BARS)
    tests = {bar.name: TestPieces(3, Length("12 in"))}
    rows = {row.name: row for row in cut_list(of.job, of.joinery, Unit.IN, tests, Length("1/8 in"))}
    row = rows[f"{bar.name} (two in each)"]
    assert bar.long and row.count == bar.pieces and row.finished.length == bar.long.length
    assert row.rough.length == bar.long.length + of.job.allowances.length
    assert row.first_longer == Length.ZERO  # what lies between the parts is there to be cut away
    assert rows[f"test piece of the {bar.name}"].finished.length == Length("12 in")


def test_a_shop_that_has_no_saw_for_it_works_them_singly_and_is_told() -> None:
    shop = Shipped("inch")
    choice = shop.settings.first_choice
    machines = {kind: name for kind, name in choice.machines.items() if "saw" not in kind}
    bare = replace(shop.settings, first_choice=replace(choice, machines=machines))

    class NoSaws(Shipped):
        @property
        def settings(self) -> ShopSettings:
            return bare

    found = joinery("ovolo", "inch", Through.UPRIGHT, NARROW)
    job = found.layout.job
    assert with_long_blanks(found, job, NoSaws("inch")) == found
    assert with_long_blanks(found, job, shop) != found


def test_what_must_have_its_own_length_first_is_not_made_in_a_longer_piece() -> None:
    """A cut that stops short of an end counts from both its ends."""
    found = joinery("ovolo", "inch", Through.UPRIGHT, NARROW)
    shop = Shipped("inch")
    parts = with_long_blanks(found, found.layout.job, shop).parts
    bar = next(part for part in parts if part.long and part.role in BARS)
    stretch = Stretch(0, Length.ZERO, bar.sight, first=Length.ZERO)
    parts = tuple(replace(part, stretches=(stretch,)) if part.name == bar.name else part
                  for part in found.parts)  # fmt: skip
    made = with_long_blanks(replace(found, parts=parts), found.layout.job, shop)
    assert made.part(bar.name).long is None


@pytest.mark.parametrize("unit", UNITS)
@pytest.mark.parametrize("columns", [2, 3])
def test_notches_of_a_short_bar_count_from_the_end_that_is_there(unit: str, columns: int) -> None:
    """From its other end nothing can be stopped before it is cut apart (plane geometry)."""
    made = replace(
        job("ovolo", unit, Through.HALVED, 5),
        count=2,
        fields=(FrameField(Fill.GLASS, rows=columns, columns=columns),),
        rails=job("ovolo", unit).rails[:2],
        panels=None,
    )
    members = (section("ovolo", member, unit) for member in ("frame", "bar"))
    sections = {each.name: each for each in members}
    of = plan_job(made, work_out(made, sections, Shipped(unit).settings.finest_mark), Shipped(unit))
    seen = 0
    for operation in of.operations:
        if operation.asks.work is not Work.HALVING or "near" not in operation.name:
            continue
        for place in operation.places:
            part = of.joinery.part(place.part)
            starts = {part.datum + each.start for each in of.joinery.halvings
                      if each.part == part.name}  # fmt: skip
            if part.long:
                seen += 1
                assert place.ends == (part.long.outer,)
                assert operation.aim(SettingName.STOP) in starts
    assert seen >= columns - 1
    assert all(each.holds for each in prove_plan(of))


@pytest.mark.parametrize(("unit", "least"), [("inch", "12 in"), ("metric", "300 mm")])
def test_a_low_panel_is_got_out_as_long_as_the_planer_asks_for(unit: str, least: str) -> None:
    low = job("ovolo", unit)
    made = replace(
        low,
        leaf=replace(low.leaf, height=low.stiles.width * 5) if low.leaf else None,
        rails=low.rails[:2],
        fields=(FrameField(Fill.GROOVED_PANEL),),
        bars=None,
    )
    frame = section("ovolo", "frame", unit)
    found = work_out(made, {frame.name: frame}, Shipped(unit).settings.finest_mark)
    of = plan_job(made, found, Shipped(unit))
    assert found.panes[0].height < Length("220 mm")
    got_out = ("rule and square", "boards side by side")
    (sizes,) = [jig.sizes for each in of.operations for jig in each.jigs if jig.name in got_out]
    assert sizes["length"] == Length(least)
    assert too_short(of, unit) == []
    (row,) = [
        each
        for each in cut_list(made, of.joinery, Shipped(unit).settings.unit, {})
        if each.kind is RowKind.PANEL
    ]
    assert row.rough.length == Length(least) > row.finished.length
