"""The glass order, and where rules on safety glazing have something to say.

The rules are cited to make the maker ask, never to decide: the local code and a qualified glazier
do that, and every sentence of theirs says so.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from fractions import Fraction

from msgspec import Struct

from setupsheets.joinery.frame.layout import Layout
from setupsheets.joinery.members.panes import clearance_of
from setupsheets.joinery.members.parts import Joinery
from setupsheets.joinery.notes import Note, NoteKind, note
from setupsheets.lengths import Length, Unit
from setupsheets.shop.jobs import Fill
from setupsheets.shop.settings import CUT_TOLERANCE
from setupsheets.shop.shop_terms import in_shop_terms

CATEGORY_II_OVER = Fraction(9)  # square feet of one side: 16 CFR 1201.2
SPHERE = Length("3 in")  # International Residential Code 2015, R308.4.1, exception 1
CRITICAL_BELOW = Length("1500 mm")  # above the floor: Approved Document K (England, 2013)
WIDE_OVER = Length("900 mm")  # the same
SMALL_SIDE, SMALL_AREA = Length("250 mm"), Fraction(1, 2)  # the same, 5.6: small panes, m2
FOOT = Length("1 ft")


class OrderLine(Struct, frozen=True):
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


def order(joinery: Joinery, unit: Unit) -> tuple[OrderLine, ...]:
    """Panes and panels grouped by what is the same to whoever cuts them, largest first; glass as
    near to size as a shop of that ``unit`` says it."""
    grouped: dict[tuple[Fill, Length, Length, Length], list[tuple[int, int]]] = {}
    for pane in joinery.panes:
        key = (pane.fill, pane.width, pane.height, pane.thickness)
        grouped.setdefault(key, []).append((pane.count, pane.field))
    lines = (
        OrderLine(
            *key,
            count=sum(count for count, _ in found),
            fields=tuple(field for _, field in found),
            tolerance=in_shop_terms(CUT_TOLERANCE, unit) if key[0] is Fill.GLASS else None,
        )
        for key, found in grouped.items()
    )
    return tuple(sorted(lines, key=lambda line: (line.fill, -line.width.mm * line.height.mm)))


def order_notes(layout: Layout, unit: Unit) -> Iterator[Note]:
    """What is to be known of sealed units; whether glass that is cut as large as it may be still
    goes in, as small still covered."""
    within = in_shop_terms(CUT_TOLERANCE, unit)
    clearance = clearance_of(layout, Fill.GLASS)
    if not any(field.fill is Fill.GLASS for field in layout.job.fields):
        return
    if (glazing := layout.job.glazing).cavity:
        kind = NoteKind.SEALED_UNITS
        yield note(kind, thickness=glazing.thickness, cavity=glazing.cavity)
    if 2 * clearance < within:
        yield note(NoteKind.GLASS_CUT_LARGE, over=within, room=2 * clearance)
    rebate = min(
        section.rebate.width for number in _glazed(layout) for section in layout.members(number)
    )
    if rebate - 2 * clearance - within <= Length.ZERO:
        kind = NoteKind.GLASS_CUT_SMALL
        yield note(kind, under=within, rebate=rebate, clearance=clearance)


def _glazed(layout: Layout) -> Iterator[int]:
    for number, field in enumerate(layout.job.fields, start=1):
        if field.fill is Fill.GLASS:
            yield number


class PlacedPane(Struct, frozen=True):
    """One size of glass as the rules look at it: the piece's own ``width`` and ``height``, the
    sight sizes of what it closes, and how high its lowest sight edge stands."""

    field: int
    width: Length
    height: Length
    sight_width: Length
    sight_height: Length
    above_floor: Length

    @property
    def square_feet(self) -> Fraction:
        """Area of one side of the piece, which 16 CFR 1201.2(a) goes by."""
        return (self.width / FOOT) * (self.height / FOOT)

    @property
    def is_small(self) -> bool:
        """Whether Approved Document K calls it a small pane."""
        metre = Length.millimetres(1000)
        area = (self.width / metre) * (self.height / metre)
        return min(self.width, self.height) <= SMALL_SIDE and area <= SMALL_AREA


def placed_panes(layout: Layout) -> Iterator[PlacedPane]:
    """Every size of glass in each field, each at its lowest place."""
    gap = layout.job.opening.clearances.bottom if layout.job.opening else Length.ZERO
    off = 2 * clearance_of(layout, Fill.GLASS)
    for number in _glazed(layout):
        rows, columns = layout.rows[number - 1], layout.columns[number - 1]
        sill = gap + layout.rail_edges[number][1]
        found: dict[tuple[Length, Length, Length, Length], Length] = {}
        for high, (low, top) in zip(rows.lights, rows.light_edges, strict=True):
            for wide, across in zip(columns.lights, columns.spans, strict=True):
                found.setdefault((wide - off, high - off, across, top - low), sill + low)
        for (wide, high, across, up), floor in found.items():
            yield PlacedPane(number, wide, high, across, up, floor)


def safety_notes(layout: Layout) -> Iterator[Note]:
    """What rules on glass in doors ask about these panes, those of which the same holds
    together."""
    panes = list(placed_panes(layout))
    for (over, small), alike in _alike(panes, _category).items():
        pieces, several = _pieces(alike), len(alike) > 1
        feet = max(float(pane.square_feet) for pane in alike)
        kind = NoteKind.GLASS_CATEGORY
        yield note(kind, pieces=pieces, several=several, feet=feet, over=over, small=small)
    low = [pane for pane in panes if pane.above_floor < CRITICAL_BELOW]
    for (wide, little), alike in _alike(low, _location).items():
        pieces, several = _pieces(alike), len(alike) > 1
        floor = min(pane.above_floor for pane in alike)
        kind = NoteKind.GLASS_IN_CRITICAL_LOCATION
        yield note(kind, pieces=pieces, several=several, floor=floor, wide=wide, little=little)


def _category(pane: PlacedPane) -> tuple[bool, bool]:
    small = min(pane.sight_width, pane.sight_height) < SPHERE
    return pane.square_feet > CATEGORY_II_OVER, small


def _location(pane: PlacedPane) -> tuple[bool, bool]:
    return pane.width > WIDE_OVER, pane.is_small


def _alike(
    panes: Iterable[PlacedPane], told: Callable[[PlacedPane], tuple[bool, bool]]
) -> dict[tuple[bool, bool], list[PlacedPane]]:
    found: dict[tuple[bool, bool], list[PlacedPane]] = {}
    for pane in panes:
        found.setdefault(told(pane), []).append(pane)
    return found


def _pieces(panes: Iterable[PlacedPane]) -> tuple[Note, ...]:
    return tuple(note(NoteKind.GLASS_PIECE, pane=pane) for pane in panes)
