"""What a job comes to: parts with their three lengths, mortises, panes and beads."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from enum import StrEnum
from itertools import product

from msgspec import Struct, field

from setupsheets.joinery.frame.layout import Layout
from setupsheets.joinery.frame.lights import Lights
from setupsheets.joinery.notes import Note
from setupsheets.lengths import Length
from setupsheets.shop.jobs import Fill
from setupsheets.shop.recipes import MadeSize
from setupsheets.shop.sections import Section


class Role(StrEnum):
    """What a part does in the leaf."""

    STILE = "stile"
    RAIL = "rail"
    CROSS_BAR = "cross bar"
    UPRIGHT_BAR = "upright bar"
    MIDDLE_STILE = "middle stile"

    @property
    def upright(self) -> bool:
        """Whether it stands between two members; its ends are told from the top."""
        return self in (Role.UPRIGHT_BAR, Role.MIDDLE_STILE)


class Tenon(Struct, frozen=True):
    """A tenon's own sizes: ``thickness`` along y, ``from_face`` to its face cheek, ``width`` along
    the mate's length; ``haunch`` is what it stands back from the part's outer edge, ``set_back``
    from its moulded edge where the tenon is not wholly inside the part's own tongue. ``twin_gap``
    is what is left between twin tenons, which share ``width`` with it; none where there is one.

    ``from_lower`` and ``from_upper`` are what it stands back from either edge of the part, whatever
    takes it: haunch, moulding, rebate or a groove; ``haunch_depth`` how far the haunch goes past
    the mate's sight edge, its shoulder and all."""

    thickness: Length
    from_face: Length
    width: Length
    haunch: Length = Length.ZERO
    set_back: Length = Length.ZERO
    twin_gap: Length | None = None
    from_lower: Length = Length.ZERO
    from_upper: Length = Length.ZERO
    haunch_depth: Length = Length.ZERO

    @property
    def each(self) -> Length:
        """The width of one tenon: of each of two where they are twins."""
        return self.width if self.twin_gap is None else (self.width - self.twin_gap) / 2


class End(Struct, frozen=True):
    """How one end of a part meets its mate.

    ``mate`` is the section that the cope fits over; ``mortise_depth`` from the mate's sight edge;
    ``gap`` is left at the mortise's bottom. Two ends that compare equal share their settings.
    """

    mate: Section
    mortise_depth: Length
    gap: Length
    tenon: Tenon

    @property
    def reach(self) -> Length:
        """How far the part goes past the mate's sight edge: mortise depth less the gap."""
        return self.mortise_depth - self.gap


class Groove(Struct, frozen=True):
    """A groove in a sight edge for a panel: ``width`` along y, ``depth`` along x, ``from_face`` to
    its wall towards the face."""

    width: Length
    depth: Length
    from_face: Length


class Stretch(Struct, frozen=True):
    """A stretch of one sight edge that has a groove or, where that is None, the section's rebate.

    Full size from ``start`` to ``end``; the cut itself may reach from ``first`` to ``last``, None
    where it may run out over the part's end. All of them from the part's datum, and ``edge`` as a
    mortise's.
    """

    edge: int
    start: Length
    end: Length
    groove: Groove | None = None
    first: Length | None = None
    last: Length | None = None

    @property
    def stopped(self) -> bool:
        """Whether the cut must stop short of an end of the part."""
        return self.first is not None or self.last is not None


class LongBlank(Struct, frozen=True):
    """The piece that a part too short to be worked by itself is made in: ``length`` long, with
    ``holds`` of the part in it, which are cut apart when their edges are moulded. The part's end
    ``outer`` is an end of that piece; its other end is made last."""

    length: Length
    holds: int
    outer: int


class Part(Struct, frozen=True):
    """One kind of part, ``count`` of them over the whole job.

    ``sight`` is the clear opening that it spans between its mates (a stile spans none and has its
    length from the leaf). ``sight_edges`` is 1 or 2: how many of its edges are moulded. ``ends``
    is empty for a stile, else the (left or top, right or bottom) ends; ``into`` names, end by end,
    the parts that take it. ``stile_length`` is over
    both horns, each ``horn`` long. ``stretches`` tell where its sight edges have a rebate and where
    a groove; without any they have a rebate from end to end. ``long`` is the piece that it is made
    in, None where it is worked by itself.
    """

    name: str
    role: Role
    section: Section
    count: int
    width: Length
    sight: Length
    sight_edges: int
    ends: tuple[End, ...] = ()
    stile_length: Length | None = None
    horn: Length = Length.ZERO
    stretches: tuple[Stretch, ...] = ()
    into: tuple[tuple[str, ...], ...] = ()
    long: LongBlank | None = None

    @property
    def thickness(self) -> Length:
        """Thickness of the finished part."""
        return self.section.thickness

    @property
    def piece_length(self) -> Length:
        """How long the piece is that it is moulded in: its own length, or its long blank's."""
        return self.long.length if self.long else self.overall

    @property
    def pieces(self) -> int:
        """How many pieces to get out for all of it."""
        return -(-self.count // self.long.holds) if self.long else self.count

    @property
    def grooves(self) -> tuple[tuple[Groove | None, ...], ...]:
        """Every cross-section that it has somewhere along it: what groove each sight edge has
        there, None for a rebate."""
        if not self.stretches:
            return ((None,) * self.sight_edges,)
        edges = range(self.sight_edges)
        kinds = ([each.groove for each in self.stretches if each.edge == edge] for edge in edges)
        return tuple(product(*(dict.fromkeys(found or [None]) for found in kinds)))

    @property
    def datum(self) -> Length:
        """From its lower or left end to the datum that mortises and stretches count from: a stile's
        horn, another part's reach."""
        if not self.ends:
            return self.horn
        return self.ends[-1 if self.role.upright else 0].reach

    @property
    def face(self) -> Length:
        """Between the cope tips: the sight opening and both mates' sticking widths."""
        return sum((end.mate.sticking.width for end in self.ends), self._base)

    @property
    def back(self) -> Length:
        """Between the back shoulders: the sight opening and both mates' rebate widths."""
        return sum((end.mate.rebate.width for end in self.ends), self._base)

    @property
    def overall(self) -> Length:
        """Over the tenons: the sight opening and both reaches; a stile's own length with horns."""
        return sum((end.reach for end in self.ends), self._base)

    @property
    def _base(self) -> Length:
        """What the ends' additions are counted from: the sight opening, or a stile's length."""
        return self.sight if self.stile_length is None else self.stile_length


class Mortise(Struct, frozen=True):
    """One mortise in the sight edge of ``part``, for ``holds``.

    ``start`` and ``end`` are counted along the part from its datum: a stile's is the bottom of the
    leaf, a rail's or cross bar's the left end of its sight opening, an upright bar's the lower end.
    ``edge`` is 0 for the only or lower or left sight edge, 1 for the other; ``depth`` from there.
    """

    part: str
    holds: str
    edge: int
    start: Length
    end: Length
    thickness: Length
    from_face: Length
    depth: Length

    @property
    def centre(self) -> Length:
        """Middle of the mortise along the part, from the datum."""
        return (self.start + self.end) / 2


class Halving(Struct, frozen=True):
    """A notch in ``part`` where it is let in over or under the bar that it ``crosses``, taken out
    of the face or of the back; ``start`` and ``end`` from the part's datum, ``depth`` along y."""

    part: str
    crosses: str
    from_face: bool
    start: Length
    end: Length
    depth: Length


class MeetingRebate(Struct, frozen=True):
    """The rebate along the outer edge of a meeting stile, ``lap`` wide and ``depth`` deep, out of
    its face or out of its back."""

    lap: Length
    depth: Length
    from_face: bool


class Pane(Struct, frozen=True):
    """Glass or panels of one size, ``count`` over the whole job: ``opening`` between rebates, or
    between the bottoms of the grooves; ``width`` and ``height`` to order; ``field`` counts from 1
    at the top. A raised panel's ``border`` is sunk from the face to ``tongue``, what goes into the
    groove."""

    field: int
    fill: Fill
    count: int
    opening_width: Length
    opening_height: Length
    width: Length
    height: Length
    thickness: Length
    border: Length = Length.ZERO
    tongue: Length = Length.ZERO


class Bead(Struct, frozen=True):
    """Glazing or panel beads of one length, ``count`` over the whole job, mitred at both ends.

    ``length`` is the long side, ``width`` along the section's x, ``depth`` along its y.
    """

    field: int
    count: int
    length: Length
    width: Length
    depth: Length


class MadeAs(Struct, frozen=True):
    """A size of a part that exists, as it was measured: in which ``record`` and on which day; empty
    and None where the job's file says it."""

    size: Length
    record: str = ""
    date: datetime.date | None = None


class Joinery(Struct, frozen=True):
    """What a job's leaves are made of, counted over all of them, and what the maker should know
    about it. ``haunches`` are the shallow mortises beside the tenons' own, from there to the ends
    of the leaf; ``made`` is by part and end, or by panel, what was measured on its mate."""

    layout: Layout
    parts: tuple[Part, ...]
    mortises: tuple[Mortise, ...]
    panes: tuple[Pane, ...]
    beads: tuple[Bead, ...]
    lights: tuple[Lights, ...]
    notes: tuple[Note, ...] = ()
    halvings: tuple[Halving, ...] = ()
    haunches: tuple[Mortise, ...] = ()
    made: Mapping[tuple[str, End | Pane], Mapping[MadeSize, MadeAs]] = field(default_factory=dict)

    def part(self, name: str) -> Part:
        """The part of that name; KeyError where there is none."""
        return {part.name: part for part in self.parts}[name]
