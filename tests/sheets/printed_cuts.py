"""Machines as a maker knows them: what a cut that is told in words takes out of a part (mm).

All of it is plane geometry by hand, on nothing but printed words, the sizes of the cutter that they
name and the part's own width and thickness. A cross-section has x from the sight edge that is
worked and y from the face; an end has z from the part's end and y from the face.

From the table up a saw below it and a bit take all up to their height, a saw above it all over it.
Across, a blade lies on the side of its figure that is told; a bit comes so far out of its fence; a
wall that is cut second is joined to the first.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path

from shapely import Polygon, box, union_all
from shapely.affinity import affine_transform

from setupsheets.shop.cutters import Cutter
from setupsheets.shop.sections import Sticking
from tests.machining.shipped_shop import PROFILES, thing
from tests.sheets.test_printed_words import Printed, Sheet, cells

FAR = 500.0  # mm: past everything
Box = tuple[float, float, float, float]


@cache
def cutters() -> dict[str, Cutter]:
    """Every built-in cutter by what it is called."""
    found = [thing(path) for path in sorted((Path(PROFILES) / "cutters").glob("*.yaml"))]
    return {each.title: each for each in found if isinstance(each, Cutter)}


def cutter_of(printed: Printed) -> Cutter:
    """What is told to be in the machine; since when and what for stands behind its name."""
    words = printed.facts["Cutter"]
    return cutters()[max((name for name in cutters() if words.startswith(name)), key=len)]


@dataclass(frozen=True)
class Taken:
    """What one operation takes out, in the part's plane, and where its cutter stands across and up
    as the machine has it: what a second wall is joined to."""

    area: Polygon
    stands: Box


def height_of(printed: Printed) -> float:
    return next(float(at.mm) for title, at in printed.stands.items() if not is_across(title))


def across_of(printed: Printed) -> tuple[str, float]:
    """The setting across, counted from the part itself: a spacer lies between it and the stop."""
    title, at = next(each for each in printed.stands.items() if is_across(each[0]))
    return title, float((at - printed.spacer).mm)


def is_across(title: str) -> bool:
    return "side of the" in title or "out of the fence" in title or "the centre of" in title


def wide(printed: Printed, of: Sheet, cutter: Cutter) -> float:
    """How wide the cutter cuts: its kerf, its diameter, or what its stack is made up to."""
    if "Stack" in printed.facts:
        return float(of.length(printed.facts["Stack"].partition(" wide")[0]).mm)
    size = cutter.kerf if "aw" in printed.machine or cutter.diameter is None else cutter.diameter
    assert size is not None
    return float(size.mm)


def stance(printed: Printed, of: Sheet, first: Taken | None) -> Box:
    """From where to where a plain cutter stands, from the fence or stop and from the table."""
    cutter, high = cutter_of(printed), height_of(printed)
    title, at = across_of(printed)
    cut = wide(printed, of, cutter)
    near = at if "near side" in title else at - cut
    low = -FAR
    if cutter.diameter is not None and cutter.kerf is not None and "aw" not in printed.machine:
        low = high - float(cutter.kerf.mm)  # a disc that lies flat
    if clears(printed):
        near = min(near, 0.0)
    found = (near, low, near + cut if "near side" in title else at, high)
    return found if first is None else joined(found, first.stands, flat=low > -FAR)


def joined(second: Box, first: Box, flat: bool) -> Box:
    """A second wall's cut goes on from the middle of the first one, at its own depth."""
    if flat:
        return second[0], min(second[1], (first[1] + first[3]) / 2), second[2], second[3]
    return min(second[0], (first[0] + first[2]) / 2), second[1], second[2], second[3]


def clears(printed: Printed) -> bool:
    """Whether all between cutter and fence or stop goes: cheeks, and rebates made by passes."""
    return "cheek" in printed.title or printed.title.startswith("Rebate")


def is_second(printed: Printed) -> bool:
    return "second wall" in printed.title or "wall towards the back" in printed.title


def is_first(printed: Printed) -> bool:
    return "first wall" in printed.title or "wall towards the face" in printed.title


def along(printed: Printed, of: Sheet, width: float, thick: float, first: Taken | None) -> Taken:
    """A cut along an edge, in the cross-section from that edge."""
    down = printed.facts["Down"].partition(" on")[0]
    against = printed.facts["Against"].partition(" to")[0]
    if "Mould" in printed.title:
        moulding = cutter_of(printed).profile
        assert moulding is not None and (down, against) == ("FACE", "SIGHT EDGE")
        shift = (across_of(printed)[1] - float(moulding.width.mm),
                 height_of(printed) - float(moulding.depth.mm))  # fmt: skip
        return Taken(corner(moulding, *shift), (0.0, 0.0, 0.0, 0.0))
    stands = stance(printed, of, first)
    # x = a u + b v + c and y = d u + e v + f: how it lies on table and fence.
    lies = {
        ("FACE", "SIGHT EDGE"): (1, 0, 0, 1, 0, 0),
        ("BACK", "SIGHT EDGE"): (1, 0, 0, -1, 0, thick),
        ("SIGHT EDGE", "FACE"): (0, 1, 1, 0, 0, 0),
        ("SIGHT EDGE", "BACK"): (0, 1, -1, 0, 0, thick),
    }[down, against]
    return Taken(affine_transform(box(*stands), lies), stands)


def corner(moulding: Sticking, right: float, up: float) -> Polygon:
    """All in front of a moulding's outline, towards the corner of face and sight edge."""
    points = [(x + right, y + up) for x, y in moulding.points()]
    return Polygon([*points, (-FAR, points[-1][1]), (-FAR, -FAR), (points[0][0], -FAR)])


def across(printed: Printed, of: Sheet, thick: float, first: Taken | None) -> Taken:
    """A cut on an end or across a bar, in its elevation from the end that is told."""
    down = printed.facts["Down"].partition(" on")[0]
    assert printed.facts["Against"].startswith("END to ")
    above = "radial" in printed.machine
    if printed.title.startswith("Cope"):
        profile = cutter_of(printed).profile
        assert profile is not None and down == "FACE"
        reach, more = across_of(printed)[1], height_of(printed) - float(profile.depth.mm)
        curve = [(reach - x, y + more) for x, y in profile.points()]
        ends = [(-FAR, curve[-1][1]), (-FAR, -FAR), (curve[0][0], -FAR)]
        return Taken(Polygon([*curve, *ends]), (0.0, 0.0, 0.0, 0.0))
    near, _, far, high = stance(printed, of, first)
    stands = (near, high, far, FAR) if above else (near, -FAR, far, high)
    lies = (1, 0, 0, 1, 0, 0) if down == "FACE" else (1, 0, 0, -1, 0, thick)
    return Taken(affine_transform(box(*stands), lies), stands)


def mirrored(area: Polygon, width: float) -> Polygon:
    """The same from the other edge or the other end."""
    return affine_transform(area, (-1, 0, 0, 1, width, 0))


def left_of(whole: Polygon, taken: list[Polygon]) -> Polygon:
    """What is left of a blank: of several pieces the largest, the others have fallen off."""
    left = whole.difference(union_all(taken))
    return max(getattr(left, "geoms", [left]), key=lambda piece: piece.area)


def table(printed: Printed, heading: str) -> list[dict[str, str]]:
    """The rows of a printed table that has such a heading."""
    lines = printed.text.splitlines()
    for at, line in enumerate(lines):
        if line.startswith("|") and heading in cells(line):
            rows = []
            for row in lines[at + 2 :]:
                if not row.startswith("|"):
                    break
                rows.append(dict(zip(cells(line), cells(row), strict=True)))
            return rows
    return []
