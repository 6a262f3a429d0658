"""Dimension lines that keep out of each other's way: each gets a lane of its own where it must.

Distances are in mm on the paper. A dimension stands between ``start`` and ``end`` along its axis;
thin lines reach to it from the edges that it measures. Where its words do not fit between its
arrows they stand beside them.
"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from setupsheets.sheets.drawings import drawing as svg
from setupsheets.sheets.letters.letters import text_width

LANE = 7.0  # mm from one lane to the next, for figures of FIGURE height
_ARROW, _TAIL, _AIR = 2.0, 4.0, 1.5


class Dimension(Struct, frozen=True):
    """One distance to show. ``words`` is its figure as printed, ``name`` what it is the figure of,
    on a level dimension before it and on an upright one above it; ``light`` what is told of it
    beside that, small and not bold. ``from_start`` and ``from_end`` are where, across the axis, the
    edges lie that it measures between."""

    start: float
    end: float
    words: str
    from_start: float
    from_end: float
    name: str = ""
    light: str = ""

    @property
    def line(self) -> str:
        """Name and figure in one line."""
        return f"{self.name} {self.words}".strip()

    @property
    def above(self) -> str:
        """What stands small over the figure of an upright dimension."""
        return f"{self.name}, {self.light}" if self.light else self.name

    @property
    def wide(self) -> float:
        """How wide the words of a level dimension are, the light ones after the others."""
        return text_width(self.line, svg.FIGURE, bold=True) + self.light_wide

    @property
    def light_wide(self) -> float:
        """What of that the light words take, with the room before them."""
        return text_width(self.light, svg.SMALL) + _AIR if self.light else 0.0

    @property
    def low(self) -> float:
        """The lesser end along the axis."""
        return min(self.start, self.end)

    @property
    def high(self) -> float:
        """The greater end along the axis."""
        return max(self.start, self.end)


class Placed(Struct, frozen=True):
    """Drawn dimensions, and how far across and along the axis they take room."""

    elements: tuple[str, ...]
    depth: float
    low: float
    high: float


def across(dimensions: Sequence[Dimension], first: float) -> Placed:
    """Level dimensions in lanes downwards from the height ``first``."""
    sides = [_side(item, dimensions) for item in dimensions]
    spans = [_level_span(item, side) for item, side in zip(dimensions, sides, strict=True)]
    lanes = _lanes(dimensions, spans)
    elements: list[str] = []
    for item, lane, side in zip(dimensions, lanes, sides, strict=True):
        elements += _level(item, first + LANE * (lane + 0.75), side)
    depth = LANE * (max(lanes) + 1) + 0.5 if lanes else 0.0
    return _placed(elements, depth, spans)


def upright(dimensions: Sequence[Dimension], first: float) -> Placed:
    """Upright dimensions in lanes to the left of ``first``, their words level beside them.

    ``depth`` is how much room they take to the left; it includes the words.
    """
    spans = [_upright_span(item) for item in dimensions]
    lanes = _lanes(dimensions, spans)
    lines: list[str] = []
    words: list[str] = []
    depth = 0.0
    for lane in sorted(set(lanes)):
        here = [item for item, its in zip(dimensions, lanes, strict=True) if its == lane]
        passing = [end for item, its in zip(dimensions, lanes, strict=True) if its > lane
                   for end in (item.start, item.end)]  # fmt: skip
        for item in here:
            x = first - depth - 3.0
            lines += _arrows(item, x, -1, _stands_inside(item))
            words += _standing(item, x, passing)
        depth += 3.0 + _AIR + max(_stacked_width(item) for item in here)
    return _placed([*lines, *words], depth, spans)


def _placed(elements: list[str], depth: float, spans: Sequence[tuple[float, float]]) -> Placed:
    low = min((span[0] for span in spans), default=0.0)
    high = max((span[1] for span in spans), default=0.0)
    return Placed(tuple(elements), depth, low, high)


def _fits_inside(item: Dimension) -> bool:
    room = item.high - item.low - 2 * _ARROW - 2
    return item.wide <= room


def _stacked_width(item: Dimension) -> float:
    return max(text_width(item.words, svg.FIGURE, bold=True), text_width(item.above, svg.SMALL))


def _stands_inside(item: Dimension) -> bool:
    return item.high - item.low > 2 * _ARROW + 1


def _upright_span(item: Dimension) -> tuple[float, float]:
    """What an upright dimension takes along its axis: its arrows, or the height of its words."""
    if _stands_inside(item) and (not item.name or item.high - item.low > 9):
        return item.low, item.high
    return item.low - _TAIL - 1, item.high + _TAIL + 1


def _side(item: Dimension, every: Sequence[Dimension]) -> int:
    """Where the words of a level dimension stand: 0 between its arrows, else -1 for the left of
    them, or 1 for the right where the lines of others run through them at the left and there not.
    """
    if _fits_inside(item):
        return 0
    ends = [end for each in every if each is not item for end in (each.low, each.high)]
    left, right = (
        sum(low - _AIR < end < high + _AIR for end in ends)
        for low, high in (_words_span(item, -1), _words_span(item, 1))
    )
    return 1 if left and not right else -1


def _words_span(item: Dimension, side: int) -> tuple[float, float]:
    """What the words of a level dimension take along its axis beside its arrows."""
    if side > 0:
        return item.high + _TAIL + 1, item.high + _TAIL + 1 + item.wide
    return item.low - _TAIL - 1 - item.wide, item.low - _TAIL - 1


def _level_span(item: Dimension, side: int) -> tuple[float, float]:
    """What a level dimension takes along its axis, words and arrows and all."""
    low, high = item.low, item.high
    if not side:
        return low, high
    first, last = _words_span(item, side)
    return min(low - _TAIL - 1, first - _AIR), max(high + _TAIL + 1, last + _AIR)


def _lanes(dimensions: Sequence[Dimension], spans: Sequence[tuple[float, float]]) -> list[int]:
    """The first lane for each span in which nothing is in its way, short dimensions first, so that
    the lines which reach to a long one pass no words."""
    sizes = [item.high - item.low for item in dimensions]
    lanes = [0] * len(spans)
    taken: list[list[tuple[float, float]]] = []
    for index in sorted(range(len(spans)), key=lambda i: (sizes[i], i)):
        low, high = spans[index]
        lane = next(
            (
                n
                for n, used in enumerate(taken)
                if all(high <= a + 0.01 or b <= low + 0.01 for a, b in used)
            ),
            len(taken),
        )
        if lane == len(taken):
            taken.append([])
        taken[lane].append((low, high))
        lanes[index] = lane
    return lanes


def _level(item: Dimension, y: float, side: int) -> list[str]:
    right, base = (item.low + item.high + item.wide) / 2, y - 1.0
    if side:
        right, base = _words_span(item, side)[1], y + 1.4
    return [*_arrows(item, y, 1, not side), *_in_line(item, right, base)]


def _in_line(item: Dimension, right: float, y: float) -> list[str]:
    """Name and figure, then what is light, ending at ``right``."""
    left = right - item.light_wide
    figure = svg.text((left, y), item.line, svg.FIGURE, "end", bold=True)
    return [figure, *([svg.text((right, y), item.light, svg.SMALL, "end")] if item.light else [])]


def _standing(item: Dimension, x: float, passing: Sequence[float]) -> list[str]:
    """The words of an upright dimension left of ``x``. A figure alone keeps clear of the lines that
    reach ``passing`` it to other lanes; the one from its upper end is broken where a name stands
    higher than that."""
    low, high = item.low, item.high
    # Words of a short dimension stand on its lower end, clear of the table that often lies there;
    # a figure alone stands over it, clear of what reaches from both its ends to other lanes.
    middle = min((low + high) / 2 + (3.2 if item.name else 1.4), high - 0.8)
    if not item.name and not _stands_inside(item):
        middle = low - 0.8
    if not item.name:
        middle = _clear_of(passing, middle)
    figure = svg.text((x - _AIR, middle), item.words, svg.FIGURE, "end", bold=True)
    if not item.name:
        return [figure]
    foot, wide = middle - svg.FIGURE - 0.4, text_width(item.above, svg.SMALL)
    name = svg.text((x - _AIR, foot), item.above, svg.SMALL, "end")
    if foot - svg.SMALL < low:
        return [svg.rectangle((x - _AIR - wide, low - 0.5), wide, 1.0, "#fff"), name, figure]
    return [figure, name]


def _clear_of(lines: Sequence[float], base: float) -> float:
    """The line nearest to ``base`` on which a figure meets none of the level lines."""
    high = 0.72 * svg.FIGURE
    beside = [place for line in lines for place in (line - 0.5, line + high + 0.5)]
    clear = (
        place
        for place in (base, *beside)
        if not any(place - high - 0.4 < line < place + 0.4 for line in lines)
    )
    return min(clear, key=lambda place: abs(place - base))


def _arrows(item: Dimension, lane: float, way: int, inside: bool) -> list[str]:
    """The line of a dimension in its lane and what reaches to it from both edges, a little past it
    the ``way`` that lanes go: 1 for level ones, downwards, -1 for upright ones, to the left. Its
    arrows stand between its ends, or without and turned."""

    def at(along: float, across: float) -> svg.Point:
        return (along, across) if way > 0 else (across, along)

    reach = [
        svg.line(
            at(end, edge + (0.8 if lane > edge else -0.8)), at(end, lane + way * 1.2), svg.HAIR
        )
        for end, edge in ((item.start, item.from_start), (item.end, item.from_end))
    ]
    tail, turn = (0.0, 1) if inside else (_TAIL, -1)
    return [
        *reach,
        svg.line(at(item.low - tail, lane), at(item.high + tail, lane), svg.THIN),
        svg.arrowhead(at(item.low, lane), at(-turn, 0)),
        svg.arrowhead(at(item.high, lane), at(turn, 0)),
    ]
