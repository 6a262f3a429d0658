"""What is moved and what is left alone, what explains it, and how it is worded."""

import re
from fractions import Fraction
from itertools import product

import numpy as np
import pytest
from msgspec.structs import replace

from setupsheets.corrections.advice import MOVE_WORTH
from setupsheets.corrections.belief import Belief, believe
from setupsheets.corrections.explain import explain
from setupsheets.corrections.observations import BlankReading, Reading, TestPiece
from setupsheets.corrections.prediction import predict_parts
from setupsheets.corrections.search import best_moves, move_search
from setupsheets.lengths import Notation, Unit
from setupsheets.wording.advice import per_cent
from setupsheets.wording.explanations import explanation_lines
from tests.corrections.made_up_shop import (
    RULE,
    advise,
    bar_causes,
    bar_measurements,
    bar_piece,
    plain,
    plainly,
    steady,
)

QUARTER = 25.4 / 4


def bar(*pieces: TestPiece) -> Belief:
    return believe(bar_causes(), bar_measurements(), pieces)


TENTHS = Notation(Unit.MM, Fraction(1, 10))
TITLES = {cause.name: cause.name for cause in bar_causes()} | {"blank length": "blanks"}
TITLES |= {measurement.name: measurement.name for measurement in bar_measurements()}


# Common practice, no source: a part a quarter inch long on face, back and over the tenons alike is
# long in the blank; the settings stay and the blanks are trimmed.
def test_long_on_all_three_is_the_blanks() -> None:
    belief = bar(bar_piece([QUARTER, QUARTER, QUARTER, 0.02, -0.02, 0.04]))
    best = explain(belief).ranked[0]
    assert [c.cause.name for c in best.causes] == ["blank length"]
    assert best.probability > 0.9
    assert best.causes[0].error == pytest.approx(QUARTER, abs=0.15)
    assert set(best.causes[0].explains) == {"face", "back", "tenons"}
    advice = advise(belief)
    assert advice.amounts == {"blank length": pytest.approx(-QUARTER, abs=0.11)}
    left = {m.cause.name for m in advice.moves if m.leave_alone}
    assert left == {c.name for c in bar_causes()} - {"blank length"}


def test_long_on_all_three_in_words() -> None:
    belief = bar(bar_piece([QUARTER, QUARTER, QUARTER, 0.02, -0.02, 0.04]))
    lines = explanation_lines(explain(belief), TITLES, TENTHS)
    assert re.fullmatch(
        r"blanks 6\.3 mm long: 9\d %; this one error puts face, back and tenons out as measured",
        lines[0],
    )


def test_one_length_alone_is_its_stop() -> None:
    belief = bar(bar_piece([0.05, 3.0, -0.1, 0.0, 0.0, 0.0]), bar_piece([0.1, 3.1, 0, 0, 0, 0]))
    best = explain(belief).ranked[0]
    assert [c.cause.name for c in best.causes] == ["back stop"]
    assert best.causes[0].error == pytest.approx(-1.5, abs=0.15)
    advice = advise(belief)
    assert advice.amounts == {"back stop": pytest.approx(1.5, abs=0.11)}


def test_a_reading_that_nothing_explains_is_doubted_before_anything_is_moved() -> None:
    """Read right on two pieces, an eighth of an inch off on the third with nothing moved."""
    good = bar_piece([0.0] * 6)
    belief = bar(good, good, bar_piece([0.0, 3.2, 0.0, 0.0, 0.0, 0.0]))
    told = explain(belief)
    doubts = [e.readings[0] for e in told.ranked[:2]]
    assert {(d.piece, d.measurement) for d in doubts} == {(2, "back")}
    assert sum(e.probability for e in told.ranked if e.readings) > 0.8
    assert advise(belief).amounts == {}


def test_a_misreading_is_called_one_once_the_piece_was_measured_again() -> None:
    tool = replace(RULE, misreading_probability=0.02)
    values = [3.2, 0.0, 0.1]
    piece = bar_piece([0.0] * 6)
    rest = tuple(r for r in piece.readings if r.measurement != "back")
    belief = bar(TestPiece((*rest, *(Reading("back", v, tool) for v in values))))
    told = explain(belief)
    assert [(d.how, d.measurement) for d in told.readings] == [("misreading", "back")]
    assert told.readings[0].amount == pytest.approx(3.15, abs=0.2)
    line = explanation_lines(told, TITLES, TENTHS)[0]
    assert line.startswith("back of piece 1: likely a misreading, by about 3.")
    assert line.endswith("it is left out of account")
    line = explanation_lines(told, TITLES, TENTHS, again={("back", 0)})[0]
    assert line.endswith("measure it again before moving anything")


def test_what_is_hardly_likely_is_not_told() -> None:
    """Accounts of less than one in a hundred; the likeliest is told whatever it is."""
    for values in ([0.0] * 6, [0.0, 0.0, 0.0, 0.0, 0.0, 0.5]):
        belief = bar(bar_piece(values), bar_piece(values))
        told = [account.probability for account in explain(belief).ranked]
        assert all(each >= 0.01 for each in told[1:])
        assert len(told) < 3 < len(belief.hypotheses), "others are believed and not told"


def test_one_alone_explains_only_where_nothing_else_is_moved() -> None:
    told = explain(bar(bar_piece([QUARTER, QUARTER, QUARTER, 0.0, 0.0, 0.0])))
    (line, *_) = explanation_lines(told, TITLES, TENTHS, moved=["blank length"])
    assert "this one error puts" in line
    (line, *_) = explanation_lines(told, TITLES, TENTHS, moved=["blank length", "cope fence"])
    assert "alone" not in line


def test_a_blank_measured_wrongly_is_named_too() -> None:
    """The blank is said to be 5 over, all three lengths of the piece say that it is right."""
    blank = BlankReading("blank length", 5.0, RULE)
    belief = bar(replace(bar_piece([0.0] * 6), blanks=(blank,)), bar_piece([0.0] * 6))
    told = explain(belief)
    assert [(d.how, d.measurement) for d in told.readings] == [("misreading", "blank length")]
    lines = explanation_lines(told, TITLES, TENTHS)
    assert lines[0].startswith("blanks of piece 1: likely a misreading, by about 5 mm")
    assert not [line for line in lines[1:] if "was misread" in line], "it is told once"


def test_readings_are_explained_where_the_best_account_fits() -> None:
    """A slip explains the far one, and no slip of a steady tool two that cannot both be."""
    measured, slips = (
        [plainly("a", {"stop": 1.0})],
        replace(steady(0.1), misreading_probability=0.02),
    )
    one = TestPiece((Reading("a", 1.9, slips),))
    assert not explain(believe([plain("stop")], measured, [one])).unexplained
    assert len(believe([plain("stop")], measured, [one]).hypotheses) > 1
    both = TestPiece((Reading("a", 1.0, steady(0.1)), Reading("a", -1.0, steady(0.1))))
    assert explain(believe([plain("stop")], measured, [both])).unexplained


def test_a_move_that_went_the_wrong_way_is_found() -> None:
    first = bar_piece([0, 2.0, 0, 0, 0, 0])
    wrong = bar_piece([0, 4.0, 0, 0, 0, 0], {"back stop": 1.0})
    best = explain(bar(first, first, wrong)).ranked[0]
    assert [(c.cause.name, c.how, c.piece) for c in best.causes] == [("back stop", "move", 2)]
    assert best.causes[0].jump == pytest.approx(-2.0, abs=0.3)


def test_two_blunders_at_once_are_both_found() -> None:
    belief = bar(bar_piece([4.0, 0.0, 0.1, 0.0, 0.0, 6.0]), bar_piece([4.1, 0, 0, 0, 0, 6.0]))
    best = explain(belief).ranked[0]
    assert {c.cause.name for c in best.causes} == {"face stop", "fence"}
    assert set(advise(belief).amounts) == {"face stop", "fence"}


def test_five_blunders_at_once_are_all_found() -> None:
    """More slips than sets of two or three can hold: sets are grown as the evidence asks."""
    belief = bar(*[bar_piece([6.0, -5.0, 9.0, 3.0, -4.0, 7.0])] * 2)
    named = {c.cause.name for c in explain(belief).ranked[0].causes}
    assert {"fence", "upper cheek"} <= named
    assert len(named) >= 5
    after = {e.measurement: e.mean for e in advise(belief).expected}
    assert all(abs(mean) < 0.2 for mean in after.values())


def test_what_was_moved_after_the_last_piece_explains_nothing_of_it() -> None:
    piece = bar_piece([QUARTER, QUARTER, QUARTER, 0.0, 0.0, 0.0])
    before = explain(bar(piece)).ranked[0].causes[0]
    after = explain(bar(piece, TestPiece((), {"blank length": -6.4}))).ranked[0].causes[0]
    assert (after.cause.name, after.explains) == (before.cause.name, before.explains)
    assert after.error == pytest.approx(before.error, abs=0.05)


def test_on_target_everything_is_left_alone() -> None:
    belief = bar(*[bar_piece([0.0] * 6)] * 2)
    advice = advise(belief)
    assert advice.amounts == {}
    assert not any(move.fine for move in advice.moves), "by shims or not: nothing is moved"
    assert advice.probability == advice.untouched
    assert explain(belief).ranked[0].ordinary
    assert explanation_lines(explain(belief), TITLES, TENTHS)[0].startswith(
        "only the usual small errors"
    )


def test_moves_are_on_the_finest_steps() -> None:
    advice = advise(bar(bar_piece([1.3, -0.8, 0.5, 0.33, -0.21, 0.77])))
    assert len(advice.amounts) >= 3
    for move in advice.moves:
        steps = move.amount / move.cause.finest
        assert steps == pytest.approx(round(steps), abs=1e-9)


def test_wood_cannot_be_put_back_on() -> None:
    """Blanks short on all three: the stops make up for it, half each, and the blanks stay."""
    belief = bar(bar_piece([-3.0, -3.0, -3.0, 0.0, 0.0, 0.0]))
    advice = advise(belief)
    assert set(advice.amounts) == {"face stop", "back stop", "tenon stop"}
    assert list(advice.amounts.values()) == [pytest.approx(-1.5, abs=0.11)] * 3


def test_what_cannot_be_moved_is_made_up_for_by_what_can() -> None:
    cutter, fence = replace(plain("cutter"), movable=False), plain("fence")
    measurement = plainly("width", {"cutter": 1.0, "fence": 1.0}, tolerance=0.3)
    reading = TestPiece((Reading("width", 1.2, steady(0.01)),))
    advice = advise(believe([cutter, fence], [measurement], [reading]))
    assert [m.cause.name for m in advice.moves] == ["fence"]
    assert advice.amounts["fence"] == pytest.approx(-1.2, abs=0.05)


@pytest.mark.parametrize(
    "values", [(0.5, 0.1, 0.4), (-0.7, 0.3, -0.2), (0.0, 0.0, 0.9), (0.3, 0.3, 0.0), (1.0, -1.0, 0)]
)
def test_the_search_finds_the_best_of_all_moves(values: tuple[float, float, float]) -> None:
    """Every set of moves on the steps within 1.2 mm, tried one by one."""
    causes = [replace(plain(n, reset=0.05), finest=0.2) for n in ("a", "b", "c")]
    rows = [{"a": -2.0, "c": 1.0}, {"b": -2.0, "c": 1.0}, {"b": 0.5, "c": 1.0}]
    measurements = [plainly(str(i), r, tolerance=0.4, scatter=0.1) for i, r in enumerate(rows)]
    read = (Reading(str(i), v, steady(0.1)) for i, v in enumerate(values))
    belief = believe(causes, measurements, [TestPiece(tuple(read))])
    outlook = predict_parts(belief)
    steps = 0.2 * np.arange(-6, 7)
    tried = np.array(list(product(steps, repeat=3)))
    worth = outlook.likely(tried) - MOVE_WORTH * np.count_nonzero(tried, axis=1)
    chosen = best_moves(move_search(belief, outlook, MOVE_WORTH))
    found = outlook.likely(chosen[None])[0] - MOVE_WORTH * np.count_nonzero(chosen)
    assert found > worth.max() - 0.002


@pytest.mark.parametrize(
    "values",
    [(0.9, 0.5), (-0.7, 0.3), (0.35, 0.9), (0.12, -0.4), (-1.0, -1.0), (1.3, 0.1)],
    ids=str,
)
def test_the_search_knows_shims_marks_and_wood(values: tuple[float, float]) -> None:
    """A stop on marks of .4 or by shims of .05 up to .2, a fence on tenths, and wood, which comes
    off alone: all of them tried, as many of wood as tell two apart."""
    stop = replace(plain("stop", reset=0.08), finest=0.4, fine_step=0.05, fine_reach=0.2,
                   fine_sd=0.02)  # fmt: skip
    wood = replace(plain("wood", sd=0.6, reset=0.05), kind="blank", one_way=True)
    causes = [stop, replace(plain("fence", reset=0.05), finest=0.1), wood]
    rows = ({"stop": -1.0, "wood": 1.0}, {"fence": 1.0, "wood": 0.5})
    measured = [plainly(str(i), r, tolerance=0.3, scatter=0.06) for i, r in enumerate(rows)]
    read = (Reading(str(i), v, steady(0.05)) for i, v in enumerate(values))
    belief = believe(causes, measured, [TestPiece(tuple(read))])
    search = move_search(belief, predict_parts(belief), MOVE_WORTH)
    marks = {round(0.4 * k, 2) for k in range(-4, 5)} | {round(0.05 * k, 2) for k in range(-4, 5)}
    every = product(sorted(marks), 0.1 * np.arange(-14, 15), 0.1 * np.arange(-14, 1))
    tried = np.unique(search.possible(np.array([*every])), axis=0)
    chosen = best_moves(search)
    assert search.worth(chosen[None])[0] > search.worth(tried).max() - 0.005
    assert chosen == pytest.approx(search.possible(chosen[None])[0])
    assert chosen[2] <= 0


def test_expected_readings() -> None:
    belief = bar(bar_piece([0.0] * 6))
    advice = advise(belief)
    assert [each.measurement for each in advice.expected] == [m.name for m in bar_measurements()]
    joint = advice.probability
    assert joint <= min(e.probability for e in advice.expected) + 0.003


def test_how_sure_parts_are_is_told_with_the_moves_and_without() -> None:
    """One of two is out by its whole limit: as it stands half of the parts are right (a normal is
    as often above its mean as below), all of them once it is moved."""
    causes, tool = [plain("a", sd=1.0), plain("b", sd=0.01)], steady(0.02)
    measured = [plainly("a", {"a": 1.0}), plainly("b", {"b": 1.0})]
    belief = believe(causes, measured, [TestPiece((Reading("a", 0.5, tool),))])
    advice = advise(belief)
    assert set(advice.amounts) == {"a"}
    assert advice.probability > 0.99
    assert advice.untouched == pytest.approx(0.5, abs=0.01)


def test_measurements_without_limits_only_help_to_find_causes() -> None:
    helping = replace(bar_measurements()[5], low=float("-inf"), high=float("inf"))
    measurements = (*bar_measurements()[:5], helping)
    belief = believe(bar_causes(), measurements, [bar_piece([0, 0, 0, 0, 0, 3.0])] * 3)
    advice = advise(belief)
    assert [e.measurement for e in advice.expected] == [m.name for m in measurements[:5]]
    assert advice.amounts == {}
    assert belief.mean("fence") == pytest.approx(3.0, abs=0.2)


@pytest.mark.parametrize(
    ("probability", "words"),
    [
        (0.0, "under 1 %"),
        (0.0004, "under 1 %"),
        (0.0149, "1 %"),
        (0.9, "90 %"),
        (0.994, "99 %"),
        (0.996, "over 99 %"),
        (1.0, "over 99 %"),
    ],
)
def test_probabilities_never_claim_certainty(probability: float, words: str) -> None:
    assert per_cent(probability) == words


def test_the_same_readings_give_the_same_advice_to_the_last_digit() -> None:
    pieces = [bar_piece([1.3, -0.8, 0.5, 0.33, -0.21, 0.77])]
    assert advise(bar(*pieces)) == advise(bar(*pieces))
