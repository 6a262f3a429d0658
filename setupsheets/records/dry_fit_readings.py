"""A dry fit that was logged: what is out, by how much, and which part to look at."""

from __future__ import annotations

from setupsheets.joinery.fits.dry_fit import expected, findings
from setupsheets.joinery.frame.layout import Layout
from setupsheets.joinery.notes import Note
from setupsheets.lengths import Length, Unit
from setupsheets.machining.planning.dry_fit_set_up import measure_name
from setupsheets.records.record import Record


def dry_fit_findings(record: Record, layout: Layout, unit: Unit) -> tuple[Note, ...]:
    """What the last readings of a dry fit say is out; nothing where all is within the tolerance
    that a shop of that ``unit`` has."""
    names = {measure_name(item): item.name for item in expected(layout)}
    found: dict[str, Length] = {}
    for reading in record.pieces[-1].counted if record.pieces else ():
        if reading.found is not None and reading.of in names:
            found[names[reading.of]] = reading.found
    return findings(layout, found, unit)
