"""Ends fitted to what exists: the second machine is set to what the first one made.

A tenon is cut to the mortise as it was chopped, a cope to the moulding as it was run. What was
measured on the mate takes the place of the design in the end that is still to be cut, so that aims,
targets and the proof on paper all go by it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from setupsheets.files.faults import Fault, stop_on, unknown
from setupsheets.joinery.members.parts import End, Joinery
from setupsheets.lengths import Length
from setupsheets.machining.operations import SetUp
from setupsheets.shop.jobs import Job
from setupsheets.shop.recipes import MadeSize, Makes

AsMade = Mapping[MadeSize, Length]


NEAR_ENOUGH = Length("1.6 mm")
"""How far what was made may be from its design, 1/16 in: an end is fitted by hairs, and what is
further out asks for another design. Common practice, no source."""


def fitted(end: End, made: AsMade) -> End:
    """An end fitted to its mate as measured. Raises ValueError for what is too far from the design,
    and for a moulding that cannot be so deep: the bit stood deeper or shallower, and left more or
    less of the drop above its curve."""
    tenon, sticking = end.tenon, end.mate.sticking
    designed = {
        MadeSize.MORTISE_WIDTH: tenon.thickness,
        MadeSize.MORTISE_FROM_FACE: tenon.from_face,
        MadeSize.STICKING_DEPTH: sticking.depth,
    }
    for size, found in made.items():
        if abs(found - designed[size]) > NEAR_ENOUGH:
            raise ValueError(
                f"{size.value} is further from the design, {designed[size]}, than an end can be"
                " fitted: change the design"
            )
    depth = made.get(MadeSize.STICKING_DEPTH, sticking.depth)
    if depth != sticking.depth and not sticking.outline:
        sticking = replace(sticking, depth=depth, quirk=sticking.quirk + depth - sticking.depth)
    elif depth != sticking.depth:
        raise ValueError("sticking_depth: a moulding drawn by lines and arcs is cut as it is drawn")
    return replace(
        end,
        mate=replace(end.mate, sticking=sticking),
        tenon=replace(
            tenon,
            thickness=made.get(MadeSize.MORTISE_WIDTH, tenon.thickness),
            from_face=made.get(MadeSize.MORTISE_FROM_FACE, tenon.from_face),
        ),
    )


def fitted_ends(job: Job, joinery: Joinery) -> Mapping[tuple[str, End], End]:
    """By part and end as designed, each end as it is fitted. Raises DataFaults for a part that has
    no ends, and for what cannot be fitted."""
    ends = {part.name: tuple(dict.fromkeys(part.ends)) for part in joinery.parts if part.ends}
    faults: list[Fault] = []
    found: dict[tuple[str, End], End] = {}
    for name in job.as_made.keys() - ends.keys():
        message = unknown("part", name, sorted(ends))
        faults.append(job.marks.key_fault(message, "as_made", name))
    for name, of_part in ends.items():
        for end in of_part:
            try:
                found[name, end] = fitted(end, job.as_made.get(name, {}))
            except ValueError as error:
                faults.append(job.marks.fault(str(error), "as_made", name))
    stop_on(faults)
    return found


def parts_fitted_to(set_up: SetUp, joinery: Joinery) -> tuple[str, ...]:
    """The parts whose ends are to be fitted to what a set-up makes: to its mortises, or over its
    moulding."""
    subject = set_up.subject
    return tuple(
        part.name
        for part in joinery.parts
        if any(_goes_into(end, set_up) for end in part.ends) and subject.section is not None
    )


def _goes_into(end: End, set_up: SetUp) -> bool:
    mortise, section = set_up.subject.mortise, set_up.subject.section
    if end.mate != section:
        return False
    if set_up.recipe.makes is not Makes.MORTISE or mortise is None:
        return True
    tenon = end.tenon
    there = (mortise.thickness, mortise.from_face, mortise.depth)
    return there == (tenon.thickness, tenon.from_face, end.mortise_depth)
