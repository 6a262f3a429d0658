"""Sentences that makers did not understand are gone from what is printed, and what stands in their
place says what to do."""

from __future__ import annotations

import pytest

from setupsheets.files.places import data_folder
from setupsheets.sheets.pages.pages import to_markdown
from tests.sheets.sheet_plans import content

PRINTED = {job: to_markdown(content(job)) for job in ("larder", "vestibule")}
# Read by makers and not understood, or found odd.
PUZZLING = (
    "nothing slipped",
    "has been put right",
    "it alone explains",
    "moments looked at",
    "test piece of then",
    "is on no mark of the shop",
    "before the cutter",
    "value from memory",
    "things proved",
    "**Inputs**",
    "Lost by it",
    "Must fill",
    "rounded by itself",
    "broken bars",
    "can at the very worst",
    "of the Thickness planer",
    "length to hold it by",
)


@pytest.mark.parametrize("job", PRINTED)
@pytest.mark.parametrize("words", PUZZLING)
def test_no_sheet_says_what_nobody_understands(job: str, words: str) -> None:
    assert words.lower() not in PRINTED[job].lower()


@pytest.mark.parametrize("job", PRINTED)
def test_common_practice_is_said_once_a_sheet(job: str) -> None:
    """Once on the cover and once for each machine, as each lies at its own machine."""
    page = PRINTED[job]
    said = page.count("the others are common practice")
    assert said == 1 + len(content(job).machines)
    assert page.count("*common practice*") == 0


def test_a_source_stands_beside_its_caution() -> None:
    page = PRINTED["vestibule"]
    assert "*OSHA 29 CFR 1910.213(c) and (d); HSE (UK) rip saw guidance*" in page
    assert "*OSHA 29 CFR 1910.213(h)*" in page


def test_the_advice_against_stopped_cuts_on_a_saw_is_printed_where_one_is_made() -> None:
    """HSE (UK) information sheet 16, as quoted by others. The vestibule's groove stops in the
    stiles; no cut of the larder stops."""
    advice = "stops short of an end is advised against on a circular saw"
    assert advice in PRINTED["vestibule"] and advice not in PRINTED["larder"]


def test_no_wording_or_caution_tells_to_take_it_from_memory() -> None:
    for path in (data_folder("profiles") / "cautions").glob("*.yaml"):
        assert "from memory" not in path.read_text(encoding="utf-8")
