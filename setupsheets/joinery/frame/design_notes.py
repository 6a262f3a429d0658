"""What the maker should know about a leaf that can be made: sections, grooves, thin walls."""

from __future__ import annotations

from collections.abc import Iterator

from setupsheets.joinery.frame.edges import stile_stretches
from setupsheets.joinery.frame.layout import Layout
from setupsheets.joinery.frame.lights import Lights, light_notes
from setupsheets.joinery.frame.opening import fitting
from setupsheets.joinery.members.parts import Stretch
from setupsheets.joinery.members.tenons import bar_in_bar_depth, is_outer, joints_of
from setupsheets.lengths import Length, Notation
from setupsheets.shop.jobs import Fill

ZERO = Length.ZERO


def design_notes(layout: Layout, lights: tuple[Lights, ...], notation: Notation) -> Iterator[str]:
    """All of it, in the order of the leaf."""
    yield (
        "the stiles are a pair: lay them face to face and mark one as the mirror image of the "
        "other before the first mortise"
    )
    for light in lights:
        yield from light_notes(light, notation)
    if layout.job.opening:
        yield from fitting(layout.job.opening, layout.stile.thickness, notation).notes
    if layout.halved and layout.crossing and layout.bar:
        yield (
            "bars are halved over each other: once they are moulded, mitre the mouldings of both "
            f"from the notch to the sight edge, {notation.show(layout.bar.sticking.width)} each "
            "side and as deep as the notch, and try each crossing dry"
        )
    yield from _groove_notes(layout, notation)
    yield from _rail_notes(layout)
    yield from _section_notes(layout, notation)
    yield from _wall_notes(layout, notation)


def _groove_notes(layout: Layout, notation: Notation) -> Iterator[str]:
    """Where the stiles' rebate ends and the groove for a panel begins."""
    panels = layout.job.panels
    for index, field in enumerate(layout.job.fields):
        if field.fill is Fill.GROOVED_PANEL and panels:
            low, high = layout.rail_edges[index + 1][1], layout.rail_edges[index][0]
            yield (
                f"field {index + 1}: groove {notation.show(panels.groove_width)} wide and "
                f"{notation.show(panels.groove_depth)} deep in both stiles from "
                f"{notation.show(low)} to {notation.show(high)} above the bottom of the leaf and "
                "in both rails; no rebate there; the panel goes in dry as the leaf is put together"
            )
    for run in stile_stretches(layout) if panels else ():
        yield _run_note(run, notation)


def _run_note(run: Stretch, notation: Notation) -> str:
    """From where to where a stile's rebate or groove runs, and what fills it where it runs out."""
    what, fills = (
        ("rebate", "the rail's back")
        if run.groove is None
        else ("groove", "the tenon or its haunch")
    )
    bounds = ((run.first, run.start, "bottom"), (run.last, run.end, "top"))
    said = [
        f"out at the {where} of the leaf, where {fills} fills it"
        if limit is None
        else f"full to {notation.show(full)} and no further than {notation.show(limit)}"
        for limit, full, where in bounds
    ]
    return f"{what} along the stiles: {'; '.join(said)} (above the bottom of the leaf)"


def _rail_notes(layout: Layout) -> Iterator[str]:
    for index, rail in enumerate(layout.job.rails):
        if is_outer(layout, index) and rail.haunch <= ZERO:
            yield (
                f"the {rail.name} has no haunch: its mortise runs out at the end of the stile once "
                "the horn is cut off"
            )


def _section_notes(layout: Layout, notation: Notation) -> Iterator[str]:
    for joint in joints_of(layout):
        mate, own = joint.end.mate, joint.own
        if own.sticking != mate.sticking:
            yield (
                f"the mouldings of {own.name} and {mate.name} differ: they do not run on from one "
                "to the other at a corner"
            )
        if own.thickness < mate.thickness:
            thinner = notation.show(mate.thickness - own.thickness)
            yield f"{own.name} is {thinner} thinner than {mate.name} and stands back behind it"
        if joint.end.tenon.set_back > ZERO:
            yield (
                f"the tenon of the {joint.part} in the {joint.mate} is not in line with its own "
                f"tongue: it stands back {notation.show(joint.end.tenon.set_back)} at a moulded "
                "edge"
            )


def _wall_notes(layout: Layout, notation: Notation) -> Iterator[str]:
    """Walls left at the bottom of mortises that are thinner than the tenon."""
    for joint in joints_of(layout):
        both = 2 if joint.key == "bar_in_bar_mortise" else 1
        wall = joint.mate_width - both * joint.end.mortise_depth
        if wall == ZERO and joint.mate_width > ZERO:
            yield f"the mortise for the {joint.part} goes right through the {joint.mate}"
        elif ZERO < wall < joint.end.tenon.thickness:
            left = f"only {notation.show(wall)} is left"
            yield (
                f"{left} between the mortises in a bar where two broken bars meet"
                if both == 2
                else f"{left} of the {joint.mate} behind the mortise for the {joint.part}"
            )
    if layout.crossing and not layout.halved and layout.job.joints.bar_in_bar_mortise is None:
        middle = notation.show(bar_in_bar_depth(layout))
        yield f"mortises in bars for bars go to the middle, {middle}: the job does not say"
