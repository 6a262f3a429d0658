"""The door drawn: its elevation with every part named, and its members' sections dimensioned."""

from __future__ import annotations

from setupsheets.joinery.leaf import Whole
from setupsheets.lengths import Notation
from setupsheets.sheets.drawings.drawing import Drawing
from setupsheets.sheets.drawings.leaf_drawing import leaf_drawing
from setupsheets.sheets.drawings.member_sections import member_sections
from setupsheets.wording.doors import door_title


def door_drawings(whole: Whole, notation: Notation) -> tuple[Drawing, ...]:
    """Elevation and sections of a job's door; of a pair both leaves."""
    joinery, elevation = whole.joinery, whole.elevation
    job = joinery.layout.job.title
    return (
        leaf_drawing("door", door_title(job, elevation), elevation, notation),
        *member_sections("section", job, joinery, notation),
    )
