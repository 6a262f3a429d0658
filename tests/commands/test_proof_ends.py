"""A figure that was proved, on the sheet and in `recall`, after something has changed since.

What ends a proof is common practice, no source: a dial that was re-aligned, another machine,
another cutter or a ground one has to be tried again before parts are cut.
"""

from __future__ import annotations

import datetime
import json
from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace

from setupsheets.machining.plan import plan_of
from setupsheets.records.folder import write_new
from setupsheets.records.record import RecordedPiece, begin_record
from setupsheets.records.shop_records import ShopRecords
from setupsheets.records.verdicts import Verdict
from setupsheets.sheets.content.finished import SettingRow, SheetContent
from setupsheets.sheets.making import make_sheets
from setupsheets.shop.finding import Shop
from tests.commands.test_bench import CROSS_BAR, RIGHT, found
from tests.known_values import a_command
from tests.records.made_up import inches
from tests.running import run

FENCE = "cope.fence"
DAY = datetime.date(2020, 3, 1)


@pytest.fixture
def proved(larder: Path) -> Path:
    """The larder with one set-up, its cope's fence proved 1/32 in under what was aimed at."""
    shop = Shop.open(larder)
    plan = plan_of(shop.job("larder"), shop)
    (set_up,) = (item for item in plan.set_ups if item.name == CROSS_BAR)
    made = begin_record(plan, set_up, {}, DAY)
    piece = RecordedPiece(DAY, moved={FENCE: inches("-1/32")})
    kept = replace(made, pieces=(piece,), verdict=Verdict.PROVED)
    write_new(kept, larder / "records", shop.settings.notation)
    return larder


def happened(larder: Path, folder: str, name: str, event: str) -> None:
    """Something happened to a machine or a cutter of the shop."""
    path = larder / folder / f"{name}.yaml"
    if not path.exists():
        path.parent.mkdir(exist_ok=True)
        path.write_text(Shop.open(larder).find("cutter", name).path.read_text("utf-8"), "utf-8")
    path.write_text(path.read_text("utf-8") + f"events:\n  - {event}\n", "utf-8")


def other_table(larder: Path) -> None:
    """Another router table, under a name of its own, is the shop's first choice."""
    table = larder / "machines" / "router-table.yaml"
    table.with_name("new-table.yaml").write_text(table.read_text("utf-8"), "utf-8")
    shop = larder / "shop.yaml"
    text = shop.read_text("utf-8").replace("table: router-table", "table: new-table")
    shop.write_text(text, "utf-8")


def other_cutter(larder: Path) -> None:
    """Another cope bit of the same make is chosen for the job."""
    name = "cope-ovolo-inch"
    text = Shop.open(larder).find("cutter", name).path.read_text("utf-8")
    (larder / "cutters").mkdir()
    (larder / "cutters" / "second-cope.yaml").write_text(text, "utf-8")
    job = larder / "jobs" / "larder.yaml"
    job.write_text(job.read_text("utf-8") + "cutters: {cope_bit: second-cope}\n", "utf-8")


def sheets_of(shop: Shop, day: datetime.date) -> SheetContent:
    """The larder's sheets as `sheet` makes them."""
    with a_command():
        plan = plan_of(shop.job("larder"), shop)
        return make_sheets(ShopRecords(shop), plan, day).content


def row_and_route(larder: Path, date: str = "2020-03-20") -> tuple[SettingRow, str, str]:
    """The fence's row of the cope, its verdict in the route, and the test pieces of its set-up."""
    shop = Shop.open(larder)
    sheet = sheets_of(shop, datetime.date.fromisoformat(date))
    blocks = [each for machine in sheet.machines for each in machine.operations]
    number, row = next(
        (row.number, setting)
        for block in blocks
        for row in block.rows
        for setting in row.settings
        if row.set_up == CROSS_BAR and setting.title == "Bit out of the fence"
    )
    route = next(each for each in sheet.cover.route if each.first == number)
    test = next(each for each in sheet.cover.tests if each.set_up == CROSS_BAR)
    return row, route.verdict, test.pieces


def recalled(date: str = "2020-03-20") -> dict[str, Any]:
    told = json.loads(run("recall", "cope", "cross", "bar", "--json", "--date", date).out)
    settings: list[dict[str, Any]] = told["recalled"]["settings"]
    return next(each for each in settings if each["title"] == "cope: fence")


def test_nothing_has_changed_and_it_goes(proved: Path) -> None:
    row, route, pieces = row_and_route(proved)
    assert (row.set_to, row.history) == ("25/32 in", "proved on 2020-03-01")
    assert (route, pieces) == ("go", "0")


START = "proved at 25/32 in on 2020-03-01; since then {}: a start only, cut a test piece"
DIAL = "router-table, 2020-03-10: Fence re-aligned"
GROUND = "cope-ovolo-inch, 2020-03-10: Sharpened"
EVENTS = {
    "its dial": (
        ("machines", "router-table", "{date: 2020-03-10, what: Fence re-aligned, resets: [fence]}"),
        DIAL,
    ),
    "all dials of its machine": (
        ("machines", "router-table", "{date: 2020-03-10, what: Fence re-aligned}"),
        DIAL,
    ),
    "its cutter": (("cutters", "cope-ovolo-inch", "{date: 2020-03-10, what: Sharpened}"), GROUND),
}


@pytest.mark.parametrize("case", EVENTS)
def test_what_happened_since_is_told_and_asks_for_a_test_piece(proved: Path, case: str) -> None:
    event, words = EVENTS[case]
    happened(proved, *event)
    row, route, pieces = row_and_route(proved)
    assert (row.set_to, row.history) == ("25/32 in", START.format(words))
    assert route == "TEST: changed since it was tested"
    assert int(pieces.partition(",")[0]) >= 2
    assert row_and_route(proved, "2020-03-09")[1] == "go", "before that day it held"


NOT_ITS = {
    "another dial": "{date: 2020-03-10, what: New lift, resets: [stop]}",
    "before it was proved": "{date: 2020-02-29, what: Fence re-aligned}",
    "another name alone": "{date: 2020-03-10, what: Called otherwise, moved_to: new-table}",
}


@pytest.mark.parametrize("case", NOT_ITS)
def test_what_does_not_touch_its_figures_leaves_it_proved(proved: Path, case: str) -> None:
    if case == "another name alone":
        other_table(proved)
    happened(proved, "machines", "router-table", NOT_ITS[case])
    row, route, _ = row_and_route(proved)
    assert (row.set_to, row.history) == ("25/32 in", "proved on 2020-03-01")
    assert route == "go"


def test_no_figure_is_taken_from_another_machine(proved: Path) -> None:
    other_table(proved)
    row, route, _ = row_and_route(proved)
    assert row.set_to == "13/16 in", "the aim"
    assert row.history == (
        "proved at 25/32 in on 2020-03-01, on the router-table then, on the new-table today: that "
        "says nothing of this dial; nothing known of this dial"
    )
    assert route == "TEST: changed since it was tested"


def test_another_cutter_leaves_a_start_only(proved: Path) -> None:
    other_cutter(proved)
    row, route, _ = row_and_route(proved)
    words = "another cutter: second-cope today, cope-ovolo-inch then"
    assert (row.set_to, row.history) == ("25/32 in", START.format(words))
    assert route.startswith("TEST")


@pytest.mark.parametrize("case", ["its dial", "another machine", "another cutter"])
def test_sheet_and_recall_say_the_same(proved: Path, case: str) -> None:
    if case in EVENTS:
        happened(proved, *EVENTS[case][0])
    else:
        (other_table if case == "another machine" else other_cutter)(proved)
    row, told = row_and_route(proved)[0], recalled()
    assert (told["set_to"]["words"], told["because"]) == (row.set_to, row.history)


def test_pieces_after_a_change_are_of_one_record_of_their_own(proved: Path) -> None:
    happened(proved, *EVENTS["its dial"][0])
    for face in ("14 9/32", "14 1/4"):
        piece = found(**(RIGHT | {"face_length": face}))
        ran = run("log", "larder", CROSS_BAR, *piece, "--did", "nothing", "--date", "2020-03-11")
        assert ran.code == 0, ran.err
    heads = sorted(proved.glob("records/*.yaml"))
    assert [path.name[:10] for path in heads] == ["2020-03-01", "2020-03-11"]
    assert len([*heads[1].with_suffix("").glob("*.yaml")]) == 2
    row, route, _ = row_and_route(proved)
    assert "2020" not in row.history and route == "TEST: 2 test pieces so far"


def test_a_narrower_kerf_is_told_with_what_it_does_to_the_height(larder: Path) -> None:
    # By hand: the saw goes half a kerf into the groove, 7/16 - 1/16 = 3/8 with a kerf of 1/8; with
    # 3/32 it is 7/16 - 3/64 = 25/64, 1/64 more.
    shop = Shop.open(larder)
    plan = plan_of(shop.job("larder"), shop)
    (set_up,) = (item for item in plan.set_ups if item.name == "bar-grooved")
    made = begin_record(plan, set_up, {}, DAY)
    kept = replace(made, pieces=(RecordedPiece(DAY),), verdict=Verdict.PROVED)
    write_new(kept, larder / "records", shop.settings.notation)
    blade = shop.find("cutter", "combination-blade-10-inch").path.read_text("utf-8")
    (larder / "cutters").mkdir()
    own = larder / "cutters" / "combination-blade-10-inch.yaml"
    own.write_text(blade.replace("kerf: 1/8", "kerf: 3/32"), "utf-8")
    assert own.read_text("utf-8") != blade
    told = json.loads(run("recall", "bar-grooved", "--json").out)["recalled"]
    (line,) = [each for each in told["changes"] if "kerf" in each]
    assert line.startswith("combination-blade-10-inch: its kerf was 1/8 in and is 3/32 in; ")
    assert line.endswith(": height 1/64 in more")
    sheet = sheets_of(Shop.open(larder), DAY)
    blocks = [block for each in sheet.machines for block in each.operations]
    rows = [each for block in blocks for row in block.rows for each in row.settings]
    (row,) = [each for each in rows if each.set_to == "25/64 in" and "kerf" in each.history]
    assert "its kerf was 1/8 in and is 3/32 in: a start only, cut a test piece" in row.history
    assert row.history.endswith("; the aim was 3/8 in then")


GONE = {
    "the job": ("jobs/larder.yaml", "the job larder is gone: the aims are those of then"),
    "the machine": ("machines/router-table.yaml", "the machine router-table is gone"),
}


@pytest.mark.parametrize("case", GONE)
def test_recall_shows_what_was_known_when_things_are_gone(proved: Path, case: str) -> None:
    path, words = GONE[case]
    (proved / path).unlink()
    ran = run("recall", "cope", "cross", "bar", "--json")
    assert ran.code == 0, ran.err
    told = json.loads(ran.out)["recalled"]
    assert words in told["changes"]
    fence = next(each for each in told["settings"] if each["title"] == "cope: fence")
    then = (fence["then_aim"]["words"], fence["then_dialled"]["words"])
    assert then == ("13/16 in", "25/32 in")
    assert fence["finest"]["words"] == "1/64 in", "as the record keeps it"
    assert fence["set_to"]["words"] == ("25/32 in" if case == "the job" else "13/16 in")


def test_a_recipe_or_a_section_that_is_gone_is_told(proved: Path) -> None:
    (head,) = (proved / "records").glob("*.yaml")
    text = head.read_text("utf-8")
    text = text.replace("recipe: cope-crosscut-saw", "recipe: an-older-way")
    head.write_text(text.replace("section: ovolo-bar-inch", "section: an-older-bar"), "utf-8")
    ran = run("recall", "an-older-way")
    assert ran.code == 0, ran.err
    assert "Changed since: the recipe an-older-way is gone" in ran.out
    assert "Changed since: the section an-older-bar is gone" in ran.out


def proved_at_the_bench(*more: str, day: str = DAY.isoformat()) -> None:
    ran = run(
        "log", "larder", CROSS_BAR, "--date", day, *found(**RIGHT), "--verdict", "proved", *more
    )
    assert ran.code == 0, ran.err


UNTOLD = "on the day of the last test piece; which came first is not told"
SAME_DAY = {
    "neither has a time": (DAY.isoformat(), "", "start", True),
    "the event alone": (DAY.isoformat(), "time: '9:00', ", "start", True),
    "the proof alone": (f"{DAY}T10:30", "", "start", True),
    "the event before it": (f"{DAY}T10:30", "time: '9:00', ", "go", False),
    "the event at that minute": (f"{DAY}T10:30", "time: '10:30', ", "start", False),
    "the event after it": (f"{DAY}T10:30", "time: '16:05', ", "start", False),
}


@pytest.mark.parametrize("case", SAME_DAY)
def test_what_happened_on_the_day_of_the_proof(larder: Path, case: str) -> None:
    """Nothing says `go` that may have been proved before the fence was moved, and no proof ends
    without the words that say why, and what would tell."""
    day, time, ends, untold = SAME_DAY[case]
    proved_at_the_bench("--although", "it fits", day=day)
    event = f"{{date: {DAY}, {time}what: Fence re-aligned, resets: [fence]}}"
    happened(larder, "machines", "router-table", event)
    row, route, _ = row_and_route(larder)
    assert (route == "go") == (ends == "go")
    assert ("a start only, cut a test piece" in row.history) == (ends == "start")
    assert (UNTOLD in row.history) == untold
    assert (UNTOLD in recalled()["because"]) == untold


@pytest.mark.parametrize("kind", ["machines", "cutters"])
def test_what_was_noted_before_the_first_piece_came_before_it(larder: Path, kind: str) -> None:
    """The fence was re-aligned in the morning and so noted, the set-up proved in the afternoon."""
    name = "router-table" if kind == "machines" else "cope-ovolo-inch"
    happened(larder, kind, name, f"{{date: {DAY}, what: Put right}}")
    proved_at_the_bench("--although", "it fits")
    row, route, _ = row_and_route(larder)
    assert route == "go" and UNTOLD not in row.history


def test_a_set_up_that_is_proved_anew_on_that_day_stands(larder: Path) -> None:
    proved_at_the_bench("--although", "it fits")
    happened(larder, "machines", "router-table", f"{{date: {DAY}, what: Fence re-aligned}}")
    proved_at_the_bench("--although", "it fits again", "--next")
    assert len(list((larder / "records").glob("*.yaml"))) == 2
    assert row_and_route(larder)[1] == "go"


def test_today_s_clock_tells_what_came_first(larder: Path) -> None:
    """Without `--date` an act has its moment in its name."""
    today = datetime.datetime.now().astimezone()
    proved_at_the_bench("--although", "it fits", day=today.date().isoformat())
    if datetime.datetime.now().astimezone().date() != today.date():
        pytest.skip("midnight has struck")
    event = f"{{date: {today:%Y-%m-%d}, time: '0:00', what: Fence re-aligned, resets: [fence]}}"
    happened(larder, "machines", "router-table", event)
    row, route, _ = row_and_route(larder, f"{today:%Y-%m-%d}")
    assert UNTOLD not in row.history and (route == "go" or f"{today:%H:%M}" == "00:00")


def test_a_machine_that_has_had_three_names_keeps_what_happened_under_each(proved: Path) -> None:
    table = proved / "machines" / "router-table.yaml"
    text = table.read_text("utf-8")
    moved = "{{date: {}, what: Renamed, moved_to: {}}}"
    for name, to in (("router-table", "second-table"), ("second-table", "third-table")):
        aligned = "  - {date: 2022-05-31, what: Fence re-aligned, resets: [fence]}\n"
        events = f"events:\n{aligned if name == 'second-table' else ''}  - "
        path = table.with_name(f"{name}.yaml")
        path.write_text(f"{text}{events}{moved.format('2022-01-01', to)}\n", "utf-8")
    table.with_name("third-table.yaml").write_text(text, "utf-8")
    shop = proved / "shop.yaml"
    named = shop.read_text("utf-8").replace("table: router-table", "table: third-table")
    shop.write_text(named, "utf-8")
    assert "2022-05-31: Fence re-aligned" in row_and_route(proved, "2026-01-01")[0].history
