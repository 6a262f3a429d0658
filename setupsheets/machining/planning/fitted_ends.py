"""Ends and panels fitted to what exists: the second machine is set to what the first one made.

A tenon is cut to the mortise as it was chopped, a cope to the moulding as it was run, a panel's
tongue to the groove. What was measured on the mate takes the place of the design in what is still
to be cut, so that aims, targets and the proof on paper all go by it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from msgspec.structs import replace

from setupsheets.files.faults import Fault, stop_on, unknown
from setupsheets.joinery.members.parts import End, Joinery, MadeAs, Pane, Tenon
from setupsheets.lengths import Length
from setupsheets.machining.operations import SetUp
from setupsheets.shop.jobs import Fill, Job
from setupsheets.shop.recipes import MadeSize, Makes

Made = Mapping[MadeSize, MadeAs]
Fitting = End | Pane
"""What is fitted to a mate."""

NEAR_ENOUGH = Length("1.6 mm")
"""How far what was made may be from its design, 1/16 in: an end is fitted by hairs, and what is
further out asks for another design. Common practice, no source."""


class CannotBeFitted(ValueError):
    """Why an end or panel cannot be fitted to a size: ``why`` without the size's key, for a
    sentence that names it."""

    def __init__(self, size: MadeSize, why: str) -> None:
        super().__init__(f"{size} {why}")
        self.why = why


def designed_sizes(item: Fitting) -> Mapping[MadeSize, Length]:
    """The sizes of its mate that an end or panel is designed for; none for one that is in no
    groove, or lies in it with play."""
    if isinstance(item, End):
        return {
            MadeSize.MORTISE_WIDTH: item.tenon.thickness,
            MadeSize.MORTISE_FROM_FACE: item.tenon.from_face,
            MadeSize.STICKING_DEPTH: item.mate.sticking.depth,
        }
    return {MadeSize.GROOVE_WIDTH: item.tongue or item.thickness}


def designed_for(set_up: SetUp) -> Mapping[MadeSize, Length]:
    """The same of the end or panel that a set-up makes; none where it makes neither."""
    subject = (set_up.designed or set_up).subject
    if subject.end is not None:
        return designed_sizes(subject.end)
    in_groove = subject.panel is not None and subject.panel.fill is Fill.GROOVED_PANEL
    return designed_sizes(subject.panel) if in_groove and subject.panel else {}


def _check(designed: Mapping[MadeSize, Length], made: Mapping[MadeSize, Length]) -> None:
    """Raise CannotBeFitted for what is too far from the design, ValueError for a size that no mate
    has."""
    for size, found in made.items():
        if size not in designed:
            raise ValueError(f"{size}: it goes into nothing that has one")
        if abs(found - designed[size]) > NEAR_ENOUGH:
            why = f"is further from the design, {designed[size]}, than an end can be fitted"
            raise CannotBeFitted(size, f"{why}: change the design")


def fitted_end(end: End, made: Mapping[MadeSize, Length]) -> End:
    """An end fitted to its mate as measured. Raises CannotBeFitted for what cannot be, as a
    moulding that cannot be so deep: the bit stood deeper or shallower, and left more or less of the
    drop above its curve."""
    _check(designed_sizes(end), made)
    tenon, sticking = end.tenon, end.mate.sticking
    depth = made.get(MadeSize.STICKING_DEPTH, sticking.depth)
    if depth != sticking.depth:
        quirk = sticking.quirk + depth - sticking.depth
        if sticking.outline:
            why = "is of a moulding drawn by lines and arcs, which is cut as it is drawn"
            raise CannotBeFitted(MadeSize.STICKING_DEPTH, why)
        if quirk < Length.ZERO:
            why = "is less than the moulding's curve takes: no cope goes over that"
            raise CannotBeFitted(MadeSize.STICKING_DEPTH, why)
        sticking = replace(sticking, depth=depth, quirk=quirk)
    return replace(
        end,
        mate=replace(end.mate, sticking=sticking),
        tenon=replace(
            tenon,
            thickness=made.get(MadeSize.MORTISE_WIDTH, tenon.thickness),
            from_face=made.get(MadeSize.MORTISE_FROM_FACE, tenon.from_face),
        ),
    )


def fitted_panel(panel: Pane, made: Mapping[MadeSize, Length]) -> Pane:
    """A raised panel's tongue, or a flat panel's whole thickness, as wide as its groove. Raises
    CannotBeFitted for what cannot be."""
    _check(designed_sizes(panel), made)
    width = made.get(MadeSize.GROOVE_WIDTH)
    if width is None:
        return panel
    return replace(panel, tongue=width) if panel.tongue else replace(panel, thickness=width)


def why_not(item: Fitting, made: Mapping[MadeSize, Length]) -> str:
    """Why an end or panel cannot be fitted to that, behind `it`; empty where it can."""
    try:
        if isinstance(item, Pane):
            fitted_panel(item, made)
        else:
            fitted_end(item, made)
    except CannotBeFitted as error:
        return error.why
    return ""


def fitted_ends(job: Job, joinery: Joinery) -> Mapping[tuple[str, End], tuple[End, Made]]:
    """By part and end as designed, each end as it is fitted, and to what. Raises DataFaults for a
    part of the job's `as_made` that has no ends and is no panel, and for what cannot be fitted."""
    known = {name for name, _ in fittings(joinery)}
    faults: list[Fault] = []
    found: dict[tuple[str, End], tuple[End, Made]] = {}
    for name in job.as_made.keys() - known:
        message = unknown("part", name, sorted(known))
        faults.append(job.marks.key_fault(message, "as_made", name))
    for name, end in _ends(joinery):
        made = _made(name, end, job, joinery)
        try:
            found[name, end] = fitted_end(end, _sizes(made)), made
        except ValueError as error:
            faults.append(job.marks.fault(str(error), "as_made", name))
    stop_on(faults)
    return found


def fitted_panels(job: Job, joinery: Joinery) -> Mapping[Pane, tuple[Pane, Made]]:
    """Each panel that lies in a groove, as it is fitted, and to what. Raises DataFaults for what
    cannot be fitted."""
    faults: list[Fault] = []
    found: dict[Pane, tuple[Pane, Made]] = {}
    for name, panel in _grooved(joinery):
        made = _made(name, panel, job, joinery)
        try:
            found[panel] = fitted_panel(panel, _sizes(made)), made
        except ValueError as error:
            faults.append(job.marks.fault(str(error), "as_made", name))
    stop_on(faults)
    return found


def _made(name: str, item: Fitting, job: Job, joinery: Joinery) -> Made:
    """What the job's file says was made wins over what was measured."""
    typed = {size: MadeAs(found) for size, found in job.as_made.get(name, {}).items()}
    return {**joinery.made.get((name, item), {}), **typed}


def _sizes(made: Made) -> Mapping[MadeSize, Length]:
    return {size: each.size for size, each in made.items()}


def panel_name(panel: Pane) -> str:
    """What a panel of wood is called."""
    return f"panel of field {panel.field}"


def _ends(joinery: Joinery) -> Iterator[tuple[str, End]]:
    return ((part.name, end) for part in joinery.parts for end in dict.fromkeys(part.ends))


def _grooved(joinery: Joinery) -> Iterator[tuple[str, Pane]]:
    return ((panel_name(pane), pane) for pane in joinery.panes if pane.fill is Fill.GROOVED_PANEL)


def fittings(joinery: Joinery) -> Iterator[tuple[str, Fitting]]:
    """Every end, by its part's name, and every panel in a groove, as they are designed."""
    yield from _ends(joinery)
    yield from _grooved(joinery)


def made_by(set_up: SetUp, joinery: Joinery) -> Iterator[tuple[str, Fitting]]:
    """The ends or panels that a set-up makes, as they are designed."""
    subject = (set_up.designed or set_up).subject
    if subject.end is None and subject.panel is None:
        return
    for name, item in fittings(joinery):
        if name not in set_up.counts:
            continue
        if isinstance(item, Pane):
            same = subject.panel is not None
        else:
            same = subject.end is not None and as_set(item) == as_set(subject.end)
        if same:
            yield name, item


def as_set(end: End) -> End:
    """An end with no more of its tenon than what machines are set to."""
    tenon = Tenon(end.tenon.thickness, end.tenon.from_face, Length.ZERO)
    return replace(end, tenon=tenon)


def goes_into(item: Fitting, set_up: SetUp) -> bool:
    """Whether an end or panel is fitted to what a set-up makes: its mortises, its groove, or the
    moulding that it is coped over."""
    subject, makes = set_up.subject, set_up.recipe.makes
    if isinstance(item, Pane):
        width = subject.groove.width if subject.groove is not None else None
        return makes is Makes.GROOVE and width == designed_sizes(item)[MadeSize.GROOVE_WIDTH]
    if subject.section is None or item.mate.name != subject.section.name:
        return False
    if makes is not Makes.MORTISE or subject.mortise is None:
        return makes in (Makes.STICKING, Makes.BAR)
    tenon, mortise = item.tenon, subject.mortise
    sizes = (mortise.thickness, mortise.from_face, mortise.depth)
    return sizes == (tenon.thickness, tenon.from_face, item.mortise_depth)


def parts_fitted_to(
    set_up: SetUp, joinery: Joinery, made: Mapping[MadeSize, Length]
) -> tuple[str, ...]:
    """The parts whose ends, and the panels that, can be fitted to what a set-up made."""
    going = ((name, item) for name, item in fittings(joinery) if goes_into(item, set_up))
    return tuple(dict.fromkeys(name for name, item in going if not why_not(item, made)))
