"""A dry fit that was logged: what is out, by how much, and which part to look at."""

from __future__ import annotations

from setupsheets.joinery.fits.dry_fit import expected, findings
from setupsheets.joinery.frame.layout import lay_out
from setupsheets.lengths import Length
from setupsheets.machining.plan import sections_of
from setupsheets.machining.planning.dry_fit_set_up import measure_name
from setupsheets.records.record import Record
from setupsheets.shop.finding import Shop


def is_dry_fit(record: Record) -> bool:
    """Whether nothing that was measured can be moved by a setting."""
    return not any(measure.moved_by for measure in record.measures)


def dry_fit_lines(record: Record, shop: Shop) -> tuple[str, ...]:
    """What the last readings of a dry fit say is out; nothing where all is within tolerance.

    Raises DataFaults where the job is not there any more.
    """
    job = shop.job(record.job)
    layout = lay_out(job, sections_of(job, shop))
    names = {measure_name(item): item.name for item in expected(layout)}
    found: dict[str, Length] = {}
    for reading in record.pieces[-1].readings if record.pieces else ():
        if reading.found is not None and reading.of in names:
            found[names[reading.of]] = reading.found
    return findings(layout, found, shop.settings.notation)
