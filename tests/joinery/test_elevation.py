"""The elevation: its rectangles tile the leaf, checked with a geometry library."""

from __future__ import annotations

from collections import Counter

import pytest
from msgspec.structs import replace
from shapely import unary_union
from shapely.geometry import box

from setupsheets.joinery.frame.layout import lay_out
from setupsheets.joinery.leaf import work_out
from setupsheets.joinery.members.elevation import Box, Look, elevation
from setupsheets.lengths import Length
from setupsheets.shop.jobs import Bars, Fill, Job, Through
from tests.joinery.designs import FINEST, SECTIONS, inches, leaf, two_fields

JOBS = {
    "one field": leaf(),
    "crossing": leaf(rows=3, columns=4),
    "upright through": leaf(rows=3, columns=4, bars=Bars("bar", through=Through.UPRIGHT)),
    "two fields": two_fields(),
    "panel": two_fields(Fill.PANEL),
}


def shape(made: Box) -> box:
    x, y = made.x.mm, made.y.mm
    return box(float(x), float(y), float(x + made.width.mm), float(y + made.height.mm))


@pytest.mark.parametrize("job", JOBS.values(), ids=JOBS)
def test_members_and_panes_tile_the_leaf(job: Job) -> None:
    """Areas add up to the leaf's and the union is the leaf (shapely)."""
    found = elevation(lay_out(job, SECTIONS))
    shapes = [shape(each) for each in found.boxes if each.look is not Look.HORN]
    whole = float(found.width.mm) * float(found.height.mm)
    assert sum(each.area for each in shapes) == pytest.approx(whole)
    assert unary_union(shapes).area == pytest.approx(whole)
    assert unary_union(shapes).bounds == pytest.approx(
        (0, 0, float(found.width.mm), float(found.height.mm))
    )


def test_halved_bars_cross() -> None:
    job = leaf(rows=3, columns=2, bars=Bars("bar", through=Through.HALVED))
    bars = [b for b in elevation(lay_out(job, SECTIONS)).boxes if "bar" in b.name]
    assert [(b.width, b.height) for b in bars] == [
        (inches("18"), inches("1 1/8")),
        (inches("18"), inches("1 1/8")),
        (inches("1 1/8"), inches("40")),
    ]


@pytest.mark.parametrize("job", JOBS.values(), ids=JOBS)
def test_as_many_pieces_as_parts(job: Job) -> None:
    boxes = elevation(lay_out(job, SECTIONS)).boxes
    parts = work_out(job, SECTIONS, FINEST).parts
    for role in ("cross bar", "upright bar"):
        drawn = Counter(each.name for each in boxes if each.look == role)
        assert drawn == {part.name: part.count for part in parts if part.role == role}


def test_mortises_lie_where_the_bars_are_drawn() -> None:
    joinery = work_out(two_fields(), SECTIONS, FINEST)
    boxes = elevation(lay_out(two_fields(), SECTIONS)).boxes
    bars = {(each.y, each.y + each.height) for each in boxes if each.look is Look.CROSS_BAR}
    assert bars == {(m.start, m.end) for m in joinery.mortises if m.holds == "cross bar"}


def test_dimensions_add_up_each_way() -> None:
    found = elevation(lay_out(two_fields(), SECTIONS))
    for upright, whole in ((False, found.width), (True, found.height)):
        sizes = [each.size for each in found.dimensions if each.upright is upright]
        assert sizes[0] == whole
        assert sum(sizes[1:], Length.ZERO) == whole


def test_horns_stand_beyond_the_leaf() -> None:
    horns = [b for b in elevation(lay_out(leaf(), SECTIONS)).boxes if b.look is Look.HORN]
    assert len(horns) == 4
    plain = replace(leaf(), stiles=replace(leaf().stiles, horn=Length.ZERO))
    assert not [b for b in elevation(lay_out(plain, SECTIONS)).boxes if b.look is Look.HORN]
