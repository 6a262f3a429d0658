"""Support under every cut: does the part still have wood to stand on and to run against?

Each run of each operation is looked at before the cutter and after it, with the shape that the
operations ahead of it have left. Where it is short, what cures it is named with its size.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from enum import StrEnum
from functools import cached_property
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from setupsheets.lengths import Length
from setupsheets.machining.cutting.cuts import Run, Stage, kept
from setupsheets.machining.cutting.planes import Placement, Plane, mm
from setupsheets.machining.operations import Operation, Subject
from setupsheets.machining.support.bearing import (
    HELD_TOP,
    TOUCH,
    Bearing,
    Footprint,
    Span,
    bearing,
    footprint,
)
from setupsheets.shop.recipes import JigKind

if TYPE_CHECKING:
    from shapely import Polygon

_SIDES = ("towards", "away")  # the fence
_BRIDGED = 3.0  # times the opening: a part so long lies on the table before and behind it


class Cure(StrEnum):
    """What gives an unsteady part something to stand on or run against."""

    FILLER_STRIP = "filler strip"
    TONGUE = "tongue left on"
    TALLER_FENCE = "taller fence"
    HOLD_DOWN = "hold-down"


class Remedy(Struct, frozen=True):
    """One cure with its size in mm: ``width`` along the table, ``height`` up from it."""

    cure: Cure
    width: float
    height: float


class Support(Struct, frozen=True, dict=True):
    """How a part stands for one run of an operation; ``edge`` is 1 for its second sight edge.

    ``held_by`` names the jig or the machine that holds it fast, which makes it steady.
    """

    operation: Operation
    edge: int
    before: Bearing
    after: Bearing
    remedies: tuple[Remedy, ...] = ()
    held_by: str = ""

    @cached_property
    def margin(self) -> float:
        """How far it is from tipping, in mm, before or after the cutter: minus when it tips.

        Without wood left where the fence or stop counts from it is as bad as lying on nothing.
        """
        if self.unguided:
            return -self.before.height
        return min(self.before.margin, self.after.margin)

    @property
    def unguided(self) -> bool:
        """Whether earlier cuts have taken all that should run against the fence or stop."""
        return self.operation.asks.against is not None and not self.before.fence

    @property
    def passes_over(self) -> Span | None:
        """What would run against the fence or stop if that were higher; None where it does, and
        where nothing is left to."""
        return self.before.over if self.unguided else None

    @property
    def steady(self) -> bool:
        """Whether it stands by itself, or is held fast."""
        return (bool(self.held_by) and not self.unguided) or self.margin >= 0

    @property
    def unsaid(self) -> tuple[str, ...]:
        """Its jigs that do not say what they do, by name: they count as holding nothing."""
        return tuple(jig.name for jig in self.operation.jigs if jig.kind is JigKind.UNSAID)


def supports(stages: Sequence[Stage], subject: Subject) -> tuple[Support, ...]:
    """The support of every run of every operation that a machine does, in order."""
    return tuple(found for stage in stages for found in _of_stage(stage, subject))


def run_support(
    operation: Operation,
    run: Run,
    before: Footprint,
    after: Footprint,
    subject: Subject,
    edge: int = 0,
) -> Support:
    """The support of one run, from how the part lies before and after it."""
    stand = [_stand(operation, run, feet, subject) for feet in (before, after)]
    made = Support(operation, edge, stand[0], stand[1], held_by=_held_by(operation))
    if made.steady:
        return made
    return replace(made, remedies=tuple(_remedies(operation, made)))


def full_footprint(shape: Polygon, placement: Placement, subject: Subject) -> Footprint:
    """How the part lies for a run: an end, which is drawn cut short, at its full length."""
    from shapely import box  # noqa: PLC0415

    if placement.plane is Plane.END:
        _, low, drawn, high = shape.bounds
        full = mm(subject.length)
        shape = shape if full <= drawn else shape.union(box(drawn, low, full, high))
    return footprint(shape, placement)


def _of_stage(stage: Stage, subject: Subject) -> Iterator[Support]:
    shape = stage.before
    for edge, run in enumerate(stage.cut.runs):
        after = kept(shape.difference(run.takes), stage.after)
        first, then = (full_footprint(each, run.placement, subject) for each in (shape, after))
        yield run_support(stage.operation, run, first, then, subject, edge)
        shape = after


def _stand(operation: Operation, run: Run, feet: Footprint, subject: Subject) -> Bearing:
    opening = _opening(operation, run)
    wide = opening[1] - opening[0] if opening else 0.0
    return bearing(
        feet,
        fence_height=fence_reach(operation),
        opening=opening,
        bridges=run.placement.plane is not Plane.SECTION or mm(subject.length) > _BRIDGED * wide,
        filler=_filler(operation),
    )


def fence_reach(operation: Operation) -> float | None:
    """How high fence or stop reaches in mm, heightened as the recipe says; None where nobody has
    said it."""
    height = operation.machine.fence_height
    fences = [mm(height)] if height is not None else []
    taller = (jig for jig in operation.jigs if jig.kind is JigKind.HEIGHTENS_FENCE)
    return max([*fences, *(mm(jig.sizes["height"]) for jig in taller)], default=None)


def _opening(operation: Operation, run: Run) -> Span | None:
    """Where the table is open for the cutter: round the middle of the cutter, along u."""
    if not operation.machine.kind.open_table:
        return None
    first, last = run.stands
    opening = operation.machine.table_opening or Length.ZERO
    half = max(mm(opening), last - first) / 2  # an insert for a wider cutter is as wide as that
    middle = (first + last) / 2
    return middle - half, middle + half


def _filler(operation: Operation) -> Span | None:
    jig = operation.jig(JigKind.FILLS)
    return (mm(jig.sizes["width"]), mm(jig.sizes["height"])) if jig is not None else None


def _held_by(operation: Operation) -> str:
    if operation.machine.kind.holds_fast:
        return operation.machine.title
    return next((jig.name for jig in operation.jigs if jig.kind.steadies), "")


def _remedies(operation: Operation, made: Support) -> Iterator[Remedy]:
    """What would make an unsteady run steady, from the worse of before and after."""
    worse = min(made.before, made.after, key=lambda stand: stand.margin)
    needed = HELD_TOP * worse.height
    height = operation.machine.fence_height
    low_fence = height is not None and mm(height) < needed and not worse.held
    if low_fence:
        yield Remedy(Cure.TALLER_FENCE, 0.0, needed)
    if worse.base is None:
        return
    for lever, (width, high), side in zip(worse.levers, worse.hollows, _SIDES, strict=True):
        # Where an offcut falls nothing may be laid: it would be trapped beside the blade.
        free = not (side == "away" and operation.asks.leaves_offcut)
        if free and lever < 0 and width > TOUCH and width + lever >= -TOUCH:
            yield Remedy(Cure.FILLER_STRIP, width, high)
            yield Remedy(Cure.TONGUE, -lever, high)
    if worse.levers[1] < 0 and not low_fence and operation.asks.against is not None:
        yield Remedy(Cure.HOLD_DOWN, worse.base[1], worse.height)
