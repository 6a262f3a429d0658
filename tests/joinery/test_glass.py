"""The glass order and the limits of the rules on safety glazing, from both sides."""

from __future__ import annotations

from fractions import Fraction

import pytest
from msgspec.structs import replace

from setupsheets.joinery.frame.layout import lay_out
from setupsheets.joinery.leaf import work_out
from setupsheets.joinery.members.glass import (
    PlacedPane,
    order,
    order_notes,
    placed_panes,
    safety_notes,
)
from setupsheets.lengths import Length, Notation, Unit
from setupsheets.shop.jobs import Fill, Job, Opening
from setupsheets.wording.joinery_notes import note_texts
from tests.joinery.designs import FINEST, SECTIONS, SIXTY_FOURTHS, inches, leaf, two_fields


def notes(job: Job) -> list[str]:
    return list(note_texts(safety_notes(lay_out(job, SECTIONS)), SIXTY_FOURTHS))


def one_pane(width: str, height: str) -> Job:
    return leaf(sight_width=width, sight_height=height, rows=1)


@pytest.mark.parametrize(
    ("width", "height", "category"),
    [
        ("35 3/8", "35 3/8", "Category I "),
        ("35 3/8", "35 25/64", "Category II "),
        ("12", "12", "Category I "),
    ],
)
def test_nine_square_feet_exactly_is_category_one(width: str, height: str, category: str) -> None:
    """16 CFR 1201.2(a): over 9 square feet Category II, up to and including 9 Category I, and what
    counts is one side of the piece of glass. In sight it is less: rebates of 7/16 less clearances
    of 1/8 make the piece 5/8 larger than what is seen, each way."""
    assert any(category in note for note in notes(one_pane(width, height)))


def test_the_piece_counts_and_not_what_is_seen_of_it() -> None:
    """8.99 square feet in sight, as issue and order have it: the piece of 9.3 is Category II."""
    seen = notes(one_pane("35 63/64", "35 63/64"))
    assert any("a piece of 9.3 square feet, more than 9, is Category II" in note for note in seen)


@pytest.mark.parametrize(("width", "excepted"), [("2 63/64", True), ("3", False)])
def test_a_three_inch_sphere(width: str, excepted: bool) -> None:
    """International Residential Code 2015, R308.4.1: openings that a 3 in sphere cannot pass."""
    found = notes(one_pane(width, "30"))
    assert any("excepts" in note for note in found) is excepted
    assert any("hazardous location" in note for note in found) is not excepted


def at_height(low: Length) -> Job:
    """One pane whose lower sight edge stands so high: a wide bottom rail below it."""
    job = leaf(sight_height="12", rows=1)
    top, bottom = job.rails
    rails = (top, replace(bottom, width=low))
    grown = replace(job.size, height=low + inches("12") + inches("3"))
    return replace(job, rails=rails, leaf=grown)


@pytest.mark.parametrize(("low", "critical"), [(1499, True), (1500, False)])
def test_critical_to_fifteen_hundred(low: int, critical: bool) -> None:
    """Approved Document K (England, 2013): to 1500 mm above the floor."""
    found = notes(at_height(Length.millimetres(low)))
    assert any("Approved Document K" in note for note in found) is critical
    assert any("hung so that it is less than 1500 mm above the floor" in note
               for note in found) is critical  # fmt: skip


def test_the_gap_under_the_leaf_counts() -> None:
    job = at_height(Length.millimetres(1495))
    gapped = Opening(inches("24 1/4"), job.size.height + inches("5/8"))
    assert any("Approved" in note for note in notes(job))
    assert not any("Approved" in note for note in notes(replace(job, leaf=None, opening=gapped)))


@pytest.mark.parametrize(("width", "higher"), [(900, False), (901, True)])
def test_wider_than_nine_hundred(width: int, higher: bool) -> None:
    """Approved Document K (England, 2013), 5.4: a pane wider than 900 mm needs the higher class.
    The pane is 5/8 in wider than its sight opening."""
    job = one_pane("12", "30")
    grown = replace(job.size, width=Length.millimetres(width) - inches("5/8") + inches("6"))
    found = notes(replace(job, leaf=grown))
    assert any("higher class" in note for note in found) is higher


@pytest.mark.parametrize(
    ("width", "height", "small"),
    [(250, 2000, True), (251, 1000, False), (250, 2001, False), (900, 250, True)],
)
def test_small_panes_of_approved_document_k(width: int, height: int, small: bool) -> None:
    """Approved Document K (England, 2013), 5.6, as quoted by others: the smaller side not more than
    250 mm and the area not more than 0.5 square metres."""
    sizes = Length.millimetres(width), Length.millimetres(height)
    assert PlacedPane(1, *sizes, *sizes, Length.ZERO).is_small is small


def test_a_small_pane_is_told() -> None:
    assert any("the pane is a small one there" in note for note in notes(one_pane("9", "30")))
    assert not any("a small one there" in note for note in notes(one_pane("10", "30")))


def test_every_note_says_whom_to_ask() -> None:
    found = notes(two_fields())
    assert found
    assert all(note.endswith("confirm with local code and a qualified glazier") for note in found)


def test_panels_are_no_glass() -> None:
    assert {pane.field for pane in placed_panes(lay_out(two_fields(Fill.PANEL), SECTIONS))} == {1}
    assert notes(leaf(rows=1, fields=(replace(leaf().fields[0], rows=1, fill=Fill.PANEL),))) == []


def test_equal_panes_of_two_fields_are_one_line() -> None:
    job = two_fields()
    same = replace(job, fields=(replace(job.fields[0], rows=2), replace(job.fields[1])))
    # two rows: (40 7/8 - 1/4) / 2 = 20 5/16 between rebates, where the lower field has 20 7/8
    assert [line.count for line in order(work_out(same, SECTIONS, FINEST), Unit.IN)] == [2, 4]
    both = replace(job, fields=(replace(job.fields[0], rows=1, sight_height=inches("30")),) * 2)
    (line,) = order(work_out(both, SECTIONS, FINEST), Unit.IN)
    assert (line.count, line.fields) == (4, (1, 2))
    wide, high = (float(size.inches) * 0.0254 for size in (line.width, line.height))
    assert float(line.square_metres) == pytest.approx(4 * wide * high)


def test_glass_at_the_edges_of_its_tolerance() -> None:
    """ASTM C1036 as quoted by others: cut size within 1/16 in for 3 to 6 mm glass."""

    def told(clearance: str, notation: Notation = SIXTY_FOURTHS) -> list[str]:
        job = leaf(glazing=replace(leaf().glazing, clearance=inches(clearance)))
        return list(note_texts(order_notes(lay_out(job, SECTIONS), notation.unit), notation))

    assert told("1/8") == []
    assert told("1/32") == []
    assert any("over size" in note for note in told("1/64"))
    # 7/16 of rebate less 1/16 of tolerance is twice 3/16
    assert any("uncovered" in note for note in told("3/16"))
    assert told("11/64") == []
    glazing = replace(leaf().glazing, thickness=inches("1/2"), cavity=inches("1/4"))
    (sealed,) = order_notes(lay_out(leaf(glazing=glazing), SECTIONS), Unit.IN)
    (words,) = note_texts([sealed], SIXTY_FOURTHS)
    assert words.startswith("sealed units 1/2 in thick over all, 1/4 in of it cavity: ")
    (metric,) = told("1/64", Notation(Unit.MM, Fraction(1, 2)))
    assert metric.startswith("glass may come 1.5 mm over size and has 0.79 mm of clearance")


def test_area_of_one_side() -> None:
    seen = inches("35"), inches("17")
    pane = PlacedPane(1, inches("36"), inches("18"), *seen, Length.ZERO)
    assert pane.square_feet * 2 == 9
