"""Templates at full size to lay on a test piece: each section, each end with its cope, and each
moulding with its reverse."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from textwrap import wrap
from typing import TYPE_CHECKING

from msgspec import Struct

from setupsheets.joinery.members.parts import End, Joinery, Part, Role
from setupsheets.joinery.members.rod_strips import Rod, RodCut
from setupsheets.lengths import Length, Notation
from setupsheets.machining.cutting.planes import mm, polygon
from setupsheets.machining.cutting.shapes import design, moulded_edge
from setupsheets.machining.operations import Subject
from setupsheets.sheets.drawings.drawing import SMALL, Point
from setupsheets.sheets.full_size.plate import (
    EDGE,
    LINE,
    Ink,
    Plate,
    Stroke,
    Word,
    hatched,
    lines_below,
    outline,
)
from setupsheets.sheets.full_size.rod_drawing import cover_area, cut_area
from setupsheets.sheets.letters.letters import text_width
from setupsheets.shop.outlines import FLATNESS
from setupsheets.shop.recipes import Work
from setupsheets.shop.sections import Section, Sticking
from setupsheets.wording.lists import listed
from setupsheets.wording.rods import (
    MOULDING,
    REVERSE,
    TRUE_SIZE,
    cope_words,
    meeting_words,
    outline_notes,
    outline_title,
    section_words,
    templates_title,
)

if TYPE_CHECKING:
    from shapely import Polygon

_WIDE, _HIGH = 172.0, 205.0  # mm: what one tile of either paper shows beside the plate's edges
_GAP, _LETTERS = 8.0, 40
_WOOD = 8.0  # mm of wood around a moulding


class Template(Struct, frozen=True):
    """One shape in mm, or several that lie at each other, and what is written below it."""

    areas: tuple[Polygon, ...]
    told: tuple[str, ...]

    @property
    def lines(self) -> tuple[str, ...]:
        """What is written, in lines no longer than most templates are wide."""
        return tuple(line for words in self.told for line in wrap(words, _LETTERS))

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """Left, top, right and foot of it."""
        left, top, right, foot = zip(*(area.bounds for area in self.areas), strict=True)
        return min(left), min(top), max(right), max(foot)

    @property
    def width(self) -> float:
        """How wide it is with its words."""
        left, _, right, _ = self.bounds
        return max([right - left, *(text_width(line, SMALL) for line in self.lines)])

    @property
    def height(self) -> float:
        """How high it is with its words."""
        _, top, _, foot = self.bounds
        words = LINE * len(self.lines) + 1.0
        return words + foot - top


def templates_plates(
    joinery: Joinery, rods: Iterable[Rod], job: str, notation: Notation
) -> Iterator[Plate]:
    """All templates of a leaf, on plates that one tile of either paper holds; what is wider comes
    last, on plates of its own."""
    found = [
        *_sections(rods, notation),
        *_copes(joinery.parts, notation),
        *_mouldings(joinery.parts),
        *_meeting(rods, notation),
    ]
    wide = [each for each in found if each.width > _WIDE]
    pages = [*_in_pages([each for each in found if each not in wide]), *_in_pages(wide)]
    for number, page in enumerate(pages, start=1):
        more = f"-{number}" if len(pages) > 1 else ""
        drawn = [_placed(each, at) for each, at in page]
        right = max(at[0] + each.width for each, at in page)
        foot = max(at[1] + each.height for each, at in page)
        yield Plate(
            name=f"templates{more}",
            title=templates_title(job),
            notes=TRUE_SIZE,
            corner=(-EDGE, -EDGE),
            far=(right + EDGE, foot + EDGE),
            strokes=tuple(stroke for strokes, _ in drawn for stroke in strokes),
            words=tuple(word for _, words in drawn for word in words),
        )


def _in_pages(found: Iterable[Template]) -> Iterator[list[tuple[Template, Point]]]:
    """Templates in rows from the upper left corner, as many as a page holds, with their places."""
    page: list[tuple[Template, Point]] = []
    x = y = high = 0.0
    for each in found:
        if page and x + each.width > _WIDE:
            x, y, high = 0.0, y + high + _GAP, 0.0
        if page and y + each.height > _HIGH:
            yield page
            page, x, y, high = [], 0.0, 0.0, 0.0
        page.append((each, (x, y)))
        x, high = x + each.width + _GAP, max(high, each.height)
    if page:
        yield page


def _placed(each: Template, at: tuple[float, float]) -> tuple[list[Stroke], list[Word]]:
    from shapely import affinity  # noqa: PLC0415

    left, top, _, foot = each.bounds
    drawn: list[Stroke] = []
    for area in each.areas:
        moved = affinity.translate(area, at[0] - left, at[1] - top)
        drawn += [*outline(Ink.SECTION, moved), *hatched(moved)]
    base = at[1] + foot - top + 1.0
    return drawn, lines_below((at[0], base + 0.8 * LINE), each.lines)


def moulding_plate(name: str, moulding: Sticking, notation: Notation) -> Plate:
    """The moulding of a file of that name, drawn back from what was read of it."""
    wide, deep = mm(moulding.width), mm(moulding.depth)
    past = (wide + _WOOD, 0.0), (wide + _WOOD, deep + _WOOD), (0.0, deep + _WOOD)
    wood = Template((polygon([*moulding.points(), *past[::-1]]),), ())
    drawn, _ = _placed(wood, (0.0, 0.0))
    return Plate(
        name=f"outline-{name}",
        title=outline_title(name),
        notes=outline_notes(moulding, FLATNESS, notation),
        corner=(-EDGE, -EDGE),
        far=(wide + _WOOD + EDGE, deep + _WOOD + EDGE),
        strokes=tuple(drawn),
        words=(),
    )


def _sections(rods: Iterable[Rod], notation: Notation) -> Iterator[Template]:
    """Every section that members of the leaf have, each once, its sight edge at the left. A meeting
    stile is made as the other one is."""
    parts: dict[RodCut, list[str]] = {}
    for cut in (cut for rod in rods for strip in rod.strips for cut in strip.cuts if not cut.meets):
        moulded, grooves = cut.moulded, cut.grooves
        if moulded == (False, True):
            moulded, grooves = (True, False), grooves[::-1]
        wide = cut.high - cut.low
        alone = RodCut("", Role.STILE, cut.section, Length.ZERO, wide, moulded, grooves)
        parts.setdefault(alone, []).append(cut.part)
    for alone, names in parts.items():
        yield Template((cut_area(alone),), section_words(names, alone, notation))


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
        yield Template((design(subject, Work.END),), cope_words(names, end, notation))


def _mouldings(parts: Iterable[Part]) -> Iterator[Template]:
    """Every moulding with some wood around it, and its reverse, which lies on it without light."""
    from shapely import box  # noqa: PLC0415

    alike: dict[Sticking, list[Section]] = {}
    for part in parts:
        alike.setdefault(part.section.sticking, []).append(part.section)
    for sections in alike.values():
        wood, titles = _moulding(sections[0]), listed(dict.fromkeys(s.title for s in sections))
        left, top, right, foot = wood.bounds
        yield Template((wood,), (MOULDING, titles))
        around = box(left - _WOOD, top - _WOOD, right, foot)
        yield Template((around.difference(wood),), (REVERSE, titles))


def _moulding(section: Section) -> Polygon:
    from shapely import box  # noqa: PLC0415

    deep = mm(section.thickness)
    edge = moulded_edge(section, deep)
    whole = polygon([*edge, (1000.0, deep), (1000.0, 0.0)])
    reach = mm(section.sticking.width) + _WOOD, mm(section.sticking.depth) + _WOOD
    cut: Polygon = whole.intersection(box(0.0, 0.0, reach[0], min(reach[1], deep)))
    return cut


def _meeting(rods: Iterable[Rod], notation: Notation) -> Iterator[Template]:
    """The meeting stiles of a pair side by side, with their gap, their lap or the strip over it."""
    for rod in rods:
        strip, opening = rod.strips[0], rod.opening
        pieces = [cut_area(cut) for cut in strip.cuts if cut.meets]
        if opening is None or opening.pair is None or not pieces:
            continue
        pieces += [cover_area(strip.cover)] if strip.cover else []
        yield Template(tuple(pieces), meeting_words(opening, opening.pair, notation))
