"""What a proven record teaches about its machines: by how much each dial stands off."""

from __future__ import annotations

from fractions import Fraction

import numpy as np

from setupsheets.corrections.belief import believe
from setupsheets.corrections.offsets import offset_estimate
from setupsheets.lengths import Length, Unit, read_length
from setupsheets.records.memory import dial_name
from setupsheets.records.model import (
    measurements_of,
    millimetres,
    pieces_of,
    vague_causes_of,
)
from setupsheets.records.record import Record, RecordedOffset
from setupsheets.shop.finding import Shop

_FINEST = {Unit.IN: Fraction(1, 2000), Unit.MM: Fraction(1, 100)}

# A dial must be known this much better than nothing before its test pieces have said anything.
_TELLING = 0.2


def lessons_of(record: Record, shop: Shop) -> tuple[RecordedOffset, ...]:
    """What a proven record teaches, with what ties its dials together.

    Only what its own test pieces say: nothing that was known before is told a second time, and a
    setting that they say nothing of is left out. A dial that was set more than once gives the mean.
    Rounded to half a thousandth of an inch or a hundredth of a millimetre: nothing is known finer.
    """
    causes = vague_causes_of(record, shop)
    shown = offset_estimate(believe(causes, measurements_of(record), pieces_of(record, shop)), 0.0)
    vague = {cause.name: cause.prior_sd for cause in causes}
    told = {
        item.cause: item
        for item in record.settings
        if item.cause in shown.names
        and shown.cov[(at := shown.names.index(item.cause)), at] ** 0.5
        < _TELLING * vague[item.cause]
    }
    dials = list(dict.fromkeys((item.machine, item.setting) for item in told.values()))
    if not dials:
        return ()
    share = np.zeros((len(dials), len(shown.names)))
    for row, dial in enumerate(dials):
        on = [cause for cause, item in told.items() if (item.machine, item.setting) == dial]
        share[row, [shown.names.index(cause) for cause in on]] = 1 / len(on)
    first = np.zeros(len(shown.names))
    for cause, item in told.items():
        first[shown.names.index(cause)] = millimetres(item.dialled - item.aim)
    means, cov = share @ (shown.means - first), share @ shown.cov @ share.T
    sds = np.sqrt(np.diag(cov))
    ties = cov / np.outer(sds, sds)
    names = [dial_name(*dial) for dial in dials]
    return tuple(
        RecordedOffset(
            machine=machine,
            setting=setting,
            offset=_rounded(float(means[row]), shop),
            give_or_take=_rounded(float(sds[row]), shop),
            tied={
                names[other]: tie
                for other in range(row + 1, len(dials))
                if (tie := Fraction(round(float(ties[row, other]) * 100), 100))
            },
        )
        for row, (machine, setting) in enumerate(dials)
    )


def _rounded(amount: float, shop: Shop) -> Length:
    finest = read_length(1, shop.settings.unit) * _FINEST[shop.settings.unit]
    steps = round(Length.millimetres(Fraction(amount)) / finest)
    return max(steps, 1) * finest if amount > 0 and not steps else steps * finest
