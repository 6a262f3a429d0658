"""How many passes, how deep each, and how fast the cutter may turn.

Depths per pass and speeds without a maker's limit are common practice, no published source; they
lie at the cautious end of what is usual. A maker's marked limit always governs.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from enum import StrEnum

from msgspec import Struct

from setupsheets.lengths import Length
from setupsheets.machining.operations import Operation
from setupsheets.shop.cutters import CutShape, Cutter
from setupsheets.shop.machine_kinds import MachineKind
from setupsheets.shop.machines import Machine, SettingName

LIGHT = Length("1/32 in")
"""What the last pass takes: enough to clean up after the heavy ones."""

# These keep their height and come out of the fence pass by pass; the others are raised.
_OUT_OF_FENCE = frozenset({CutShape.MOULDING, CutShape.COPE, CutShape.DISC})


def rim_speed(diameter: Length, revolutions: int) -> float:
    """Speed of a cutter's rim in metres a second: pi D n / 60."""
    return math.pi * float(diameter.mm) / 1000 * revolutions / 60


class SpeedLimit(StrEnum):
    """What keeps a cutter from turning faster."""

    MAKER = "maker"
    RIM = "rim"
    PRACTICE = "practice"


class Speed(Struct, frozen=True):
    """The speed to set, in revolutions a minute, and the limit that it keeps.

    ``rim`` is the rim's speed in m/s and ``rims`` between what it should be for feed by hand, where
    that is known. ``limit`` and ``by`` are None where nothing limits it. ``within`` is false where
    the machine's slowest speed is over the limit.
    """

    revolutions: int
    rim: float
    rims: tuple[int, int] | None
    limit: int | None
    by: SpeedLimit | None
    within: bool

    @property
    def slow(self) -> bool:
        """Whether the rim is slower than feed by hand asks for."""
        return self.rims is not None and self.rim < self.rims[0]


def speed(machine: Machine, cutter: Cutter) -> Speed | None:
    """The fastest of the machine's speeds that the cutter may turn at; None where nothing turns."""
    if cutter.diameter is None or not machine.speeds:
        return None
    limits = sorted(_limits(machine.kind, cutter, cutter.diameter))
    limit, by = limits[0] if limits else (None, None)
    allowed = [each for each in machine.speeds if limit is None or each <= limit]
    chosen = max(allowed) if allowed else min(machine.speeds)
    rim = rim_speed(cutter.diameter, chosen)
    return Speed(chosen, rim, machine.kind.rim, limit, by, bool(allowed))


def _limits(
    kind: MachineKind, cutter: Cutter, diameter: Length
) -> Iterator[tuple[int, SpeedLimit]]:
    if cutter.greatest_speed is not None:
        yield cutter.greatest_speed, SpeedLimit.MAKER
    elif kind.unmarked:
        usual = (each for size, each in kind.unmarked if diameter <= size)
        yield next(usual, kind.unmarked[-1][1]), SpeedLimit.PRACTICE
    if kind.rim is not None:
        yield math.floor(kind.rim[1] / rim_speed(diameter, 1)), SpeedLimit.RIM


def greatest_pass(machine: Machine, cutter: Cutter, hard: bool) -> Length | None:
    """How much a cutter may take in one pass; None for those that take it all at once.

    Never more than half its diameter. KeyError for a cutter that the machine does not hold.
    """
    usual = machine.kind.cutters[cutter.type]
    if usual is None:
        return None
    most = usual.hard if hard else usual.soft
    return min(most, cutter.diameter / 2) if cutter.diameter is not None else most


class Passes(Struct, frozen=True):
    """The figures of one setting, pass by pass; the last one is the figure printed."""

    setting: SettingName
    figures: tuple[Length, ...]


def passes(operation: Operation, hard: bool) -> Passes | None:
    """The passes of a router bit: at least as many as the recipe says, the last one light.

    A moulding bit or a slot cutter keeps its height and comes out of the fence pass by pass; a
    plain bit is raised. None where one pass does it or hands judge it, as in widening a cut.
    """
    cutter = operation.cutter
    most = greatest_pass(operation.machine, cutter, hard) if cutter is not None else None
    if cutter is None or most is None or operation.wide is not None:
        return None
    name = SettingName.FENCE if cutter.shape in _OUT_OF_FENCE else SettingName.HEIGHT
    setting = operation.setting(name)
    if setting is None:
        return None
    taken = setting.aim
    if cutter.profile is not None:
        taken = min(taken, cutter.profile.width)
    count = max(operation.passes, count_of(taken, most))
    if count < 2:
        return None
    before = setting.aim - taken
    figures = (before + step for step in step_up(taken, count, setting.dial.finest))
    return Passes(name, tuple(figures))


def across(operation: Operation) -> tuple[Length, ...]:
    """Where the fence stands before its last figure, at each height, for a plain bit that clears
    more than its own width in front of the fence: even steps, none wider than the bit."""
    cutter, fence = operation.cutter, operation.setting(SettingName.FENCE)
    if cutter is None or fence is None or not operation.asks.clears:
        return ()
    if not operation.machine.kind.upright or cutter.shape in _OUT_OF_FENCE:
        return ()
    count = math.ceil(fence.aim / cutter.cut_width)
    steps = (fence.aim * step / count for step in range(1, count))
    return tuple(step.rounded_to(fence.dial.finest) for step in steps)


def count_of(depth: Length, most: Length) -> int:
    """How many passes take a depth, none more than ``most`` and, of several, the last one light."""
    if depth <= most:
        return 1
    return 1 + math.ceil((depth - LIGHT) / most)


def step_up(depth: Length, count: int, finest: Length) -> Sequence[Length]:
    """Depths reached after each pass: even steps, then a light one, on marks of ``finest``.

    The last is the whole depth exactly.
    """
    if count < 2:
        return [depth]
    rough = max(depth - LIGHT, depth / 2)
    steps = (rough * index / (count - 1) for index in range(1, count))
    marked = (step.rounded_to(finest) if finest else step for step in steps)
    return [*marked, depth]
