"""What is worked out beside the plan: fits, stops, passes, reach, bearing, and what does not prove.

Sizes are worked by hand from the settings: plane arithmetic.
"""

from __future__ import annotations

import datetime
import xml.etree.ElementTree as ET
from collections import Counter
from fractions import Fraction

import pytest
from msgspec.structs import replace

from setupsheets.lengths import Length, Notation, Unit
from setupsheets.machining.checking.proof import prove_plan
from setupsheets.machining.findings import OperationFindings, operation_findings
from setupsheets.machining.operations import (
    FittedJig,
    Operation,
    SetUp,
    Stop,
)
from setupsheets.machining.plan import Plan
from setupsheets.machining.planning.test_pieces import tried
from setupsheets.machining.setting.stopped_cuts import StoppedCut, TapeMarks
from setupsheets.machining.tasks import Task, tasks_of
from setupsheets.records.current import SetUpState
from setupsheets.records.pieces_due import PiecesDue
from setupsheets.records.shop_records import ShopRecords
from setupsheets.sheets.content.cover import unproved
from setupsheets.sheets.content.finished import Fact, OperationBlock, SheetContent
from setupsheets.sheets.drawings.drawing import Drawing
from setupsheets.sheets.drawings.scenes import scene_of
from setupsheets.sheets.drawings.stops_drawing import ramp_drawing, stops_drawing
from setupsheets.sheets.making import make_sheets, pieces_to_get_out, sheets_of
from setupsheets.shop.recipes import JigKind, Makes
from setupsheets.wording.operations import (
    cope_words,
    make_up_words,
    passes_words,
    stop_lines,
)
from setupsheets.wording.places import plunge_words
from setupsheets.wording.proofs import worst_reading
from setupsheets.wording.setting_up import reach_words
from tests.sheets.sheet_plans import (
    DATE,
    content,
    groove,
    inches,
    inputs,
    plan,
    set_up_of,
    shop,
    whole,
)

LARDER, VESTIBULE = plan("larder"), plan("vestibule")
NOTATION = shop("larder").settings.notation
TASKS = LARDER.tasks


def words(drawing: Drawing) -> list[str]:
    svg = ET.fromstring(drawing.svg.replace(' xmlns="http://www.w3.org/2000/svg"', ""))
    return [element.text or "" for element in svg.iter("text")]


def filled(drawing: Drawing, fill: str) -> list[ET.Element]:
    svg = ET.fromstring(drawing.svg.replace(' xmlns="http://www.w3.org/2000/svg"', ""))
    return [each for each in svg.iter() if each.get("fill") == fill]


def found_of(task: Task, of: Plan = LARDER, hard: bool = False) -> OperationFindings:
    return operation_findings(task, of.joinery, hard)


def coped() -> Task:
    return next(
        task
        for task in TASKS
        if task.set_up.recipe.makes is Makes.COPE and task.operation.name == "cope"
    )


def changed(of: Plan, set_up: SetUp, name: str, setting: str, by: Length) -> Plan:
    """The plan with one setting of one operation aimed elsewhere."""

    def moved(operation: Operation) -> Operation:
        if operation.name != name:
            return operation
        settings = tuple(
            replace(item, aim=item.aim + by) if item.name == setting else item
            for item in operation.settings
        )
        return replace(operation, settings=settings)

    other = replace(set_up, operations=tuple(moved(item) for item in set_up.operations))
    return replace(of, set_ups=tuple(other if each is set_up else each for each in of.set_ups))


def test_a_sound_cope_closes_and_grows_by_the_dial_s_own_step() -> None:
    """A cope 1/128 in lower leaves 1/128 in at its root, .008 in."""
    fit = found_of(coped()).cope
    assert fit is not None
    told = cope_words(fit, NOTATION)
    assert told.startswith("as set: closes everywhere, with 1/16 in left under the tenon; each ")
    assert "each 1/128 in lower: open by .008 in" in told
    assert "each 1/128 in higher: binds by .008 in" in told
    number = coped().number
    block = next(each for each in _blocks(content("larder")) if each.rows[0].number == str(number))
    assert block.rows[0].number == str(number)
    assert any(each == told or each.endswith(f": {told}") for each in block.fits)
    assert not block.joints, "an end that closes needs no picture"


def test_an_end_that_does_not_close_is_drawn_on_its_mate() -> None:
    """The cope 1/128 in too low stands off by .008 in at its root."""
    given = inputs(LARDER)
    found = given.findings.operations
    at = next(i for i, each in enumerate(found) if each.cope is not None)
    fit = found[at].cope
    assert fit is not None and fit.as_set.closes and not fit.low.closes and not fit.high.closes
    off = [*found]
    off[at] = replace(found[at], cope=replace(fit, as_set=fit.low))
    changed = replace(given, findings=replace(given.findings, operations=tuple(off)))
    shown = [each for each in _blocks(sheets_of(changed, whole("larder"))) if each.joints]
    assert [each.rows[0].number for each in shown] == [str(found[at].task.number)]
    assert {"face", "back", "mate", "part"} <= set(words(shown[0].joints[0]))
    assert any("as set: open by .008 in" in line for line in shown[0].fits)


def test_only_the_cope_has_a_fit_to_show() -> None:
    shown = [task for task in TASKS if found_of(task).cope is not None]
    assert shown and {task.operation.name for task in shown} == {"cope"}


def test_what_does_not_prove_is_shown_with_its_size() -> None:
    """The groove in the bar's back 1/16 in too shallow leaves 1/16 in at the rebate's floor."""
    bar = set_up_of(LARDER, "bar-grooved")
    wrong = changed(LARDER, bar, bar.operations[0].name, "height", inches("-1/16"))
    drawings = list(unproved(inputs(wrong)))
    assert drawings and any("left over" in each for each in words(drawings[0]))
    assert list(unproved(inputs(LARDER))) == []
    made = make_sheets(ShopRecords(shop("larder")), wrong, DATE).content
    assert made.cover.unproved == tuple(drawings)
    before = len(made.cover.drawings)
    assert made.drawings[before : before + len(drawings)] == made.cover.unproved
    assert made.cover.proofs[0].label == bar.name and "1/16 in" in made.cover.proofs[0].words


def test_missing_wood_is_black_in_the_picture() -> None:
    bar = set_up_of(LARDER, "bar-grooved")
    wrong = changed(LARDER, bar, bar.operations[0].name, "height", inches("1/16"))
    drawing = next(unproved(inputs(wrong)))
    assert any("missing" in each for each in words(drawing))
    assert [each for each in filled(drawing, "#000") if each.tag == "path"]


def test_the_worst_rounded_reading_stands_beside_its_tolerance() -> None:
    assert worst_reading(prove_plan(LARDER), NOTATION) == "every figure lies on a mark of its dial"
    bar = set_up_of(LARDER, "bar-grooved")
    off = changed(LARDER, bar, bar.operations[0].name, "height", inches("1/200"))
    assert worst_reading(prove_plan(off), NOTATION).startswith(
        "with every dial at its nearest move the worst reading is .005 in"
    )
    assert worst_reading((), NOTATION) == ""


def test_passes_end_at_the_figure_to_set_and_move_with_it() -> None:
    """The bar's moulding, 3/8 in wide in hard timber: 11/64, 11/32, then the whole."""
    task = next(
        each
        for each in TASKS
        if each.set_up.recipe.makes is Makes.BAR
        and each.operation.cutter
        and each.operation.cutter.profile
    )
    found = found_of(task, hard=True)
    aims = {item.cause: item.aim for item in task.operation.settings}
    assert passes_words(found, aims, NOTATION) == ("3: fence 11/64 in, 11/32 in, then as set")
    cause = next(item.cause for item in task.operation.settings if item.name == "fence")
    assert passes_words(found, aims | {cause: inches("13/32")}, NOTATION) == (
        "3: fence 13/64 in, 3/8 in, then as set"
    )


def test_what_does_not_reach_is_told_with_ways_out_and_what_does_is_not() -> None:
    task = coped()
    assert found_of(task).short == ()
    first, *others = task.operation.places
    short = replace(task.operation, places=(replace(first, length=inches("5")), *others))
    (told,) = found_of(replace(task, operation=short)).short
    assert "5 in there, 1 in short" in reach_words(told, NOTATION)


def test_chisel_centres_start_with_both_ends_of_the_mortise() -> None:
    """A 3/8 in chisel in the mortise for the bottom rail, 7/8 to 2 7/8."""
    task = next(each for each in TASKS if each.operation.asks.work == "mortise")
    told = list(plunge_words(found_of(task).plunges, NOTATION))
    # 1 1/16 and 2 11/16 past the leaf's bottom line, and the horn is an inch long.
    assert any(
        each.startswith(
            "stile, sight edge, from the blank's lower end: for the bottom rail 2 1/16 in and"
            " 3 11/16 in, then"
        )
        for each in told
    )


def test_a_dado_stack_is_made_up_from_its_blades_and_chippers() -> None:
    """1/2 in: two outside blades of 1/8 and two chippers of 1/8."""
    task = next(each for each in TASKS if each.operation.cutter and each.operation.cutter.stack)
    cutter = task.operation.cutter
    assert cutter is not None
    half, wide = (
        replace(task, operation=replace(task.operation, cutter=replace(cutter, kerf=inches(kerf))))
        for kerf in ("1/2", "5")
    )
    assert make_up_words(found_of(half), NOTATION) == (
        "1/2 in wide, from 1/8 in + 1/8 in + 1/8 in + 1/8 in"
    )
    assert make_up_words(found_of(wide), NOTATION).endswith("do not make")
    assert make_up_words(found_of(coped()), NOTATION) == ""


def bearing_of(operation: Operation, set_up: SetUp) -> tuple[tuple[float, float], ...]:
    task = next(iter(tasks_of([set_up])))
    assert task.stage is not None
    stands = found_of(task).supports
    scene = scene_of(task.stage, set_up.subject, NOTATION, stands)
    assert scene is not None and scene_of(task.stage, set_up.subject, NOTATION).bears.table == ()  # type: ignore[union-attr]
    return scene.bears.table


def test_bearing_on_the_table_is_drawn_as_long_as_it_is() -> None:
    """A bar 1 1/8 in wide bears with its whole back, less the opening round a blade that stands
    from 5/16 to 7/16 in."""
    spans = bearing_of(*groove())
    total = sum(high - low for low, high in spans)
    assert total == pytest.approx(25.4 * (1 + 1 / 8 - 1 / 8), abs=0.01)


def test_a_filler_strip_is_drawn_where_it_widens_the_base() -> None:
    blocks = {
        block.title: block
        for sheet in make_sheets(ShopRecords(shop("larder")), LARDER, DATE).content.machines
        for block in sheet.operations
    }
    sawn = blocks["Saw the strips off, on edge over a filler strip"]
    assert "Crossed: filler strip" in sawn.cuts[0].note
    assert "Crossed" not in blocks["Groove the back, a strip left outside"].cuts[0].note


def lowered() -> Task:
    """A cut along the vestibule's stiles that stops where their rebate gives way to a groove."""
    plans = ((each, operation) for each in VESTIBULE.set_ups for operation in each.operations)
    set_up, operation = next(found for found in plans if found[1].stops)
    return Task(operation, set_up)


def test_a_cut_that_is_lowered_on_has_tape_marks_and_a_plan() -> None:
    notation, task = shop("vestibule").settings.notation, lowered()
    found = found_of(task, VESTIBULE).stops
    assert found is not None and stop_lines(found, notation)[0].startswith(
        "stile, lower end first: lower the part on"
    )
    block = next(each for each in _blocks(content("vestibule")) if each.number == str(task.number))
    assert block.stops == stop_lines(found, notation)
    shown = words(block.plans[0])
    assert {"fence", "feed", "middle of the cutter"} <= set(shown)
    assert any(each.startswith("lower on") for each in shown)
    assert found_of(coped()).stops is None


def test_the_plan_is_to_scale_along_the_fence() -> None:
    """A part 400 mm long, lowered on 100 mm past the cutter and lifted off at 300: 600 mm in all on
    95 mm of paper, less what its words need at the left and 4 mm at the right."""
    long, marks = Length("400 mm"), TapeMarks(50, 350, 100, 300, 20, (70, 330))
    stop = Stop("part", "lower end", long, *(Length.ZERO, long), *(Length.ZERO, long))
    cut = StoppedCut(stop, marks, (0, 0))
    drawing = stops_drawing("s", "S", cut, NOTATION)
    part = max(filled(drawing, "#fff"), key=lambda each: float(each.get("width", 0)))
    scale = float(part.get("width", 0)) / 400
    assert 60 / 600 < scale <= (95 - 8) / 600
    # Its tail, at the right, is 300 mm past the cutter when it is lifted off: all 400 of it, and
    # 200 more from where it was lowered on.
    right = float(part.get("x", 0)) + float(part.get("width", 0))
    assert right == pytest.approx(95 - 4, abs=0.02)
    (full,) = (each for each in filled(drawing, "url(#s-h)"))
    assert float(full.get("width", 0)) == pytest.approx(260 * scale, abs=0.02)


@pytest.mark.parametrize("long", [8, 57.5, 99.75, 312.25])
@pytest.mark.parametrize("deep", [6, 14, 30])
def test_what_is_said_of_a_ramp_stays_on_the_paper(long: float, deep: float) -> None:
    """Whatever its figure takes at the left: the words at its right end before the paper does."""
    ramp = [(0, 0), (long / 2, deep / 3), (long, deep)]
    drawing = ramp_drawing("r", "R", ramp, long, Notation(Unit.MM, Fraction(1, 2)))
    assert drawing.width <= 95 and "ramp" in words(drawing)[-4:][0]
    assert any(each.startswith("from the side") for each in words(drawing))
    for element in filled(drawing, "#000"):
        if element.tag != "text":
            continue
        left, wide = (float(element.get(key, "0")) for key in ("x", "textLength"))
        left -= {"start": 0.0, "middle": wide / 2, "end": wide}[element.get("text-anchor", "")]
        assert left >= 0 and left + wide <= drawing.width, element.text


def test_test_pieces_go_on_from_set_up_to_set_up() -> None:
    needed = pieces_to_get_out(LARDER, {})
    assert (
        set(needed) <= {part.name for part in LARDER.joinery.parts}
        and needed["cross bar"].count == 1
    )
    name = next(s.name for s in LARDER.set_ups if s.recipe.makes is Makes.BAR)
    more = pieces_to_get_out(LARDER, {name: SetUpState({}, due=PiecesDue(4))})
    counts, before = ([each.count for each in found.values()] for found in (more, needed))
    assert max(counts) == 4 and sum(counts) == sum(before) + 3


def test_a_coped_piece_serves_for_its_own_mate_alone_and_none_that_is_proved_is_got_out() -> None:
    copes = [each for each in LARDER.set_ups
             if each.recipe.makes is Makes.COPE and each.test_length is not None]  # fmt: skip
    copes.append(replace(copes[0], name="another mate"))
    of = Plan(LARDER.job, LARDER.joinery, tuple(copes))
    for due in (0, 1, 3):
        known = {each.name: SetUpState({}, due=PiecesDue(due)) for each in copes}
        wanted = Counter({tried(each): 0 for each in copes})
        wanted.update({name: due * [tried(each) for each in copes].count(name) for name in wanted})
        found = {name: each.count for name, each in pieces_to_get_out(of, known).items()}
        assert found == {name: count for name, count in wanted.items() if count}
    assert len(copes) > len(wanted)


def test_what_several_operations_share_stands_once_and_what_they_do_not_names_them() -> None:
    """The jigs and notes of the three joints' back cheeks; only the third has a spacer."""
    made = make_sheets(ShopRecords(shop("larder")), LARDER, datetime.date(2026, 1, 2)).content
    shared = [block for block in _blocks(made) if block.title.startswith("Back cheek")]
    assert [len(block.rows) for block in shared] == [3]
    block, numbers = shared[0], [row.number for row in shared[0].rows]
    told = [*block.jigs, *(Fact("", note) for note in block.notes)]
    told += [Fact("", line.words) for line in block.cautions]
    assert len(told) == len(set(told))
    spacers = [jig.words for jig in block.jigs if jig.label == "spacer"]
    assert len(spacers) == 1 and spacers[0].startswith(f"Operation {numbers[2]}: ")
    common = [jig.words for jig in block.jigs if jig.label == "clean fence"]
    assert len(common) == 1 and not common[0].startswith("Operation")
    assert {tuple(fact.label for fact in row.facts) for row in block.rows} >= {
        ("Against", "Do", "Passes", "Test piece")
    }


def _blocks(made: SheetContent) -> list[OperationBlock]:
    return [block for sheet in made.machines for block in sheet.operations]


def test_a_strip_fills_by_its_kind_and_not_by_its_name() -> None:
    """What only has the name of a filler strip is not drawn, and carries nothing."""
    operation, set_up = groove()
    bare = replace(operation, jigs=(FittedJig("filler strip", JigKind.MARKS, "", {}),))
    task = next(iter(tasks_of([replace(set_up, operations=(bare,))])))
    assert task.stage is not None
    scene = scene_of(task.stage, set_up.subject, NOTATION, found_of(task).supports)
    assert scene is not None and scene.bears.filler is None
