"""Panes and the beads that hold them, and what is wrong with a rebate that cannot hold them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from setupsheets.joinery.frame.layout import Layout
from setupsheets.joinery.members.parts import Bead, Pane
from setupsheets.lengths import Length, Notation
from setupsheets.shop.jobs import Fill

ZERO = Length.ZERO
Place = tuple[str, ...]


def panes(layout: Layout) -> Iterator[Pane]:
    """Glass or panels by field and size, counted over the whole job."""
    for index, field in enumerate(layout.job.fields):
        clearance = clearance_of(layout, field.fill)
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
    """Thickness of the glass or of the panel; nought for a panel that the job does not give."""
    glazing, panels = layout.job.glazing, layout.job.panels
    if fill is Fill.GROOVED_PANEL:
        return panels.thickness if panels else ZERO
    return glazing.thickness if fill is Fill.GLASS else glazing.panel_thickness or ZERO


def clearance_of(layout: Layout, fill: Fill) -> Length:
    """Clearance at each edge; a panel's is the glass's where the job gives none of its own."""
    glazing, panels = layout.job.glazing, layout.job.panels
    if fill is Fill.GROOVED_PANEL:
        return panels.clearance if panels else ZERO
    own = glazing.panel_clearance if fill is Fill.PANEL else None
    return glazing.clearance if own is None else own


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


def pane_faults(layout: Layout, notation: Notation) -> Iterator[tuple[str, Place]]:
    """What is wrong with panes and beads, in words, and which field of the job says so."""
    fills = {field.fill for field in layout.job.fields}
    if Fill.PANEL in fills and layout.job.glazing.panel_thickness is None:
        yield "expected the panels' thickness: a field has a panel", ("glazing", "panel_thickness")
        return
    if Fill.GROOVED_PANEL in fills:
        yield from _groove_faults(layout, notation)
    for number, field in enumerate(layout.job.fields, start=1):
        if field.fill is not Fill.GROOVED_PANEL:
            yield from _depth_faults(layout, number, notation)
            yield from _width_faults(layout, number, notation)
    for pane in panes(layout):
        if min(pane.width, pane.height) <= ZERO < min(pane.opening_width, pane.opening_height):
            yield (
                f"field {pane.field}: an opening of {notation.show(pane.opening_width)} by "
                f"{notation.show(pane.opening_height)} less the clearance leaves no {pane.fill}",
                _place(pane.fill, "clearance"),
            )


def _place(fill: Fill, size: str) -> Place:
    """Which field of the job gives a size of a pane."""
    if fill is Fill.GROOVED_PANEL:
        return ("panels", size)
    return ("glazing", size if fill is Fill.GLASS else f"panel_{size}")


def _depth_faults(layout: Layout, number: int, notation: Notation) -> Iterator[tuple[str, Place]]:
    """Whether a rebate holds bedding, pane and bead."""
    show, glazing, fill = notation.show, layout.job.glazing, layout.job.fields[number - 1].fill
    thickness, deep = thickness_of(layout, fill), rebate_depth(layout, number)
    needed = glazing.bedding + thickness + (glazing.bead_depth or ZERO)
    if needed > deep or bead_depth(layout, number, fill) <= ZERO:
        bead, for_bead = (" and bead", "") if glazing.bead_depth else ("", " for the bead")
        yield (
            f"field {number}: bedding {show(glazing.bedding)}, {fill} {show(thickness)}{bead} "
            f"take {show(needed)} of a rebate {show(deep)} deep and leave "
            f"{show(deep - needed)}{for_bead}; deepen the rebate or take a thinner {fill}",
            _place(fill, "thickness"),
        )


def _width_faults(layout: Layout, number: int, notation: Notation) -> Iterator[tuple[str, Place]]:
    """Whether a rebate is wide enough for its pane's clearance and its bead."""
    show, fill = notation.show, layout.job.fields[number - 1].fill
    wide = min(section.rebate.width for section in layout.members(number))
    clearance, bead = clearance_of(layout, fill), bead_width(layout, number)
    if clearance >= wide:
        yield (
            f"field {number}: a clearance of {show(clearance)} is not covered by a rebate "
            f"{show(wide)} wide, {show(clearance - wide)} too much: the {fill} falls through",
            _place(fill, "clearance"),
        )
    if bead > wide:
        yield (
            f"field {number}: a bead {show(bead)} wide is seen past a rebate {show(wide)} wide, "
            f"{show(bead - wide)} too much",
            ("glazing", "bead_width"),
        )


def _groove_line_faults(layout: Layout, notation: Notation) -> Iterator[tuple[str, Place]]:
    """Whether the grooves around each panel lie in one plane: each is right behind its moulding."""
    show, stile = notation.show, layout.stile.sticking.depth
    for number, field in enumerate(layout.job.fields, start=1):
        rails = {each.name: each for each in layout.rails[number - 1 : number + 1]}
        for name, rail in rails.items() if field.fill is Fill.GROOVED_PANEL else ():
            if rail.sticking.depth != stile:
                yield (
                    f"field {number}: the groove lies {show(rail.sticking.depth)} behind the face "
                    f"in {name!r} and {show(stile)} in the stiles' {layout.stile.name!r}, "
                    f"{show(abs(rail.sticking.depth - stile))} apart: one panel does not fit both; "
                    "expected mouldings of one depth",
                    ("panels",),
                )


def _groove_faults(layout: Layout, notation: Notation) -> Iterator[tuple[str, Place]]:
    """Whether the groove fits into the frame's tongue and holds the panel."""
    show, panels = notation.show, layout.job.panels
    if panels is None:
        return
    wood = layout.stile.thickness - layout.stile.sticking.depth
    if panels.groove_width >= wood:
        yield (
            f"a groove {show(panels.groove_width)} wide leaves no wood behind it: sticking leaves "
            f"{show(wood)} of the stile's thickness",
            ("panels", "groove_width"),
        )
    yield from _groove_line_faults(layout, notation)
    if panels.clearance >= panels.groove_depth:
        yield (
            f"a clearance of {show(panels.clearance)} is not covered by a groove "
            f"{show(panels.groove_depth)} deep: the panel falls out",
            ("panels", "clearance"),
        )
    if panels.border is None and panels.thickness > panels.groove_width:
        yield (
            f"a flat panel {show(panels.thickness)} thick does not go into a groove "
            f"{show(panels.groove_width)} wide, "
            f"{show(panels.thickness - panels.groove_width)} too thick; give a border to raise it",
            ("panels", "thickness"),
        )
    narrowest = min(layout.job.stiles.width, *(rail.width for rail in layout.job.rails))
    if panels.groove_depth >= narrowest:
        yield (
            f"a groove {show(panels.groove_depth)} deep goes through a member "
            f"{show(narrowest)} wide",
            ("panels", "groove_depth"),
        )
