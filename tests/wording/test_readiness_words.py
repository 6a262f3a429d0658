"""Every obstacle and every doubt has its sentence, with its facts filled in."""

from __future__ import annotations

from fractions import Fraction

import pytest
from msgspec.structs import replace

from setupsheets.lengths import Length, Notation, Unit
from setupsheets.machining.checking.doubts import DoubtKind, doubts
from setupsheets.machining.cutting.cuts import run
from setupsheets.machining.findings import MortisePlunges, OperationFindings, StoppedCuts
from setupsheets.machining.obstacles import Obstacle, ObstacleKind, obstacles_of
from setupsheets.machining.setting.reach import Limit, Reach
from setupsheets.machining.support.runs import supports
from setupsheets.shop.jobs import Leaf
from setupsheets.wording.doubts import DOUBTS
from setupsheets.wording.lists import listed, numbers
from setupsheets.wording.operations import support_lines
from setupsheets.wording.readiness import IN_THE_WAY, not_ready, obstacle_line, obstacle_lines
from tests.machining.handmade import mortise
from tests.machining.test_support import BAR, moulding, rebate, strip
from tests.sheets.sheet_plans import plan, shop

NOTATION = Notation(Unit.IN, Fraction(1, 64))
TASK = next(task for task in plan("larder").tasks if task.operation.settings)


def test_every_kind_has_its_sentence() -> None:
    assert set(IN_THE_WAY) == set(ObstacleKind)
    assert set(DOUBTS) == set(DoubtKind)


IN_SHOP = shop("larder").settings
SIXTH = Fraction(750, 127)
"""So many mm are as many as 150 mm are inches."""


@pytest.mark.parametrize(
    ("unit", "width", "kind"),
    [
        (Unit.MM, 150, None),
        (Unit.MM, 4000, None),
        (Unit.MM, 149, DoubtKind.OTHER_UNIT_MEANT),
        (Unit.MM, 4001, DoubtKind.SIZE_UNLIKELY),
        (Unit.MM, SIXTH, DoubtKind.OTHER_UNIT_MEANT),
        (Unit.MM, SIXTH - Fraction(1, 1000), DoubtKind.SIZE_UNLIKELY),
        (Unit.IN, Fraction(4000 * 254, 10), DoubtKind.OTHER_UNIT_MEANT),
        (Unit.IN, Fraction(4001 * 254, 10), DoubtKind.SIZE_UNLIKELY),
        (Unit.IN, 4001, DoubtKind.OTHER_UNIT_MEANT),
    ],
)
def test_a_leaf_that_none_is_so_large_or_small_is_asked_about(
    unit: Unit, width: int | Fraction, kind: DoubtKind | None
) -> None:
    """From 150 mm to 4 m: common practice, no source. What would lie between in the other unit is
    asked for in that one: 158 in of a leaf that somebody wrote in mm."""
    made = plan("larder")
    for leaf, place in (
        (Leaf(Length.millimetres(width), Length("2 m")), ("leaf", "width")),
        (Leaf(Length("1 m"), Length.millimetres(width)), ("leaf", "height")),
    ):
        job = replace(made.job, leaf=leaf, opening=None)
        found = [
            *doubts(replace(made, job=job, set_ups=(), others=()), replace(IN_SHOP, unit=unit))
        ]
        assert [(each.kind, each.place) for each in found] == ([(kind, place)] if kind else [])


def test_a_tolerance_is_doubted_where_its_instrument_reads_no_so_fine_step() -> None:
    made = plan("larder")
    set_up = next(each for each in made.set_ups if each.measurements)
    (item, *_) = set_up.measurements
    wide = item.under + item.over
    one = replace(made, set_ups=(replace(set_up, measurements=(item, item)),), others=())
    for finest, told in ((wide, 0), (wide + Length("0.001 mm"), 1)):
        instrument = replace(IN_SHOP.instruments[item.instrument], resolution=finest)
        has = replace(IN_SHOP, instruments={item.instrument: instrument})
        found = [each.kind for each in doubts(one, has)]
        assert found == [DoubtKind.FINER_THAN_ITS_INSTRUMENT] * told


def said(found: OperationFindings) -> list[str]:
    return [obstacle_line(each, NOTATION) for each in obstacles_of([found])]


def test_faults_of_tape_marks_and_centres_are_impossible() -> None:
    stile = plan("larder").joinery.part("stile")
    found = OperationFindings(
        TASK,
        stops=StoppedCuts(fault="the ramp is longer than the cut"),
        plunges=(MortisePlunges(stile, mortise(), (0,), None),),
    )
    assert all(each.impossible for each in obstacles_of([found]))
    tape, centres = said(found)
    assert tape.endswith("cannot be made: the ramp is longer than the cut")
    assert centres.endswith(
        "cannot be made: the tool is longer than the mortise for the rail; a smaller one"
    )
    assert not_ready(obstacles_of([found])) == (
        "not ready: 1 operation cannot be made as it stands"
    )


def of_support(*operations: object) -> OperationFindings:
    """The last of these operations on a hand-made bar, as it stands after the others."""
    stages = run(operations, BAR)  # type: ignore[arg-type]
    return OperationFindings(TASK, supports=supports(stages[-1:], BAR))


def test_a_cut_that_tips_is_named_once_with_its_cure() -> None:
    """Both edges of the bar rock; see test_support for the figures."""
    found = of_support(rebate(), moulding(), strip())
    (line,) = said(found)
    assert "the part tips under the cut: add filler strip" in line
    assert line.count("filler strip 3/8 in wide") == 1
    (obstacle,) = obstacles_of([found])
    assert not obstacle.impossible
    assert not_ready([obstacle]).endswith(
        "in 1 operation the part cannot be held safely as it stands"
    )


def test_the_edge_that_rocks_is_told_where_the_first_of_two_stands() -> None:
    """Moulded first and rebated after: it rocks once the second edge has lost its back."""
    found = of_support(moulding(), rebate())
    (told,) = (line for line in support_lines(found, NOTATION) if "unsteady" in line)
    assert told.startswith("second edge: bears 5/16 in on the table, 7/8 in on the fence")


def test_nothing_left_to_run_against_is_impossible() -> None:
    found = of_support(moulding(), rebate())
    none = tuple(replace(each, before=replace(each.before, fence=())) for each in found.supports)
    (obstacle,) = obstacles_of([replace(found, supports=none)])
    assert obstacle.kind is ObstacleKind.NOTHING_TO_RUN_AGAINST and obstacle.impossible
    assert "nothing to run against fence or stop" in obstacle_line(obstacle, NOTATION)


def test_nothing_in_the_way_says_nothing_and_a_shape_that_is_wrong_is_counted() -> None:
    assert not_ready([]) == ""
    assert not_ready([], 2) == "not ready: 2 shapes do not come out on paper as designed"


def test_all_that_is_in_the_way_is_counted_by_operation_and_told_by_part() -> None:
    """Two faults of one operation are one; what cannot be made is not told as not held besides."""
    alone = [task for task in plan("larder").tasks if len(task.set_up.counts) == 1]
    one, two, three = alone[:3]
    fault = [Obstacle(ObstacleKind.NO_TAPE_MARKS, each, "too long") for each in (one, one, two)]
    loose = [Obstacle(ObstacleKind.TIPS, each, "it rocks") for each in (one, three)]
    tips = "in 1 operation the part cannot be held safely as it stands"
    assert not_ready([*fault, *loose], 1) == (
        "not ready: 1 shape does not come out on paper as designed; 2 operations cannot be made as"
        f" they stand; {tips}"
    )
    assert not_ready([Obstacle(ObstacleKind.TIPS, each, "") for each in (one, two)]) == (
        "not ready: in 2 operations the part cannot be held safely as it stands"
    )
    (part,) = one.set_up.counts
    assert obstacle_line(fault[0], NOTATION) == (
        f"operation {one.number}, {one.operation.title} ({part}): cannot be made: too long"
    )
    assert obstacle_line(loose[0], NOTATION) == (
        f"operation {one.number}, {one.operation.title} ({part}): the part tips under the cut: it"
        " rocks"
    )


def test_the_parts_that_are_too_short_are_named_and_no_others() -> None:
    task = next(t for t in plan("larder").tasks
                if len(t.set_up.counts) > 1 and len(t.operation.places) > 1
                and len({place.length for place in t.operation.places}) > 1)  # fmt: skip
    place, *_ = task.operation.places
    assert place.length is not None
    reach = Reach(Limit.HOLD, task.operation, Length("30 in"), place.length)
    named = [each.part for each in task.operation.places if each.length == place.length]
    hold = Obstacle(ObstacleKind.TOO_SHORT_TO_HOLD, task, reach)
    assert f" ({listed(named)}): the part is too short to hold: " in obstacle_line(hold, NOTATION)
    dial = Obstacle(ObstacleKind.SHORT_REACH, task, reach)
    assert f" ({listed(task.set_up.counts)}): cannot be made: " in obstacle_line(dial, NOTATION)
    other = replace(task, operation=replace(task.operation, number=task.number + 1))
    alike = [hold, replace(hold, task=other), dial]
    first, last = obstacle_lines(alike, NOTATION)
    at = numbers([task.number, other.number])
    assert first.startswith(f"{at} ({listed(sorted(named))}): the part is too short to hold: ")
    assert last == obstacle_line(dial, NOTATION)
