"""What an order of operations costs: settings made anew, changes of machine, moves of parts.

A machine keeps what was set on it until something else is set there. What an operation does not
ask for is anybody's: a saw that has cut right through stands at no height that a later cut could
count on. A cutter that is changed takes every setting of its machine with it.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple

from msgspec import Struct, field

CUTTER = "cutter"
"""What a cutter goes by among the things that are set."""


class Tally(NamedTuple):
    """What an order comes to, weighed from left to right: settings made and cutters put in,
    changes of machine, and times that a part is carried from one machine to another."""

    settings: int
    changes: int
    moves: int


class Hold(Struct, frozen=True):
    """A setting that stays as it is until another step is done, because only that one shows whether
    it was right."""

    name: str
    until: int


class Step(Struct, frozen=True):
    """One operation of the route, with nothing but what its place in the order depends on.

    ``cutter`` is what the machine holds for it, None where it holds none; ``settings`` the figures
    that must stand, ``stepped`` those of them that passes move, so that they are set anew each
    time. ``parts`` is how many of each part come to it. ``before`` are the steps that must be done
    ahead of it, as bits of their places, and ``holds`` what must then stay as it is.
    """

    machine: str
    cutter: Hashable = None
    settings: Mapping[str, Hashable] = field(default_factory=dict)
    stepped: frozenset[str] = frozenset()
    parts: Mapping[str, int] = field(default_factory=dict)
    before: int = 0
    holds: tuple[Hold, ...] = ()

    def disturbs(self, other: Step, name: str) -> bool:
        """Whether a setting of another step no longer stands once this one is done."""
        if self.machine != other.machine:
            return False
        same = self.cutter == other.cutter and self.settings.get(name) == other.settings[name]
        return not same or name in self.stepped


def left_standing(steps: Iterable[Step]) -> Iterator[Mapping[str, int]]:
    """By step, in order, what is left as it is, with the place in the order at which it was set."""
    machines: dict[str, dict[str, tuple[Hashable, int]]] = {}
    for at, step in enumerate(steps):
        stands = machines.get(step.machine, {})
        if CUTTER not in stands or stands[CUTTER][0] != step.cutter:
            stands = {}
        wanted = {
            name: value for name, value in step.settings.items() if name not in step.stepped
        } | {CUTTER: step.cutter}
        left = {name: stands[name] for name, value in wanted.items()
                if name in stands and stands[name][0] == value}  # fmt: skip
        machines[step.machine] = {name: (value, at) for name, value in wanted.items()} | left
        yield {name: since for name, (value, since) in left.items() if value is not None}


def tally(steps: Sequence[Step]) -> Tally:
    """What steps come to when they are done in this order."""
    settings = changes = moves = 0
    at: dict[str, str] = {}
    machine = None
    for step, left in zip(steps, left_standing(steps), strict=True):
        settings += len(step.settings) + (step.cutter is not None) - len(left)
        changes += machine not in (None, step.machine)
        machine = step.machine
        for part, count in step.parts.items():
            moves += count * (at.get(part, machine) != machine)
            at[part] = machine
    return Tally(settings, changes, moves)


def keeps_the_rules(order: Sequence[int], steps: Sequence[Step]) -> bool:
    """Whether an order of all steps, by their places, does none too early and disturbs no hold."""
    done = 0
    held: list[tuple[Step, Hold]] = []
    for at in order:
        step = steps[at]
        held = [(owner, hold) for owner, hold in held if hold.until != at]
        if step.before & ~done or any(step.disturbs(owner, hold.name) for owner, hold in held):
            return False
        held += [(step, hold) for hold in step.holds]
        done |= 1 << at
    return done == (1 << len(steps)) - 1
