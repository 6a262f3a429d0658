"""What can be reached at all, by reading, moving and more test pieces; and what limits it.

All lengths are floats in millimetres.
"""

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Literal

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from setupsheets.corrections.belief import Belief, piece_scatter, sensitivity_matrix
from setupsheets.corrections.explain import suspect_readings
from setupsheets.corrections.mixture import Mixture
from setupsheets.corrections.normal import Array, Flags, box_probability_quick
from setupsheets.corrections.prediction import PartsPrediction, predict_parts
from setupsheets.corrections.preposterior import ReadingOption
from setupsheets.corrections.search import MoveSearch, full_corrections
from setupsheets.corrections.shown import left_by_cutter, names_read, scatter_shown, too_wide

_LANDING_SDS = 2.0
"""How far off, in re-setting spreads, a setting may land after some tries: common practice, no
source."""
_IN_QUESTION = 0.1  # weight of the shops, or of an account, that may still be right
_ACCOUNTS = 4  # accounts of the readings that are looked at
_WIDER = (1.25, 1.5, 2.0, 3.0, 5.0, 10.0)  # times as wide limits that are tried
_NEVER_ALL = 0.999  # nothing is certain before the first cut
_TO_SEE_DRIFT = 3  # pieces
_LIKELY_DRIFT = 0.6  # chance from which it is named
_AS_LIKELY_AS_NOT = 0.5
_TOO_MUCH = 0.25  # variance in squares of the limit: two standard deviations just fit into it
_LEAST_TO_SETTLE = 2  # pieces: one alone proves nothing

Reason = Literal[
    "scatter",
    "pieces or readings",
    "unsteady readings",
    "no setting",
    "finest move",
    "re-setting",
    "instrument",
    "blanks",
    "drift",
    "never measured",
]
_DIFFERING: Mapping[str, Reason] = MappingProxyType(
    {"pieces": "scatter", "readings": "unsteady readings", "either": "pieces or readings"}
)


class LimitingFactor(Struct, frozen=True):
    """What limits the parts: why, in which measurement or cause it shows most, chance at best.

    The subject is a measurement for scatter, readings, instrument, what no setting moves and what
    was never measured, else a cause.
    said: the readings do not show it, only what was said of the shop beforehand. unread are other
    measurements that no piece was read for.
    """

    reason: Reason
    subject: str
    attainable: float
    said: bool = False
    unread: tuple[str, ...] = ()


def limited_by_scatter(
    belief: Belief, parts: PartsPrediction, threshold: float
) -> LimitingFactor | None:
    """Scatter, where parts would fail with every setting known and exactly right."""
    chance = _centred(parts, parts.scatter)
    return None if chance >= threshold else _of_scatter(belief, parts, chance)


def plainly_differing(belief: Belief, parts: PartsPrediction) -> LimitingFactor | None:
    """What the readings themselves show to differ too much, wherever it is set, or to be out
    whatever is set.

    It stays so whatever is made of the next piece, until its cause is found.
    """
    chance = _centred(parts, parts.scatter, _AS_LIKELY_AS_NOT)
    if out := left_by_cutter(belief):
        return LimitingFactor("no setting", out, chance)
    if (found := too_wide(belief)) is None:
        return None
    return LimitingFactor(_DIFFERING[found.by], found.measurement, chance)


def _of_scatter(belief: Belief, parts: PartsPrediction, attainable: float) -> LimitingFactor:
    """In which measurement scatter shows most: by its readings, from one piece to the next.

    Where they show too little and the files say enough, it is by what the files say.
    """
    doubted = {(each.measurement, each.piece) for each in suspect_readings(belief)}
    found = scatter_shown(belief, doubted)
    judged = [belief.measurement(name) for name in parts.names]
    shown = np.array([found.get(name, 0.0) for name in parts.names]) / parts.tolerance**2
    said = piece_scatter(belief.causes, judged).diagonal() / parts.tolerance**2
    by_readings = bool(shown.max() > _TOO_MUCH or (shown.max() > 0 and said.max() <= _TOO_MUCH))
    at = int(np.argmax(shown if by_readings else said))
    return LimitingFactor("scatter", parts.names[at], attainable, said=not by_readings)


def with_unread(limit: LimitingFactor, belief: Belief) -> LimitingFactor:
    """The same, and what else no piece was read for, where there is one that was read."""
    read = names_read(belief)
    limits = [m.name for m in belief.measurements if np.isfinite([m.low, m.high]).any()]
    unread = tuple(name for name in limits if name not in {*read, limit.subject})
    return replace(limit, unread=unread if read else ())


def drifting(belief: Belief, parts: PartsPrediction) -> LimitingFactor | None:
    """The setting that creeps from piece to piece, where that is likelier than not.

    It is named before it is chased: what is moved creeps on.
    """
    jumps, chance = belief.run.state.jumps, dict[str, float]()
    for hypothesis, weight in zip(belief.hypotheses, belief.errors.weights.tolist(), strict=True):
        for i in hypothesis.jumps:
            if jumps[i].kind == "drift":
                chance[jumps[i].subject] = chance.get(jumps[i].subject, 0.0) + weight
    subject = max(chance, key=lambda name: chance[name], default="")
    if len(belief.read) < _TO_SEE_DRIFT or chance.get(subject, 0.0) < _LIKELY_DRIFT:
        return None
    return LimitingFactor("drift", subject, _centred(parts, parts.scatter))


def unreachable(
    belief: Belief,
    search: MoveSearch,
    options: Sequence[ReadingOption],
    threshold: float,
    left: int,
) -> LimitingFactor | None:
    """What keeps `left` more test pieces from bringing parts to the threshold, as surely as known.

    How a setting lands is no reason as long as pieces are left: each time it may land better, and
    what has landed well is left alone. One piece alone never proves it.
    """
    if len(belief.read) < _LEAST_TO_SETTLE:
        return None
    parts = search.parts
    best = _landed_well(belief, search)
    if best < threshold:
        both_ways = replace(search, one_way=np.zeros_like(search.one_way))
        short = _landed_well(belief, both_ways) >= threshold
        return _of_moves(belief, parts, "blanks" if short else "finest move", best)
    read = _if_read(belief, parts, options, left)
    if read >= threshold:
        return None
    exact = [replace(o, instrument=replace(o.instrument, sd=1e-6, resolution=0)) for o in options]
    if _if_read(belief, parts, exact, left) < threshold:
        return _of_scatter(belief, parts, read)
    doubt = np.diag(parts.h @ belief.errors.covs[0] @ parts.h.T) / parts.tolerance**2
    at = int(np.argmax(doubt * _were_read(belief, parts)))
    return LimitingFactor("instrument", parts.names[at], read)


def _were_read(belief: Belief, parts: PartsPrediction) -> Flags:
    """Which of the parts' measurements (j) were read; all of them where none was."""
    known = names_read(belief)
    read = np.array([name in known for name in parts.names])
    return read if read.any() else ~read


def _landed_well(belief: Belief, search: MoveSearch) -> float:
    """The parts' chance if every error is what is likely now, and moves land as well as they can.

    From the step nearest to right, each may land off by up to twice its re-setting scatter, and
    that is as good as a finer step. Where accounts differ, the one that leads furthest counts.
    """
    errors = belief.errors
    likely = errors.means[:_ACCOUNTS][errors.weights[:_ACCOUNTS] >= _IN_QUESTION]
    return max(_landed_from(belief, search, mean) for mean in (errors.mean, *likely))


def _landed_from(belief: Belief, search: MoveSearch, errors: Array) -> float:
    """The same if the errors (n) are these, and known to be."""
    parts, one = search.parts, Mixture(np.ones(1), errors[None], np.zeros((1, *2 * errors.shape)))
    known = replace(search, centres=errors[None], errors=one)
    moves = full_corrections(known)
    reach = np.array([_LANDING_SDS * c.reset_sd * c.movable for c in belief.causes])
    nudge = np.clip(known.centring(errors + moves, (reach > 0)[None]), -reach, reach)
    return max(
        _likeliest(parts, parts.scatter, parts.h @ (errors + each))
        for each in (moves[0], moves[0] + nudge[0], 0 * errors)
    )


def _of_moves(
    belief: Belief, parts: PartsPrediction, reason: Reason, attainable: float
) -> LimitingFactor:
    """In which cause it shows most that moves cannot put the parts right."""
    weight = np.abs(parts.h) / parts.tolerance[:, None]
    weight = weight[_were_read(belief, parts)].max(axis=0)
    if reason == "blanks":
        size = [max(-belief.mean(c.name), 0.0) * c.one_way for c in belief.causes]
    else:
        steps = [(c.fine_step or c.finest) * c.movable for c in belief.causes]
        out = np.abs(belief.errors.mean) > 2 * np.sqrt(np.diag(belief.errors.cov))
        size = [step * shown for step, shown in zip(steps, out.tolist(), strict=True)]
        size = size if any(size) else steps
    at = int(np.argmax(weight * np.array(size)))
    return LimitingFactor(reason, belief.causes[at].name, attainable)


def limiting_factor(
    belief: Belief, parts: PartsPrediction, moves: Array, attainable: float
) -> LimitingFactor:
    """What limits most the measurement that is furthest from sure after moves (n).

    Only what the readings show and what was moved before: a setting that was left alone is no
    reason, and what was never measured is told so.
    """
    mean, _, each = parts.expected(moves)
    at = int(np.argmin(each))
    if parts.names[at] not in names_read(belief):
        return LimitingFactor("never measured", parts.names[at], attainable)
    row, weights = parts.h[at], parts.deviations.weights
    finite = np.isfinite(parts.low[at]) and np.isfinite(parts.high[at])
    middle = (parts.low[at] + parts.high[at]) / 2 if finite else 0.0
    been_moved = np.array([any(c.name in p.moves for p in belief.pieces) for c in belief.causes])
    landing = (weights @ parts.landing(moves)) * row**2 * been_moved
    sizes: dict[Reason, float] = {
        "scatter": float(weights @ parts.scatter[:, at, at]),
        "re-setting": float(landing.sum()),
        "instrument": float(row @ belief.errors.cov @ row),
        "finest move": float(mean[at] - middle) ** 2,
    }
    reason = max(sizes, key=lambda one: sizes[one])
    if reason == "scatter":
        return _of_scatter(belief, parts, attainable)
    if reason == "instrument":
        return LimitingFactor(reason, parts.names[at], attainable)
    if reason == "re-setting":
        return LimitingFactor(reason, belief.causes[int(np.argmax(landing))].name, attainable)
    blank = [c.kind == "blank" for c in belief.causes]
    short = np.where(blank, np.maximum(-belief.errors.mean, 0) * np.abs(row), 0.0)
    if short.max() ** 2 > sizes["finest move"] / 2:
        return LimitingFactor("blanks", belief.causes[int(np.argmax(short))].name, attainable)
    dials = np.where(blank, 0.0, np.abs(row))
    return LimitingFactor(reason, belief.causes[int(np.argmax(dials))].name, attainable)


class BestChance(Struct, frozen=True):
    """What can be reached at best, known before the first cut: the parts' chance.

    Where that is less than enough, limit says what holds it back, and wider how many times as wide
    the limits of that measurement would have to be; 0 where ten times is not enough.
    """

    attainable: float
    limit: LimitingFactor | None = None
    wider: float = 0.0


def reach_before_first_cut(
    belief: Belief, options: Sequence[ReadingOption], threshold: float, most: int
) -> BestChance:
    """What `most` test pieces can come to, each read once by every option, with all centred."""
    parts = predict_parts(belief)
    chance = _if_read(belief, parts, options, most)
    if chance >= threshold or not options:
        return BestChance(min(chance, _NEVER_ALL))
    by_scatter = _centred(parts, parts.scatter) < threshold
    spread = parts.scatter[0] if by_scatter else parts.h @ belief.errors.covs[0] @ parts.h.T
    at = int(np.argmax(np.diag(spread) / parts.tolerance**2))
    limit = LimitingFactor("scatter" if by_scatter else "instrument", parts.names[at], chance)
    for wider in _WIDER:
        factor = np.where(np.arange(len(parts.names)) == at, wider, 1.0)
        wide = replace(parts, low=parts.low * factor, high=parts.high * factor)
        if _if_read(belief, wide, options, most) >= threshold:
            return BestChance(chance, limit, wider)
    return BestChance(chance, limit)


def pieces_expected(
    belief: Belief, options: Sequence[ReadingOption], threshold: float, most: int
) -> int:
    """How many more test pieces to expect, each read once by every option: 1 to `most`.

    The fewest after which parts could be cut with every setting centred and without a jump, and one
    more where a setting will have to be moved and the move seen.
    """
    parts = predict_parts(belief)
    for count in range(1, most):
        if _if_read(belief, parts, options, count, _AS_LIKELY_AS_NOT) >= threshold:
            return min(most, count + _to_be_moved(parts, threshold))
    return most


def _to_be_moved(parts: PartsPrediction, threshold: float) -> bool:
    """Whether parts cut with the settings as first made would more likely fail than not."""
    nothing = np.zeros((1, parts.h.shape[1]))
    return bool(parts.likely(nothing)[0] < threshold / 2)


def _centred(parts: PartsPrediction, covs: Array, question: float = _IN_QUESTION) -> float:
    """The parts' chance for covariances (c, j, j), in the middle of their limits or on target."""
    finite = np.isfinite(parts.low) & np.isfinite(parts.high)
    middle = np.where(finite, (parts.low + parts.high) / 2, 0.0)
    return max(_likeliest(parts, covs, centre, question) for centre in (0 * middle, middle))


def _likeliest(
    parts: PartsPrediction, covs: Array, centre: Array, question: float = _IN_QUESTION
) -> float:
    """The best chance (covs (c, j, j), about a centre (j)) that is not yet out of the question.

    How rough the shop is may be in doubt: what still has `question` of the weight counts.
    """
    means = np.tile(centre, (len(covs), 1))
    chances = box_probability_quick(means, covs, parts.low, parts.high)
    order = np.argsort(-chances, kind="stable")
    held = np.cumsum(parts.deviations.weights[order])
    return float(chances[order][min(int(np.searchsorted(held, question)), len(order) - 1)])


def _if_read(
    belief: Belief,
    parts: PartsPrediction,
    options: Sequence[ReadingOption],
    pieces: int,
    question: float = _IN_QUESTION,
) -> float:
    """The parts' chance after more pieces, each read once by every option, with all centred."""
    covs = belief.errors.covs
    if options and pieces:
        measured = [belief.measurement(o.measurement) for o in options]
        rows = sensitivity_matrix(belief.causes, measured)
        error = np.diag([o.instrument.uncertainty**2 for o in options])
        scatter = piece_scatter(belief.causes, measured)
        by = belief.scales
        noise = by.pieces[:, None, None] ** 2 * scatter + by.readings[:, None, None] ** 2 * error
        crossed = covs @ rows.T
        spread = rows @ crossed + noise / pieces
        covs = covs - crossed @ np.linalg.solve(spread, crossed.swapaxes(-1, -2))
    return _centred(parts, parts.h @ covs @ parts.h.T + parts.scatter, question)
