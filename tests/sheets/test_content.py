"""What stands on the sheets: figures, order, stop lines, what is known and what is left out."""

from __future__ import annotations

import datetime
import itertools
import re
from collections.abc import Iterator
from fractions import Fraction
from functools import cache

import pytest
from msgspec.structs import replace
from shapely import box

from setupsheets.joinery.notes import NoteKind, note
from setupsheets.lengths import Length, Notation, Unit, read_length
from setupsheets.machining.checking.features import Feature, FeatureLine
from setupsheets.machining.checking.proof import Discrepancy
from setupsheets.machining.findings import OperationFindings, StoppedCuts
from setupsheets.machining.operations import SetUp, Stop
from setupsheets.machining.plan import Plan
from setupsheets.machining.setting.block_stacks import BlockStack
from setupsheets.machining.setting.passes import Speed
from setupsheets.machining.setting.stopped_cuts import StoppedCut, TapeMarks
from setupsheets.records.answer import DryFitAnswer
from setupsheets.records.current import (
    CurrentSetting,
    FigureReason,
    ReasonKind,
    SetUpState,
)
from setupsheets.records.offset_history import KnownOffset
from setupsheets.records.pieces_due import PiecesDue
from setupsheets.records.record import ReadingDeviation, begin_record
from setupsheets.records.standing import Stands
from setupsheets.records.verdicts import Verdict
from setupsheets.sheets.content import operation_blocks
from setupsheets.sheets.content.cover import which
from setupsheets.sheets.content.finished import Fact, OperationBlock, SettingRow, SheetContent
from setupsheets.sheets.content.inputs import OnRecord, SheetInputs, fingerprint
from setupsheets.sheets.making import sheets_of
from setupsheets.shop.machines import SettingName
from setupsheets.shop.recipes import Makes, Surface
from setupsheets.wording.figures import tolerance, units_line
from setupsheets.wording.lists import listed, numbers, runs_of
from tests.sheets.sheet_plans import JOBS, content, inches, inputs, plan, set_up_of, shop, whole

LARDER = plan("larder")
BAR = set_up_of(LARDER, "bar-grooved")
NEW = OnRecord({})


def sheets(state: SetUpState | None = None) -> SheetContent:
    return made_of(inputs(LARDER, known={BAR.name: state} if state else {}))


def made_of(of: SheetInputs) -> SheetContent:
    return sheets_of(of, whole("larder"))


@cache
def fresh() -> SheetContent:
    """The sheets when nothing is known."""
    return sheets()


@cache
def proved() -> SheetContent:
    """The sheets when the bar's set-up has a history."""
    return sheets(known())


def block(made: SheetContent, number: int) -> OperationBlock:
    blocks = [each for sheet in made.machines for each in sheet.operations]
    return next(each for each in blocks if str(number) in [row.number for row in each.rows])


def settings(made: SheetContent, number: int) -> tuple[SettingRow, ...]:
    rows = block(made, number).rows
    return next(row.settings for row in rows if row.number == str(number))


def known(set_up: SetUp = BAR) -> SetUpState:
    """A set-up with a history: each dial reads 1/32 in strong, two pieces measured, one kept."""
    offset = KnownOffset(inches("1/32"), inches("1/256"), set_ups=3, since=2019)
    settings = {
        setting.cause: CurrentSetting(
            setting.aim,
            setting.aim - inches("1/32"),
            setting.dial.finest,
            FigureReason(ReasonKind.OFFSET, offset),
        )
        for setting in set_up.settings
    }
    dialled = {cause: item.set_to for cause, item in settings.items()}
    name = set_up.measurements[0].name
    return SetUpState(
        settings=settings,
        readings=(
            ReadingDeviation(1, name, inches("1/32"), False),
            ReadingDeviation(2, name, inches("0"), True),
        ),
        answer=DryFitAnswer((note(NoteKind.HEIGHT_OUT, place="left", by=inches("1/8")),)),
        verdict=Verdict.PROVED,
        pieces=2,
        last=replace(
            begin_record(LARDER, set_up, dialled, datetime.date(2019, 3, 4)),
            name="rec-1",
            job="pantry",
            kept="by the window",
            verdict=Verdict.PROVED,
        ),
        leave_longer=Length("2.3 mm"),
        due=PiecesDue(0, Stands.PROVED),
    )


@pytest.mark.parametrize("job", JOBS)
def test_every_operation_stands_once_on_the_sheet_of_its_machine_in_the_route_s_order(
    job: str,
) -> None:
    made, of = content(job), {op.number: op for op in plan(job).operations}
    seen = []
    for sheet in made.machines:
        for each in sheet.operations:
            numbered = [int(row.number) for row in each.rows]
            assert numbered == sorted(numbered) == _numbers(each.number)
        firsts = [_numbers(each.number)[0] for each in sheet.operations]
        assert firsts == sorted(firsts)
        here = [number for each in sheet.operations for number in _numbers(each.number)]
        assert {of[number].machine.name for number in here} == {sheet.machine}
        seen += here
    assert sorted(seen) == sorted(of)
    route = [number for row in made.cover.route for number in _numbers(row.number)]
    assert route == sorted(of)


def _numbers(words: str) -> list[int]:
    runs = [each.partition("–") for each in words.split(", ")]
    return [
        number for first, _, last in runs for number in range(int(first), int(last or first) + 1)
    ]


@pytest.mark.parametrize("job", JOBS)
def test_every_figure_is_the_notation_s_own(job: str) -> None:
    notation = shop(job).settings.notation
    rows = {
        (row.number, setting.title): setting
        for sheet in content(job).machines
        for each in sheet.operations
        for row in each.rows
        for setting in row.settings
    }
    aims = [notation.show(setting.aim) for op in plan(job).operations for setting in op.settings]
    assert sorted(row.aim for row in rows.values()) == sorted(aims)
    for row in rows.values():
        assert row.set_to and row.finest and row.more


def test_without_records_the_dial_is_set_as_near_to_the_aim_as_it_goes() -> None:
    operation = BAR.operations[0]
    dial = replace(operation.settings[0].dial, finest=inches("1/64"))
    assert dial.nearest(inches("33/128")) == inches("1/4")  # a tie: the even step
    assert dial.nearest(inches("35/128")) == inches("9/32")
    assert dial.nearest(inches("0.26")) == inches("17/64")
    odd = replace(operation.settings[0], aim=inches("0.26"))
    other = replace(BAR, operations=(replace(operation, settings=(odd,)), *BAR.operations[1:]))
    made = made_of(inputs(Plan(LARDER.job, LARDER.joinery, (other,))))
    row = settings(made, operation.number)[0]
    assert row.aim == "17/64 in scant by .006 in" and row.set_to == "17/64 in"
    assert row.history == "the nearest that it can be moved to"


def test_history_gives_the_figure_to_set_and_says_where_it_comes_from() -> None:
    row = settings(proved(), BAR.operations[0].number)[0]
    assert (row.aim, row.set_to) == ("7/16 in", "13/32 in")
    assert row.history == (
        "has come out 1/32 in over what is dialled in 3 set-ups since 2019, give or take .004 in"
    )
    assert settings(fresh(), BAR.operations[0].number)[0].history == ""


def test_a_set_up_made_before_says_when_and_where_its_piece_hangs() -> None:
    (last,) = block(proved(), BAR.operations[0].number).last
    assert last.startswith("2019-03-04 for pantry, fence 13/32 in, height 15/32 in, proved")
    assert last.endswith("test piece kept: by the window")
    assert block(fresh(), BAR.operations[0].number).last == ()


def test_readings_and_advice_stand_with_the_last_measuring_of_the_set_up() -> None:
    made = proved()
    charts = [each.number for sheet in made.machines for each in sheet.operations if each.charts]
    assert charts == [str(BAR.operations[-1].number)]
    assert block(made, BAR.operations[-1].number).findings == (
        "What explains it:",
        "  left: 1/8 in too high: look at the mortises for the outer rails in that stile, and the "
        "rails' widths",
        "Next:",
        "  Put that right and measure again before any glue.",
    )
    assert all(not each.charts for sheet in fresh().machines for each in sheet.operations)


def test_the_route_says_test_or_go() -> None:
    before = {row.number: row.verdict for row in fresh().cover.route}
    after = {row.number: row.verdict for row in proved().cover.route}
    number = str(BAR.operations[0].number)
    assert (before[number], after[number]) == ("TEST", "go")
    hand = [op for op in LARDER.operations if not op.settings]
    assert hand and all(before[str(op.number)] == "" for op in hand)
    going = sheets(
        replace(known(), verdict=Verdict.OPEN, pieces=1, due=PiecesDue(1, Stands.OPEN))
    ).cover.route
    assert {row.number: row.verdict for row in going}[number] == "TEST: 1 test piece so far"


def test_the_cover_says_how_many_pieces_and_how_much_longer() -> None:
    rows = {row.set_up: row for row in proved().cover.tests}
    assert (rows["bar-grooved"].pieces, rows["bar-grooved"].longer) == (
        "0",
        "3/32 in scant by .003 in",
    )
    assert proved().cover.any_longer and not fresh().cover.any_longer
    counts = {row.part: row.count for row in fresh().cover.counts}
    assert counts["stile"] == "4" and counts["cross bar"] == "4"


def test_what_is_got_out_beside_the_parts_is_told_with_them() -> None:
    """The larder's two doors have beads alone; the vestibule's door a panel under its lights."""
    assert (
        fresh().cover.besides == "Also to get out, as the cut list has them: 2 × board for beads."
    )
    said = "Also to get out, as the cut list has them: 1 × panel of field 2, 2 × board for beads."
    assert content("vestibule").cover.besides == said


def test_what_is_not_known_is_told_and_what_is_known_is_not() -> None:
    before, after = " ".join(fresh().cover.unknown), " ".join(proved().cover.unknown)
    assert "bar-grooved" in before and "bar-grooved" not in after
    given = inputs(LARDER)
    unproved = made_of(replace(given, findings=replace(given.findings, proofs=())))
    assert "on paper" in " ".join(unproved.cover.unknown) and "on paper" not in before
    assert unproved.cover.proofs == ()


def test_blanks_of_several_recipes_have_one_row_of_test_pieces_where_the_first_stands() -> None:
    blanks = [each for each in LARDER.set_ups if each.is_tried and each.recipe.makes is Makes.BLANK]
    first, second, *_ = blanks
    for of in ((first, BAR, second), (BAR, first), (BAR, first, second)):
        rows = made_of(inputs(Plan(LARDER.job, LARDER.joinery, of))).cover.tests
        names = (each.name.partition("/")[0] if each in blanks else each.name for each in of)
        assert [row.set_up for row in rows] == list(dict.fromkeys(names))
        (own,) = [row for row in rows if row.set_up != BAR.name]
        assert own.pieces.endswith(" at each figure") is (second in of)


def test_the_cover_says_whether_the_recipes_prove() -> None:
    """One proof spoilt by hand, of the bar's set-up alone."""
    assert [fact.label for fact in fresh().cover.proofs] == ["Proved"]
    given = inputs(LARDER)
    (at, found), *_ = enumerate(given.findings.operations)
    stuck = replace(found, stops=StoppedCuts(fault="the bit is too small"))
    assert _with(given, at, stuck).cover.proofs[0].label == "The figures alone"
    spoilt = tuple(
        replace(proof, fault="the bit is too small") if proof.set_ups == (BAR.name,) else proof
        for proof in given.findings.proofs
    )
    bad, rest = made_of(
        replace(given, findings=replace(given.findings, proofs=spoilt))
    ).cover.proofs
    of = len(given.findings.by_set_up)
    assert (bad.label, rest) == (BAR.name, Fact("Proved", f"{of - 1} of {of}"))
    assert bad.words.endswith("does not prove: the bit is too small")


def test_what_does_not_prove_is_told_and_drawn_in_the_shop_s_marks() -> None:
    """A strip of 2.3 by 5 mm left over: 3/32 in less .003, and 13/64 less .006."""
    given = inputs(LARDER)
    at = next(i for i, each in enumerate(given.findings.proofs) if each.stages)
    strip = Discrepancy(box(0.0, 0.0, 2.3, 5.0), FeatureLine(Feature.BACK_SHOULDER, ()))
    proofs = list(given.findings.proofs)
    proofs[at] = replace(proofs[at], left_over=(strip,))
    made = made_of(replace(given, findings=replace(given.findings, proofs=tuple(proofs)))).cover
    said = "3/32 in scant by .003 in by 13/64 in scant by .006 in at the back shoulder"
    assert said in made.proofs[0].words
    assert [each.description for each in made.unproved] == [f"left over: {said}"]


def test_what_was_worked_out_beside_the_plan_is_shown_where_it_belongs_or_not_at_all() -> None:
    given = inputs(LARDER)
    at = next(i for i, each in enumerate(given.findings.operations) if each.task.set_up == BAR)
    bare = OperationFindings(given.findings.operations[at].task)
    found = replace(
        bare,
        stops=StoppedCuts(fault="the bit is too small"),
        speed=Speed(4000, 50.0, None, None, None, True),
        blocks={SettingName.FENCE: BlockStack((inches("3/8"), inches("1/16")), (), inches("7/16"))},
    )
    made = [_with(given, at, each) for each in (found, bare)]
    there, absent = (block(each, bare.task.number) for each in made)
    assert there.stops == ("no tape marks: the bit is too small",) and absent.stops == ()
    # How fast a cutter turns stands once at the head of its machine's sheet.
    speeds = [
        fact.words
        for each in made
        for sheet in each.machines
        if any(one.number == there.number for one in sheet.operations)
        for fact in sheet.facts
        if fact.label == "Speed"
    ]
    assert "4000 rpm, rim 9800 ft/min" in speeds[0] and "rim 9800" not in speeds[1]
    assert [row.blocks for row in there.rows[0].settings] == ["3/8 in + 1/16 in make 7/16 in", ""]
    assert there.has_blocks and not absent.has_blocks
    assert absent.support == () and block(fresh(), bare.task.number).support != ()


def _with(given: SheetInputs, at: int, found: OperationFindings) -> SheetContent:
    operations = [*given.findings.operations]
    operations[at] = found
    return made_of(replace(given, findings=replace(given.findings, operations=tuple(operations))))


def test_parts_that_leave_a_machine_and_come_back_are_told_to_stop() -> None:
    """The bars are grooved on the saw, moulded on the router table, and sawn on the saw again. The
    line stands where the saw is left: beads may still be ripped in between."""
    _, sticking, strip = (op.number for op in BAR.operations)
    last = _last_before(strip)
    left = block(fresh(), last)
    label = f"Stop after operation {last}" if left.shared else "Stop here"
    line = next(each.words for each in left.stop_lines if each.label == label)
    assert f"go to the router table for operation {sticking}" in line
    assert line.endswith(f"come back for operation {strip}.")
    assert "cross bar" in line and "stile" not in line
    assert not any("router" in each.words for each in block(fresh(), strip).stop_lines)
    alone = made_of(inputs(Plan(LARDER.job, LARDER.joinery, (BAR,))))
    (first,) = block(alone, BAR.operations[0].number).stop_lines  # nothing was cut there before
    wanted = f"go to the router table for operation {sticking} and come back for operation {strip}"
    assert first.words == f"all parts that were here {wanted}."


def _last_before(number: int) -> int:
    """The last operation on the same machine ahead of one."""
    tasks = LARDER.tasks
    machine = next(task.operation.machine for task in tasks if task.number == number)
    return max(t.number for t in tasks if t.number < number and t.operation.machine == machine)


@pytest.mark.parametrize("job", JOBS)
def test_stop_lines_stand_exactly_where_a_part_leaves_and_returns(job: str) -> None:
    for sheet in content(job).machines:
        told = {
            int(line.label.split()[-1]) if each.shared else int(each.number)
            for each in sheet.operations
            for line in each.stop_lines
        }
        numbers = sorted(int(row.number) for each in sheet.operations for row in each.rows)
        wanted = {
            last
            for last, following in itertools.pairwise(numbers)
            if _someone_returns(plan(job), sheet.machine, last, following)
        }
        assert told == wanted


def _someone_returns(of: Plan, machine: str, last: int, following: int) -> bool:
    def parts(keep: object, low: int, high: int) -> set[str]:
        return {
            name
            for set_up in of.set_ups
            for op in set_up.operations
            if low <= op.number <= high and (op.machine.name == machine) == keep
            for name in set_up.counts_at(op)
        }

    end = len(of.operations)
    here, back = parts(True, 1, last), parts(True, following, end)
    return bool(here & back & parts(False, last + 1, following - 1))


@pytest.mark.parametrize("job", JOBS)
def test_what_differs_only_in_its_figures_shares_a_block(job: str) -> None:
    """All that a recipe asks for in the same words with the same cutter, and nothing else."""
    tasks = {task.number: task for task in plan(job).tasks}
    shared = 0
    for sheet in content(job).machines:
        asked = []
        for each in sheet.operations:
            mine = [tasks[int(row.number)] for row in each.rows]
            kinds = [(t.operation.asks, t.operation.cutter, t.stage is None) for t in mine]
            assert all(kind == kinds[0] for kind in kinds)
            assert kinds[0] not in asked
            asked.append(kinds[0])
            assert all(row.parts for row in each.rows) and each.shared == (len(mine) > 1)
            shared += each.shared
    assert shared > 5


def test_a_figure_that_is_set_once_stands_once_and_the_others_row_by_row() -> None:
    """All back cheeks of the larder have one height and three stops; their drawing says so."""
    shared = next(each for each in _blocks(fresh()) if each.title.startswith("Back cheek"))
    stop, height = shared.dials
    assert stop.once is None and height.once is not None
    assert len({row.settings[0].set_to for row in shared.rows}) == 3
    assert {row.settings[1].set_to for row in shared.rows} == {height.once.set_to}
    words = [each.drawing.description for each in shared.cuts]
    assert len(words) == 1
    assert all("Dimensioned: stop; height 3/4 in" in each for each in words)
    assert f"operation {shared.rows[0].number}; stop row by row." in shared.cuts[0].note


@pytest.mark.parametrize("job", JOBS)
def test_a_test_piece_and_its_ends_are_told_where_they_are_measured_and_nowhere_else(
    job: str,
) -> None:
    tasks, told = {str(task.number): task for task in plan(job).tasks}, 0
    for each in _blocks(content(job)):
        for row in each.rows:
            labels = {fact.label for fact in (*each.facts, *row.facts)}
            set_up = tasks[row.number].set_up
            read = set_up.measured_after(tasks[row.number].operation)
            tried = set_up.test_length is not None and bool(read)
            assert ("Test piece" in labels) is tried
            assert ("Ends" in labels) is (tried and set_up.subject.end is not None)
            told += "Ends" in labels
    assert told > 2


@pytest.mark.parametrize(
    ("surface", "moulded", "across"),
    [
        (Surface.SIGHT_EDGE, 1, "outer edge"),
        (Surface.SIGHT_EDGE, 2, "sight edge"),
        (Surface.OUTER_EDGE, 1, "sight edge"),
        (Surface.FACE, 2, "back"),
        (Surface.EDGE, 1, "edge"),
        (Surface.END, 1, ""),
        (None, 1, ""),
    ],
)
def test_across_from_each_surface_lies_another(
    surface: Surface | None, moulded: int, across: str
) -> None:
    """A bar is moulded along both its edges, any other part along one (common practice)."""
    assert operation_blocks._opposite(surface, moulded).lower() == across


@pytest.mark.parametrize(
    ("leaves", "heads"),
    [
        (1, ["found"]),
        (2, ["leaf 1", "leaf 2"]),
        (3, ["leaf 1", "leaf 2", "leaf 3"]),
        (9, ["leaf 1", "leaf 2", "leaf 3"]),
    ],
)
def test_each_leaf_has_its_box_as_far_as_three_go(leaves: int, heads: list[str]) -> None:
    assert operation_blocks._boxes(leaves) == (*heads, "put right")


def test_a_dial_that_is_moved_in_between_says_for_which_rows_it_is_set_anew() -> None:
    shared = next(each for each in _blocks(fresh()) if each.title.startswith("Back cheek"))
    for left, again in (
        (("", "since", "since"), ()),
        (("", "", "since"), (1,)),
        (("since", "since", ""), (2,)),
        (("", "", ""), (1, 2)),
    ):
        rows = tuple(
            replace(row, settings=(*row.settings[:1], replace(row.settings[1], left=each)))
            for row, each in zip(shared.rows, left, strict=True)
        )
        dial = replace(shared, rows=rows).dials[1]
        assert dial.again == tuple(rows[at].number for at in again)
        assert dial.once == rows[0].settings[1]


def test_the_head_of_a_machine_says_of_a_dial_what_holds_for_all_its_figures() -> None:
    """How finely it moves and which way is more; what is known only where nothing else is."""
    fine = replace(BAR.operations[0].settings[0].dial, finest=inches("0.001"))
    first = replace(BAR.operations[0], settings=tuple(
        replace(each, dial=fine) for each in BAR.operations[0].settings[:1]))  # fmt: skip
    other = replace(BAR, operations=(first, *BAR.operations[1:]))
    finely = made_of(inputs(Plan(LARDER.job, LARDER.joinery, (other,))))
    assert settings(finely, first.number)[0].finest == ".001 in"
    assert any(fact.words.startswith("by .001 in, more is ") for fact in finely.machines[0].dials)
    machines = {BAR.operations[0].machine.name, BAR.operations[1].machine.name}
    for made in (fresh(), proved()):
        told = [fact for sheet in made.machines for fact in sheet.dials]
        assert told and all(re.fullmatch(r"by [^;]+, more is [^;]+(; [^;]+)?\.", each.words)
                            for each in told)  # fmt: skip
        for sheet in made.machines:
            known = {
                each.title: {row.history for block in sheet.operations for found in block.rows
                             for row in found.settings if row.title.startswith(each.title)}
                for each in (setting.dial for op in LARDER.operations
                             if op.machine.name == sheet.machine for setting in op.settings)
            }  # fmt: skip
            for fact in sheet.dials:
                (*_, only), several = known[fact.label], len(known[fact.label]) > 1
                assert fact.words.endswith(f"; {only}.") is (not several and only != "")
    assert machines <= {sheet.machine for sheet in proved().machines}


@pytest.mark.parametrize(("ramp", "drawn"), [(0.0, []), (0.4, ["ramp-07"]), (9.0, ["ramp-07"])])
def test_a_stopped_cut_has_its_plan_and_a_ramp_where_it_leaves_one(
    ramp: float, drawn: list[str]
) -> None:
    found = next(each for each in inputs(LARDER).findings.operations if each.task.number == 7)
    long = Length("900 mm")
    stop = Stop("part", "lower end", long, *(Length.ZERO, long), *(Length.ZERO, long))
    cut = StoppedCut(stop, TapeMarks(50, 900, 100.0, None, ramp, (60, 80)), (0, 0))
    stops = StoppedCuts((cut, cut), ((0.0, 0.0), (max(ramp, 0.1), 3.0)))
    notation = shop("larder").settings.notation
    names = [each.name for each in operation_blocks._plans(replace(found, stops=stops), notation)]
    assert names == ["stops-07-1", "stops-07-2", *drawn]


@pytest.mark.parametrize("job", JOBS)
def test_names_of_drawings_stand_in_the_order_of_their_numbers(job: str) -> None:
    """In a list of files too: 7 is 07."""
    names = [each.name for each in content(job).drawings]
    assert len(names) == len(set(names)) > 30
    for name in names:
        assert re.fullmatch(r"door|section-\d|[a-z]+-\d\d(?:-\w+)?", name)


def test_parts_are_named_unless_they_are_all_of_them() -> None:
    names = [part.name for part in LARDER.joinery.parts]
    assert which([*names, *names], LARDER) == "all parts"
    assert which([names[1], names[0], names[1]], LARDER) == f"{names[1]} and {names[0]}"
    few = replace(LARDER, joinery=replace(LARDER.joinery, parts=LARDER.joinery.parts[:2]))
    assert which(names[:2], few) == f"{names[0]} and {names[1]}"


def _blocks(made: SheetContent) -> list[OperationBlock]:
    return [each for sheet in made.machines for each in sheet.operations]


def test_a_caution_for_every_cut_on_a_machine_stands_once_at_its_head() -> None:
    made = content("larder")
    assert any(sheet.cautions for sheet in made.machines)
    for sheet in made.machines:
        for each in sheet.operations:
            told = {line.words for line in sheet.cautions}
            assert not told & {line.words for line in each.cautions}


def test_the_fingerprint_changes_with_any_figure_and_with_no_word() -> None:
    plain = fingerprint(LARDER, NEW)
    assert plain == fingerprint(replace(LARDER, job=replace(LARDER.job, notes="else")), NEW)
    assert plain != fingerprint(LARDER, OnRecord({BAR.name: known()}))
    told = [plain, *(fingerprint(each, NEW) for each in _with_one_figure_changed(LARDER))]
    assert len(set(told)) == len(told) == 20
    assert len(plain) == 9 and plain == content("larder").fingerprint


def _with_one_figure_changed(of: Plan) -> Iterator[Plan]:
    """A count, the sizes of a part one by one, the places of a mortise, what a set-up is for, and
    what is cut where with what at which figure."""
    more, joinery = inches("1/64"), of.joinery
    part = next(each for each in joinery.parts if each.ends)
    mate = part.section
    sticking = replace(mate.sticking, width=mate.sticking.width + more)
    rebate = replace(mate.rebate, width=mate.rebate.width + more)
    tenon = replace(part.ends[0], gap=part.ends[0].gap + more)
    for changed in (
        replace(part, count=part.count + 1),
        replace(part, name="other"),
        replace(part, width=part.width + more),
        replace(part, sight=part.sight + more),
        replace(part, section=replace(mate, thickness=mate.thickness + more)),
        replace(part, ends=(tenon, *part.ends[1:])),
        *(
            replace(part, ends=(replace(part.ends[0], mate=one), *part.ends[1:]))
            for one in (replace(mate, sticking=sticking), replace(mate, rebate=rebate))
        ),
    ):
        parts = tuple(changed if each is part else each for each in joinery.parts)
        yield replace(of, joinery=replace(joinery, parts=parts))
    first, *others = joinery.mortises
    for what in ("start", "end", "depth"):
        one = replace(first, **{what: getattr(first, what) + more})
        yield replace(of, joinery=replace(joinery, mortises=(one, *others)))
    yield replace(of, joinery=replace(joinery, mortises=(replace(first, part="other"), *others)))
    set_up = next(each for each in of.set_ups if each.operations[0].settings)
    operation = set_up.operations[0]
    dial = operation.settings[0]
    assert operation.cutter is not None
    for made in (
        replace(operation, number=999),
        replace(operation, asks=replace(operation.asks, name="other")),
        replace(operation, machine=replace(operation.machine, name="other")),
        replace(operation, cutter=replace(operation.cutter, name="other")),
        replace(operation, settings=(replace(dial, aim=dial.aim + more), *operation.settings[1:])),
    ):
        other = replace(set_up, operations=(made, *set_up.operations[1:]))
        yield replace(of, set_ups=tuple(other if each is set_up else each for each in of.set_ups))
    for other in (replace(set_up, counts={"other": 1}), replace(set_up, name="other")):
        yield replace(of, set_ups=tuple(other if each is set_up else each for each in of.set_ups))


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ([7], "operation 7"),
        ([7, 8], "operations 7–8"),
        ([3, 5, 6], "operations 3, 5–6"),
        ([6, 5, 3], "operations 3, 5–6"),
    ],
)
def test_numbers_are_drawn_together(values: list[int], words: str) -> None:
    assert numbers(values) == words and words.endswith(runs_of(values))


@pytest.mark.parametrize(
    ("names", "words"),
    [([], ""), (["a"], "a"), (["a", "b"], "a and b"), (list("abc"), "a, b and c")],
)
def test_names_are_listed(names: list[str], words: str) -> None:
    assert listed(names) == words


def test_tolerances_and_units_in_both_systems() -> None:
    inch, metric = shop("larder").settings.notation, shop("vestibule").settings.notation
    assert tolerance(inches("1/64"), inches("1/64"), inch) == "± 1/64 in"
    assert tolerance(inches("1/64"), inches("1/128"), inch) == "+ 1/128, − 1/64 in"
    fifth = read_length("0.2", Unit.MM)
    assert tolerance(fifth, fifth, metric) == "± 0.2 mm"
    assert units_line(inch).startswith("inches, to the nearest 1/64 in")
    assert units_line(Notation(Unit.MM, Fraction(1, 10))).endswith("nearest 0.1 mm")
    assert content("vestibule").cover.counts[0].blank.endswith(" mm")


@pytest.mark.parametrize(
    ("length", "metric", "words"),
    [
        ("1/128", False, "1/128 in"),
        ("1/64", False, "1/64 in"),
        ("1/128", True, "0.19 mm"),  # 0.1984375: not widened to 0.2
        ("1/64", True, "0.39 mm"),
    ],
)
def test_a_tolerance_of_the_other_system_is_told_short_and_never_wider(
    length: str, metric: bool, words: str
) -> None:
    notation = Notation(Unit.MM, Fraction(1, 2)) if metric else Notation(Unit.IN, Fraction(1, 64))
    assert notation.small(inches(length), down=True) == words


@pytest.mark.parametrize(
    ("length", "finest", "metric", "words"),
    [
        ("51/128 in", "1/128 in", False, "51/128 in"),
        ("25/64 in", "1/64 in", False, "25/64 in"),
        ("7/16 in", "0.001 in", False, "7/16 in"),
        ("57.25 mm", "0.25 mm", True, "57.25 mm"),
        ("57 mm", "1 mm", True, "57 mm"),
        ("12.7 mm", "1/64 in", True, "12.7 mm"),
    ],
)
def test_a_figure_to_dial_is_told_in_the_dial_s_own_moves(
    length: str, finest: str, metric: bool, words: str
) -> None:
    notation = Notation(Unit.MM, Fraction(1, 2)) if metric else Notation(Unit.IN, Fraction(1, 64))
    assert notation.dialled(Length(length), Length(finest)) == words
