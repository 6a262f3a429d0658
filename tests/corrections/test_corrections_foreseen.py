"""What a further piece or reading promises, and what it can never come to, reckoned slowly.

Against plain draws with a fixed seed, and integrals of the normal distribution by scipy. The shop
is invented.
"""

from __future__ import annotations

import numpy as np
import pytest
from msgspec.structs import replace
from scipy import stats

from setupsheets.corrections.belief import Belief, believe
from setupsheets.corrections.causes import Cause
from setupsheets.corrections.limiting import pieces_expected, reach_before_first_cut
from setupsheets.corrections.lookahead import look_ahead
from setupsheets.corrections.normal import Array
from setupsheets.corrections.observations import (
    InstrumentModel,
    MeasurementModel,
    Reading,
    TestPiece,
)
from setupsheets.corrections.prediction import predict_parts
from setupsheets.corrections.preposterior import ReadingOption, expected_information
from setupsheets.corrections.roughness import Roughness
from setupsheets.corrections.search import move_search
from tests.corrections.made_up_shop import plain, plainly, steady

RULE = InstrumentModel("rule", 0.1, 0.3, misreading_probability=0.0)
CALIPER = InstrumentModel("caliper", 0.06, 0.02, misreading_probability=0.0)
SHOPS = (Roughness(0.06, pieces=0.5, readings=0.6), Roughness(0.5), Roughness(0.44, 1.6, 1.4, 1.3))
OPTIONS = [ReadingOption("length", RULE), ReadingOption("width", CALIPER)]
LIMITS = np.array([[-0.6, -0.2], [0.5, 0.25]])


def setting(name: str, **more: float) -> Cause:
    return Cause(name, blunder_probability=0.0, shift_probability=0.0, **more)  # type: ignore[arg-type]


STOP = setting("stop", prior_sd=0.5, reset_sd=0.1, fine_sd=0.03, fine_reach=0.05,
               move_blunder_probability=0.02)  # fmt: skip
FENCE = setting("fence", prior_sd=0.3, reset_sd=0.12, fine_sd=0.04, fine_reach=0.1)
LEFT = setting("left", prior_sd=0.1, movable=False)
OWN = np.array([0.18, 0.05])
LENGTH = MeasurementModel("length", -0.6, 0.5, {"stop": -2.0, "left": 1.0}, OWN[0],
                          stray_probability=0.0)  # fmt: skip
WIDTH = MeasurementModel("width", -0.2, 0.25, {"fence": 1.0}, OWN[1], stray_probability=0.0)
H = np.array([[-2.0, 0.0, 1.0], [0.0, 1.0, 0.0]])


def two(*pieces: tuple[float, float]) -> Belief:
    """One normal account for each shop, of two measures that have nothing in common."""
    read = [
        TestPiece((Reading("length", length, RULE), Reading("width", width, CALIPER)))
        for length, width in pieces
    ]
    return believe([STOP, FENCE, LEFT], [LENGTH, WIDTH], read, shops=SHOPS)


def lands(moves: Array, shop: Roughness) -> Array:
    """The variance that moves (..., 3) add."""
    fine = np.array([0.03, 0.04, 0.0]) ** 2
    coarse = np.array([0.1, 0.12, 0.0]) ** 2
    small = np.abs(moves) <= np.array([0.05, 0.1, 0.0])
    return shop.landing**2 * np.where(moves == 0, 0.0, np.where(small, fine, coarse))


def chance_of(weights: Array, means: Array, belief: Belief, moves: Array,
              covs: list[Array]) -> Array:  # fmt: skip
    """That a part is right after moves (d, 3): weights (d, c), means of the causes (d, c, 3)."""
    sure = np.zeros(len(moves))
    for at, cov in enumerate(covs):
        shop = SHOPS[belief.hypotheses[at].shop]
        centre = (means[:, at] + moves) @ H.T
        own = np.diag(H @ cov @ H.T) + shop.pieces**2 * OWN**2
        sd = np.sqrt(own + lands(moves, shop) @ np.square(H).T)
        inside = stats.norm.cdf((LIMITS[1] - centre) / sd) - stats.norm.cdf(
            (LIMITS[0] - centre) / sd
        )
        sure += weights[:, at] * inside.prod(axis=1)
    return sure * np.where(moves[:, 0] != 0, 0.98, 1) * np.where(moves[:, 1] != 0, 0.99, 1)


@pytest.mark.parametrize("moves", [(0.0, 0.0, 0.0), (0.5, 0.0, 0.0), (0.4, -0.1, 0.0)], ids=str)
@pytest.mark.parametrize("threshold", [0.6, 0.9])
def test_what_a_piece_promises_is_what_many_such_pieces_come_to(
    moves: tuple[float, float, float], threshold: float
) -> None:
    """Drawn, read, believed, put right where it is out by a fifth of its limits: 4000 times."""
    belief = two((0.9, 0.15), (0.8, 0.1))
    search = move_search(belief, predict_parts(belief), 0.0)
    (told,) = look_ahead(belief, search, [np.array(moves)], OPTIONS, threshold)
    rng, errors = np.random.default_rng(7), belief.errors
    shops = [SHOPS[each.shop] for each in belief.hypotheses]
    draws, count = 4000, len(shops)
    which = rng.choice(count, size=draws, p=errors.weights)
    covs = [errors.covs[c] + np.diag(lands(np.array(moves), shops[c])) for c in range(count)]
    noise = [np.diag(shops[c].pieces**2 * OWN**2 + shops[c].readings**2
                     * np.array([RULE.uncertainty**2, CALIPER.uncertainty**2]))
             for c in range(count)]  # fmt: skip
    read = np.zeros((draws, 2))
    for c in range(count):
        mine = which == c
        centre, spread = H @ (errors.means[c] + moves), H @ covs[c] @ H.T + noise[c]
        read[mine] = rng.multivariate_normal(centre, spread, size=mine.sum())
    weights, means, left = np.zeros((draws, count)), np.zeros((draws, count, 3)), []
    for c in range(count):
        spread = H @ covs[c] @ H.T + noise[c]
        centre = H @ (errors.means[c] + moves)
        weights[:, c] = errors.weights[c] * stats.multivariate_normal(centre, spread).pdf(read)
        gain = covs[c] @ H.T @ np.linalg.inv(spread)
        means[:, c] = errors.means[c] + moves + (read - centre) @ gain.T
        left.append(covs[c] - gain @ H @ covs[c])
    weights /= weights.sum(axis=1, keepdims=True)
    centre = np.einsum("dc,dcn->dn", weights, means)
    nothing = np.zeros((draws, 3))
    righted = nothing.copy()
    off = centre @ H.T
    righted[:, 0] = np.where(np.abs(centre[:, 0]) * 2 / 0.5 > 0.2, off[:, 0] / 2, 0.0)
    righted[:, 1] = np.where(np.abs(centre[:, 1]) / 0.2 > 0.2, -off[:, 1], 0.0)
    best = np.maximum(chance_of(weights, means, belief, nothing, left),
                      chance_of(weights, means, belief, righted, left))  # fmt: skip
    enough = best >= threshold
    assert told.after == pytest.approx(best.mean(), abs=0.02)
    assert told.enough == pytest.approx(enough.mean(), abs=0.1)
    worth = np.where(enough, 1.0, best / threshold / 2)
    assert told.worth == pytest.approx(worth.mean(), abs=0.05)
    assert told.moves.tolist() == list(moves)


@pytest.mark.parametrize("blank", [False, True])
@pytest.mark.parametrize("scatter", [0.0, 0.08])
def test_a_piece_read_again_tells_less_the_more_pieces_differ(scatter: float, blank: bool) -> None:
    """Twice read, the reading is known better and how this piece differs is not; nor is it where
    it is the piece's blank that differs and is measured."""
    limit, prior, once, again = 0.3, 0.4, 0.3, 0.1
    piece = TestPiece((Reading("a", 0.0, steady(once)),))
    model = plainly("a", {"stop": 1}, tolerance=limit, scatter=0.0 if blank else scatter)
    cause = replace(plain("stop", sd=prior), scatter_sd=scatter if blank else 0.0)
    belief = believe([cause], [model], [piece])
    finer = InstrumentModel("other", again, misreading_probability=0.0)
    option = ReadingOption("stop" if blank else "a", finer, blank=blank)
    told = expected_information(belief, predict_parts(belief), np.array([0.1]), [option], 0.5)
    assert told is not None
    both = 1 / (once**-2 + again**-2)
    left = 1 / (prior**-2 + 1 / (scatter**2 + both)) + scatter**2
    assert told.after == pytest.approx(2 * stats.norm.cdf(limit / left**0.5) - 1, abs=2e-3)


@pytest.mark.parametrize("same", [True, False])
def test_rounding_that_readings_share_is_not_averaged_out(same: bool) -> None:
    """By the same rule again half of its own variance is left and all of its rounding; with another
    of the same kind each rounds for itself (JCGM 100:2008, 5.1.2)."""
    limit, prior, tool = 0.3, 0.4, steady(0.03, 0.5)
    piece = TestPiece((Reading("a", 0.0, tool),))
    belief = believe([plain("stop", sd=prior)], [plainly("a", {"stop": 1}, tolerance=limit)],
                     [piece])  # fmt: skip
    option = ReadingOption("a", tool if same else replace(tool, name="other"))
    told = expected_information(belief, predict_parts(belief), np.array([0.1]), [option], 0.5)
    assert told is not None
    both = tool.own_variance / 2 + tool.shared_variance if same else tool.uncertainty**2 / 2
    left = 1 / (prior**-2 + 1 / both)
    assert told.after == pytest.approx(2 * stats.norm.cdf(limit / left**0.5) - 1, abs=2e-3)


def known_after(pieces: int, shop: Roughness) -> Array:
    """The covariance of parts once so many pieces were read, all dials centred."""
    prior = np.diag(np.square([0.5 * shop.landing, 0.3 * shop.landing, 0.1 * shop.landing]))
    scatter = shop.pieces**2 * np.diag(OWN**2)
    reading = np.diag([RULE.uncertainty**2, CALIPER.uncertainty**2]) * shop.readings**2
    told = H.T @ np.linalg.inv(scatter + reading) @ H
    left: Array = H @ np.linalg.inv(np.linalg.inv(prior) + pieces * told) @ H.T + scatter
    return left


def centred(cov: Array, low: Array, high: Array) -> float:
    """In the middle of the limits or on target, whichever is better."""
    at = [np.zeros(2), (low + high) / 2]
    return float(max(stats.multivariate_normal(c, cov).cdf(high, lower_limit=low) for c in at))


def not_out_of_the_question(chances: list[float], question: float) -> float:
    """The best chance of shops that hold so much of the weight together, the best first."""
    held = 0.0
    for chance, shop in sorted(zip(chances, SHOPS, strict=True), key=lambda one: -one[0]):
        held += shop.probability
        if held >= question:
            return chance
    return chance


@pytest.mark.parametrize("most", [1, 3, 8])
@pytest.mark.parametrize("threshold", [0.97, 0.999])
def test_what_can_be_reached_is_what_is_left_once_all_is_read_and_centred(
    most: int, threshold: float
) -> None:
    """What holds it back: how pieces differ where that alone is too much, else how they are read;
    and so many times as wide limits of the length cure it."""
    sure = [centred(known_after(most, shop), *LIMITS) for shop in SHOPS]
    assert len({round(each, 4) for each in sure}) == 3
    told = reach_before_first_cut(two(), OPTIONS, threshold, most)
    best = not_out_of_the_question(sure, 0.1)
    assert told.attainable == pytest.approx(best, abs=2e-4)
    assert (told.limit is None) == (best >= threshold)
    if told.limit is not None:
        by_pieces = [centred(shop.pieces**2 * np.diag(OWN**2), *LIMITS) for shop in SHOPS]
        scatters = not_out_of_the_question(by_pieces, 0.1) < threshold
        assert told.limit.reason == ("scatter" if scatters else "instrument")
        assert told.limit.subject == "length"
        enough = [
            wider
            for wider in (1.25, 1.5, 2.0, 3.0, 5.0, 10.0)
            for wide in [LIMITS * [wider, 1.0]]
            for found in [[centred(known_after(most, shop), *wide) for shop in SHOPS]]
            if not_out_of_the_question(found, 0.1) >= threshold
        ]
        assert told.wider == (enough[0] if enough else 0.0)


@pytest.mark.parametrize("threshold", [0.93, 0.96, 0.985, 0.992, 0.999])
def test_as_many_pieces_are_expected_as_leave_parts_sure_enough(threshold: float) -> None:
    """And one more, for it will more likely than not have to be moved."""
    belief = two()
    for pieces in range(1, 8):
        sure = [centred(known_after(pieces, shop), *LIMITS) for shop in SHOPS]
        if not_out_of_the_question(sure, 0.5) >= threshold:
            break
    else:
        pieces = 8
    assert pieces_expected(belief, OPTIONS, threshold, 8) == min(8, pieces + 1)
