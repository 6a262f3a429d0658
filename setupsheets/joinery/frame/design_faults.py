"""What cannot be made: every fault of a leaf that has been laid out, with the job's field."""

from __future__ import annotations

from collections.abc import Iterator

from setupsheets.files.faults import Step
from setupsheets.joinery.frame.layout import Layout, bars_in, left_for_fields
from setupsheets.joinery.frame.lights import light_faults
from setupsheets.joinery.frame.opening import hinge_faults, opening_faults
from setupsheets.joinery.members.panes import pane_faults
from setupsheets.joinery.members.parts import Part
from setupsheets.joinery.members.tenons import (
    bar_in_bar_depth,
    is_outer,
    joint_faults,
    joints_of,
    rail_end,
    shoulder,
)
from setupsheets.joinery.notes import DesignFault, Note, note
from setupsheets.lengths import Length
from setupsheets.shop.jobs import Lock
from setupsheets.shop.sections import Section

ZERO = Length.ZERO


def layout_faults(layout: Layout) -> Iterator[Note]:
    """All that is wrong with the leaf, in the order of the job's fields."""
    yield from opening_faults(layout.job)
    yield from _size_faults(layout)
    yield from _section_faults(layout)
    for index, rail in enumerate(layout.job.rails):
        if rail.haunch > ZERO and not is_outer(layout, index):
            at = "rails", index, "haunch"
            yield note(DesignFault.HAUNCH_ON_MIDDLE_RAIL, *at, haunch=rail.haunch)
        yield from _haunch_faults(layout, index)
    for division in layout.divisions:
        yield from light_faults(division)
    for joint in joints_of(layout):
        yield from joint_faults(joint)
    yield from _meeting_tenons(layout)
    yield from pane_faults(layout)
    yield from hinge_faults(layout.job)
    if layout.job.lock is not None:
        yield from _lock_faults(layout, layout.job.lock)


def _lock_faults(layout: Layout, lock: Lock) -> Iterator[Note]:
    """A lock that does not go into its stile."""
    thickness, width, high = layout.stile.thickness, layout.job.stiles.width, layout.job.size.height
    if not lock.height / 2 <= lock.above <= high - lock.height / 2:
        yield note(DesignFault.LOCK_BESIDE_LEAF, "lock", "above", lock=lock, high=high)
    if lock.depth >= width:
        yield note(DesignFault.LOCK_DEEPER_THAN_STILE, "lock", "depth", lock=lock, width=width)
    if lock.thickness >= thickness:
        kind = DesignFault.LOCK_THICKER_THAN_STILE
        yield note(kind, "lock", "thickness", lock=lock, thickness=thickness)


def _haunch_faults(layout: Layout, index: int) -> Iterator[Note]:
    """A haunch that goes as far in as its tenon: nothing is to be sawn back."""
    end, haunch = rail_end(layout, index), layout.job.rails[index].haunch
    deep = end.tenon.haunch_depth
    if is_outer(layout, index) and haunch > ZERO and deep >= end.reach > shoulder(end.mate):
        kind, at = DesignFault.HAUNCH_AS_LONG_AS_TENON, ("rails", index, "haunch")
        yield note(kind, *at, haunch=haunch, deep=deep, reach=end.reach, least=deep + end.gap)


def _size_faults(layout: Layout) -> Iterator[Note]:
    job, sight, size = layout.job, layout.sight_width, layout.job.size
    if sight <= ZERO:
        kind = DesignFault.NO_SIGHT_WIDTH
        yield note(kind, "stiles", "width", stiles=job.stiles, sight=sight, leaf=size)
    silent = [index for index, field in enumerate(job.fields) if field.sight_height is None]
    for index in silent[1:]:
        yield note(DesignFault.TWO_OPEN_FIELDS, "fields", index, "sight_height")
    left = left_for_fields(job)
    at, taken = ("leaf" if job.opening is None else "opening", "height"), size.height - left
    if not silent and left != ZERO:
        yield note(DesignFault.HEIGHTS_DO_NOT_ADD_UP, *at, taken=taken, left=left, leaf=size)
    if silent and left <= ZERO:
        kind, field = DesignFault.NO_SIGHT_HEIGHT, silent[0] + 1
        yield note(kind, *at, taken=taken, leaf=size, field=field, left=left)


def _section_faults(layout: Layout) -> Iterator[Note]:
    """Each member's section by itself and beside the stile's, and whether glass will lie flat."""
    job = layout.job
    members: list[tuple[Section, Length, int, tuple[Step, ...]]] = [
        (layout.stile, job.stiles.width, 1, ("stiles", "section"))
    ]
    for index, section in enumerate(layout.rails):
        edges = 1 if is_outer(layout, index) else 2
        members.append((section, job.rails[index].width, edges, ("rails", index, "section")))
    if layout.bar:
        members.append((layout.bar, layout.bar_width, 2, ("bars", "section")))
    for section, width, edges, at in members:
        yield from _by_itself(section, width, edges, *at)
        if section.name != layout.stile.name:
            yield from _beside_stile(section, layout.stile, *at)


def _by_itself(section: Section, width: Length, edges: int, *at: Step) -> Iterator[Note]:
    sticking, rebate = section.sticking, section.rebate
    if section.tongue_thickness <= ZERO:
        over = sticking.depth + rebate.depth - section.thickness
        yield note(DesignFault.NO_TONGUE, *at, section=section, over=over)
    left = width - edges * rebate.width
    if left <= ZERO:
        kind, least = DesignFault.REBATES_MEET, width - left
        both = edges > 1
        yield note(kind, *at, section=section, both=both, left=left, width=width, least=least)
    over = edges * sticking.width - width
    if over > ZERO:
        kind = DesignFault.MOULDINGS_MEET
        yield note(kind, *at, section=section, both=edges > 1, over=over, width=width)


def _beside_stile(section: Section, stile: Section, *at: Step) -> Iterator[Note]:
    seat, flush = section.thickness - section.rebate.depth, stile.thickness - stile.rebate.depth
    if seat != flush:
        kind, apart = DesignFault.GLASS_NOT_FLAT, abs(seat - flush)
        yield note(kind, *at, section=section, seat=seat, stile=stile, flush=flush, apart=apart)
    over = section.thickness - stile.thickness
    if over > ZERO:
        yield note(DesignFault.THICKER_THAN_STILES, *at, section=section, stile=stile, over=over)


def _meeting_tenons(layout: Layout) -> Iterator[Note]:
    """Mortises from both edges of a bar, or of a rail between two divided fields."""
    depth, width = bar_in_bar_depth(layout), layout.bar_width
    over = 2 * depth - width
    if layout.crossing and not layout.halved and over > ZERO:
        kind, at = DesignFault.TENONS_MEET_IN_BAR, ("joints", "bar_in_bar_mortise")
        yield note(kind, *at, width=width, depth=depth, over=over, most=width / 2)
    for index, rail in enumerate(layout.job.rails):
        depths = [layout.bar_depth if bars_in(each) else layout.middle_depth
                  for each in layout.fields_at(index)]  # fmt: skip
        over = sum(depths, -rail.width)
        if not is_outer(layout, index) and over > ZERO and _facing(layout, index):
            depth = max(depths)
            kind, at = DesignFault.TENONS_MEET_IN_RAIL, ("joints", "bar_mortise")
            yield note(kind, *at, rail=rail, depth=depth, over=over)


def _facing(layout: Layout, index: int) -> bool:
    """Whether an upright bar above a rail stands opposite one below it, in part at least."""
    above, below = layout.columns[index - 1].bar_edges, layout.columns[index].bar_edges
    return any(a < d and c < b for a, b in above for c, d in below)


def part_faults(layout: Layout, parts: tuple[Part, ...]) -> Iterator[Note]:
    """Rails that share a name and are not the same part."""
    names = [part.name for part in parts]
    for index, rail in enumerate(layout.job.rails):
        if names.count(rail.name) > 1:
            yield note(DesignFault.RAILS_SHARE_A_NAME, "rails", index, "name", rail=rail.name)
