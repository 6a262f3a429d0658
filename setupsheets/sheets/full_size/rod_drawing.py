"""A rod at full size: sections in their places, what is hidden in them, and every mark named.

The datum edge lies at x 0, the face along y 0 and the back a thickness below. Marks are drawn at
their exact places; their figures are the nearest marks of the shop's rule, as on the story sticks.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import groupby
from typing import TYPE_CHECKING

from setupsheets.joinery.frame.opening import bevel_loss
from setupsheets.joinery.members.rod_strips import (
    Rod,
    RodCover,
    RodCut,
    RodHidden,
    RodMark,
    RodPane,
    RodStrip,
    Way,
)
from setupsheets.lengths import Length, Notation
from setupsheets.machining.cutting.planes import mm, polygon
from setupsheets.machining.cutting.shapes import moulded_edge
from setupsheets.sheets.drawings.drawing import SMALL
from setupsheets.sheets.drawings.stick_drawing import spread
from setupsheets.sheets.full_size.plate import (
    EDGE,
    Ink,
    Plate,
    Stroke,
    Word,
    hatched,
    lines_of,
    outline,
)
from setupsheets.sheets.letters.letters import text_width
from setupsheets.shop.jobs import Side
from setupsheets.wording.rods import DATUM, leaf_words, rod_mark_words, rod_notes, rod_title

if TYPE_CHECKING:
    from shapely import Polygon

_PITCH, _LEAD = 4.6, 8.0
"""mm from one mark's words to the next, from the face to where they stand."""


def rod_plates(rods: Iterable[Rod], job: str, notation: Notation) -> Iterator[Plate]:
    """A plate for each strip of each rod; ``job`` is its title."""
    for rod in rods:
        for number, strip in enumerate(rod.strips, start=1):
            more = f"-{number}" if len(rod.strips) > 1 else ""
            name = f"{rod.way}-rod{more}"
            yield _plate(name, rod_title(rod, strip, job), rod, strip, notation)


def cut_area(cut: RodCut) -> Polygon:
    """A member cut across, in its place along the rod (mm)."""
    low, high, deep = mm(cut.low), mm(cut.high), mm(cut.section.thickness)
    near, far = (
        moulded_edge(cut.section, deep, groove=groove) if moulded else [(0.0, 0.0), (0.0, deep)]
        for moulded, groove in zip(cut.moulded, cut.grooves, strict=True)
    )
    ring = [*((low + x, y) for x, y in near), *((high - x, y) for x, y in reversed(far))]
    whole, meets = polygon(ring), cut.meets
    if meets is None or not meets.lap:
        return whole
    half = cut.section.thickness / 2
    start = cut.low if meets.at is Side.LEFT else cut.high - meets.lap
    gone = _box(start, start + meets.lap, Length.ZERO if meets.from_face else half, half)
    left: Polygon = whole.difference(gone)
    return left


def _plate(name: str, title: str, rod: Rod, strip: RodStrip, notation: Notation) -> Plate:
    deep, horn, end = mm(rod.thickness), mm(rod.horn), mm(rod.length)
    strokes = [*_wood(strip), *_hidden(strip.hidden), *_horns(end, horn, deep), *_datum(deep)]
    strokes += bevel_lines(rod, strip)
    ends = [mm(mark.at) for mark in strip.marks]
    left, right = min(-horn, *ends) - EDGE, max(end + horn, *ends) + EDGE
    marks, words, high = _marked(strip, (left, right), notation)
    return Plate(
        name=name,
        title=title,
        notes=rod_notes(rod, notation),
        corner=(left, -high - EDGE),
        far=(right, deep + 12.0),
        strokes=(*strokes, *marks),
        words=(*words, *_names(strip.cuts, deep)),
    )


def _wood(strip: RodStrip) -> Iterator[Stroke]:
    """Sections hatched, what is seen beyond them, and the panes."""
    from shapely import LineString, union_all  # noqa: PLC0415

    areas = [cut_area(cut) for cut in strip.cuts]
    for area in areas:
        yield from outline(Ink.SECTION, area)
        yield from hatched(area)
    wood = union_all([*areas, *(_pane_area(pane) for pane in strip.panes)])
    for each in strip.beyond:
        section = each.section
        past = max(section.sticking.width, section.rebate.width)
        span = mm(each.start - past), mm(each.end + past)
        levels = [Length.ZERO, section.sticking.depth, section.thickness]
        levels += [section.thickness - section.rebate.depth] if each.rebated else []
        for y in map(mm, levels):
            clear = LineString([(span[0], y), (span[1], y)]).difference(wood)
            yield from lines_of(Ink.BEYOND, clear)
    for pane in strip.panes:
        yield from outline(Ink.PANE, _pane_area(pane))
    if strip.cover is not None:
        area = cover_area(strip.cover)
        yield from outline(Ink.SECTION, area)
        yield from hatched(area)


def cover_area(cover: RodCover) -> Polygon:
    """The strip over a pair's gap, before the face (mm)."""
    return _box(cover.low, cover.high, -cover.thickness, cover.thickness)


def _pane_area(pane: RodPane) -> Polygon:
    whole = _box(pane.start, pane.end, pane.from_face, pane.thickness)
    if not pane.border:
        return whole
    sunk = pane.thickness - pane.tongue
    for low in (pane.start, pane.end - pane.border):
        whole = whole.difference(_box(low, low + pane.border, pane.from_face, sunk))
    return whole


def _box(start: Length, end: Length, from_face: Length, thickness: Length) -> Polygon:
    left, right, top, foot = mm(start), mm(end), mm(from_face), mm(from_face + thickness)
    return polygon([(left, top), (right, top), (right, foot), (left, foot)])


def _hidden(hidden: Iterable[RodHidden]) -> Iterator[Stroke]:
    for each in hidden:
        area = _box(each.start, each.end, each.from_face, each.thickness)
        yield from outline(Ink.HIDDEN, area)


def bevel_lines(rod: Rod, strip: RodStrip) -> Iterator[Stroke]:
    """The upright edges as they are bevelled, for hinge pins at the face: as wide there as the leaf
    is drawn, and narrower at the back. The edges of a rebated meeting are left out."""
    opening, deep = rod.opening, rod.thickness
    if opening is None or rod.way is Way.HEIGHT:
        return
    hinge, lock = (mm(bevel_loss(deep, each)) for each in (opening.hinge_bevel, opening.lock_bevel))
    if opening.pair is not None:
        edges = [(0.0, hinge), (mm(rod.length), -hinge)]
    elif opening.hinge is Side.LEFT:
        edges = [(0.0, hinge), (mm(rod.length - opening.fitting), -lock)]
    else:
        edges = [(mm(opening.fitting), lock), (mm(rod.length), -hinge)]
    for cut in strip.cuts:
        if cut.meets and not cut.meets.lap:
            left = cut.meets.at is Side.LEFT
            edges.append((mm(cut.low), lock) if left else (mm(cut.high), -lock))
    for at, off in edges:
        if off:
            yield Stroke(Ink.HIDDEN, ((at, 0.0), (at + off, mm(deep))))


def _horns(end: float, horn: float, deep: float) -> Iterator[Stroke]:
    """What is left on the stiles past both ends until the leaf is fitted."""
    for near, far in ((0.0, -horn), (end, end + horn)) if horn else ():
        yield Stroke(Ink.BEYOND, ((near, 0.0), (far, 0.0), (far, deep), (near, deep)))


def _datum(deep: float) -> list[Stroke]:
    """The datum edge as a heavy line that stands out, with a flag at its foot."""
    flag = ((0.0, deep + 3.0), (4.0, deep + 4.5), (0.0, deep + 6.0))
    return [Stroke(Ink.DATUM, ((0.0, -2.0), (0.0, deep + 6.0))), Stroke(Ink.DATUM, flag)]


def _names(cuts: Sequence[RodCut], deep: float) -> Iterator[Word]:
    """What each section is of, below it; face and back along the strip."""
    for cut in cuts:
        yield Word((mm(cut.low + cut.high) / 2, deep + 4.5), cut.part, anchor="middle")
    first, *_ = sorted(cuts, key=lambda cut: cut.low)
    beside = mm(first.high) + 3.0
    yield Word((beside, 4.0), "face")
    yield Word((beside, deep - 1.2), "back")
    yield Word((5.0, deep + 9.0), DATUM)
    for leaf in dict.fromkeys(cut.leaf for cut in cuts if cut.leaf):
        ends = [mm(end) for cut in cuts if cut.leaf is leaf for end in (cut.low, cut.high)]
        yield Word(((min(ends) + max(ends)) / 2, deep + 9.0), leaf_words(leaf), anchor="middle")


def _marked(
    strip: RodStrip, span: tuple[float, float], notation: Notation
) -> tuple[list[Stroke], list[Word], float]:
    """A line at every mark, its words upright above it, and how high all of that stands."""
    places = _by_place(strip.marks)
    true = [mm(at) for at in places]
    lines = [rod_mark_words(marks, strip, notation) for marks in places.values()]
    deep = mm(strip.cuts[0].section.thickness)
    over = mm(strip.cover.thickness) if strip.cover else 0.0
    strokes, words = [], []
    for at, place, line in zip(
        true, spread(true, _PITCH, span[0] + 4.0, span[1] - 1.0), lines, strict=True
    ):
        top = -over - _LEAD
        bent = ((at, deep), (at, -over - 1.0), (place, top + 1.0), (place, top))
        strokes.append(Stroke(Ink.MARK, bent))
        words.append(Word((place + 1.1, top - 1.0), line, upright=True))
    return strokes, words, over + _LEAD + 1.0 + max(text_width(line, SMALL) for line in lines)


def _by_place(marks: Sequence[RodMark]) -> Mapping[Length, list[RodMark]]:
    """Marks by where they are, from the datum edge on."""
    ordered = sorted(dict.fromkeys(marks), key=lambda mark: mark.at)
    return {at: list(here) for at, here in groupby(ordered, key=lambda mark: mark.at)}
