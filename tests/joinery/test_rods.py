"""Height rod and width rod against plane geometry done by hand from the door's sizes."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given, settings
from msgspec.structs import replace

from setupsheets.joinery.frame.layout import lay_out
from setupsheets.joinery.leaf import work_out
from setupsheets.joinery.members.rod_strips import HiddenKind, Rod, RodPane, RodStrip, Way
from setupsheets.joinery.members.rods import rods
from setupsheets.joinery.members.stick import Line
from setupsheets.joinery.notes import DesignFaults
from setupsheets.lengths import Length
from setupsheets.shop.jobs import (
    Bars,
    Clearances,
    Fill,
    FrameField,
    Job,
    Lock,
    Meeting,
    Opening,
    Panels,
    Side,
    Through,
)
from tests.joinery.designs import FINEST, FRAME, SECTIONS, inches, leaf, two_fields
from tests.joinery.test_any_job import likely


def both(job: Job) -> tuple[Rod, Rod]:
    return rods(lay_out(job, SECTIONS))


def places(strip: RodStrip, line: Line, part: str) -> set[Length]:
    return {mark.at for mark in strip.marks if mark.line is line and mark.part == part}


def at(*texts: str) -> set[Length]:
    return {inches(text) for text in texts}


# The leaf worked by hand: sight opening 18 by 40 between members 3 wide, sticking 3/8, rebate 7/16,
# mortises 1 1/4 deep without a gap. Face 18 3/4, back 18 7/8, overall 20 1/2, and with three bars
# 1 1/8 wide the tongues' lower edges stand 9 19/32, 19 7/8 and 30 5/32 less 1/4 above the lower
# sight edge, which is 3 above the bottom.


def test_shoulders_of_a_width_rod_stand_where_the_three_lengths_put_them() -> None:
    _, width = both(leaf())
    (strip,) = width.strips
    assert width.way is Way.WIDTH and width.length == inches("24")
    for part in ("top rail", "bottom rail", "cross bar"):
        assert places(strip, Line.FACE_SHOULDER, part) == at("2 5/8", "21 3/8")
        assert places(strip, Line.BACK_SHOULDER, part) == at("2 9/16", "21 7/16")
        assert places(strip, Line.TENON, part) == at("1 3/4", "22 1/4")
    assert places(strip, Line.SIGHT_EDGE, "stile") == at("3", "21")
    assert places(strip, Line.OUTER_EDGE, "stile") == at("0", "24")


def test_bars_of_a_height_rod_stand_where_equal_lights_put_them() -> None:
    """S = 10 1/32 between rebates: sight edges 3 + 9 5/32 n + 1 1/8 (n - 1) from the bottom."""
    height, _ = both(leaf())
    (strip,) = height.strips
    first = Fraction(3) + Fraction(293, 32)
    step = Fraction(293, 32) + Fraction(9, 8)
    edges = {first + step * n + more for n in range(3) for more in (0, Fraction(9, 8))}
    assert places(strip, Line.SIGHT_EDGE, "cross bar") == {
        Length.millimetres(edge * Fraction("25.4")) for edge in edges
    }
    assert places(strip, Line.SIGHT_EDGE, "bottom rail") == at("3")
    assert places(strip, Line.SIGHT_EDGE, "top rail") == at("43")
    assert places(strip, Line.HORN, "stile") == at("-1", "47")


def test_mortises_of_a_height_rod_are_those_of_the_tenons() -> None:
    """Rails 3 wide with a haunch of 1 in: the tenon has 2 in, from the sight edge outwards."""
    height, _ = both(leaf())
    (strip,) = height.strips
    found = {(m.line, m.of): m.at for m in strip.marks if m.part == "stile" and m.of}
    assert found[Line.MORTISE_START, "bottom rail"] == inches("1")
    assert found[Line.MORTISE_END, "bottom rail"] == inches("3")
    assert found[Line.MORTISE_START, "top rail"] == inches("43")
    assert found[Line.MORTISE_END, "top rail"] == inches("45")
    haunches = [each for each in strip.hidden if each.kind is HiddenKind.HAUNCH]
    assert {(each.start, each.end) for each in haunches} == {
        (inches("0"), inches("1")),
        (inches("45"), inches("46")),
    }
    tenons = {each.from_face for each in strip.hidden if each.kind is HiddenKind.MORTISE}
    assert tenons == at("3/8")


def test_panes_between_rebates_are_of_one_size() -> None:
    """Common practice, no published source: four bars of 1/4 between rebates 74 7/16 apart leave
    five lights of 14 11/16; the glass has 1/8 less at each edge."""
    job = leaf(sight_height="73 9/16", rows=5)
    (strip,) = both(job)[0].strips
    assert len(strip.panes) == 5
    assert {each.end - each.start for each in strip.panes} == at("14 7/16")
    assert strip.panes[0].start == inches("3") - inches("7/16") + inches("1/8")
    assert strip.panes[0].from_face == inches("5/8")


def test_broken_bars_have_shoulders_at_the_bars_that_run_through() -> None:
    """Two lights across 18: S = (18 + 7/8 - 1/4) / 2 = 9 5/16, so the bar stands from 3 + 8 7/16
    to + 1 1/8; a cross bar broken at it is coped 3/8 past its sight edges."""
    job = leaf(rows=2, columns=2)
    job = replace(job, bars=replace(job.bars or Bars("bar"), through=Through.UPRIGHT))
    height, width = both(job)
    (strip,) = width.strips
    assert places(strip, Line.SIGHT_EDGE, "upright bar") == at("11 7/16", "12 9/16")
    crossed = places(strip, Line.FACE_SHOULDER, "cross bar")
    assert crossed == at("2 5/8", "11 13/16", "12 3/16", "21 3/8")
    assert places(strip, Line.TENON, "cross bar") == at("1 3/4", "12", "22 1/4")
    (upright,) = height.strips
    assert places(upright, Line.FACE_SHOULDER, "upright bar") == at("2 5/8", "43 3/8")


def test_unequal_lights_stand_where_their_shares_put_them() -> None:
    """40 + 7/8 - 1/4 = 40 5/8 between rebates, in shares of 1 at the top to 2 below it: 27 1/12
    below, whose tongue begins 26 31/48 above the lower sight edge."""
    job = leaf(rows=2)
    job = replace(
        job, fields=(FrameField(Fill.GLASS, 2, 1, row_shares=(Fraction(1), Fraction(2))),)
    )
    (strip,) = both(job)[0].strips
    low = inches("3") + inches("27 1/12") - inches("7/16") - inches("7/16")
    assert places(strip, Line.SIGHT_EDGE, "cross bar") == {low, low + inches("1 1/8")}


def test_fields_that_differ_have_a_strip_each_and_those_alike_share_one() -> None:
    _, alike = both(two_fields())
    assert [strip.fields for strip in alike.strips] == [(1, 2)]
    _, width = both(two_fields(Fill.PANEL))
    assert [strip.fields for strip in width.strips] == [(1,), (2,)]
    assert [len(strip.cuts) for strip in width.strips] == [3, 2]
    assert [len(strip.panes) for strip in width.strips] == [2, 1]


def test_a_panel_in_a_groove_stands_in_it_and_rails_have_no_shoulder_behind_it() -> None:
    """Groove 1/2 deep in stiles 3 wide: the panel, 1/8 free at each edge, from 2 5/8 to 23 3/8."""
    panels = Panels(inches("1/4"), inches("1/4"), inches("1/2"), inches("1/8"))
    job = replace(two_fields(Fill.GROOVED_PANEL), panels=panels)
    height, width = both(job)
    panel = width.strips[1].panes[0]
    assert (panel.start, panel.end) == (inches("2 5/8"), inches("23 3/8"))
    assert panel.from_face == inches("3/8") and panel.thickness == inches("1/4")
    assert places(width.strips[1], Line.BACK_SHOULDER, "bottom rail") == at("3", "23")
    grooves = {cut.part: [bool(each) for each in cut.grooves] for cut in height.strips[0].cuts}
    assert grooves["lock rail"] == [True, False]
    assert grooves["bottom rail"] == [False, True]
    assert grooves["top rail"] == [False, False]


def test_a_raised_panel_has_its_tongue_in_the_groove_and_its_field_towards_the_face() -> None:
    """Groove from 3/8 to 5/8 behind the face, panel 1/2 thick: its field begins 1/8 behind it."""
    panels = Panels(inches("1/2"), inches("1/4"), inches("1/2"), inches("1/8"), inches("2"))
    _, width = both(replace(two_fields(Fill.GROOVED_PANEL), panels=panels))
    panel = width.strips[1].panes[0]
    assert (panel.from_face, panel.thickness) == (inches("1/8"), inches("1/2"))
    assert (panel.border, panel.tongue) == (inches("2"), inches("1/4"))


def test_halved_bars_show_their_halvings() -> None:
    """The notch in an upright's back is the tongue of the cross bar, 1/4; in a cross bar's face
    what its mouldings leave flat, 3/8."""
    job = leaf(rows=2, columns=2)
    job = replace(job, bars=replace(job.bars or Bars("bar"), through=Through.HALVED))
    for rod, wide, deep in zip(both(job), ("1/4", "3/8"), ("11/16", "0"), strict=True):
        (notch,) = [each for each in rod.strips[0].hidden if each.kind is HiddenKind.HALVING]
        assert (notch.from_face, notch.thickness) == (inches(deep), inches("11/16"))
        assert notch.end - notch.start == inches(wide)
        starts = [m.at for m in rod.strips[0].marks if m.line is Line.HALVING_START]
        assert starts == [notch.start]


@pytest.mark.parametrize("above", ["20", "30 1/2"])
def test_the_lock_is_marked_on_the_height_rod(above: str) -> None:
    lock = Lock(inches(above), inches("6"), inches("3"), inches("5/8"))
    height, width = both(replace(leaf(), lock=lock))
    marks = [m for m in height.strips[0].marks if m.line in (Line.LOCK_START, Line.LOCK_END)]
    assert [m.at for m in marks] == [inches(above) - inches("3"), inches(above) + inches("3")]
    assert not [m for m in width.strips[0].marks if m.line is Line.LOCK_START]


LOCKS = (Line.LOCK_START, Line.LOCK_END)


@given(likely())
@settings(max_examples=25, deadline=None)
def test_any_rod_has_its_members_in_order_and_its_marks_on_it(job: Job) -> None:
    """Members cut across never overlap, each pane lies between two of them as far as their rebates
    reach, and no mark stands past the horns; where the lock goes the job says by itself."""
    owned = {**SECTIONS, "other": replace(FRAME, name="other")}
    try:
        layout = work_out(job, owned, FINEST).layout
    except DesignFaults:
        return
    deepest = max(FRAME.rebate.width, inches("1/2"))
    for rod in rods(layout):
        for strip in rod.strips:
            cuts = sorted(strip.cuts, key=lambda cut: cut.low)
            assert all(before.high <= after.low for before, after in pairwise(cuts))
            assert (cuts[0].low, cuts[-1].high) == (Length.ZERO, rod.length)
            gaps = [(a.high - deepest, b.low + deepest) for a, b in pairwise(cuts)]
            assert len(gaps) == len(strip.panes)
            for (low, high), pane in zip(gaps, sorted_panes(strip), strict=True):
                assert low <= pane.start < pane.end <= high
            marks = [mark.at for mark in strip.marks if mark.line not in LOCKS]
            assert all(-rod.horn <= at <= rod.length + rod.horn for at in marks)


def sorted_panes(strip: RodStrip) -> list[RodPane]:
    return sorted(strip.panes, key=lambda pane: pane.start)


# --------------------------------------------------------------------- the opening, and two leaves


def opened(job: Job, **more: object) -> Job:
    """The leaf of 24 by 46 in an opening: 1/4 left open at the head, 1/2 below, 3/16 at the hinges,
    1/8 at the lock or 1/16 for each leaf of a pair."""
    gaps = Clearances(*map(inches, ("1/4", "3/16", "1/8", "1/2", "1/16")))
    wide = inches("48 1/2") if more.get("pair") else inches("24 5/16")
    opening = Opening(wide, inches("46 3/4"), gaps, **more)  # type: ignore[arg-type]
    return replace(job, leaf=None, opening=opening, count=2)


@pytest.mark.parametrize(
    ("hinge", "edges"), [(Side.LEFT, ("-3/16", "24 1/8")), (Side.RIGHT, ("-1/8", "24 3/16"))]
)
def test_the_opening_stands_off_by_the_gap_of_each_edge(
    hinge: Side, edges: tuple[str, str]
) -> None:
    height, width = both(opened(leaf(), hinge=hinge))
    assert places(height.strips[0], Line.OPENING, "") == at("-1/2", "46 1/4")
    assert places(width.strips[0], Line.OPENING, "") == at(*edges)


def test_what_is_left_on_is_at_the_edges_away_from_hinges_and_head() -> None:
    """1/8 on both ways: the leaf of 24 1/8 by 46 1/8 reaches 1/8 nearer to sill and lock."""
    height, width = both(opened(leaf(), fitting=inches("1/8")))
    assert places(height.strips[0], Line.OPENING, "") == at("-3/8", "46 3/8")
    assert places(width.strips[0], Line.OPENING, "") == at("-3/16", "24 1/8")


def test_the_right_leaf_of_a_pair_is_the_mirror_image_of_the_left() -> None:
    """48 1/2 = 3/16 + 24 + 1/8 + 24 + 3/16, so what lies at x lies at 48 1/8 - x as well. Columns
    of one to two: S = (18 + 7/8 - 1/4) / 3 = 6 5/24 between rebates, the narrow one at the left of
    the left leaf: its bar from 3 - 7/16 + 6 5/24 - 7/16, and 1 1/8 wide."""
    job = leaf(rows=2, columns=2)
    (field,) = job.fields
    shares = (Fraction(1), Fraction(2))
    job = replace(job, fields=(replace(field, column_shares=shares),))
    _, width = both(opened(job, pair=Meeting.PLAIN))
    (strip,) = width.strips
    assert width.length == inches("48 1/8")
    low = Fraction(3) + Fraction(149, 24) - Fraction(7, 8)
    bar = {low, low + Fraction(9, 8)}
    span = Fraction(385, 8)
    assert places(strip, Line.SIGHT_EDGE, "upright bar") == {
        Length.millimetres(edge * Fraction("25.4")) for edge in {*bar, *(span - x for x in bar)}
    }
    for leaf_side in Side:
        mine = [mark for mark in strip.marks if mark.leaf is leaf_side]
        starts = sorted(m.at for m in mine if m.line is Line.MORTISE_START)
        ends = sorted(m.at for m in mine if m.line is Line.MORTISE_END)
        assert starts and all(a < b for a, b in zip(starts, ends, strict=True))
    for kind in (strip.hidden, strip.panes, strip.beyond):
        spans = {(each.start, each.end) for each in kind}
        assert spans == {(width.length - end, width.length - start) for start, end in spans}
    cuts = [(cut.leaf, cut.part, cut.low, cut.high, cut.moulded) for cut in strip.cuts]
    stile, wood, bare = inches("3"), (False, True), (True, False)
    assert (Side.LEFT, "meeting stile", inches("21"), inches("24"), bare) in cuts
    assert (Side.RIGHT, "meeting stile", inches("24 1/8"), inches("27 1/8"), wood) in cuts
    assert (Side.LEFT, "stile", inches("0"), stile, wood) in cuts
    assert (Side.RIGHT, "stile", inches("45 1/8"), inches("48 1/8"), bare) in cuts


def test_the_grooves_of_a_pair_are_in_the_moulded_edges_of_both_leaves() -> None:
    panels = Panels(inches("1/4"), inches("1/4"), inches("1/2"), inches("1/8"))
    job = replace(two_fields(Fill.GROOVED_PANEL), panels=panels)
    gaps = Clearances(*map(inches, ("1/8", "1/8", "1/8", "1/2", "1/16")))
    tall = job.size.height + inches("5/8")
    opening = Opening(2 * job.size.width + inches("3/8"), tall, gaps, Meeting.PLAIN)
    _, width = both(replace(job, leaf=None, opening=opening, count=2))
    stiles = [cut for cut in width.strips[1].cuts if cut.part.endswith("stile")]
    assert [cut.leaf for cut in stiles] == [Side.LEFT, Side.LEFT, Side.RIGHT, Side.RIGHT]
    for cut in stiles:
        assert cut.moulded == tuple(bool(groove) for groove in cut.grooves)
        assert cut.moulded.count(True) == 1
