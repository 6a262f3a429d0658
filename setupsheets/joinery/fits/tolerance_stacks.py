"""How the joints of a leaf may come out: worst case and likely spread of every fit.

Stacks as in F. Scholz, Tolerance Stack Analysis Methods, 1995: each contribution has a tolerance T
and a sensitivity a; the worst case is the sum of |a| T, the statistical one the root of the sum of
(a T)^2, which holds for errors that are independent and centred.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from fractions import Fraction

from msgspec import Struct

from setupsheets.joinery.frame.layout import Layout
from setupsheets.joinery.members.panes import clearance_of
from setupsheets.joinery.members.parts import Joinery, Part, Role
from setupsheets.joinery.notes import Note, NoteKind, note
from setupsheets.lengths import Length
from setupsheets.shop.jobs import Fill
from setupsheets.shop.settings import Tolerances

ZERO = Length.ZERO


class Contribution(Struct, frozen=True):
    """One setting's part in a fit: its ``tolerance`` to either side, and the change of the fit for
    a change of the setting."""

    setting: str
    tolerance: Length
    sensitivity: Fraction = Fraction(1)

    @property
    def reach(self) -> Length:
        """|a| T: the most that it moves the fit."""
        return abs(self.sensitivity) * self.tolerance


class ToleranceStack(Struct, frozen=True):
    """One ``fit`` of a part, a field or the leaf, ``of`` which it is: ``aim`` is the gap that the
    design leaves."""

    of: str
    fit: str
    aim: Length
    contributions: tuple[Contribution, ...]

    @property
    def worst(self) -> Length:
        """Sum of |a| T."""
        return sum((each.reach for each in self.contributions), ZERO)

    @property
    def statistical(self) -> Length:
        """Root of the sum of (a T)^2, to 0.001 mm."""
        root = math.sqrt(sum(float(each.reach.mm) ** 2 for each in self.contributions))
        return Length.from_float(root, 3)

    @property
    def ranked(self) -> tuple[tuple[Contribution, float], ...]:
        """Contributions with their share of the spread, the largest first."""
        squares = [(each, float(each.reach.mm) ** 2) for each in self.contributions]
        whole = sum(square for _, square in squares) or 1.0
        ordered = sorted(squares, key=lambda found: -found[1])
        return tuple((each, square / whole) for each, square in ordered)


def fits(
    layout: Layout, joinery: Joinery, tolerances: Tolerances | None = None
) -> tuple[ToleranceStack, ...]:
    """Every fit of the leaf, in the order in which it goes together."""
    given = tolerances or Tolerances()
    return (
        *(stack for part in joinery.parts if part.ends for stack in _joint(part, given, layout)),
        *_bars_between_rails(joinery, given),
        *_panes(layout, given),
        *_leaf(layout, given),
    )


def _stack(of: str, fit: str, aim: Length, *rows: tuple[str, Length, int]) -> ToleranceStack:
    """A stack of settings, each with its tolerance and its sensitivity."""
    return ToleranceStack(of, fit, aim, tuple(Contribution(s, t, Fraction(a)) for s, t, a in rows))


def _joint(part: Part, given: Tolerances, layout: Layout) -> Iterator[ToleranceStack]:
    """A part's own ends: front and back shoulders closing together, cheeks, and the bottom, which a
    mortise that goes right through has not."""
    yield _stack(
        part.name,
        "gap at the face when the back shoulder is home",
        ZERO,
        ("stop of the face shoulder", given.shoulder, 1),
        ("stop of the back shoulder", given.shoulder, -1),
        ("width of the mate's rebate", given.rebate, 1),
        ("width of the mate's sticking", given.rebate, -1),
    )
    yield _stack(
        part.name,
        "play of the tenon in its mortise",
        ZERO,
        ("width of the mortise", given.mortise_width, 1),
        ("height of the cut for the face cheek", given.cheek, -1),
        ("height of the cut for the back cheek", given.cheek, -1),
    )
    if layout.wedged and part.role is Role.RAIL:
        return
    yield _stack(
        part.name,
        "room under the tenon",
        part.ends[0].gap,
        ("depth of the mortise", given.mortise_depth, 1),
        ("length of the blank, to the tenon's end", given.tenon_end, -1),
        ("stop of the back shoulder", given.shoulder, 1),
    )


def _bars_between_rails(joinery: Joinery, given: Tolerances) -> Iterator[ToleranceStack]:
    """A bar between two stiles has to be as long as the rails are: what it gapes where not. Both
    ends of a part are cut at one stop, so an error of the stop counts twice."""
    if any(part.role is Role.CROSS_BAR for part in joinery.parts):
        yield _stack(
            "cross bars",
            "gap at a shoulder between stiles that the rails hold apart",
            ZERO,
            ("rail, stop of its back shoulders, both ends", given.shoulder, 2),
            ("bar, stop of its back shoulders, both ends", given.shoulder, -2),
        )


def _panes(layout: Layout, given: Tolerances) -> Iterator[ToleranceStack]:
    """Clearance of glass across a light: between two bars that were set out to marks."""
    for number, field in enumerate(layout.job.fields, start=1):
        for way in ("width", "height") if field.fill is Fill.GLASS else ():
            yield _stack(
                f"field {number}",
                f"clearance of the glass, both edges together, in {way}",
                2 * clearance_of(layout, field.fill),
                ("cut size of the glass", given.glass, -1),
                ("mark of one mortise", given.mark, 1),
                ("mark of the next mortise", given.mark, 1),
                ("width of one rebate", given.rebate, 1),
                ("width of the other rebate", given.rebate, 1),
            )


def _leaf(layout: Layout, given: Tolerances) -> Iterator[ToleranceStack]:
    """What is left at the two upright edges of the leaf together, in its opening."""
    opening = layout.job.opening
    if opening is None:
        return
    gaps = opening.clearances
    leaves = 1 if opening.pair is None else 2
    side = gaps.hinge + gaps.lock if leaves == 1 else 2 * (gaps.hinge + gaps.meeting)
    yield _stack(
        "leaf",
        "clearance in its opening, both sides together",
        side,
        ("width of the opening", given.opening, 1),
        ("width of the stiles, each", given.width, -2 * leaves),
        ("rails, between back shoulders", given.shoulder, -2 * leaves),
        ("width of the stiles' rebates, each", given.rebate, 2 * leaves),
    )


def alike(stacks: Iterable[ToleranceStack]) -> tuple[tuple[ToleranceStack, ...], ...]:
    """Stacks that are the same for several parts, together."""
    groups: dict[tuple[object, ...], list[ToleranceStack]] = {}
    for stack in stacks:
        groups.setdefault((stack.fit, stack.aim, stack.contributions), []).append(stack)
    return tuple(tuple(group) for group in groups.values())


def fit_notes(stacks: Iterable[ToleranceStack]) -> Iterator[Note]:
    """Fits with a gap by design that may close; parts for which it is the same are told at once."""
    for group in alike(stack for stack in stacks if ZERO < stack.aim < stack.worst):
        stack = group[0]
        first, share = stack.ranked[0]
        kind, likely = NoteKind.FIT_MAY_CLOSE, stack.statistical > stack.aim
        of = tuple(each.of for each in group)
        yield note(kind, stack=stack, of=of, likely=likely, most=first, share=share)
