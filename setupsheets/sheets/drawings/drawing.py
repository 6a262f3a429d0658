"""Drawing in SVG for print: lines, areas, hatching, arrows and words, all in mm on the paper.

Every element carries its own presentation attributes, because a PDF maker may ignore a page's
stylesheet inside SVG. Nothing needs colour to be read. x runs right and y down the paper; all
functions are pure and give SVG text, the same for the same input to the last byte.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from html import escape
from itertools import pairwise

from msgspec import Struct

from setupsheets.sheets.letters.letters import FONT, text_width

Point = tuple[float, float]
Ring = Sequence[Point]
Opening = tuple[float | None, float | None]

HAIR, THIN, EDGE, BOLD = 0.18, 0.25, 0.5, 0.8  # line weights, mm
SMALL, FIGURE = 3.2, 4.0  # letter sizes, mm: nothing is printed smaller than 3 mm
DASH, DOTS = "2 1.2", "0.6 1"
GREY, PALE = "#d4d4d4", "#f1f1f1"

_controls = re.compile(r"[\x00-\x08\x0b-\x1f\x7f]").sub


class Drawing(Struct, frozen=True):
    """A finished drawing: ``name`` is safe as a file name and unique on its pages; ``description``
    says in words what it shows; ``width`` and ``height`` in mm on the paper."""

    name: str
    title: str
    description: str
    svg: str
    width: float
    height: float


def number(value: float) -> str:
    """A coordinate to a hundredth of a mm, without idle zeros: ``12.5``, ``0``."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def xml_text(words: str) -> str:
    """Words as text of SVG or HTML; control characters, which XML does not allow, are left out."""
    return escape(_controls("", words), quote=False)


def line(start: Point, end: Point, weight: float = THIN, dash: str = "") -> str:
    """A straight line."""
    ends = "".join(
        f' {name}="{number(value)}"'
        for name, value in zip(("x1", "y1", "x2", "y2"), (*start, *end), strict=True)
    )
    return f"<line{ends}{_stroke(weight, dash)}/>"


def polyline(points: Ring, weight: float = THIN, dash: str = "") -> str:
    """A line through several points, not closed and not filled."""
    listed = " ".join(f"{number(x)},{number(y)}" for x, y in points)
    return f'<polyline points="{listed}" fill="none"{_stroke(weight, dash)}/>'


def area(rings: Iterable[Ring], fill: str, weight: float = 0.0, dash: str = "") -> str:
    """A filled area; rings inside rings are holes. Nothing at all for no rings."""
    path = "".join(_closed(ring) for ring in rings)
    stroke = _stroke(weight, dash) if weight else ' stroke="none"'
    return f'<path d="{path}" fill="{fill}" fill-rule="evenodd"{stroke}/>' if path else ""


def edges(rings: Iterable[Ring], weight: float, open_at: Opening = (None, None)) -> str:
    """The outlines of rings; sides that lie on the line ``x = open_at[0]`` or ``y = open_at[1]``
    are left undrawn, because the part goes on there."""
    path = "".join(_open_ring(ring, open_at) for ring in rings)
    return f'<path d="{path}" fill="none"{_stroke(weight, "")}/>' if path else ""


def rectangle(corner: Point, width: float, height: float, fill: str, weight: float = 0.0) -> str:
    """An upright rectangle from its upper left corner."""
    (x, y), stroke = corner, _stroke(weight, "") if weight else ' stroke="none"'
    sizes = f'width="{number(width)}" height="{number(height)}"'
    return f'<rect x="{number(x)}" y="{number(y)}" {sizes} fill="{fill}"{stroke}/>'


def dot(centre: Point, radius: float, fill: str = "#000", weight: float = THIN) -> str:
    """A round mark."""
    x, y = centre
    place = f'cx="{number(x)}" cy="{number(y)}" r="{number(radius)}"'
    return f'<circle {place} fill="{fill}"{_stroke(weight, "")}/>'


def text(
    at: Point,
    words: str,
    size: float = SMALL,
    anchor: str = "middle",
    bold: bool = False,
    upright: bool = False,
) -> str:
    """Words standing on the point ``at``; ``upright`` turns them to read from below.

    They are held to the width that they were given room for, whatever font they are printed with.
    """
    x, y = number(at[0]), number(at[1])
    wide = number(text_width(words, size, bold))
    weight = ' font-weight="bold"' if bold else ""
    turn = f' transform="rotate(-90 {x} {y})"' if upright else ""
    return (
        f'<text x="{x}" y="{y}" font-family="{FONT}" font-size="{number(size)}"'
        f' text-anchor="{anchor}" textLength="{wide}" lengthAdjust="spacingAndGlyphs"'
        f' fill="#000"{weight}{turn}>{xml_text(words)}</text>'
    )


def arrowhead(tip: Point, direction: Point) -> str:
    """A solid arrowhead with its point at ``tip``; ``direction`` is the way it points."""
    size = math.hypot(*direction)
    ux, uy = direction[0] / size, direction[1] / size
    long, half = 2.0, 0.44
    back = (tip[0] - ux * long, tip[1] - uy * long)
    left, right = (
        (back[0] - uy * half, back[1] + ux * half),
        (back[0] + uy * half, back[1] - ux * half),
    )
    return area([[tip, left, right]], "#000")


def hatching(name: str, gap: float = 1.6, weight: float = 0.35) -> str:
    """The definition of a slanting hatch, to fill areas with ``url(#name)``."""
    return (
        f'<pattern id="{name}" width="{number(gap)}" height="{number(gap)}"'
        ' patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
        f"{line((0, 0), (0, gap), weight)}</pattern>"
    )


def break_line(start: Point, end: Point) -> str:
    """The zigzag across a part that goes on, standing out past both its edges a little."""
    length = math.dist(start, end)
    ux, uy = (end[0] - start[0]) / length, (end[1] - start[1]) / length
    middle, reach = length / 2, 1.4
    steps = [
        (-1.5, 0.0),
        (middle - reach, 0.0),
        (middle - reach / 2, reach),
        (middle + reach / 2, -reach),
        (middle + reach, 0.0),
        (length + 1.5, 0.0),
    ]
    points = [(start[0] + ux * a - uy * b, start[1] + uy * a + ux * b) for a, b in steps]
    return polyline(points, THIN)


def finish(
    name: str, title: str, description: str, size: Point, elements: Iterable[str], defs: str = ""
) -> Drawing:
    """The whole drawing as one SVG element that a screen reader announces by title and words.

    ``size`` is its width and height in mm on the paper.
    """
    width, height = number(size[0]), number(size[1])
    definitions = f"<defs>{defs}</defs>" if defs else ""
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" id="{name}" width="{width}mm" height="{height}mm"'
        f' viewBox="0 0 {width} {height}" role="img" aria-labelledby="{name}-t {name}-d">'
        f'<title id="{name}-t">{xml_text(title)}</title>'
        f'<desc id="{name}-d">{xml_text(description)}</desc>'
        f"{definitions}{''.join(elements)}</svg>"
    )
    return Drawing(name, title, description, svg, size[0], size[1])


def _stroke(weight: float, dash: str) -> str:
    dashes = f' stroke-dasharray="{dash}"' if dash else ""
    return f' stroke="#000" stroke-width="{number(weight)}"{dashes}'


def _closed(ring: Ring) -> str:
    return "M" + "L".join(f"{number(x)} {number(y)}" for x, y in ring) + "Z"


def _open_ring(ring: Ring, open_at: Opening) -> str:
    """A ring as a path, without the sides that lie on an opening."""
    points = list(ring)
    if points[0] != points[-1]:
        points.append(points[0])
    if open_at == (None, None):
        return _closed(points[:-1])
    steps = [f"M{number(points[0][0])} {number(points[0][1])}"]
    for start, end in pairwise(points):
        gone = any(
            at is not None and abs(start[axis] - at) < 1e-6 and abs(end[axis] - at) < 1e-6
            for axis, at in enumerate(open_at)
        )
        steps.append(f"{'M' if gone else 'L'}{number(end[0])} {number(end[1])}")
    return "".join(steps)
