"""What explains the readings, as a maker reads it: causes, doubts, and how far each is off.

``titles`` say what causes and measurements are called, by name.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping

from msgspec import Struct

from setupsheets.corrections.causes import Cause
from setupsheets.corrections.explain import Explanation, Explanations, SuspectCause, SuspectReading
from setupsheets.lengths import Length, Notation
from setupsheets.wording.advice import per_cent
from setupsheets.wording.lists import listed


def explanation_lines(
    explanations: Explanations,
    titles: Mapping[str, str],
    notation: Notation,
    *,
    again: Collection[tuple[str, int]] = (),
    moved: Collection[str] = (),
    looked_at: Collection[str] = (),
    stayed: Collection[str] = (),
    differ: str = "",
) -> tuple[str, ...]:
    """One line for each explanation, most probable first, after what to doubt.

    ``again`` are the measurements that are to be taken again next, each with its piece; ``moved``
    names what is to be moved, ``looked_at`` the dials that stand as they are said to, ``stayed``
    those that were never moved; ``differ`` says what differs by more than the limits allow.
    """
    telling = _Telling(titles, notation, again, moved, looked_at, stayed, differ)
    lines = [telling.suspect_reading(each) for each in explanations.readings]
    doubted = {(doubt.measurement, doubt.piece) for doubt in explanations.readings}
    if explanations.unexplained:
        then = ": measure the piece again before moving anything." if again else " well."
        lines.append(f"Nothing here explains these readings{then}")
    for place, each in enumerate(explanations.ranked):
        told = not each.causes and {(d.measurement, d.piece) for d in each.readings} <= doubted
        if (told and each.readings) or (place and each.probability < _WORTH_A_LINE):
            continue
        lines.append(telling.explanation(each))
    return tuple(lines)


_WORTH_A_LINE = 0.02  # of an account that is not the first: less decides nothing


class _Telling(Struct, frozen=True):
    """What lines are told by, as `explanation_lines` is given it."""

    titles: Mapping[str, str]
    notation: Notation
    again: Collection[tuple[str, int]]
    moved: Collection[str]
    looked_at: Collection[str]
    stayed: Collection[str]
    differ: str

    def explanation(self, told: Explanation) -> str:
        """One account of what has happened, with its chance."""
        chance, titles = per_cent(told.probability), self.titles
        # Beside what has jumped what is off by a little is told where it is the reason for a move.
        off = (*told.causes, *(each for each in told.besides if each.cause.name in self.moved))
        causes = [self.suspect_cause(each) for each in off]
        readings = _doubted(told.readings, titles)
        parts = list(dict.fromkeys((*causes, *readings)))  # read twice, misread twice: told once
        if told.ordinary:
            if not parts and self.differ:
                return f"no setting is out, {self.differ}: {chance}"
            if not parts:
                return f"only the usual small errors of setting: {chance}"
            return f"only set and cut roughly, most of all {listed(parts)}: {chance}"
        line = f"{listed(parts)}: {chance}"
        alone = len(off) == 1 and not told.readings
        alone = alone and set(self.moved) <= {off[0].cause.name}
        explained = off[0].explains if alone else ()
        if len(explained) > 1:
            one = listed(titles[name] for name in explained)
            line += f"; this one error puts {one} out as measured"
        return line

    def suspect_cause(self, suspect: SuspectCause) -> str:
        """How far off a cause is, and since when."""
        title, kind = self.titles[suspect.cause.name], suspect.cause.kind
        where = _off(suspect.error, suspect.cause, self.notation)
        if suspect.how == "ordinary":
            return f"{title} {where}"
        if suspect.how == "move":
            return f"{title} {where} since it was last set, before piece {suspect.piece + 1}"
        if suspect.how == "untold":
            by = _length(suspect.jump, self.notation)
            did = f"was moved by {by}"
            if kind == "blank":
                did = f"was made {by} {blank_made(suspect.cause.name, more=suspect.jump > 0)}"
            return f"{title} {did} before piece {suspect.piece + 1}, and nobody has said so"
        if suspect.how == "drift":
            each = _length(suspect.jump, self.notation)
            way = "more" if suspect.jump > 0 else "less"
            return f"{title} creeps, {each} {way} with every piece, now {where}"
        if suspect.how == "shift":
            what = "they changed" if kind == "blank" else "it shifted"
            if abs(suspect.error) < abs(suspect.jump) / _RIGHTED:
                what, right = what.split()[1], "is right" if kind == "blank" else "stands right"
                return f"{title} {what} before piece {suspect.piece + 1}, and {right} since"
            return f"{title} {where}: {what} before piece {suspect.piece + 1}"
        return f"{title} {self.set_wrong(suspect, where)}"

    def set_wrong(self, suspect: SuspectCause, where: str) -> str:
        """How far off a cause was from the first piece on, and what has become of that."""
        name = suspect.cause.name
        if abs(suspect.error) < abs(suspect.jump) / _RIGHTED:
            was = _off(suspect.jump, suspect.cause, self.notation)
            if name in self.stayed:
                return f"{was} by its dial, which its figure makes up for"
            return f"was {was} at first and has been put right since"
        if suspect.cause.kind == "blank":
            return where
        slip = "" if name in self.looked_at else "by a slip or "
        return f"{where}, {slip}by its dial"

    def suspect_reading(self, doubt: SuspectReading) -> str:
        """How likely a reading is none of what it is taken for, and what becomes of it."""
        title = self.titles[doubt.measurement]
        what = "a misreading" if doubt.how == "misreading" else "a piece cut badly there"
        if Length.from_float(abs(doubt.amount)).rounded_to(_FELT):
            what += f", by about {_length(doubt.amount, self.notation)}"
        how = "likely" if doubt.probability >= _LIKELY else "as well as not"
        asked = (doubt.measurement, doubt.piece) in self.again
        then = "measure it again before moving anything" if asked else "it is left out of account"
        sure = per_cent(min(doubt.probability, _ALL_BUT_SURE))
        return f"{title} of piece {doubt.piece + 1}: {how} {what} ({sure}); {then}"


_RIGHTED = 4
"""An error of less than one in so many parts of what was wrong is none any more."""

_FELT = Length(".001 in")
"""Less than that no doubt is about: a fit that was called tight tells no amount."""

_ALL_BUT_SURE = 1 - 1e-9  # every account doubts it, and nobody knows all accounts


def _doubted(readings: Iterable[SuspectReading], titles: Mapping[str, str]) -> Iterator[str]:
    """`Back and Face of piece 1 were misread`, `Back of pieces 2 and 4 was cut badly`."""
    told: dict[tuple[int, bool], dict[str, None]] = {}
    for each in readings:
        at = each.piece, each.how == "misreading"
        told.setdefault(at, {})[titles[each.measurement]] = None
    alike: dict[tuple[tuple[str, ...], bool], list[int]] = {}
    for (piece, misread), names in told.items():
        alike.setdefault((tuple(names), misread), []).append(piece + 1)
    for (measures, misread), pieces in alike.items():
        where = f"piece{'s' * (len(pieces) > 1)} {listed(map(str, sorted(pieces)))}"
        were = "was" if len(measures) == 1 else "were"
        yield f"{listed(measures)} of {where} {were} {'misread' if misread else 'cut badly'}"


_LIKELY = 0.6

_BLANKS_OFF: Mapping[str, tuple[str, str]] = {
    "blank.width": ("wide", "narrow"),
    "blank.thickness": ("thick", "thin"),
}


_BLANKS_MADE: Mapping[str, tuple[str, str]] = {
    "blank.length": ("longer", "shorter"),
    "blank.width": ("wider", "narrower"),
    "blank.thickness": ("thicker", "thinner"),
}


def blank_made(cause: str, *, more: bool) -> str:
    """What a blank is by a change of a size of it: `thinner`."""
    return _BLANKS_MADE[cause][not more]


def left_words(suspect: SuspectCause, moved: Length, notation: Notation) -> tuple[Length, str]:
    """What a move leaves of an error as it is told, and in words, `1/64 in long`; nought where that
    is less than the finest mark."""
    error = _told(suspect.error, notation)
    left = (error if suspect.error > 0 else -error) + moved
    if abs(left) < notation.finest_mark:
        return Length.ZERO, ""
    return left, f"{_written(abs(left), notation)} {_way(suspect.cause, over=left > Length.ZERO)}"


def _off(error: float, cause: Cause, notation: Notation) -> str:
    return f"{_length(error, notation)} {_way(cause, over=error > 0)}"


def _way(cause: Cause, *, over: bool) -> str:
    usual = ("long", "short") if cause.kind == "blank" else ("over", "under")
    return _BLANKS_OFF.get(cause.name, usual)[not over]


def _length(amount: float, notation: Notation) -> str:
    """A deviation in mm without its sign, as it is told."""
    return _written(_told(amount, notation), notation)


def _told(amount: float, notation: Notation) -> Length:
    """A deviation in mm without its sign: at the shop's nearest mark where that is as good as the
    same."""
    length = Length.from_float(abs(amount))
    mark = notation.round(length)
    return mark if abs(mark - length) <= length / _AS_GOOD else length


def _written(length: Length, notation: Notation) -> str:
    """A mark as such, else as fine as it is read."""
    return notation.mark(length) if length == notation.round(length) else notation.small(length)


_AS_GOOD = 10
"""By one part in so many a deviation is told too large or too small, for the sake of a mark."""
