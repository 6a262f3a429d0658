"""What an earlier cut has left to a later one: waste in front of a cope, edges that tear out.

Across the grain a cutter breaks wood out where it leaves it. Ends are therefore cut before edges
are moulded, which takes the broken corner away; a cope bit is made for its moulding alone, so the
waste before it goes first. Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum, auto
from typing import TYPE_CHECKING

from msgspec import Struct

from setupsheets.machining.cutting.planes import mm
from setupsheets.machining.operations import Operation
from setupsheets.shop.cutters import CutShape
from setupsheets.shop.machines import SettingName
from setupsheets.shop.recipes import JigKind, Work

if TYPE_CHECKING:
    from shapely import Geometry

_SLIVER = 0.2  # mm: thinner is no waste to clear
ACROSS_THE_GRAIN = frozenset({Work.END, Work.HALVING})


class Spoils(StrEnum):
    """What an operation does to the wood that it comes to too early or too late."""

    SOLID_WOOD = auto()
    MOULDED_EDGE = auto()


class Waste(Struct, frozen=True):
    """What a cope has in front of its moulding, ``long`` from there towards the part's end, and the
    ``most`` that it may have: as much as the moulding is wide (mm)."""

    long: float
    most: float

    @property
    def solid(self) -> bool:
        """Whether more is left than a cope bit should take."""
        return self.long > self.most + _SLIVER


def cope_waste(operation: Operation, before: Geometry, takes: Geometry) -> Waste | None:
    """The waste that a cope bit meets, from the part's shape before it and what it takes out; None
    for other cuts."""
    from shapely import box  # noqa: PLC0415

    cutter, fence = operation.cutter, operation.aim(SettingName.FENCE)
    if cutter is None or cutter.shape is not CutShape.COPE or cutter.profile is None:
        return None
    if operation.asks.work is not Work.END or fence is None:
        return None
    wide = mm(cutter.profile.width)
    low, high = before.bounds[1], before.bounds[3]
    in_front = box(before.bounds[0], low, mm(fence) - wide, high)
    waste = before.intersection(takes).intersection(in_front).buffer(-_SLIVER)
    if waste.is_empty:
        return Waste(0.0, wide)
    return Waste(waste.bounds[2] - waste.bounds[0] + 2 * _SLIVER, wide)


def unbacked(operation: Operation) -> bool:
    """Whether it cuts across the grain with nothing behind the part where the cutter leaves it."""
    across = operation.asks.work in ACROSS_THE_GRAIN and operation.settings
    return bool(across) and operation.jig(JigKind.BACKS) is None


def tears_moulding(operation: Operation, done: Iterable[Operation]) -> bool:
    """Whether it cuts across the grain of edges that have been moulded or rebated by then."""
    if operation.asks.work not in ACROSS_THE_GRAIN or not operation.settings:
        return False
    return any(each.asks.work is Work.EDGE and each.settings for each in done)
