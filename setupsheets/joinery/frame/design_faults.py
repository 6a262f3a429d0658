"""What cannot be made: every fault of a leaf that has been laid out, with the job's field."""

from __future__ import annotations

from collections.abc import Iterator

from setupsheets.files.faults import Fault
from setupsheets.joinery.frame.layout import Layout, left_for_fields
from setupsheets.joinery.frame.lights import no_daylight
from setupsheets.joinery.frame.opening import opening_faults
from setupsheets.joinery.members.grouping import doubled_names
from setupsheets.joinery.members.panes import pane_faults
from setupsheets.joinery.members.parts import Part
from setupsheets.joinery.members.tenons import bar_in_bar_depth, is_outer, joint_faults, joints_of
from setupsheets.lengths import Length, Notation
from setupsheets.shop.sections import Section

ZERO = Length.ZERO


def layout_faults(layout: Layout, notation: Notation) -> Iterator[Fault]:
    """All that is wrong with the leaf, in the order of the job's fields."""
    yield from opening_faults(layout.job, notation)
    yield from _size_faults(layout, notation)
    yield from _section_faults(layout, notation)
    yield from _rail_faults(layout, notation)
    yield from _light_faults(layout, notation)
    for joint in joints_of(layout):
        for message in joint_faults(joint, notation):
            yield layout.job.marks.fault(message, "joints", joint.key)
    yield from _meeting_tenons(layout, notation)
    for message, place in pane_faults(layout, notation):
        yield layout.job.marks.fault(message, *place)


def _size_faults(layout: Layout, notation: Notation) -> Iterator[Fault]:
    job, show = layout.job, notation.show
    if layout.sight_width <= ZERO:
        yield layout.job.marks.fault(
            f"two stiles of {show(job.stiles.width)} leave a sight width of "
            f"{show(layout.sight_width)} in a leaf {show(job.size.width)} wide",
            "leaf",
            "width",
        )
    silent = [index for index, field in enumerate(job.fields) if field.sight_height is None]
    for index in silent[1:]:
        message = "expected a sight height: only one field of a leaf takes what the others leave"
        yield layout.job.marks.key_fault(message, "fields", index, "sight_height")
    left = left_for_fields(job)
    if not silent and left != ZERO:
        way = "less" if left > ZERO else "more"
        yield layout.job.marks.fault(
            f"rails and sight heights come to {show(job.size.height - left)}, {show(abs(left))} "
            f"{way} than the leaf's height of {show(job.size.height)}; change one, or leave "
            "sight_height out of one field",
            "leaf",
            "height",
        )
    if silent and left <= ZERO:
        yield layout.job.marks.fault(
            f"rails and the other fields take {show(job.size.height - left)} of the leaf's height "
            f"of {show(job.size.height)} and leave field {silent[0] + 1} a sight height of "
            f"{show(left)}",
            "leaf",
            "height",
        )


def _section_faults(layout: Layout, notation: Notation) -> Iterator[Fault]:
    """Each member's section by itself and beside the stile's, and whether glass will lie flat."""
    job = layout.job
    members: list[tuple[Section, Length, int, tuple[str | int, ...]]] = [
        (layout.stile, job.stiles.width, 1, ("stiles",))
    ]
    for index, section in enumerate(layout.rails):
        edges = 1 if is_outer(layout, index) else 2
        members.append((section, job.rails[index].width, edges, ("rails", index)))
    if layout.bar:
        members.append((layout.bar, layout.bar_width, 2, ("bars",)))
    for section, width, edges, at in members:
        for message in _section_messages(section, width, edges, notation):
            yield layout.job.marks.fault(message, *at, "section")
        if section.name != layout.stile.name:
            for message in _beside_stile(section, layout.stile, notation):
                yield layout.job.marks.fault(message, *at, "section")


def _section_messages(
    section: Section, width: Length, edges: int, notation: Notation
) -> Iterator[str]:
    show, name = notation.show, f"section {section.name!r}"
    if section.tongue_thickness <= ZERO:
        cut = section.sticking.depth + section.rebate.depth
        yield (
            f"{name}: sticking {show(section.sticking.depth)} and rebate "
            f"{show(section.rebate.depth)} deep leave no tongue in stock "
            f"{show(section.thickness)} thick, {show(cut - section.thickness)} too deep"
        )
    back, face = width - edges * section.rebate.width, width - edges * section.sticking.width
    if back <= ZERO:
        yield (
            f"{name}: rebates {show(section.rebate.width)} wide on {edges} edges leave "
            f"{show(back)} of a width of {show(width)}: it must be more than {show(width - back)}"
        )
    if face < ZERO:
        yield (
            f"{name}: sticking {show(section.sticking.width)} wide on {edges} edges takes "
            f"{show(-face)} more than the width of {show(width)}"
        )


def _beside_stile(section: Section, stile: Section, notation: Notation) -> Iterator[str]:
    show = notation.show
    seat, flush = section.thickness - section.rebate.depth, stile.thickness - stile.rebate.depth
    if seat != flush:
        yield (
            f"glass lies {show(seat)} behind the face of {section.name!r} and {show(flush)} behind "
            f"that of the stiles' {stile.name!r}, {show(abs(seat - flush))} apart: it would not "
            "lie flat; expected the same thickness less rebate depth"
        )
    if section.thickness > stile.thickness:
        yield (
            f"section {section.name!r} is {show(section.thickness)} thick and the stiles' "
            f"{show(stile.thickness)}, {show(section.thickness - stile.thickness)} more: it would "
            "stand out at the back"
        )


def _rail_faults(layout: Layout, notation: Notation) -> Iterator[Fault]:
    for index, rail in enumerate(layout.job.rails):
        if rail.haunch > ZERO and not is_outer(layout, index):
            message = (
                f"a haunch of {notation.show(rail.haunch)} on a middle rail: it has no outer edge; "
                "leave haunch out"
            )
            yield layout.job.marks.fault(message, "rails", index, "haunch")


def _light_faults(layout: Layout, notation: Notation) -> Iterator[Fault]:
    for division in layout.divisions:
        if division.sight > ZERO and (message := no_daylight(division, notation)):
            at = ("fields", division.field - 1, division.direction)
            yield layout.job.marks.fault(message, *at)


def _meeting_tenons(layout: Layout, notation: Notation) -> Iterator[Fault]:
    """Mortises from both edges of a bar, or of a rail between two divided fields."""
    show, depth = notation.show, bar_in_bar_depth(layout)
    if layout.crossing and not layout.halved and 2 * depth > layout.bar_width:
        yield layout.job.marks.fault(
            f"two stub tenons meet in a bar {show(layout.bar_width)} wide: mortises {show(depth)} "
            f"deep from both edges are {show(2 * depth - layout.bar_width)} too deep together; "
            f"expected at most {show(layout.bar_width / 2)} each",
            "joints",
            "bar_in_bar_mortise",
        )
    depth = layout.job.joints.bar_mortise
    for index, rail in enumerate(layout.job.rails):
        if not is_outer(layout, index) and rail.width < 2 * depth and _facing(layout, index):
            yield layout.job.marks.fault(
                f"upright bars above and below meet in the {rail.name} {show(rail.width)} wide: "
                f"mortises {show(depth)} deep from both edges are {show(2 * depth - rail.width)} "
                "too deep together",
                "joints",
                "bar_mortise",
            )


def _facing(layout: Layout, index: int) -> bool:
    """Whether an upright bar above a rail stands opposite one below it, in part at least."""
    above, below = layout.columns[index - 1].bar_edges, layout.columns[index].bar_edges
    return any(a < d and c < b for a, b in above for c, d in below)


def part_faults(layout: Layout, parts: tuple[Part, ...]) -> Iterator[Fault]:
    """Rails that share a name and are not the same part."""
    doubled = set(doubled_names(parts))
    for index, rail in enumerate(layout.job.rails):
        if rail.name in doubled:
            message = f"two different rails are named {rail.name!r}: expected a name for each"
            yield layout.job.marks.fault(message, "rails", index, "name")
