"""The same by brute force: every set of jumps, each with the density of all readings at once.

Nothing of the filter is in it. Every quantity is a sum of things that vary by themselves, and
normal theory does the rest (the conditional normal distribution is in any book on it, such as C. R.
Rao, Linear Statistical Inference and its Applications, 2nd edition (1973), section 8a.2).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from itertools import combinations
from typing import TypeAlias

import numpy as np

from setupsheets.corrections.causes import DRIFT_ODDS, DRIFT_SD, Cause
from setupsheets.corrections.normal import Array
from setupsheets.corrections.observations import InstrumentModel, MeasurementModel, TestPiece
from setupsheets.corrections.roughness import Roughness

Source: TypeAlias = tuple[str, str, int]
"""What varies by itself: its kind, whose it is, at which piece (or reading)."""
Sum: TypeAlias = defaultdict[Source, float]
SURE: Source = ("sure", "", 0)


@dataclass
class Reckoning:
    """The causes' errors and the readings as sums, with what varies and what may have jumped."""

    causes: Sequence[Cause]
    shop: Roughness
    errors: dict[str, Sum] = field(default_factory=dict)
    rows: list[Sum] = field(default_factory=list)
    read: list[float] = field(default_factory=list)
    variance: dict[Source, float] = field(default_factory=lambda: {SURE: 0.0})
    jumps: dict[Source, tuple[float, float]] = field(default_factory=dict)

    def varies(self, source: Source, sd: float) -> Source:
        self.variance[source] = sd**2
        return source

    def may_jump(self, source: Source, chance: float, sd: float) -> Source:
        if chance:
            self.jumps[source] = chance, sd
        return source

    def begin(self) -> None:
        for c in self.causes:
            wider = self.shop.landing if c.kind == "setting" else 1.0
            own = self.varies(("prior", c.name, 0), c.prior_sd * wider)
            slip = self.may_jump(("blunder", c.name, 0), c.blunder_probability, c.blunder_sd)
            self.errors[c.name] = Sum(float, {SURE: c.prior_mean, own: 1, slip: 1})

    def move(self, piece: TestPiece, number: int) -> None:
        for c in self.causes:
            error, setting = self.errors[c.name], c.kind == "setting"
            if c.name in piece.moves:
                amount = piece.moves[c.name]
                fine = c.name in piece.fine and not self.shop.coarse
                lands = (c.fine_sd if fine else c.reset_sd) * (self.shop.landing if setting else 1)
                error[SURE] += amount
                error[self.varies(("landing", c.name, number), lands)] = 1
                wrong = max(2 * abs(amount), 4 * c.reset_sd)
                chance = c.move_blunder_probability
                error[self.may_jump(("move", c.name, number), chance, wrong)] = 1
            elif number and c.movable:
                by_itself = c.shift_probability, c.blunder_sd
                error[self.may_jump(("shift", c.name, number), *by_itself)] = 1
            if number and c.movable and setting:
                creeps = DRIFT_ODDS * c.shift_probability, DRIFT_SD
                error[self.may_jump(("drift", c.name, 1), *creeps)] += 1

    def cut(self, measurements: Sequence[MeasurementModel], piece: TestPiece, number: int) -> None:
        models = {m.name: m for m in measurements}

        def of_wood(cause: str, copy: int) -> Source:
            by_itself = next(c.scatter_sd for c in self.causes if c.name == cause)
            source = f"wood {copy}", cause, number
            return self.varies(source, by_itself * self.shop.pieces)

        for reading in piece.readings:
            m, tool, value = models[reading.measurement], reading.instrument, reading.value
            assert isinstance(value, int | float)
            row = Sum(float)
            for cause, by in m.sensitivities.items():
                for source, each in self.errors[cause].items():
                    row[source] += by * each
                for copy in range(reading.pieces):
                    row[of_wood(cause, copy)] += by
            for copy in range(reading.pieces):
                own = f"scatter {copy}", m.name, number
                row[self.varies(own, m.scatter_sd * self.shop.pieces)] = 1
            stray = "stray", m.name, number
            row[self.may_jump(stray, m.stray_probability, m.stray_sd)] = 1
            shared = f"rounding {tool.name} {reading.pieces}", m.name, number
            row[self.varies(shared, tool.shared_variance**0.5)] = 1
            self.read_with(tool, m.name, row, value, number)
        for blank in piece.blanks:
            row = self.errors[blank.cause].copy()
            row[of_wood(blank.cause, 0)] += 1
            self.read_with(blank.instrument, blank.cause, row, blank.value, number)

    def read_with(
        self, tool: InstrumentModel, name: str, row: Sum, value: float, number: int
    ) -> None:
        at = len(self.rows)
        row[self.varies(("reading", name, at), tool.own_variance**0.5 * self.shop.readings)] = 1
        slip = tool.misreading_probability, tool.misreading_sd
        row[self.may_jump((f"misreading {at}", name, number), *slip)] = 1
        self.rows.append(row)
        self.read.append(value)

    def accounts(self, most: int) -> dict[tuple[Source, ...], Account]:
        """What every set of so many jumps at most comes to."""
        jumps, sources = list(self.jumps), list(self.variance)
        given = np.array([[row[each] for each in sources] for row in self.rows])
        wanted = np.array([[self.errors[c.name][each] for each in sources] for c in self.causes])
        off = np.array(self.read) - given[:, 0]
        variance = np.array([self.variance[each] for each in sources])
        cov, crossed = given * variance @ given.T, wanted * variance @ given.T
        own = wanted * variance @ wanted.T
        made = np.array([[row[each] for each in jumps] for row in self.rows])
        moved = np.array([[self.errors[c.name][each] for each in jumps] for c in self.causes])
        chance, sd = np.array([self.jumps[each] for each in jumps]).T
        found: dict[tuple[Source, ...], Account] = {}
        for size in range(most + 1):
            sets = np.array([*combinations(range(len(jumps)), size)], dtype=int)
            jumped = np.moveaxis(made[:, sets] * sd[sets], 0, 1)  # (m, r, k)
            shifted = np.moveaxis(moved[:, sets] * sd[sets], 0, 1)
            total = cov + jumped @ jumped.swapaxes(1, 2)
            known = np.linalg.inv(total)
            gain = (crossed + shifted @ jumped.swapaxes(1, 2)) @ known
            fit = np.einsum("r,mrs,s->m", off, known, off) + np.linalg.slogdet(2 * np.pi * total)[1]
            prior = np.log(chance[sets] / (1 - chance[sets])).sum(axis=1)
            weight = self.shop.probability * np.exp(prior - fit / 2) * (1 - chance).prod()
            mean = wanted[:, 0] + gain @ off
            left = own + shifted @ shifted.swapaxes(1, 2) - gain @ total @ gain.swapaxes(1, 2)
            amounts = sd[sets] * (jumped.swapaxes(1, 2) @ known @ off)
            for at, each in enumerate(zip(weight.tolist(), mean, left, amounts, strict=True)):
                found[tuple(jumps[i] for i in sets[at])] = Account(*each)
        return found


@dataclass(frozen=True)
class Account:
    """How well a set of jumps (k) goes with the readings, the causes' mean (n) and covariance, and
    how far each jump went."""

    weight: float
    mean: Array
    cov: Array
    amounts: Array


def reckoned(
    causes: Sequence[Cause],
    measurements: Sequence[MeasurementModel],
    pieces: Sequence[TestPiece],
    shops: Sequence[Roughness],
    most: int = 3,
) -> dict[tuple[int, tuple[Source, ...]], Account]:
    """Every account of the readings by shop and jumps; the weights sum to 1."""
    found: dict[tuple[int, tuple[Source, ...]], Account] = {}
    for place, shop in enumerate(shops):
        slow = Reckoning(causes, shop)
        slow.begin()
        for number, piece in enumerate(pieces):
            slow.move(piece, number)
            slow.cut(measurements, piece, number)
        found |= {(place, jumps): account for jumps, account in slow.accounts(most).items()}
    total = sum(each.weight for each in found.values())
    return {key: replace(each, weight=each.weight / total) for key, each in found.items()}
