"""One operation to scale: the part as it lies on its machine, what the cutter takes, what is left.

The picture looks along the feed, the fence or stop on the right and the table below, as it stands
before the person who feeds. What is cut away is hatched, what falls off is hatched wide, and the
settings are dimensioned where a rule would measure them. All from the figures as printed.
"""

from __future__ import annotations

from bisect import bisect
from collections.abc import Sequence
from functools import cache
from typing import TYPE_CHECKING

from msgspec import Struct

from setupsheets.files.known_results import once_known
from setupsheets.sheets.drawings import drawing as svg
from setupsheets.sheets.drawings.cut_detail import BELOW_CUT, BESIDE_CUT, cut_detail, is_small
from setupsheets.sheets.drawings.cutter_label import (
    ROW,
    LabelRoom,
    cutter_label,
    heading_width,
    heading_words,
    label_room,
    needs_row,
)
from setupsheets.sheets.drawings.dimensions import Placed, across, upright
from setupsheets.sheets.drawings.scene_paper import (
    BESIDE,
    FENCE,
    HEAD,
    SHOWN,
    TABLE,
    Labels,
    SceneOnPaper,
)
from setupsheets.sheets.drawings.scenes import Scene
from setupsheets.sheets.letters.letters import text_width
from setupsheets.wording.lists import capital

if TYPE_CHECKING:
    from shapely import Geometry

WIDTH, HEIGHT = 114.0, 44.0  # mm: the room on the paper for the whole drawing
SCALES: Sequence[tuple[float, str]] = (
    (3.0, "three times full size"),
    (2.0, "twice full size"),
    (1.5, "one and a half times full size"),
    (1.0, "full size"),
    (0.75, "three quarters of full size"),
    (2 / 3, "two thirds of full size"),
    (0.5, "half size"),
    (0.4, "two fifths of full size"),
    (1 / 3, "a third of full size"),
    (0.25, "a quarter of full size"),
    (1 / 6, "a sixth of full size"),
    (1 / 8, "an eighth of full size"),
    (1 / 16, "a sixteenth of full size"),
    (1 / 32, "a thirty-second of full size"),
)
_GAP = 9.0  # mm on the paper between the pictures
Box = tuple[float, float, float, float]  # left, top, right and foot on the paper

_THICK = 1.1  # mm on the paper of a line that shows bearing


class _Layout(Struct, frozen=True):
    """One picture placed, or both, with the dimensions of the first, and the size of the whole."""

    before: SceneOnPaper
    after: SceneOnPaper | None
    level: Placed
    standing: Placed
    room: LabelRoom
    width: float
    height: float


@once_known(most=200)
def cut_drawing(
    name: str, title: str, scene: Scene, labels: Labels, after: bool = True
) -> tuple[svg.Drawing, str]:
    """The scene before the cut with its settings, the part ``after`` it where that is asked for,
    and a line to print below.

    Drawn at the greatest of the usual scales for which it fits the room on the paper; a small cut
    has a detail.
    """
    layout, size = _largest(scene, labels, after)
    detail, told, far = _detail(layout, name)
    elements = [
        *_machine(layout.before, labels),
        *_filler(layout.before),
        *_before(layout.before, name),
        *_surfaces(layout.before, labels),
        *(_after(layout.after) if layout.after else ()),
        *_bearing(layout),
        cutter_label(labels.cutter, layout.room),
        *heading_words(layout.before, labels),
        *layout.standing.elements,
        *layout.level.elements,
        *detail,
    ]
    defs = (
        svg.hatching(f"{name}-h") + svg.hatching(f"{name}-o", 3.2, 0.2) + _clip(layout.before, name)
    )
    words = _in_words(scene, labels, after)
    drawing = svg.finish(name, title, words, far, elements, defs)
    return drawing, _legend(scene, labels, size, told)


def _largest(scene: Scene, labels: Labels, after: bool) -> tuple[_Layout, str]:
    """The layout at the greatest scale that fits its room, and that scale in words."""

    @cache
    def laid_out(scale: float) -> _Layout:
        return _laid_out(scene, labels, scale, after)

    def fits(scale: float) -> bool:
        layout = laid_out(scale)
        return layout.width <= WIDTH and layout.height <= HEIGHT

    # What fits at one scale fits at every smaller one.
    place = bisect(SCALES, False, key=lambda each: fits(each[0]))
    scale, size = SCALES[min(place, len(SCALES) - 1)]
    return laid_out(scale), size


def _detail(layout: _Layout, name: str) -> tuple[list[str], str, svg.Point]:
    """A small cut once more, larger, at the right where there is room and else below the picture of
    the part after it; what the legend says of it, and the size of the whole with it."""
    size = layout.width, layout.height
    if not is_small(layout.before):
        return [], "", size
    corner, room = (layout.width + _GAP, HEAD), BESIDE_CUT
    if corner[0] + room[0] > WIDTH:
        below = layout.after or layout.before
        corner = (below.wood_left, max(below.table + 9.0, 0.0 if layout.after else size[1] + 4.0))
        room = (min(BELOW_CUT[0], WIDTH - corner[0] - 1.0), BELOW_CUT[1])
    drawn, told, far = cut_detail(layout.before, corner, room, name)
    return drawn, told, (max(size[0], far[0]), max(size[1], far[1]))


def _laid_out(scene: Scene, labels: Labels, scale: float, after: bool) -> _Layout:
    """The pictures at one scale, moved right as far as the dimensions on the left need."""
    over = SHOWN if scene.cutter_high > scene.width + 0.01 else 0.0
    rise = SHOWN + 1 if scene.cutter_top > scene.height + 0.01 else 2.0
    if scene.fence:  # its word stands upright on it
        rise = max(rise, text_width(labels.rest, svg.SMALL) + 3.0 - scene.height * scale)

    def placed(left: float, head: float, row: float) -> tuple[SceneOnPaper, Placed, Placed]:
        table = head + scene.height * scale
        paper = SceneOnPaper.of(scene, scale, left + over + scene.width * scale, table)
        standing = [paper.dimension(mark) for mark in scene.marks if not mark.level]
        level = [paper.dimension(mark) for mark in scene.marks if mark.level]
        return paper, upright(standing, paper.wood_left - over), across(level, table + TABLE + row)

    _, standing, below = placed(0.0, HEAD + rise, 0.0)
    left = max(standing.depth + 1, 1.0 - below.low, BESIDE)
    first, standing, below = placed(left, HEAD + rise, 0.0)
    row = ROW if needs_row(labels.cutter, label_room(first, labels)) else 0.0
    head, under = (row, 0.0) if scene.from_above else (0.0, row)
    first, standing, below = placed(left, HEAD + rise + head, under)
    rest = FENCE if scene.fence else 0.0
    heading = first.wood_left + heading_width(labels) + 3.0
    right = max(first.rest + rest + _GAP, heading) + scene.width * scale
    second = SceneOnPaper.of(scene, scale, right, first.table) if after else None
    foot = first.table + TABLE + under + below.depth + 1
    wide = second.fence + 4 if second else max(first.rest + rest, heading) + 1
    size = max(wide, below.high + 1), max(foot, standing.high + 1)
    return _Layout(first, second, below, standing, label_room(first, labels), *size)


def _clip(paper: SceneOnPaper, name: str) -> str:
    """The window that a cutter is drawn in: the wood, the table's thickness, the fence's, and a
    little air."""
    left, top = paper.wood_left - SHOWN, paper.wood_top - SHOWN
    width, height = paper.rest + FENCE - left, paper.table + TABLE - top
    return f'<clipPath id="{name}-c">{svg.rectangle((left, top), width, height, "#fff")}</clipPath>'


def _machine(paper: SceneOnPaper, labels: Labels) -> list[str]:
    """Table, and fence or stop, as strips whose faces are heavy lines."""
    end = paper.rest + (FENCE if paper.scene.fence else 4.0)
    left = paper.wood_left - BESIDE + 1
    elements = [
        svg.rectangle((left, paper.table), end - left, TABLE, svg.PALE),
        svg.line((left, paper.table), (end, paper.table), svg.EDGE),
        svg.text((left + 1, paper.table + 3.8), "table", svg.SMALL, "start"),
    ]
    if paper.scene.fence:
        high = text_width(labels.rest, svg.SMALL) + 3
        top = min(paper.wood_top - 3, paper.table - high)
        # A cutter from above hides the head of the fence or stop, one from below its foot.
        word = paper.table - high + 2 if paper.scene.from_above else top + 1
        elements += [
            svg.rectangle((paper.rest, top), FENCE, paper.table - top, svg.PALE),
            svg.line((paper.rest, top), (paper.rest, paper.table), svg.EDGE),
            svg.text((paper.rest + 4.6, word), labels.rest, svg.SMALL, "end", upright=True),
        ]
    return elements


def _before(paper: SceneOnPaper, name: str) -> list[str]:
    """The wood, the cutter over it, and what is taken away hatched over both."""
    scene, opening = paper.scene, paper.opening
    wood = paper.rings(scene.before)
    cutter = svg.area(paper.rings(scene.cutter), svg.GREY, svg.THIN)
    return [
        svg.area(wood, "#fff"),
        f'<g clip-path="url(#{name}-c)">{cutter}</g>',
        svg.area(paper.rings(scene.removed), f"url(#{name}-h)", svg.THIN),
        svg.area(paper.rings(scene.offcuts), f"url(#{name}-o)", svg.THIN),
        svg.edges(wood, svg.EDGE, opening),
        *_breaks(paper),
    ]


def _after(paper: SceneOnPaper) -> list[str]:
    left, end = paper.wood_left - 3, paper.fence + 3
    wood, heading = paper.rings(paper.scene.after), (paper.wood_left, HEAD - 2)
    table = svg.line((left, paper.table), (end, paper.table), svg.THIN)
    return [
        svg.area(wood, "#fff"),
        table,
        svg.edges(wood, svg.EDGE, paper.opening),
        *_breaks(paper),
        svg.text(heading, "after", svg.SMALL, "start", bold=True),
    ]


def _bearing(layout: _Layout) -> list[str]:
    """Thick lines under the part and beside it, where it bears on table and fence."""
    before, after, bears = layout.before, layout.after, layout.before.scene.bears
    lines = [_on_table(before, span) for span in bears.table]
    lines += [_on_table(after, span) for span in bears.table_after] if after else []
    for low, high in bears.fence:
        head = before.y(high)
        lines.append(svg.rectangle((before.fence, head), _THICK, before.y(low) - head, "#000"))
    return lines


def _on_table(paper: SceneOnPaper, span: tuple[float, float]) -> str:
    right, left = (paper.x(out) for out in span)
    return svg.rectangle((left, paper.table), right - left, _THICK, "#000")


def _filler(paper: SceneOnPaper) -> list[str]:
    """The filler strip on the table, crossed as blocking is drawn."""
    if paper.scene.bears.filler is None:
        return []
    (near, far), high = paper.scene.bears.filler
    (left, top), (right, foot) = paper.at((far, high)), paper.at((near, 0.0))
    return [
        svg.rectangle((left, top), right - left, foot - top, "#fff", svg.THIN),
        svg.line((left, top), (right, foot), svg.THIN),
        svg.line((left, foot), (right, top), svg.THIN),
    ]


def _breaks(paper: SceneOnPaper) -> list[str]:
    out, up = paper.opening
    elements = []
    if out is not None:
        elements.append(svg.break_line((out, paper.wood_top), (out, paper.table)))
    if up is not None:
        elements.append(svg.break_line((paper.wood_left, up), (paper.fence, up)))
    return elements


def _surfaces(paper: SceneOnPaper, labels: Labels) -> list[str]:
    """The part's surfaces written inside it, each along its own side where there is room."""
    from shapely import MultiLineString, build_area  # noqa: PLC0415

    low, high, reach = paper.table - 1.3, paper.wood_top + 1.3 + svg.SMALL * 0.75, 1.3
    out, up = paper.scene.opening
    rise = svg.SMALL * 0.75
    stays = build_area(MultiLineString(paper.rings(paper.scene.after)))
    lines = _lines_through(paper)
    elements = []
    for words, base in ((labels.down, low), (labels.top if up is None else "", high)):
        wide = text_width(words, svg.SMALL)
        for x in _from_middle(paper.wood_left + 1, paper.fence - 1 - wide) if words else ():
            box = (x, base - svg.SMALL * 0.8, x + wide, base + 0.3)
            if _free(stays, lines, box):
                elements.append(svg.text((x, base), words, svg.SMALL, "start"))
                lines.append(box)
                break
    sides = ((labels.against, paper.fence - reach), (labels.free, paper.wood_left + reach + rise))
    for words, base in sides if out is None else sides[:1]:
        wide = text_width(words, svg.SMALL)
        for y in _from_middle(high + 1, low - svg.SMALL - 1 - wide) if words else ():
            if _free(stays, lines, (base - rise, y, base + 0.3, y + wide)):
                elements.append(svg.text((base, y + wide), words, svg.SMALL, "start", upright=True))
                break
    return elements


def _lines_through(paper: SceneOnPaper) -> list[Box]:
    """The thin lines of dimensions that cross the wood, as boxes to keep words out of."""
    lines = []
    for mark in paper.scene.marks:
        if mark.level:
            x, y = paper.at((mark.end, mark.beside))
            lines.append((x, y, x, paper.table))
        else:
            for height in (mark.start, mark.end):
                x, y = paper.at((mark.beside, height))
                lines.append((paper.wood_left, y, x, y))
    return lines


def _from_middle(low: float, high: float) -> list[float]:
    """Places to try between two limits, the middle first; none where there is no room."""
    if high < low:
        return []
    steps = [low + (high - low) * index / 12 for index in range(13)]
    return sorted(steps, key=lambda place: (abs(place - (low + high) / 2), place))


def _free(wood: Geometry, lines: Sequence[Box], place: Box) -> bool:
    """Whether a box lies inside the wood and on no line."""
    from shapely import box  # noqa: PLC0415

    left, top, right, foot = place
    crossed = any(
        x0 < right and left < x1 + 0.3 and y0 < foot and top < y1 + 0.3 for x0, y0, x1, y1 in lines
    )
    return not crossed and bool(wood.contains(box(*place)))


def _legend(scene: Scene, labels: Labels, size: str, detail: str) -> str:
    """The line below the drawing: its scale, and what is in it and not in all of them."""
    off = ". Wide hatching: falls off" if scene.offcuts else ""
    filler = ". Crossed: filler strip" if scene.bears.filler else ""
    spacer = f". Between part and {labels.rest}: the spacer, taken out" if scene.spacer else ""
    return f"{capital(size)}{detail}{off}{filler}{spacer}."


def _in_words(scene: Scene, labels: Labels, after: bool) -> str:
    """What the drawing shows, for a screen reader."""
    down = f"{labels.down} down on the table" if labels.down else "the part on the table"
    against = f", {labels.against} against the {labels.rest}" if scene.fence else ""
    settings = "; ".join(
        f"{mark.name} {mark.words}".strip() + (f" ({mark.light})" if mark.light else "")
        for mark in scene.marks
    )
    shown = f" Dimensioned: {settings}." if settings else ""
    left = " After it." if after else ""
    return f"Before the cut: {down}{against}, and what the {labels.cutter} takes.{shown}{left}"
