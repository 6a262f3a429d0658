"""Finding a set-up of years ago by any words that one remembers, and what to set for it today."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from setupsheets.files.faults import DataFaults
from setupsheets.lengths import Length
from setupsheets.machining.operations import SetUp
from setupsheets.machining.plan import Plan, plan_of
from setupsheets.records.folder import records
from setupsheets.records.memory import Memory, remembered, words_of
from setupsheets.records.model import cause_title
from setupsheets.records.record import Record, RecordedSetting
from setupsheets.records.standing import pieces_to_expect
from setupsheets.shop.finding import Shop
from setupsheets.shop.spellings import asked_for


@dataclass(frozen=True)
class RecalledSetting:
    """One setting as it stood then in the end, and as it is now: ``now`` is what to dial today so
    that ``aim`` comes out, for what is known of the ``dial``."""

    title: str
    machine: str
    dial: str
    then_aim: Length
    then_dialled: Length
    aim: Length
    now: Length
    finest: Length
    because: str


@dataclass(frozen=True)
class Recalled:
    """A set-up of an earlier day, reloaded for today: what to set, and what has changed since."""

    record: Record
    settings: tuple[RecalledSetting, ...]
    changes: tuple[str, ...]
    pieces: int


def find_records(shop: Shop, words: str) -> list[Record]:
    """The records that all the words are found in, newest first: by profile, cutter, machine, job,
    timber, part, date or the place where the test piece hangs, in either spelling."""
    return [record for record in records(shop) if asked_for(words, " ".join(_texts(record)))]


def _texts(record: Record) -> Iterator[str]:
    yield from (record.name, record.job, record.set_up, record.recipe, record.section)
    yield from (record.timber, *record.parts, str(record.date), str(record.verdict))
    yield from (record.kept, record.notes)
    for setting in record.settings:
        yield from (setting.machine, setting.setting, setting.cutter)


def reload(record: Record, shop: Shop, today: datetime.date) -> Recalled:
    """A record's set-up for today, with what each machine is known by now put in."""
    names = sorted({setting.machine for setting in record.settings})
    machines = [shop.machine(name) for name in names if _is_there(shop, "machine", name)]
    memory = remembered(shop, machines, today)
    now = _today(record, shop)
    aims = {setting.cause: setting.aim for setting in now.settings} if now else {}
    fresh = tuple(replace(item, dialled=item.aim) for item in record.settings)
    settings = tuple(_setting(record, item, aims, memory, shop) for item in record.settings)
    return Recalled(
        record=record,
        settings=settings,
        changes=tuple(_changes(record, now, shop)),
        pieces=pieces_to_expect(replace(record, pieces=(), settings=fresh), shop, memory),
    )


def _is_there(shop: Shop, kind: str, name: str) -> bool:
    return any(found.name == name for found in shop.everything(kind))


def _today(record: Record, shop: Shop) -> SetUp | None:
    """The same set-up as the job would make it today; None where there is no such job or set-up."""
    if not _is_there(shop, "job", record.job):
        return None
    try:
        plan: Plan = plan_of(shop.job(record.job), shop)
    except DataFaults:
        return None
    return next((item for item in plan.set_ups if item.name == record.set_up), None)


def _setting(
    record: Record,
    setting: RecordedSetting,
    aims: Mapping[str, Length],
    memory: Memory,
    shop: Shop,
) -> RecalledSetting:
    aim = aims.get(setting.cause, setting.aim)
    known = memory.of(setting.machine, setting.setting)
    now, because = aim, "nothing known of this dial"
    finest = shop.settings.finest_mark
    if known is not None:
        dial = shop.machine(setting.machine).settings[setting.setting]
        finest, now = dial.finest, known.to_dial(aim, dial)
        sure = shop.settings.notation.small(known.give_or_take)
        because = f"{words_of(known, dial, shop)}, give or take {sure}"
    return RecalledSetting(
        title=cause_title(setting.cause),
        machine=setting.machine,
        dial=f"{setting.machine}, {setting.setting}",
        then_aim=setting.aim,
        then_dialled=record.dialled(setting.cause),
        aim=aim,
        now=now,
        finest=finest,
        because=because,
    )


def _changes(record: Record, now: SetUp | None, shop: Shop) -> Iterator[str]:
    """What has changed since the record: the job's figures, machines, cutters."""
    notation = shop.settings.notation
    if now is None:
        yield f"the job {record.job} does not make this set-up any more: the aims are those of then"
    else:
        aims = {setting.cause: setting.aim for setting in now.settings}
        for setting in record.settings:
            aim = aims.get(setting.cause)
            if aim is not None and aim != setting.aim:
                title, then = cause_title(setting.cause), notation.show(setting.aim)
                yield f"{title} is to be {notation.show(aim)} today and was {then}"
    for name in sorted({setting.machine for setting in record.settings}):
        if not _is_there(shop, "machine", name):
            yield f"the machine {name} is gone"
            continue
        for event in shop.machine(name).events:
            if event.date >= record.date:
                yield f"{name}, {event.date.isoformat()}: {event.what}"
    for name in sorted({setting.cutter for setting in record.settings if setting.cutter}):
        if not _is_there(shop, "cutter", name):
            yield f"the cutter {name} is gone"
            continue
        for change in shop.cutter(name).changes:
            if change.date >= record.date:
                yield f"{name}, {change.date.isoformat()}: {change.what}"
