"""The route in words: where parts go next, when they come back, what is tested and what is not."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from setupsheets.machining.tasks import Task
from setupsheets.wording.lists import listed, numbers

LEGEND = (
    "The drawings look along the feed. Hatched: what is cut away. Thick lines: where the part bears"
    " on the table and on the fence or stop."
)
NOT_PROVED = "The recipes have not been worked through on paper for this sheet."
STOP_HERE = "Stop here"
LAST = "This was the last operation of the route."
_SOUND = "worked through on paper, every cut makes what the design asks for"


def stop_line(parts: Sequence[str], away: Iterable[Task], returns: int) -> str:
    """That parts go to other machines now and come back for an operation of this one."""
    go, come = ("go", "come") if len(parts) > 1 else ("goes", "comes")
    return f"the {listed(parts)} {go} to {_places(away)} and {come} back for operation {returns}."


def next_line(after: Task) -> str:
    """Where the route goes on after a machine's last operation."""
    return (
        f"Done on this machine. Next in the route: operation {after.number},"
        f" {_lowered(after.operation.machine.title)}."
    )


def stop_after(number: int) -> str:
    """Where in a block of several operations parts leave."""
    return f"Stop after operation {number}"


def untested(recipes: Iterable[str]) -> str:
    """The recipes of which nothing is known yet, each once."""
    return (
        f"No record and no test piece yet: {listed(dict.fromkeys(recipes))}. What the dials"
        " really give will be known after the first test piece of each."
    )


def unread(files: Sequence[str]) -> str:
    """The records that could not be read."""
    these = "This record" if len(files) == 1 else "These records"
    return (
        f"{these} could not be read, and no figure here counts what was found then:"
        f" {listed(files)}. Put right what `setupsheets check` says, and print the sheets again."
    )


def fingerprint_words(mark: str) -> str:
    """The mark of what the sheets were made from, and what it is good for."""
    return f"{mark}; sheets of this job with another mark here have other figures: use the newer"


def sound(worst: str) -> str:
    """That everything proves, with the ``worst`` of the readings where any is taken."""
    return f"{_SOUND}; {worst}" if worst else _SOUND


def _places(away: Iterable[Task]) -> str:
    """``the router table for operations 7–8 and the bench for operation 9``."""
    by_machine: dict[str, list[int]] = {}
    for task in away:
        by_machine.setdefault(task.operation.machine.title, []).append(task.number)
    return listed(
        f"the {_lowered(title)} for {numbers(found)}" for title, found in by_machine.items()
    )


def _lowered(title: str) -> str:
    return f"{title[:1].lower()}{title[1:]}"
