"""An independent simulated shop: test pieces, bad parts, idle pieces, calibration, reloads.

    python -m tests.benchmarks.independent_shop --set-ups 200 --recipe cope-crosscut-saw

Truth is measured on wood that was cut (`wood`), noise is this benchmark's own (`noise`), recipes,
machines, starters and instruments are those that ship, and every answer is the one that `log`
would print, through records on disk.
"""

from __future__ import annotations

import argparse
import datetime
import os
import tempfile
import time
from collections.abc import Sequence
from contextlib import ExitStack, nullcontext
from itertools import pairwise
from pathlib import Path
from unittest.mock import patch

os.environ.setdefault("OMP_NUM_THREADS", "1")
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import numpy as np

from setupsheets.commands.shared import open_plan
from setupsheets.corrections.causes import MethodSpread
from setupsheets.corrections.roughness import AS_SAID
from setupsheets.lengths import Unit
from setupsheets.machining.operations import SetUp
from setupsheets.machining.plan import Plan
from setupsheets.records.open_set_up import OpenSetUp, open_set_up
from setupsheets.records.shop_records import ShopRecords
from setupsheets.records.verdicts import Verdict
from setupsheets.shop.finding import Shop
from setupsheets.shop.starting import start_shop, starter_files
from tests.benchmarks.independent_shop.bench import Bench, Drawing, draw
from tests.benchmarks.independent_shop.hands import (
    INSTRUMENTS,
    Outcome,
    close,
    everyday,
    sees,
    with_program,
)
from tests.benchmarks.independent_shop.noise import JUMP, JUMPS, WALK, WAYS, WORLDS, Luck, World

RECIPES = {
    "cope-crosscut-saw": "cope-crosscut-saw/top-rail-into-stile",
    "cope-router-table": "cope-router-table/top-rail-into-stile",
    "bar-grooved": "bar-grooved",
    "sticking-router-table": "sticking-router-table",
    "mortise-chisel": "mortise-chisel/stile-for-bottom-rail",
}
FIRST_DAY = datetime.date(2026, 1, 5)
SHIM = 0.002 * 25.4


class Place:
    """A shop folder as `begin` makes it, with one set-up of its job."""

    def __init__(self, folder: Path, recipe: str, unit: str) -> None:
        """Begin the folder; the cope's recipe is chosen as a shop would choose it."""
        start_shop(folder, starter_files(Unit(unit)))
        if recipe == "cope-router-table":
            path = folder / "shop.yaml"
            text = path.read_text().replace("cope: cope-crosscut-saw", "cope: cope-router-table")
            path.write_text(text)
        self.folder, self.unit = folder, unit
        self.shop: Shop
        self.plan: Plan
        records, self.plan = open_plan("first-door", folder, datetime.date.today())
        self.shop = records.shop
        self.set_up: SetUp = next(s for s in self.plan.set_ups if s.name == RECIPES[recipe])
        self.drawing: Drawing = draw(self.plan, self.set_up, self.shop)

    def clear(self) -> None:
        """Forget every record."""
        for path in (self.folder / "records").glob("*.yaml"):
            path.unlink()

    def record(self, day: datetime.date) -> OpenSetUp:
        """Open a new record for the set-up, as `log` does; no plan depends on a record."""
        return open_set_up(ShopRecords(self.shop), self.plan, self.set_up, day, afresh=True)


def offsets_of(drawing: Drawing, luck: Luck) -> dict[str, float]:
    """Draw where each machine's scale stands."""
    ways = {drawing.dials[cause]: way for cause, way in drawing.ways.items()}
    return {dial: luck.spread(way.offset) for dial, way in ways.items()}


def later(offsets: dict[str, float], luck: Luck) -> dict[str, float]:
    """Draw where they stand at the next set-up: wandered a little, one in twelve knocked."""
    moved = {dial: value + luck.bell(WALK) for dial, value in offsets.items()}
    return {d: v + (luck.bell(JUMPS) if luck.happens(JUMP) else 0.0) for d, v in moved.items()}


def told_all() -> ExitStack:
    """Tell the program how closely every setting of this shop lands and that it works just so."""
    ways = {name: MethodSpread(way.landing, way.landing, way.fine) for name, way in WAYS.items()}
    told = ExitStack()
    told.enter_context(patch("setupsheets.corrections.causes.METHOD_SPREAD", ways))
    told.enter_context(patch("setupsheets.records.offset_history.SHOPS", AS_SAID))
    return told


def one_set_up(
    place: Place,
    world: World,
    number: int,
    seed: int,
    *,
    disk: bool,
    alone: bool,
    known: bool = False,
) -> dict[str, Outcome]:
    """Set up once by every way of working, each from the same hidden beginning."""
    unit = place.unit
    offsets = offsets_of(place.drawing, Luck(world, unit, (seed, number)))
    if known:
        offsets = dict.fromkeys(offsets, 0.0)
    aims = {cause: place.drawing.aims[cause] for cause in place.drawing.dials}

    def bench(dialled: dict[str, float]) -> Bench:
        made = Bench(place.drawing, Luck(world, unit, (seed, number, 1)), offsets)
        made.begin(dialled)
        made.luck = Luck(world, unit, (seed, number, 2))
        return made

    found = {}
    if not alone:
        found["everyday rule"] = everyday(bench(aims), INSTRUMENTS[unit])
        found["sees true sizes, dial marks"] = sees(bench(aims), None, fine=False)
        found["sees true sizes, to .002 in"] = sees(bench(aims), SHIM, fine=False)
        found["sees true sizes, shims"] = sees(bench(aims), SHIM, fine=True)
    place.clear()
    record = place.record(FIRST_DAY)
    began = time.perf_counter()
    found["program"], _ = with_program(
        record, bench(aims), INSTRUMENTS[unit], today=FIRST_DAY, disk=disk
    )
    found["program"].seconds = time.perf_counter() - began
    return found


def reloads(
    place: Place, world: World, number: int, seed: int, counts: Sequence[int], *, looks: bool
) -> dict[int, Outcome]:
    """Set up again and again in one shop, by its records; those after `counts` of them. What is
    given up as out of reach is closed so."""
    unit, found = place.unit, {}
    luck = Luck(world, unit, (seed, number, 3))
    offsets = offsets_of(place.drawing, luck)
    place.clear()
    proved = 0
    for turn in range(max(counts) + 4):
        day = FIRST_DAY + datetime.timedelta(days=150 * turn)
        record = place.record(day)
        dialled = {s.cause: float(s.dialled.mm) for s in record.record.settings}
        bench = Bench(place.drawing, luck, offsets)
        bench.begin(dialled)
        out, record = with_program(
            record, bench, INSTRUMENTS[unit], today=day, disk=True, looks=looks
        )
        if proved in counts and proved not in found:
            found[proved] = out
        close(record, Verdict.PROVED if out.cut else Verdict.OUT_OF_REACH)
        proved += out.cut
        if len(found) == len(counts):
            break
        offsets = later(offsets, luck)
    return found


def row(name: str, outcomes: Sequence[Outcome]) -> str:
    """Give a line of the table."""
    n = len(outcomes)
    pieces = np.mean([o.pieces for o in outcomes])
    cut = [o for o in outcomes if o.cut]
    bad = sum(o.good < 0.5 for o in cut) / n
    right = np.mean([o.good for o in cut]) if cut else float("nan")
    stood = [o for o in outcomes if not o.cut and o.good >= 0.9]
    return (
        f"| {name} | {pieces:.2f} | {100 * len(cut) / n:.0f} % | {100 * bad:.1f} % |"
        f" {100 * right:.1f} % | {100 * sum(o.out_of_reach for o in outcomes) / n:.0f} % |"
        f" {100 * len(stood) / n:.0f} % | {np.mean([o.idle for o in outcomes]):.2f} |"
        f" {100 * sum(o.worse_blanks for o in outcomes) / n:.1f} % |"
        f" {np.mean([o.readings for o in outcomes]):.1f} |"
    )


HEAD = (
    "| way of working | pieces | cut | mostly bad | right of those cut | out of reach |"
    " stood right then | idle | blanks worse | readings |\n" + "| --- " * 10 + "|"
)


def calibration(outcomes: Sequence[Outcome]) -> list[str]:
    """Give what was said and what was true, by bins of what was said."""
    edges = (0.0, 0.9, 0.92, 0.94, 0.96, 0.98, 1.001)
    lines = ["| said | were | set-ups |", "| --- | --- | --- |"]
    for low, high in pairwise(edges):
        group = [o for o in outcomes if o.cut and low <= o.said < high]
        if group:
            said, good = np.mean([o.said for o in group]), np.mean([o.good for o in group])
            lines.append(f"| {100 * said:.1f} % | {100 * good:.1f} % | {len(group)} |")
    return lines


def main() -> None:
    """Print the table for every recipe and world asked for."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--set-ups", type=int, default=200)
    parser.add_argument("--recipe", action="append", choices=[*RECIPES], default=[])
    parser.add_argument("--noise", action="append", choices=[*WORLDS], default=[])
    parser.add_argument("--unit", choices=["in", "mm"], default="in")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--reloads", type=int, default=0, help="shops to set up again and again")
    parser.add_argument("--looks", action="store_true", help="who moves a dial far looks at it")
    parser.add_argument("--alone", action="store_true", help="the program alone: quicker")
    parser.add_argument("--memory", action="store_true", help="records in memory: quicker")
    parser.add_argument("--known", action="store_true", help="offsets and scatter are known")
    asked = parser.parse_args()
    told: dict[str, list[Outcome]] = {noise: [] for noise in asked.noise or ["said"]}
    for recipe in asked.recipe or RECIPES:
        with tempfile.TemporaryDirectory() as folder:
            place = Place(Path(folder) / "shop", recipe, asked.unit)
            for noise, outcomes in told.items():
                outcomes.extend(report(place, recipe, WORLDS[noise], asked))
    for noise, outcomes in told.items():
        print(f"\n## all of these recipes, noise {noise}\n", *calibration(outcomes), sep="\n")


def report(place: Place, recipe: str, world: World, asked: argparse.Namespace) -> list[Outcome]:
    """Print the tables of one recipe in one world; give what came of the program's set-ups."""
    ways = {"disk": not asked.memory, "alone": asked.alone, "known": asked.known}
    with told_all() if asked.known else nullcontext():
        runs = [
            one_set_up(place, world, number, asked.seed, **ways) for number in range(asked.set_ups)
        ]
    print(f"\n## {recipe}, noise {world.name}, {asked.set_ups} set-ups, seed {asked.seed}\n")
    tool = [run["program"] for run in runs]
    if runs:
        print(HEAD)
        for name in runs[0]:
            print(row(name, [run[name] for run in runs]))
        print(*["", *calibration(tool)], sep="\n")
        took = sum(o.seconds for o in tool) / max(sum(o.pieces for o in tool), 1)
        print(f"\n{1000 * took:.0f} ms a piece")
    if asked.reloads:
        found = [
            reloads(place, world, n, asked.seed, (0, 1, 2, 5), looks=asked.looks)
            for n in range(asked.reloads)
        ]
        print("\n" + HEAD)
        for count in (0, 1, 2, 5):
            if group := [f[count] for f in found if count in f]:
                print(row(f"program, {count} proved records ({len(group)})", group))
    return tool


if __name__ == "__main__":
    main()
