"""What the commands take with 10, 1,000 and 10,000 records in a shop, its index cold and warm.

    python -m tests.benchmarks.decades                  the larder, three sizes
    python -m tests.benchmarks.decades --records 10 300

Records are varied: jobs, set-ups, dates of thirty years, offsets, verdicts; of each a head and up
to four acts beside it. Each command is run as its own process: once with no index there, then the
best of three; what counts is the ratio to the shop with the fewest. `sheet` is of a job of which
nothing has changed, `sheet, anew` of another day each time. `list` and `check` read all there is
and grow with it. All of it takes five minutes of processor time, most of it to write and to take
apart the ten thousand; a row is printed as soon as it is known.
"""

from __future__ import annotations

import argparse
import datetime
import os
import random
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path

from msgspec.structs import replace

from setupsheets.lengths import Length
from setupsheets.machining.plan import plan_of
from setupsheets.records.entry import Entry, entry_name
from setupsheets.records.folder import entry_text, record_text
from setupsheets.records.index import SETTLED_SECONDS
from setupsheets.records.open_set_up import MOMENT
from setupsheets.records.record import (
    Record,
    RecordedOffset,
    RecordedReading,
    begin_record,
    record_name,
)
from setupsheets.records.verdicts import Verdict
from setupsheets.shop.finding import Shop

EXAMPLE = Path(__file__).parents[2] / "examples" / "larder"
CROSS_BAR = "cope-crosscut-saw/cross-bar-into-stile"
TODAY = datetime.date(2026, 11, 26)
READ = ("--found", "face_length=14 1/4", "--date", str(TODAY))
ANEW = "sheet, anew"
COMMANDS = {
    "recall": ("recall", "cherry", "cross", "bar"),
    "sheet": ("sheet", "larder", "--to", "out"),
    ANEW: ("sheet", "larder", "--to", "out", "--date", "{day}"),
    "correct": ("correct", "larder", CROSS_BAR, *READ),
    "log": ("log", "larder", CROSS_BAR, *READ, "--next", "--did", "nothing"),
    "list": ("list", "records"),
    "check": ("check",),
}


def filled(place: Path, count: int) -> Path:
    """A shop with so many records, the same ones each time."""
    folder = Path(shutil.copytree(EXAMPLE, place, ignore=shutil.ignore_patterns("records")))
    shop = Shop.open(folder)
    plan = plan_of(shop.job("larder"), shop)
    chance = random.Random(count)
    kinds = [
        begin_record(plan, set_up, {}, FIRST)
        for set_up in plan.set_ups
        if set_up.measurements and set_up.settings
    ]
    # Heads of one kind differ in three words: each is written out once.
    bare = [replace(kind, job=JOB, begun=BEGUN) for kind in kinds]
    texts = {kind.set_up: record_text(kind, shop.settings.notation) for kind in bare}
    for _ in range(count):
        head, entries = _varied(chance.choice(kinds), chance)
        path = folder / "records" / f"{head.name}.yaml"
        beside = path.with_suffix("")
        beside.mkdir(parents=True)
        # Not as the program writes, which flushes each to the disk: nothing here is to be kept.
        text = texts[head.set_up].replace(str(FIRST), str(head.date), 1)
        path.write_text(text.replace(JOB, head.job).replace(BEGUN, head.begun), "utf-8")
        for entry in entries:
            text = entry_text(entry, shop.settings.notation)
            (beside / f"{entry.name}.yaml").write_text(text, "utf-8")
    return folder


def _varied(head: Record, chance: random.Random) -> tuple[Record, list[Entry]]:
    """A record of one of four hundred jobs, and the acts of one to three test pieces."""
    date = datetime.date(1996, 1, 1) + datetime.timedelta(days=chance.randrange(11000))
    proved = chance.random() < 0.8
    name = record_name(date, head.job, head.machines, head.set_up)
    begun = datetime.datetime(date.year, date.month, date.day, 8, tzinfo=datetime.UTC)
    entries: list[Entry] = []
    for _ in range(chance.randrange(1, 4)):
        named = entry_name(begun, entries[-1].name if entries else "")
        entries.append(Entry(named, date, readings=_read(head, chance), advice=ADVICE))
    if proved:
        dials = {(item.machine, item.setting): item for item in head.settings}
        after = tuple(
            RecordedOffset(*dial, Length(f"{chance.randrange(-30, 31)}/1000 in"), Length(".005 in"))
            for dial in dials
        )
        verdict = Entry(entry_name(begun, entries[-1].name), date, verdict=Verdict.PROVED)
        entries.append(replace(verdict, after=after, kept=f"nail {chance.randrange(40)}"))
    job = f"job-{chance.randrange(400)}" if chance.random() < 0.95 else "larder"
    return replace(head, name=name, date=date, job=job, begun=f"{begun:{MOMENT}}"), entries


FIRST = datetime.date(2000, 1, 1)
JOB, BEGUN = "job-of-the-head", "moment-of-the-head"
ADVICE = ("Cut the parts.", "leave alone: back cheek: stop, back shoulder: stop")


def _read(head: Record, chance: random.Random) -> tuple[RecordedReading, ...]:
    return tuple(
        RecordedReading(
            each.name, found=each.target + Length("1/64 in") * chance.randrange(-2, 3), by=each.by
        )
        for each in head.measures
        if not head.is_dry_fit
    )


def seconds(folder: Path, command: Sequence[str], days: Iterable[int]) -> float:
    """The processor time of the shortest run of those on these days: others work on the same
    machine."""
    took = []
    for day in days:
        before = os.times()
        subprocess.run(
            [
                sys.executable,
                "-m",
                "setupsheets",
                *(w.format(day=TODAY.replace(day=day)) for w in command),
            ],
            cwd=folder,
            check=command[0] != "check",  # not every job of the larder can be made
            capture_output=True,
        )
        after = os.times()
        took.append(sum(after[2:4]) - sum(before[2:4]))
    return min(took)


def without_index(folder: Path) -> None:
    """Throw away what earlier runs have left."""
    shutil.rmtree(folder / "records" / ".index", ignore_errors=True)


def measured(folder: Path, commands: Mapping[str, Sequence[str]]) -> Iterator[tuple[str, float]]:
    """What each command takes, cold and warm, in a shop whose files have lain for a while."""
    time.sleep(SETTLED_SECONDS)
    for name, command in commands.items():
        if name != ANEW:
            without_index(folder)
            yield f"{name}, cold", seconds(folder, command, [1])
        yield name, seconds(folder, command, [2, 3, 4])


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--records", type=int, nargs="+", default=[10, 1000, 10000])
    parser.add_argument("--commands", nargs="+", choices=list(COMMANDS), default=list(COMMANDS))
    asked = parser.parse_args()
    commands = {name: COMMANDS[name] for name in asked.commands}
    with tempfile.TemporaryDirectory() as place:
        shops = [filled(Path(place) / str(count), count) for count in asked.records]
        print(f"{'records':>18}", *(f"{count:>16}" for count in asked.records), flush=True)
        for rows in zip(*(measured(folder, commands) for folder in shops), strict=True):
            first = rows[0][1]
            told = (f"{took:7.2f} s ({took / first:4.1f})" for _, took in rows)
            print(f"{rows[0][0]:>18}", *told, flush=True)


if __name__ == "__main__":
    main()
