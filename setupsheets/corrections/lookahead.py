"""What the next test piece promises for each set of moves that might be made before it.

What is out is moved and seen, however likely one landing is to miss, for it can be moved again; so
a set of moves is judged by what will be known and can still be put right after the next piece, not
by where it lands. Outcomes are a fixed lattice: the same readings give the same advice.

Source of the method: preposterior analysis (H. Raiffa and R. Schlaifer, Applied Statistical
Decision Theory, 1961), two pieces ahead.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from msgspec import Struct

from setupsheets.corrections.belief import Belief, piece_scatter, sensitivity_matrix
from setupsheets.corrections.mixture import Mixture
from setupsheets.corrections.normal import Array
from setupsheets.corrections.preposterior import ReadingOption, chances_after, drawn, weighed
from setupsheets.corrections.search import MoveSearch

_MOST = 10
_NOTICEABLE = 0.2
_NOT_ENOUGH = 0.5


class Ahead(Struct, frozen=True, eq=False):
    """What moves (n) promise: their worth (0 to 1), and the chance that parts can be cut then."""

    moves: Array
    worth: float
    enough: float
    after: float


def look_ahead(
    belief: Belief,
    search: MoveSearch,
    candidates: Sequence[Array],
    options: Sequence[ReadingOption],
    threshold: float,
) -> list[Ahead]:
    """Judge every candidate (n) by the test piece after it, read once by every option."""
    leading = belief.errors.leading(1.0, _MOST)
    scale = belief.scales.of(np.arange(len(leading.weights)))
    measured = [belief.measurement(o.measurement) for o in options]
    rows = sensitivity_matrix(belief.causes, measured)
    error = np.diag([o.instrument.uncertainty**2 for o in options])
    scatter = piece_scatter(belief.causes, measured)
    noise = scale.pieces[:, None, None] ** 2 * scatter + scale.readings[:, None, None] ** 2 * error
    return [_ahead(search, leading, moves, rows, noise, threshold) for moves in candidates]


def _ahead(
    search: MoveSearch,
    leading: Mixture,
    moves: Array,
    rows: Array,
    noise: Array,
    threshold: float,
) -> Ahead:
    """Draw outcomes of the next piece's readings and judge the best that can be done then."""
    parts, count = search.parts, len(leading.weights)
    means = leading.means + moves
    covs = leading.covs + parts.landing(moves, count)[:, :, None] * np.eye(len(moves))
    crossed = covs @ rows.T
    spread = rows @ crossed + noise
    off = drawn(Mixture(leading.weights, means, covs), rows, spread)
    weights, solved = weighed(leading.weights, off, spread)
    found = means + np.einsum("cnr,ocr->ocn", crossed, solved)
    known = covs - crossed @ np.linalg.solve(spread, crossed.swapaxes(-1, -2))
    of_parts = parts.h @ known @ parts.h.T + parts.scatter[:count]
    centre = np.einsum("oc,ocn->on", weights, found)
    weight = (np.abs(parts.h) / parts.tolerance[:, None]).max(axis=0)
    out = np.abs(centre) * weight > _NOTICEABLE
    righted = search.possible(search.centring(centre, search.movable & out))
    then = np.stack([np.zeros_like(centre), righted], axis=1)
    best = chances_after(parts, Mixture(weights, found, of_parts), then).max(axis=1)
    enough = best >= threshold
    worth = np.where(enough, 1.0, _NOT_ENOUGH * best / threshold)
    return Ahead(moves, float(worth.mean()), float(enough.mean()), float(best.mean()))
