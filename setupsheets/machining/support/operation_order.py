"""The order of operations with the most support under every cut.

What a part looks like depends on which operations are done, not on their order, so an order is a
way through the sets of operations done: at most 2^n of them, each looked at once. The best order is
the one whose worst moment is best.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import cache, cached_property
from heapq import heappop, heappush
from typing import TYPE_CHECKING

from msgspec import Struct

from setupsheets.machining.cutting.cuts import Area, Cut, cut, kept
from setupsheets.machining.cutting.planes import Placement, Plane
from setupsheets.machining.cutting.shapes import blank, design
from setupsheets.machining.operations import Operation, Subject
from setupsheets.machining.support.bearing import Footprint
from setupsheets.machining.support.runs import Support, full_footprint, run_support
from setupsheets.machining.support.wood_left import Spoils, cope_waste, tears_moulding
from setupsheets.shop.recipes import Work

if TYPE_CHECKING:
    from shapely import Polygon

MOST = 14  # operations: twice as many states for each one more
# Once a part is as steady as this, more of it decides nothing: then the recipe's own order does.
PLENTY = 6.0  # mm
# An order that spoils wood is worse than any that tips: what tips can be held.
SPOILT = -1000.0  # mm


class OrderStep(Struct, frozen=True):
    """One operation in an order, its worst support, None for hand work, and what it spoils where
    it stands."""

    operation: Operation
    support: Support | None
    spoils: Spoils | None = None

    @property
    def margin(self) -> float:
        """How far it is from tipping, in mm to the millionth, or plenty where nothing can tip; far
        under nought where it spoils something."""
        if self.spoils is not None:
            return SPOILT
        if self.support is None or (self.support.held_by and self.support.steady):
            return PLENTY
        return round(min(self.support.margin, PLENTY), 6)


class Order(Struct, frozen=True):
    """An order of a recipe's operations with the support under each."""

    steps: tuple[OrderStep, ...]

    @property
    def names(self) -> tuple[str, ...]:
        """The operations' names, in order."""
        return tuple(step.operation.name for step in self.steps)

    @property
    def worst(self) -> OrderStep:
        """The step at which the part stands least steadily."""
        return min(self.steps, key=lambda step: step.margin)

    @property
    def steady(self) -> bool:
        """Whether the part stands under every cut."""
        return self.worst.margin >= 0


class Reason(Struct, frozen=True):
    """Why ``first`` goes ahead of ``second``: the same order with these two exchanged; None where
    the recipe itself says so."""

    first: str
    second: str
    otherwise: Order | None


class BestOrder(Struct, frozen=True):
    """The best order, the recipe's own, and why neighbours in the best stand as they do."""

    best: Order
    given: Order
    reasons: tuple[Reason, ...]
    looked_at: int

    @property
    def better(self) -> bool:
        """Whether the best order stands better than the recipe's own."""
        return self.best.worst.margin > self.given.worst.margin + 1e-6


def best_order(operations: Sequence[Operation], subject: Subject) -> BestOrder:
    """The order with the best worst support that keeps what must come before what.

    The given one where none is better. Raises ValueError for more operations than
    can be searched or where ``after`` goes round in a circle, CutError where an operation does not
    tell what it cuts.
    """
    if len(operations) > MOST:
        raise ValueError(f"{len(operations)} operations are more than the {MOST} that are searched")
    search = _Search(operations, subject)
    best = search.best()
    if best is None:
        raise ValueError("what must come before what goes round in a circle")
    reasons = tuple(_reason(search, best, at) for at in range(len(best) - 1))
    given = search.order(range(len(operations)))
    return BestOrder(search.order(best), given, reasons, search.worst.cache_info().currsize)


def _reason(search: _Search, best: tuple[int, ...], at: int) -> Reason:
    first, second = best[at : at + 2]
    names = search.operations[first].name, search.operations[second].name
    if search.before[second] >> first & 1:
        return Reason(*names, None)
    return Reason(*names, search.order((*best[:at], second, first, *best[at + 2 :])))


class _Search:
    """States are sets of operations done, as bits; whatever is known of one is worked out once."""

    def __init__(self, operations: Sequence[Operation], subject: Subject) -> None:
        self.operations = operations
        self.subject = subject
        self.shape = cache(self._shape)
        self.footprint = cache(self._footprint)
        self.worst = cache(self._worst)

    @cached_property
    def cuts(self) -> tuple[Cut | None, ...]:
        return tuple(cut(operation, self.subject) for operation in self.operations)

    @cached_property
    def before(self) -> tuple[int, ...]:
        """By operation, the bits of those that must be done ahead of it."""
        at = {operation.name: index for index, operation in enumerate(self.operations)}
        return tuple(
            sum(1 << at[name] for name in set(operation.asks.after) if name in at)
            for operation in self.operations
        )

    @cached_property
    def in_plane(self) -> Mapping[Plane, int]:
        """By plane, the bits of the operations that cut there."""
        bits: dict[Plane, int] = {}
        for index, made in enumerate(self.cuts):
            if made is not None and made.runs:
                bits[made.plane] = bits.get(made.plane, 0) | 1 << index
        return bits

    @cached_property
    def wanted(self) -> Mapping[Plane, Polygon]:
        """By plane, the shape that is asked for, to tell the part from its offcuts."""
        works = [operation.asks.work for operation in self.operations]
        section = next((work for work in (Work.EDGE, Work.MORTISE) if work in works), Work.BLANK)
        planes = {Plane.SECTION: design(self.subject, section)}
        if self.subject.end is not None:
            planes[Plane.END] = design(self.subject, Work.END)
        return planes

    def _shape(self, plane: Plane, done: int) -> Polygon:
        """The part in a plane once the operations in ``done``, all of that plane, are."""
        if not done:
            return blank(self.subject, plane)
        last = done.bit_length() - 1
        made = self.cuts[last]
        assert made is not None
        return self._less(plane, self.shape(plane, done ^ 1 << last), made.removed)

    def _footprint(self, placement: Placement, done: int) -> Footprint:
        """How the part lies for a run once ``done`` is; many operations ask it of one state."""
        return full_footprint(self.shape(placement.plane, done), placement, self.subject)

    def support(self, index: int, done: int) -> Support | None:
        """The worst support of an operation with ``done`` ahead of it; None for hand work."""
        made = self.cuts[index]
        if made is None or not made.runs:
            return None
        return self.worst(index, done & self.in_plane[made.plane])

    def _worst(self, index: int, done: int) -> Support:
        made = self.cuts[index]
        assert made is not None
        found = (self._run_support(made, edge, index, done) for edge in range(len(made.runs)))
        return min(found, key=lambda item: item.margin)

    def _run_support(self, made: Cut, edge: int, index: int, done: int) -> Support:
        """One run: only the shape between the runs on the two edges is no state of its own."""
        run, last = made.runs[edge], edge == len(made.runs) - 1
        where, then = run.placement, done | 1 << index
        before = self.footprint(where, done) if edge == 0 else self._between(made, where, done)
        after = self.footprint(where, then) if last else self._between(made, where, done)
        return run_support(self.operations[index], run, before, after, self.subject, edge)

    def _between(self, made: Cut, where: Placement, done: int) -> Footprint:
        half = self._less(made.plane, self.shape(made.plane, done), made.runs[0].takes)
        return full_footprint(half, where, self.subject)

    def _less(self, plane: Plane, shape: Polygon, taken: Area) -> Polygon:
        left = shape.difference(taken)
        return kept(left, self.wanted.get(plane, left))

    def step(self, index: int, done: int) -> OrderStep:
        """One operation with ``done`` ahead of it."""
        return OrderStep(
            self.operations[index], self.support(index, done), self.spoilt(index, done)
        )

    def spoilt(self, index: int, done: int) -> Spoils | None:
        """What an operation spoils with ``done`` ahead of it."""
        operation, made = self.operations[index], self.cuts[index]
        if tears_moulding(
            operation, (op for at, op in enumerate(self.operations) if done >> at & 1)
        ):
            return Spoils.MOULDED_EDGE
        if made is None or not made.runs:
            return None
        before = self.shape(made.plane, done & self.in_plane[made.plane])
        waste = cope_waste(operation, before, made.removed)
        return Spoils.SOLID_WOOD if waste is not None and waste.solid else None

    def order(self, indices: Iterable[int]) -> Order:
        """An order of the operations, each step with what is done by then."""
        done, steps = 0, []
        for index in indices:
            steps.append(self.step(index, done))
            done |= 1 << index
        return Order(tuple(steps))

    def best(self) -> tuple[int, ...] | None:
        """An order whose worst margin is best; None where there is none that keeps the rules.

        The given one where none is better. What its worst step comes to at its best moment is a
        ceiling that no order passes: whatever reaches it needs no further search.
        """
        everything = (1 << len(self.operations)) - 1
        given = tuple(range(len(self.operations)))
        legal = all(not self.before[index] >> index for index in given)
        steps = self.order(given).steps
        worst, hard = min((step.margin, index) for index, step in enumerate(steps))
        if legal and worst >= PLENTY:
            return given
        ceiling, moment = self._best_moment(hard)
        if legal and worst >= ceiling:
            return given
        first = self._widest(0, moment, ceiling)
        last = self._widest(moment | 1 << hard, everything, ceiling)
        if first is not None and last is not None and min(first[0], last[0]) >= ceiling:
            return (*first[1], hard, *last[1])
        found = self._widest(0, everything, ceiling)
        return found[1] if found is not None else None

    def _best_moment(self, index: int) -> tuple[float, int]:
        """The best margin that an operation can have, and what is done by then."""
        needed, own = self.before[index], 1 << index
        margin, _, moment = max(
            (self.step(index, done).margin, -done.bit_count(), done)
            for done in range(1 << len(self.operations))
            if not done & own and not needed & ~done
        )
        return margin, moment

    def _widest(
        self, start: int, goal: int, ceiling: float
    ) -> tuple[float, tuple[int, ...]] | None:
        """The way from one state to another whose worst margin is best, with that margin.

        Always on from where the worst so far is best; of states as good from the one with most
        done, and of those by the given order, so that a good way is followed to its end.
        """
        waiting: list[tuple[float, int, tuple[int, ...], int]] = [(-ceiling, 0, (), start)]
        seen: set[int] = set()
        while waiting:
            worst, _, way, done = heappop(waiting)
            if done == goal:
                return -worst, way
            if done in seen:
                continue
            seen.add(done)
            for index, needed in enumerate(self.before):
                after = done | 1 << index
                if after == done or after & ~goal or needed & ~done or after in seen:
                    continue
                margin = self.step(index, done).margin
                key = max(worst, -margin)
                heappush(waiting, (key, -after.bit_count(), (*way, index), after))
        return None
