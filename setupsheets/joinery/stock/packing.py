"""The fewest feet of board for a list of pieces: one-dimensional packing with its proof.

Patterns of pieces for one board are made by column generation (P. C. Gilmore and R. E. Gomory, "A
linear programming approach to the cutting-stock problem", Operations Research 9, 1961) and chosen
by an integer programme; the HiGHS library does both. The linear programme's value is a lower bound:
where the answer meets it, no other way of cutting needs less board. Lengths are compared as exact
whole numbers; the solver's floating point only proposes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import partial, reduce
from math import ceil, floor, gcd, lcm

from setupsheets.joinery.stock.programmes import linear, whole
from setupsheets.lengths import Length

MOST_PATTERNS = 20_000  # that are listed in full where column generation alone does not prove
MOST_SECONDS = 3.0
MOST_UNITS = 100_000  # that the longest board is divided into: 0.05 mm of 5 m
TINY = 1e-7
Pattern = tuple[int, ...]


@dataclass(frozen=True)
class BoardPiece:
    """``count`` equal pieces to cut."""

    name: str
    length: Length
    count: int


@dataclass(frozen=True)
class Boards:
    """``count`` boards of one length, cut alike: how many of each piece, in order of the names."""

    length: Length
    count: int
    pieces: tuple[tuple[str, Length, int], ...]
    offcut: Length


@dataclass(frozen=True)
class Packing:
    """Boards to cut; ``bound`` is a length of board that no packing can come under."""

    boards: tuple[Boards, ...]
    total: Length
    bound: Length

    @property
    def proven(self) -> bool:
        """Whether nothing shorter is possible."""
        return self.total <= self.bound

    @property
    def count(self) -> int:
        """How many boards."""
        return sum(each.count for each in self.boards)


class TooLong(ValueError):
    """A piece that no board is long enough for: its ``name``, and the ``longest`` there may be."""

    def __init__(self, name: str, longest: Length) -> None:
        super().__init__(f"no board is long enough for {name!r}")
        self.name = name
        self.longest = longest


@dataclass(frozen=True)
class _Stock:
    """The problem in whole units: every cut costs its piece and one kerf, and the last kerf of a
    board may fall outside it, so a board holds its length less the trim and one kerf more. Costs
    are the boards' lengths in a unit of their own."""

    sizes: tuple[int, ...]
    demand: tuple[int, ...]
    rooms: tuple[int, ...]
    costs: tuple[int, ...]


@dataclass(frozen=True)
class _Column:
    """One way to cut one board: how many of each size, from which board."""

    pattern: Pattern
    board: int


def pack(
    pieces: Sequence[BoardPiece], lengths: Sequence[Length], kerf: Length, trim: Length
) -> Packing:
    """The pieces cut from as little length of board as can be found, with a lower bound.

    ``lengths`` of boards may be had in any number; ``kerf`` is lost between pieces and ``trim`` at
    both ends of a board together. Raises TooLong for a piece that fits no board.
    """
    wanted = [piece for piece in pieces if piece.count > 0]
    lengths = sorted(set(lengths))
    longest = max(lengths) - trim
    for piece in wanted:
        if piece.length > longest:
            raise TooLong(piece.name, longest)
    if not wanted:
        return Packing((), Length.ZERO, Length.ZERO)
    sizes = [piece.length + kerf for piece in wanted]
    rooms = [length - trim + kerf for length in lengths]
    demand = tuple(piece.count for piece in wanted)
    unit = max(_common_unit([*sizes, *rooms]), max(rooms) / MOST_UNITS)
    step = _common_unit(lengths)
    costs = tuple(int(length / step) for length in lengths)
    # Sizes that are no whole units are rounded up, so that what comes out can be cut; its bound
    # then comes from a second run with the same sizes rounded down.
    tight = _Stock(_whole(sizes, unit, ceil), demand, _whole(rooms, unit, floor), costs)
    loose = _Stock(_whole(sizes, unit, floor), demand, _whole(rooms, unit, ceil), costs)
    chosen, bound = _solve(tight)
    if loose != tight:
        bound = _solve(loose)[1]
    boards = _as_boards(wanted, lengths, (kerf, trim), tight, chosen)
    total = sum((each.length * each.count for each in boards), Length.ZERO)
    return Packing(boards, total, bound * step)


def _common_unit(sizes: Sequence[Length]) -> Length:
    """The largest length that all of them are whole multiples of."""
    shared = lcm(*(size.mm.denominator for size in sizes))
    return Length.millimetres(
        Fraction(reduce(gcd, (int(size.mm * shared) for size in sizes)), shared)
    )


def _whole(
    sizes: Sequence[Length], unit: Length, rounded: Callable[[Fraction], int]
) -> tuple[int, ...]:
    return tuple(rounded(size / unit) for size in sizes)


def _solve(stock: _Stock) -> tuple[Mapping[_Column, int], int]:
    """Columns with how often each is cut, and a lower bound of the cost."""
    simple = _first_fit(stock)
    columns, value = _generate(stock, list(simple))
    bound = _next_cost(value)
    cost = partial(_cost, stock)
    best = min(simple, _choose(stock, columns)[0], key=cost)
    if cost(best) > bound and (every := _every_pattern(stock)):
        found, least = _choose(stock, every)
        best = min(best, found, key=cost)
        bound = max(bound, _next_cost(least))
    return best, bound


def _cost(stock: _Stock, chosen: Mapping[_Column, int]) -> int:
    return sum(stock.costs[column.board] * times for column, times in chosen.items()) or _NEVER


_NEVER = 10**30  # the cost of a choice that the solver did not come to


def _next_cost(value: float) -> int:
    """The least whole cost not under ``value``, which the solver knows to a TINY bit."""
    return ceil(value - TINY)


def _first_fit(stock: _Stock) -> dict[_Column, int]:
    """Longest pieces first into the first board that has room, each new board the longest."""
    board = stock.rooms.index(max(stock.rooms))
    left: list[int] = []
    cut: list[list[int]] = []
    order = sorted(range(len(stock.sizes)), key=lambda index: -stock.sizes[index])
    for index in (each for each in order for _ in range(stock.demand[each])):
        place = next((n for n, room in enumerate(left) if room >= stock.sizes[index]), len(left))
        if place == len(left):
            left.append(stock.rooms[board])
            cut.append([0] * len(stock.sizes))
        left[place] -= stock.sizes[index]
        cut[place][index] += 1
    chosen: dict[_Column, int] = {}
    for pattern in cut:
        column = _Column(tuple(pattern), _least_board(stock, pattern))
        chosen[column] = chosen.get(column, 0) + 1
    return chosen


def _least_board(stock: _Stock, pattern: Sequence[int]) -> int:
    """The shortest board that holds a pattern."""
    taken = sum(size * times for size, times in zip(stock.sizes, pattern, strict=True))
    return next(board for board, room in enumerate(stock.rooms) if room >= taken)


def _generate(stock: _Stock, start: list[_Column]) -> tuple[list[_Column], float]:
    """Columns until no other could lower the linear programme's value, and that value."""
    columns = [*start, *_alone(stock)]
    while True:
        costs = [stock.costs[column.board] for column in columns]
        value, prices = linear(costs, _rows(stock, columns), stock.demand)
        found = [column for column in _price(stock, prices) if column not in columns]
        if not found:
            return columns, value
        columns += found


def _alone(stock: _Stock) -> Iterator[_Column]:
    """For each size the boards that it fits, each with as many of it alone as go in."""
    for index in range(len(stock.sizes)):
        for board, room in enumerate(stock.rooms):
            if most := _most(stock, index, room):
                pattern = [0] * len(stock.sizes)
                pattern[index] = most
                yield _Column(tuple(pattern), board)


def _most(stock: _Stock, index: int, room: int) -> int:
    return min(room // stock.sizes[index], stock.demand[index])


def _price(stock: _Stock, prices: list[float]) -> Iterator[_Column]:
    """For each board the pattern worth most at these prices, if it is worth more than it costs.

    Dynamic programming over every room up to the longest board at once; counts are bundled by
    powers of two, so that each bundle is either taken or left.
    """
    import numpy as np  # noqa: PLC0415  heavy: only where boards are packed

    bundles = [
        (index, times)
        for index in range(len(stock.sizes))
        for times in _bundles(_most(stock, index, max(stock.rooms)))
    ]
    best = np.zeros(max(stock.rooms) + 1)
    taken = []
    for index, times in bundles:
        size = times * stock.sizes[index]
        with_it = best[:-size] + times * prices[index]
        take = np.zeros(len(best), dtype=bool)
        take[size:] = with_it > best[size:] + TINY**2
        best[size:] = np.where(take[size:], with_it, best[size:])
        taken.append(take)
    for board, room in enumerate(stock.rooms):
        if best[room] > stock.costs[board] * (1 + TINY):
            pattern, left = [0] * len(stock.sizes), room
            for (index, times), take in zip(reversed(bundles), reversed(taken), strict=True):
                if take[left]:
                    pattern[index] += times
                    left -= times * stock.sizes[index]
            yield _Column(tuple(pattern), board)


def _bundles(most: int) -> Iterator[int]:
    """1, 2, 4, ... and the rest, which make up every count up to ``most``."""
    size = 1
    while most > 0:
        yield min(size, most)
        most -= size
        size *= 2


def _choose(stock: _Stock, columns: list[_Column]) -> tuple[dict[_Column, int], float]:
    """Whole numbers of columns that give every piece for the least cost, and the solver's bound."""
    costs = [stock.costs[column.board] for column in columns]
    times, bound = whole(costs, _rows(stock, columns), stock.demand, MOST_SECONDS)
    if times is None:
        return {}, 0.0
    chosen = {column: n for column, n in zip(columns, times, strict=True) if n}
    made = [sum(c.pattern[i] * n for c, n in chosen.items()) for i in range(len(stock.sizes))]
    enough = all(have >= want for have, want in zip(made, stock.demand, strict=True))
    return (chosen if enough else {}), bound


def _rows(stock: _Stock, columns: Sequence[_Column]) -> list[list[int]]:
    """By size, how many of it each column cuts."""
    return [[column.pattern[i] for column in columns] for i in range(len(stock.sizes))]


def _every_pattern(stock: _Stock) -> list[_Column] | None:
    """All patterns that no further piece fits into, on their shortest board; None if too many."""
    found: set[_Column] = set()

    def extend(pattern: list[int], index: int, room: int) -> bool:
        if index == len(stock.sizes):
            if any(pattern):
                found.add(_Column(tuple(pattern), _least_board(stock, pattern)))
            return len(found) <= MOST_PATTERNS
        for times in range(_most(stock, index, room), -1, -1):
            if not extend([*pattern, times], index + 1, room - times * stock.sizes[index]):
                return False
        return True

    return sorted(found, key=_order) if extend([], 0, max(stock.rooms)) else None


def _order(column: _Column) -> tuple[int, Pattern]:
    return column.board, column.pattern


def _as_boards(
    pieces: Sequence[BoardPiece],
    lengths: Sequence[Length],
    losses: tuple[Length, Length],
    stock: _Stock,
    chosen: Mapping[_Column, int],
) -> tuple[Boards, ...]:
    """The chosen columns as boards, without the pieces that they give over what is wanted."""
    left = list(stock.demand)
    cut: dict[_Column, int] = {}
    for column in sorted(chosen, key=_order, reverse=True):
        for _ in range(chosen[column]):
            pattern = tuple(min(a, b) for a, b in zip(column.pattern, left, strict=True))
            left = [have - used for have, used in zip(left, pattern, strict=True)]
            smaller = _Column(pattern, _least_board(stock, pattern))
            cut[smaller] = cut.get(smaller, 0) + (1 if any(pattern) else 0)
    return tuple(
        _boards(pieces, lengths[column.board], count, column.pattern, losses)
        for column, count in cut.items()
        if count
    )


def _boards(
    pieces: Sequence[BoardPiece],
    length: Length,
    count: int,
    pattern: Pattern,
    losses: tuple[Length, Length],
) -> Boards:
    kerf, trim = losses
    used = tuple(
        (piece.name, piece.length, times)
        for piece, times in zip(pieces, pattern, strict=True)
        if times
    )
    taken = sum(((size + kerf) * times for _, size, times in used), trim)
    return Boards(length, count, used, max(length - taken, Length.ZERO))
