"""Tenons and the ends that carry them, and what is wrong with an end that cannot be made."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct
from msgspec.structs import replace

from setupsheets.files.faults import Step
from setupsheets.joinery.frame.layout import Layout, bars_in, without_rebate
from setupsheets.joinery.members.parts import End, Tenon
from setupsheets.joinery.notes import DesignFault, Note, note
from setupsheets.lengths import Length
from setupsheets.shop.jobs import Fill, FrameField
from setupsheets.shop.sections import Section

ZERO = Length.ZERO


def rail_end(layout: Layout, index: int) -> End:
    """Either end of a rail in its stile; ``index`` from the top."""
    rail, joints, stile = layout.job.rails[index], layout.job.joints, layout.stile_at(index)
    set_back = _set_back(layout.rails[index], stile)
    lower, upper = rail_edges_lost(layout, index)
    tenon = replace(
        _tenon(stile, rail.width - lower - upper, set_back, rail.haunch),
        twin_gap=rail.twin_gap,
        from_lower=lower,
        from_upper=upper,
        haunch_depth=_haunch_depth(layout, index),
    )
    return End(stile, joints.rail_mortise, ZERO if layout.wedged else joints.gap, tenon)


def _haunch_depth(layout: Layout, index: int) -> Length:
    """How far a rail's haunch goes past the stile's sight edge: it fills the groove where one runs
    out there, and else stands as far past the shoulder as the tenon is thick (common practice, no
    source)."""
    panels, stile = layout.job.panels, layout.stile_at(index)
    if layout.job.rails[index].haunch <= ZERO:
        return ZERO
    if layout.grooved(index) and panels is not None:
        return panels.groove_depth
    return shoulder(stile) + stile.tongue_thickness


def shoulder(mate: Section) -> Length:
    """How far past a mate's sight edge a part is gone behind its moulding or its rebate: what is
    left of a tenon stands past that."""
    return max(mate.sticking.width, mate.rebate.width)


def rail_edges_lost(layout: Layout, index: int) -> tuple[Length, Length]:
    """What a rail's tenon stands back from the lower and from the upper edge of the rail: its
    haunch at an outer edge, else what moulding, rebate or a groove in line with it take away."""
    rail, fields, panels = layout.job.rails[index], layout.job.fields, layout.job.panels
    set_back = _set_back(layout.rails[index], layout.stile_at(index))
    groove = panels.groove_depth if panels else ZERO

    def lost(beside: FrameField) -> Length:
        return max(set_back, groove) if beside.fill is Fill.GROOVED_PANEL else set_back

    lower = lost(fields[index]) if index < len(fields) else rail.haunch
    upper = lost(fields[index - 1]) if index > 0 else rail.haunch
    return lower, upper


def bar_end(layout: Layout, bar: Section, mate: Section) -> End:
    """The end of a bar in a stile, a rail or another bar."""
    joints = layout.job.joints
    set_back = _set_back(bar, mate)
    tenon = replace(
        _tenon(mate, layout.bar_width - 2 * set_back, set_back, ZERO),
        from_lower=set_back,
        from_upper=set_back,
    )
    depth = bar_in_bar_depth(layout) if mate is layout.bar else layout.bar_depth
    return End(mate, depth, joints.gap, tenon)


def middle_end(layout: Layout, rail: Section) -> End:
    """The end of a middle stile in a rail, which has a groove there and no rebate; the grooves
    along both its edges take as much off its tenon."""
    joints, mate, panels = layout.job.joints, without_rebate(rail), layout.job.panels
    set_back = _set_back(layout.stile, mate)
    wide, deep = (panels.middle_stile, panels.groove_depth) if panels else (ZERO, ZERO)
    lost = max(set_back, deep)
    tenon = _tenon(mate, (wide or ZERO) - 2 * lost, set_back, ZERO)
    whole = replace(tenon, from_lower=lost, from_upper=lost)
    return End(mate, layout.middle_depth, joints.gap, whole)


def bar_in_bar_depth(layout: Layout) -> Length:
    """How deep a bar's mortise for a bar is: to the middle where the job does not say."""
    given = layout.job.joints.bar_in_bar_mortise
    return layout.bar_width / 2 if given is None else given


def is_outer(layout: Layout, index: int) -> bool:
    """Whether a rail is the top or the bottom one, with one moulded edge only."""
    return index in (0, len(layout.rails) - 1)


def _tenon(mate: Section, width: Length, set_back: Length, haunch: Length) -> Tenon:
    """A tenon as thick as the mate's tongue and in line with it, so that its mortise starts in
    the tongue and leaves the mate's moulding and rebate whole."""
    return Tenon(mate.tongue_thickness, mate.sticking.depth, width, haunch, set_back)


def _set_back(own: Section, mate: Section) -> Length:
    """What the tenon loses at a moulded edge: nothing while it lies inside the part's own tongue,
    else the moulding or the rebate that has been taken away beside it."""
    front, back = mate.sticking.depth, mate.sticking.depth + mate.tongue_thickness
    own_back = own.sticking.depth + own.tongue_thickness
    lost_at_face = own.sticking.width if front < own.sticking.depth else ZERO
    lost_at_back = own.rebate.width if back > own_back else ZERO
    return max(lost_at_face, lost_at_back)


class TenonJoint(Struct, frozen=True):
    """One end as it is checked: of which part, in which mate, how wide that is, which key of the
    job's joints says how deep, and which ``rail`` of the job it is of; None where of none."""

    part: str
    own: Section
    end: End
    mate: str
    mate_width: Length
    key: str
    rail: int | None = None


def joints_of(layout: Layout) -> Iterator[TenonJoint]:
    """Every sort of joint in the leaf, each once."""
    job = layout.job
    for index, rail in enumerate(job.rails):
        end = rail_end(layout, index)
        into = "stile", job.stiles.width, "rail_mortise", index
        yield TenonJoint(rail.name, layout.rails[index], end, *into)
    for index, (rail, section) in enumerate(zip(job.rails, layout.rails, strict=True)):
        if any(each.columns > 1 and not bars_in(each) for each in layout.fields_at(index)):
            end, key = middle_end(layout, section), "middle_mortise"
            yield TenonJoint("middle stile", layout.stile, end, rail.name, rail.width, key)
    if layout.bar is None:
        return
    if any(field.rows > 1 for field in job.fields):
        end = bar_end(layout, layout.bar, layout.stile)
        yield TenonJoint("bar", layout.bar, end, "stile", job.stiles.width, "bar_mortise")
    for index, (rail, section) in enumerate(zip(job.rails, layout.rails, strict=True)):
        if any(each.columns > 1 and bars_in(each) for each in layout.fields_at(index)):
            end = bar_end(layout, layout.bar, section)
            yield TenonJoint("bar", layout.bar, end, rail.name, rail.width, "bar_mortise")
    if layout.crossing and not layout.halved:
        end = bar_end(layout, layout.bar, layout.bar)
        yield TenonJoint("bar", layout.bar, end, "bar", layout.bar_width, "bar_in_bar_mortise")


def joint_faults(joint: TenonJoint) -> Iterator[Note]:
    """What is wrong with a joint."""
    end, tenon, at = joint.end, joint.end.tenon, ("joints", joint.key)
    stands = shoulder(end.mate)
    if end.reach <= stands:
        least = stands + end.gap
        if short := least - end.mortise_depth:
            kind = DesignFault.NO_TENON_LEFT
            yield note(kind, *at, joint=joint, shoulder=stands, least=least, short=short)
        else:
            kind = DesignFault.TENON_ENDS_AT_SHOULDER
            yield note(kind, *at, joint=joint, shoulder=stands, least=least, gap=end.gap)
    over = end.mortise_depth - joint.mate_width
    if over > ZERO:
        yield note(DesignFault.MORTISE_TOO_DEEP, *at, joint=joint, over=over)
    behind = tenon.from_face + tenon.thickness
    over = behind - joint.own.thickness
    if over > ZERO:
        yield note(DesignFault.TENON_BEHIND_PART, *at, joint=joint, behind=behind, over=over)
    if tenon.twin_gap is not None and ZERO < tenon.width <= tenon.twin_gap:
        yield note(DesignFault.TWIN_TENONS_TOO_NARROW, *_of_rail(joint, "twin_gap"), joint=joint)
    if tenon.width <= ZERO:
        yield note(DesignFault.TENON_WITHOUT_WIDTH, *_of_rail(joint, "haunch"), joint=joint)


def _of_rail(joint: TenonJoint, key: str) -> tuple[Step, ...]:
    """A key of the rail whose tenon it is; how deep it goes where it is no rail's."""
    return ("joints", joint.key) if joint.rail is None else ("rails", joint.rail, key)
