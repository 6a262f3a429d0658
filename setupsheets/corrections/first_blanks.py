"""How much longer than nominal to leave the first blanks.

All lengths are floats in millimetres.
"""

from collections.abc import Sequence
from math import hypot
from statistics import NormalDist

from setupsheets.corrections.causes import Cause
from setupsheets.corrections.observations import MeasurementModel


def first_allowance(
    measurements: Sequence[MeasurementModel],
    causes: Sequence[Cause],
    blank: str,
    certainty: float = 0.95,
) -> float:
    """How much longer to leave the first blanks, mm, so that a first error can be cut away.

    Long enough that with this certainty no length that hangs on the blank comes out short; the
    lengths are taken one by one, the certainty shared among them. Never below 0. ValueError
    where no measurement hangs on the blank, or the certainty is not between 0 and 1.
    """
    if not 0 < certainty < 1:
        raise ValueError(f"certainty: expected between 0 and 1; found {certainty!r}")
    hanging = [m for m in measurements if m.sensitivities.get(blank)]
    if not hanging:
        raise ValueError(f"blank: no measurement depends on {blank!r}")
    factor = NormalDist().inv_cdf(1 - (1 - certainty) / len(hanging))
    needs = []
    for measurement in hanging:
        chain = [(c, measurement.sensitivities.get(c.name, 0.0)) for c in causes]
        spreads = [share * c.prior_sd for c, share in chain]
        spreads += [share * c.scatter_sd for c, share in chain if c.name == blank]
        mean = sum(share * c.prior_mean for c, share in chain)
        need = factor * hypot(*spreads, measurement.scatter_sd) - mean
        needs.append(need / abs(measurement.sensitivities[blank]))
    return max(0.0, *needs)
