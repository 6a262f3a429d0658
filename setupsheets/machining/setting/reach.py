"""What fits and what does not: how far machines and cutters reach, and what they are asked."""

from __future__ import annotations

from collections.abc import Iterator
from enum import StrEnum

from msgspec import Struct

from setupsheets.lengths import Length, Unit
from setupsheets.machining.operations import Operation, Setting, Subject
from setupsheets.machining.setting.block_stacks import BlockStack, make_up
from setupsheets.machining.setting.stop_clearance import room_at_stop
from setupsheets.shop.cutters import CutShape, Cutter
from setupsheets.shop.machine_kinds import Stand
from setupsheets.shop.machines import SettingName
from setupsheets.shop.recipes import JigKind, Makes, MeasuredTo, Work
from setupsheets.shop.shop_terms import in_shop_terms


class Limit(StrEnum):
    """What may not reach far enough."""

    DIAL = "dial"
    COPE = "tenon over a cope cutter"
    PLUNGE = "length of a plunging cutter"
    ONE_PASS = "cutting length"
    OUT_OF_FENCE = "diameter"
    HOLD = "length to hold a part by"
    STOP = "stop clear of the cutter"


class Reach(Struct, frozen=True):
    """One thing of an operation that must reach far enough: what is needed and what there is.

    ``setting`` is the dial's own where it is a dial that must; ``apart`` is whether a part that is
    to be held has been cut off the longer piece that it was made in.
    """

    limit: Limit
    operation: Operation
    needs: Length
    has: Length
    setting: Setting | None = None
    apart: bool = False

    @property
    def fits(self) -> bool:
        """Whether it reaches."""
        return self.needs <= self.has


def reaches(operation: Operation, subject: Subject, unit: Unit = Unit.IN) -> tuple[Reach, ...]:
    """Everything about an operation that must reach far enough, whether or not it does; ``unit`` is
    the shop's, for what is a round figure in it."""
    return (
        *_dials(operation),
        *_cutter_reaches(operation),
        *_stop_clear(operation),
        *_held(operation, subject, unit),
    )


def cope_clearance(operation: Operation) -> Reach | None:
    """A tenon passing over a cope bit, against what stands above the bit; None where none does.

    The tenon reaches as far past the profile's root as the bit stands out of the fence.
    """
    cutter, fence = operation.cutter, operation.aim(SettingName.FENCE)
    if cutter is None or cutter.shape is not CutShape.COPE:
        return None
    if fence is None or cutter.reach is None or operation.asks.work is not Work.END:
        return None
    return Reach(Limit.COPE, operation, fence, cutter.reach)


def dado_make_up(width: Length, cutter: Cutter, closeness: Length) -> BlockStack | None:
    """The fewest chippers and shims that, between the two outside blades, make a width.

    ``blocks`` of the answer are the outside blades and chippers, ``shims`` the shims. None where
    no make-up comes within ``closeness``. Raises ValueError for a cutter that is no stack.
    """
    if cutter.stack is None:
        raise ValueError(f"{cutter.name} is no dado stack")
    outside = 2 * cutter.stack.outside
    blades = (cutter.stack.outside, cutter.stack.outside)
    if abs(width - outside) <= closeness:
        return BlockStack(blades, (), width)
    if width < outside:
        return None
    between = make_up(width - outside, cutter.stack.chippers, cutter.stack.shims, closeness)
    return BlockStack((*blades, *between.blocks), between.shims, width) if between else None


def _dials(operation: Operation) -> Iterator[Reach]:
    for setting in operation.settings:
        if setting.dial.greatest is not None:
            yield Reach(Limit.DIAL, operation, setting.aim, setting.dial.greatest, setting)


def _cutter_reaches(operation: Operation) -> Iterator[Reach]:
    cutter = operation.cutter
    if cutter is None:
        return
    if (clearance := cope_clearance(operation)) is not None:
        yield clearance
    if operation.machine.kind.stand is Stand.PLUNGING and cutter.length is not None:
        depth = operation.aim(SettingName.DEPTH)
        if depth is not None:
            yield Reach(Limit.PLUNGE, operation, depth, cutter.length)
    if not operation.machine.kind.upright:
        return
    height = operation.aim(SettingName.HEIGHT)
    if height is not None and cutter.length is not None:
        deep = height / max(1, operation.passes)
        yield Reach(Limit.ONE_PASS, operation, deep, cutter.length)
    fence = operation.setting(SettingName.FENCE)
    if cutter.shape is CutShape.COPE:
        return  # the cheek's waste is sawn off first; the cope takes only its moulding
    if operation.asks.wide is not None:
        return  # it widens a cut that is there, so wood that stays may lie between it and the fence
    if fence is not None and fence.to is MeasuredTo.FAR and cutter.diameter is not None:
        needs = min(fence.aim, cutter.diameter) if operation.asks.clears else fence.aim
        yield Reach(Limit.OUT_OF_FENCE, operation, needs, cutter.diameter)


def _stop_clear(operation: Operation) -> Iterator[Reach]:
    """A stop on a saw, which the blade must pass by: see `stop_clearance`."""
    room = room_at_stop(operation)
    if room is not None:
        setting, needs = room
        yield Reach(Limit.STOP, operation, needs, setting.aim, setting)


def hands_off(operation: Operation) -> int:
    """By how much a piece may be shorter than hands need: half as long where it is held fast or
    pushed, a quarter where it sits in a carrier, or is clamped while it is cut off a longer piece.
    Common practice, no source."""
    carrier = operation.jig(JigKind.CARRIES)
    if operation.makes is Makes.PARTING or (carrier is not None and "length" in carrier.sizes):
        return 4
    return 2 if any(jig.kind.keeps_hands_off for jig in operation.jigs) else 1


def _held(operation: Operation, subject: Subject, unit: Unit) -> Iterator[Reach]:
    shortest = operation.machine.kind.shortest
    board = subject.bead is not None or operation.asks.work is Work.BLANK
    if shortest is None or (board and subject.part is None):  # beads and panels are got out long
        return
    least = in_shop_terms(shortest, unit) / hands_off(operation)
    length = subject.length if operation.shortest is None else operation.shortest
    if length:  # a board is as long as it is
        apart = subject.part is not None and subject.part.long is not None
        yield Reach(Limit.HOLD, operation, least, length, apart=apart)
