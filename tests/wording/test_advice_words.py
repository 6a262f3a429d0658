"""Every account of the readings in its own sentence, and every way on: read whole, in both units.

What was found is invented; each figure follows from it by plain arithmetic.
"""

from __future__ import annotations

from collections.abc import Collection
from fractions import Fraction
from typing import Any

import pytest
from msgspec.structs import replace

from setupsheets.corrections.causes import Cause
from setupsheets.corrections.explain import (
    Explanation,
    Explanations,
    SuspectCause,
    SuspectReading,
)
from setupsheets.corrections.limiting import BestChance, LimitingFactor
from setupsheets.corrections.observations import InstrumentModel
from setupsheets.corrections.preposterior import ReadingOption
from setupsheets.corrections.stopping import Recommendation
from setupsheets.lengths import Notation, Unit
from setupsheets.wording.advice import reach_words, recommendation_line
from setupsheets.wording.explanations import explanation_lines

INCHES, METRIC = Notation(Unit.IN, Fraction(1, 64)), Notation(Unit.MM, Fraction(1, 2))
STOP, WOOD, THICK = (
    Cause("saw.stop"),
    Cause("blank.length", "blank"),
    Cause("blank.thickness", "blank"),
)
TITLES = {"saw.stop": "saw: stop", "blank.length": "blanks: length", "a": "Back", "b": "Tenon",
          "blank.thickness": "blanks: thickness", "c": "Cope"}  # fmt: skip


def suspect(cause: Cause, how: Any, error: float, jump: float = 0.0, *, at: int = 0,
            explains: tuple[str, ...] = ()) -> SuspectCause:  # fmt: skip
    return SuspectCause(cause, how, at, jump, error, 0.1, explains)


def lines(account: Explanation, notation: Notation = INCHES, **more: Any) -> tuple[str, ...]:
    return explanation_lines(Explanations((account,), (), False), TITLES, notation, **more)


SLIP = "by a slip or by its dial"
# An eighth of an inch is 3.175 mm, a quarter 6.35.
CAUSES = [
    (suspect(STOP, "ordinary", 3.175),
     "only set and cut roughly, most of all saw: stop 1/8 in over"),
    (suspect(STOP, "move", -3.175, at=1),
     "saw: stop 1/8 in under since it was last set, before piece 2"),
    (suspect(STOP, "untold", 0.1, -3.175, at=2),
     "saw: stop was moved by 1/8 in before piece 3, and nobody has said so"),
    (suspect(WOOD, "untold", 0.1, -3.175, at=2),
     "blanks: length was made 1/8 in shorter before piece 3, and nobody has said so"),
    (suspect(THICK, "untold", 0.1, 3.175, at=1),
     "blanks: thickness was made 1/8 in thicker before piece 2, and nobody has said so"),
    (suspect(STOP, "drift", 6.35, 3.175),
     "saw: stop creeps, 1/8 in more with every piece, now 1/4 in over"),
    (suspect(STOP, "drift", -6.35, -3.175),
     "saw: stop creeps, 1/8 in less with every piece, now 1/4 in under"),
    (suspect(STOP, "shift", 3.175, at=1), "saw: stop 1/8 in over: it shifted before piece 2"),
    (suspect(WOOD, "shift", -3.175, at=1),
     "blanks: length 1/8 in short: they changed before piece 2"),
    (suspect(STOP, "shift", 0.8, 3.175, at=1), "saw: stop 1/32 in over: it shifted before piece 2"),
    (suspect(STOP, "shift", 0.01, -3.175, at=4),
     "saw: stop shifted before piece 5, and stands right since"),
    (suspect(WOOD, "shift", -0.7, 3.175, at=1),
     "blanks: length changed before piece 2, and is right since"),
    (suspect(STOP, "blunder", 3.175, 3.175), f"saw: stop 1/8 in over, {SLIP}"),
    (suspect(STOP, "blunder", 0.8, 3.175),
     f"saw: stop 1/32 in over, {SLIP}"),  # a little over a quarter
    (suspect(STOP, "blunder", 0.7, 3.175),
     "saw: stop was 1/8 in over at first and has been put right since"),
    (suspect(STOP, "blunder", -0.7, -6.35),
     "saw: stop was 1/4 in under at first and has been put right since"),
    (suspect(WOOD, "blunder", 6.35, 6.35), "blanks: length 1/4 in long"),
    (suspect(THICK, "blunder", -6.35, -6.35), "blanks: thickness 1/4 in thin"),
]  # fmt: skip


@pytest.mark.parametrize(("cause", "words"), CAUSES, ids=[words for _, words in CAUSES])
def test_every_way_of_being_off_has_its_sentence(cause: SuspectCause, words: str) -> None:
    account = Explanation(0.934, (cause,), ())
    assert lines(account) == (f"{words}: 93 %",)
    metric = words.replace("1/8 in", "3 mm").replace("1/4 in", "6.5 mm")
    assert lines(account, METRIC) == (f"{metric.replace('1/32 in', '0.8 mm')}: 93 %",)


def test_a_dial_that_was_looked_at_was_not_set_wrong() -> None:
    account = Explanation(0.5, (suspect(STOP, "blunder", 3.175, 3.175),), ())
    assert lines(account, looked_at={"saw.stop"}) == ("saw: stop 1/8 in over, by its dial: 50 %",)
    assert lines(account, looked_at={"other"})[0].endswith(f"{SLIP}: 50 %")


def misread(
    what: str, piece: int, how: Any = "misreading", amount: float = 3.175
) -> SuspectReading:
    return SuspectReading(how, piece, what, amount, 1.0)


@pytest.mark.parametrize(
    ("readings", "words"),
    [
        ([misread("a", 0)], "Back of piece 1 was misread"),
        ([misread("a", 1, "stray")], "Back of piece 2 was cut badly"),
        ([misread("a", 0), misread("b", 0)], "Back and Tenon of piece 1 were misread"),
        ([misread("a", 2), misread("a", 0)], "Back of pieces 1 and 3 was misread"),
        ([misread("a", 0), misread("a", 0)], "Back of piece 1 was misread"),
        ([misread("a", 0), misread("b", 1)],
         "Back of piece 1 was misread and Tenon of piece 2 was misread"),
        ([misread("a", 0), misread("a", 0, "stray")],
         "Back of piece 1 was misread and Back of piece 1 was cut badly"),
    ],
)  # fmt: skip
def test_what_was_misread_or_cut_badly_is_told_once_for_all(
    readings: list[SuspectReading], words: str
) -> None:
    assert lines(Explanation(0.7, (), tuple(readings))) == (f"{words}: 70 %",)


def test_where_nothing_jumped_it_is_said_what_there_is_to_say() -> None:
    nothing = Explanation(0.8, (), ())
    assert lines(nothing) == ("only the usual small errors of setting: 80 %",)
    differ = "the pieces differ from each other"
    assert lines(nothing, differ=differ) == (f"no setting is out, {differ}: 80 %",)
    one = Explanation(0.8, (suspect(STOP, "ordinary", 3.175),), ())
    roughly = "only set and cut roughly, most of all saw: stop 1/8 in over: 80 %"
    assert lines(one, differ=differ) == (roughly,)


@pytest.mark.parametrize(
    ("more", "readings", "moved", "told"),
    [
        ((), (), [], True),
        ((), (), ["saw.stop"], True),
        ((), (), ["saw.stop", "blank.length"], False),
        ((), (), ["blank.length"], False),
        ((suspect(WOOD, "shift", 3.175),), (), [], False),
        ((), (misread("c", 0),), [], False),
    ],
)
def test_one_error_explains_what_it_puts_out_where_it_is_the_only_one(
    more: tuple[SuspectCause, ...],
    readings: tuple[SuspectReading, ...],
    moved: Collection[str],
    told: bool,
) -> None:
    first = suspect(STOP, "blunder", 3.175, 3.175, explains=("a", "b"))
    (line,) = lines(Explanation(0.9, (first, *more), readings), moved=moved)
    assert line.endswith("; this one error puts Back and Tenon out as measured") == told
    alone = replace(first, explains=("a",))
    assert "this one error" not in lines(Explanation(0.9, (alone,), ()))[0]


BY = "by about 1/8 in"
OUT, AGAIN = "it is left out of account", "measure it again before moving anything"
DOUBT = SuspectReading("misreading", 1, "a", -3.175, 0.7)


@pytest.mark.parametrize(
    ("doubt", "again", "words"),
    [
        (DOUBT, [], f"likely a misreading, {BY} (70 %); {OUT}"),
        (DOUBT, [("a", 1)], f"likely a misreading, {BY} (70 %); {AGAIN}"),
        (DOUBT, [("a", 0), ("b", 1)], f"likely a misreading, {BY} (70 %); {OUT}"),
        (replace(DOUBT, how="stray"), [], f"likely a piece cut badly there, {BY} (70 %); {OUT}"),
        (replace(DOUBT, amount=0.01), [], f"likely a misreading (70 %); {OUT}"),
        (replace(DOUBT, amount=0.03), [], f"likely a misreading, by about .001 in (70 %); {OUT}"),
        (replace(DOUBT, probability=0.599), [], f"as well as not a misreading, {BY} (60 %); {OUT}"),
        (replace(DOUBT, probability=0.6), [], f"likely a misreading, {BY} (60 %); {OUT}"),
        (replace(DOUBT, probability=1.0), [], f"likely a misreading, {BY} (over 99 %); {OUT}"),
    ],
)  # fmt: skip
def test_a_doubt_is_as_sure_as_it_is_and_says_what_becomes_of_it(
    doubt: SuspectReading, again: list[tuple[str, int]], words: str
) -> None:
    found = Explanations((), (doubt,), False)
    assert explanation_lines(found, TITLES, INCHES, again=again) == (f"Back of piece 2: {words}",)


def test_accounts_are_told_that_decide_something_and_doubts_once() -> None:
    one, other = (Explanation(0.019, (suspect(STOP, "shift", 3.175),), ()) for _ in range(2))
    doubted = Explanation(0.5, (), (misread("a", 1),))
    both = Explanation(0.3, (), (misread("a", 1), misread("b", 1)))
    found = Explanations((doubted, both, replace(one, probability=0.02), other), (DOUBT,), False)
    told = explanation_lines(found, TITLES, INCHES)
    assert [line.partition(":")[0] for line in told] == [
        "Back of piece 2", "Back and Tenon of piece 2 were misread", "saw"]  # fmt: skip
    first = explanation_lines(Explanations((one, other), (), False), TITLES, INCHES)
    assert len(first) == 1, "the first is told however unlikely"
    lost = Explanations((one,), (), True)
    said = "Nothing here explains these readings"
    assert explanation_lines(lost, TITLES, INCHES)[0] == f"{said} well."
    again = explanation_lines(lost, TITLES, INCHES, again=[("a", 0)])
    assert again[0] == f"{said}: measure the piece again before moving anything."


RULE = InstrumentModel("rule", 0.1)
READ = (ReadingOption("a", RULE), ReadingOption("b", InstrumentModel("caliper", 0.02)))


@pytest.mark.parametrize(
    ("found", "more", "words"),
    [
        (Recommendation("measure again", 0.712, READ), {},
         "Measure this piece again before anything else is cut: Back (rule) and Tenon (caliper)."
         " It costs no wood; as it stands 71 % of parts would be inside every limit."),
        (Recommendation("measure again", 0.712, READ), {"read": {"a"}},
         "Measure more of this piece before anything else is cut: Back (rule) and Tenon (caliper)."
         " It costs no wood; as it stands 71 % of parts would be inside every limit."),
        (Recommendation("another test piece", 0.5, then=0.8), {"unread": ["b", "c"], "moved": True},
         "Cut another test piece: even with that done only 50 % of parts would be inside every"
         " limit; once it is measured, 80 % is to be expected. Measure on it what was on none so"
         " far: Tenon and Cope."),
        (Recommendation("another test piece", 0.5, tells="b", then=0.4), {"unread": ["a"]},
         "Cut another test piece with nothing moved: it tells more of Tenon; as far as is known 50"
         " % of parts would be inside every limit; the chance that they can be cut once it is"
         " measured is 40 %. Measure on it what was on none so far: Back."),
        (Recommendation("another test piece", 0.8, then=0.801), {},
         "Cut another test piece: as it stands only 80 % of parts would be inside every limit."),
        (Recommendation("another test piece", 0.896), {},
         "Cut another test piece: as it stands just under 90 % of parts would be inside every"
         " limit."),
        (Recommendation("another test piece", 0.894), {},
         "Cut another test piece: as it stands only 89 % of parts would be inside every limit."),
        (Recommendation("another test piece", 0.896, asked=0.95), {},
         "Cut another test piece: as it stands only 90 % of parts would be inside every limit."),
        (Recommendation("measure again", 0.948, READ, asked=0.95), {"moved": True},
         "Measure this piece again before anything else is cut: Back (rule) and Tenon (caliper)."
         " It costs no wood; as it stands just under 95 % of parts would be inside every limit."),
        (Recommendation("cut parts", 0.999, eased=True), {"unread": ["a"]},
         "Cut the parts: over 99 % of them will be inside every limit. To ease those costs less"
         " than another test piece."),
        (Recommendation("out of reach", 0.004,
                        limit=LimitingFactor("finest move", "saw.stop", 0.5, unread=("a", "b"))),
         {},
         "Out of reach: saw: stop cannot be moved finely enough. Use a shim or a finer adjuster on"
         " it, or allow more. At best 50 % would be inside every limit. Never measured: Back and"
         " Tenon. Or cut the parts so, and look at each: under 1 % come out right."),
        (Recommendation("out of reach", 0.4, limit=LimitingFactor("scatter", "a", 0.5)),
         {"bases": {"a": "The play that glues.", "b": "Else."}, "afresh": "log it --afresh"},
         "Out of reach: Back differs more from piece to piece than its limits allow. Hold the work"
         " harder against stop and fence, true up the stock, or allow more. Its limits: the"
         " play that glues. At best 50 % would be inside every limit. Or cut the parts so, and look"
         " at each: 40 % come out right. Once that is cured, begin its record afresh: log it"
         " --afresh."),
        (Recommendation("out of reach", 0.4, limit=LimitingFactor("scatter", "a", 0.5, said=True)),
         {},
         "Out of reach: By what shop.yaml, the recipe and earlier set-ups say, Back will differ"
         " more from piece to piece than its limits allow; what was read does not show it. Hold the"
         " work harder against stop and fence, true up the stock, or allow more; or correct what"
         " is said. At best 50 % would be inside every limit. Or cut the parts so, and look at"
         " each: 40 % come out right."),
    ],
)  # fmt: skip
def test_what_to_do_next_is_said_whole(
    found: Recommendation, more: dict[str, Any], words: str
) -> None:
    assert recommendation_line(found, TITLES, **more) == words


def test_what_can_be_reached_and_what_would_cure_it() -> None:
    limit = LimitingFactor("instrument", "a", 0.7)
    assert reach_words(BestChance(0.7, limit, 1.25), TITLES) == (
        "at best 70 % right: Back is read too roughly for its limits, by what shop.yaml says of its"
        " instrument; limits 1.25 times as wide would do"
    )
    assert reach_words(BestChance(0.7, replace(limit, reason="scatter")), TITLES) == (
        "at best 70 % right: Back differs too much from piece to piece, by what shop.yaml and the"
        " recipe say"
    )


def test_no_dial_is_told_to_have_been_put_right_that_was_never_moved() -> None:
    """Its figure was dialled otherwise at first, by what its dial reads wrong."""
    account = Explanation(0.934, (suspect(STOP, "blunder", 0.1, -3.175),), ())
    said = "saw: stop 1/8 in under by its dial, which its figure makes up for: 93 %"
    assert lines(account, stayed={"saw.stop"}) == (said,)
