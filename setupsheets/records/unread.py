"""Records that cannot be read: whose each of them is, by what is left of it and by its name."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

from setupsheets.files.documents import read_bytes
from setupsheets.files.faults import DataFaults, Fault, whole_file
from setupsheets.records.folder import Copied
from setupsheets.records.index import hints_in
from setupsheets.records.record import MOST_OF_A_JOB, words_of_a_name
from setupsheets.records.shop_records import ShopRecords


def unread_records_of(job: str, set_up: str, records: ShopRecords) -> Iterator[Fault]:
    """What is wrong with records that may be those of a set-up: to begin another in their place
    would forget their test pieces. Whose an entry is its head tells."""
    for path, found in list(records.shop.passed_over.items()):
        entry = path.parent != records.folder
        head = path.parent.with_suffix(".yaml") if entry else path
        if isinstance(found, Copied) or head.parent != records.folder:
            continue
        told = records.told(head)
        own = (told.head.job, told.head.set_up) if told is not None else _said(head)
        if own == (job, set_up) or (own is None and _may_be(head.stem, job, set_up, records)):
            message = (
                "this may be the record of this set-up: put it right first; log begins another "
                "with --afresh"
            )
            yield from (*found.faults, whole_file(path, message))


def _said(head: Path) -> tuple[str, str] | None:
    """The job and the set-up that stand in a head in which something else is wrong."""
    with suppress(DataFaults):
        found = hints_in(read_bytes(head).decode(errors="replace"))
        if "job" in found and "set_up" in found:
            return found["job"], found["set_up"]
    return None


def _may_be(name: str, job: str, set_up: str, records: ShopRecords) -> bool:
    """Whether a record may be that of a set-up by its name: date, job, machine and set-up. Those of
    earlier days have no job in theirs."""
    end = f"-{words_of_a_name(set_up)}"
    middle = name[len("2026-01-01") : -len("-abcdef")]
    if not middle.endswith(end):
        return False
    first = middle.removesuffix(end).removeprefix("-")
    jobs = {job, *(found.name for found in records.shop.everything("job"))}
    begins = [each for each in jobs if f"{first}-".startswith(f"{_word(each)}-")]
    machines = {found.name for found in records.shop.everything("machine")}
    return first in machines or not begins or max(begins, key=len) == job


def _word(job: str) -> str:
    return words_of_a_name(job[:MOST_OF_A_JOB])
