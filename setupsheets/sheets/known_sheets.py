"""Sheets that were made before: from the same files on the same day they come out the same.

They are kept in the user's cache, which may be thrown away (`files/throwaway.py`), with what stands
for all that any sheets may be made from: every file and every record of the shop, the job, the day,
what was asked for. So none of it need be known to matter for these. The program and its libraries
begin that cache anew when they change. Where a run has anything to tell of a file nothing is kept,
so that it is told again.
"""

from __future__ import annotations

import datetime
import json
from collections.abc import Mapping, Sequence
from contextlib import suppress
from pathlib import Path
from typing import NamedTuple

from setupsheets.files.documents import read_bytes
from setupsheets.files.faults import DataFaults
from setupsheets.files.throwaway import digest_of, users_store
from setupsheets.records.shop_records import ShopRecords

KIND = "sheets"
MOST_KEPT = 32
"""So many sets of sheets are kept, of a job that is asked for in one way the last. A set in both
usual formats takes some 600 KB."""


class Sheets(NamedTuple):
    """Finished sheets: the ``files`` by their path in the folder that they go into, the ``pages``
    among them, and what is said of them: what is not ready, and why."""

    files: Mapping[str, str | bytes]
    pages: Sequence[str]
    said: Sequence[str]


class KnownSheets:
    """What is known of the sheets of a job, named as it was told, as they are ``asked`` for."""

    def __init__(
        self, records: ShopRecords, job: str, today: datetime.date, asked: Sequence[str]
    ) -> None:
        """What they would be made from is read; nowhere is anything kept yet."""
        self._records, self._job = records, job
        self._asked = [str(records.shop.folder.absolute()), job, *asked]
        self._today = today
        self._store = users_store()
        self._before = self._made_from()

    def find(self) -> Sheets | None:
        """The sheets, where they were made from the very same; else None."""
        if self._store is None or not self._before:
            return None
        text = self._store.some(KIND, [self._place]).get(self._place)
        made_from, *found = json.loads(text) if text else ("",)
        return Sheets(*found) if made_from == self._before else None

    def keep(self, sheets: Sheets) -> None:
        """Have them found the next time, unless something has changed while they were made, or
        there was anything to tell of a file. What is no text, as a PDF, is made each time."""
        text = all(isinstance(each, str) for each in sheets.files.values())
        if self._store is not None and text and self._before == self._made_from() != "":
            self._store.keep(KIND, {self._place: json.dumps([self._before, *sheets])})

    @property
    def _place(self) -> str:
        """Where they lie among those that are kept: others in the same place give way."""
        return str(int(digest_of(repr(self._asked).encode()), 16) % MOST_KEPT)

    def _made_from(self) -> str:
        """What stands for everything that these sheets are made from; empty where something of it
        cannot be read or is to be told of."""
        shop, job = self._records.shop, Path(self._job)
        with suppress(DataFaults, OSError):
            asked_for = digest_of(read_bytes(job)) if job.is_file() else ""
            files, records = shop.contents(), self._records.contents
            if files is not None and not shop.passed_over:
                told = (self._asked, self._today, files, asked_for, records)
                return digest_of(repr(told).encode())
        return ""
