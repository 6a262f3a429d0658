"""Proof on paper: blank less every cut must come to what the design asks for.

The cuts come from the figures as printed (see `cuts`), the design from the section and the joint
(see `shapes`). Neither reads a recipe's formulas, so that a wrong one shows as wood left over or
missing, with its size and its place.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Mapping, Sequence
from fractions import Fraction
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from setupsheets.joinery.members.parts import End, Part, Tenon
from setupsheets.lengths import Length
from setupsheets.machining.checking.features import FeatureLine, design_lines, nearest_line
from setupsheets.machining.cutting.cuts import Area, Stage, parts_of, run
from setupsheets.machining.cutting.planes import CutError, Plane, plane_of
from setupsheets.machining.cutting.shapes import (
    ALL_CORNERS,
    Corner,
    Corners,
    blank,
    design,
    edge_grooves,
)
from setupsheets.machining.operations import PlannedMeasure, SetUp, Subject
from setupsheets.machining.plan import Plan
from setupsheets.machining.planning.batches import part_subject, piece_subject
from setupsheets.shop.cutters import Cutter
from setupsheets.shop.jobs import Allowances
from setupsheets.shop.outlines import FLATNESS
from setupsheets.shop.recipes import Makes, Surface, Work

if TYPE_CHECKING:
    from shapely import Polygon

_MADE: Mapping[Makes, Corners] = {
    Makes.REBATE: frozenset({Corner.REBATE}),
    Makes.GROOVE: frozenset({Corner.GROOVE}),
    Makes.STICKING: frozenset({Corner.STICKING}),
}
"""What each of several set-ups takes out of an edge that they make together."""

_ROUGH = Length("1/4 in")
"""How much rougher than the finished size a blank is taken for the proof, so that every cut on it
has something to take; what the job allows comes on top."""


class Discrepancy(Struct, frozen=True):
    """Wood that is left over or missing, in mm in the plane of the proof; it lies along ``line``
    of the design."""

    shape: Polygon
    line: FeatureLine


class RoundedReading(Struct, frozen=True):
    """What a measurement comes to with every setting at the nearest place its dial can be set to.

    ``off`` is the reading less its target.
    """

    set_up: str
    measurement: PlannedMeasure
    off: Length

    @property
    def within(self) -> bool:
        """Whether that is within tolerance."""
        return -self.measurement.under <= self.off <= self.measurement.over

    @property
    def share(self) -> Fraction:
        """How much of its tolerance it uses up, the tolerance nought counting as a hair."""
        over = self.off > Length.ZERO
        allowed = self.measurement.over if over else self.measurement.under
        return abs(self.off) / (allowed or Length("1/1000000 in"))


class Proof(Struct, frozen=True):
    """One thing made: the stages of its making, what it came to and what was asked for.

    ``rounded`` gives every measurement with the settings rounded to what the dials can be moved
    by. ``fault`` tells why nothing could be worked out.
    """

    work: Work
    plane: Plane
    subject: Subject
    set_ups: tuple[str, ...]
    stages: tuple[Stage, ...] = ()
    design: Polygon | None = None
    left_over: tuple[Discrepancy, ...] = ()
    missing: tuple[Discrepancy, ...] = ()
    rounded: tuple[RoundedReading, ...] = ()
    fault: str = ""

    @property
    def holds(self) -> bool:
        """Whether the operations make what the design asks for."""
        return not (self.left_over or self.missing or self.fault)

    @property
    def other_mouldings(self) -> tuple[Cutter, ...]:
        """The cutters at work that are made for another moulding than the one in hand."""
        section = self.subject.end.mate if self.subject.end else self.subject.section
        cutters = dict.fromkeys(stage.operation.cutter for stage in self.stages)
        return tuple(
            each
            for each in cutters
            if section and each and each.profile and each.profile != section.sticking
        )


def prove(
    set_ups: Sequence[SetUp],
    work: Work,
    subject: Subject | None = None,
    plane: Plane = Plane.SECTION,
    allowances: Allowances | None = None,
) -> Proof:
    """Set-ups that together make one thing, proved in one plane.

    ``subject`` is the first set-up's unless another part is meant to come out of the same
    settings. Only operations that show in the plane count, in the order given. Where the set-ups
    make one corner of an edge alone, the rebate or the sticking, the other is not asked of them.
    """
    subject = subject or set_ups[0].subject
    proof = Proof(work, plane, subject, tuple(item.name for item in set_ups))
    operations = [
        operation
        for set_up in set_ups
        for operation in set_up.operations
        if plane_of(operation.asks) is plane
    ]
    try:
        stages = run(operations, subject, allowances)
    except (CutError, ValueError) as error:
        return replace(proof, fault=str(error))
    if work is Work.BLANK:
        wanted = blank(subject, plane)
    else:
        wanted = design(subject, work, _corners(set_ups))
    made = stages[-1].after if stages else blank(subject, plane, allowances)
    lines = design_lines(subject, work, plane)
    return replace(
        proof,
        stages=stages,
        design=wanted,
        left_over=_pieces(made.difference(wanted), lines),
        missing=_pieces(wanted.difference(made), lines),
        rounded=tuple(_rounded_readings(set_ups)),
    )


def prove_plan(plan: Plan) -> tuple[Proof, ...]:
    """Everything that a job's set-ups make, each different thing proved once, and ends as they are
    designed: what they are fitted by afterwards are hairs.

    A frame's edge is made by the rebate's and the sticking's set-ups together, and one set-up may
    serve parts of several widths: each width is proved.
    """
    different: dict[Hashable, _Asked] = {}
    for asked in _all_asked(plan.designed or plan):
        different.setdefault(asked.key, asked)
    return tuple(
        prove(each.set_ups, each.work, each.subject, each.plane, each.allowances)
        for each in different.values()
    )


class _Asked(Struct, frozen=True):
    """One proof that a plan asks for; those of equal ``key`` prove the same thing."""

    key: Hashable
    set_ups: Sequence[SetUp]
    work: Work
    subject: Subject
    plane: Plane = Plane.SECTION
    allowances: Allowances | None = None


def _all_asked(plan: Plan) -> Iterator[_Asked]:
    """Every proof of a plan: part by part, then mortises, halvings and beads by their set-ups."""
    over = plan.job.allowances
    rough = Allowances(over.length + _ROUGH, over.width + _ROUGH, over.thickness + _ROUGH)
    for part in plan.joinery.parts:
        mine = [item for item in plan.set_ups if part.name in item.counts]
        whole = part_subject(part)
        out = [item for item in mine if item.recipe.makes is not Makes.PARTING]
        yield from _blank_asked(out, piece_subject(part), rough)
        yield from _parting_asked(mine, part)
        yield from _edges_asked([item for item in out if not item.subject.meeting], whole)
        if _doing(plan.set_ups, Work.END):
            yield from _ends_asked(mine, part, whole)
    for item in plan.set_ups:
        subject = item.subject
        if (mortise := subject.mortise) is not None and _doing([item], Work.MORTISE):
            sizes = (subject.thickness, mortise.thickness, mortise.from_face, mortise.depth)
            yield _Asked((item.recipe.name, *sizes), [item], Work.MORTISE, subject)
        if subject.halving is not None and _doing([item], Work.HALVING):
            yield _Asked((item.name, subject.halving), [item], Work.HALVING, subject, Plane.END)
        if subject.meeting is not None:
            yield _Asked((item.name, subject.meeting), [item], Work.EDGE, subject)
        if subject.bead is not None:
            yield from _blank_asked([item], subject, rough)
            yield from _edges_asked([item], subject)
        if subject.panel is not None:
            blank = tuple(each for each in item.operations if each.asks.work is Work.BLANK)
            yield from _blank_asked([replace(item, operations=blank)], subject, rough)
            yield from _edges_asked([item], subject)


def _blank_asked(set_ups: Sequence[SetUp], whole: Subject, rough: Allowances) -> Iterator[_Asked]:
    """Work on the whole blank: its section, and its length where a stop counts from an end."""
    doing = _doing(set_ups, Work.BLANK)
    if not doing:
        return
    names = tuple(item.name for item in doing)
    read = {tuple(each.sensitivities) for item in set_ups for each in item.measurements}
    # What is measured on the blank itself was brought to its size by hand.
    rough = rough if ("blank.width",) not in read else replace(rough, width=Length.ZERO)
    yield _Asked((*_sizes(whole), *names), doing, Work.BLANK, whole, allowances=rough)
    if any(item.asks.against is Surface.END for each in doing for item in each.operations):
        long = Allowances(length=rough.length)
        yield _Asked((whole.length, *names), doing, Work.BLANK, whole, Plane.END, long)


def _parting_asked(set_ups: Sequence[SetUp], part: Part) -> Iterator[_Asked]:
    """A short part cut off the piece that it was moulded in."""
    doing = [item for item in set_ups if item.recipe.makes is Makes.PARTING]
    if doing and part.long:
        names, more = tuple(item.name for item in doing), part.long.length - part.overall
        key = (part.overall, more, *names)
        whole, long = part_subject(part), Allowances(length=more)
        yield _Asked(key, doing, Work.BLANK, whole, Plane.END, long)


def _edges_asked(set_ups: Sequence[SetUp], whole: Subject) -> Iterator[_Asked]:
    """Work along the edges: once for each way in which the part is grooved and rebated."""
    doing = _doing(set_ups, Work.EDGE)
    if not doing:
        return
    names = tuple(item.name for item in doing)
    for grooves in whole.part.grooves if whole.part else ((),):
        there = replace(whole, grooves=grooves)
        yield _Asked((*_sizes(whole), edge_grooves(there), *names), doing, Work.EDGE, there)


def _ends_asked(set_ups: Sequence[SetUp], part: Part, whole: Subject) -> Iterator[_Asked]:
    """Each end of a part, from the operations that are told for that end and no others."""
    for index, end in enumerate(part.ends):
        doing = [told for item in set_ups if (told := _at_end(item, part.name, index)).operations]
        numbers = tuple(each.number for item in doing for each in item.operations)
        key = (part.thickness, _in_plane(end), numbers)
        yield _Asked(key, doing, Work.END, replace(whole, end=end), Plane.END)


def _at_end(set_up: SetUp, part: str, end: int) -> SetUp:
    """The set-up with no more than the machine's work on one end of a part."""
    operations = tuple(
        each
        for each in set_up.operations
        if each.asks.work is Work.END
        and (place := each.place(part)) is not None
        and end in place.ends
    )
    return replace(set_up, operations=operations)


def _sizes(whole: Subject) -> tuple[Hashable, ...]:
    return whole.section, whole.width, whole.thickness, whole.sight_edges


def _doing(set_ups: Sequence[SetUp], work: Work) -> list[SetUp]:
    """Those of the set-ups that do work of this sort."""
    return [each for each in set_ups if any(item.asks.work is work for item in each.operations)]


def _corners(set_ups: Sequence[SetUp]) -> Corners:
    """The corners of a section that the set-ups are there to make."""
    made = (_MADE.get(set_up.recipe.makes, ALL_CORNERS) for set_up in set_ups)
    return frozenset().union(*made)


def _in_plane(end: End) -> End:
    """All of an end that shows in its plane: not how wide its tenon is, nor its haunch."""
    bare = Tenon(end.tenon.thickness, end.tenon.from_face, Length.ZERO)
    return replace(end, tenon=bare)


def _pieces(area: Area, lines: Sequence[FeatureLine]) -> tuple[Discrepancy, ...]:
    """The pieces that are thicker than two flattened arcs can lie apart."""
    return tuple(
        Discrepancy(piece, nearest_line(piece, lines))
        for piece in parts_of(area)
        if not piece.buffer(-FLATNESS).is_empty
    )


def _rounded_readings(set_ups: Sequence[SetUp]) -> Iterator[RoundedReading]:
    for set_up in set_ups:
        moved = {item.cause: item.dial.nearest(item.aim) - item.aim for item in set_up.settings}
        for measurement in set_up.measurements:
            parts = (
                moved[cause] * factor
                for cause, factor in measurement.sensitivities.items()
                if cause in moved
            )
            yield RoundedReading(set_up.name, measurement, sum(parts, Length.ZERO))
