"""The route in words: where parts go next, when they come back, what is tested and what is not."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import takewhile

from setupsheets.machining.routing.steps import Tally
from setupsheets.machining.tasks import Task
from setupsheets.wording.lists import counted, listed, lowered, many, numbers

LEGEND = (
    "The drawings look along the feed. Hatched: what is cut away. Thick lines: where the part bears"
    " on the table and on the fence or stop."
)
NOT_PROVED = "The recipes have not been worked through on paper for this sheet."
EVERY_CUT = "Every cut"
STOP_HERE = "Stop here"
LAST = "This was the last operation of the route."
TESTS_AHEAD = "Test pieces go ahead of the parts by the same route."
_SOUND = "worked through on paper, every cut makes what the design asks for"


def stop_line(parts: Sequence[str], every: int, away: Sequence[Task], returns: int) -> str:
    """That parts, of ``every`` part that has been here, go to other machines now and come back for
    an operation of this one."""
    names = "all parts that were here" if len(parts) == every > 2 else f"the {listed(parts)}"
    go, come = ("go", "come") if len(parts) > 1 else ("goes", "comes")
    on = ", on by the route," if len({each.operation.machine.name for each in away}) > 1 else ""
    return f"{names} {go} to {_place(away)}{on} and {come} back for operation {returns}."


def next_line(after: Task) -> str:
    """Where the route goes on after a machine's last operation."""
    return (
        f"Done on this machine. Next in the route: operation {after.number},"
        f" {lowered(after.operation.machine.title)}."
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


def left_words(since: int) -> str:
    """That a dial stands at its figure already, from an earlier operation."""
    return f"leave it as it is from operation {since}"


def cutter_words(title: str, since: Mapping[int, int | None]) -> str:
    """A block's cutter, and when it is put in: ``since`` is by operation the earlier one from which
    it is in the machine, None where it is put in for it."""
    put_in = [number for number, earlier in since.items() if earlier is None]
    if not put_in:
        return f"{title}, in the machine from operation {min(filter(None, since.values()))}"
    if put_in == [min(since)]:
        return title
    return f"{title}, put in for {numbers(put_in)}"


def saved_words(made: Tally, joint_by_joint: Tally, least: Tally | None) -> str:
    """What the order comes to in place of what it would be joint by joint, and how near it is to
    the best, where ``least``, which no order beats, is known."""
    told = _told(made)
    if made == joint_by_joint:
        return f"As much joint by joint: {', '.join(told)}. {_how_near(made, least)}".strip()
    ends = (" joint by joint", "", "")
    alike = (", as many as joint by joint", ", as many as there", ", as many as there")
    said = [
        f"{words} in place of {other}{end}" if one != other else f"{words}{same}"
        for words, one, other, end, same in zip(
            told, made, joint_by_joint, ends, alike, strict=True
        )
    ]
    return f"{', '.join(said)}. {_how_near(made, least)}".strip()


def _told(tally: Tally) -> tuple[str, str, str]:
    one = tally.settings == 1
    return (
        f"{tally.settings} {'setting or cutter' if one else 'settings and cutters'} to set",
        f"{many(tally.changes, 'change')} of machine",
        f"parts carried to another machine {many(tally.moves, 'time')}",
    )


def _how_near(made: Tally, least: Tally | None) -> str:
    """How far an order is at most from one that takes less."""
    if least is None:
        return ""
    if made == least:
        return "No order takes less in which everything still follows what it must come after."
    settings, changes, _ = _told(least)
    if made.settings != least.settings:
        known = settings
    elif made.changes != least.changes:
        known = f"{settings} and {changes}"
    else:
        known = f"{settings}, {changes} and parts carried {many(least.moves, 'time')}"
    return f"A better order may exist; none takes less than {known}."


def fingerprint_words(mark: str) -> str:
    """The mark of what the sheets were made from, and what it is good for."""
    return f"{mark}; sheets of this job with another mark here have other figures: use the newer"


def also_got_out(counts: Mapping[str, int]) -> str:
    """What is got out that is no part of the frame, by name and count."""
    told = "it" if sum(counts.values()) == 1 else "them"
    return f"Also to get out, as the cut list has {told}: {counted(counts)}."


def sound(worst: str) -> str:
    """That everything proves, with the ``worst`` of the readings where any is taken."""
    return f"{_SOUND}; {worst}" if worst else _SOUND


def _place(away: Sequence[Task]) -> str:
    """``the router table for operations 7–8``: the first machine that parts go to."""
    machine = away[0].operation.machine
    here = takewhile(lambda task: task.operation.machine == machine, away)
    return f"the {lowered(machine.title)} for {numbers(task.number for task in here)}"
