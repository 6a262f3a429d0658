"""What machines are remembered by, one setting at a time and several together."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import permutations
from math import sqrt

import numpy as np
import pytest
from made_up_shop import plain, plainly, steady

from setupsheets.corrections.belief import believe
from setupsheets.corrections.causes import method_spread
from setupsheets.corrections.observations import Reading, TestPiece
from setupsheets.corrections.offsets import (
    DriftModel,
    OffsetEstimate,
    RecalibrationEvent,
    drift_model,
    offset_estimate,
    offset_prior,
    prior_of,
    wander_of_cause,
)

ONE = "offset"


@dataclass(frozen=True)
class Known:
    """What is remembered of one setting by itself."""

    mean: float
    sd: float
    offset_sd: float
    set_ups: int
    since: float | None


def one_proven(when: float, mean: float, sd: float) -> OffsetEstimate:
    return OffsetEstimate(when, (ONE,), np.array([mean]), np.array([[sd**2]]))


def one_thrown(when: float, sd: float) -> RecalibrationEvent:
    return RecalibrationEvent(when, ONE, sd)


def remember_one(
    proven: Sequence[OffsetEstimate],
    today: float,
    wander: DriftModel,
    events: Sequence[RecalibrationEvent] = (),
) -> Known:
    found = offset_prior(proven, today, {ONE: wander}, events)
    sd = found.sd(ONE)
    offset_sd = sqrt(max(sd**2 - wander.setting_sd**2, 0.0))
    return Known(found.mean(ONE), sd, offset_sd, found.set_ups[ONE], found.since.get(ONE))


SCALE = DriftModel(first_sd=0.5, setting_sd=0.1, walk_sd=0.0, blunder_probability=0.0)


def test_without_records_nothing_is_known() -> None:
    known = remember_one([], 2025.0, SCALE)
    assert (known.mean, known.set_ups, known.since) == (0.0, 0, None)
    assert known.offset_sd == pytest.approx(0.5)
    assert known.sd == pytest.approx(np.hypot(0.5, 0.1))


def test_set_ups_are_weighed_by_what_they_are_worth() -> None:
    """Normal theory: precisions add, a set-up counts with its own spread and that of setting."""
    proven = [
        one_proven(2019.0, 0.8, 0.1),
        one_proven(2020.0, 0.7, 0.2),
        one_proven(2021.0, 0.9, 0.05),
    ]
    known = remember_one(proven, 2025.0, SCALE)
    precision = [1 / (p.cov[0, 0] + 0.1**2) for p in proven]
    total = 1 / 0.5**2 + sum(precision)
    mean = sum(w * p.means[0] for w, p in zip(precision, proven, strict=True)) / total
    assert known.mean == pytest.approx(mean, rel=1e-9)
    assert known.offset_sd == pytest.approx(total**-0.5, rel=1e-9)
    assert (known.set_ups, known.since) == (3, 2019.0)


def test_time_widens_by_the_root_of_the_years() -> None:
    walking = DriftModel(0.5, 0.1, walk_sd=0.05, blunder_probability=0.0)
    proven = [one_proven(2010.0, 0.8, 0.01)]
    then, now = remember_one(proven, 2010.0, walking), remember_one(proven, 2014.0, walking)
    assert now.mean == pytest.approx(then.mean)
    assert now.offset_sd**2 - then.offset_sd**2 == pytest.approx(4 * 0.05**2)


def test_an_event_throws_what_was_known_before_it() -> None:
    proven = [one_proven(2019.0, 0.8, 0.02), one_proven(2022.0, -0.3, 0.02)]
    realigned = [one_thrown(2020.5, 2.0)]
    known = remember_one(proven, 2023.0, SCALE, realigned)
    assert known.mean == pytest.approx(-0.3, abs=0.03)
    assert (known.set_ups, known.since) == (1, 2022.0)
    after = remember_one(proven, 2023.0, SCALE, [one_thrown(2022.5, 2.0)])
    assert after.set_ups == 0
    assert after.offset_sd == pytest.approx(2.0, abs=0.02)


def test_one_blundered_set_up_does_not_spoil_five() -> None:
    forgiving = DriftModel(0.5, 0.1, walk_sd=0.02, blunder_probability=0.05)
    good = [one_proven(2015.0 + i, 0.40 + 0.02 * (-1) ** i, 0.05) for i in range(5)]
    clean = remember_one(good, 2025.0, forgiving)
    for when in (2014.5, 2017.5, 2024.0):
        spoiled = remember_one([*good, one_proven(when, 6.4, 0.05)], 2025.0, forgiving)
        assert spoiled.mean == pytest.approx(clean.mean, abs=0.02)
        assert spoiled.sd < 1.15 * clean.sd


def test_a_first_set_up_that_was_blundered_is_not_believed() -> None:
    forgiving = DriftModel(0.5, 0.1, blunder_probability=0.05)
    assert abs(remember_one([one_proven(2019.0, 6.4, 0.05)], 2020.0, forgiving).mean) < 0.2


def test_order_does_not_matter_and_the_future_is_not_known() -> None:
    proven = [
        one_proven(2019.0, 0.8, 0.1),
        one_proven(2020.0, 0.7, 0.2),
        one_proven(2021.0, 3.9, 0.05),
    ]
    wander = DriftModel(0.5, 0.1)
    answers = {remember_one(order, 2022.0, wander) for order in permutations(proven)}
    assert len(answers) == 1
    assert remember_one(proven, 2020.5, wander) == remember_one(proven[:2], 2020.5, wander)


def test_a_machines_own_share_is_what_does_not_scatter() -> None:
    spread = method_spread("scale")
    wander = drift_model(spread)
    assert np.hypot(wander.first_sd, wander.setting_sd) == pytest.approx(spread.first)


def test_an_offset_is_where_it_stands_less_what_it_was_moved_by() -> None:
    """Set to 0, found 0.8 over, moved back 0.8, found right: the dial reads 0.8 strong."""
    tool = steady(0.001)
    pieces = [
        TestPiece((Reading("a", 0.8, tool),)),
        TestPiece((Reading("a", 0.0, tool),), {"stop": -0.8}),
    ]
    belief = believe([plain("stop", sd=2.0)], [plainly("a", {"stop": 1.0})], pieces)
    shown = offset_estimate(belief, 2020.0)
    assert shown.means[0] == pytest.approx(0.8, abs=1e-3)
    assert np.sqrt(shown.cov[0, 0]) == pytest.approx(0.001 / np.sqrt(2), rel=1e-3)


def test_sums_that_a_set_up_proved_are_remembered() -> None:
    """A length hangs on stop and blank: each stays in doubt, the length does not."""
    causes = [plain("stop", reset=0.02), plain("blank", reset=0.02)]
    rows = {"stop": -2.0, "blank": 1.0}
    pieces = [TestPiece((Reading("a", 0.9, steady(0.02)),))]
    belief = believe(causes, [plainly("a", rows)], pieces)
    wanders = {c.name: wander_of_cause(c, walk_sd=0.0) for c in causes}
    known = offset_prior([offset_estimate(belief, 2020.0)], 2024.0, wanders)
    assert known.sd("stop") > 0.1
    row = np.array([-2.0, 1.0])
    assert row @ known.means == pytest.approx(0.9, abs=0.02)
    length_sd = np.sqrt(row @ known.cov @ row)
    # Set twice, each time within 0.02 (twice that on the stop's two ends), read within 0.02.
    assert length_sd == pytest.approx(np.sqrt(2 * 5 * 0.02**2 + 0.02**2), rel=0.05)
    prior = prior_of(causes, known)
    assert prior.mean.tolist() == [0.0, 0.0]
    assert prior.cov == pytest.approx(known.cov)


def test_recipes_share_what_they_set_alike() -> None:
    """Two set-ups with one setting in common teach each other, and leave the rest."""
    wanders = {"fence": SCALE, "stop": SCALE, "height": SCALE}
    first = OffsetEstimate(2019.0, ("fence", "stop"), np.array([0.4, 0.2]), np.eye(2) * 1e-4)
    second = OffsetEstimate(2020.0, ("other", "fence"), np.array([9.0, 0.4]), np.eye(2) * 1e-4)
    known = offset_prior([second, first], 2021.0, wanders)
    assert known.set_ups == {"fence": 2, "stop": 1, "height": 0}
    assert known.since == {"fence": 2019.0, "stop": 2019.0}
    assert known.mean("height") == 0.0
    assert known.sd("height") == pytest.approx(np.hypot(0.5, 0.1))
    alone = remember_one(
        [one_proven(2019.0, 0.4, 0.01), one_proven(2020.0, 0.4, 0.01)], 2021.0, SCALE
    )
    assert known.mean("fence") == pytest.approx(alone.mean)
    assert known.sd("fence") == pytest.approx(alone.sd)
