"""The printed figures cut: every part's cross-section, ends and notches come out as designed.

Each operation is done as its words say, where they say, at the figure in bold with what the machine
is told to read wrong counted in (`printed_cuts`); the design is drawn here by hand from the job's
sections and joints. What differs by more than dials can be set to is told.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cache

import pytest
from shapely import Polygon, box

from setupsheets.joinery.members.parts import End, Groove, Part, Role
from setupsheets.lengths import Length
from setupsheets.shop.jobs import Fill
from setupsheets.shop.sections import Section
from tests.sheets.printed_cuts import (
    FAR,
    Taken,
    across,
    along,
    corner,
    cutter_of,
    is_first,
    is_second,
    left_of,
    mirrored,
)
from tests.sheets.printed_hands import gauge_at, haunches_wrong, off, widths_wrong
from tests.sheets.test_printed_words import (
    EDGE_WORK,
    JOBS,
    Printed,
    Sheet,
    edges_told,
    ends_told,
    operations,
    sheet,
    told,
)

# Half the coarsest move of the dials, 1/128 in, and a flattened arc's error; wood thinner than
# twice this is none. A figure one sixty-fourth off leaves more.
THIN = 0.17  # mm
BARS = (Role.CROSS_BAR, Role.UPRIGHT_BAR)
ALONG = tuple(begin for begins in EDGE_WORK.values() for begin in begins)
ALONG = (*ALONG, "Groove", "Saw the strips")
ACROSS = ("Back cheek", "Face cheek", "Cope the face")
Cuts = Sequence[Printed]


@cache
def printed(job: str) -> tuple[Printed, ...]:
    """In the order of the route: by number."""
    return tuple(operations(sheet(job)))


def mm(length: Length) -> float:
    return float(length.mm)


def differ(made: Polygon, wanted: Polygon) -> bool:
    return not made.symmetric_difference(wanted).buffer(-THIN).is_empty


# ------------------------------------------------------------------ cross-sections


def design_section(section: Section, width: float, edges: Sequence[Groove | None]) -> Polygon:
    thick, waste = mm(section.thickness), []
    for edge, groove in enumerate(edges):
        here = [corner(section.sticking, 0.0, 0.0)]
        if groove is None:
            here.append(box(-FAR, thick - mm(section.rebate.depth), mm(section.rebate.width), FAR))
        else:
            wall = mm(groove.from_face)
            here.append(box(-FAR, wall, mm(groove.depth), wall + mm(groove.width)))
        waste += [mirrored(each, width) if edge else each for each in here]
    return left_of(box(0, 0, width, thick), waste)


def made_section(of: Sheet, cuts: Cuts, part: Part, edges: Sequence[Groove | None]) -> Polygon:
    width, thick = mm(part.width), mm(part.thickness)
    taken: list[Polygon] = []
    first: dict[str, Taken] = {}
    for each in cuts:
        if not each.title.startswith(ALONG) or part.name not in each.parts:
            continue
        kind = each.title.split(maxsplit=1)[0]
        one = along(each, of, width, thick, first.get(kind) if is_second(each) else None)
        if is_first(each):
            first[kind] = one
        for edge in edges_told(each, part):
            groove = each.title.startswith("Groove, ")
            rebate = each.title.startswith(EDGE_WORK_REBATE)
            # Along a stile the tape marks say where the one ends and the other begins.
            if (groove and edges[edge] is None) or (rebate and edges[edge] is not None):
                continue
            taken.append(mirrored(one.area, width) if edge else one.area)
    return left_of(box(0, 0, width, thick), taken)


EDGE_WORK_REBATE = ("Rebate", "First cut", "Second cut", "Nibble")


def sections_wrong(of: Sheet, cuts: Cuts) -> Iterator[str]:
    for part in of.joinery.parts:
        for edges in part.grooves:
            both = edges * 2 if part.role in BARS and len(edges) == 1 else edges
            wanted = design_section(part.section, mm(part.width), both)
            if differ(made_section(of, cuts, part, both), wanted):
                yield f"section of the {part.name}"


# ------------------------------------------------------------------ ends


def design_end(end: End, thick: float) -> Polygon:
    """Behind the mate's moulded edge turned over, its sight edge at the reach; and the tenon."""
    reach, mate, long = mm(end.reach), end.mate, 2 * FAR
    waste = [box(-FAR, -FAR, reach, FAR)]
    body = left_of(box(-FAR, 0, long, thick), waste)
    moulding = [(reach - x, y) for x, y in mate.sticking.points()]
    front = Polygon([*moulding, (reach + 1, moulding[-1][1]), (reach + 1, 0)])
    behind = box(reach - mm(mate.rebate.width), thick - mm(mate.rebate.depth), reach + 1, thick)
    tenon = box(0, mm(end.tenon.from_face), reach + 1,
                mm(end.tenon.from_face + end.tenon.thickness))  # fmt: skip
    return body.union(front).union(behind).union(tenon).intersection(box(0, 0, long, thick))


def ends_wrong(of: Sheet, cuts: Cuts) -> Iterator[str]:
    """Each end by itself, cut by what is told for it and by nothing else."""
    for part in of.joinery.parts:
        thick = mm(part.thickness)
        for index, end in enumerate(part.ends):
            taken = [
                across(each, of, thick, None).area
                for each in cuts
                if each.title.startswith(ACROSS) and part.name in each.parts
                if index in ends_told(each, part)
            ]
            made = left_of(box(0, 0, 2 * FAR, thick), taken)
            if differ(made, design_end(end, thick)):
                yield f"end {index} of the {part.name}"


# ------------------------------------------------------------------ notches


def notch_ends(each: Printed, part: Part) -> list[int]:
    """Which ends come to the stop, as the part's own."""
    names = {"left": 0, "right": 1} if part.role is Role.CROSS_BAR else {"upper": 0, "lower": 1}
    words = told(each, part.name)
    if "either end" in words:
        return [0]
    if "its end of the length" in words:  # the one that places along a part count from
        return [1 if part.role is Role.UPRIGHT_BAR else 0]
    return [end for name, end in names.items() if f"the {name} end" in words]


def notches_wrong(of: Sheet, cuts: Cuts) -> Iterator[str]:
    for part in of.joinery.parts:
        mine = [each for each in of.joinery.halvings if each.part == part.name]
        if not mine:
            continue
        long, thick = mm(part.overall), mm(part.thickness)
        whole, datum, upright = box(0, 0, long, thick), mm(part.datum), part.role is BARS[1]
        wanted = left_of(whole, [
            box(datum + mm(each.start), -FAR if each.from_face else thick - mm(each.depth),
                datum + mm(each.end), mm(each.depth) if each.from_face else FAR)
            for each in mine
        ])  # fmt: skip
        taken, first = [], dict[frozenset[str], Taken]()
        for each in cuts:
            if each.title.startswith("Notch") and part.name in each.parts:
                group = frozenset(each.parts)
                one = across(each, of, thick, first.get(group) if is_second(each) else None)
                if is_first(each):
                    first[group] = one
                for end in notch_ends(each, part):
                    far = (end == 0) is upright  # counted from the upper or the right end
                    taken.append(mirrored(one.area, long) if far else one.area)
        if differ(left_of(whole, taken), wanted):
            yield f"notches of the {part.name}"


# ------------------------------------------------------------------ figures of their own


def stands(each: Printed, words: str) -> Length:
    return next(at for title, at in each.stands.items() if words in title)


def blanks_wrong(of: Sheet, cuts: Cuts) -> Iterator[str]:
    """Thickness, width, and each length: of the piece that is got out, then of the part."""
    for part in of.joinery.parts:
        mine = [each for each in cuts if part.name in each.parts and each.stands]
        for each in mine:
            apart = f"{part.name}: " in each.facts.get("Lengths", "")
            if each.title == "Plane to thickness" and off(stands(each, "hick"), part.thickness):
                yield f"thickness of the {part.name}"
            if each.title == "Plane the sawn edge to width" and off(stands(each, "hick"),
                                                                    part.width):  # fmt: skip
                yield f"width of the {part.name}"
            if each.title.startswith(("Cut to length", "Cut apart")):
                at = stands(each, "Stop")
                if not apart and off(at, part.overall):
                    yield f"length of the {part.name}"
                if apart and not _holds(at, each, part):
                    yield f"length of the piece for the {part.name}"


def _holds(at: Length, each: Printed, part: Part) -> bool:
    """Whether a piece so long has in it the parts that it is told to have, a kerf between them."""
    words = next(said for said in each.facts["Lengths"].split("; ") if f"{part.name}: " in said)
    pieces = re.search(rf"× {part.name} in (\d+) lengths? of ", each.facts["Parts"])
    if pieces is None or "two in each length" not in words:
        return mm(at) > mm(part.overall) + 3
    return mm(at) > 2 * mm(part.overall) + 3 and 2 * int(pieces[1]) >= part.count


def mortises_wrong(of: Sheet, cuts: Cuts) -> Iterator[str]:
    """Each mortise of a part has an operation as deep, as far from the face, as thick."""
    wanted = [*of.joinery.mortises, *of.joinery.haunches]
    bored = [each for each in cuts if "mortises, sight edge up" in each.title]
    for mortise in wanted:
        if not any(_bores(each, mortise) for each in bored if mortise.part in each.parts):
            yield f"mortise for the {mortise.holds} in the {mortise.part}"
    for each in bored:
        if not any(_bores(each, mortise) for mortise in wanted if mortise.part in each.parts):
            yield f"operation without a mortise: {each.title}"


def _bores(each: Printed, mortise: object) -> bool:
    cutter = cutter_of(each)
    size = cutter.width or cutter.diameter
    assert size is not None and each.facts["Against"].startswith("FACE")
    fence = stands(each, "ence")
    near = fence if any("near side" in title for title in each.stands) else fence - size / 2
    depth, thick, from_face = (getattr(mortise, key) for key in ("depth", "thickness", "from_face"))
    return not (off(near, from_face) or off(stands(each, "epth"), depth) or off(size, thick))


def beads_wrong(of: Sheet, cuts: Cuts) -> Iterator[str]:
    sizes = {(bead.width, bead.depth) for bead in of.joinery.beads}
    planed = [stands(each, "hick") if each.stands else gauge_at(each, "depth", of)
              for each in cuts if each.title.startswith("Plane a board")]  # fmt: skip
    ripped = [stands(each, "ence") if each.stands else gauge_at(each, "width", of)
              for each in cuts if each.title.startswith(("Rip the b", "Saw the b"))]  # fmt: skip
    for width, depth in sizes:
        if all(off(at, depth) for at in planed) or all(off(at, width) for at in ripped):
            yield "bead"


def panels_wrong(of: Sheet, cuts: Cuts) -> Iterator[str]:
    """A panel's size, and the border that is sunk until its edge goes into the groove."""
    panels, grooved = of.joinery.layout.job.panels, Fill.GROOVED_PANEL
    for each in cuts:
        panes = [pane for pane in of.joinery.panes
                 if f"panel of field {pane.field}" in each.facts.get("Parts", "")]  # fmt: skip
        for pane in panes if each.stands else ():
            if each.title.startswith("Rip the panel") and off(stands(each, "ence"), pane.width):
                yield f"width of the panel of field {pane.field}"
            if each.title.startswith("Plane the panel") and off(
                stands(each, "hick"), pane.thickness
            ):
                yield f"thickness of the panel of field {pane.field}"
            if each.title.startswith("Sink the border") and panels and pane.fill is grooved:
                left = pane.thickness - stands(each, "eight")
                if off(left, panels.groove_width) or off(
                    stands(each, "out of"), panels.border or Length.ZERO
                ):
                    yield f"border of the panel of field {pane.field}"


CHECKS = (sections_wrong, ends_wrong, notches_wrong, blanks_wrong, mortises_wrong, beads_wrong,
          haunches_wrong, widths_wrong, panels_wrong)  # fmt: skip


@pytest.mark.parametrize("job", JOBS)
@pytest.mark.parametrize("check", CHECKS, ids=lambda check: check.__name__)
def test_what_is_printed_makes_what_is_designed(job: str, check: object) -> None:
    assert list(check(sheet(job), printed(job))) == []  # type: ignore[operator]


# ------------------------------------------------------------------ figures that are wrong

COPED = "the cope cutter takes what is left"
OVERLAP = "it meets the other cut within a kerf"
# What makes no difference to the wood, and why: operation, setting, and which way it is off.
HARMLESS = {
    ("Cut rough to length", "Stop", 1): "the piece is cut to length after",
    ("Cut rough to length", "Stop", -1): "it is long enough still",
    ("Rip to width", "Rip fence", 1): "the sawn edge is planed after",
    ("Rip to width", "Rip fence", -1): "it is wide enough still",
    ("Face cheek, back down", "Stop", 1): COPED,
    ("Face cheek, back down", "Stop", -1): COPED,
    ("Face cheek, back down", "Blade above", 1): COPED,
    ("Face cheek, face down", "Stop", 1): COPED,
    ("Face cheek, face down", "Stop", -1): COPED,
    ("Face cheek, face down", "Blade height", -1): COPED,
    ("Face cheek, face down", "Bit out", 1): COPED,
    ("Face cheek, face down", "Bit out", -1): COPED,
    ("Face cheek, face down", "Bit height", -1): COPED,
    ("Second cut, on edge; the strip falls free", "Blade height", 1): OVERLAP,
    ("Second cut, on edge; the strip falls free", "Blade height", -1): OVERLAP,
    ("Saw the strips off, on edge over a filler strip", "Blade height", 1): OVERLAP,
    ("Saw the strips off, on edge over a filler strip", "Blade height", -1): OVERLAP,
}
STEPS = {"in": Length("1/64 in"), "mm": Length("0.5 mm")}


def complaints(of: Sheet, cuts: Cuts) -> list[str]:
    return [words for check in CHECKS for words in check(of, cuts)]


@cache
def figures() -> tuple[tuple[str, int, str], ...]:
    """Every figure of another kind of operation, machine, way to lie and side of the cutter."""
    seen, found = set(), []
    for job in JOBS:
        for at, each in enumerate(printed(job)):
            for title in each.stands:
                side = title.partition(", the spacer")[0]
                key = (each.machine, each.title, each.facts.get("Down"), side)
                if key not in seen:
                    seen.add(key)
                    found.append((job, at, title))
    return tuple(found)


def harmless(each: Printed, title: str) -> set[int]:
    return {sign for what, setting, sign in HARMLESS
            if each.title == what and title.startswith(setting)}  # fmt: skip


def test_a_figure_a_mark_off_is_seen_wherever_it_matters() -> None:
    for job, at, title in figures():
        of, cuts = sheet(job), printed(job)
        unseen = set()
        for sign in (1, -1):
            moved = {**cuts[at].stands, title: cuts[at].stands[title] + sign * STEPS[str(of.unit)]}
            wrong = [*cuts[:at], replace(cuts[at], stands=moved), *cuts[at + 1 :]]
            if not complaints(of, wrong):
                unseen.add(sign)
        assert unseen == harmless(cuts[at], title), (job, cuts[at].title, title)


def test_the_figures_are_of_every_kind_of_machine_and_cut() -> None:
    of = [(printed(job)[at], title) for job, at, title in figures()]
    assert len(of) > 70
    assert {each.machine.partition(" (")[0] for each, _ in of} >= {
        "Crosscut saw", "Table saw", "Router table", "Spindle moulder", "Thickness planer",
        "Hollow chisel mortiser", "Drill press",
    }  # fmt: skip
    named = {(what, setting) for what, setting, _ in HARMLESS}
    told_of = {(each.title, title) for each, title in of}
    assert all(any(name == what and title.startswith(setting) for name, title in told_of)
               for what, setting in named)  # fmt: skip


@pytest.mark.parametrize("job", JOBS[:2])
def test_a_machine_that_is_told_to_read_wrong_is_set_to_another_figure_than_it_stands_at(
    job: str,
) -> None:
    """Were it right, the figures in bold would not come to the design."""
    cuts = printed(job)
    assert any(each.bold != each.stands for each in cuts)
    assert complaints(sheet(job), [replace(each, stands=each.bold) for each in cuts])
