"""Proof on paper: blank less every cut must come to what the design asks for.

The cuts come from the figures as printed (see `cuts`), the design from the section and the joint
(see `shapes`). Neither reads a recipe's formulas, so that a wrong one shows as wood left over or
missing, with its size and its place.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING

from setupsheets.joinery.members.parts import End, Tenon
from setupsheets.lengths import Length
from setupsheets.machining.checking.outline_names import design_lines, name_of
from setupsheets.machining.cutting.cuts import Area, Stage, parts_of, run
from setupsheets.machining.cutting.planes import CutError, Plane, Show, length, plane_of
from setupsheets.machining.cutting.shapes import (
    ALL_CORNERS,
    Corner,
    Corners,
    blank,
    design,
    edge_grooves,
)
from setupsheets.machining.operations import (
    Operation,
    PlannedMeasure,
    SetUp,
    Subject,
)
from setupsheets.machining.plan import Plan
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


@dataclass(frozen=True)
class Discrepancy:
    """Wood that is left over or missing: its size in mm across and up the plane, and its place."""

    shape: Polygon
    where: str

    def text(self, show: Show) -> str:
        """In words: `1/16 in by 1/2 in at the back shoulder`."""
        x0, y0, x1, y1 = self.shape.bounds
        return f"{show(length(x1 - x0))} by {show(length(y1 - y0))} at {self.where}"


@dataclass(frozen=True)
class Rounded:
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


@dataclass(frozen=True)
class Proof:
    """One thing made: the stages of its making, what it came to and what was asked for.

    ``rounded`` gives every measurement with the settings rounded to what the dials can be moved
    by; ``outline_off`` how far the outline is then from the design at its worst, in mm. ``fault``
    tells why nothing could be worked out.
    """

    name: str
    work: Work
    subject: Subject
    set_ups: tuple[str, ...]
    stages: tuple[Stage, ...] = ()
    design: Polygon | None = None
    left_over: tuple[Discrepancy, ...] = ()
    missing: tuple[Discrepancy, ...] = ()
    rounded: tuple[Rounded, ...] = ()
    outline_off: float = 0.0
    fault: str = ""

    @property
    def holds(self) -> bool:
        """Whether the operations make what the design asks for."""
        return not (self.left_over or self.missing or self.fault)

    @property
    def finished(self) -> Polygon | None:
        """The shape that the operations make; None where nothing could be worked out."""
        return self.stages[-1].after if self.stages else None

    @property
    def worst_rounded(self) -> Rounded | None:
        """The measurement that rounding takes furthest of its tolerance; None without any."""
        return max(self.rounded, key=_share, default=None)

    def text(self, show: Show) -> str:
        """One line: `proved`, or everything that is wrong."""
        if self.holds:
            return f"{self.name}: proved"
        faults = [self.fault] if self.fault else []
        faults += [f"left over {piece.text(show)}" for piece in self.left_over]
        faults += [f"missing {piece.text(show)}" for piece in self.missing]
        return f"{self.name}: does not prove: {'; '.join(faults)}"


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
    proof = Proof(_name(subject, work, plane), work, subject, tuple(item.name for item in set_ups))
    operations = [item for set_up in set_ups for item in set_up.operations]
    try:
        stages = _stages(operations, subject, plane, allowances)
        dialled = [_rounded(item) for item in operations]
        same = dialled == operations
        rounded = stages if same else _stages(dialled, subject, plane, allowances)
    except (CutError, ValueError) as error:
        return replace(proof, fault=str(error))
    wanted = (
        design(subject, work, _corners(set_ups))
        if work is not Work.BLANK
        else blank(subject, plane)
    )
    start = blank(subject, plane, allowances)
    made = stages[-1].after if stages else start
    lines = design_lines(subject, work, plane)
    return replace(
        proof,
        stages=stages,
        design=wanted,
        left_over=_pieces(made.difference(wanted), lines),
        missing=_pieces(wanted.difference(made), lines),
        rounded=tuple(_readings(set_ups)),
        outline_off=(rounded[-1].after if rounded else start).hausdorff_distance(wanted),
    )


def prove_plan(plan: Plan) -> tuple[Proof, ...]:
    """Everything that a job's set-ups make, each different thing proved once.

    A frame's edge is made by the rebate's and the sticking's set-ups together, and one set-up may
    serve parts of several widths: each width is proved.
    """
    proofs: dict[object, Proof] = {}
    for key, proof in _all_of(plan):
        if key not in proofs:
            proofs[key] = proof()
    return tuple(proofs.values())


def _all_of(plan: Plan) -> Iterator[tuple[object, Callable[[], Proof]]]:
    """Every proof of a plan with what it depends on, none of them worked out yet."""
    over = plan.job.allowances
    rough = Allowances(over.length + _ROUGH, over.width + _ROUGH, over.thickness + _ROUGH)
    for part in plan.joinery.parts:
        mine = [item for item in plan.set_ups if part.name in item.counts]
        whole = Subject(
            part.width, part.thickness, part.overall, part.section, part.sight_edges, part
        )
        yield from _whole_of(mine, whole, rough)
        for end in dict.fromkeys(part.ends):
            doing = [item for item in mine if _does(item, Work.END) and _alike(item, end)]
            if doing:
                yield (
                    (part.thickness, _in_plane(end)),
                    _later(doing, Work.END, replace(whole, end=end)),
                )
    for item in plan.set_ups:
        if (mortise := item.subject.mortise) is not None and _does(item, Work.MORTISE):
            key = (item.recipe.name, item.subject.thickness, mortise.thickness)
            yield (*key, mortise.from_face, mortise.depth), _later([item], Work.MORTISE)
        if (halving := item.subject.halving) is not None and _does(item, Work.HALVING):
            yield (item.name, halving), _later([item], Work.HALVING)
        if item.subject.bead is not None:
            yield from _whole_of([item], item.subject, rough)


def _whole_of(
    set_ups: Sequence[SetUp], whole: Subject, rough: Allowances
) -> Iterator[tuple[object, Callable[[], Proof]]]:
    """Proofs of work on the whole blank and along its edges."""
    sizes = (whole.section, whole.width, whole.thickness, whole.sight_edges)
    if doing := [item for item in set_ups if _does(item, Work.BLANK)]:
        names = tuple(item.name for item in doing)
        yield (*sizes, *names), _later(doing, Work.BLANK, whole, rough)
        if any(item.asks.against is Surface.END for each in doing for item in each.operations):
            long = Allowances(length=rough.length)
            yield (whole.length, *names), _later(doing, Work.BLANK, whole, long, Plane.END)
    doing = [item for item in set_ups if _does(item, Work.EDGE)]
    for grooves in whole.part.grooves if doing and whole.part else ((),) if doing else ():
        names = tuple(item.name for item in doing)
        there = replace(whole, grooves=grooves)
        yield (*sizes, edge_grooves(there), *names), _later(doing, Work.EDGE, there)


def _later(
    set_ups: Sequence[SetUp],
    work: Work,
    subject: Subject | None = None,
    allowances: Allowances | None = None,
    plane: Plane = Plane.SECTION,
) -> Callable[[], Proof]:
    plane = Plane.END if work in (Work.END, Work.HALVING) else plane
    return lambda: prove(set_ups, work, subject, plane, allowances)


def _corners(set_ups: Sequence[SetUp]) -> Corners:
    """The corners of a section that the set-ups are there to make."""
    made = (_MADE.get(set_up.recipe.makes, ALL_CORNERS) for set_up in set_ups)
    return frozenset().union(*made)


def _alike(set_up: SetUp, end: End) -> bool:
    return set_up.subject.end is not None and _in_plane(set_up.subject.end) == _in_plane(end)


def _in_plane(end: End) -> End:
    """All of an end that shows in its plane: not how wide its tenon is, nor its haunch."""
    bare = Tenon(end.tenon.thickness, end.tenon.from_face, Length.ZERO)
    return replace(end, tenon=bare)


def _does(set_up: SetUp, work: Work) -> bool:
    return any(operation.asks.work is work for operation in set_up.operations)


def _stages(
    operations: Sequence[Operation], subject: Subject, plane: Plane, allowances: Allowances | None
) -> tuple[Stage, ...]:
    return run([op for op in operations if plane_of(op.asks) is plane], subject, allowances)


def _pieces(
    area: Area, lines: list[tuple[str, tuple[tuple[float, float], ...]]]
) -> tuple[Discrepancy, ...]:
    """The pieces that are thicker than two flattened arcs can lie apart."""
    return tuple(
        Discrepancy(piece, name_of(piece, lines))
        for piece in parts_of(area)
        if not piece.buffer(-FLATNESS).is_empty
    )


def _readings(set_ups: Sequence[SetUp]) -> Iterator[Rounded]:
    for set_up in set_ups:
        moved = {
            setting.cause: setting.dial.nearest(setting.aim) - setting.aim
            for setting in set_up.settings
        }
        for measurement in set_up.measurements:
            parts = (
                moved[cause] * factor
                for cause, factor in measurement.sensitivities.items()
                if cause in moved
            )
            yield Rounded(set_up.name, measurement, sum(parts, Length.ZERO))


def _rounded(operation: Operation) -> Operation:
    settings = tuple(replace(item, aim=item.dial.nearest(item.aim)) for item in operation.settings)
    return replace(operation, settings=settings)


def _share(rounded: Rounded) -> Fraction:
    """How much of its tolerance a reading uses up, the tolerance nought counting as a hair."""
    measurement = rounded.measurement
    allowed = measurement.over if rounded.off > Length.ZERO else measurement.under
    return abs(rounded.off) / (allowed or Length("1/1000000 in"))


def _name(subject: Subject, work: Work, plane: Plane) -> str:
    of = "bead" if subject.bead is not None else "section"
    of = subject.part.name if subject.part is not None else of
    if work is Work.MORTISE and subject.mortise is not None:
        return f"mortise in {of} for {subject.mortise.holds}"
    if work is Work.END and subject.end is not None:
        return f"end of {of} on {subject.end.mate.name}"
    if work is Work.HALVING and subject.halving is not None:
        return f"halving of {of} with {subject.halving.crosses}"
    if work is Work.BLANK:
        return f"{'length' if plane is Plane.END else 'blank'} of {of}"
    return f"section of {of}"
