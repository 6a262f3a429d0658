"""Tolerance stacks and the dry fit."""

from __future__ import annotations

import math
import random
import statistics
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from setupsheets.joinery.fits.dry_fit import OUT_OF_SIZE, OUT_OF_SQUARE, expected, findings, skew
from setupsheets.joinery.fits.tolerance_stacks import Contribution, ToleranceStack, fit_notes, fits
from setupsheets.joinery.frame.layout import lay_out
from setupsheets.joinery.leaf import work_out
from setupsheets.lengths import Length, Unit
from setupsheets.shop.jobs import Fill, Job, Meeting, Opening, Panels
from setupsheets.shop.settings import Tolerances
from setupsheets.wording.joinery_notes import note_texts
from tests.joinery.designs import FINEST, SECTIONS, SIXTY_FOURTHS, inches, leaf, two_fields


def mm(text: str) -> Length:
    return Length.millimetres(Fraction(text))


def stacks(job: Job, tolerances: Tolerances | None = None) -> dict[str, ToleranceStack]:
    found = fits(lay_out(job, SECTIONS), work_out(job, SECTIONS, FINEST), tolerances)
    return {f"{stack.of}: {stack.fit}": stack for stack in found}


PARTS = tuple(Contribution(t, mm(t)) for t in ("0.20", "0.10", "0.15"))
THREE = ToleranceStack("door", "gap", mm("0.4"), PARTS)


def test_worst_case_and_statistical_stack() -> None:
    """Plane arithmetic in the notation of F. Scholz, Tolerance Stack Analysis Methods, 1995:
    0.20, 0.10 and 0.15 give 0.45 and 0.269."""
    assert THREE.worst == mm("0.45")
    assert float(THREE.statistical.mm) == pytest.approx(0.269, abs=0.0005)


def test_the_largest_contribution_comes_first() -> None:
    assert [each.setting for each, _ in THREE.ranked] == ["0.20", "0.15", "0.10"]
    assert sum(share for _, share in THREE.ranked) == pytest.approx(1)


def test_a_sensitivity_counts_as_often_as_it_says() -> None:
    doubled = ToleranceStack(
        "door", "gap", mm("0"), (Contribution("both", mm("0.3"), Fraction(-2)),)
    )
    assert doubled.worst == doubled.statistical == mm("0.6")


def test_the_statistical_stack_is_the_spread_of_independent_errors() -> None:
    """Drawn at random: three standard deviations of the sum come to the root of the squares."""
    chance = random.Random(1)
    sums = [
        sum(chance.gauss(0, float(each.reach.mm) / 3) for each in THREE.contributions)
        for _ in range(10_000)
    ]
    assert 3 * statistics.stdev(sums) == pytest.approx(float(THREE.statistical.mm), rel=0.04)


OWN = Tolerances(*(mm(f"0.{at}") for at in range(10, 20)))
"""Each of its own size, so that none is taken for another."""
JOINT = {
    "gap at the face when the back shoulder is home": (
        "0",
        {
            "stop of the face shoulder": (OWN.shoulder, 1),
            "stop of the back shoulder": (OWN.shoulder, -1),
            "width of the mate's rebate": (OWN.rebate, 1),
            "width of the mate's sticking": (OWN.rebate, -1),
        },
    ),
    "play of the tenon in its mortise": (
        "0",
        {
            "width of the mortise": (OWN.mortise_width, 1),
            "height of the cut for the face cheek": (OWN.cheek, -1),
            "height of the cut for the back cheek": (OWN.cheek, -1),
        },
    ),
    "room under the tenon": (
        "1/16",
        {
            "depth of the mortise": (OWN.mortise_depth, 1),
            "length of the blank, to the tenon's end": (OWN.tenon_end, -1),
            "stop of the back shoulder": (OWN.shoulder, 1),
        },
    ),
}
PANE = (
    "1/4",
    {
        "cut size of the glass": (OWN.glass, -1),
        "mark of one mortise": (OWN.mark, 1),
        "mark of the next mortise": (OWN.mark, 1),
        "width of one rebate": (OWN.rebate, 1),
        "width of the other rebate": (OWN.rebate, 1),
    },
)


def in_opening(leaves: int) -> dict[str, tuple[Length, int]]:
    return {
        "width of the opening": (OWN.opening, 1),
        "width of the stiles, each": (OWN.width, -2 * leaves),
        "rails, between back shoulders": (OWN.shoulder, -2 * leaves),
        "width of the stiles' rebates, each": (OWN.rebate, 2 * leaves),
    }


def test_every_fit_of_a_leaf_hangs_on_what_a_maker_sets_for_it() -> None:
    """All fits of a leaf of two by two lights, each with what changes it, by how much and which
    way: plane geometry. Two stiles stand in an opening, each as wide as it is, and rails between
    them: what is wider or longer closes it, a wider opening opens it, and rebates that are wider
    let the rails in further."""
    barred = replace(leaf(rows=2, columns=2), leaf=None, opening=OPENING)
    gap = replace(barred, joints=replace(barred.joints, gap=inches("1/16")))
    shoulders = "gap at a shoulder between stiles that the rails hold apart"
    glass, leaf_fit = "clearance of the glass, both edges together, in", "leaf: clearance in its"
    expected = {
        **{f"{name}: {fit}": told for name in PARTS_WITH_ENDS for fit, told in JOINT.items()},
        f"cross bars: {shoulders}": (
            "0",
            {
                "rail, stop of its back shoulders, both ends": (OWN.shoulder, 2),
                "bar, stop of its back shoulders, both ends": (OWN.shoulder, -2),
            },
        ),
        f"field 1: {glass} width": PANE,
        f"field 1: {glass} height": PANE,
        f"{leaf_fit} opening, both sides together": ("1/4", in_opening(1)),
    }
    found: dict[str, tuple[Length, dict[str, tuple[Length, Fraction | int]]]] = {
        name: (stack.aim, {c.setting: (c.tolerance, c.sensitivity) for c in stack.contributions})
        for name, stack in stacks(gap, OWN).items()
    }
    assert found == {name: (inches(aim), told) for name, (aim, told) in expected.items()}


PARTS_WITH_ENDS = ("top rail", "bottom rail", "cross bar", "upright bar")


def test_a_bar_between_stiles_is_out_by_both_its_ends() -> None:
    """Both ends of a rail are cut at one stop, and both of a bar: each stop counts twice. By hand,
    1/64 in of each: sqrt(2 (2/64)^2) = .0442 in, and 4/64 at worst. With four stops of their own it
    would be .0313."""
    found = stacks(leaf())["cross bars: gap at a shoulder between stiles that the rails hold apart"]
    assert float(found.statistical.inches) == pytest.approx(0.0442, abs=0.00005)
    assert found.worst == inches("1/16")
    assert [share for _, share in found.ranked] == [0.5, 0.5]


def test_equal_contributions_count_each() -> None:
    """Two settings that are alike in all but what they belong to: a half each."""
    same = Contribution("the same", inches("1/64"))
    assert [share for _, share in ToleranceStack("x", "y", Length.ZERO, (same, same)).ranked] == [
        0.5,
        0.5,
    ]


OPENING = Opening(inches("24 1/4"), inches("46 5/8"))


def test_a_pair_has_two_leaves_to_be_out() -> None:
    single = stacks(replace(leaf(), leaf=None, opening=OPENING))[
        "leaf: clearance in its opening, both sides together"
    ]
    both = replace(
        leaf(),
        count=2,
        leaf=None,
        opening=replace(OPENING, width=inches("48 3/8"), pair=Meeting.PLAIN),
    )
    pair = stacks(both)["leaf: clearance in its opening, both sides together"]
    fixed = Tolerances().opening
    assert pair.worst - fixed == 2 * (single.worst - fixed)
    assert (single.aim, pair.aim) == (inches("1/4"), inches("3/8"))


def test_fits_that_may_close_are_told_with_their_largest_share() -> None:
    gap = replace(leaf().joints, gap=inches("1/32"))
    tight = leaf(joints=gap, glazing=replace(leaf().glazing, clearance=inches("1/64")))
    layout, joinery = lay_out(tight, SECTIONS), work_out(tight, SECTIONS, FINEST)
    notes = note_texts(fit_notes(fits(layout, joinery)), SIXTY_FOURTHS)
    (wide, _) = [note for note in notes if "glass" in note]
    assert "it may well come to nothing" in wide
    assert "cut size of the glass" in wide
    (bottom,) = [note for note in notes if "under the tenon" in note]
    assert "(top rail, bottom rail, cross bar)" in bottom
    loose = leaf(glazing=replace(leaf().glazing, clearance=inches("1/8")))
    layout = lay_out(loose, SECTIONS)
    assert not [
        n for n in note_texts(fit_notes(fits(layout, joinery)), SIXTY_FOURTHS) if "glass" in n
    ]


def test_panels_have_no_glass_clearance() -> None:
    assert not [name for name in stacks(two_fields(Fill.PANEL)) if "field 2" in name]


# ------------------------------------------------------------------------------------- the dry fit


def told(job: Job, **changed: Length) -> tuple[str, ...]:
    """Findings of a leaf that measures as expected but for what is changed, by underscored name."""
    layout = lay_out(job, SECTIONS)
    found = {each.name: each.size for each in expected(layout, Unit.IN)}
    for name, by in changed.items():
        key = next(each for each in found if each.replace(",", "").replace(" ", "_") == name)
        found[key] += by
    return note_texts(findings(layout, found, Unit.IN), SIXTY_FOURTHS)


def test_a_leaf_that_is_as_it_should_be_gives_no_findings() -> None:
    assert told(two_fields()) == ()


def test_the_diagonal_is_that_of_the_leaf() -> None:
    """24 by 46 (plane geometry)."""
    diagonal = expected(lay_out(leaf(), SECTIONS), Unit.IN)[0].size
    assert float(diagonal.inches) == pytest.approx(math.hypot(24, 46), abs=1e-4)


@given(st.integers(300, 1200), st.integers(500, 2500), st.integers(-20, 20))
def test_skew_from_two_diagonals(width: int, height: int, lean: int) -> None:
    """A parallelogram drawn and measured (plane geometry)."""
    rising, falling = math.hypot(width + lean, height), math.hypot(width - lean, height)
    d1, d2 = (Length.millimetres(Fraction(d)) for d in (rising, falling))
    assert float(skew(Length.millimetres(width), d1, d2).mm) == pytest.approx(lean, abs=1e-6)


def test_out_of_square_on_both_sides_of_the_limit() -> None:
    """Architectural Woodwork Standards, 1st edition, 2009: 1/8 in between diagonals."""
    assert inches("1/8") == OUT_OF_SQUARE
    assert told(leaf(), diagonal_from_lower_left=inches("1/8")) == ()
    (note,) = told(leaf(), diagonal_from_lower_left=inches("9/64"))
    assert "differ by 9/64 in" in note
    assert "to the right" in note
    (other,) = told(leaf(), diagonal_from_lower_right=inches("9/64"))
    assert "to the left" in other


def test_one_rail_or_all_of_them() -> None:
    """Architectural Woodwork Standards, 1st edition, 2009: size within 1/16 in."""
    assert inches("1/16") == OUT_OF_SIZE
    assert told(leaf(), width_at_the_top_rail=inches("1/16")) == ()
    (one,) = told(leaf(), width_at_the_top_rail=inches("1/8"))
    assert one.startswith("width at the top rail: 1/8 in too wide")
    every = {f"width_at_the_{side}_rail": -inches("1/8") for side in ("top", "bottom")}
    (all_of_them,) = told(leaf(), **every)
    assert "too narrow at every rail" in all_of_them


def test_a_height_is_out_at_one_stile() -> None:
    (note,) = told(leaf(), height_over_the_rails_at_the_left=inches("1/8"))
    assert "in that stile" in note


EIGHTH = inches("1/8")
PANELS = Panels(inches("1/4"), inches("1/4"), inches("1/2"), EIGHTH, middle_stile=inches("3"))
OVER_PANELS = two_fields(Fill.GROOVED_PANEL, panels=PANELS)
BARRED_OVER_PANELS = replace(
    OVER_PANELS, fields=(OVER_PANELS.fields[0], replace(OVER_PANELS.fields[1], columns=2))
)
"""Three by two lights over two panels side by side."""


def test_a_light_too_large_beside_one_too_small_is_the_bar_between() -> None:
    (note,) = told(leaf(), field_1_row_2=inches("1/16"), field_1_row_3=-inches("1/16"))
    assert "cross bar 2 stands 1/16 in too far upward" in note
    (back,) = told(two_fields(), field_2_column_1=-inches("1/8"), field_2_column_2=inches("1/8"))
    assert "field 2: upright bar 1 stands 1/8 in too far to the left" in back
    (bar,) = told(BARRED_OVER_PANELS, field_1_column_1=inches("1/8"), field_1_column_2=-EIGHTH)
    assert "field 1: upright bar 1 stands 1/8 in too far to the right" in bar
    (stile,) = told(BARRED_OVER_PANELS, field_2_column_1=inches("1/8"), field_2_column_2=-EIGHTH)
    assert "field 2: middle stile 1 stands 1/8 in too far to the right" in stile


def test_a_light_that_is_out_alone_is_not_a_bar_out_of_place() -> None:
    (note,) = told(leaf(), field_1_row_2=inches("1/16"))
    assert "nothing beside it makes up for it" in note


def test_an_unknown_reading_is_refused() -> None:
    with pytest.raises(KeyError):
        findings(lay_out(leaf(), SECTIONS), {"height of the lamp": inches("1")}, Unit.IN)
