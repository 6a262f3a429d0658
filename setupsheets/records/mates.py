"""What ends and panels go into, as the records of the same job have it: a tenon is cut to the
mortise as it was chopped, a cope to the moulding as it was run, a panel to its groove.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping, Sequence
from enum import StrEnum

from msgspec import Struct
from msgspec.structs import replace

from setupsheets.joinery.members.parts import MadeAs
from setupsheets.lengths import Length
from setupsheets.machining.operations import SetUp
from setupsheets.machining.plan import Plan, plan_joinery
from setupsheets.machining.planning.fitted_ends import (
    Fitting,
    designed_sizes,
    goes_into,
    made_by,
    why_not,
)
from setupsheets.records.answer import answer
from setupsheets.records.changes import SAME, ChangeSince
from setupsheets.records.offset_history import offset_history
from setupsheets.records.record import Record, RecordedMeasure, RecordedPiece
from setupsheets.records.shop_records import ShopRecords
from setupsheets.records.standing import standing_record
from setupsheets.records.verdicts import Verdict
from setupsheets.shop.recipes import MadeSize


class MateState(StrEnum):
    """What is known of a size of a mate."""

    UNREAD = "unread"  # nothing that its parts can be cut by has been read
    DESIGNED = "designed"  # it came out as it was designed
    TAKEN = "taken"
    CHANGED = "changed"  # something has been done to its machine or cutter since
    UNFIT = "unfit"  # nothing can be fitted to that


class Mate(Struct, frozen=True):
    """One size of what a set-up's ends or panels go into: ``set_up`` makes it, ``found`` is how it
    came out, None where nobody knows, and ``made`` what they are fitted to, None where that is the
    design. ``since`` is what has changed, ``why`` says what cannot be fitted; ``later`` says that
    the route makes it only afterwards."""

    set_up: str
    size: MadeSize
    state: MateState
    found: MadeAs | None = None
    made: MadeAs | None = None
    since: tuple[ChangeSince, ...] = ()
    why: str = ""
    later: bool = False


def plan_as_made(plan: Plan, records: ShopRecords, today: datetime.date) -> Plan:
    """A plan with every end and panel fitted to what was measured on its mate, up to a day; what
    the job's file says of it wins. Where two mates differ the smaller figure counts: what is too
    thick goes into neither."""
    made: dict[tuple[str, Fitting], dict[MadeSize, MadeAs]] = {}
    for set_up in plan.set_ups:
        for mate, items in _mates(plan, set_up, records, today):
            if mate.made is None:
                continue
            for key in items:
                sizes = made.setdefault(key, {})
                if mate.size not in sizes or mate.made.size < sizes[mate.size].size:
                    sizes[mate.size] = mate.made
    if not made:
        return plan
    return plan_joinery(replace(plan.joinery, made=made), records.shop)


def mates_of(
    plan: Plan, set_up: SetUp, records: ShopRecords, today: datetime.date
) -> tuple[Mate, ...]:
    """What the ends or panels of a set-up go into; none of what the job's file says itself."""
    return tuple(mate for mate, _ in _mates(plan, set_up, records, today))


def _mates(
    plan: Plan, set_up: SetUp, records: ShopRecords, today: datetime.date
) -> Iterator[tuple[Mate, tuple[tuple[str, Fitting], ...]]]:
    """Each with the ends or panels, by their part, that go there."""
    every = tuple(made_by(set_up, plan.joinery))
    own, _ = standing_record(plan, set_up, records, today) if every else (None, ())
    for other in plan.set_ups:
        going = [(name, item) for name, item in every if goes_into(item, other)]
        sizes = dict.fromkeys(each.as_made for each in other.measurements if each.as_made)
        if not going or not sizes:
            continue
        found, since = _found(plan, other, records, today)
        for size in sizes:
            untyped = (key for key in going if size not in plan.job.as_made.get(key[0], {}))
            if items := tuple(untyped):
                mate = _mate(other.name, size, found.get(size), since, own, items)
                yield replace(mate, later=_number(other) > _number(set_up)), items


def _number(set_up: SetUp) -> int:
    """Where in the route a set-up begins."""
    return min(operation.number for operation in set_up.operations)


def _mate(
    set_up: str,
    size: MadeSize,
    found: MadeAs | None,
    since: tuple[ChangeSince, ...],
    own: Record | None,
    items: Sequence[tuple[str, Fitting]],
) -> Mate:
    """What a set-up was fitted to when its own record began goes on, as long as its mate is not
    known to have come out otherwise: a dial is not moved by what no fit tells apart."""
    kept = own.fits.get(size) if own is not None and size in own.measured_in else None
    if kept is not None and why_not(items[0][1], {size: kept.size}):
        kept = None
    if found is None:
        return Mate(set_up, size, MateState.UNREAD, made=kept)
    if since:
        return Mate(set_up, size, MateState.CHANGED, found, kept, since)
    designed = designed_sizes(items[0][1])[size]
    if abs(found.size - (kept.size if kept else designed)) <= SAME:
        state = MateState.TAKEN if kept else MateState.DESIGNED
        return Mate(set_up, size, state, found, kept)
    if why := why_not(items[0][1], {size: found.size}):
        return Mate(set_up, size, MateState.UNFIT, found, kept, why=why)
    return Mate(set_up, size, MateState.TAKEN, found, found)


def _found(
    plan: Plan, mate: SetUp, records: ShopRecords, today: datetime.date
) -> tuple[Mapping[MadeSize, MadeAs], tuple[ChangeSince, ...]]:
    """How a mate came out by the record that stands, once its parts can be cut so, and what has
    been done to its machines and cutters since."""
    record, changes = standing_record(plan, mate, records, today)
    if record is None or not _accepted(record, plan, mate, records, today):
        return {}, ()
    return sizes_made(record, mate), tuple(each for each in changes if each.ends_proof)


def _accepted(
    record: Record, plan: Plan, mate: SetUp, records: ShopRecords, today: datetime.date
) -> bool:
    """Whether the parts can be cut as a record's pieces have come out; every end and panel that
    goes there asks, of a job as it is designed and as it is fitted."""
    if record.verdict is not Verdict.OPEN or not record.pieces:
        return record.verdict is Verdict.PROVED
    machines = {each.machine.name: each.machine for each in mate.operations}

    def accepted() -> bool:
        history = offset_history(records, machines.values(), today)
        found = answer(record, plan.joinery.layout, records.shop, history)
        return found.ready and not found.moved

    return records.concluded((_accepted, record.name, *machines, today), accepted)


def sizes_made(record: Record, set_up: SetUp) -> Mapping[MadeSize, MadeAs]:
    """The sizes that others are fitted to as a record last has them, nothing that they hang on
    having been moved since: each as far from what the job asks for today as it was from what was
    asked for then."""
    measures = {measure.name: measure for measure in record.measures}
    found: dict[MadeSize, MadeAs] = {}
    for planned in set_up.measurements:
        if planned.as_made is None or planned.name not in measures:
            continue
        measure = measures[planned.name]
        if (last := _last_read(record, measure)) is not None:
            piece, mean = last
            size = planned.target + mean - measure.target_on(piece)
            found[planned.as_made] = MadeAs(size, record.name, piece.date)
    return found


_ALIKE = Length("1/64 in")
"""How far readings of one size may lie apart that are all right. Common practice, no source."""


def _last_read(record: Record, measure: RecordedMeasure) -> tuple[RecordedPiece, Length] | None:
    """The last piece that a measure was read on as the dials stand, and the mean of its readings,
    to the tenth of a thousandth of an inch that no caliper tells. Where it was read again since it
    had been misread, the reading nearer to its target is the right one: the parts can be cut so."""
    for piece in reversed(record.pieces):
        if any(cause in measure.moved_by for cause in piece.moved):
            return None
        read = [each.found for each in piece.counted if each.of == measure.name and each.found]
        if not read:
            continue
        target = measure.target_on(piece)
        near = min(read, key=lambda each: abs(each - target))
        alike = [each for each in read if abs(each - near) <= _ALIKE]
        mean = sum(alike[1:], alike[0]) / len(alike)
        return piece, mean if len(alike) == 1 else mean.rounded_to(Length(".0001 in"))
    return None
