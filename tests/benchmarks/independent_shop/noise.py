"""What goes wrong in the shop, and how badly: families and constants of this benchmark alone.

None of it is taken from the program. Spreads by way of setting are common practice, no source, and
about as large as what the program assumes when nobody has measured anything: in the world `own` no
shop has them so. Everything else (heavy tails, whole-fraction misreadings, jumps) has a shape that
the program is not told of.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import sqrt
from types import MappingProxyType

import numpy as np

INCH = 25.4


@dataclass(frozen=True)
class Lasting:
    """mm: `offset` of the machine's own scale, `landing` of a re-setting, `fine` of a fine move."""

    offset: float
    landing: float
    fine: float


WAYS: Mapping[str, Lasting] = MappingProxyType(
    {
        "line": Lasting(0.30, 0.40, 0.06),
        "rule": Lasting(0.31, 0.25, 0.04),
        "scale": Lasting(0.47, 0.15, 0.04),
        "stop": Lasting(0.28, 0.10, 0.03),
        "dial": Lasting(0.24, 0.05, 0.03),
        "block": Lasting(0.09, 0.05, 0.03),
        "gauge": Lasting(0.12, 0.08, 0.03),
    }
)
BATCH: Mapping[str, float] = MappingProxyType(
    {"blank.length": 0.45, "blank.width": 0.28, "blank.thickness": 0.18}
)
"""How far a batch of blanks is off, mm."""

EACH: Mapping[str, float] = MappingProxyType(
    {"blank.length": 0.09, "blank.width": 0.09, "blank.thickness": 0.045}
)
"""How blanks of a batch differ, mm."""

HELD = 0.022
"""How far one end or edge is held off stop or table, mm."""

WALK = 0.03
"""How far an offset wanders from one set-up to the next, mm."""

JUMP = 0.08
"""Chance that somebody has knocked a scale between two set-ups; it then jumps by about JUMPS mm."""
JUMPS = 0.6

SLIPS_MM: Mapping[str, tuple[float, ...]] = MappingProxyType(
    {
        "in": tuple(INCH * part for part in (1 / 16, 1 / 8, 1 / 4, 1 / 2, 1 / 8, 1 / 32)),
        "mm": (1.0, 2.0, 3.0, 5.0, 10.0, 0.5),
    }
)
"""A wrong mark, or the wrong side of the line (a kerf): whole marks, by the shop's unit."""

MISREAD_MM: Mapping[str, tuple[float, ...]] = MappingProxyType(
    {
        "in": tuple(INCH * part for part in (1, 1 / 2, 1 / 4, 1 / 8, 1 / 8, 1 / 16, 1 / 16)),
        "mm": (100.0, 10.0, 10.0, 5.0, 1.0, 1.0),
    }
)
CALIPER_MISREAD_MM: Mapping[str, tuple[float, ...]] = MappingProxyType(
    {"in": tuple(INCH * part for part in (0.1, 0.025, 0.05, 0.1)), "mm": (1.0, 0.5, 10.0)}
)


@dataclass(frozen=True)
class World:
    """How rough this shop is against what its files say.

    `scale` multiplies every spread but the instruments'; `reads` those. `tails` are the degrees of
    freedom of Student's t (none: the bell). `slips` multiplies the chance of every kind of slip.
    `onto`: a re-setting lands about where it was, moved; otherwise afresh about the machine's
    offset. `shims`: a fine move lands closely; otherwise as any re-setting. `own`: each spread of
    each shop is so much of its own, the bell's spread of its natural logarithm: no two shops are
    alike, and none is as the program assumes.
    """

    name: str
    scale: float = 1.0
    reads: float = 1.0
    tails: float | None = 5.0
    slips: float = 1.0
    onto: bool = True
    shims: bool = True
    own: float = 0.0

    @property
    def blunder(self) -> float:
        """Chance that one setting or the blanks were blundered at a set-up: one in six."""
        return min(self.slips / 6, 0.5)

    @property
    def wrong_way(self) -> float:
        """Chance that a move goes the wrong way."""
        return 0.01 * self.slips

    @property
    def creep(self) -> float:
        """Chance, by setting and piece, that it is knocked."""
        return 0.001 * self.slips

    @property
    def misread(self) -> float:
        """Chance that a reading is a slip of the eye."""
        return 0.012 * self.slips

    @property
    def badly_held(self) -> float:
        """Chance that a chip lies under an end or edge."""
        return 0.003 * self.slips


WORLDS = {
    world.name: world
    for world in (
        World("said"),
        World("half", scale=0.5, reads=0.5),
        World("double", scale=2.0, reads=1.5),
        World("heavy", tails=2.5),
        World("none", slips=0.0),
        World("many", slips=3.0),
        World("afresh", onto=False),
        World("coarse", shims=False),
        World("own", own=0.5),
    )
}


class Luck:
    """Draws for one shop, in one stream."""

    def __init__(self, world: World, unit: str, seed: tuple[int, ...]) -> None:
        """Begin a stream; the same seed gives the same luck."""
        self.world, self.unit, self.shop = world, unit, seed[:2]
        self.rng = np.random.default_rng(seed)

    def bell(self, sd: float) -> float:
        """Draw about nil with a spread, mm, tails as the world has them."""
        tails = self.world.tails
        if tails is None:
            return float(self.rng.normal(0, sd))
        # Scaled so that the middle two thirds lie as with the bell where there is no variance.
        shrink = sqrt((tails - 2) / tails) if tails > 3 else 0.8
        return float(self.rng.standard_t(tails)) * sd * shrink

    def spread(self, sd: float) -> float:
        """Draw like `bell`, as rough as the world is and as this shop is in this spread."""
        return self.bell(sd * self.world.scale * self._own(sd))

    def _own(self, sd: float) -> float:
        """How many times as large this shop has a spread."""
        if not self.world.own:
            return 1.0
        rng = np.random.default_rng((*self.shop, round(sd * 1e5)))
        return float(np.exp(rng.normal(0, self.world.own)))

    def happens(self, chance: float) -> bool:
        """Say whether something of a chance happens."""
        return bool(self.rng.random() < chance)

    def slip(self) -> float:
        """Draw a blunder: whole marks either way, mm."""
        return float(self.rng.choice(SLIPS_MM[self.unit]) * self.rng.choice([-1, 1]))

    def misread(self, *, caliper: bool) -> float:
        """Draw a slip of the eye: a whole fraction four times in five, else anything."""
        if self.happens(0.2):
            return float(self.rng.normal(0, 3.0))
        marks = (CALIPER_MISREAD_MM if caliper else MISREAD_MM)[self.unit]
        return float(self.rng.choice(marks) * self.rng.choice([-1, 1]))

    def read(self, true: float, spread: float, resolution: float, *, caliper: bool) -> float:
        """Read a length: the hand's error, at times the eye's, to the instrument's marks."""
        value = true + self.bell(spread * self.world.reads * self._own(spread))
        if self.happens(self.world.misread):
            value += self.misread(caliper=caliper)
        return round(value / resolution) * resolution if resolution else value
