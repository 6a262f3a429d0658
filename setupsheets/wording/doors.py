"""What is written on the drawings of the door, what they say to a screen reader, and how a leaf is
fitted to its opening."""

from __future__ import annotations

from collections.abc import Iterable
from textwrap import wrap

from setupsheets.joinery.frame.opening import Fitting
from setupsheets.joinery.members.elevation import Elevation, Look
from setupsheets.joinery.members.parts import Part
from setupsheets.lengths import Notation
from setupsheets.shop.jobs import Opening
from setupsheets.wording.lists import capital, listed, many

HINGE_SIDE = "hinge side"
_LINE = 40  # letters in a line below a section
_PANES = frozenset({Look.GLASS, Look.PANEL, Look.GROOVED_PANEL})


def door_title(job: str, elevation: Elevation) -> str:
    """What the elevation is of."""
    return f"{job}: {'one leaf' if elevation.gap is None else 'both leaves'}, from outside"


def section_title(job: str, names: str) -> str:
    """What a section is of."""
    return f"{job}: section of {names} at the sight edge"


def leaf_in_words(elevation: Elevation, notation: Notation) -> str:
    """The elevation in a few sentences."""
    looks = [box.look for box in elevation.boxes if box.look in _PANES]
    panes = looks.count(Look.GLASS)
    counts = ((panes, "pane"), (len(looks) - panes, "panel"))
    parted = listed(many(count, thing) for count, thing in counts if count)
    named = (box.name for box in elevation.boxes if box.look not in _PANES | {Look.HORN})
    size = f"{notation.show(elevation.width)} wide and {notation.show(elevation.height)} high"
    leaf = "The leaf" if elevation.gap is None else "Both leaves of the pair"
    each = "" if elevation.gap is None else "each "
    return (
        f"{leaf} from outside, {each}{size}, {each}with {parted}. Parts: "
        f"{listed(dict.fromkeys(named))}. {_hung(elevation)}"
    )


def leaves_in_words(count: int) -> str:
    """What is measured of leaves that are made alike: each of them, whatever boxes there are."""
    few = ("the leaf", "each leaf")
    return few[count - 1] if count <= len(few) else f"each of the {count} leaves"


def _hung(elevation: Elevation) -> str:
    if elevation.gap is not None:
        return "Hinges at the outer edges."
    if elevation.hinge is None:
        return "The job does not say at which side the hinges are."
    return f"Hinges at the {elevation.hinge}."


def width_words(parts: Iterable[Part], notation: Notation) -> tuple[str, ...]:
    """`top rail, 2 1/4 in wide`: lines for each width that parts of one section have."""
    widths: dict[str, list[str]] = {}
    for part in parts:
        widths.setdefault(notation.show(part.width), []).append(part.name)
    told = (f"{listed(dict.fromkeys(names))}, {wide} wide" for wide, names in widths.items())
    return tuple(line for words in told for line in wrap(words, _LINE))


def section_in_words(told: str) -> str:
    """A section of members, for a screen reader."""
    return f"Section at the sight edge, face at the head. {capital(told)}."


def opening_words(fitting: Fitting, opening: Opening, notation: Notation) -> str:
    """`Opening 36 3/8 in wide and 41 3/4 in high, closed by a pair of leaves of ...`."""
    leaf, show, sides = fitting.leaf, notation.show, opening.out_of_square
    leaves = "a pair of leaves" if fitting.leaves > 1 else "one leaf"
    size = f"{show(opening.width)} wide and {show(opening.height)} high"
    if sides is not None:
        size = (
            f"out of square, seen from the leaf's face: {show(opening.width)} wide at the top and "
            f"{show(sides.bottom)} at the bottom, {show(opening.height)} high at the left and "
            f"{show(sides.right)} at the right, {show(sides.diagonal)} from its lower left corner "
            "to its upper right one"
        )
    made = f"{show(leaf.width)} by {show(leaf.height)} at the widest face"
    left_on = f", {show(opening.fitting)} of it each way left on for fitting"
    return f"Opening {size}, closed by {leaves} of {made}{left_on if opening.fitting else ''}."


def planing_words(fitting: Fitting) -> str:
    """What the rows of what is planed off count from."""
    bevel = " A bevel is planed after." if any(edge.bevel for edge in fitting.edges) else ""
    return (
        "The leaf is made square and planed to its opening, from a straight line between the two "
        "figures of an edge, so that its clearances come out even; the hinge edge stays as it is. "
        f"Try it in the opening before the last shavings.{bevel}"
    )
