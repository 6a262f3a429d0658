"""An address as a code that a phone's camera reads: QR, by ISO/IEC 18004, of the library segno.

It is the one place that needs the extra `phone` for paper and terminal alike.
"""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

from setupsheets.sheets.drawings.drawing import Drawing, area, finish

if TYPE_CHECKING:
    from segno import QRCode

MODULE = 0.42
"""The side of one module in mm: a phone reads it from a hand's breadth, printed at 600 dots to the
inch. Common practice, no source."""

_QUIET = 4
"""Modules of white around it: ISO/IEC 18004, 5.3.8."""


def phone_code(name: str, title: str, address: str) -> Drawing:
    """The code of an address as a drawing. Raises ImportError where the library is not there."""
    rows = list(_code(address).matrix_iter(border=_QUIET))
    squares = [
        _square(column, number)
        for number, row in enumerate(rows)
        for column, dark in enumerate(row)
        if dark
    ]
    side = len(rows) * MODULE
    return finish(
        name, title, "A code for a phone's camera.", (side, side), [area(squares, "#000")]
    )


def code_in_letters(address: str) -> str:
    """The code in the letters of a terminal, dark on its light or light on its dark."""
    out = io.StringIO()
    _code(address).terminal(out, border=_QUIET, compact=True)
    return out.getvalue()


def _code(address: str) -> QRCode:
    import segno  # noqa: PLC0415

    return segno.make_qr(address, error="l")


def _square(column: int, row: int) -> list[tuple[float, float]]:
    left, top = column * MODULE, row * MODULE
    right, foot = left + MODULE, top + MODULE
    return [(left, top), (right, top), (right, foot), (left, foot)]
