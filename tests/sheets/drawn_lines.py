"""A drawing read back from its SVG: lines, areas, arrows and words, in mm on the paper.

What is read is plane geometry alone; nothing of the program's own drawing is asked.
"""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise
from math import dist
from pathlib import Path

from shapely import LineString, Point, Polygon, box
from shapely.geometry.base import BaseGeometry

At = tuple[float, float]
INCH = 25.4  # mm
HAIR, THIN = 0.18, 0.25  # how heavy the lines of a size are: those that reach to it, its own
TAIL = 4.0  # how far its line goes on past arrows that point inwards
BREAK = 1.0  # how high a line's break is, which wood that it lies on is not
NEAR = 0.03
"""Places are written to a hundredth of a mm: two of them agree within three."""


@dataclass(frozen=True)
class Line:
    """A straight line with its weight."""

    start: At
    end: At
    weight: float
    dashed: bool = False

    @property
    def shape(self) -> LineString:
        return LineString([self.start, self.end])


@dataclass(frozen=True)
class Arrow:
    """A solid arrowhead."""

    tip: At
    back: At

    @property
    def way(self) -> At:
        """The way it points, a step long."""
        long = dist(self.tip, self.back)
        return (self.tip[0] - self.back[0]) / long, (self.tip[1] - self.back[1]) / long


@dataclass(frozen=True)
class Said:
    """Words and the box that they are held to: left, top, right, foot."""

    words: str
    box: tuple[float, float, float, float]
    at: At
    size: float
    bold: bool
    upright: bool


@dataclass(frozen=True)
class Sized:
    """A dimension: its line's two tips, whether it is level, the lines that reach to it, and the
    words that stand at it."""

    ends: tuple[At, At]
    level: bool
    reach: tuple[Line, ...]
    words: str

    @property
    def long(self) -> float:
        return dist(*self.ends)


@dataclass(frozen=True)
class Filled:
    """An area with its fill, and how heavy its outline is."""

    shape: BaseGeometry
    fill: str
    weight: float


@dataclass
class Read:
    """All that is in a drawing, in its order."""

    name: str
    width: float
    height: float
    description: str
    words: list[Said] = field(default_factory=list)
    lines: list[Line] = field(default_factory=list)
    areas: list[Filled] = field(default_factory=list)
    arrows: list[Arrow] = field(default_factory=list)
    dots: list[At] = field(default_factory=list)
    turns: list[At] = field(default_factory=list)
    """Every point of an area's outline, as it is written."""
    clipped: list[Filled] = field(default_factory=list)
    """What is cut off at a window: a cutter past its wood, a detail."""

    def filled(self, fill: str) -> list[BaseGeometry]:
        """The areas of a fill."""
        return [each.shape for each in self.areas if each.fill == fill]

    @cached_property
    def sizes(self) -> list[Sized]:
        """Every dimension: a thin line with an arrow at each end, or turned about outside it."""
        return list(_sizes(self))

    @cached_property
    def corners(self) -> list[At]:
        """All that a size may be taken from: where outlines turn, and lines that are no size's."""
        lines = (
            line
            for line in self.lines
            if line.weight > HAIR and not any(_carries(line, size) for size in self.sizes)
        )
        return [*self.turns, *(end for line in lines for end in (line.start, line.end))]


def read(path: Path) -> Read:
    """The drawing in a file."""
    return read_svg(path.read_text("utf-8"), path.stem)


def read_svg(text: str, name: str) -> Read:
    """The drawing that a text is."""
    assert {*re.findall(r"url\(#([^)]+)\)", text)} <= {*re.findall(r'id="([^"]+)"', text)}, name
    svg = ET.fromstring(text.replace(' xmlns="http://www.w3.org/2000/svg"', ""))
    width, height = (float(svg.get(key, "").removesuffix("mm")) for key in ("width", "height"))
    assert svg.get("viewBox") == f"0 0 {svg.get('width')} {svg.get('height')}".replace("mm", "")
    found = Read(name, width, height, svg.findtext("desc") or "")
    _take(svg, found, (0.0, 0.0), clipped=False)
    return found


def _take(parent: ET.Element, found: Read, shift: At, *, clipped: bool) -> None:
    for each in parent:
        weight = float(each.get("stroke-width", "0"))
        match each.tag:
            case "g":
                moved = re.match(r"translate\((\S+) (\S+)\)", each.get("transform", ""))
                by = (float(moved[1]), float(moved[2])) if moved else (0.0, 0.0)
                inner = shift[0] + by[0], shift[1] + by[1]
                _take(each, found, inner, clipped=clipped or each.get("clip-path") is not None)
            case "line":
                ends = [float(each.get(key, "")) for key in ("x1", "y1", "x2", "y2")]
                line = Line((ends[0], ends[1]), (ends[2], ends[3]), weight, _dashed(each))
                if not clipped:
                    found.lines.append(line)
            case "polyline":
                points = [_pair(pair, shift) for pair in each.get("points", "").split()]
                lines = [Line(*ends, weight, _dashed(each)) for ends in pairwise(points)]
                found.lines += lines if not clipped else []
            case "rect":
                x, y, wide, high = (float(each.get(k, "")) for k in ("x", "y", "width", "height"))
                assert wide >= 0 and high >= 0, found.name
                area = Filled(box(x, y, x + wide, y + high), each.get("fill", ""), weight)
                found.turns += [(x, y), (x + wide, y + high)]
                (found.clipped if clipped else found.areas).append(area)
            case "path":
                _take_path(each, found, weight, clipped=clipped)
            case "circle":
                found.dots.append((float(each.get("cx", "")), float(each.get("cy", ""))))
            case "text":
                found.words.append(_said(each, shift))


def _dashed(element: ET.Element) -> bool:
    return element.get("stroke-dasharray") is not None


def _pair(text: str, shift: At = (0.0, 0.0)) -> At:
    x, y = text.split(",")
    return float(x) + shift[0], float(y) + shift[1]


def _take_path(path: ET.Element, found: Read, weight: float, *, clipped: bool) -> None:
    """An area, an arrowhead, or lines."""
    strokes = [
        [(float(x), float(y)) for x, y in re.findall(r"(-?[\d.]+) (-?[\d.]+)", part)]
        for part in re.split(r"(?=M)", path.get("d", ""))
        if part
    ]
    if path.get("fill") == "none":
        closed = path.get("d", "").endswith("Z")
        for points in strokes:
            ends = [*points, points[0]] if closed else points
            if not clipped:
                found.lines += [Line(one, other, weight) for one, other in pairwise(ends)]
        return
    if path.get("fill") == "#000" and len(strokes) == 1 and len(strokes[0]) == 3 and not weight:
        tip, left, right = strokes[0]
        if abs(dist(tip, left) - dist(tip, right)) < NEAR:  # a flag's sides are not alike
            middle = (left[0] + right[0]) / 2, (left[1] + right[1]) / 2
            if abs(dist(tip, middle) - 2.0) < NEAR:
                found.arrows.append(Arrow(tip, middle))
                return
    found.turns += [point for ring in strokes for point in ring]
    whole: BaseGeometry = Polygon()
    for ring in strokes:
        whole = whole.symmetric_difference(Polygon(ring).buffer(0))
    area = Filled(whole, path.get("fill", ""), weight)
    (found.clipped if clipped else found.areas).append(area)


def _said(text: ET.Element, shift: At) -> Said:
    size, long = float(text.get("font-size", "")), float(text.get("textLength", "0"))
    x, y = float(text.get("x", "")) + shift[0], float(text.get("y", "")) + shift[1]
    before = {"start": 0.0, "middle": long / 2, "end": long}[text.get("text-anchor", "start")]
    upright = "rotate(-90" in text.get("transform", "")
    high = size * 0.72
    if upright:
        place = (x - high, y + before - long, x, y + before)
    else:
        place = (x - before, y - high, x - before + long, y)
    bold = text.get("font-weight") == "bold"
    return Said(text.text or "", place, (x, y), size, bold, upright)


def _carries(line: Line, size: Sized) -> bool:
    return line.weight == THIN and all(line.shape.distance(Point(end)) < NEAR for end in size.ends)


def _sizes(found: Read) -> Iterator[Sized]:
    for line in found.lines:
        if line.weight != THIN or line.dashed:
            continue
        tips = [
            _arrow_at(*ends, found) for ends in ((line.start, line.end), (line.end, line.start))
        ]
        level = abs(line.start[1] - line.end[1]) < NEAR
        if None in tips or not (level or abs(line.start[0] - line.end[0]) < NEAR):
            continue
        axis = 0 if level else 1
        first, last = sorted((tip for tip in tips if tip), key=lambda tip: tip[axis])
        reach = tuple(
            each
            for each in found.lines
            if each.weight == HAIR
            and abs(each.start[axis] - each.end[axis]) < NEAR
            and min(each.shape.distance(Point(end)) for end in (first, last)) < NEAR
        )
        yield Sized((first, last), level, reach, _words_at((first, last), level, found))


def _arrow_at(end: At, other: At, found: Read) -> At | None:
    """The tip of the arrow at an end of a size's line: there it points outwards, or it stands one
    tail inside and points inwards."""
    long = dist(end, other)
    for arrow in found.arrows:
        for tail, way in ((0.0, 1), (TAIL, -1)):
            share = tail / long if long else 0.0
            tip = tuple(at + (to - at) * share for at, to in zip(end, other, strict=True))
            ahead = [way * (at - to) / long for at, to in zip(end, other, strict=True)]
            if dist(tip, arrow.tip) < NEAR and dist(ahead, arrow.way) < 0.1:
                return arrow.tip
    return None


def _words_at(ends: Sequence[At], level: bool, found: Read) -> str:
    """The bold figure that stands at a dimension, on its line or beside it, or just left of it."""
    (x0, y0), (x1, y1) = ends
    bold = [each for each in found.words if each.bold and each.size == 4.0]

    def off(said: Said) -> float:
        left, top, right, foot = said.box
        if level:
            beside = min(abs(left - x1 - 5), abs(x0 - right - 5))
            if abs(said.at[1] - (y0 + 1.4)) < NEAR:
                return beside
            if abs(said.at[1] - (y0 - 1.0)) < NEAR:
                return 0.0 if left > x0 - NEAR and right < x1 + NEAR else 99.0
            return 99.0
        if abs(right - (x0 - 1.5)) < NEAR and y0 - 6 < said.at[1] < y1 + 6:
            return abs((top + foot) / 2 - (y0 + y1) / 2)
        return 99.0

    best = min(bold, key=off, default=None)
    return best.words if best is not None and off(best) < 20 else ""


def overlapping(found: Read) -> Iterator[tuple[str, str]]:
    """Words that lie on each other."""
    for at, one in enumerate(found.words):
        for other in found.words[at + 1 :]:
            left, top = max(one.box[0], other.box[0]), max(one.box[1], other.box[1])
            right, foot = min(one.box[2], other.box[2]), min(one.box[3], other.box[3])
            if right - left > 0.05 and foot - top > 0.05:
                yield one.words, other.words


def crossed(found: Read) -> Iterator[tuple[str, Line]]:
    """Words that a line runs through, but where it is broken for them; a dotted one may on wood."""
    wood = [area.shape.buffer(NEAR) for area in found.areas if area.fill == "#fff"]
    breaks = [each for each in wood if each.bounds[3] - each.bounds[1] < BREAK + 3 * NEAR]
    for said in found.words:
        inside = box(*said.box).buffer(-0.15)
        for line in found.lines:
            part = line.shape.intersection(inside)
            white = wood if line.dashed else breaks
            if not part.is_empty and not any(each.contains(part) for each in white):
                yield said.words, line
