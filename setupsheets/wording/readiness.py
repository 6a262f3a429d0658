"""Whether a job is ready to be made, in words: what cannot be made or held, counted and named."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from setupsheets.lengths import Length, Notation
from setupsheets.machining.findings import MortisePlunges
from setupsheets.machining.obstacles import Obstacle, ObstacleKind
from setupsheets.machining.setting.passes import Speed
from setupsheets.machining.setting.reach import Limit, Reach
from setupsheets.machining.support.runs import Support
from setupsheets.machining.support.wood_left import Waste
from setupsheets.wording.lists import listed, many, numbers
from setupsheets.wording.setting_up import reach_words, speed_words
from setupsheets.wording.support import cures_words, too_low_words

IN_THE_WAY: Mapping[ObstacleKind, str] = {
    ObstacleKind.SHORT_REACH: "cannot be made: {what}",
    ObstacleKind.TOO_FAST: "cannot be made: the cutter at {what}",
    ObstacleKind.NO_TAPE_MARKS: "cannot be made: {what}",
    ObstacleKind.NO_CENTRES: "cannot be made: the tool is longer than the mortise for the "
    "{what}; a smaller one",
    ObstacleKind.NOTHING_TO_RUN_AGAINST: "cannot be made: earlier cuts leave nothing to run "
    "against fence or stop; another order of operations, or another recipe",
    ObstacleKind.FENCE_TOO_LOW: "cannot be made: {what}",
    ObstacleKind.SOLID_WOOD: "cannot be made: {what} of waste lies before the moulding, and the "
    "bit is made for the moulding alone; cut the face cheek first",
    ObstacleKind.TIPS: "the part tips under the cut: {what}",
    ObstacleKind.TOO_SHORT_TO_HOLD: "the part is too short to hold: {what}",
}


def not_ready(obstacles: Sequence[Obstacle], unproved: int = 0) -> str:
    """How many operations cannot be made, in how many the part cannot be held, and how many shapes
    do not come out; nothing where all is well: `not ready: 2 operations cannot be made as they
    stand; in 1 operation the part cannot be held safely as it stands`."""
    impossible = {each.task.number for each in obstacles if each.impossible}
    unheld = {each.task.number for each in obstacles} - impossible
    said = []
    if unproved:
        shapes = "shape does" if unproved == 1 else "shapes do"
        said.append(f"{unproved} {shapes} not come out on paper as designed")
    if impossible:
        they = "it stands" if len(impossible) == 1 else "they stand"
        said.append(f"{many(len(impossible), 'operation')} cannot be made as {they}")
    if unheld:
        held = f"in {many(len(unheld), 'operation')} the part cannot be held safely as it stands"
        said.append(held)
    return f"not ready: {'; '.join(said)}" if said else ""


def obstacle_lines(obstacles: Sequence[Obstacle], notation: Notation) -> list[str]:
    """A line for each thing in the way; parts too short to hold, of one length, in one line."""
    lines: dict[object, list[Obstacle]] = {}
    for index, each in enumerate(obstacles):
        alike = each.kind is ObstacleKind.TOO_SHORT_TO_HOLD
        lines.setdefault(_what(each.what, notation) if alike else index, []).append(each)
    return [
        _too_short_line(found, notation) if len(found) > 1 else obstacle_line(found[0], notation)
        for found in lines.values()
    ]


def _too_short_line(found: Sequence[Obstacle], notation: Notation) -> str:
    """`operations 43–47 (end upright bar): the part is too short to hold: ...`."""
    at = numbers(each.task.number for each in found)
    short = {name for each in found for name in _shortest(each)}
    said = IN_THE_WAY[found[0].kind].format(what=_what(found[0].what, notation))
    return f"{at} ({listed(sorted(short))}): {said}" if short else f"{at}: {said}"


def _shortest(obstacle: Obstacle) -> list[str]:
    """The parts that are as short as what is told."""
    has = obstacle.what.has if isinstance(obstacle.what, Reach) else None
    places = obstacle.task.operation.places
    return [place.part for place in places if place.length == has]


def obstacle_line(obstacle: Obstacle, notation: Notation) -> str:
    """`operation 13, Plane the sawn edge to width (lock rail), cannot be made: ...`."""
    task = obstacle.task
    short = _shortest(obstacle) if obstacle.kind is ObstacleKind.TOO_SHORT_TO_HOLD else []
    parts = listed(short or task.set_up.counts)
    said = IN_THE_WAY[obstacle.kind].format(what=_what(obstacle.what, notation))
    of = f" ({parts})" if parts else ""
    return f"operation {task.number}, {task.operation.title}{of}: {said}"


def _what(what: Reach | Speed | Support | MortisePlunges | Waste | str, notation: Notation) -> str:
    if isinstance(what, Reach):
        words = reach_words(what, notation)
        return words.partition(": ")[2] if what.limit is Limit.HOLD else words
    if isinstance(what, Speed):
        return speed_words(what, notation)
    if isinstance(what, Waste):
        return notation.mark(Length.from_float(what.long))
    if isinstance(what, MortisePlunges):
        return what.mortise.holds
    if isinstance(what, Support):
        return (too_low_words if what.passes_over else cures_words)(what, notation)
    return what
