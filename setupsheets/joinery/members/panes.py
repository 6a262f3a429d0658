"""Panes and the beads that hold them, and rebates that cannot hold them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator

from setupsheets.joinery.frame.layout import Layout
from setupsheets.joinery.members.parts import Bead, Pane
from setupsheets.joinery.notes import DesignFault, Note, note
from setupsheets.lengths import Length
from setupsheets.shop.jobs import Fill, Glazing, Panels

ZERO = Length.ZERO


def panes(layout: Layout) -> Iterator[Pane]:
    """Glass or panels by field and size, counted over the whole job."""
    panels = layout.job.panels
    for index, field in enumerate(layout.job.fields):
        clearance = clearance_of(layout, field.fill)
        raised = panels if field.fill is Fill.GROOVED_PANEL and panels and panels.border else None
        for (width, height), count in _openings(layout, index).items():
            yield Pane(
                field=index + 1,
                fill=field.fill,
                count=count * layout.job.count,
                opening_width=width,
                opening_height=height,
                width=width - 2 * clearance,
                height=height - 2 * clearance,
                thickness=thickness_of(layout, field.fill),
                border=raised.border or ZERO if raised else ZERO,
                tongue=raised.groove_width if raised else ZERO,
            )


def beads(layout: Layout) -> Iterator[Bead]:
    """Beads by field and length, two of each side of every pane, counted over the whole job."""
    for index, field in enumerate(layout.job.fields):
        if field.fill is Fill.GROOVED_PANEL:
            continue
        lengths: Counter[Length] = Counter()
        for (width, height), count in _openings(layout, index).items():
            lengths[width] += 2 * count * layout.job.count
            lengths[height] += 2 * count * layout.job.count
        for length, count in lengths.items():
            wide, deep = bead_width(layout, index + 1), bead_depth(layout, index + 1, field.fill)
            yield Bead(index + 1, count, length, wide, deep)


def _openings(layout: Layout, index: int) -> Counter[tuple[Length, Length]]:
    """How many lights of each width and height a field has."""
    widths = Counter(layout.columns[index].lights)
    heights = Counter(layout.rows[index].lights)
    return Counter(
        {
            (wide, high): across * up
            for high, up in heights.items()
            for wide, across in widths.items()
        }
    )


def thickness_of(layout: Layout, fill: Fill) -> Length:
    """Thickness of the glass or of the panel; nought where the job does not give it."""
    glazing, panels = layout.job.glazing, layout.job.panels
    if fill is Fill.GROOVED_PANEL:
        return panels.thickness if panels else ZERO
    own = glazing.thickness if fill is Fill.GLASS else glazing.panel_thickness
    return own or ZERO


def clearance_of(layout: Layout, fill: Fill) -> Length:
    """Clearance at each edge; a panel's is the glass's where the job gives none of its own."""
    glazing, panels = layout.job.glazing, layout.job.panels
    if fill is Fill.GROOVED_PANEL:
        return panels.clearance if panels else ZERO
    own = glazing.panel_clearance if fill is Fill.PANEL else None
    return (glazing.clearance or ZERO) if own is None else own


def rebate_depth(layout: Layout, field: int) -> Length:
    """The shallowest rebate around a field's panes."""
    return min(section.rebate.depth for section in layout.members(field))


def bead_width(layout: Layout, field: int) -> Length:
    """Width of a field's beads: the job's own, or as wide as the narrowest rebate."""
    narrowest = min(section.rebate.width for section in layout.members(field))
    return layout.job.glazing.bead_width or narrowest


def bead_depth(layout: Layout, field: int, fill: Fill) -> Length:
    """Depth of a field's beads: the job's own, or what bedding and pane leave of the rebate."""
    glazing = layout.job.glazing
    left = rebate_depth(layout, field) - glazing.bedding - thickness_of(layout, fill)
    return glazing.bead_depth or left


def pane_faults(layout: Layout) -> Iterator[Note]:
    """What is wrong with panes and beads."""
    fills = {field.fill for field in layout.job.fields}
    if silent := list(_silent_faults(layout.job.glazing, fills)):
        yield from silent
        return
    if Fill.GROOVED_PANEL in fills:
        yield from _groove_faults(layout)
    for number, field in enumerate(layout.job.fields, start=1):
        if field.fill is not Fill.GROOVED_PANEL:
            yield from _depth_faults(layout, number)
            yield from _width_faults(layout, number)
    for pane in panes(layout):
        opening = min(pane.opening_width, pane.opening_height)
        if min(pane.width, pane.height) <= ZERO < opening:
            yield note(DesignFault.NO_PANE_LEFT, *_place(pane.fill, "clearance"), pane=pane)


def _silent_faults(glazing: Glazing, fills: Collection[Fill]) -> Iterator[Note]:
    """What the job does not say of what lies in its rebates."""
    if Fill.GLASS in fills and glazing.thickness is None:
        yield note(DesignFault.NO_THICKNESS_OF_GLASS, "glazing", "thickness")
    if glazing.thickness is not None and ZERO < glazing.cavity >= glazing.thickness:
        kind, at = DesignFault.CAVITY_WITHOUT_GLASS, ("glazing", "cavity")
        yield note(kind, *at, cavity=glazing.cavity, thickness=glazing.thickness)
    if Fill.GLASS in fills and glazing.clearance is None:
        yield note(DesignFault.NO_CLEARANCE_OF_GLASS, "glazing", "clearance")
    if Fill.PANEL in fills and glazing.panel_thickness is None:
        yield note(DesignFault.NO_THICKNESS_OF_PANEL, "glazing", "panel_thickness")
    if Fill.PANEL in fills and glazing.panel_clearance is None and glazing.clearance is None:
        yield note(DesignFault.NO_CLEARANCE_OF_PANEL, "glazing", "panel_clearance")


def _place(fill: Fill, size: str) -> tuple[str, str]:
    """Which field of the job gives a size of a pane."""
    if fill is Fill.GROOVED_PANEL:
        return ("panels", size)
    return ("glazing", size if fill is Fill.GLASS else f"panel_{size}")


def _depth_faults(layout: Layout, number: int) -> Iterator[Note]:
    """Whether a rebate holds bedding, pane and bead."""
    glazing, fill = layout.job.glazing, layout.job.fields[number - 1].fill
    thickness, deep = thickness_of(layout, fill), rebate_depth(layout, number)
    needed = glazing.bedding + thickness + (glazing.bead_depth or ZERO)
    if needed > deep or bead_depth(layout, number, fill) <= ZERO:
        yield note(
            DesignFault.REBATE_TOO_SHALLOW,
            *_place(fill, "thickness"),
            field=number,
            glazing=glazing,
            fill=fill,
            thickness=thickness,
            needed=needed,
            depth=deep,
        )


def _width_faults(layout: Layout, number: int) -> Iterator[Note]:
    """Whether a rebate is wide enough for its pane's clearance and its bead."""
    fill = layout.job.fields[number - 1].fill
    wide = min(section.rebate.width for section in layout.members(number))
    clearance, bead = clearance_of(layout, fill), bead_width(layout, number)
    over = clearance - wide
    if over >= ZERO:
        kind, at = DesignFault.CLEARANCE_NOT_COVERED, _place(fill, "clearance")
        yield note(kind, *at, field=number, clearance=clearance, rebate=wide, over=over, fill=fill)
    if bead > wide:
        kind, at = DesignFault.BEAD_SEEN_PAST_REBATE, ("glazing", "bead_width")
        yield note(kind, *at, field=number, bead=bead, rebate=wide, over=bead - wide)


def _groove_line_faults(layout: Layout) -> Iterator[Note]:
    """Whether the grooves around each panel lie in one plane: each is right behind its moulding."""
    stile = layout.stile
    for number, field in enumerate(layout.job.fields, start=1):
        rails = {each.name: each for each in layout.rails[number - 1 : number + 1]}
        for rail in rails.values() if field.fill is Fill.GROOVED_PANEL else ():
            apart = abs(rail.sticking.depth - stile.sticking.depth)
            if apart:
                kind = DesignFault.GROOVES_NOT_IN_LINE
                yield note(kind, "panels", field=number, rail=rail, stile=stile, apart=apart)


def _border_faults(layout: Layout, panels: Panels, border: Length) -> Iterator[Note]:
    """Whether a raised panel has wood to sink, and its border and its field both their place."""
    at = "panels", "border"
    if panels.thickness <= panels.groove_width:
        yield note(DesignFault.NOTHING_TO_RAISE, *at, panels=panels)
    if border <= panels.groove_depth:
        yield note(DesignFault.BORDER_HIDDEN, *at, panels=panels)
    for pane in panes(layout):
        across = min(pane.width, pane.height)
        if pane.border and 2 * border >= across > ZERO:
            yield note(DesignFault.BORDERS_MEET, *at, panels=panels, pane=pane, across=across)


def _groove_faults(layout: Layout) -> Iterator[Note]:
    """Whether the groove fits into the frame's tongue and holds the panel."""
    panels, at = layout.job.panels, "panels"
    if panels is None:
        return
    wood = layout.stile.thickness - layout.stile.sticking.depth
    if panels.groove_width >= wood:
        yield note(DesignFault.GROOVE_WITHOUT_WALL, at, "groove_width", panels=panels, wood=wood)
    yield from _groove_line_faults(layout)
    if panels.clearance >= panels.groove_depth:
        yield note(DesignFault.PANEL_FALLS_OUT, at, "clearance", panels=panels)
    over = panels.thickness - panels.groove_width
    if panels.border is None and over > ZERO:
        yield note(DesignFault.PANEL_TOO_THICK, at, "thickness", panels=panels, over=over)
    if panels.border is not None:
        yield from _border_faults(layout, panels, panels.border)
    middle = panels.middle_stile
    if middle is not None and 2 * panels.groove_depth >= middle:
        kind = DesignFault.GROOVE_THROUGH_MEMBER
        yield note(kind, at, "middle_stile", panels=panels, width=middle)
    narrowest = min(layout.job.stiles.width, *(rail.width for rail in layout.job.rails))
    if panels.groove_depth >= narrowest:
        kind = DesignFault.GROOVE_THROUGH_MEMBER
        yield note(kind, at, "groove_depth", panels=panels, width=narrowest)
