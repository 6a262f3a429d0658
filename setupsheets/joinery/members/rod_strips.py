"""What a rod shows: members cut across, what is hidden in them, panes, marks. All exact."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from enum import StrEnum

from msgspec import Struct

from setupsheets.joinery.members.parts import Groove, Role
from setupsheets.joinery.members.stick import Line
from setupsheets.lengths import Length
from setupsheets.shop.jobs import Fill, Meeting, Opening, Side
from setupsheets.shop.sections import Section

ZERO = Length.ZERO
Grooves = tuple[Groove | None, Groove | None]


class Way(StrEnum):
    """Which way a rod runs along the leaf."""

    HEIGHT = "height"
    WIDTH = "width"


class HiddenKind(StrEnum):
    """What stands in another member's wood, or is let into it."""

    MORTISE = "mortise"
    TENON = "tenon"
    HAUNCH = "haunch"
    HALVING = "halving"


class MeetingEdge(Struct, frozen=True):
    """Where the meeting stile of one leaf meets the other's, ``lap`` wide there: of a rebated pair
    half its thickness is gone, the face's or the back's."""

    at: Side
    lap: Length
    from_face: bool


class RodCut(Struct, frozen=True):
    """A member cut across, from ``low`` to ``high`` along the rod. ``moulded`` says which of its
    edges are, the lower or left one first; each of those has its ``grooves`` or else a rebate.
    ``meets`` is a meeting stile's, and ``leaf`` says which of a pair's it is of."""

    part: str
    role: Role
    section: Section
    low: Length
    high: Length
    moulded: tuple[bool, bool]
    grooves: Grooves = (None, None)
    meets: MeetingEdge | None = None
    leaf: Side | None = None


class RodHidden(Struct, frozen=True):
    """A rectangle drawn dashed: along the rod from ``start`` to ``end``, across it ``thickness``
    behind ``from_face``."""

    kind: HiddenKind
    start: Length
    end: Length
    from_face: Length
    thickness: Length


class RodPane(Struct, frozen=True):
    """A pane or panel in its place, its clearance taken off at both edges. A raised panel's
    ``border`` at each edge is sunk from the face to the ``tongue``."""

    fill: Fill
    start: Length
    end: Length
    from_face: Length
    thickness: Length
    border: Length = ZERO
    tongue: Length = ZERO


class RodBeyond(Struct, frozen=True):
    """A member that is seen behind the section between two sight edges, with a rebate or not."""

    section: Section
    start: Length
    end: Length
    rebated: bool


class RodMark(Struct, frozen=True):
    """A place to mark on ``part``: a shoulder, an edge, an end of a mortise; ``of`` is what the
    mortise or halving is for, ``leaf`` which of a pair's it is on. The opening's have no part."""

    line: Line
    at: Length
    part: str = ""
    role: Role = Role.STILE
    of: str = ""
    leaf: Side | None = None


class RodCover(Struct, frozen=True):
    """The strip over a pair's gap, before the face, from ``low`` to ``high``."""

    low: Length
    high: Length
    thickness: Length


class RodStrip(Struct, frozen=True):
    """One section through the leaf, through ``fields`` as they are numbered from 1 at the top; of a
    pair through both, with the ``cover`` over their gap."""

    fields: tuple[int, ...]
    cuts: tuple[RodCut, ...]
    hidden: tuple[RodHidden, ...]
    panes: tuple[RodPane, ...]
    beyond: tuple[RodBeyond, ...]
    marks: tuple[RodMark, ...]
    cover: RodCover | None = None


class Rod(Struct, frozen=True):
    """One rod, ``length`` from its datum edge to the leaf's other edge, or to the right edge of a
    pair's right leaf, with the ``horn`` past both ends; ``thickness`` is the leaf's. ``opening`` is
    the job's."""

    way: Way
    length: Length
    thickness: Length
    horn: Length
    strips: tuple[RodStrip, ...]
    opening: Opening | None = None

    @property
    def pair(self) -> Meeting | None:
        """How the leaves meet, where there are two."""
        return self.opening.pair if self.opening else None


def edges_of(cuts: Iterable[RodCut]) -> Iterator[RodMark]:
    """Both edges of every member that is cut across."""
    for cut in cuts:
        for at, moulded in zip((cut.low, cut.high), cut.moulded, strict=True):
            line = Line.SIGHT_EDGE if moulded else Line.OUTER_EDGE
            yield RodMark(line, at, cut.part, cut.role)
