"""When to cut parts, measure again, cut another piece, or give up: both sides of every limit."""

import re
from typing import get_args

import numpy as np
import pytest
from msgspec.structs import replace
from scipy import stats

from setupsheets.corrections.belief import Belief, believe
from setupsheets.corrections.causes import Cause
from setupsheets.corrections.limiting import LimitingFactor, Reason, pieces_expected
from setupsheets.corrections.observations import (
    BlankReading,
    InstrumentModel,
    Reading,
    TestPiece,
)
from setupsheets.corrections.preposterior import ReadingOption
from setupsheets.corrections.stopping import (
    MOST_READINGS,
    NextStep,
    Recommendation,
    recommend,
)
from setupsheets.wording.advice import recommendation_line
from tests.corrections.made_up_shop import (
    CALIPER,
    EXACT,
    RULE,
    bar_causes,
    bar_measurements,
    bar_piece,
    plain,
    plainly,
    steady,
    taken_again,
)

TITLES = {"a": "a", "stop": "stop"}


def one(
    values: list[float], tool: InstrumentModel, *, cause: Cause | None = None, scatter: float = 0.0
) -> Belief:
    """One setting, one measurement within 0.3, one reading per piece."""
    measurement = plainly("a", {"stop": 1.0}, tolerance=0.3, scatter=scatter)
    pieces = [TestPiece((Reading("a", v, tool),)) for v in values]
    return believe([cause or plain("stop", reset=0.02)], [measurement], pieces)


def recommended(belief: Belief, **options: object) -> Recommendation:
    return recommend(belief, **options)[1]  # type: ignore[arg-type]


def test_parts_are_cut_at_the_threshold_and_not_below() -> None:
    belief = one([0.0], steady(0.1))
    sure = recommend(belief)[0].probability
    posterior = 0.4 * 0.1 / np.hypot(0.4, 0.1)
    assert sure == pytest.approx(2 * stats.norm.cdf(0.3 / posterior) - 1, abs=0.001)
    assert recommended(belief, threshold=sure - 0.001).kind == "cut parts"
    assert recommended(belief, threshold=sure + 0.0005).kind == "another test piece"


def test_parts_are_never_cut_without_a_test_piece() -> None:
    known = plain("stop", sd=0.01)
    assert recommended(one([], CALIPER, cause=known)).kind == "another test piece"
    assert recommended(one([0.0], CALIPER, cause=known)).kind == "cut parts"


def test_before_anything_is_read_a_piece_is_cut_for_no_reason_of_its_own() -> None:
    found = recommended(one([], CALIPER, cause=plain("stop", sd=1.0)))
    assert (found.kind, found.tells, found.then) == ("another test piece", "", 0.0)


def test_measuring_again_where_reading_error_holds_the_answer() -> None:
    """A rough rule and steady work: reading again helps. Scatter and a fine caliper: it cannot."""
    rough = one([0.1], steady(0.25), scatter=0.02)
    found = recommended(rough, options=taken_again(rough))
    assert (found.kind, [o.measurement for o in found.readings]) == ("measure again", ["a"])
    uneven = one([0.1], steady(0.01), scatter=0.15)
    assert recommended(uneven, options=taken_again(uneven)).kind != "measure again"


def test_what_costs_no_wood_comes_before_a_piece_with_nothing_moved() -> None:
    """Two bars alike, near enough that no move betters them: without a piece to read again another
    is cut as it stands; with one in hand that is read first."""
    piece = bar_piece([-0.27, -0.28, 0.15, 0.06, -0.01, -0.13])
    belief = believe(bar_causes(), bar_measurements(), [piece] * 2)
    idle = recommended(belief)
    assert (idle.kind, bool(idle.tells)) == ("another test piece", True)
    first = recommended(belief, options=taken_again(belief))
    assert first.kind == "measure again" and first.readings


def test_a_finer_instrument_is_asked_for_where_one_is_to_hand() -> None:
    belief = one([0.2], steady(0.25), scatter=0.02)
    finer = ReadingOption("a", CALIPER)
    assert recommended(belief, options=[finer]).readings == (finer,)


def test_no_reading_is_asked_for_more_than_three_times() -> None:
    measurement = plainly("a", {"stop": 1.0}, tolerance=0.3)
    for count in range(1, MOST_READINGS + 2):
        piece = TestPiece((Reading("a", 0.25, steady(0.3)),) * count)
        belief = believe([plain("stop", reset=0.02)], [measurement], [piece])
        kind = recommended(belief, options=taken_again(belief)).kind
        assert (kind == "measure again") == (count < MOST_READINGS)


def test_nothing_is_measured_again_once_something_was_moved() -> None:
    belief = one([0.1], steady(0.2), scatter=0.02)
    moved = believe(
        belief.causes, belief.measurements, [*belief.pieces, TestPiece((), {"stop": -0.1})]
    )
    assert recommended(moved, options=taken_again(belief)).kind == "another test piece"


def test_readings_that_matter_are_asked_for_and_no_others() -> None:
    """Lengths read by rule are in doubt, the caliper's readings are not."""
    rule = replace(RULE, sd=0.2)
    piece = bar_piece([0.2, 0.0, 0.0, 0.0, 0.0, 0.0])
    readings = tuple(
        replace(r, instrument=rule) if r.instrument == RULE else r for r in piece.readings
    )
    belief = believe(bar_causes(), bar_measurements(), [TestPiece(readings)])
    found = recommended(belief, options=taken_again(belief))
    assert found.kind == "measure again"
    assert {o.measurement for o in found.readings} <= {"face", "back", "tenons"}


# Reason, and a shop that has only that trouble.
TROUBLES = [
    ("scatter", "a", one([0.0], CALIPER, scatter=0.25)),
    (
        "finest move",
        "stop",
        one([0.5] * 2, EXACT, cause=replace(plain("stop", reset=0.001), finest=1.0)),
    ),
    ("instrument", "a", one([0.0] * 2, steady(2.0), cause=plain("stop", sd=2.0))),
    ("blanks", "stop", one([-0.5] * 2, EXACT, cause=replace(plain("stop"), one_way=True))),
]


@pytest.mark.parametrize(("reason", "subject", "belief"), TROUBLES)
def test_out_of_reach_says_why(reason: str, subject: str, belief: Belief) -> None:
    found = recommended(belief)
    assert found.kind == "out of reach"
    assert found.limit is not None
    assert (found.limit.reason, found.limit.subject) == (reason, subject)
    assert found.limit.attainable < 0.9
    assert recommendation_line(found, TITLES).startswith("Out of reach: ")


CURED = [
    one([0.0], CALIPER, scatter=0.15),
    one([0.5] * 2, EXACT, cause=replace(plain("stop", reset=0.001), finest=0.25)),
    one([0.0] * 2, steady(0.4), cause=plain("stop", sd=2.0)),
    one([0.5] * 2, EXACT, cause=replace(plain("stop"), one_way=True)),
]


@pytest.mark.parametrize("belief", CURED)
def test_within_reach_once_it_is_cured(belief: Belief) -> None:
    assert recommended(belief).kind in {"cut parts", "another test piece"}


def test_many_moves_to_make_are_no_reason_to_give_up() -> None:
    """Five moves, each of which may go wrong once in a hundred times: the next piece will tell."""
    belief = believe(bar_causes(), bar_measurements(), [bar_piece([2, -2, 3, 1, -1, 3])] * 2)
    advice, found = recommend(belief, threshold=0.97)
    assert len(advice.amounts) >= 5
    assert found.kind == "another test piece"


def test_what_is_not_read_is_asked_for_once_and_then_taken_to_be_out_of_reach() -> None:
    """Two readings of six: the others are asked for on the first piece, not on those after it."""
    whole = bar_piece([0.1, 0.0, 0.0, 0.0, 0.0, 0.0])
    part = TestPiece(whole.readings[:2])
    offered = [ReadingOption(r.measurement, r.instrument) for r in whole.readings]
    first = believe(bar_causes(), bar_measurements(), [part])
    assert "thickness" in {o.measurement for o in recommended(first, options=offered).readings}
    third = believe(bar_causes(), bar_measurements(), [part] * 3)
    found = recommended(third, options=offered)
    assert not {o.measurement for o in found.readings} & {"thickness"}
    last = believe(bar_causes(), bar_measurements(), [part] * 8)
    assert recommended(last, options=offered).kind in {"measure again", "out of reach"}


@pytest.mark.parametrize("sd", [0.02, 0.1, 0.3, 1.0])
def test_pieces_to_expect(sd: float) -> None:
    """Normal theory: after n pieces the spread left and that of the piece must fit the limits."""
    scatter, reading = 0.1, 0.15
    limit = 0.3 / stats.norm.ppf(0.975)
    needed = next(
        n
        for n in range(1, 9)
        if 1 / (1 / sd**2 + n / (scatter**2 + reading**2)) + scatter**2 <= limit**2 or n == 8
    )
    as_first_set = 2 * stats.norm.cdf(0.3 / np.hypot(sd, scatter)) - 1
    needed = min(8, needed + (as_first_set < 0.95 / 2))  # it will be moved, and the move seen
    belief = one([], RULE, cause=plain("stop", sd=sd), scatter=scatter)
    assert pieces_expected(belief, [ReadingOption("a", steady(reading))], 0.95, 8) == needed


def test_scatter_alone_is_the_chance_of_the_box() -> None:
    found = recommended(one([0.0], CALIPER, scatter=0.25))
    assert found.limit is not None
    assert found.limit.attainable == pytest.approx(2 * stats.norm.cdf(0.3 / 0.25) - 1, abs=1e-4)


def test_there_is_never_a_ninth_piece() -> None:
    """A stop that never comes back to its place: by the eighth piece it is said."""
    rng = np.random.default_rng(3)
    cause = replace(plain("stop", reset=0.6), finest=0.05)
    measurement = plainly("a", {"stop": 1.0}, tolerance=0.1, scatter=0.02)
    at, pieces = 1.0, []
    moves: dict[str, float] = {}
    for number in range(1, 9):
        reading = Reading("a", at + rng.normal(0, 0.05), steady(0.05))
        pieces.append(TestPiece((reading,), moves))
        advice, found = recommend(believe([cause], [measurement], pieces), threshold=0.97)
        moves = advice.amounts
        at = 0.9 * (-1) ** number  # it lands on the other side every time
    assert found.limit is not None
    assert (number, found.kind, found.limit.reason) == (8, "out of reach", "re-setting")
    assert "stop does not come back" in recommendation_line(found, TITLES)


@pytest.mark.parametrize(("creep", "named"), [(25.4 / 64, True), (0.0, False)])
def test_what_creeps_is_named_before_it_is_chased(creep: float, named: bool) -> None:
    """A fence that slips a sixty-fourth a piece, and one that is as far out without slipping."""
    values = [0.9 + creep * number if creep else 1.5 for number in range(4)]
    readings = [bar_piece([0.0, 0.0, 0.0, 0.0, value, 0.0]) for value in values]
    belief = believe(bar_causes(), bar_measurements(), readings)
    advice, found = recommend(belief)
    assert (found.limit is not None and found.limit.reason == "drift") == named
    if named:
        assert advice.amounts == {}
        assert "creeps: each piece is further out" in recommendation_line(
            found, {cause.name: cause.name for cause in bar_causes()}
        )
    else:
        assert advice.amounts


@pytest.mark.parametrize(
    ("sd", "scatter", "moved", "times", "kind"),
    [
        (0.233, 0.0, True, 1, "measure again"),  # .165 left of two readings: 93 % within .3 (scipy)
        (0.165, 0.0, False, 1, "cut parts"),  # 93 % too, and set so before anything was read
        (0.28, 0.0, True, 2, "cut parts"),  # 94 %, by three readings
        (0.12, 0.0, True, 1, "cut parts"),  # over 99 %
        (0.07, 0.14, True, 1, "cut parts"),  # 91 %: it is the pieces that differ
    ],
)
def test_what_was_moved_by_a_coarse_reading_is_read_twice_before_parts_are_cut(
    sd: float, scatter: float, moved: bool, times: int, kind: str
) -> None:
    """Measure twice, cut once: common practice, no source."""
    tool = steady(sd)
    length = plainly("length", {"stop": 1.0}, tolerance=0.3, scatter=scatter)
    pieces = [TestPiece((Reading("length", 0.0, tool),) * times, {"stop": -0.4} if moved else {})]
    if moved:
        pieces.insert(0, TestPiece((Reading("length", 0.4, tool),)))
    belief = believe([plain("stop", sd=5.0)], [length], pieces)
    advice, found = recommend(belief, options=[ReadingOption("length", tool)])
    assert found.kind == kind
    assert [each.measurement for each in found.readings] == ["length"] * (kind != "cut parts")
    assert advice.amounts == {}


def test_words_of_what_to_do_next() -> None:
    assert recommendation_line(Recommendation("cut parts", 0.934), TITLES) == (
        "Cut the parts: 93 % of them will be inside every limit."
    )
    again = Recommendation("measure again", 0.71, (ReadingOption("a", RULE),))
    line = recommendation_line(again, TITLES)
    assert line.startswith("Measure this piece again before anything else is cut: a (rule).")
    another = recommendation_line(Recommendation("another test piece", 0.55), TITLES)
    idle = recommendation_line(Recommendation("another test piece", 0.55, tells="a"), TITLES)
    assert idle.startswith("Cut another test piece with nothing moved: it tells more of a;")
    settles = Recommendation("another test piece", 0.88, tells="a", then=0.7)
    assert recommendation_line(settles, TITLES) == (
        "Cut another test piece with nothing moved: it tells more of a; as far as is known 88 % of"
        " parts would be inside every limit; the chance that they can be cut once it is measured is"
        " 70 %."
    )
    assert another == (
        "Cut another test piece: as it stands only 55 % of parts would be inside every limit."
    )
    done = recommendation_line(Recommendation("another test piece", 0.55), TITLES, moved=True)
    assert done.startswith("Cut another test piece: even with that done only 55 % of parts would")
    worth = recommendation_line(Recommendation("another test piece", 0.55, then=0.93), TITLES)
    assert worth == f"{another.removesuffix('.')}; once it is measured, 93 % is to be expected."
    no_better = Recommendation("another test piece", 0.55, then=0.552)
    assert recommendation_line(no_better, TITLES) == another
    pays = Recommendation("another test piece", 0.92, then=0.97, pays=True)
    assert recommendation_line(pays, TITLES) == (
        "Cut another test piece before so many parts: 92 % of them would be inside every limit, and"
        " one piece more is likely to save more than it costs; once it is measured, 97 % is to be"
        " expected."
    )
    assert recommendation_line(again, TITLES, read={"a"}) == line
    more = recommendation_line(again, TITLES, read={"b"})
    assert more.startswith("Measure more of this piece before anything else is cut: a (rule).")


@pytest.mark.parametrize("reason", get_args(Reason))
def test_every_limiting_factor_has_its_words(reason: Reason) -> None:
    limit = LimitingFactor(reason, "stop", 0.6)
    line = recommendation_line(Recommendation("out of reach", 0.5, limit=limit), TITLES)
    assert re.fullmatch(r"Out of reach: stop [^{}]+\. At best 60 % would be inside .*", line)


@pytest.mark.parametrize("kind", get_args(NextStep))
def test_every_next_step_has_its_words(kind: NextStep) -> None:
    limit = LimitingFactor("scatter", "a", 0.6) if kind == "out of reach" else None
    line = recommendation_line(Recommendation(kind, 0.5, limit=limit), TITLES)
    assert "50 %" in line or "60 %" in line
    assert "{" not in line


@pytest.mark.parametrize(
    ("times", "asked"),
    [
        ((1,), True),
        ((1, 1, 1), True),
        ((1, 1, 1, 1), False),  # read once on each of four: once is the shop's way
        ((2, 1, 1, 1), True),
        ((1, 1, 1, 2), True),
        ((1, 1, 3), False),
        ((2,) * 7, True),
        ((2,) * 8, False),  # with the last piece there is an end
        ((1, 0), True),  # not read of this one yet
        ((1, 0, 0, 0), True),
    ],
    ids=str,
)
def test_what_is_read_again_by_how_often_it_was_read(times: tuple[int, ...], asked: bool) -> None:
    tool = steady(0.9)
    pieces = [
        TestPiece((Reading("a", 0.1, tool),) * count or (Reading("b", 0.0, CALIPER),))
        for count in times
    ]
    measured = [plainly("a", {"stop": 1.0}, tolerance=0.3), plainly("b", {"fence": 1.0})]
    belief = believe([plain("stop", sd=5.0), plain("fence", sd=0.01)], measured, pieces)
    found = recommended(belief, options=[ReadingOption("a", tool)])
    assert (found.kind == "measure again") == asked


@pytest.mark.parametrize(
    ("pieces", "blank", "asked"),
    [(1, False, True), (2, False, False), (1, True, True), (2, True, True), (3, True, False)],
)
def test_what_was_never_read_is_asked_for_on_the_first_piece_a_blank_on_two(
    pieces: int, blank: bool, asked: bool
) -> None:
    """Only it would tell more: the other is read as finely as can be."""
    wood = replace(plain("wood", sd=0.5), kind="blank")
    measured = [
        plainly("a", {"stop": 1.0, "wood": 1.0}, tolerance=0.2),
        plainly("b", {"wood": 1.0}, tolerance=0.2),
    ]
    read = [TestPiece((Reading("a", 0.05, steady(0.01)),))] * pieces
    option = ReadingOption("wood" if blank else "b", steady(0.01), blank=blank)
    belief = believe([plain("stop", sd=0.5), wood], measured, read)
    found = recommended(belief, options=[option])
    assert (found.readings == (option,)) == asked
    once = replace(read[-1], blanks=(BlankReading("wood", 0.0, steady(0.01)),))
    again = believe(belief.causes, belief.measurements, [*read[:-1], once])
    assert not blank or recommended(again, options=[option]).readings == ()


def test_what_was_moved_since_the_last_piece_was_read() -> None:
    read = TestPiece((Reading("a", 0.1, CALIPER),), {"stop": 0.4})
    later = [TestPiece((), {"stop": 0.2}), TestPiece((), {"stop": 0.1, "fence": -0.3})]
    causes, measured = [plain("stop"), plain("fence")], [plainly("a", {"stop": 1.0})]
    assert believe(causes, measured, [read]).moved_since == {}
    belief = believe(causes, measured, [read, *later])
    assert belief.moved_since == {"stop": pytest.approx(0.3), "fence": -0.3}
    assert belief.read == (read,)
