"""What explains the readings: causes ranked by probability, and readings that none explains.

All lengths are floats in millimetres.
"""

from dataclasses import dataclass
from math import sqrt
from typing import Literal

import numpy as np

from setupsheets.corrections.belief import Belief
from setupsheets.corrections.causes import Cause
from setupsheets.corrections.hypotheses import Hypothesis
from setupsheets.corrections.normal import Array
from setupsheets.corrections.readings import Fit
from setupsheets.corrections.track import Event

_NOTEWORTHY = 1.5
_LIKELY = 0.5
_STEADY = 4.0
_SLIGHT = 0.2


@dataclass(frozen=True)
class Culprit:
    """A cause that is off: how it came about, by how much it is off, and since which piece.

    slip is how far the slip itself went, mm; error and sd are where the cause stood when the last
    piece was cut. explains names the measurements of that piece whose deviation it accounts for by
    half or more.
    """

    cause: Cause
    how: Literal["blunder", "move", "slip", "ordinary"]
    piece: int
    slip: float
    error: float
    sd: float
    explains: tuple[str, ...]


@dataclass(frozen=True)
class Doubt:
    """A reading that no cause explains: misread, or the piece was cut badly there."""

    how: Literal["misreading", "stray"]
    piece: int
    measurement: str
    amount: float
    probability: float


@dataclass(frozen=True)
class Explanation:
    """One account of all readings, and how probable it is.

    Without a slip, culprits are the causes that are off by more than is usual, if any.
    """

    probability: float
    culprits: tuple[Culprit, ...]
    doubts: tuple[Doubt, ...]

    @property
    def ordinary(self) -> bool:
        """Say whether nothing slipped: all is within the usual spread."""
        return not self.doubts and all(c.how == "ordinary" for c in self.culprits)


@dataclass(frozen=True)
class Explanations:
    """All accounts worth telling, most probable first, and what to doubt before moving anything.

    doubts are readings that are more likely wrong than right, with their probability over all
    accounts; unexplained says that even the best account leaves more than scatter and reading
    error can be.
    """

    ranked: tuple[Explanation, ...]
    doubts: tuple[Doubt, ...]
    unexplained: bool


def explain(belief: Belief, least: float = 0.01) -> Explanations:
    """Rank the accounts of the readings, leaving out those less probable than `least`."""
    groups: dict[tuple[tuple[str, ...], ...], list[Hypothesis]] = {}
    for hypothesis in belief.hypotheses:
        groups.setdefault(_kinds(belief, hypothesis), []).append(hypothesis)
    told = [_tell(belief, group) for group in groups.values()]
    told.sort(key=lambda e: -e.probability)
    best = belief.hypotheses[0]
    count = belief.intake.track.count
    return Explanations(
        ranked=tuple(e for i, e in enumerate(told) if i == 0 or e.probability >= least),
        doubts=_doubts(belief),
        unexplained=best.misfit > count + _STEADY * sqrt(2 * count),
    )


def _events(belief: Belief, hypothesis: Hypothesis) -> list[tuple[Event, float]]:
    """Give the events of a hypothesis with their amounts, mm.

    A slip of a cause that no reading has touched may be there or not: nothing tells of it, its
    amount comes out as nothing, and no account is made of it.
    """
    track = belief.intake.track
    usual = {cause.name: cause.prior_sd for cause in belief.causes}
    found = zip(hypothesis.events, hypothesis.amounts.tolist(), strict=True)
    return [
        (event, amount)
        for event, amount in ((track.events[i], amount) for i, amount in found)
        if not _of_cause(event) or abs(amount) > _SLIGHT * usual.get(event.subject, 0.0)
    ]


def _kinds(belief: Belief, hypothesis: Hypothesis) -> tuple[tuple[str, ...], ...]:
    """Give what tells accounts apart: which causes slipped, which readings are doubted."""
    keys = {
        (e.kind, e.subject, str(e.piece))
        if e.kind in {"misreading", "stray"}
        else ("cause", e.subject)
        for e, _ in _events(belief, hypothesis)
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
    leading = _events(belief, group[0])
    slips = {e.subject: (e, amount) for e, amount in leading if _of_cause(e)}
    culprits = []
    for i, cause in enumerate(belief.causes):
        error = float(mean[i]) - belief.moved_since.get(cause.name, 0.0)
        spread = float(sd[i])
        explains = _explained(belief, cause, error)
        if cause.name in slips:
            event, amount = slips[cause.name]
            how = _how(event)
            culprits.append(Culprit(cause, how, event.piece, amount, error, spread, explains))
        elif not leading and belief.read and abs(error) > _NOTEWORTHY * spread and explains:
            culprits.append(Culprit(cause, "ordinary", 0, 0.0, error, spread, explains))
    culprits.sort(key=lambda c: (-len(c.explains), -abs(c.error), c.cause.name))
    doubts = tuple(
        Doubt("stray" if e.kind == "stray" else "misreading", e.piece, e.subject, amount, 1.0)
        for e, amount in leading
        if not _of_cause(e)
    )
    return Explanation(float(weights.sum()), tuple(culprits), doubts)


def _how(event: Event) -> Literal["blunder", "move", "slip"]:
    if event.kind == "move":
        return "move"
    return "slip" if event.kind == "slip" else "blunder"


def _of_cause(event: Event) -> bool:
    return event.kind in {"blunder", "move", "slip"}


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


def _doubts(belief: Belief) -> tuple[Doubt, ...]:
    """Give the readings that are more likely misread, or badly cut, than right."""
    chances: dict[tuple[str, str, int], list[tuple[float, float]]] = {}
    for hypothesis in belief.hypotheses:
        for event, amount in _events(belief, hypothesis):
            if not _of_cause(event):
                key = (event.kind, event.subject, event.piece)
                chances.setdefault(key, []).append((hypothesis.weight, amount))
    found = []
    for (kind, name, piece), parts in chances.items():
        weight = sum(w for w, _ in parts)
        if weight > _LIKELY:
            how: Literal["misreading", "stray"] = "stray" if kind == "stray" else "misreading"
            amount = sum(w * a for w, a in parts) / weight
            found.append(Doubt(how, piece, name, amount, weight))
    return tuple(sorted(found, key=lambda d: -d.probability))
