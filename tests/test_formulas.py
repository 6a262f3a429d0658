"""Formulas: what they come to, how they answer to each cause, and what they refuse to be."""

from __future__ import annotations

import ast
import copy
import math
import operator
import pickle
import re
from collections.abc import Callable
from decimal import Decimal
from fractions import Fraction as F
from typing import Any

import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st
from ruamel.yaml.scalarstring import DoubleQuotedScalarString

from setupsheets.formulas import Affine, Formula, FormulaError, Value
from setupsheets.formulas.parsing import MAX_DEPTH, MAX_DIGITS, MAX_NAMES, MAX_TEXT
from setupsheets.lengths import Length

untimed = settings(deadline=None)
small = st.fractions(min_value=-100, max_value=100, max_denominator=64)
positive = st.fractions(min_value=F(1, 64), max_value=100, max_denominator=64)

SCOPE: dict[str, Value] = {
    "part.length": Affine.cause("blank.length", Length("18 in")),
    "part.kind": "rail",
    "part.thickness": Length("3/4 in"),
    "fence.stop": Affine.cause("stop", Length("2 in")),
    "cutter.kerf": Length("1/8 in"),
    "cutter.teeth": 40,
    "bars": 3,
    "half": Decimal("0.5"),
    "moisture": Affine.cause("moisture", F(8)),
    "left": True,
    "right": False,
}


def value(text: str, scope: dict[str, Value] = SCOPE) -> Affine | bool | str:
    """The value as it is; a refusal with its text and column, as the program meets it."""
    formula = Formula.parse(text)
    try:
        return formula.root.value(scope)
    except FormulaError:
        return formula.affine(scope)


def refused(text: str, scope: dict[str, Value] = SCOPE) -> FormulaError:
    with pytest.raises(FormulaError) as caught:
        value(text, scope)
    return caught.value


# ------------------------------------------------------- the same answers as Python's own parser

OPERATORS: dict[type, Callable[[Any, Any], Any]] = {
    ast.Add: operator.add,
    ast.Sub: operator.sub,
    ast.Mult: operator.mul,
    ast.Div: operator.truediv,
    ast.Lt: operator.lt,
    ast.LtE: operator.le,
    ast.Gt: operator.gt,
    ast.GtE: operator.ge,
    ast.Eq: operator.eq,
    ast.NotEq: operator.ne,
}


def reference(text: str, scope: dict[str, F]) -> F | bool:
    """The value by Python's grammar and Fraction's arithmetic; `=` is spelt `==` there."""
    python = text.replace(" = ", " == ")

    def walk(node: ast.AST) -> Any:
        match node:
            case ast.Constant():
                return F(ast.get_source_segment(python, node) or "")
            case ast.Name():
                return scope[node.id]
            case ast.UnaryOp(op=ast.USub()):
                return -walk(node.operand)
            case ast.UnaryOp(op=ast.Not()):
                return not walk(node.operand)
            case ast.BinOp():
                return OPERATORS[type(node.op)](walk(node.left), walk(node.right))
            case ast.Compare():
                return OPERATORS[type(node.ops[0])](walk(node.left), walk(node.comparators[0]))
            case ast.BoolOp(op=ast.And()):
                return all(walk(part) for part in node.values)
            case ast.BoolOp(op=ast.Or()):
                return any(walk(part) for part in node.values)
        raise AssertionError(ast.dump(node))

    result = walk(ast.parse(python, mode="eval").body)
    assert isinstance(result, F | bool)
    return result


def joined(signs: list[str], parts: st.SearchStrategy[str]) -> st.SearchStrategy[str]:
    return st.builds("{}{}{}".format, parts, st.sampled_from(signs), parts)


sums = st.recursive(
    st.sampled_from(["0", "1", "2", "3", "7", "0.5", ".25", "12.75", "x", "y", "n"]),
    lambda parts: (
        joined(["+", " - ", "-", "*", " * ", "/", " / "], parts)
        | parts.map("({})".format)
        | parts.map("-{}".format)
    ),
    max_leaves=12,
)
conditions = st.recursive(
    joined([" < ", "<=", ">", " >= ", " = ", "!="], sums),
    lambda parts: (
        joined([" and ", " or "], parts) | parts.map("({})".format) | parts.map("not {}".format)
    ),
    max_leaves=6,
)


@given(sums | conditions, small, small, small)
@example("2-3/4", F(0), F(0), F(0))
@example("-2*-3--4", F(0), F(0), F(0))
@example("not 1 < 2 or 2 < 3 and 1 < 0", F(0), F(0), F(0))
def test_values_and_precedence_are_those_of_pythons_parser(text: str, x: F, y: F, n: F) -> None:
    assume(len(text) <= MAX_TEXT and text.count("(") + text.count("-") < MAX_DEPTH)
    formula = Formula.parse(text)
    scope = {"x": x, "y": y, "n": n}
    assert formula.names == set(re.findall(r"\b[xyn]\b", text))
    try:
        expected = reference(text, scope)
    except ZeroDivisionError:
        with pytest.raises(FormulaError, match="division by nought"):
            formula.affine(scope)
        return
    if isinstance(expected, bool):
        assert formula.truth(scope) is expected
    else:
        assert formula.number(scope) == expected


# ------------------------------------------------------------------------- sensitivities to causes

plain_numbers = st.sampled_from(["2", "3", "0.5", "(1/3)", "-7", "n"])
affine_lengths = st.recursive(
    st.sampled_from(["x", "y", "fence.x", "1/16 in", "2 mm", "14-11/16 in", "0.5 mm"]),
    lambda parts: (
        joined([" + ", " - "], parts).map("({})".format)
        | parts.map("-{}".format)
        | st.builds("{} * {}".format, plain_numbers, parts)
        | st.builds("{} * {}".format, parts, plain_numbers)
        | st.builds("{} / {}".format, parts, plain_numbers)
        | st.builds("({} / 2 in) * 3 mm".format, parts)
        | st.builds("choose(n > 1, {}, {})".format, parts, parts)
    ),
    max_leaves=10,
)


@given(affine_lengths, st.tuples(small, small, small), positive, small.filter(bool))
@example("x - 2 * fence.x", (F(18), F(0), F(2)), F(1), F(1))
def test_a_sensitivity_is_the_exact_difference_quotient(
    text: str, aims: tuple[F, F, F], n: F, step: F
) -> None:
    assume(len(text) <= MAX_TEXT and text.count("(") + text.count("-") < MAX_DEPTH)
    formula = Formula.parse(text)
    names = ("x", "y", "fence.x")
    lengths = {name: Length.millimetres(aim) for name, aim in zip(names, aims, strict=True)}
    causes = {name: Affine.cause(f"error of {name}", lengths[name]) for name in names}
    found = formula.affine({**causes, "n": n})
    assert found.length == formula.length({**lengths, "n": n})
    for name in names:
        moved = {**lengths, name: lengths[name] + Length.millimetres(step)}
        change = formula.length({**moved, "n": n}) - found.length
        assert change.mm == step * found.sensitivity(f"error of {name}")


@untimed
@given(small, small, st.sampled_from(["min({0}, {1})", "max({0}, {1})", "abs({0} - {1})"]))
def test_a_branch_keeps_its_slope_on_its_side_of_the_corner(a: F, b: F, form: str) -> None:
    step = F(1, 10**6)
    assume(abs(a - b) > step)
    formula = Formula.parse(form.format("x", "y"))
    scope = {"x": Affine.cause("x", a), "y": Affine.cause("y", b)}
    found = formula.affine(scope)
    for name in scope:
        moved = {"x": a, "y": b, name: (a if name == "x" else b) + step}
        assert formula.number(moved) - found.constant == step * found.sensitivity(name)


def test_both_ends_cut_against_one_stop_move_the_shoulder_twice() -> None:
    """The length between shoulders falls by 2 for each 1 that the stop is set further out."""
    shoulder = Formula.parse("part.length - 2 * fence.stop").affine(SCOPE)
    assert shoulder.length == Length("14 in")
    assert dict(shoulder.coefficients) == {"blank.length": 1, "stop": -2}
    assert shoulder.sensitivity("kerf") == 0


# ------------------------------------------------------------------------------ worked by hand

LIGHTS = Formula.parse("(sight + 2 * rebate - bars * tongue) / (bars + 1)")


def test_equal_lights_worked_by_hand() -> None:
    """Sight 40, rebate 7/16, three bars with a tongue of 1/4: four lights of 10 1/32."""
    scope: dict[str, Value] = {
        "sight": Length("40 in"),
        "rebate": Length("7/16 in"),
        "tongue": Length("1/4 in"),
        "bars": 3,
    }
    assert LIGHTS.length(scope) == Length("10 1/32 in")


def test_equal_lights_of_the_trade() -> None:
    """Common practice, no source: 74 7/16 between rebates, four bars of 1/4: five of 14 11/16."""
    scope: dict[str, Value] = {
        "sight": Length("74 7/16 in"),
        "rebate": Length.ZERO,
        "tongue": Length("1/4 in"),
        "bars": 4,
    }
    assert LIGHTS.length(scope) == Length("14 11/16 in")


VALUES: list[tuple[str, Value]] = [
    # lengths carry their unit, and one is read before a division or a subtraction
    ("1/16 in", Length.inches(F(1, 16))),
    ("1 1/2 in", Length.inches(F(3, 2))),
    ("14-11/16 in", Length.inches(F(235, 16))),
    ("14 - 11/16", F(213, 16)),
    ("14-11/16", F(213, 16)),
    ("2 in - 1/16 in", Length.inches(F(31, 16))),
    ("2⅝ in", Length.inches(F(21, 8))),
    (".5 in", Length.inches(F(1, 2))),
    ("2 mm", Length.millimetres(2)),
    ("0.5 mm", Length.millimetres(F(1, 2))),
    ("2mm", Length.millimetres(2)),
    ("1.5 cm", Length.millimetres(15)),
    ("1.2 m", Length.millimetres(1200)),
    ("1 ft + 2 feet + 1 foot", Length.inches(48)),
    ("1 inch + 2 inches", Length.inches(3)),
    ("2 * 3/4 in", Length.inches(F(3, 2))),
    ("6 in / 3/4 in", F(8)),
    ("cutter.kerf-1/16 in", Length.inches(F(1, 16))),
    ("-1/16 in", Length.inches(F(-1, 16))),
    # numbers are exact
    ("1/3", F(1, 3)),
    ("0.1 + 0.2", F(3, 10)),
    ("half * half", F(1, 4)),
    ("part.length / 1 in", Affine(F(18), {"blank.length": F(10, 254)}, 0)),
    ("part.length - part.length", Affine(F(0), {}, 1)),
    ("moisture * 1 in", Affine(F(8) * F("25.4"), {"moisture": F("25.4")}, 1)),
    ("0 * part.length", Affine(F(0), {}, 1)),
    # functions
    ("min(3, 1, 2)", F(1)),
    ("max(3, 1, 2)", F(3)),
    ("min(part.length, 18 in)", SCOPE["part.length"]),
    ("max(part.length, fence.stop)", SCOPE["part.length"]),
    ("abs(-2 in)", Length.inches(2)),
    ("abs(fence.stop - 3 in)", Affine(F("25.4"), {"stop": F(-1)}, 1)),
    ("ceil(7/2)", F(4)),
    ("ceil(-7/2)", F(-3)),
    ("floor(7/2)", F(3)),
    ("floor(-7/2)", F(-4)),
    ("ceil(part.length / 5 in)", F(4)),
    ("round_up_to(part.length / 7, 1/64 in)", Length.inches(F(165, 64))),
    ("round_down_to(part.length / 7, 1/64 in)", Length.inches(F(164, 64))),
    ("round_up_to(2 in, 1/64 in)", Length.inches(2)),
    ("round_down_to(7, 2)", F(6)),
    # conditions, and only the branch that is taken
    ("choose(left, 1 in, 2 in)", Length.inches(1)),
    ("choose(right, unknown, 2 in)", Length.inches(2)),
    ("choose(left, 1, 1/0)", F(1)),
    ('choose(part.kind = \'rail\', "yes", "no")', "yes"),
    ("\"say 'so'\"", "say 'so'"),
    ('part.kind = "rail"', True),
    ('part.kind != "rail"', False),
    ("left = right", False),
    ("left != right", True),
    ("left or unknown", True),
    ("right and unknown", False),
    ("not right and left", True),
    ("not (left or right)", False),
    ("not not left", True),
    ("part.length > fence.stop and bars >= 3", True),
    ("2 in = 50.8 mm", True),
    ("bars < 3", False),
    ("bars <= 3", True),
    ("part.length = 18 in", True),
]


def test_no_value_is_lost() -> None:
    assert len(VALUES) == 60
    assert len({text for text, _ in VALUES}) == 60


@pytest.mark.parametrize(("text", "expected"), VALUES)
def test_values(text: str, expected: Value) -> None:
    found = value(text)
    if isinstance(expected, bool | str):
        assert found == expected
        assert type(found) is type(expected)
    else:
        assert found == Affine.of(expected)


@untimed
@given(small, positive)
def test_rounding_to_steps(number: F, step: F) -> None:
    scope: dict[str, Value] = {"x": Length.millimetres(number), "step": Length.millimetres(step)}
    up = Formula.parse("round_up_to(x, step)").length(scope).mm
    down = Formula.parse("round_down_to(x, step)").length(scope).mm
    assert up / step == math.ceil(number / step)
    assert down / step == math.floor(number / step)
    assert down <= number <= up < down + 2 * step


# ---------------------------------------------------------------------------------- refusals

UNREADABLE: list[tuple[str, int, str]] = [
    ("", 1, "a value is expected here, and the formula ends"),
    ("  ", 3, "a value is expected here"),
    ('__import__("os")', 1, "'_' has no meaning"),
    ("x.__class__", 2, "'.' has no meaning"),
    ("x._y", 2, "'.' has no meaning"),
    ("a.b()", 1, "'a.b' is no function here; there are min, max, abs"),
    ("a(1)", 1, "is no function here"),
    ("(a)(1)", 4, "'(' is not expected"),
    ("a[0]", 2, "'[' has no meaning"),
    ("{a}", 1, "'{' has no meaning"),
    ("a; b", 2, "';' has no meaning"),
    ("lambda: 1", 7, "':' has no meaning"),
    ("a if b else c", 3, "an operator is missing before 'if'"),
    ("x**y", 3, "a value is expected here, not '*'"),
    ("x//y", 3, "a value is expected here, not '/'"),
    ("x^y", 2, "'^' has no meaning"),
    ("x%y", 2, "'%' has no meaning"),
    ("x == y", 4, "a value is expected here, not '='"),
    ("x <> y", 4, "a value is expected here, not '>'"),
    ("!x", 1, "'!' has no meaning"),
    ("1 <2 <3", 6, "comparisons cannot be chained"),
    ("x = y = z", 7, "comparisons cannot be chained"),
    ("+1", 1, "a value is expected here, not '+'"),
    ("1 +", 4, "and the formula ends"),
    ("* 2", 1, "not '*'"),
    ("1 2", 3, "an operator is missing before '2'"),
    ("2 x", 3, "an operator is missing before 'x'"),
    ("2 (3)", 3, "'(' is not expected"),
    ("1e3", 2, "an operator is missing before 'e3'"),
    ("1.", 2, "'.' has no meaning"),
    ("1.2.3", 4, "an operator is missing before '.3'"),
    ("1 1/2", 3, "an operator is missing before '1'"),
    ("1 ft 2 in", 6, "an operator is missing before '2 in'"),
    ("x in", 3, "an operator is missing before 'in'"),
    ("2 yd", 3, "an operator is missing before 'yd'"),
    ('14-11/16"', 9, 'the text after " has no end'),
    ("12,5 in", 3, "',' is not expected"),
    ("x + 3/0 in", 7, "over nought"),
    ("2 17/16 in", 1, "less than 1"),
    ("½", 1, "'½' has no meaning"),
    ("x − 1", 3, "'−' has no meaning"),
    ("Part.length", 1, "'P' has no meaning"),
    ("lengthA", 7, "'A' has no meaning"),
    ("é", 1, "'é' has no meaning"),
    ("(1", 3, "a closing parenthesis is missing"),
    ("1)", 2, "')' is not expected"),
    ("()", 2, "a value is expected here, not ')'"),
    ('"abc', 1, 'the text after " has no end'),
    ("x = 'abc", 5, "the text after ' has no end"),
    ("x = \"abc'", 5, 'the text after " has no end'),
    ("'a\nb'", 1, "the text after ' has no end"),
    ("'a' 'b'", 5, "an operator is missing"),
    ("min", 1, "its arguments follow in parentheses"),
    ("choose + 1", 1, "its arguments follow in parentheses"),
    ("min()", 5, "a value is expected here, not ')'"),
    ("min(1)", 1, "min takes 2 or more arguments, and 1 stand here"),
    ("abs(1, 2)", 1, "abs takes 1 argument, and 2 stand here"),
    ("round_up_to(1)", 1, "round_up_to takes 2 arguments, and 1 stand here"),
    ("choose(x, 1)", 1, "choose takes 3 arguments, and 2 stand here"),
    ("choose(x, 1, 2, 3)", 1, "choose takes 3 arguments, and 4 stand here"),
    ("min(1, 2", 9, "a comma or a closing parenthesis is missing"),
    ("min(1; 2)", 6, "';' has no meaning"),
    ("min(1, )", 8, "a value is expected here, not ')'"),
    ("not", 4, "a value is expected here"),
    ("1 and", 6, "a value is expected here"),
    ("and 1", 1, "a value is expected here, not 'and'"),
    ("1 + not x", 5, "a value is expected here, not 'not'"),
]

FAULTY: list[tuple[str, int, str]] = [
    # names
    ("part.lenght", 1, "unknown name 'part.lenght'; the nearest known one is 'part.length'"),
    ("1 in + cuter.kerf", 8, "the nearest known one is 'cutter.kerf'"),
    # dimensions
    ("part.length + 1", 13, "a length cannot be added to a plain number: give the number its unit"),
    ("1 + part.length", 3, "a plain number cannot be added to a length"),
    ("part.length - bars", 13, "a plain number cannot be subtracted from a length"),
    ("bars - part.length", 6, "a length cannot be subtracted from a plain number"),
    ("2 in * 2 in", 6, "a length times a length is an area"),
    ("part.length * fence.stop", 13, "a length times a length is an area"),
    ("1 / 2 in", 3, "a plain number cannot be divided by a length"),
    ("part.length > 18", 13, "a length cannot be compared with a plain number"),
    ("min(1 in, 1)", 1, "a plain number cannot be compared with a length"),
    ("max(1, 1 in)", 1, "a length cannot be compared with a plain number"),
    ("ceil(1 in)", 1, "a plain number is expected, not the length 1 in"),
    ("floor(fence.stop)", 1, "a plain number is expected, not the length 2 in"),
    ("round_up_to(1 in, 2)", 1, "a length cannot be rounded in steps of a plain number"),
    ("round_down_to(1 in, 0 in)", 1, "more than nought"),
    ("round_up_to(1, -1)", 1, "more than nought"),
    # what is not affine
    ("moisture * part.length", 10, "not affine in blank.length, moisture: both factors"),
    ("moisture * moisture", 10, "not affine in moisture"),
    ("2 in / fence.stop", 6, "not affine in stop: the divisor depends on causes"),
    ("1 / moisture", 3, "not affine in moisture: the divisor"),
    # division
    ("bars / 0", 6, "division by nought"),
    ("part.length / (2 - 2)", 13, "division by nought"),
    ("1 in / 0 mm", 6, "division by nought"),
    # kinds
    ("left + 1", 1, "a length or a number is expected, not a condition"),
    ("1 + part.kind", 5, "a length or a number is expected, not the text 'rail'"),
    ("-left", 2, "a length or a number is expected"),
    ("abs('x')", 5, "a length or a number is expected, not the text 'x'"),
    ("left and bars", 10, "a condition is expected, not the number 3"),
    ("part.kind or left", 1, "a condition is expected, not the text 'rail'"),
    ("not part.length", 5, "a condition is expected, not the length 18 in"),
    ("choose(bars, 1, 2)", 8, "a condition is expected, not the number 3"),
    ("bars < 'a'", 6, "the number 3 cannot be compared with the text 'a'"),
    ("left = 1", 6, "a condition cannot be compared with the number 1"),
    ("part.kind < 'b'", 11, "the text 'rail' has no order"),
    ("left >= right", 6, "a condition has no order"),
]


def test_no_refusal_is_lost() -> None:
    assert len(UNREADABLE) == 67
    assert len(FAULTY) == 36
    assert len({text for text, _, _ in UNREADABLE + FAULTY}) == 103


@pytest.mark.parametrize(("text", "column", "message"), UNREADABLE)
def test_unreadable(text: str, column: int, message: str) -> None:
    with pytest.raises(FormulaError) as caught:
        Formula.parse(text)
    fault = caught.value
    assert (fault.text, fault.column) == (text, column)
    assert message in fault.message
    assert str(fault) == f"formula {text!r}: column {column}: {fault.message}"


@pytest.mark.parametrize(("text", "column", "message"), FAULTY)
def test_faulty(text: str, column: int, message: str) -> None:
    fault = refused(text)
    assert (fault.text, fault.column) == (text, column)
    assert message in fault.message


@pytest.mark.parametrize("stranger", [0.5, None, [1], Length, Decimal("NaN"), Decimal("Infinity")])
def test_a_scope_holds_exact_values_only(stranger: Any) -> None:
    fault = refused("1 + x", {"x": stranger})
    assert fault.column == 5
    assert fault.message.startswith("x: ")


def test_an_unknown_name_in_an_empty_scope() -> None:
    assert refused("x", {}).message == "unknown name 'x'"


LIMITS: list[tuple[str, str, str]] = [
    # within, beyond, what the refusal says
    ("1".ljust(MAX_TEXT), "1".ljust(MAX_TEXT + 1), "longer than 500 characters"),
    ("9" * MAX_DIGITS, "9" * (MAX_DIGITS + 1), "more than 30 digits"),
    ("." + "9" * MAX_DIGITS, "." + "9" * (MAX_DIGITS + 1), "more than 30 digits"),
    (
        "(" * MAX_DEPTH + "1" + ")" * MAX_DEPTH,
        "(" * (MAX_DEPTH + 1) + "1" + ")" * (MAX_DEPTH + 1),
        "more than 40 nestings",
    ),
    ("-" * MAX_DEPTH + "1", "-" * (MAX_DEPTH + 1) + "1", "more than 40 nestings"),
    ("not " * MAX_DEPTH + "t", "not " * (MAX_DEPTH + 1) + "t", "more than 40 nestings"),
    (
        "abs(" * MAX_DEPTH + "1" + ")" * MAX_DEPTH,
        "abs(" * (MAX_DEPTH + 1) + "1" + ")" * (MAX_DEPTH + 1),
        "more than 40 nestings",
    ),
    (
        "+".join(f"x{i}" for i in range(MAX_NAMES)),
        "+".join(f"x{i}" for i in range(MAX_NAMES + 1)),
        "more than 50 names",
    ),
]


@pytest.mark.parametrize(("within", "beyond", "message"), LIMITS)
def test_the_size_limits_from_both_sides(within: str, beyond: str, message: str) -> None:
    scope: dict[str, Value] = {"t": True, **{f"x{i}": 1 for i in range(MAX_NAMES)}}
    assert value(within, scope) is not None
    with pytest.raises(FormulaError, match=message):
        Formula.parse(beyond)


@pytest.mark.parametrize("text", ["(" * MAX_TEXT, "-" * MAX_TEXT, "not " * 125, "abs(" * 125])
def test_endless_nesting_is_a_fault_and_no_crash(text: str) -> None:
    with pytest.raises(FormulaError, match="more than 40 nestings"):
        Formula.parse(text)


def test_only_what_stands_inside_one_another_counts_as_nested() -> None:
    beside = 2 * MAX_DEPTH
    assert Formula.parse("+".join(["(1)"] * beside)).number({}) == beside


def test_the_longest_sum_is_within_reach() -> None:
    assert Formula.parse("+".join("1" * (MAX_TEXT // 2))).number({}) == MAX_TEXT // 2


alphabet = st.sampled_from(
    ["x", "part.length", "1", "2.5", " ", "1/2 in", "3 mm", "'a'", '"', "(", ")", ",", "min(",
     "choose(", "+", "-", "*", "/", "<", "<=", "=", "!=", "and ", " or ", "not ", ".", "_", "é"]
)  # fmt: skip


@given(st.lists(alphabet, max_size=12).map("".join) | st.text(max_size=30))
def test_any_text_is_a_formula_or_a_fault_within_it(text: str) -> None:
    try:
        formula = Formula.parse(text)
        found = value(formula.text, {**SCOPE, "x": F(2)})
    except FormulaError as fault:
        assert fault.text == text
        assert 1 <= fault.column <= len(text) + 1
        assert fault.message
    else:
        assert isinstance(found, Affine | bool | str)


# ----------------------------------------------------------------------------------- a formula


def test_the_kind_that_is_asked_for() -> None:
    assert Formula.parse("part.length / 2").length(SCOPE) == Length("9 in")
    assert Formula.parse("part.length / 2 in").number(SCOPE) == 9
    assert Formula.parse("left or right").truth(SCOPE) is True
    assert Formula.parse("bars").affine(SCOPE) == Affine.of(3)


@pytest.mark.parametrize(
    ("kind", "text", "message"),
    [
        ("length", "bars", "a length is expected, not the plain number 3"),
        ("length", "left", "a length or a number is expected, not a condition"),
        ("number", "part.length", "a plain number is expected, not the length 18 in"),
        ("number", "part.kind", "a length or a number is expected, not the text 'rail'"),
        ("truth", "bars", "a condition is expected, not the number 3"),
        ("truth", "part.kind", "a condition is expected, not the text 'rail'"),
        ("affine", "left", "a length or a number is expected, not a condition"),
    ],
)
def test_another_kind_is_a_fault(kind: str, text: str, message: str) -> None:
    with pytest.raises(FormulaError) as caught:
        getattr(Formula.parse(text), kind)(SCOPE)
    assert caught.value.message == message
    assert (caught.value.text, caught.value.column) == (text, 1)


def test_names_are_those_of_every_branch() -> None:
    formula = Formula.parse("choose(part.kind = 'x.y', part.length, min(a_1, a_1 + 2 in))")
    assert formula.names == {"part.kind", "part.length", "a_1"}


def test_a_formula_is_its_text() -> None:
    formula = Formula.parse("1 + x")
    assert formula.text == "1 + x"
    assert formula == Formula.parse("1 + x") != Formula.parse("1+x")
    assert len({formula, Formula.parse("1 + x")}) == 1
    assert pickle.loads(pickle.dumps(formula)).number({"x": 2}) == 3
    with pytest.raises(AttributeError):
        formula.text = "2"  # type: ignore[misc]


def test_a_yaml_readers_texts_are_texts() -> None:
    scope: dict[str, Value] = {"kind": DoubleQuotedScalarString("rail")}
    assert Formula.parse("kind = 'rail'").truth(scope) is True


def test_a_folded_text_may_hold_line_ends() -> None:
    assert Formula.parse("1 in\n  + 2 in\n").length({}) == Length("3 in")


# ------------------------------------------------------------------------------- affine values

causes = st.dictionaries(st.sampled_from("abc"), small, max_size=3)
affines = st.builds(Affine, small, causes, st.just(1))


def at(value: Affine, errors: dict[str, F]) -> F:
    """The value that comes out when each cause is off by its error."""
    return value.constant + sum(value.sensitivity(name) * off for name, off in errors.items())


@untimed
@given(affines, affines, small.filter(bool), st.fixed_dictionaries(dict.fromkeys("abc", small)))
def test_arithmetic_holds_for_every_error(
    left: Affine, right: Affine, factor: F, errors: dict[str, F]
) -> None:
    x, y = at(left, errors), at(right, errors)
    assert at(left + right, errors) == x + y
    assert at(left - right, errors) == x - y
    assert at(-left, errors) == -x
    assert at(left * factor, errors) == at(factor * left, errors) == x * factor
    assert at(left / factor, errors) == x / factor
    assert (left - left) == Affine(F(0), {}, 1)
    if right.constant:
        ratio = left / Affine.of(right.length)
        assert at(ratio, errors) == x / right.constant
        assert ratio.dimension == 0


def test_lengths_and_numbers_stand_on_either_side() -> None:
    stop = Affine.cause("stop", Length("2 in"))
    assert stop + Length("1 in") == Length("1 in") + stop
    assert (stop - Length("1 in")) == -(Length("1 in") - stop)
    assert stop * 2 == 2 * stop == stop / F(1, 2) == stop / Decimal("0.5") == stop + stop
    assert (stop / Length("1 in")).number == 2
    assert (Length("6 in") / Affine.of(Length("2 in"))).number == 3
    assert 1 / Affine.of(4) == Affine.of(F(1, 4))


@pytest.mark.parametrize("stranger", [1.0, True, "1 in", None])
def test_strangers_raise_type_error(stranger: Any) -> None:
    stop = Affine.cause("stop", Length("2 in"))
    for compute in (operator.add, operator.sub, operator.mul, operator.truediv):
        with pytest.raises(TypeError):
            compute(stop, stranger)
        with pytest.raises(TypeError):
            compute(stranger, stop)
    with pytest.raises(TypeError, match="is no exact length or number"):
        Affine.of(stranger)


def test_a_coefficient_is_exact() -> None:
    with pytest.raises(TypeError, match="a float is no exact length or number"):
        Affine(F(1), {"stop": 0.5})  # type: ignore[dict-item]


def test_the_wrong_kind_and_dimension_are_refused() -> None:
    with pytest.raises(FormulaError, match=r"^a length is expected, not the plain number 3$"):
        _ = Affine.of(3).length
    with pytest.raises(FormulaError, match=r"^a plain number is expected, not the length 3 in$"):
        _ = Affine.of(Length("3 in")).number
    with pytest.raises(ValueError, match="the dimension is 0 or 1, not 2"):
        Affine(F(1), {}, 2)


def test_an_affine_value_is_frozen_and_equal_to_its_copies() -> None:
    given_coefficients = {"stop": F(2), "kerf": F(0)}
    stop = Affine(F(3), given_coefficients, 1)
    given_coefficients["stop"] = F(5)
    assert stop == Affine(F(3), {"stop": F(2)}, 1)
    for other in (copy.copy(stop), copy.deepcopy(stop), pickle.loads(pickle.dumps(stop))):
        assert other == stop
        assert hash(other) == hash(stop)
    assert stop != Affine(F(3), {"stop": F(2)}, 0)
    with pytest.raises(AttributeError):
        stop.constant = F(4)  # type: ignore[misc]
    with pytest.raises(TypeError):
        stop.coefficients["stop"] = F(1)  # type: ignore[index]
