"""The outline of a moulding that comes out of a drawing, SVG or DXF, as lines and arcs.

It is drawn as sections lie in the program's own drawings: face at the head, sight edge at the left,
one path from the face to the sight edge. Lines and arcs of circles stay what they are; any other
curve becomes chords that stray no further than ``CURVE_ERROR``.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from itertools import islice, pairwise
from pathlib import Path
from typing import TYPE_CHECKING, Any

from msgspec import Struct

from setupsheets.files.documents import Document, is_there, read_bytes
from setupsheets.files.faults import DataFaults, extra_needed
from setupsheets.lengths import Length, Unit, read_length
from setupsheets.shop.outlines import FLATNESS, Point

if TYPE_CHECKING:
    from setupsheets.files.plain_tree import Value

DRAWN = (".svg", ".dxf")
"""How the names of drawings end."""
CURVE_ERROR = FLATNESS / 2
"""How far a chord may stray from the curve that it stands for, in mm."""
MOST_PIECES, LARGEST = 5000, 10_000.0
"""So many lines, arcs and chords are read of a drawing, and curves so large (mm), and no more."""
EXTRA = extra_needed("reading a drawn outline", "drawings")
_HOLDERS = ("sticking", "profile")
"""The keys of a section and of a cutter that hold a moulding."""
_QUARTER = math.pi / 2


class DrawingFault(ValueError):
    """A drawing from which no outline can be read, with what is wrong with it."""


class DrawnPiece(Struct, frozen=True):
    """A line, or an arc of at most a quarter turn when it has a centre; mm, y towards the back."""

    start: Point
    end: Point
    centre: Point | None = None

    @property
    def turned(self) -> DrawnPiece:
        """The same, drawn the other way."""
        return DrawnPiece(self.end, self.start, self.centre)


def with_outlines(document: Document, unit: Unit) -> dict[str, Value]:
    """The data of a document, a drawing's name in the place of an outline read to its steps.

    The drawing lies beside the document's own file, or among the shop's sections, so that a section
    and its cutters can share it. Raises DataFaults for one that cannot be read,
    that is no single path, or that is not of the moulding's width and depth.
    """
    data = dict(document.data)
    for holder in _HOLDERS:
        moulding = data.get(holder)
        if isinstance(moulding, dict) and isinstance(name := moulding.get("outline"), str):
            try:
                sides: list[Any] = [moulding["width"], moulding["depth"]]
                size = (read_length(each, unit) for each in sides)
                steps = drawn_steps(_beside(document.path, name), *size)
            except ValueError as error:
                fault = document.marks.fault(f"{name}: {error}", holder, "outline")
                raise DataFaults([fault]) from None
            data[holder] = {**moulding, "outline": steps}
    return data


def _beside(path: Path, name: str) -> Path:
    """The drawing of that name beside a file, or else in the folder of sections next to its own."""
    here, shared = path.parent / name, path.parent.parent / "sections" / name
    return shared if not is_there(here) and is_there(shared) else here


def drawn_steps(path: Path, width: Length, depth: Length) -> list[Value]:
    """The steps of an outline as a file would have them, in mm. Raises DrawingFault."""
    try:
        content = read_bytes(path)
    except DataFaults as found:
        raise DrawingFault(found.faults[0].message) from None
    pieces = _placed(_chain(_read(path.suffix, content)))
    (start, end), wide, deep = (pieces[0].start, pieces[-1].end), width.mm, depth.mm
    found_size = start[0], end[1]
    if max(abs(found_size[0] - wide), abs(found_size[1] - deep)) > FLATNESS:
        raise DrawingFault(
            f"it is {found_size[0]:.3f} mm wide and {found_size[1]:.3f} mm deep from end to end, "
            f"where width and depth say {float(wide):.3f} mm and {float(deep):.3f} mm"
        )
    last = DrawnPiece(pieces[-1].start, (0.0, float(deep)), pieces[-1].centre)
    return [_step(piece) for piece in (*pieces[:-1], last)]


def _read(suffix: str, content: bytes) -> list[DrawnPiece]:
    """All that a drawing holds, whatever goes wrong inside the library that reads it."""
    reader = _svg_pieces if suffix == ".svg" else _dxf_pieces
    try:
        return list(islice(reader(content), MOST_PIECES + 1))
    except ImportError:
        raise DrawingFault(EXTRA) from None
    except DrawingFault:
        raise
    except Exception as error:
        raise DrawingFault(f"not readable as {suffix[1:].upper()}: {error}") from None


def _step(piece: DrawnPiece) -> dict[str, Value]:
    step: dict[str, Value] = {"to": _texts(piece.end)}
    return step if piece.centre is None else {**step, "centre": _texts(piece.centre)}


def _texts(point: Point) -> list[Value]:
    return [f"{Length.from_float(each).mm.limit_denominator(10**6)} mm" for each in point]


# --------------------------------------------------------------------------------- one path, placed


def _chain(pieces: list[DrawnPiece]) -> list[DrawnPiece]:
    """Pieces end to end in one run. Raises DrawingFault where they make none, or a closed one."""
    left = [piece for piece in pieces if math.dist(piece.start, piece.end) > 1e-9]
    if not left:
        raise DrawingFault("it holds no line, arc or curve")
    if len(left) > MOST_PIECES:
        raise DrawingFault(f"it holds more than {MOST_PIECES} pieces, which no moulding has")
    chain = [left.pop(0)]
    while left:
        at = next((at for at, piece in enumerate(left) if _joined(chain, piece)), None)
        if at is None:
            raise DrawingFault("it holds more than one path: leave the moulding's alone in it")
        left.pop(at)
    if math.dist(chain[0].start, chain[-1].end) <= FLATNESS:
        raise DrawingFault("its path is closed: draw the moulding alone, from face to sight edge")
    return chain


def _joined(chain: list[DrawnPiece], piece: DrawnPiece) -> bool:
    """Whether a piece, either way round, went on at one end of the chain."""
    for each in (piece, piece.turned):
        if math.dist(chain[-1].end, each.start) <= FLATNESS:
            chain.append(each)
            return True
        if math.dist(each.end, chain[0].start) <= FLATNESS:
            chain.insert(0, each)
            return True
    return False


def _placed(chain: list[DrawnPiece]) -> list[DrawnPiece]:
    """From the face on, counted from the sight edge and from the face."""
    if chain[0].start[1] > chain[-1].end[1]:
        chain = [piece.turned for piece in reversed(chain)]
    (right, face), (left, _) = chain[0].start, chain[-1].end
    if right <= left:
        raise DrawingFault("draw it with the face at the head and the sight edge at the left")

    def at(point: Point) -> Point:
        return point[0] - left, point[1] - face

    return [
        DrawnPiece(at(each.start), at(each.end), at(each.centre) if each.centre else None)
        for each in chain
    ]


# -------------------------------------------------------------------------------- curves and arcs


def _round(centre: Point, radius: float, start: float, turn: float) -> Iterator[DrawnPiece]:
    """An arc of a circle in pieces of a quarter turn at most; angles in radians."""
    count = max(1, math.ceil(abs(turn) / _QUARTER - 1e-9))
    angles = [start + turn * index / count for index in range(count + 1)]
    points = [(centre[0] + radius * math.cos(a), centre[1] + radius * math.sin(a)) for a in angles]
    for before, after in pairwise(points):
        yield DrawnPiece(before, after, centre)


def _chords(points: Iterable[Point]) -> Iterator[DrawnPiece]:
    for before, after in pairwise(points):
        yield DrawnPiece(before, after)


def bezier_parts(points: list[Point], error: float) -> int:
    """Into how many equal parts of its parameter a Bezier curve is cut, so that no chord strays
    further than ``error``: with d its degree and M its greatest second difference of control
    points, n = sqrt(d (d - 1) M / (8 error)) (Wang 1984, value from memory)."""
    degree = len(points) - 1
    seconds = [
        math.hypot(*(a - 2 * b + c for a, b, c in zip(p, q, r, strict=True)))
        for p, q, r in zip(points, points[1:], points[2:], strict=False)
    ]
    most = max(seconds, default=0.0)
    return max(1, math.ceil(math.sqrt(degree * (degree - 1) * most / (8 * error))))


# ------------------------------------------------------------------------------------- SVG and DXF

_SVG_UNITS = ("mm", "cm", "in")
_PIXEL = 25.4 / 96  # mm: a px of CSS, in which the library gives every length


def _svg_pieces(content: bytes) -> Iterator[DrawnPiece]:
    """The pieces of the one path of an SVG file whose size is in mm, cm or inches."""
    import io  # noqa: PLC0415

    import svgelements  # noqa: PLC0415

    if b"<!ENTITY" in content:
        raise DrawingFault("it defines entities, which no drawing needs")
    drawing = svgelements.SVG.parse(io.BytesIO(content), reify=True, ppi=96.0)
    size = str(drawing.values.get("attributes", {}).get("width", "")).strip()
    if not size.endswith(_SVG_UNITS) or drawing.viewbox is None:
        raise DrawingFault(
            "its unit is not stated: give it a width and a height in mm, cm or in, and a viewBox"
        )
    shapes = [each for each in drawing.elements() if isinstance(each, svgelements.Shape)]
    for shape in shapes:
        for segment in svgelements.Path(shape):
            yield from _svg_segment(segment)


def _svg_segment(segment: Any) -> Iterator[DrawnPiece]:
    from svgelements import Arc, Close, CubicBezier, Line, QuadraticBezier  # noqa: PLC0415

    def at(point: Any) -> Point:
        return float(point.x) * _PIXEL, float(point.y) * _PIXEL

    if isinstance(segment, Line | Close):
        if segment.start is not None and segment.end is not None:
            yield DrawnPiece(at(segment.start), at(segment.end))
    elif isinstance(segment, CubicBezier | QuadraticBezier):
        control = [at(point) for point in segment if point is not None]
        count = bezier_parts(control, CURVE_ERROR)
        yield from _chords(at(segment.point(index / count)) for index in range(count + 1))
    elif isinstance(segment, Arc):
        radii = float(segment.rx) * _PIXEL, float(segment.ry) * _PIXEL
        if abs(radii[0] - radii[1]) <= 1e-6:
            centre, start = at(segment.center), at(segment.start)
            angle = math.atan2(start[1] - centre[1], start[0] - centre[0])
            yield from _round(centre, radii[0], angle, float(segment.sweep))
        else:
            step = 2 * math.acos(1 - CURVE_ERROR / max(radii))
            count = max(1, math.ceil(abs(float(segment.sweep)) / step))
            yield from _chords(at(segment.point(index / count)) for index in range(count + 1))


_DXF_UNITS = {1: 25.4, 4: 1.0, 5: 10.0}
"""mm of the units that a DXF header may say: inches, mm, cm (DXF reference, $INSUNITS)."""


def _dxf_pieces(content: bytes) -> Iterator[DrawnPiece]:
    """The pieces of the lines, arcs, polylines and curves of a DXF file, y turned downwards."""
    import io  # noqa: PLC0415

    from ezdxf import recover  # noqa: PLC0415

    drawing, _ = recover.read(io.BytesIO(content))
    scale = _DXF_UNITS.get(int(drawing.header.get("$INSUNITS", 0)))
    if scale is None:
        raise DrawingFault("its unit is not stated: save it with $INSUNITS in mm, cm or inches")
    entities: list[Any] = list(drawing.modelspace())
    for entity in entities:
        whole = entity.dxftype() in ("LWPOLYLINE", "POLYLINE")
        for each in entity.virtual_entities() if whole else (entity,):
            yield from _dxf_entity(each, scale)


def _dxf_entity(entity: Any, scale: float) -> Iterator[DrawnPiece]:
    def at(point: Any) -> Point:
        return float(point[0]) * scale, -float(point[1]) * scale

    kind, dxf = entity.dxftype(), entity.dxf
    if kind == "LINE":
        yield DrawnPiece(at(dxf.start), at(dxf.end))
    elif kind == "ARC":
        start, end = math.radians(dxf.start_angle), math.radians(dxf.end_angle)
        turn = (end - start) % math.tau or math.tau
        yield from _round(at(dxf.center), dxf.radius * scale, -start, -turn)
    elif kind in ("SPLINE", "ELLIPSE"):
        reach = entity.control_points if kind == "SPLINE" else [dxf.major_axis]
        if max((abs(each) for point in reach for each in point), default=0.0) * scale > LARGEST:
            raise DrawingFault(
                f"it holds a curve of more than {LARGEST:g} mm, which no moulding has"
            )
        yield from _chords(at(point) for point in entity.flattening(CURVE_ERROR / scale))
    else:
        raise DrawingFault(f"it holds a {kind}, where lines, arcs and curves are expected")
