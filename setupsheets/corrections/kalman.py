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
"""

from dataclasses import dataclass, replace
from typing import Literal, TypeAlias

import numpy as np

from setupsheets.corrections.normal import Array, Indices

JumpKind: TypeAlias = Literal["blunder", "move", "shift", "stray", "misreading"]


@dataclass(frozen=True)
class Jump:
    """A jump that may have happened: what, to which cause or measurement, at which piece.

    blunder      the setting was wrong from the first
    move         a later move of it went wrong
    shift        it shifted without being moved
    stray        this one piece was cut badly there (not held against the stop)
    misreading   the reading is wrong, not the piece

    piece counts from 0. sd is its spread in mm.
    """

    kind: JumpKind
    subject: str
    piece: int
    probability: float
    sd: float

    @property
    def of_cause(self) -> bool:
        """Whether a cause jumped, and not a reading or one piece."""
        return self.kind in {"blunder", "move", "shift"}


@dataclass(frozen=True, eq=False)
class FilterState:
    """The state as if nothing had jumped, and what jumps would do to it.

    mean (n), cov (n, n)   the state's estimate
    signature (n, e)       shift of the estimate per mm of each jump
    information (e, e)     F' S^-1 F summed over the readings, F the shift of the innovations
    score (e)              F' S^-1 (innovation), summed likewise
    misfit                 chi-square of all readings if nothing had jumped, count their number
    """

    mean: Array
    cov: Array
    signature: Array
    information: Array
    score: Array
    jumps: tuple[Jump, ...] = ()
    misfit: float = 0.0
    count: int = 0


def initial_state(mean: Array, cov: Array) -> FilterState:
    """The state of quantities of the given means (n) and covariance (n, n)."""
    size = len(mean)
    return FilterState(
        mean=np.array(mean, dtype=np.float64),
        cov=np.array(cov, dtype=np.float64),
        signature=np.zeros((size, 0)),
        information=np.zeros((0, 0)),
        score=np.zeros(0),
    )


def augment_jumps(state: FilterState, jumps: tuple[Jump, ...], columns: Array) -> FilterState:
    """Carry along jumps that may shift the state from here on; columns (n, len(jumps))."""
    added = len(jumps)
    if not added:
        return state
    return replace(
        state,
        signature=np.hstack([state.signature, columns]),
        information=np.pad(state.information, ((0, added), (0, added))),
        score=np.pad(state.score, (0, added)),
        jumps=(*state.jumps, *jumps),
    )


def predict(state: FilterState, amounts: Array, variance: Array) -> FilterState:
    """Predict the state after a control input: amounts (n), which add variances (n)."""
    return replace(state, mean=state.mean + amounts, cov=state.cov + np.diag(variance))


def augment(state: FilterState, variance: Array, rows: Array | None = None) -> FilterState:
    """Append m quantities: rows (m, n) @ state, each with an error of its own of variance (m).

    Without rows they have mean 0 and nothing to do with the rest of the state.
    """
    rows = np.zeros((len(variance), len(state.mean))) if rows is None else rows
    crossed = rows @ state.cov
    return replace(
        state,
        mean=np.concatenate([state.mean, rows @ state.mean]),
        cov=np.block([[state.cov, crossed.T], [crossed, crossed @ rows.T + np.diag(variance)]]),
        signature=np.vstack([state.signature, rows @ state.signature]),
    )


def marginalise(state: FilterState, keep: Indices) -> FilterState:
    """Keep only the quantities with these indices, in that order."""
    return replace(
        state,
        mean=state.mean[keep],
        cov=state.cov[np.ix_(keep, keep)],
        signature=state.signature[keep],
    )


def update(
    state: FilterState, rows: Array, values: Array, noise: Array, misreadings: tuple[Jump, ...]
) -> FilterState:
    """Update by readings: values (r) = rows (r, n) @ state + error, noise (r, r) its covariance.

    misreadings are jumps of the readings themselves, one for each. The covariance is kept in
    Joseph's form, which stays symmetric and never goes below 0.
    """
    if not len(values):
        return state
    state = augment_jumps(state, misreadings, np.zeros((len(state.mean), len(values))))
    innovation = values - rows @ state.mean
    shifted = rows @ state.signature
    shifted[:, -len(values) :] += np.eye(len(values))
    spread = rows @ state.cov @ rows.T + noise
    gain = np.linalg.solve(spread, rows @ state.cov).T
    solved = np.linalg.solve(spread, np.column_stack([innovation, shifted]))
    keep = np.eye(len(state.mean)) - gain @ rows
    cov = keep @ state.cov @ keep.T + gain @ noise @ gain.T
    information = state.information + shifted.T @ solved[:, 1:]
    return replace(
        state,
        mean=state.mean + gain @ innovation,
        cov=(cov + cov.T) / 2,
        signature=state.signature - gain @ shifted,
        information=(information + information.T) / 2,
        score=state.score + shifted.T @ solved[:, 0],
        misfit=state.misfit + float(innovation @ solved[:, 0]),
        count=state.count + len(values),
    )
