"""A formula of a recipe: its text, its names, and its value."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from functools import lru_cache

from setupsheets.formulas.affine import Affine, FormulaError
from setupsheets.formulas.expressions import Node, Scope, affine, truth
from setupsheets.formulas.parsing import read_formula
from setupsheets.lengths import Length


@dataclass(frozen=True)
class Formula:
    """A formula read once and evaluated often; two with one text are equal.

    A scope maps dotted names to values: `Affine`, `Length`, exact numbers, truths and texts. Every
    method that takes one raises FormulaError, with the text and the column, for an unknown name, a
    value of the wrong kind, and arithmetic that has no answer.
    """

    text: str
    names: frozenset[str] = field(compare=False, repr=False)
    root: Node = field(compare=False, repr=False)

    @staticmethod
    def parse(text: str) -> Formula:
        """The formula that `text` says, in the grammar of `reading`; else FormulaError."""
        return _parse(text)

    def affine(self, scope: Scope) -> Affine:
        """The value over `scope`, which must be a length or a number."""
        try:
            return affine(self.root, scope)
        except FormulaError as fault:
            raise self._placed(fault) from None

    def length(self, scope: Scope) -> Length:
        """The constant part of the value over `scope`, which must be a length."""
        try:
            return affine(self.root, scope).length
        except FormulaError as fault:
            raise self._placed(fault) from None

    def number(self, scope: Scope) -> Fraction:
        """The constant part of the value over `scope`, which must be a plain number."""
        try:
            return affine(self.root, scope).number
        except FormulaError as fault:
            raise self._placed(fault) from None

    def truth(self, scope: Scope) -> bool:
        """The value over `scope`, which must be a condition."""
        try:
            return truth(self.root, scope)
        except FormulaError as fault:
            raise self._placed(fault) from None

    def _placed(self, fault: FormulaError) -> FormulaError:
        return FormulaError(fault.message, self.text, fault.column or self.root.column)


@lru_cache(maxsize=4096)
def _parse(text: str) -> Formula:
    root, names = read_formula(text)
    return Formula(text, names, root)
