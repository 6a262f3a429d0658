"""What to move, what to leave alone, and how sure the parts are afterwards.

All lengths are floats in millimetres, in each setting's own direction.
"""

from msgspec import Struct

from setupsheets.corrections.belief import Belief
from setupsheets.corrections.causes import Cause
from setupsheets.corrections.normal import Array
from setupsheets.corrections.prediction import Misses, PartsPrediction
from setupsheets.corrections.shown import causes_told

MOVE_WORTH = 0.015
"""How much better the parts' chance must get for one more move to be asked for: common practice, no
source."""


class Move(Struct, frozen=True):
    """What to do with one cause: move it by amount (mm, its own direction), or leave it alone.

    expected and sd are its error as believed before the move, mm. fine: by shims, against a gauge
    or by a thread, finer than by its marks. told: whether anything that was read bears on it.
    """

    cause: Cause
    amount: float
    expected: float
    sd: float
    fine: bool = False
    told: bool = True

    @property
    def leave_alone(self) -> bool:
        """Whether the cause stays as it is."""
        return self.amount == 0


class ExpectedReading(Struct, frozen=True):
    """How a measurement of a part cut after the moves will come out: deviation, mm, and chance."""

    measurement: str
    mean: float
    sd: float
    probability: float


class Advice(Struct, frozen=True):
    """A move or `leave alone` for every cause that can be moved, and how sure the parts are then.

    probability is for a part to be inside every limit after the moves; untouched is the same with
    nothing moved, within 0.01; misses is what becomes of the parts after the moves.
    """

    moves: tuple[Move, ...]
    expected: tuple[ExpectedReading, ...]
    probability: float
    untouched: float
    misses: Misses

    @property
    def amounts(self) -> dict[str, float]:
        """Only what is to be moved, mm by cause."""
        return {m.cause.name: m.amount for m in self.moves if m.amount}


def describe(belief: Belief, parts: PartsPrediction, moves: Array) -> Advice:
    """Moves (n), mm, as an advice with what is to be expected after them."""
    expected = zip(parts.names, *(each.tolist() for each in parts.expected(moves)), strict=True)
    misses = parts.misses(moves)
    probability = misses.right
    told = causes_told(belief)
    return Advice(
        moves=tuple(
            Move(
                cause,
                amount,
                belief.mean(cause.name),
                belief.sd(cause.name),
                fine,
                cause.name in told,
            )
            for cause, amount, fine in zip(
                belief.causes, moves.tolist(), parts.is_fine(moves).tolist(), strict=True
            )
            if cause.movable
        ),
        expected=tuple(ExpectedReading(*each) for each in expected),
        probability=probability,
        untouched=float(parts.likely(0 * moves[None])[0]) if moves.any() else probability,
        misses=misses,
    )
