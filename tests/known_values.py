"""What whole commands work out of the same values again and again is worked out once.

Hundreds of tests run commands upon the same few doors. Only while a command runs, and only for
functions that give the same for the same: a test that calls one of them itself gets its own work.
"""

from __future__ import annotations

import os
import pickle
import sys
from collections.abc import Callable, Hashable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cache, wraps
from importlib import import_module
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from setupsheets.joinery.leaf import Whole
    from setupsheets.joinery.members.parts import Joinery
    from setupsheets.machining.operations import SetUp
    from setupsheets.machining.plan import Plan
    from setupsheets.machining.planning.choices import Equipment
    from setupsheets.shop.jobs import Job

MOST = 20
"""So many values are kept of those that are told apart by comparing them, the last asked for."""

Told = tuple[Hashable, tuple[Any, ...]]
"""What tells a value apart: what it is looked up by, then what is compared besides."""


def in_full(*given: Any) -> Told:
    """All that is in the arguments, with the places that they were read at."""
    return pickle.dumps(given), ()


def of_very(value: Any, *given: Any) -> Told:
    """The very value, which is kept with what comes of it."""
    return (id(value), pickle.dumps(given)), (value,)


def of_whole(job: Job, whole: Whole, *given: Any) -> Told:
    """The very joinery with all that surrounds it; its job is compared."""
    return (id(whole), pickle.dumps(given)), (whole, job)


def of_plan(plan: Plan, *given: Any) -> Told:
    """The file of the plan's job; plans of one file are compared."""
    return plan.job.marks.path, (plan, *given)


def of_set_ups(set_ups: Sequence[SetUp], *given: Any) -> Told:
    """The names of the set-ups; those of one name are compared."""
    return tuple(each.name for each in set_ups), (set_ups, *given)


def of_shop(job: Job, joinery: Joinery, equipment: Equipment, *given: Any) -> Told | None:
    """The job's file. Every file of the shop is compared by what is in it, so that one that a test
    has changed counts, then the job, its parts, and what was measured on their mates. What is no
    shop of today, as of an old record, is not kept."""
    from setupsheets.shop.finding import Shop  # noqa: PLC0415

    if not isinstance(equipment, Shop):
        return None
    return job.marks.path, (_files(equipment.folder), job, joinery, joinery.made, *given)


def of_joinery(joinery: Joinery, shop: Equipment) -> Told | None:
    """The same of a job whose parts are worked out."""
    return of_shop(joinery.layout.job, joinery, shop)


def _files(folder: Path) -> tuple[Path, dict[Path, bytes]]:
    """Where the built-in files lie, and those of a shop."""
    from setupsheets.shop.finding import profiles  # noqa: PLC0415
    from setupsheets.shop.loading import KINDS  # noqa: PLC0415

    here = folder.absolute()
    found = (path for name, _ in KINDS.values() for path in (here / name).glob("*.*"))
    there = (path for path in found if path.is_file())
    read = {path: path.read_bytes() if os.access(path, os.R_OK) else b"" for path in there}
    return profiles(), read


PURE: tuple[tuple[str, str, Callable[..., Told | None]], ...] = (
    ("files.dumping", "yaml_text", in_full),
    ("files.dumping", "inline_text", in_full),
    ("shop.new_files", "new_file_text", in_full),
    ("shop.editors", "schema_text", in_full),
    ("joinery.stock.programmes", "whole", in_full),
    ("joinery.leaf", "work_out", in_full),
    ("joinery.leaf", "whole", in_full),
    ("machining.plan", "plan_job", of_shop),
    ("machining.plan", "plan_joinery", of_joinery),
    ("machining.routing.exact_search", "best_order_of", in_full),
    ("machining.checking.joint", "growth", of_set_ups),
    ("machining.checking.proof", "prove", of_set_ups),
    ("machining.findings", "findings_of", of_plan),
    ("corrections.untold", "believe_as_told", in_full),
    ("corrections.stopping", "recommend", of_very),
    ("corrections.explain", "explain", of_very),
    ("corrections.limiting", "pieces_expected", of_very),
    ("corrections.limiting", "reach_before_first_cut", of_very),
    ("sheets.content.parts_sheet", "parts_sheet", of_whole),
    ("sheets.content.door", "door_drawings", of_very),
    ("sheets.drawings.cut", "cut_drawing", in_full),
)
"""Functions of the program that give the same for the same, by module and name."""


@dataclass
class Known:
    """The values so far by function and key, and how many commands are running, in any thread."""

    running: int = 0
    lock: Lock = field(default_factory=Lock)
    values: dict[Hashable, list[tuple[tuple[Any, ...], Any]]] = field(default_factory=dict)


@cache
def known() -> Known:
    """What is known in this process."""
    return Known()


@contextmanager
def a_command() -> Iterator[None]:
    """While what is known may answer."""
    here = known()
    with here.lock:
        here.running += 1
    try:
        yield
    finally:
        with here.lock:
            here.running -= 1


def keep_what_is_pure() -> None:
    """Put each of those functions, wherever it is already imported, behind what is known."""
    for module, name, tells in PURE:
        made = getattr(import_module(f"setupsheets.{module}"), name)
        again = _kept(made, tells)
        if name == "yaml_text":
            again = _by_key(again)
        for each in [*sys.modules.values()]:
            if each.__name__.startswith("setupsheets.") and vars(each).get(name) is made:
                setattr(each, name, again)


def _by_key(text: Callable[..., str]) -> Callable[..., str]:
    """A mapping's YAML is that of its keys, one after the other: heads of records differ in their
    name and moment alone."""

    @wraps(text)
    def again(data: Any, *layout: Any) -> str:
        if not known().running or not isinstance(data, dict) or not data:
            return text(data, *layout)
        return "".join(text({key: value}, *layout) for key, value in data.items())

    return again


def _kept(made: Callable[..., Any], tells: Callable[..., Told | None]) -> Callable[..., Any]:
    @wraps(made)
    def again(*given: Any, **named: Any) -> Any:
        told = tells(*given, *named.items()) if known().running else None
        if told is None:
            return made(*given, **named)
        key, compared = told
        of_these = known().values.setdefault((made, key), [])
        for each in of_these:
            if each[0] == compared:
                of_these[:] = [each, *(other for other in of_these if other is not each)]
                return each[1]
        value = made(*given, **named)
        of_these.insert(0, (compared, value))
        del of_these[MOST:]
        return value

    return again
