"""The sections of a door's members at their sight edges: moulding, rebate or groove, tenon and
mortise dimensioned, wide members broken off beyond what is cut into them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

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
from setupsheets.wording.doors import section_in_words, section_title, width_words
from setupsheets.wording.lists import listed

if TYPE_CHECKING:
    from shapely import Geometry

WIDTH = 196.0  # mm on the paper, which both A4 and Letter hold between their margins
_SCALES = (2 / 3, 0.5)
_PAST, _HEAD, _GAP = 6.0, 6.0, 4.0
ZERO = Length.ZERO


class _Shown(Struct, frozen=True):
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


class _Picture(Struct, frozen=True):
    """A section with its dimensions, and how wide and high it is."""

    elements: tuple[str, ...]
    width: float
    height: float


def member_sections(
    name: str, job: str, joinery: Joinery, notation: Notation
) -> tuple[svg.Drawing, ...]:
    """Every section that the door's members have at a sight edge, those of a row equally high, all
    at the largest of a few scales at which they stand in one row, else at the smallest."""
    found = list(_shown(joinery))
    names = [f"{name}-{number}" for number in range(1, len(found) + 1)]
    laid = [
        [_picture(each, scale, f"{of}-h", notation) for of, each in zip(names, found, strict=True)]
        for scale in _SCALES
    ]
    pictures = next((row for row in laid if _across(row) <= WIDTH), laid[-1])
    return tuple(
        svg.finish(
            of,
            section_title(job, _names(each)),
            section_in_words(_told(each, notation)),
            (picture.width, high),
            picture.elements,
            svg.hatching(f"{of}-h", 2.4, 0.15),
        )
        for of, each, picture, high in zip(names, found, pictures, _heights(pictures), strict=True)
    )


def _heights(pictures: Sequence[_Picture]) -> list[float]:
    """How high each is drawn: as high as the highest of its row."""
    rows: list[list[_Picture]] = [[]]
    for picture in pictures:
        if _across([*rows[-1], picture]) > WIDTH and rows[-1]:
            rows.append([])
        rows[-1].append(picture)
    return [max(each.height for each in row) for row in rows for _ in row]


def _across(row: Sequence[_Picture]) -> float:
    return sum(picture.width + _GAP for picture in row) - _GAP


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
    edges = 1 if each.broken else part.sight_edges
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


def _picture(each: _Shown, scale: float, hatch: str, notation: Notation) -> _Picture:
    deep, wide = mm(each.section.thickness) * scale, each.shown * scale
    show = notation.show

    def placed(left: float) -> tuple[Paper, Placed, Placed]:
        paper = Paper((left, _HEAD), scale)
        below = across(_widths(each, paper, show), _HEAD + deep)
        return paper, upright(_depths(each, paper, show), left), below

    _, side, below = placed(0.0)
    paper, side, below = placed(max(side.depth + 1.0, 1.0 - below.low))
    left, foot = paper.x(0.0), max(_HEAD + deep + below.depth, side.high) + 4.6
    names = width_words(each.parts, notation)
    elements = (
        *_wood(each, paper, hatch),
        svg.text((left + wide / 2, _HEAD - 2.0), "face", svg.SMALL),
        *side.elements,
        *below.elements,
        *(
            svg.text((0.0, foot + 4.6 * row), words, svg.SMALL, "start", bold=not row)
            for row, words in enumerate(names)
        ),
    )
    under = max(text_width(words, svg.SMALL, bold=True) for words in names)
    right = max(left + wide + 2.0, below.high, under)
    return _Picture(elements, right + 1.0, foot + 4.6 * (len(names) - 1) + 3.0)


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
    across_it, into_it = (
        ", ".join(size.line for size in sizes(each, paper, notation.show))
        for sizes in (_widths, _depths)
    )
    return f"{_names(each)}: along the face {across_it}; from face to back {into_it}"


def _names(each: _Shown) -> str:
    return listed(dict.fromkeys(part.name for part in each.parts))
