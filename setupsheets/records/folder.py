"""The records folder of a shop: reading records, newest first, without reading more than needed."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path

from setupsheets.files.documents import decoded, read_bytes, read_text
from setupsheets.files.objects import build
from setupsheets.lengths import Unit
from setupsheets.records.record import Record
from setupsheets.shop.finding import Shop, checked, named

FOLDER = "records"


def records_folder(shop: Shop) -> Path:
    """Where the shop keeps its records."""
    return shop.folder / FOLDER


def read_record(path: Path, shop: Shop) -> Record:
    """One record. Raises DataFaults with everything that is wrong with it."""
    return _parsed(path, decoded(path, read_bytes(path)), shop.settings.unit)


@lru_cache(maxsize=256)
def _parsed(path: Path, text: str, unit: Unit) -> Record:
    """One text read once: a sheet asks for the same record for many of its set-ups."""
    return build(Record, named(checked(read_text(text, path), "record", unit)), unit)


def records(shop: Shop, *mentions: str) -> Iterator[Record]:
    """The shop's records, newest first: those whose text has every one of ``mentions`` in it.

    Reading YAML is slow and a text search is not, so that a shop may keep records for decades.
    """
    for path in sorted(records_folder(shop).glob("*.yaml"), reverse=True):
        text = path.read_text("utf-8", errors="replace")
        if all(mention in text for mention in mentions):
            yield read_record(path, shop)


def latest(shop: Shop, job: str, set_up: str) -> Record | None:
    """The newest record of a job's set-up, whatever its verdict."""
    found = records(shop, job, set_up)
    return next((item for item in found if (item.job, item.set_up) == (job, set_up)), None)
