"""Where on a part, in words: every way in which parts come to a machine, on the larder's parts."""

from __future__ import annotations

from fractions import Fraction

import pytest
from msgspec.structs import replace

from setupsheets.joinery.members.elevation import Box, Elevation, Look
from setupsheets.joinery.members.parts import LongBlank, Part
from setupsheets.joinery.members.plunges import Plunges
from setupsheets.lengths import Length, Notation, Unit
from setupsheets.machining.findings import MortisePlunges, PartPlace
from setupsheets.machining.operations import WorkedAt
from setupsheets.records.blanks import BlankFound
from setupsheets.shop.jobs import Side
from setupsheets.shop.recipes import Makes, Work
from setupsheets.wording.answers import blank_lines
from setupsheets.wording.doors import leaf_in_words
from setupsheets.wording.places import (
    edges_words,
    lengths_words,
    parts_words,
    plunge_words,
    where_words,
)
from tests.machining.handmade import mortise
from tests.sheets.sheet_plans import plan

NOTATION = Notation(Unit.IN, Fraction(1, 64))


def part(name: str, **more: object) -> Part:
    return replace(plan("larder").joinery.part(name), **more)


STILE, RAIL, BAR, END = (
    part(name) for name in ("stile", "top rail", "cross bar", "end upright bar")
)


def at(of: Part, *, apart: int | None = None, elsewhere: tuple[int, ...] = (),
       **place: object) -> PartPlace:  # fmt: skip
    return PartPlace(of, WorkedAt(of.name, **place), elsewhere, apart)  # type: ignore[arg-type]


def long(of: Part, holds: int, count: int = 4) -> Part:
    return replace(of, count=count, long=LongBlank(Length("14 3/8 in"), holds, 0))


@pytest.mark.parametrize(
    ("of", "edges", "words"),
    [
        (STILE, (0,), "sight edge"),
        (RAIL, (0,), "sight edge"),
        (BAR, (0,), "lower edge"),
        (BAR, (1,), "upper edge"),
        (END, (1,), "right edge"),
        (BAR, (0, 1), "both edges, lower and upper"),
        (END, (1, 0), "both edges, right and left"),
        (BAR, (), ""),
    ],
)
def test_edges_by_their_names(of: Part, edges: tuple[int, ...], words: str) -> None:
    assert edges_words(of, edges) == words


def test_parts_that_come_to_the_machine_as_they_lie_by_then() -> None:
    places = [
        at(long(BAR, 2, 3), apart=57),
        at(long(END, 2, 2), apart=57),
        at(long(RAIL, 1), apart=58),
        at(long(STILE, 1)),  # alone by now
    ]
    counts = {"cross bar": 3, "end upright bar": 2, "top rail": 4, "stile": 4, "bottom rail": 2}
    assert parts_words(counts, places, NOTATION) == (
        "3 × cross bar in 2 lengths of 14 3/8 in, 2 × end upright bar in 1 length of 14 3/8 in,"
        " 4 × top rail left 14 3/8 in long, 4 × stile, 2 × bottom rail"
    )
    assert lengths_words(places) == (
        "cross bar: two in each length, one from either end and one to spare; cut apart at"
        " operation 57; end upright bar: two in each length, one from either end; cut apart at"
        " operation 57; top rail: cut to its own length at operation 58"
    )
    rough = at(long(RAIL, 1), apart=58, length=Length("15 in"))
    assert parts_words({"top rail": 2}, [rough], NOTATION) == "2 × top rail left 15 in long"
    assert lengths_words([at(RAIL, apart=3), at(long(RAIL, 1))]) == ""


ENDS = "one end alone, the one that goes into the {} (the other end: {})"


@pytest.mark.parametrize(
    ("place", "work", "words"),
    [
        (at(BAR, ends=(0, 1)), Work.END, "both ends"),
        (at(END, ends=(0,), elsewhere=(38,)), Work.END, ENDS.format("cross bar", "operation 38")),
        (at(END, ends=(1,), elsewhere=(38, 39)), Work.END,
         ENDS.format("bottom rail or the top rail", "operations 38–39")),
        (at(END, ends=(1,)), Work.END, ENDS.format("bottom rail or the top rail", "no such cut")),
        (at(long(END, 2), ends=(0,), elsewhere=(9,)), Work.END,
         "the end cut last, the one that goes into the cross bar (the other end: operation 9)"),
        (at(long(END, 2), apart=5, ends=(0,), elsewhere=(9,)), Work.END,
         "either end of each length, the one that goes into the cross bar (the ends between the two"
         " parts: operation 9)"),
        (at(long(END, 1), apart=5, ends=(1,), elsewhere=(9,)), Work.END,
         "one end alone, the lower end, the one that goes into the bottom rail or the top rail (the"
         " other end: operation 9)"),
        (at(STILE, edges=(0,)), Work.EDGE, "the sight edge, the other stays square"),
        (at(STILE, edges=(0,)), Work.MORTISE, "the sight edge"),
        (at(BAR, edges=(0, 1)), Work.EDGE, "both edges, lower and upper"),
        (at(BAR, edges=(1,)), Work.EDGE, "the upper edge alone"),
        (at(BAR), Work.BLANK, ""),
        (at(BAR, middle=True), Work.HALVING, "one notch, in the middle: either end to the stop"),
        (at(BAR, ends=(0,)), Work.HALVING, "one notch, with the left end to the stop"),
        (at(END, ends=(0, 1)), Work.HALVING,
         "two notches: the upper end to the stop for one, the lower end for the other"),
        (at(long(END, 2), apart=5, ends=(0,)), Work.HALVING,
         "one notch in each part, its end of the length to the stop"),
        (at(long(END, 2), ends=(1,)), Work.HALVING, "one notch, with the lower end to the stop"),
        (at(long(END, 1), apart=5, ends=(1,)), Work.HALVING,
         "one notch, with the lower end to the stop"),
    ],
)  # fmt: skip
def test_where_on_a_part_it_is_done(place: PartPlace, work: Work, words: str) -> None:
    assert where_words([place], work) == words


@pytest.mark.parametrize(
    ("place", "words"),
    [
        (at(BAR, middle=True), "the notch in the middle"),
        (at(BAR, ends=(0, 1)), "both notches"),
        (at(BAR, ends=(1,)), "the notch"),
    ],
)
def test_what_is_done_to_a_notch_that_is_there(place: PartPlace, words: str) -> None:
    assert where_words([place], Work.END, Makes.HALVING) == words


def test_parts_of_which_the_same_holds_are_told_together() -> None:
    places = [at(BAR, ends=(0, 1)), at(END, ends=(0, 1)), at(RAIL, edges=(0,)), at(STILE)]
    assert where_words(places, Work.END) == (
        "cross bar and end upright bar: both ends; top rail: the sight edge"
    )


def test_where_the_tool_goes_down_along_a_mortise() -> None:
    """From the blank's end where the part has one beyond its line: the horn's inches more."""
    ends, between, webs = ((Length(f"{a} in"), Length(f"{b} in")) for a, b in
                           ((1, 3), ("1 1/2", "2 1/2"), ("1 1/4", "2 3/4")))  # fmt: skip
    found = [
        MortisePlunges(BAR, mortise(), (0, 1), Plunges(ends, between, webs)),
        MortisePlunges(BAR, replace(mortise(), holds="lock rail"), (0, 1), Plunges(ends)),
        MortisePlunges(BAR, mortise(), (0,), None),
    ]
    first, second = plunge_words(found, NOTATION)
    more = BAR.datum
    one, other, b1, b2, w1, w2 = (
        NOTATION.mark(each + more) for group in (ends, between, webs) for each in group
    )
    line = "the blank's left end" if more else "the left sight edge of the opening"
    assert first == (
        f"cross bar, both edges, lower and upper, from {line}: for the rail {one} and {other}, then"
        f" {b1}, {b2}, last the webs at {w1}, {w2}; for the lock rail {one} and {other}"
    )
    assert second == (
        f"cross bar, lower edge, from {line}: for the rail the tool is longer than the mortise"
    )


def test_a_leaf_and_a_pair_for_a_screen_reader() -> None:
    size = Length("1 in"), Length("1 in"), Length("2 in"), Length("3 in")
    boxes = tuple(Box(look, name, *size) for look, name in (
        (Look.STILE, "stile"), (Look.STILE, "stile"), (Look.RAIL, "top rail"), (Look.HORN, "horn"),
        (Look.GLASS, "pane"), (Look.PANEL, "panel")))  # fmt: skip
    leaf = Elevation(Length("20.13 in"), Length("40.13 in"), boxes, (), hinge=Side.RIGHT)
    said = "20 1/8 in full by .005 in wide and 40 1/8 in full by .005 in high, {}with {}."
    said += " Parts: stile and top rail. "
    both = "1 pane and 1 panel"
    parts = said.format("", both)
    assert leaf_in_words(leaf, NOTATION) == f"The leaf from outside, {parts}Hinges at the right."
    unsaid = replace(leaf, hinge=None, boxes=boxes[:-1])
    assert leaf_in_words(unsaid, NOTATION) == (
        f"The leaf from outside, {said.format('', '1 pane')}The job does not say at which"
        " side the hinges are."
    )
    pair = replace(leaf, gap=Length("1/8 in"))
    assert leaf_in_words(pair, NOTATION) == (
        f"Both leaves of the pair from outside, each {said.format('each ', both)}Hinges at the"
        " outer edges."
    )


def test_what_becomes_of_blanks_that_are_cut_already() -> None:
    by = [Length(f"{each} in") for each in ("0", ".26", "-.26", "-1/4")]
    blanks = [
        BlankFound(1, by[0], True),
        BlankFound(2, by[1], False),
        BlankFound(3, by[2], False, ("cross bar", "end upright bar")),
        BlankFound(4, by[3], False),
    ]
    assert blank_lines(blanks, NOTATION) == (
        "blank 1: good as it is",
        "blank 2: trim 17/64 in scant by .006 in off",
        "blank 3: 17/64 in scant by .006 in too short; still serves for: cross bar, end upright"
        " bar",
        "blank 4: 1/4 in too short; serves as a test piece",
        "2 of 4 blanks can be used for this part",
    )
