"""A formula of a recipe: its text, its names, and its value."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from functools import cached_property, lru_cache
from typing import TypeVar

from msgspec import Struct

from setupsheets.formulas.affine import Affine, FormulaError
from setupsheets.formulas.expressions import Node, Scope, affine, truth
from setupsheets.formulas.parsing import read_formula
from setupsheets.formulas.value_kinds import Kinds, expected
from setupsheets.lengths import Length

S = TypeVar("S")
T = TypeVar("T")


class Formula(Struct, frozen=True, dict=True):
    """A formula read once and evaluated often; two with one text are equal. It is its text: what
    that says is not kept with it, nor compared.

    A scope maps dotted names to values: `Affine`, `Length`, exact numbers, truths and texts. Every
    method that takes one raises FormulaError, with the text and the column, for an unknown name, a
    value of the wrong kind, and arithmetic that has no answer.
    """

    text: str

    @staticmethod
    def parse(text: str) -> Formula:
        """The formula that `text` says, in the grammar of `parsing`; else FormulaError."""
        return _parse(text)

    @cached_property
    def _read(self) -> tuple[Node, frozenset[str]]:
        return read_formula(self.text)

    @property
    def names(self) -> frozenset[str]:
        """The dotted names in it."""
        return self._read[1]

    @property
    def root(self) -> Node:
        """What it says, as a tree."""
        return self._read[0]

    def affine(self, scope: Scope) -> Affine:
        """The value over `scope`, which must be a length or a number."""
        return self._over(scope, affine)

    def length(self, scope: Scope) -> Length:
        """The constant part of the value over `scope`, which must be a length."""
        return self._over(scope, lambda root, scope: affine(root, scope).length)

    def number(self, scope: Scope) -> Fraction:
        """The constant part of the value over `scope`, which must be a plain number."""
        return self._over(scope, lambda root, scope: affine(root, scope).number)

    def truth(self, scope: Scope) -> bool:
        """The value over `scope`, which must be a condition."""
        return self._over(scope, truth)

    def check(self, kind: type, kinds: Kinds) -> None:
        """Raise FormulaError where the value is not of a kind, Length, int for a plain number or
        bool, or cannot be worked out, whatever the values of names of these ``kinds`` are."""
        self._over(kinds, lambda root, kinds: expected(root, kind, kinds))

    def _over(self, scope: S, value: Callable[[Node, S], T]) -> T:
        try:
            return value(self.root, scope)
        except FormulaError as fault:
            raise FormulaError(fault.message, self.text, fault.column or self.root.column) from None


@lru_cache(maxsize=4096)
def _parse(text: str) -> Formula:
    formula = Formula(text)
    formula.root  # noqa: B018  (what cannot be read is refused now)
    return formula
