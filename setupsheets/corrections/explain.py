"""What explains the readings: causes ranked by probability, and readings that none explains.

All lengths are floats in millimetres.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from setupsheets.corrections.belief import Belief
from setupsheets.corrections.causes import Cause
from setupsheets.corrections.hypotheses import Hypothesis, fits_badly
from setupsheets.corrections.kalman import Jump
from setupsheets.corrections.normal import Array
from setupsheets.corrections.observations import Fit

_NOTEWORTHY = 1.5
_LIKELY = 0.5
_SLIGHT = 0.2


@dataclass(frozen=True)
class SuspectCause:
    """A cause that is off: how it came about, by how much it is off, and since which piece.

    jump is how far the jump itself went, mm; error and sd are where the cause stood when the last
    piece was cut. explains names the measurements of that piece whose deviation it accounts for by
    half or more.
    """

    cause: Cause
    how: Literal["blunder", "move", "shift", "ordinary"]
    piece: int
    jump: float
    error: float
    sd: float
    explains: tuple[str, ...]


@dataclass(frozen=True)
class SuspectReading:
    """A reading that no cause explains: misread, or the piece was cut badly there."""

    how: Literal["misreading", "stray"]
    piece: int
    measurement: str
    amount: float
    probability: float


@dataclass(frozen=True)
class Explanation:
    """One account of all readings, and how probable it is.

    Without a jump, causes are the causes that are off by more than is usual, if any.
    """

    probability: float
    causes: tuple[SuspectCause, ...]
    readings: tuple[SuspectReading, ...]

    @property
    def ordinary(self) -> bool:
        """Say whether nothing jumped: all is within the usual spread."""
        return not self.readings and all(c.how == "ordinary" for c in self.causes)


@dataclass(frozen=True)
class Explanations:
    """All accounts worth telling, most probable first, and what to doubt before moving anything.

    readings are those that are more likely wrong than right, with their probability over all
    accounts; unexplained says that even the best account leaves more than scatter and reading
    error can be.
    """

    ranked: tuple[Explanation, ...]
    readings: tuple[SuspectReading, ...]
    unexplained: bool


def explain(belief: Belief, least: float = 0.01) -> Explanations:
    """Rank the accounts of the readings, leaving out those less probable than `least`."""
    groups: dict[tuple[tuple[str, ...], ...], list[Hypothesis]] = {}
    for hypothesis in belief.hypotheses:
        groups.setdefault(_kinds(belief, hypothesis), []).append(hypothesis)
    told = [_tell(belief, group) for group in groups.values()]
    told.sort(key=lambda e: -e.probability)
    best = belief.hypotheses[0]
    count = belief.run.state.count
    return Explanations(
        ranked=tuple(e for i, e in enumerate(told) if i == 0 or e.probability >= least),
        readings=_suspect_readings(belief),
        unexplained=fits_badly(best.misfit, count),
    )


def _jumps(belief: Belief, hypothesis: Hypothesis) -> list[tuple[Jump, float]]:
    """Give the jumps of a hypothesis with their amounts, mm.

    A jump of a cause that no reading has touched may be there or not: nothing tells of it, its
    amount comes out as nothing, and no account is made of it.
    """
    state = belief.run.state
    usual = {cause.name: cause.prior_sd for cause in belief.causes}
    found = zip(hypothesis.jumps, hypothesis.amounts.tolist(), strict=True)
    return [
        (jump, amount)
        for jump, amount in ((state.jumps[i], amount) for i, amount in found)
        if not _of_cause(jump) or abs(amount) > _SLIGHT * usual.get(jump.subject, 0.0)
    ]


def _kinds(belief: Belief, hypothesis: Hypothesis) -> tuple[tuple[str, ...], ...]:
    """Give what tells accounts apart: which causes jumped, which readings are doubted."""
    keys = {
        (e.kind, e.subject, str(e.piece))
        if e.kind in {"misreading", "stray"}
        else ("cause", e.subject)
        for e, _ in _jumps(belief, hypothesis)
    }
    return tuple(sorted(keys))


def _tell(belief: Belief, group: list[Hypothesis]) -> Explanation:
    """Put hypotheses that blame the same causes and readings into one account."""
    weights = np.array([h.weight for h in group])
    share = weights / weights.sum()
    size = len(belief.causes)
    means = np.array([h.mean[:size] for h in group])
    variances = np.array([np.diag(h.cov)[:size] for h in group])
    mean: Array = share @ means
    sd = np.sqrt(share @ (variances + (means - mean) ** 2))
    leading = _jumps(belief, group[0])
    jumped = {e.subject: (e, amount) for e, amount in leading if _of_cause(e)}
    causes = []
    for i, cause in enumerate(belief.causes):
        error = float(mean[i]) - belief.moved_since.get(cause.name, 0.0)
        spread = float(sd[i])
        explains = _explained(belief, cause, error)
        if cause.name in jumped:
            jump, amount = jumped[cause.name]
            how = _how(jump)
            causes.append(SuspectCause(cause, how, jump.piece, amount, error, spread, explains))
        elif not leading and belief.read and abs(error) > _NOTEWORTHY * spread and explains:
            causes.append(SuspectCause(cause, "ordinary", 0, 0.0, error, spread, explains))
    causes.sort(key=lambda c: (-len(c.explains), -abs(c.error), c.cause.name))
    doubts = tuple(
        SuspectReading(
            "stray" if e.kind == "stray" else "misreading", e.piece, e.subject, amount, 1.0
        )
        for e, amount in leading
        if not _of_cause(e)
    )
    return Explanation(float(weights.sum()), tuple(causes), doubts)


def _how(jump: Jump) -> Literal["blunder", "move", "shift"]:
    if jump.kind == "move":
        return "move"
    return "shift" if jump.kind == "shift" else "blunder"


def _of_cause(jump: Jump) -> bool:
    return jump.kind in {"blunder", "move", "shift"}


def _explained(belief: Belief, cause: Cause, error: float) -> tuple[str, ...]:
    """Name the measurements of the last piece of which the cause accounts for half or more."""
    if not belief.read:
        return ()
    values: dict[str, list[float]] = {}
    for reading in belief.read[-1].readings:
        if not isinstance(reading.value, Fit):
            values.setdefault(reading.measurement, []).append(reading.value)
    found = []
    for name, read in values.items():
        value = sum(read) / len(read)
        share = belief.measurement(name).sensitivities.get(cause.name, 0.0) * error
        if share and abs(value - share) <= abs(value) / 2:
            found.append(name)
    return tuple(found)


def _suspect_readings(belief: Belief) -> tuple[SuspectReading, ...]:
    """Give the readings that are more likely misread, or badly cut, than right."""
    chances: dict[tuple[str, str, int], list[tuple[float, float]]] = {}
    for hypothesis in belief.hypotheses:
        for jump, amount in _jumps(belief, hypothesis):
            if not _of_cause(jump):
                key = (jump.kind, jump.subject, jump.piece)
                chances.setdefault(key, []).append((hypothesis.weight, amount))
    found = []
    for (kind, name, piece), parts in chances.items():
        weight = sum(w for w, _ in parts)
        if weight > _LIKELY:
            how: Literal["misreading", "stray"] = "stray" if kind == "stray" else "misreading"
            amount = sum(w * a for w, a in parts) / weight
            found.append(SuspectReading(how, piece, name, amount, weight))
    return tuple(sorted(found, key=lambda d: -d.probability))
