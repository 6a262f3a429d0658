"""What explains the readings: causes ranked by probability, and readings that none explains.

All lengths are floats in millimetres.
"""

from typing import Literal

import numpy as np
from msgspec import Struct

from setupsheets.corrections.belief import Belief
from setupsheets.corrections.causes import Cause
from setupsheets.corrections.hypotheses import Hypothesis, fits_badly
from setupsheets.corrections.kalman import Jump, JumpKind
from setupsheets.corrections.observations import Fit
from setupsheets.corrections.shown import UnfollowedMove, moves_not_followed

# They choose what is told and move nothing.
_LEAST = 0.01  # probability of an account that is told
_MOST_TOLD = 3  # accounts that are told: a maker reads no more
_NOTEWORTHY = 1.5  # standard deviations off without a jump
_LIKELY = 0.5  # probability from which a reading is doubted
_SLIGHT = 0.2  # share of the usual spread that is no jump


class SuspectCause(Struct, frozen=True):
    """A cause that is off: how it came about, by how much it is off, and since which piece.

    jump is how far the jump itself went, mm; error and sd are where the cause stood when the last
    piece was cut. explains names the measurements of that piece whose deviation it accounts for by
    half or more.
    """

    cause: Cause
    how: JumpKind | Literal["ordinary"]
    piece: int
    jump: float
    error: float
    sd: float
    explains: tuple[str, ...]


class SuspectReading(Struct, frozen=True):
    """A reading that no cause explains: misread, or the piece was cut badly there (stray)."""

    how: JumpKind
    piece: int
    measurement: str
    amount: float
    probability: float


class Explanation(Struct, frozen=True):
    """One account of all readings, and how probable it is.

    Without a jump, causes are those that are off by more than is usual, if any; besides a jump
    those are told that are off by more than a little.
    """

    probability: float
    causes: tuple[SuspectCause, ...]
    readings: tuple[SuspectReading, ...]
    besides: tuple[SuspectCause, ...] = ()

    @property
    def ordinary(self) -> bool:
        """Whether nothing jumped: all is within the usual spread."""
        return not self.readings and all(c.how == "ordinary" for c in self.causes)


class Explanations(Struct, frozen=True):
    """All accounts worth telling, most probable first, and what to doubt before moving anything.

    readings are those more likely wrong than right, with their probability over all accounts;
    unexplained says that even the best account leaves more than scatter and reading error can be;
    unfollowed are the moves that the last piece plainly does not show.
    """

    ranked: tuple[Explanation, ...]
    readings: tuple[SuspectReading, ...]
    unexplained: bool
    unfollowed: tuple[UnfollowedMove, ...] = ()


def explain(belief: Belief) -> Explanations:
    """Rank the accounts of the readings, leaving out those that are hardly probable.

    Hypotheses that blame the same causes and readings are one account.
    """
    jumps = [_jumps(belief, hypothesis) for hypothesis in belief.hypotheses]
    accounts: dict[tuple[tuple[str, ...], ...], list[int]] = {}
    for i, found in enumerate(jumps):
        blamed = {
            ("cause", jump.subject) if jump.of_cause else (jump.kind, jump.subject, str(jump.piece))
            for jump, _ in found
        }
        accounts.setdefault(tuple(sorted(blamed)), []).append(i)
    chance = {key: float(belief.errors.weights[which].sum()) for key, which in accounts.items()}
    ranked = sorted(accounts, key=lambda key: -chance[key])[:_MOST_TOLD]
    told = [accounts[key] for i, key in enumerate(ranked) if i == 0 or chance[key] >= _LEAST]
    return Explanations(
        ranked=tuple(_account(belief, jumps[which[0]], which) for which in told),
        readings=suspect_readings(belief),
        unexplained=fits_badly(belief.hypotheses[0].misfit, belief.run.state.count),
        unfollowed=moves_not_followed(belief),
    )


def _jumps(belief: Belief, hypothesis: Hypothesis) -> list[tuple[Jump, float]]:
    """The jumps of a hypothesis with their amounts, mm.

    A jump of a cause that no reading has touched may be there or not: nothing tells of it, its
    amount comes out as nothing, and no account is made of it.
    """
    usual = {cause.name: cause.prior_sd for cause in belief.causes}
    jumps = [belief.run.state.jumps[i] for i in hypothesis.jumps]
    return [
        (jump, amount)
        for jump, amount in zip(jumps, hypothesis.amounts.tolist(), strict=True)
        if not jump.of_cause or abs(amount) > _SLIGHT * usual[jump.subject]
    ]


def _account(belief: Belief, jumps: list[tuple[Jump, float]], which: list[int]) -> Explanation:
    """The account that these hypotheses give, the first of which has the jumps."""
    errors = belief.errors.some(which)
    sds = np.sqrt(np.diag(errors.cov)).tolist()
    jumped = {jump.subject: (jump, amount) for jump, amount in jumps if jump.of_cause}
    causes, besides = [], []
    for cause, mean, sd in zip(belief.causes, errors.mean.tolist(), sds, strict=True):
        error = mean - belief.moved_since.get(cause.name, 0.0)
        explains = _explained(belief, cause, error)
        if cause.name in jumped:
            jump, amount = jumped[cause.name]
            causes.append(SuspectCause(cause, jump.kind, jump.piece, amount, error, sd, explains))
        elif jumps and abs(error) > _SLIGHT * cause.prior_sd:
            besides.append(SuspectCause(cause, "ordinary", 0, 0.0, error, sd, explains))
        elif not jumps and abs(error) > _NOTEWORTHY * sd and explains:
            causes.append(SuspectCause(cause, "ordinary", 0, 0.0, error, sd, explains))
    causes.sort(key=lambda c: (-len(c.explains), -abs(c.error), c.cause.name))
    readings = tuple(
        SuspectReading(jump.kind, jump.piece, jump.subject, amount, 1.0)
        for jump, amount in jumps
        if not jump.of_cause
    )
    chance = float(belief.errors.weights[which].sum())
    return Explanation(chance, tuple(causes), readings, tuple(besides))


def _explained(belief: Belief, cause: Cause, error: float) -> tuple[str, ...]:
    """Name the measurements of the last piece of which the cause accounts for half or more."""
    values: dict[str, list[float]] = {}
    for reading in belief.read[-1].readings if belief.read else ():
        if not isinstance(reading.value, Fit):
            values.setdefault(reading.measurement, []).append(reading.value)
    found = []
    for name, read in values.items():
        value = sum(read) / len(read)
        share = belief.measurement(name).sensitivities.get(cause.name, 0.0) * error
        if share and abs(value - share) <= abs(value) / 2:
            found.append(name)
    return tuple(found)


def suspect_readings(belief: Belief) -> tuple[SuspectReading, ...]:
    """The readings that are more likely misread, or badly cut, than right."""
    jumps = [_jumps(belief, hypothesis) for hypothesis in belief.hypotheses]
    chances: dict[tuple[JumpKind, str, int], list[tuple[float, float]]] = {}
    for weight, found in zip(belief.errors.weights.tolist(), jumps, strict=True):
        largest: dict[tuple[JumpKind, str, int], float] = {}
        for jump, amount in found:
            key = (jump.kind, jump.subject, jump.piece)
            if not jump.of_cause and abs(amount) >= abs(largest.get(key, 0.0)):
                largest[key] = amount  # read twice, misread twice: counted once
        for key, amount in largest.items():
            chances.setdefault(key, []).append((weight, amount))
    suspect = []
    for (kind, name, piece), parts in chances.items():
        chance = sum(weight for weight, _ in parts)
        if chance > _LIKELY:
            amount = sum(weight * each for weight, each in parts) / chance
            suspect.append(SuspectReading(kind, piece, name, amount, min(1.0, chance)))
    return tuple(sorted(suspect, key=lambda r: -r.probability))
