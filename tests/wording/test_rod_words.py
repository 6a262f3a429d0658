"""What is written on a rod and below full-size templates, whole: a leaf and each kind of pair.

Sizes are invented and none lies on a mark of the rule; sums are plane arithmetic.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from msgspec.structs import replace

from setupsheets.joinery.members.parts import Role
from setupsheets.joinery.members.rod_strips import Rod, RodCut, RodMark, RodStrip, Way
from setupsheets.joinery.members.stick import Line
from setupsheets.lengths import Notation, Unit
from setupsheets.shop.jobs import Clearances, Meeting, Opening, OutOfSquare, Side
from setupsheets.wording.rods import (
    TRUE_SIZE,
    cope_words,
    meeting_words,
    outline_notes,
    rod_mark_words,
    rod_notes,
    rod_title,
    section_words,
    tile_words,
)
from tests.records.made_up import inches
from tests.sheets.sheet_plans import plan

INCH = Notation(Unit.IN, Fraction(1, 64))
STRIP = RodStrip((1,), (), (), (), (), ())
SCANT = "gap 9/64 in scant by .001 in"
GAPS = Clearances(hinge=inches(".13"), meeting=inches(".07"))
SQUARE = Opening(
    inches("40.4"), inches("70"), GAPS, hinge_bevel=Fraction(0), lock_bevel=Fraction(0)
)
HATCHED = "Hatched: cut across. Dashed: mortises, tenons, haunches and halvings."


def rod(opening: Opening | None, way: Way = Way.WIDTH) -> Rod:
    return Rod(way, inches("20.02"), inches("1 1/8"), inches("1"), (STRIP,), opening)


def notes(opening: Opening | None, way: Way = Way.WIDTH) -> list[str]:
    """What is told of the opening, between the lines that every rod has."""
    first, *told, hatched, rule, paper = rod_notes(rod(opening, way), INCH)
    assert first.endswith("is 20 1/64 in full by .004 in from it.")
    assert (hatched, rule, paper) == (HATCHED, *TRUE_SIZE)
    return told


@pytest.mark.parametrize(
    ("pair", "way", "edges"),
    [
        (None, Way.WIDTH, "left edge of the leaf, seen from outside; the other edge is"),
        (None, Way.HEIGHT, "bottom of the leaf; the other edge is"),
        (Meeting.PLAIN, Way.HEIGHT, "bottom of the leaf; the other edge is"),
        (Meeting.PLAIN, Way.WIDTH,
         "left edge of the left leaf, seen from outside; the right leaf's right edge is"),
    ],
)  # fmt: skip
def test_where_all_figures_count_from(pair: Meeting | None, way: Way, edges: str) -> None:
    first, *_ = rod_notes(rod(replace(SQUARE, pair=pair), way), INCH)
    assert first == f"All figures from the {edges} 20 1/64 in full by .004 in from it."
    assert rod_notes(rod(None, way), INCH)[1:] == (HATCHED, *TRUE_SIZE)


def test_a_leaf_says_what_is_left_on_and_what_its_bevels_take_off() -> None:
    """1 1/8 in by the tangent of 3 degrees is .059 in, of 2 degrees .039."""
    assert notes(SQUARE) == notes(SQUARE, Way.HEIGHT) == []
    fitted = replace(
        SQUARE, fitting=inches(".1"), out_of_square=OutOfSquare(*map(inches, ("40", "71", "81")))
    )
    left_on = "3/32 in full by .006 in of that is left on, to be planed off as it is fitted."
    square = "The opening is out of square: its greater sides are drawn."
    assert notes(fitted) == [left_on, square]
    bevelled = replace(SQUARE, hinge_bevel=Fraction(3), lock_bevel=Fraction(2))
    lean = "With the hinge pins at the back they lean the other way, off the face."
    assert notes(bevelled) == [
        "Dashed at the edges: bevels, off the back by .059 in at the hinge edge and .039 in at the"
        " lock edge, for pins at the face.",
        lean,
    ]
    assert notes(bevelled, Way.HEIGHT) == []
    one = replace(bevelled, hinge_bevel=Fraction(0))
    assert notes(one)[0] == (
        "Dashed at the edges: bevels, off the back by .039 in at the lock edge, for pins at the"
        " face."
    )


# 40.4 less twice .13 and .14 is 40, half of it 20.
SUM = (
    "The opening is 40 13/32 in scant by .006 in wide: gap 1/8 in full by .005 in, leaf {leaf}, gap"
    " 9/64 in scant by .001 in{lap}, leaf {leaf}, gap 1/8 in full by .005 in."
)
ASIDE = "it lies on the side that the leaves open to, on the leaf that opens first."


@pytest.mark.parametrize(
    ("pair", "told"),
    [
        (Meeting.PLAIN, []),
        (Meeting.ASTRAGAL, [f"The astragal is drawn before the face; {ASIDE}"]),
        (Meeting.STRIP, [f"The cover strip is drawn before the face; {ASIDE}"]),
    ],
)
def test_a_pair_in_its_opening_is_a_sum(pair: Meeting, told: list[str]) -> None:
    opening = replace(SQUARE, pair=pair)
    assert notes(opening) == [SUM.format(leaf="20 in", lap=""), *told]
    assert notes(opening, Way.HEIGHT) == [
        "Both leaves are alike in height: this one rod is for both."
    ]
    fitted = replace(opening, fitting=inches(".1"))
    wider = "Each leaf is made 3/32 in full by .006 in wider; its meeting edge is drawn as fitted."
    assert notes(fitted)[:2] == [SUM.format(leaf="20 in", lap=""), wider]
    assert notes(fitted, Way.HEIGHT)[0].endswith(
        "of that is left on, to be planed off as it is fitted."
    )
    bevelled = replace(opening, lock_bevel=Fraction(3))
    assert notes(bevelled)[-2].endswith(
        "off the back by .059 in at the meeting edge, for pins at the face."
    )


def test_a_rebated_pair_laps_and_says_which_leaf_opens_first() -> None:
    """Each leaf is wider by half of the lap of .3: 20.15."""
    opening = replace(SQUARE, pair=Meeting.REBATED, lap=inches(".3"), lock_bevel=Fraction(3))
    assert notes(opening) == [
        SUM.format(
            leaf="20 5/32 in scant by .006 in", lap=" less the lap of 19/64 in full by .003 in"
        ),
        "Drawn with the left leaf's lip at the face and the right one's at the back: the left",
        "leaf opens first where they open to the face, the right one where to the back.",
        "If the other is to open first, face and back of both rebates change places.",
        "The bevel of the rebated meeting edges is not drawn.",
    ]
    hinged = replace(opening, hinge_bevel=Fraction(3), lock_bevel=Fraction(0))
    assert notes(hinged)[-2:] == [
        "Dashed at the edges: bevels, off the back by .059 in at the hinge edge, for pins at the"
        " face.",
        "With the hinge pins at the back they lean the other way, off the face.",
    ]


@pytest.mark.parametrize(
    ("pair", "lines"),
    [
        (Meeting.PLAIN, [f"{SCANT}; bevels are not drawn"]),
        (Meeting.REBATED, [
            f"{SCANT}, lap 19/64 in full by .003 in, half the thickness each",
            "the leaf that opens first has its lip on the side that it opens towards"]),
        (Meeting.STRIP, [
            f"{SCANT}; cover strip 2 in × 7/16 in, on the side that the leaves open to"]),
    ],
)  # fmt: skip
def test_below_the_template_of_meeting_stiles(pair: Meeting, lines: list[str]) -> None:
    opening = replace(SQUARE, pair=pair, lap=inches(".3"), strip_width=inches("2"),
                      strip_thickness=inches("7/16"))  # fmt: skip
    head = "meeting stiles of the pair, seen from above, face at the head"
    assert [*meeting_words(opening, pair, INCH)] == [head, *lines]


def test_titles_of_rods_and_tiles() -> None:
    alone = rod(None)
    assert rod_title(alone, STRIP, "Gate") == "Gate: width rod"
    two = replace(alone, strips=(STRIP, replace(STRIP, fields=(2, 3))))
    assert rod_title(two, STRIP, "Gate") == "Gate: width rod, field 1 from the top"
    assert rod_title(two, two.strips[1], "Gate") == "Gate: width rod, fields 2 and 3 from the top"
    assert tile_words("A2", 13, ["A1", "A3"]) == "Tile A2 of 13, joined to A1 and A3."
    assert tile_words("A1", 1, []) == "Tile A1 of 1, the whole of it."


def mark(line: Line, part: str = "", role: Role = Role.STILE, of: str = "",
         leaf: Side | None = None) -> RodMark:  # fmt: skip
    return RodMark(line, inches("10 1/8"), part, role, of, leaf)


RAILS = [mark(Line.SIGHT_EDGE, name, Role.RAIL) for name in ("top rail", "bottom rail")]


@pytest.mark.parametrize(
    ("marks", "words"),
    [
        ([mark(Line.HORN, "stile")], "end of horn, stile"),
        ([mark(Line.OPENING)], "edge of the opening"),
        (RAILS, "sight edge, rails"),
        (RAILS[:1], "sight edge, top rail"),
        ([mark(Line.MORTISE_START, "stile", of="cross bar")], "mortise for the cross bar starts"),
        ([mark(Line.MORTISE_END, "stile", of=f"{which} rail") for which in ("top", "lock")],
         "mortise for the rails ends"),
        ([mark(Line.HALVING_START, "bar", of=of) for of in ("cross bar", "top rail")],
         "halving for the cross bar and top rail starts"),
        ([RAILS[0], mark(Line.HORN, "stile"), RAILS[1]],
         "sight edge, rails; end of horn, stile"),
        ([mark(Line.HORN, "stile", leaf=Side.LEFT), mark(Line.OPENING, leaf=Side.LEFT),
          mark(Line.HORN, "stile", leaf=Side.RIGHT)],
         "end of horn, stile; edge of the opening, left leaf; end of horn, stile, right leaf"),
    ],
)  # fmt: skip
def test_all_that_is_marked_at_one_place(marks: list[RodMark], words: str) -> None:
    every = (*RAILS, mark(Line.HORN, "stile"))
    assert rod_mark_words(marks, replace(STRIP, marks=every), INCH) == f"10 1/8 in  {words}"


def test_below_the_template_of_an_end() -> None:
    rail = plan("larder").joinery.part("top rail")
    end = rail.ends[0]
    tenon, reach = INCH.show(end.tenon.thickness), INCH.show(end.reach)
    assert cope_words(
        [("top rail", "stile"), ("lock rail", "stile"), ("bar", "rail")], end, INCH
    ) == (
        "end: top rail and lock rail, into the stile",
        "end: bar, into the rail",
        f"tenon {tenon} thick, {reach} past the sight edge",
    )
    cut = RodCut("top rail", Role.RAIL, rail.section, inches("0"), inches("3.26"), (True, False))
    thick = INCH.show(rail.section.thickness)
    assert section_words(["top rail", "top rail", "bar"], cut, INCH) == (
        "section: top rail and bar",
        f"3 17/64 in scant by .006 in × {thick}, {rail.section.title}",
    )


def test_how_near_the_chords_of_an_outline_are() -> None:
    """.05 mm is .002 in, .26 in a sixty-fourth over a quarter less .006."""
    moulding = plan("larder").joinery.part("stile").section.sticking
    drawn = replace(moulding, width=inches(".26"), depth=inches("5/16"))
    size, near, rule = outline_notes(drawn, 0.05, INCH)
    assert size == (
        "17/64 in scant by .006 in wide, 5/16 in deep. Face at the head, sight edge at the left."
    )
    assert near == "Arcs and curves are drawn as chords that stray .002 in at most."
    assert rule == TRUE_SIZE[0]
