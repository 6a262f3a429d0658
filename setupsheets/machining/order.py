"""The order of operations with the most support under every cut.

What a part looks like depends on which operations are done, not on their order, so an order is a
way through the sets of operations done: at most 2^n of them, each looked at once. The best order is
the one whose worst moment is best.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise
from typing import TYPE_CHECKING

from setupsheets.machining.cuts import Cut, cut, kept
from setupsheets.machining.operations import Operation, Subject
from setupsheets.machining.planes import Plane, Show, length
from setupsheets.machining.shapes import blank, design
from setupsheets.machining.support import Support, run_support
from setupsheets.shop.recipes import Work

if TYPE_CHECKING:
    from shapely import Polygon

MOST = 14  # operations: twice as many states for each one more
# Once a part is as steady as this, more of it decides nothing: then the recipe's own order does.
PLENTY = 12.0  # mm
_NEVER = float("-inf")


@dataclass(frozen=True)
class Step:
    """One operation in an order, and its worst support; None for hand work."""

    operation: Operation
    support: Support | None

    @property
    def margin(self) -> float:
        """How far it is from tipping, in mm, or plenty where nothing can tip."""
        if self.support is None or (self.support.held_by and self.support.steady):
            return PLENTY
        return min(self.support.margin, PLENTY)


@dataclass(frozen=True)
class Order:
    """An order of a recipe's operations with the support under each."""

    steps: tuple[Step, ...]

    @property
    def names(self) -> tuple[str, ...]:
        """The operations' names, in order."""
        return tuple(step.operation.name for step in self.steps)

    @property
    def worst(self) -> Step:
        """The step at which the part stands least steadily."""
        return min(self.steps, key=lambda step: step.margin)

    @property
    def steady(self) -> bool:
        """Whether the part stands under every cut."""
        return self.worst.margin >= 0


@dataclass(frozen=True)
class Reason:
    """Why ``first`` goes ahead of ``second``: the best there is the other way round; None where
    the recipe itself says so."""

    first: str
    second: str
    otherwise: Order | None

    def text(self, best: Order, show: Show) -> str:
        """In words, for people."""
        if self.otherwise is None:
            return f"{self.first} before {self.second}: the recipe says so"
        worse, worst = self.otherwise.worst, best.worst
        if worse.margin >= worst.margin - 1e-6:
            return f"{self.first} before {self.second}: either way stands as well"
        how = "tips by" if worse.margin < 0 else "stands with only"
        return (
            f"{self.first} before {self.second}: the other way round {worse.operation.name} {how} "
            f"{show(length(abs(worse.margin)))}"
        )


@dataclass(frozen=True)
class Found:
    """The best order, the recipe's own, and why neighbours in the best stand as they do."""

    best: Order
    given: Order
    reasons: tuple[Reason, ...]
    looked_at: int

    @property
    def better(self) -> bool:
        """Whether the best order stands better than the recipe's own."""
        return self.best.worst.margin > self.given.worst.margin + 1e-6


def best_order(operations: Sequence[Operation], subject: Subject) -> Found:
    """The order with the best worst support that keeps what must come before what.

    Of orders as good, the one nearest the given one. Raises ValueError for more operations than
    can be searched or where ``after`` goes round in a circle, CutError where an operation does not
    tell what it cuts.
    """
    if len(operations) > MOST:
        raise ValueError(f"{len(operations)} operations are more than the {MOST} that are searched")
    search = _Search(tuple(operations), subject)
    best = search.best({})
    if best is None:
        raise ValueError("what must come before what goes round in a circle")
    reasons = tuple(_reason(search, a, b) for a, b in pairwise(best))
    given = search.order(range(len(operations)))
    return Found(search.order(best), given, reasons, len(search.supports))


def _reason(search: _Search, first: int, second: int) -> Reason:
    names = search.operations[first].name, search.operations[second].name
    if search.before[second] >> first & 1:
        return Reason(*names, None)
    other = search.best({first: 1 << second})
    return Reason(*names, search.order(other) if other is not None else None)


@dataclass(frozen=True)
class _Search:
    """States are sets of operations done, as bits; shapes and supports are worked out once each."""

    operations: tuple[Operation, ...]
    subject: Subject
    shapes: dict[tuple[Plane, int], Polygon] = field(default_factory=dict)
    supports: dict[tuple[int, int], Support | None] = field(default_factory=dict)

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

    def shape(self, plane: Plane, done: int) -> Polygon:
        """The part in a plane once the operations in ``done`` are."""
        done &= self.in_plane.get(plane, 0)
        key = (plane, done)
        if key not in self.shapes:
            if not done:
                self.shapes[key] = blank(self.subject, plane)
            else:
                last = done & -done
                made = self.cuts[last.bit_length() - 1]
                assert made is not None
                earlier = self.shape(plane, done ^ last)
                self.shapes[key] = self._keep(plane, earlier.difference(made.removed))
        return self.shapes[key]

    def support(self, index: int, done: int) -> Support | None:
        """The worst support of an operation with ``done`` ahead of it; None for hand work."""
        made = self.cuts[index]
        if made is None or not made.runs:
            return None
        done &= self.in_plane[made.plane]
        key = (index, done)
        if key not in self.supports:
            shape = self.shape(made.plane, done)
            found = []
            for edge, run in enumerate(made.runs):
                after = self._keep(made.plane, shape.difference(run.takes))
                operation = self.operations[index]
                found.append(run_support(operation, run, shape, after, self.subject, edge))
                shape = after
            self.supports[key] = min(found, key=lambda item: item.margin)
        return self.supports[key]

    def _keep(self, plane: Plane, area: Polygon) -> Polygon:
        return kept(area, self.wanted.get(plane, area))

    def step(self, index: int, done: int) -> Step:
        """One operation with ``done`` ahead of it."""
        return Step(self.operations[index], self.support(index, done))

    def order(self, indices: Sequence[int]) -> Order:
        """An order of the operations, each step with what is done by then."""
        done, steps = 0, []
        for index in indices:
            steps.append(self.step(index, done))
            done |= 1 << index
        return Order(tuple(steps))

    def best(self, also_before: Mapping[int, int]) -> tuple[int, ...] | None:
        """The order whose worst margin is best; None where there is none that keeps the rules.

        ``also_before`` gives, by operation, more that must be done ahead of it. Of orders as good,
        the one that at each step takes the operation that comes first in the given order.
        """
        before = [bits | also_before.get(index, 0) for index, bits in enumerate(self.before)]
        everything = (1 << len(before)) - 1
        values: dict[int, float] = {everything: PLENTY}

        def ahead(done: int) -> list[tuple[float, int]]:
            """What may come next, with the best worst margin from there on."""
            return [
                (min(self.step(index, done).margin, value(done | 1 << index)), index)
                for index in range(len(before))
                if not done >> index & 1 and not before[index] & ~done
            ]

        def value(done: int) -> float:
            if done not in values:
                values[done] = max((margin for margin, _ in ahead(done)), default=_NEVER)
            return values[done]

        worst, done, order = value(0), 0, []
        if worst == _NEVER:
            return None
        while done != everything:
            index = min(index for margin, index in ahead(done) if margin >= worst - 1e-9)
            order.append(index)
            done |= 1 << index
        return tuple(order)
