"""A plan that the commands of a test would work out again and again is worked out once.

It is known by all that it is made from: the job and its place, the parts, what was measured on
their mates, and every file of the shop, by what is in it. A file that a test has changed makes a
plan of its own.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path

from setupsheets.joinery.members.parts import Joinery
from setupsheets.machining.plan import Plan
from setupsheets.machining.planning.choices import Equipment
from setupsheets.shop import finding
from setupsheets.shop.jobs import Job
from setupsheets.shop.loading import KINDS

Planning = Callable[[Job, Joinery, Equipment], Plan]

MOST = 20
"""As many are kept: enough for the tests of one shop that follow on each other."""


@cache
def plans() -> dict[tuple[object, ...], list[tuple[Job, Joinery, Plan]]]:
    """Those that are kept; ``plans.cache_clear()`` forgets them."""
    return {}


def known_plans(made: Planning) -> Planning:
    """The same as ``made``, with what it last made kept."""

    def plan_job(job: Job, joinery: Joinery, equipment: Equipment) -> Plan:
        if not isinstance(equipment, finding.Shop):
            return made(job, joinery, equipment)
        files = tuple(_files(equipment.folder.absolute()))
        key = (job.marks.path, finding.profiles(), files)
        kept = plans()
        of_these = kept[key] = kept.pop(key, [])
        for of, parts, plan in of_these:
            if (of, parts, parts.made) == (job, joinery, joinery.made):
                return plan
        of_these.append((job, joinery, made(job, joinery, equipment)))
        while len(kept) > MOST:
            del kept[next(iter(kept))]
        return of_these[-1][2]

    return plan_job


def _files(folder: Path) -> Iterator[tuple[Path, bytes]]:
    for name, _ in KINDS.values():
        for path in sorted((folder / name).glob("*.*")):
            if path.is_file():
                yield path, path.read_bytes() if os.access(path, os.R_OK) else b""
