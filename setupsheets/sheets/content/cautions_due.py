"""Which cautions an operation brings out: by its machine, its cutter, its work and its figures."""

from __future__ import annotations

from collections.abc import Iterable

from setupsheets.machining.conditions import applies, piece_scopes
from setupsheets.machining.operations import Operation, SetUp
from setupsheets.sheets.content.finished import CautionLine
from setupsheets.shop.cautions import Caution
from setupsheets.shop.jobs import Job
from setupsheets.wording.lists import one_line

COMMON_PRACTICE = "common practice"


def general_cautions(cautions: Iterable[Caution]) -> tuple[CautionLine, ...]:
    """The ones for the cover."""
    return tuple(_line(caution) for caution in cautions if caution.general)


def operation_cautions(
    operation: Operation, set_up: SetUp, job: Job, cautions: Iterable[Caution]
) -> tuple[CautionLine, ...]:
    """The ones for this cut, in the order of their files.

    One that hangs on a length is there if it holds for any piece that goes through. Raises
    FormulaError as `applies` does.
    """
    scopes = list(piece_scopes(operation, set_up, job))
    return tuple(
        _line(caution)
        for caution in cautions
        if not caution.general and any(applies(caution, operation, scope) for scope in scopes)
    )


def _line(caution: Caution) -> CautionLine:
    """Its basis stands beside it where it has a source; that the others are common practice is said
    once a sheet."""
    basis = one_line(caution.basis)
    return CautionLine(one_line(caution.text), "" if basis == COMMON_PRACTICE else basis)
