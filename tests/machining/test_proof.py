"""Proof of hand-made set-ups: what is left over and missing, worked by plane geometry."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

import pytest
from msgspec.structs import replace
from shapely import LineString, union_all

from setupsheets.joinery.members.parts import Groove, Halving, Tenon
from setupsheets.lengths import Length, Notation, Unit
from setupsheets.machining.checking.features import NEAR, Feature, design_lines
from setupsheets.machining.checking.proof import Proof, RoundedReading, prove
from setupsheets.machining.cutting.planes import Plane
from setupsheets.machining.cutting.shapes import blank, design
from setupsheets.machining.operations import Operation, PlannedMeasure, SetUp, Subject
from setupsheets.shop.cutters import CutterType
from setupsheets.shop.machine_kinds import MachineType
from setupsheets.shop.outlines import Shape
from setupsheets.shop.recipes import Makes, MeasuredTo, Recipe, Surface, Work
from setupsheets.shop.sections import Member, Sticking
from setupsheets.wording.proofs import discrepancy_words, feature_words, proof_line
from tests.machining.handmade import (
    OVOLO,
    bit,
    blade,
    end,
    inches,
    mm,
    mortise,
    operation,
    section,
    subject,
    with_figures,
)

FAR = MeasuredTo.FAR
SAW, ROUTER = MachineType.TABLE_SAW, MachineType.ROUTER_TABLE
FACE, BACK, SIGHT, END = Surface.FACE, Surface.BACK, Surface.SIGHT_EDGE, Surface.END
show = Notation(Unit.IN, Fraction(1, 64)).show


def set_up(
    operations: Sequence[Operation],
    of: Subject,
    measurements: tuple[PlannedMeasure, ...] = (),
    makes: Makes = Makes.BAR,
) -> SetUp:
    recipe = Recipe("hand", "By hand", makes, (), ())
    return SetUp("hand", recipe, of, {}, tuple(operations), measurements)


def rebate(fence: str = "7/16", height: str = "11/16", finest: str = "1/64") -> Operation:
    settings = [("fence", fence, FAR), ("height", height)]
    return operation(
        "rebate", SAW, blade(), Work.EDGE, BACK, SIGHT, settings, clears=True, finest=finest
    )


def sticking(profile: Sticking = OVOLO, off: Length = Length.ZERO) -> Operation:
    made = operation("sticking", ROUTER, bit(CutterType.STICKING_BIT, profile=profile),
                     Work.EDGE, FACE, SIGHT)  # fmt: skip
    return with_figures(made, fence=OVOLO.width, height=OVOLO.depth + off)


def cheeks_and_cope(back: str = "13/16", cope_height: Length = OVOLO.depth) -> list[Operation]:
    """A tenon 1/4 thick, 7/16 from the face of a 1 3/8 part; see `handmade.end`."""
    cheek = [("stop", back, FAR), ("height", "11/16")]
    face = [("stop", "27/32", FAR), ("height", "7/16")]
    cope = operation("cope", ROUTER, bit(CutterType.COPE_BIT, "2", profile=OVOLO),
                     Work.END, FACE, END)  # fmt: skip
    return [
        operation("back", SAW, blade(), Work.END, BACK, END, cheek, clears=True),
        operation("face", SAW, blade(), Work.END, FACE, END, face, clears=True),
        with_figures(cope, fence=inches("1 1/4"), height=cope_height),
    ]


def section_proof(*operations: Operation) -> Proof:
    return prove([set_up(operations, subject())], Work.EDGE)


def end_proof(*operations: Operation) -> Proof:
    return prove([set_up(operations, subject(end=end()))], Work.END, plane=Plane.END)


BAR = section(Member.BAR)
GROOVED = subject(grooves=(Groove(inches("1/4"), inches("1/2"), inches("7/16")),))
HALVING = Halving("bar", "bar", True, *map(inches, ("5", "5 3/4", "11/16")))
THIN = replace(end(), tenon=Tenon(inches("1/8"), inches("1/2"), inches("1 1/2")))


@pytest.mark.parametrize(
    ("of", "work"),
    [
        (subject(), Work.EDGE),
        (subject(BAR), Work.EDGE),
        (GROOVED, Work.EDGE),
        (subject(), Work.BLANK),
        (subject(mortise=mortise()), Work.MORTISE),
        (subject(end=THIN), Work.END),
        (subject(BAR, halving=HALVING, from_end=inches("5")), Work.HALVING),
    ],
)
def test_what_is_left_over_is_named_by_lines_along_what_is_asked_for(
    of: Subject, work: Work
) -> None:
    """Feature by feature along the outline of the section, mortise or end (plane geometry)."""
    outline, lines = design(of, work).boundary, design_lines(of, work)
    drawn = union_all([LineString(each.points) for each in lines])
    around = blank(of, Plane.END if work in (Work.END, Work.HALVING) else Plane.SECTION).boundary
    cut = outline.difference(around.buffer(NEAR))
    assert drawn.buffer(NEAR).covers(outline if work in (Work.EDGE, Work.BLANK) else cut)
    on_it = [each for each in lines if each.feature not in LONGER]
    assert all(around.buffer(NEAR).covers(LineString(each.points)) for each in lines
               if each.feature in (Feature.FACE, Feature.BACK))  # fmt: skip
    assert all(outline.buffer(NEAR).covers(LineString(each.points)) for each in on_it)
    edges = [each.edge for each in lines if each.feature is Feature.STICKING]
    assert edges == ([] if work is not Work.EDGE else [1, 2] if of.section is BAR else [0])


LONGER = (
    Feature.FACE_CHEEK,
    Feature.BACK_CHEEK,
    Feature.TONGUE_SHOULDER,
    Feature.FACE,
    Feature.BACK,
)
"""Cheeks are told as far as the mate's sight edge, faces as wide as the blank, and a tenon stands
out of its shoulder."""


def test_the_right_figures_prove() -> None:
    assert section_proof(rebate(), sticking()).holds
    assert end_proof(*cheeks_and_cope()).holds


def test_two_set_ups_together_make_one_edge_and_each_alone_its_own_corner() -> None:
    rebated = set_up([rebate()], subject(), makes=Makes.REBATE)
    moulded = set_up([sticking()], subject(), makes=Makes.STICKING)
    assert prove([rebated, moulded], Work.EDGE).holds
    assert prove([rebated], Work.EDGE).holds
    assert prove([moulded], Work.EDGE).holds
    wrong = set_up([rebate(fence="3/8")], subject(), makes=Makes.REBATE)
    assert not prove([wrong], Work.EDGE).holds
    assert not prove([wrong, moulded], Work.EDGE).holds


# By hand: where 1/16 too much or too little of each setting leaves wood or takes it.
WRONG: list[tuple[Proof, str]] = [
    (section_proof(rebate(fence="3/8"), sticking()),
     "left over 1/16 in by 11/16 in at the rebate's wall"),
    (section_proof(rebate(fence="1/2"), sticking()),
     "missing 1/16 in by 11/16 in at the rebate's wall"),
    (section_proof(rebate(height="5/8"), sticking()),
     "left over 7/16 in by 1/16 in at the rebate's floor"),
    (section_proof(rebate(height="3/4"), sticking()),
     "missing 7/16 in by 1/16 in at the rebate's floor"),
    (end_proof(*cheeks_and_cope(back="3/4")),
     "left over 1/16 in by 11/16 in at the back shoulder"),
    (end_proof(*cheeks_and_cope(back="7/8")), "missing 1/16 in by 11/16 in at the back shoulder"),
]  # fmt: skip


@pytest.mark.parametrize(("proof", "expected"), WRONG)
def test_a_setting_a_sixteenth_off_is_told_with_size_and_place(proof: Proof, expected: str) -> None:
    assert not proof.holds
    assert expected in proof_line(proof, show)


def test_without_its_sticking_the_whole_corner_is_left_over() -> None:
    proof = section_proof(rebate())
    (piece,) = proof.left_over
    assert piece.line.feature is Feature.STICKING
    assert discrepancy_words(piece, show) == "3/8 in by 7/16 in at the sticking"


def test_a_strip_that_hangs_on_by_a_thread_is_left_over() -> None:
    """Two saw cuts that miss each other by 1/64 leave the strip standing."""
    groove = operation("groove", SAW, blade(), Work.EDGE, BACK, SIGHT,
                       [("fence", "7/16", FAR), ("height", "11/16")])  # fmt: skip

    def strip(height: str) -> Operation:
        settings = [("fence", "11/16"), ("height", height)]
        return operation("strip", SAW, blade(), Work.EDGE, SIGHT, FACE, settings)

    assert section_proof(groove, strip("5/16"), sticking()).holds
    hanging = section_proof(groove, strip("19/64"), sticking())
    (piece,) = hanging.left_over
    assert piece.shape.area == pytest.approx(
        mm("5/16") * mm("11/16") - mm("19/64") * mm("1/8"), rel=1e-6
    )


def test_the_wrong_moulding_does_not_prove_but_another_flattening_of_the_same_does() -> None:
    thinner = replace(OVOLO, quirk=inches("3/32"))
    assert not section_proof(rebate(), sticking(thinner)).holds
    hundredth = replace(OVOLO, quirk=OVOLO.quirk + Length("0.01 mm"))
    assert section_proof(rebate(), sticking(hundredth)).holds


def test_a_bar_is_proved_on_both_edges() -> None:
    bar = subject(section(Member.BAR), "1 1/8")
    both = [replace(item, asks=replace(item.asks, both=True)) for item in (rebate(), sticking())]
    assert prove([set_up(both, bar)], Work.EDGE).holds
    one = prove([set_up([both[0], sticking()], bar)], Work.EDGE)
    assert [feature_words(piece.line) for piece in one.left_over] == [
        "the sticking of the second edge"
    ]


def test_one_set_up_is_proved_on_another_part_of_the_same_section() -> None:
    """A rebate set from the outer edge of one width is wrong on another."""
    outer = operation("rebate", SAW, blade("7/16"), Work.EDGE, BACK, Surface.OUTER_EDGE,
                      [("fence", "1 13/16"), ("height", "11/16")])  # fmt: skip
    made = [set_up([outer, sticking()], subject())]
    assert prove(made, Work.EDGE).holds
    assert not prove(made, Work.EDGE, subject(width="3")).holds


def test_an_operation_that_cannot_be_worked_out_is_a_fault_in_words() -> None:
    lost = operation("rebate", SAW, None, Work.EDGE, BACK, SIGHT, [("fence", "1")])
    proof = section_proof(lost)
    assert not proof.holds
    assert proof_line(proof, show).endswith("rebate: it has no cutter")


def reading(target: str, sensitivities: dict[str, Fraction]) -> PlannedMeasure:
    tolerance = inches("1/64")
    return PlannedMeasure("width", "Width", "rule", "", "rebate", inches(target), tolerance,
                       tolerance, sensitivities)  # fmt: skip


def test_rounding_to_what_the_dials_can_be_moved_by_is_told_beside_the_tolerance() -> None:
    """A fence that moves by 1/16 cannot be set to 13/32; the tie goes to the even sixteenth, 3/8,
    1/32 scant; on two edges that is 1/16, past a tolerance of 1/64."""
    coarse = rebate(fence="13/32", finest="1/16")
    measured = reading("1", {"rebate.fence": Fraction(-2)})
    proof = prove([set_up([coarse], subject(), (measured,))], Work.EDGE)
    (rounded,) = proof.rounded
    assert rounded.off == inches("1/16")
    assert not rounded.within
    assert rounded.share == 4


# Where every shape of moulding comes from the same shop shapes, section and end prove alike.
def test_a_reading_is_within_its_tolerance_up_to_both_its_limits() -> None:
    """1/64 under and 1/32 over, each with its own share of what is allowed (arithmetic)."""
    sized = replace(reading("1", {}), over=inches("1/32"))
    for off, within, share in (
        ("-1/64", True, 1), ("-1/63", False, Fraction(64, 63)), ("0", True, 0),
        ("1/64", True, Fraction(1, 2)), ("1/32", True, 1), ("1/31", False, Fraction(32, 31)),
    ):  # fmt: skip
        found = RoundedReading("set-up", sized, inches(off))
        assert (found.within, found.share) == (within, share)


@pytest.mark.parametrize("shape", [Shape.OVOLO, Shape.OGEE, Shape.COVE, Shape.BEAD, Shape.CHAMFER])
def test_every_shape_proves_along_the_edge_and_on_the_end(shape: Shape) -> None:
    profile = Sticking(shape, inches("3/8"), inches("7/16"), inches("1/16"))
    framed = section(sticking=profile)
    stuck = with_figures(
        operation("sticking", ROUTER, bit(CutterType.STICKING_BIT, profile=profile),
                  Work.EDGE, FACE, SIGHT),
        fence=profile.width, height=profile.depth,
    )  # fmt: skip
    assert prove([set_up([rebate(), stuck], subject(framed))], Work.EDGE).holds
    tool = bit(CutterType.COPE_BIT, "2", profile=profile)
    coping = cheeks_and_cope()
    coping[-1] = replace(coping[-1], cutter=tool)
    ended = subject(framed, end=end(framed))
    assert prove([set_up(coping, ended)], Work.END, plane=Plane.END).holds
