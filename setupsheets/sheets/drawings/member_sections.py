"""The sections of a door's members at their sight edges: moulding, rebate or groove, tenon and
mortise dimensioned, wide members broken off beyond what is cut into them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from setupsheets.joinery.frame.layout import without_rebate
from setupsheets.joinery.members.parts import Groove, Joinery, Part, Role
from setupsheets.joinery.members.rod_strips import HiddenKind
from setupsheets.lengths import Length, Notation
from setupsheets.machining.cutting.planes import Show, mm
from setupsheets.machining.cutting.shapes import design
from setupsheets.machining.operations import Subject
from setupsheets.sheets.drawings import drawing as svg
from setupsheets.sheets.drawings.dimensions import Dimension, Placed, across, upright
from setupsheets.sheets.drawings.paper import Paper, rings_of
from setupsheets.sheets.letters.letters import text_width
from setupsheets.shop.recipes import Work
from setupsheets.shop.sections import Member, Section
from setupsheets.values import dataclass
from setupsheets.wording.doors import sections_in_words, width_words
from setupsheets.wording.lists import listed

if TYPE_CHECKING:
    from shapely import Geometry

WIDTH = 180.0  # mm on the paper, which both A4 and Letter hold between their margins
_SCALES = (2 / 3, 0.5)
_PAST, _HEAD, _GAP = 6.0, 6.0, 6.0
ZERO = Length.ZERO


@dataclass(frozen=True)
class _Shown:
    """One section as it is drawn: all parts that have it, what is cut out of it or stands in it,
    from ``start`` past the sight edge, and how much of its width is drawn (mm)."""

    parts: tuple[Part, ...]
    section: Section
    groove: Groove | None
    hidden: HiddenKind
    start: Length
    end: Length
    from_face: Length
    thickness: Length
    shown: float

    @property
    def broken(self) -> bool:
        """Whether the member goes on past what is drawn."""
        return self.shown < mm(self.parts[0].width)


@dataclass(frozen=True)
class _Picture:
    """A section with its dimensions, with its head, and how far right and down it reaches."""

    elements: tuple[str, ...]
    top: float
    right: float
    foot: float


def member_sections(name: str, title: str, joinery: Joinery, notation: Notation) -> svg.Drawing:
    """Every section that the door's members have at a sight edge, in a row at the largest of a few
    scales at which it holds them all, else in rows at the smallest."""
    found, hatch = list(_shown(joinery)), f"{name}-h"
    laid = [_in_rows(found, scale, hatch, notation) for scale in _SCALES]
    pictures = next((row for row in laid if len({picture.top for picture in row}) == 1), laid[-1])
    elements = [element for picture in pictures for element in picture.elements]
    reach, foot = (
        max(picture.right for picture in pictures),
        max(picture.foot for picture in pictures),
    )
    words = sections_in_words(_told(each, notation) for each in found)
    size = (reach + 2.0, foot + 2.0)
    return svg.finish(name, title, words, size, elements, svg.hatching(hatch, 2.4, 0.15))


def _in_rows(found: list[_Shown], scale: float, hatch: str, notation: Notation) -> list[_Picture]:
    pictures: list[_Picture] = []
    x = y = 0.0
    for each in found:
        picture = _picture(each, (x, y), scale, hatch, notation)
        if x and picture.right > WIDTH:
            x, y = 0.0, max(one.foot for one in pictures) + _GAP
            picture = _picture(each, (x, y), scale, hatch, notation)
        pictures.append(picture)
        x = picture.right + _GAP
    return pictures


def _shown(joinery: Joinery) -> Iterator[_Shown]:
    """Frame and bars, parts that are alike at a sight edge together: of a stile and its rails that
    is the stile, with the mortise that their tenons go into."""
    alike: dict[object, list[_Shown]] = {}
    for part in joinery.parts:
        for groove in dict.fromkeys(each for edges in part.grooves for each in edges):
            one = _section_of(part, groove, joinery)
            section = without_rebate(part.section) if groove else part.section
            alike.setdefault((section, groove, one.from_face, one.thickness), []).append(one)
    for first, *others in alike.values():
        parts = tuple(part for each in (first, *others) for part in each.parts)
        yield replace(first, parts=parts)


def _section_of(part: Part, groove: Groove | None, joinery: Joinery) -> _Shown:
    """A part's section with the deepest mortise of a stile in it, or the tenon of any other."""
    section, wide = part.section, mm(part.width)
    reach = [section.sticking.width, groove.depth if groove else section.rebate.width]
    if part.ends:
        tenon = part.ends[0].tenon
        start = tenon.set_back if part.role is Role.RAIL else tenon.from_lower
        end = part.width if part.role is Role.RAIL else part.width - tenon.from_upper
        hidden = (HiddenKind.TENON, start, end, tenon.from_face, tenon.thickness)
    else:
        deepest = max(
            (each for each in joinery.mortises if each.part == part.name),
            key=lambda each: each.depth,
        )
        reach.append(deepest.depth)
        hidden = (HiddenKind.MORTISE, ZERO, deepest.depth, deepest.from_face, deepest.thickness)
    shown = wide if part.role is not Role.RAIL and part.ends else mm(max(reach)) + _PAST
    least = mm(section.thickness) * 0.8
    return _Shown((part,), section, groove, *hidden, min(wide, max(shown, least)))


def _area(each: _Shown) -> Geometry:
    """The section, a bar whole, another member as far as it is drawn."""
    from shapely import box  # noqa: PLC0415

    part = each.parts[0]
    edges = 2 if not each.broken and part.sight_edges == 2 else 1
    subject = Subject(
        width=part.width,
        thickness=part.thickness,
        length=part.overall,
        section=each.section,
        sight_edges=edges,
        grooves=(each.groove,) * edges,
    )
    return design(subject, Work.EDGE).intersection(
        box(-1.0, -1.0, each.shown, mm(each.section.thickness) + 1.0)
    )


def _picture(
    each: _Shown, corner: svg.Point, scale: float, hatch: str, notation: Notation
) -> _Picture:
    deep, wide = mm(each.section.thickness) * scale, each.shown * scale
    head, show = corner[1] + _HEAD, notation.show

    def placed(left: float) -> tuple[Paper, Placed, Placed]:
        paper = Paper((left, head), scale)
        below = across(_widths(each, paper, show), head + deep)
        return paper, upright(_depths(each, paper, show), left), below

    _, side, below = placed(0.0)
    paper, side, below = placed(corner[0] + max(side.depth + 1.0, 1.0 - below.low))
    left, foot = paper.x(0.0), max(head + deep + below.depth, side.high) + 4.6
    names = width_words(each.parts, notation)
    elements = [
        *_wood(each, paper, hatch),
        svg.text((left + wide / 2, head - 2.0), "face", svg.SMALL),
        *side.elements,
        *below.elements,
        *(
            svg.text((corner[0], foot + 4.6 * row), words, svg.SMALL, "start", bold=not row)
            for row, words in enumerate(names)
        ),
    ]
    under = corner[0] + max(text_width(words, svg.SMALL, bold=True) for words in names)
    right = max(left + wide + 2.0, below.high, under)
    return _Picture(tuple(elements), corner[1], right, foot + 4.6 * (len(names) - 1) + 1.0)


def _wood(each: _Shown, paper: Paper, hatch: str) -> Iterator[str]:
    """The section hatched, broken off where it goes on, and what is hidden in it dashed."""
    area = paper.rings(rings_of(_area(each)))
    first, last = each.from_face, each.from_face + each.thickness
    left, top = paper.at((mm(each.start), mm(first)))
    right, foot = paper.at((min(mm(each.end), each.shown), mm(last)))
    at = paper.x(each.shown) if each.broken else None
    yield svg.area(area, f"url(#{hatch})")
    yield svg.edges(area, svg.EDGE, (at, None))
    box = [(left, top), (right, top), (right, foot), (left, foot), (left, top)]
    yield svg.polyline(box, svg.THIN, svg.DASH)
    if at is not None:
        yield svg.break_line((at, paper.y(0.0)), (at, paper.y(mm(each.section.thickness))))


def _widths(each: _Shown, paper: Paper, show: Show) -> list[Dimension]:
    """What is cut off from the sight edge inwards, and the whole width of a bar."""
    section, foot = each.section, paper.y(mm(each.section.thickness))
    sizes = [("moulding", ZERO, section.sticking.width, 0.0)]
    if each.groove is not None:
        sizes.append(("groove", ZERO, each.groove.depth, mm(each.groove.from_face)))
    elif section.rebate.width:
        sizes.append(("rebate", ZERO, section.rebate.width, mm(section.thickness)))
    if each.hidden is HiddenKind.MORTISE:
        sizes.append((str(each.hidden), ZERO, each.end, mm(each.from_face)))
    part = each.parts[0]
    if section.member is Member.BAR:
        sizes.append(("bar", ZERO, part.width, 0.0))
    edges = [(paper.x(mm(start)), paper.x(mm(end))) for _, start, end, _ in sizes]
    return [
        Dimension(*ends, show(end - start), min(foot, paper.y(at)), min(foot, paper.y(at)), name)
        for ends, (name, start, end, at) in zip(edges, sizes, strict=True)
    ]


def _depths(each: _Shown, paper: Paper, show: Show) -> list[Dimension]:
    """From the face down: moulding, tongue, groove or rebate, the whole, and the tenon."""
    section, left = each.section, paper.x(0.0)
    sizes = [("moulding", ZERO, section.sticking.depth)]
    tenon = str(HiddenKind.TENON), each.from_face, each.from_face + each.thickness
    if each.groove is not None:
        span = each.groove.from_face, each.groove.from_face + each.groove.width
        sizes.append((f"groove{', tenon' if span == tenon[1:] else ''}", *span))
    elif section.rebate.width:
        sizes.append(("rebate", section.thickness - section.rebate.depth, section.thickness))
    if each.groove is None or span != tenon[1:]:
        sizes.append(tenon)
    sizes.append(("thick", ZERO, section.thickness))
    return [
        Dimension(paper.y(mm(start)), paper.y(mm(end)), show(end - start), left, left, name)
        for name, start, end in sizes
    ]


def _told(each: _Shown, notation: Notation) -> str:
    """The same in words."""
    paper = Paper((0.0, 0.0), 1.0)
    across_it = (f"{size.name} {size.words} wide" for size in _widths(each, paper, notation.show))
    into_it = (f"{size.name} {size.words} deep" for size in _depths(each, paper, notation.show))
    names = listed(dict.fromkeys(part.name for part in each.parts))
    return f"{names}: {', '.join([*across_it, *into_it])}"
