"""The search for the fewest moves that give parts the best chance.

Every move costs certainty: it adds the scatter of setting again, and it may go wrong. So the
search starts from putting everything right and takes moves out, one after the other, letting the
rest take over; the best set of moves met on the way is then polished by single steps.
"""

from itertools import pairwise
from math import inf

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from setupsheets.corrections.belief import Belief
from setupsheets.corrections.mixture import Mixture
from setupsheets.corrections.normal import Array, Flags, cdf_quick
from setupsheets.corrections.observations import Fit
from setupsheets.corrections.prediction import PartsPrediction
from setupsheets.corrections.shown import causes_told

# They bound the search: common practice, no source.
_LEADING = 3  # hypotheses put right besides the mean
_LEAST_LEADING = 0.05  # weight of one that is worth it
_POLISHED = 2  # sets of moves polished
_POLISH_ROUNDS = 3  # steps that polishing takes at most
_GAIN = 1e-4  # chance that a step must gain
_TOO_FEW = 0.3  # chance lost at which no more moves are left out
_FREE_STEP = 0.02  # share of the tolerance that a step is without a dial
_HAIR = 1e-9
_OUT = 0.25
_RIGHT = 0.2  # share of a limit up to which nothing is moved for it
_WOOD_WORTH = 4.0
_SURE_OF_WOOD = 0.95
_SURE_OF_MOVE = 0.85
_LEAST_TRIM = 2.0
_WOOD_SHARE = 0.999
_WOOD_MOST = 40


class MoveSearch(Struct, frozen=True, eq=False):
    """What the search needs to know of the causes.

    finest (n)          the finest step of each, mm; 0 where it is free
    movable (n)         whether anything can be done about it
    fine_step (n)       the finest step by shims, mm; 0 where there is none
    one_way (n)         whether it can only be moved below 0
    least_wood (n)      what less of is not worth a cut, mm; 0 for what is not wood
    centres (b, n)      errors to put right: the mean over all hypotheses, then the leading ones'
    normal_matrix (n, n)  H' W H, W one over each measurement's tolerance squared
    move_worth (n)      what a move of each must better the parts' chance by
    most (n)            the furthest that each may be moved at once, mm
    errors              what is believed of all causes, the leading hypotheses
    """

    parts: PartsPrediction
    finest: Array
    movable: Flags
    fine_step: Array
    one_way: Flags
    least_wood: Array
    centres: Array
    normal_matrix: Array
    move_worth: Array
    most: Array
    errors: Mixture

    def worth(self, moves: Array) -> Array:
        """The parts' chance less what the moves (b, n) are worth: (b)."""
        cost = (moves != 0) @ self.move_worth
        worth: Array = self.parts.likely(moves) - cost
        return worth

    def possible(self, moves: Array) -> Array:
        """Round moves to what can really be done, and leave out what cannot."""
        moves = np.clip(moves, -self.most, self.most)
        stepped = np.where(self.finest > 0, _rounded(moves, self.finest), moves)
        fine = _rounded(moves, self.fine_step)
        near = (self.fine_step > 0) & (np.abs(fine) <= self.parts.fine_reach + _HAIR)
        stepped = np.where(near, fine, stepped)
        allowed = self.movable & ~(self.one_way & (stepped > 0))
        allowed &= np.abs(stepped) >= self.least_wood
        return np.where(allowed & self._proved(stepped), stepped, 0.0)

    def _proved(self, moves: Array) -> Flags:
        """Which moves may be made: a dial can be put back, wood cannot.

        Wood comes off only where its error is hardly in doubt.
        """
        proved = np.ones(moves.shape, dtype=bool)
        for i in np.flatnonzero(self.least_wood):
            proved[..., i] = self._likely_so(moves[..., i], int(i)) >= _SURE_OF_WOOD
        return proved

    def beyond_doubt(self, moves: Array) -> Array:
        """Those of the moves (n) that are hardly half too much, or the wrong way."""
        likely = np.array([self._likely_so(amount, i) for i, amount in enumerate(moves)])
        return np.where(likely >= _SURE_OF_MOVE, moves, 0.0)

    def in_doubt(self, moves: Array) -> bool:
        """Whether any of the moves (n) might be half too much, or the wrong way."""
        return bool((self.beyond_doubt(moves) != moves).any())

    def _likely_so(self, amounts: Array, cause: int) -> Array:
        """How likely (...) at least half of what moves (...) take off a cause is really there."""
        each = amounts[..., None]
        spread = np.sqrt(self.errors.covs[:, cause, cause]) + _HAIR
        over = -np.sign(each) * self.errors.means[:, cause] - np.abs(each) / 2
        likely: Array = cdf_quick(over / spread) @ self.errors.weights
        return likely

    def centring(self, errors: Array, free: Flags) -> Array:
        """The smallest moves of the free causes that centre parts with errors (b, n)."""
        size = len(self.normal_matrix)
        ridge = 1e-6 * max(float(np.trace(self.normal_matrix)) / size, 1e-30)
        matrix = np.where(free[:, :, None] & free[:, None, :], self.normal_matrix, 0.0)
        right = np.where(free, -(errors @ self.normal_matrix), 0.0)
        matrix = matrix + ridge * np.eye(size)
        smallest: Array = np.linalg.solve(matrix, right[..., None])[..., 0]
        return smallest


def move_search(belief: Belief, parts: PartsPrediction, move_worth: float) -> MoveSearch:
    """Gather what the search needs to know."""
    errors = belief.errors
    leading = errors.means[:_LEADING][errors.weights[:_LEADING] > _LEAST_LEADING]
    return MoveSearch(
        parts=parts,
        finest=np.array([c.finest for c in belief.causes]),
        movable=np.array([c.movable for c in belief.causes]),
        fine_step=np.array([c.fine_step for c in belief.causes]),
        one_way=np.array([c.one_way for c in belief.causes]),
        least_wood=np.array(
            [_LEAST_TRIM * c.reset_sd if c.kind == "blank" else 0.0 for c in belief.causes]
        ),
        centres=np.vstack([errors.mean, leading]),
        normal_matrix=(parts.h.T / parts.tolerance**2) @ parts.h,
        move_worth=np.array(
            [move_worth * (_WOOD_WORTH if c.kind == "blank" else 1) for c in belief.causes]
        ),
        most=np.array([_told_by_words(belief, cause.name) for cause in belief.causes]),
        errors=errors.leading(_WOOD_SHARE, _WOOD_MOST),
    )


def of_what_is_told(search: MoveSearch, belief: Belief) -> MoveSearch:
    """The same for what is moved now: a dial on which nothing that was read bears counts as right
    and stays, and nothing else makes up for it, unless it is known to stand off by more than its
    finest mark. The next piece shows it."""
    told, errors, parts = causes_told(belief), belief.errors, search.parts
    known = np.abs(errors.mean) > np.maximum(search.finest, search.fine_step) + _HAIR
    read = np.array([cause.name in told for cause in belief.causes]) | known
    off = np.where(read, 0.0, errors.means) @ parts.h.T
    before = replace(parts.deviations, means=parts.deviations.means - off)
    return replace(
        search,
        parts=replace(parts, deviations=before),
        movable=search.movable & read,
        centres=np.where(read, search.centres, 0.0),
    )


def _told_by_words(belief: Belief, cause: str) -> float:
    """How far words alone say that a cause is to be moved, mm: as far as the limit that was felt to
    be passed, and with each further piece that feels so by as much again. No limit where a number
    was read, or nothing."""
    rows = {m.name: m for m in belief.measurements if m.sensitivities.get(cause)}
    read = [each for piece in belief.read for each in piece.readings if each.measurement in rows]
    told = 0.0
    for each in read:
        measurement = rows[each.measurement]
        if not isinstance(each.value, Fit):
            return inf
        limit = min(map(abs, measurement.interval(each.value)))
        told += limit / abs(measurement.sensitivities[cause])
    return told or inf


def _rounded(moves: Array, step: Array) -> Array:
    safe = np.where(step > 0, step, 1.0)
    rounded: Array = np.rint(moves / safe) * safe
    return rounded


def best_moves(search: MoveSearch) -> Array:
    """The moves (n), mm, of the greatest worth that the search meets."""
    nothing = np.zeros((1, len(search.finest)))
    if not len(search.parts.low):
        return np.zeros(len(search.finest))
    current = full_corrections(search)
    visited = [nothing, current]
    values = [search.worth(nothing), search.worth(current)]
    while current.any() and values[-1].max() > max(v.max() for v in values) - _TOO_FEW:
        current, worth = _one_fewer(search, current)
        visited.append(current)
        values.append(worth)
    moves, value = np.concatenate(visited), np.concatenate(values)
    best = np.argsort(-value, kind="stable")[:_POLISHED]
    polished = [_polish(search, moves[i], float(value[i])) for i in best]
    return max(polished, key=lambda pair: pair[1])[0]


def other_moves(search: MoveSearch) -> list[Array]:
    """Moves (n) worth judging beside the best: none, all put right, what is furthest out alone."""
    mean = search.centres[:1]
    weight = (np.abs(search.parts.h) / search.parts.tolerance[:, None]).max(axis=0)
    reach = np.abs(mean[0]) * weight
    order = [i for i in np.argsort(-reach, kind="stable") if search.movable[i] and reach[i] > _OUT]
    found = [np.zeros(len(reach)), full_corrections(search)[0]]
    for count in sorted({1, 2, len(order)} & set(range(1, len(order) + 1))):
        free = np.zeros((1, len(reach)), dtype=bool)
        free[0, order[:count]] = True
        found.append(search.possible(search.centring(mean, free))[0])
    least_first = np.argsort(reach, kind="stable").tolist()
    return [_needed(search, moves, least_first) for moves in found]


def _needed(search: MoveSearch, moves: Array, least_first: list[int]) -> Array:
    """The moves (n) without those of which nothing is missed: what they bear on is right without
    them."""
    for cause in least_first:
        without = np.where(np.arange(len(moves)) == cause, 0.0, moves)
        off = np.abs(search.parts.h @ (search.centres[0] + without)) / search.parts.tolerance
        if (off[search.parts.h[:, cause] != 0] <= _RIGHT).all():
            moves = without
    return moves


def full_corrections(search: MoveSearch) -> Array:
    """Put every cause right; what cannot be moved is made up for by the others."""
    moves = search.possible(-search.centres)
    wood = search.one_way | (search.least_wood > 0)
    free = search.movable & ~(wood & (moves == 0))
    righted = np.where(free, -search.centres, 0.0)
    return search.possible(righted + search.centring(search.centres + righted, free))


def _one_fewer(search: MoveSearch, current: Array) -> tuple[Array, Array]:
    """Take out, from each set of moves, the one that is missed least; the rest take over."""
    tried: list[Array] = []
    for centre, moves in zip(search.centres, current, strict=False):
        used = np.flatnonzero(moves)
        free = np.tile(moves != 0, (len(used), 1))
        free[np.arange(len(used)), used] = False
        kept = np.where(free, moves, 0.0)
        tried.append(kept + search.centring(centre + kept, free))
    candidates = search.possible(np.concatenate(tried))
    values = search.worth(candidates)
    best = []
    for first, end in pairwise(np.cumsum([0, *map(len, tried)])):
        best.append(first + int(np.argmax(values[first:end])) if end > first else -1)
    chosen = np.array([np.zeros_like(current[0]) if i < 0 else candidates[i] for i in best])
    return chosen, np.array([-1.0 if i < 0 else values[i] for i in best])


def _polish(search: MoveSearch, moves: Array, worth: float) -> tuple[Array, float]:
    """Try one and two steps up and down on all that is moved, as long as it helps."""
    most = np.max(np.abs(search.parts.h) / search.parts.tolerance[:, None], axis=0)
    free = np.where(search.finest > 0, search.finest, _FREE_STEP / np.maximum(most, 1e-12))
    for _ in range(_POLISH_ROUNDS):
        used = np.flatnonzero(moves)
        if not len(used):
            break
        steps = np.where(search.parts.is_fine(moves), search.fine_step, free)
        either = np.tile([1.0, -1.0, 2.0, -2.0], len(used))[:, None]
        tried = search.possible(moves + np.diag(steps)[np.repeat(used, 4)] * either)
        values = search.worth(tried)
        top = int(np.argmax(values))
        if values[top] <= worth + _GAIN:
            break
        moves, worth = tried[top], float(values[top])
    return moves, worth
