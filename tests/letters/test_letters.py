"""The letters that travel in the page: as wide as the font itself says, and under its licence.

The widths are held against the font as fontTools, a library of others, reads it.
"""

from __future__ import annotations

import json

import pytest

from setupsheets.sheets.letters import letters
from setupsheets.sheets.letters.letters import FAMILY, font_faces, text_width
from tests.letters.carried_font import FOLDER, LETTERS, WEIGHTS, read, widths_of

NEEDED = "0123456789/.,:;()+−±×–—·…’→“”éÄößŁжλ½⅝″ "


@pytest.mark.parametrize("weight", WEIGHTS)
def test_the_table_of_widths_is_the_font_s_own(weight: str) -> None:
    font = read(FOLDER / f"{weight}.woff2")
    table = json.loads((FOLDER / "widths.json").read_text(encoding="utf-8"))[weight]
    assert table == widths_of(font)
    assert set(NEEDED) <= set("".join(table.values()))
    assert {chr(code) for code in LETTERS} >= set("".join(table.values()))


@pytest.mark.parametrize("weight", WEIGHTS)
def test_words_are_as_wide_as_their_letters_and_nothing_draws_them_together(weight: str) -> None:
    font = read(FOLDER / f"{weight}.woff2")
    advances, glyphs = font["hmtx"], font.getBestCmap()
    for words in ("10.25 mm", "AVATAR To", "25/64 in full by .003 in"):
        wide = sum(advances[glyphs[ord(letter)]][0] for letter in words) / 2048
        assert text_width(words, 4, bold=weight == "bold") == pytest.approx(4 * wide)
    assert "kern" not in {each.FeatureTag for each in font["GPOS"].table.FeatureList.FeatureRecord}


def test_a_letter_that_the_font_has_not_is_given_all_the_room_it_may_need() -> None:
    assert text_width("樱", 10) == 10 and text_width("", 10) == 0


@pytest.mark.parametrize("weight", WEIGHTS)
def test_the_font_has_a_name_of_its_own_and_its_licence_beside_it(weight: str) -> None:
    """OFL 1.1, conditions 2 and 3: the notice and licence go along, the reserved name does not."""
    names = read(FOLDER / f"{weight}.woff2")["name"]
    for number in (1, 3, 4, 6):
        assert "liberation" not in str(names.getDebugName(number)).lower()
    assert names.getDebugName(1) == FAMILY and "Red Hat" in names.getDebugName(0)
    licence = (FOLDER / "OFL.txt").read_text(encoding="utf-8")
    assert "SIL OPEN FONT LICENSE Version 1.1" in licence and "Reserved Font Name" in licence


def test_the_font_is_in_the_page_and_asks_nothing_of_the_network() -> None:
    rules = font_faces()
    assert rules.count("@font-face") == rules.count("url(data:font/woff2;base64,") == 2
    assert "http" not in rules and letters.FAMILY in rules
