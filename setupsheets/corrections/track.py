"""A Kalman filter that carries along what every possible slip would have done to it.

Given which slips happened (a blundered setting, a move that went wrong, a misread rule),
everything left is normal and one Kalman filter is exact. Running one filter for each set of slips
would be slow and would need pruning as it goes. Instead one filter runs as if nothing had slipped,
and for every slip that may have happened it carries the column by which a slip of 1 mm would shift
the estimate and the readings left over. Any set of slips is then weighed afterwards, from all
pieces at once, so that no early pruning can have lost the right one.

Source of the method: B. Friedland, "Treatment of bias in recursive filtering", IEEE Transactions
on Automatic Control 14 (1969); A. S. Willsky and H. L. Jones, "A generalized likelihood ratio
approach to the detection and estimation of jumps in linear systems", the same 21 (1976).
"""

from dataclasses import dataclass, replace
from math import log, pi
from typing import Literal

import numpy as np

from setupsheets.corrections.normal import Array, Indices


@dataclass(frozen=True)
class Event:
    """A slip that may have happened: what, to which cause or measurement, at which piece.

    blunder      the setting was wrong from the first
    move         a later move of it went wrong
    slip         it shifted without being moved
    stray        this one piece was cut badly there (not held against the stop)
    misreading   the reading is wrong, not the piece

    piece counts from 0. sd is the slip's spread in mm.
    """

    kind: Literal["blunder", "move", "slip", "stray", "misreading"]
    subject: str
    piece: int
    probability: float
    sd: float


@dataclass(frozen=True, eq=False)
class Track:
    """The state as if nothing had slipped, and what slips would do to it.

    mean (n), cov (n, n)   the state's estimate
    effect (n, e)          shift of the estimate per mm of each event
    information (e, e)     F' S^-1 F summed over the readings, F the shift of the innovations
    score (e)              F' S^-1 (innovation), summed likewise
    log_likelihood         of all readings if nothing had slipped; misfit its chi-square part
    count                  number of readings so far
    """

    mean: Array
    cov: Array
    effect: Array
    information: Array
    score: Array
    events: tuple[Event, ...] = ()
    log_likelihood: float = 0.0
    misfit: float = 0.0
    count: int = 0


def start(mean: Array, cov: Array) -> Track:
    """Begin with quantities of the given means (n) and covariance (n, n)."""
    size = len(mean)
    return Track(
        mean=np.array(mean, dtype=np.float64),
        cov=np.array(cov, dtype=np.float64),
        effect=np.zeros((size, 0)),
        information=np.zeros((0, 0)),
        score=np.zeros(0),
    )


def foresee(track: Track, events: tuple[Event, ...], columns: Array) -> Track:
    """Add events that may shift the state from here on; columns (n, len(events))."""
    added = len(events)
    if not added:
        return track
    return replace(
        track,
        effect=np.hstack([track.effect, columns]),
        information=np.pad(track.information, ((0, added), (0, added))),
        score=np.pad(track.score, (0, added)),
        events=(*track.events, *events),
    )


def shift(track: Track, amounts: Array, variance: Array) -> Track:
    """Move the state by amounts (n), which adds the variances (n)."""
    return replace(track, mean=track.mean + amounts, cov=track.cov + np.diag(variance))


def widen(track: Track, variance: Array) -> Track:
    """Append quantities of mean nil and the given variances (m) to the state."""
    added = len(variance)
    cov = np.pad(track.cov, ((0, added), (0, added)))
    cov[range(-added, 0), range(-added, 0)] = variance
    return replace(
        track,
        mean=np.pad(track.mean, (0, added)),
        cov=cov,
        effect=np.pad(track.effect, ((0, added), (0, 0))),
    )


def derive(track: Track, rows: Array, variance: Array) -> Track:
    """Append rows @ state, each with an error of its own of the given variance, to the state."""
    crossed = rows @ track.cov
    return replace(
        track,
        mean=np.concatenate([track.mean, rows @ track.mean]),
        cov=np.block([[track.cov, crossed.T], [crossed, crossed @ rows.T + np.diag(variance)]]),
        effect=np.vstack([track.effect, rows @ track.effect]),
    )


def narrow(track: Track, keep: Indices) -> Track:
    """Keep only the quantities of the state with the indices given, in that order."""
    return replace(
        track,
        mean=track.mean[keep],
        cov=track.cov[np.ix_(keep, keep)],
        effect=track.effect[keep],
    )


def observe(track: Track, rows: Array, values: Array, noise: Array, direct: Array) -> Track:
    """Take in readings: values = rows @ state + error; noise (r, r) their covariance.

    direct (r, e) is what the events do to the readings themselves (misreadings). The covariance
    is kept in Joseph's form, which stays symmetric and never goes below nil.
    """
    if not len(values):
        return track
    innovation = values - rows @ track.mean
    shifted = rows @ track.effect + direct
    spread = rows @ track.cov @ rows.T + noise
    gain = np.linalg.solve(spread, rows @ track.cov).T
    solved = np.linalg.solve(spread, np.column_stack([innovation, shifted]))
    keep = np.eye(len(track.mean)) - gain @ rows
    misfit = float(innovation @ solved[:, 0])
    _, log_det = np.linalg.slogdet(spread)
    cov = keep @ track.cov @ keep.T + gain @ noise @ gain.T
    information = track.information + shifted.T @ solved[:, 1:]
    return replace(
        track,
        mean=track.mean + gain @ innovation,
        cov=(cov + cov.T) / 2,
        effect=track.effect - gain @ shifted,
        information=(information + information.T) / 2,
        score=track.score + shifted.T @ solved[:, 0],
        log_likelihood=track.log_likelihood - (misfit + log_det + len(values) * log(2 * pi)) / 2,
        misfit=track.misfit + misfit,
        count=track.count + len(values),
    )
