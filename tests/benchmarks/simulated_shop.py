"""A simulated shop: how many test pieces, and how many bad parts, with and without this tool.

    python -m tests.benchmarks.simulated_shop --shops 2000 --seed 1

Every shop has hidden offsets on its machines, slips (a blunder in about a fifth of the set-ups),
scatter from piece to piece and from setting again, rules and calipers with errors and misreadings,
and finest moves. The everyday rule and the tool work in the same shops: the rule moves each
setting by the whole error of the reading next to it and goes when one piece measures right.
"""

import argparse
import os
import time
from collections.abc import Iterable, Sequence
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from itertools import pairwise

from msgspec import Struct
from msgspec.structs import replace

# Small matrices: threads of the linear algebra library would only get in each other's way.
os.environ.setdefault("OMP_NUM_THREADS", "1")
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import numpy as np

from setupsheets.corrections.belief import Prior, believe
from setupsheets.corrections.causes import MethodSpread
from setupsheets.corrections.normal import Array
from setupsheets.corrections.observations import Reading, TestPiece
from setupsheets.corrections.offsets import (
    RANDOM_WALK_SD,
    OffsetEstimate,
    drift_model,
    estimate_offsets,
    offset_prior,
)
from setupsheets.corrections.preposterior import ReadingOption
from setupsheets.corrections.stopping import recommend
from tests.benchmarks.simulated_machines import Shop, World, draw_offsets, first_errors
from tests.benchmarks.simulated_recipes import (
    Recipe,
    bar,
    bar_by_64ths,
    bar_by_hand,
    rail,
    sticking,
    varied,
)

MOST_EVERYDAY = 20
RELOAD_YEARS = 3.0


class Outcome(Struct, frozen=True):
    """How one set-up went: test pieces, whether parts were cut, said and true chance of good."""

    pieces: int
    readings: int
    cut: bool
    said: float
    good: float


def everyday(shop: Shop, *, only_wrong: bool) -> Outcome:
    """Work by the everyday rule: the whole error of the reading next to each setting.

    only_wrong: leave settings alone whose reading is inside its tolerance.
    """
    recipe = shop.recipe
    index = {c.name: i for i, c in enumerate(recipe.causes)}
    count = len(recipe.measurements)
    for piece in range(1, MOST_EVERYDAY + 1):
        true = shop.cut()
        values = {m.name: _number(shop.read(true, m)) for m in recipe.measurements}
        wrong = {m.name: not m.low <= values[m.name] <= m.high for m in recipe.measurements}
        if not any(wrong.values()):
            return Outcome(piece, piece * count, True, 1.0, shop.chance_of_good())
        amounts = np.zeros(len(recipe.causes))
        for m in recipe.measurements:
            if only_wrong and not wrong[m.name]:
                continue
            i = index[recipe.neighbour[m.name]]
            finest = recipe.causes[i].finest
            whole = -values[m.name] / m.sensitivities[recipe.causes[i].name]
            amounts[i] = round(whole / finest) * finest
        shop.move(amounts)
    return Outcome(MOST_EVERYDAY, MOST_EVERYDAY * count, False, 0.0, 0.0)


def with_tool(
    shop: Shop, prior: Prior | None = None, *, again: bool, told: Recipe | None = None
) -> tuple[Outcome, list[TestPiece]]:
    """Work by the tool's advice, told the recipe (as it is, if not otherwise) and its history."""
    told = told or shop.recipe
    by_name = {m.name: m for m in shop.recipe.measurements}
    pieces: list[TestPiece] = []
    moves: dict[str, float] = {}
    readings = 0

    def read(true: Array, name: str) -> Reading:
        return replace(shop.read(true, by_name[name]), instrument=told.instruments[name])

    while True:
        true = shop.cut()
        taken = [read(true, name) for name in by_name]
        while True:
            readings += 1 if len(taken) > len(by_name) else len(taken)
            current = TestPiece(tuple(taken), moves)
            belief = believe(told.causes, told.measurements, [*pieces, current], prior)
            options = again_of(told) if again else ()
            advice, next_step = recommend(belief, threshold=shop.world.threshold, options=options)
            if next_step.kind != "measure again":
                break
            taken += [read(true, option.measurement) for option in next_step.readings]
        pieces.append(current)
        moves = advice.amounts
        said, cut = advice.probability, next_step.kind == "cut parts"
        if next_step.kind == "out of reach":
            return Outcome(len(pieces), readings, False, said, 0.0), pieces
        shop.move(np.array([moves.get(c.name, 0.0) for c in told.causes]))
        if cut:
            return Outcome(len(pieces), readings, True, said, shop.chance_of_good()), pieces


def again_of(recipe: Recipe) -> list[ReadingOption]:
    """Every reading can be taken again, with the instrument that it is always taken with."""
    return [ReadingOption(name, tool) for name, tool in recipe.instruments.items()]


def _number(reading: Reading) -> float:
    assert isinstance(reading.value, float)
    return reading.value


def dials_of(recipe: Recipe) -> dict[str, str]:
    """Every setting is on a dial of its own; blanks are cut anew for each set-up."""
    return {c.name: c.name for c in recipe.causes if c.kind == "setting"}


def reload(
    recipe: Recipe, history: list[OffsetEstimate], today: float
) -> tuple[Recipe, Prior, Array]:
    """The recipe as its machines are known, the prior, and by how much the figures are corrected.

    As records do: the offset is taken off in finest moves, and what that leaves is expected.
    """
    dials = dials_of(recipe)
    spreads = {c.name: MethodSpread(c.prior_sd, c.reset_sd) for c in recipe.causes}
    known = offset_prior(history, today, {name: drift_model(spreads[name]) for name in dials})
    put_in = np.zeros(len(recipe.causes))
    causes = list(recipe.causes)
    for i, cause in enumerate(causes):
        if cause.name in dials:
            mean, finest = known.mean(cause.name), cause.finest
            put_in[i] = round(mean / finest) * finest if finest else mean
            left = mean - float(put_in[i])
            causes[i] = replace(cause, prior_mean=left, prior_sd=known.sd(cause.name))
    told = {cause: dial for cause, dial in dials.items() if known.set_ups[dial]}
    return replace(recipe, causes=tuple(causes)), known.prior(causes, told), put_in


def one_shop(number: int, recipe: Recipe, world: World, seed: int) -> dict[str, Outcome]:
    """Set one shop up by every way of working, each with the same hidden start, and reload it."""
    start = np.random.default_rng([seed, number])
    offsets = draw_offsets(recipe, world, start)
    errors = first_errors(recipe, offsets, world, start)
    later = offsets + start.normal(0, RANDOM_WALK_SD * np.sqrt(RELOAD_YEARS), len(offsets))
    batch = np.array([cause.kind == "blank" for cause in recipe.causes])
    later[batch] = draw_offsets(recipe, world, start)[batch]
    fresh = first_errors(recipe, later, world, start)

    def shop(at: Array, stream: int) -> Shop:
        return Shop(recipe, world, at.copy(), np.random.default_rng([seed, number, stream]))

    found: dict[str, Outcome] = {}
    for name, only_wrong in (("everyday", False), ("everyday, only what is wrong", True)):
        first = shop(errors, 1)
        found[name] = everyday(first, only_wrong=only_wrong)
        again = shop(fresh + first.moved, 2)
        found[f"{name}; reload"] = everyday(again, only_wrong=only_wrong)
    for name, remeasure in (("tool, read once", False), ("tool, measuring again", True)):
        first = shop(errors, 3)
        found[name], pieces = with_tool(first, again=remeasure)
        shown = estimate_offsets(recipe.causes, recipe.measurements, pieces, dials_of(recipe))
        known, prior, put_in = reload(recipe, [shown] if found[name].cut else [], RELOAD_YEARS)
        again = shop(fresh - put_in, 4)
        found[f"{name}; reload"], _ = with_tool(again, prior, again=remeasure, told=known)
    return found


class Summary(Struct, frozen=True):
    """A way of working over all shops."""

    name: str
    mean_pieces: float
    high_pieces: float
    most_pieces: int
    readings: float
    bad: float
    bad_shops: float
    out_of_reach: float
    said: float


def summarise(name: str, outcomes: Sequence[Outcome]) -> Summary:
    """Summarise the outcomes of one way of working."""
    pieces = np.array([o.pieces for o in outcomes])
    cut = [o for o in outcomes if o.cut]
    good = np.array([o.good for o in cut]) if cut else np.ones(1)
    return Summary(
        name=name,
        mean_pieces=float(pieces.mean()),
        high_pieces=float(np.quantile(pieces, 0.9)),
        most_pieces=int(pieces.max()),
        readings=float(np.mean([o.readings for o in outcomes])),
        bad=float(1 - good.mean()),
        bad_shops=float((good < 0.5).mean()),
        out_of_reach=1 - len(cut) / len(outcomes),
        said=float(np.mean([o.said for o in cut])) if cut else 0.0,
    )


def calibration(outcomes: Iterable[Outcome]) -> list[tuple[float, float, int]]:
    """Give, by tenths of what was said, what was said, what was true, and how often."""
    cut = [o for o in outcomes if o.cut]
    edges = (0.9, 0.92, 0.94, 0.96, 0.98, 1.0001)
    rows = []
    for low, high in pairwise(edges):
        group = [o for o in cut if low <= o.said < high]
        if group:
            said = float(np.mean([o.said for o in group]))
            rows.append((said, float(np.mean([o.good for o in group])), len(group)))
    return rows


def simulate(
    recipe: Recipe, world: World, shops: int, seed: int, workers: int
) -> dict[str, list[Outcome]]:
    """Run all shops; the same seed gives the same outcomes whatever the number of workers."""
    work = partial(one_shop, recipe=recipe, world=world, seed=seed)
    if workers > 1:
        with ProcessPoolExecutor(workers) as pool:
            results = list(pool.map(work, range(shops), chunksize=10))
    else:
        results = [work(number) for number in range(shops)]
    return {name: [r[name] for r in results] for name in results[0]}


def settings() -> dict[str, tuple[Recipe, World, float]]:
    """The recipes and worlds to try, with the share of shops each gets."""
    usual = World()
    some = 0.1
    return {
        "bar": (bar(), usual, 1.0),
        "sticking": (sticking(), usual, some),
        "rail": (rail(), usual, some),
        "bar-64ths": (bar_by_64ths(), usual, some),
        "bar-by-hand": (bar_by_hand(), usual, some),
        "bar-95": (varied(bar(), "95 % asked for"), World(threshold=0.95), some),
        "bar-wide": (varied(bar(), "tolerances x 1.5", tolerance=1.5), usual, some),
        "bar-fine": (varied(bar(), "reading errors x 0.6", reading=0.6), usual, some),
        "bar-coarse": (varied(bar(), "reading errors x 1.4", reading=1.4), usual, some),
        "bar-loose": (varied(bar(), "re-setting scatter x 2.5", reset=2.5), usual, some),
        "bar-rough": (
            varied(bar(), "settings and readings 1.3 times worse than told, slips doubled"),
            World(blunder=0.06, move_blunder=0.02, truth=1.3),
            some,
        ),
    }


def report(name: str, outcomes: dict[str, list[Outcome]]) -> str:
    """Give a table of all ways of working."""
    lines = [
        f"## {name}",
        "",
        "| way of working | pieces, mean | 90th | most | readings | bad parts |"
        " shops with mostly bad | out of reach | said good |",
        "| --- | --- | --- | --- | --- | --- | --- | --- | --- |",
    ]
    for way, results in outcomes.items():
        s = summarise(way, results)
        lines.append(
            f"| {s.name} | {s.mean_pieces:.2f} | {s.high_pieces:.0f} | {s.most_pieces} |"
            f" {s.readings:.1f} | {100 * s.bad:.1f} % | {100 * s.bad_shops:.1f} % |"
            f" {100 * s.out_of_reach:.1f} % | {100 * s.said:.1f} % |"
        )
    tool = [o for way in outcomes if way.startswith("tool") for o in outcomes[way]]
    lines += ["", "| said good | were good | set-ups |", "| --- | --- | --- |"]
    lines += [f"| {100 * s:.1f} % | {100 * t:.1f} % | {n} |" for s, t, n in calibration(tool)]
    return "\n".join([*lines, ""])


def one_advice(repeats: int = 30) -> float:
    """The milliseconds of one advice: the bar's seven causes, six readings, three pieces."""
    recipe = bar()
    shop = Shop(recipe, World(), np.full(len(recipe.causes), 0.3), np.random.default_rng(1))
    pieces = []
    for _ in range(3):
        true = shop.cut()
        pieces.append(TestPiece(tuple(shop.read(true, m) for m in recipe.measurements)))
    took = []
    for _ in range(repeats):
        began = time.perf_counter()
        belief = believe(recipe.causes, recipe.measurements, pieces)
        recommend(belief, options=again_of(recipe))
        took.append(time.perf_counter() - began)
    return 1000 * float(np.median(took))


def main() -> None:
    """Run from the command line."""
    parser = argparse.ArgumentParser(description="Simulated shops, with and without the tool.")
    parser.add_argument("--shops", type=int, default=2000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--workers", type=int, default=os.cpu_count() or 1)
    parser.add_argument("--only", choices=sorted(settings()), action="append")
    options = parser.parse_args()
    for name, (recipe, world, share) in settings().items():
        if options.only and name not in options.only:
            continue
        shops = max(1, round(options.shops * share))
        began = time.perf_counter()
        outcomes = simulate(recipe, world, shops, options.seed, options.workers)
        took = time.perf_counter() - began
        title = f"{recipe.name}: {shops} shops, seed {options.seed}, {took:.0f} s"
        print(report(title, outcomes), flush=True)
    print(f"one advice, median of 30: {one_advice():.0f} ms")


if __name__ == "__main__":
    main()
