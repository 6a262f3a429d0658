"""What sheets leave out until it is asked for, in words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from enum import StrEnum

from setupsheets.wording.lists import listed


class Asked(StrEnum):
    """What is printed where `sheet --with` names it."""

    BOARDS = "boards"
    FITS = "fits"
    SEASONS = "seasons"
    STICKS = "sticks"


ASKED_FOR: Mapping[Asked, str] = {
    Asked.BOARDS: "the boards to buy and what is cut out of each",
    Asked.FITS: "how every joint may come out within its tolerances",
    Asked.SEASONS: "what the seasons do to the sizes",
    Asked.STICKS: "story sticks of parts without a mortise",
}
"""What each is, as the cover tells it."""


def left_out_words(kinds: Sequence[Asked]) -> str:
    """What is not on these sheets, and how to print it; empty where all is on them."""
    if not kinds:
        return ""
    told = listed(ASKED_FOR[each] for each in kinds)
    return f"{told}; setupsheets sheet --with {','.join(kinds)} prints them too"
