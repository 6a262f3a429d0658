"""Hand work as it is printed: a gauge's figures at haunches, twin tenons and tenons' edges."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from setupsheets.joinery.members.parts import Part
from setupsheets.lengths import Length
from tests.sheets.test_printed_words import Printed, Sheet, told

CLOSE = Length("0.34 mm")  # nearer than two marks of any rule
Cuts = Sequence[Printed]


def off(one: Length, other: Length) -> bool:
    return abs(one - other) > CLOSE


def gauged(each: Printed, part: Part, of: Sheet) -> dict[str, Length]:
    """The marking gauge's figures for a part, by what they are called."""
    jigs = each.facts["Jigs"]
    own = re.search(rf"gauge for the [^:*]*\b{part.name}\b[^:*]*:\*(.*?)(?:; \*|$)", jigs)
    words = (own or re.search(r"gauge:\*(.*?)(?:; \*|$)", jigs) or [""])[0 if own is None else 1]
    sizes = words.rpartition(": ")[2]
    found = re.findall(r"([a-z][a-z ]*?) (\d[^,;]*)", sizes)
    return {name.strip(): of.length(figure) for name, figure in found}


def gauge_at(each: Printed, size: str, of: Sheet) -> Length:
    """What a gauge is set to for all parts alike."""
    found = re.search(rf"gauge:\*[^*]*\b{size} (\d[^,;]*)", each.facts["Jigs"])
    assert found, each.facts
    return of.length(found[1])


def haunches_wrong(of: Sheet, cuts: Cuts) -> Iterator[str]:
    """A haunch stands as far past the shoulder as its tenon is thick, or as the tenon itself where
    that is shorter; the rest of the tenon goes (common practice, no source)."""
    rails = {rail.name: rail for rail in of.joinery.layout.job.rails}
    for part in of.joinery.parts:
        rail = rails.get(part.name)
        if rail is None or not rail.haunch:
            continue
        mine = [each for each in cuts if each.title.startswith("Saw the tenon back")
                and part.name in each.parts]  # fmt: skip
        if len(mine) != 1 or told(mine[0], part.name) != "both ends":
            yield f"haunch of the {part.name}, at both ends once"
            continue
        found, end = gauged(mine[0], part, of), part.ends[0]
        if off(found["from edge"], rail.haunch):
            yield f"haunch of the {part.name} from its edge"
        if off(found["from end"] + found["haunch left"], end.reach):
            yield f"haunch of the {part.name} along its tenon"
        if off(found["haunch left"] - end.mate.rebate.width, end.tenon.thickness):
            yield f"haunch of the {part.name} past its shoulder"


def widths_wrong(of: Sheet, cuts: Cuts) -> Iterator[str]:
    """What the gauge leaves of a tenon's width is as long as its mortise; all of it together is the
    part's width."""
    for part in of.joinery.parts:
        mine = [each for each in cuts if part.name in each.parts and each.facts.get("Jigs")]
        holes = {m.end - m.start for m in of.joinery.mortises if m.holds == part.name}
        for each in mine:
            if each.title == "Saw out the gap between twin tenons":
                yield from _twins_wrong(gauged(each, part, of), part, holes)
            elif each.title == "Trim the tenon's edges to its mortise":
                found = gauged(each, part, of)
                if off(sum(found.values(), Length.ZERO), part.width):
                    yield f"tenon of the {part.name} across the part"
                if not part.ends[0].tenon.twin_gap and all(
                    off(found["width left"], hole) for hole in holes
                ):
                    yield f"tenon of the {part.name} in its mortise"


def _twins_wrong(found: dict[str, Length], part: Part, holes: set[Length]) -> Iterator[str]:
    if all(off(found["each tenon"], hole) for hole in holes):
        yield f"twin tenons of the {part.name} in their mortises"
    if off(found["from end"], part.ends[0].reach):
        yield f"gap between the twin tenons of the {part.name}"
    whole = found["from lower edge"] + 2 * found["each tenon"] + found["gap"]
    if whole > part.width + CLOSE:
        yield f"twin tenons of the {part.name} across the part"
