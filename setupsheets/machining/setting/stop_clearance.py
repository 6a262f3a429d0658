"""Whether a saw's blade passes clear of the stop, and the spacer that makes room where it does not.

Between the stop and the side of the blade that it is measured to lies the blade itself. A figure
smaller than the cut is wide has the blade run through the stop: a wooden one is sawn to a wrong
face, a metal one wrecks the saw. A spacer of known thickness laid between stop and part while the
part is clamped, and taken out for the cut, lets the stop stand so much further off.
"""

from __future__ import annotations

from collections.abc import Mapping

from msgspec.structs import replace

from setupsheets.lengths import Length
from setupsheets.machining.operations import Operation, Setting
from setupsheets.shop.machine_kinds import Stand
from setupsheets.shop.machines import ACROSS, SettingName
from setupsheets.shop.recipes import JigKind, MeasuredTo, Surface

AIR = Length("1/16 in")  # between stop and blade, at least: common practice, no source
_SAWS = frozenset({Stand.BLADE_BELOW, Stand.BLADE_ABOVE})
_TOWARDS: Mapping[MeasuredTo, int] = {
    MeasuredTo.NEAR: 0,
    MeasuredTo.CENTRE: 1,
    MeasuredTo.FAR: 2,
}
"""How many halves of the cut lie between the stop and what it is measured to."""


def room_at_stop(operation: Operation) -> tuple[Setting, Length] | None:
    """What stops a part's end on a saw, and the least figure at which the blade passes clear of it;
    None where nothing stops an end there."""
    setting, cutter = operation.setting(*ACROSS), operation.cutter
    if setting is None or cutter is None or operation.asks.against is not Surface.END:
        return None
    if operation.machine.kind.stand not in _SAWS:
        return None
    cut = cutter.cut_width
    if operation.wide is not None and setting.to is MeasuredTo.FAR:
        cut = max(cut, operation.wide)
    return setting, cut * _TOWARDS[setting.to] / 2 + AIR


def with_spacer(operation: Operation) -> Operation:
    """The operation with its spacer in use where the stop would stand in the way, the stop's figure
    so much greater; without a spacer where it is clear by itself."""
    room, jig = room_at_stop(operation), operation.jig(JigKind.SPACES)
    if jig is None:
        return operation
    others = tuple(each for each in operation.jigs if each is not jig)
    if room is None or room[0].name is not SettingName.STOP or room[0].aim >= room[1]:
        return replace(operation, jigs=others)
    thickness = jig.sizes["thickness"]
    settings = tuple(
        replace(each, aim=each.aim + thickness) if each.name is SettingName.STOP else each
        for each in operation.settings
    )
    return replace(operation, settings=settings, jigs=(jig, *others))
