"""Blanks that are cut already: which can be trimmed, and what the short ones are still good for."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from msgspec import Struct
from msgspec.structs import replace

from setupsheets.lengths import Length
from setupsheets.records.record import BLANK_LENGTH, Record


class BlankFound(Struct, frozen=True):
    """One blank, counted from 1: how much longer than wanted it is, whether it is ``good`` as it
    is, and which parts one that is too short still serves for."""

    number: int
    longer: Length
    good: bool
    serves: tuple[str, ...] = ()

    @property
    def short(self) -> bool:
        """Whether it is no good for its own part."""
        return not self.good and self.longer < Length.ZERO


def blanks_found(
    record: Record, wanted: Length, lengths: Sequence[Length], parts: Mapping[str, Length]
) -> tuple[BlankFound, ...]:
    """The blanks of a set-up whose parts are ``wanted`` long over the tenons: first those to trim,
    then the good ones, then the short ones, each in their order.

    ``parts`` gives the blank lengths of all the job's parts, for those that are too short for their
    own. How far off a blank may be is the tolerance of the overall length, nil where none is kept.
    """
    overall = [item for item in record.measures if dict(item.moved_by) == {BLANK_LENGTH: 1}]
    under = min((item.under for item in overall), default=Length.ZERO)
    over = min((item.over for item in overall), default=Length.ZERO)
    shorter = sorted(parts.items(), key=lambda part: (-part[1], part[0]))
    found = []
    for number, length in enumerate(lengths, 1):
        blank = BlankFound(number, length - wanted, good=-under <= length - wanted <= over)
        serves = tuple(name for name, needed in shorter if needed <= length)
        found.append(replace(blank, serves=serves) if blank.short else blank)
    return tuple(sorted(found, key=lambda blank: (blank.short, blank.good)))
