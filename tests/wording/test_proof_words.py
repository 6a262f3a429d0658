"""What proofs and joints are called in words: the project's own wording, no outside source."""

from __future__ import annotations

import pytest

from setupsheets.machining.checking.features import Feature, FeatureLine
from setupsheets.machining.checking.joint import Contact, Joint
from setupsheets.wording.proofs import FEATURES, feature_words, joint_words


@pytest.mark.parametrize("feature", Feature)
def test_every_feature_is_called_something_of_its_own(feature: Feature) -> None:
    words = FEATURES[feature]
    assert words.startswith("the ")
    assert [each for each in Feature if FEATURES[each] == words] == [feature]


def test_a_feature_that_is_there_twice_says_on_which_edge() -> None:
    told = [feature_words(FeatureLine(Feature.REBATE_WALL, (), edge)) for edge in (0, 1, 2)]
    assert told == [
        "the rebate's wall",
        "the rebate's wall of the first edge",
        "the rebate's wall of the second edge",
    ]


@pytest.mark.parametrize(
    ("gap", "overlap", "words"),
    [
        (0.03, 1.5, "binds by 1.5 mm at the back shoulder"),
        (1.5, 0.03, "gap of 1.5 mm at the back shoulder"),
        (0.5, 0.0, "gap of 0.5 mm at the back shoulder"),
    ],
)
def test_no_place_binds_and_stands_off_at_once(gap: float, overlap: float, words: str) -> None:
    laid = Joint(None, None, (Contact(Feature.BACK_SHOULDER, gap, overlap),), 0.0)
    assert joint_words(laid, lambda length: f"{float(length.mm):g} mm") == words


@pytest.mark.parametrize(
    ("flush", "words"),
    [
        (0.0, "closes everywhere"),
        (0.5, "face 0.5 mm behind the mate's"),
        (-0.5, "face 0.5 mm proud of the mate's"),
    ],
)
def test_a_face_out_of_flush_says_which_way(flush: float, words: str) -> None:
    laid = Joint(None, None, (Contact(Feature.TIP, 0.0, 0.0),), flush)
    assert joint_words(laid, lambda length: f"{float(length.mm):g} mm") == words
