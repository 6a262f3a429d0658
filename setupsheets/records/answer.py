"""What the test pieces of a record come to: what explains them, what to move, what to do next."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from msgspec import Struct, field
from msgspec.structs import replace

from setupsheets.corrections.advice import Advice, Move
from setupsheets.corrections.belief import Belief, Prior
from setupsheets.corrections.causes import Cause
from setupsheets.corrections.explain import Explanations, explain
from setupsheets.corrections.observations import MeasurementModel, TestPiece
from setupsheets.corrections.preposterior import ReadingOption
from setupsheets.corrections.roughness import Roughness
from setupsheets.corrections.shown import UnfollowedMove
from setupsheets.corrections.stopping import MOST_PIECES, CostsInMinutes, Recommendation, recommend
from setupsheets.corrections.untold import believe_as_told, likely_untold
from setupsheets.files.known_results import once_known
from setupsheets.joinery.fits.dry_fit import expected, findings
from setupsheets.joinery.frame.layout import Layout
from setupsheets.joinery.notes import Note
from setupsheets.lengths import Length, Unit
from setupsheets.machining.planning.dry_fit_set_up import measure_name
from setupsheets.records.costs import costs_of
from setupsheets.records.model import (
    dial_of,
    fine_step_of,
    measurements_of,
    options_of,
    pieces_of,
    shims_for,
)
from setupsheets.records.offset_history import OffsetHistory
from setupsheets.records.record import Record
from setupsheets.records.verdicts import Verdict
from setupsheets.shop.finding import Shop
from setupsheets.shop.machines import FineBy, MachineSetting


class Answer(Struct, frozen=True, eq=False):
    """What the readings of ``record`` say, and what to do.

    ``moved``: by cause, what doing as advised would move, exactly: nothing while it is ``held``,
    and no dial to where it cannot stand; ``beyond`` by cause what the readings ask of those dials,
    where they show that it was moved when it was, ``slipped`` of which were looked at and stand
    where they are said to stand; ``shims`` by cause what a move is made of, where it is finer than
    the dial's marks, strips of ``paper`` in a shop without shims; ``dials`` by cause the dial,
    where that is still there.
    """

    record: Record
    explanations: Explanations
    advice: Advice
    recommendation: Recommendation
    moved: Mapping[str, Length]
    dials: Mapping[str, MachineSetting]
    shims: Mapping[str, tuple[Length, ...]] = field(default_factory=dict)
    beyond: Mapping[str, Length] = field(default_factory=dict)
    paper: bool = False

    @property
    def errors(self) -> Mapping[str, Length]:
        """By cause, how far off it is expected to be after the moves."""
        return {
            move.cause.name: Length.from_float(
                move.expected + (move.amount if move.cause.name in self.moved else 0)
            )
            for move in self.advice.moves
        }

    @property
    def settled(self) -> bool:
        """Whether it is said what was done about the last piece, otherwise than advised: a further
        move would be kept nowhere, and the next piece tells what is to be moved."""
        open_yet = self.record.verdict is not Verdict.PROVED and bool(self.record.pieces)
        return open_yet and self.record.pieces[-1].answered and bool(self.moved)

    @property
    def held(self) -> bool:
        """Whether nothing is to be moved before something is measured again or looked at."""
        return self.measured_again or bool(self.unfollowed) or bool(self.slipped)

    @property
    def slipped(self) -> tuple[str, ...]:
        """Of the dials that are asked for a figure where they cannot stand, those that were looked
        at: they show another figure than they cut by."""
        return tuple(cause for cause in self.beyond if self.record.setting(cause).looked_at)

    @property
    def measured_again(self) -> bool:
        """Whether something of the piece is to be measured again, or a dial to be looked at."""
        return self.recommendation.kind == "measure again" or bool(self.to_look_at)

    @property
    def to_look_at(self) -> tuple[str, ...]:
        """The dials that are asked for a figure where they cannot stand, and that nobody has looked
        at yet."""
        return tuple(cause for cause in self.beyond if cause not in self.slipped)

    @property
    def unfollowed(self) -> tuple[UnfollowedMove, ...]:
        """The moves before this piece that it does not show: they are looked at before anything is
        moved, and what reads so is measured again first where it is likely misread."""
        return _unfollowed(self.explanations, self.recommendation)

    @property
    def right(self) -> bool:
        """Whether every measure is expected inside its limits once that is done, as far as it is
        known: what is told to be its target give or take is not told to be out elsewhere."""
        measures = {measure.name: measure for measure in self.record.measures}
        expected = self.advice.expected
        return all(
            abs(each.mean) <= each.sd
            or measures[each.measurement].allows(Length.from_float(each.mean))
            for each in expected
        )

    @property
    def creeping(self) -> tuple[str, ...]:
        """The causes that come out further off with every piece, and are to be moved or never
        were: whatever is cut so goes on from there."""
        return _creeping(self.explanations, self.moved, self.record)

    @property
    def left_alone(self) -> tuple[str, ...]:
        """The causes that are not to be moved."""
        return tuple(move.cause.name for move in self.advice.moves if move.leave_alone)

    @property
    def by_shims(self) -> tuple[str, ...]:
        """The causes that are to be moved by shims."""
        return tuple(self.shims)

    @property
    def again(self) -> tuple[str, ...]:
        """The measures to read once more before anything else is cut: all where a dial is to be
        looked at."""
        if self.to_look_at:
            return tuple(measure.name for measure in self.record.measures)
        return tuple(dict.fromkeys(each.measurement for each in self.recommendation.readings))

    @property
    def at_an_end(self) -> bool:
        """Whether nothing that is read in this record brings its parts any further: what is cut
        once that is cured belongs to a record of its own."""
        limit = self.recommendation.limit
        if limit is None or limit.said or limit.reason == "never measured":
            return False
        return limit.reason in _STAYS or len(self.record.pieces) >= MOST_PIECES

    @property
    def ready(self) -> bool:
        """Whether the parts can be cut so."""
        return self.recommendation.kind == "cut parts" and not self.beyond


_STAYS = frozenset({"scatter", "pieces or readings", "unsteady readings", "no setting", "drift"})
"""What puts parts out of reach by what was read, and goes on doing so whatever is read besides."""


class DryFitAnswer(Struct, frozen=True):
    """What a dry fit says: it moves no setting, it finds what is out, or that all is well."""

    findings: tuple[Note, ...]
    moved: Mapping[str, Length] = field(default_factory=dict)
    errors: Mapping[str, Length] = field(default_factory=dict)
    again: tuple[str, ...] = ()
    to_look_at: tuple[str, ...] = ()
    by_shims: tuple[str, ...] = ()

    @property
    def ready(self) -> bool:
        """Whether the leaf can be glued up."""
        return not self.findings


BelievedFrom = tuple[
    Sequence[Cause],
    Sequence[MeasurementModel],
    Sequence[TestPiece],
    Sequence[bool],
    Prior,
    tuple[Roughness, ...],
]


def belief_of(record: Record, shop: Shop, history: OffsetHistory) -> Belief:
    """What a record's test pieces say of every cause, on top of what its machines are known by."""
    return believe_as_told(*believed_from(record, shop, history))


def believed_from(record: Record, shop: Shop, history: OffsetHistory) -> BelievedFrom:
    """All that this hangs on, as `believe_as_told` takes it."""
    causes = history.causes(record, shop)
    prior = history.prior(record, causes, shop)
    pieces, shops = pieces_of(record, shop), history.shops(shop)
    told = [True, *(piece.answered for piece in record.pieces)][: len(pieces)]
    return causes, measurements_of(record, shop), pieces, told, prior, shops


def answer(
    record: Record, layout: Layout, shop: Shop, history: OffsetHistory
) -> Answer | DryFitAnswer:
    """What a record's test pieces come to, at the shop's threshold; ``layout`` is its job's.

    Raises DataFaults for a reading of something unknown, or with an instrument that is not there.
    """
    if record.is_dry_fit:
        return DryFitAnswer(_dry_fit_findings(record, layout, shop.settings.unit))
    last = record.pieces[-1] if record.pieces else None
    if last and last.answered and last.moved and last.moved == last.advised:
        undone = replace(last, moved={}, by_shims=(), answered=False)
        told = _told(replace(record, pieces=(*record.pieces[:-1], undone)), shop, history)
        if told.moved == last.moved:
            return _once_done(told, record)
    return _told(record, shop, history)


def _once_done(told: Answer, record: Record) -> Answer:
    """An answer once all that it advised is done, in its ``record`` by then: nothing is left to
    move until something is read again."""
    moves = tuple(
        replace(move, amount=0.0, expected=move.expected + move.amount)
        for move in told.advice.moves
    )
    advice = replace(told.advice, moves=moves, untouched=told.advice.probability)
    return replace(told, record=record, advice=advice, moved={}, shims={})


def _told(record: Record, shop: Shop, history: OffsetHistory) -> Answer:
    """What the pieces of a record come to by themselves."""
    advice, recommendation, explanations = _concluded(
        believed_from(record, shop, history),
        float(shop.settings.sure_enough),
        options_of(record, shop),
        costs_of(record, shop),
    )
    found = {setting.cause: dial_of(setting, shop) for setting in record.settings}
    dials = {cause: dial for cause, dial in found.items() if dial is not None}
    moves = [move for move in advice.moves if not move.leave_alone]
    shims = {
        move.cause.name: shims_for(move.amount, shop) if _by_shims(move, dials) else ()
        for move in moves
        if move.fine
    }
    amounts = {
        move.cause.name: _amount(move, dials, shims.get(move.cause.name), shop) for move in moves
    }
    recommendation = _first_things_first(recommendation, explanations, amounts, record)
    unfollowed = _unfollowed(explanations, recommendation)
    hidden = {move.cause.name for move in unfollowed}
    beyond = {
        cause: amount
        for cause, amount in amounts.items()
        if cause in dials and cause not in hidden
        if not _can_stand(record.dialled(cause), amount, dials[cause])
    }
    full = Answer(
        record=record,
        explanations=explanations,
        advice=advice,
        recommendation=recommendation,
        moved=amounts,
        dials=dials,
        shims=shims,
        beyond=beyond,
        paper=not shop.settings.shims,
    )
    return replace(full, moved={}, shims={}) if full.held else full


def _dry_fit_findings(record: Record, layout: Layout, unit: Unit) -> tuple[Note, ...]:
    """What the last readings of a dry fit say is out; nothing where all is within the tolerance
    that a shop of that ``unit`` has."""
    names = {measure_name(item): item.name for item in expected(layout, unit)}
    found: dict[str, Length] = {}
    for reading in record.pieces[-1].counted if record.pieces else ():
        if reading.found is not None and reading.of in names:
            found[names[reading.of]] = reading.found
    return findings(layout, found, unit)


@once_known(most=200)
def _concluded(
    told: BelievedFrom,
    threshold: float,
    options: Sequence[ReadingOption],
    costs: CostsInMinutes | None,
) -> tuple[Advice, Recommendation, Explanations]:
    """What a belief comes to, from all that it hangs on."""
    belief = believe_as_told(*told)
    advice, found = recommend(belief, threshold=threshold, options=options, costs=costs)
    return advice, replace(found, asked=threshold), explain(belief)


def _first_things_first(
    recommendation: Recommendation,
    explanations: Explanations,
    moved: Collection[str],
    record: Record,
) -> Recommendation:
    """The same, but that no parts are cut while a setting creeps, and that a move that does not
    show is looked at before its piece is read again, unless that is likely misread."""
    doubted = {each.piece for each in explanations.readings}
    hidden = bool(explanations.unfollowed) and len(record.pieces) - 1 not in doubted
    creeps = bool(_creeping(explanations, moved, record)) and len(record.pieces) < MOST_PIECES
    at_first = {"measure again": hidden, "cut parts": creeps}
    if at_first.get(recommendation.kind):
        return replace(recommendation, kind="another test piece", readings=())
    return recommendation


def _unfollowed(
    explanations: Explanations, recommendation: Recommendation
) -> tuple[UnfollowedMove, ...]:
    goes_on = recommendation.kind in {"another test piece", "measure again"}
    return explanations.unfollowed if goes_on else ()


_PLAINLY = 0.9  # probability from which what creeps is clamped though it is not out yet


def _creeping(
    explanations: Explanations, moved: Collection[str], record: Record
) -> tuple[str, ...]:
    """What is to be moved and would likely creep away again, by all accounts together, and what
    plainly creeps and was left alone so far: what was moved since has been seen to stay."""
    left = {setting.cause for setting in record.settings} - {*record.moves}
    chance = dict[str, float]()
    for account in explanations.ranked:
        for each in account.causes:
            if each.how == "drift":
                name = each.cause.name
                chance[name] = chance.get(name, 0.0) + account.probability
    return tuple(
        cause
        for cause, likely in chance.items()
        if (likely > 0.5 and cause in moved) or (likely > _PLAINLY and cause in left)
    )


def untold(record: Record, shop: Shop, history: OffsetHistory) -> Mapping[str, Length]:
    """By cause, what was likely moved before the last piece though nobody has said so, as it can be
    moved."""
    moved = likely_untold(belief_of(record, shop, history))
    dials = {setting.cause: dial_of(setting, shop) for setting in record.settings}
    found = {}
    for cause, amount in moved.items():
        exact, dial = Length.from_float(amount), dials.get(cause)
        found[cause] = dial.nearest(exact) if dial else shop.settings.notation.round(exact)
    return {cause: amount for cause, amount in found.items() if amount}


def _by_shims(move: Move, dials: Mapping[str, MachineSetting]) -> bool:
    dial = dials.get(move.cause.name)
    return dial is None or dial.fine_by is FineBy.SHIMS


def _can_stand(figure: Length, amount: Length, dial: MachineSetting) -> bool:
    """Whether a dial that stands at a figure can be moved so far: not below nought, nor past its
    greatest figure."""
    then = figure + amount
    return then >= Length.ZERO and (dial.greatest is None or then <= dial.greatest)


def _amount(
    move: Move,
    dials: Mapping[str, MachineSetting],
    shims: tuple[Length, ...] | None,
    shop: Shop,
) -> Length:
    """A move as it can be made: of a dial by its finest moves or shims, of blanks by marks."""
    amount = Length.from_float(move.amount)
    if move.cause.kind == "blank":
        return shop.settings.notation.round(amount)
    if shims:
        together = sum(shims, Length.ZERO)
        return together if amount > Length.ZERO else -together
    dial = dials.get(move.cause.name)
    if shims is not None:
        return amount.rounded_to(fine_step_of(dial, shop))
    return dial.nearest(amount) if dial else amount
