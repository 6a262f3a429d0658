"""The records folder of a shop: reading records, and writing them piece by piece."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cached_property
from pathlib import Path
from typing import Any

from setupsheets.files.documents import decoded, read_bytes, read_text, yaml_files
from setupsheets.files.dumping import yaml_text
from setupsheets.files.editing import append, edit
from setupsheets.files.faults import DataFaults, stop_on, whole_file
from setupsheets.files.kinds import CURRENT
from setupsheets.files.objects import build
from setupsheets.files.plain import plain
from setupsheets.files.plain_tree import EMPTY
from setupsheets.files.safe_writing import new_file
from setupsheets.lengths import Notation
from setupsheets.records.record import (
    Record,
    RecordedOffset,
    RecordedPiece,
    RecordedReading,
    Verdict,
)
from setupsheets.records.record_checks import record_faults
from setupsheets.shop.finding import Shop
from setupsheets.shop.loading import named, validated
from setupsheets.shop.spellings import asked_for

FOLDER = "records"
DOES_NOT_COUNT = "what cannot be read does not count until it is put right; all other records do"


def read_record(path: Path, shop: Shop) -> Record:
    """One record. Raises DataFaults with everything that is wrong with it."""
    return _record_in(path, read_bytes(path), shop)


def _record_in(path: Path, content: bytes, shop: Shop) -> Record:
    unit = shop.settings.unit
    document = validated(read_text(decoded(path, content), path), "record", unit)
    record = build(Record, named(document), unit)
    stop_on(record_faults(record))
    return record


class ShopRecords:
    """The records of a shop as they stand when a run first asks for any, newest first.

    The folder is listed once and each file read at most once. Taking a file's YAML apart is slow
    and a search of its text is not, so a record is only taken apart when its text has what is
    asked for in it. A folder that cannot be read raises DataFaults; a record that is wrong is
    passed over, and the shop's run tells of it. An index that a shop keeps from run to run would
    take the place of `_contents`.
    """

    def __init__(self, shop: Shop) -> None:
        """Nothing is read yet."""
        self.shop = shop
        self.folder = shop.folder / FOLDER
        self._records: dict[Path, Record] = {}

    @cached_property
    def _contents(self) -> Mapping[Path, bytes]:
        found = ((path, self._read(path)) for path in reversed(yaml_files(self.folder)))
        return {path: content for path, content in found if content is not None}

    def _read(self, path: Path) -> bytes | None:
        """The bytes of a file that is a text with anything in it."""
        try:
            content = read_bytes(path)
            if not decoded(path, content).strip("\0 \n\r"):
                raise DataFaults([whole_file(path, EMPTY)])
        except DataFaults as found:
            self.shop.passed_over[path] = DataFaults(found.faults, DOES_NOT_COUNT)
            return None
        return content

    def _record(self, path: Path) -> Record | None:
        """A record, read once; one that is wrong is passed over, and the others still serve."""
        if path not in self._records and path not in self.shop.passed_over:
            try:
                self._records[path] = _record_in(path, self._contents[path], self.shop)
            except DataFaults as found:
                self.shop.passed_over[path] = DataFaults(found.faults, DOES_NOT_COUNT)
        return self._records.get(path)

    def mentioning(self, *texts: str) -> Iterator[Record]:
        """Those whose file has every one of ``texts`` in it."""
        wanted = [text.encode() for text in texts]
        for path, content in self._contents.items():
            record = self._record(path) if all(text in content for text in wanted) else None
            if record is not None:
                yield record

    def asked_for(self, words: str) -> Iterator[Record]:
        """Those that all the words are found in, in either spelling: by profile, cutter, machine,
        job, timber, part, date, verdict or the place where the test piece hangs."""
        for path, content in self._contents.items():
            # Nothing that was not written can be found, but for a verdict left at its default and
            # letters that a backslash spells out.
            text = f"{path.stem} {Verdict.OPEN} {content.decode(errors='replace')}"
            if "\\" in text or asked_for(words, text):
                record = self._record(path)
                if record is not None and asked_for(words, " ".join(_texts(record))):
                    yield record

    def latest(self, job: str, set_up: str) -> Record | None:
        """The newest record of a job's set-up, whatever its verdict."""
        found = self.mentioning(job, set_up)
        return next((item for item in found if (item.job, item.set_up) == (job, set_up)), None)


def _texts(record: Record) -> Iterator[str]:
    yield from (record.name, record.job, record.set_up, record.recipe, record.section)
    yield from (record.timber, *record.parts, str(record.date), str(record.verdict))
    yield from (record.kept, record.notes)
    for setting in record.settings:
        yield from (setting.machine, setting.setting, setting.cutter)


def record_text(record: Record, notation: Notation) -> str:
    """The whole record file as YAML."""
    data = {"kind": "record", "version": CURRENT["record"], "unit": str(notation.unit)}
    data |= plain(record, notation)
    del data["name"]
    data.setdefault("pieces", [])
    return yaml_text(data)


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


def add_done(path: Path, done: RecordedPiece, notation: Notation) -> None:
    """Put into a record what was advised after its last piece, and what was moved then."""

    def change(data: Any) -> None:
        last = data["pieces"][-1]
        last["advice"] = list(done.advice)
        if done.moved:
            last["moved"] = plain(done.moved, notation)
        if done.by_shims:
            last["by_shims"] = list(done.by_shims)

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
