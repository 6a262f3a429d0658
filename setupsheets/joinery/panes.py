"""Panes and the beads that hold them, and what is wrong with a rebate that cannot hold them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from setupsheets.joinery.layout import Layout
from setupsheets.joinery.parts import Bead, Pane
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
    glazing = layout.job.glazing
    return glazing.thickness if fill is Fill.GLASS else glazing.panel_thickness or ZERO


def clearance_of(layout: Layout, fill: Fill) -> Length:
    """Clearance at each edge; a panel's is the glass's where the job gives none of its own."""
    glazing = layout.job.glazing
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
    show, glazing = notation.show, layout.job.glazing
    fills = {field.fill for field in layout.job.fields}
    if Fill.PANEL in fills and glazing.panel_thickness is None:
        yield "expected the panels' thickness: a field has a panel", ("glazing", "panel_thickness")
        return
    for number, field in enumerate(layout.job.fields, start=1):
        glass = field.fill is Fill.GLASS
        thickness, deep = thickness_of(layout, field.fill), rebate_depth(layout, number)
        needed = glazing.bedding + thickness + (glazing.bead_depth or ZERO)
        if needed > deep or bead_depth(layout, number, field.fill) <= ZERO:
            yield (
                f"field {number}: bedding {show(glazing.bedding)}, {field.fill} {show(thickness)} "
                f"and bead take {show(needed)}{'' if glazing.bead_depth else ' and the bead more'} "
                f"of a rebate {show(deep)} deep, {show(needed - deep)} too much; deepen the rebate "
                f"or take a thinner {field.fill}",
                ("glazing", "thickness" if glass else "panel_thickness"),
            )
        wide = min(section.rebate.width for section in layout.members(number))
        clearance = clearance_of(layout, field.fill)
        if clearance >= wide:
            yield (
                f"field {number}: a clearance of {show(clearance)} is not covered by a rebate "
                f"{show(wide)} wide, {show(clearance - wide)} too much: the {field.fill} falls "
                "through",
                ("glazing", "clearance" if glass else "panel_clearance"),
            )
        if bead_width(layout, number) > wide:
            yield (
                f"field {number}: a bead {show(bead_width(layout, number))} wide is seen past a "
                f"rebate {show(wide)} wide, {show(bead_width(layout, number) - wide)} too much",
                ("glazing", "bead_width"),
            )
    for pane in panes(layout):
        if min(pane.width, pane.height) <= ZERO < min(pane.opening_width, pane.opening_height):
            yield (
                f"field {pane.field}: an opening of {show(pane.opening_width)} by "
                f"{show(pane.opening_height)} less the clearance leaves no {pane.fill}",
                ("glazing", "clearance"),
            )
