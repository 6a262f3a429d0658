"""What the maker should know about a leaf that can be made: sections, grooves, thin walls."""

from __future__ import annotations

from collections.abc import Iterator

from setupsheets.joinery.frame.edges import stile_stretches
from setupsheets.joinery.frame.layout import Layout
from setupsheets.joinery.frame.lights import Lights, light_notes
from setupsheets.joinery.members.parts import Stretch
from setupsheets.joinery.members.tenons import bar_in_bar_depth, is_outer, joints_of
from setupsheets.joinery.notes import Note, NoteKind, note
from setupsheets.lengths import Length
from setupsheets.shop.jobs import Fill

ZERO = Length.ZERO


def design_notes(layout: Layout, lights: tuple[Lights, ...]) -> Iterator[Note]:
    """All of it, in the order of the leaf."""
    yield note(NoteKind.STILES_ARE_A_PAIR, several=layout.job.count > 1)
    for light in lights:
        yield from light_notes(light)
    if layout.halved and layout.crossing and layout.bar:
        yield note(NoteKind.HALVED_BARS_ARE_MITRED, width=layout.bar.sticking.width)
        rebate, thickness = layout.bar.rebate, layout.bar.thickness
        if thickness / 2 < thickness - rebate.depth:
            kind, least = NoteKind.HALVED_BARS_LEAVE_A_HOLE, thickness / 2
            yield note(kind, width=rebate.width, depth=rebate.depth, least=least)
    yield from _groove_notes(layout)
    for index, rail in enumerate(layout.job.rails):
        if is_outer(layout, index) and rail.haunch <= ZERO:
            horn = layout.job.stiles.horn > ZERO
            yield note(NoteKind.NO_HAUNCH, rail=rail.name, horn=horn)
    yield from _section_notes(layout)
    yield from _wall_notes(layout)


def _groove_notes(layout: Layout) -> Iterator[Note]:
    """Where the stiles' rebate ends and the groove for a panel begins."""
    panels = layout.job.panels
    if panels is None:
        return
    for index, field in enumerate(layout.job.fields):
        if field.fill is Fill.GROOVED_PANEL:
            kind, low = NoteKind.GROOVE_BESIDE_A_FIELD, layout.rail_edges[index + 1][1]
            high = layout.rail_edges[index][0]
            at, several = index + 1, field.columns > 1
            yield note(kind, field=at, panels=panels, low=low, high=high, several=several)
    proud = panels.thickness - panels.groove_width - layout.stile.sticking.depth
    if panels.border and proud > ZERO:
        yield note(NoteKind.PANEL_STANDS_PROUD, by=proud)
    for run in stile_stretches(layout):
        ends = (
            _run_end(run, run.first, run.start, "bottom"),
            _run_end(run, run.last, run.end, "top"),
        )
        if run.groove is None:
            yield note(NoteKind.REBATE_ALONG_STILES, ends=ends)
        else:
            yield note(NoteKind.GROOVE_ALONG_STILES, ends=ends)


def _run_end(run: Stretch, limit: Length | None, full: Length, end: str) -> Note:
    """From where or to where a stile's rebate or groove runs."""
    if limit is not None:
        return note(NoteKind.RUN_STOPS, full=full, limit=limit)
    if run.groove is None:
        return note(NoteKind.REBATE_RUNS_OUT, end=end)
    return note(NoteKind.GROOVE_RUNS_OUT, end=end)


def _section_notes(layout: Layout) -> Iterator[Note]:
    for joint in joints_of(layout):
        mate, own = joint.end.mate, joint.own
        if own.sticking != mate.sticking:
            yield note(NoteKind.MOULDINGS_DIFFER, own=own, mate=mate)
        if own.thickness < mate.thickness:
            thinner = mate.thickness - own.thickness
            yield note(NoteKind.STANDS_BACK, own=own, by=thinner, mate=mate)
        if joint.end.tenon.set_back > ZERO:
            yield note(NoteKind.TENON_OUT_OF_LINE, joint=joint)


def _wall_notes(layout: Layout) -> Iterator[Note]:
    """Walls left at the bottom of mortises that are thinner than the tenon."""
    for joint in joints_of(layout):
        in_bar = joint.key == "bar_in_bar_mortise"
        wall = joint.mate_width - (2 if in_bar else 1) * joint.end.mortise_depth
        if wall == ZERO and joint.mate_width > ZERO:
            yield note(NoteKind.MORTISE_RIGHT_THROUGH, joint=joint)
        elif ZERO < wall < joint.end.tenon.thickness and in_bar:
            yield note(NoteKind.THIN_WALL_IN_BAR, wall=wall)
        elif ZERO < wall < joint.end.tenon.thickness:
            yield note(NoteKind.THIN_WALL_BEHIND_MORTISE, wall=wall, joint=joint)
    if layout.crossing and not layout.halved and layout.job.joints.bar_in_bar_mortise is None:
        yield note(NoteKind.BAR_MORTISES_TO_THE_MIDDLE, depth=bar_in_bar_depth(layout))
