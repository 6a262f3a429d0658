"""The test pieces that are due, as each form that tells of a set-up has them."""

from __future__ import annotations

from typing import Any

from setupsheets.lengths import Notation
from setupsheets.machining.operations import SetUp
from setupsheets.records.pieces_due import PiecesDue
from setupsheets.wording.pieces_due import due_words


def pieces_told(due: PiecesDue, notation: Notation) -> dict[str, Any]:
    """How many, and why."""
    return {"test_pieces": due.pieces, "test_pieces_because": due_words(due, notation)}


def pieces_of_set_up(set_up: SetUp, due: PiecesDue, notation: Notation) -> dict[str, Any]:
    """The same of a set-up of a plan: none where nothing is measured of a piece."""
    if set_up.is_tried:
        return pieces_told(due, notation)
    return {"test_pieces": 0, "test_pieces_because": ""}
