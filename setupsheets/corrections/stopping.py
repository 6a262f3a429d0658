"""What next: cut the parts, measure again, cut another test piece, or stop because it is no use.

Never an endless loop: after MOST_PIECES test pieces the answer is parts or `out of reach`.
All lengths are floats in millimetres.
"""

from collections import Counter
from collections.abc import Sequence
from typing import Literal

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from setupsheets.corrections.advice import MOVE_WORTH, Advice, describe
from setupsheets.corrections.belief import Belief
from setupsheets.corrections.explain import suspect_readings
from setupsheets.corrections.limiting import (
    LimitingFactor,
    drifting,
    limited_by_scatter,
    limiting_factor,
    plainly_differing,
    unreachable,
    with_unread,
)
from setupsheets.corrections.lookahead import Ahead, look_ahead
from setupsheets.corrections.normal import Array
from setupsheets.corrections.observations import InstrumentModel, TestPiece
from setupsheets.corrections.prediction import Misses, predict_parts
from setupsheets.corrections.preposterior import (
    ExpectedInformation,
    ReadingOption,
    expected_information,
)
from setupsheets.corrections.search import (
    MoveSearch,
    best_moves,
    move_search,
    of_what_is_told,
    other_moves,
)
from setupsheets.corrections.shown import names_read

THRESHOLD = 0.9  # where a shop says nothing else
MOST_PIECES = 8
MOST_READINGS = 3
_OFTEN_ASKED = 4  # pieces of which nothing was taken twice: it is not asked for any more

# Common practice, no source; tests/benchmarks/independent_shop shows what they come to.
_WORTH_READING = 0.002  # chance that readings must gain on average, where a piece would follow
_COARSE = 0.25  # share of a limit from which an instrument's spread has a reading taken twice
_DOUBT = 0.5  # share of the misses that a shop allows up to which no reading is taken twice
_ENOUGH_CHANCE = 0.05  # chance that parts can be cut after them
_MOVE_COST = 0.004  # chance that one more move must gain two pieces ahead
# Chance that a piece cut with nothing moved must gain.
_IDLE_COST = 0.12
_NEARLY = 0.05  # chance that is not worth another piece where what was asked for is out of reach
_OUT = 0.5  # share of its limit from which something is out and is put right all the same
_MISSES_EASED = 1.5  # times as many misses as asked for that are cut where they can be eased
_NO_WORSE = 0.005  # chance that moves may lose where they land, for what is seen after them
_AS_FAR = 0.75  # share of one move that another is as far as
_HARDLY = 1e-6  # share of misses that counts as none
_SURELY_MISREAD = 0.95  # chance from which a reading is left out of account, not taken again

NextStep = Literal["cut parts", "measure again", "another test piece", "out of reach"]


class CostsInMinutes(Struct, frozen=True):
    """What things cost, in minutes: a further test piece, a move, one part eased by hand or spoilt;
    and how many parts there are to cut."""

    parts: int
    test_piece: float
    re_setting: float
    easing: float
    spoilt: float


class Recommendation(Struct, frozen=True):
    """What to do next, and why.

    probability is for a part cut now, after the advised moves, to be inside every limit, asked what
    the shop asks for.
    readings are what to measure again; limit says what puts it out of reach, where it is; tells
    names the measurement that a piece cut with nothing moved is to tell of. misses is what becomes
    of parts then, eased says that they are cut because easing some costs less than a test piece.
    then is the chance to expect once the next piece is read; of a piece cut with nothing moved the
    chance that the parts can be cut then. pays: it is cut though the parts are as sure as is asked,
    for it costs less than what it is likely to save.
    """

    kind: NextStep
    probability: float
    readings: tuple[ReadingOption, ...] = ()
    limit: LimitingFactor | None = None
    tells: str = ""
    misses: Misses | None = None
    eased: bool = False
    then: float = 0.0
    pays: bool = False
    asked: float = THRESHOLD


def recommend(
    belief: Belief,
    *,
    threshold: float = THRESHOLD,
    options: Sequence[ReadingOption] = (),
    costs: CostsInMinutes | None = None,
) -> tuple[Advice, Recommendation]:
    """The moves to make now and what to do after them.

    options are readings that can still be taken from the last piece; none of them is asked for
    more than MOST_READINGS times, the blank's size once, and what was not read of the first piece
    is not asked for on the next. Parts are never cut before the first test piece. costs decide
    beside the threshold, where they are known, both ways: see `_easing_pays` and `_piece_pays`.
    """
    parts = predict_parts(belief)
    search = move_search(belief, parts, MOVE_WORTH)
    told = of_what_is_told(search, belief)
    moves = best_moves(told)
    advice = describe(belief, parts, moves)
    count, to_come = len(belief.read), _to_come(belief, options)
    left_alone = describe(belief, parts, 0 * moves)
    can_read = _open(belief, options)
    ready = _ready(belief, search, advice, moves, to_come, threshold, costs) if count else None
    if not ready and count and costs and _easing_pays(left_alone, costs, threshold):
        sure, misses = left_alone.probability, left_alone.misses
        ready, advice = Recommendation("cut parts", sure, misses=misses, eased=True), left_alone
    sizes = _telling_wood_from_iron(belief, search, moves, can_read)
    if ready:
        unsure = not ready.pays and 1 - ready.probability > _DOUBT * (1 - threshold)
        once = _read_once(belief, advice, can_read) if unsure else ()
        if first := (sizes if advice.amounts else ()) or once:
            return left_alone, Recommendation("measure again", left_alone.probability, first)
        return advice, ready
    if limit := drifting(belief, parts) or plainly_differing(belief, parts):
        return left_alone, _out_of_reach(belief, limit, left_alone)
    if limit := limited_by_scatter(belief, parts, threshold):
        if not count or _as_good_as_it_gets(left_alone, search, limit):
            return left_alone, _out_of_reach(belief, limit, left_alone)
        threshold = limit.attainable - _NEARLY
    if sizes:
        return left_alone, Recommendation("measure again", left_alone.probability, sizes)
    if doubtful := _doubtful(belief, can_read):
        return left_alone, Recommendation("measure again", left_alone.probability, doubtful)
    again = expected_information(belief, parts, moves, can_read, threshold)
    if not again or not _worth_reading(again, search, moves):
        found = _another_piece(belief, search, told, moves, to_come, threshold)
        # Where otherwise a piece is cut with nothing moved, it is read first: that costs no wood.
        # It tells nothing of what nobody has read yet. And so it is where what would be moved is
        # right by no account, as half the way between two is.
        idle = found[1].tells in names_read(belief)
        if not again or not (idle or _in_vain(belief, search, found[0], again)):
            return found
    # Nothing is to be moved before it is read: the moves are not told.
    return left_alone, Recommendation("measure again", left_alone.probability, again.options)


def _ready(
    belief: Belief,
    search: MoveSearch,
    advice: Advice,
    moves: Array,
    to_come: Sequence[ReadingOption],
    threshold: float,
    costs: CostsInMinutes | None,
) -> Recommendation | None:
    """That the parts are cut, or what a further piece saves although they could be; None where they
    are not sure enough to be cut."""
    sure = advice.probability
    if sure < threshold:
        return None
    if costs and to_come and len(belief.read) < MOST_PIECES:
        (ahead,) = look_ahead(belief, search, [moves], to_come, threshold)
        now = max(sure, float(search.parts.likely(moves[None])[0]))
        if _piece_pays(advice, costs, now, ahead.after):
            return Recommendation("another test piece", sure, then=ahead.after, pays=True)
    return Recommendation("cut parts", sure, misses=advice.misses)


def _easing_pays(left_alone: Advice, costs: CostsInMinutes, threshold: float) -> bool:
    """Whether parts are cut although fewer are right than asked for: as many as that can be used,
    at most half as many again as that allows lie outside a limit, and what they cost is less than
    what another test piece costs before it has bettered anything. Only as it stands: where a move
    has landed is seen before all parts hang on it."""
    misses = left_alone.misses
    if 1 - misses.spoilt < threshold or 1 - misses.right > _MISSES_EASED * (1 - threshold):
        return False
    return _lost(misses, costs) < costs.test_piece


def _lost(misses: Misses, costs: CostsInMinutes) -> float:
    """What the parts that will be out are likely to cost, in minutes."""
    return costs.parts * (misses.eased * costs.easing + misses.spoilt * costs.spoilt)


def _piece_pays(advice: Advice, costs: CostsInMinutes, now: float, after: float) -> bool:
    """Whether another test piece costs less than it is likely to save: of what misses cost the
    share that it does away with, where the parts' chance is `now` and `after` it."""
    saved = max(0.0, 1 - (1 - after) / max(1 - now, _HARDLY))
    spent = costs.test_piece + costs.re_setting * len(advice.amounts)
    return saved * _lost(advice.misses, costs) > spent


def _as_good_as_it_gets(stands: Advice, search: MoveSearch, limit: LimitingFactor) -> bool:
    """Whether parts come out, as it stands, nearly as well as they ever will, or nothing is out
    that could be put right: till then it is, although it will not be enough."""
    if stands.probability >= limit.attainable - _NEARLY:
        return True
    parts, movable = search.parts, np.abs(search.parts.h) @ search.movable > 0
    mean = np.array([each.mean for each in stands.expected])
    out = (mean < parts.low * _OUT) | (mean > parts.high * _OUT)
    return not (out & movable).any()


def _another_piece(
    belief: Belief,
    search: MoveSearch,
    told: MoveSearch,
    moves: Array,
    to_come: Sequence[ReadingOption],
    threshold: float,
) -> tuple[Advice, Recommendation]:
    """What to move before the next piece, or what keeps it from being worth cutting.

    moves (n) are those that are best if no piece follows; told is the search for what may be moved
    now, search for what may be once the next piece is read.
    """
    advice, left = describe(belief, search.parts, moves), MOST_PIECES - len(belief.read)
    settled = search.beyond_doubt(moves)
    if left > 0 and not to_come:
        return advice, Recommendation("another test piece", advice.probability)
    limit = unreachable(belief, search, to_come, threshold, left) if left > 0 else None
    stands = describe(belief, search.parts, 0 * moves)
    if limit and not _as_good_as_it_gets(stands, search, limit):
        threshold, limit = limit.attainable - _NEARLY, None
    if limit or left <= 0:
        # No piece follows that would show a doubtful move: it is not made.
        advice = describe(belief, search.parts, settled)
        limit = limit or limiting_factor(belief, search.parts, settled, advice.probability)
        return advice, _out_of_reach(belief, limit, advice)
    tried = np.array([moves, settled, *other_moves(told)])
    chances = search.parts.likely(tried)
    no_worse = chances >= search.parts.likely(0 * moves[None]) - _NO_WORSE
    each_once = list({one.tobytes(): one for one in tried[no_worse]}.values())
    ahead = look_ahead(belief, search, each_once, to_come, threshold)
    best = max(ahead, key=_net_worth)
    advice = describe(belief, search.parts, best.moves)
    least = min(advice.expected, key=lambda each: each.probability, default=None)
    tells = least.measurement if least and not best.moves.any() else ""
    then = best.enough if tells else best.after
    return advice, Recommendation("another test piece", advice.probability, tells=tells, then=then)


def _telling_wood_from_iron(
    belief: Belief, search: MoveSearch, moves: Array, options: Sequence[ReadingOption]
) -> tuple[ReadingOption, ...]:
    """The sizes of the blank to read first, where they may be what a dial is to be moved for: alone
    where they may be out by more than the limits, else where two dials would be moved alike."""
    parts, doubted = search.parts, np.where(search.beyond_doubt(moves) == moves, 0.0, moves)
    if not doubted.any() or not options:
        return ()
    shared = (parts.h * moves).any(axis=1)  # measurements that a moved cause is in
    taken, found = _names_read(belief.pieces[-1]), []
    for option in options:
        size = _blank_size(belief, option)
        if size and option.measurement not in taken:
            at = belief.index(size)
            off = belief.sd(size) * np.abs(parts.h[:, at])
            dials = np.where(np.arange(len(moves)) == at, 0.0, doubted)
            acts = parts.h[:, at] @ (parts.h * dials)  # of each dial where the size is in as well
            acts = acts[acts != 0]
            alike = len(acts) > 1 and _as_far(acts)
            if (off[shared] > parts.tolerance[shared]).any() or alike:
                found.append(option)
    return tuple(found)


def _as_far(acts: Array) -> bool:
    """Whether dials act the same way, and as far as each other but for a quarter."""
    far = np.abs(acts)
    return bool(abs(acts.sum()) == far.sum() and far.min() >= _AS_FAR * far.max())


def _blank_size(belief: Belief, option: ReadingOption) -> str:
    """The size of the blank that a reading tells by itself, as its length over all does; none where
    a dial is in it as well."""
    if option.blank:
        return option.measurement
    rows = belief.measurement(option.measurement).sensitivities
    (size, *others) = (name for name, share in rows.items() if share)
    wood = not others and belief.causes[belief.index(size)].kind == "blank"
    return size if wood else ""


def _doubtful(belief: Belief, options: Sequence[ReadingOption]) -> tuple[ReadingOption, ...]:
    """What of the last piece was likelier misread than not, though not surely: it is read again
    before anything is moved by it."""
    names = [
        each.measurement
        for each in suspect_readings(belief)
        if each.how == "misreading"
        and each.piece == len(belief.pieces) - 1
        and each.probability < _SURELY_MISREAD
    ]
    return tuple(option for option in options if option.measurement in names)


def _read_once(
    belief: Belief, advice: Advice, options: Sequence[ReadingOption]
) -> tuple[ReadingOption, ...]:
    """What is read a second time before parts are cut by it: measure twice, cut once. That is where
    the instrument is coarse for its limits and something was moved by what it read; what reads
    right as it was set has two accounts already."""
    if not advice.amounts and not any(piece.moves for piece in belief.pieces):
        return ()
    taken = _names_read(belief.pieces[-1])
    return tuple(
        option
        for option in options
        if taken.count(option.measurement) == 1
        and not option.blank
        and option.instrument.uncertainty > _COARSE * belief.measurement(option.measurement).limit
    )


def _worth_reading(again: ExpectedInformation, search: MoveSearch, moves: Array) -> bool:
    """Whether readings come before any move: they cost no wood.

    What is out beyond doubt is moved first: blanks a quarter long are trimmed, not read again.
    """
    parts, sure = search.parts, search.beyond_doubt(moves)
    if moves.any() and ((sure == moves).all() or (np.abs(parts.h @ sure) > parts.tolerance).any()):
        return False
    return again.enough >= _ENOUGH_CHANCE or again.after - again.now >= _WORTH_READING


def _in_vain(
    belief: Belief, search: MoveSearch, advice: Advice, again: ExpectedInformation
) -> bool:
    """Whether hardly a part is right after moves in doubt, where readings may settle that."""
    moves = np.array([advice.amounts.get(cause.name, 0.0) for cause in belief.causes])
    return advice.probability < _ENOUGH_CHANCE <= again.enough and search.in_doubt(moves)


def _net_worth(ahead: Ahead) -> float:
    """What moves promise, less what they cost; a piece cut with nothing moved costs most."""
    count = np.count_nonzero(ahead.moves)
    return ahead.worth - (_MOVE_COST * count if count else _IDLE_COST)


def _out_of_reach(belief: Belief, limit: LimitingFactor, advice: Advice) -> Recommendation:
    sure = advice.probability
    limit = with_unread(replace(limit, attainable=max(limit.attainable, sure)), belief)
    return Recommendation("out of reach", sure, limit=limit, misses=advice.misses)


def _open(belief: Belief, options: Sequence[ReadingOption]) -> list[ReadingOption]:
    """Leave out readings that were already taken often enough from the last piece.

    None is left once anything was moved: the piece no longer shows how the settings stand. What was
    not read of the first piece is not asked for on the next, the blank's size not on the third; nor
    is what was read once on each of four taken again. With the last piece there is an end.
    """
    count = len(belief.read)
    if not belief.pieces or not belief.pieces[-1].readings or count >= MOST_PIECES:
        return []
    taken = Counter(_names_read(belief.pieces[-1]))
    ever = [Counter(_names_read(piece)) for piece in belief.read]
    most = {name: max(each[name] for each in ever) for each in ever for name in each}
    return [
        o
        for o in options
        for known in [most.get(o.measurement, 0)]
        if taken[o.measurement] < (1 if o.blank else MOST_READINGS)
        and (known or count < (3 if o.blank else 2))
        and (known != 1 or count < _OFTEN_ASKED or not taken[o.measurement])
    ]


def _names_read(piece: TestPiece) -> list[str]:
    """What was read of a piece, by name; of its blank by the causes'."""
    return [r.measurement for r in piece.readings] + [b.cause for b in piece.blanks]


def _to_come(belief: Belief, options: Sequence[ReadingOption]) -> list[ReadingOption]:
    """How pieces still to be cut will be measured: as offered, as read so far, or alike.

    What was never read nor offered is taken to be read with the finest instrument used so far.
    """
    read = [r for p in belief.read for r in p.readings]
    tools: dict[str, InstrumentModel] = {r.measurement: r.instrument for r in read}
    tools |= {o.measurement: o.instrument for o in options if not o.blank}
    if not tools:
        return []
    finest = min(tools.values(), key=lambda tool: tool.uncertainty)
    return [ReadingOption(m.name, tools.get(m.name, finest)) for m in belief.measurements]
