"""From a record to what a maker is told: what explains the readings, what to do, what next."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from setupsheets.corrections.advice import Advice, Move
from setupsheets.corrections.belief import Belief, believe
from setupsheets.corrections.explain import explain
from setupsheets.corrections.stopping import recommend
from setupsheets.corrections.words import per_cent, word_explanations, word_verdict
from setupsheets.lengths import Length, Notation
from setupsheets.records.dry_fit import dry_fit_lines, is_dry_fit
from setupsheets.records.memory import Memory
from setupsheets.records.model import (
    cause_title,
    causes_of,
    dial_of,
    measurements_of,
    options_of,
    pieces_of,
)
from setupsheets.records.record import Record
from setupsheets.shop.finding import Shop


@dataclass(frozen=True)
class Change:
    """One thing to do: move a setting from ``old`` to ``new``, or make the blanks different."""

    cause: str
    title: str
    amount: Length
    words: str
    old: Length | None = None
    new: Length | None = None


@dataclass(frozen=True)
class Outcome:
    """How one measure of parts cut after the changes will come out."""

    title: str
    target: Length
    expected: Length
    give_or_take: Length
    probability: float


@dataclass(frozen=True)
class Answer:
    """All that the test pieces of a record come to.

    ``probability`` is that of a part cut after the changes being right everywhere; ``now`` the same
    with nothing changed. ``next`` says what to do next and why, in words. ``errors``: by cause, how
    far off it is expected to be after the changes; ``again`` names the measures to read once more.
    """

    explanations: tuple[str, ...]
    changes: tuple[Change, ...]
    left_alone: tuple[str, ...]
    outcomes: tuple[Outcome, ...]
    probability: float
    now: float
    verdict: str
    next: tuple[str, ...]
    errors: Mapping[str, Length] = field(default_factory=dict)
    again: tuple[str, ...] = ()

    @property
    def moved(self) -> Mapping[str, Length]:
        """What doing as advised would move, by cause."""
        return {change.cause: change.amount for change in self.changes}

    @property
    def advice(self) -> tuple[str, ...]:
        """What to do, what to leave alone and what next: what a record keeps of the answer."""
        leave = (f"leave alone: {', '.join(self.left_alone)}",) if self.left_alone else ()
        return (*(change.words for change in self.changes), *leave, *self.next)

    def lines(self, notation: Notation) -> tuple[str, ...]:
        """The answer as a maker reads it."""
        outcomes = (
            f"{item.title}: {notation.mark(item.expected)} give or take "
            f"{notation.small(item.give_or_take)} (to be {notation.show(item.target)})"
            for item in self.outcomes
        )
        leave = (f"leave alone: {', '.join(self.left_alone)}",) if self.left_alone else ()
        sure = (f"all of them right: {per_cent(self.probability)}",) if self.outcomes else ()
        sections = (
            ("What explains it:", self.explanations),
            ("What to do:", (*(change.words for change in self.changes), *leave)),
            ("What to expect then:", (*outcomes, *sure)),
            ("Next:", self.next),
        )
        return tuple(
            line
            for title, found in sections
            if found
            for line in (title, *(f"  {each}" for each in found))
        )


def belief_of(record: Record, shop: Shop, memory: Memory) -> Belief:
    """What a record's test pieces say of every cause, on top of what its machines are known by."""
    causes = causes_of(record, shop, memory)
    prior = memory.prior(record, causes)
    return believe(causes, measurements_of(record), pieces_of(record, shop), prior)


def answer(record: Record, shop: Shop, memory: Memory) -> Answer:
    """What a record's test pieces come to, in the shop's notation and at its threshold."""
    if is_dry_fit(record):
        return _dry_fit_answer(record, shop)
    belief = belief_of(record, shop, memory)
    advice, verdict = recommend(
        belief, threshold=float(shop.settings.sure_enough), options=options_of(record, shop)
    )
    notation = shop.settings.notation

    def show(amount: float) -> str:
        return notation.mark(Length.from_float(amount))

    changes = tuple(_change(move, record, shop) for move in advice.moves if not move.leave_alone)
    return Answer(
        explanations=tuple(word_explanations(explain(belief), belief, show)),
        changes=changes,
        left_alone=tuple(cause_title(m.cause.name) for m in advice.moves if m.leave_alone),
        outcomes=_outcomes(record, advice),
        probability=advice.probability,
        now=advice.untouched,
        verdict=verdict.kind,
        next=(word_verdict(verdict, belief),),
        again=tuple(dict.fromkeys(each.measurement for each in verdict.readings)),
        errors={
            move.cause.name: Length.from_float(move.expected + move.amount) for move in advice.moves
        },
    )


def _dry_fit_answer(record: Record, shop: Shop) -> Answer:
    """A dry fit moves no setting: it says which parts to look at, or that all is well."""
    out = dry_fit_lines(record, shop)
    right = float(not out)
    return Answer(
        explanations=out or ("Everything that was measured is within tolerance.",),
        changes=(),
        left_alone=(),
        outcomes=(),
        probability=right,
        now=right,
        verdict="look at the parts" if out else "cut parts",
        next=("Put that right and measure again before any glue.",) if out else ("Glue up.",),
    )


def _outcomes(record: Record, advice: Advice) -> tuple[Outcome, ...]:
    measures = {measure.name: measure for measure in record.measures}
    return tuple(
        Outcome(
            title=measures[item.measurement].title,
            target=measures[item.measurement].target,
            expected=measures[item.measurement].target + Length.from_float(item.mean),
            give_or_take=Length.from_float(item.sd),
            probability=item.probability,
        )
        for item in advice.expected
    )


def _change(move: Move, record: Record, shop: Shop) -> Change:
    if move.cause.kind == "blank":
        return _blank_change(move, shop.settings.notation)
    setting = next(item for item in record.settings if item.cause == move.cause.name)
    dial = dial_of(setting, shop)
    exact = Length.from_float(move.amount)
    amount = (dial.nearest(exact) if dial else exact) or exact
    old = record.dialled(move.cause.name)
    notation = shop.settings.notation

    def told(figure: Length) -> str:
        return notation.dialled(figure, dial.finest) if dial else notation.show(figure)

    words = (
        f"{move.cause.title} on the {setting.machine}: from {told(old)} to "
        f"{told(old + amount)} ({told(abs(amount))}, "
        f"{move.cause.more if amount > Length.ZERO else move.cause.less})"
    )
    if old + amount < Length.ZERO <= old:
        words += "; no dial goes below nought: measure again before anything is moved"
    return Change(move.cause.name, move.cause.title, amount, words, old, old + amount)


def _blank_change(move: Move, notation: Notation) -> Change:
    """Blanks can be trimmed; where they are too small only the next ones can be made larger."""
    amount = notation.round(Length.from_float(move.amount))
    by = notation.show(abs(amount))
    if amount < Length.ZERO:
        words = f"{move.cause.title}: trim the blanks already cut by {by}, and cut the next ones so"
    else:
        words = (
            f"{move.cause.title}: cut the next blanks {by} larger; those already cut are too small "
            "for this part and still serve as test pieces or shorter parts"
        )
    return Change(move.cause.name, move.cause.title, amount, words)
