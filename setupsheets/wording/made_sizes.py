"""What ends and panels are fitted to, in words: sizes of mates as they were made."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence

from setupsheets.joinery.members.parts import MadeAs
from setupsheets.lengths import Length, Notation
from setupsheets.records.mates import Mate, MateState
from setupsheets.shop.recipes import MadeSize
from setupsheets.wording.lists import listed
from setupsheets.wording.set_ups import change_words

MADE_SIZES: Mapping[MadeSize, str] = {
    MadeSize.MORTISE_WIDTH: "the mortise {found} wide",
    MadeSize.MORTISE_FROM_FACE: "the mortise {found} from the face",
    MadeSize.STICKING_DEPTH: "the moulding {found} deep",
    MadeSize.GROOVE_WIDTH: "the groove {found} wide",
}
"""What was made, behind `came out with`."""

FITTED: Mapping[MadeSize, tuple[str, str]] = {
    MadeSize.MORTISE_WIDTH: ("Thickness of the tenon", "the mortise as cut"),
    MadeSize.MORTISE_FROM_FACE: ("Face to the tenon", "the mortise as cut"),
    MadeSize.STICKING_DEPTH: ("Depth of the cope", "the moulding as run"),
    MadeSize.GROOVE_WIDTH: ("Thickness in the groove", "the groove as run"),
}
"""What is cut to it, and what it is called there."""


def fitted_lines(fits: Mapping[MadeSize, MadeAs], notation: Notation) -> Iterator[str]:
    """`Thickness of the tenon: .378 in, to the mortise as cut (record NAME of 2026-03-14).`"""
    for size, made in fits.items():
        what, mate = FITTED[size]
        where = (
            f"record {made.record} of {made.date}" if made.record else "as the job's file says it"
        )
        yield f"{what}: {notation.show(made.size)}, to {mate} ({where})."


def as_drawn_line(size: MadeSize, designed: Length, notation: Notation) -> str:
    """`Thickness of the tenon: 3/8 in, as drawn.`"""
    return f"{FITTED[size][0]}: {notation.show(designed)}, as drawn."


def to_be_fitted_words(
    made: Mapping[MadeSize, Length],
    parts: Sequence[str],
    typed: Collection[str],
    notation: Notation,
) -> str:
    """What was made, and which ends and panels are fitted to that from now on; for the ``typed``
    ones the job's file says it. Empty where nothing goes there."""
    fitted = [part for part in parts if part not in typed]
    sizes = (MADE_SIZES[size].format(found=notation.show(found)) for size, found in made.items())
    if not parts:
        return ""
    said = f"It came out with {listed(sizes)}."
    if fitted:
        said += f" What goes there is fitted to that from now on: {listed(fitted)}."
    if typed:
        names = listed(part for part in parts if part in typed)
        said += f" For {names} the job's file says what counts: as_made."
    return said


def mate_lines(
    mates: Iterable[Mate], parts: Iterable[str], notation: Notation, *, unread: bool
) -> Iterator[str]:
    """What keeps an end or panel from being fitted to its mate, and what to do; with ``unread``
    also that nothing is known of the mate yet."""
    part, told = next(iter(parts), ""), tuple(mates)
    names = {m.set_up: None for m in told if m.state is MateState.UNREAD and not m.later}
    if unread and names:
        yield (
            f"No test piece of {listed(names)} that the parts can be cut by is on record. Log it"
            " first, and this is fitted to what came out there; until then it is cut as designed."
        )
    for mate in told:
        if mate.found is None or mate.state not in (MateState.CHANGED, MateState.UNFIT):
            continue
        size = MADE_SIZES[mate.size].format(found=notation.show(mate.found.size))
        came = f"{mate.set_up} came out with {size} (record {mate.found.record})"
        now = f"it stays at {notation.show(mate.made.size)}" if mate.made else "it is as designed"
        if mate.state is MateState.UNFIT:
            yield f"{came}. {FITTED[mate.size][0]} cannot be fitted to that, {now}: it {mate.why}."
            continue
        since = "; ".join(dict.fromkeys(change_words(each, notation) for each in mate.since))
        typed = f"as_made: {{{part}: {{{mate.size}: {notation.write(mate.found.size)}}}}}"
        yield (
            f"{came}, but since then: {since}. {FITTED[mate.size][0]}: {now}. Where the parts were"
            f" cut before that, say so in the job's file: {typed}; else log a new piece of"
            f" {mate.set_up}."
        )
