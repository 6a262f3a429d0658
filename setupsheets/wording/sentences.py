"""Sentences with fields, filled with values: lengths as the shop writes them.

A field may say how its value is written, after a colon:

    {lock.depth}        what a thing has
    {depth}             a length as `Notation.show` writes it; text and numbers as they are
    {depth:mark}        a length by the nearest mark alone
    {width:glass}       a size of glass as it is ordered
    {by:size}           a length without its sign
    {by:small}          a tolerance, spread or gap as `Notation.small` writes it
    {size:large}        a length in feet or metres: `33 ft`, `22.9 m`
    {by:wider|narrower} the first of two where a length is more than nought, or of what is so
    {leaf:kg}           a weight in the shop's unit
    {bevel:degrees}     an angle
    {share:percent}     a share of 1
    {feet:.1f}          a number in Python's own way
    {sizes:, or }       several values, with this between them
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from fractions import Fraction
from string import Formatter
from typing import Any

from setupsheets.lengths import Length, Notation, Unit
from setupsheets.wording.figures import degrees, glaziers_size, percent, weight
from setupsheets.wording.lists import in_a_row


def fill(
    sentence: str,
    facts: Mapping[str, Any],
    notation: Notation,
    tell: Callable[[Any], str] = str,
) -> str:
    """The sentence with its fields filled; ``tell`` words the values that stand in a series.

    Raises KeyError for a field that there is no fact for.
    """
    return _Filler(notation, tell).vformat(sentence, (), facts)


class _Filler(Formatter):
    def __init__(self, notation: Notation, tell: Callable[[Any], str]) -> None:
        self.notation, self.tell = notation, tell

    def format_field(self, value: Any, format_spec: str) -> str:
        if isinstance(value, tuple):
            words = list(self._each(value))
            return in_a_row(words) if format_spec == ", " else format_spec.join(words)
        if "|" in format_spec:
            yes, no = format_spec.split("|")
            return yes if (value > Length.ZERO if isinstance(value, Length) else value) else no
        if isinstance(value, Length):
            return self._length(value, format_spec)
        if format_spec == "kg":
            return weight(value, self.notation)
        if format_spec == "degrees":
            return degrees(value)
        if format_spec == "percent":
            return percent(value)
        exact = isinstance(value, Fraction) and format_spec
        return format(float(value) if exact else value, format_spec)

    def _each(self, values: Iterable[Any]) -> Iterable[str]:
        for value in values:
            yield self.notation.show(value) if isinstance(value, Length) else self.tell(value)

    def _length(self, length: Length, way: str) -> str:
        writers: Mapping[str, Callable[[Length], str]] = {
            "": self.notation.show,
            "mark": self.notation.mark,
            "glass": lambda size: glaziers_size(size, self.notation),
            "size": lambda signed: self.notation.show(abs(signed)),
            "small": lambda signed: self.notation.small(abs(signed)),
            "large": self._large,
        }
        return writers[way](length)

    def _large(self, length: Length) -> str:
        if self.notation.unit is Unit.IN:
            return f"{float(length.inches) / 12:.3g} ft"
        return f"{float(length.mm) / 1000:.3g} m"
