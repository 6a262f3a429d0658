"""Every piece of one leaf with its ends, its mortises and its halvings."""

from __future__ import annotations

from collections.abc import Hashable, Iterator

from msgspec import Struct
from msgspec.structs import replace

from setupsheets.joinery.frame.edges import (
    bar_stretches,
    groove_of,
    rail_stretches,
    stile_stretches,
)
from setupsheets.joinery.frame.layout import Layout, bars_in, without_rebate
from setupsheets.joinery.frame.lights import Division
from setupsheets.joinery.members.parts import End, Halving, Mortise, Part, Role, Stretch
from setupsheets.joinery.members.tenons import (
    bar_end,
    is_outer,
    middle_end,
    rail_edges_lost,
    rail_end,
)
from setupsheets.lengths import Length
from setupsheets.shop.jobs import Fill, Through
from setupsheets.shop.sections import Section

ZERO = Length.ZERO
LOWER, UPPER = 0, 1  # sight edges; also left and right of an upright bar
Key = tuple[Role, int, int]
"""One piece of the leaf: its role, its rail from the top or its field, its place along the line;
place ANY where it is one of several that are not told apart."""
ANY = -1
STILES = (Role.STILE, 0, 0)
Mortises = Iterator[tuple[Key, Mortise]]
Halvings = Iterator[tuple[Key, Halving]]


class Piece(Struct, frozen=True):
    """A piece of the leaf before equal ones are brought together under one name.

    ``part`` counts the pieces like it in one leaf and has the name that it would have by itself.
    ``mortises``, ``halvings`` and ``haunches`` are in it, each with the key of the piece that it is
    for; ``mates`` are the keys of those that take its ends, in their order. They bear no names yet,
    so that equal ones are equal.
    """

    key: Key
    part: Part
    mortises: tuple[tuple[Key, Mortise], ...]
    halvings: tuple[tuple[Key, Halving], ...] = ()
    haunches: tuple[tuple[Key, Mortise], ...] = ()
    mates: tuple[Key, ...] = ()

    @property
    def role(self) -> Role:
        """What the piece does in the leaf."""
        return self.part.role

    @property
    def sort(self) -> Hashable:
        """Pieces with the same sort are one part. A bar turned end for end is the same bar."""
        part = self.part
        ends = [_end_sizes(end) for end in part.ends]
        turned = frozenset(ends) if self.role in (Role.CROSS_BAR, Role.UPRIGHT_BAR) else (*ends,)
        name = part.name if self.role is Role.RAIL else ""
        mortises = frozenset(mortise for _, mortise in self.mortises)
        halvings = frozenset(halving for _, halving in self.halvings)
        shape = (part.section.name, part.width, part.sight, turned)
        return (self.role, name, shape, mortises, halvings, part.stretches)


def _end_sizes(end: End) -> Hashable:
    return (end.mate.name, end.mortise_depth, end.gap, end.tenon)


def pieces(layout: Layout) -> Iterator[Piece]:
    """All pieces of one leaf: stiles, rails from the top, then bars by field."""
    yield _stile(layout)
    for index in range(len(layout.rails)):
        yield _rail(layout, index)
    for number in range(1, len(layout.job.fields) + 1):
        yield from _bars(layout, number, Role.CROSS_BAR)
        yield from _bars(layout, number, Role.UPRIGHT_BAR)
        yield from _middle_stiles(layout, number)


def _stile(layout: Layout) -> Piece:
    job = layout.job
    part = Part(
        name="stile",
        role=Role.STILE,
        section=layout.stile,
        count=2,
        width=job.stiles.width,
        sight=ZERO,
        sight_edges=1,
        stile_length=job.size.height + 2 * job.stiles.horn,
        horn=job.stiles.horn,
        stretches=tuple(stile_stretches(layout)),
    )
    return Piece(
        key=STILES,
        part=part,
        mortises=tuple(_stile_mortises(layout)),
        haunches=tuple(_haunch_mortises(layout)),
    )


def _stile_mortises(layout: Layout) -> Mortises:
    """Mortises from the bottom of the leaf, for rails and for the bars that run to the stile."""
    for index, (low, high) in reversed(list(enumerate(layout.rail_edges))):
        end = rail_end(layout, index)
        below, above = rail_edges_lost(layout, index)
        key = (Role.RAIL, index, 0)
        for start, stop in _twins(low + below, high - above, end):
            yield key, _mortise(LOWER, start, stop, end)
        if index > 0 and layout.bar:
            bar = bar_end(layout, layout.bar, layout.stile)
            rows = layout.rows[index - 1]
            yield from _bar_mortises(rows, (Role.CROSS_BAR, index, 0), LOWER, bar, high)


def _haunch_mortises(layout: Layout) -> Mortises:
    """The shallow mortises for the haunches of the outer rails, to the ends of the leaf. Where a
    groove runs out there it takes the haunch by itself."""
    last = len(layout.rails) - 1
    for index in (last, 0):
        end, haunch = rail_end(layout, index), layout.job.rails[index].haunch
        if haunch <= ZERO or layout.grooved(index):
            continue
        low, high = layout.rail_edges[index]
        start, stop = (low, low + haunch) if index == last else (high - haunch, high)
        deep = end.tenon.haunch_depth + layout.job.joints.gap
        shallow = replace(_mortise(LOWER, start, stop, end), depth=deep)
        yield (Role.RAIL, index, 0), shallow


def _twins(start: Length, stop: Length, end: End) -> tuple[tuple[Length, Length], ...]:
    """One mortise, or two for twin tenons with the gap in the middle."""
    gap = end.tenon.twin_gap
    if gap is None:
        return ((start, stop),)
    wide = (stop - start - gap) / 2
    return ((start, start + wide), (stop - wide, stop))


def _rail(layout: Layout, index: int) -> Piece:
    rail, end = layout.job.rails[index], rail_end(layout, index)
    part = Part(
        name=rail.name,
        role=Role.RAIL,
        section=layout.rail_section(index),
        count=1,
        width=rail.width,
        sight=layout.sight_width,
        sight_edges=1 if is_outer(layout, index) else 2,
        ends=(end, end),
        stretches=tuple(rail_stretches(layout, index)),
    )
    mortises = tuple(_rail_mortises(layout, index))
    return Piece((Role.RAIL, index, 0), part, mortises, mates=(STILES, STILES))


def _rail_mortises(layout: Layout, index: int) -> Mortises:
    """Mortises for upright bars and middle stiles: in the lower edge those of the field below,
    field index + 1."""
    if index < len(layout.columns):
        yield from _mortises_beside(layout, index, index, LOWER)
    if index > 0:
        edge = LOWER if is_outer(layout, index) else UPPER
        yield from _mortises_beside(layout, index, index - 1, edge)


def _mortises_beside(layout: Layout, index: int, field: int, edge: int) -> Mortises:
    """The mortises of a rail for what stands in one field, which counts from 0."""
    columns, rail = layout.columns[field], layout.rails[index]
    if layout.job.fields[field].fill is Fill.GROOVED_PANEL:
        key = (Role.MIDDLE_STILE, field + 1, 0)
        yield from _bar_mortises(columns, key, edge, middle_end(layout, rail))
    elif layout.bar is not None:
        top = len(layout.rows[field].lights) - 1
        place = top if field == index and layout.through is Through.CROSS else 0
        key = (Role.UPRIGHT_BAR, field + 1, place)
        yield from _bar_mortises(columns, key, edge, bar_end(layout, layout.bar, rail))


def _bar_mortises(
    across: Division, holds: Key, edge: int, end: End, datum: Length = ZERO
) -> Mortises:
    """One mortise for each bar of a division; ``datum`` is where the division starts."""
    for low, high in across.bar_edges:
        back = end.tenon.from_lower
        yield holds, _mortise(edge, datum + low + back, datum + high - back, end)


def _mortise(edge: int, start: Length, stop: Length, end: End) -> Mortise:
    tenon = end.tenon
    sizes = (start, stop, tenon.thickness, tenon.from_face, end.mortise_depth)
    return Mortise("", "", edge, *sizes)


def _bars(layout: Layout, number: int, role: Role) -> Iterator[Piece]:
    """The bars of one direction of a field: whole lines, or the pieces of broken ones."""
    rows, columns = layout.rows[number - 1], layout.columns[number - 1]
    bar, upright = layout.bar, role is Role.UPRIGHT_BAR
    along, across = (rows, columns) if upright else (columns, rows)
    if bar is None or not bars_in(layout.job.fields[number - 1]) or not across.bars:
        return
    mates = (layout.rails[number], layout.rails[number - 1]) if upright else (layout.stile,) * 2
    broken = layout.through is (Through.CROSS if upright else Through.UPRIGHT)
    spans = along.spans if broken else (along.sight,)
    outer: tuple[Key, Key] = (STILES, STILES)
    if upright:
        outer = ((Role.RAIL, number, 0), (Role.RAIL, number - 1, 0))
    last = len(spans) - 1
    for place, sight in enumerate(spans):
        low = mates[0] if place == 0 else bar
        high = mates[1] if place == last else bar
        holds = (Role.CROSS_BAR if upright else Role.UPRIGHT_BAR, number, ANY)
        ends = bar_end(layout, bar, low), bar_end(layout, bar, high)
        takes = outer[0] if place == 0 else holds, outer[1] if place == last else holds
        part = Part(
            name=f"{_where(place, last)}{role}",
            role=role,
            section=bar,
            count=across.bars,
            width=layout.bar_width,
            sight=sight,
            sight_edges=2,
            # An upright's ends are told from the top, its places counted from below.
            ends=ends[::-1] if upright else ends,
            stretches=bar_stretches(sight),
        )
        through = not broken and not layout.halved
        yield Piece(
            key=(role, number, place),
            part=part,
            mortises=tuple(_crossings(layout, along, holds, bar)) if through else (),
            halvings=tuple(_notches(along, holds, bar, upright)) if layout.halved else (),
            mates=takes[::-1] if upright else takes,
        )


def _middle_stiles(layout: Layout, number: int) -> Iterator[Piece]:
    """The stiles between panels that stand side by side in a field, all alike."""
    columns = layout.columns[number - 1]
    if layout.job.fields[number - 1].fill is not Fill.GROOVED_PANEL or not columns.bars:
        return
    rails, sight = layout.rails[number - 1 : number + 1], layout.sight_heights[number - 1]
    groove = groove_of(layout, layout.stile)
    part = Part(
        name=str(Role.MIDDLE_STILE),
        role=Role.MIDDLE_STILE,
        section=without_rebate(layout.stile),
        count=columns.bars,
        width=columns.width,
        sight=sight,
        sight_edges=2,
        ends=(middle_end(layout, rails[0]), middle_end(layout, rails[1])),
        stretches=tuple(Stretch(edge, ZERO, sight, groove) for edge in (LOWER, UPPER)),
    )
    mates = ((Role.RAIL, number - 1, 0), (Role.RAIL, number, 0))
    yield Piece((Role.MIDDLE_STILE, number, 0), part, (), mates=mates)


def _notches(along: Division, crosses: Key, bar: Section, upright: bool) -> Halvings:
    """Half of a halved bar's thickness, out of the back of uprights and the face of cross bars.

    In the face only the flat between the mouldings is let in, for these are mitred; in the back no
    more than what the other bar has left there: its tongue alone behind the rebate's floor.
    """
    half = bar.thickness / 2
    if not upright:
        left = bar.sticking.width
    else:
        left = bar.rebate.width if half >= bar.thickness - bar.rebate.depth else ZERO
    for low, high in along.bar_edges:
        yield crosses, Halving("", "", not upright, low + left, high - left, half)


def _where(place: int, last: int) -> str:
    """Where along its line a piece of a broken bar stands."""
    if last == 0:
        return ""
    return "end " if place in (0, last) else "middle "


def _crossings(layout: Layout, along: Division, holds: Key, bar: Section) -> Mortises:
    """The mortises of a bar that runs through, on both edges, for the pieces that stop at it."""
    end = bar_end(layout, bar, bar)
    for edge in (LOWER, UPPER):
        yield from _bar_mortises(along, holds, edge, end)
