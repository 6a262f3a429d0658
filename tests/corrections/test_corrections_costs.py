"""What a miss costs: shares of the normal distribution, and when easing parts costs less than
another test piece."""

import numpy as np
import pytest
from msgspec.structs import replace
from scipy import stats

from setupsheets.corrections.belief import Belief, believe
from setupsheets.corrections.observations import MeasurementModel, Reading, TestPiece
from setupsheets.corrections.prediction import predict_parts
from setupsheets.corrections.preposterior import ReadingOption
from setupsheets.corrections.stopping import CostsInMinutes, recommend
from tests.corrections.made_up_shop import plain, steady

# Normal distribution: 68.27 % within one standard deviation, 15.87 % beyond it on either side
# (any table of it; here scipy's).
TAIL = float(stats.norm.sf(1.0))

BAR = MeasurementModel(
    "tenon", -0.1, 0.1, {"height": 1.0}, 0.1, stray_probability=0.0, missed_high="eased"
)


def known(*measurements: MeasurementModel, off: float = 0.0) -> Belief:
    """A height so often read that all there is left is how pieces differ."""
    tool = steady(1e-4)
    piece = TestPiece(tuple(Reading(m.name, off, tool) for m in measurements))
    causes = [plain("height", sd=1e-5, mean=off)]
    return believe(causes, measurements, [piece])


def test_what_becomes_of_parts_adds_up_side_by_side() -> None:
    misses = predict_parts(known(BAR)).misses(np.zeros(1))
    assert misses.right == pytest.approx(1 - 2 * TAIL, abs=0.004)
    assert misses.eased == pytest.approx(TAIL, abs=0.004)
    assert misses.spoilt == pytest.approx(TAIL, abs=0.004)
    assert misses.unseen == 0

    unseen = predict_parts(known(replace(BAR, missed_low="unseen"))).misses(np.zeros(1))
    assert unseen.unseen == pytest.approx(TAIL, abs=0.004)
    assert unseen.spoilt == pytest.approx(0, abs=1e-9)


def test_where_nothing_is_said_of_it_a_miss_spoils_the_part() -> None:
    misses = predict_parts(known(replace(BAR, missed_high="spoils"))).misses(np.zeros(1))
    assert misses.spoilt == pytest.approx(2 * TAIL, abs=0.004)
    assert misses.eased == misses.unseen == 0


def costs(parts: int, **minutes: float) -> CostsInMinutes:
    usual = {"test_piece": 10.0, "re_setting": 5.0, "easing": 5.0, "spoilt": 90.0}
    return CostsInMinutes(parts, **(usual | minutes))


# A tenon of which 12.51 % are over and are shaved, none under (its low limit lies 5 spreads down):
# n parts cost n x .1251 x 5 minutes to ease, and a test piece 10 (by hand).
EASED = replace(BAR, low=-0.5, high=0.115)


@pytest.mark.parametrize(
    ("parts", "minutes", "kind"),
    [
        (15, {}, "cut parts"),  # 9.4 minutes
        (17, {}, "another"),  # 10.6
        (17, {"test_piece": 11.0}, "cut parts"),
        (15, {"easing": 6.0}, "another"),  # 11.3
        (1, {"easing": 100.0}, "another"),  # 12.5
    ],
)
def test_parts_are_cut_where_easing_costs_less_than_a_test_piece(
    parts: int, minutes: dict[str, float], kind: str
) -> None:
    belief = believe(
        [replace(plain("height", sd=1e-5), movable=False)],
        [EASED],
        [TestPiece((Reading("tenon", 0.0, steady(1e-4)),))],
    )
    _, found = recommend(belief, threshold=0.9, costs=costs(parts, **minutes))
    assert (found.kind == "cut parts") == (kind == "cut parts")
    assert found.eased == (kind == "cut parts")
    _, without = recommend(belief, threshold=0.9)
    assert without.kind != "cut parts"


def test_parts_are_not_cut_for_easing_on_a_move_that_no_piece_has_shown() -> None:
    """Of parts that differ by .1 and may be .16 off either way 11 % are eased once they are centred
    (scipy), which costs less than a test piece; but they stand .09 off, and must be moved first."""
    assert 2 * stats.norm.sf(1.6) == pytest.approx(0.11, abs=0.001)
    both = replace(BAR, low=-0.16, high=0.16, missed_low="eased")
    for off, amounts, kind in ((0.09, {"height"}, "another test piece"), (0.0, set(), "cut parts")):
        piece = TestPiece((Reading("tenon", off, steady(1e-4)),))
        height = plain("height", sd=1e-5, mean=off, reset=0.005)
        advice, found = recommend(believe([height], [both], [piece]), costs=costs(2))
        assert (set(advice.amounts), found.kind) == (amounts, kind)


# A height read twice within .05 x root 2, so that it is known within .05, and parts within .1 that
# differ by nothing: 4.6 % are out (two-sided, 2 standard deviations), and spoilt. A third reading
# leaves .05 x root 2/3 and what it shows can be moved: 1.4 % are out then (2.45). n parts lose
# n x .046 x 90 minutes, and a piece costs 10 (by hand; the share that it saves is over half).
SPOILT = MeasurementModel("tenon", -0.1, 0.1, {"height": 1.0}, stray_probability=0.0)


@pytest.mark.parametrize(
    ("parts", "minutes", "kind"),
    [
        (2, {}, "cut parts"),  # 8.2 minutes at the most
        (12, {}, "another test piece"),  # 49
        (12, {"test_piece": 60.0}, "cut parts"),
        (12, {"spoilt": 10.0}, "cut parts"),  # 5.5
        (2, {"spoilt": 600.0}, "another test piece"),  # 55
    ],
)
def test_a_piece_is_cut_where_it_costs_less_than_it_saves(
    parts: int, minutes: dict[str, float], kind: str
) -> None:
    tool = steady(0.05 * 2**0.5)
    belief = believe(
        [plain("height", sd=5.0)], [SPOILT], [TestPiece((Reading("tenon", 0.0, tool),) * 2)]
    )
    options = [ReadingOption("tenon", tool)]
    _, found = recommend(belief, options=options, costs=costs(parts, **minutes))
    assert found.kind == kind
    assert found.pays == (kind != "cut parts")
    assert recommend(belief, options=options)[1].kind == "cut parts", (
        "without costs, as sure as asked"
    )


def test_a_piece_that_tells_nothing_more_is_not_cut_for_what_it_might_save() -> None:
    """How pieces differ is all that is left: another one changes nothing."""
    _, found = recommend(known(replace(BAR, high=0.3, low=-0.165)), costs=costs(1000))
    assert found.kind == "cut parts"


def test_what_spoils_is_never_cut_for_its_cost() -> None:
    fixed = replace(plain("height", sd=1e-5), movable=False)
    piece = TestPiece((Reading("tenon", 0.0, steady(1e-4)),))
    spoils = replace(EASED, missed_high="spoils")
    _, found = recommend(believe([fixed], [spoils], [piece]), costs=costs(1, spoilt=1.0))
    assert found.kind != "cut parts"
    _, twice = recommend(  # 31 % outside: far more than the 10 % that are asked for
        believe([fixed], [replace(BAR, missed_low="eased")], [piece]), costs=costs(1, easing=0.1)
    )
    assert twice.kind != "cut parts"
