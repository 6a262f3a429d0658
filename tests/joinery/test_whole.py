"""All of a leaf at once."""

from __future__ import annotations

from fractions import Fraction

import pytest
from msgspec.structs import replace

from setupsheets.files.faults import DataFaults
from setupsheets.joinery.leaf import About, Whole, whole, work_out
from setupsheets.joinery.stock.cutlist import TestPieces
from setupsheets.lengths import Unit
from setupsheets.shop.jobs import Air, Fill, Job, Opening, Panels, Seasons, Stock
from setupsheets.shop.timbers import Timber
from setupsheets.wording.joinery_faults import design_faults_worded
from tests.joinery.designs import FINEST, SECTIONS, SIXTY_FOURTHS, inches, leaf, two_fields

# Wood Handbook, FPL-GTR-190 (2010), table 13-5; the density is a value from memory.
OAK = Timber("white-oak", "White oak", Fraction("0.00180"), Fraction("0.00365"), "", Fraction(750))


def air(humidity: int) -> Air:
    return Air(Fraction(20), Fraction(humidity))


FULL = replace(
    two_fields(Fill.GROOVED_PANEL),
    panels=Panels(inches("1/4"), inches("1/4"), inches("1/2"), inches("1/8")),
    leaf=None,
    opening=Opening(inches("26 1/4"), inches("71 5/8")),
    stock=Stock((inches("96"), inches("144")), inches("1/8"), inches("2")),
    seasons=Seasons(air(45), air(30), air(70)),
)


TESTS = {"cross bar": TestPieces(3, inches("12"))}


def made(job: Job) -> Whole:
    with design_faults_worded(SIXTY_FOURTHS):
        return whole(work_out(job, SECTIONS, FINEST), OAK, FINEST, Unit.IN, TESTS)


def test_a_job_that_says_all_gets_all() -> None:
    found = made(FULL)
    assert found.fitting is not None
    assert found.moistures is not None
    assert found.weight is not None
    assert all(need.packing.proven for need in found.needs)
    assert {name for name, notes in found.notes.items() if notes} >= {
        About.JOINERY,
        About.GLASS,
        About.TIMBER,
    }
    assert [row.count for row in found.rows if row.name == "test piece of the cross bar"] == [3]


def test_a_job_that_says_little_gets_what_it_can() -> None:
    found = made(leaf())
    assert (found.fitting, found.moistures, found.needs, found.moved) == (None, None, (), ())
    assert found.order
    assert found.sticks
    assert found.notes[About.BOARDS] == ()


@pytest.mark.parametrize(
    ("job", "field", "words"),
    [
        (
            replace(FULL, stock=Stock((inches("10"),), inches("1/8"))),
            "stock.lengths",
            "no board is long enough",
        ),
        (replace(FULL, seasons=Seasons(air(45), air(30), air(101))), "seasons", "0 to 100 %"),
    ],
)
def test_what_cannot_be_is_a_fault_of_the_job(job: Job, field: str, words: str) -> None:
    with pytest.raises(DataFaults) as found:
        made(job)
    (fault,) = found.value.faults
    assert fault.field == field
    assert words in fault.message
