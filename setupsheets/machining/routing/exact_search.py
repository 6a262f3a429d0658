"""The best order of steps, by exact search, with its proof or a bound on what it could be.

A state is what is done, what each machine stands at, which one is in use and where parts lie. The
search is A*: always on from the state whose cost so far and least cost to come are lowest, so the
first way to the end is a best one (Hart, Nilsson and Raphael 1968). Two things keep it small: what
can be done as the machines stand is done at once, for it never costs more then than later; and the
least cost to come is worked out exactly for each machine by itself, and for each part.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import reduce
from heapq import heappop, heappush, nsmallest
from itertools import chain, groupby
from typing import NamedTuple

from msgspec import Struct

from setupsheets.machining.routing.bounds import NOWHERE, Bounds, bits
from setupsheets.machining.routing.steps import Step, Tally, keeps_the_rules, tally

ENOUGH = 5_000
"""States gone on from before the best order that is known by then has to do."""
NARROW = 40
"""Ways kept side by side once the search is broken off."""
_CHANGE, _SETTING = 1 << 24, 1 << 48  # a cost is one whole number: so many moves are one change


class Found(Struct, frozen=True):
    """An order of steps by their places, what it comes to, and ``least``, which no order beats:
    the same as ``cost`` where it is proved to be a best one."""

    order: tuple[int, ...]
    cost: Tally
    least: Tally


class State(NamedTuple):
    """What is done, the machine in use, the kind that each machine stands at, where each part lies
    that may be carried in more orders than one."""

    done: int
    machine: int
    stands: tuple[int, ...]
    lies: tuple[int, ...]


class RouteSoFar(NamedTuple):
    """A state, what it has cost, the step that led to it and the way up to there."""

    state: State
    cost: int
    step: int
    earlier: RouteSoFar | None


def best_order_of(steps: Sequence[Step], enough: int = ENOUGH) -> Found:
    """The order with fewest settings made, then changes of machine, then moves of parts.

    The steps as they are given are an order that keeps the rules: what is found is never worse, and
    is theirs where nothing is gained. Raises ValueError where they break a rule.
    """
    given = tuple(range(len(steps)))
    if not keeps_the_rules(given, steps):
        raise ValueError("the steps as they are given break their own rules")
    search = _RouteSearch(steps)
    way, short_of = search.best(enough)
    order = _steps_of(way)
    cost, as_given = _cost(order, steps), _cost(given, steps)
    least = _told(_weight(cost) - short_of)
    if as_given <= cost:
        return Found(given, as_given, least)
    return Found(tuple(_together(order, steps, search.bounds.kind)), cost, least)


def _cost(order: Iterable[int], steps: Sequence[Step]) -> Tally:
    return tally([steps[at] for at in order])


def _together(order: Sequence[int], steps: Sequence[Step], kind: Sequence[int]) -> list[int]:
    """An order as good in which steps of a kind stand together where they may, those that stand
    together as they are given."""
    runs = [list(run) for _, run in groupby(order, key=lambda at: kind[at])]
    for later, run in enumerate(runs):
        for at in list(run):
            for earlier in range(later):
                alike = runs[earlier] and kind[runs[earlier][0]] == kind[at]
                done = sum(1 << each for before in runs[: earlier + 1] for each in before)
                if not alike or steps[at].before & ~done:
                    continue
                tried = [[each for each in old if each != at] for old in runs]
                tried[earlier].append(at)
                if _no_worse(tried, runs, steps):
                    runs = tried
                    break
    in_turn = [sorted(run) for run in runs]
    return list(chain(*(in_turn if _no_worse(in_turn, runs, steps) else runs)))


def _no_worse(runs: Sequence[list[int]], than: Sequence[list[int]], steps: Sequence[Step]) -> bool:
    order = list(chain(*runs))
    return keeps_the_rules(order, steps) and _cost(order, steps) <= _cost(chain(*than), steps)


def _weight(cost: Tally) -> int:
    return cost.settings * _SETTING + cost.changes * _CHANGE + cost.moves


def _told(weight: int) -> Tally:
    settings, rest = divmod(weight, _SETTING)
    return Tally(settings, *divmod(rest, _CHANGE))


def _steps_of(way: RouteSoFar) -> list[int]:
    found = []
    while way.earlier is not None:
        found.append(way.step)
        way = way.earlier
    return found[::-1]


class _RouteSearch:
    """One search; its costs leave out what is the same in every order."""

    def __init__(self, steps: Sequence[Step]) -> None:
        self.bounds = Bounds(steps)
        self.all = (1 << len(steps)) - 1
        self.apart = [self.bounds.apart(at) for at in range(len(steps))]
        # By step the holds that keep it waiting, each as who holds and what ends it.
        self.held_back: list[list[tuple[int, int]]] = [[] for _ in steps]
        self.keeps_waiting = [0] * len(steps)
        for owner, step in enumerate(steps):
            for hold in step.holds:
                for at, other in enumerate(steps):
                    if at not in (owner, hold.until) and other.disturbs(step, hold.name):
                        self.held_back[at].append((1 << owner, 1 << hold.until))
                        self.keeps_waiting[owner] |= 1 << at

    @property
    def start(self) -> RouteSoFar:
        """Nothing done yet, nothing set, every part wherever it is."""
        bounds = self.bounds
        machines, parts = (NOWHERE,) * len(bounds.on), (NOWHERE,) * len(bounds.parts)
        return RouteSoFar(State(0, NOWHERE, machines, parts), 0, NOWHERE, None)

    def best(self, enough: int) -> tuple[RouteSoFar, int]:
        """The best way to the end, or the best that was found, and by how much no way beats it."""
        start = self.start
        waiting = [(self.least(start), 0, 0, start)]
        cheapest, looked_at = {start.state: start.cost}, 0
        while waiting:
            least, _, _, way = heappop(waiting)
            if way.state.done == self.all:
                return way, 0
            if way.cost > cheapest[way.state]:
                continue
            if looked_at >= enough:
                found = self.narrow([way, *(each for *_, each in waiting)])
                return found, max(0, found.cost - least)
            looked_at += 1
            for then in self.onward(way):
                if then.cost < cheapest.get(then.state, then.cost + 1):
                    cheapest[then.state] = then.cost
                    key = (self.least(then), -then.state.done.bit_count(), len(cheapest))
                    heappush(waiting, (*key, then))
        raise ValueError("no order keeps the rules")

    def narrow(self, ways: Iterable[RouteSoFar]) -> RouteSoFar:
        """A way to the end that is hardly ever far from the best: of the ways as long as each
        other the few that promise most are gone on with. The given order where all of those end at
        something that is held."""
        by_length: dict[int, dict[State, RouteSoFar]] = {}
        for way in ways:
            by_length.setdefault(way.state.done.bit_count(), {})[way.state] = way
        for length in range(self.all.bit_count()):
            few = nsmallest(NARROW, by_length.pop(length, {}).values(), key=self.least)
            for way in few:
                for then in self.onward(way):
                    alike = by_length.setdefault(then.state.done.bit_count(), {})
                    if then.state not in alike or then.cost < alike[then.state].cost:
                        alike[then.state] = then
        ends = by_length.get(self.all.bit_count(), {}).values()
        as_given = reduce(self.done, range(self.all.bit_count()), self.start)
        return min((*ends, as_given), key=lambda way: way.cost)

    def least(self, way: RouteSoFar) -> int:
        """What the whole route comes to at the least that begins like this."""
        state, bounds = way.state, self.bounds
        left = self.all & ~state.done
        settings = sum(
            bounds.settings(left & on, stands)
            for on, stands in zip(bounds.on, state.stands, strict=True)
            if left & on
        )
        moves = sum(
            count * bounds.moves(left & own, lies)
            for (own, count), lies in zip(bounds.parts, state.lies, strict=True)
        )
        changes = bounds.changes(left, state.machine)
        return way.cost + settings * _SETTING + changes * _CHANGE + moves

    def onward(self, way: RouteSoFar) -> Iterator[RouteSoFar]:
        """Every way on that may be the best: to each kind of setting for which a step is ready."""
        gone: set[int] = set()
        for at in self.bounds.ready(self.all & ~way.state.done):
            if not self.may_start(at, way.state.done):
                continue
            if self.may_wait(at, way.state.done):
                yield self.at_once(self.done(way, at))
            elif self.bounds.kind[at] not in gone:
                gone.add(self.bounds.kind[at])
                yield self.at_once(self.done(way, at))

    def at_once(self, way: RouteSoFar) -> RouteSoFar:
        """The way with all that can be done as the machines stand, and is no better done later."""
        alike = self.bounds.of_kind[way.state.stands[way.state.machine]]
        while True:
            done = way.state.done
            may = (at for at in bits(alike & ~done) if self.may_start(at, done))
            at = next((at for at in may if not self.may_wait(at, done)), None)
            if at is None:
                return way
            way = self.done(way, at)

    def may_start(self, at: int, done: int) -> bool:
        """Whether all that comes before a step is done, and nothing is held that it would move."""
        if self.bounds.before[at] & ~done:
            return False
        return all(until & done or not owner & done for owner, until in self.held_back[at])

    def may_wait(self, at: int, done: int) -> bool:
        """Whether a step that costs nothing now might be done later with gain: a part would be
        carried less, or a setting need not be held so long."""
        return bool((self.apart[at] | self.keeps_waiting[at]) & ~done)

    def done(self, way: RouteSoFar, at: int) -> RouteSoFar:
        """The way with one step more."""
        state, bounds = way.state, self.bounds
        machine, kind = bounds.machine[at], bounds.kind[at]
        cost = bounds.set_from(state.stands[machine], kind) * _SETTING
        cost += (state.machine not in (NOWHERE, machine)) * _CHANGE
        lies = list(state.lies)
        for number, (own, count) in enumerate(bounds.parts):
            if own >> at & 1:
                cost += count * (lies[number] not in (NOWHERE, machine))
                lies[number] = machine
        stands = (*state.stands[:machine], kind, *state.stands[machine + 1 :])
        then = State(state.done | 1 << at, machine, stands, tuple(lies))
        return RouteSoFar(then, way.cost + cost, at, way)
