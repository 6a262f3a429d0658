"""Trade shapes against plane geometry: what a moulding takes out, and what no cutter can follow."""

from __future__ import annotations

import math
from collections.abc import Callable
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from setupsheets.lengths import Length
from setupsheets.shop.outlines import (
    FLATNESS,
    OutlineStep,
    Point,
    Shape,
    arc,
    same_outline,
    shape_outline,
    steps_outline,
)
from setupsheets.shop.sections import Sticking

QUARTER = math.pi / 4  # area of a quarter circle of radius 1: plane geometry


def area_taken(points: tuple[Point, ...]) -> float:
    """Area between an outline and the corner (0, 0) that it takes out, by the shoelace rule."""
    ring = [(0.0, 0.0), *points]
    pairs = zip(ring, [*ring[1:], ring[0]], strict=True)
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in pairs)) / 2


def length_of(points: tuple[Point, ...]) -> float:
    return sum(math.dist(a, b) for a, b in pairwise(points))


# Plane geometry: each shape is made of rectangles, triangles and quarter circles.
AREAS: list[tuple[Shape, float, float, float, float]] = [
    # shape, width, depth, quirk (mm), area taken (mm2), each worked by hand
    (Shape.SQUARE, 10, 8, 0, 80),
    (Shape.CHAMFER, 10, 10, 0, 10 * 10 / 2),
    (Shape.CHAMFER, 9, 10, 1, 9 * 1 + 9 * 9 / 2),
    (Shape.OVOLO, 10, 10, 0, 100 - QUARTER * 100),
    (Shape.OVOLO, 10, 10, 1.5, 100 - QUARTER * 8.5**2),
    (Shape.COVE, 10, 10, 0, QUARTER * 100),
    (Shape.COVE, 10, 10, 1.5, 10 * 1.5 + 1.5 * 8.5 + QUARTER * 8.5**2),
    (Shape.OGEE, 10, 10, 0, 50),
    (Shape.OGEE, 10, 10, 1.5, 10 * 1.5 + 1.5 * 8.5 + 8.5**2 / 2),
    (Shape.BEAD, 10, 10, 0, 2 * 25 - QUARTER * 2 * 25),
    (Shape.BEAD, 10, 10, 2, 10 * 2 + 2 * 16 - QUARTER * 2 * 16),
]


@pytest.mark.parametrize(("shape", "width", "depth", "quirk", "area"), AREAS)
def test_area_taken_is_that_of_plane_geometry(
    shape: Shape, width: float, depth: float, quirk: float, area: float
) -> None:
    points = shape_outline(shape, width, depth, quirk)
    assert area_taken(points) == pytest.approx(area, abs=FLATNESS * length_of(points))


def test_every_shape_has_a_worked_area() -> None:
    assert {row[0] for row in AREAS} == set(Shape)
    assert len(AREAS) == 11


@pytest.mark.parametrize("shape", Shape)
@example(width=2.0, depth=2.0, quirk=1e-12, flip=True)
@given(width=st.floats(2, 40), depth=st.floats(2, 40), quirk=st.floats(0, 0.9), flip=st.booleans())
def test_outlines_run_from_face_to_sight_edge_and_never_climb(
    shape: Shape, width: float, depth: float, quirk: float, flip: bool
) -> None:
    drop = quirk * depth if flip else 0.0
    points = shape_outline(shape, width, depth, drop)
    assert points[0] == (width, 0.0)
    assert points[-1] == (0.0, depth)
    assert all(b[1] >= a[1] - 1e-9 for a, b in pairwise(points))
    assert all(-1e-9 <= x <= width + 1e-9 and -1e-9 <= y <= depth + 1e-9 for x, y in points)
    assert len(set(points)) == len(points)


@given(radius=st.floats(0.5, 200), start=st.floats(0, 6), turn=st.floats(-3, 3))
def test_no_chord_strays_from_its_arc_further_than_flatness(
    radius: float, start: float, turn: float
) -> None:
    """The sagitta of a chord, plane geometry, measured at its middle."""

    def at(angle: float) -> Point:
        return (radius * math.cos(angle), radius * math.sin(angle))

    points = [at(start), *arc((0.0, 0.0), at(start), at(start + turn))]
    middles = [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in pairwise(points)]
    assert all(radius - math.hypot(*middle) <= FLATNESS * 1.001 for middle in middles)
    assert points[-1] == pytest.approx(at(start + turn))


# ------------------------------------------------------------------------- the shop's own outlines


def mm(*numbers: float) -> tuple[Length, ...]:
    return tuple(Length.millimetres(Fraction(str(number))) for number in numbers)


def moulding(
    width: float, depth: float, quirk: float = 0, outline: tuple[OutlineStep, ...] = ()
) -> Sticking:
    wide, deep, drop = mm(width, depth, quirk)
    return Sticking(Shape.OVOLO, wide, deep, drop, outline)


def test_the_trade_s_ovolo_can_be_given_by_lines_and_arcs() -> None:
    steps = (
        OutlineStep(mm(10, 2)),
        OutlineStep(mm(2, 10), centre=mm(10, 10)),
        OutlineStep(mm(0, 10)),
    )
    own = steps_outline(10, 10, steps)
    trade = shape_outline(Shape.OVOLO, 10, 10, 2)
    assert len(own) == len(trade)
    assert all(math.dist(a, b) < 1e-9 for a, b in zip(own, trade, strict=True))
    assert moulding(10, 10, outline=steps).points() == own


REFUSED: list[tuple[str, tuple[OutlineStep, ...], str]] = [
    ("climbs", (OutlineStep(mm(5, 6)), OutlineStep(mm(3, 5)), OutlineStep(mm(0, 10))), "climb"),
    (
        "an arc that climbs",
        (OutlineStep(mm(0, 10)), OutlineStep(mm(4, 6), centre=mm(4, 10))),
        "climb",
    ),
    ("ends short", (OutlineStep(mm(0, 9)),), "must end on the sight edge"),
    ("ends inside", (OutlineStep(mm(1, 10)),), "must end on the sight edge"),
    ("no arc", (OutlineStep(mm(0, 10), centre=mm(10, 9)),), "step 1 of the outline is no arc"),
]


@pytest.mark.parametrize(("name", "steps", "message"), REFUSED, ids=[row[0] for row in REFUSED])
def test_outlines_that_no_cutter_can_follow_are_refused(
    name: str, steps: tuple[OutlineStep, ...], message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        steps_outline(10, 10, steps)
    with pytest.raises(ValueError, match=message):
        moulding(10, 10, outline=steps)


UNDRAWABLE: list[tuple[Callable[[], Sticking], str]] = [
    (lambda: moulding(0, 10), "width and a depth"),
    (lambda: moulding(10, 0), "width and a depth"),
    (lambda: moulding(10, 10, 10), "quirk"),
    (lambda: moulding(10, 10, -1), "quirk"),
]


@pytest.mark.parametrize(("make", "message"), UNDRAWABLE)
def test_a_moulding_without_room_is_refused(make: Callable[[], Sticking], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        make()


def test_a_quirk_just_short_of_the_depth_is_drawn() -> None:
    assert moulding(10, 10, 9.99).points()[-1] == (0.0, 10.0)
    assert len(UNDRAWABLE) == 4
    assert len(REFUSED) == 5


@pytest.mark.parametrize(("away", "same"), [(1.9, True), (2.1, False), (-1.9, True), (-2.1, False)])
def test_two_outlines_are_one_within_the_chords_of_both(away: float, same: bool) -> None:
    """A chamfer and one whose middle is so many times as far off it as a chord may be off its
    arc."""
    off = away * FLATNESS / math.sqrt(2)
    plain, bent = [(10.0, 0.0), (0.0, 10.0)], [(10.0, 0.0), (5.0 + off, 5.0 + off), (0.0, 10.0)]
    assert same_outline(plain, bent) is same_outline(bent, plain) is same
