"""Rules of thumb for joints, and mortises that come too near to something: notes, not refusals.

Common practice, no published source: a tenon about a third of the thickness and at most five
times as wide as thick, a haunch about a third of the rail's width, about 2 mm left under a tenon.
C. Noyes, Handwork in Wood, 1910, makes the tenon half the rail: so limits are wide, and only noted.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import groupby, pairwise

from setupsheets.joinery.frame.layout import Layout
from setupsheets.joinery.members.parts import Joinery, Mortise, Part, Role, Tenon
from setupsheets.joinery.members.tenons import is_outer, rail_end
from setupsheets.lengths import Length, Notation
from setupsheets.shop.jobs import Fill, Lock

ZERO = Length.ZERO
THIN, THICK = Fraction(1, 4), Fraction(1, 2)  # of the thickness: either side of a third
WIDEST = 5  # times its thickness
SHORT_HAUNCH, LONG_HAUNCH = Fraction(1, 4), Fraction(1, 2)  # of the rail's width: about a third
LEAST_GAP = Length.millimetres(1)  # half of what is usual


def joint_notes(layout: Layout, joinery: Joinery, notation: Notation) -> Iterator[str]:
    """Everything about the joints that the maker should look at."""
    for part in joinery.parts:
        for tenon in dict.fromkeys(end.tenon for end in part.ends):
            yield from _tenon_notes(part, tenon, notation)
    yield from _haunch_notes(layout, notation)
    if layout.job.joints.gap < LEAST_GAP:
        yield (
            f"{notation.show(layout.job.joints.gap)} is left under the tenons: about 2 mm is "
            "usual, for glue and dust"
        )
    yield from wall_notes(joinery.mortises, notation)
    yield from _groove_notes(layout, notation)
    if layout.job.lock:
        yield from _lock_notes(layout, layout.job.lock, joinery.mortises, notation)


def _tenon_notes(part: Part, tenon: Tenon, notation: Notation) -> Iterator[str]:
    show = notation.show
    if not THIN <= tenon.thickness / part.thickness <= THICK:
        share = float(tenon.thickness / part.thickness)
        yield (
            f"the tenon of the {part.name} is {show(tenon.thickness)} thick, {share:.2f} of its "
            f"{show(part.thickness)}: about a third is usual"
        )
    wide = tenon.each
    if part.role is Role.RAIL and wide > WIDEST * tenon.thickness:
        yield (
            f"the tenon of the {part.name} is {show(wide)} wide and {show(tenon.thickness)} thick: "
            f"more than {WIDEST} times; it may split the stile as it swells: haunch it or make "
            "twin tenons"
        )


def _haunch_notes(layout: Layout, notation: Notation) -> Iterator[str]:
    show = notation.show
    for index, rail in enumerate(layout.job.rails):
        if not is_outer(layout, index) or rail.haunch == ZERO:
            continue
        if not SHORT_HAUNCH <= rail.haunch / rail.width <= LONG_HAUNCH:
            yield (
                f"the haunch of the {rail.name} takes {show(rail.haunch)} of {show(rail.width)}: "
                f"about a third, {show(rail.width / 3)}, is usual"
            )
        deep = show(rail_end(layout, index).tenon.haunch_depth)
        why = "as the groove that it fills" if layout.grooved(index) else "as the tenon is thick"
        yield f"haunch of the {rail.name}: {show(rail.haunch)} wide and as deep {why}, {deep}"


def collisions(mortises: tuple[Mortise, ...]) -> Iterator[tuple[Mortise, Mortise]]:
    """Neighbours in one edge of one part that run into each other."""
    for first, second in _neighbours(mortises):
        if second.start < first.end:
            yield first, second


def wall_notes(mortises: tuple[Mortise, ...], notation: Notation) -> Iterator[str]:
    """Neighbouring mortises that run into each other or leave less than their thickness."""
    show = notation.show
    for first, second in _neighbours(mortises):
        wall = second.start - first.end
        if wall >= first.thickness or (first.holds == second.holds and wall > ZERO):
            continue  # twin tenons, and bars of one field, are told of elsewhere
        left = f"only {show(wall)} is left" if wall >= ZERO else f"they overlap by {show(-wall)}"
        yield (
            f"the {first.part}: the mortise for the {first.holds} ends at {show(first.end)} and "
            f"that for the {second.holds} starts at {show(second.start)}: {left}"
        )


def _neighbours(mortises: tuple[Mortise, ...]) -> Iterator[tuple[Mortise, Mortise]]:
    """Each two mortises that follow each other along one edge of one part."""

    def edge(mortise: Mortise) -> tuple[str, int]:
        return mortise.part, mortise.edge

    ordered = sorted(mortises, key=lambda mortise: (*edge(mortise), mortise.start, mortise.end))
    for _, group in groupby(ordered, key=edge):
        yield from pairwise(group)


def _groove_notes(layout: Layout, notation: Notation) -> Iterator[str]:
    """A groove in line with a tenon takes its depth off the tenon's edge."""
    panels = layout.job.panels
    if panels is None:
        return
    tongue = layout.stile.tongue_thickness
    if panels.groove_width > tongue:
        yield (
            f"the groove is {notation.show(panels.groove_width)} wide and the tenons are "
            f"{notation.show(tongue)} thick, {notation.show(panels.groove_width - tongue)} less: "
            "neither tenon nor haunch fills it where it runs out at the ends of the leaf"
        )
    for index, rail in enumerate(layout.job.rails):
        if any(field.fill is Fill.GROOVED_PANEL for field in layout.fields_at(index)):
            yield (
                f"the groove in the {rail.name} is run through its ends and takes "
                f"{notation.show(panels.groove_depth)} off the tenon's edge, as its mortise allows"
            )


def _lock_notes(
    layout: Layout, lock: Lock, mortises: tuple[Mortise, ...], notation: Notation
) -> Iterator[str]:
    """A lock that is too deep for its stile, or that meets a mortise from the other edge."""
    show, wide = notation.show, layout.job.stiles.width
    low, high = lock.above - lock.height / 2, lock.above + lock.height / 2
    if lock.depth >= wide - layout.stile.rebate.width:
        yield (
            f"the lock is {show(lock.depth)} deep and the stile {show(wide)} wide with a rebate of "
            f"{show(layout.stile.rebate.width)}: its case comes out into the rebate"
        )
    for mortise in mortises:
        deep = mortise.depth + lock.depth - wide
        if mortise.part == "stile" and low < mortise.end and mortise.start < high and deep > ZERO:
            yield (
                f"the lock, from {show(low)} to {show(high)} above the bottom of the leaf, meets "
                f"the mortise for the {mortise.holds}, from {show(mortise.start)} to "
                f"{show(mortise.end)}, by {show(deep)}: move it, or make the tenon shorter there"
            )
