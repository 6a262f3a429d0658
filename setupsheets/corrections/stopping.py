"""What next: cut the parts, measure again, cut another test piece, or stop because it is no use.

Never an endless loop: after most_pieces test pieces the answer is parts or `out of reach`.
All lengths are floats in millimetres.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from setupsheets.corrections.advice import MOVE_WORTH, Advice, advise_with
from setupsheets.corrections.belief import Belief, piece_scatter, sensitivity_matrix
from setupsheets.corrections.causes import Cause
from setupsheets.corrections.normal import Array, box_probability_quick
from setupsheets.corrections.outlook import Outlook, look_ahead
from setupsheets.corrections.readings import Fit
from setupsheets.corrections.remeasure import Option, promise
from setupsheets.corrections.search import Search, best_moves, full_corrections, prepare_search

THRESHOLD = 0.9
MOST_PIECES = 8
MOST_READINGS = 3

_WORTH_READING = 0.015

_ENOUGH_CHANCE = 0.1
_LUCK = 2.0

Kind = Literal["cut parts", "measure again", "another test piece", "out of reach"]
Reason = Literal["scatter", "finest move", "re-setting", "instrument", "blanks"]


@dataclass(frozen=True)
class Verdict:
    """What to do next, and why.

    probability is for a part cut now, after the advised moves, to be inside every limit.
    readings are what to measure again. Where it is out of reach, reason says what holds it back,
    subject the measurement (scatter, instrument) or the cause (finest move, re-setting, blanks) it
    shows in most, and attainable the parts' chance at best.
    """

    kind: Kind
    probability: float
    readings: tuple[Option, ...] = ()
    reason: Reason | None = None
    subject: str = ""
    attainable: float = 1.0


def decide(
    belief: Belief,
    *,
    threshold: float = THRESHOLD,
    options: Sequence[Option] = (),
    most_pieces: int = MOST_PIECES,
    least_pieces: int = 1,
    move_worth: float = MOVE_WORTH,
) -> tuple[Advice, Verdict]:
    """Give the moves to make now and what to do after them.

    options are readings that can still be taken from the last piece; none of them is asked for
    more than MOST_READINGS times. Parts are never cut before least_pieces test pieces.
    """
    outlook = look_ahead(belief)
    search = prepare_search(belief, outlook, move_worth)
    advice, moves = advise_with(belief, search)
    count = len(belief.read)
    ready = count >= least_pieces and advice.probability >= threshold
    if ready:
        return advice, Verdict("cut parts", advice.probability)
    best = _scatter_alone(outlook, belief)
    if best < threshold:
        return advice, _out(belief, outlook, advice, "scatter", best)
    again = promise(belief, outlook, moves, _open(belief, options), threshold)
    if again and (again.enough >= _ENOUGH_CHANCE or again.after - again.now >= _WORTH_READING):
        return advice, Verdict("measure again", advice.probability, again.options)
    if belief.read:
        hopeless = _hopeless(belief, outlook, advice, threshold, most_pieces - count)
        if hopeless:
            return advice, hopeless
    return advice, Verdict("another test piece", advice.probability)


def options_of(belief: Belief) -> tuple[Option, ...]:
    """Give the readings of the last piece, each with the instrument it was taken with."""
    if not belief.read:
        return ()
    found = {
        Option(r.measurement, r.instrument, r.pieces): None
        for r in belief.read[-1].readings
        if not isinstance(r.value, Fit)
    }
    return tuple(found)


def _open(belief: Belief, options: Sequence[Option]) -> list[Option]:
    """Leave out readings that were already taken often enough from the last piece.

    None is left once anything was moved: the piece no longer shows how the settings stand.
    """
    if not belief.pieces or not belief.pieces[-1].readings:
        return []
    taken = [(r.measurement, r.instrument.name) for r in belief.pieces[-1].readings]
    return [o for o in options if taken.count((o.measurement, o.instrument.name)) < MOST_READINGS]


def _judged_scatter(belief: Belief, outlook: Outlook) -> Array:
    judged = [m for m in belief.measurements if m.name in outlook.names]
    return piece_scatter(belief.causes, judged)


def _scatter_alone(outlook: Outlook, belief: Belief) -> float:
    """Give the parts' chance with every setting known and exactly right."""
    finite = np.isfinite(outlook.low) & np.isfinite(outlook.high)
    middle = np.where(finite, (outlook.low + outlook.high) / 2, 0.0)
    centres = np.stack([np.zeros_like(middle), middle])
    cov = np.broadcast_to(_judged_scatter(belief, outlook), (2, len(middle), len(middle)))
    return float(box_probability_quick(centres, cov, outlook.low, outlook.high).max())


def _hopeless(
    belief: Belief, outlook: Outlook, advice: Advice, threshold: float, left: int
) -> Verdict | None:
    """Give `out of reach` where further test pieces could not bring the parts to the threshold.

    As long as pieces are left, re-setting is no reason: each time it may land better, and what
    has landed well is left alone. One piece alone never proves it.
    """
    if len(belief.read) < 2 and left > 0:
        return None
    known = _if_known(belief, outlook)
    lucky = _with_luck(belief, known)
    if lucky < threshold:
        both_ways = replace(known, one_way=np.zeros_like(known.one_way))
        small = _with_luck(belief, both_ways) >= threshold
        return _out(belief, outlook, advice, "blanks" if small else "finest move", lucky)
    reading, scatter = _if_read(belief, outlook, max(left, 0))
    if left <= 0:
        sure = float(known.outlook.likely(best_moves(known)[None])[0])
        last: Reason = "instrument" if sure >= threshold else "re-setting"
        return _out(belief, outlook, advice, last, max(sure, advice.probability))
    if reading < threshold:
        held: Reason = "instrument" if scatter >= threshold else "scatter"
        return _out(belief, outlook, advice, held, reading)
    return None


def _if_known(belief: Belief, outlook: Outlook) -> Search:
    """Give the search as it would be if every error were known to be what is now expected.

    Moves go as meant: one that goes wrong is seen on the next piece.
    """
    mean: Array = belief.weights @ belief.means
    known = replace(
        outlook,
        weights=np.ones(1),
        means=(outlook.h @ mean)[None],
        covs=_judged_scatter(belief, outlook)[None],
        sure=np.ones_like(outlook.sure),
    )
    return replace(prepare_search(belief, known, 0.0), centres=mean[None])


def _with_luck(belief: Belief, known: Search) -> float:
    """Give the parts' chance where settings land, after some tries, as well as they can.

    From the step nearest to right, each may land off by up to twice its re-setting scatter, and
    that is as good as a finer step.
    """
    still = replace(known, outlook=replace(known.outlook, reset=0 * known.outlook.reset))
    moves = full_corrections(still)
    reach = np.array([_LUCK * c.reset_sd * c.movable for c in belief.causes])
    nudge = np.clip(still.centring(still.centres + moves, (reach > 0)[None]), -reach, reach)
    return float(still.outlook.likely(np.concatenate([moves, moves + nudge])).max())


def _if_read(belief: Belief, outlook: Outlook, pieces: int) -> tuple[float, float]:
    """Give the parts' chance after that many more pieces: as read now, and with no reading error.

    Judged with every setting centred, for the leading hypothesis, each measurement of the last
    piece read once per piece.
    """
    cov = belief.covs[0]
    readings = belief.read[-1].readings
    names = list(dict.fromkeys(r.measurement for r in readings))
    if pieces and names:
        rows = sensitivity_matrix(belief.causes, [belief.measurement(n) for n in names])
        scatter = piece_scatter(belief.causes, [belief.measurement(n) for n in names])
        error = np.diag(
            [
                min(r.instrument.uncertainty**2 for r in readings if r.measurement == n)
                for n in names
            ]
        )
        covs = [_after(cov, rows, (scatter + e) / pieces) for e in (error, 1e-6 * error)]
    else:
        covs = [cov, 0 * cov]
    base = _judged_scatter(belief, outlook)
    spread = np.array([outlook.h @ c @ outlook.h.T + base for c in covs])
    part = box_probability_quick(np.zeros(spread.shape[:2]), spread, outlook.low, outlook.high)
    return float(part[0]), float(part[1])


def _after(cov: Array, rows: Array, noise: Array) -> Array:
    lean = cov @ rows.T
    result: Array = cov - lean @ np.linalg.solve(rows @ lean + noise, lean.T)
    return result


def _out(
    belief: Belief, outlook: Outlook, advice: Advice, reason: Reason, attainable: float
) -> Verdict:
    """Say that it is out of reach, and in what it shows most."""
    width = np.minimum(outlook.high, -outlook.low)
    reach = (np.abs(outlook.h) / width[:, None]).max(axis=0)
    if reason in {"scatter", "instrument"}:
        spread = (
            np.diag(_judged_scatter(belief, outlook))
            if reason == "scatter"
            else np.diag(outlook.h @ belief.covs[0] @ outlook.h.T)
        )
        subject = outlook.names[int(np.argmax(spread / width**2))]
    else:
        size = [_held_back(reason, c, belief.mean(c.name)) for c in belief.causes]
        subject = belief.causes[int(np.argmax(reach * np.array(size)))].name
    return Verdict(
        "out of reach", advice.probability, reason=reason, subject=subject, attainable=attainable
    )


def _held_back(reason: Reason, cause: Cause, error: float) -> float:
    """Give by how much, mm, a cause holds the parts back for this reason."""
    if reason == "blanks":
        return max(-error, 0.0) * cause.one_way
    return (cause.finest if reason == "finest move" else cause.reset_sd) * cause.movable
