"""Set-up blocks: the fewest blocks and shims that make a distance, by exact search.

Taking the largest block that still fits is not enough: 1 1/4 from 1, 3/4, 1/2 and 1/8, 1/16, 1/16
is two blocks, where the largest first takes four. So every set is tried, in two halves: the sums of
one half of the pieces are looked up against the sums of the other, fewest pieces first.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Iterable, Iterator, Mapping, Sequence
from fractions import Fraction

from msgspec import Struct

from setupsheets.lengths import Length
from setupsheets.shop.machines import Machine, SetBy
from setupsheets.shop.settings import ShopSettings

_Sums = Mapping[int, Mapping[int, int]]
"""By how many pieces, every sum they can make, with one choice of pieces as a set of bits. Sums are
whole numbers of the largest unit that all lengths are whole numbers of."""


BY_DISTANCE = frozenset({SetBy.BLOCK, SetBy.RULE, SetBy.GAUGE})
"""Settings made by the distance itself: a stack of blocks can stand in it. A scale cannot."""


def near_enough(finest_mark: Length, finest_move: Length) -> Length:
    """How near a stack has to come to what a dial is set to: within half of the finer of the shop's
    finest mark and the dial's finest move."""
    return min(finest_mark, finest_move) / 2


class BlockStack(Struct, frozen=True):
    """Blocks and shims laid together, largest first."""

    blocks: tuple[Length, ...]
    shims: tuple[Length, ...]
    wanted: Length

    @property
    def pieces(self) -> tuple[Length, ...]:
        """All of them."""
        return self.blocks + self.shims

    @property
    def total(self) -> Length:
        """What they make together, exactly."""
        return sum(self.pieces, Length.ZERO)

    @property
    def off(self) -> Length:
        """How far over the wanted distance they are; under is minus."""
        return self.total - self.wanted


def make_up(
    wanted: Length, blocks: Sequence[Length], shims: Sequence[Length], closeness: Length
) -> BlockStack | None:
    """The fewest pieces that come within ``closeness`` of a distance; of those, the nearest.

    Every block and shim is there once, unless it is listed more often. Of stacks as few and as
    near, the one with fewer shims. None where no stack comes so near. Raises ValueError for a
    distance, a block or a shim that is not more than nought, or a closeness less than nought.
    """
    _check(wanted, blocks, shims, closeness)
    unit = Fraction(1, math.lcm(*(item.mm.denominator for item in (wanted, *blocks, *shims))))
    pieces = [int(item.mm / unit) for item in (*blocks, *shims)]
    target, close = int(wanted.mm / unit), int(closeness.mm / unit)
    if sum(pieces) < target - close:
        return None
    half = (len(pieces) + 1) // 2
    for count, _ in enumerate(pieces, start=1):
        near = _sums(pieces[:half], target + close, count, 0)
        far = _sums(pieces[half:], target + close, count, half)
        found = min(
            _matches(near, far, count, target, close),
            key=lambda match: (match[0], _shims_in(match[1], len(blocks)), match[1]),
            default=None,
        )
        if found is not None:
            return _stack(found[1], wanted, blocks, shims)
    return None


def for_each_move(
    wanted: Length, shop: ShopSettings, machines: Iterable[Machine]
) -> dict[Length, BlockStack | None]:
    """The stacks for the dials of some machines that blocks can stand in for, each once, by the
    coarsest move that asks for it, the coarsest first; by the shop's finest mark where there is no
    such dial."""
    dials = (dial for machine in machines for dial in machine.settings.values())
    moves = {dial.finest for dial in dials if dial.set_by in BY_DISTANCE} or {shop.finest_mark}
    found: dict[Length, BlockStack | None] = {}
    for move in sorted(moves, reverse=True):
        near = near_enough(shop.finest_mark, move)
        stack = make_up(wanted, shop.blocks, shop.shims, near)
        if stack not in found.values():
            found[move] = stack
    return found


def _check(
    wanted: Length, blocks: Sequence[Length], shims: Sequence[Length], closeness: Length
) -> None:
    if closeness < Length.ZERO:
        raise ValueError(f"a closeness of {closeness} is less than nought")
    for what, length in (("distance", wanted), *(("piece", item) for item in (*blocks, *shims))):
        if length <= Length.ZERO:
            raise ValueError(f"a {what} of {length} is not more than nought")


def _sums(pieces: Sequence[int], limit: int, most: int, shift: int) -> _Sums:
    """All sums of up to ``most`` pieces, up to a limit; of equal ones of as many the first."""
    sums: dict[int, dict[int, int]] = {0: {0: 0}}
    for index, piece in enumerate(pieces):
        bit = 1 << (index + shift)
        for count in range(min(index, most - 1), -1, -1):
            longer = sums.setdefault(count + 1, {})
            for total, chosen in sums.get(count, {}).items():
                if total + piece <= limit:
                    longer.setdefault(total + piece, chosen | bit)
    return sums


def _matches(
    near: _Sums, far: _Sums, count: int, target: int, close: int
) -> Iterator[tuple[int, int]]:
    """Every pair of sums with so many pieces that comes near enough: how far off, and its bits."""
    for first, sums in near.items():
        others = far.get(count - first, {})
        rest = sorted(others)
        for total, chosen in sums.items():
            at = bisect_left(rest, target - total)
            for other in rest[max(0, at - 1) : at + 1]:
                off = abs(total + other - target)
                if off <= close:
                    yield off, chosen | others[other]


def _shims_in(chosen: int, blocks: int) -> int:
    return (chosen >> blocks).bit_count()


def _stack(
    chosen: int, wanted: Length, blocks: Sequence[Length], shims: Sequence[Length]
) -> BlockStack:
    taken = [index for index in range(len(blocks) + len(shims)) if chosen >> index & 1]
    own = [blocks[index] for index in taken if index < len(blocks)]
    thin = [shims[index - len(blocks)] for index in taken if index >= len(blocks)]
    return BlockStack(tuple(sorted(own, reverse=True)), tuple(sorted(thin, reverse=True)), wanted)
