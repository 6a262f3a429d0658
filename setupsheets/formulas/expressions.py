"""The tree that a formula is read into, and its value over a scope of names.

Every node is frozen and knows the column it was read from. `value(scope)` gives an `Affine`, a
truth or a text; a fault raises FormulaError with the column of the node that could not go on.
"""

from __future__ import annotations

import difflib
import math
import operator
from collections.abc import Callable, Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Any, Protocol, TypeVar

from msgspec import Struct

from setupsheets.formulas.affine import (
    Affine,
    FormulaError,
    add,
    divide,
    multiply,
    same_kind,
    subtract,
)
from setupsheets.lengths import Length

T = TypeVar("T")
Value = Affine | Length | int | Fraction | Decimal | bool | str
Result = Affine | bool | str
Scope = Mapping[str, Value]


class Node(Protocol):
    """A part of a formula."""

    @property
    def column(self) -> int:
        """Where it was read, from 1."""

    def value(self, scope: Scope) -> Result:
        """What it comes to over `scope`."""


class Literal(Struct, frozen=True):
    """A number, a length or a text, as it stands in the formula."""

    column: int
    constant: Affine | str

    def value(self, scope: Scope) -> Result:
        """The constant itself."""
        return self.constant


class Name(Struct, frozen=True):
    """A dotted name, looked up in the scope."""

    column: int
    name: str

    def value(self, scope: Scope) -> Result:
        """The value of the name; FormulaError names the nearest known one for an unknown name."""
        try:
            found = scope[self.name]
        except KeyError:
            raise FormulaError(unknown_name(self.name, scope), column=self.column) from None
        if isinstance(found, Affine | bool | str):
            return found
        try:
            return Affine.of(found)
        except (TypeError, ValueError, OverflowError) as fault:
            raise FormulaError(f"{self.name}: {fault}", column=self.column) from None


class Negative(Struct, frozen=True):
    """A minus before one value."""

    column: int
    part: Node

    def value(self, scope: Scope) -> Affine:
        """The value with its sign turned."""
        return -affine(self.part, scope)


class Arithmetic(Struct, frozen=True):
    """Two values joined by `+ - * /`."""

    column: int
    sign: str
    left: Node
    right: Node

    def value(self, scope: Scope) -> Affine:
        """The sum, difference, product or quotient."""
        parts = affine(self.left, scope), affine(self.right, scope)
        return _placed(self.column, _ARITHMETIC[self.sign], *parts)


class Comparison(Struct, frozen=True):
    """Two values compared: lengths, numbers, and for `=` and `!=` also texts and truths."""

    column: int
    sign: str
    left: Node
    right: Node

    def value(self, scope: Scope) -> bool:
        """Whether the comparison holds; of values that depend on causes the constants count."""
        left, right = self.left.value(scope), self.right.value(scope)
        if isinstance(left, Affine) and isinstance(right, Affine):
            _placed(self.column, same_kind, left, right, "cannot be compared with")
            return COMPARISONS[self.sign](left.constant, right.constant)
        if _sort(left) is not _sort(right):
            message = f"{_kind(left)} cannot be compared with {_kind(right)}"
            raise FormulaError(message, column=self.column)
        if self.sign not in ("=", "!="):
            raise FormulaError(f"{_kind(left)} has no order", column=self.column)
        return (left == right) is (self.sign == "=")


class Not(Struct, frozen=True):
    """A condition turned round."""

    column: int
    part: Node

    def value(self, scope: Scope) -> bool:
        """True where the part is false."""
        return not truth(self.part, scope)


class Condition(Struct, frozen=True):
    """Two conditions joined by `and` or `or`."""

    column: int
    word: str
    left: Node
    right: Node

    def value(self, scope: Scope) -> bool:
        """Whether both hold, or one; the right one counts where the left one leaves it open."""
        left = truth(self.left, scope)
        return truth(self.right, scope) if left is (self.word == "and") else left


class Choose(Struct, frozen=True):
    """`choose(condition, a, b)`."""

    column: int
    condition: Node
    then: Node
    otherwise: Node

    def value(self, scope: Scope) -> Result:
        """The second part where the condition holds, else the third; the other is not looked at."""
        return (self.then if truth(self.condition, scope) else self.otherwise).value(scope)


class Call(Struct, frozen=True):
    """One of FUNCTIONS with its arguments."""

    column: int
    function: str
    arguments: tuple[Node, ...]

    def value(self, scope: Scope) -> Affine:
        """What the function makes of its arguments' values."""
        values = [affine(argument, scope) for argument in self.arguments]
        return _placed(self.column, FUNCTIONS[self.function].apply, *values)


class Function(Struct, frozen=True):
    """A function over affine values, and how many arguments it takes (`most` None: any number)."""

    apply: Callable[..., Affine]
    least: int
    most: int | None


def affine(node: Node, scope: Scope) -> Affine:
    """The value of `node`, which must be a length or a number."""
    return _of_sort(Affine, "a length or a number", node, scope)


def truth(node: Node, scope: Scope) -> bool:
    """The value of `node`, which must be a truth."""
    return _of_sort(bool, "a condition", node, scope)


def _of_sort(sort: type[T], words: str, node: Node, scope: Scope) -> T:
    found = node.value(scope)
    if not isinstance(found, sort):
        message = f"{words} is expected, not {_kind(found)}"
        raise FormulaError(message, column=node.column)
    return found


def _sort(value: Result) -> type:
    """The sort of a value, where a YAML reader's own kinds of text are texts too."""
    return next(sort for sort in (Affine, bool, str) if isinstance(value, sort))


def _kind(value: Result) -> str:
    if isinstance(value, str):
        return f"the text {value!r}"
    if isinstance(value, bool):
        return "a condition"
    return f"the length {value.length}" if value.dimension else f"the number {value.constant}"


def unknown_name(name: str, scope: Mapping[str, object]) -> str:
    """That a name is not there, with the nearest that is."""
    near = difflib.get_close_matches(name, list(scope), 1, cutoff=0.0)
    return f"unknown name {name!r}" + (f"; the nearest known one is {near[0]!r}" if near else "")


def _placed(column: int, work: Callable[..., T], *given: Any) -> T:
    """What `work` makes of its arguments; a fault of their arithmetic has the column."""
    try:
        return work(*given)
    except FormulaError as fault:
        raise FormulaError(fault.message, column=column) from None


def _one_of(choose: Callable[..., Affine]) -> Callable[..., Affine]:
    """The least or the greatest of several values."""

    def chosen(*values: Affine) -> Affine:
        for value in values[1:]:
            same_kind(value, values[0], "cannot be compared with")
        return choose(values, key=lambda value: value.constant)

    return chosen


def _size(value: Affine) -> Affine:
    return -value if value.constant < 0 else value


def _whole(rounding: Callable[[Fraction], int]) -> Callable[[Affine], Affine]:
    return lambda value: Affine(Fraction(rounding(value.number)))


def _to_step(rounding: Callable[[Fraction], int]) -> Callable[[Affine, Affine], Affine]:
    def rounded(value: Affine, step: Affine) -> Affine:
        same_kind(value, step, "cannot be rounded in steps of")
        if step.constant <= 0:
            raise FormulaError("a step of rounding must be more than nought")
        steps = rounding(value.constant / step.constant)
        return Affine(steps * step.constant, dimension=value.dimension)

    return rounded


_ARITHMETIC = {"+": add, "-": subtract, "*": multiply, "/": divide}
COMPARISONS: Mapping[str, Callable[[Fraction, Fraction], bool]] = {
    "<": operator.lt,
    "<=": operator.le,
    ">": operator.gt,
    ">=": operator.ge,
    "=": operator.eq,
    "!=": operator.ne,
}
# min, max and abs keep the coefficients of the branch that the constants choose: the slope there,
# not beyond the corner. What is rounded stands still under small errors and has none.
FUNCTIONS: Mapping[str, Function] = {
    "min": Function(_one_of(min), 2, None),
    "max": Function(_one_of(max), 2, None),
    "abs": Function(_size, 1, 1),
    "ceil": Function(_whole(math.ceil), 1, 1),
    "floor": Function(_whole(math.floor), 1, 1),
    "round_up_to": Function(_to_step(math.ceil), 2, 2),
    "round_down_to": Function(_to_step(math.floor), 2, 2),
}
