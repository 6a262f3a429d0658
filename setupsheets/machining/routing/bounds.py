"""What steps come to at the least, whatever their order: each machine alone, each part alone.

Steps are known by their places in the given order, which keeps all rules, and sets of them by bits.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Iterator, Sequence
from functools import cache, cached_property
from typing import NamedTuple

from setupsheets.machining.routing.steps import Step

NOWHERE = -1
"""The machine in use before the first step; what a machine stands at that nobody has set."""
FEW = 9  # kinds of one machine whose cheapest order is worked out exactly


class Kind(NamedTuple):
    """What steps have in common that ask the same of a machine, as far as others ask it too: a
    figure that no other step shares is made anew in any order."""

    machine: int
    cutter: Hashable
    shared: frozenset[tuple[str, Hashable]]


def bits(places: int) -> Iterator[int]:
    """The places in a set of bits, from the lowest."""
    while places:
        lowest = places & -places
        yield lowest.bit_length() - 1
        places ^= lowest


class Bounds:
    """Steps as the search sees them, and the least that is still to come."""

    def __init__(self, steps: Sequence[Step]) -> None:
        self.steps = steps
        names = list(dict.fromkeys(step.machine for step in steps))
        self.machine = [names.index(step.machine) for step in steps]
        self.on = [sum(1 << at for at, own in enumerate(self.machine) if own == each)
                   for each in range(len(names))]  # fmt: skip
        self.before = self._whole_before()
        kinds = self._kinds()
        self.kinds = list(dict.fromkeys(kinds))
        self.kind = [self.kinds.index(each) for each in kinds]
        self.to_set = [[self._to_set(one, other) for other in self.kinds] for one in self.kinds]
        self.first_set = [self._to_set(None, each) for each in self.kinds]
        self.of_kind = [sum(1 << at for at, own in enumerate(self.kind) if own == each)
                        for each in range(len(self.kinds))]  # fmt: skip
        # Asked again and again while orders are tried, and worked out once.
        self.ready = cache(self._ready)
        self.settings = cache(self._fewest_settings)
        self.moves = cache(self._fewest_moves)

    def _whole_before(self) -> list[int]:
        """By step all that must be done ahead of it, the steps ahead of those as well."""
        found: list[int] = []
        for step in self.steps:
            whole = step.before
            for at in bits(step.before):
                whole |= found[at]
            found.append(whole)
        return found

    def _kinds(self) -> list[Kind]:
        figures = Counter(
            (step.machine, step.cutter, name, value)
            for step in self.steps
            for name, value in step.settings.items()
            if name not in step.stepped
        )
        return [
            Kind(
                self.machine[at],
                step.cutter,
                frozenset(
                    (name, value)
                    for name, value in step.settings.items()
                    if name not in step.stepped
                    and figures[step.machine, step.cutter, name, value] > 1
                ),
            )
            for at, step in enumerate(self.steps)
        ]

    @staticmethod
    def _to_set(stands: Kind | None, kind: Kind) -> int:
        """What is set to go from one kind to another of the same machine."""
        if stands is None or stands.cutter != kind.cutter:
            return len(kind.shared) + (kind.cutter is not None)
        return len(kind.shared - stands.shared)

    def set_from(self, stands: int, kind: int) -> int:
        """What is set to go to a kind on a machine that stands at a kind, or at nothing yet."""
        return self.first_set[kind] if stands == NOWHERE else self.to_set[stands][kind]

    def _ready(self, left: int) -> tuple[int, ...]:
        """The steps of ``left`` that come after none of the others in it, as they are given."""
        return tuple(at for at in bits(left) if not self.before[at] & left)

    # The settings of one machine.

    def _fewest_settings(self, left: int, stands: int) -> int:
        """The fewest settings that the steps ``left`` of one machine take from what it stands at,
        whatever happens on the others meanwhile; shared figures only."""
        kinds = {self.kind[at] for at in bits(left)}
        if len(kinds - {stands}) > FEW:
            return self._figures(kinds, stands)
        ready: set[int] = set()
        while left:
            at_once = [at for at in self.ready(left) if self.kind[at] == stands]
            if not at_once:
                ready = {self.kind[at] for at in self.ready(left)}
                break
            left &= ~sum(1 << at for at in at_once)
        return min((self.set_from(stands, each) + self.settings(left, each) for each in ready),
                   default=0)  # fmt: skip

    def _figures(self, kinds: set[int], stands: int) -> int:
        """Every figure and cutter that does not stand yet is set at least once."""
        cutters = {self.kinds[each].cutter for each in kinds} - {None}
        wanted = {(self.kinds[each].cutter, *one) for each in kinds
                  for one in self.kinds[each].shared}  # fmt: skip
        if stands != NOWHERE:
            now = self.kinds[stands]
            cutters -= {now.cutter}
            wanted -= {(now.cutter, *one) for one in now.shared}
        return len(wanted) + len(cutters)

    # Changes of machine.

    @cached_property
    def visits(self) -> list[list[int]]:
        """By machine and step, how often that machine is come to at the least on a way from that
        step to the end: the longest chain of steps there with steps elsewhere between them."""
        after: list[list[int]] = [[] for _ in self.steps]
        for at, before in enumerate(self.before):
            for earlier in bits(before):
                after[earlier].append(at)
        found = []
        for each in range(len(self.on)):
            most = [0] * len(self.steps)
            for at in reversed(range(len(self.steps))):
                own = self.machine[at] == each
                most[at] = max(
                    (most[then] + (own and self.machine[then] != each) for then in after[at]),
                    default=0,
                )
                most[at] = max(most[at], int(own))
            found.append(most)
        return found

    def changes(self, left: int, machine: int) -> int:
        """The fewest changes of machine that the steps ``left`` take from one in use."""
        ready = self.ready(left)
        total = -1 if machine == NOWHERE and left else 0
        for each, visits in enumerate(self.visits):
            if each == machine:
                total += max((visits[at] - (self.machine[at] == each) for at in ready), default=0)
            else:
                total += max((visits[at] for at in ready), default=0)
        return total

    # Moves of one part.

    @cached_property
    def parts(self) -> list[tuple[int, int]]:
        """Parts that may go to machines in more orders than one, as the bits of their steps and how
        many they are; those with the same steps together. All others are carried as often in any
        order."""
        counts: Counter[int] = Counter()
        names = dict.fromkeys(name for step in self.steps for name in step.parts)
        for name in names:
            own = sum(1 << at for at, step in enumerate(self.steps) if name in step.parts)
            if any(self._either_way(at) & own for at in bits(own)):
                counts[own] += max(step.parts.get(name, 0) for step in self.steps)
        return list(counts.items())

    def apart(self, at: int) -> int:
        """The steps on other machines, with a part of its own, that may be done before a step or
        after it."""
        with_it = 0
        for own, _ in self.parts:
            with_it |= own if own >> at & 1 else 0
        return self._either_way(at) & with_it

    def _either_way(self, at: int) -> int:
        later = sum(1 << other for other in range(at + 1, len(self.steps))
                    if self.before[other] >> at & 1)  # fmt: skip
        fixed = self.before[at] | later | self.on[self.machine[at]]
        return (1 << len(self.steps)) - 1 & ~fixed

    def _fewest_moves(self, left: int, lies: int) -> int:
        """How often one part with the steps ``left`` is carried at the least from where it lies."""
        while here := [at for at in self.ready(left) if self.machine[at] == lies]:
            left &= ~sum(1 << at for at in here)
        goes = {self.machine[at] for at in self.ready(left)}
        return min((self.moves(left, each) + (lies != NOWHERE) for each in goes), default=0)
