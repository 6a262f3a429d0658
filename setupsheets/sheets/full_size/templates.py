"""Templates at full size to lay on a test piece: each section, each end with its cope, and each
moulding with its reverse."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from setupsheets.joinery.members.parts import End, Joinery, Part, Role
from setupsheets.joinery.members.rods import Rod, RodCut
from setupsheets.lengths import Length, Notation
from setupsheets.machining.cutting.planes import mm, polygon
from setupsheets.machining.cutting.shapes import design, moulded_edge
from setupsheets.machining.operations import Subject
from setupsheets.sheets.drawings.drawing import SMALL, text_width
from setupsheets.sheets.full_size.plate import (
    EDGE,
    LINE,
    Ink,
    Plate,
    Stroke,
    Word,
    hatched,
    outline,
)
from setupsheets.sheets.full_size.rod_drawing import cut_area
from setupsheets.shop.recipes import Work
from setupsheets.shop.sections import Section, Sticking
from setupsheets.wording.lists import listed
from setupsheets.wording.rods import (
    MOULDING,
    REVERSE,
    TRUE_SIZE,
    cope_words,
    section_words,
    templates_title,
)

if TYPE_CHECKING:
    from shapely import Polygon

_WIDE = 250.0  # mm: as much as a tile of either paper shows
_GAP = 8.0
_WOOD = 8.0  # mm of wood around a moulding


@dataclass(frozen=True)
class Template:
    """One shape in mm, wherever it lies, and what is written below it."""

    area: Polygon
    lines: tuple[str, ...]

    @property
    def width(self) -> float:
        """How wide it is with its words."""
        left, _, right, _ = self.area.bounds
        return max(float(right - left), *(text_width(line, SMALL) for line in self.lines))

    @property
    def height(self) -> float:
        """How high it is with its words."""
        _, top, _, foot = self.area.bounds
        words = LINE * len(self.lines) + 1.0
        return words + float(foot) - float(top)


def templates_plate(joinery: Joinery, rods: Iterable[Rod], job: str, notation: Notation) -> Plate:
    """All templates of a leaf on one plate, in rows."""
    found = [
        *_sections(rods, notation),
        *_copes(joinery.parts, notation),
        *_mouldings(joinery.parts),
    ]
    strokes: list[Stroke] = []
    words: list[Word] = []
    x = y = high = 0.0
    for each in found:
        if x and x + each.width > _WIDE:
            x, y, high = 0.0, y + high + _GAP, 0.0
        drawn, written = _placed(each, (x, y))
        strokes += drawn
        words += written
        x, high = x + each.width + _GAP, max(high, each.height)
    return Plate(
        name="templates",
        title=templates_title(job),
        notes=TRUE_SIZE,
        corner=(-EDGE, -EDGE),
        far=(max(_WIDE, *(each.width for each in found)) + EDGE, y + high + _GAP),
        strokes=tuple(strokes),
        words=tuple(words),
    )


def _placed(each: Template, at: tuple[float, float]) -> tuple[list[Stroke], list[Word]]:
    from shapely import affinity  # noqa: PLC0415

    left, top, _, foot = each.area.bounds
    area = affinity.translate(each.area, at[0] - left, at[1] - top)
    base = at[1] + foot - top + 1.0
    words = [Word((at[0], base + LINE * (row + 0.8)), line) for row, line in enumerate(each.lines)]
    return [*outline(Ink.SECTION, area), *hatched(area)], words


def _sections(rods: Iterable[Rod], notation: Notation) -> Iterator[Template]:
    """Every section that members of the leaf have, each once, its sight edge at the left."""
    parts: dict[RodCut, list[str]] = {}
    for cut in (cut for rod in rods for strip in rod.strips for cut in strip.cuts):
        moulded, grooves = cut.moulded, cut.grooves
        if moulded == (False, True):
            moulded, grooves = (True, False), grooves[::-1]
        wide = cut.high - cut.low
        alone = RodCut("", Role.STILE, cut.section, Length.ZERO, wide, moulded, grooves)
        parts.setdefault(alone, []).append(cut.part)
    for alone, names in parts.items():
        yield Template(cut_area(alone), section_words(names, alone, notation))


def _copes(parts: Iterable[Part], notation: Notation) -> Iterator[Template]:
    """Every end as it is seen from its edge: shoulders, tenon and cope."""
    ends: dict[object, tuple[End, Length, list[tuple[str, str]]]] = {}
    for part in parts:
        for end, takes in zip(part.ends, part.into, strict=True):
            seen = (end.mate, end.reach, end.tenon.thickness, end.tenon.from_face, part.thickness)
            _, _, names = ends.setdefault(seen, (end, part.thickness, []))
            names += [(part.name, mate) for mate in takes]
    for end, thickness, names in ends.values():
        length = end.reach + 2 * thickness
        subject = Subject(width=thickness, thickness=thickness, length=length, end=end)
        yield Template(design(subject, Work.END), cope_words(names, end, notation))


def _mouldings(parts: Iterable[Part]) -> Iterator[Template]:
    """Every moulding with some wood around it, and its reverse, which lies on it without light."""
    from shapely import box  # noqa: PLC0415

    alike: dict[Sticking, list[Section]] = {}
    for part in parts:
        alike.setdefault(part.section.sticking, []).append(part.section)
    for sections in alike.values():
        wood, titles = _moulding(sections[0]), listed(dict.fromkeys(s.title for s in sections))
        left, top, right, foot = wood.bounds
        yield Template(wood, (MOULDING, titles))
        around = box(left - _WOOD, top - _WOOD, right, foot)
        yield Template(around.difference(wood), (REVERSE, titles))


def _moulding(section: Section) -> Polygon:
    from shapely import box  # noqa: PLC0415

    deep = mm(section.thickness)
    edge = moulded_edge(section, deep)
    whole = polygon([*edge, (1000.0, deep), (1000.0, 0.0)])
    reach = mm(section.sticking.width) + _WOOD, mm(section.sticking.depth) + _WOOD
    cut: Polygon = whole.intersection(box(0.0, 0.0, reach[0], min(reach[1], deep)))
    return cut
