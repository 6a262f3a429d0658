"""The story stick: every mark of a part from one datum, each rounded by itself, and spacer blocks.

Marks that are added up from rounded steps drift by a step's remainder for each bar; here no mark
knows its neighbour. The datum of each part is that of its mortises: see `Mortise`.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from enum import StrEnum

from msgspec import Struct

from setupsheets.joinery.frame.layout import Layout
from setupsheets.joinery.frame.lights import Division, nearest_mark
from setupsheets.joinery.members.parts import Joinery, Mortise, Part, Role
from setupsheets.lengths import Length
from setupsheets.shop.jobs import Job, Lock

ZERO = Length.ZERO


class Line(StrEnum):
    """What a mark on a stick or a rod stands for."""

    END = "end"
    HORN = "end of horn"
    TENON = "end of tenon"
    FACE_SHOULDER = "face shoulder"
    BACK_SHOULDER = "back shoulder"
    SIGHT_EDGE = "sight edge"
    OUTER_EDGE = "outer edge"
    MORTISE_START = "mortise starts"
    MORTISE_END = "mortise ends"
    HALVING_START = "halving starts"
    HALVING_END = "halving ends"
    LOCK_START = "lock starts"
    LOCK_END = "lock ends"
    HINGE_START = "hinge starts"
    HINGE_END = "hinge ends"
    OPENING = "edge of the opening"
    BEFORE_FITTING = "edge before it is fitted"
    REBATE_WALL = "wall of the meeting rebate"
    COVER = "edge of the strip over the gap"


class StickMark(Struct, frozen=True):
    """One mark: exact ``at`` from the datum, ``mark`` the nearest one of the shop's; ``of`` is the
    part that meets there, ``edge`` the edge of the part that it goes on, none for both."""

    line: Line
    at: Length
    mark: Length
    of: str = ""
    edge: int | None = None

    @property
    def off(self) -> Length:
        """How far the mark stands beyond the exact place."""
        return self.mark - self.at


class Stick(Struct, frozen=True):
    """The stick of one kind of part, its marks in order from the lower or left end."""

    part: str
    role: Role
    marks: tuple[StickMark, ...]


class Spacers(Struct, frozen=True):
    """Blocks that hold the bars of one field apart in one direction while it is put together.

    ``blocks`` go between sight edges on the face, each a size and how many. ``drift`` is how much
    longer than the sight opening they and the bars are, once every block is cut to a mark.
    """

    field: int
    direction: str
    blocks: tuple[tuple[Length, int], ...]
    bars: int
    bar_width: Length
    sight: Length
    drift: Length

    @property
    def adds_up(self) -> bool:
        """Whether exact blocks and bars fill the sight opening exactly."""
        blocks = sum((size * count for size, count in self.blocks), ZERO)
        return blocks + self.bars * self.bar_width == self.sight


def sticks(joinery: Joinery, finest: Length, lock: Lock | None = None) -> tuple[Stick, ...]:
    """One stick for each kind of part; the stiles' has the marks of lock and hinges, each for the
    stile that takes it."""
    return tuple(_stick(part, joinery, finest, lock) for part in joinery.parts)


def _stick(part: Part, joinery: Joinery, finest: Length, lock: Lock | None) -> Stick:
    mortises = (*joinery.mortises, *joinery.haunches)
    lines = [*end_rows(part), *_mortises(part, mortises), *_halvings(part, joinery)]
    if part.role is Role.STILE:
        lines += [*lock_rows(lock), *_hinge_rows(joinery.layout.job, finest)]
    marks = [
        StickMark(line, at, nearest_mark(at, finest), of, edge)
        for line, at, of, edge in dict.fromkeys(lines)
    ]
    return Stick(part.name, part.role, tuple(sorted(marks, key=lambda mark: mark.at)))


Row = tuple[Line, Length, str, int | None]


def end_rows(part: Part) -> Iterator[Row]:
    """A part's ends, shoulders and sight edges; an upright's first end is its top one."""
    if part.stile_length is not None:
        top = part.stile_length - 2 * part.horn
        for at, past in ((ZERO, -part.horn), (top, top + part.horn)):
            yield Line.END, at, "", None
            if part.horn:
                yield Line.HORN, past, "", None
        return
    low, high = part.ends[::-1] if part.role.upright else part.ends
    for end, edge, way in ((low, ZERO, -1), (high, part.sight, 1)):
        yield Line.TENON, edge + way * end.reach, "", None
        yield Line.BACK_SHOULDER, edge + way * end.mate.rebate.width, "", None
        yield Line.FACE_SHOULDER, edge + way * end.mate.sticking.width, "", None
        yield Line.SIGHT_EDGE, edge, "", None


def lock_rows(lock: Lock | None) -> list[Row]:
    """Where the lock's mortise goes in the lock stile."""
    if lock is None:
        return []
    ends = lock.above - lock.height / 2, lock.above + lock.height / 2
    return [(Line.LOCK_START, ends[0], "", None), (Line.LOCK_END, ends[1], "", None)]


def _hinge_rows(job: Job, finest: Length) -> Iterator[Row]:
    """Where the hinges go on the hinge stile; those between the outer ones on a mark."""
    places = job.hinges.places(job.size.height) if job.hinges else ()
    for number, (low, high) in enumerate(places):
        off = nearest_mark(low, finest) - low if 0 < number < len(places) - 1 else ZERO
        yield Line.HINGE_START, low + off, "", None
        yield Line.HINGE_END, high + off, "", None


def _mortises(part: Part, mortises: tuple[Mortise, ...]) -> Iterator[Row]:
    for mortise in mortises:
        if mortise.part == part.name:
            edge = mortise.edge if part.sight_edges == 2 else None
            yield Line.MORTISE_START, mortise.start, mortise.holds, edge
            yield Line.MORTISE_END, mortise.end, mortise.holds, edge


def _halvings(part: Part, joinery: Joinery) -> Iterator[Row]:
    for halving in joinery.halvings:
        if halving.part == part.name:
            yield Line.HALVING_START, halving.start, halving.crosses, None
            yield Line.HALVING_END, halving.end, halving.crosses, None


def spacers(layout: Layout, finest: Length) -> tuple[Spacers, ...]:
    """Spacer blocks for every field and direction that has bars."""
    return tuple(_spacers(each, finest) for each in layout.divisions if each.bars)


def _spacers(division: Division, finest: Length) -> Spacers:
    blocks = Counter(division.spans)
    cut = sum((nearest_mark(size, finest) * count for size, count in blocks.items()), ZERO)
    return Spacers(
        field=division.field,
        direction=division.direction,
        blocks=tuple(blocks.items()),
        bars=division.bars,
        bar_width=division.width,
        sight=division.sight,
        drift=cut + division.bars * division.width - division.sight,
    )
