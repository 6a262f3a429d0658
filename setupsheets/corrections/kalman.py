"""A Kalman filter that carries along what every possible jump would have done to it.

Given which jumps happened (a blundered setting, a move that went wrong, a misread rule),
everything left is normal and one Kalman filter is exact. Running one filter for each set of jumps
would be slow and would need pruning as it goes. Instead one filter runs as if nothing had jumped,
and for every jump that may have happened it carries the column by which a jump of 1 mm would shift
the estimate and the readings left over. Any set of jumps is then weighed afterwards, from all
pieces at once, so that no early pruning can have lost the right one.

Source of the method: B. Friedland, "Treatment of bias in recursive filtering", IEEE Transactions
on Automatic Control 14 (1969); A. S. Willsky and H. L. Jones, "A generalized likelihood ratio
approach to the detection and estimation of jumps in linear systems", the same 21 (1976).

Every array may have further dimensions in front, (..., n): as many filters at once, one for each
way in which the shop may be rougher or finer than its files say.
"""

from collections.abc import Sequence
from math import log, pi
from typing import Literal, TypeAlias

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from setupsheets.corrections.normal import Array, Indices

JumpKind: TypeAlias = Literal["blunder", "move", "shift", "untold", "drift", "stray", "misreading"]


class Jump(Struct, frozen=True):
    """A jump that may have happened: what, to which cause or measurement, at which piece.

    blunder      the setting was wrong from the first
    move         a later move of it went wrong
    shift        it shifted without being moved
    untold       it was put right, and nobody has said so
    drift        it creeps by as much again with every piece
    stray        this one piece was cut badly there (not held against the stop)
    misreading   the reading is wrong, not the piece

    piece counts from 0. sd is its spread in mm, wide enough for every one of `marks`: the amounts,
    each within mark_sd, that it has most often. other_sd is its spread where it is none of them.
    """

    kind: JumpKind
    subject: str
    piece: int
    probability: float
    sd: float
    other_sd: float = 0.0
    marks: tuple[float, ...] = ()
    mark_sd: float = 0.0

    @property
    def of_cause(self) -> bool:
        """Whether a cause jumped, and not a reading or one piece."""
        return self.kind in {"blunder", "move", "shift", "untold", "drift"}


class FilterState(Struct, frozen=True, eq=False):
    """The state as if nothing had jumped, and what jumps would do to it.

    mean (..., n), cov (..., n, n)   the state's estimate
    signature (..., n, e)     shift of the estimate per mm of each jump
    information (..., e, e)   F' S^-1 F summed over the readings, F the shift of the innovations
    score (..., e)            F' S^-1 (innovation), summed likewise
    misfit (...)              chi-square of all readings if nothing had jumped, count their number
    log_likelihood (...)      of all readings if nothing had jumped
    """

    mean: Array
    cov: Array
    signature: Array
    information: Array
    score: Array
    misfit: Array
    log_likelihood: Array
    jumps: tuple[Jump, ...] = ()
    count: int = 0

    def filter(self, which: int | None) -> "FilterState":
        """One of several filters, or a stack of this one alone where it is one (None)."""
        arrays = ("mean", "cov", "signature", "information", "score", "misfit", "log_likelihood")
        return replace(self, **{name: getattr(self, name)[which] for name in arrays})


def initial_state(mean: Array, cov: Array) -> FilterState:
    """The state of quantities of the given means (..., n) and covariance (..., n, n)."""
    batch, size = cov.shape[:-2], mean.shape[-1]
    return FilterState(
        mean=np.array(np.broadcast_to(mean, (*batch, size)), dtype=np.float64),
        cov=np.array(cov, dtype=np.float64),
        signature=np.zeros((*batch, size, 0)),
        information=np.zeros((*batch, 0, 0)),
        score=np.zeros((*batch, 0)),
        misfit=np.zeros(batch),
        log_likelihood=np.zeros(batch),
    )


def augment_jumps(state: FilterState, jumps: tuple[Jump, ...], columns: Array) -> FilterState:
    """Carry along jumps that may shift the state from here on; columns (n, len(jumps))."""
    added = len(jumps)
    if not added:
        return state
    *batch, size, count = state.signature.shape
    information = np.zeros((*batch, count + added, count + added))
    information[..., :count, :count] = state.information
    columns = np.broadcast_to(columns, (*batch, size, added))
    return replace(
        state,
        signature=np.concatenate([state.signature, columns], axis=-1),
        information=information,
        score=np.concatenate([state.score, np.zeros((*batch, added))], axis=-1),
        jumps=(*state.jumps, *jumps),
    )


def repeat_jumps(state: FilterState, jumps: Sequence[int], places: Sequence[int]) -> FilterState:
    """The state after each of these jumps has happened once more, to the quantity at its place."""
    signature = state.signature.copy()
    signature[..., places, jumps] += 1
    return replace(state, signature=signature)


def predict(state: FilterState, amounts: Array, variance: Array) -> FilterState:
    """Predict the state after a control input: amounts (n), which add variances (..., n)."""
    return replace(state, mean=state.mean + amounts, cov=state.cov + _diagonal(variance))


def augment(state: FilterState, variance: Array, rows: Array | None = None) -> FilterState:
    """Append m quantities: rows (m, n) @ state, each with an error of its own, variance (..., m).

    Without rows they have mean 0 and nothing to do with the rest of the state.
    """
    *batch, size = state.mean.shape
    added = variance.shape[-1]
    rows = np.zeros((added, size)) if rows is None else rows
    crossed = rows @ state.cov
    cov = np.zeros((*batch, size + added, size + added))
    cov[..., :size, :size] = state.cov
    cov[..., size:, :size] = crossed
    cov[..., :size, size:] = crossed.swapaxes(-1, -2)
    cov[..., size:, size:] = crossed @ rows.T + _diagonal(variance)
    return replace(
        state,
        mean=np.concatenate([state.mean, state.mean @ rows.T], axis=-1),
        cov=cov,
        signature=np.concatenate([state.signature, rows @ state.signature], axis=-2),
    )


def marginalise(state: FilterState, keep: Indices) -> FilterState:
    """Keep only the quantities with these indices, in that order."""
    return replace(
        state,
        mean=state.mean[..., keep],
        cov=state.cov[..., keep[:, None], keep],
        signature=state.signature[..., keep, :],
    )


def update(
    state: FilterState, rows: Array, values: Array, noise: Array, misreadings: tuple[Jump, ...]
) -> FilterState:
    """Update by readings: values (r) = rows (r, n) @ state + error, noise (..., r, r) its cov.

    misreadings are jumps of the readings themselves, one for each. The covariance is kept in
    Joseph's form, which stays symmetric and never goes below 0.
    """
    count = len(values)
    if not count:
        return state
    size = state.mean.shape[-1]
    state = augment_jumps(state, misreadings, np.zeros((size, count)))
    innovation = values - state.mean @ rows.T
    shifted = rows @ state.signature
    shifted[..., -count:] += np.eye(count)
    crossed = rows @ state.cov
    spread = crossed @ rows.T + noise
    gain = np.linalg.solve(spread, crossed).swapaxes(-1, -2)
    solved = np.linalg.solve(spread, np.concatenate([innovation[..., None], shifted], axis=-1))
    keep = np.eye(size) - gain @ rows
    cov = keep @ state.cov @ keep.swapaxes(-1, -2) + gain @ noise @ gain.swapaxes(-1, -2)
    told = shifted.swapaxes(-1, -2) @ solved
    information = state.information + told[..., 1:]
    misfit = (innovation * solved[..., 0]).sum(axis=-1)
    _, log_det = np.linalg.slogdet(spread)
    return replace(
        state,
        mean=state.mean + (gain @ innovation[..., None])[..., 0],
        cov=(cov + cov.swapaxes(-1, -2)) / 2,
        signature=state.signature - gain @ shifted,
        information=(information + information.swapaxes(-1, -2)) / 2,
        score=state.score + told[..., 0],
        misfit=state.misfit + misfit,
        log_likelihood=state.log_likelihood - (misfit + log_det + count * log(2 * pi)) / 2,
        count=state.count + count,
    )


def _diagonal(variance: Array) -> Array:
    """Diagonal matrices (..., n, n) of variances (..., n)."""
    diagonal: Array = variance[..., None] * np.eye(variance.shape[-1])
    return diagonal
