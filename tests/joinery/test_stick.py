"""Story stick, spacer blocks and plunges."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from setupsheets.joinery.frame.layout import lay_out
from setupsheets.joinery.leaf import work_out
from setupsheets.joinery.members.parts import Mortise
from setupsheets.joinery.members.plunges import Plunges, plunges
from setupsheets.joinery.members.stick import Line, Stick, spacers, sticks
from setupsheets.lengths import Length
from setupsheets.shop.jobs import Bars, Job, Lock, Through
from tests.joinery.designs import FINEST, SECTIONS, SIXTY_FOURTHS, inches, leaf, two_fields


def stick_of(job: Job, name: str) -> Stick:
    found = sticks(work_out(job, SECTIONS, FINEST), FINEST)
    return {stick.part: stick for stick in found}[name]


def places(stick: Stick, line: Line) -> list[Length]:
    return [mark.at for mark in stick.marks if mark.line is line]


def test_a_rails_stick_has_its_three_lengths() -> None:
    """Plane arithmetic: A = 18, ws = 3/8, wr = 7/16, p = 1 1/4."""
    stick = stick_of(leaf(), "top rail")
    for line, length in (
        (Line.FACE_SHOULDER, "18 3/4"),
        (Line.BACK_SHOULDER, "18 7/8"),
        (Line.TENON, "20 1/2"),
        (Line.SIGHT_EDGE, "18"),
    ):
        low, high = places(stick, line)
        assert high - low == inches(length)
        assert low + high == inches("18")


def test_a_stiles_stick_starts_at_the_bottom_of_the_leaf() -> None:
    stick = stick_of(leaf(), "stile")
    assert places(stick, Line.END) == [Length.ZERO, inches("46")]
    assert places(stick, Line.HORN) == [-inches("1"), inches("47")]
    # Five for rails and bars, and the two shallow ones for the haunches.
    assert len(places(stick, Line.MORTISE_START)) == 7


def test_marks_on_both_edges_say_which() -> None:
    edges = [
        m.edge for m in stick_of(two_fields(), "lock rail").marks if m.line is Line.MORTISE_START
    ]
    assert sorted(str(edge) for edge in edges) == ["0", "1"]


def test_a_lock_is_marked_on_the_stile() -> None:
    lock = Lock(inches("36"), inches("6"), inches("2"), inches("1/2"))
    joinery = work_out(leaf(), SECTIONS, FINEST)
    stile, *others = sticks(joinery, FINEST, lock)
    assert places(stile, Line.LOCK_START) + places(stile, Line.LOCK_END) == [
        inches("33"),
        inches("39"),
    ]
    assert not any(places(stick, Line.LOCK_START) for stick in others)


def test_halvings_are_marked() -> None:
    halved = leaf(rows=3, columns=2, bars=Bars("bar", through=Through.HALVED))
    assert len(places(stick_of(halved, "upright bar"), Line.HALVING_START)) == 2


@given(st.integers(2, 12), st.fractions(30, 60, max_denominator=1000))
@settings(max_examples=30, deadline=None)
def test_no_mark_is_further_off_than_half_a_division(rows: int, sight: Fraction) -> None:
    """Rounded singly from the datum, however many bars there are (plain arithmetic)."""
    job = leaf(rows=rows)
    size = replace(job.size, height=Length.inches(sight) + inches("6"))
    for stick in sticks(work_out(replace(job, leaf=size), SECTIONS, FINEST), FINEST):
        assert max(abs(mark.off) for mark in stick.marks) <= inches("1/128")
        assert list(stick.marks) == sorted(stick.marks, key=lambda mark: mark.at)


def test_stepped_off_marks_would_drift() -> None:
    """Ten lights of 40 in less nine bars, each rounded down by up to 1/128, add up (arithmetic)."""
    job = leaf(rows=10)
    (found,) = spacers(lay_out(job, SECTIONS), FINEST)
    assert [count for _, count in found.blocks] == [10]
    assert found.adds_up
    assert found.drift == sum(
        (SIXTY_FOURTHS.round(block) * n - block * n for block, n in found.blocks), Length.ZERO
    )
    assert abs(found.drift) > inches("1/128")


def test_spacers_of_every_divided_field_and_direction() -> None:
    found = spacers(lay_out(two_fields(), SECTIONS), FINEST)
    assert [(s.field, s.direction, s.bars) for s in found] == [
        (1, "rows", 2),
        (1, "columns", 1),
        (2, "columns", 1),
    ]
    assert all(s.adds_up for s in found)


def mortise(length: Length) -> Mortise:
    quarter = inches("1/4")
    return Mortise("stile", "rail", 0, inches("1"), inches("1") + length, quarter, quarter, length)


@given(st.fractions(Fraction(1, 4), 6, max_denominator=64))
def test_plunges_cover_the_mortise_and_stay_inside(length: Fraction) -> None:
    tool, made = inches("1/4"), mortise(Length.inches(length))
    at = plunges(made, tool)
    assert at.webs == ()
    centres = sorted((*at.ends, *at.between))
    assert centres[0] - tool / 2 == made.start
    assert centres[-1] + tool / 2 == made.end
    steps = [b - a for a, b in pairwise(centres)]
    assert all(step <= tool * 3 / 4 for step in steps)
    assert len(set(steps)) <= 1


def test_the_ends_are_cut_first_and_a_tool_that_is_too_long_is_refused() -> None:
    assert plunges(mortise(inches("1")), inches("1/4")).ends == (inches("1 1/8"), inches("1 7/8"))
    assert plunges(mortise(inches("1/4")), inches("1/4")) == Plunges((inches("1 1/8"),))
    with pytest.raises(ValueError, match="longer than the mortise"):
        plunges(mortise(inches("3/16")), inches("1/4"))


@given(st.fractions(Fraction(1, 2), 6, max_denominator=64))
def test_drilled_holes_stand_a_diameter_apart_and_the_webs_come_last(length: Fraction) -> None:
    """A drill runs off into an open hole: common practice, no source. What each hole meets is
    reckoned here hole by hole, in the order told."""
    bit, made = inches("1/4"), mortise(Length.inches(length))
    at = plunges(made, bit, drilled=True)
    holes = sorted((*at.ends, *at.between))
    assert holes[0] - bit / 2 == made.start
    assert holes[-1] + bit / 2 == made.end
    assert all(bit <= b - a < 2 * bit for a, b in pairwise(holes))
    assert list(at.webs) == [(a + b) / 2 for a, b in pairwise(holes)]


def test_in_an_inch_a_quarter_bit_bores_four_holes_and_three_webs() -> None:
    """From 1 to 2: 1 1/8, 1 3/8, 1 5/8, 1 7/8 just touch; the webs stand between them."""
    at = plunges(mortise(inches("1")), inches("1/4"), drilled=True)
    assert at.ends == (inches("1 1/8"), inches("1 7/8"))
    assert at.between == (inches("1 3/8"), inches("1 5/8"))
    assert at.webs == (inches("1 1/4"), inches("1 1/2"), inches("1 3/4"))
