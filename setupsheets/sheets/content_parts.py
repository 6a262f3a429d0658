"""The parts sheet: three lengths of every part, the leaf, lights, story sticks, glass, beads."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from setupsheets.joinery.parts import Joinery, Part, Role
from setupsheets.lengths import Length, Notation
from setupsheets.machining.operations import Plan
from setupsheets.sheets.drawings_leaf import Elevation, Member, Span, leaf_drawing
from setupsheets.sheets.drawings_stick import Stick, StickMark, story_stick
from setupsheets.sheets.finished import (
    BeadRow,
    GlassRow,
    LightRow,
    MarkRow,
    PartRow,
    PartsSheet,
    StickBlock,
)
from setupsheets.shop.jobs import Job, Through

ZERO = Length.ZERO


def parts_sheet(plan: Plan, notation: Notation) -> PartsSheet:
    """Everything on the parts sheet, lengths in the shop's notation."""
    joinery = plan.joinery
    return PartsSheet(
        parts=tuple(_part_row(part, notation) for part in joinery.parts),
        elevation=leaf_drawing(
            "leaf", f"{plan.job.title}: one leaf", elevation(plan.job, joinery), notation
        ),
        lights=tuple(_light_rows(joinery, notation)),
        sticks=tuple(_stick_blocks(plan, notation)),
        glass=tuple(_glass_rows(joinery, notation)),
        beads=tuple(
            BeadRow(
                str(bead.field),
                str(bead.count),
                notation.show(bead.length),
                f"{notation.show(bead.width)} × {notation.show(bead.depth)}",
            )
            for bead in joinery.beads
        ),
        notes=joinery.notes,
    )


def _part_row(part: Part, notation: Notation) -> PartRow:
    spans = bool(part.ends)
    return PartRow(
        part=part.name,
        count=str(part.count),
        width=notation.show(part.width),
        thickness=notation.show(part.thickness),
        face=notation.show(part.face) if spans else "",
        back=notation.show(part.back) if spans else "",
        overall=notation.show(part.overall),
    )


def _light_rows(joinery: Joinery, notation: Notation) -> Iterator[LightRow]:
    for light in joinery.lights:
        edges = ", ".join(notation.show(edge) for edge in light.tongue_edges)
        across = light.direction == "columns"
        openings = light.openings or (light.opening,) * (light.bars + 1)
        equal = len(set(openings)) == 1
        yield LightRow(
            field=str(light.field),
            direction="across, from the left" if across else "up, from the bottom",
            opening=f"{len(openings)} × {notation.show(light.opening)}"
            if equal
            else ", ".join(notation.show(item) for item in openings),
            sight=notation.show(light.sight_size) if equal else "",
            tongues=edges,
        )


def _glass_rows(joinery: Joinery, notation: Notation) -> Iterator[GlassRow]:
    for pane in joinery.panes:
        yield GlassRow(
            what=f"{pane.fill}, field {pane.field}",
            count=str(pane.count),
            size=f"{notation.show(pane.width)} × {notation.show(pane.height)}",
            opening=f"{notation.show(pane.opening_width)} × {notation.show(pane.opening_height)}",
            thickness=notation.show(pane.thickness),
        )


def _stick_blocks(plan: Plan, notation: Notation) -> Iterator[StickBlock]:
    """One stick for each edge of each part that has marks on it."""
    for number, part in enumerate(plan.joinery.parts, 1):
        marks = _stick_marks(plan.joinery, part.name)
        if not marks:
            continue
        datum = _datum(part)
        first, last = _reach(part, plan.job)
        first = min(first, *(mark.start for _, mark, _ in marks))
        last = max(last, *(mark.end for _, mark, _ in marks))
        shown = dict.fromkeys(mark for _, mark, _ in marks)
        stick = Stick(f"Story stick of the {part.name}", datum, first, last, tuple(shown))
        rows = tuple(
            MarkRow(mark.holds, edge, notation.show(mark.start), notation.show(mark.end), size)
            for edge, mark, size in (
                (edge, mark, _mortise_size(sizes, notation)) for edge, mark, sizes in marks
            )
        )
        drawing = story_stick(f"stick-{number:02}", stick, notation)
        yield StickBlock(part.name, datum, drawing, rows)


def _stick_marks(
    joinery: Joinery, part: str
) -> list[tuple[str, StickMark, tuple[Length, Length, Length]]]:
    """Every mortise and halving of a part by place: its edge in words, the mark, and its
    thickness, distance from the face and depth (a halving's thickness is nought)."""
    both = len({mortise.edge for mortise in joinery.mortises if mortise.part == part}) > 1
    words = ("first sight edge", "other sight edge") if both else ("sight edge",) * 2
    found = [
        (
            words[mortise.edge],
            StickMark(mortise.start, mortise.end, mortise.holds),
            (mortise.thickness, mortise.from_face, mortise.depth),
        )
        for mortise in joinery.mortises
        if mortise.part == part
    ]
    found += [
        (
            "face" if halving.from_face else "back",
            StickMark(halving.start, halving.end, f"{halving.crosses}, halved"),
            (ZERO, ZERO, halving.depth),
        )
        for halving in joinery.halvings
        if halving.part == part
    ]
    return sorted(found, key=lambda item: (item[1].start, item[0]))


def _mortise_size(sizes: tuple[Length, Length, Length], notation: Notation) -> str:
    thickness, from_face, depth = sizes
    if not thickness:
        return f"{notation.show(depth)} deep"
    return (
        f"{notation.show(thickness)} wide, {notation.show(from_face)} from the face, "
        f"{notation.show(depth)} deep"
    )


def _datum(part: Part) -> str:
    if part.role is Role.STILE:
        return "the bottom of the leaf"
    if part.role is Role.UPRIGHT_BAR:
        return "the lower end of its sight opening"
    return "the left end of its sight opening"


def _reach(part: Part, job: Job) -> tuple[Length, Length]:
    """How far the part goes before and past its datum."""
    if part.role is Role.STILE:
        return -job.stiles.horn, job.size.height + job.stiles.horn
    before, after = (end.reach for end in part.ends)
    return -before, part.sight + after


def elevation(job: Job, joinery: Joinery) -> Elevation:
    """One leaf in elevation, from the outside: members from back to front as they are drawn."""
    size, wide = job.size, job.stiles.width
    heights = _sight_heights(job)
    members = [Member(left, ZERO, wide, size.height) for left in (ZERO, size.width - wide)]
    uprights: list[Span] = []
    top = size.height
    for rail, below in zip(job.rails, (*heights, ZERO), strict=True):
        top -= rail.width
        members.append(Member(wide, top, size.width - 2 * wide, rail.width))
        uprights.append(Span(top, top + rail.width))
        if below:
            uprights.append(Span(top - below, top))
        top -= below
    members += _bars(job, joinery, heights)
    sight = Span(wide, size.width - wide)
    level = (Span(ZERO, wide), sight, Span(size.width - wide, size.width), Span(ZERO, size.width))
    return Elevation(
        size.width, size.height, tuple(members), level, (*uprights, Span(ZERO, size.height))
    )


def _bars(job: Job, joinery: Joinery, heights: Sequence[Length]) -> list[Member]:
    """Bars from the lights' tongues: a rebate wider each way; those that run through lie on top."""
    bar = next(
        (part for part in joinery.parts if part.role in (Role.CROSS_BAR, Role.UPRIGHT_BAR)), None
    )
    if bar is None or job.bars is None:
        return []
    out, wide = bar.section.rebate.width, job.stiles.width
    across: list[Member] = []
    up: list[Member] = []
    for light in joinery.lights:
        bottom = _field_bottom(job, heights, light.field)
        edges = light.tongue_edges
        for low, high in zip(edges[::2], edges[1::2], strict=True):
            size = high - low + 2 * out
            if light.direction == "rows":
                sight = job.size.width - 2 * wide
                across.append(Member(wide, bottom + low - out, sight, size))
            else:
                up.append(Member(wide + low - out, bottom, size, heights[light.field - 1]))
    return [*across, *up] if job.bars.through is Through.UPRIGHT else [*up, *across]


def _field_bottom(job: Job, heights: Sequence[Length], field: int) -> Length:
    """The lower sight edge of a field, which counts from 1 at the top, above the leaf's bottom."""
    above = [rail.width for rail in job.rails[:field]] + list(heights[:field])
    return job.size.height - sum(above, ZERO)


def _sight_heights(job: Job) -> tuple[Length, ...]:
    """What is given, and what the rest leaves in equal shares."""
    given = [field.sight_height for field in job.fields]
    taken = sum((height for height in given if height is not None), ZERO)
    left = job.size.height - sum((rail.width for rail in job.rails), ZERO) - taken
    share = left / max(given.count(None), 1)
    return tuple(share if height is None else height for height in given)
