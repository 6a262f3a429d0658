"""What a cutter takes out, seen along the feed: its silhouette in machine axes, in mm.

A straight run past a turning bit takes exactly the bit's silhouette out of the wood, and past a
blade the rectangle of its kerf. u counts from the fence or stop, v from the table: see `planes`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from msgspec.structs import replace

from setupsheets.machining.cutting.planes import HAIR, CutError, mm
from setupsheets.machining.operations import Operation
from setupsheets.shop.cutters import CutShape, Cutter
from setupsheets.shop.machine_kinds import Stand
from setupsheets.shop.machines import ACROSS, SettingName
from setupsheets.shop.outlines import Point
from setupsheets.shop.recipes import MeasuredTo

BEYOND = 12.0  # mm: how much of a cutter is drawn below the table or above the wood
Outline = list[Point]


def silhouette(operation: Operation, top: float, across: float) -> Outline | None:
    """The cutter as it stands for its last pass; None where nothing is cut by a machine.

    ``top`` and ``across`` are how far the wood reaches along v and u. Raises CutError naming the
    setting or the size of the cutter that is missing.
    """
    return BY_STAND[operation.machine.kind.stand](operation, top, across)


def cleared(outline: Outline) -> Outline:
    """The same cut with everything between it and the fence or stop cleared away.

    ``outline`` goes up the side that is towards the fence and down the far side.
    """
    half = len(outline) // 2
    return [(min(u, 0.0), v) for u, v in outline[:half]] + outline[half:]


def _box(near: float, far: float, low: float, high: float) -> Outline:
    return [(near, low), (near, high), (far, high), (far, low)]


def _by_hand(operation: Operation, top: float, across: float) -> None:
    return None


def _blade_below(operation: Operation, top: float, across: float) -> Outline:
    height = figure_of(operation, SettingName.HEIGHT, top + BEYOND)
    return _box(*_span(operation, cutter_of(operation)), -BEYOND, height)


def _blade_above(operation: Operation, top: float, across: float) -> Outline:
    return _box(
        *_span(operation, cutter_of(operation)),
        figure_of(operation, SettingName.HEIGHT, -1.0),
        top + BEYOND,
    )


def _plunge(operation: Operation, top: float, across: float) -> Outline:
    depth = figure_of(operation, SettingName.DEPTH, top + 1.0)
    return _box(*_span(operation, cutter_of(operation)), max(top - depth, HAIR), top + BEYOND)


def _knives_above(operation: Operation, top: float, across: float) -> Outline:
    return _box(-1.0, across + 1.0, figure_of(operation, SettingName.THICKNESS), top + BEYOND)


def _upright(operation: Operation, top: float, across: float) -> Outline:
    cutter, height = cutter_of(operation), figure_of(operation, SettingName.HEIGHT)
    if cutter.shape not in (CutShape.MOULDING, CutShape.COPE):
        if cutter.diameter is None:
            raise CutError(f"{operation.name}: {cutter.name} has no diameter")
        if cutter.shape is not CutShape.DISC:
            return _box(*_span(operation, cutter, mm(cutter.diameter)), -BEYOND, height)
        near, far = _span(replace(operation, wide=None), cutter, mm(cutter.diameter))
        return _box(near, far, height - max(mm(cutter.cut_width), _wide(operation)), height)
    return _revolved(operation, cutter, height)


def _revolved(operation: Operation, cutter: Cutter, height: float) -> Outline:
    """A moulding bit: its outline on the far side, and the same on the side of the fence."""
    if cutter.profile is None or cutter.diameter is None:
        raise CutError(f"{operation.name}: {cutter.name} lacks its profile or diameter")
    width, depth = mm(cutter.profile.width), mm(cutter.profile.depth)
    cope = cutter.shape is CutShape.COPE
    # Without a fence the bearing runs on the wood, and the bit takes the profile's whole width.
    near, far = _span(operation, cutter, mm(cutter.diameter), default=width)
    points = [(width, -BEYOND - height + depth), *cutter.profile.points()]
    side = [(far - x if cope else far - width + x, y + height - depth) for x, y in reversed(points)]
    return [(min(near + far - u, u), v) for u, v in reversed(side)] + side


def _span(
    operation: Operation, cutter: Cutter, width: float | None = None, default: float | None = None
) -> tuple[float, float]:
    """From where to where along u the cutter stands, by fence or stop and what it is set to."""
    setting = operation.setting(*ACROSS)
    width = mm(cutter.cut_width) if width is None else width
    if setting is None:
        if default is None:
            raise CutError(f"{operation.name}: it has neither fence nor stop")
        return default - width, default
    near = mm(operation.from_part(setting)) - width * _BEFORE[setting.to]
    far = near + width
    if setting.to is MeasuredTo.FAR:
        return min(near, far - _wide(operation)), far
    return near, max(far, near + _wide(operation))


def _wide(operation: Operation) -> float:
    return mm(operation.wide) if operation.wide is not None else 0.0


_BEFORE: Mapping[MeasuredTo, float] = {
    MeasuredTo.NEAR: 0.0,
    MeasuredTo.CENTRE: 0.5,
    MeasuredTo.FAR: 1.0,
}
"""How much of the cutter's width lies on the fence's side of what the fence is measured to."""


def figure_of(operation: Operation, name: SettingName, default: float | None = None) -> float:
    """The figure of a setting in mm; CutError where it is not set and there is no ``default``."""
    aim = operation.aim(name)
    if aim is not None:
        return mm(aim)
    if default is None:
        raise CutError(f"{operation.name}: its {name} is not set")
    return default


def cutter_of(operation: Operation) -> Cutter:
    """The operation's cutter; CutError where it has none."""
    if operation.cutter is None:
        raise CutError(f"{operation.name}: it has no cutter")
    return operation.cutter


BY_STAND: Mapping[Stand, Callable[[Operation, float, float], Outline | None]] = {
    Stand.BLADE_BELOW: _blade_below,
    Stand.BLADE_ABOVE: _blade_above,
    Stand.UPRIGHT: _upright,
    Stand.PLUNGING: _plunge,
    Stand.KNIVES_ABOVE: _knives_above,
    Stand.HANDS: _by_hand,
}
