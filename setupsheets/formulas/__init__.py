"""Exact affine values, and the formulas of recipes over them.

A recipe says `part.length - 2 * cutter.kerf + 1/16 in`. Its text is read once (`parsing`) into a
small tree of frozen nodes (`expressions`), evaluated over a scope of named values; a value is a
constant with a sensitivity to each cause (`affine`). No formula can reach Python: there is no
`eval`, no attribute, and no call but of the few functions named in the grammar.
"""

from setupsheets.formulas.affine import Affine, FormulaError
from setupsheets.formulas.expressions import Value
from setupsheets.formulas.formula import Formula

__all__ = ["Affine", "Formula", "FormulaError", "Value"]
