"""Where along its sight edges a part has a rebate and where a groove, and where a cut must stop.

A rail's back reaches into the stile's rebate over its whole width, so the stile is rebated as far
as every rail beside a rebated field, and there the rebate is filled: it may run out at the leaf's
ends. A groove behind a rail's shoulder is hidden, so it may run on into the rail's mortise; at the
leaf's ends the haunch or the tenon fills it. Only between a rebated and a grooved field do both
have to stop.
"""

from __future__ import annotations

from collections.abc import Iterator

from setupsheets.joinery.frame.layout import Layout
from setupsheets.joinery.members.parts import Groove, Stretch
from setupsheets.joinery.members.tenons import is_outer, rail_edges_lost
from setupsheets.lengths import Length
from setupsheets.shop.jobs import Fill
from setupsheets.shop.sections import Section

ZERO = Length.ZERO


def groove_of(layout: Layout, section: Section) -> Groove | None:
    """The job's groove in a member: along its tongue, right behind the sticking."""
    panels = layout.job.panels
    if panels is None:
        return None
    return Groove(panels.groove_width, panels.groove_depth, section.sticking.depth)


def stile_stretches(layout: Layout) -> Iterator[Stretch]:
    """A stile's rebates and grooves from the bottom of the leaf up, fields of a kind in one run."""
    for grooved, upper, lower in reversed(list(_runs(layout))):
        below, above = layout.rail_edges[lower + 1], layout.rail_edges[upper]
        out_below = is_outer(layout, lower + 1)
        out_above = is_outer(layout, upper)
        if grooved and (groove := groove_of(layout, layout.stile)):
            # The panel's corners stand in the rails' grooves, beyond the rails' sight edges.
            start, end = below[1] - groove.depth, above[0] + groove.depth
            first = below[0] + rail_edges_lost(layout, lower + 1)[0]
            last = above[1] - rail_edges_lost(layout, upper)[1]
        else:
            groove, start, end = None, below[0], above[1]
            first, last = start, end
        yield Stretch(
            0, start, end, groove, None if out_below else first, None if out_above else last
        )


def rail_stretches(layout: Layout, index: int) -> Iterator[Stretch]:
    """A rail's rebate or groove along each sight edge, from end to end."""
    fields, end = layout.job.fields, layout.sight_width
    beside = [each for each in (index, index - 1) if 0 <= each < len(fields)]  # lower edge first
    for edge, field in enumerate(beside):
        grooved = fields[field].fill is Fill.GROOVED_PANEL
        yield Stretch(edge, ZERO, end, groove_of(layout, layout.rails[index]) if grooved else None)


def bar_stretches(sight: Length) -> tuple[Stretch, ...]:
    """A bar's rebates, one along each edge."""
    return tuple(Stretch(edge, ZERO, sight) for edge in (0, 1))


def _runs(layout: Layout) -> Iterator[tuple[bool, int, int]]:
    """Neighbouring fields of one kind: whether grooved, the upper and the lower one from 0."""
    kinds = [field.fill is Fill.GROOVED_PANEL for field in layout.job.fields]
    first = 0
    for index, kind in enumerate(kinds):
        if index + 1 == len(kinds) or kinds[index + 1] is not kind:
            yield kind, first, index
            first = index + 1
