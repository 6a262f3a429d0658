"""A small cut drawn once more, larger: the wood around it, the cutter, and what is taken away."""

from __future__ import annotations

from setupsheets.sheets.drawings import drawing as svg
from setupsheets.sheets.drawings.scene_paper import SceneOnPaper

BESIDE_CUT, BELOW_CUT = (30.0, 30.0), (40.0, 22.0)
"""The room for a detail on the paper: at the right of the pictures, or below them, in mm."""
_SMALL, _THIN = 6.0, 1.5
"""A cut has a detail that is nowhere larger on the paper than the first, in mm, or somewhere
thinner than the second."""
_TIMES = ((8, "eight"), (6, "six"), (5, "five"), (4, "four"), (3, "three"), (2, "two"))
_AROUND = 0.4  # of the cut's size, shown around it


def is_small(paper: SceneOnPaper) -> bool:
    """Whether what is taken away is too small on the paper to be made out."""
    if not paper.scene.removed:
        return False
    left, foot, right, top = _bounds(paper)
    sizes = (right - left) * paper.scale, (top - foot) * paper.scale
    return max(sizes) < _SMALL or min(sizes) < _THIN


def cut_detail(
    paper: SceneOnPaper, corner: svg.Point, room: svg.Point, name: str
) -> tuple[list[str], str, svg.Point]:
    """The detail from its upper left corner on the paper, what the legend says of it, and how far
    right and down it reaches. A dotted frame shows in the picture what it is of."""
    low, foot, high, top = _around(paper)
    times, words = next(
        (
            each
            for each in _TIMES
            if max((high - low) / room[0], (top - foot) / room[1]) * each[0] * paper.scale <= 1
        ),
        _TIMES[-1],
    )
    scale = paper.scale * times
    width, height = (high - low) * scale, (top - foot) * scale
    large = SceneOnPaper.of(
        paper.scene, scale, corner[0] + width + low * scale, corner[1] + top * scale
    )
    clip = svg.rectangle(corner, width, height, "#fff")
    scene = paper.scene
    wood = large.rings(scene.before)
    inside = [
        svg.area(wood, "#fff"),
        svg.area(large.rings(scene.cutter), svg.GREY, svg.THIN),
        svg.area(large.rings(scene.removed), f"url(#{name}-h)", svg.THIN),
        svg.area(large.rings(scene.offcuts), f"url(#{name}-o)", svg.THIN),
        svg.edges(wood, svg.EDGE, (None, None)),
        svg.line((corner[0], large.table), (corner[0] + width, large.table), svg.EDGE),
    ]
    elements = [
        f'<defs><clipPath id="{name}-z">{clip}</clipPath></defs>',
        f'<g clip-path="url(#{name}-z)">{"".join(inside)}</g>',
        *_frame(corner, width, height),
        *_frame(
            (paper.x(high), paper.y(top)), (high - low) * paper.scale, (top - foot) * paper.scale
        ),
        svg.text((corner[0], corner[1] - 2.0), "detail", svg.SMALL, "start", bold=True),
    ]
    told = f"; the detail {words} times as large"
    return elements, told, (corner[0] + max(width, 12.0) + 1.0, corner[1] + height + 1.0)


def framed(paper: SceneOnPaper) -> tuple[float, float, float, float]:
    """Left, top, right and foot of the dotted frame in the picture, in mm on the paper."""
    low, foot, high, top = _around(paper)
    return paper.x(high), paper.y(top), paper.x(low), paper.y(foot)


def _around(paper: SceneOnPaper) -> tuple[float, float, float, float]:
    """What a detail is of, as `_bounds` gives it, with a little around it."""
    low, foot, high, top = _bounds(paper)
    more = _AROUND * max(high - low, top - foot)
    return low - more, max(foot - more, -more), high + more, top + more


def _bounds(paper: SceneOnPaper) -> tuple[float, float, float, float]:
    """Least and greatest distance out from the fence and up from the table of what is taken; where
    that is in several places, of the one that is nearest to the fence."""
    found = []
    for ring in paper.scene.removed:
        out, up = zip(*((point[0], point[1]) for point in ring), strict=True)
        found.append((min(out), min(up), max(out), max(up)))
    return min(found)


def _frame(corner: svg.Point, width: float, height: float) -> list[str]:
    (x, y) = corner
    ring = [(x, y), (x + width, y), (x + width, y + height), (x, y + height), (x, y)]
    return [svg.polyline(ring, svg.THIN, svg.DOTS)]
