"""What the seasons do to a leaf: each part across its grain, and whether clearances still hold."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from msgspec import Struct

from setupsheets.joinery.frame.layout import Layout
from setupsheets.joinery.members.panes import clearance_of
from setupsheets.joinery.members.parts import Joinery, Pane, Role
from setupsheets.joinery.notes import Note, NoteKind, note
from setupsheets.joinery.stock.moisture import equilibrium_moisture, moisture_range_holds, movement
from setupsheets.lengths import Length
from setupsheets.shop.jobs import Air, Fill, Seasons
from setupsheets.shop.timbers import Timber

ZERO = Length.ZERO


class Moistures(Struct, frozen=True):
    """Moisture contents in %, to a hundredth: as made, at the driest, at the dampest."""

    made: Fraction
    dry: Fraction
    damp: Fraction

    @property
    def holds(self) -> bool:
        """Whether all of them are in the range of the coefficients."""
        return moisture_range_holds(self.made, self.dry, self.damp)


class SeasonalMovement(Struct, frozen=True):
    """How one size changes from as made; ``room`` is how much it may grow and ``cover`` how much it
    may shrink before something binds or shows, where there is a limit."""

    what: str
    size: Length
    dry: Length
    damp: Length
    room: Length | None = None
    cover: Length | None = None

    @property
    def binds(self) -> bool:
        """Whether it grows more than it has room for."""
        return self.room is not None and self.damp > self.room

    @property
    def bares(self) -> bool:
        """Whether it shrinks more than is covered."""
        return self.cover is not None and -self.dry > self.cover


def moistures(seasons: Seasons) -> Moistures:
    """What the timber comes to in the air of each season (Wood Handbook, equation 4-5)."""
    made, dry, damp = (_balance(air) for air in (seasons.made, seasons.dry, seasons.damp))
    return Moistures(made, dry, damp)


def _balance(air: Air) -> Fraction:
    return Fraction(round(equilibrium_moisture(air) * 100), 100)


def moves(
    layout: Layout, joinery: Joinery, timber: Timber, found: Moistures
) -> tuple[SeasonalMovement, ...]:
    """Widths of parts, tenons, panels and the leaf, at the tangential rate, the larger of the two:
    flat-sawn wood moves so much, and quartered wood less."""

    def moved(
        what: str, size: Length, room: Length | None = None, cover: Length | None = None
    ) -> SeasonalMovement:
        seasons = (found.dry, found.damp)
        dry, damp = (movement(size, timber.tangential, found.made, each) for each in seasons)
        return SeasonalMovement(what, size, dry, damp, room, cover)

    rows = []
    for part in joinery.parts:
        if part.role in (Role.STILE, Role.RAIL):
            rows.append(moved(f"width of the {part.name}", part.width))
        if part.role is Role.RAIL:
            # The tenon moves with its rail, and the mortise along the stile hardly at all.
            rows.append(moved(f"tenon of the {part.name}", part.ends[0].tenon.width))
    for pane in joinery.panes:
        if pane.fill is not Fill.GLASS:
            rows.append(moved(f"panel of field {pane.field}, across", *_panel(layout, pane)))
    both = 2 * layout.job.stiles.width
    return (*rows, moved("width of the leaf, by its two stiles", both, _side_gaps(layout)))


def _panel(layout: Layout, pane: Pane) -> tuple[Length, Length, Length]:
    """A panel's width, its grain upright: both clearances, and what both edges are covered by."""
    clearance = clearance_of(layout, pane.fill)
    panels = layout.job.panels
    held = layout.stile.rebate.width
    if pane.fill is Fill.GROOVED_PANEL and panels:
        held = panels.groove_depth
    return pane.width, 2 * clearance, 2 * (held - clearance)


def _side_gaps(layout: Layout) -> Length | None:
    """Clearance at the hinge and at the lock or meeting edge together."""
    opening = layout.job.opening
    if opening is None:
        return None
    gaps = opening.clearances
    return gaps.hinge + (gaps.lock if opening.pair is None else gaps.meeting)


def season_notes(found: Moistures, moved: tuple[SeasonalMovement, ...]) -> Iterator[Note]:
    """What the maker should know about moisture, movement and clearances that do not hold."""
    yield note(NoteKind.MOISTURES, found=found)
    if not found.holds:
        yield note(NoteKind.MOISTURE_OUT_OF_RANGE)
    for move in moved:
        if move.binds and move.room is not None:
            yield note(NoteKind.SWELLS_TOO_MUCH, move=move, short=move.damp - move.room)
        if move.bares and move.cover is not None:
            yield note(NoteKind.SHRINKS_TOO_MUCH, move=move, short=-move.dry - move.cover)
