"""The glass order, and where rules on safety glazing have something to say.

The rules are cited to make the maker ask, never to decide: the local code and a qualified glazier
do that, and every sentence of theirs says so.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from setupsheets.joinery.frame.layout import Layout
from setupsheets.joinery.members.parts import Joinery
from setupsheets.joinery.notes import Note, NoteKind, note
from setupsheets.lengths import Length
from setupsheets.shop.jobs import Fill
from setupsheets.shop.tolerances import CUT_TOLERANCE

CATEGORY_II_OVER = Fraction(9)  # square feet of one side: 16 CFR 1201.2
SPHERE = Length("3 in")  # International Residential Code 2015, R308.4.1, exception 1
CRITICAL_BELOW = Length("1500 mm")  # above the floor: Approved Document K (England, 2013)
WIDE_OVER = Length("900 mm")  # the same
FOOT = Length("1 ft")


@dataclass(frozen=True)
class OrderLine:
    """Panes of one size to order: ``tolerance`` is what they may be out."""

    fill: Fill
    width: Length
    height: Length
    thickness: Length
    count: int
    fields: tuple[int, ...]
    tolerance: Length | None

    @property
    def square_metres(self) -> Fraction:
        """Area of all of them."""
        metre = Length.millimetres(1000)
        return self.count * (self.width / metre) * (self.height / metre)


def order(joinery: Joinery) -> tuple[OrderLine, ...]:
    """Panes and panels grouped by what is the same to whoever cuts them, largest first."""
    grouped: dict[tuple[Fill, Length, Length, Length], list[tuple[int, int]]] = {}
    for pane in joinery.panes:
        key = (pane.fill, pane.width, pane.height, pane.thickness)
        grouped.setdefault(key, []).append((pane.count, pane.field))
    lines = (
        OrderLine(
            *key,
            count=sum(count for count, _ in found),
            fields=tuple(field for _, field in found),
            tolerance=CUT_TOLERANCE if key[0] is Fill.GLASS else None,
        )
        for key, found in grouped.items()
    )
    return tuple(sorted(lines, key=lambda line: (line.fill, -line.width.mm * line.height.mm)))


def order_notes(layout: Layout) -> Iterator[Note]:
    """Whether glass that is cut as large as it may be still goes in, as small still covered."""
    clearance = layout.job.glazing.clearance
    if not any(field.fill is Fill.GLASS for field in layout.job.fields):
        return
    if 2 * clearance < CUT_TOLERANCE:
        yield note(NoteKind.GLASS_CUT_LARGE, over=CUT_TOLERANCE, room=2 * clearance)
    rebate = min(
        section.rebate.width for number in _glazed(layout) for section in layout.members(number)
    )
    if rebate - 2 * clearance - CUT_TOLERANCE <= Length.ZERO:
        kind = NoteKind.GLASS_CUT_SMALL
        yield note(kind, under=CUT_TOLERANCE, rebate=rebate, clearance=clearance)


def _glazed(layout: Layout) -> Iterator[int]:
    for number, field in enumerate(layout.job.fields, start=1):
        if field.fill is Fill.GLASS:
            yield number


@dataclass(frozen=True)
class Exposed:
    """One size of glass as it is seen: sight sizes, and how high its lowest edge stands."""

    field: int
    width: Length
    height: Length
    above_floor: Length

    @property
    def square_feet(self) -> Fraction:
        """Exposed area of one side."""
        return (self.width / FOOT) * (self.height / FOOT)


def exposed(layout: Layout) -> Iterator[Exposed]:
    """Every size of glass in each field, each at its lowest place."""
    gap = layout.job.opening.clearances.bottom if layout.job.opening else Length.ZERO
    for number in _glazed(layout):
        rows, columns = layout.rows[number - 1], layout.columns[number - 1]
        sill = gap + layout.rail_edges[number][1]
        found: dict[tuple[Length, Length], Length] = {}
        for low, high in rows.light_edges:
            for wide in columns.spans:
                found.setdefault((wide, high - low), sill + low)
        for (wide, high), floor in found.items():
            yield Exposed(number, wide, high, floor)


def safety_notes(layout: Layout) -> Iterator[Note]:
    """What rules on glass in doors ask about these panes."""
    for pane in exposed(layout):
        feet, small = pane.square_feet, min(pane.width, pane.height) < SPHERE
        over = feet > CATEGORY_II_OVER
        yield note(NoteKind.GLASS_CATEGORY, pane=pane, feet=float(feet), over=over, small=small)
        if pane.above_floor < CRITICAL_BELOW:
            kind, wide = NoteKind.GLASS_IN_CRITICAL_LOCATION, pane.width > WIDE_OVER
            yield note(kind, pane=pane, wide=wide)
