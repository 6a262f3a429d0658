"""What a proven record teaches about its machines: by how much each dial stands off."""

from __future__ import annotations

from fractions import Fraction

import numpy as np

from setupsheets.corrections.offsets import estimate_offsets
from setupsheets.lengths import Length, Unit, read_length
from setupsheets.records.memory import dial_name
from setupsheets.records.model import causes_of, measurements_of, pieces_of
from setupsheets.records.record import Record, RecordedOffset
from setupsheets.shop.finding import Shop

_FINEST = {Unit.IN: Fraction(1, 2000), Unit.MM: Fraction(1, 100)}


def lessons_of(record: Record, shop: Shop) -> tuple[RecordedOffset, ...]:
    """What a proven record's own test pieces teach, with what ties its dials together.

    Rounded to half a thousandth of an inch or a hundredth of a millimetre: nothing is known finer.
    """
    dials = {item.cause: dial_name(item.machine, item.setting) for item in record.settings}
    shown = estimate_offsets(
        causes_of(record, shop), measurements_of(record), pieces_of(record, shop), dials
    )
    sds = np.sqrt(np.diag(shown.cov))
    ties = shown.cov / np.outer(sds, sds)
    places = {dials[item.cause]: (item.machine, item.setting) for item in record.settings}
    return tuple(
        RecordedOffset(
            *places[name],
            offset=_rounded(float(shown.means[row]), shop),
            give_or_take=_rounded(float(sds[row]), shop),
            tied={
                shown.names[other]: tie
                for other in range(row + 1, len(sds))
                if (tie := Fraction(round(float(ties[row, other]) * 100), 100))
            },
        )
        for row, name in enumerate(shown.names)
    )


def _rounded(amount: float, shop: Shop) -> Length:
    finest = read_length(1, shop.settings.unit) * _FINEST[shop.settings.unit]
    steps = round(Length.from_float(amount) / finest)
    return max(steps, 1) * finest if amount > 0 and not steps else steps * finest
