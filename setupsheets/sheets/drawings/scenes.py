"""What a drawing of a cut shows, in machine axes: mm out from the fence or stop, mm up from the
table. Long parts are cropped to the zone of the cut; where the part goes on, that is remembered.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from msgspec import Struct

from setupsheets.lengths import Length, Notation
from setupsheets.machining.cutting.cuts import Run, Stage
from setupsheets.machining.operations import Operation, Subject
from setupsheets.machining.support.bearing import Bearing, Span
from setupsheets.machining.support.runs import Support
from setupsheets.sheets.drawings.drawing import Opening, Ring
from setupsheets.sheets.drawings.paper import rings_of
from setupsheets.shop.machines import ACROSS, SettingName
from setupsheets.shop.recipes import JigKind
from setupsheets.wording.operations import figure_words, true_words

if TYPE_CHECKING:
    from shapely import Geometry

_MARGIN = 15.0  # mm of wood shown beyond a cut before the part is broken off
_FROM_TABLE = frozenset({SettingName.HEIGHT, SettingName.THICKNESS})


class DrawnMark(Struct, frozen=True):
    """A setting to dimension: from ``start`` to ``end`` out from the fence (``level``) or up from
    the table; ``beside`` is how far along the other axis the measured edge of the cutter lies.
    ``words`` are the figure to set, ``light`` the true distance where that is another."""

    name: str
    words: str
    level: bool
    start: float
    end: float
    beside: float
    light: str = ""


class Bears(Struct, frozen=True):
    """Where the part bears: spans on the table out from the fence, and up the fence, before the cut
    and after it; ``filler`` is a strip laid under it, its two sides and its height."""

    table: tuple[Span, ...] = ()
    fence: tuple[Span, ...] = ()
    table_after: tuple[Span, ...] = ()
    filler: tuple[Span, float] | None = None


class Scene(Struct, frozen=True):
    """One cut as it stands. Areas are lists of rings; ``width`` and ``height`` are how far the wood
    is drawn, ``opening`` where it goes on past that, ``cutter_high`` and ``cutter_top`` how far
    the cutter reaches out and up, ``bears`` where the part stands. ``spacer`` is how far the stop
    stands from the part, which a spacer was set by."""

    before: tuple[Ring, ...]
    removed: tuple[Ring, ...]
    offcuts: tuple[Ring, ...]
    after: tuple[Ring, ...]
    cutter: tuple[Ring, ...]
    width: float
    height: float
    cutter_high: float
    cutter_top: float
    opening: Opening
    fence: bool
    marks: tuple[DrawnMark, ...]
    bears: Bears
    spacer: float = 0.0

    @property
    def from_above(self) -> bool:
        """Whether the cutter comes from above and is drawn over the wood."""
        return self.cutter_top > self.height


def scene_of(
    stage: Stage,
    subject: Subject,
    notation: Notation,
    stands: Sequence[Support] = (),
    to_set: Mapping[str, Length] | None = None,
) -> Scene | None:
    """The scene of one stage; None where the operation has no cut that shows.

    ``stands`` say how the part stands for each run past the cutter, where that is to be shown;
    ``to_set`` by cause the figures to set, where those are not the distances aimed at.
    """
    if not stage.cut.runs:
        return None
    run = stage.cut.runs[0]
    before = run.placement.view(stage.before)
    removed = run.placement.view(stage.removed)
    cutter = run.placement.view(run.cutter)
    _, _, width, height = before.bounds
    goes_on = _goes_on(stage, subject)
    needed = max(_far(removed), _far(cutter)) + _MARGIN
    shown, opening = _cropped(width, needed, goes_on == "u")
    from_top = stage.operation.setting(SettingName.DEPTH) is not None
    high, over = (
        (height, height if goes_on == "v" else None)
        if from_top
        else _cropped(height, max(_top(removed), _top(cutter)) + _MARGIN, goes_on == "v")
    )
    window = (-1e4, -1e4, shown, high)

    def rings(geometry: Geometry) -> tuple[Ring, ...]:
        return tuple(rings_of(_within(geometry, window)))

    offcuts = [run.placement.view(piece) for piece in stage.offcuts]
    return Scene(
        before=rings(before),
        removed=rings(removed),
        offcuts=tuple(ring for piece in offcuts for ring in rings(piece)),
        after=rings(run.placement.view(stage.after)),
        cutter=tuple(rings_of(cutter)),
        width=shown,
        height=high,
        cutter_high=cutter.bounds[2],
        cutter_top=cutter.bounds[3],
        opening=(opening, over),
        fence=run.fence is not None,
        marks=tuple(_marks(stage.operation, run, height, notation, to_set or {})),
        bears=_bears(stage, stands, width, (shown, high)) if stands else Bears(),
        spacer=float(stage.operation.spacer.mm),
    )


def _bears(
    stage: Stage, stands: Sequence[Support], width: float, shown: tuple[float, float]
) -> Bears:
    """The bearing of the first run before its cut, and of the last one after it.

    The picture after the cut has the part as it lay first, even where its other sight edge was
    turned to the fence since; one that lies on its sight edges keeps what it has at the fence.
    """
    first, last = stands[0].before, stands[-1].after
    after = last.beside
    if len(stands) > 1 and stage.cut.runs[0].placement.machine_axes[0] == "x":
        after = tuple((width - high, width - low) for low, high in reversed(after))
    return Bears(
        _up_to(first.beside, shown[0]),
        _up_to(first.fence, shown[1]),
        _up_to(after, shown[0]),
        _filler(stage.operation, first),
    )


def _up_to(spans: Sequence[Span], shown: float) -> tuple[Span, ...]:
    return tuple((low, min(high, shown)) for low, high in spans if low < shown)


def _filler(operation: Operation, stand: Bearing) -> tuple[Span, float] | None:
    """Where the filler strip lies that widens what the part stands on."""
    jig = operation.jig(JigKind.FILLS)
    if jig is None or stand.base is None or not stand.table:
        return None
    (low, high), near, far = stand.base, stand.table[0][0], stand.table[-1][1]
    if low < near:
        return (low, near), float(jig.sizes["height"].mm)
    return ((far, high), float(jig.sizes["height"].mm)) if high > far else None


def _goes_on(stage: Stage, subject: Subject) -> str:
    """Which machine axis the part goes on along past what its plane shows, if any."""
    from setupsheets.machining.cutting.planes import extents, mm  # noqa: PLC0415

    if stage.cut.plane.axes[0] != "z" or mm(subject.length) <= extents(subject)["z"]:
        return ""
    placement = stage.cut.runs[0].placement
    return "u" if placement.machine_axes[0] == "z" else "v"


def _cropped(width: float, needed: float, goes_on: bool) -> tuple[float, float | None]:
    """How far the wood is drawn from the fence, and where it is broken off."""
    if width - needed > (0.0 if goes_on else _MARGIN):
        return needed, needed
    return width, width if goes_on else None


def _far(geometry: Geometry) -> float:
    return 0.0 if geometry.is_empty else float(geometry.bounds[2])


def _top(geometry: Geometry) -> float:
    return 0.0 if geometry.is_empty else float(geometry.bounds[3])


def _within(geometry: Geometry, window: tuple[float, float, float, float]) -> Geometry:
    from shapely import clip_by_rect  # noqa: PLC0415

    inside = geometry.bounds[2] <= window[2] and geometry.bounds[3] <= window[3]
    return geometry if inside else clip_by_rect(geometry, *window)


def _marks(
    operation: Operation, run: Run, top: float, notation: Notation, to_set: Mapping[str, Length]
) -> Iterator[DrawnMark]:
    """The settings that show in this plane, each where it is measured."""
    _, foot, high, _ = run.placement.view(run.cutter).bounds
    above = operation.machine.kind.stand.above
    for setting in operation.settings:
        figure, size = to_set.get(setting.cause, setting.aim), float(setting.aim.mm)
        words = figure_words(setting, figure, notation), true_words(setting, figure, notation)
        if setting.name in ACROSS:
            end, foot_at = float(operation.from_part(setting).mm), foot if above else 0.0
            yield DrawnMark(setting.name, words[0], True, end - size, end, foot_at, words[1])
        elif setting.name in _FROM_TABLE:
            yield DrawnMark(setting.name, words[0], False, 0.0, size, max(high, 0.0), words[1])
        elif setting.name is SettingName.DEPTH:
            low = top - size
            yield DrawnMark(setting.name, words[0], False, top, low, max(high, 0.0), words[1])
