"""Where on a dial something was learnt: to which side of the cutter, and at which figures.

A fence that comes out strong at 1 in to the far side of the blade says nothing of 43 in to the near
side: another scale, another end of the fence, the kerf between them.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from msgspec import Struct

from setupsheets.lengths import Length
from setupsheets.records.record import Record, RecordedOffset, RecordedSetting
from setupsheets.shop.finding import Shop
from setupsheets.shop.machines import ACROSS
from setupsheets.shop.recipes import MeasuredTo

CLOSE_BY = Length.millimetres(25)
"""Figures no further apart than this are set by the same stretch of a rule or a scale: about the
hand's own reach along it. Common practice, no source."""

TIMES = 2
"""Up to how many times a figure what was learnt there is taken to hold: the part of an error that
grows with the figure is then at most doubled. Common practice, no source."""


class DialStretch(Struct, frozen=True):
    """A stretch of a dial, to one side of the cutter, between two figures. ``side`` is empty for a
    dial that has no sides."""

    side: str
    least: Length
    greatest: Length

    def reaches(self, side: str | None, figure: Length) -> bool:
        """Whether what was learnt on it holds at a figure."""
        if side != self.side:
            return False
        return _near(figure, self.least) and _near(self.greatest, figure)

    def joins(self, other: DialStretch) -> bool:
        """Whether one is near enough to the other to be learnt from together."""
        near = _near(self.greatest, other.least) and _near(other.greatest, self.least)
        return self.side == other.side and near

    def with_(self, other: DialStretch) -> DialStretch:
        """Both and what lies between them."""
        least, greatest = min(self.least, other.least), max(self.greatest, other.greatest)
        return DialStretch(self.side, least, greatest)


def _near(less: Length, more: Length) -> bool:
    """Whether a figure is no further above another than what is learnt there reaches."""
    return more <= max(TIMES * less, less + CLOSE_BY)


def side_of(setting: RecordedSetting, record: Record, shop: Shop) -> str | None:
    """To which side a record's setting was measured: as it says, else as its recipe does; empty
    for a dial without sides, None where nobody knows any more."""
    if setting.setting not in ACROSS:
        return ""
    if setting.to is not None:
        return setting.to
    if not shop.has("recipe", record.recipe):
        return None
    name = setting.cause.partition(".")[0]
    for operation in shop.recipe(record.recipe).operations:
        if operation.name == name and setting.setting in operation.settings:
            return operation.settings[setting.setting].to
    return None


def side(setting: str, to: MeasuredTo) -> str:
    """The side that a setting of today is measured to; empty for a dial without sides."""
    return to if setting in ACROSS else ""


def stretch_of(record: Record, taught: RecordedOffset, shop: Shop) -> DialStretch | None:
    """Where on its dial a record was taught an offset; None where that is not known, or where it is
    of both sides together."""
    measured = {cause for measure in record.measures for cause in measure.moved_by}
    there = [
        item
        for item in record.settings
        if (item.machine, item.setting) == (taught.machine, taught.setting)
        and item.cause in measured
        and taught.to in (None, side_of(item, record, shop))
    ]
    sides = {side_of(item, record, shop) for item in there}
    (only,) = sides if len(sides) == 1 else (None,)
    if only is None:
        return None
    return DialStretch(only, min(item.aim for item in there), max(item.aim for item in there))


def joined(stretches: Iterable[DialStretch]) -> tuple[DialStretch, ...]:
    """The stretches of one dial, those that are near each other as one, by side and figure."""
    found: list[DialStretch] = []
    for each in sorted(set(stretches), key=lambda one: (one.side, one.least, one.greatest)):
        if found and found[-1].joins(each):
            found[-1] = found[-1].with_(each)
        else:
            found.append(each)
    return tuple(found)


def stretch_at(
    stretches: Mapping[str, DialStretch], side: str | None, figure: Length
) -> str | None:
    """The name of the stretch that a figure is set on, the nearest of several."""
    there = [name for name, one in stretches.items() if one.reaches(side, figure)]

    def away(name: str) -> Length:
        one = stretches[name]
        return max(one.least - figure, figure - one.greatest, Length.ZERO)

    return min(there, key=away, default=None)
