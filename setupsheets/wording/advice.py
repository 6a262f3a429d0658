"""What to do next, as a maker reads it, how sure the parts are and what holds them back.

``titles`` say what causes and measurements are called, by name.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from types import MappingProxyType

from setupsheets.corrections.limiting import BestChance, Reason
from setupsheets.corrections.prediction import Misses
from setupsheets.corrections.stopping import NextStep, Recommendation
from setupsheets.wording.lists import listed, lowered


def recommendation_line(
    recommendation: Recommendation,
    titles: Mapping[str, str],
    bases: Mapping[str, str] = MappingProxyType({}),
    *,
    moved: bool = False,
    read: Collection[str] | None = None,
    unread: Collection[str] = (),
    afresh: str = "",
) -> str:
    """What to do next, and where it is out of reach, why and what would cure it; ``bases`` say by
    measurement what its limits come from, ``moved`` whether something is to be moved first,
    ``read`` what was read of this piece before, and ``unread`` what was read of no piece;
    ``afresh`` is how to go on once what put it out of reach is cured."""
    sure = short_of(recommendation.probability, recommendation.asked)
    only = "" if sure.startswith(_JUST_UNDER) else "only "
    if limit := recommendation.limit:
        cures = _SAID_CURES if limit.said else _CURES
        basis = bases.get(limit.subject)
        limits = f" Its limits: {lowered(basis)}" if basis else ""
        why, best = (
            cures[limit.reason].format(titles[limit.subject]),
            short_of(limit.attainable, recommendation.asked),
        )
        unread = f" Never measured: {listed(titles[name] for name in limit.unread)}."
        return (
            f"Out of reach: {why}{limits} At best {best} would be"
            f" inside every limit.{unread * bool(limit.unread)}"
            f" Or cut the parts so, and look at each: {sure} come out right"
            f"{_misses(recommendation.misses)}."
            f"{f' Once that is cured, begin its record afresh: {afresh}.' if afresh else ''}"
        )
    readings = listed(
        f"{titles[option.measurement]} ({option.instrument.name})"
        for option in recommendation.readings
    )
    too = f" Measure on it what was on none so far: {listed(titles[e] for e in unread)}."
    too *= bool(unread)
    if tells := recommendation.tells:
        return (
            f"Cut another test piece with nothing moved: it tells more of {titles[tells]};"
            f" as far as is known {sure} of parts would be inside every limit"
            f"{_may_be_cut(recommendation)}.{too}"
        )
    names = {option.measurement for option in recommendation.readings}
    cut = _NEXT[recommendation.kind].format(
        sure=sure,
        only=only,
        readings=readings,
        misses=_misses(recommendation.misses),
        then="even with that done" if moved else "as it stands",
        measure="Measure this piece again"
        if read is None or names <= {*read}
        else "Measure more of this piece",
    )
    if recommendation.pays:
        cut = _PIECE_PAYS.format(sure=sure)
    if recommendation.kind == "another test piece":
        cut = f"{cut.removesuffix('.')}{_once_read(recommendation)}.{too}"
    return f"{cut} {_EASING_PAYS}" if recommendation.eased else cut


def _may_be_cut(recommendation: Recommendation) -> str:
    """How likely a piece that is cut with nothing moved is to settle it."""
    likely = per_cent(recommendation.then)
    return f"; the chance that they can be cut once it is measured is {likely}" * bool(
        recommendation.then
    )


def _once_read(recommendation: Recommendation) -> str:
    """What is to be expected once the next piece is read and put right by, where that is more."""
    now, then = per_cent(recommendation.probability), per_cent(recommendation.then)
    better = recommendation.then > recommendation.probability and now != then
    return f"; once it is measured, {then} is to be expected" if better else ""


_PIECE_PAYS = (
    "Cut another test piece before so many parts: {sure} of them would be inside every limit, and"
    " one piece more is likely to save more than it costs."
)
_EASING_PAYS = "To ease those costs less than another test piece."

_NEXT: Mapping[NextStep, str] = {
    "cut parts": "Cut the parts: {sure} of them will be inside every limit{misses}.",
    "another test piece": (
        "Cut another test piece: {then} {only}{sure} of parts would be inside every limit."
    ),
    "measure again": (
        "{measure} before anything else is cut: {readings}. It costs no wood;"
        " as it stands {sure} of parts would be inside every limit."
    ),
}

_HOLDS_BACK: Mapping[Reason, str] = {
    "scatter": "differs too much from piece to piece, by what shop.yaml and the recipe say",
    "instrument": "is read too roughly for its limits, by what shop.yaml says of its instrument",
}

_CURES: Mapping[Reason, str] = {
    "scatter": (
        "{0} differs more from piece to piece than its limits allow. Hold the work harder against"
        " stop and fence, true up the stock, or allow more."
    ),
    "pieces or readings": (
        "{0} differs more from piece to piece than its limits allow. Read it once more on this"
        " piece. If it reads the same, the pieces differ: hold the work harder against stop and"
        " fence, true up the stock. If not, the readings do: brush off chips and fuzz, hold the"
        " instrument square, or take a finer one. Or allow more."
    ),
    "unsteady readings": (
        "{0} reads otherwise each time that one piece is read, by more than its limits allow. Brush"
        " off chips and fuzz, hold the instrument square, or take a finer one, or allow more."
    ),
    "no setting": (
        "{0} hangs on no setting, it comes out as the cutter leaves it. See that the cutter is the"
        " one that is meant, sharp and square to the work, or take one that cuts to size, or allow"
        " more."
    ),
    "finest move": (
        "{0} cannot be moved finely enough. Use a shim or a finer adjuster on it, or allow more."
    ),
    "re-setting": (
        "{0} does not come back closely enough each time it is set. Clamp a block to it before it"
        " is moved, or set it with a set-up block, or allow more."
    ),
    "drift": (
        "{0} creeps: each piece is further out than the last. Find out why it slips, clamp it"
        " and set it again to its figure. If it was moved and the readings did not follow,"
        " something else cuts there: look at that first."
    ),
    "blanks": (
        "{0} are too small for this part. Cut new ones; these still serve for smaller parts or as"
        " test pieces."
    ),
    "instrument": (
        "{0} cannot be read closely enough. Measure it with a finer instrument, or allow more."
    ),
    "never measured": (
        "{0} was never measured, so nobody knows how it comes out. Measure it on a test piece."
    ),
}

_SAID_CURES: Mapping[Reason, str] = {
    **_CURES,
    "scatter": (
        "By what shop.yaml, the recipe and earlier set-ups say, {0} will differ more from piece to"
        " piece than its limits allow; what was read does not show it. Hold the work harder against"
        " stop and fence, true up the stock, or allow more; or correct what is said."
    ),
}


def reach_words(reach: BestChance, titles: Mapping[str, str]) -> str:
    """What can be reached at best, before the first cut; what holds it back and would cure it."""
    best = f"at best {per_cent(reach.attainable)} right"
    if reach.limit is None:
        return best
    subject = titles[reach.limit.subject]
    why = f"{subject} {_HOLDS_BACK[reach.limit.reason]}"
    cure = f"; limits {reach.wider:g} times as wide would do" if reach.wider else ""
    return f"{best}: {why}{cure}"


def _misses(misses: Misses | None) -> str:
    """What becomes of the parts that are not inside every limit, where it is more than that they
    are spoilt: `; about 1 in 20 will need easing, fewer than 1 in 100 spoilt`."""
    if misses is None or misses.eased + misses.unseen < _WORTH_TELLING:
        return ""
    shares = {_EASED: misses.eased, _UNSEEN: misses.unseen}
    told = {words: share for words, share in shares.items() if share >= _WORTH_TELLING}
    told = told or {f"{_EASED} or {_UNSEEN.removeprefix('will ')}": misses.eased + misses.unseen}
    said = ", ".join(f"{_so_many(share)} {words}" for words, share in told.items())
    return f"; {said}, {_so_many(misses.spoilt)} spoilt"


_EASED, _UNSEEN = "will need easing", "will be out where it does not show"


_WORTH_TELLING = 0.01


def _so_many(share: float) -> str:
    """A share as a maker counts: `about 1 in 20`, `about 3 in 10`, `nearly all`, `fewer than 1 in
    100`."""
    if share < _WORTH_TELLING:
        return "fewer than 1 in 100"
    if share >= _NEARLY_ALL:
        return "nearly all"
    if share > _OF_TEN:
        return f"about {round(10 * share)} in 10"
    return f"about 1 in {min(_COUNTS, key=lambda count: abs(1 / count - share))}"


_NEARLY_ALL, _OF_TEN = 0.95, 0.275
_COUNTS = (4, 5, 6, 7, 8, 10, 12, 15, 20, 25, 30, 40, 50, 70, 100)


def short_of(share: float, asked: float) -> str:
    """A share beside the one that is asked for: told as just under it where both are told alike."""
    told = per_cent(share)
    return f"{_JUST_UNDER}{told}" if share < asked and told == per_cent(asked) else told


_JUST_UNDER = "just under "


def per_cent(probability: float) -> str:
    """A probability without ever claiming certainty either way."""
    rounded = round(100 * probability)
    if rounded >= 100:
        return "over 99 %"
    return f"{rounded} %" if rounded > 0 else "under 1 %"
