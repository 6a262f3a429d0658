"""What half and double of every tuning constant of the corrections do, in the simulated shop.

    python -m tests.benchmarks.tuning_constants --set-ups 12 --seed 1

That is 60 set-ups for each value, 12 of five recipes.

Each line is one constant at one value: test pieces for a set-up, bad parts, set-ups given up as
out of reach, milliseconds of processor for a set-up, and what was told of the first piece. The
shops are the same for every value; what happens in them differs once the advice differs: try other
seeds to see which differences say anything.
"""

import argparse
import os
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from functools import partial
from types import ModuleType

from msgspec import Struct
from msgspec.structs import replace

# Small matrices: threads of the linear algebra library would only get in each other's way.
os.environ.setdefault("OMP_NUM_THREADS", "1")
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import numpy as np

from setupsheets.corrections import (
    advice,
    causes,
    explain,
    filtering,
    hypotheses,
    limiting,
    observations,
    prediction,
    preposterior,
    search,
    stopping,
)
from setupsheets.corrections.belief import believe
from setupsheets.corrections.observations import TestPiece
from tests.benchmarks.simulated_machines import Shop, World, draw_offsets, first_errors
from tests.benchmarks.simulated_recipes import (
    Recipe,
    bar,
    bar_by_64ths,
    bar_by_hand,
    rail,
    sticking,
)
from tests.benchmarks.simulated_shop import with_tool

RECIPES = {
    "bar": bar(),
    "sticking": sticking(),
    "rail": rail(),
    "bar-64ths": bar_by_64ths(),
    "bar-by-hand": bar_by_hand(),
}

ROUGH = World(blunder=0.2, move_blunder=0.05, stray=0.02)
"""A shop where more goes wrong than the tool is told: most set-ups have a blunder, many two."""

BLUNDERED = 1.0
"""A setting that stands further than this off its machine's offset was blundered, mm."""

Change = Callable[[Recipe], Recipe]


class Figures(Struct, frozen=True):
    """How all set-ups went with one value of one constant, and what their first pieces were told.

    blamed counts the causes and readings that the first account blames, right is the share of
    first pieces where the causes that it blames are those that were blundered, accounts the lines
    of explanation.
    """

    pieces: float
    bad: float
    given_up: float
    milliseconds: float
    blamed: float
    right: float
    accounts: float

    def __str__(self) -> str:
        """As the constants' comments quote it."""
        return (
            f"{self.pieces:.2f} pieces, {100 * self.bad:.1f} % bad, {100 * self.given_up:.0f} %"
            f" given up, {self.milliseconds:.0f} ms; {self.blamed:.2f} blamed,"
            f" {100 * self.right:.0f} % right, {self.accounts:.1f} accounts"
        )


def run(
    recipes: Sequence[Recipe],
    set_ups: int,
    seed: int,
    world: World,
    told: Change = lambda recipe: recipe,
) -> Figures:
    """Set up every recipe that often; told gives the recipe as the tool is told of it."""
    outcomes, blamed, right, accounts = [], [], [], []
    took = 0.0
    for recipe in recipes:
        believed = told(recipe)
        for number in range(set_ups):
            start = np.random.default_rng([seed, number])
            offsets = draw_offsets(recipe, world, start)
            errors = first_errors(recipe, offsets, world, start)
            shop = Shop(recipe, world, errors.copy(), np.random.default_rng([seed, number, 3]))
            began = time.process_time()
            outcome, pieces = with_tool(shop, again=True, told=believed)
            took += time.process_time() - began
            outcomes.append(outcome)
            accounted = accounts_of(believed, pieces[0])
            there = {
                cause.name
                for cause, error, offset in zip(recipe.causes, errors, offsets, strict=True)
                if abs(error - offset) > BLUNDERED
            }
            best = accounted.ranked[0]
            blamed.append(len(best.causes) + len(best.readings))
            right.append({c.cause.name for c in best.causes if c.how == "blunder"} == there)
            accounts.append(len(accounted.ranked) + len(accounted.readings))
    cut = [outcome for outcome in outcomes if outcome.cut]
    return Figures(
        pieces=float(np.mean([outcome.pieces for outcome in outcomes])),
        bad=1 - float(np.mean([outcome.good for outcome in cut])),
        given_up=1 - len(cut) / len(outcomes),
        milliseconds=1000 * took / len(outcomes),
        blamed=float(np.mean(blamed)),
        right=float(np.mean(right)),
        accounts=float(np.mean(accounts)),
    )


def accounts_of(recipe: Recipe, piece: TestPiece) -> explain.Explanations:
    """What explains the first piece alone."""
    return explain.explain(believe(recipe.causes, recipe.measurements, [piece]))


@contextmanager
def changed(module: ModuleType, name: str, value: float) -> Iterator[None]:
    """A constant changed where it stands and wherever it was imported."""
    old = getattr(module, name)
    places = [each for each in MODULES if getattr(each, name, None) is old]
    for place in places:
        setattr(place, name, value)
    try:
        yield
    finally:
        for place in places:
            setattr(place, name, old)


MODULES = (
    *(advice, causes, explain, filtering, hypotheses, limiting, observations, prediction),
    *(preposterior, search, stopping),
)

CONSTANTS = (
    *((search, name) for name in ("_LEADING", "_LEAST_LEADING", "_POLISHED", "_POLISH_ROUNDS")),
    *((search, name) for name in ("_GAIN", "_TOO_FEW", "_FREE_STEP")),
    *((hypotheses, name) for name in ("LARGEST", "_ALL_PAIRS_UP_TO", "_SEEDS", "_MANY_SEEDS")),
    *((hypotheses, name) for name in ("_KEEP", "_ENOUGH", "_GROWTH", "_FITS_WITHIN")),
    *((preposterior, name) for name in ("_DRAWS", "_SHARE", "_MOST_HYPOTHESES", "_TELLING")),
    *((preposterior, name) for name in ("_NOTICEABLE",)),
    *((explain, name) for name in ("_LEAST", "_NOTEWORTHY", "_LIKELY", "_SLIGHT")),
    *((stopping, name) for name in ("MOST_PIECES", "MOST_READINGS")),
    *((stopping, name) for name in ("_WORTH_READING", "_ENOUGH_CHANCE")),
    *((prediction, name) for name in ("_EXACT_WEIGHT", "_QUICK_SHARE", "_QUICK_MOST")),
    (advice, "MOVE_WORTH"),
    (limiting, "_LANDING_SDS"),
    (observations, "_NEGLIGIBLE_SHARE"),
    (filtering, "_WRONG_MOVE"),
    (filtering, "_WRONG_RESET"),
)

CAUSES = ("blunder_probability", "blunder_sd", "reset_sd", "prior_sd")
MOVES = ("move_blunder_probability", "shift_probability")
MEASUREMENTS = ("stray_probability", "stray_sd")
INSTRUMENTS = ("misreading_probability", "misreading_sd")


def halved_and_doubled(value: float) -> tuple[float, float]:
    """Half and double of a value; of a share of nearly all, what is left out of it is meant."""
    if isinstance(value, int):
        return max(1, value // 2), 2 * value
    return (
        (1 - (1 - value) / 2, 1 - 2 * (1 - value)) if 0.75 < value < 1 else (value / 2, 2 * value)
    )


def in_causes(recipe: Recipe, field: str, factor: float) -> Recipe:
    """The recipe with a field of every cause multiplied."""
    made = (replace(c, **{field: factor * getattr(c, field)}) for c in recipe.causes)
    return replace(recipe, causes=tuple(made))


def in_measurements(recipe: Recipe, field: str, factor: float) -> Recipe:
    """The recipe with a field of every measurement multiplied."""
    made = (replace(m, **{field: factor * getattr(m, field)}) for m in recipe.measurements)
    return replace(recipe, measurements=tuple(made))


def in_instruments(recipe: Recipe, field: str, factor: float) -> Recipe:
    """The recipe with a field of every instrument multiplied."""
    made = {
        name: replace(tool, **{field: factor * getattr(tool, field)})
        for name, tool in recipe.instruments.items()
    }
    return replace(recipe, instruments=made)


def main() -> None:
    """Run from the command line."""
    parser = argparse.ArgumentParser(description="Half and double of every tuning constant.")
    parser.add_argument("--set-ups", type=int, default=12, help="of each recipe")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--recipe", choices=tuple(RECIPES), action="append")
    parser.add_argument("--rough", action="store_true", help="a shop where much goes wrong")
    parser.add_argument("--only", default="", help="a part of the constants' names")
    options = parser.parse_args()
    recipes = [RECIPES[name] for name in options.recipe or RECIPES]
    world = ROUGH if options.rough else World()
    once = partial(run, recipes, options.set_ups, options.seed, world)
    print(f"{len(recipes)} recipes x {options.set_ups} set-ups, seed {options.seed}")
    print(f"as is: {once()}", flush=True)
    for threshold in (0.8, 0.95) if options.only in "THRESHOLD" else ():
        sure = partial(run, recipes, options.set_ups, options.seed)
        asked = replace(world, threshold=threshold)
        print(f"THRESHOLD {world.threshold:g}, {threshold:g}: {sure(asked)}", flush=True)
    for module, name in CONSTANTS:
        if options.only not in name:
            continue
        value = getattr(module, name)
        for which, other in zip(("half", "double"), halved_and_doubled(value), strict=True):
            with changed(module, name, other):
                print(f"{name} {value:g}, {which} {other:g}: {once()}", flush=True)
    told = [(in_causes, "cause", field) for field in (*CAUSES, *MOVES)]
    told += [(in_measurements, "measurement", field) for field in MEASUREMENTS]
    told += [(in_instruments, "instrument", field) for field in INSTRUMENTS]
    for change, of, field in told:
        if options.only not in field:
            continue
        for which, factor in (("half", 0.5), ("double", 2.0)):
            change_it = partial(change, field=field, factor=factor)
            print(f"told {which} the {of}'s {field}: {once(told=change_it)}", flush=True)


if __name__ == "__main__":
    main()
