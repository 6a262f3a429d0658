"""Rules of thumb for joints, and mortises that come too near to something: notes, not refusals.

Common practice, no published source: a tenon about a third of the thickness and at most five
times as wide as thick, a haunch about a third of the rail's width, about 2 mm left under a tenon.
William Noyes, Handwork in Wood, 1910, makes the tenon half of the rail's width, which is another
measure. So limits are wide, and only noted.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import groupby, pairwise

from setupsheets.joinery.frame.layout import Layout
from setupsheets.joinery.members.parts import Joinery, Mortise, Part, Role, Tenon
from setupsheets.joinery.members.tenons import is_outer, joints_of, rail_end
from setupsheets.joinery.notes import Note, NoteKind, note
from setupsheets.lengths import Length
from setupsheets.shop.jobs import Fill, Hinges, Lock

ZERO = Length.ZERO
THIN, THICK = Fraction(1, 4), Fraction(1, 2)  # of the thickness: either side of a third
WIDEST = 5  # times its thickness
SHORT_HAUNCH, LONG_HAUNCH = Fraction(1, 4), Fraction(1, 2)  # of the rail's width: about a third
LEAST_GAP = Length.millimetres(1)  # half of what is usual


def joint_notes(layout: Layout, joinery: Joinery) -> Iterator[Note]:
    """Everything about the joints that the maker should look at."""
    rails = layout.job.rails
    outer = {rails[0].name, rails[-1].name}
    for part in joinery.parts:
        for tenon in dict.fromkeys(end.tenon for end in part.ends):
            yield from _tenon_notes(part, tenon, part.name in outer)
    yield from _haunch_notes(layout)
    blind = any(each.end.mortise_depth < each.mate_width for each in joints_of(layout))
    if blind and layout.job.joints.gap < LEAST_GAP:
        yield note(NoteKind.LITTLE_UNDER_TENONS, gap=layout.job.joints.gap)
    yield from wall_notes(joinery.mortises)
    yield from _groove_notes(layout)
    if layout.job.lock:
        yield from _lock_notes(layout, layout.job.lock, joinery.mortises)
    if layout.job.hinges and layout.wedged:
        yield from _hinge_notes(layout, layout.job.hinges, joinery.mortises)


def _tenon_notes(part: Part, tenon: Tenon, outer: bool) -> Iterator[Note]:
    share = tenon.thickness / part.thickness
    if not THIN <= share <= THICK:
        kind = NoteKind.TENON_THICKNESS_UNUSUAL
        yield note(kind, part=part, tenon=tenon, share=float(share))
    if part.role is Role.RAIL and tenon.each > WIDEST * tenon.thickness:
        cures = tuple(_narrower(tenon, outer))
        yield note(NoteKind.TENON_TOO_WIDE, part=part, tenon=tenon, times=WIDEST, cures=cures)


def _narrower(tenon: Tenon, outer: bool) -> Iterator[Note]:
    """What makes a tenon narrower than it is; a middle rail has no outer edge to haunch."""
    if outer:
        yield note(NoteKind.WIDER_HAUNCH if tenon.haunch else NoteKind.HAUNCH_IT)
    yield note(NoteKind.MORE_BETWEEN_TWINS if tenon.twin_gap else NoteKind.TWIN_TENONS)


def _haunch_notes(layout: Layout) -> Iterator[Note]:
    for index, rail in enumerate(layout.job.rails):
        if not is_outer(layout, index) or rail.haunch == ZERO:
            continue
        if not SHORT_HAUNCH <= rail.haunch / rail.width <= LONG_HAUNCH:
            yield note(NoteKind.HAUNCH_WIDTH_UNUSUAL, rail=rail, third=rail.width / 3)
        deep, grooved = rail_end(layout, index).tenon.haunch_depth, layout.grooved(index)
        yield note(NoteKind.HAUNCH_SIZES, rail=rail, grooved=grooved, depth=deep)


def wall_notes(mortises: tuple[Mortise, ...]) -> Iterator[Note]:
    """Neighbouring mortises that run into each other or leave less than their thickness."""
    for first, second in _neighbours(mortises):
        wall = second.start - first.end
        if wall >= first.thickness or (first.holds == second.holds and wall > ZERO):
            continue  # twin tenons, and bars of one field, are told of elsewhere
        kind = NoteKind.MORTISES_OVERLAP if wall < ZERO else NoteKind.THIN_WALL_BETWEEN_MORTISES
        yield note(kind, first=first, second=second, wall=wall)


def _neighbours(mortises: tuple[Mortise, ...]) -> Iterator[tuple[Mortise, Mortise]]:
    """Each two mortises that follow each other along one edge of one part."""

    def edge(mortise: Mortise) -> tuple[str, int]:
        return mortise.part, mortise.edge

    ordered = sorted(mortises, key=lambda mortise: (*edge(mortise), mortise.start, mortise.end))
    for _, group in groupby(ordered, key=edge):
        yield from pairwise(group)


def _groove_notes(layout: Layout) -> Iterator[Note]:
    """A groove in line with a tenon takes its depth off the tenon's edge."""
    panels = layout.job.panels
    if panels is None:
        return
    tongue = layout.stile.tongue_thickness
    more = panels.groove_width - tongue
    if more > ZERO:
        yield note(NoteKind.GROOVE_WIDER_THAN_TENONS, panels=panels, tenon=tongue, by=more)
    for index, rail in enumerate(layout.job.rails):
        if any(field.fill is Fill.GROOVED_PANEL for field in layout.fields_at(index)):
            yield note(NoteKind.GROOVE_TAKES_OFF_TENON, rail=rail, panels=panels)


def _lock_notes(layout: Layout, lock: Lock, mortises: tuple[Mortise, ...]) -> Iterator[Note]:
    """A lock that is too deep for its stile, or that meets a mortise from the other edge."""
    wide, rebate = layout.job.stiles.width, layout.stile.rebate.width
    low, high = lock.above - lock.height / 2, lock.above + lock.height / 2
    if lock.depth >= wide - rebate:
        yield note(NoteKind.LOCK_IN_THE_REBATE, lock=lock, width=wide, rebate=rebate)
    thick = layout.stile.thickness
    wall, least = (thick - lock.thickness) / 2, thick / 4
    if wall < least:
        yield note(NoteKind.LOCK_LEAVES_THIN_WALLS, lock=lock, wall=wall, least=least)
    for mortise in mortises:
        deep = mortise.depth + lock.depth - wide
        if mortise.part == "stile" and low < mortise.end and mortise.start < high and deep > ZERO:
            kind = NoteKind.LOCK_MEETS_A_MORTISE
            yield note(kind, lock=lock, low=low, high=high, mortise=mortise, by=deep, width=wide)


def _hinge_notes(layout: Layout, hinges: Hinges, mortises: tuple[Mortise, ...]) -> Iterator[Note]:
    """Hinges that are let in where a rail's tenon comes out at the stile's outer edge."""
    rails = {rail.name for rail in layout.job.rails}
    for low, high in hinges.places(layout.job.size.height):
        for mortise in mortises:
            here = mortise.part == "stile" and mortise.holds in rails
            if here and low < mortise.end and mortise.start < high:
                yield note(NoteKind.HINGE_OVER_A_TENON, low=low, high=high, mortise=mortise)
