"""What machines are remembered by, one setting at a time and several together."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import permutations
from math import sqrt

import numpy as np
import pytest
from msgspec.structs import replace

from setupsheets.corrections.causes import MethodSpread, method_spread
from setupsheets.corrections.observations import Reading, TestPiece
from setupsheets.corrections.offsets import (
    DriftModel,
    OffsetEstimate,
    drift_model,
    estimate_offsets,
    offset_prior,
)
from tests.corrections.made_up_shop import plain, plainly, steady

ONE = "offset"


@dataclass(frozen=True)
class Known:
    """What is remembered of one setting by itself."""

    mean: float
    sd: float
    offset_sd: float
    set_ups: int
    since: float | None


def one_estimate(when: float, mean: float, sd: float) -> OffsetEstimate:
    return OffsetEstimate(when, (ONE,), np.array([mean]), np.array([[sd**2]]))


def expect_one(estimates: Sequence[OffsetEstimate], today: float, drift: DriftModel) -> Known:
    found = offset_prior(estimates, today, {ONE: drift})
    sd = found.sd(ONE)
    offset_sd = sqrt(max(sd**2 - drift.setting_sd**2, 0.0))
    return Known(found.mean(ONE), sd, offset_sd, found.set_ups[ONE], found.since.get(ONE))


SCALE = DriftModel(first_sd=0.5, setting_sd=0.1, walk_sd=0.0, blunder_probability=0.0)


def test_without_records_nothing_is_known() -> None:
    known = expect_one([], 2025.0, SCALE)
    assert (known.mean, known.set_ups, known.since) == (0.0, 0, None)
    assert known.offset_sd == pytest.approx(0.5)
    assert known.sd == pytest.approx(np.hypot(0.5, 0.1))


def test_set_ups_are_weighed_by_what_they_are_worth() -> None:
    """Normal theory: precisions add, a set-up counts with its own spread and that of setting."""
    estimates = [
        one_estimate(2019.0, 0.8, 0.1),
        one_estimate(2020.0, 0.7, 0.2),
        one_estimate(2021.0, 0.9, 0.05),
    ]
    known = expect_one(estimates, 2025.0, SCALE)
    precision = [1 / (p.cov[0, 0] + 0.1**2) for p in estimates]
    total = 1 / 0.5**2 + sum(precision)
    mean = sum(w * p.means[0] for w, p in zip(precision, estimates, strict=True)) / total
    assert known.mean == pytest.approx(mean, rel=1e-9)
    assert known.offset_sd == pytest.approx(total**-0.5, rel=1e-9)
    assert (known.set_ups, known.since) == (3, 2019.0)


def test_time_widens_by_the_root_of_the_years() -> None:
    walking = DriftModel(0.5, 0.1, walk_sd=0.05, blunder_probability=0.0)
    estimates = [one_estimate(2010.0, 0.8, 0.01)]
    then, now = expect_one(estimates, 2010.0, walking), expect_one(estimates, 2014.0, walking)
    assert now.mean == pytest.approx(then.mean)
    assert now.offset_sd**2 - then.offset_sd**2 == pytest.approx(4 * 0.05**2)


def test_one_blundered_set_up_does_not_spoil_five() -> None:
    forgiving = DriftModel(0.5, 0.1, walk_sd=0.02, blunder_probability=0.05)
    good = [one_estimate(2015.0 + i, 0.40 + 0.02 * (-1) ** i, 0.05) for i in range(5)]
    clean = expect_one(good, 2025.0, forgiving)
    for when in (2014.5, 2017.5, 2024.0):
        spoiled = expect_one([*good, one_estimate(when, 6.4, 0.05)], 2025.0, forgiving)
        assert spoiled.mean == pytest.approx(clean.mean, abs=0.02)
        assert spoiled.sd < 1.15 * clean.sd


def test_a_first_set_up_that_was_blundered_is_not_believed() -> None:
    forgiving = DriftModel(0.5, 0.1, blunder_probability=0.05)
    assert abs(expect_one([one_estimate(2019.0, 6.4, 0.05)], 2020.0, forgiving).mean) < 0.2


def test_order_does_not_matter_and_the_future_is_not_known() -> None:
    estimates = [
        one_estimate(2019.0, 0.8, 0.1),
        one_estimate(2020.0, 0.7, 0.2),
        one_estimate(2021.0, 3.9, 0.05),
    ]
    drift = DriftModel(0.5, 0.1)
    answers = {expect_one(order, 2022.0, drift) for order in permutations(estimates)}
    assert len(answers) == 1
    assert expect_one(estimates, 2020.5, drift) == expect_one(estimates[:2], 2020.5, drift)


@pytest.mark.parametrize(("first", "again", "own"), [(0.5, 0.3, 0.4), (0.4, 0.4, 0.1)])
def test_a_machines_own_share_is_what_does_not_scatter(
    first: float, again: float, own: float
) -> None:
    """By Pythagoras; no less than a quarter of what a first setting is out by, where a shop says
    that it lands no closer again (common practice, no source)."""
    drift = drift_model(MethodSpread(first, again))
    assert drift.first_sd == pytest.approx(own)
    assert drift.setting_sd == again


def test_an_offset_is_where_it_stands_less_what_it_was_moved_by() -> None:
    """Set to 0, found 0.8 over, moved back 0.8, found right: the dial reads 0.8 strong."""
    tool = steady(0.001)
    pieces = [
        TestPiece((Reading("a", 0.8, tool),)),
        TestPiece((Reading("a", 0.0, tool),), {"stop": -0.8}),
    ]
    measurements = [plainly("a", {"stop": 1.0})]
    shown = estimate_offsets([plain("stop")], measurements, pieces, {"stop": "saw"}, 2020.0)
    assert (shown.when, shown.names) == (2020.0, ("saw",))
    assert shown.means[0] == pytest.approx(0.8, abs=1e-3)
    assert np.sqrt(shown.cov[0, 0]) == pytest.approx(0.001 / np.sqrt(2), rel=1e-3)


def test_where_a_move_lands_is_no_offset() -> None:
    """Found 0.5 over, moved back by as much, found 0.2 over: the move missed, not the dial."""
    tool = steady(0.001)
    pieces = [
        TestPiece((Reading("a", 0.5, tool),)),
        TestPiece((Reading("a", 0.2, tool),), {"stop": -0.5}),
    ]
    measurements = [plainly("a", {"stop": 1.0})]
    causes = [plain("stop", reset=0.25)]
    shown = estimate_offsets(causes, measurements, pieces, {"stop": "saw"})
    assert shown.means[0] == pytest.approx(0.5, abs=1e-3)
    assert np.sqrt(shown.cov[0, 0]) == pytest.approx(0.001, rel=1e-2)


SIXTEENTH = 25.4 / 16


@pytest.mark.parametrize(("times", "dial_is_off"), [(1, False), (2, True), (3, True)])
def test_a_whole_fraction_once_was_set_wrong_and_twice_is_the_dial(
    times: int, dial_is_off: bool
) -> None:
    """A mean of both accounts would be wrong by either: the likelier one is dialled."""
    drift = drift_model(method_spread("rule"), (25.4 / 8, SIXTEENTH))
    estimates = [one_estimate(2015.0 + i, SIXTEENTH, 0.05) for i in range(times)]
    found = offset_prior(estimates, 2020.0, {ONE: drift})
    assert (found.likeliest[0] > SIXTEENTH / 2) == dial_is_off
    assert dial_is_off or abs(found.likeliest[0]) < 0.1
    assert dial_is_off or found.sd(ONE) > drift.setting_sd, "the other account is not forgotten"


def test_what_was_dialled_off_on_purpose_is_no_offset() -> None:
    """Dialled 0.3 over, and it came out 0.3 over: the dial is right."""
    piece = TestPiece((Reading("a", 0.3, steady(0.001)),))
    cause = plain("stop", mean=0.3)
    shown = estimate_offsets([cause], [plainly("a", {"stop": 1.0})], [piece], {"stop": "saw"})
    assert shown.means[0] == pytest.approx(0.0, abs=1e-3)


def test_a_dial_set_twice_has_the_mean_and_what_is_not_told_is_left_out() -> None:
    causes = [plain("one"), plain("two"), plain("fence")]
    measurements = [plainly(name, {name: 1.0}) for name in ("one", "two", "fence")]
    piece = TestPiece((Reading("one", 0.2, steady(0.001)), Reading("two", 0.4, steady(0.001))))
    dials = {"one": "saw", "two": "saw", "fence": "fence"}
    shown = estimate_offsets(causes, measurements, [piece], dials)
    assert shown.names == ("saw",)
    assert shown.means[0] == pytest.approx(0.3, abs=1e-3)
    assert shown.cov[0, 0] == pytest.approx(0.001**2 / 2, rel=1e-3)


def test_sums_that_a_set_up_proved_are_remembered() -> None:
    """Two lengths of one blank: each stop stays in doubt as the blank does, their sum does not."""
    wood = replace(plain("wood"), kind="blank")
    causes = [plain("face", reset=0.02), plain("back", reset=0.02), wood]
    rows = {"face": -2.0, "wood": 1.0}, {"back": -2.0, "wood": 1.0}
    measurements = [plainly(name, row) for name, row in zip("ab", rows, strict=True)]
    piece = TestPiece((Reading("a", 0.9, steady(0.02)), Reading("b", -0.3, steady(0.02))))
    dials = {"face": "saw.face", "back": "saw.back"}
    drifts = dict.fromkeys(dials.values(), DriftModel(5.0, 0.02, 0.0, blunder_probability=0.0))
    shown = estimate_offsets(causes, measurements, [piece], dials, 2020.0)
    known = offset_prior([shown], 2024.0, drifts)
    assert known.sd("saw.face") > 0.15
    row = np.array([1.0, -1.0])
    assert row @ known.means == pytest.approx(-0.6, abs=0.01)
    # Each set twice, within 0.02, and each read once within 0.02, which is 0.01 of its stop.
    difference_sd = np.sqrt(row @ known.cov @ row)
    assert difference_sd == pytest.approx(np.sqrt(4 * 0.02**2 + 2 * 0.01**2), rel=0.05)
    expected = [replace(c, prior_sd=known.sd(dials[c.name])) for c in causes[:2]]
    prior = known.prior([*expected, wood], dials)
    assert prior.cov[:2, :2] == pytest.approx(known.cov)
    assert prior.cov[2].tolist() == [0.0, 0.0, wood.prior_sd**2]


def test_recipes_share_what_they_set_alike() -> None:
    """Two set-ups with one setting in common teach each other, and leave the rest."""
    drifts = {"fence": SCALE, "stop": SCALE, "height": SCALE}
    first = OffsetEstimate(2019.0, ("fence", "stop"), np.array([0.4, 0.2]), np.eye(2) * 1e-4)
    second = OffsetEstimate(2020.0, ("other", "fence"), np.array([9.0, 0.4]), np.eye(2) * 1e-4)
    known = offset_prior([second, first], 2021.0, drifts)
    assert known.set_ups == {"fence": 2, "stop": 1, "height": 0}
    assert known.since == {"fence": 2019.0, "stop": 2019.0}
    assert known.mean("height") == 0.0
    assert known.sd("height") == pytest.approx(np.hypot(0.5, 0.1))
    alone = expect_one(
        [one_estimate(2019.0, 0.4, 0.01), one_estimate(2020.0, 0.4, 0.01)], 2021.0, SCALE
    )
    assert known.mean("fence") == pytest.approx(alone.mean)
    assert known.sd("fence") == pytest.approx(alone.sd)
