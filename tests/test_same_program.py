"""What counts as the same program in other words: each row names changes that can still be made."""

from __future__ import annotations

import ast

import pytest

from tests.benchmarks.mutants.changes import PACKAGE, Mutant, changes_in, file_of, functions_in
from tests.benchmarks.mutants.same_program import SAME, Same


@pytest.mark.parametrize("row", SAME, ids=lambda row: f"{row.module}-{row.function}")
def test_a_change_that_is_none_is_still_there_to_be_made(row: Same) -> None:
    """Each is one change, or the same one at two places of its line."""
    module = f"{PACKAGE}.{row.module}"
    function = dict(functions_in(ast.parse(file_of(module).read_text("utf-8"))))[row.function]
    found = [
        mutant
        for place, (line, what, _) in enumerate(changes_in(function))
        if row.fits(mutant := Mutant(module, row.function, place, line, what))
    ]
    assert 1 <= len(found) <= 2 and len({mutant.line for mutant in found}) == 1
