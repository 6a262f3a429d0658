"""What is moved and what is asked for, in tables: both sides of each limit that the code states."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import inf, sqrt

import numpy as np
import pytest
from msgspec.structs import replace
from scipy import stats

from setupsheets.corrections.belief import Belief, Prior, believe, own_prior
from setupsheets.corrections.causes import Cause
from setupsheets.corrections.limiting import LimitingFactor, limited_by_scatter, limiting_factor
from setupsheets.corrections.observations import (
    BlankReading,
    Fit,
    InstrumentModel,
    MeasurementModel,
    Reading,
    TestPiece,
)
from setupsheets.corrections.prediction import predict_parts
from setupsheets.corrections.preposterior import ReadingOption
from setupsheets.corrections.roughness import AS_SAID
from setupsheets.corrections.search import (
    MoveSearch,
    full_corrections,
    move_search,
    other_moves,
)
from setupsheets.corrections.stopping import recommend
from setupsheets.corrections.untold import believe_as_told, likely_untold
from tests.corrections.made_up_shop import EXACT, plain, plainly, steady

# ------------------------------------------------------------------ moves that nobody told of


def told_of(
    values: Sequence[float],
    told: bool,
    *,
    moves: Mapping[str, float] | None = None,
    cause: Cause | None = None,
    limit: float = 0.5,
) -> Belief:
    """One setting, read on one piece and on the next; whether it is said what was done between."""
    pieces = [TestPiece((Reading("a", value, steady(0.05)),)) for value in values]
    pieces[-1] = replace(pieces[-1], moves=moves or {})
    causes = [cause or plain("stop", sd=1.0)]
    measured = [plainly("a", {"stop": -2.0}, tolerance=limit)]
    return believe_as_told(
        causes, measured, pieces, [True] * (len(pieces) - 1) + [told], own_prior(causes), AS_SAID
    )


def test_what_was_put_right_and_not_said_is_found_with_its_chance() -> None:
    """Bayes' theorem, with the densities of scipy: four times in ten it was put right by what the
    piece had shown, three times in four of those by just that and else by about as much."""
    belief = told_of([1.2, 0.1], False)
    off, left = 1.0 * 4 / (4 + 0.05**2) * -0.6, sqrt(1 / (1 + 4 / 0.05**2))
    (mark,) = belief.pieces[1].untold["stop"]
    assert mark == pytest.approx(-off, rel=1e-9)
    read = sqrt((2 * left) ** 2 + 0.05**2)
    stayed = 0.6 * stats.norm.pdf(0.1, -2 * off, read)
    # A cause of ours comes back to its place exactly, and has no steps.
    just = np.mean([stats.norm.pdf(0.1, -2 * (off + by), read) for by in (mark, -mark)])
    about = stats.norm.pdf(0.1, -2 * off, sqrt(read**2 + (2 * mark) ** 2))
    moved = 0.4 * (0.75 * just + 0.25 * about)
    jumped = [bool(each.jumps) for each in belief.hypotheses]
    chance = belief.errors.weights[np.array(jumped)].sum()
    assert chance == pytest.approx(moved / (moved + stayed), rel=1e-3)
    assert likely_untold(belief) == {"stop": pytest.approx(0.55, abs=0.02)}


@pytest.mark.parametrize(
    ("values", "told", "asked"),
    [
        ([1.2, 0.1], False, True),
        ([1.2, 0.1], True, False),  # it was said that nothing was moved
        ([1.2, 1.2], False, False),  # it reads as before
        ([0.49, 0.0], False, False),  # within its limits nothing is put right
        ([1.2], False, False),  # nothing had been shown before the first
    ],
)
def test_it_is_asked_where_a_piece_looks_put_right_and_nobody_said_so(
    values: list[float], told: bool, asked: bool
) -> None:
    belief = told_of(values, told)
    assert bool(likely_untold(belief)) == asked
    assert bool(belief.pieces[-1].untold) == (len(values) > 1 and not told and values[0] > 0.5)


def test_only_what_can_be_moved_and_was_not_said_may_have_been() -> None:
    assert told_of([1.2, 0.1], False, moves={"stop": 0.3}).pieces[-1].untold == {}
    still = replace(plain("stop", sd=1.0), movable=False)
    assert told_of([1.2, 0.1], False, cause=still).pieces[-1].untold == {}


def test_two_accounts_that_put_it_right_alike_are_one_and_others_are_two() -> None:
    """Either stop may be what is out, and both by as much, or one by twice: three amounts at most
    of each, and none of an account that hardly counts."""
    causes = [
        Cause(name, prior_sd=0.05, blunder_probability=0.05, shift_probability=0.0)
        for name in ("near", "far")
    ]
    measured = [plainly("a", {"near": 1.0, "far": 1.0}, tolerance=0.2)]
    pieces = [TestPiece((Reading("a", 2.0, steady(0.05)),)), TestPiece()]
    told = believe_as_told(causes, measured, pieces, [True, False], own_prior(causes), AS_SAID)
    assert set(told.pieces[1].untold) == {"near", "far"}
    for amounts in told.pieces[1].untold.values():
        assert [round(each, 1) for each in amounts] == [-2.0]
    sure = [
        replace(causes[0], blunder_probability=0.4),
        replace(causes[1], blunder_probability=0.01),
    ]
    one = believe_as_told(sure, measured, pieces, [True, False], own_prior(sure), AS_SAID)
    assert set(one.pieces[1].untold) == {"near"}


# -------------------------------------------------------------------------- whole marks misread


@pytest.mark.parametrize("value", [25.4, 26.2, 12.9, 3.0])
def test_a_slip_by_a_whole_mark_weighs_what_its_density_says(value: float) -> None:
    """Bayes' theorem with scipy: three slips in four are by an inch or half, either way."""
    marks = (25.4, 12.7)
    rule = InstrumentModel("rule", 0.3, misreading_probability=0.02, misreading_sd=4.0, marks=marks)
    cause = plain("stop", sd=0.4, mean=0.1)
    piece = TestPiece((Reading("a", value, rule),))
    belief = believe([cause], [plainly("a", {"stop": 2.0})], [piece])
    spread = sqrt(0.8**2 + 0.3**2)
    right = 0.98 * stats.norm.pdf(value, 0.2, spread)
    whole = np.mean([stats.norm.pdf(value, 0.2 + by, spread) for by in (25.4, 12.7, -25.4, -12.7)])
    slip = 0.02 * (0.75 * whole + 0.25 * stats.norm.pdf(value, 0.2, sqrt(spread**2 + 4.0**2)))
    misread = [bool(each.jumps) for each in belief.hypotheses]
    chance = belief.errors.weights[np.array(misread)].sum()
    assert chance == pytest.approx(slip / (slip + right), rel=1e-3, abs=1e-6)


# ------------------------------------------------------------------------------ fits, felt twice


def test_fits_of_two_pieces_and_a_move_between_against_integration() -> None:
    """Tight, moved, then it fits: where the cheek stood and how its move landed, on a grid."""
    cause = plain("cheek", sd=0.4, mean=0.1, reset=0.15)
    measured = plainly("tenon", {"cheek": 1.0}, tolerance=0.2, scatter=0.1)
    first = TestPiece((Reading("tenon", Fit.TIGHT, steady(0.1)),))
    second = TestPiece((Reading("tenon", Fit.FITS, steady(0.1)),), {"cheek": -0.4})
    belief = believe([cause], [measured], [first, second])
    at = np.linspace(-2.5, 2.5, 801)
    stood, landed = at[:, None], at[None, :]
    felt = sqrt(0.1**2 + 0.1**2)  # the piece's own and the hand's
    beyond, seen = (stats.norm.sf(end, stood, felt) for end in (0.2, 0.2 + 0.3))
    tight = 0.1 * beyond + 0.9 * (beyond - seen)
    now = stood - 0.4 + landed
    fits = stats.norm.cdf((0.2 - now) / felt) - stats.norm.cdf((-0.2 - now) / felt)
    weight = stats.norm.pdf(stood, 0.1, 0.4) * stats.norm.pdf(landed, 0, 0.15) * tight * fits
    weight /= weight.sum()
    mean = (weight * now).sum()
    assert belief.mean("cheek") == pytest.approx(mean, abs=0.01)
    assert belief.sd("cheek") == pytest.approx(sqrt((weight * (now - mean) ** 2).sum()), abs=0.01)


# -------------------------------------------------------------------- moves that can be made


def searching(*causes: Cause, sds: Sequence[float] | None = None, off: float = -1.0) -> MoveSearch:
    """A search where every cause is known to be off by so much, give or take its sd."""
    sds = sds or [0.01] * len(causes)
    measured = [plainly(c.name, {c.name: 1.0}, tolerance=0.5) for c in causes]
    prior = Prior(np.full(len(causes), off), np.diag(np.square(sds)))
    belief = believe(causes, measured, [], prior)
    return move_search(belief, predict_parts(belief), 0.01)


@pytest.mark.parametrize(
    ("change", "move", "made"),
    [
        ({"finest": 0.4}, 1.05, 1.2),
        ({"finest": 0.4}, 0.95, 0.8),
        ({"finest": 0.0}, 0.97, 0.97),
        ({"movable": False}, 1.0, 0.0),
        # By shims of .05 as far as they reach, else to a mark.
        ({"finest": 0.4, "fine_step": 0.05, "fine_reach": 1.05}, 1.04, 1.05),
        ({"finest": 0.4, "fine_step": 0.05, "fine_reach": 1.05}, 1.1, 1.2),
        ({"finest": 0.4, "fine_step": 0.05, "fine_reach": 1.0}, 1.04, 1.2),
    ],
)
def test_moves_are_rounded_to_what_can_be_done(
    change: dict[str, float], move: float, made: float
) -> None:
    search = searching(replace(plain("stop"), **change))
    assert search.possible(np.array([[move]]))[0, 0] == pytest.approx(made)
    assert search.possible(np.array([[-move]]))[0, 0] == pytest.approx(-made)


BLANK = replace(plain("blank", reset=0.1), kind="blank", one_way=True)


@pytest.mark.parametrize(
    ("off", "sd", "move", "made"),
    [
        (1.0, 0.01, -1.0, -1.0),
        (-1.0, 0.01, 1.0, 0.0),  # wood cannot be put back on
        (0.19, 0.001, -0.19, 0.0),  # less than twice what a trim varies is not worth a cut
        (0.21, 0.001, -0.21, -0.21),
        (1.0, 0.29, -1.0, -1.0),  # half of it is there in 95 of 100: .5 is 1.645 spreads of .304
        (1.0, 0.32, -1.0, 0.0),
    ],
)
def test_wood_comes_off_where_it_is_surely_there(
    off: float, sd: float, move: float, made: float
) -> None:
    search = searching(BLANK, sds=[sd], off=off)
    assert search.possible(np.array([[move]]))[0, 0] == pytest.approx(made)


@pytest.mark.parametrize(("sd", "doubt"), [(0.47, False), (0.49, True)])
def test_a_move_is_in_doubt_where_half_of_it_may_not_be_there(sd: float, doubt: bool) -> None:
    """Not there in 15 of 100: .5 is 1.036 spreads of .482."""
    search = searching(plain("stop"), plain("fence"), sds=[sd, 0.01])
    moves = np.array([1.0, 1.0])
    assert search.in_doubt(moves) == doubt
    assert search.beyond_doubt(moves).tolist() == [0.0 if doubt else 1.0, 1.0]
    assert search.in_doubt(np.array([-1.0, 0.0])), "the wrong way"


@pytest.mark.parametrize(("near", "stays"), [(0.19, True), (0.21, False)])
def test_moves_worth_judging_begin_with_what_is_furthest_out_for_its_limits(
    near: float, stays: bool
) -> None:
    """All are 1 out but one, with limits of 1, .5 and .25; a cutter's own size is left to the dial
    that stands in the same measure, and what is out by less than a fifth of its limit stays."""
    causes = [plain(name) for name in ("third", "first", "second", "near")]
    causes.append(replace(plain("cutter"), movable=False))
    rows = ({"third": 1.0}, {"first": 1.0, "cutter": 1.0}, {"second": -1.0}, {"near": 1.0})
    limits = (1.0, 0.25, 0.5, 1.0)
    measured = [plainly(str(i), row, tolerance=limit)
                for i, (row, limit) in enumerate(zip(rows, limits, strict=True))]  # fmt: skip
    prior = Prior(np.array([1.0, -1.0, 1.0, near, 0.5]), 1e-4 * np.eye(5))
    belief = believe(causes, measured, [], prior)
    search = move_search(belief, predict_parts(belief), 0.01)
    righted = [-1.0, 0.5, -1.0, -near, 0.0]
    full, *_ = full_corrections(search)
    assert full == pytest.approx(righted, abs=1e-3)
    none, everything, one, two, three = other_moves(search)
    assert not none.any()
    assert everything == pytest.approx([*righted[:3], 0.0 if stays else -near, 0.0], abs=1e-3)
    assert [np.flatnonzero(each).tolist() for each in (one, two, three)] == [[1], [1, 2], [0, 1, 2]]
    assert two == pytest.approx([0.0, 0.5, -1.0, 0.0, 0.0], abs=1e-3)


@pytest.mark.parametrize(
    ("felt", "most"),
    [
        ([Fit.TIGHT], 0.1),
        ([Fit.TIGHT, Fit.TIGHT], 0.2),
        ([Fit.LOOSE], 0.15),
        ([Fit.TIGHT, 0.3], inf),
        ([], inf),
    ],
)
def test_words_move_a_setting_as_far_as_the_limits_that_were_felt_passed(
    felt: list[Fit | float], most: float
) -> None:
    measured = MeasurementModel("tenon", -0.3, 0.2, {"cheek": -2.0}, stray_probability=0.0)
    pieces = [TestPiece((Reading("tenon", each, steady(0.05)),)) for each in felt]
    belief = believe([plain("cheek", sd=1.0), plain("else")], [measured], pieces)
    search = move_search(belief, predict_parts(belief), 0.01)
    assert search.most.tolist() == [pytest.approx(most), inf]
    made = search.possible(np.array([[5.0, 5.0]]))[0]
    assert made.tolist() == [pytest.approx(min(most, 5.0)), 5.0]


# ------------------------------------------------------------------------ which cause is to blame


def blamed(causes: Sequence[Cause], rows: Sequence[Mapping[str, float]], read: Sequence[float],
           **more: float) -> LimitingFactor:  # fmt: skip
    names = "abcd"
    measured = [plainly(n, r, **more) for n, r in zip(names, rows, strict=False)]
    piece = TestPiece(tuple(Reading(n, v, EXACT) for n, v in zip(names, read, strict=False)))
    _, found = recommend(believe(causes, measured, [piece] * 2))
    assert found.kind == "out of reach" and found.limit is not None
    return found.limit


def test_the_coarsest_of_what_is_out_is_blamed_and_the_smallest_of_the_blanks() -> None:
    """The first of the causes is right as it stands, however coarse."""
    coarse = [
        replace(plain(n, sd=1.0), finest=f) for n, f in (("right", 2.0), ("x", 0.8), ("y", 1.0))
    ]
    rows = [{"right": 1.0}, {"x": 1.0}, {"y": 1.0}]
    found = blamed(coarse, rows, (0.0, 0.4, 0.5), tolerance=0.3)
    assert (found.reason, found.subject) == ("finest move", "y")
    found = blamed(coarse, [rows[0], {"x": 2.0}, rows[2]], (0.0, 0.8, 0.5), tolerance=0.3)
    assert (found.reason, found.subject) == ("finest move", "x"), "it counts twice there"
    short = [
        replace(plain(n, sd=1.0), kind="blank", one_way=True) for n in ("long", "less", "least")
    ]
    rows = [{"long": 1.0}, {"less": 1.0}, {"least": 1.0}]
    found = blamed(short, rows, (0.1, -0.5, -0.6), tolerance=0.3)
    assert (found.reason, found.subject) == ("blanks", "least")


def test_what_is_read_too_roughly_is_what_is_in_doubt_for_its_limits() -> None:
    """Read to .3 with limits of .1, and to .5 with limits of 1: the first, however much less."""
    causes = [plain("x", sd=5.0), plain("y", sd=5.0)]
    measured = [plainly("a", {"x": 1.0}, tolerance=0.1), plainly("b", {"y": 1.0}, tolerance=1.0)]
    read = (Reading("a", 0.0, steady(0.3)), Reading("b", 0.0, steady(0.5)))
    _, found = recommend(believe(causes, measured, [TestPiece(read)] * 2))
    assert found.limit is not None
    assert (found.limit.reason, found.limit.subject) == ("instrument", "a")


@pytest.mark.parametrize("off", [0.45, -0.45, 1.45, -1.55])
@pytest.mark.parametrize(("reset", "near"), [(0.09, True), (0.06, False)])
def test_a_coarse_dial_may_land_as_near_as_twice_its_scatter(
    off: float, reset: float, near: bool
) -> None:
    """Its marks are 1 apart and the limits .3: .45 off the nearest, .27 if it lands .18 nearer."""
    cause = replace(plain("stop", sd=2.0, reset=reset), finest=1.0)
    piece = TestPiece((Reading("a", off, EXACT),))
    belief = believe([cause], [plainly("a", {"stop": 1.0}, tolerance=0.3)], [piece] * 2)
    _, found = recommend(belief)
    assert found.kind == ("another test piece" if near else "out of reach")
    assert near or (found.limit is not None and found.limit.reason == "finest move")


@pytest.mark.parametrize(("scatter", "said"), [(0.25, False), (0.26, True)])
def test_scatter_that_the_limits_have_room_for_is_not_what_was_said(
    scatter: float, said: bool
) -> None:
    """Two standard deviations of .25 just fit into .5; the two pieces differ by a little."""
    measured = plainly("a", {"stop": 1.0}, tolerance=0.5, scatter=scatter)
    pieces = [TestPiece((Reading("a", each, EXACT),)) for each in (0.0, 0.1)]
    belief = believe([plain("stop", sd=1.0)], [measured], pieces)
    limit = limited_by_scatter(belief, predict_parts(belief), 0.99)
    assert limit is not None and (limit.reason, limit.said) == ("scatter", said)


def test_what_is_left_when_pieces_end_is_blamed_on_what_is_most_out() -> None:
    causes = [
        plain("stop", sd=1.0),
        replace(BLANK, name="wood", prior_sd=1.0),
        plain("last", sd=1.0),
    ]
    measured = [plainly("a", {"stop": 1.0, "last": 0.3}), plainly("b", {"wood": 1.0, "stop": 0.1})]

    def found(a: float, b: float) -> tuple[str, str]:
        piece = TestPiece(
            (Reading("a", a, EXACT), Reading("b", b, EXACT)),
            blanks=(BlankReading("wood", b, EXACT),),
        )
        belief = believe(causes, measured, [piece])
        told = limiting_factor(belief, predict_parts(belief), np.zeros(3), 0.4)
        return told.reason, told.subject

    assert found(1.5, 0.0) == ("finest move", "stop")
    assert found(0.0, -1.5) == ("blanks", "wood")
    assert found(0.0, 1.5)[0] == "finest move"


# ------------------------------------------------------------------------------ what is asked for


@pytest.mark.parametrize(
    ("known", "moved", "asked"),
    [(1.0, True, True), (0.02, True, False), (1.0, False, False)],
    ids=["wood in doubt", "wood known", "nothing to move"],
)
def test_the_blank_is_measured_before_a_dial_is_moved_for_what_may_be_wood(
    known: float, moved: bool, asked: bool
) -> None:
    """And only where the dial that would be moved and the wood have a measure in common."""
    wood = Cause("wood", "blank", prior_sd=known, blunder_probability=0.0, shift_probability=0.0)
    other = replace(wood, name="other")
    causes = [plain("stop", sd=0.8, reset=0.2), wood, plain("fence", sd=0.5), other]
    measured = [
        plainly("a", {"stop": 1.0, "wood": 1.0}, tolerance=0.2),
        plainly("b", {"fence": 1.0, "other": 0.0}, tolerance=0.2),
    ]
    read = (Reading("a", 0.9 if moved else 0.0, steady(0.05)), Reading("b", 0.0, steady(0.05)))
    options = [
        ReadingOption("wood", steady(0.05), blank=True),
        ReadingOption("other", steady(0.05), blank=True),
    ]
    _, found = recommend(believe(causes, measured, [TestPiece(read)]), options=options)
    assert (found.readings == (options[0],)) == asked
    assert (found.kind == "measure again") == asked
