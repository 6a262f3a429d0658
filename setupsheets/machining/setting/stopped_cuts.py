"""Stopped cuts: where a round cutter must be set down and lifted off to stop short of a mark.

A blade of radius r standing h above the table cuts c(y) = sqrt(r^2 - (r - h + y)^2) to either side
of its middle at height y. So the cut is longest at the table, c(0); full depth ends c(0) before the
mark, and the ramp between is left for hand tools. A bit cuts its own radius at every height.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

from msgspec import Struct

from setupsheets.joinery.members.parts import Part
from setupsheets.lengths import Length
from setupsheets.machining.cutting.planes import HAIR, CutError, mm
from setupsheets.machining.cutting.silhouettes import cutter_of, figure_of
from setupsheets.machining.operations import Operation, Stop
from setupsheets.shop.cutters import CutShape, Cutter
from setupsheets.shop.machines import SettingName
from setupsheets.shop.recipes import Makes, Surface

ZERO = Length.ZERO
LOWER_END, UPPER_END = "lower end", "upper end"


def half_chord(radius: float, height: float, level: float = 0.0) -> float:
    """How far to either side of its middle a blade cuts, at a level above the table.

    ``radius`` of the blade and ``height`` of its top above the table, all in one unit. Nothing
    above its top; the whole radius where its middle stands above the level.
    """
    below_middle = max(0.0, radius - height + level)
    return math.sqrt(max(0.0, radius**2 - below_middle**2))


class TapeMarks(Struct, frozen=True):
    """One stopped cut on a part, from ``first`` to ``last`` along it, in mm from its leading end.

    ``lower_on`` and ``lift_off`` say how far the leading end stands past the cutter's middle, in
    the direction of feed, when the part is lowered on and lifted off: there go the two tape marks.
    None where the cut runs in or out over the part's end. ``ramp`` is what is not at full depth at
    a stopped end; ``full`` the stretch that is.
    """

    first: float
    last: float
    lower_on: float | None
    lift_off: float | None
    ramp: float
    full: tuple[float, float]


def tape_marks(operation: Operation, part_length: Length, first: Length, last: Length) -> TapeMarks:
    """Where the tape goes for a cut that may reach from ``first`` to ``last`` along a part.

    Both count from the leading end; nought and the part's length mean that it runs through there.
    Raises CutError where the cutter's size or height is not known, ValueError where the stretch is
    shorter than the cutter's own cut.
    """
    reach, ramp = _reach(operation)
    start, end = mm(first), mm(last)
    open_start, open_end = first <= Length.ZERO, last >= part_length
    full = (start if open_start else start + ramp, end if open_end else end - ramp)
    lower_on = None if open_start else start + reach
    lift_off = None if open_end else end - reach
    if lower_on is not None and lift_off is not None and lower_on > lift_off + HAIR:
        raise ValueError(
            f"{operation.name}: the cutter cuts {2 * reach:.1f} mm where it stands, and there are "
            f"only {end - start:.1f} mm between the marks"
        )
    return TapeMarks(start, end, lower_on, lift_off, ramp, full)


def ramp_outline(operation: Operation, steps: int = 12) -> tuple[tuple[float, float], ...]:
    """The ramp that a stopped end leaves, in mm: how far before the mark the cut is so deep.

    Points (before the mark, depth from the surface that the cutter enters), from the mark on.
    """
    cutter = cutter_of(operation)
    reach, _ = _reach(operation)
    if (out := _out_of_fence(operation)) is not None and cutter.diameter is not None:
        radius, levels = mm(cutter.diameter) / 2, [out * step / steps for step in range(steps + 1)]
        return tuple((reach - half_chord(radius, out, level), level) for level in levels)
    height = figure_of(operation, SettingName.HEIGHT)
    levels = [height * step / steps for step in range(steps + 1)]
    return tuple((reach - _cut_at(cutter, height, level), level) for level in levels)


def stops_of(part: Part, makes: Makes) -> Iterator[Stop]:
    """Every cut of a sort along a part that must stop short of an end, each way it can be fed.

    Of a pair of stiles, lying alike against the fence, one goes with its lower end first and the
    other with its upper one.
    """
    sort = {Makes.REBATE: False, Makes.GROOVE: True}.get(makes)
    for run in part.stretches:
        if not run.stopped or (run.groove is not None) is not sort:
            continue
        low = part.datum
        first = ZERO if run.first is None else run.first + low
        last = part.overall if run.last is None else run.last + low
        start, end = run.start + low, run.end + low
        yield Stop(part.name, LOWER_END, part.overall, start, end, first, last)
        turned = (part.overall - each for each in (end, start, last, first))
        yield Stop(part.name, UPPER_END, part.overall, *turned)


class StoppedCut(Struct, frozen=True):
    """The tape marks of one stop, and how much of the ramp (mm) hands must take out at each end of
    the cut, as it goes past the cutter: the rest of it lies where it does no harm."""

    stop: Stop
    marks: TapeMarks
    by_hand: tuple[float, float]


def stopped(operation: Operation) -> tuple[StoppedCut, ...]:
    """The tape marks of every part of an operation whose cut must stop, each way it is fed.

    Raises CutError and ValueError as `tape_marks`.
    """
    return tuple(_stopped(operation, stop) for stop in operation.stops)


def _stopped(operation: Operation, stop: Stop) -> StoppedCut:
    marks = tape_marks(operation, stop.length, stop.first, stop.last)
    front = marks.full[0] - mm(stop.start) if marks.lower_on is not None else 0.0
    back = mm(stop.end) - marks.full[1] if marks.lift_off is not None else 0.0
    return StoppedCut(stop, marks, (max(0.0, front), max(0.0, back)))


def _reach(operation: Operation) -> tuple[float, float]:
    """How far the cutter cuts to either side where it enters the wood, and how much less where it
    cuts deepest."""
    cutter = cutter_of(operation)
    if (out := _out_of_fence(operation)) is not None and cutter.diameter is not None:
        at_edge = half_chord(mm(cutter.diameter) / 2, out)
        return at_edge, at_edge - half_chord(mm(cutter.diameter) / 2, out, out)
    height = figure_of(operation, SettingName.HEIGHT)
    at_table = _cut_at(cutter, height, 0.0)
    return at_table, at_table - _cut_at(cutter, height, height)


def _out_of_fence(operation: Operation) -> float | None:
    """How far a plain bit stands out of the fence that the edge runs along, in mm: seen from above
    it cuts as a blade does seen from the side. None for other cuts."""
    cutter = cutter_of(operation)
    if not operation.machine.kind.upright or cutter.profile is not None:
        return None
    if operation.asks.against is not Surface.SIGHT_EDGE:
        return None
    fence = operation.aim(SettingName.FENCE)
    return mm(fence) if fence is not None else None


def _cut_at(cutter: Cutter, height: float, level: float) -> float:
    if cutter.diameter is None:
        raise CutError(f"{cutter.name} has no diameter")
    radius = mm(cutter.diameter) / 2
    if cutter.shape is CutShape.BLADE:
        return half_chord(radius, height, level)
    if cutter.profile is None:
        return radius
    return radius - _profile_inset(cutter, level - height)


def _profile_inset(cutter: Cutter, level: float) -> float:
    """How much narrower than at its widest a moulding bit is, at a level below its top (minus)."""
    assert cutter.profile is not None
    width, depth = mm(cutter.profile.width), mm(cutter.profile.depth)
    outline = cutter.profile.points()
    at = min(max(level + depth, 0.0), depth)
    x = next(
        x0 + (x1 - x0) * (at - y0) / (y1 - y0) if y1 > y0 else x1
        for (x0, y0), (x1, y1) in pairwise(outline)
        if y0 <= at <= y1
    )
    return x if cutter.shape is CutShape.COPE else width - x
