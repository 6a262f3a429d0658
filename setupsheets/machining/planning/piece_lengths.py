"""Parts too short to be worked by themselves, and how long the piece is at every operation.

A short bar is not safely fed past a cutter. A good joiner gets it out in a longer piece: copes the
end of the piece, moulds the piece, cuts the part off it and copes its other end on a sled. Two bars
lie in one piece, one from either end, so that little is wasted; a rail, which has one moulded edge
and cannot be turned end for end, lies alone.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from math import ceil

from msgspec.structs import replace

from setupsheets.joinery.members.parts import Joinery, LongBlank, Part
from setupsheets.lengths import Length, Unit
from setupsheets.machining.operations import FittedJig, Operation, SetUp, WorkedAt
from setupsheets.machining.planning.batches import BARS
from setupsheets.machining.planning.choices import Equipment, choose_recipe
from setupsheets.machining.setting.reach import hands_off
from setupsheets.shop.jobs import Job
from setupsheets.shop.machine_kinds import MACHINE_KINDS
from setupsheets.shop.machines import SettingName
from setupsheets.shop.recipes import JigKind, Makes, Surface, Work
from setupsheets.shop.shop_terms import in_shop_terms

BY_HAND = max(kind.shortest for kind in MACHINE_KINDS.values() if kind.shortest is not None)
"""A part so long can be worked by itself on every machine."""
ROOM = Length("1 in")
"""Between parts in one piece, for the saw and for a first try at an end to be cut away: common
practice, no source."""
_STEPS: Mapping[Unit, Length] = {Unit.IN: Length("1/2 in"), Unit.MM: Length("10 mm")}


def with_long_blanks(joinery: Joinery, job: Job, equipment: Equipment) -> Joinery:
    """The joinery with the piece that each part too short to be worked by itself is made in; as it
    is where no recipe says how such parts are cut apart. Raises DataFaults for a faulty recipe."""
    unit = equipment.settings.unit
    parts = tuple(replace(part, long=_long_blank(part, unit)) for part in joinery.parts)
    if parts == joinery.parts or choose_recipe(Makes.PARTING, job, equipment) is None:
        return joinery
    return replace(joinery, parts=parts)


def _long_blank(part: Part, unit: Unit) -> LongBlank | None:
    """What counts along a part counts from its lower or left end: that one is there first. A cut
    that stops short counts from both, so such a part has its own length before."""
    least = in_shop_terms(BY_HAND, unit)
    if part.overall >= least or any(each.stopped for each in part.stretches):
        return None
    outer = 1 if part.role.upright else 0
    holds = 2 if part.role in BARS and part.count > 1 else 1
    length = max(least, holds * part.overall + in_shop_terms(ROOM, unit))
    return LongBlank(ceil(length / _STEPS[unit]) * _STEPS[unit], holds, outer)


def with_lengths(set_ups: Iterable[SetUp], joinery: Joinery, unit: Unit) -> tuple[SetUp, ...]:
    """Set-ups in the order of the route, their places with how long the piece is by then: what a
    stop has last cut it to, and before the first stop it is a board. An end that is cut on a piece
    too short even for a sled has a carrier."""
    now: dict[str, Length] = {}
    boards = {part.name: part.piece_length for part in joinery.parts}
    found = (_with_lengths(each, now, boards) for each in set_ups)
    return tuple(
        replace(made, operations=tuple(_carried(each, unit) for each in made.operations))
        for made in found
    )


def _carried(operation: Operation, unit: Unit) -> Operation:
    shortest, hands = operation.shortest, operation.machine.kind.shortest
    ends = operation.asks.work in (Work.END, Work.HALVING)
    if not shortest or hands is None or not ends or hands_off(operation) != 2:
        return operation
    needed = in_shop_terms(hands, unit)
    if shortest >= needed / 2:
        return operation
    return replace(operation, jigs=(*operation.jigs, replace(_CARRIER, sizes={"length": needed})))


_CARRIER = FittedJig(
    "carrier",
    JigKind.CARRIES,
    "A board with a pocket cut to the part, in which that is wedged and held down, its end standing"
    " out to be cut; the carrier is clamped as a longer part is, and hands stay on its far end",
)


def _with_lengths(made: SetUp, now: dict[str, Length], boards: Mapping[str, Length]) -> SetUp:
    def at(operation: Operation, place: WorkedAt) -> WorkedAt:
        if made.recipe.makes is Makes.BLANK:
            return replace(place, length=now.get(place.part, Length.ZERO))
        return replace(place, length=now.get(place.part, boards.get(place.part)))

    operations = []
    for operation in made.operations:
        if (kept := _cut_to(operation)) is not None:
            now |= {place.part: kept for place in operation.places}
        places = tuple(at(operation, place) for place in operation.places)
        operations.append(replace(operation, places=places))
    return replace(made, operations=tuple(operations))


def _cut_to(operation: Operation) -> Length | None:
    """The length that an operation cuts whole pieces to; None for one that does not."""
    asks = operation.asks
    if asks.work is not Work.BLANK or asks.against is not Surface.END:
        return None
    return operation.aim(SettingName.STOP)
