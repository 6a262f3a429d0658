"""A shop's files as they are now, worked out once until one of them changes.

A plan takes some tenths of a second and a page is asked for many times; what is kept here hangs on
the names, sizes and times of the files and is thrown away when any of them is another.
"""

from __future__ import annotations

import datetime
import os
from collections.abc import Iterator, Mapping
from pathlib import Path

from setupsheets.lengths import Length
from setupsheets.machining.operations import SetUp
from setupsheets.machining.plan import Plan, plan_of
from setupsheets.records.current import set_up_states
from setupsheets.records.folder import FOLDER
from setupsheets.records.mates import plan_as_made
from setupsheets.records.open_set_up import OpenSetUp, open_set_up
from setupsheets.records.shop_records import ShopRecords
from setupsheets.records.verdicts import Verdict
from setupsheets.sheets.content.inputs import SheetInputs
from setupsheets.sheets.making import inputs_of
from setupsheets.shop.finding import SHOP_FILE, Shop
from setupsheets.shop.loading import KINDS
from setupsheets.wording.joinery_faults import design_faults_worded

Stamp = tuple[tuple[str, int, int], ...]


class ShopAtHand:
    """The shop in a ``folder``, for one request at a time."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._stamp: Stamp | None = None
        self._shop: Shop | None = None
        self._plans: dict[str, Plan] = {}
        self._as_made: dict[str, tuple[tuple[Stamp, datetime.date], Plan]] = {}
        self._opened: dict[tuple[str, str, datetime.date], tuple[int, OpenSetUp]] = {}
        self._inputs: dict[str, tuple[tuple[Stamp, datetime.date], SheetInputs]] = {}

    def shop(self) -> Shop:
        """The shop. Raises DataFaults where its own file has any."""
        stamp = tuple(self._files())
        if self._shop is None or stamp != self._stamp:
            self._plans, self._as_made, self._opened, self._inputs = {}, {}, {}, {}
            self._shop, self._stamp = Shop.open(self.folder), stamp
        self._shop.passed_over.clear()
        return self._shop

    def jobs(self) -> list[str]:
        """The names of the shop's jobs."""
        return [each.name for each in self.shop().everything("job") if each.own]

    def _plan(self, job: str, today: datetime.date) -> tuple[Plan, ShopRecords]:
        """The plan of a job, its ends fitted to what its records say of their mates up to a day,
        and the records as they are then: what is asked of both is looked up once.
        Raises KeyError where the shop has none of that name, and DataFaults for what is wrong."""
        shop = self.shop()
        records = ShopRecords(shop)
        if job not in self.jobs():
            raise KeyError(job)
        if job not in self._plans:
            with design_faults_worded(shop.settings.notation):
                self._plans[job] = plan_of(shop.job(job), shop)
        stamp = self._records(), today
        found = self._as_made.get(job)
        if found is None or found[0] != stamp:
            made = plan_as_made(self._plans[job], records, today)
            found = self._as_made[job] = stamp, made
        return found[1], records

    def _records(self) -> Stamp:
        """What the records look like from outside; an entry's folder changes with what is in it."""
        return tuple(_stamps(self.folder / FOLDER))

    def begun(
        self, job: str, name: str, today: datetime.date, dialled: Mapping[str, Length], afresh: bool
    ) -> OpenSetUp:
        """The same with a record that begins by what was really dialled; ``afresh`` it begins
        whatever there is."""
        plan, set_up, records = self._planned(job, name, today)
        self._opened.pop((job, name, today), None)
        return open_set_up(records, plan, set_up, today, dialled=dialled, afresh=afresh)

    def _planned(
        self, job: str, name: str, today: datetime.date
    ) -> tuple[Plan, SetUp, ShopRecords]:
        plan, records = self._plan(job, today)
        return plan, {each.name: each for each in plan.set_ups}[name], records

    def opened(self, job: str, name: str, today: datetime.date) -> OpenSetUp:
        """A set-up of a job by its whole name, with its record as its files are at this moment;
        KeyError where the job has none of that name."""
        begun = self._begun()
        plan, set_up, records = self._planned(job, name, today)
        found = open_set_up(records, plan, set_up, today)
        self._opened[job, name, today] = begun, found
        return found

    def _begun(self) -> int:
        """When a record was last begun, or one's first entry written: the folder changes then."""
        folder = self.folder / FOLDER
        return folder.stat().st_mtime_ns if folder.is_dir() else 0

    def measured(self, job: str, name: str, today: datetime.date) -> OpenSetUp:
        """The same while a piece is measured line by line: its own record as its files are at this
        moment, and what else is known as it was when it was last opened. Advice is never given on
        that. Where a record was begun since, it may be in place of that one, and all is looked at
        anew."""
        self.shop()
        begun, found = self._opened.get((job, name, today), (0, None))
        if found is None or found.path is None or begun != self._begun():
            return self.opened(job, name, today)
        now = found.as_now()
        return now if now.record.verdict is Verdict.OPEN else self.opened(job, name, today)

    def inputs(self, job: str, today: datetime.date) -> SheetInputs:
        """What the sheets of a job are made from, as its records stand at this moment."""
        stamp = self._records(), today
        plan, records = self._plan(job, today)
        found = self._inputs.get(job)
        if found is None or found[0] != stamp:
            made = inputs_of(records.shop, plan, set_up_states(plan, records, today), today)
            found = self._inputs[job] = stamp, made
        return found[1]

    def _files(self) -> Iterator[tuple[str, int, int]]:
        """Every file of the shop that is not a record."""
        yield from _stamps(self.folder, SHOP_FILE)
        for name, _ in KINDS.values():
            if name != ".":
                yield from _stamps(self.folder / name)


def _stamps(folder: Path, only: str = "") -> Iterator[tuple[str, int, int]]:
    """What the things in a folder look like from outside; a folder changes with what is put in."""
    if folder.is_dir():
        with os.scandir(folder) as found:
            for each in sorted(found, key=lambda item: item.name):
                if each.name == only or (not only and not each.name.startswith(".")):
                    seen = each.stat()
                    yield each.name, seen.st_mtime_ns, seen.st_size
