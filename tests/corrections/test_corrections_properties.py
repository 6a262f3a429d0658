"""What must hold for any readings whatever."""

from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from setupsheets.corrections.belief import Belief, believe
from setupsheets.corrections.causes import Cause
from setupsheets.corrections.observations import (
    InstrumentModel,
    MeasurementModel,
    Reading,
    TestPiece,
)
from tests.corrections.made_up_shop import (
    advise,
    bar_causes,
    bar_measurements,
    bar_piece,
    plain,
    plainly,
    steady,
)

DEVIATIONS = st.lists(st.floats(-8, 8), min_size=6, max_size=6)
MOVES = st.dictionaries(st.sampled_from([c.name for c in bar_causes()]), st.floats(-3, 3))
PIECES = st.lists(st.tuples(DEVIATIONS, MOVES), min_size=1, max_size=3)


def bar(pieces: Sequence[tuple[list[float], dict[str, float]]]) -> Belief:
    read = [bar_piece(values, moves) for values, moves in pieces]
    return believe(bar_causes(), bar_measurements(), read)


@settings(max_examples=12, deadline=None)
@given(PIECES)
@example([([0.09, 0.09, 0.09, 0.09, 0.09, 0.0], {})])
@example([([0.0] * 6, {}), ([0.0, 2.0, 1.0, 0.0, 0.0, 0.0], {})])
@example([([7.0, -7.0, -0.4, 0.0, -5.3, 0.3], {}), ([0.0] * 6, {})])
def test_a_belief_is_sound(pieces: list[tuple[list[float], dict[str, float]]]) -> None:
    belief = bar(pieces)
    assert belief.errors.weights.sum() == pytest.approx(1)
    assert (belief.errors.weights >= 0).all()
    assert 0 <= belief.dropped < 0.15
    for cov in belief.errors.covs:
        assert np.allclose(cov, cov.T, rtol=0, atol=1e-12)
        assert np.linalg.eigvalsh(cov).min() > -1e-9
    advice = advise(belief)
    assert 0 <= advice.untouched <= 1
    assert 0 <= advice.probability <= 1
    assert advice.probability >= advice.untouched - 0.01


@settings(max_examples=10, deadline=None)
@given(DEVIATIONS, st.permutations(range(6)))
def test_order_of_readings_in_a_piece_does_not_matter(
    values: list[float], order: list[int]
) -> None:
    piece = bar_piece(values)
    turned = replace(piece, readings=tuple(piece.readings[i] for i in order))
    causes, measurements = bar_causes(), bar_measurements()
    one, two = (believe(causes, measurements, [p]) for p in (piece, turned))
    for cause in causes:
        assert one.mean(cause.name) == pytest.approx(two.mean(cause.name), abs=2e-3)
        assert one.sd(cause.name) == pytest.approx(two.sd(cause.name), abs=2e-3)


@settings(max_examples=30, deadline=None)
@given(
    st.lists(
        st.tuples(st.sampled_from("ab"), st.floats(-5, 5), st.floats(0.01, 2)),
        min_size=1,
        max_size=6,
    )
)
def test_more_readings_never_widen_one_normal_belief(
    readings: list[tuple[str, float, float]],
) -> None:
    causes = [plain("stop"), plain("fence")]
    rows = {"a": {"stop": -2.0, "fence": 1.0}, "b": {"fence": 1.0}}
    measurements = [plainly(n, r, scatter=0.1) for n, r in rows.items()]
    before = [np.inf, np.inf]
    for count in range(len(readings) + 1):
        read = tuple(Reading(n, v, steady(sd)) for n, v, sd in readings[:count])
        belief = believe(causes, measurements, [TestPiece(read)])
        spread = [belief.sd("stop"), belief.sd("fence")]
        assert all(now <= then * (1 + 1e-9) for now, then in zip(spread, before, strict=True))
        before = spread


def _scaled_cause(cause: Cause, k: float) -> Cause:
    lengths = ("prior_mean", "prior_sd", "blunder_sd", "reset_sd", "finest", "scatter_sd")
    return replace(cause, **{name: getattr(cause, name) * k for name in lengths})


def _scaled_measurement(m: MeasurementModel, k: float) -> MeasurementModel:
    lengths = ("low", "high", "scatter_sd", "stray_sd")
    return replace(m, **{name: getattr(m, name) * k for name in lengths})


def _scaled_tool(tool: InstrumentModel, k: float) -> InstrumentModel:
    lengths = ("sd", "resolution", "misreading_sd")
    return replace(tool, **{name: getattr(tool, name) * k for name in lengths})


@settings(max_examples=8, deadline=None)
@given(DEVIATIONS, st.sampled_from([1 / 25.4, 25.4, 2.0]))
def test_in_other_units_it_is_the_same_advice(values: list[float], k: float) -> None:
    """Where equal sets of slips stand at the edge of what is kept, others may be: hence 0.002."""
    causes, measurements = bar_causes(), bar_measurements()
    piece = bar_piece(values)
    other = TestPiece(
        tuple(
            replace(r, value=v * k, instrument=_scaled_tool(r.instrument, k))
            for r, v in zip(piece.readings, values, strict=True)
        )
    )
    one = believe(causes, measurements, [piece])
    two = believe(
        [_scaled_cause(c, k) for c in causes],
        [_scaled_measurement(m, k) for m in measurements],
        [other],
    )
    for cause in causes:
        assert two.mean(cause.name) == pytest.approx(k * one.mean(cause.name), abs=2e-3 * k)
        assert two.sd(cause.name) == pytest.approx(k * one.sd(cause.name), rel=2e-3)
    assert advise(two).untouched == pytest.approx(advise(one).untouched, abs=1e-3)
    assert advise(two).probability == pytest.approx(advise(one).probability, abs=0.02)
