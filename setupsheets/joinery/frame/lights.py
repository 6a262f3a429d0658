"""Lights of a field in one direction, divided between rebates.

The trap: lights stepped off from the sight edge make the two end lights a rebate's width larger
than the rest, and the glass comes in two sizes. Here every light is measured between rebates
(plane arithmetic).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from itertools import accumulate

from setupsheets.lengths import MM_PER_INCH, Length, Notation, Unit

ROWS, COLUMNS = "rows", "columns"
SIGHT = "the sight height"
Edges = tuple[Length, Length]


@dataclass(frozen=True)
class Division:
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
    def spans(self) -> tuple[Length, ...]:
        """What daylight passes of each light: the sight opening of a broken bar's piece."""
        edges = [Length.ZERO, *(edge for bar in self.bar_edges for edge in bar), self.sight]
        return tuple(edges[i + 1] - edges[i] for i in range(0, len(edges), 2))


@dataclass(frozen=True)
class SizeChange:
    """A change of ``what`` (one rail, each stile, each bar, the sight height) by ``by``: wider or
    more where positive."""

    what: str
    by: Length


@dataclass(frozen=True)
class Lights:
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


def finest_mark(notation: Notation) -> Length:
    """The shop's finest mark as a length."""
    return Length.millimetres(notation.finest * (MM_PER_INCH if notation.unit is Unit.IN else 1))


def as_lights(division: Division, notation: Notation) -> Lights:
    """The division as printed, with how far its light is off the mark and what would cure it."""
    opening = division.lights[len(division.lights) // 2]
    return Lights(
        field=division.field,
        direction=division.direction,
        bars=division.bars,
        opening=opening,
        sight_size=division.spans[len(division.spans) // 2],
        tongue_edges=tuple(edge for bar in division.tongues for edge in bar),
        openings=division.lights,
        off=max((light - notation.round(light) for light in division.lights), key=abs),
        changes=tuple(changes(division, finest_mark(notation))),
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


def light_notes(lights: Lights, notation: Notation) -> Iterator[str]:
    """What the maker should know about lights that do not fall on a mark."""
    if not lights.off:
        return
    sizes = ", ".join(notation.show(size) for size in dict.fromkeys(lights.openings))
    text = (
        f"field {lights.field}, {lights.direction}: lights of {sizes} between rebates do not fall "
        "on the finest mark"
    )
    cures = ", or ".join(_cure(change, notation) for change in lights.changes)
    yield f"{text}; to make them: {cures}" if cures else text


def _cure(change: SizeChange, notation: Notation) -> str:
    more, less = ("more", "less") if change.what == SIGHT else ("wider", "narrower")
    way = more if change.by > Length.ZERO else less
    return f"{change.what} {notation.show(abs(change.by))} {way}"


def no_daylight(division: Division, notation: Notation) -> str | None:
    """What is wrong where bars leave no daylight; None where every light has some."""
    smallest = min(division.spans)
    if smallest > Length.ZERO:
        return None
    short = -smallest * len(division.spans)
    return (
        f"{division.bars} bars of {notation.show(division.width)} take "
        f"{notation.show(division.bars * division.width)} of a sight opening of "
        f"{notation.show(division.sight)} and leave no daylight: the smallest light is "
        f"{notation.show(smallest)}; have fewer bars, narrower ones, or an opening that is more "
        f"than {notation.show(short)} larger"
    )
