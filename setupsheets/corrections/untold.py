"""Moves that nobody told of: what a piece showed to be out is put right, and not a word is said.

A maker who reads that his blanks are a quarter long trims them before the next piece. Where nobody
has said what was done between two pieces, that is likelier than any slip of the eye. All lengths
are floats in millimetres.
"""

from collections.abc import Sequence

import numpy as np
from msgspec.structs import replace

from setupsheets.corrections.belief import Belief, Prior, believe, sensitivity_matrix
from setupsheets.corrections.causes import Cause
from setupsheets.corrections.observations import MeasurementModel, TestPiece
from setupsheets.corrections.roughness import Roughness

_ACCOUNTS = 3  # accounts of a piece that a maker may have gone by
_LEAST_ACCOUNT = 0.05  # weight of one that he may
_ALIKE = 0.2  # mm: amounts no further apart are one
_TO_ASK = 0.05  # chance from which it is asked: an answer costs no wood


def believe_as_told(
    causes: Sequence[Cause],
    measurements: Sequence[MeasurementModel],
    pieces: Sequence[TestPiece],
    told: Sequence[bool],
    prior: Prior,
    shops: tuple[Roughness, ...],
) -> Belief:
    """The belief after the pieces, of which `told` says whether it is known what was moved before.

    Before a piece of which it is not, whatever the earlier ones showed to be out may have been put
    right.
    """
    so_far: list[TestPiece] = []
    for piece, known in zip(pieces, told, strict=True):
        untold: dict[str, tuple[float, ...]] = {}
        if so_far and not known:
            untold = _shown_out(believe(causes, measurements, so_far, prior, shops), piece)
        so_far.append(replace(piece, untold=untold))
    return believe(causes, measurements, so_far, prior, shops)


def likely_untold(belief: Belief) -> dict[str, float]:
    """By cause, how far it was likely moved before the last piece though nobody has said so."""
    last, jumps = len(belief.pieces) - 1, belief.run.state.jumps
    chance, moved = dict[str, float](), dict[str, float]()
    for hypothesis, weight in zip(belief.hypotheses, belief.errors.weights.tolist(), strict=True):
        for i, amount in zip(hypothesis.jumps, hypothesis.amounts.tolist(), strict=True):
            if (jumps[i].kind, jumps[i].piece) == ("untold", last):
                subject = jumps[i].subject
                chance[subject] = chance.get(subject, 0.0) + weight
                moved[subject] = moved.get(subject, 0.0) + weight * amount
    return {name: moved[name] / each for name, each in chance.items() if each >= _TO_ASK}


def _shown_out(belief: Belief, piece: TestPiece) -> dict[str, tuple[float, ...]]:
    """By cause, the moves that would put right what a leading account says is out."""
    errors = belief.errors
    bounded = [m for m in belief.measurements if np.isfinite(m.low) or np.isfinite(m.high)]
    limits = np.array([m.limit for m in bounded])
    weight = (np.abs(sensitivity_matrix(belief.causes, bounded)) / limits[:, None]).max(axis=0)
    found: dict[str, list[float]] = {}
    for share, mean in zip(errors.weights[:_ACCOUNTS], errors.means[:_ACCOUNTS], strict=True):
        if share < _LEAST_ACCOUNT:
            continue
        for at in np.flatnonzero(np.abs(mean) * weight > 1):
            cause, amount = belief.causes[at], -float(mean[at])
            known = found.get(cause.name, [])
            new = all(abs(amount - each) > _ALIKE for each in known)
            if new and cause.movable and cause.name not in piece.moves:
                found[cause.name] = [*known, amount]
    return {name: tuple(amounts) for name, amounts in found.items()}
