"""Names of a shop for whoever types one: files by their folders, and what a worked-out job has.

To work a job out takes a second, so what came of it is kept in the user's cache until any file of
the shop looks different from outside.
"""

from __future__ import annotations

import json
import os
from collections.abc import Collection, Iterator, Mapping
from pathlib import Path
from typing import Any

from setupsheets.files.places import data_folder
from setupsheets.files.throwaway import digest_of, users_store

FOLDERS = ("machines", "cutters", "sections", "recipes", "timbers", "cautions", "jobs")
KINDS = (*FOLDERS, *(folder.removesuffix("s") for folder in FOLDERS), "records", "formulas")
"""What `list` takes."""

_KEPT = "names"


class ShopNames:
    """The names of a shop; without a folder those of what is built in."""

    def __init__(self, folder: Path | None) -> None:
        """Nothing is read yet."""
        self.folder = folder

    @classmethod
    def around(cls, shop: str, job: str) -> ShopNames:
        """Those of the shop that is given, else that a job's path or this folder lies in."""
        here = Path(shop) if shop else Path(job if job.endswith(".yaml") else ".").absolute()
        every = (here, *(here.parents if not shop else ()))
        return cls(next((each for each in every if (each / "shop.yaml").is_file()), None))

    def files(self, folder: str) -> Iterator[str]:
        """The names of the files in a folder of the shop, and of the built-in ones."""
        built_in = [data_folder("profiles") / folder] if folder != "jobs" else []
        own = [self.folder / folder] if self.folder else []
        for place in (*own, *built_in):
            yield from (path.stem for path in place.glob("*.yaml") if path.name[0] not in "._")

    def alike(self, kinds: Collection[str]) -> Iterator[str]:
        """The names of all things of these kinds."""
        for folder in FOLDERS:
            if folder.removesuffix("s") in kinds:
                yield from self.files(folder)

    def kinds(self) -> tuple[str, ...]:
        """What there are lists of."""
        return KINDS

    def examples(self) -> Iterator[str]:
        """The shops that come with the program."""
        yield from (each.name for each in data_folder("examples").iterdir() if each.is_dir())

    def remembered(self) -> Iterator[str]:
        """What an earlier set-up may be found by."""
        for folder in ("machines", "jobs", "sections", "recipes", "timbers"):
            yield from self.files(folder)

    def set_ups(self, job: str) -> tuple[str, ...]:
        """The set-ups of a job that something is logged of."""
        return tuple(self._job(job).get("set_ups", {}))

    def of_job(self, job: str, what: str) -> tuple[str, ...]:
        """The machines of a job, or the shop's instruments."""
        return tuple(self._job(job).get(what, ()))

    def of_set_up(self, job: str, asked: str, what: str) -> tuple[str, ...]:
        """The measures, settings or causes of the set-ups that a name is the beginning of."""
        found: dict[str, None] = {}
        set_ups: Mapping[str, Any] = self._job(job).get("set_ups", {})
        for name, known in set_ups.items():
            if name == asked or (asked not in set_ups and name.startswith(asked)):
                found |= dict.fromkeys(known[what])
        return tuple(found)

    def _job(self, job: str) -> dict[str, Any]:
        if self.folder is None or not job:
            return {}
        store, stamp = users_store(), self._stamp()
        key = digest_of(f"{self.folder.resolve()}\n{job}".encode())
        if store and (text := store.some(_KEPT, [key]).get(key)):
            stamped: dict[str, Any] = json.loads(text)
            if stamped["stamp"] == stamp:
                return stamped
        found = _worked_out(job, self.folder) | {"stamp": stamp}
        if store:
            store.keep(_KEPT, {key: json.dumps(found)})
        return found

    def _stamp(self) -> str:
        """How the shop's files look from outside, but for its records."""
        assert self.folder is not None, "asked of a shop only"
        seen = []
        for folder in (".", *FOLDERS):
            place = self.folder / folder
            with os.scandir(place if place.is_dir() else self.folder) as entries:
                for each in entries:
                    if each.name.endswith(".yaml"):
                        stat = each.stat()
                        seen.append(f"{folder}/{each.name} {stat.st_size} {stat.st_mtime_ns}")
        return digest_of("\n".join(sorted(seen)).encode())


def _worked_out(job: str, folder: Path) -> dict[str, Any]:
    """What a job has names for; nothing where it cannot be worked out."""
    from setupsheets.commands.readings import day  # noqa: PLC0415
    from setupsheets.commands.shared import open_plan  # noqa: PLC0415
    from setupsheets.files.faults import DataFaults  # noqa: PLC0415
    from setupsheets.records.record import begin_record  # noqa: PLC0415

    today = day(None)
    try:
        records, plan = open_plan(job, folder, today)
    except DataFaults:
        return {}
    set_ups = {}
    for set_up in plan.set_ups:
        if not set_up.measurements or not set_up.recipe.makes.is_logged:
            continue
        record = begin_record(plan, set_up, {}, today)
        settings = [each.cause for each in record.settings]
        moved = (cause for measure in record.measures for cause in measure.moved_by)
        set_ups[set_up.name] = {
            "measures": [*(each.name for each in record.measures), *record.blanks],
            "settings": settings,
            "causes": list(dict.fromkeys((*settings, *moved))),
        }
    machines = dict.fromkeys(each.machine.name for each in plan.operations)
    instruments = list(records.shop.settings.instruments)
    return {"set_ups": set_ups, "machines": list(machines), "instruments": instruments}
