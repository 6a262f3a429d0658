"""A job: one leaf (door, sash, cupboard door), how many, and how it is to be made."""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum
from fractions import Fraction

from msgspec import Struct, field

from setupsheets.files.faults import NOWHERE, Marks
from setupsheets.lengths import Length
from setupsheets.shop.recipes import MadeSize, Makes

_HALF, _EIGHTH, _SIXTEENTH = (Length(f"1/{n} in") for n in (2, 8, 16))


class Fill(StrEnum):
    """What stands in a field of the frame: glass or a panel in the rebate behind a bead, or a
    panel in a groove."""

    GLASS = "glass"
    PANEL = "panel"
    GROOVED_PANEL = "grooved panel"


class Through(StrEnum):
    """Which bars run through where bars cross; the others are broken between them. Halved bars
    all run through: the upright ones are let in over the cross bars by half their thickness."""

    CROSS = "cross"
    UPRIGHT = "upright"
    HALVED = "halved"


STRIP_WIDTH, STRIP_THICKNESS = Length("1 1/4 in"), Length("3/8 in")  # common practice, no source


class Meeting(StrEnum):
    """How the two leaves of a pair meet."""

    PLAIN = "plain"
    REBATED = "rebated"
    ASTRAGAL = "astragal"
    STRIP = "cover strip"


class RouteKind(StrEnum):
    """How the operations of a job follow each other: so that least is set, walked and carried, or
    one joint finished before the next."""

    FEWEST_SETTINGS = "fewest settings"
    JOINT_BY_JOINT = "joint by joint"


class Leaf(Struct, frozen=True):
    """The finished leaf's outside size."""

    width: Length
    height: Length


class Clearances(Struct, frozen=True):
    """What is left open at each edge of a leaf; ``meeting`` is each leaf's share of a pair's gap.

    Defaults: Architectural Woodwork Standards, 1st edition, 2009.
    """

    top: Length = _EIGHTH
    hinge: Length = _EIGHTH
    lock: Length = _EIGHTH
    bottom: Length = _HALF
    meeting: Length = _SIXTEENTH


class Side(StrEnum):
    """A side of the leaf, seen from its face."""

    LEFT = "left"
    RIGHT = "right"


class Head(StrEnum):
    """The shape of a leaf's head. Only a straight, level one is worked out."""

    STRAIGHT = "straight"
    ARCHED = "arched"
    RAKED = "raked"


class OutOfSquare(Struct, frozen=True):
    """The rest of an opening that is out of square, seen from the leaf's face: its width at the
    ``bottom``, its height at the ``right``, and the ``diagonal`` from the lower left corner to the
    upper right one. The opening's own width is then the one at the top, its height that at the
    left."""

    bottom: Length
    right: Length
    diagonal: Length


class Opening(Struct, frozen=True):
    """The finished opening that the job's leaf, or a pair of leaves, closes.

    ``fitting`` is left on over the leaf's width and over its height, to be planed off as it is
    fitted. A single leaf's hinges are at its ``hinge`` side, seen from its face.
    ``lap`` is how wide the rebates of a rebated pair are; ``strip_width`` and
    ``strip_thickness`` are an astragal's or a cover strip's, as is common practice. Bevels in
    degrees from square, so that the edge clears its frame as it swings.
    """

    width: Length
    height: Length
    clearances: Clearances = field(default_factory=Clearances)
    pair: Meeting | None = None
    lap: Length = Length.ZERO
    strip_width: Length = STRIP_WIDTH
    strip_thickness: Length = STRIP_THICKNESS
    hinge_bevel: Fraction = Fraction(3)
    lock_bevel: Fraction = Fraction(3)
    hinge: Side = Side.LEFT
    fitting: Length = Length.ZERO
    out_of_square: OutOfSquare | None = None

    @property
    def greatest(self) -> tuple[Length, Length]:
        """Width and height; of an opening out of square the greater sides."""
        if self.out_of_square is None:
            return self.width, self.height
        sides = self.out_of_square
        return max(self.width, sides.bottom), max(self.height, sides.right)

    @property
    def rebate(self) -> Length:
        """How wide the meeting stiles of a rebated pair are rebated: what is left on for fitting is
        planed off there."""
        return self.lap + self.fitting

    @property
    def leaf(self) -> Leaf:
        """The leaf at its widest face, as it is made: the opening less clearances, half of it for a
        pair, and what is left on for fitting. Of an opening out of square the greater sides count.
        """
        gaps, more, (wide, high) = self.clearances, self.fitting, self.greatest
        height = high - gaps.top - gaps.bottom + more
        if self.pair is None:
            return Leaf(wide - gaps.hinge - gaps.lock + more, height)
        both = wide - 2 * (gaps.hinge + gaps.meeting) + self.lap
        return Leaf(both / 2 + more, height)


class Stile(Struct, frozen=True):
    """Both stiles: section, width, and the horn left on at each end until the leaf is fitted."""

    section: str
    width: Length
    horn: Length = Length.ZERO
    marks: Marks = NOWHERE


class Rail(Struct, frozen=True):
    """One rail, named from top to bottom. ``haunch`` is what the tenon stands back from the
    rail's outer edge at a corner; a middle rail has none. ``twin_gap`` is what is left between
    the twin tenons of a wide rail; without it there is one."""

    name: str
    width: Length
    section: str
    haunch: Length = Length.ZERO
    twin_gap: Length | None = None
    marks: Marks = NOWHERE


class FrameField(Struct, frozen=True):
    """What lies between two rails. One field of a leaf may leave ``sight_height`` out and takes
    what the others leave.

    Lights are equal, unless ``margin`` gives the width between rebates of narrow lights along the
    frame, or shares say in what proportion rows (from the top) or columns (from the left) divide.
    """

    fill: Fill
    rows: int = 1
    columns: int = 1
    sight_height: Length | None = None
    margin: Length | None = None
    row_shares: tuple[Fraction, ...] = ()
    column_shares: tuple[Fraction, ...] = ()
    marks: Marks = NOWHERE


class Bars(Struct, frozen=True):
    """The bars of the glazed fields. ``width`` where it differs from the section's own."""

    section: str
    width: Length | None = None
    through: Through = Through.CROSS
    marks: Marks = NOWHERE


class Joints(Struct, frozen=True):
    """Mortise depths from the sight edge and the gap left at their bottom; a leaf with bars needs
    ``bar_mortise``. ``middle_mortise`` is a rail's for a middle stile, as deep as the stiles' for a
    rail where nothing is said."""

    rail_mortise: Length
    bar_mortise: Length | None = None
    bar_in_bar_mortise: Length | None = None
    middle_mortise: Length | None = None
    gap: Length = Length.ZERO
    marks: Marks = NOWHERE


class Glazing(Struct, frozen=True):
    """Glass and the bead that holds it. ``clearance`` at each edge; a leaf without glass
    need give neither that nor a ``thickness``. Of a sealed unit that is its whole thickness, and
    ``cavity`` what of it is none of glass.

    ``bead_depth`` where the bead does not fill the rebate behind the pane.
    """

    thickness: Length | None = None
    clearance: Length | None = None
    bedding: Length = Length.ZERO
    cavity: Length = Length.ZERO
    bead_width: Length | None = None
    bead_depth: Length | None = None
    panel_thickness: Length | None = None
    panel_clearance: Length | None = None
    marks: Marks = NOWHERE


class Panels(Struct, frozen=True):
    """Panels in a groove along the tongue. ``clearance`` at each edge is room for the panel to
    grow; ``border`` is the sloped or sunk edge of a raised panel, none on a flat one.
    ``middle_stile`` is how wide the stile is between two panels side by side."""

    thickness: Length
    groove_width: Length
    groove_depth: Length
    clearance: Length
    border: Length | None = None
    middle_stile: Length | None = None
    marks: Marks = NOWHERE


class Lock(Struct, frozen=True):
    """A mortise lock in the lock stile: ``above`` is its middle above the bottom of the leaf,
    ``depth`` from the stile's outer edge."""

    above: Length
    height: Length
    depth: Length
    thickness: Length
    marks: Marks = NOWHERE


class Hinges(Struct, frozen=True):
    """The hinges of a leaf: ``length`` of one, ``closed`` how thick it is when it is shut. Its ends
    stand ``from_top`` and ``from_bottom`` of the leaf, a hinge's own length where the job does not
    say (common practice, no source); others between them at even distances."""

    length: Length
    closed: Length
    count: int = 2
    from_top: Length | None = None
    from_bottom: Length | None = None
    marks: Marks = NOWHERE

    def places(self, height: Length) -> tuple[tuple[Length, Length], ...]:
        """Lower and upper end of each hinge above the leaf's bottom, the lowest first."""
        low = self.length if self.from_bottom is None else self.from_bottom
        high = height - (self.length if self.from_top is None else self.from_top) - self.length
        apart = (high - low) / max(self.count - 1, 1)
        starts = (low + number * apart for number in range(self.count))
        return tuple((start, start + self.length) for start in starts)


class Stock(Struct, frozen=True):
    """Boards at hand: ``lengths`` that may be had, ``kerf`` of each crosscut, ``trim`` lost at
    both ends of a board together, ``scarf`` the length of a glued scarf for each of thickness."""

    lengths: tuple[Length, ...]
    kerf: Length
    trim: Length = Length.ZERO
    scarf: Fraction = Fraction(8)
    marks: Marks = NOWHERE


class Air(Struct, frozen=True):
    """Air that timber comes into balance with: degrees Celsius, relative humidity in percent."""

    celsius: Fraction
    humidity: Fraction


class Seasons(Struct, frozen=True):
    """The air the leaf is made in, and the driest and dampest that it will hang in."""

    made: Air
    dry: Air
    damp: Air
    marks: Marks = NOWHERE


class Allowances(Struct, frozen=True):
    """What the rough blank has over the finished part."""

    length: Length = Length.ZERO
    width: Length = Length.ZERO
    thickness: Length = Length.ZERO


class Job(Struct, frozen=True):
    """One job, ``count`` leaves of it. Its size is the ``leaf``'s, or comes from the ``opening``.

    ``recipes`` and ``cutters`` overrule the shop's first choices. ``as_made``: by part, what was
    measured on the mates that its ends are fitted to.
    """

    name: str
    title: str
    timber: str
    stiles: Stile
    rails: tuple[Rail, ...]
    fields: tuple[FrameField, ...]
    joints: Joints
    glazing: Glazing = field(default_factory=Glazing)
    count: int = 1
    leaf: Leaf | None = None
    head: Head = Head.STRAIGHT
    opening: Opening | None = None
    bars: Bars | None = None
    panels: Panels | None = None
    lock: Lock | None = None
    hinges: Hinges | None = None
    stock: Stock | None = None
    seasons: Seasons | None = None
    allowances: Allowances = field(default_factory=Allowances)
    recipes: Mapping[Makes, str] = field(default_factory=dict)
    inputs: Mapping[str, Length] = field(default_factory=dict)
    cutters: Mapping[str, str] = field(default_factory=dict)
    machines: Mapping[str, str] = field(default_factory=dict)
    route: RouteKind = RouteKind.FEWEST_SETTINGS
    as_made: Mapping[str, Mapping[MadeSize, Length]] = field(default_factory=dict)
    notes: str = ""
    marks: Marks = NOWHERE

    @property
    def size(self) -> Leaf:
        """The finished leaf; nothing by nothing where the job gives neither leaf nor opening."""
        if self.leaf is not None:
            return self.leaf
        return self.opening.leaf if self.opening else Leaf(Length.ZERO, Length.ZERO)
