"""Openings out of square: the leaf planed to them is tried in the opening by plane geometry."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace
from shapely import LineString, Point

from setupsheets.joinery.frame.opening import fitting
from setupsheets.joinery.frame.out_of_square import Planing, corners, planings, slopes
from setupsheets.lengths import Length
from setupsheets.shop.jobs import Clearances, Meeting, Opening, OutOfSquare, Side
from tests.joinery.designs import SECTIONS, inches
from tests.joinery.test_faults import faults, opened

mm = Length.millimetres
GAPS = Clearances(top=mm(3), hinge=mm(2), lock=mm(4), bottom=mm(7), meeting=mm(2))
Corner = tuple[float, float]
NEAR = 0.02  # mm


def measured(shape: list[Corner], more: int = 60, **changes: object) -> Opening:
    """An opening of these corners, as a rule and a lath would find it."""
    low_left, low_right, high_right, high_left = shape
    bottom, right, top, left, across = (
        Length.from_float(math.dist(*pair), 6)
        for pair in (
            (low_left, low_right),
            (low_right, high_right),
            (high_right, high_left),
            (high_left, low_left),
            (low_left, high_right),
        )
    )
    sides = OutOfSquare(bottom, right, across)
    of = Opening(top, left, GAPS, out_of_square=sides, fitting=mm(more))
    return replace(of, **changes)


def skewed(a: int, b: int, c: int, d: int, e: int) -> list[Corner]:
    """A left jamb that is upright, and everything else a little out, in mm."""
    return [(0, 0), (800.0 + a, b), (800.0 + c, 2000.0 + d), (0, 2000.0 + e)]


def seen_from_behind(shape: list[Corner]) -> list[Corner]:
    low_left, low_right, high_right, high_left = ((800 - x, y) for x, y in shape)
    return [low_right, low_left, high_left, high_right]


def hung(shape: list[Corner], of: Opening, found: list[Planing], far: float) -> None:
    """The planed leaf is laid along the left jamb at its clearance and let down until its upper
    hinge corner clears the head; then every other corner must clear what it is next to."""
    top, lock, bottom = found
    jamb, sill, other, head = (
        LineString([shape[one], shape[two]]) for one, two in ((0, 3), (0, 1), (1, 2), (3, 2))
    )
    wide, high = float(of.leaf.width.mm), float(of.leaf.height.mm)
    (top_at_hinge, top_at_lock), (lock_top, lock_bottom), (low_at_hinge, low_at_lock) = (
        [float(off.mm) for off in each.off] for each in (top, lock, bottom)
    )
    planed = [
        (0.0, low_at_hinge),
        (wide - lock_bottom, low_at_lock),
        (wide - lock_top, high - top_at_lock),
        (0.0, high - top_at_hinge),
    ]
    assert shape[0][0] == shape[3][0] == 0  # an upright jamb
    x = float(GAPS.hinge.mm)
    slope = (shape[2][1] - shape[3][1]) / (shape[2][0] - shape[3][0])
    under = shape[3][1] + slope * x - float(GAPS.top.mm) * math.hypot(1, slope)
    lift = under - planed[3][1]
    placed = [Point(x + px, lift + py) for px, py in planed]
    long = {line: LineString(stretched(line)) for line in (jamb, sill, other, head)}
    for corner, lines in zip(
        placed, ((jamb, sill), (sill, other), (other, head), (head, jamb)), strict=True
    ):
        for line in lines:
            gap = {jamb: 2.0, sill: 7.0, other: far, head: 3.0}[line]
            assert long[line].distance(corner) == pytest.approx(gap, abs=NEAR)


def stretched(line: LineString) -> list[Corner]:
    (x1, y1), (x2, y2) = line.coords
    return [(2 * x1 - x2, 2 * y1 - y2), (2 * x2 - x1, 2 * y2 - y1)]


OUT = st.integers(-12, 12)


@given(OUT, OUT, OUT, OUT, OUT)
def test_a_planed_leaf_clears_its_opening_evenly(a: int, b: int, c: int, d: int, e: int) -> None:
    shape = skewed(a, b, c, d, e)
    of = measured(shape)
    assert [pytest.approx(each, abs=1e-3) for each in shape] == list(corners(of) or ())
    hung(shape, of, list(planings(of)), far=4.0)


@given(OUT, OUT, OUT, OUT, OUT)
def test_hinges_at_the_right_are_the_same_from_behind(
    a: int, b: int, c: int, d: int, e: int
) -> None:
    shape = skewed(a, b, c, d, e)
    of = measured(seen_from_behind(shape), hinge=Side.RIGHT)
    hung(shape, of, list(planings(of)), far=4.0)


@given(OUT, OUT, OUT, OUT, OUT)
def test_the_left_leaf_of_a_pair_meets_in_the_middle(
    a: int, b: int, c: int, d: int, e: int
) -> None:
    """Its part of the opening ends at the line between the middles of head and sill."""
    whole = skewed(a, b, c, d, e)
    of = measured(whole, pair=Meeting.PLAIN)
    sill, head = (
        ((whole[one][0] + whole[two][0]) / 2, (whole[one][1] + whole[two][1]) / 2)
        for one, two in ((0, 1), (3, 2))
    )
    left, right = planings(of)[:3], planings(of)[3:]
    assert [each.leaf for each in (*left, *right)] == ["left leaf"] * 3 + ["right leaf"] * 3
    hung([whole[0], sill, head, whole[3]], of, list(left), far=2.0)


def test_head_sill_and_jamb_are_out_by_their_own_rise_over_their_own_run() -> None:
    """In mm: the sill falls 20 in 800, the head rises 30 in 900, and the right jamb, from 20 under
    the sill's left end to 2030 over it, leans 100 out in 2050 (plane geometry)."""
    shape = ((0.0, 0.0), (800.0, -20.0), (900.0, 2030.0), (0.0, 2000.0))
    assert slopes(shape) == pytest.approx((30 / 900, 20 / 800, 100 / 2050))


def test_a_leaning_opening_worked_by_hand() -> None:
    """A parallelogram 30 by 40 whose upper right corner stands 1/2 higher than the left: the
    diagonal is the root of 30 squared and 40 1/2 squared, 50.4009 in. The leaf's top loses what
    the head rises over the leaf at its hinge side and nothing at the other."""
    sides = OutOfSquare(inches("30.00417"), inches("40"), inches("50.40089"))
    none = Clearances(*(Length.ZERO,) * 5)
    of = Opening(inches("30.00417"), inches("40"), none, out_of_square=sides, fitting=inches("1/2"))
    top, lock, bottom = planings(of)
    half, nothing = 12.7, 0.0
    close = pytest.approx
    assert [float(off.mm) for off in top.off] == [close(half, abs=0.02), close(nothing, abs=0.02)]
    assert [float(off.mm) for off in lock.off] == [close(half + 0.106, abs=0.02)] * 2
    assert [float(off.mm) for off in bottom.off] == [
        close(nothing, abs=0.02),
        close(half, abs=0.02),
    ]


def test_a_square_opening_gives_back_what_was_left_on() -> None:
    of = Opening(mm(845), mm(2050), GAPS, fitting=mm(3))
    assert (of.leaf.width, of.leaf.height) == (mm(845 - 6 + 3), mm(2050 - 10 + 3))
    lock, bottom = fitting(of, mm(44)).planings
    assert (lock.edge, lock.off) == ("lock", (mm(3), mm(3)))
    assert (bottom.edge, bottom.off) == ("bottom", (mm(3), mm(3)))
    assert fitting(replace(of, fitting=Length.ZERO), mm(44)).planings == ()


def test_the_greater_sides_make_the_leaf() -> None:
    sides = OutOfSquare(mm(848), mm(2046), mm(2218))
    of = Opening(mm(845), mm(2050), GAPS, out_of_square=sides, fitting=mm(5))
    assert (of.leaf.width, of.leaf.height) == (mm(848 - 6 + 5), mm(2050 - 10 + 5))


def test_what_is_asked_to_be_left_on_is_enough() -> None:
    """Both sides of the limit: 52 squared less 24 squared and 46 squared is 12, so the head rises
    by 12 / (2 x 46) = 0.1304 in, over the leaf's 23 3/4 in by 0.1291 in: between 1/8 and 9/64."""
    short = faults(opened("24", "46", "52", "1/8"), SECTIONS)
    assert [field for field, _ in short] == ["opening.fitting"]
    assert faults(opened("24", "46", "52", "9/64"), SECTIONS) == []
