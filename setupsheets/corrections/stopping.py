"""What next: cut the parts, measure again, cut another test piece, or stop because it is no use.

Never an endless loop: after MOST_PIECES test pieces the answer is parts or `out of reach`.
All lengths are floats in millimetres.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from setupsheets.corrections.advice import MOVE_WORTH, Advice, describe
from setupsheets.corrections.belief import Belief
from setupsheets.corrections.limiting import (
    LimitingFactor,
    limited_by_scatter,
    limiting_factor,
)
from setupsheets.corrections.observations import InstrumentModel
from setupsheets.corrections.prediction import predict_parts
from setupsheets.corrections.preposterior import ReadingOption, expected_information
from setupsheets.corrections.search import best_moves, move_search

# Tried at half and double in the simulated shop (tests/benchmarks/tuning_constants.py, 48 set-ups,
# seed 1), which as is takes 2.42 pieces, has 7.7 % bad parts and gives 4 % up.
THRESHOLD = 0.9  # 0.8: 1.58 pieces, 18.8 % bad; 0.95: 3.92 pieces, 3.6 % bad, 6 % given up
MOST_PIECES = 8  # half 2.33 pieces, 7.9 % bad, 6 % given up; double as is
MOST_READINGS = 3  # half (1) 3.96 pieces, 10.8 % bad, 6 % given up; double 2.21 pieces, 6.2 % bad

_WORTH_READING = 0.015  # half 2.40 pieces, 6.1 % bad; double 2.44 pieces, 8.7 % bad, 2 % given up
_ENOUGH_CHANCE = 0.1  # half 2.40 pieces, 7.7 % bad; double 2.44 pieces, 9.3 % bad

NextStep = Literal["cut parts", "measure again", "another test piece", "out of reach"]


@dataclass(frozen=True)
class Recommendation:
    """What to do next, and why.

    probability is for a part cut now, after the advised moves, to be inside every limit.
    readings are what to measure again; limit says what puts it out of reach, where it is.
    """

    kind: NextStep
    probability: float
    readings: tuple[ReadingOption, ...] = ()
    limit: LimitingFactor | None = None


def recommend(
    belief: Belief, *, threshold: float = THRESHOLD, options: Sequence[ReadingOption] = ()
) -> tuple[Advice, Recommendation]:
    """The moves to make now and what to do after them.

    options are readings that can still be taken from the last piece; none of them is asked for
    more than MOST_READINGS times. Parts are never cut before the first test piece.
    """
    parts = predict_parts(belief)
    moves = best_moves(move_search(belief, parts, MOVE_WORTH))
    advice = describe(belief, parts, moves)
    sure, count = advice.probability, len(belief.read)
    if count and sure >= threshold:
        return advice, Recommendation("cut parts", sure)
    if limit := limited_by_scatter(belief, parts, threshold):
        return advice, _out_of_reach(limit, sure)
    again = expected_information(belief, parts, moves, _open(belief, options), threshold)
    if again and (again.enough >= _ENOUGH_CHANCE or again.after - again.now >= _WORTH_READING):
        return advice, Recommendation("measure again", sure, again.options)
    to_come = _to_come(belief, options)
    left = MOST_PIECES - count
    if count and (limit := limiting_factor(belief, parts, to_come, threshold, left)):
        return advice, _out_of_reach(limit, sure)
    return advice, Recommendation("another test piece", sure)


def _out_of_reach(limit: LimitingFactor, probability: float) -> Recommendation:
    attainable = max(limit.attainable, probability)
    limit = replace(limit, attainable=attainable)
    return Recommendation("out of reach", probability, limit=limit)


def _open(belief: Belief, options: Sequence[ReadingOption]) -> list[ReadingOption]:
    """Leave out readings that were already taken often enough from the last piece.

    None is left once anything was moved: the piece no longer shows how the settings stand.
    """
    if not belief.pieces or not belief.pieces[-1].readings:
        return []
    taken = [(r.measurement, r.instrument.name) for r in belief.pieces[-1].readings]
    return [o for o in options if taken.count((o.measurement, o.instrument.name)) < MOST_READINGS]


def _to_come(belief: Belief, options: Sequence[ReadingOption]) -> list[ReadingOption]:
    """How pieces still to be cut will be measured: as offered, as read so far, or alike.

    What was never read nor offered is taken to be read with the finest instrument used so far.
    """
    read = [r for p in belief.read for r in p.readings]
    tools: dict[str, InstrumentModel] = {r.measurement: r.instrument for r in read}
    tools |= {o.measurement: o.instrument for o in options}
    if not tools:
        return []
    finest = min(tools.values(), key=lambda tool: tool.uncertainty)
    return [ReadingOption(m.name, tools.get(m.name, finest)) for m in belief.measurements]
