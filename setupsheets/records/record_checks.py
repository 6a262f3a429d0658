"""What a record's schema cannot say: names that lead nowhere or are given twice, limits that hold
nothing. A record that passes can be recalled, drawn and worked out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator

from setupsheets.files.faults import Fault, Step, unknown
from setupsheets.lengths import Length
from setupsheets.records.record import Record
from setupsheets.shop.formula_names import BLANK_CAUSES


def record_faults(record: Record) -> Iterator[Fault]:
    """Everything in a record that leads nowhere, in the order of the file."""
    yield from _twice(record, "cause", "settings", (each.cause for each in record.settings))
    yield from _twice(record, "name", "measures", (each.name for each in record.measures))
    causes = [*(each.cause for each in record.settings), *BLANK_CAUSES]
    for index, measure in enumerate(record.measures):
        place = ("measures", index)
        for name in ("under", "over"):
            if getattr(measure, name) <= Length.ZERO:
                message = "a limit is more than nought: how far from the target is still good"
                yield record.marks.fault(message, *place, name)
        yield from _unknown(record, measure.moved_by, causes, *place, "moved_by")
    measures = dict.fromkeys(each.name for each in record.measures)
    for index, piece in enumerate(record.pieces):
        place = ("pieces", index)
        yield from _unknown(record, piece.moved, causes, *place, "moved")
        for number, reading in enumerate(piece.readings):
            if reading.of not in measures:
                message = unknown("measure", reading.of, measures)
                yield record.marks.fault(message, *place, "readings", number, "of")
    dials = (each.name for each in record.after)
    yield from _twice(record, "setting", "after", dials)


def _twice(record: Record, key: str, place: str, names: Iterable[str]) -> Iterator[Fault]:
    """Names of a list that stand there more than once, each at its last place."""
    given = list(names)
    for name in (each for each, count in Counter(given).items() if count > 1):
        last = len(given) - 1 - given[::-1].index(name)
        message = f"{name!r} is given twice: take one out or call it otherwise"
        yield record.marks.fault(message, place, last, key)


def _unknown(
    record: Record, names: Iterable[str], known: list[str], *place: Step
) -> Iterator[Fault]:
    """Causes that are none of the record's settings and nothing of its blanks."""
    for name in names:
        if name not in known:
            yield record.marks.key_fault(unknown("cause", name, known), *place, name)
