"""What has changed in the shop since a record was made, and for which of its figures.

A dial that was re-aligned, a cutter that was ground, another machine or cutter in the place of
theirs: from that day on what was proved is no more than a start.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Iterator, Mapping
from enum import StrEnum

from msgspec import Struct
from msgspec.structs import replace

from setupsheets.lengths import Length
from setupsheets.machining.operations import Operation, SetUp
from setupsheets.records.record import CHECKED_WITHIN, Record, RecordedSetting, cutter_sizes
from setupsheets.shop.cutters import CutterEvent
from setupsheets.shop.finding import Shop
from setupsheets.shop.formula_names import FORMULA_NAMES
from setupsheets.shop.machines import MachineEvent, SettingName


class ChangeKind(StrEnum):
    """What can have changed since a record was made."""

    JOB_GONE = "job gone"
    RECIPE_GONE = "recipe gone"
    SECTION_GONE = "section gone"
    JOB = "job"  # it does not make the set-up any more
    FIGURE = "figure"  # that aims or targets come from
    RECIPE = "recipe"  # it makes other aims or targets of the same figures
    AIM = "aim"  # of a setting
    TARGET = "target"  # of a measure, where no aim has moved
    LIMIT = "limit"  # of a measure: it may be less far out
    MACHINE_GONE = "machine gone"
    MACHINE_OTHER = "machine other"  # the set-up is made on another one today
    MACHINE = "machine"  # something was done to it
    CUTTER_GONE = "cutter gone"
    CUTTER_OTHER = "cutter other"  # the set-up is made with another one today
    CUTTER = "cutter"  # something was done to it
    CUTTER_SIZE = "cutter size"  # it has another size today


_NO_FIGURE = (
    ChangeKind.JOB_GONE,
    ChangeKind.RECIPE_GONE,
    ChangeKind.SECTION_GONE,
    ChangeKind.JOB,
    ChangeKind.FIGURE,
    ChangeKind.RECIPE,
    ChangeKind.AIM,
    ChangeKind.TARGET,
    ChangeKind.LIMIT,
)
"""What changes no figure, or only by as much as the aim."""

SAME = Length("0.05 mm")
"""What no fit tells apart, the thickness of thin paper's half: common practice, no source."""


class ChangeSince(Struct, frozen=True):
    """One thing that has changed since a record was made: ``name`` is the job, cause, machine or
    cutter and ``other`` the one in its place, ``what`` was done to it on a ``date``; an aim, what a
    measure ``what`` should be, a figure or the size ``what`` was ``then`` and is ``now``; of a
    limit how far that may be out on the side ``other``, ``unborne`` where what was read does not
    prove it so; ``unsure`` says that it was on the day of the last test piece, and nobody told
    which came first. ``causes`` are the settings that it touches, ``shifts`` by how much that alone
    has moved the aims of any."""

    kind: ChangeKind
    name: str
    date: datetime.date | None = None
    what: str = ""
    then: Length = Length.ZERO
    now: Length = Length.ZERO
    other: str = ""
    unsure: bool = False
    unborne: bool = False
    causes: tuple[str, ...] = ()
    shifts: tuple[tuple[str, Length], ...] = ()

    @property
    def ends_proof(self) -> bool:
        """Whether what was proved before is no more than a start."""
        return self.kind not in _NO_FIGURE

    @property
    def tells_why(self) -> bool:
        """Whether it says why other figures are to be made."""
        return self.kind in (ChangeKind.FIGURE, ChangeKind.RECIPE)

    @property
    def asks_anew(self) -> bool:
        """Whether what was read before does not show how parts come out today: it ended the proof,
        or another figure is to be made, or to limits that it does not bear."""
        if self.kind is ChangeKind.LIMIT:
            return self.unborne
        return self.ends_proof or (abs(self.now - self.then) > SAME and not self.tells_why)


def now_called(machine: str, shop: Shop) -> str:
    """The name that a machine has today, by what its file says of where it was moved to."""
    return _called(machine, shop)[-1]


def _called(machine: str, shop: Shop) -> list[str]:
    """The names that a machine has had since it was called so, in their order."""
    names = [machine]
    while shop.has("machine", names[-1]):
        moved = [event.moved_to for event in shop.machine(names[-1]).events if event.moved_to]
        if not moved or moved[-1] in names:
            break
        names.append(moved[-1])
    return names


def events_of(machine: str, setting: SettingName, shop: Shop) -> Iterator[MachineEvent]:
    """Everything that ended what a dial was known for, under the names that the machine has had
    since it was called ``machine``, in the order of the files."""
    for name in _called(machine, shop):
        if shop.has("machine", name):
            yield from (event for event in shop.machine(name).events if event.reset(setting))


def changes_since(
    record: Record, made: SetUp | None, shop: Shop, today: datetime.date
) -> tuple[ChangeSince, ...]:
    """What has changed, up to a day, since the last test piece of a record; ``made`` is its set-up
    as the job makes it today, None where it does not. What happened on the day of that test piece,
    and is not told to have come before it, counts."""
    operations = _operations(made)
    found: dict[ChangeSince, list[str]] = {}
    moved = tuple(_aims(record, made, shop)) or tuple(_targets(record, made))
    for change in (*_gone(record, shop), *moved, *_limits(record, made)):
        found.setdefault(change, [change.name] if change.kind is ChangeKind.AIM else [])
    for setting in record.settings:
        operation = operations.get(setting.cause)
        for change in (
            *_machine(setting, operation, record, shop, today),
            *_cutter(setting, operation, record, shop, today),
        ):
            found.setdefault(change, []).append(setting.cause)
    if made is not None and moved:
        same = not any(change.ends_proof for change in found)
        found |= {change: [] for change in _moved_by(record, made, same_tools=same)}
    kinds = list(ChangeKind)
    whole = (replace(change, causes=tuple(causes)) for change, causes in found.items())
    return tuple(sorted(whole, key=lambda change: kinds.index(change.kind)))


def last_day(record: Record) -> datetime.date:
    """The day of a record's last test piece, its own where it has none."""
    return max([record.date, *(piece.date for piece in record.pieces)])


def may_still_stand(record: Record, today: datetime.date) -> bool:
    """Whether the machines may still stand as they did for a record's last test piece."""
    return abs(today - last_day(record)) <= CHECKED_WITHIN


def known_events(record: Record, shop: Shop) -> tuple[str, ...]:
    """What has happened to a record's machines and cutters on its day, as their files have it."""
    found: dict[str, None] = {}
    for item in record.settings:
        there = item.cutter and shop.has("cutter", item.cutter)
        happened: Mapping[str, Iterable[MachineEvent | CutterEvent]] = {
            item.machine: events_of(item.machine, item.setting, shop),
            item.cutter: shop.cutter(item.cutter).events if there else (),
        }
        for name, events in happened.items():
            today = (event for event in events if event.date == record.date)
            found |= {f"{name}: {event.what}": None for event in today}
    return tuple(found)


def came_after(
    name: str, event: MachineEvent | CutterEvent, record: Record, day: datetime.date, clock: str
) -> bool | None:
    """Whether something happened to a machine or cutter after a moment of a record's; None on the
    very day where the time of either is not told."""
    if event.date != day:
        return event.date > day
    if event.date == record.date and f"{name}: {event.what}" in record.after_events:
        return False
    if not event.time or not clock:
        return None
    return event.time.zfill(5) >= clock.zfill(5)


def _since(
    name: str,
    events: Iterable[MachineEvent | CutterEvent],
    record: Record,
    today: datetime.date,
) -> Iterator[tuple[MachineEvent | CutterEvent, bool]]:
    """What has happened to a machine or cutter, up to a day, since the last test piece of a record,
    and whether it is not told which came first."""
    day = last_day(record)
    clocks = [piece.time for piece in record.pieces if piece.date == day]
    clock = "" if "" in clocks else max((each.zfill(5) for each in clocks), default="")
    for event in events:
        after = came_after(name, event, record, day, clock)
        if after is not False and event.date <= today:
            yield event, after is None


def _operations(made: SetUp | None) -> Mapping[str, Operation]:
    """By cause the operation of today's set-up that it is set at."""
    if made is None:
        return {}
    return {setting.cause: each for each in made.operations for setting in each.settings}


def _gone(record: Record, shop: Shop) -> Iterator[ChangeSince]:
    for kind, thing, name in (
        (ChangeKind.JOB_GONE, "job", record.job),
        (ChangeKind.RECIPE_GONE, "recipe", record.recipe),
        (ChangeKind.SECTION_GONE, "section", record.section),
    ):
        if name and not shop.has(thing, name):
            yield ChangeSince(kind, name)


def _aims(record: Record, made: SetUp | None, shop: Shop) -> Iterator[ChangeSince]:
    if made is None:
        if shop.has("job", record.job):
            yield ChangeSince(ChangeKind.JOB, record.job)
        return
    aims = {setting.cause: setting.aim for setting in made.settings}
    for setting in record.settings:
        aim = aims.get(setting.cause, setting.aim)
        if aim != setting.aim:
            yield ChangeSince(ChangeKind.AIM, setting.cause, then=setting.aim, now=aim)


def _targets(record: Record, made: SetUp | None) -> Iterator[ChangeSince]:
    todays = {each.name: each.target for each in made.measurements} if made else {}
    for measure in record.measures:
        now = todays.get(measure.name, measure.target)
        if now != measure.target:
            kind, title = ChangeKind.TARGET, measure.title
            yield ChangeSince(kind, measure.name, what=title, then=measure.target, now=now)


def _moved_by(record: Record, made: SetUp, *, same_tools: bool) -> Iterator[ChangeSince]:
    """What has moved aims or targets: other figures of the job, a section or the recipe, else, by
    the ``same_tools``, the recipe itself. A record of earlier versions does not tell."""
    names = {each.name: each.what for each in FORMULA_NAMES}
    names |= {f"input.{name}": each.title for name, each in made.recipe.inputs.items()}
    told, moves = False, {setting.cause: setting.dial.finest for setting in made.settings}
    for name, then in record.hangs_on.items():
        now = made.hangs_on.get(name, then)
        if now != then:
            told = True
            yield ChangeSince(
                ChangeKind.FIGURE, name, what=names.get(name, name), then=then, now=now
            )
    dials = ((each.cause, each.dial) for each in record.settings if each.dial is not None)
    same_tools = same_tools and all(moves.get(c, dial.finest) == dial.finest for c, dial in dials)
    if record.hangs_on and same_tools and not told:
        yield ChangeSince(ChangeKind.RECIPE, record.recipe)


def _limits(record: Record, made: SetUp | None) -> Iterator[ChangeSince]:
    """The limits of measures that are narrower today."""
    todays = {each.name: each for each in made.measurements} if made else {}
    for then in record.measures:
        now = todays.get(then.name, then)
        for side, was, limit in (("under", then.under, now.under), ("over", then.over, now.over)):
            if limit < was:
                yield ChangeSince(
                    ChangeKind.LIMIT, then.name, what=then.title, then=was, now=limit, other=side
                )


def _machine(
    then: RecordedSetting,
    operation: Operation | None,
    record: Record,
    shop: Shop,
    today: datetime.date,
) -> Iterator[ChangeSince]:
    name = now_called(then.machine, shop)
    other = operation.machine.name if operation and operation.machine.name != name else ""
    if not shop.has("machine", name):
        yield ChangeSince(ChangeKind.MACHINE_GONE, then.machine, other=other)
    elif other:
        yield ChangeSince(ChangeKind.MACHINE_OTHER, then.machine, other=other)
    events = events_of(then.machine, then.setting, shop)
    for event, unsure in _since(then.machine, events, record, today):
        kind = ChangeKind.MACHINE
        yield ChangeSince(kind, then.machine, event.date, event.what, unsure=unsure)


def _cutter(
    then: RecordedSetting,
    operation: Operation | None,
    record: Record,
    shop: Shop,
    today: datetime.date,
) -> Iterator[ChangeSince]:
    if not then.cutter:
        return
    cutter = operation.cutter if operation else None
    other = cutter.name if cutter and cutter.name != then.cutter else ""
    if not shop.has("cutter", then.cutter):
        yield ChangeSince(ChangeKind.CUTTER_GONE, then.cutter, other=other)
        return
    if other:
        yield ChangeSince(ChangeKind.CUTTER_OTHER, then.cutter, other=other)
    for event, unsure in _since(then.cutter, shop.cutter(then.cutter).events, record, today):
        kind = ChangeKind.CUTTER
        yield ChangeSince(kind, then.cutter, event.date, event.what, unsure=unsure)
    known = shop.cutter(then.cutter)
    cutter = cutter or (None if known.stack else known)
    sizes = cutter_sizes(cutter) if cutter and not other else {}
    for size, was in then.cutter_sizes.items():
        if sizes.get(size, was) != was:
            yield ChangeSince(
                ChangeKind.CUTTER_SIZE, then.cutter, what=size, then=was, now=sizes[size]
            )
