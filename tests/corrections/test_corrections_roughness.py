"""Shops rougher than their files say, moves finer than a mark, whole-inch slips, wood last.

Readings are made up; what they should come to is common practice, no source, unless it is said.
"""

import numpy as np
import pytest
from msgspec.structs import replace
from scipy import stats

from setupsheets.corrections.belief import Belief, believe
from setupsheets.corrections.causes import Cause
from setupsheets.corrections.explain import explain
from setupsheets.corrections.limiting import BestChance, reach_before_first_cut
from setupsheets.corrections.observations import (
    BlankReading,
    InstrumentModel,
    MeasurementModel,
    Reading,
    TestPiece,
)
from setupsheets.corrections.prediction import predict_parts
from setupsheets.corrections.preposterior import ReadingOption
from setupsheets.corrections.roughness import AS_SAID, SHOPS, still_in_doubt
from setupsheets.corrections.stopping import recommend
from setupsheets.wording.advice import reach_words
from tests.corrections.made_up_shop import plain, plainly, setting, steady, wood

INCH = 25.4
MARK = INCH / 64
CALIPER = InstrumentModel("caliper", sd=INCH / 1000, resolution=INCH / 1000)
HEIGHT = replace(setting("height", "block", finest=MARK / 2), fine_step=0.05, fine_reach=0.66)
DEPTH = MeasurementModel("depth", -INCH / 128, INCH / 128, {"height": 1.0}, 0.03)


def read(*values: float) -> Belief:
    """Pieces read once each, nothing moved, in thousandths of an inch off the target."""
    pieces = [TestPiece((Reading("depth", value * INCH / 1000, CALIPER),)) for value in values]
    return believe([replace(HEIGHT, fine_sd=0.03)], [DEPTH], pieces, shops=SHOPS)


def test_pieces_that_differ_more_than_the_limits_are_never_called_good() -> None:
    """Depths of .362 .388 .361 .389 ... in where .367 to .383 is allowed: none of them is right."""
    values = (-13, 13, -14, 14, -12, 12, -13, 13)
    for count in range(2, 9):
        assert recommend(read(*values[:count]))[1].kind != "cut parts"
    # By hand: of a normal scatter of .013 in, 46 % lie within .008 in.
    assert recommend(read(*values))[0].probability < 0.65


@pytest.mark.parametrize("scale", [0.6, 2.0])
def test_eight_pieces_show_how_pieces_scatter_whatever_the_files_say(scale: float) -> None:
    """What is said of the parts, on average over 40 set-ups with nothing moved, and what the normal
    distribution says (scipy): within four points, where files taken at their word are ten out at
    twice their scatter."""
    rng, sd = np.random.default_rng(5), 0.1 * scale
    depth = MeasurementModel("depth", -0.25, 0.25, {"height": 1.0}, 0.1)
    said: list[float] = []
    as_filed: list[float] = []
    true = []
    for off in rng.normal(0, 0.1, 40):
        found = off + rng.normal(0, sd, 8) + rng.normal(0, CALIPER.sd, 8)
        pieces = [TestPiece((Reading("depth", float(each), CALIPER),)) for each in found]
        for shops, told in ((SHOPS, said), (AS_SAID, as_filed)):
            parts = predict_parts(believe([HEIGHT], [depth], pieces, shops=shops))
            told.append(parts.probability(np.zeros(1)))
        true.append(stats.norm.cdf((0.25 - off) / sd) - stats.norm.cdf((-0.25 - off) / sd))
    assert np.mean(said) == pytest.approx(np.mean(true), abs=0.04)
    if scale == 2:
        assert np.mean(as_filed) > np.mean(true) + 0.1


def test_scatter_is_learnt_from_the_pieces_and_from_earlier_set_ups() -> None:
    """Pieces ten times as uneven as the files say, then as even: by mean scale, nothing else."""

    def scale(belief: Belief) -> float:
        shops = belief.shops_now
        return sum(s.pieces * s.probability for s in shops) / sum(s.probability for s in shops)

    uneven, even = read(-13, 13, -14, 14), read(0, 1, 0, 1)
    assert scale(uneven) > 2 * scale(read()) > 2 * scale(even)
    told = still_in_doubt(uneven.shops_now)
    again = believe(even.causes, [DEPTH], (), shops=told)
    assert scale(read()) < scale(again) < scale(uneven)


def test_a_setting_is_moved_finer_than_its_marks_by_shims() -> None:
    """Out by a third of a mark: no mark comes nearer, a shim does."""
    out = [TestPiece((Reading("depth", 0.15, CALIPER),))] * 2
    coarse = replace(setting("height", "rule", finest=MARK))
    fine = replace(coarse, fine_step=0.05, fine_reach=0.66, fine_sd=0.03)
    assert recommend(believe([coarse], [DEPTH], out))[0].amounts == {}
    (move,) = recommend(believe([fine], [DEPTH], out))[0].moves
    assert move.fine
    assert move.amount == pytest.approx(-0.15, abs=0.051)


def test_a_shim_s_move_adds_its_own_spread_and_a_mark_s_its_own() -> None:
    """Variances add: prior 0.3, then 0.03 by shims or 0.2 by marks (plain sums of squares)."""
    cause = replace(plain("height", sd=0.3, reset=0.2), fine_step=0.05, fine_sd=0.03)
    for fine, added in ((frozenset({"height"}), 0.03), (frozenset[str](), 0.2)):
        moved = TestPiece((), {"height": 0.1}, fine=fine)
        belief = believe([cause], [plainly("depth", {"height": 1.0})], [moved])
        assert belief.sd("height") == pytest.approx(np.hypot(0.3, added), rel=1e-9)


def test_a_dial_below_nothing_has_no_probability() -> None:
    """Read an inch too deep, which no bit standing 3/8 high can have cut short of."""
    height = setting("height", "block", finest=MARK)
    pieces = [TestPiece((Reading("depth", -INCH, CALIPER),))]
    free = believe([height], [DEPTH], pieces)
    held = believe([replace(height, lowest=-3 / 8 * INCH)], [DEPTH], pieces)
    assert free.mean("height") < -INCH / 2
    assert held.errors.means.min() >= -3 / 8 * INCH
    assert held.errors.weights.sum() == pytest.approx(1)
    never = believe([replace(height, lowest=INCH)], [DEPTH], pieces)
    assert never.errors.means.tolist() == free.errors.means.tolist(), "where nothing can be, all is"


@pytest.mark.parametrize("inches", [1.0, 0.5, 0.25, 0.125])
def test_a_reading_off_by_a_whole_fraction_is_read_again_before_anything_moves(
    inches: float,
) -> None:
    marks = tuple(INCH / part for part in (1, 2, 4, 8, 16))
    rule = InstrumentModel("rule", sd=INCH / 128, resolution=MARK, marks=marks)
    stop = setting("stop", "rule", finest=MARK)
    length = MeasurementModel("length", -MARK, MARK, {"stop": -2.0}, 0.05)
    belief = believe([stop], [length], [TestPiece((Reading("length", inches * INCH, rule),))])
    advice, found = recommend(belief, options=[ReadingOption("length", rule)])
    assert (advice.amounts, found.kind) == ({}, "measure again")
    blamed = [account.readings for account in explain(belief).ranked]
    assert any(blamed)


# A groove's floor hangs on the blade's height and on the stock alike.
GROOVE = (
    replace(setting("height", "rule", finest=MARK), fine_step=0.05, fine_reach=0.66, fine_sd=0.04),
    Cause("thickness", "blank", prior_sd=0.2, reset_sd=0.15, scatter_sd=0.05),
)
FLOOR = MeasurementModel("floor", -0.4, 0.2, {"height": -1.0, "thickness": 1.0}, 0.03)


def test_iron_is_moved_before_wood() -> None:
    deep = TestPiece((Reading("floor", 7 * INCH / 64, CALIPER),))
    amounts = recommend(believe(GROOVE, [FLOOR], [deep] * 2))[0].amounts
    assert set(amounts) == {"height"}


def test_the_blank_s_size_is_asked_for_and_tells_wood_from_iron() -> None:
    """Read at 7/64 thick, the stock is: it is planed, and the blade stays."""
    off = 7 * INCH / 64
    reading = Reading("floor", off, CALIPER)
    sizes = [ReadingOption("floor", CALIPER), ReadingOption("thickness", CALIPER, blank=True)]
    asked = recommend(believe(GROOVE, [FLOOR], [TestPiece((reading,))]), options=sizes)[1]
    assert "thickness" in {option.measurement for option in asked.readings}
    measured = TestPiece((reading,), blanks=(BlankReading("thickness", off, CALIPER),))
    amounts = recommend(believe(GROOVE, [FLOOR], [measured] * 2), options=sizes)[0].amounts
    assert set(amounts) == {"thickness"}
    assert amounts["thickness"] == pytest.approx(-off, abs=0.15)


def test_wood_is_not_taken_off_on_one_doubtful_reading() -> None:
    """One length reads a quarter over, nothing else tells of the blank: it is read again."""
    rule = InstrumentModel("rule", sd=0.2, resolution=MARK, misreading_probability=0.05)
    stop, length = setting("stop", "rule", finest=MARK), wood("length")
    rows = {"length": 1.0}
    overall = MeasurementModel("overall", -1.6, 0.8, rows, 0.03)
    back = MeasurementModel("back", -0.8, 0.4, {"length": 1.0, "stop": -2.0}, 0.03)
    piece = TestPiece((Reading("overall", INCH / 4, rule), Reading("back", 0.0, rule)))
    advice, _ = recommend(believe([stop, length], [overall, back], [piece]))
    assert "length" not in advice.amounts


@pytest.mark.parametrize(("scatter", "wider"), [(0.1, 0.0), (0.25, 1.5), (3.0, 0.0)])
def test_what_is_within_reach_is_known_before_the_first_cut(scatter: float, wider: float) -> None:
    """The chance of a normal scatter within 0.3, by scipy, eight pieces read; what cures it."""
    belief = believe([plain("stop")], [plainly("a", {"stop": 1.0}, tolerance=0.3, scatter=scatter)])
    reach = reach_before_first_cut(belief, [ReadingOption("a", steady(1e-4))], 0.9, 8)
    left = 1 / (1 / 0.4**2 + 8 / scatter**2)  # inverse variances add
    spread = np.sqrt(scatter**2 + left)
    chance = 2 * stats.norm.cdf(0.3 / spread) - 1
    assert reach.attainable == pytest.approx(chance, abs=0.003)
    assert (reach.limit is None) == (chance >= 0.9)
    assert reach.wider == wider
    if wider:
        below = max(step for step in (1.0, 1.25) if step < wider)
        assert 2 * stats.norm.cdf(0.3 * below / spread) - 1 < 0.9
        assert 2 * stats.norm.cdf(0.3 * wider / spread) - 1 >= 0.9


def test_reach_in_words() -> None:
    assert reach_words(BestChance(0.973), {}) == "at best 97 % right"
    belief = believe([plain("stop")], [plainly("a", {"stop": 1.0}, tolerance=0.3, scatter=0.25)])
    reach = reach_before_first_cut(belief, [ReadingOption("a", steady(1e-4))], 0.9, 8)
    told = reach_words(reach, {"a": "Back"})
    assert told.startswith("at best 74 % right: Back differs too much from piece to piece")
    assert told.endswith("; limits 1.5 times as wide would do")
