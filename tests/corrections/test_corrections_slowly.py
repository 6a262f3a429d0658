"""The whole of it against a slow reckoning: every account weighed, every chance integrated.

What is invented is the shop; what it must come to is normal theory (`slow_reckoning.py`).
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace
from functools import cache
from itertools import count

import numpy as np
import pytest
from scipy import stats

from setupsheets.corrections.belief import Belief, believe
from setupsheets.corrections.causes import Cause
from setupsheets.corrections.explain import explain
from setupsheets.corrections.observations import (
    BlankReading,
    InstrumentModel,
    MeasurementModel,
    Reading,
    TestPiece,
)
from setupsheets.corrections.prediction import predict_parts
from setupsheets.corrections.roughness import Roughness
from tests.corrections.slow_reckoning import Account, Source, reckoned

CAUSES = (
    Cause("stop", prior_mean=0.1, prior_sd=0.4, blunder_probability=0.05, blunder_sd=3.0,
          reset_sd=0.12, fine_sd=0.04, fine_reach=0.15, move_blunder_probability=0.03,
          shift_probability=0.004),
    Cause("fence", prior_sd=0.3, blunder_probability=0.04, blunder_sd=2.0, reset_sd=0.1,
          fine_sd=0.03, fine_reach=0.2, move_blunder_probability=0.02, shift_probability=0.01),
    Cause("cutter", prior_sd=0.05, blunder_probability=0.0, movable=False, shift_probability=0.002),
    Cause("wood", "blank", prior_sd=0.5, blunder_probability=0.02, blunder_sd=4.0, reset_sd=0.15,
          one_way=True, scatter_sd=0.1, shift_probability=0.003),
)  # fmt: skip
MEASUREMENTS = (
    MeasurementModel("length", -0.6, 0.5, {"stop": -2.0, "wood": 1.0}, 0.08, stray_probability=0.01,
                     missed_high="eased"),
    MeasurementModel("width", -0.3, 0.4, {"fence": 1.0, "cutter": 1.0, "wood": 0.5}, 0.05,
                     stray_probability=0.02, stray_sd=1.5, missed_low="unseen"),
)  # fmt: skip
SCATTER = {m.name: m.scatter_sd for m in MEASUREMENTS}
RULE = InstrumentModel("rule", 0.12, 0.4, misreading_probability=0.02, misreading_sd=3.0)
CALIPER = InstrumentModel("caliper", 0.05, 0.02, misreading_sd=2.0)
SHOPS = (
    Roughness(0.5),
    Roughness(0.3, pieces=1.5, landing=1.6, readings=1.3),
    Roughness(0.2, coarse=True),
)


def piece(length: tuple[float, ...], width: float, *, pair: int = 1, wood: float | None = None,
          fine: str = "", **moves: float) -> TestPiece:  # fmt: skip
    read = (*(Reading("length", each, RULE) for each in length),
            Reading("width", width, CALIPER, pieces=pair))  # fmt: skip
    blanks = () if wood is None else (BlankReading("wood", wood, CALIPER),)
    return TestPiece(read, moves, blanks, frozenset(fine.split()))


SCENES = {
    "a piece cut badly, or a move that went wrong": (
        piece((1.6, 1.7), 0.1, wood=0.3),
        piece((0.6,), 0.15, pair=2, stop=0.6),
        piece((0.5,), 0.8, fence=-0.1, fine="fence"),
    ),
    "creeping or set twice wrong": (
        piece((0.2,), 0.0),
        piece((0.2,), 0.4, wood=0.1),
        piece((0.4,), 0.7, fine="stop", stop=-0.05),
        piece((0.2,), 1.1),
    ),
    "a first length a good way out": (piece((4.0,), -0.3), piece((4.1,), -0.2, pair=2)),
    "read twice, and once misread": (piece((0.1, 3.1, 0.2), 0.1), piece((0.0,), 0.0, wood=0.2)),
    "misread on two pieces": (piece((0.1, 1.4, 0.1), 0.0), piece((0.0, 4.0, 0.1), 0.0)),
}


@cache
def scene(name: str) -> tuple[Belief, dict[tuple[int, tuple[Source, ...]], Account]]:
    slow = {}
    for (shop, jumps), each in reckoned(CAUSES, MEASUREMENTS, SCENES[name], SHOPS).items():
        odd = {
            (subject, at)
            for (kind, subject, at), amount in zip(jumps, each.amounts, strict=True)
            if kind.split()[0] in {"stray", "misreading"}
            and abs(amount) <= 4 * 1.5 * SCATTER.get(subject, 0.0)
        }
        # Odd on a further piece, by no more than pieces may differ: that is how pieces differ.
        further = len(odd) - len({subject for subject, _ in odd})
        slow[shop, tuple(sorted(jumps))] = replace(each, weight=each.weight * 1e-3**further)
    return believe(CAUSES, MEASUREMENTS, SCENES[name], shops=SHOPS), slow


def of_the_belief(belief: Belief) -> dict[tuple[int, tuple[Source, ...]], int]:
    """Where each account stands in the belief, by shop and jumps; misreadings by their rows."""
    rows = count()
    named = [
        (f"misreading {next(rows)}" if j.kind == "misreading" else j.kind, j.subject, j.piece)
        for j in belief.run.state.jumps
    ]
    return {
        (each.shop, tuple(sorted(named[i] for i in each.jumps))): at
        for at, each in enumerate(belief.hypotheses)
    }


@pytest.mark.parametrize("name", SCENES)
def test_every_account_weighs_what_the_density_of_its_readings_says(name: str) -> None:
    belief, slow = scene(name)
    found, errors = of_the_belief(belief), belief.errors
    best = next(iter(found))
    assert len(found) == len(belief.hypotheses) > 100
    for key, at in found.items():
        if len(key[1]) <= 3:
            assert errors.weights[at] / errors.weights[0] == pytest.approx(
                slow[key].weight / slow[best].weight, rel=1e-6
            )
            assert abs(errors.means[at] - slow[key].mean).max() < 1e-9
            assert abs(errors.covs[at] - slow[key].cov).max() < 1e-9
    likeliest = sorted(slow, key=lambda key: -slow[key].weight)
    assert {*likeliest[:40]} <= {*found}, "none that weighs is left out"
    left_out = sum(each.weight for key, each in slow.items() if key not in found)
    assert left_out / 2 < belief.dropped < left_out + 1e-3, "and what is left out is told"
    assert list(errors.weights) == sorted(errors.weights, reverse=True)


def mixed(slow: dict[tuple[int, tuple[Source, ...]], Account]) -> tuple[np.ndarray, np.ndarray]:
    """The mean and covariance of the causes over all accounts."""
    mean = sum((each.weight * each.mean for each in slow.values()), start=np.zeros(len(CAUSES)))
    square = sum(
        each.weight * (each.cov + np.outer(each.mean, each.mean)) for each in slow.values()
    )
    return mean, square - np.outer(mean, mean)


@pytest.mark.parametrize("name", SCENES)
def test_what_a_cause_is_off_by_is_the_mean_over_all_accounts(name: str) -> None:
    belief, slow = scene(name)
    mean, cov = mixed(slow)
    assert belief.errors.mean == pytest.approx(mean, abs=0.02)
    assert belief.errors.cov == pytest.approx(cov, abs=0.05)
    for at, cause in enumerate(CAUSES):
        assert belief.mean(cause.name) == pytest.approx(mean[at], abs=0.02)
        assert belief.sd(cause.name) == pytest.approx(cov[at, at] ** 0.5, abs=0.03)


@pytest.mark.parametrize("name", SCENES)
def test_accounts_are_told_by_what_they_blame_with_their_chance(name: str) -> None:
    """Whatever the shop is like; a jump of a cause that hardly shows is not told."""
    belief, slow = scene(name)
    chance = defaultdict[Source, float](float)
    for (_, jumps), weighed in slow.items():
        for kind, subject, at in jumps:
            chance[kind.split()[0], subject, at] += weighed.weight
    told = explain(belief)
    likely = {(*key,) for key in chance if key[0] in {"misreading", "stray"} and chance[key] > 0.5}
    assert {(each.how, each.measurement, each.piece) for each in told.readings} == likely
    for each in told.readings:
        assert each.probability == pytest.approx(
            chance[each.how, each.measurement, each.piece], abs=0.02
        )
    doubts = [each.probability for each in told.readings]
    assert doubts == sorted(doubts, reverse=True)
    assert sum(each.probability for each in told.ranked) > 0.85
    for account in told.ranked:
        for reading in account.readings:
            least = account.probability - 0.02
            assert chance[reading.how, reading.measurement, reading.piece] > least
        for cause in account.causes:
            if cause.how != "ordinary":
                assert chance[cause.how, cause.cause.name, cause.piece] > account.probability - 0.02
        ordinary = not account.readings and {c.how for c in account.causes} <= {"ordinary"}
        assert account.ordinary == ordinary


MOVES = (np.zeros(4), np.array([0.2, 0.0, 0.0, -0.3]), np.array([-0.1, -0.15, 0.0, 0.0]))


@pytest.mark.parametrize("name", [*SCENES][:3:2])
@pytest.mark.parametrize("moves", MOVES, ids=str)
def test_parts_come_out_by_the_normal_distribution_of_each_account(
    name: str, moves: np.ndarray
) -> None:
    """What a move adds depends on the shop, and on whether it is by shims; whether it goes right
    does not."""
    belief, slow = scene(name)
    parts = predict_parts(belief)
    h = np.array([[m.sensitivities.get(c.name, 0.0) for c in CAUSES] for m in MEASUREMENTS])
    wood, own = np.diag([c.scatter_sd**2 for c in CAUSES]), [m.scatter_sd**2 for m in MEASUREMENTS]
    whole = []
    for (place, _), account in sorted(slow.items(), key=lambda one: -one[1].weight)[:80]:
        shop = SHOPS[place]
        lands = []
        for cause, amount in zip(CAUSES, moves, strict=True):
            fine = abs(amount) <= cause.fine_reach and not shop.coarse
            by = shop.landing if cause.kind == "setting" else 1.0
            lands.append((by * (cause.fine_sd if fine else cause.reset_sd) * bool(amount)) ** 2)
        scatter = shop.pieces**2 * (h @ wood @ h.T + np.diag(own))
        cov = h @ (account.cov + np.diag(lands)) @ h.T + scatter
        whole.append((account.weight, h @ (account.mean + moves), cov))
    right = np.prod(
        [1 - c.move_blunder_probability for c, m in zip(CAUSES, moves, strict=True) if m]
    )

    def inside(low: list[float], high: list[float]) -> float:
        sure = [w * stats.multivariate_normal(m, cov).cdf(high, lower_limit=low)
                for w, m, cov in whole]  # fmt: skip
        return float(right * sum(sure) / sum(w for w, *_ in whole))

    low, high = [-0.6, -0.3], [0.5, 0.4]
    sure = inside(low, high)
    assert parts.probability(moves) == pytest.approx(sure, abs=0.004)
    assert parts.likely(moves[None])[0] == pytest.approx(sure, abs=0.02)
    # Long ends are eased, a width under its limit does not show.
    as_good, usable = inside([-0.6, -np.inf], high), inside([-0.6, -np.inf], [np.inf, 0.4])
    misses = parts.misses(moves)
    told = (misses.right, misses.unseen, misses.eased, misses.spoilt)
    assert told == pytest.approx((sure, as_good - sure, usable - as_good, 1 - usable), abs=0.006)
    mean, sd, each = parts.expected(moves)
    total = sum(w for w, *_ in whole)
    for at in range(2):
        one = [(w / total, m[at], cov[at, at]) for w, m, cov in whole]
        assert mean[at] == pytest.approx(sum(w * m for w, m, _ in one), abs=0.01)
        square = sum(w * (v + m**2) for w, m, v in one) - mean[at] ** 2
        assert sd[at] == pytest.approx(square**0.5, abs=0.02)
        alone = sum(w * (stats.norm.cdf(high[at], m, v**0.5) - stats.norm.cdf(low[at], m, v**0.5))
                    for w, m, v in one)  # fmt: skip
        moved = [1 - c.move_blunder_probability for c, m in zip(CAUSES, moves, strict=True)
                 if m and MEASUREMENTS[at].sensitivities.get(c.name)]  # fmt: skip
        assert each[at] == pytest.approx(alone * np.prod(moved), abs=0.005)
