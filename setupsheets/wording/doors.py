"""What is written on the drawings of the door, and what they say to a screen reader."""

from __future__ import annotations

from collections.abc import Iterable
from textwrap import wrap

from setupsheets.joinery.members.elevation import Elevation, Look
from setupsheets.joinery.members.parts import Part
from setupsheets.lengths import Notation
from setupsheets.wording.lists import listed

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
    panes = sum(box.look in _PANES for box in elevation.boxes)
    parted = f"{panes} pane{'' if panes == 1 else 's'}"
    named = (box.name for box in elevation.boxes if box.look not in _PANES | {Look.HORN})
    size = f"{notation.show(elevation.width)} wide and {notation.show(elevation.height)} high"
    leaf = "The leaf" if elevation.gap is None else "Both leaves of the pair"
    each = "" if elevation.gap is None else "each "
    return (
        f"{leaf} from outside, {each}{size}, {each}with {parted}. Parts: "
        f"{listed(dict.fromkeys(named))}. {_hung(elevation)}"
    )


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
    return f"Section at the sight edge, face at the head. {told[:1].upper()}{told[1:]}."
