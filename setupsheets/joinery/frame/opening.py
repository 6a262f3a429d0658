"""From the opening to the leaf: clearances by edge, bevels, a pair's meeting stiles, the swing."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from setupsheets.files.faults import Fault
from setupsheets.lengths import Length, Notation
from setupsheets.shop.jobs import Job, Leaf, Meeting, Opening

ZERO = Length.ZERO


@dataclass(frozen=True)
class FittedEdge:
    """One edge of the leaf: what is left open, and what its bevel takes off the other face."""

    name: str
    clearance: Length
    bevel: Fraction
    loss: Length


@dataclass(frozen=True)
class Fitting:
    """A leaf in its opening. ``swing`` is how far the lock edge's far corner comes out past the
    closed leaf as it swings, ``least_bevel`` in degrees the least one that clears."""

    leaf: Leaf
    leaves: int
    edges: tuple[FittedEdge, ...]
    swing: Length
    least_bevel: float
    notes: tuple[str, ...]


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


def fitting(opening: Opening, thickness: Length, notation: Notation) -> Fitting:
    """The leaf, or each leaf of a pair, with its edges and what to know about them."""
    gaps = opening.clearances
    far = ("lock", gaps.lock) if opening.pair is None else ("meeting", gaps.meeting)
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
        swing=swing_past(leaf.width, thickness, opening.lock_bevel),
        least_bevel=least_bevel(leaf.width, thickness, room),
        notes=tuple(_notes(opening, edges, thickness, notation)),
    )


def _edge(name: str, clearance: Length, bevel: Fraction, thickness: Length) -> FittedEdge:
    return FittedEdge(name, clearance, bevel, bevel_loss(thickness, bevel))


def _notes(
    opening: Opening, edges: tuple[FittedEdge, ...], thickness: Length, notation: Notation
) -> Iterator[str]:
    show, leaf = notation.show, opening.leaf
    for edge in edges:
        if edge.loss > ZERO:
            yield (
                f"the {edge.name} edge is bevelled {float(edge.bevel):g} degrees: "
                f"{show(edge.loss)} in {show(thickness)}; plane it after the leaf is glued up"
            )
    swing = swing_past(leaf.width, thickness, opening.lock_bevel)
    room = edges[2].clearance * (1 if opening.pair is None else 2)
    if swing > room:
        least = least_bevel(leaf.width, thickness, room)
        yield (
            f"the {edges[2].name} edge comes out {show(swing)} as the leaf swings and has "
            f"{show(room)}: bevel it {math.ceil(least * 10) / 10:g} degrees or more"
        )
    if opening.pair is not None:
        yield from _pair_notes(opening, thickness, notation)


def _pair_notes(opening: Opening, thickness: Length, notation: Notation) -> Iterator[str]:
    show = notation.show
    yield "a pair: hang the standing leaf first and fit the other to it; the leaves are handed"
    if opening.pair is Meeting.REBATED:
        yield (
            f"the meeting stiles lap by {show(opening.lap)}: both leaves are half of that wider; "
            f"rebate one from the face and the other from the back, {show(opening.lap)} wide and "
            f"{show(thickness / 2)} deep, and make the covered stile so much wider to look alike"
        )
    elif opening.pair in (Meeting.ASTRAGAL, Meeting.STRIP):
        yield (
            f"the {opening.pair} is fixed to one leaf and covers the gap of "
            f"{show(2 * opening.clearances.meeting)}: that leaf opens first and shuts last"
        )


def opening_faults(job: Job, notation: Notation) -> Iterator[Fault]:
    """What is wrong between a job's opening and its leaf."""
    opening, show = job.opening, notation.show
    if opening is None:
        return
    marks = job.marks.under("opening")
    made = opening.leaf
    if job.leaf is not None and job.leaf != made:
        yield job.marks.fault(
            f"the leaf is {show(job.leaf.width)} by {show(job.leaf.height)}, and the opening less "
            f"its clearances {show(made.width)} by {show(made.height)}: leave one of them out",
            "leaf",
        )
    if opening.pair is not None and job.count % 2:
        yield job.marks.fault(
            f"a pair has two leaves: expected an even count, found {job.count}", "count"
        )
    if opening.pair is Meeting.REBATED and opening.lap <= ZERO:
        yield marks.key_fault("expected how far the leaves of a rebated pair lap", "lap")
    if opening.pair is not Meeting.REBATED and opening.lap != ZERO:
        message = f"found a lap of {show(opening.lap)}: only the leaves of a rebated pair lap"
        yield marks.fault(message, "lap")
    for key in ("hinge_bevel", "lock_bevel"):
        if not 0 <= getattr(opening, key) < 45:
            message = f"expected 0 to 45 degrees from square, found {getattr(opening, key)}"
            yield marks.fault(message, key)
