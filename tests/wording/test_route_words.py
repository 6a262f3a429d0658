"""What a route saves, in words; the figures are invented."""

from __future__ import annotations

from itertools import takewhile

import pytest

from setupsheets.machining.routing.steps import Tally
from setupsheets.wording.lists import numbers
from setupsheets.wording.operations import log_words
from setupsheets.wording.route import cutter_words, saved_words, stop_line
from tests.sheets.sheet_plans import plan

PROVED = "No order takes less in which everything still follows what it must come after."


@pytest.mark.parametrize(
    ("made", "given", "least", "words"),
    [
        (
            (49, 15, 178), (55, 29, 216), (49, 15, 178),
            "49 settings and cutters to set in place of 55 joint by joint, 15 changes of machine in"
            f" place of 29, parts carried to another machine 178 times in place of 216. {PROVED}",
        ),
        (
            (4, 1, 1), (4, 2, 1), None,
            "4 settings and cutters to set, as many as joint by joint, 1 change of machine in place"
            " of 2, parts carried to another machine 1 time, as many as there.",
        ),
        (
            (1, 0, 0), (1, 0, 0), (1, 0, 0),
            "As much joint by joint: 1 setting or cutter to set, 0 changes of machine, parts"
            f" carried to another machine 0 times. {PROVED}",
        ),
        (
            (50, 15, 178), (55, 29, 216), (48, 13, 150),
            "50 settings and cutters to set in place of 55 joint by joint, 15 changes of machine in"
            " place of 29, parts carried to another machine 178 times in place of 216. A better"
            " order may exist; none takes less than 48 settings and cutters to set.",
        ),
        (
            (50, 15, 178), (55, 29, 216), (50, 13, 150),
            "50 settings and cutters to set in place of 55 joint by joint, 15 changes of machine in"
            " place of 29, parts carried to another machine 178 times in place of 216. A better"
            " order may exist; none takes less than 50 settings and cutters to set and 13 changes"
            " of machine.",
        ),
        (
            (50, 15, 178), (55, 29, 216), (50, 15, 150),
            "50 settings and cutters to set in place of 55 joint by joint, 15 changes of machine in"
            " place of 29, parts carried to another machine 178 times in place of 216. A better"
            " order may exist; none takes less than 50 settings and cutters to set, 15 changes of"
            " machine and parts carried 150 times.",
        ),
    ],
)  # fmt: skip
def test_what_is_saved_and_how_near_it_is_to_the_best(
    made: tuple[int, int, int],
    given: tuple[int, int, int],
    least: tuple[int, int, int] | None,
    words: str,
) -> None:
    assert saved_words(Tally(*made), Tally(*given), Tally(*least) if least else None) == words


@pytest.mark.parametrize(
    ("since", "words"),
    [
        ({7: None}, "Blade"),
        ({7: None, 8: 7, 9: 7}, "Blade"),
        ({8: 7, 9: 7}, "Blade, in the machine from operation 7"),
        ({7: None, 8: 7, 12: None}, "Blade, put in for operations 7, 12"),
        ({8: 7, 12: None}, "Blade, put in for operation 12"),
    ],
)
def test_when_a_cutter_is_put_in(since: dict[int, int | None], words: str) -> None:
    assert cutter_words("Blade", since) == words


@pytest.mark.parametrize(
    ("set_ups", "told"),
    [
        ({"bar-grooved": [33]}, "bar-grooved"),
        (
            {"bar-grooved": [33], "rebate-two-saw-cuts": [32, 34]},
            "… with bar-grooved (33); and rebate-two-saw-cuts (32, 34)",
        ),
        (
            {"mortise-chisel/stile": [19, 20], "mortise-chisel/rail": [21]},
            "mortise-chisel/… with stile (19–20) and rail (21)",
        ),
        (
            {"mortise-chisel/stile": [19], "mortise-drill/stile": [20]},
            "… with mortise-chisel/stile (19) and mortise-drill/stile (20)",
        ),
    ],
)
def test_what_to_log_by_is_told_as_short_as_can_be(
    set_ups: dict[str, list[int]], told: str
) -> None:
    assert log_words("gate", set_ups) == f"setupsheets log gate {told}"


@pytest.mark.parametrize(
    ("parts", "every", "words"),
    [
        (["stile"], 3, "the stile goes to {} and comes back"),
        (["stile", "rail"], 3, "the stile and rail go to {} and come back"),
        (["stile", "rail"], 2, "the stile and rail go to {} and come back"),
        (["stile", "rail", "bar"], 3, "all parts that were here go to {} and come back"),
    ],
)
def test_parts_that_leave_and_come_back(parts: list[str], every: int, words: str) -> None:
    """To the machine of the next operation, for as many as follow there, and on by the route."""
    tasks = plan("larder").tasks
    first = tasks[0].operation.machine
    here = [*takewhile(lambda task: task.operation.machine == first, tasks)]
    title = f"{first.title[:1].lower()}{first.title[1:]}"
    to = f"the {title} for {numbers(task.number for task in here)}"
    said = stop_line(parts, every, here, 90)
    assert said == f"{words.format(to)} for operation 90."
    on = stop_line(parts, every, tasks[: len(here) + 1], 90)
    assert on == f"{words.format(f'{to}, on by the route,')} for operation 90."
