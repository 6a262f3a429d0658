"""What whole commands work out of the same values again and again is worked out once.

Hundreds of tests run commands upon the same few doors. Only while a command runs, and only for
functions that give the same for the same: a test that calls one of them itself gets its own work.
"""

from __future__ import annotations

import pickle
import sys
from collections.abc import Callable, Hashable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cache, wraps
from importlib import import_module
from threading import Lock
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from setupsheets.machining.operations import SetUp
    from setupsheets.machining.plan import Plan

MOST = 20
"""So many values are kept of those that are told apart by comparing them."""

Key = Callable[..., Hashable]


def in_full(*given: Any) -> bytes:
    """All that is in the arguments, with the places that they were read at."""
    return pickle.dumps(given)


def of_belief(belief: Any, *given: Any) -> Hashable:
    """The very belief, which is kept with the value."""
    return id(belief), in_full(*given)


def of_plan(plan: Plan, *_: Any) -> Hashable:
    """The file of the plan's job; plans of one file are compared."""
    return plan.job.marks.path


def of_set_ups(set_ups: Sequence[SetUp], *_: Any) -> Hashable:
    """The names of the set-ups; those of one name are compared."""
    return tuple(each.name for each in set_ups)


PURE: tuple[tuple[str, str, Key], ...] = (
    ("files.dumping", "yaml_text", in_full),
    ("files.dumping", "inline_text", in_full),
    ("shop.new_files", "new_file_text", in_full),
    ("shop.editors", "schema_text", in_full),
    ("joinery.stock.programmes", "whole", in_full),
    ("joinery.leaf", "work_out", in_full),
    ("machining.routing.exact_search", "best_order_of", in_full),
    ("machining.checking.joint", "growth", of_set_ups),
    ("machining.checking.proof", "prove", of_set_ups),
    ("machining.findings", "findings_of", of_plan),
    ("corrections.untold", "believe_as_told", in_full),
    ("corrections.limiting", "pieces_expected", of_belief),
    ("corrections.limiting", "reach_before_first_cut", of_belief),
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
    for module, name, key in PURE:
        made = getattr(import_module(f"setupsheets.{module}"), name)
        again = _kept(made, key)
        for each in [*sys.modules.values()]:
            if each.__name__.startswith("setupsheets.") and vars(each).get(name) is made:
                setattr(each, name, again)


def _kept(made: Callable[..., Any], key: Key) -> Callable[..., Any]:
    @wraps(made)
    def again(*given: Any, **named: Any) -> Any:
        if named or not known().running:
            return made(*given, **named)
        of_these = known().values.setdefault((made, key(*given)), [])
        for of, value in of_these:
            if key in (in_full, of_belief) or of == given:
                return value
        value = made(*given)
        of_these.insert(0, (given, value))
        del of_these[MOST:]
        return value

    return again
