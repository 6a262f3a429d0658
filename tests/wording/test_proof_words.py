"""What proofs and joints are called in words: the project's own wording, no outside source."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from setupsheets.joinery.members.parts import Halving
from setupsheets.lengths import Length
from setupsheets.machining.checking.features import Feature, FeatureLine
from setupsheets.machining.checking.joint import Contact, Joint
from setupsheets.shop.recipes import Work
from setupsheets.wording.proofs import FEATURES, feature_words, joint_words, proof_title
from tests.sheets.sheet_plans import inputs, plan


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
        (0.03, 1.5, "binds by 1.5 mm at the cope"),
        (1.5, 0.03, "open by 1.5 mm at the cope"),
        (0.5, 0.0, "open by 0.5 mm at the cope"),
    ],
)
def test_no_place_binds_and_stands_off_at_once(gap: float, overlap: float, words: str) -> None:
    laid = Joint(None, None, (Contact(Feature.COPE, gap, overlap),), 0.0)
    assert joint_words(laid, lambda length: f"{float(length.mm):g} mm") == words


@pytest.mark.parametrize(
    ("flush", "words"),
    [
        (0.0, "closes everywhere"),
        (0.5, "the face lies 0.5 mm behind the mate's"),
        (-0.5, "the face lies 0.5 mm proud of the mate's"),
    ],
)
def test_a_face_out_of_flush_says_which_way(flush: float, words: str) -> None:
    laid = Joint(None, None, (Contact(Feature.TIP, 0.0, 0.0),), flush)
    assert joint_words(laid, lambda length: f"{float(length.mm):g} mm") == words


COPE, BACK = Contact(Feature.COPE, 0.5, 0.0), Contact(Feature.BACK_SHOULDER, 0.0, 1.0, 1.0)
FACE_CHEEK, BACK_CHEEK = Feature.FACE_CHEEK, Feature.BACK_CHEEK


@pytest.mark.parametrize(
    ("contacts", "words"),
    [
        # By plane geometry: what is held back by 1 mm is as much further open everywhere else.
        ((COPE, BACK),
         "the back shoulder touches first and holds the joint open by 1 mm; open by 1.5 mm at the"
         " cope"),
        ((Contact(Feature.COPE, 0.0, 0.4), BACK),
         "the back shoulder touches first and holds the joint open by 1 mm; open by 0.6 mm at the"
         " cope"),
        ((COPE, Contact(Feature.TIP, 0.0, 2.0, 2.0)),
         "the tenon's tip touches first and holds the joint open by 2 mm; open by 2.5 mm at the"
         " cope"),
        # A tenon 0.3 mm too thick, all of it at one cheek; and one that only lies too far back.
        ((Contact(FACE_CHEEK, 0.1, 0.0), Contact(BACK_CHEEK, 0.0, 0.4)),
         "the tenon is 0.3 mm too thick in its mortise"),
        ((Contact(FACE_CHEEK, 0.2, 0.0), Contact(BACK_CHEEK, 0.3, 0.0)),
         "the tenon has 0.5 mm of play in its mortise"),
        ((Contact(FACE_CHEEK, 0.3, 0.0), Contact(BACK_CHEEK, 0.0, 0.3)), "closes everywhere"),
        ((Contact(Feature.TIP, 2.0, 0.0, 0.0, 1.0),), "closes everywhere"),
    ],
)  # fmt: skip
def test_a_joint_is_told_as_it_is_seen(contacts: tuple[Contact, ...], words: str) -> None:
    laid = Joint(None, None, contacts, 0.0)
    assert joint_words(laid, lambda length: f"{round(float(length.mm), 6):g} mm") == words


def test_what_is_narrower_than_asked_for_is_not_told() -> None:
    laid = Joint(None, None, (Contact(Feature.COPE, 0.09, 0.0),), 0.09)
    assert joint_words(laid, str, 0.1) == "closes everywhere" != joint_words(laid, str)


def test_what_is_proved_is_called_by_its_part_and_what_it_meets() -> None:
    """By the larder's own proofs: one of each kind of work, on the part that stands for it."""
    proofs = inputs(plan("larder")).findings.proofs
    told = {proof_title(each): each for each in proofs}
    assert told.keys() >= {
        "blank of stile",
        "blank of bead",
        "length of cross bar",
        "section of cross bar",
        "end of top rail on ovolo-frame-inch",
        "mortise in stile for bottom rail",
    }
    panels = inputs(plan("vestibule"), "vestibule").findings.proofs
    assert {"blank of panel", "section of panel"} <= {*map(proof_title, panels)}
    proof, nought = told["section of cross bar"], Length("0 in")
    notch = Halving("cross bar", "upright bar", True, nought, nought, nought)
    halved = replace(proof, work=Work.HALVING, subject=replace(proof.subject, halving=notch))
    assert proof_title(halved) == "halving of cross bar with upright bar"
