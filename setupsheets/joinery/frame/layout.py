"""The frame laid out: which section each member has, where the rails stand, how fields divide.

Nothing is refused here: every size is computed by plain exact arithmetic, negative ones as well,
and ``faults`` reads off what cannot be made, all of it at once.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction
from functools import cached_property

from msgspec import Struct
from msgspec.structs import replace

from setupsheets.files.faults import Step, unknown
from setupsheets.joinery.frame.lights import (
    COLUMNS,
    ROWS,
    Division,
    equal_lights,
    marginal_lights,
    shared_lights,
)
from setupsheets.joinery.notes import DesignFault, Note, note
from setupsheets.lengths import Length
from setupsheets.shop.jobs import Fill, FrameField, Job, Through
from setupsheets.shop.sections import Member, Rebate, Section


class Layout(Struct, frozen=True, dict=True):
    """One leaf with its sections at hand. ``rails`` and ``sight_heights`` run from top to bottom;
    ``bar_width`` is nought where there are no bars."""

    job: Job
    stile: Section
    rails: tuple[Section, ...]
    bar: Section | None
    bar_width: Length
    sight_width: Length
    sight_heights: tuple[Length, ...]

    @cached_property
    def rail_edges(self) -> tuple[tuple[Length, Length], ...]:
        """Lower and upper edge of each rail above the bottom of the leaf, top rail first."""
        edges, top = [], self.job.size.height
        for rail, below in zip(self.job.rails, (*self.sight_heights, Length.ZERO), strict=True):
            edges.append((top - rail.width, top))
            top -= rail.width + below
        return tuple(edges)

    @cached_property
    def rows(self) -> tuple[Division, ...]:
        """How each field divides from its lower rail upward."""
        return tuple(
            self._divide(number, ROWS, self.rails[number].rebate.width, upper.rebate.width)
            for number, upper in enumerate(self.rails[:-1], start=1)
        )

    @cached_property
    def columns(self) -> tuple[Division, ...]:
        """How each field divides from the left stile to the right."""
        wide = self.stile.rebate.width
        return tuple(self._divide(n + 1, COLUMNS, wide, wide) for n in range(len(self.job.fields)))

    @property
    def divisions(self) -> tuple[Division, ...]:
        """Rows and columns of each field in turn, from the top."""
        return tuple(each for pair in zip(self.rows, self.columns, strict=True) for each in pair)

    @property
    def bar_depth(self) -> Length:
        """Depth of the frame's mortises for bars; nought where the job gives none."""
        return self.job.joints.bar_mortise or Length.ZERO

    @property
    def middle_depth(self) -> Length:
        """Depth of the rails' mortises for middle stiles."""
        joints = self.job.joints
        return joints.rail_mortise if joints.middle_mortise is None else joints.middle_mortise

    @property
    def wedged(self) -> bool:
        """Whether the rails' mortises go right through the stiles, so that nothing is left under
        their tenons and these are wedged."""
        return self.job.joints.rail_mortise >= self.job.stiles.width

    @property
    def through(self) -> Through:
        """Which bars run through where bars cross."""
        return self.job.bars.through if self.job.bars else Through.CROSS

    @property
    def halved(self) -> bool:
        """Whether bars that cross are halved over each other."""
        return self.through is Through.HALVED

    @property
    def crossing(self) -> bool:
        """Whether bars cross anywhere."""
        return any(each.rows > 1 and each.columns > 1 for each in self.job.fields if bars_in(each))

    def fields_at(self, index: int) -> tuple[FrameField, ...]:
        """The fields above and below a rail that counts from 0 at the top."""
        return self.job.fields[max(index - 1, 0) : index + 1]

    def grooved(self, index: int) -> bool:
        """Whether a rail has nothing but grooved panels beside it, and so no rebate."""
        return all(field.fill is Fill.GROOVED_PANEL for field in self.fields_at(index))

    def stile_at(self, index: int) -> Section:
        """The stile's section where a rail meets it: without its rebate beside grooved panels."""
        return without_rebate(self.stile) if self.grooved(index) else self.stile

    def rail_section(self, index: int) -> Section:
        """A rail's own section: without its rebate beside grooved panels."""
        return without_rebate(self.rails[index]) if self.grooved(index) else self.rails[index]

    def members(self, field: int) -> Iterator[Section]:
        """The sections around the panes of a field that counts from 1, each once."""
        found = [self.stile, self.rails[field - 1], self.rails[field]]
        if self.bar and bars_in(self.job.fields[field - 1]):
            found.append(self.bar)
        yield from {section.name: section for section in found}.values()

    def _divide(self, number: int, direction: str, before: Length, after: Length) -> Division:
        field = self.job.fields[number - 1]
        sight = self.sight_heights[number - 1] if direction == ROWS else self.sight_width
        bars = (field.rows if direction == ROWS else field.columns) - 1
        width, rebate = self.bar_width, self.bar.rebate.width if self.bar else Length.ZERO
        if field.fill is Fill.GROOVED_PANEL and self.job.panels:
            before = after = rebate = self.job.panels.groove_depth
            width = self.job.panels.middle_stile or Length.ZERO
        tongue = width - 2 * rebate
        lights = _lights(field, direction, sight + before + after, bars, tongue)
        given = direction == ROWS and field.sight_height is not None
        return Division(number, direction, lights, before, after, rebate, width, given)


def without_rebate(section: Section) -> Section:
    """The section where a panel stands in a groove: the same tongue, but no rebate at its back."""
    return replace(section, rebate=Rebate(Length.ZERO, section.rebate.depth))


def _lights(
    field: FrameField, direction: str, between: Length, bars: int, tongue: Length
) -> tuple[Length, ...]:
    """Lights from the lower or left; the job's shares of rows are told from the top."""
    shares = field.row_shares[::-1] if direction == ROWS else field.column_shares
    if shares:
        return shared_lights(between, shares, tongue)
    if field.margin is not None and bars > 1:
        return marginal_lights(between, bars, tongue, field.margin)
    return equal_lights(between, bars, tongue)


def bars_in(field: FrameField) -> bool:
    """Whether a field is divided by bars; panels in grooves stand between stiles."""
    return field.fill is not Fill.GROOVED_PANEL and (field.rows > 1 or field.columns > 1)


def lay_out(job: Job, sections: Mapping[str, Section]) -> Layout:
    """The leaf laid out; the job has no ``reference_faults``."""
    bar = sections[job.bars.section] if job.bars else None
    width = (job.bars.width if job.bars else None) or (bar.width if bar else None) or Length.ZERO
    return Layout(
        job=job,
        stile=sections[job.stiles.section],
        rails=tuple(sections[rail.section] for rail in job.rails),
        bar=bar,
        bar_width=width,
        sight_width=job.size.width - 2 * job.stiles.width,
        sight_heights=_sight_heights(job),
    )


def left_for_fields(job: Job) -> Length:
    """What the rails leave of the leaf's height, and given sight heights of that."""
    given = (field.sight_height or Length.ZERO for field in job.fields)
    rails = sum((rail.width for rail in job.rails), Length.ZERO)
    return job.size.height - rails - sum(given, Length.ZERO)


def _sight_heights(job: Job) -> tuple[Length, ...]:
    """Given sight heights, and what is left for the fields that give none, in equal shares."""
    open_fields = sum(field.sight_height is None for field in job.fields)
    share = left_for_fields(job) / max(open_fields, 1)
    return tuple(
        share if field.sight_height is None else field.sight_height for field in job.fields
    )


def reference_faults(job: Job, sections: Mapping[str, Section]) -> Iterator[Note]:
    """What stops a job from being laid out at all: unknown sections and wrong counts."""
    yield from _section_faults(sections, Member.FRAME, job.stiles.section, "stiles")
    for index, rail in enumerate(job.rails):
        yield from _section_faults(sections, Member.FRAME, rail.section, "rails", index)
    if job.bars:
        yield from _section_faults(sections, Member.BAR, job.bars.section, "bars")
        section = sections.get(job.bars.section)
        if section and job.bars.width is None and section.width is None:
            yield note(DesignFault.NO_WIDTH_OF_BARS, "bars", "width", section=section.name)
    if job.bars and job.joints.bar_mortise is None and any(map(bars_in, job.fields)):
        yield note(DesignFault.NO_DEPTH_FOR_BARS, "joints", "bar_mortise")
    if job.leaf is None and job.opening is None:
        yield note(DesignFault.NO_SIZE_OF_LEAF)
    rails, fields = len(job.rails), len(job.fields)
    if rails < 2:
        yield note(DesignFault.TOO_FEW_RAILS, "rails", found=rails)
    if fields != rails - 1:
        kind = DesignFault.FIELDS_DO_NOT_MATCH_RAILS
        several = rails != 2
        yield note(kind, "fields", expected=rails - 1, several=several, rails=rails, found=fields)
    for index, field in enumerate(job.fields):
        yield from _division_faults(index, "rows", field.rows, field.row_shares, field.margin)
        across = field.columns, field.column_shares, field.margin
        yield from _division_faults(index, "columns", *across)
        yield from _fill_faults(job, index)


def _division_faults(
    index: int, lights: str, count: int, shares: tuple[Fraction, ...], margin: Length | None
) -> Iterator[Note]:
    """One direction of a field; ``lights`` is its key, rows or columns."""
    at, at_shares = ("fields", index, lights), ("fields", index, f"{lights[:-1]}_shares")
    if count < 1:
        yield note(DesignFault.TOO_FEW_LIGHTS, *at, found=count)
    if shares and len(shares) != count:
        kind, several = DesignFault.SHARES_DO_NOT_MATCH_LIGHTS, count != 1
        of = lights if several else lights[:-1]
        found = len(shares)
        yield note(kind, *at_shares, expected=count, several=several, lights=of, found=found)
    if any(share <= 0 for share in shares):
        yield note(DesignFault.SHARE_OF_NOTHING, *at_shares, found=min(shares))
    if margin is not None and shares:
        yield note(DesignFault.MARGIN_BESIDE_SHARES, "fields", index, "margin", lights=lights)
    elif margin is not None and count == 2:
        yield note(DesignFault.MARGIN_WITH_TWO_LIGHTS, "fields", index, "margin", lights=lights)


def _fill_faults(job: Job, index: int) -> Iterator[Note]:
    field = job.fields[index]
    if field.fill is Fill.GROOVED_PANEL:
        if field.rows > 1:
            yield note(DesignFault.GROOVED_PANELS_IN_ROWS, "fields", index, "rows")
        if job.panels is None:
            yield note(DesignFault.GROOVED_PANEL_WITHOUT_SIZES, "fields", index, "fill")
        elif field.columns > 1 and job.panels.middle_stile is None:
            yield note(DesignFault.NO_MIDDLE_STILE, "panels", "middle_stile")
        elif job.panels.middle_stile is not None and not _side_by_side(job):
            yield note(DesignFault.MIDDLE_STILE_STANDS_NOWHERE, "panels", "middle_stile")
    elif bars_in(field) and job.bars is None:
        rows, columns = field.rows > 1, field.columns > 1
        kind = DesignFault.LIGHTS_WITHOUT_BARS
        yield note(kind, "fields", index, field=field, rows=rows, columns=columns)


def _side_by_side(job: Job) -> bool:
    panels = (field for field in job.fields if field.fill is Fill.GROOVED_PANEL)
    return any(field.columns > 1 for field in panels)


def _section_faults(
    sections: Mapping[str, Section], member: Member, name: str, *at: Step
) -> Iterator[Note]:
    if name not in sections:
        told = unknown("section", name, sections)
        yield note(DesignFault.UNKNOWN_SECTION, *at, "section", unknown=told)
    elif sections[name].member is not member:
        kind, found = DesignFault.SECTION_OF_OTHER_MEMBERS, sections[name]
        yield note(kind, *at, "section", member=member, section=found)
