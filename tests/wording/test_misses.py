"""What a miss costs, in words: on the sheet, and where parts are cut. Shares counted by hand."""

from __future__ import annotations

import itertools
import re

import pytest

from setupsheets.corrections.limiting import LimitingFactor
from setupsheets.corrections.prediction import Misses
from setupsheets.corrections.stopping import Recommendation
from setupsheets.sheets.pages.pages import to_markdown
from setupsheets.shop.recipes import Miss, Missed
from setupsheets.wording.advice import recommendation_line
from setupsheets.wording.figures import MISSES, missed_words
from setupsheets.wording.lists import one_line
from tests.profiles.shipped import recipes
from tests.sheets.sheet_plans import content


@pytest.mark.parametrize("under", Miss)
@pytest.mark.parametrize("over", Miss)
def test_every_pair_of_misses_has_its_words(under: Miss, over: Miss) -> None:
    words = missed_words(Missed(under, over))
    assert (words == "") == (under is over is Miss.SPOILS), "nothing is told that nobody has said"
    assert not words or (MISSES[under] in words and MISSES[over] in words)


@pytest.mark.parametrize(
    ("misses", "words"),
    [
        (Misses(0.95, 0.0, 0.05, 0.0), "about 1 in 20 will need easing, fewer than 1 in 100 sp"),
        (Misses(0.84, 0.0, 0.125, 0.035), "about 1 in 8 will need easing, about 1 in 30 spoilt"),
        (Misses(0.6, 0.0, 0.31, 0.09), "about 3 in 10 will need easing, about 1 in 12 spoilt"),
        (Misses(0.01, 0.0, 0.96, 0.03), "nearly all will need easing, about 1 in 30 spoilt"),
        (Misses(0.01, 0.0, 0.94, 0.05), "about 9 in 10 will need easing, about 1 in 20 spoilt"),
        (Misses(0.9, 0.1, 0.0, 0.0), "about 1 in 10 will be out where it does not show, fewer"),
    ],
)
def test_what_becomes_of_the_parts_is_told_as_a_maker_counts(misses: Misses, words: str) -> None:
    line = recommendation_line(Recommendation("cut parts", misses.right, misses=misses), {})
    assert f"inside every limit; {words}" in line
    limit = LimitingFactor("scatter", "a", misses.right)
    out = Recommendation("out of reach", misses.right, limit=limit, misses=misses)
    told = recommendation_line(out, {"a": "A"}, {"a": "The play that glues; common practice."})
    assert f"come out right; {words}" in told
    assert "Its limits: the play that glues; common practice." in told


def test_where_every_miss_spoils_no_more_is_said_than_how_many_are_right() -> None:
    found = Recommendation("cut parts", 0.93, misses=Misses(0.93, 0.0, 0.0, 0.07))
    assert recommendation_line(found, {}) == (
        "Cut the parts: 93 % of them will be inside every limit."
    )


def test_that_easing_is_cheaper_is_said() -> None:
    found = Recommendation("cut parts", 0.84, misses=Misses(0.84, 0.0, 0.15, 0.01), eased=True)
    assert recommendation_line(found, {}).endswith(
        "To ease those costs less than another test piece."
    )


MEASURES = [
    (name, measure.name) for name, recipe in recipes().items() for measure in recipe.measures
]


@pytest.mark.parametrize(("recipe", "name"), MEASURES)
def test_every_shipped_limit_says_what_it_comes_from(recipe: str, name: str) -> None:
    (measure,) = (each for each in recipes()[recipe].measures if each.name == name)
    sourced = measure.basis.startswith("Architectural Woodwork Standards")
    assert sourced or measure.basis.endswith("; common practice, no source.")
    assert not re.search(r"\d", measure.basis), "it is read in any unit"


def test_one_thing_measured_in_several_recipes_costs_the_same() -> None:
    told = [
        ((recipe.makes, each.name), each.missed)
        for recipe in recipes().values()
        for each in recipe.measures
    ]
    told.sort(key=lambda each: each[0])
    for name, group in itertools.groupby(told, key=lambda each: each[0]):
        assert len({missed for _, missed in group}) == 1, name


def test_limits_with_a_source_name_it_and_the_rest_is_said_once() -> None:
    page = to_markdown(content("larder"), "drawings")
    assert "Cautions and limits with a source name it; the others are common practice." in (
        one_line(page)
    )
    told = "Limits: Architectural Woodwork Standards, first edition."
    assert page.count(told) == 3, "of either diagonal and of the height"


def test_what_is_eased_and_what_does_not_show_are_told_together_where_neither_is_by_itself() -> (
    None
):
    """.7 and .6 % in a rebate: 1.3 % is 1 in 77, to the nearest count 1 in 70."""
    found = Recommendation("cut parts", 0.98, misses=Misses(0.98, 0.006, 0.007, 0.007))
    assert recommendation_line(found, {}) == (
        "Cut the parts: 98 % of them will be inside every limit; about 1 in 70 will need easing or"
        " be out where it does not show, fewer than 1 in 100 spoilt."
    )


def test_what_is_told_of_the_others_adds_up_to_what_is_not_right() -> None:
    """Each share told is near its own, a count in between being at most a fifth off, and each is
    told once: plain arithmetic."""
    shares = (0.0, 0.004, 0.0099, 0.013, 0.03, 0.07, 0.11, 0.19, 0.24, 0.26, 0.31)
    for unseen, eased, spoilt in itertools.product(shares, repeat=3):
        misses = Misses(1 - unseen - eased - spoilt, unseen, eased, spoilt)
        line = recommendation_line(Recommendation("cut parts", misses.right, misses=misses), {})
        assert not re.search(r"; ,|, ,", line), line
        if "spoilt" not in line:
            assert unseen + eased < 0.01, "all the others are spoilt, and that goes without saying"
            continue
        told = sum(int(one) / int(of) for one, of in re.findall(r"about (\d+) in (\d+)", line))
        out = 1 - misses.right
        untold = sum(each for each in (unseen, eased, spoilt) if each < 0.01)
        assert abs(told - out) <= 0.2 * out + untold + 0.001, line


def test_a_piece_that_tells_of_what_was_never_measured_is_to_be_measured_there() -> None:
    """That a further piece will settle it is true only of one that the others are read on."""
    found = Recommendation("another test piece", 0.47, tells="a", then=1.0)
    titles = {"a": "Thickness of the tenon", "b": "Depth of the cope"}
    line = recommendation_line(found, titles, unread=("a", "b"))
    assert line == (
        "Cut another test piece with nothing moved: it tells more of Thickness of the tenon; as far"
        " as is known 47 % of parts would be inside every limit; the chance that they can be cut"
        " once it is measured is over 99 %. Measure on it what was on none so far: Thickness of the"
        " tenon and Depth of the cope."
    )
    assert "on none so far" not in recommendation_line(found, titles)
