"""How much longer than nominal to leave the first blanks, and which blanks can be saved.

All lengths are floats in millimetres.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import sqrt
from statistics import NormalDist

from setupsheets.corrections.causes import Cause
from setupsheets.corrections.observations import MeasurementModel


@dataclass(frozen=True)
class ChainLink:
    """One setting in the chain of a length: what 1 mm of it does to the length, and its spread."""

    cause: str
    sensitivity: float
    sd: float


def chain(measurement: MeasurementModel, causes: Iterable[Cause]) -> tuple[ChainLink, ...]:
    """Give the chain of a length: everything that makes it come out longer or shorter."""
    return tuple(
        ChainLink(c.name, measurement.sensitivities[c.name], c.prior_sd)
        for c in causes
        if measurement.sensitivities.get(c.name)
    )


def statistical(links: Iterable[ChainLink], scatter: float = 0.0) -> float:
    """Stack the chain statistically: the root of the sum of squares, mm."""
    return sqrt(sum((link.sensitivity * link.sd) ** 2 for link in links) + scatter**2)


def first_allowance(
    measurements: Sequence[MeasurementModel],
    causes: Sequence[Cause],
    blank: str,
    certainty: float = 0.95,
) -> float:
    """Give how much longer to leave the first blanks, mm, so that a first error can be cut away.

    Long enough that with this certainty no length that hangs on the blank comes out short; the
    lengths are taken one by one, the certainty shared among them. Never below nil. ValueError
    where no measurement hangs on the blank, or the certainty is not between 0 and 1.
    """
    if not 0 < certainty < 1:
        raise ValueError(f"certainty: expected between 0 and 1; found {certainty!r}")
    hanging = [m for m in measurements if m.sensitivities.get(blank)]
    if not hanging:
        raise ValueError(f"blank: no measurement depends on {blank!r}")
    scatter = {c.name: c.scatter_sd for c in causes}
    factor = NormalDist().inv_cdf(1 - (1 - certainty) / len(hanging))
    needs = []
    for measurement in hanging:
        share = measurement.sensitivities[blank]
        links = chain(measurement, causes)
        own = sqrt(measurement.scatter_sd**2 + (share * scatter.get(blank, 0.0)) ** 2)
        mean = sum(c.prior_mean * measurement.sensitivities.get(c.name, 0.0) for c in causes)
        needs.append((factor * statistical(links, own) - mean) / abs(share))
    return max(0.0, *needs)


@dataclass(frozen=True)
class SortedBlanks:
    """Blanks sorted by what can still be done with them, by name.

    trim gives how much to take off each that is long, mm; good need nothing; short gives how
    much each is too short by.
    """

    trim: Mapping[str, float]
    good: tuple[str, ...]
    short: Mapping[str, float]


def sort_blanks(deviations: Mapping[str, float], low: float, high: float) -> SortedBlanks:
    """Sort blanks by their deviations from the length now wanted, with its limits, mm.

    ValueError where the limits do not have nil between them.
    """
    if not low <= 0 <= high:
        raise ValueError(f"limits: expected low <= 0 <= high; found {low!r}, {high!r}")
    return SortedBlanks(
        trim={name: d for name, d in deviations.items() if d > high},
        good=tuple(name for name, d in deviations.items() if low <= d <= high),
        short={name: -d for name, d in deviations.items() if d < low},
    )


def lengths_served(length: float, wanted: Mapping[str, float]) -> tuple[str, ...]:
    """Name the parts that a blank too short for its own part still serves for, longest first.

    length is what the blank measures, wanted the blank lengths of the job's parts, mm.
    """
    fitting = [(need, name) for name, need in wanted.items() if need <= length]
    return tuple(name for _, name in sorted(fitting, key=lambda pair: (-pair[0], pair[1])))
