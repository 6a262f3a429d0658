"""What an editor takes for a length, a fraction, a formula is what the program reads as one.

A pattern cannot say all of a grammar: it may let through what the program refuses, for reasons
that are listed here; it never refuses what the program reads. The ways of writing are those of
`lengths/grammar.py`; that a carpenter writes 14-11/16" or 1' 2 1/2" is common practice, no source.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from setupsheets.files.documents import read_text
from setupsheets.files.objects import read_fraction
from setupsheets.files.scalars import read_date
from setupsheets.files.schemas import READ_AS, check_against_schema
from setupsheets.formulas.parsing import read_formula
from setupsheets.lengths import Unit, read_shop_length
from setupsheets.shop.settings import minutes
from tests.profiles.schema_trees import schema
from tests.profiles.written_schemas import PATTERNS, every_schema, written


@pytest.mark.parametrize("path", every_schema(), ids=lambda path: f"{path.parent.stem}-{path.stem}")
def test_what_schemas_share_is_the_same_in_all(path: Any) -> None:
    assert path.read_text("utf-8") == written(path), "run python -m tests.profiles.written_schemas"


# ---------------------------------------------------------------------------- by hand, both sides

GOOD = [
    *("14 11/16", '14-11/16"', "14 11/16 in", "1' 2 1/2\"", "3/8", "2⅝", ".375", "12 mm", "1.5 cm"),
    *("1.2 m", "3/8 + 1/64", "15/16 in + 0.01 in", "1 in + 3 mm", "3 - 1/2", "+3/8", "2 ft", "2'"),
    *("12mm", "1ft 2in", "1ft2in", "1 foot 2 inches", "3 1/2 inch", "14\u00a011/16", "3⁄8", " 12 "),
    *("1′ 2″", "¾ in", "10 ½", "10-½ in", "0.75 in", "007 mm", "2 feet", "6 feet 8 inches"),
]
GOOD_LENGTHS = ["-1/32", "−3 mm", "0", "0 in", "-0", "1/4 - 1/2"]
BAD = [
    *(
        "hello",
        "2 1/x",
        "",
        " ",
        "3,5",
        "12 furlongs",
        "3/0",
        "1 2",
        "1//2",
        "3/8 in 2",
        "2-",
        "+ 3",
    ),
    *(
        "12 in.",
        "12 MM",
        "1/2/3",
        "5 -1/2",
        "5-1/2-1/4",
        "2–3",
        "1.2.3",
        "3.",
        "in",
        "mm 3",
        "3 x 4",
    ),
    *("1' 2", "about 3", "1e3", "3 in,", "½½", "1 ft⅝ in", "٣", "NaN", "1_000", "- 3"),
]


def fits(name: str, value: object) -> bool:
    return Draft202012Validator(schema("common")["$defs"][name]).is_valid(value)


@pytest.mark.parametrize("name", ["length", "gap", "size"])
@pytest.mark.parametrize("text", GOOD)
def test_every_way_of_writing_a_length_is_taken(text: str, name: str) -> None:
    assert read_shop_length(text, Unit.IN).mm > 0
    assert fits(name, text)


@pytest.mark.parametrize("text", BAD)
def test_what_is_no_length_is_refused(text: str) -> None:
    assert not any(fits(name, text) for name in ("length", "gap", "size"))
    with pytest.raises(ValueError):
        read_shop_length(text, Unit.IN)


@pytest.mark.parametrize(
    ("value", "taken"),
    [
        (12, "length gap size"),
        (0.5, "length gap size"),
        (0, "length gap"),
        ("0", "length gap"),
        ("0.0 mm", "length gap"),
        ("0/8 in", "length gap"),
        (-1, "length"),
        ("-1/32", "length"),
        ("−3 mm", "length"),
        ("-3 + 12", "length"),
        ("-0", "length"),
        (True, ""),
        (None, ""),
        (["3/8"], ""),
    ],
)
def test_gaps_and_sizes_have_their_bounds(value: object, taken: str) -> None:
    assert [name for name in ("length", "gap", "size") if fits(name, value)] == taken.split()
    text = "kind: shop\nversion: 1\ntitle: A\nunit: in\nfinest: 1/64\n"
    sized = read_text(f"{text}blocks: [{json.dumps(value, ensure_ascii=False)}]\n")
    gapped = read_text(f"{text}tolerances: {{mark: {json.dumps(value, ensure_ascii=False)}}}\n")
    assert (check_against_schema(sized, Unit.IN) == ()) is ("size" in taken)
    assert (check_against_schema(gapped, Unit.IN) == ()) is ("gap" in taken)


def test_every_table_has_all_its_cases() -> None:
    assert (len(GOOD), len(BAD)) == (33, 33)
    assert all(fits("length", text) for text in GOOD_LENGTHS)


# ------------------------------------------------------------------------------- whatever is typed

PIECES = st.sampled_from(
    [
        *("0", "1", "2", "15", "64", "3/8", "11/16", "0/4", "/", "⁄", "⅝", "½", "↉", ".", ".5"),
        *(
            "1.25",
            " ",
            " ",
            "\u00a0",
            "\t",
            "-",
            "−",
            " - ",
            "+",
            " + ",
            "–",
            ",",
            "in",
            " in",
            "x",
        ),
        *("inches", '"', "″", "ft", " ft", "foot", "feet", "'", "’", "mm", " cm", "m"),
    ]
)
NUMBERS = st.sampled_from(["3", "12", "1/2", "3/8", "2 1/4", "14-11/16", "2⅝", ".375", "0.5", "0"])
UNITS = st.sampled_from(["", "", " in", '"', "in", " mm", "mm", " cm", " ft", "'", "' 2 1/2\""])
TERMS = st.builds(str.__add__, NUMBERS, UNITS)
SUMS = st.lists(TERMS, min_size=1, max_size=3).flatmap(
    lambda terms: st.sampled_from([" + ", " - ", "+", "-"]).map(lambda sign: sign.join(terms))
)
SIGNS = st.sampled_from(["", "", "", "-", "+", " ", "−"])
LENGTHS = st.one_of(st.lists(PIECES, max_size=7).map("".join), st.builds(str.__add__, SIGNS, SUMS))

FORMULA_PIECES = st.sampled_from(
    [
        *("part.length", "cutter.kerf", "blank", "notch", "android", "min_gap", "1", "2.5", ".5"),
        *("3/8 in", "14-11/16 in", "1 mm", "2⅝ in", "0.5mm", "'a b'", '"in"', "and", "or", "not"),
        *("not ", "min(", "max(", "choose(", "abs (", "(", ")", ",", "+", "-", " - ", "*", "/"),
        *("<", "<=", "=", "!=", " ", " and ", " or ", "\n", "é", "A", ";", "3", "in"),
    ]
)
FORMULAS = st.lists(FORMULA_PIECES, max_size=8).map("".join)

FRACTIONS = st.from_regex(r"[-+0-9./ ]{0,7}", fullmatch=True)
DATES = st.from_regex(r"[0-9]{4}-[0-9]{1,2}-[0-9]{2}|[0-9-]{8,10}", fullmatch=True)
TIMES = st.from_regex(
    r"\s?[0-9./ ]{0,5} ?(minutes|min|Hours|hour|h|half an hour|An Hour|days|m)?", fullmatch=True
)


def length(text: str) -> object:
    return read_shop_length(text, Unit.IN)


def size(text: str) -> object:
    if (found := read_shop_length(text, Unit.IN)).mm <= 0 or text.lstrip()[0] in "-−":
        raise ValueError("not more than nought")
    return found


def gap(text: str) -> object:
    if (found := read_shop_length(text, Unit.IN)).mm < 0 or text.lstrip()[0] in "-−":
        raise ValueError("less than nought")
    return found


def share(text: str) -> object:
    if (found := read_fraction(text)) <= 0:
        raise ValueError("not more than nought")
    return found


NO_LENGTH = (
    r"is less than 1;|every term has its unit|feet followed by inches are a whole"
    r"|after feet come inches|than 100 (digits|m)"
)
CASES: list[tuple[str, Callable[[str], object], st.SearchStrategy[str], str]] = [
    ("length", length, LENGTHS, NO_LENGTH),
    ("gap", gap, LENGTHS, f"{NO_LENGTH}|less than nought"),
    ("size", size, LENGTHS, f"{NO_LENGTH}|more than nought"),
    ("fraction", read_fraction, FRACTIONS, "(?!)"),
    ("share", share, FRACTIONS, "(?!)"),
    ("date", read_date, DATES, "is no date"),
    ("time_at_bench", minutes, TIMES, "expected a time"),
    (
        "formula",
        read_formula,
        FORMULAS,
        r"parenthesis|chained|takes|is not expected here|not 'not'|fraction of a mixed",
    ),
]


@pytest.mark.parametrize(("name", "read", "texts", "reasons"), CASES, ids=[row[0] for row in CASES])
def test_a_pattern_says_what_the_program_reads(
    name: str, read: Callable[[str], object], texts: st.SearchStrategy[str], reasons: str
) -> None:
    """What the program reads has the pattern; what has it is read, or refused for a reason that no
    pattern can say."""

    @given(texts)
    def told(text: str) -> None:
        try:
            read(text)
        except ValueError as refused:
            if fits(name, text):
                assert re.search(reasons, str(refused)), text
        else:
            assert fits(name, text), text

    told()


def test_every_pattern_was_tried() -> None:
    tried = {PATTERNS[row[0]] for row in CASES}
    assert tried == set(PATTERNS.values()) and len(tried) == len(CASES)
    assert set(PATTERNS) == {*READ_AS, "time_at_bench"}


@given(st.decimals(allow_nan=False, allow_infinity=False, min_value=-90, max_value=90, places=4))
def test_a_bare_number_is_a_length_in_the_file_s_unit(number: Decimal) -> None:
    """The inch is 25.4 mm (international yard, 1959)."""
    assert fits("length", float(number))
    assert float(read_shop_length(number, Unit.IN).mm) == pytest.approx(float(number) * 25.4)
