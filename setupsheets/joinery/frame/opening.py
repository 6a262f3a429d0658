"""From the opening to the leaf: clearances by edge, bevels, a pair's meeting stiles, the swing."""

from __future__ import annotations

import math
from collections.abc import Iterator
from fractions import Fraction

from msgspec import Struct

from setupsheets.joinery.frame.out_of_square import RAKE, Planing, corners, planings, slopes
from setupsheets.joinery.notes import DesignFault, Note, NoteKind, note
from setupsheets.lengths import Length
from setupsheets.shop.jobs import Head, Hinges, Job, Leaf, Meeting, Opening

ZERO = Length.ZERO


class FittedEdge(Struct, frozen=True):
    """One edge of the leaf: what is left open, and what its bevel takes off the other face."""

    name: str
    clearance: Length
    bevel: Fraction
    loss: Length


class Fitting(Struct, frozen=True):
    """A leaf in its opening. ``planings`` are the edges that wood was left on at, to fit it.

    ``swing`` is how far the lock edge's far corner comes out past the closed leaf as it swings,
    ``least_bevel`` in degrees the least one that clears."""

    leaf: Leaf
    leaves: int
    edges: tuple[FittedEdge, ...]
    planings: tuple[Planing, ...]
    swing: Length
    least_bevel: float
    notes: tuple[Note, ...]


def bevel_loss(thickness: Length, degrees: Fraction) -> Length:
    """What a bevelled edge loses at one face: T tan(angle), to the nearest 0.001 mm."""
    return Length.from_float(float(thickness.mm) * math.tan(math.radians(degrees)), 3)


def swing_past(width: Length, thickness: Length, bevel: Fraction) -> Length:
    """How far the lock edge's far corner comes out past the closed leaf, turning about a pin at
    the other face of the hinge edge: sqrt((W - T tan a)^2 + T^2) - W, never less than nought
    (plane arithmetic; to 0.001 mm)."""
    wide, deep = float(width.mm), float(thickness.mm)
    corner = math.hypot(wide - deep * math.tan(math.radians(bevel)), deep)
    return Length.from_float(max(corner - wide, 0.0), 3)


def least_bevel(width: Length, thickness: Length, clearance: Length) -> float:
    """The least bevel, in degrees, with which the far corner clears the jamb: 0 for a leaf whose
    square edge does (plane arithmetic, W + c is the hypotenuse beside T)."""
    wide, deep, gap = (float(size.mm) for size in (width, thickness, clearance))
    over = wide - math.sqrt(max((wide + gap) ** 2 - deep**2, 0.0))
    return math.degrees(math.atan2(max(over, 0.0), deep))


def far_gap(opening: Opening) -> Length:
    """What is left open at the leaf's leading edge: the lock's, or its share of a pair's gap."""
    gaps = opening.clearances
    return gaps.lock if opening.pair is None else gaps.meeting


def hinge_recess(hinges: Hinges, opening: Opening | None) -> Length:
    """How deep a hinge is let into leaf and jamb alike, so that it shuts to the clearance at its
    edge: (closed - clearance) / 2, plane arithmetic. Without an opening, flush."""
    gap = opening.clearances.hinge if opening is not None else ZERO
    return (hinges.closed - gap) / 2


def fitting(opening: Opening, thickness: Length) -> Fitting:
    """The leaf, or each leaf of a pair, with its edges and what to know about them."""
    gaps = opening.clearances
    far = ("lock" if opening.pair is None else "meeting", far_gap(opening))
    edges = (
        FittedEdge("top", gaps.top, Fraction(0), ZERO),
        _edge("hinge", gaps.hinge, opening.hinge_bevel, thickness),
        _edge(far[0], far[1], opening.lock_bevel, thickness),
        FittedEdge("bottom", gaps.bottom, Fraction(0), ZERO),
    )
    leaf, room = opening.leaf, far[1] * (1 if opening.pair is None else 2)
    return Fitting(
        leaf=leaf,
        leaves=1 if opening.pair is None else 2,
        edges=edges,
        planings=tuple(each for each in planings(opening) if any(each.off)),
        swing=swing_past(leaf.width, thickness, opening.lock_bevel),
        least_bevel=least_bevel(leaf.width, thickness, room),
        notes=tuple(_notes(opening, edges, thickness)),
    )


def _edge(name: str, clearance: Length, bevel: Fraction, thickness: Length) -> FittedEdge:
    return FittedEdge(name, clearance, bevel, bevel_loss(thickness, bevel))


def _notes(opening: Opening, edges: tuple[FittedEdge, ...], thickness: Length) -> Iterator[Note]:
    for edge in edges:
        if edge.loss > ZERO:
            yield note(NoteKind.EDGE_IS_BEVELLED, edge=edge, thickness=thickness)
    leaf, pair = opening.leaf, opening.pair
    swing = swing_past(leaf.width, thickness, opening.lock_bevel)
    room = edges[2].clearance * (1 if pair is None else 2)
    if swing > room:
        least = math.ceil(least_bevel(leaf.width, thickness, room) * 10) / 10
        kind = NoteKind.EDGE_NEEDS_A_BEVEL
        yield note(kind, edge=edges[2], swing=swing, room=room, degrees=least)
    if pair is None:
        return
    yield note(NoteKind.PAIR_IS_HANDED)
    if pair is Meeting.REBATED:
        deep, gap = thickness / 2, 2 * opening.clearances.meeting
        covered = opening.lap - gap
        yield note(NoteKind.PAIR_LAPS, opening=opening, depth=deep, gap=gap, covered=covered)
        if opening.fitting:
            yield note(NoteKind.REBATE_IS_FITTED, opening=opening)
    elif pair in (Meeting.ASTRAGAL, Meeting.STRIP):
        gap = 2 * opening.clearances.meeting
        yield note(NoteKind.STRIP_COVERS_THE_GAP, strip=pair, gap=gap)


def opening_faults(job: Job) -> Iterator[Note]:
    """What is wrong between a job's opening and its leaf."""
    opening = job.opening
    if job.head is not Head.STRAIGHT:
        yield note(DesignFault.HEAD_NOT_STRAIGHT, "head", head=job.head)
    if opening is None:
        return
    yield from _out_of_square_faults(opening)
    made = opening.leaf
    if job.leaf is not None and job.leaf != made:
        pair, kind = opening.pair is not None, DesignFault.LEAF_DOES_NOT_FIT_OPENING
        yield note(kind, "leaf", leaf=job.leaf, made=made, pair=pair)
    if opening.pair is not None and job.count % 2:
        yield note(DesignFault.ODD_LEAVES_OF_PAIRS, "count", found=job.count)
    if opening.pair is Meeting.REBATED and opening.lap <= ZERO:
        yield note(DesignFault.NO_LAP, "opening", "lap")
    elif opening.pair is Meeting.REBATED and opening.lap <= 2 * opening.clearances.meeting:
        gap = 2 * opening.clearances.meeting
        yield note(DesignFault.LAP_TAKEN_UP, "opening", "lap", lap=opening.lap, gap=gap)
    over = opening.rebate - (job.stiles.width - job.joints.rail_mortise)
    if opening.pair is Meeting.REBATED and over > ZERO:
        yield note(DesignFault.LAP_INTO_MORTISE, "opening", "lap", opening=opening, over=over)
    if opening.pair is not Meeting.REBATED and opening.lap != ZERO:
        yield note(DesignFault.LAP_WITHOUT_REBATE, "opening", "lap", lap=opening.lap)
    for key, found in (("hinge_bevel", opening.hinge_bevel), ("lock_bevel", opening.lock_bevel)):
        if not 0 <= found < 45:
            yield note(DesignFault.BEVEL_OUT_OF_RANGE, "opening", key, found=found)


def _out_of_square_faults(opening: Opening) -> Iterator[Note]:
    """Sides that close no opening, a head that is a rake, and too little left on to fit with."""
    sides, at = opening.out_of_square, ("opening", "out_of_square")
    if sides is None:
        return
    found = corners(opening)
    if found is None:
        yield note(DesignFault.SIDES_DO_NOT_CLOSE, *at, "diagonal", opening=opening, sides=sides)
        return
    head, sill, jamb = slopes(found)
    if head > RAKE:
        run, most = round(1 / head), RAKE.denominator
        yield note(DesignFault.HEAD_IS_RAKED, *at, "right", run=run, most=most)
    elif max(sill, jamb) > RAKE:
        kind, most = DesignFault.OPENING_LEANS, RAKE.denominator
        yield note(kind, *at, floor=sill > jamb, most=most)
    else:
        short = -min(off for each in planings(opening) for off in each.off)
        if short > ZERO:
            least, kind = opening.fitting + short, DesignFault.LEAVE_MORE_ON
            yield note(kind, "opening", "fitting", found=opening.fitting, least=least)


def hinge_faults(job: Job) -> Iterator[Note]:
    """Hinges that lie over each other or past the leaf, or shut to less than their clearance."""
    hinges, height = job.hinges, job.size.height
    if hinges is None:
        return
    places = hinges.places(height)
    ends = [end for place in places for end in place]
    if ends != sorted(ends) or ends[0] < ZERO or ends[-1] > height:
        yield note(DesignFault.HINGES_DO_NOT_FIT, "hinges", hinges=hinges, height=height)
    if job.opening is not None and hinge_recess(hinges, job.opening) <= ZERO:
        gap, kind = job.opening.clearances.hinge, DesignFault.HINGE_SHUTS_INSIDE_ITS_GAP
        yield note(kind, "hinges", "closed", hinges=hinges, gap=gap)
