"""What a leaf weighs, how many hinges carry it, and when it is too heavy to lift alone."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from math import ceil

from msgspec import Struct
from msgspec.structs import replace

from setupsheets.joinery.members.parts import Joinery, Pane, Part
from setupsheets.joinery.notes import Note, NoteKind, note
from setupsheets.lengths import Length
from setupsheets.shop.jobs import Fill, Job
from setupsheets.shop.sections import Section
from setupsheets.shop.timbers import Timber

GLASS_DENSITY = 2500.0  # kg/m3, soda lime glass: value from memory
LIFT_ALONE = 25.0  # kg, close to the body at about waist height: value from memory
CUBIC_METRE = 1e9  # mm3


class Weight(Struct, frozen=True):
    """Kilograms of one leaf."""

    timber: float
    glass: float

    @property
    def leaf(self) -> float:
        """All of it."""
        return self.timber + self.glass


def section_area(section: Section, width: Length, edges: int) -> float:
    """Area of a member's cross-section in mm2 with so many edges moulded and rebated."""
    whole = float(width.mm) * float(section.thickness.mm)
    return whole - edges * (_moulding_area(section) + _rebate_area(section))


def _rebate_area(section: Section) -> float:
    return float(section.rebate.width.mm) * float(section.rebate.depth.mm)


def _moulding_area(section: Section) -> float:
    """The corner that the sticking takes away: the outline closed at the arris (shoelace)."""
    corner = [(0.0, 0.0), *section.sticking.points(), (0.0, 0.0)]
    return abs(sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in pairwise(corner))) / 2


def weigh(job: Job, joinery: Joinery, timber: Timber) -> Weight | None:
    """One leaf, less hardware and finish; None where the timber's density is not known."""
    if timber.density is None:
        return None
    solid = sum(_part_volume(part) for part in joinery.parts)
    solid += sum(
        bead.count * float((bead.length / MM) * (bead.width / MM) * (bead.depth / MM))
        for bead in joinery.beads
    )
    solid += sum(_volume(pane) for pane in joinery.panes if pane.fill is not Fill.GLASS)
    glass = sum(
        _volume(replace(pane, thickness=pane.thickness - job.glazing.cavity))
        for pane in joinery.panes
        if pane.fill is Fill.GLASS
    )
    leaves = job.count * CUBIC_METRE
    return Weight(solid * float(timber.density) / leaves, glass * GLASS_DENSITY / leaves)


MM = Length.millimetres(1)


def _part_volume(part: Part) -> float:
    """All pieces of a part over the tenons in mm3: what coping takes off again is not reckoned."""
    area = section_area(part.section, part.width, part.sight_edges)
    return part.count * area * float(part.overall.mm)


def _volume(pane: Pane) -> float:
    return pane.count * float((pane.width / MM) * (pane.height / MM) * (pane.thickness / MM))


def hinges(height: Length) -> int:
    """Two to 60 in of height and one more for each 30 in over it: common practice, no source."""
    over = (height - Length("60 in")) / Length("30 in")
    return 2 + max(0, ceil(over))


def weight_notes(weight: Weight, height: Length, given: int | None = None) -> Iterator[Note]:
    """The weight with the rule of thumb for hinges, beside as many as the job has ``given`` where
    those are fewer, and the lifting caution where it is due."""
    glass = (note(NoteKind.OF_IT_GLASS, weight=weight),) if weight.glass else ()
    usual = hinges(height)
    few = given is not None and given < usual
    fewer = (note(NoteKind.FEWER_HINGES, count=given),) if few else ()
    kind = NoteKind.WEIGHT_AND_HINGES
    yield note(kind, weight=weight, glass=glass, hinges=usual, fewer=fewer)
    if weight.leaf > LIFT_ALONE:
        yield note(NoteKind.LIFT_WITH_TWO, limit=LIFT_ALONE)
