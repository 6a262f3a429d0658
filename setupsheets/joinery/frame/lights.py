"""Lights of a field in one direction, divided between rebates.

The trap: lights stepped off from the sight edge make the two end lights a rebate's width larger
than the rest, and the glass comes in two sizes. Here every light is measured between rebates
(plane arithmetic).
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from functools import cached_property
from itertools import accumulate

from msgspec import Struct

from setupsheets.joinery.notes import DesignFault, Note, NoteKind, note
from setupsheets.lengths import Length

ROWS, COLUMNS = "rows", "columns"
SIGHT = "the sight height"
Edges = tuple[Length, Length]


class Division(Struct, frozen=True, dict=True):
    """How one direction of a field is divided; ``field`` counts from 1 at the top.

    ``lights`` are the openings between rebates, in order from the lower or left sight edge;
    ``before`` and ``after`` are the rebate widths of the members at the start and at the end,
    ``rebate`` and ``width`` those of the bar. ``given`` tells that the job says the sight size, so
    that a wider rail would not change it.
    """

    field: int
    direction: str
    lights: tuple[Length, ...]
    before: Length
    after: Length
    rebate: Length
    width: Length
    given: bool = False

    @property
    def bars(self) -> int:
        """How many bars stand between the lights."""
        return len(self.lights) - 1

    @property
    def tongue(self) -> Length:
        """What each bar leaves between its two rebates: W - 2 wr."""
        return self.width - 2 * self.rebate

    @cached_property
    def tongues(self) -> tuple[Edges, ...]:
        """Both edges of each bar's tongue, from the lower or left sight edge."""
        ends = accumulate((light + self.tongue for light in self.lights[:-1]), initial=-self.before)
        return tuple((end - self.tongue, end) for end in list(ends)[1:])

    @cached_property
    def bar_edges(self) -> tuple[Edges, ...]:
        """Both sight edges of each bar, from the lower or left sight edge of the field."""
        return tuple((low - self.rebate, high + self.rebate) for low, high in self.tongues)

    @property
    def sight(self) -> Length:
        """The field's whole sight opening, from sight edge to sight edge of the frame."""
        between = sum(self.lights, self.bars * self.tongue)
        return between - self.before - self.after

    @cached_property
    def light_edges(self) -> tuple[Edges, ...]:
        """Both sight edges of each light, from the lower or left sight edge of the field."""
        edges = (Length.ZERO, *(edge for bar in self.bar_edges for edge in bar), self.sight)
        return tuple(zip(edges[::2], edges[1::2], strict=True))

    @cached_property
    def spans(self) -> tuple[Length, ...]:
        """What daylight passes of each light: the sight opening of a broken bar's piece."""
        return tuple(high - low for low, high in self.light_edges)


class SizeChange(Struct, frozen=True):
    """A change of ``what`` (one rail, each stile, each bar, the sight height) by ``by``: wider or
    more where positive."""

    what: str
    by: Length


class Lights(Struct, frozen=True):
    """The lights of one field in one direction, measured between rebates.

    ``direction`` is "rows" (divided by cross bars) or "columns" (by upright bars). ``opening`` is
    one light between rebates (exact), ``sight_size`` what daylight passes of it between two bars;
    ``tongue_edges`` from the lower or left sight edge, both edges of each bar's tongue in order;
    ``openings`` are all lights in that order; ``off`` is how far the one that is furthest off is
    over the nearest mark of the shop, ``changes`` what would bring equal lights onto one.
    """

    field: int
    direction: str
    bars: int
    opening: Length
    sight_size: Length
    tongue_edges: tuple[Length, ...]
    openings: tuple[Length, ...] = ()
    off: Length = Length.ZERO
    changes: tuple[SizeChange, ...] = ()


def equal_lights(between: Length, bars: int, tongue: Length) -> tuple[Length, ...]:
    """Equal lights between rebates ``between`` apart: S = (B - n t) / (n + 1)."""
    return ((between - bars * tongue) / (bars + 1),) * (bars + 1)


def marginal_lights(
    between: Length, bars: int, tongue: Length, margin: Length
) -> tuple[Length, ...]:
    """Narrow lights of ``margin`` between rebates at both ends, the rest equal between them."""
    inner = equal_lights(between - 2 * (margin + tongue), bars - 2, tongue)
    return (margin, *inner, margin)


def shared_lights(
    between: Length, shares: tuple[Fraction, ...], tongue: Length
) -> tuple[Length, ...]:
    """Lights between rebates in proportion to their shares."""
    glass = between - (len(shares) - 1) * tongue
    return tuple(glass * share / sum(shares) for share in shares)


def nearest_mark(length: Length, finest: Length) -> Length:
    """The length at the nearest mark; a tie goes to the even one, as in `Notation.round`."""
    return finest * round(length / finest)


def as_lights(division: Division, finest: Length) -> Lights:
    """The division as it is told, with how far its light is off the mark and what would cure it."""
    opening = division.lights[len(division.lights) // 2]
    return Lights(
        field=division.field,
        direction=division.direction,
        bars=division.bars,
        opening=opening,
        sight_size=division.spans[len(division.spans) // 2],
        tongue_edges=tuple(edge for bar in division.tongues for edge in bar),
        openings=division.lights,
        off=max((light - nearest_mark(light, finest) for light in division.lights), key=abs),
        changes=tuple(changes(division, finest)),
    )


def changes(division: Division, finest: Length) -> Iterator[SizeChange]:
    """The smallest changes of frame or bars that bring equal lights onto the finest mark.

    With R = B - n t to share among n + 1 lights, each on a mark when R is a multiple of (n + 1) f,
    the excess r = R mod (n + 1) f has to go, or (n + 1) f - r to be added. A rail, or the sight
    height, takes the whole of it; two stiles, which stay equal, half each; bars a multiple of the
    mark each. Nothing for lights that are on a mark or unequal.
    """
    if len(set(division.lights)) != 1 or not division.lights[0] % finest:
        return
    step = (division.bars + 1) * finest
    excess = sum(division.lights, Length.ZERO) % step
    if division.given:
        yield from _both(-excess, -step, SIGHT)
    elif division.direction == ROWS:
        yield from _both(excess, step, "one rail")
    else:
        halves = [excess / 2, (excess - step) / 2, (excess + step) / 2, excess / 2 - step]
        marked = [half for half in halves if not half % finest]
        if marked:
            yield SizeChange("each stile", min(marked, key=abs))
        yield from _both(-excess, -step, "the leaf")
    if division.bars and not excess % finest:
        # n bars wider by k marks take n k from R, and n = -1 modulo n + 1: k = -r/f modulo n + 1.
        yield from _both(-excess, -step, "each bar")


def _both(excess: Length, step: Length, what: str) -> Iterator[SizeChange]:
    """The change by the excess and the one the other way, the smaller first."""
    for by in sorted((excess, excess - step), key=abs):
        yield SizeChange(what, by)


def light_notes(lights: Lights) -> Iterator[Note]:
    """Lights that fall on no mark, and the smallest changes that would bring them onto one."""
    if not lights.off:
        return
    sizes = tuple(dict.fromkeys(lights.openings))
    if not lights.changes:
        yield note(NoteKind.LIGHTS_OFF_THE_MARK, lights=lights, sizes=sizes)
        return
    changes = tuple(_change(each) for each in lights.changes)
    yield note(NoteKind.LIGHTS_TO_BE_CURED, lights=lights, sizes=sizes, changes=changes)


def _change(change: SizeChange) -> Note:
    if change.what == SIGHT:
        return note(NoteKind.SIGHT_HEIGHT_TO_CHANGE, what=change.what, by=change.by)
    return note(NoteKind.SIZE_TO_CHANGE, what=change.what, by=change.by)


def light_faults(division: Division) -> Iterator[Note]:
    """Bars that leave no daylight."""
    smallest = min(division.spans)
    if smallest > Length.ZERO or division.sight <= Length.ZERO:
        return
    at, taken = ("fields", division.field - 1, division.direction), division.bars * division.width
    short, kind = -smallest * len(division.spans), DesignFault.NO_DAYLIGHT
    yield note(kind, *at, division=division, taken=taken, smallest=smallest, short=short)
