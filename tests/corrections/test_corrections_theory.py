"""The belief against published theory, as limits of the same code that the bench uses."""

from itertools import combinations

import numpy as np
import pytest
from msgspec.structs import replace
from scipy import stats

from setupsheets.corrections.belief import Belief, believe
from setupsheets.corrections.causes import Cause
from setupsheets.corrections.observations import (
    BlankReading,
    InstrumentModel,
    MeasurementModel,
    Reading,
    TestPiece,
)
from setupsheets.corrections.prediction import predict_parts
from setupsheets.corrections.preposterior import ReadingOption, expected_information, weighed
from tests.corrections.made_up_shop import advise, plain, plainly, steady

READINGS_OF_A_HEIGHT = (48.54, 47.11, 55.01, 55.15, 49.89, 40.85, 46.72, 50.05, 51.27, 49.95)


def _adjust(prior_sd: float, errors: list[float], start: float) -> tuple[list[float], Belief]:
    """Move one setting by what is believed of it after every piece; give the gains and the end."""
    cause, measurement = plain("stop", sd=prior_sd), plainly("length", {"stop": 1.0})
    tool = steady(1.0)
    at, pieces, gains = start, [], []
    moves: dict[str, float] = {}
    for error in errors:
        reading = at + error
        pieces.append(TestPiece((Reading("length", reading, tool),), moves))
        belief = believe([cause], [measurement], pieces)
        gains.append(belief.mean("stop") / reading)
        moves = {"stop": -belief.mean("stop")}
        at += moves["stop"]
    return gains, believe([cause], [measurement], [*pieces, TestPiece((), moves)])


# F. E. Grubbs, "An optimum procedure for setting machines or adjusting processes", Industrial
# Quality Control, July 1954, reprinted in Journal of Quality Technology 15(4), 1983. The formulas
# are computed from the theory, the papers known to exist.
def test_harmonic_rule() -> None:
    errors = [0.3, -1.1, 0.7, 1.9, -0.4, 0.2]
    gains, belief = _adjust(1e5, errors, start=12.0)
    assert gains == pytest.approx([1 / n for n in range(1, 7)], rel=1e-6)
    # What is left is minus the mean of all errors: every error ends with equal weight.
    moved = sum(p.moves.get("stop", 0.0) for p in belief.pieces)
    assert 12.0 + moved == pytest.approx(-np.mean(errors), abs=1e-6)
    assert belief.sd("stop") == pytest.approx(1 / np.sqrt(6), rel=1e-6)


@pytest.mark.parametrize("prior_sd", [0.3, 1.0, 4.0])
def test_extended_harmonic_rule(prior_sd: float) -> None:
    gains, belief = _adjust(prior_sd, [0.4, 0.9, -0.6, 0.1], start=-2.0)
    expected = [1 / (n + 1 / prior_sd**2) for n in range(1, 5)]
    assert gains == pytest.approx(expected, rel=1e-9)
    assert belief.sd("stop") ** 2 == pytest.approx(expected[-1], rel=1e-9)


def test_scatter_from_piece_to_piece_counts_like_reading_error() -> None:
    """With scatter in place of reading error the same gains come out: 0.6 and 0.8 make 1."""
    cause = plain("stop", sd=2.0)
    measurement = plainly("length", {"stop": 1.0}, scatter=0.6)
    pieces = [TestPiece((Reading("length", 1.0, steady(0.8)),)) for _ in range(3)]
    belief = believe([cause], [measurement], pieces)
    assert belief.mean("stop") == pytest.approx(3 / (3 + 1 / 4), rel=1e-9)


def test_a_cause_and_a_measurement_may_have_one_name() -> None:
    """The width of the blank and the width of the part, each with its own scatter."""
    wood = replace(_wood(0.4, 0.3), name="width")
    measurement = plainly("width", {"width": 1.0}, scatter=0.2)
    belief = believe([wood], [measurement], [TestPiece((Reading("width", 1.0, steady(0.1)),))])
    gain = 0.4**2 / (0.4**2 + 0.3**2 + 0.2**2 + 0.1**2)
    assert belief.mean("width") == pytest.approx(gain)


def test_height_of_a_building_measured_ten_times() -> None:
    """An introductory text's Kalman example, read second-hand; its last line computed again."""
    cause = plain("height", sd=15.0, mean=60.0)
    measurement = plainly("height", {"height": 1.0})
    gains, means, before = [], [], 60.0
    for count in range(1, 11):
        read = [
            TestPiece((Reading("height", r, steady(5.0)),)) for r in READINGS_OF_A_HEIGHT[:count]
        ]
        belief = believe([cause], [measurement], read)
        means.append(belief.mean("height"))
        gains.append((means[-1] - before) / (READINGS_OF_A_HEIGHT[count - 1] - before))
        before = means[-1]
    published = [0.9000, 0.4737, 0.3214, 0.2432, 0.1957, 0.1636, 0.1406, 0.1233, 0.1098, 0.0989]
    assert gains == pytest.approx(published, abs=5e-5)
    assert means[-1] == pytest.approx(49.5699, abs=5e-5)
    assert belief.sd("height") ** 2 == pytest.approx(2.4725, abs=5e-5)


def test_one_normal_belief_is_generalized_least_squares() -> None:
    """Three causes, shared blank scatter, repeats, a pair, a measured blank, moves: by numpy."""
    causes = [plain("stop", sd=0.7, reset=0.2), plain("fence", sd=0.5), _wood(0.4, 0.3)]
    rows = {"a": {"stop": -2.0, "wood": 1.0}, "b": {"fence": 1.0, "wood": 1.0}}
    measurements = [
        plainly(n, r, scatter=s) for (n, r), s in zip(rows.items(), (0.1, 0.2), strict=True)
    ]
    tool = steady(0.15)
    first = TestPiece(
        (Reading("a", 0.9, tool), Reading("a", 1.1, tool), Reading("b", -0.4, tool)),
        blanks=(BlankReading("wood", 0.25, tool),),
    )
    second = TestPiece((Reading("b", 0.3, tool, pieces=2), Reading("a", -0.2, tool)), {"stop": 0.5})
    belief = believe(causes, measurements, [first, second])

    # State: stop at first, what its move scattered, fence, wood, and each piece's own scatter.
    prior = np.diag(np.square([0.7, 0.2, 0.5, 0.4, *[0.3, 0.1, 0.2] * 3]))
    h = np.array(
        [
            # stop reset fence wood | w1 a1 b1 | w2 a2 b2 | w3 a3 b3 (the pair's other piece)
            [-2, 0, 0, 1, 1, 1, 0, 0, 0, 0, 0, 0, 0],
            [-2, 0, 0, 1, 1, 1, 0, 0, 0, 0, 0, 0, 0],
            [0, 0, 1, 1, 1, 0, 1, 0, 0, 0, 0, 0, 0],
            [0, 0, 0, 1, 1, 0, 0, 0, 0, 0, 0, 0, 0],
            [0, 0, 1, 1, 0, 0, 0, 1, 0, 1, 1, 0, 1],
            [-2, -2, 0, 1, 0, 0, 0, 1, 1, 0, 0, 0, 0],
        ],
        dtype=float,
    )
    values = np.array([0.9, 1.1, -0.4, 0.25, 0.3, -0.2 + 2 * 0.5])
    precision = np.linalg.inv(prior) + h.T @ h / 0.15**2
    cov = np.linalg.inv(precision)
    mean = cov @ h.T @ values / 0.15**2
    final = np.zeros((3, 13))
    final[0, :2], final[1, 2], final[2, 3] = 1, 1, 1
    assert belief.errors.weights.tolist() == [1.0]
    assert belief.errors.means[0] == pytest.approx(final @ mean + [0.5, 0, 0], abs=1e-9)
    assert belief.errors.covs[0] == pytest.approx(final @ cov @ final.T, abs=1e-9)


def _wood(sd: float, scatter: float) -> Cause:
    return Cause(
        "wood",
        "blank",
        prior_sd=sd,
        scatter_sd=scatter,
        blunder_probability=0.0,
        move_blunder_probability=0.0,
        shift_probability=0.0,
    )


def test_weights_of_slips_are_those_of_the_whole_distribution() -> None:
    """Every set of slips by brute force: scipy's density of all readings at once."""
    causes = [
        Cause("stop", prior_sd=0.3, shift_probability=0.0, blunder_probability=0.05),
        Cause(
            "wood",
            "blank",
            prior_sd=0.4,
            scatter_sd=0.1,
            shift_probability=0.0,
            blunder_probability=0.1,
        ),
    ]
    measurements = [
        MeasurementModel("a", -1, 1, {"stop": -2.0, "wood": 1.0}, 0.1, stray_probability=0),
        MeasurementModel("b", -1, 1, {"wood": 1.0}, 0.1, stray_probability=0),
    ]
    tool = InstrumentModel("rule", 0.2, misreading_probability=0.02, misreading_sd=3.0)
    values = np.array([2.5, 2.2, 2.4, -0.3])
    pieces = [
        TestPiece((Reading("a", values[0], tool), Reading("b", values[1], tool))),
        TestPiece((Reading("a", values[2], tool), Reading("b", values[3], tool))),
    ]
    h = np.array([[-2, 1], [0, 1], [-2, 1], [0, 1]], dtype=float)
    wood = np.kron(np.eye(2), np.ones((2, 2))) * 0.1**2
    base = h @ np.diag([0.09, 0.16]) @ h.T + wood + np.eye(4) * (0.1**2 + 0.2**2)
    slips = [(h[:, 0], 6.0, 0.05), (h[:, 1], 6.0, 0.1)]
    slips += [(np.eye(4)[i], 3.0, 0.02) for i in range(4)]
    expected = {}
    for size in range(7):
        for chosen in combinations(range(6), size):
            cov = base + sum(slips[i][1] ** 2 * np.outer(slips[i][0], slips[i][0]) for i in chosen)
            chance = np.prod([s[2] if i in chosen else 1 - s[2] for i, s in enumerate(slips)])
            density = stats.multivariate_normal(np.zeros(4), cov).pdf(values)
            expected[chosen] = float(chance * density)
    total = sum(expected.values())
    belief = believe(causes, measurements, pieces)
    possible = [i for i, e in enumerate(belief.run.state.jumps) if e.probability > 0]
    sets = [tuple(possible.index(i) for i in each.jumps) for each in belief.hypotheses]
    found = dict(zip(sets, belief.state.weights.tolist(), strict=True))
    for chosen, weight in expected.items():
        assert found.get(chosen, 0.0) == pytest.approx(weight / total, abs=2e-4)
    assert belief.dropped < 2e-4


# W. E. Deming, Out of the Crisis: compensating each whole error doubles the variance (computed;
# the sentence from memory). What is known of the machine decides: with nothing known of it but that
# it is within 1 of where it should be, the first pieces have to be believed a little.
@pytest.mark.parametrize(("tolerance", "prior_sd", "most"), [(1.8, 0.3, 1.05), (3.0, 1.0, 1.3)])
def test_funnel(tolerance: float, prior_sd: float, most: float) -> None:
    """A process on target: the whole error each time doubles its variance, this advice does not."""
    rng = np.random.default_rng(20)
    cause = plain("stop", sd=prior_sd)
    measurement = plainly("length", {"stop": 1.0}, tolerance=tolerance, scatter=1.0)
    tool = steady(0.05)
    left_alone, advised, everyday = [], [], []
    for _ in range(30):
        at, compensated = 0.0, 0.0
        pieces: list[TestPiece] = []
        moves: dict[str, float] = {}
        for number in range(8):
            scatter, error = rng.normal(0, 1.0), rng.normal(0, tool.sd)
            if number:
                left_alone.append(scatter)
                advised.append(at + scatter)
                everyday.append(compensated + scatter)
            pieces.append(TestPiece((Reading("length", at + scatter + error, tool),), moves))
            advice = advise(believe([cause], [measurement], pieces))
            moves = advice.amounts
            at += moves.get("stop", 0.0)
            compensated = -(scatter + error)
    own = np.mean(np.square(left_alone))
    assert np.mean(np.square(everyday)) / own == pytest.approx(2.0, abs=0.15)
    assert np.mean(np.square(advised)) / own < most


def test_what_readings_will_tell_is_bayes_theorem() -> None:
    """Two accounts and two readings, with the densities of scipy: weight by likelihood."""
    weights, off = np.array([0.7, 0.3]), np.array([[[0.4, -0.1], [-1.2, 0.6]]])
    spread = np.array([np.diag([0.1, 0.2]), [[2.0, 0.5], [0.5, 1.0]]])
    likely = [
        w * stats.multivariate_normal(cov=cov).pdf(each)
        for w, cov, each in zip(weights, spread, off[0], strict=True)
    ]
    after, solved = weighed(weights, off, spread)
    assert after[0] == pytest.approx(np.array(likely) / sum(likely))
    assert solved[0, 1] == pytest.approx(np.linalg.inv(spread[1]) @ off[0, 1])


def test_what_measuring_again_is_worth_is_what_it_leaves_to_doubt() -> None:
    """Normal theory: spreads add up in squares of their reciprocals, and what is put right by the
    mean is out by what is left (H. Raiffa and R. Schlaifer, 1961)."""
    tolerance, prior, read, again = 0.15, 0.4, 0.3, 0.1
    piece = TestPiece((Reading("a", 0.0, steady(read)),))
    belief = believe([plain("stop", sd=prior)], [plainly("a", {"stop": 1}, tolerance=tolerance)],
                     [piece])  # fmt: skip
    option = ReadingOption("a", InstrumentModel("other", again, misreading_probability=0.0))
    told = expected_information(belief, predict_parts(belief), np.array([0.1]), [option], 0.5)
    assert told is not None
    left = (prior**-2 + read**-2 + again**-2) ** -0.5
    assert told.after == pytest.approx(2 * stats.norm.cdf(tolerance / left) - 1, abs=1e-3)
    before = (prior**-2 + read**-2) ** -0.5
    # Of 24 outcomes on a lattice: within a point of the whole distribution.
    assert told.now == pytest.approx(2 * stats.norm.cdf(tolerance / before) - 1, abs=0.01)


def test_once_it_is_read_exactly_it_matters_no_more_which_account_was_right() -> None:
    """Misread or really out, about as likely: the exact figure is put right either way."""
    rough = InstrumentModel("rough", 0.3, misreading_probability=0.4, misreading_sd=3.0)
    belief = believe([plain("stop", sd=0.4)], [plainly("a", {"stop": 1}, tolerance=0.3)],
                     [TestPiece((Reading("a", 1.2, rough),))])  # fmt: skip
    assert belief.errors.weights[1] > 0.25, "two accounts"
    option = ReadingOption("a", steady(0.01))
    parts, moves = predict_parts(belief), np.array([0.1])
    told = expected_information(belief, parts, moves, [option], 0.9)
    assert told is not None and told.now < 0.5
    assert told.after == pytest.approx(1, abs=0.01)
    assert told.enough == 1


def test_a_limit_on_one_side_is_a_limit() -> None:
    """The chance that a normal size stays below its one limit; no limit, no chance to miss it."""
    sizes = [
        MeasurementModel("most", -np.inf, 0.5, {"stop": 1}, stray_probability=0.0),
        MeasurementModel("least", -0.5, np.inf, {"stop": 1}, stray_probability=0.0),
        MeasurementModel("free", -np.inf, np.inf, {"stop": 1}, stray_probability=0.0),
    ]
    parts = predict_parts(believe([plain("stop", sd=0.4, mean=0.2)], sizes))
    assert parts.names == ("most", "least")
    *_, each = parts.expected(np.zeros(1))
    assert each == pytest.approx([stats.norm.cdf(0.3 / 0.4), stats.norm.cdf(0.7 / 0.4)])
