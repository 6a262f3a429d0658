"""Stopped cuts against the half-chord worked by hand and the geometry library's circles."""

from __future__ import annotations

import math
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, Point

from setupsheets.joinery.members.parts import Part, Role
from setupsheets.lengths import Length, Notation, Unit
from setupsheets.machining.cutting.planes import CutError
from setupsheets.machining.operations import Operation
from setupsheets.machining.setting.stopped_cuts import half_chord, ramp_outline, tape_marks
from setupsheets.shop.cutters import Cutter, CutterType
from setupsheets.shop.machine_kinds import MachineType
from setupsheets.shop.recipes import MeasuredTo, Surface, Work
from setupsheets.wording.setting_up import tape_words
from tests.machining.handmade import OVOLO, bit, blade, inches, mm, operation, section

SIXTEENTHS = Notation(Unit.IN, Fraction(1, 16))


def stopped(cutter: Cutter | None, height: str = "3/4") -> Operation:
    settings: list[Any] = [("fence", "7/16", MeasuredTo.FAR), ("height", height)]
    return operation("rebate", MachineType.TABLE_SAW, cutter, Work.EDGE, Surface.BACK,
                     Surface.SIGHT_EDGE, settings, lowered_on=True)  # fmt: skip


def test_the_half_chord_of_the_check_values() -> None:
    """Radius 5 in, 3/4 in above the table: 2.6339 in (plain computation, redone by hand:
    5^2 - 4.25^2 = 6.9375, its root 2.6339)."""
    assert half_chord(5, 0.75) == pytest.approx(2.6339, abs=5e-5)
    assert half_chord(5, 0.75, 0.75) == 0
    assert half_chord(5, 0.75, 0.8) == 0
    assert half_chord(5, 0) == 0
    assert half_chord(5, 5) == 5


@given(
    st.floats(10, 200), st.floats(0.05, 0.95), st.floats(0, 0.99).map(lambda share: round(share, 9))
)
def test_the_half_chord_against_a_circle_cut_by_a_line(
    radius: float, share: float, level_share: float
) -> None:
    """The geometry library's circle of 4096 sides, cut by a level line: at levels that it can tell
    from nought, for at 1e-308 it is seven thousandths off the chord worked by hand."""
    height, level = share * radius, share * radius * level_share
    circle = Point(0, height - radius).buffer(radius, quad_segs=1024)
    line = LineString([(-2 * radius, level), (2 * radius, level)])
    assert half_chord(radius, height, level) == pytest.approx(
        circle.intersection(line).length / 2, rel=1e-3, abs=1e-3
    )


def test_both_tape_marks_and_the_ramp_of_a_rebate_stopped_at_both_ends() -> None:
    """A 10 in blade 3/4 high must stay between 3 and 30 along a 36 in stile: lowered on with the
    leading end 3 + 2.634 past the blade's middle, lifted off at 30 - 2.634; ramps 2.634 long."""
    marks = tape_marks(stopped(blade()), inches("36"), inches("3"), inches("30"))
    assert marks.lower_on is not None and marks.lift_off is not None
    assert marks.lower_on / 25.4 == pytest.approx(5.6339, abs=5e-5)
    assert marks.lift_off / 25.4 == pytest.approx(27.3661, abs=5e-5)
    assert marks.ramp / 25.4 == pytest.approx(2.6339, abs=5e-5)
    assert marks.full == pytest.approx((marks.lower_on, marks.lift_off))
    said = tape_words(marks, SIXTEENTHS)
    assert said.startswith("lower the part on with its leading end 5 5/8 in past")
    assert "2 5/8 in of ramp" in said


def test_a_cut_that_runs_in_over_the_end_is_only_lifted_off() -> None:
    marks = tape_marks(stopped(blade()), inches("36"), Length.ZERO, inches("30"))
    assert marks.lower_on is None
    assert marks.full[0] == 0
    through = tape_marks(stopped(blade()), inches("36"), Length.ZERO, inches("36"))
    assert (through.lower_on, through.lift_off) == (None, None)
    assert tape_words(through, SIXTEENTHS) == "the cut runs through from end to end"


def test_a_straight_bit_leaves_no_ramp_but_its_own_radius() -> None:
    tool = bit(CutterType.STRAIGHT_BIT, "3/4")
    marks = tape_marks(stopped(tool), inches("36"), inches("3"), inches("30"))
    assert marks.lower_on == pytest.approx(mm("3 3/8"))
    assert marks.lift_off == pytest.approx(mm("29 5/8"))
    assert marks.ramp == 0
    shortest = tape_marks(stopped(tool), inches("36"), inches("3"), inches("3 3/4"))
    assert (shortest.lower_on, shortest.lift_off) == pytest.approx((mm("3 3/8"),) * 2)
    with pytest.raises(ValueError, match="cuts 19"):
        tape_marks(stopped(tool), inches("36"), inches("3"), inches("3 47/64"))


def test_a_moulding_bit_is_narrower_at_its_top_by_the_mouldings_width() -> None:
    """Radius 11/16, profile 3/8 wide: at the table it cuts 11/16, at its top 3/8 less."""
    tool = bit(CutterType.STICKING_BIT, "1 3/8", profile=OVOLO)
    made = stopped(tool, "7/16")
    marks = tape_marks(made, inches("36"), inches("3"), inches("30"))
    assert marks.lower_on == pytest.approx(mm("3 11/16"))
    assert marks.ramp == pytest.approx(mm("3/8"))
    assert ramp_outline(made)[0] == (0, 0)
    assert ramp_outline(made)[-1] == pytest.approx((mm("3/8"), mm("7/16")))


def test_the_ramp_follows_the_blade() -> None:
    """Half way up, at 3/8, the blade cuts sqrt(25 - 4.625^2) = 1.8998: 0.7341 before the mark."""
    outline = ramp_outline(stopped(blade()), steps=2)
    assert [level / 25.4 for _, level in outline] == pytest.approx([0, 0.375, 0.75])
    before = [distance / 25.4 for distance, _ in outline]
    expected = [0, 2.63391 - math.sqrt(25 - 4.625**2), 2.63391]
    assert before == pytest.approx(expected, abs=1e-4)


def test_marks_closer_than_the_blades_own_cut_are_refused() -> None:
    with pytest.raises(ValueError, match=r"cuts 133\.8 mm where it stands"):
        tape_marks(stopped(blade()), inches("36"), inches("3"), inches("8"))
    assert tape_marks(stopped(blade()), inches("36"), inches("3"), inches("8 1/2"))


def test_what_is_not_known_of_the_cutter_is_named() -> None:
    with pytest.raises(CutError, match="no cutter"):
        tape_marks(stopped(None), inches("36"), inches("3"), inches("8"))
    bare = Cutter("bare", "Bare", CutterType.SAW_BLADE, kerf=inches("1/8"))
    with pytest.raises(CutError, match="no diameter"):
        tape_marks(stopped(bare), inches("36"), inches("3"), inches("8"))


def part(role: Role) -> Part:
    return Part("stile", role, section(), 2, inches("2 1/4"), inches("38"), 1,
                stile_length=inches("40"), horn=inches("1"))  # fmt: skip
