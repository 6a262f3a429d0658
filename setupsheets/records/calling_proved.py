"""What stands against calling a set-up proved: readings outside limits, too few right parts."""

from __future__ import annotations

from msgspec import Struct

from setupsheets.records.answer import Answer, DryFitAnswer
from setupsheets.records.record import Record


class Objections(Struct, frozen=True):
    """Why the test pieces do not prove a set-up; false where they do.

    ``outside`` are the measures of the last piece, nothing having been moved since, that lie
    outside their limits by the mean of their readings, but for one that was read again and is held
    to have been misread; ``share`` of parts would be right as the
    machines stand, where that is less than the ``needed`` one; ``unread`` says that no test piece
    was read at all.
    """

    outside: tuple[str, ...] = ()
    share: float | None = None
    needed: float = 1.0
    unread: bool = False

    def __bool__(self) -> bool:
        return bool(self.outside or self.unread or self.share is not None)


def objections(record: Record, found: Answer | DryFitAnswer | None, needed: float) -> Objections:
    """What stands against calling a record proved; ``found`` is what its test pieces come to and
    ``needed`` the share of right parts that the shop asks for."""
    last = record.pieces[-1] if record.pieces else None
    if last is None or not last.counted or found is None:
        return Objections(unread=True)
    outside = []
    for measure in record.measures:
        read = [r.found for r in last.counted if r.of == measure.name and r.found is not None]
        if not read or last.moved:
            continue
        if len(read) > 1 and (by := _misread(measure.name, found)):
            read.remove(max(read) if by > 0 else min(read))
        mean = sum(read[1:], read[0]) / len(read)
        if not measure.allows(mean - measure.target_on(last)):
            outside.append(measure.title)
    if isinstance(found, DryFitAnswer):
        return Objections(tuple(outside))
    share = found.advice.untouched
    enough = share >= needed or (found.ready and not found.moved)
    return Objections(tuple(outside), None if enough else share, needed)


def _misread(measure: str, found: Answer | DryFitAnswer) -> float:
    """By how much a measure of the last piece is held to have been misread, mm; 0 where it is
    not."""
    if isinstance(found, DryFitAnswer):
        return 0.0
    last = len(found.record.pieces) - 1
    return next(
        (
            each.amount
            for each in found.explanations.readings
            if (each.how, each.measurement, each.piece) == ("misreading", measure, last)
        ),
        0.0,
    )
