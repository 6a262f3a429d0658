"""What is true in the simulated shop, and hidden from whoever works there: where its machines
stand, where a move lands, what a piece measures and what is read of it."""

from dataclasses import dataclass, field

import numpy as np
from msgspec import Struct

from setupsheets.corrections.belief import piece_scatter, sensitivity_matrix
from setupsheets.corrections.normal import Array, box_probability
from setupsheets.corrections.observations import MeasurementModel, Reading
from tests.benchmarks.simulated_recipes import Recipe


class World(Struct, frozen=True):
    """How the simulated shops differ from what the tool is told about them."""

    blunder: float = 0.03
    move_blunder: float = 0.01
    stray: float = 0.003
    truth: float = 1.0
    threshold: float = 0.9


@dataclass
class Shop:
    """One shop at one set-up: where everything really stands, and its luck from here on."""

    recipe: Recipe
    world: World
    errors: Array
    rng: np.random.Generator
    moved: Array = field(init=False)

    def __post_init__(self) -> None:
        """Nothing has been moved yet."""
        self.moved = np.zeros(len(self.errors))

    def move(self, amounts: Array) -> None:
        """Move settings: each lands with the scatter of setting again, a few the wrong way."""
        for i in np.flatnonzero(amounts):
            cause = self.recipe.causes[i]
            wrong = self.rng.random() < self.world.move_blunder
            self.errors[i] += -amounts[i] if wrong else amounts[i]
            self.errors[i] += self.rng.normal(0, cause.reset_sd * self.world.truth)
            self.moved[i] += amounts[i]

    def cut(self) -> Array:
        """Cut a piece: what its measurements really are."""
        causes, measurements = self.recipe.causes, self.recipe.measurements
        h = sensitivity_matrix(causes, measurements)
        blanks = np.array([self.rng.normal(0, c.scatter_sd) for c in causes])
        own = np.array([self.rng.normal(0, m.scatter_sd) for m in measurements])
        strayed = self.rng.random(len(measurements)) < self.world.stray
        strays = self.rng.normal(0, 2.0, len(measurements)) * strayed
        true: Array = h @ (self.errors + blanks) + own + strays
        return true

    def read(self, true: Array, measurement: MeasurementModel) -> Reading:
        """Read one measurement of a piece: rounded to the instrument's marks, at times misread."""
        at = self.recipe.measurements.index(measurement)
        tool = self.recipe.instruments[measurement.name]
        value = true[at] + self.rng.normal(0, tool.sd * self.world.truth)
        if self.rng.random() < tool.misreading_probability:
            value += self.rng.normal(0, tool.misreading_sd)
        if tool.resolution:
            value = round(value / tool.resolution) * tool.resolution
        return Reading(measurement.name, float(value), tool)

    def chance_of_good(self) -> float:
        """The true chance that a part cut now is inside every limit."""
        causes, measurements = self.recipe.causes, self.recipe.measurements
        mean = sensitivity_matrix(causes, measurements) @ self.errors
        low, high = (np.array([getattr(m, side) for m in measurements]) for side in ("low", "high"))
        cov = piece_scatter(causes, measurements)
        return float(box_probability(mean[None], cov[None], low, high)[0])


def first_errors(recipe: Recipe, offsets: Array, world: World, rng: np.random.Generator) -> Array:
    """Draw where settings stand at a first set-up: offset, scatter of setting, blunders."""
    errors = offsets.copy()
    for i, cause in enumerate(recipe.causes):
        errors[i] += rng.normal(0, cause.reset_sd * world.truth)
        if rng.random() < world.blunder:
            errors[i] += rng.choice([-1, 1]) * rng.uniform(1.5, 8.0)
    return errors


def draw_offsets(recipe: Recipe, world: World, rng: np.random.Generator) -> Array:
    """Draw the machines' own offsets, which last from set-up to set-up."""
    offsets: Array = rng.normal(0, 1, len(recipe.causes)) * _offset_spread(recipe) * world.truth
    return offsets


def _offset_spread(recipe: Recipe) -> Array:
    """The spread of each machine's own offset: what setting again does not scatter."""
    return np.array([np.sqrt(c.prior_sd**2 - c.reset_sd**2) for c in recipe.causes])
