"""What is written on a rod and on full-size templates."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from setupsheets.joinery.frame.opening import bevel_loss
from setupsheets.joinery.members.parts import End, Role
from setupsheets.joinery.members.rod_strips import Rod, RodCut, RodMark, RodStrip, Way
from setupsheets.joinery.members.stick import Line
from setupsheets.lengths import Length, Notation
from setupsheets.shop.jobs import Meeting, Opening, Side
from setupsheets.shop.sections import Sticking
from setupsheets.wording.lists import listed

DATUM_EDGES: Mapping[Way, str] = {
    Way.HEIGHT: "bottom of the leaf",
    Way.WIDTH: "left edge of the leaf, seen from outside",
}
"""The one edge that all figures of a rod count from."""

DATUM = "datum edge"

TRUE_SIZE = (
    "Full size: lay a rule on the check scale first; 100 mm and 4 in must measure so.",
    "Paper moves with damp: where line and figure differ, the figure counts.",
)
"""What to do before a paper rod is trusted (common practice, no source)."""
AT_FULL_SIZE = "Print at 100 %, not fitted to the page. Lay the crosses of two tiles on each other."

_LETS = {
    Line.MORTISE_START: "mortise for the {of} starts",
    Line.MORTISE_END: "mortise for the {of} ends",
    Line.HALVING_START: "halving for the {of} starts",
    Line.HALVING_END: "halving for the {of} ends",
}
_ALONE = (Line.LOCK_START, Line.LOCK_END, Line.OPENING, Line.COVER)
"""What is marked for itself, and not on some part."""


def leaf_words(leaf: Side) -> str:
    """`left leaf`: which of a pair, seen from outside."""
    return f"{leaf} leaf"


def rod_title(rod: Rod, strip: RodStrip, job: str) -> str:
    """`Larder cupboard doors: width rod, field 1`."""
    if len(rod.strips) == 1:
        return f"{job}: {rod.way} rod"
    plural = "s" if len(strip.fields) > 1 else ""
    return f"{job}: {rod.way} rod, field{plural} {listed(map(str, strip.fields))} from the top"


def rod_notes(rod: Rod, notation: Notation) -> tuple[str, ...]:
    """Where the figures count from and what the whole must measure; what is drawn how."""
    whole, edge = notation.show(rod.length), DATUM_EDGES[rod.way]
    if rod.pair and rod.way is Way.WIDTH:
        edge, other = "left edge of the left leaf, seen from outside", "right leaf's right edge"
    else:
        other = "other edge"
    return (
        f"All figures from the {edge}; the {other} is {whole} from it.",
        *(_opening_notes(rod, rod.opening, notation) if rod.opening else ()),
        *(_bevel_notes(rod, rod.opening, notation) if rod.opening else ()),
        "Hatched: cut across. Dashed: mortises, tenons, haunches and halvings.",
        *TRUE_SIZE,
    )


def _opening_notes(rod: Rod, opening: Opening, notation: Notation) -> Iterator[str]:
    """What is drawn of the opening, and of a pair in it as a sum that can be done again."""
    gaps, made, on = opening.clearances, opening.leaf, opening.fitting
    wide = notation.show(opening.greatest[0])
    if on and not (rod.pair and rod.way is Way.WIDTH):
        yield f"{notation.show(on)} of that is left on, to be planed off as it is fitted."
    if opening.out_of_square:
        yield "The opening is out of square: its greater sides are drawn."
    if rod.pair is None:
        return
    if rod.way is Way.HEIGHT:
        yield "Both leaves are alike in height: this one rod is for both."
        return
    lap = f" less the lap of {notation.show(opening.lap)}" if opening.lap else ""
    hinge, gap, leaf = map(notation.show, (gaps.hinge, 2 * gaps.meeting, made.width - on))
    parts = f"gap {hinge}, leaf {leaf}, gap {gap}{lap}, leaf {leaf}, gap {hinge}"
    yield f"The opening is {wide} wide: {parts}."
    if on:
        yield f"Each leaf is made {notation.show(on)} wider; its meeting edge is drawn as fitted."
    if rod.pair is Meeting.REBATED:
        yield "Drawn with the left leaf's lip at the face and the right one's at the back: the left"
        yield "leaf opens first where they open to the face, the right one where to the back."
        yield "If the other is to open first, face and back of both rebates change places."
    if rod.pair in (Meeting.ASTRAGAL, Meeting.STRIP):
        side = "it lies on the side that the leaves open to, on the leaf that opens first"
        yield f"The {rod.pair} is drawn before the face; {side}."


def _bevel_notes(rod: Rod, opening: Opening, notation: Notation) -> Iterator[str]:
    """What the bevels that are drawn take off, and for which side."""
    if rod.way is Way.HEIGHT:
        return
    lapped, far = rod.pair is Meeting.REBATED, "lock" if rod.pair is None else "meeting"
    drawn = (("hinge", opening.hinge_bevel), ("" if lapped else far, opening.lock_bevel))
    off = [
        f"{notation.small(bevel_loss(rod.thickness, bevel))} at the {edge} edge"
        for edge, bevel in drawn
        if bevel and edge
    ]
    if off:
        yield f"Dashed at the edges: bevels, off the back by {listed(off)}, for pins at the face."
        yield "With the hinge pins at the back they lean the other way, off the face."
    if lapped and opening.lock_bevel:
        yield "The bevel of the rebated meeting edges is not drawn."


def tile_words(tile: str, count: int, beside: Sequence[str]) -> str:
    """`Tile A2 of 13, joined to A1 and A3.`"""
    joined = f"joined to {listed(beside)}" if beside else "the whole of it"
    return f"Tile {tile} of {count}, {joined}."


def rod_mark_words(marks: Sequence[RodMark], strip: RodStrip, notation: Notation) -> str:
    """All that is marked at one place, behind its figure from the datum edge."""
    said = []
    for leaf in dict.fromkeys(mark.leaf for mark in marks):
        here = [mark for mark in marks if mark.leaf is leaf]
        words = "; ".join(_line_words(here, strip))
        said.append(f"{words}, {leaf_words(leaf)}" if leaf else words)
    return f"{notation.mark(marks[0].at)}  {'; '.join(said)}"


def _line_words(marks: Sequence[RodMark], strip: RodStrip) -> Iterator[str]:
    for line in dict.fromkeys(mark.line for mark in marks):
        mine = [mark for mark in marks if mark.line is line]
        if line in _LETS:
            yield _LETS[line].format(of=_what_for(mine))
        elif line in _ALONE:
            yield line.value
        else:
            yield f"{line.value}, {_whose(mine, strip.marks)}"


def _what_for(mine: Sequence[RodMark]) -> str:
    """`cross bar`, `rails`, `upright bars` where it is for pieces of one role by several names."""
    names = list(dict.fromkeys(mark.of for mark in mine))
    roles = [role for role in Role if all(name.endswith(role) for name in names)]
    return f"{roles[0]}s" if len(names) > 1 and roles else listed(names)


def _whose(mine: Sequence[RodMark], every: Iterable[RodMark]) -> str:
    """`rails and cross bars` where it is all of them, else each by name."""
    names = []
    for role in dict.fromkeys(mark.role for mark in mine):
        here = {mark.part: None for mark in mine if mark.role is role}
        there = {mark.part for mark in every if mark.role is role}
        names += [f"{role}s"] if len(here) > 1 and set(here) == there else list(here)
    return listed(names)


MOULDING = "moulding: lies in the reverse"
REVERSE = "reverse: lay it on the moulding"


def templates_title(job: str) -> str:
    """What a plate of templates is called."""
    return f"{job}: sections, copes and mouldings to lay on a test piece"


def section_words(parts: Iterable[str], cut: RodCut, notation: Notation) -> tuple[str, ...]:
    """Below the template of a section: what it is of, and its size."""
    size = f"{notation.show(cut.high)} × {notation.show(cut.section.thickness)}"
    return f"section: {listed(dict.fromkeys(parts))}", f"{size}, {cut.section.title}"


def meeting_words(opening: Opening, pair: Meeting, notation: Notation) -> tuple[str, ...]:
    """Below the template of a pair's meeting stiles: the gap, and what lies over it."""
    gap = notation.show(2 * opening.clearances.meeting)
    lines = ["meeting stiles of the pair, seen from above, face at the head"]
    if pair is Meeting.REBATED:
        lap = f"gap {gap}, lap {notation.show(opening.lap)}, half the thickness each"
        return (
            *lines,
            lap,
            "the leaf that opens first has its lip on the side that it opens towards",
        )
    if pair is Meeting.PLAIN:
        return (*lines, f"gap {gap}; bevels are not drawn")
    size = f"{notation.show(opening.strip_width)} × {notation.show(opening.strip_thickness)}"
    return (*lines, f"gap {gap}; {pair} {size}, on the side that the leaves open to")


def cope_words(joints: Iterable[tuple[str, str]], end: End, notation: Notation) -> tuple[str, ...]:
    """Below the template of an end: which parts have it, into what, and its tenon."""
    mates: dict[str, dict[str, None]] = {}
    for part, mate in joints:
        mates.setdefault(mate, {})[part] = None
    lines = [f"end: {listed(parts)}, into the {mate}" for mate, parts in mates.items()]
    tenon = notation.show(end.tenon.thickness)
    reach = notation.show(end.reach)
    return (*lines, f"tenon {tenon} thick, {reach} past the sight edge")


def outline_title(name: str) -> str:
    """What a moulding that is drawn back is called."""
    return f"The outline of {name} as it was read"


def outline_notes(moulding: Sticking, flatness: float, notation: Notation) -> tuple[str, ...]:
    """How large it is, and how near the lines are to the curves that they stand for (mm)."""
    size = f"{notation.show(moulding.width)} wide, {notation.show(moulding.depth)} deep"
    near = notation.small(Length.from_float(flatness))
    return (
        f"{size}. Face at the head, sight edge at the left.",
        (f"Arcs and curves are drawn as chords that stray {near} at most."),
        TRUE_SIZE[0],
    )
