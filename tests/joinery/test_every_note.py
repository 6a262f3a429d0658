"""Every kind of note is made by some leaf, and every one of them can be said."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

import pytest
from msgspec.structs import replace

from setupsheets.joinery.fits.dry_fit import expected, findings
from setupsheets.joinery.fits.rules_of_thumb import wall_notes
from setupsheets.joinery.frame.opening import fitting
from setupsheets.joinery.leaf import whole, work_out
from setupsheets.joinery.members.parts import Mortise
from setupsheets.joinery.notes import Note, NoteKind
from setupsheets.lengths import Length, Unit
from setupsheets.shop.jobs import (
    Air,
    Bars,
    Fill,
    Hinges,
    Job,
    Lock,
    Meeting,
    Opening,
    Panels,
    Seasons,
    Stock,
    Through,
)
from setupsheets.shop.sections import Rebate, Section
from setupsheets.shop.timbers import Timber
from setupsheets.wording.joinery_notes import note_text
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

OAK = Timber("oak", "Oak", Fraction("0.0018"), Fraction("0.00365"), "", Fraction(750))
PANELS = Panels(inches("7/8"), inches("3/8"), inches("1/4"), inches("1/64"), inches("1"))
OTHER = replace(FRAME, name="other", sticking=replace(FRAME.sticking, width=inches("5/16")))
DEEP = replace(BAR.sticking, depth=inches("7/16"))
THIN = replace(
    BAR, sticking=DEEP, thickness=inches("1 1/4"), rebate=Rebate(inches("7/16"), inches("5/8"))
)


def everything(job: Job, sections: dict[str, Section] = SECTIONS) -> Iterator[Note]:
    made = whole(work_out(job, sections, FINEST), OAK, FINEST, Unit.IN)
    for group in made.notes.values():
        yield from group
    yield from made.fitting.notes if made.fitting else ()


def panelled() -> Job:
    """A leaf with a panel in a groove, thin walls, a lock in the way, short boards."""
    job = two_fields(Fill.GROOVED_PANEL)
    top, lock, bottom = job.rails
    plain, small = replace(top, haunch=Length.ZERO), replace(bottom, haunch=inches("1/4"))
    made, dry, wet = (Air(Fraction(20), Fraction(each)) for each in (50, 10, 95))
    return replace(
        job,
        rails=(plain, replace(lock, section="other"), small),
        panels=PANELS,
        glazing=replace(job.glazing, clearance=inches("1/64")),
        joints=replace(job.joints, rail_mortise=inches("2 7/8"), gap=inches("1/32")),
        lock=Lock(inches("25"), inches("6"), inches("2 5/8"), inches("3/4")),
        seasons=Seasons(made, dry, wet),
        stock=Stock((inches("60"),), inches("1/8")),
    )


def barred(through: Through) -> Job:
    """Bars that cross, in lights of which some are small."""
    job = leaf("18.01", "40.01", 3, 3, bars=Bars("bar", through=through))
    rail = replace(job.rails[0], haunch=inches("1 1/4"))
    deep = inches("1/2") if through is Through.UPRIGHT else None
    near = replace(job.joints, bar_in_bar_mortise=deep, rail_mortise=inches("3"))
    hinges = Hinges(inches("3"), inches("1/4"), from_top=inches("1"))
    return replace(job, joints=near, rails=(rail, job.rails[1]), hinges=hinges)


def heavy() -> Job:
    """A large leaf of thick sealed units made small, its lights in proportion, on two hinges."""
    job = leaf("40", "80", 3)
    thick, apart = inches("1/2"), inches("1/8")
    glass = replace(job.glazing, thickness=thick, clearance=inches("3/16"), cavity=apart)
    third, rest = Fraction(1, 3), Fraction(2, 3)
    field = replace(job.fields[0], row_shares=(third, rest, rest))
    return replace(job, glazing=glass, fields=(field,), hinges=Hinges(inches("4"), inches("1/4")))


def wide() -> Iterator[Note]:
    """Tenons too wide, of rails with and without a haunch, and of twins."""
    rail = replace(leaf().rails[0], width=inches("7"))
    for haunch in ("0", "1/4"):
        for gap in (None, inches("1/4")):
            made = replace(rail, haunch=inches(haunch), twin_gap=gap)
            yield from everything(replace(leaf(), rails=(made, leaf().rails[1])))


def shallow(rebate: str = "5/8") -> dict[str, Section]:
    """Sections 1 3/8 in thick whose rebates are so deep."""
    deep = Rebate(BAR.rebate.width, inches(rebate))
    return {each.name: replace(each, rebate=deep) for each in (FRAME, BAR)}


def crowded() -> Iterator[Note]:
    """Three mortises, of which the second runs into the first and nearly into the third."""
    quarter = inches("1/4")
    places = (("rail", "1", "3"), ("bar", "2 7/8", "4"), ("other bar", "4 1/8", "5"))
    mortises = (
        Mortise("stile", holds, 0, inches(start), inches(end), quarter, quarter, inches("1"))
        for holds, start, end in places
    )
    yield from wall_notes(tuple(mortises))


def doors() -> Iterator[Note]:
    """A pair with every way of meeting, and a leaf that does not swing past its frame."""
    for meeting in Meeting:
        lap = inches("1/2") if meeting is Meeting.REBATED else Length.ZERO
        more = inches("1/8")
        opening = Opening(inches("12"), inches("20"), pair=meeting, lap=lap, fitting=more)
        yield from fitting(replace(opening, lock_bevel=Fraction(0)), inches("1 3/4")).notes


def dry() -> Iterator[Note]:
    """A leaf that was put together badly: see what is wrong by its readings."""
    quarter = inches("1/4")
    layout = work_out(leaf(rows=3, columns=3), SECTIONS, FINEST).layout
    wrong = {
        "diagonal from lower left": quarter,
        "diagonal from lower right": Length.ZERO,
        "height over the rails at the left": quarter,
        "field 1, row 1": quarter,
        "field 1, row 2": -quarter,
        "field 1, row 3": quarter,
        "field 1, column 1": quarter,
        "field 1, column 2": -quarter,
    }
    wide = {"width at the top rail": quarter}
    sizes = {each.name: each.size for each in expected(layout, Unit.IN)}
    for errors in ({**wrong, **wide}, {**wide, "width at the bottom rail": quarter}):
        found = {name: sizes[name] + by for name, by in errors.items()}
        yield from findings(layout, found, Unit.IN)


def test_every_kind_of_note_is_made_and_said() -> None:
    thin = {"frame": FRAME, "bar": THIN, "other": OTHER}
    made = [
        *everything(panelled(), {**SECTIONS, "other": OTHER}),
        *(note for through in Through for note in everything(barred(through))),
        *everything(leaf(), thin),
        *everything(barred(Through.HALVED), shallow()),
        *everything(heavy()),
        *wide(),
        *crowded(),
        *doors(),
        *dry(),
    ]
    found = {note.kind for note in made} | {
        each.kind
        for note in made
        for _, fact in note.facts
        for each in (fact if isinstance(fact, tuple) else ())
        if isinstance(each, Note)
    }
    assert found == set(NoteKind)
    told = [note_text(note, SIXTY_FOURTHS) for note in made]
    assert all(told) and not any("None" in words or "{" in words for words in told)


@pytest.mark.parametrize("through", Through)
def test_only_halved_bars_are_told_to_be_mitred(through: Through) -> None:
    kinds = {note.kind for note in everything(barred(through))}
    assert (NoteKind.HALVED_BARS_ARE_MITRED in kinds) is (through is Through.HALVED)
    assert (NoteKind.THIN_WALL_IN_BAR in kinds) is (through is Through.UPRIGHT)


@pytest.mark.parametrize(("rebate", "hole"), [("5/8", True), ("11/16", False)])
def test_a_notch_that_reaches_past_the_rebates_floor_leaves_a_hole_at_the_back(
    rebate: str, hole: bool
) -> None:
    """Half of 1 3/8 is 11/16. With a rebate so deep the notch lies in the tongue alone; with less
    it also cuts what stands wide before the rebate's floor, and what lies in it behind is the
    tongue, 7/16 less on each side (plane geometry)."""
    made = everything(barred(Through.HALVED), shallow(rebate))
    holes = [note_text(each, SIXTY_FOURTHS) for each in made
             if each.kind is NoteKind.HALVED_BARS_LEAVE_A_HOLE]  # fmt: skip
    assert len(holes) == (1 if hole else 0)
    assert all("a hole 7/16 in wide and 5/8 in deep" in words for words in holes)
    assert all("rebate is 11/16 in deep or more" in words for words in holes)
