"""A value that knows how it answers to each cause: a constant plus a sensitivity per cause."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from decimal import Decimal
from fractions import Fraction
from types import MappingProxyType

from msgspec import Struct, field
from msgspec.structs import force_setattr

from setupsheets.lengths import Length

Number = int | Fraction | Decimal

_NONE: Mapping[str, Fraction] = MappingProxyType({})
_KINDS = ("a plain number", "a length")


class FormulaError(ValueError):
    """A fault in a formula or in its arithmetic.

    `message` says what is wrong, `text` is the formula and `column` the place in it, from 1; an
    error of bare arithmetic has no text and the column 0 until a formula adds its own.
    """

    def __init__(self, message: str, text: str = "", column: int = 0) -> None:
        super().__init__(message, text, column)
        self.message, self.text, self.column = message, text, column

    def __str__(self) -> str:
        if not self.column:
            return self.message
        shown = self.text if len(self.text) <= 80 else self.text[:77] + "..."
        return f"formula {shown!r}: column {self.column}: {self.message}"


def add(left: Affine, right: Affine) -> Affine:
    """`left + right`; FormulaError unless both are lengths or both are numbers."""
    same_kind(left, right, "cannot be added to")
    if not right.coefficients:
        coefficients = left.coefficients
    elif not left.coefficients:
        coefficients = right.coefficients
    else:
        sums = dict(left.coefficients)
        for name, coefficient in right.coefficients.items():
            sums[name] = sums.get(name, 0) + coefficient
        coefficients = MappingProxyType({name: c for name, c in sums.items() if c})
    return Affine(left.constant + right.constant, coefficients, left.dimension)


def subtract(left: Affine, right: Affine) -> Affine:
    """`left - right`; FormulaError unless both are lengths or both are numbers."""
    same_kind(right, left, "cannot be subtracted from")
    return add(left, -right)


def multiply(left: Affine, right: Affine) -> Affine:
    """`left * right`; FormulaError for two lengths, and where both depend on causes."""
    if left.dimension and right.dimension:
        raise FormulaError("a length times a length is an area, which no setting is")
    if left.coefficients and right.coefficients:
        raise FormulaError(f"not affine in {_causes(left, right)}: both factors depend on causes")
    moving, factor = (left, right) if left.coefficients else (right, left)
    return _scaled(moving, factor.constant, left.dimension + right.dimension)


def divide(left: Affine, right: Affine) -> Affine:
    """`left / right`; FormulaError for a divisor that is 0, depends on causes, or is a length
    under a plain number.
    """
    if right.coefficients:
        raise FormulaError(f"not affine in {_causes(right)}: the divisor depends on causes")
    if right.dimension > left.dimension:
        raise FormulaError("a plain number cannot be divided by a length")
    if not right.constant:
        raise FormulaError("division by nought")
    return _scaled(left, 1 / right.constant, left.dimension - right.dimension)


def same_kind(left: Affine, right: Affine, verb: str) -> None:
    """Raise FormulaError, with `verb` for what was tried, for a length beside a plain number."""
    if left.dimension != right.dimension:
        raise FormulaError(
            f"{_KINDS[left.dimension]} {verb} {_KINDS[right.dimension]}: "
            "give the number its unit (1/16 in, 2 mm)"
        )


def _operators(work: Callable[[Affine, Affine], Affine]) -> tuple[Operator, Operator]:
    """An operator and its reflection, which leave a stranger to its own class."""

    def straight(self: Affine, other: Operand) -> Affine:
        partner = _partner(other)
        return work(self, partner) if partner else NotImplemented

    def reflected(self: Affine, other: Operand) -> Affine:
        partner = _partner(other)
        return work(partner, self) if partner else NotImplemented

    return straight, reflected


class Affine(Struct, frozen=True):
    """`constant` + the sum of `coefficients[cause]` times each cause's error, in exact fractions.

    `dimension` is 1 for a length, whose constant is in millimetres, and 0 for a plain number. A
    coefficient is the change of the value for a change of 1 (1 mm, where the cause is a length) of
    the cause; those that are nil are left out, so equal values compare equal.

    Lengths add to lengths and numbers to numbers; a product or quotient keeps to lengths and
    numbers and stays affine, or FormulaError says why it cannot. Whatever `of` takes may stand on
    the other side of an operator.
    """

    constant: Fraction
    coefficients: Mapping[str, Fraction] = field(default_factory=dict)
    dimension: int = 0

    def __post_init__(self) -> None:
        if isinstance(self.coefficients, MappingProxyType):  # exact already: the arithmetic's own
            return
        if self.dimension not in (0, 1):
            raise ValueError(f"the dimension is 0 or 1, not {self.dimension}")
        kept = {name: _exact(c) for name, c in self.coefficients.items() if c}
        force_setattr(self, "constant", _exact(self.constant))
        force_setattr(self, "coefficients", MappingProxyType(kept))

    @staticmethod
    def of(value: Affine | Length | Number) -> Affine:
        """An exact value that depends on no cause; TypeError for a float or anything else."""
        if isinstance(value, Affine):
            return value
        if isinstance(value, Length):
            return Affine(value.mm, _NONE, 1)
        return Affine(_exact(value), _NONE, 0)

    @staticmethod
    def cause(name: str, value: Length | Number) -> Affine:
        """A cause itself: its aimed `value`, and a sensitivity of 1 to its own error."""
        plain = Affine.of(value)
        return Affine(plain.constant, MappingProxyType({name: Fraction(1)}), plain.dimension)

    @property
    def length(self) -> Length:
        """The constant part as a length; FormulaError for a plain number."""
        if self.dimension != 1:
            raise FormulaError(f"a length is expected, not the plain number {self.constant}")
        return Length.millimetres(self.constant)

    @property
    def number(self) -> Fraction:
        """The constant part as a plain number; FormulaError for a length."""
        if self.dimension != 0:
            raise FormulaError(f"a plain number is expected, not the length {self.length}")
        return self.constant

    def sensitivity(self, name: str) -> Fraction:
        """By how much the value changes for a change of 1 of the cause `name`; 0 if it does not."""
        return self.coefficients.get(name, Fraction(0))

    def __hash__(self) -> int:
        return hash((self.constant, frozenset(self.coefficients.items()), self.dimension))

    def __reduce__(self) -> tuple[type[Affine], tuple[Fraction, dict[str, Fraction], int]]:
        return Affine, (self.constant, dict(self.coefficients), self.dimension)

    def __neg__(self) -> Affine:
        return _scaled(self, Fraction(-1), self.dimension)

    __add__, __radd__ = _operators(add)
    __sub__, __rsub__ = _operators(subtract)
    __mul__, __rmul__ = _operators(multiply)
    __truediv__, __rtruediv__ = _operators(divide)


Operand = Affine | Length | Number
Operator = Callable[[Affine, Operand], Affine]


def _exact(value: Number) -> Fraction:
    if isinstance(value, bool) or not isinstance(value, int | Fraction | Decimal):
        raise TypeError(f"a {type(value).__name__} is no exact length or number")
    return Fraction(value)


def _scaled(value: Affine, factor: Fraction, dimension: int) -> Affine:
    coefficients = value.coefficients
    if coefficients:
        scaled = {name: c * factor for name, c in coefficients.items()} if factor else {}
        coefficients = MappingProxyType(scaled)
    return Affine(value.constant * factor, coefficients, dimension)


def _partner(value: object) -> Affine | None:
    """What may stand beside an `Affine` in arithmetic, as one; None for a stranger."""
    if isinstance(value, Affine | Length | int | Fraction | Decimal) and not isinstance(
        value, bool
    ):
        return Affine.of(value)
    return None


def _causes(*values: Affine) -> str:
    return ", ".join(sorted({name for value in values for name in value.coefficients}))
