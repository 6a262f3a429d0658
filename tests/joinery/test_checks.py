"""Rules of thumb, each from both sides; all of them common practice, no source."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from setupsheets.joinery.fits.rules_of_thumb import wall_notes
from setupsheets.joinery.leaf import work_out
from setupsheets.joinery.members.parts import Mortise
from setupsheets.shop.jobs import Fill, Hinges, Job, Lock, Panels
from setupsheets.shop.sections import Rebate, Section
from setupsheets.wording.joinery_notes import note_texts
from tests.joinery.designs import (
    BAR,
    FINEST,
    FRAME,
    SECTIONS,
    SIXTY_FOURTHS,
    inches,
    leaf,
    two_fields,
)


def notes(job: Job, sections: dict[str, Section] = SECTIONS) -> str:
    return "\n".join(note_texts(work_out(job, sections, FINEST).notes, SIXTY_FOURTHS))


@pytest.mark.parametrize(
    ("rebate", "told"),
    [("21/32", False), ("85/128", True), ("5/16", False), ("39/128", True)],
)
def test_a_tenon_about_a_third_of_the_thickness(rebate: str, told: bool) -> None:
    """1 3/8 stock and 3/8 sticking: 21/32 of rebate leaves 11/32, a quarter; 5/16 leaves half."""
    deep = Rebate(inches("7/16"), inches(rebate))
    sections = {"frame": replace(FRAME, rebate=deep), "bar": replace(BAR, rebate=deep)}
    thin = replace(leaf().glazing, thickness=inches("1/16"))
    assert ("a third is usual" in notes(leaf(glazing=thin), sections)) is told


@pytest.mark.parametrize(("width", "told"), [("1 1/4", False), ("1 17/64", True)])
def test_a_tenon_at_most_five_times_as_wide_as_thick(width: str, told: bool) -> None:
    top, bottom = leaf().rails
    haunched = replace(bottom, haunch=inches("3") - inches(width))
    other = replace(top, haunch=inches("2"))
    assert ("more than 5 times" in notes(replace(leaf(), rails=(other, haunched)))) is told


def test_twin_tenons_are_judged_one_by_one() -> None:
    job = two_fields()
    top, lock, bottom = (replace(rail, width=inches("5")) for rail in job.rails)
    outer = [replace(rail, haunch=inches("3 3/4")) for rail in (top, bottom)]
    single = replace(job, rails=(outer[0], lock, outer[1]))
    twin = replace(single, rails=(outer[0], replace(lock, twin_gap=inches("2 1/2")), outer[1]))
    assert "tenon of the lock rail is 5 in wide" in notes(single)
    assert "more than 5 times" not in notes(twin)


@pytest.mark.parametrize(
    ("haunch", "told"), [("3/4", False), ("47/64", True), ("1 1/2", False), ("1 33/64", True)]
)
def test_a_haunch_about_a_third_of_the_rail(haunch: str, told: bool) -> None:
    top, bottom = leaf().rails
    job = replace(leaf(), rails=(top, replace(bottom, haunch=inches(haunch))))
    assert ("about a third, 1 in, is usual" in notes(job)) is told


def test_about_two_millimetres_under_a_tenon() -> None:
    tight, loose = (
        replace(leaf(), joints=replace(leaf().joints, gap=inches(gap))) for gap in ("1/32", "1/16")
    )
    assert "is left under the tenons" in notes(tight)
    assert "is left under the tenons" not in notes(loose)


def mortise(start: str, end: str, holds: str, edge: int = 0) -> Mortise:
    quarter = inches("1/4")
    return Mortise("stile", holds, edge, inches(start), inches(end), quarter, quarter, inches("1"))


def test_mortises_that_run_into_each_other() -> None:
    one, two = mortise("1", "3", "rail"), mortise("2 7/8", "4", "bar")
    (note,) = note_texts(wall_notes((two, one)), SIXTY_FOURTHS)
    assert "ends at 3 in" in note
    assert "starts at 2 7/8 in" in note
    assert "by 1/8 in" in note


def test_a_mortise_within_another_runs_into_it_from_where_it_starts() -> None:
    """From 1 to 4 and from 2 to 3: of the first 2 in are gone already where the second starts."""
    within = (mortise("2", "3", "bar"), mortise("1", "4", "rail"))
    (note,) = note_texts(wall_notes(within), SIXTY_FOURTHS)
    assert "ends at 4 in" in note and "starts at 2 in" in note and "by 2 in" in note


@pytest.mark.parametrize(("start", "told"), [("3 1/8", True), ("3 1/4", False), ("3", True)])
def test_thin_walls_between_mortises(start: str, told: bool) -> None:
    pair = (mortise("1", "3", "rail"), mortise(start, "4", "bar"))
    (*notes,) = note_texts(wall_notes(pair), SIXTY_FOURTHS)
    assert bool(notes) is told
    assert not any("overlap" in each for each in notes)


def test_mortises_in_other_edges_do_not_meet_here() -> None:
    pair = (mortise("1", "3", "rail"), mortise("2", "4", "bar", edge=1))
    assert list(wall_notes(pair)) == []


@pytest.mark.parametrize(
    ("above", "depth", "told"),
    [
        ("25 1/2", "1 3/4", False),
        ("25 1/2", "1 49/64", True),
        ("34", "2", False),
        ("31", "2", False),
    ],
)
def test_a_lock_that_meets_a_mortise(above: str, depth: str, told: bool) -> None:
    """The lock rail's mortise runs from 23 to 28, 1 1/4 deep in a 3 in stile: 1 3/4 is left."""
    lock = Lock(inches(above), inches("6"), inches(depth), inches("1/2"))
    told_so = notes(two_fields(lock=lock))
    assert ("runs into the mortise for the lock rail, from 23 in to 28 in" in told_so) is told
    together = (
        "1 49/64 in deep from one edge and 1 1/4 in from the other, they take 1/64 in more than"
        " the stile's 3 in"
    )
    assert (together in told_so) is told


@pytest.mark.parametrize(
    ("deep", "bottom", "told"),
    [("3", "27 63/64", True), ("3", "28", False), ("2 63/64", "25", False)],
)
def test_a_hinge_over_the_end_of_a_through_tenon(deep: str, bottom: str, told: bool) -> None:
    """The lock rail's mortise runs from 23 to 28 and right through a 3 in stile; screws hold little
    in end grain (common practice, no source)."""
    hinges = Hinges(inches("4"), inches("1/4"), 2, from_bottom=inches(bottom))
    job = two_fields(hinges=hinges)
    through = replace(job, joints=replace(job.joints, rail_mortise=inches(deep)))
    assert (
        "lies over the end of the tenon of the lock rail, from 23 in to 28 in" in notes(through)
    ) is told


def test_a_lock_that_comes_out_into_the_rebate() -> None:
    """3 in of stile less 7/16 of rebate is 2 9/16."""
    for depth, told in (("2 35/64", False), ("2 9/16", True)):
        lock = Lock(inches("36"), inches("3"), inches(depth), inches("1/2"))
        assert ("comes out into the rebate" in notes(two_fields(lock=lock))) is told


def test_a_groove_takes_its_depth_off_the_tenons_beside_it() -> None:
    panels = Panels(inches("1/4"), inches("1/4"), inches("1/2"), inches("1/8"))
    told = notes(replace(two_fields(Fill.GROOVED_PANEL), panels=panels))
    assert "groove in the lock rail is run through its ends and takes 1/2 in" in told
    assert "groove in the bottom rail is run through its ends and takes 1/2 in" in told
    assert "groove in the top rail" not in told
