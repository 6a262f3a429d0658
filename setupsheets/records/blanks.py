"""Blanks that are cut already: which can be trimmed, and what the short ones are still good for."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from setupsheets.corrections.first_blanks import lengths_served, sort_blanks
from setupsheets.lengths import Length, Notation
from setupsheets.records.model import LENGTH, millimetres
from setupsheets.records.record import Record


def blank_lines(
    record: Record,
    wanted: Length,
    lengths: Sequence[Length],
    parts: Mapping[str, Length],
    notation: Notation,
) -> tuple[str, ...]:
    """What becomes of each blank of a set-up whose parts are ``wanted`` long over the tenons.

    ``parts`` gives the blank lengths of all the job's parts, for those that are too short for their
    own. How far off a blank may be is the tolerance of the overall length, nil where none is kept.
    """
    overall = [item for item in record.measures if dict(item.moved_by) == {LENGTH: 1}]
    under = min((item.under for item in overall), default=Length.ZERO)
    over = min((item.over for item in overall), default=Length.ZERO)
    names = [f"blank {number}" for number in range(1, len(lengths) + 1)]
    found = dict(zip(names, lengths, strict=True))
    off = {name: millimetres(length - wanted) for name, length in found.items()}
    sorted_ = sort_blanks(off, -millimetres(under), millimetres(over))
    lines = [f"{name}: trim {notation.show(found[name] - wanted)} off" for name in sorted_.trim]
    lines += [f"{name}: good as it is" for name in sorted_.good]
    needs = {name: millimetres(length) for name, length in parts.items()}
    for name in sorted_.short:
        serves = lengths_served(millimetres(found[name]), needs)
        use = f"still serves for: {', '.join(serves)}" if serves else "serves as a test piece"
        lines.append(f"{name}: {notation.show(wanted - found[name])} too short; {use}")
    saved = len(sorted_.trim) + len(sorted_.good)
    return (*lines, f"{saved} of {len(lengths)} blanks can be used for this part")
