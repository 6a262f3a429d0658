"""From the opening to the leaf."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from setupsheets.joinery.frame.opening import bevel_loss, fitting, least_bevel, swing_past
from setupsheets.joinery.leaf import work_out
from setupsheets.joinery.notes import NoteKind
from setupsheets.lengths import Length
from setupsheets.shop.jobs import Clearances, Meeting, Opening
from setupsheets.wording.joinery_notes import note_texts
from tests.joinery.designs import FINEST, SECTIONS, SIXTY_FOURTHS, inches, leaf
from tests.joinery.test_faults import faults

DOOR = Opening(inches("36"), inches("80"))


def test_default_clearances() -> None:
    """Architectural Woodwork Standards, 1st edition, 2009: 1/8 in top, hinge and lock, 1/16 in
    for each leaf of a pair, 1/2 in at the bottom."""
    gaps = Clearances()
    assert (gaps.top, gaps.hinge, gaps.lock) == (inches("1/8"),) * 3
    assert (gaps.meeting, gaps.bottom) == (inches("1/16"), inches("1/2"))


def test_a_single_leaf() -> None:
    assert DOOR.leaf.width == inches("35 3/4")
    assert DOOR.leaf.height == inches("79 3/8")


@pytest.mark.parametrize("meeting", [Meeting.PLAIN, Meeting.ASTRAGAL, Meeting.STRIP])
def test_a_pair_fills_the_opening(meeting: Meeting) -> None:
    pair = replace(DOOR, pair=meeting)
    assert 2 * pair.leaf.width + 2 * inches("1/8") + 2 * inches("1/16") == DOOR.width


def test_the_leaves_of_a_rebated_pair_lap() -> None:
    plain, lapped = (replace(DOOR, pair=Meeting.REBATED, lap=inches(t)) for t in ("0", "1/2"))
    assert 2 * (lapped.leaf.width - plain.leaf.width) == inches("1/2")


def test_each_way_of_meeting_has_its_note() -> None:
    for meeting, words in (
        (Meeting.REBATED, "1/2 in wide and 7/8 in deep"),
        (Meeting.ASTRAGAL, "astragal is fixed to one leaf and covers the gap of 1/8 in"),
        (Meeting.STRIP, "cover strip is fixed to one leaf"),
        (Meeting.PLAIN, "hang the standing leaf first"),
    ):
        lap = inches("1/2") if meeting is Meeting.REBATED else Length.ZERO
        pair = replace(DOOR, pair=meeting, lap=lap)
        notes = note_texts(fitting(pair, inches("1 3/4")).notes, SIXTY_FOURTHS)
        assert any(words in note for note in notes)


def test_three_degrees_over_an_inch_and_three_quarters() -> None:
    """Plane arithmetic: 0.092 in. "1/8 in 2" is 3.58 degrees, not 3."""
    assert abs(bevel_loss(inches("1 3/4"), Fraction(3)) - inches("0.092")) < inches("0.0005")
    assert abs(bevel_loss(inches("2"), Fraction("3.58")) - inches("1/8")) < inches("0.0005")


@given(st.integers(200, 1500), st.integers(10, 60), st.integers(0, 5))
def test_the_least_bevel_is_the_least(width: int, thickness: int, gap: int) -> None:
    w, t, c = (Length.millimetres(size) for size in (width, thickness, gap))
    least = Fraction(least_bevel(w, t, c)).limit_denominator(10**9)
    assert swing_past(w, t, least) <= c + Length.millimetres(Fraction(1, 500))
    if least > Fraction(1, 10):
        assert swing_past(w, t, least - Fraction(1, 10)) > c


def test_a_narrow_thick_leaf_is_told_to_be_bevelled_more() -> None:
    narrow = Opening(inches("6"), inches("20"), lock_bevel=Fraction(0))
    notes = note_texts(fitting(narrow, inches("1 3/4")).notes, SIXTY_FOURTHS)
    assert any("as the leaf swings" in note for note in notes)
    enough = replace(narrow, lock_bevel=Fraction(8))
    assert not any(
        each.kind is NoteKind.EDGE_NEEDS_A_BEVEL for each in fitting(enough, inches("1 3/4")).notes
    )


def test_an_edge_swings_into_its_own_gap_and_a_pair_s_into_that_of_both() -> None:
    """7/32 at a lock; twice a leaf's share of 3/32 where two leaves meet (arithmetic)."""
    gaps = Clearances(lock=inches("7/32"), meeting=inches("3/32"))
    narrow = Opening(inches("6"), inches("20"), gaps, lock_bevel=Fraction(0))
    for opening, room in (
        (narrow, "7/32"),
        (replace(narrow, width=inches("12"), pair=Meeting.PLAIN), "3/16"),
    ):
        (told,) = [each for each in fitting(opening, inches("1 3/4")).notes
                   if each.kind is NoteKind.EDGE_NEEDS_A_BEVEL]  # fmt: skip
        assert dict(told.facts)["room"] == inches(room)


def test_a_job_takes_its_size_from_the_opening() -> None:
    job = replace(leaf(), leaf=None, opening=Opening(inches("24 1/4"), inches("46 5/8")))
    assert work_out(job, SECTIONS, FINEST).parts == work_out(leaf(), SECTIONS, FINEST).parts


@pytest.mark.parametrize(
    ("changes", "field", "words"),
    [
        ({"leaf": None}, "", "expected the leaf's size, or the opening"),
        ({"opening": DOOR}, "leaf", "leave one of them out"),
        (
            {"count": 2, "opening": replace(DOOR, pair=Meeting.PLAIN)},
            "leaf",
            "leaves of a pair that are not equally wide are two jobs, each with its leaf alone",
        ),
        (
            {"leaf": None, "opening": replace(DOOR, pair=Meeting.PLAIN)},
            "count",
            "expected an even count, found 1",
        ),
        (
            {"leaf": None, "count": 2, "opening": replace(DOOR, pair=Meeting.REBATED)},
            "opening.lap",
            "expected how wide the rebates are",
        ),
        (
            {"leaf": None, "opening": replace(DOOR, lap=inches("1/2"))},
            "opening.lap",
            "only the leaves of a rebated pair lap",
        ),
        (
            {"leaf": None, "opening": replace(DOOR, lock_bevel=Fraction(45))},
            "opening.lock_bevel",
            "expected 0 to 45 degrees",
        ),
    ],
)
def test_openings_that_do_not_fit(changes: dict[str, object], field: str, words: str) -> None:
    job = replace(leaf(), **changes)
    found = faults(job, SECTIONS)
    assert any(at == field and words in message for at, message in found), found
