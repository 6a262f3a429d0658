"""The height rod and the width rod of a leaf: what a joiner draws at full size before cutting.

A rod runs along the leaf from one datum edge: the bottom line for heights, the left edge, seen
from outside, for widths. Across it lies the thickness, from the face. Each strip shows members cut
across, what stands hidden in their wood, panes, and a mark for every shoulder. The width rod of a
pair shows both leaves as they hang, the right one the left one's mirror image. All exact.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from msgspec.structs import replace

from setupsheets.joinery.frame.edges import groove_of
from setupsheets.joinery.frame.layout import Layout
from setupsheets.joinery.frame.lights import Division
from setupsheets.joinery.members.grouping import names_of
from setupsheets.joinery.members.panes import clearance_of, thickness_of
from setupsheets.joinery.members.parts import End, Mortise, Role
from setupsheets.joinery.members.pieces import Key, Piece, pieces
from setupsheets.joinery.members.rod_pairs import both_leaves
from setupsheets.joinery.members.rod_strips import (
    HiddenKind,
    Rod,
    RodBeyond,
    RodCut,
    RodHidden,
    RodMark,
    RodPane,
    RodStrip,
    Way,
    edges_of,
)
from setupsheets.joinery.members.stick import Line, end_rows, lock_rows
from setupsheets.lengths import Length
from setupsheets.shop.jobs import Fill, Opening, Side, Through

ZERO = Length.ZERO


def rods(layout: Layout) -> tuple[Rod, Rod]:
    """The height rod and the width rod of a leaf that has no faults."""
    found, size = list(pieces(layout)), layout.job.size
    names, thick = names_of(found), layout.stile.thickness
    opening, wide = layout.job.opening, size.width
    upright, level = _upright(layout, found, names), list(_level(layout, found, names))
    if opening is not None:
        upright = replace(upright, marks=(*upright.marks, *_opening(layout, opening, Way.HEIGHT)))
        if opening.pair is not None:
            wide = opening.greatest[0] - 2 * opening.clearances.hinge
            level = [both_leaves(strip, opening) for strip in level]
        edges = tuple(_opening(layout, opening, Way.WIDTH))
        level = [replace(strip, marks=(*strip.marks, *edges)) for strip in level]
    return (
        Rod(Way.HEIGHT, size.height, thick, layout.job.stiles.horn, (upright,), opening),
        Rod(Way.WIDTH, wide, thick, ZERO, tuple(level), opening),
    )


def _opening(layout: Layout, opening: Opening, way: Way) -> Iterator[RodMark]:
    """Both edges of the opening. The leaf keeps its clearance at hinges and head: what is left on
    for fitting comes off the edges across from them."""
    (wide, high), gaps, size = opening.greatest, opening.clearances, layout.job.size
    if way is Way.HEIGHT:
        low, whole = size.height + gaps.top - high, high
    elif opening.pair is not None or opening.hinge is Side.LEFT:
        low, whole = -gaps.hinge, wide
    else:
        low, whole = size.width + gaps.hinge - wide, wide
    yield RodMark(Line.OPENING, low)
    yield RodMark(Line.OPENING, low + whole)


Names = dict[Key, str]


def _upright(layout: Layout, found: Sequence[Piece], names: Names) -> RodStrip:
    """The section from bottom to top: rails and cross bars cut, stiles and upright bars beyond."""
    along = [each for each in found if each.role is Role.STILE or each.role.upright]
    cuts = (*_rails_cut(layout), *_bars_cut(layout, Role.CROSS_BAR))
    lock = [RodMark(line, at, "stile", Role.STILE) for line, at, *_ in lock_rows(layout.job.lock)]
    return RodStrip(
        fields=tuple(range(1, len(layout.job.fields) + 1)),
        cuts=cuts,
        hidden=tuple(dict.fromkeys(each for one in along for each in _hidden(layout, one))),
        panes=tuple(_panes(layout, Way.HEIGHT)),
        beyond=tuple(_stile_beyond(layout)),
        marks=(
            *edges_of(cuts),
            *(each for one in along for each in _marks(layout, one, names)),
            *lock,
        ),
    )


def _level(layout: Layout, found: Sequence[Piece], names: Names) -> Iterator[RodStrip]:
    """The sections from left to right, one for all fields that are divided and filled alike."""
    alike: dict[object, list[int]] = {}
    for index, field in enumerate(layout.job.fields):
        alike.setdefault((field.fill, layout.columns[index].lights), []).append(index)
    for indices in alike.values():
        near = [
            each
            for each in found
            if (each.role is Role.RAIL and {each.key[1] - 1, each.key[1]} & set(indices))
            or (each.role is Role.CROSS_BAR and each.key[1] - 1 in indices)
        ]
        first = indices[0]
        cuts = (
            *_stiles_cut(layout, first),
            *_middle_stiles_cut(layout, first),
            *_bars_cut(layout, Role.UPRIGHT_BAR, first),
        )
        marks = (mark for each in near for mark in _marks(layout, each, names, indices))
        yield RodStrip(
            fields=tuple(index + 1 for index in indices),
            cuts=cuts,
            hidden=tuple(
                dict.fromkeys(each for one in near for each in _hidden(layout, one, indices))
            ),
            panes=tuple(_panes(layout, Way.WIDTH, first)),
            beyond=(_rail_beyond(layout, first),),
            marks=(*edges_of(cuts), *marks),
        )


# ------------------------------------------------------------------------------- members cut across


def _rails_cut(layout: Layout) -> Iterator[RodCut]:
    last = len(layout.rails) - 1
    for index, (low, high) in enumerate(layout.rail_edges):
        section, moulded = layout.rails[index], (index < last, index > 0)
        groove = groove_of(layout, section)
        below = groove if index < last and _is_grooved(layout, index) else None
        above = groove if index > 0 and _is_grooved(layout, index - 1) else None
        name = layout.job.rails[index].name
        yield RodCut(name, Role.RAIL, section, low, high, moulded, (below, above))


def _is_grooved(layout: Layout, field: int) -> bool:
    return layout.job.fields[field].fill is Fill.GROOVED_PANEL


def _stiles_cut(layout: Layout, field: int) -> Iterator[RodCut]:
    size, wide, stile = layout.job.size, layout.job.stiles.width, layout.stile
    groove = groove_of(layout, stile) if _is_grooved(layout, field) else None
    yield RodCut("stile", Role.STILE, stile, ZERO, wide, (False, True), (None, groove))
    yield RodCut(
        "stile", Role.STILE, stile, size.width - wide, size.width, (True, False), (groove, None)
    )


def _middle_stiles_cut(layout: Layout, field: int) -> Iterator[RodCut]:
    if not _is_grooved(layout, field):
        return
    groove, role = groove_of(layout, layout.stile), Role.MIDDLE_STILE
    ((division, start),) = _divisions(layout, True, field)
    for low, high in division.bar_edges:
        edges = start + low, start + high
        yield RodCut(str(role), role, layout.stile, *edges, (True, True), (groove, groove))


def _bars_cut(layout: Layout, role: Role, field: int | None = None) -> Iterator[RodCut]:
    if layout.bar is None:
        return
    for division, start in _divisions(layout, role is Role.UPRIGHT_BAR, field):
        if _is_grooved(layout, division.field - 1):
            continue
        for low, high in division.bar_edges:
            yield RodCut(str(role), role, layout.bar, start + low, start + high, (True, True))


def _divisions(
    layout: Layout, level: bool, field: int | None = None
) -> Iterator[tuple[Division, Length]]:
    """How fields divide, and where along the rod their first sight edge lies."""
    for index in range(len(layout.job.fields)):
        if field in (None, index):
            yield (
                (layout.columns[index], layout.job.stiles.width)
                if level
                else (layout.rows[index], layout.rail_edges[index + 1][1])
            )


def _stile_beyond(layout: Layout) -> Iterator[RodBeyond]:
    for index, (upper, lower) in enumerate(pairwise(layout.rail_edges)):
        yield RodBeyond(layout.stile, lower[1], upper[0], not _is_grooved(layout, index))


def _rail_beyond(layout: Layout, field: int) -> RodBeyond:
    """The rail below a field, which whoever looks down on the section sees."""
    wide = layout.job.stiles.width
    span = wide, layout.job.size.width - wide
    return RodBeyond(layout.rails[field + 1], *span, not _is_grooved(layout, field))


def _panes(layout: Layout, way: Way, only: int | None = None) -> Iterator[RodPane]:
    for index, field in enumerate(layout.job.fields):
        if only not in (None, index):
            continue
        (division, start), *_ = _divisions(layout, way is Way.WIDTH, index)
        free, across = clearance_of(layout, field.fill), _across(layout, field.fill)
        edges = [-division.before, *(e for bar in division.tongues for e in bar)]
        edges.append(division.sight + division.after)
        for low, high in zip(edges[::2], edges[1::2], strict=True):
            yield RodPane(field.fill, start + low + free, start + high - free, *across)


def _across(layout: Layout, fill: Fill) -> tuple[Length, Length, Length, Length]:
    """Where a pane lies across the rod: from the face, how thick, a panel's border and tongue. A
    raised panel's tongue is at its back and fills the groove."""
    thick, panels = thickness_of(layout, fill), layout.job.panels
    groove = groove_of(layout, layout.stile)
    if fill is not Fill.GROOVED_PANEL or panels is None or groove is None:
        floor = layout.stile.thickness - layout.stile.rebate.depth
        return floor + layout.job.glazing.bedding, thick, ZERO, ZERO
    if not panels.border:
        return groove.from_face, thick, ZERO, ZERO
    back = groove.from_face + groove.width
    return back - thick, thick, panels.border, groove.width


# ---------------------------------------------------------------------------- members along the rod


def _datum(layout: Layout, piece: Piece) -> Length:
    """Where along its rod the line lies that a piece's marks count from."""
    role, number, place = piece.key
    if role is Role.STILE:
        return ZERO
    if role is Role.RAIL:
        return layout.job.stiles.width
    level = role is Role.CROSS_BAR
    (division, start), *_ = _divisions(layout, level, number - 1)
    broken = layout.through is (Through.UPRIGHT if level else Through.CROSS)
    return start + division.light_edges[place][0] if broken else start


def _marks(
    layout: Layout, piece: Piece, names: Names, fields: Sequence[int] = ()
) -> Iterator[RodMark]:
    """Every mark of one piece; a rail's mortises only for the bars of these ``fields``."""
    datum, name = _datum(layout, piece), names[piece.key]
    role = piece.role
    for line, at, *_ in end_rows(piece.part):
        if line is not Line.SIGHT_EDGE:  # those are the mates', which are cut across here
            yield RodMark(line, datum + at, name, role)
    lets = [(key, each, "") for key, each in piece.mortises if _shows(piece, key, fields)]
    lets += [(key, each, "haunch of the ") for key, each in piece.haunches]
    for key, mortise, haunch in lets:
        of = haunch + names.get(key, str(key[0]))
        yield RodMark(Line.MORTISE_START, datum + mortise.start, name, role, of)
        yield RodMark(Line.MORTISE_END, datum + mortise.end, name, role, of)
    for key, halving in piece.halvings:
        of = names.get(key, str(key[0]))
        yield RodMark(Line.HALVING_START, datum + halving.start, name, role, of)
        yield RodMark(Line.HALVING_END, datum + halving.end, name, role, of)


def _shows(piece: Piece, key: Key, fields: Sequence[int]) -> bool:
    """Whether a mortise is seen in a section through these fields."""
    return piece.role is not Role.RAIL or key[1] - 1 in fields


def _hidden(layout: Layout, piece: Piece, fields: Sequence[int] = ()) -> Iterator[RodHidden]:
    """A piece's own mortises and halvings, and its tenons in the mortises that take them."""
    datum, part = _datum(layout, piece), piece.part
    for key, mortise in piece.mortises:
        if _shows(piece, key, fields):
            yield _mouth(HiddenKind.MORTISE, mortise, datum)
    for _, mortise in piece.haunches:
        yield _mouth(HiddenKind.HAUNCH, mortise, datum)
    for _, halving in piece.halvings:
        face = ZERO if halving.from_face else part.thickness - halving.depth
        span = datum + halving.start, datum + halving.end
        yield RodHidden(HiddenKind.HALVING, *span, face, halving.depth)
    if part.ends:
        low, high = part.ends[::-1] if part.role.upright else part.ends
        yield from _tenon(low, datum, -1)
        yield from _tenon(high, datum + part.sight, 1)


def _mouth(kind: HiddenKind, mortise: Mortise, datum: Length) -> RodHidden:
    span = datum + mortise.start, datum + mortise.end
    return RodHidden(kind, *span, mortise.from_face, mortise.thickness)


def _tenon(end: End, sight_edge: Length, way: int) -> Iterator[RodHidden]:
    """A tenon in its mortise, from the mate's sight edge into it."""
    for kind, deep in ((HiddenKind.MORTISE, end.mortise_depth), (HiddenKind.TENON, end.reach)):
        low, high = sorted((sight_edge, sight_edge + way * deep))
        yield RodHidden(kind, low, high, end.tenon.from_face, end.tenon.thickness)
