"""An end laid on its mate, against gaps and overlaps worked by plane geometry."""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction

import pytest

from setupsheets.lengths import Length, Notation, Unit
from setupsheets.machining.checking.features import Feature
from setupsheets.machining.checking.joint import Contact, Joint, growth, joint
from setupsheets.machining.operations import Operation, SetUp
from setupsheets.shop.cutters import CutterType
from setupsheets.shop.machine_kinds import MachineType
from setupsheets.shop.outlines import Shape
from setupsheets.shop.recipes import Makes, MeasuredTo, Recipe, Surface, Work
from setupsheets.shop.sections import Section, Sticking
from setupsheets.wording.proofs import joint_words
from tests.machining.handmade import (
    bit,
    blade,
    end,
    inches,
    mm,
    operation,
    section,
    subject,
    with_figures,
)

FAR = MeasuredTo.FAR
SAW, ROUTER = MachineType.TABLE_SAW, MachineType.ROUTER_TABLE
FACE, BACK_DOWN, END = Surface.FACE, Surface.BACK, Surface.END
COPE, LIP, BACK, TIP = Feature.COPE, Feature.LIP, Feature.BACK_SHOULDER, Feature.TIP
CHEEKS = (Feature.FACE_CHEEK, Feature.BACK_CHEEK)
CLOSE = 1e-6  # mm
FLAT = 0.02  # mm: twice what a flattened arc may stray
A_64TH = 25.4 / 64


def operations(profile: Sticking) -> Sequence[Operation]:
    back = [("stop", "13/16", FAR), ("height", "11/16")]
    face = [("stop", "27/32", FAR), ("height", "7/16")]
    tool = bit(CutterType.COPE_BIT, "2", profile=profile)
    cope = operation("cope", ROUTER, tool, Work.END, FACE, END)
    return [
        operation("back", SAW, blade(), Work.END, BACK_DOWN, END, back, clears=True),
        operation("face", SAW, blade(), Work.END, FACE, END, face, clears=True),
        with_figures(cope, fence=inches("1 1/4"), height=profile.depth),
    ]


def coped(mate: Section | None = None) -> list[SetUp]:
    mate = mate or section()
    recipe = Recipe("cope", "Cope", Makes.COPE, (), ())
    ended = subject(mate, end=end(mate))
    return [SetUp("cope", recipe, ended, {}, tuple(operations(mate.sticking)), ())]


def along(laid: Joint, feature: Feature) -> Contact:
    return next(each for each in laid.contacts if each.feature is feature)


def test_at_the_figures_aimed_at_the_joint_closes_everywhere() -> None:
    laid = joint(coped())
    assert {item.feature for item in laid.contacts} == {COPE, BACK, *CHEEKS, TIP}
    assert along(laid, TIP).gap == pytest.approx(mm("1/16"), abs=CLOSE)  # left for glue
    for contact in laid.contacts:
        assert contact.gap == pytest.approx(contact.asked, abs=CLOSE)
        assert contact.overlap == pytest.approx(0, abs=CLOSE)
    assert laid.held_open == pytest.approx(0, abs=CLOSE)
    assert laid.end.intersection(laid.mate).area == pytest.approx(0, abs=CLOSE)


@pytest.mark.parametrize(
    ("cause", "off", "feature", "gap", "overlap"),
    [
        # a stop further from the blade cuts the shoulder further from the tenon's end: a gap
        ("back.stop", 0.5, BACK, 0.5, 0.0),
        ("back.stop", -0.5, BACK, 0.0, 0.5),
        # the back cheek from the back: higher cuts a thinner tenon
        ("back.height", 0.25, CHEEKS[1], 0.25, 0.0),
        ("back.height", -0.25, CHEEKS[1], 0.0, 0.25),
        ("face.height", 0.25, CHEEKS[0], 0.25, 0.0),
        # a blank too long stands out by half at each end
        ("blank.length", 1.0, BACK, 0.0, 0.5),
        ("blank.length", -1.0, BACK, 0.5, 0.0),
        ("blank.length", 1.0, TIP, mm("1/16") - 0.5, 0.0),
        # thicker stock with the cheek counted from the back: the tenon grows on that side
        ("blank.thickness", 0.3, CHEEKS[1], 0.0, 0.3),
    ],
)
def test_one_setting_off_shows_where_it_must(
    cause: str, off: float, feature: Feature, gap: float, overlap: float
) -> None:
    contact = along(joint(coped(), {cause: off}), feature)
    assert contact.gap == pytest.approx(gap, abs=CLOSE)
    assert contact.overlap == pytest.approx(overlap, abs=CLOSE)


def test_a_long_back_holds_the_joint_open_by_as_much() -> None:
    laid = joint(coped(), {"back.stop": -0.5})
    assert laid.held_open == pytest.approx(0.5, abs=CLOSE)
    assert max(laid.contacts, key=lambda each: each.overlap).feature is BACK


def test_a_tenon_off_its_place_puts_the_faces_out_of_flush() -> None:
    """All cut 0.2 nearer the face (the cope cuts the cheek's root too): the part comes 0.2 behind
    its mate's face."""
    off = {"face.height": -0.2, "cope.height": -0.2, "back.height": 0.2}
    laid = joint(coped(), off)
    assert laid.out_of_flush == pytest.approx(0.2, abs=CLOSE)


@pytest.mark.parametrize("off", [0.4, -0.4])
def test_a_chamfer_coped_at_a_wrong_height_is_off_by_the_height_over_its_slope(off: float) -> None:
    """A chamfer of width w and depth d is a plane: moved by h square to the face it moves by
    h w / sqrt(w^2 + d^2) square to itself; by hand, for 3/8 and 7/16, 0.6508 h. Set high, the cope
    leaves the part's edge too thick, and it binds; set low, it leaves a gap, which on the face,
    where the tip draws back along z, is h w / d."""
    chamfer = Sticking(Shape.CHAMFER, inches("3/8"), inches("7/16"))
    contact = along(joint(coped(section(sticking=chamfer)), {"cope.height": off}), COPE)
    expected = 0.4 * 0.375 / math.hypot(0.375, 0.4375)
    assert expected == pytest.approx(0.4 * 0.6508, abs=1e-4)
    if off > 0:
        assert (contact.gap, contact.overlap) == pytest.approx((0, expected), abs=CLOSE)
    else:
        assert contact.gap == pytest.approx(0.4 * 6 / 7, abs=CLOSE)


def test_an_ovolo_coped_too_low_opens_most_where_its_curve_lies_flat() -> None:
    """An ovolo starts square to its quirk, so that near the face the gap is the whole height."""
    contact = along(joint(coped(), {"cope.height": -0.4}), COPE)
    assert contact.gap == pytest.approx(0.4, abs=FLAT)


def test_a_cope_too_shallow_leaves_a_fin_at_its_root_that_binds() -> None:
    """The fin is as thick as the height is short, where moulding and cheek meet."""
    laid = joint(coped(), {"cope.height": -0.4})
    assert along(laid, COPE).overlap == pytest.approx(0.4, abs=0.15)
    assert laid.held_open == 0  # how it closes depends on the hand that pares the fin


def test_the_gap_and_the_overlap_grow_by_as_much_for_each_64th() -> None:
    grown = growth(coped(), "cope.height", Length("1/64 in"), 3)
    assert [off / Length("1/64 in") for off, _ in grown] == [-3, -2, -1, 0, 1, 2, 3]
    gaps = [along(laid, COPE).gap for _, laid in grown[:4]]
    assert gaps == pytest.approx([3 * A_64TH, 2 * A_64TH, A_64TH, 0], abs=2 * FLAT)
    overlaps = [along(laid, COPE).overlap for _, laid in grown[3:]]
    assert overlaps == pytest.approx([0, A_64TH, 2 * A_64TH, 3 * A_64TH], abs=2 * FLAT)


def test_a_tongue_thicker_than_the_tenon_comes_up_against_the_wood_of_the_cheek() -> None:
    """A rebate 5/8 deep leaves 1/16 of the mate's tongue behind the tenon. The cheek cut of the
    recipe leaves wood there from the back shoulder on, so the joint stays open by a rebate's
    width."""
    laid = joint(coped(section(rebate=("7/16", "5/8"))))
    assert along(laid, LIP).overlap > 0
    assert laid.held_open == pytest.approx(mm("7/16"))


def test_the_fit_is_told_in_words() -> None:
    show = Notation(Unit.IN, Fraction(1, 64)).show
    assert joint_words(joint(coped()), show) == "closes everywhere"
    off = {"back.stop": mm("-1/32"), "blank.length": mm("-1/32")}
    assert joint_words(joint(coped(), off), show) == (
        "the back shoulder touches first and holds the joint open by 1/64 in; "
        "open by 1/32 in at the cope"
    )


def test_only_an_end_can_be_laid_on_a_mate() -> None:
    (set_up,) = coped()
    alone = SetUp("edge", set_up.recipe, subject(), {}, set_up.operations, ())
    with pytest.raises(ValueError, match="mate"):
        joint([alone])
