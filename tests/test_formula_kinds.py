"""What a formula comes to is known to be of its kind before it is worked out for any part.

No outside source: the kinds are this project's own rules, held against what evaluation really does.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from setupsheets.formulas import Formula, FormulaError, Value
from setupsheets.lengths import Length
from setupsheets.shop.recipes import Work

KINDS: dict[str, type] = {
    "part.length": Length,
    "part.width": Length,
    "passes": int,
    "stopped": bool,
    "operation.work": Work,
}

SOUND = [
    (Length, "part.length - 2 * part.width / 3 + 1/16 in"),
    (Length, "choose(stopped, part.length, 0 in)"),
    (Length, "max(part.length, part.width, 1 in) * passes"),
    (Length, "round_up_to(part.length, 1/16 in)"),
    (Length, "abs(-part.width)"),
    (int, "ceil(part.length / part.width) + 1"),
    (int, "min(passes, 3)"),
    (bool, "part.length < 12 in and not stopped or passes >= 2"),
    (bool, "operation.work = 'edge'"),
    (bool, "stopped = (passes > 1)"),
    (bool, "choose(stopped, passes > 1, part.length > 1 in)"),
]
WRONG = [
    (bool, "part.length", "a condition is expected, not a length"),
    (bool, "part.length * 2", "a condition is expected, not a length"),
    (bool, "passes", "a condition is expected, not a plain number"),
    (bool, "operation.work", "a condition is expected, not a text"),
    (bool, "stopped or part.length", "a condition is expected, not a length"),
    (bool, "stopped and (passes + 1)", "a condition is expected, not a plain number"),
    (bool, "not part.width", "a condition is expected, not a length"),
    (bool, "part.length > 12", "a length cannot be compared with a plain number"),
    (bool, "stopped and part.length > 12", "a length cannot be compared with a plain number"),
    (bool, "operation.work = 3", "a text cannot be compared with a plain number"),
    (bool, "operation.work < 'edge'", "a text has no order"),
    (bool, "operation.work = 'egde'", "unknown name 'egde'; the nearest known one is 'edge'"),
    (bool, "'ends' != operation.work", "the nearest known one is 'end'"),
    (bool, "part.lenght > 1 in", "the nearest known one is 'part.length'"),
    (Length, "1/3", "a length is expected, not a plain number"),
    (Length, "stopped", "a length is expected, not a condition"),
    (Length, "part.length + 1", "a length and a plain number cannot be added or subtracted"),
    (Length, "part.length * part.width", "is an area"),
    (Length, "choose(stopped, part.length, 1)", "one choice is a length, the other a plain number"),
    (Length, "choose(stopped, part.length, part.width / 0)", "division by nought"),
    (Length, "choose(part.length, part.length, part.width)", "a condition is expected"),
    (Length, "max(part.length, 1)", "a length cannot stand beside a plain number"),
    (Length, "round_up_to(part.length, 0 in)", "must be more than nought"),
    (Length, "-stopped", "a length or a number is expected, not a condition"),
    (int, "ceil(part.length)", "a plain number is expected, not a length"),
    (int, "1 / part.length", "a plain number cannot be divided by a length"),
]  # fmt: skip


@pytest.mark.parametrize(("kind", "text"), SOUND)
def test_what_is_of_its_kind_passes(kind: type, text: str) -> None:
    Formula.parse(text).check(kind, KINDS)


@pytest.mark.parametrize(("kind", "text", "words"), WRONG)
def test_what_is_not_is_told_with_its_column(kind: type, text: str, words: str) -> None:
    with pytest.raises(FormulaError) as told:
        Formula.parse(text).check(kind, KINDS)
    assert words in told.value.message and told.value.column >= 1 and told.value.text == text


NAMES = st.sampled_from(["part.length", "part.width", "passes", "stopped", "operation.work"])
PLAIN = st.sampled_from(["1", "3", "1 in", "1/16 in", "2 mm", "'edge'", "'end'"])


def larger(inner: st.SearchStrategy[str]) -> st.SearchStrategy[str]:
    signs = st.sampled_from(["+", "-", "*", "/", "<", "<=", ">", "=", "!=", "and", "or"])
    two = st.tuples(inner, signs, inner).map(lambda parts: f"({' '.join(parts)})")
    calls = st.sampled_from(["min", "max", "round_up_to", "round_down_to"])
    called = st.tuples(calls, inner, inner).map(lambda each: f"{each[0]}({each[1]}, {each[2]})")
    one = st.tuples(st.sampled_from(["abs", "ceil", "floor"]), inner)
    chosen = st.tuples(inner, inner, inner).map(lambda each: f"choose({', '.join(each)})")
    turned = inner.map(lambda each: f"(not {each})")
    return st.one_of(
        two, called, one.map(lambda each: f"{each[0]}({each[1]})"), chosen, turned,
        inner.map(lambda each: f"(-{each})"),
    )  # fmt: skip


LENGTHS = st.fractions(-50, 50, max_denominator=64).map(Length.millimetres)
SCOPES = st.fixed_dictionaries(
    {
        "part.length": LENGTHS,
        "part.width": LENGTHS,
        "passes": st.integers(0, 4),
        "stopped": st.booleans(),
        "operation.work": st.sampled_from(Work),
    }
)
HANGS_ON_VALUES = ("division by nought", "must be more than nought")


@given(st.recursive(NAMES | PLAIN, larger, max_leaves=12), SCOPES)
def test_what_passes_as_a_kind_comes_to_it_whatever_the_values(
    text: str, scope: dict[str, Value]
) -> None:
    try:
        formula = Formula.parse(text)
    except FormulaError:
        return
    for kind, work_out in (
        (Length, formula.length),
        (int, formula.number),
        (bool, formula.truth),
    ):
        try:
            formula.check(kind, KINDS)
        except FormulaError:
            continue
        try:
            found = work_out(scope)
        except FormulaError as error:
            assert any(words in error.message for words in HANGS_ON_VALUES), (text, error)
        else:
            assert isinstance(found, Fraction if kind is int else kind)
