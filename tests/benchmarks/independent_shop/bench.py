"""One set-up in the simulated shop: where everything really stands, cut, read and moved."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from setupsheets.machining.operations import SetUp
from setupsheets.machining.plan import Plan
from setupsheets.shop.finding import Shop
from tests.benchmarks.independent_shop.noise import BATCH, EACH, HELD, WAYS, Lasting, Luck
from tests.benchmarks.independent_shop.wood import MAKINGS, Bit, Hold, Making

TRIALS = 150


@dataclass(frozen=True)
class Limit:
    """What a measure should be, mm: target, low and high; by which instrument it is read."""

    target: float
    low: float
    high: float
    by: str


@dataclass(frozen=True)
class Drawing:
    """What a set-up should make: figures of its settings and blank, limits, ways of setting."""

    recipe: str
    making: Making
    aims: Mapping[str, float]
    limits: Mapping[str, Limit]
    dials: Mapping[str, str]
    ways: Mapping[str, Lasting]
    marks: Mapping[str, float]

    def measured(self, figures: Mapping[str, float]) -> dict[str, float]:
        """Give what a piece would measure with every edge held just so."""
        return MAKINGS[self.recipe](self.making, figures, lambda _: Hold(0, 0))


def draw(plan: Plan, set_up: SetUp, shop: Shop) -> Drawing:
    """Take the figures off the plan; ValueError where wood cut to them is not what it asks for."""
    subject = set_up.subject
    section = subject.end.mate if subject.end else subject.section
    assert section is not None
    sticking = section.sticking
    assert sticking is not None
    cutters = [operation.cutter for operation in set_up.operations if operation.cutter]
    kerf = next((float(c.kerf.mm) for c in cutters if c.kerf), 3.0)
    chisel = next((float(c.width.mm) for c in cutters if c.width), 10.0)
    bit = Bit(*(float(x.mm) for x in (sticking.width, sticking.depth, sticking.quirk)))
    causes = {
        setting.cause: (operation.machine.name, setting)
        for operation in set_up.operations
        for setting in operation.settings
    }
    aims = {cause: float(setting.aim.mm) for cause, (_, setting) in causes.items()}
    aims |= {
        "blank.length": float(subject.length.mm),
        "blank.width": float(subject.width.mm),
        "blank.thickness": float(subject.thickness.mm),
    }
    made = Drawing(
        recipe=set_up.recipe.name,
        making=Making(bit, kerf, chisel),
        aims=aims,
        limits={
            m.name: Limit(
                float(m.target.mm),
                float((m.target - m.under).mm),
                float((m.target + m.over).mm),
                m.instrument,
            )
            for m in set_up.measurements
        },
        dials={cause: f"{machine}.{s.name}" for cause, (machine, s) in causes.items()},
        ways={cause: WAYS[str(s.dial.set_by)] for cause, (_, s) in causes.items()},
        marks={cause: float(s.dial.finest.mm) for cause, (_, s) in causes.items()},
    )
    for name, value in made.measured(aims).items():
        if abs(value - made.limits[name].target) > 0.02:
            wanted = made.limits[name].target
            raise ValueError(f"{set_up.name}: {name} is {value:.3f} mm in wood, not {wanted:.3f}")
    return made


@dataclass
class Bench:
    """The machines as they are set now. `error` is where each stands less where it was meant to,
    `slipped` by how much one was set to another figure than was meant."""

    drawing: Drawing
    luck: Luck
    offsets: Mapping[str, float]
    error: dict[str, float] = field(default_factory=dict)
    figures: dict[str, float] = field(default_factory=dict)
    blundered: bool = False
    slipped: dict[str, float] = field(default_factory=dict)
    came: dict[str, float] = field(default_factory=dict)

    def begin(self, dialled: Mapping[str, float]) -> None:
        """Set every machine to its figure for the first time, and get the blanks out."""
        drawing, luck = self.drawing, self.luck
        self.figures = dict(dialled)
        for cause, figure in dialled.items():
            lands = luck.spread(drawing.ways[cause].landing)
            self.error[cause] = self.offsets[drawing.dials[cause]] + lands
            self.error[cause] += figure - drawing.aims[cause]
        for cause, spread in BATCH.items():
            self.error[cause] = luck.spread(spread)
        self.blundered = luck.happens(luck.world.blunder)
        if self.blundered:
            chosen = [*dialled, "blank.length"] if "cope" in drawing.recipe else list(dialled)
            cause = str(luck.rng.choice(chosen))
            self.slipped = {cause: luck.slip()}
            self.error[cause] += self.slipped[cause]
        self.came = {cause: self.error[cause] for cause in BATCH}

    def move(self, cause: str, amount: float, *, fine: bool = False) -> None:
        """Move one setting, or make blanks larger or smaller."""
        luck, drawing = self.luck, self.drawing
        if cause in BATCH:
            self.error[cause] += amount + luck.spread(0.12)
            return
        way = drawing.ways[cause]
        wrong = -2 * amount if luck.happens(luck.world.wrong_way) else 0.0
        self.figures[cause] += amount
        if fine and luck.world.shims:
            self.error[cause] += amount + wrong + luck.spread(way.fine)
        elif luck.world.onto or fine:
            self.error[cause] += amount + wrong + luck.spread(way.landing)
        else:
            stands = self.figures[cause] - drawing.aims[cause] + self.offsets[drawing.dials[cause]]
            self.error[cause] = stands + wrong + luck.spread(way.landing)

    def piece(self, longer: float = 0.0) -> dict[str, float]:
        """Cut a piece, its blank meant to be so much longer than the part: its true measures."""
        for cause in self.drawing.dials:
            if self.luck.happens(self.luck.world.creep):
                self.error[cause] += self.luck.slip()
        return self._cut(self.luck, longer)

    def _cut(self, luck: Luck, longer: float = 0.0) -> dict[str, float]:
        drawing = self.drawing
        at = {cause: drawing.aims[cause] + error for cause, error in self.error.items()}
        for cause, spread in EACH.items():
            at[cause] += luck.spread(spread)
        at["blank.length"] += longer

        def hold(_: str) -> Hold:
            off = luck.spread(HELD)
            if luck.happens(luck.world.badly_held):
                off += abs(float(luck.rng.normal(0, 0.8)))
            return Hold(off, luck.spread(HELD))

        blanks = {cause: at[cause] for cause in EACH}
        return MAKINGS[drawing.recipe](drawing.making, at, hold) | blanks

    def good(self) -> float:
        """Give the share of parts cut now that are inside every limit."""
        luck = Luck(self.luck.world, self.luck.unit, (7, TRIALS))
        return float(np.mean([self._right(self._cut(luck)) for _ in range(TRIALS)]))

    def _right(self, measured: Mapping[str, float]) -> bool:
        limits = self.drawing.limits
        return all(each.low <= measured[name] <= each.high for name, each in limits.items())

    def off(self) -> dict[str, float]:
        """Give by measure how far an average part is off the middle of its limits, mm."""
        at = {cause: self.drawing.aims[cause] + error for cause, error in self.error.items()}
        found = self.drawing.measured(at)
        limits = self.drawing.limits
        return {n: v - (limits[n].low + limits[n].high) / 2 for n, v in found.items()}

    def slope(self, measure: str, cause: str, *, as_it_stands: bool = False) -> float:
        """Give how far a measure moves for a hair's move of a setting, found by cutting.

        A cheek that the cope reaches as well moves one way only: the greater of both ways.
        """
        stands = self.error if as_it_stands else dict.fromkeys(self.error, 0.0)
        at = {name: self.drawing.aims[name] + error for name, error in stands.items()}
        before = self.drawing.measured(at)[measure]
        found = []
        for hair in (-0.05, 0.05):
            after = self.drawing.measured({**at, cause: at[cause] + hair})[measure]
            found.append((after - before) / hair)
        return max(found, key=abs)

    @property
    def worse_blanks(self) -> bool:
        """Whether the blanks stand further off than they came by more than 1/64 in (0.4 mm)."""
        return any(abs(self.error[c]) > abs(self.came[c]) + 0.4 for c in BATCH)
