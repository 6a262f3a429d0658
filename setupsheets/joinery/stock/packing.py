"""The fewest feet of board for a list of pieces: one-dimensional packing with its proof.

A leaf has pieces of a few sizes, so every way to fill one board is written down and an integer
programme says how often each is cut (P. C. Gilmore and R. E. Gomory, "A linear programming approach
to the cutting-stock problem", Operations Research 9, 1961; solved by the HiGHS library). Its bound
is the proof that no other way of cutting needs less board. Of very many sizes there are too many
ways: then the longest pieces go first into the first board that has room, and the bound is the
length of all pieces together. Lengths are compared as exact whole numbers; the solver's floating
point only proposes.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from math import ceil, gcd, lcm

from msgspec import Struct

from setupsheets.joinery.stock.programmes import whole
from setupsheets.lengths import Length

MOST_PATTERNS = 20_000  # ways to fill a board that are written down
MOST_NODES = 500  # of the search for the fewest boards; some seconds at most
TINY = 1e-7  # the part by which the solver's bound may be wrong
Pattern = tuple[int, ...]


class BoardPiece(Struct, frozen=True):
    """``count`` equal pieces to cut."""

    name: str
    length: Length
    count: int


class Boards(Struct, frozen=True):
    """``count`` boards of one length, cut alike: how many of each piece, in order of the names."""

    length: Length
    count: int
    pieces: tuple[tuple[str, Length, int], ...]
    offcut: Length


class Packing(Struct, frozen=True):
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


class _Stock(Struct, frozen=True):
    """The problem in whole units: every cut costs its piece and one kerf, and the last kerf of a
    board may fall outside it, so a board holds its length less the trim and one kerf more. Costs
    are the boards' lengths in a unit of their own; boards rise."""

    sizes: tuple[int, ...]
    demand: tuple[int, ...]
    rooms: tuple[int, ...]
    costs: tuple[int, ...]

    @property
    def longest_first(self) -> list[int]:
        """The sizes by index."""
        return sorted(range(len(self.sizes)), key=lambda index: -self.sizes[index])

    def board(self, pattern: Pattern) -> int:
        """The shortest board that holds a pattern."""
        taken = sum(size * times for size, times in zip(self.sizes, pattern, strict=True))
        return next(board for board, room in enumerate(self.rooms) if room >= taken)

    def cost(self, chosen: Mapping[Pattern, int]) -> int:
        """Of all boards together, each pattern cut so many times."""
        return sum(self.costs[self.board(pattern)] * n for pattern, n in chosen.items())

    def enough(self, chosen: Mapping[Pattern, int]) -> bool:
        """Whether they give every piece."""
        made = [sum(p[i] * n for p, n in chosen.items()) for i in range(len(self.sizes))]
        return all(have >= want for have, want in zip(made, self.demand, strict=True))


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
    every = (*lengths, kerf, trim, *(piece.length for piece in wanted))
    shared = lcm(*(each.mm.denominator for each in every))
    step = gcd(*(int(length.mm * shared) for length in lengths))
    sizes = list(dict.fromkeys(piece.length for piece in wanted))
    stock = _Stock(
        tuple(int((size + kerf).mm * shared) for size in sizes),
        tuple(sum(piece.count for piece in wanted if piece.length == size) for size in sizes),
        tuple(int((length - trim + kerf).mm * shared) for length in lengths),
        tuple(int(length.mm * shared) // step for length in lengths),
    )
    chosen, bound = _solve(stock)
    cut = ((stock.board(each), each) for each in _without_more(stock, chosen).elements())
    named = _named(
        wanted, ((lengths[board], dict(zip(sizes, each, strict=True))) for board, each in cut)
    )
    boards = tuple(
        _boards(wanted, length, count, pattern, (kerf, trim))
        for (length, pattern), count in named.items()
    )
    total = sum((each.length * each.count for each in boards), Length.ZERO)
    return Packing(boards, total, bound * Length.millimetres(Fraction(step, shared)))


def _solve(stock: _Stock) -> tuple[Mapping[Pattern, int], int]:
    """Patterns with how often each is cut, and a lower bound of the cost."""
    simple = _first_fit(stock)
    taken = sum(size * n for size, n in zip(stock.sizes, stock.demand, strict=True))
    rates = (Fraction(cost, room) for cost, room in zip(stock.costs, stock.rooms, strict=True))
    bound = ceil(taken * min(rates))
    patterns = _patterns(stock) if stock.cost(simple) > bound else []
    if not patterns:
        return simple, bound
    costs = [stock.costs[stock.board(pattern)] for pattern in patterns]
    times, least = whole(costs, patterns, stock.demand, MOST_NODES)
    found = {pattern: n for pattern, n in zip(patterns, times or (), strict=False) if n}
    best = min((each for each in (simple, found) if stock.enough(each)), key=stock.cost)
    return best, max(bound, ceil(least * (1 - TINY)))


def _first_fit(stock: _Stock) -> Counter[Pattern]:
    """Longest pieces first into the first board that has room, each new board the longest."""
    left: list[int] = []
    cut: list[list[int]] = []
    for index in (each for each in stock.longest_first for _ in range(stock.demand[each])):
        place = next((n for n, room in enumerate(left) if room >= stock.sizes[index]), len(left))
        if place == len(left):
            left.append(max(stock.rooms))
            cut.append([0] * len(stock.sizes))
        left[place] -= stock.sizes[index]
        cut[place][index] += 1
    return Counter(tuple(pattern) for pattern in cut)


def _patterns(stock: _Stock) -> list[Pattern]:
    """Every way to fill a board so that no further piece goes in; none where they are too many."""
    filled: list[tuple[Pattern, int]] = [((), room) for room in stock.rooms]
    for index in stock.longest_first:
        size, most = stock.sizes[index], stock.demand[index]
        filled = [
            ((*pattern, times), room - times * size)
            for pattern, room in filled
            for times in range(min(room // size, most) + 1)
        ]
        if len(filled) > MOST_PATTERNS:
            return []
    place = [stock.longest_first.index(index) for index in range(len(stock.sizes))]
    ways = {(tuple(pattern[n] for n in place), room) for pattern, room in filled}
    return sorted({pattern for pattern, room in ways if _is_full(stock, pattern, room)})


def _is_full(stock: _Stock, pattern: Pattern, room: int) -> bool:
    """Whether no piece that is still wanted goes into the room that is left."""
    every = zip(stock.sizes, pattern, stock.demand, strict=True)
    return all(size > room or times == wanted for size, times, wanted in every)


def _without_more(stock: _Stock, chosen: Mapping[Pattern, int]) -> Counter[Pattern]:
    """The chosen patterns, longest boards first, without pieces over what is wanted."""
    left = list(stock.demand)
    cut: Counter[Pattern] = Counter()
    by_board = sorted(chosen, key=lambda each: (stock.board(each), each), reverse=True)
    for pattern in (each for each in by_board for _ in range(chosen[each])):
        used = tuple(min(a, b) for a, b in zip(pattern, left, strict=True))
        left = [have - taken for have, taken in zip(left, used, strict=True)]
        if any(used):
            cut[used] += 1
    return cut


def _named(
    wanted: Sequence[BoardPiece], cut: Iterable[tuple[Length, dict[Length, int]]]
) -> Counter[tuple[Length, Pattern]]:
    """Each length of board and how many of each piece it gives, from how many of each size: of
    pieces of one size the first comes first."""
    left = [piece.count for piece in wanted]
    named: Counter[tuple[Length, Pattern]] = Counter()
    for length, times in cut:
        used = []
        for number, piece in enumerate(wanted):
            used.append(min(left[number], times[piece.length]))
            left[number] -= used[-1]
            times[piece.length] -= used[-1]
        named[length, tuple(used)] += 1
    return named


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
