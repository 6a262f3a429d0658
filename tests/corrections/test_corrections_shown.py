"""What the readings show by themselves: what scatters, and which move they did not follow.

Sums are plain arithmetic; readings are invented.
"""

from collections.abc import Mapping, Sequence
from math import sqrt

import numpy as np
import pytest
from msgspec.structs import replace

from setupsheets.corrections.belief import Belief, believe
from setupsheets.corrections.explain import explain
from setupsheets.corrections.limiting import LimitingFactor, limiting_factor, with_unread
from setupsheets.corrections.observations import MeasurementModel, Reading, TestPiece
from setupsheets.corrections.prediction import predict_parts
from setupsheets.corrections.roughness import SHOPS, Roughness
from setupsheets.corrections.shown import (
    left_by_cutter,
    moves_not_followed,
    scatter_shown,
    too_wide,
)
from setupsheets.corrections.stopping import MOST_PIECES, recommend
from setupsheets.wording.advice import recommendation_line
from tests.corrections.made_up_shop import (
    CALIPER,
    EXACT,
    bar_causes,
    bar_measurements,
    bar_piece,
    plain,
    plainly,
    setting,
    steady,
    wood,
)

IN = 25.4
SCATTERS = [IN * off for off in (-0.013, 0.013, -0.014, 0.014)]  # within .008 in at most
TITLES = {"width": "width", "depth": "depth", "fence": "fence", "height": "height"}


def moulded(
    depths: Sequence[float], widths: Sequence[float] = (), *, scatter: float = 0.03
) -> Belief:
    """An edge moulded with nothing moved: its depth and width, each by a setting of its own."""
    pieces = [TestPiece((Reading("depth", each, CALIPER),)) for each in depths]
    for place, width in enumerate(widths):
        more = (*pieces[place].readings, Reading("width", width, CALIPER))
        pieces[place] = TestPiece(more)
    causes = (setting("fence", "scale", finest=0.4), setting("height", "gauge", finest=0.4))
    measurements = [
        plainly("width", {"fence": 1.0}, tolerance=0.2, scatter=scatter),
        plainly("depth", {"height": 1.0}, tolerance=0.2, scatter=scatter),
    ]
    return believe(causes, measurements, pieces, shops=SHOPS)


def out_of_reach(belief: Belief) -> str:
    found = recommend(belief)[1]
    assert found.kind == "out of reach"
    return recommendation_line(found, TITLES)


def test_scatter_is_what_lies_between_one_piece_and_the_next() -> None:
    measurement = plainly("a", {"stop": 1.0})
    values = (0.0, 0.3, 1.1)
    moves: list[dict[str, float]] = [{}, {}, {"stop": 0.6}]
    pieces = [TestPiece((Reading("a", v, EXACT),), m) for v, m in zip(values, moves, strict=True)]
    belief = believe([plain("stop")], [measurement], pieces)
    # Half of .3 squared, and half of .8 - .6 squared.
    assert scatter_shown(belief, set()) == {"a": pytest.approx((0.045 + 0.02) / 2, abs=1e-6)}
    assert scatter_shown(belief, {("a", 2)}) == {"a": pytest.approx(0.045, abs=1e-6)}
    assert scatter_shown(belief, {("a", 1)}) == {}


@pytest.mark.parametrize("widths", [(), (0.0, 0.01, 0.0, -0.01)])
def test_out_of_reach_names_what_scatters_and_nothing_else(widths: Sequence[float]) -> None:
    line = out_of_reach(moulded(SCATTERS * 2, [*widths] * 2))
    assert line.startswith("Out of reach: depth differs more from piece to piece than its limits")
    assert ("Never measured: width." in line) == (not widths)


def test_scatter_that_was_only_said_is_told_as_said() -> None:
    line = out_of_reach(moulded([0.0, 0.01], scatter=0.25))
    assert "By what shop.yaml, the recipe and earlier set-ups say, width will differ" in line
    assert "what was read does not show it" in line
    shown = out_of_reach(moulded(SCATTERS, scatter=0.25))
    assert shown.startswith("Out of reach: depth differs more")


def test_what_was_never_measured_is_not_blamed_on_its_instrument() -> None:
    line = out_of_reach(moulded([0.0, 0.01, -0.01, 0.0] * 2))
    assert len(moulded([0.0] * MOST_PIECES).read) == MOST_PIECES
    assert line.startswith("Out of reach: width was never measured, so nobody knows")
    assert "Never measured:" not in line, "it is told once"


def test_a_setting_that_was_never_moved_is_not_said_to_come_back_badly() -> None:
    """It is advised to be moved at last; how it lands nobody has seen."""
    cause = replace(plain("stop", reset=0.6), finest=0.05)
    measurement = plainly("a", {"stop": 1.0}, tolerance=0.1, scatter=0.02)
    still = [TestPiece((Reading("a", 0.9, CALIPER),))] * 2
    back = TestPiece((Reading("a", 0.9, CALIPER),), {"stop": 0.0})
    for pieces, named in ((still, False), ([*still, back], True)):
        belief = believe([cause], [measurement], pieces)
        parts = predict_parts(belief)
        moves = -belief.errors.mean
        found = limiting_factor(belief, parts, moves, 0.5)
        assert (found.reason == "re-setting") == named


@pytest.mark.parametrize(
    ("reason", "scatter", "reading", "read", "blank"),
    [
        ("scatter", 0.3, 0.01, 0.0, False),
        ("instrument", 0.01, 0.3, 0.0, False),
        ("finest move", 0.01, 0.01, 0.4, False),
        ("blanks", 0.01, 0.01, -0.4, True),
    ],
)
def test_what_adds_most_to_what_parts_are_out_by_is_blamed(
    reason: str, scatter: float, reading: float, read: float, blank: bool
) -> None:
    """Spreads in squares beside how far it is out, squared (JCGM 100:2008, 5.1.2)."""
    cause = wood("length", scatter=0.0) if blank else plain("length", sd=1.0)
    measurement = plainly("a", {"length": 1.0}, tolerance=0.1, scatter=scatter)
    belief = believe([cause], [measurement], [TestPiece((Reading("a", read, steady(reading)),))])
    found = limiting_factor(belief, predict_parts(belief), np.zeros(1), 0.5)
    subject = "a" if reason in {"scatter", "instrument"} else "length"
    assert (found.reason, found.subject, found.attainable) == (reason, subject, 0.5)


def test_what_is_out_is_out_of_the_middle_of_its_limits() -> None:
    """From .3 under to .1 over, .1 under is right: what differs from piece to piece is all."""
    measured = replace(plainly("a", {"stop": 1.0}, scatter=0.05), low=-0.3, high=0.1)
    pieces = [TestPiece((Reading("a", -0.1, steady(0.01)),))] * 4
    belief = believe([plain("stop")], [measured], pieces)
    found = limiting_factor(belief, predict_parts(belief), np.zeros(1), 0.5)
    assert (found.reason, found.subject) == ("scatter", "a")


def test_a_move_is_plain_from_four_spreads_of_a_difference() -> None:
    """What is read of two pieces differs by the root of twice the scatter squared (JCGM 100:2008,
    5.1.2); four such spreads: common practice, no source."""
    rough = (Roughness(1.0, pieces=1.5),)  # 4 x 1.414 x 1.5 x 0.1 is 0.849
    for amount, told in ((0.86, True), (0.83, False)):
        measurement = plainly("a", {"stop": 1.0}, tolerance=0.05, scatter=0.1)
        still = [TestPiece((Reading("a", 0.0, EXACT),), moves) for moves in ({}, {"stop": amount})]
        belief = believe([plain("stop", sd=1.0)], [measurement], still, shops=rough)
        found = moves_not_followed(belief)
        assert [each.amount for each in found] == ([amount] if told else [])


def test_what_has_no_limit_is_not_told_to_be_unread() -> None:
    free = MeasurementModel("free", -np.inf, np.inf, {"stop": 1.0})
    measured = [plainly(name, {"stop": 1.0}) for name in ("a", "b")]
    belief = believe([plain("stop")], [*measured, free], [TestPiece((Reading("a", 0.0, EXACT),))])
    assert with_unread(LimitingFactor("scatter", "a", 0.5), belief).unread == ("b",)


def bar(*pieces: TestPiece) -> Belief:
    return believe(bar_causes(), bar_measurements(), pieces, shops=SHOPS)


OUT = [0.0, 2.0, 0.0, 0.0, 0.0, 0.0]  # the back 2 mm long: its stop goes 1 mm
MOVED = [
    ("as before", OUT, {"back stop": 1.0}, ["back stop"]),
    ("as it should", [0.0] * 6, {"back stop": 1.0}, []),
    ("half of it", [0.0, 1.0, *[0.0] * 4], {"back stop": 1.0}, []),
    ("the wrong way", [0.0, 4.0, *[0.0] * 4], {"back stop": 1.0}, ["back stop"]),
    ("too far", [0.0, -2.0, *[0.0] * 4], {"back stop": 1.0}, []),
    ("another one", [-2.0, 2.0, *[0.0] * 4], {"back stop": 1.0}, ["back stop"]),
    ("too little to tell", OUT, {"back stop": 0.1}, []),
    ("nothing was moved", OUT, {}, []),
    ("set again to the same", OUT, {"back stop": 0.0}, []),
    (
        "both, and one followed",
        [0.0, 2.0, *[0.0] * 4],
        {"back stop": 1.0, "fence": 0.0},
        ["back stop"],
    ),
    (
        "one cancels the other",
        [2.0, 2.0, 2.0, *[0.0] * 3],
        {"back stop": 1.0, "blank length": 2.0},
        [],
    ),
    ("blanks as before", OUT, {"blank length": -2.0}, ["blank length"]),
]


@pytest.mark.parametrize(
    ("second", "moves", "named"), [m[1:] for m in MOVED], ids=[m[0] for m in MOVED]
)
def test_a_move_that_the_next_piece_does_not_show(
    second: Sequence[float], moves: Mapping[str, float], named: list[str]
) -> None:
    belief = bar(bar_piece(OUT), bar_piece(second, moves))
    found = moves_not_followed(belief)
    assert [each.cause.name for each in found] == named
    assert explain(belief).unfollowed == found
    assert all(each.piece == 1 for each in found)
    if named == ["back stop"]:
        assert found[0].unchanged == ("back",)
    if named == ["blank length"]:
        assert found[0].unchanged == ("face", "back", "tenons")


def test_what_was_not_read_on_both_pieces_tells_nothing_of_a_move() -> None:
    first, second = bar_piece(OUT), bar_piece(OUT, {"back stop": 1.0})
    only = replace(second, readings=tuple(r for r in second.readings if r.measurement != "back"))
    assert moves_not_followed(bar(first, only)) == ()
    assert moves_not_followed(bar(first)) == () == moves_not_followed(bar())


def off_the_line(values: Sequence[float], without: int) -> float:
    """Squares off the straight line of least squares through all but one."""
    x = np.array([i for i in range(len(values)) if i != without], dtype=float)
    y = np.array([v for i, v in enumerate(values) if i != without])
    slope = ((x - x.mean()) * (y - y.mean())).sum() / ((x - x.mean()) ** 2).sum()
    return float(((y - y.mean() - slope * (x - x.mean())) ** 2).sum())


SHAPES = [(0.0, 1.0, -1.0, 0.5), (0.2, -1.0, 1.2, -0.7, 0.9), (1.0, -1.0, 0.4, 0.9, -0.8, 0.3)]


@pytest.mark.parametrize("shape", SHAPES, ids=len)
@pytest.mark.parametrize("read", [1e-4, 0.2])
@pytest.mark.parametrize("creep", [0.0, 0.3])
def test_pieces_differ_plainly_from_what_chance_leaves(
    shape: tuple[float, ...], read: float, creep: float
) -> None:
    """Chi-square of the points that are left, less two of the line: its mean and two standard
    deviations (mean n, variance 2 n), of a quarter of the limit squared and what reading adds.
    One may be odd, and whatever creeps evenly is no scatter."""
    free = len(shape) - 3
    least = min(off_the_line(shape, without) for without in range(len(shape)))
    room = 0.25 * 0.4**2 + read**2
    just = sqrt(room * (free + 2 * sqrt(2 * free)) / least)
    for times, differs in ((1.01, True), (0.99, False)):
        values = [times * just * each + creep * at for at, each in enumerate(shape)]
        pieces = [TestPiece((Reading("a", each, steady(read)),)) for each in values]
        measured = plainly("a", {"stop": 1.0}, tolerance=0.4)
        found = too_wide(believe([plain("stop", sd=5.0)], [measured], pieces))
        assert (found is not None) == differs
        if found:
            assert (found.measurement, found.by) == ("a", "either")


@pytest.mark.parametrize(
    ("cut", "differs"), [((), True), ((2,), False), ((1, 3), False), ((4,), True)], ids=str
)
def test_what_is_set_anew_between_begins_anew(cut: tuple[int, ...], differs: bool) -> None:
    values = [2 * each for each in SHAPES[1]]
    pieces = [
        TestPiece((Reading("a", each, EXACT),), {"stop": 0.0} if at in cut else {})
        for at, each in enumerate(values)
    ]
    found = too_wide(believe([plain("stop", sd=5.0)], [plainly("a", {"stop": 1.0})], pieces))
    assert (found is not None) == differs


def test_what_shims_moved_is_no_difference_and_the_widest_is_named() -> None:
    cause = replace(plain("stop", sd=5.0), fine_sd=0.01)
    other = plain("fence", sd=5.0)
    measured = [
        plainly("a", {"stop": -2.0}),
        plainly("b", {"fence": 1.0}),
        plainly("c", {"fence": 1}),
    ]
    shape = SHAPES[2]

    def found(a: float, b: float, c: float, by: float) -> str:
        due, pieces = 0.0, []
        for at, each in enumerate(shape):
            moves = {"stop": by} if at == 3 else {}
            due += -2.0 * sum(moves.values())
            read = (("a", a * each + due), ("b", b * each), ("c", c * each))
            pieces.append(TestPiece(tuple(Reading(n, v, EXACT) for n, v in read), moves,
                                    fine=frozenset({"stop"})))  # fmt: skip
        wide = too_wide(believe([cause, other], measured, pieces))
        return wide.measurement if wide else ""

    assert found(0.01, 0.01, 0.01, 1.5) == ""
    assert found(2.0, 0.01, 0.01, 1.5) == "a"
    assert found(1.0, 2.0, 3.0, 0.0) == "c"
    assert found(1.0, 3.0, 2.0, 0.0) == "b"


@pytest.mark.parametrize(
    ("again", "by"), [((0.0, 0.01), "pieces"), ((0.9, -0.9), "readings"), ((0.0,), "either")]
)
def test_what_was_read_twice_tells_whether_pieces_or_readings_differ(
    again: tuple[float, ...], by: str
) -> None:
    pieces = [TestPiece((Reading("a", each, EXACT),)) for each in SHAPES[2]]
    pieces.append(TestPiece(tuple(Reading("a", each, EXACT) for each in again)))
    found = too_wide(believe([plain("stop", sd=5.0)], [plainly("a", {"stop": 1.0})], pieces))
    assert found is not None and found.by == by


def test_the_pieces_between_two_moves_that_differ_most_are_held_against_the_readings() -> None:
    """Half a millimetre off on five; none on the next five; .1 from reading to reading."""
    wild = [TestPiece((Reading("a", each, EXACT),)) for each in (0.5, -0.5, 0.5, -0.5, 0.5)]
    calm = [TestPiece((Reading("a", each, EXACT),)) for each in (0.0, 0.001, 0.0, 0.001)]
    twice = TestPiece((Reading("a", 0.05, EXACT), Reading("a", -0.05, EXACT)), {"stop": 0.0})
    belief = believe([plain("stop", sd=5.0)], [plainly("a", {"stop": 1.0}, tolerance=0.3)],
                     [*wild, twice, *calm])  # fmt: skip
    found = too_wide(belief)
    assert found is not None and found.by == "pieces"


@pytest.mark.parametrize(
    ("values", "movable", "left"),
    [
        ((0.4, 0.2), False, "a"),  # .3 on average, past .25
        ((0.3, 0.2), False, ""),  # .25, just on its limit
        ((-0.4, -0.4), False, "a"),
        ((0.9,), False, ""),  # once is not enough
        ((0.9, 0.9), True, ""),
    ],
)
def test_what_hangs_on_no_setting_comes_out_as_the_cutter_leaves_it(
    values: Sequence[float], movable: bool, left: str
) -> None:
    cause = replace(plain("cutter"), movable=movable)
    measured = [plainly("else", {"stop": 1.0}), plainly("a", {"cutter": 1.0}, tolerance=0.25)]
    read = [TestPiece((Reading("a", each, CALIPER),)) for each in values]
    assert left_by_cutter(believe([plain("stop"), cause], measured, read)) == left
