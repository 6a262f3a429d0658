"""The finished end laid on its mate: gap and overlap along the whole joint, in mm.

The end comes from the operations as printed, or as they would come out with every machine a known
amount off; the mate from its section and its mortise. Both lie in the plane of the end, z from the
tip of the tenon and y from the face: see `planes`.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from setupsheets.joinery.members.parts import End
from setupsheets.lengths import Length
from setupsheets.machining.checking.features import (
    AT_END,
    Feature,
    FeatureLine,
    cheek_lines,
    edge_lines,
)
from setupsheets.machining.cutting.cuts import run
from setupsheets.machining.cutting.planes import Plane, mm, plane_of, polygon
from setupsheets.machining.cutting.shapes import moulded_edge
from setupsheets.machining.operations import Operation, SetUp, Subject
from setupsheets.shop.outlines import FLATNESS, Point

if TYPE_CHECKING:
    from shapely import Polygon

Offsets = Mapping[str, float]
"""How far each cause is from what was aimed at, in mm, by the names that readings use:
``operation.setting``, ``blank.length``, ``blank.thickness``."""

STEP = 0.25  # mm: how close together the joint is looked at
ON = 1e-6  # mm: how near to a boundary a point counts as on it
BEYOND = 15.0  # mm of the mate shown past the mortise
CLEAR = 1.0  # mm
CLOSED = 2 * FLATNESS  # mm: two flattened arcs may lie so far apart and mean the same
_SQUARE = frozenset({Feature.TONGUE_SHOULDER, Feature.BACK_SHOULDER, Feature.TIP})
_CHEEKS = frozenset({Feature.FACE_CHEEK, Feature.BACK_CHEEK})


class Contact(Struct, frozen=True):
    """One run of the joint, by the end's feature there: the greatest gap and overlap along it (mm).

    Both are measured square to the surface. ``too_long`` is measured along the part, and only where
    the part ends square: how far it must come back. ``asked`` is the gap that the design leaves:
    under a tenon's tip, nothing elsewhere.
    """

    feature: Feature
    gap: float
    overlap: float
    too_long: float = 0.0
    asked: float = 0.0

    @property
    def open(self) -> float:
        """How much wider the gap is than is asked for, in mm; minus where it is narrower."""
        return self.gap - self.asked


class Joint(Struct, frozen=True):
    """An end laid on its mate where the drawing has it: both shapes and every run of contact.

    ``out_of_flush`` is how far the part's face stands behind its mate's (minus: proud) with the
    tenon in the middle of its mortise, in mm.
    """

    end: Polygon
    mate: Polygon
    contacts: tuple[Contact, ...]
    out_of_flush: float

    @property
    def closes(self) -> bool:
        """Whether it neither binds nor stands open anywhere, and its faces are flush."""
        off = (max(contact.overlap, contact.open) for contact in self.contacts)
        return max(*off, self.held_open, abs(self.out_of_flush)) <= CLOSED

    @property
    def held_open(self) -> float:
        """How far the part must stay back, in mm, for a shoulder or a tip that is too long.

        A cope that binds is not in it: it may be pared or pressed home, which no drawing tells.
        """
        return max(contact.too_long for contact in self.contacts)

    @property
    def left_under_tenon(self) -> float:
        """The gap that the design leaves under the tenon's tip, in mm."""
        return max((each.asked for each in self.contacts if each.feature is Feature.TIP), default=0)


def joint(set_ups: Sequence[SetUp], offsets: Offsets | None = None) -> Joint:
    """The end that set-ups make, each machine off by so much, laid on its mate.

    A blank too long is taken to stand out at both ends by half. An end that is fitted to its mate
    as made is looked at as both were designed, by how far its machines are off. Raises CutError
    where the operations do not tell what they cut, ValueError where the subject is no end.
    """
    set_ups = [item.designed or item for item in set_ups]
    subject = set_ups[0].subject
    if subject.end is None:
        raise ValueError("only an end has a mate to be laid on")
    return laid_on_mate(_made(set_ups, offsets or {}, subject), subject.end)


def laid_on_mate(made: Polygon, end: End) -> Joint:
    """A finished end in its plane, laid on the mate that it is meant for."""
    mate, contacts = _mate(end), []
    for line in _mate_lines(end, made):
        if points := _inside(line.feature, _on(mate, line.points), made.bounds[0]):
            asked = mm(end.gap) if line.feature is Feature.TIP else 0.0
            contacts.append(_contact(line.feature, points, made, asked))
    return Joint(made, mate, tuple(contacts), _out_of_flush(made, end))


def growth(
    set_ups: Sequence[SetUp], cause: str, step: Length, count: int = 4
) -> tuple[tuple[Length, Joint], ...]:
    """The joint with one cause off by so many steps, from minus to plus ``count`` of them."""
    offsets = [step * steps for steps in range(-count, count + 1)]
    return tuple((off, joint(set_ups, {cause: mm(off)})) for off in offsets)


def _made(set_ups: Sequence[SetUp], offsets: Offsets, subject: Subject) -> Polygon:
    from shapely import affinity  # noqa: PLC0415

    operations = [_moved(item, offsets) for set_up in set_ups for item in set_up.operations]
    thicker = replace(subject, thickness=subject.thickness + _off(offsets, "blank.thickness"))
    stages = run([item for item in operations if plane_of(item.asks) is Plane.END], thicker)
    if not stages:
        raise ValueError("no operation shapes the end")
    return affinity.translate(stages[-1].after, -offsets.get("blank.length", 0.0) / 2)


def _moved(operation: Operation, offsets: Offsets) -> Operation:
    settings = tuple(
        replace(item, aim=item.aim + _off(offsets, item.cause)) for item in operation.settings
    )
    return replace(operation, settings=settings)


def _off(offsets: Offsets, cause: str) -> Length:
    return Length.from_float(offsets.get(cause, 0.0))


def _mate(end: End) -> Polygon:
    """The mate's section, its sight edge at the reach, with the mortise sunk into it."""
    reach, far = mm(end.reach), mm(end.mortise_depth) + BEYOND
    thickness = mm(end.mate.thickness)
    edge = [(reach - x, y) for x, y in moulded_edge(end.mate, thickness)]
    solid = polygon([*edge, (reach - far, thickness), (reach - far, 0.0)])
    return solid.difference(polygon(_mortise(end)))


def _mortise(end: End) -> list[Point]:
    bottom, mouth = -mm(end.gap), mm(end.reach)
    first, last = mm(end.tenon.from_face), mm(end.tenon.from_face + end.tenon.thickness)
    return [(bottom, first), (mouth, first), (mouth, last), (bottom, last)]


def _mate_lines(end: End, made: Polygon) -> Iterator[FeatureLine]:
    """Points along the runs of the mate that the end is to lie on."""
    reach, bottom = mm(end.reach), -mm(end.gap)
    for line in edge_lines(end.mate, made.bounds[3], AT_END):
        # The cope's tip is where the face is seen to close: it belongs to no other run.
        tip = line.points[:1] if line.feature is Feature.COPE else ()
        points = (*tip, *_spread(line.points))
        yield replace(line, points=tuple((reach - x, y) for x, y in points))
    cheeks = cheek_lines(end.tenon, reach)
    yield from (replace(cheek, points=tuple(_spread(cheek.points))) for cheek in cheeks)
    mouths = [(bottom, cheek.points[0][1]) for cheek in cheeks]
    yield FeatureLine(Feature.TIP, tuple(_spread(mouths)))


def _on(mate: Polygon, points: Sequence[Point]) -> list[Point]:
    """Those of the points where the mate really has wood: not in the mouth of its mortise."""
    import shapely  # noqa: PLC0415

    away = shapely.distance(shapely.points(points), mate.boundary)
    return [point for point, distance in zip(points, away, strict=True) if distance < ON]


def _inside(feature: Feature, points: list[Point], tip: float) -> list[Point]:
    """A cheek is looked at clear of the tenon's tip and of the shoulder, which are other runs."""
    if feature not in _CHEEKS:
        return points
    mouth = max((z for z, _ in points), default=0.0)
    return [point for point in points if max(tip, 0.0) + CLEAR < point[0] < mouth - CLEAR]


def _spread(points: Sequence[Point]) -> list[Point]:
    """Points along a line, none further than a step from the next, its ends left out a little.

    A corner belongs to two runs: looked at exactly there, one run's gap would count for the other.
    """
    found = []
    for (x0, y0), (x1, y1) in pairwise(points):
        steps = max(1, math.ceil(math.dist((x0, y0), (x1, y1)) / STEP))
        shares = ((index + 0.5) / steps for index in range(steps))
        found += [(x0 + (x1 - x0) * share, y0 + (y1 - y0) * share) for share in shares]
    return found


def _contact(feature: Feature, points: Sequence[Point], made: Polygon, asked: float) -> Contact:
    import numpy as np  # noqa: PLC0415
    import shapely  # noqa: PLC0415

    places = shapely.points(points)
    outside = shapely.distance(places, made)
    inside = np.where(outside > 0, 0.0, shapely.distance(places, made.boundary))
    deepest = int(np.argmax(inside))
    return Contact(
        feature=feature,
        gap=float(outside.max()),
        overlap=float(inside[deepest]),
        too_long=_too_long(points[deepest], made) if feature in _SQUARE else 0.0,
        asked=asked,
    )


def _too_long(point: Point, made: Polygon) -> float:
    """How far the end reaches past a point of its mate, along the part."""
    from shapely import LineString, Point  # noqa: PLC0415

    z, y = point
    past = made.intersection(LineString([(made.bounds[0] - 1, y), (z, y)]))
    pieces = getattr(past, "geoms", (past,))
    return max((piece.length for piece in pieces if piece.distance(Point(z, y)) < ON), default=0.0)


def _out_of_flush(made: Polygon, end: End) -> float:
    """How far the mortise has its middle towards the back from where the tenon has its own.

    A stub too short to stand clear of both shoulders says nothing of it.
    """
    bare = mm(end.reach - max(end.mate.sticking.width, end.mate.rebate.width)) - CLEAR
    if bare < CLEAR:
        return 0.0
    _, low, _, high = made.intersection(_band(made.bounds[0], bare)).bounds
    return float(mm(end.tenon.from_face + end.tenon.thickness / 2) - (low + high) / 2)


def _band(first: float, last: float) -> Polygon:
    return polygon([(first, -1e4), (last, -1e4), (last, 1e4), (first, 1e4)])
