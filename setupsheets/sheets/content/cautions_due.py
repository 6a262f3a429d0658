"""Which cautions an operation brings out: by its machine, its cutter, its work and its figures."""

from __future__ import annotations

from collections.abc import Iterable

from setupsheets.lengths import Unit
from setupsheets.machining.conditions import applies, piece_scopes
from setupsheets.machining.operations import Operation, SetUp
from setupsheets.sheets.content.finished import CautionLine
from setupsheets.shop.cautions import Caution
from setupsheets.shop.jobs import Job
from setupsheets.wording.figures import own_unit_first
from setupsheets.wording.lists import one_line

COMMON_PRACTICE = "common practice"


def general_cautions(cautions: Iterable[Caution], unit: Unit) -> tuple[CautionLine, ...]:
    """The ones for the cover."""
    return tuple(_line(caution, unit) for caution in cautions if caution.general)


def operation_cautions(
    operation: Operation, set_up: SetUp, job: Job, cautions: Iterable[Caution], unit: Unit
) -> tuple[CautionLine, ...]:
    """The ones for this cut, in the order of their files.

    One that hangs on a length is there if it holds for any piece that goes through. Raises
    FormulaError as `applies` does.
    """
    scopes = list(piece_scopes(operation, set_up, job, unit))
    return tuple(
        _line(caution, unit)
        for caution in cautions
        if not caution.general and any(applies(caution, operation, scope) for scope in scopes)
    )


def _line(caution: Caution, unit: Unit) -> CautionLine:
    """Its basis stands beside it where it has a source; that the others are common practice is said
    once a sheet."""
    basis, words = one_line(caution.basis), own_unit_first(caution.text, unit)
    return CautionLine(words, "" if basis == COMMON_PRACTICE else basis)
