"""Every piece of one leaf with its ends and its mortises, and the grouping of equal ones."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator, Mapping
from dataclasses import dataclass

from setupsheets.joinery.layout import Layout
from setupsheets.joinery.lights import Division
from setupsheets.joinery.parts import End, Mortise, Part, Role
from setupsheets.joinery.tenons import bar_end, is_outer, rail_end
from setupsheets.lengths import Length
from setupsheets.shop.jobs import Through
from setupsheets.shop.sections import Section

ZERO = Length.ZERO
LOWER, UPPER = 0, 1  # sight edges; also left and right of an upright bar
Key = tuple[Role, int, int]
"""One piece of the leaf: its role, its rail from the top or its field, its place along the line;
place ANY where it is one of several that are not told apart."""
ANY = -1


@dataclass(frozen=True)
class Pocket:
    """A mortise before its part has a name: sizes as in `Mortise`, ``holds`` the piece's key."""

    holds: Key
    edge: int
    start: Length
    end: Length
    thickness: Length
    from_face: Length
    depth: Length

    @property
    def sizes(self) -> Hashable:
        """Everything but what it holds: pieces are equal when these are."""
        return (self.edge, self.start, self.end, self.thickness, self.from_face, self.depth)


@dataclass(frozen=True)
class Piece:
    """A piece of the leaf, ``count`` equal ones of it in each leaf."""

    key: Key
    name: str
    section: Section
    count: int
    width: Length
    sight: Length
    sight_edges: int
    ends: tuple[End, ...]
    pockets: tuple[Pocket, ...]
    stile_length: Length | None = None

    @property
    def role(self) -> Role:
        """What the piece does in the leaf."""
        return self.key[0]

    @property
    def sort(self) -> Hashable:
        """Pieces with the same sort are one part. A bar turned end for end is the same bar."""
        ends = [_end_sizes(end) for end in self.ends]
        turned = frozenset(ends) if self.role in (Role.CROSS_BAR, Role.UPRIGHT_BAR) else (*ends,)
        name = self.name if self.role is Role.RAIL else ""
        pockets = frozenset(pocket.sizes for pocket in self.pockets)
        return (self.role, name, self.section.name, self.width, self.sight, turned, pockets)


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


def _stile(layout: Layout) -> Piece:
    job = layout.job
    return Piece(
        key=(Role.STILE, 0, 0),
        name="stile",
        section=layout.stile,
        count=2,
        width=job.stiles.width,
        sight=ZERO,
        sight_edges=1,
        ends=(),
        pockets=tuple(_stile_pockets(layout)),
        stile_length=job.size.height + 2 * job.stiles.horn,
    )


def _stile_pockets(layout: Layout) -> Iterator[Pocket]:
    """Mortises from the bottom of the leaf, for rails and for the bars that run to the stile."""
    for index, (low, high) in reversed(list(enumerate(layout.rail_edges))):
        end = rail_end(layout, index)
        below, above = end.tenon.set_back, end.tenon.set_back
        if index == len(layout.rails) - 1:
            below = end.tenon.haunch
        elif index == 0:
            above = end.tenon.haunch
        yield _pocket((Role.RAIL, index, 0), LOWER, low + below, high - above, end)
        if index > 0 and layout.bar:
            bar = bar_end(layout, layout.bar, layout.stile)
            rows = layout.rows[index - 1]
            yield from _bar_pockets(rows, (Role.CROSS_BAR, index, 0), LOWER, bar, high)


def _rail(layout: Layout, index: int) -> Piece:
    rail, end = layout.job.rails[index], rail_end(layout, index)
    outer = is_outer(layout, index)
    return Piece(
        key=(Role.RAIL, index, 0),
        name=rail.name,
        section=layout.rails[index],
        count=1,
        width=rail.width,
        sight=layout.sight_width,
        sight_edges=1 if outer else 2,
        ends=(end, end),
        pockets=tuple(_rail_pockets(layout, index)),
    )


def _rail_pockets(layout: Layout, index: int) -> Iterator[Pocket]:
    """Mortises for upright bars: in the lower edge those of the field below, field index + 1."""
    if layout.bar is None:
        return
    end = bar_end(layout, layout.bar, layout.rails[index])
    if index < len(layout.columns):
        columns, top = layout.columns[index], len(layout.rows[index].lights) - 1
        place = top if layout.broken is Through.UPRIGHT else 0
        key = (Role.UPRIGHT_BAR, index + 1, place)
        yield from _bar_pockets(columns, key, LOWER, end)
    if index > 0:
        edge = LOWER if is_outer(layout, index) else UPPER
        columns = layout.columns[index - 1]
        yield from _bar_pockets(columns, (Role.UPRIGHT_BAR, index, 0), edge, end)


def _bar_pockets(
    across: Division, holds: Key, edge: int, end: End, datum: Length = ZERO
) -> Iterator[Pocket]:
    """One mortise for each bar of a division; ``datum`` is where the division starts."""
    for low, high in across.bar_edges:
        back = end.tenon.set_back
        yield _pocket(holds, edge, datum + low + back, datum + high - back, end)


def _pocket(holds: Key, edge: int, start: Length, stop: Length, end: End) -> Pocket:
    tenon = end.tenon
    return Pocket(holds, edge, start, stop, tenon.thickness, tenon.from_face, end.mortise_depth)


def _bars(layout: Layout, number: int, role: Role) -> Iterator[Piece]:
    """The bars of one direction of a field: whole lines, or the pieces of broken ones."""
    rows, columns = layout.rows[number - 1], layout.columns[number - 1]
    bar, upright = layout.bar, role is Role.UPRIGHT_BAR
    along, across = (rows, columns) if upright else (columns, rows)
    if bar is None or not across.bars:
        return
    mates = (layout.rails[number], layout.rails[number - 1]) if upright else (layout.stile,) * 2
    broken = layout.broken is (Through.UPRIGHT if upright else Through.CROSS)
    spans = along.spans if broken else (along.sight,)
    last = len(spans) - 1
    for place, sight in enumerate(spans):
        low = mates[0] if place == 0 else bar
        high = mates[1] if place == last else bar
        holds = (Role.CROSS_BAR if upright else Role.UPRIGHT_BAR, number, ANY)
        ends = bar_end(layout, bar, low), bar_end(layout, bar, high)
        yield Piece(
            key=(role, number, place),
            name=f"{_where(place, last)}{role}",
            section=bar,
            count=across.bars,
            width=layout.bar_width,
            sight=sight,
            sight_edges=2,
            # An upright's ends are told from the top, its places counted from below.
            ends=ends[::-1] if upright else ends,
            pockets=() if broken else tuple(_crossings(layout, along, holds, bar)),
        )


def _where(place: int, last: int) -> str:
    """Where along its line a piece of a broken bar stands."""
    if last == 0:
        return ""
    return "end " if place in (0, last) else "middle "


def _crossings(layout: Layout, along: Division, holds: Key, bar: Section) -> Iterator[Pocket]:
    """The mortises of a bar that runs through, on both edges, for the pieces that stop at it."""
    end = bar_end(layout, bar, bar)
    for edge in (LOWER, UPPER):
        yield from _bar_pockets(along, holds, edge, end)


def grouped(found: Iterable[Piece], leaves: int) -> tuple[tuple[Part, ...], tuple[Mortise, ...]]:
    """Equal pieces as one part each, counted over all leaves, and the mortises of each part."""
    by_sort: dict[Hashable, list[Piece]] = {}
    for piece in found:
        by_sort.setdefault(piece.sort, []).append(piece)
    groups = list(by_sort.values())
    names = _group_names(groups)
    of_piece = {
        piece.key: name for group, name in zip(groups, names, strict=True) for piece in group
    }
    named = list(zip(groups, names, strict=True))
    parts = tuple(
        _part(group[0], name, leaves * sum(piece.count for piece in group)) for group, name in named
    )
    mortises = tuple(
        _mortise(name, pocket, of_piece) for group, name in named for pocket in group[0].pockets
    )
    return parts, mortises


def _group_names(groups: list[list[Piece]]) -> list[str]:
    """For each role the shortest names that tell its groups apart, all of one form."""
    names: dict[int, str] = {}
    for role in Role:
        mine = [index for index, group in enumerate(groups) if group[0].role is role]
        one_field = len({_fields(groups[index]) for index in mine}) == 1
        choices = list(zip(*(_names(groups[index]) for index in mine), strict=True))
        for choice in choices if one_field else choices[2:]:
            names.update(zip(mine, choice, strict=True))
            if len(set(choice)) == len(choice):
                break
    return [names[index] for index in range(len(groups))]


def _fields(group: list[Piece]) -> tuple[int, ...]:
    return tuple(sorted({piece.key[1] for piece in group}))


def _names(group: list[Piece]) -> tuple[str, ...]:
    """Names of equal pieces from the shortest; a stile and a rail have only one."""
    first = group[0]
    if first.role in (Role.STILE, Role.RAIL):
        return (first.name,) * 4
    where = f", field {' and '.join(map(str, _fields(group)))}"
    return (
        f"{first.role}",
        f"{first.name}",
        f"{first.name}{where}",
        f"{first.name}{where}, no. {first.key[2] + 1}",
    )


def _part(piece: Piece, name: str, count: int) -> Part:
    return Part(
        name=name,
        role=piece.role,
        section=piece.section,
        count=count,
        width=piece.width,
        sight=piece.sight,
        sight_edges=piece.sight_edges,
        ends=piece.ends,
        stile_length=piece.stile_length,
    )


def _mortise(part: str, pocket: Pocket, names: Mapping[Key, str]) -> Mortise:
    return Mortise(
        part=part,
        holds=names.get(pocket.holds, str(pocket.holds[0])),
        edge=pocket.edge,
        start=pocket.start,
        end=pocket.end,
        thickness=pocket.thickness,
        from_face=pocket.from_face,
        depth=pocket.depth,
    )


def doubled_names(parts: Iterable[Part]) -> Iterator[str]:
    """Names that two different parts have: only rails of the job's own naming can."""
    seen: set[str] = set()
    for part in parts:
        if part.name in seen:
            yield part.name
        seen.add(part.name)
