"""What `log`, `recall`, `sheet` and `list` take with 10, 1,000 and 10,000 records in a shop.

    python -m tests.benchmarks.decades                  the larder, three sizes
    python -m tests.benchmarks.decades --records 10 300

Records are varied: jobs, set-ups, dates of thirty years, offsets, verdicts. Each command is run as
its own process, the best of two; what counts is the ratio to the shop with the fewest.
"""

from __future__ import annotations

import argparse
import datetime
import random
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from setupsheets.lengths import Length
from setupsheets.machining.plan import plan_of
from setupsheets.records.folder import write_new
from setupsheets.records.record import (
    Record,
    RecordedOffset,
    RecordedPiece,
    RecordedReading,
    Verdict,
    begin_record,
    record_name,
)
from setupsheets.shop.finding import Shop

EXAMPLE = Path(__file__).parents[2] / "examples" / "larder"
CROSS_BAR = "cope-crosscut-saw/cross-bar-into-stile"
COMMANDS = {
    "correct": ("correct", "larder", CROSS_BAR, "--found", "face_length=14 1/4"),
    "recall": ("recall", "cherry"),
    "sheet": ("sheet", "larder", "--to", "out"),
    "list": ("list", "jobs"),
}


def filled(place: Path, count: int) -> Path:
    """A shop with so many records, the same ones each time."""
    folder = Path(shutil.copytree(EXAMPLE, place, ignore=shutil.ignore_patterns("records")))
    shop = Shop.open(folder)
    plan = plan_of(shop.job("larder"), shop)
    chance = random.Random(count)
    kinds = [
        begin_record(plan, set_up, {}, datetime.date(2000, 1, 1))
        for set_up in plan.set_ups
        if set_up.measurements and set_up.settings
    ]
    for _ in range(count):
        record = _varied(chance.choice(kinds), chance)
        write_new(record, folder / "records", shop.settings.notation)
    return folder


def _varied(record: Record, chance: random.Random) -> Record:
    date = datetime.date(1996, 1, 1) + datetime.timedelta(days=chance.randrange(11000))
    proved = chance.random() < 0.8
    readings = tuple(
        RecordedReading(
            each.name, found=each.target + Length("1/64 in") * chance.randrange(-2, 3), by=each.by
        )
        for each in record.measures
        if not record.is_dry_fit
    )
    dials = {(item.machine, item.setting): item for item in record.settings}
    return replace(
        record,
        name=record_name(date, record.machines, record.set_up),
        date=date,
        job=f"job-{chance.randrange(400)}",
        pieces=(RecordedPiece(date, readings),),
        verdict=Verdict.PROVED if proved else Verdict.GIVEN_UP,
        after=tuple(
            RecordedOffset(*dial, Length(f"{chance.randrange(-30, 31)}/1000 in"), Length(".005 in"))
            for dial in dials
        )
        if proved
        else (),
    )


def seconds(folder: Path, command: Sequence[str]) -> float:
    """The shorter of two runs."""
    took = []
    for _ in range(2):
        start = time.perf_counter()
        subprocess.run(
            [sys.executable, "-m", "setupsheets", *command],
            cwd=folder,
            check=True,
            capture_output=True,
        )
        took.append(time.perf_counter() - start)
    return min(took)


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--records", type=int, nargs="+", default=[10, 1000, 10000])
    counts = parser.parse_args().records
    with tempfile.TemporaryDirectory() as place:
        rows = {}
        for count in counts:
            folder = filled(Path(place) / str(count), count)
            rows[count] = {name: seconds(folder, each) for name, each in COMMANDS.items()}
    print(f"{'records':>8}", *(f"{name:>16}" for name in COMMANDS))
    for count, took in rows.items():
        told = (
            f"{took[name]:6.2f} s ({took[name] / rows[counts[0]][name]:4.1f})" for name in COMMANDS
        )
        print(f"{count:>8}", *(f"{each:>16}" for each in told))


if __name__ == "__main__":
    main()
