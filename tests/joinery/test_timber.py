"""Moisture, movement and weight against the Wood Handbook."""

from __future__ import annotations

from fractions import Fraction

import pytest
from msgspec.structs import replace
from shapely.geometry import Polygon

from setupsheets.joinery.frame.layout import lay_out
from setupsheets.joinery.leaf import work_out
from setupsheets.joinery.notes import NoteKind
from setupsheets.joinery.stock.moisture import equilibrium_moisture, moisture_range_holds, movement
from setupsheets.joinery.stock.seasons import Moistures, moistures, moves, season_notes
from setupsheets.joinery.stock.weights import (
    GLASS_DENSITY,
    Weight,
    hinges,
    section_area,
    weigh,
    weight_notes,
)
from setupsheets.lengths import Length
from setupsheets.shop.jobs import Air, Fill, Job, Opening, Panels, Seasons
from setupsheets.shop.outlines import Shape
from setupsheets.shop.timbers import Timber
from setupsheets.wording.joinery_notes import note_texts
from tests.joinery.designs import BAR, FINEST, SECTIONS, SIXTY_FOURTHS, inches, leaf, two_fields

# Wood Handbook, FPL-GTR-190 (2010), table 13-5; the density is a value from memory.
OAK = Timber("white-oak", "White oak", Fraction("0.00180"), Fraction("0.00365"), "", Fraction(750))


@pytest.mark.parametrize(
    ("fahrenheit", "humidity", "printed"),
    [
        (30, 50, 9.5),
        (50, 35, 7.1),
        (70, 30, 6.2),
        (70, 50, 9.2),
        (70, 65, 12.0),
        (70, 80, 16.0),
        (90, 90, 19.8),
        (110, 20, 4.0),
    ],
)
def test_equilibrium_moisture(fahrenheit: int, humidity: int, printed: float) -> None:
    """Wood Handbook, table 4-2, printed to one decimal; the equation is within 0.067 of it."""
    air = Air(Fraction(fahrenheit - 32) * 5 / 9, Fraction(humidity))
    assert equilibrium_moisture(air) == pytest.approx(printed, abs=0.07)


@pytest.mark.parametrize(("celsius", "humidity"), [(20, -1), (20, 101), (-41, 50), (131, 50)])
def test_air_that_the_equation_is_not_for(celsius: int, humidity: int) -> None:
    with pytest.raises(ValueError, match="expected -40 to 130"):
        equilibrium_moisture(Air(Fraction(celsius), Fraction(humidity)))


def test_dry_air_dries_timber_out() -> None:
    assert equilibrium_moisture(Air(Fraction(20), Fraction(0))) == 0


def test_movement_worked_example() -> None:
    """Wood Handbook, end of chapter 13: 232 mm grows by 1.7 mm to 233.7 mm at 11 %; its start of
    8 % and C_T of .00245 are values from memory."""
    size = Length.millimetres(232)
    grown = movement(size, Fraction("0.00245"), Fraction(8), Fraction(11))
    assert float(grown.mm) == pytest.approx(1.7, abs=0.05)
    assert float((size + grown).mm) == pytest.approx(233.7, abs=0.05)


def test_the_range_of_the_coefficients() -> None:
    """Wood Handbook, table 13-5: 6 to 14 %."""
    assert moisture_range_holds(Fraction(6), Fraction(14))
    assert not moisture_range_holds(Fraction("5.99"))
    assert not moisture_range_holds(Fraction("14.01"))


def seasons(made: int, dry: int, damp: int) -> Seasons:
    first, second, third = (Air(Fraction(21), Fraction(part)) for part in (made, dry, damp))
    return Seasons(first, second, third)


def notes(job: Job, found: Moistures) -> list[str]:
    moved = moves(lay_out(job, SECTIONS), work_out(job, SECTIONS, FINEST), OAK, found)
    return list(note_texts(season_notes(found, moved), SIXTY_FOURTHS))


def test_a_leaf_moves_with_its_two_stiles() -> None:
    """6 in of flat-sawn white oak, .00365 for 1 %, 4 % wetter: 0.0876 in (equation 13-2)."""
    found = Moistures(Fraction(9), Fraction(7), Fraction(13))
    moved = moves(lay_out(leaf(), SECTIONS), work_out(leaf(), SECTIONS, FINEST), OAK, found)
    (wide,) = [move for move in moved if "leaf" in move.what]
    assert wide.damp == inches("0.0876")
    assert wide.dry == -inches("0.0438")
    assert wide.room is None


def test_clearances_that_do_not_hold_are_told() -> None:
    opening = Opening(inches("24 1/4"), inches("46 5/8"))
    job = replace(leaf(), leaf=None, opening=opening)
    assert not any("bind" in note for note in notes(job, moistures(seasons(50, 30, 70))))
    far = Moistures(Fraction(6), Fraction(6), Fraction(14))
    tight = replace(
        opening, clearances=replace(opening.clearances, hinge=inches("1/16"), lock=inches("1/16"))
    )
    tight = replace(tight, width=inches("24 1/8"))
    assert any("it will bind" in note for note in notes(replace(job, opening=tight), far))


def test_panels_are_held_to_their_groove_both_ways() -> None:
    """A 20 3/4 in panel of white oak moves .303 in for 4 % (equation 13-2)."""
    panels = Panels(inches("1/4"), inches("1/4"), inches("1/4"), inches("1/8"))
    job = replace(two_fields(Fill.GROOVED_PANEL), panels=panels)
    told = notes(job, Moistures(Fraction(10), Fraction(6), Fraction(14)))
    assert any("field 2" in note and "will bind" in note for note in told)
    assert any("field 2" in note and "gap will show" in note for note in told)
    still = notes(job, Moistures(Fraction(10), Fraction(9), Fraction(11)))
    assert not any("field 2" in note for note in still)


def test_outside_the_range_of_the_coefficients_it_is_said() -> None:
    assert any("rough guide" in note for note in notes(leaf(), moistures(seasons(50, 10, 90))))
    assert not any("rough guide" in note for note in notes(leaf(), moistures(seasons(50, 30, 65))))


@pytest.mark.parametrize("shape", list(Shape))
def test_section_areas_agree_with_a_geometry_library(shape: Shape) -> None:
    """The same polygon in shapely."""
    bar = replace(BAR, sticking=replace(BAR.sticking, shape=shape))
    wide, deep = (float(inches(size).mm) for size in ("1 1/8", "1 3/8"))
    rebate = float(inches("7/16").mm), deep - float(inches("3/4").mm)
    left = [*bar.sticking.points(), (0.0, rebate[1]), rebate, (rebate[0], deep)]
    right = [(wide - x, y) for x, y in reversed(left)]
    assert section_area(bar, inches("1 1/8"), 2) == pytest.approx(Polygon([*left, *right]).area)


def test_weight_of_one_leaf_of_many() -> None:
    one = weigh(leaf(), work_out(leaf(), SECTIONS, FINEST), OAK)
    two = replace(leaf(), count=2)
    both = weigh(two, work_out(two, SECTIONS, FINEST), OAK)
    assert one is not None
    assert both is not None
    assert both.leaf == pytest.approx(one.leaf)
    # four panes 18 5/8 by 9 25/32 by 1/8 in (plane arithmetic)
    volume = 4 * 18.625 * 9.78125 * 0.125 * 25.4**3 / 1e9
    assert one.glass == pytest.approx(volume * GLASS_DENSITY)
    # of a sealed unit of 3/4 in with 1/2 in of cavity two panes of 1/8 in are glass
    double = replace(
        leaf(), glazing=replace(leaf().glazing, thickness=inches("3/4"), cavity=inches("1/2"))
    )
    sealed = weigh(
        double,
        replace(
            work_out(leaf(), SECTIONS, FINEST),
            panes=tuple(
                replace(pane, thickness=inches("3/4"))
                for pane in work_out(leaf(), SECTIONS, FINEST).panes
            ),
        ),
        OAK,
    )
    assert sealed is not None and sealed.glass == pytest.approx(2 * one.glass)
    # a leaf of solid wood would weigh more than this one and a quarter of it less
    solid = 24 * 46 * 1.375 * 25.4**3 / 1e9 * 750
    assert solid / 4 < one.timber < solid
    assert weigh(leaf(), work_out(leaf(), SECTIONS, FINEST), replace(OAK, density=None)) is None


@pytest.mark.parametrize(
    ("height", "count"), [("60", 2), ("60 1/16", 3), ("90", 3), ("91", 4), ("20", 2)]
)
def test_hinges_by_rule_of_thumb(height: str, count: int) -> None:
    """Common practice, no source."""
    assert hinges(inches(height)) == count


def test_the_lifting_caution_has_a_limit() -> None:
    assert not any(
        each.kind is NoteKind.LIFT_WITH_TWO for each in weight_notes(Weight(20, 5), inches("80"))
    )
    assert any(
        each.kind is NoteKind.LIFT_WITH_TWO for each in weight_notes(Weight(20, 5.1), inches("80"))
    )
