"""Of which kind a formula's value is, from its names alone: every branch of it, for any values.

What is worked out only for some part, or behind a condition that seldom holds, would otherwise be
found wrong at the machine.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from enum import StrEnum
from typing import Any

from setupsheets.formulas.affine import Affine, FormulaError
from setupsheets.formulas.expressions import (
    Arithmetic,
    Call,
    Choose,
    Comparison,
    Condition,
    Literal,
    Name,
    Negative,
    Node,
    Not,
    affine,
    unknown_name,
)
from setupsheets.lengths import Length

Kinds = Mapping[str, type]
"""By name the type of its values: Length, int for a plain number, bool for a condition, str for a
text, or the enumeration that the text is of."""

_WORDS = {Length: "a length", int: "a plain number", bool: "a condition", str: "a text"}


def expected(node: Node, kind: type, kinds: Kinds) -> None:
    """Raise FormulaError, with the column, where a value is of another kind than ``kind``: for a
    name that is not there as well, for what cannot be joined or compared, and for a divisor or a
    step of figures alone that is nought."""
    _same(_kind(node, kinds), kind, f"{_WORDS[kind]} is expected, not {{}}", node.column)


def _fixed(node: Node) -> Affine | None:
    """What a length or number comes to that has no names in it; None for another."""
    if any(isinstance(each, Name) for each in _all_in(node)):
        return None
    return affine(node, {})


def _all_in(node: Any) -> Iterator[Node]:
    yield node
    for name in node.__struct_fields__:
        value = getattr(node, name)
        for part in value if isinstance(value, tuple) else (value,):
            if hasattr(part, "column"):
                yield from _all_in(part)


def _kind(node: Node, kinds: Kinds) -> type:
    match node:
        case Literal():
            constant = node.constant
            return (Length if constant.dimension else int) if isinstance(constant, Affine) else str
        case Name():
            if node.name not in kinds:
                raise FormulaError(unknown_name(node.name, kinds), column=node.column)
            return kinds[node.name]
        case Negative():
            return _measured(node.part, kinds)
        case Arithmetic():
            return _joined(node, _measured(node.left, kinds), _measured(node.right, kinds))
        case Comparison():
            _compared(node, kinds)
        case Not():
            expected(node.part, bool, kinds)
        case Condition():
            expected(node.left, bool, kinds)
            expected(node.right, bool, kinds)
        case Choose():
            expected(node.condition, bool, kinds)
            first, second = _kind(node.then, kinds), _kind(node.otherwise, kinds)
            _same(second, first, f"one choice is {_words(first)}, the other {{}}", node.column)
            return first
        case Call():
            return _called(node, kinds)
    return bool


def _measured(node: Node, kinds: Kinds) -> type:
    """The type of a value that is a length or a number."""
    found = _kind(node, kinds)
    if found not in (Length, int):
        message = f"a length or a number is expected, not {_words(found)}"
        raise FormulaError(message, column=node.column)
    return found


def _joined(node: Arithmetic, left: type, right: type) -> type:
    if node.sign in ("+", "-"):
        words = f"{_words(left)} and {{}} cannot be added or subtracted: give the number its unit"
        _same(right, left, words, node.column)
        return left
    if node.sign == "*":
        if left is right is Length:
            message = "a length times a length is an area, which no setting is"
            raise FormulaError(message, column=node.column)
        return Length if Length in (left, right) else int
    if left is int and right is Length:
        raise FormulaError("a plain number cannot be divided by a length", column=node.column)
    if (divisor := _fixed(node.right)) is not None and not divisor.constant:
        raise FormulaError("division by nought", column=node.column)
    return int if left is right else Length


def _compared(node: Comparison, kinds: Kinds) -> None:
    left, right = _kind(node.left, kinds), _kind(node.right, kinds)
    words = f"{_words(left)} cannot be compared with {{}}"
    if issubclass(left, str) and issubclass(right, str):
        for side, other in ((node.left, right), (node.right, left)):
            _known(side, other)
    else:
        _same(right, left, words, node.column)
    if node.sign not in ("=", "!=") and left not in (Length, int):
        raise FormulaError(f"{_words(left)} has no order", column=node.column)


def _known(node: Node, of: type) -> None:
    """A text that is compared with what can only be one of a few must be one of them."""
    if issubclass(of, StrEnum) and isinstance(node, Literal) and node.constant not in set(of):
        message = unknown_name(str(node.constant), dict.fromkeys(map(str, of)))
        raise FormulaError(message, column=node.column)


def _called(node: Call, kinds: Kinds) -> type:
    found = [_measured(each, kinds) for each in node.arguments]
    if node.function in ("ceil", "floor"):
        expected(node.arguments[0], int, kinds)
    for each in found[1:]:
        _same(each, found[0], f"{_words(found[0])} cannot stand beside {{}}", node.column)
    if node.function in ("round_up_to", "round_down_to"):
        step = _fixed(node.arguments[1])
        if step is not None and step.constant <= 0:
            message = "a step of rounding must be more than nought"
            raise FormulaError(message, column=node.column)
    return found[0]


def _same(found: type, wanted: type, words: str, column: int) -> None:
    if found is not wanted and not (issubclass(found, str) and issubclass(wanted, str)):
        raise FormulaError(words.format(_words(found)), column=column)


def _words(kind: type) -> str:
    return _WORDS[str if issubclass(kind, str) else kind]
