"""The dry fit as a set-up like any other: what to measure on the leaf, how far out it may be."""

from __future__ import annotations

from msgspec.structs import replace

from setupsheets.joinery.fits.dry_fit import DryFitCheck, expected
from setupsheets.joinery.frame.layout import Layout
from setupsheets.lengths import Unit
from setupsheets.machining.operations import (
    PlannedMeasure,
    SetUp,
)
from setupsheets.shop.recipes import Makes


def measure_name(item: DryFitCheck) -> str:
    """The short name of something that a dry fit measures, as readings are logged by it."""
    return item.name.replace(",", "").replace(" ", "_")


def with_dry_fit(set_up: SetUp, layout: Layout, unit: Unit) -> SetUp:
    """The set-up; that of the dry fit with what it measures, at the end of its last operation,
    within tolerances of the shop's ``unit``."""
    if set_up.recipe.makes is not Makes.FIT or not set_up.operations:
        return set_up
    last = set_up.operations[-1].name
    found = tuple(
        PlannedMeasure(
            name=measure_name(item),
            title=item.name[0].upper() + item.name[1:],
            instrument="rule",
            how="on the face, the leaf dry and clamped up",
            after=last,
            target=item.size,
            under=item.tolerance,
            over=item.tolerance,
            sensitivities={},
        )
        for item in expected(layout, unit)
    )
    return replace(set_up, measurements=(*set_up.measurements, *found))
