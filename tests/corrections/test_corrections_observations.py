"""Instruments, measurements and causes: uncertainty, fits, and what is refused."""

from math import inf, sqrt

import numpy as np
import pytest
from scipy import integrate, stats

from setupsheets.corrections.belief import Prior, believe
from setupsheets.corrections.causes import METHOD_SPREAD, Cause, method_spread
from setupsheets.corrections.filtering import REMEMBERED
from setupsheets.corrections.observations import (
    BlankReading,
    Fit,
    InstrumentModel,
    MeasurementModel,
    Reading,
    TestPiece,
)
from setupsheets.shop.machines import SetBy
from tests.corrections.made_up_shop import (
    CALIPER,
    RULE,
    bar_causes,
    bar_measurements,
    bar_piece,
    plain,
    plainly,
    steady,
)

TENON = MeasurementModel("tenon", -0.2, 0.3)
MORTISE = MeasurementModel("mortise", -0.2, 0.3, tight_when="under")


def test_resolution_is_rectangular() -> None:
    """Half-width a gives a/sqrt 3: 1.5 gives 0.87 (Eurachem/CITAC guide)."""
    almost_steady = InstrumentModel("flask", sd=1e-9, resolution=3.0)
    assert round(almost_steady.uncertainty, 2) == 0.87
    both = InstrumentModel("rule", sd=0.3, resolution=0.5)
    assert both.uncertainty == pytest.approx(sqrt(0.3**2 + 0.5**2 / 12))


@pytest.mark.parametrize("sd", [0.0005, 0.02, 0.05, 0.08, 0.12, 0.3])
def test_rounding_that_repeats_do_not_average(sd: float) -> None:
    """The mean error of many rounded readings of one length, integrated over all lengths."""
    d = 0.4
    tool = InstrumentModel("rule", sd, d)

    def mean_error(x: float) -> float:
        marks = d * np.arange(-12, 13)
        chance = stats.norm.cdf((marks + d / 2 - x) / sd) - stats.norm.cdf((marks - d / 2 - x) / sd)
        return float(chance @ marks) - x

    lengths = np.linspace(-d / 2, d / 2, 2001)
    expected = integrate.simpson([mean_error(x) ** 2 for x in lengths], x=lengths) / d
    assert tool.shared_variance == pytest.approx(expected, rel=0.01, abs=1e-7)
    assert tool.shared_variance + tool.own_variance == pytest.approx(tool.uncertainty**2, rel=1e-5)


def test_reading_again_does_not_average_what_is_shared() -> None:
    """Sixteen readings to a coarse mark say hardly more than one, to a fine one four times more."""
    causes, measurements = [plain("stop", sd=5.0)], [plainly("a", {"stop": 1.0})]
    coarse = believe(
        causes, measurements, [TestPiece((Reading("a", 0.0, steady(0.001, 0.4)),) * 16)]
    )
    assert coarse.sd("stop") == pytest.approx(0.4 / sqrt(12), rel=0.01)
    fine = believe(causes, measurements, [TestPiece((Reading("a", 0.0, steady(0.1, 0.02)),) * 16)])
    assert fine.sd("stop") == pytest.approx(steady(0.1, 0.02).uncertainty / 4, rel=0.01)


@pytest.mark.parametrize(
    ("measurement", "fit", "interval"),
    [
        (TENON, Fit.FITS, (-0.2, 0.3)),
        (TENON, Fit.TIGHT, (0.3, inf)),
        (TENON, Fit.LOOSE, (-inf, -0.2)),
        (MORTISE, Fit.FITS, (-0.2, 0.3)),
        (MORTISE, Fit.TIGHT, (-inf, -0.2)),
        (MORTISE, Fit.LOOSE, (0.3, inf)),
    ],
)
def test_fits_are_intervals(
    measurement: MeasurementModel, fit: Fit, interval: tuple[float, float]
) -> None:
    assert measurement.interval(fit) == interval


# What a hand feels: up to so far past the limit, mm, and nine words in ten are of that.
PAST, OF_THAT = 0.3, 0.9


@pytest.mark.parametrize("fit", list(Fit))
def test_a_fit_is_a_normal_kept_to_what_a_hand_feels(fit: Fit) -> None:
    """One cause felt as a fit with an exact hand: scipy's truncated normals, one past the limit and
    one that ends where play is seen. Three strips of paper: common practice, no source."""
    measurement = plainly("tenon", {"cheek": 1.0}, tolerance=0.2)
    felt = TestPiece((Reading("tenon", fit, steady(1e-6)),))
    belief = believe([plain("cheek", sd=0.3, mean=0.1)], [measurement], [felt])
    low, high = measurement.interval(fit)
    ends = {(low, high): 1 - OF_THAT, (max(low, high - PAST), high): OF_THAT}
    if fit is Fit.TIGHT:
        ends = {(low, high): 1 - OF_THAT, (low, low + PAST): OF_THAT}
    if fit is Fit.FITS:
        ends = {(low, high): 1.0}
    prior = stats.norm(0.1, 0.3)
    within = {end: each * (prior.cdf(end[1]) - prior.cdf(end[0])) for end, each in ends.items()}
    parts = [
        (share / sum(within.values()), stats.truncnorm(*((e - 0.1) / 0.3 for e in end), 0.1, 0.3))
        for end, share in within.items()
    ]
    mean = sum(share * part.mean() for share, part in parts)
    square = sum(share * part.moment(2) for share, part in parts)
    assert belief.mean("cheek") == pytest.approx(mean, abs=1e-6)
    assert belief.sd("cheek") == pytest.approx(sqrt(square - mean**2), abs=1e-6)


def test_a_fit_and_a_number_together_against_integration() -> None:
    """Soft hand, a reading besides, a slip in question: integrated on a grid."""
    cause = Cause("cheek", prior_sd=0.2, blunder_probability=0.1, blunder_sd=2.0, reset_sd=0)
    measurement = plainly("tenon", {"cheek": 1.0}, tolerance=0.15)
    piece = TestPiece(
        (Reading("tenon", 0.5, steady(0.2)), Reading("tenon", Fit.TIGHT, steady(0.1)))
    )
    belief = believe([cause], [measurement], [piece])
    x = np.linspace(-10, 10, 40001)
    prior = 0.9 * stats.norm.pdf(x, 0, 0.2) + 0.1 * stats.norm.pdf(x, 0, sqrt(4.04))
    beyond, seen = (stats.norm.sf(end, x, 0.1) for end in (0.15, 0.15 + PAST))
    felt = (1 - OF_THAT) * beyond + OF_THAT * (beyond - seen)
    after = prior * stats.norm.pdf(0.5, x, 0.2) * felt
    after /= integrate.simpson(after, x=x)
    mean = integrate.simpson(after * x, x=x)
    assert belief.mean("cheek") == pytest.approx(mean, abs=1e-4)
    sd = sqrt(integrate.simpson(after * (x - mean) ** 2, x=x))
    assert belief.sd("cheek") == pytest.approx(sd, abs=1e-3)


def test_a_prior_from_history_takes_the_causes_place() -> None:
    causes = [plain("a"), plain("b")]
    prior = Prior(np.array([0.3, -0.1]), np.array([[0.04, -0.03], [-0.03, 0.09]]))
    belief = believe(causes, [plainly("sum", {"a": 1.0, "b": 1.0})], prior=prior)
    assert belief.mean("a") == pytest.approx(0.3)
    assert belief.sd("b") == pytest.approx(0.3)


def test_every_way_of_setting_of_a_shop_has_its_spread() -> None:
    assert set(METHOD_SPREAD) == set(SetBy)


@pytest.mark.parametrize("method", list(METHOD_SPREAD))
def test_every_way_of_setting_moves_more_closely_than_it_starts(method: str) -> None:
    spread = method_spread(method)
    assert 0 < spread.again < spread.first


def test_ways_of_setting_are_named_when_unknown() -> None:
    with pytest.raises(ValueError, match=r"expected one of line, rule, scale.*found 'eye'"):
        method_spread("eye")


REFUSED_CAUSES = [
    {"prior_sd": -0.1},
    {"reset_sd": float("nan")},
    {"finest": -1.0},
    {"blunder_probability": 0.5},
    {"shift_probability": -0.01},
]


@pytest.mark.parametrize("fields", REFUSED_CAUSES)
def test_causes_refused(fields: dict[str, float]) -> None:
    with pytest.raises(ValueError, match=next(iter(fields))):
        Cause("stop", **fields)  # type: ignore[arg-type]


@pytest.mark.parametrize(("sd", "resolution"), [(0.0, 0.0), (-0.1, 0.4), (0.1, -0.4)])
def test_perfect_instruments_refused(sd: float, resolution: float) -> None:
    with pytest.raises(ValueError, match="more than 0"):
        InstrumentModel("wish", sd, resolution)


@pytest.mark.parametrize("chance", [-0.01, 0.5])
def test_chances_of_misreading_refused(chance: float) -> None:
    with pytest.raises(ValueError, match=r"^wish: misreading_probability expected 0 up to 0\.5$"):
        InstrumentModel("wish", 0.1, misreading_probability=chance)


@pytest.mark.parametrize(("low", "high"), [(0.0, 0.1), (-0.1, 0.0), (0.1, -0.1)])
def test_limits_without_the_target_between_them_refused(low: float, high: float) -> None:
    with pytest.raises(ValueError, match="low < 0 < high"):
        MeasurementModel("a", low, high)


def test_names_and_values_refused() -> None:
    causes, measurements = [plain("stop")], [plainly("a", {"stop": 1.0})]
    one_sided = [MeasurementModel("b", high=0.1)]
    wrong = [
        (causes * 2, measurements, TestPiece(), "'stop' is given more than once"),
        (causes, measurements * 2, TestPiece(), "'a' is given more than once"),
        (
            causes,
            [plainly("a", {"fence": 1.0})],
            TestPiece(),
            "expected one of stop; found 'fence'",
        ),
        (
            causes,
            measurements,
            TestPiece((Reading("b", 0.0, RULE),)),
            "expected one of a; found 'b'",
        ),
        (causes, measurements, TestPiece((Reading("a", inf, RULE),)), "finite number"),
        (causes, measurements, TestPiece((Reading("a", 0.0, RULE, 0),)), "pieces expected 1"),
        (causes, measurements, TestPiece((), {"fence": 0.1}), "found 'fence'"),
        (causes, measurements, TestPiece((), {"stop": float("nan")}), "finite number"),
        (
            causes,
            measurements,
            TestPiece((), {}, (BlankReading("wood", 0, CALIPER),)),
            "found 'wood'",
        ),
        (causes, one_sided, TestPiece((Reading("b", Fit.LOOSE, RULE),)), "says nothing"),
    ]
    assert len(wrong) == 10
    for some_causes, some_measurements, piece, message in wrong:
        with pytest.raises(ValueError, match=message):
            believe(some_causes, some_measurements, [piece])
    belief = believe(causes, measurements)
    with pytest.raises(ValueError, match=r"^cause: expected one of stop; found 'fence'$"):
        belief.mean("fence")
    with pytest.raises(ValueError, match=r"^measurement: expected one of a; found 'b'$"):
        belief.measurement("b")


def test_the_newest_pieces_count_and_the_work_is_bounded() -> None:
    """Plain equality: what came before the newest ones is as if it had not been."""
    causes, measurements = bar_causes(), bar_measurements()
    old = [bar_piece((5.0, 0, 0, 0, 0, 0), {"face stop": 0.4}) for _ in range(40)]
    new = [bar_piece((0.1 * (i % 3), -0.1, 0, 0.01, 0, 0)) for i in range(REMEMBERED)]
    long, short = believe(causes, measurements, [*old, *new]), believe(causes, measurements, new)
    assert len(long.run.state.jumps) <= len(short.run.state.jumps) + len(causes)
    assert long.run.state.count == short.run.state.count
    # The first of the newest may have shifted since the one before it; nothing else is otherwise.
    np.testing.assert_allclose(long.errors.means[0], short.errors.means[0], atol=0.02)
    assert {jump.piece for jump in long.run.state.jumps} - {0} == set(range(40, 40 + REMEMBERED))


def test_setting_again_to_the_same_figure_is_a_move_as_well() -> None:
    """It is where it was no more: the spread of setting again comes on top (variances add)."""
    piece = TestPiece((Reading("a", 0.2, steady(0.01)),))
    cause = plain("stop", reset=0.1)
    kept = believe([cause], [plainly("a", {"stop": 1.0})], [piece])
    again = believe([cause], [plainly("a", {"stop": 1.0})], [piece, TestPiece((), {"stop": 0.0})])
    assert again.mean("stop") == pytest.approx(kept.mean("stop"))
    assert again.sd("stop") ** 2 == pytest.approx(kept.sd("stop") ** 2 + 0.1**2)
