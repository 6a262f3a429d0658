"""Blanks that are cut already: which can be trimmed, and what the short ones are still good for."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from setupsheets.corrections.first_blanks import lengths_served, sort_blanks
from setupsheets.lengths import Length
from setupsheets.records.model import millimetres
from setupsheets.records.record import BLANK_LENGTH, Record


@dataclass(frozen=True)
class BlankFound:
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
    longer = {str(number): length - wanted for number, length in enumerate(lengths, 1)}
    off = {number: millimetres(by) for number, by in longer.items()}
    kinds = sort_blanks(off, -millimetres(under), millimetres(over))
    needs = {name: millimetres(length) for name, length in parts.items()}
    return tuple(
        BlankFound(
            number=int(number),
            longer=longer[number],
            good=number in kinds.good,
            serves=lengths_served(millimetres(wanted + longer[number]), needs)
            if number in kinds.short
            else (),
        )
        for number in (*kinds.trim, *kinds.good, *kinds.short)
    )
