"""Records as plain data, and into their files: new ones made whole, pieces added under a lock."""

from __future__ import annotations

import datetime
import re
import secrets
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from setupsheets.files.dumping import yaml_text
from setupsheets.files.editing import append, edit
from setupsheets.files.kinds import CURRENT
from setupsheets.files.plain import plain
from setupsheets.files.safe_writing import new_file
from setupsheets.lengths import Length, Notation
from setupsheets.records.record import (
    Record,
    RecordedOffset,
    RecordedPiece,
    RecordedReading,
    Verdict,
)


def record_text(record: Record, notation: Notation) -> str:
    """The whole record file as YAML."""
    data = {"kind": "record", "version": CURRENT["record"], "unit": str(notation.unit)}
    data |= plain(record, notation)
    del data["name"]
    data.setdefault("pieces", [])
    return yaml_text(data)


def record_name(date: datetime.date, machines: Sequence[str], recipe: str) -> str:
    """Date, machine, recipe and a short random part: two people never write the same one."""
    words = "-".join([date.isoformat(), *machines[:1], recipe.replace("/", "-")])
    return f"{re.sub(r'[^a-z0-9-]+', '-', words.lower())}-{secrets.token_hex(3)}"


def write_new(record: Record, folder: Path, notation: Notation) -> Path:
    """Write a record that is not there yet; DataFaults if it cannot be written."""
    path = folder / f"{record.name}.yaml"
    new_file(path, record_text(record, notation))
    return path


def add_piece(path: Path, piece: RecordedPiece, notation: Notation) -> None:
    """Add one test piece to the end of a record; everything else in the file stays as it is."""
    append(path, ("pieces",), plain(piece, notation))


def add_reading(path: Path, piece: int, reading: RecordedReading, notation: Notation) -> None:
    """Add one reading to a test piece of a record, counted from 0."""
    append(path, ("pieces", piece, "readings"), plain(reading, notation))


def add_done(
    path: Path, advice: Sequence[str], moved: Mapping[str, Length], notation: Notation
) -> None:
    """Put into a record what was advised after its last piece, and what was moved then."""

    def change(data: Any) -> None:
        last = data["pieces"][-1]
        last["advice"] = list(advice)
        if moved:
            last["moved"] = plain(moved, notation)

    edit(path, change)


def close(
    path: Path, verdict: Verdict, kept: str, after: tuple[RecordedOffset, ...], notation: Notation
) -> None:
    """Put the verdict into a record, where the test piece is kept, and what was learned."""

    def change(data: Any) -> None:
        data["verdict"] = str(verdict)
        if kept:
            data["kept"] = kept
        if after:
            data["after"] = plain(after, notation)

    edit(path, change)
