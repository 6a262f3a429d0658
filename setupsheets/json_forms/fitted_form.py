"""What the ends or panels of a set-up are fitted to, size by size, as `log`, `correct` and `recall`
have it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from setupsheets.joinery.members.parts import MadeAs
from setupsheets.json_forms.json_values import length, value
from setupsheets.lengths import Length, Notation
from setupsheets.shop.recipes import MadeSize
from setupsheets.wording.made_sizes import as_drawn_line, fitted_lines


def fitted_told(
    fits: Mapping[MadeSize, MadeAs], designed: Mapping[MadeSize, Length], notation: Notation
) -> list[dict[str, Any]]:
    """Each size that is fitted: to the mate's own record, to what the job's file says of it, or to
    the drawing, where neither is known; ``designed`` is empty where nobody knows that any more."""
    drawn = (_size(size, MadeAs(at), notation) for size, at in designed.items() if size not in fits)
    told = [_size(size, made, notation, measured=True) for size, made in fits.items()]
    return [*told, *drawn]


def _size(
    size: MadeSize, made: MadeAs, notation: Notation, *, measured: bool = False
) -> dict[str, Any]:
    words = as_drawn_line(size, made.size, notation)
    source = "drawing"
    if measured:
        (words,) = fitted_lines({size: made}, notation)
        source = "record" if made.record else "job"
    return {
        "size": size.value,
        "is": length(made.size, notation.show(made.size)),
        "source": source,
        "record": made.record or None,
        "date": value(made.date, notation),
        "words": words,
    }
