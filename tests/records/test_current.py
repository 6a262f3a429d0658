"""What to set today, why, and what has changed since: of the larder's cross bars, coped."""

from __future__ import annotations

import datetime
import shutil
from collections import Counter
from pathlib import Path

import pytest
from msgspec.structs import replace

from setupsheets.corrections.causes import METHOD_SPREAD
from setupsheets.files.documents import Document, read_text
from setupsheets.lengths import Length
from setupsheets.machining.operations import SetUp
from setupsheets.machining.plan import Plan, plan_of
from setupsheets.records import folder, index
from setupsheets.records.changes import ChangeKind
from setupsheets.records.current import ReasonKind, SetUpState, set_up_states
from setupsheets.records.folder import write_new
from setupsheets.records.index import Facts
from setupsheets.records.model import spread_of
from setupsheets.records.offset_history import offset_history, offsets_shown
from setupsheets.records.pieces_due import prospects_of
from setupsheets.records.recall import reload
from setupsheets.records.record import Record, RecordedPiece, RecordedReading, begin_record
from setupsheets.records.shop_records import FoundRecord, ShopRecords, open_ones
from setupsheets.records.verdicts import Verdict
from setupsheets.shop.finding import Shop
from setupsheets.shop.machines import MachineSetting, SetBy
from tests.commands.conftest import copied
from tests.known_values import a_command
from tests.records.made_up import RECORD, inches

TODAY = datetime.date(2026, 1, 1)
SET_UP = "cope-crosscut-saw/cross-bar-into-stile"
STOP = "back_cheek.stop"
RIGHT = (
    ("overall", "15 1/8", "rule"),
    ("tenon_thickness", "3/8", "caliper"),
    ("face_to_tenon", "3/8", "caliper"),
    ("face_length", "14 1/4", "rule"),
    ("cope_depth", "3/8", "caliper"),
)


@pytest.fixture
def shop(tmp_path_factory: pytest.TempPathFactory) -> Shop:
    """The larder's shop, with no record yet."""
    place = copied("larder", tmp_path_factory)
    shutil.rmtree(place / "records")
    return Shop.open(place)


def planned(shop: Shop) -> tuple[Plan, SetUp]:
    with a_command():
        plan = plan_of(shop.job("larder"), shop)
    return plan, next(item for item in plan.set_ups if item.name == SET_UP)


def begun(shop: Shop, **changed: object) -> Record:
    """A record of the set-up that begins at the aims, with what is ``changed`` in it."""
    plan, set_up = planned(shop)
    return replace(begin_record(plan, set_up, {}, TODAY), **changed)


def measured(back: str, *, moved: str = "0", times: int = 1) -> RecordedPiece:
    """A test piece that is right but for the length between its back shoulders."""
    readings = times * tuple(
        RecordedReading(name, found=inches(length), by=by)
        for name, length, by in (*RIGHT, ("back_length", back, "rule"))
    )
    return RecordedPiece(TODAY, readings, {STOP: inches(moved)} if moved != "0" else {})


def keep(shop: Shop, record: Record) -> Record:
    write_new(record, shop.folder / "records", shop.settings.notation)
    return record


def state(shop: Shop, today: datetime.date = TODAY) -> SetUpState:
    return set_up_states(planned(shop)[0], ShopRecords(shop), today)[SET_UP]


def test_without_a_record_it_is_the_aim_and_nothing_is_known(shop: Shop) -> None:
    found = state(shop)
    stop = found.settings[STOP]
    assert (found.verdict, stop.set_to, stop.aim) == (None, inches("3/8"), inches("3/8"))
    assert (stop.reason.kind, stop.give_or_take) == (ReasonKind.AIM, None)


# Plain arithmetic on the 3/8 in of the back cheek's stop: 1/16 more after the first piece is 7/16.
STORIES = {
    "begun": ((), Verdict.OPEN, ReasonKind.FIRST_DIALLED, "3/8"),
    "right at once": ((measured("14 3/8"),), Verdict.OPEN, ReasonKind.AS_TESTED, "3/8"),
    "to be measured again": ((measured("14 1/2"),), Verdict.OPEN, ReasonKind.AS_TESTED, "3/8"),
    "not moved yet": ((measured("14 1/2", times=3),), Verdict.OPEN, ReasonKind.ADVISED, "7/16"),
    "moved": ((measured("14 1/2", moved="1/16"),), Verdict.OPEN, ReasonKind.MOVED, "7/16"),
    "proved": (
        (measured("14 1/2", moved="1/16"), measured("14 3/8")),
        Verdict.PROVED,
        ReasonKind.PROVED,
        "7/16",
    ),
}


@pytest.mark.parametrize("story", STORIES)
def test_the_set_up_s_own_record_says_what_to_set(shop: Shop, story: str) -> None:
    pieces, verdict, kind, figure = STORIES[story]
    keep(shop, begun(shop, pieces=pieces, verdict=verdict))
    found = state(shop)
    stop = found.settings[STOP]
    assert (stop.reason.kind, stop.set_to) == (kind, inches(figure))
    assert stop.reason.piece == found.pieces == len(pieces)
    told = dict.fromkeys(each.piece for each in found.readings if each.measure == "back_length")
    assert list(told) == list(range(1, len(pieces) + 1))


def proved_in(shop: Shop, year: int, *pieces: RecordedPiece) -> None:
    """A proved set-up of that year's first day, with what it teaches."""
    date = datetime.date(year, 1, 1)
    dated = tuple(replace(piece, date=date) for piece in pieces)
    record = begun(shop, pieces=dated, verdict=Verdict.PROVED, date=date, name=f"{year}-cope")
    keep(shop, replace(record, after=offsets_shown(record, shop)))


def test_a_figure_that_only_one_of_several_set_ups_had_is_not_set_again(shop: Shop) -> None:
    """Twice right as dialled, then 1/16 off that day and put right: the stop was set wrong once."""
    for year in (2021, 2022):
        proved_in(shop, year, measured("14 3/8"))
    proved_in(shop, 2023, measured("14 1/2", moved="1/16"), measured("14 3/8"))
    soon, later = (state(shop, datetime.date(2023, month, 1)) for month in (1, 3))
    assert (soon.settings[STOP].reason.kind, soon.settings[STOP].set_to) == (
        ReasonKind.PROVED,
        inches("7/16"),
    ), "it stands so still"
    assert (later.settings[STOP].reason.kind, later.settings[STOP].set_to) == (
        ReasonKind.ALL_PROVED,
        inches("3/8"),
    )
    assert {item.reason.kind for cause, item in later.settings.items() if cause != STOP} == {
        ReasonKind.PROVED
    }


def test_what_one_set_up_alone_was_proved_at_is_set_again(shop: Shop) -> None:
    proved_in(shop, 2023, measured("14 1/2", moved="1/16"), measured("14 3/8"))
    assert state(shop).settings[STOP].set_to == inches("7/16")


def test_a_proved_set_up_needs_no_test_piece_an_open_one_one_more(shop: Shop) -> None:
    open_ = keep(shop, begun(shop, pieces=(measured("14 3/8"),)))
    assert state(shop).due.pieces == 1
    (shop.folder / "records" / f"{open_.name}.yaml").unlink()
    keep(shop, replace(open_, verdict=Verdict.PROVED))
    assert state(shop).due.pieces == 0


def test_before_the_first_piece_there_is_one_to_spare(shop: Shop) -> None:
    machines = [shop.machine("crosscut-saw"), shop.machine("router-table")]
    history = offset_history(ShopRecords(shop), machines, TODAY)
    needed = prospects_of(begun(shop), shop, history).pieces
    assert needed >= 1 and state(shop).due.pieces == needed + 1


def test_a_record_that_was_given_up_leaves_the_set_up_untested(shop: Shop) -> None:
    kept = keep(shop, begun(shop, pieces=(measured("14 1/2"),), verdict=Verdict.GIVEN_UP))
    found = state(shop)
    assert (found.verdict, found.settings[STOP].set_to) == (None, inches("3/8"))
    assert kept.verdict is Verdict.GIVEN_UP


def test_of_open_records_those_count_that_were_begun_since_the_last_was_closed() -> None:
    days = {"late": 9, "proved": 5, "that-day": 5, "left": 3, "given-up": 2}
    verdicts = {"proved": Verdict.PROVED, "given-up": Verdict.GIVEN_UP}
    newest_first = [
        FoundRecord(
            Path(f"{name}.yaml"),
            Facts.of(
                replace(
                    RECORD,
                    date=datetime.date(2021, 6, day),
                    verdict=verdicts.get(name, Verdict.OPEN),
                )
            ),
        )
        for name, day in days.items()
    ]
    assert [each.name for each in open_ones(newest_first)] == ["that-day", "late"]
    never = [each for each in newest_first if each.is_open]
    assert [each.name for each in open_ones(never)] == ["left", "that-day", "late"]


def test_readings_are_counted_by_their_pieces_and_by_where_they_should_be() -> None:
    # By hand: 14 1/2 over a target of 14 3/8 on a blank 1/2 in longer is 3/8 in under.
    first, second = RECORD.pieces
    again = replace(second, readings=(RecordedReading("back_length", found=inches("14 3/8")),))
    found = replace(RECORD, pieces=(first, again)).deviations()
    assert [(each.piece, each.measure, each.deviation, each.inside) for each in found] == [
        (1, "back_length", inches("-3/8"), False),
        (2, "back_length", Length.ZERO, True),
    ]


@pytest.mark.parametrize("way", SetBy)
def test_a_dial_is_set_as_closely_as_its_way_of_setting(way: SetBy) -> None:
    dial = MachineSetting("Stop", inches("1/64"), way, "more", "less")
    assert spread_of(dial) == METHOD_SPREAD[way]
    measured_ = replace(dial, spread=Length.millimetres(2), resetting=Length.millimetres(1))
    assert (spread_of(measured_).first, spread_of(measured_).again) == (2.0, 1.0)


def test_a_dial_that_is_gone_is_taken_as_set_by_rule() -> None:
    assert spread_of(None) == METHOD_SPREAD["rule"]


def test_a_run_reads_each_record_once(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    for year in range(2000, 2012):
        date = datetime.date(year, 1, 1)
        keep(shop, begun(shop, name=f"{date}-made-up", date=date, verdict=Verdict.PROVED))
    shutil.rmtree(shop.folder / folder.FOLDER / index.FOLDER)  # as in a shop that was copied
    read: Counter[Path] = Counter()

    def counted(path: Path) -> bytes:
        read[path] += 1
        return path.read_bytes()

    def parsed(text: str, path: Path) -> Document:
        taken_apart[path] += 1
        return read_text(text, path)

    taken_apart: Counter[Path] = Counter()
    monkeypatch.setattr(folder, "read_bytes", counted)
    monkeypatch.setattr(folder, "read_text", parsed)
    plan, _ = planned(shop)
    records = ShopRecords(shop)
    set_up_states(plan, records, TODAY)
    reload(records.record(next(records.asked_for("cope"))), records, TODAY)
    assert len(read) == 12 and set(read.values()) == {1}
    assert set(taken_apart.values()) == {1}


def test_what_happened_to_a_machine_or_a_cutter_since_is_told(shop: Shop) -> None:
    machine = shop.folder / "machines" / "crosscut-saw.yaml"
    machine.write_text(
        machine.read_text("utf-8")
        + "events:\n"
        + "  - {date: 2025-12-31, what: before it, resets: [stop]}\n"
        + "  - {date: 2026-01-01, what: on the day, resets: [stop]}\n",
        "utf-8",
    )
    own = shop.folder / "cutters"
    own.mkdir()
    cutter = shop.find("cutter", "cope-ovolo-inch").path
    (own / cutter.name).write_text(
        cutter.read_text("utf-8")
        + "events:\n"
        + "  - {date: 2025-12-31, what: before it}\n"
        + "  - {date: 2026-03-01, what: ground}\n",
        "utf-8",
    )
    opened = Shop.open(shop.folder)
    recalled = reload(begun(opened), ShopRecords(opened), datetime.date(2026, 6, 1))
    assert [(each.kind, each.name, each.what) for each in recalled.changes] == [
        (ChangeKind.MACHINE, "crosscut-saw", "on the day"),
        (ChangeKind.CUTTER, "cope-ovolo-inch", "ground"),
    ]


def test_an_aim_that_is_another_today_is_told(shop: Shop) -> None:
    """Of the same figures: by the recipe, then."""
    record = begun(shop)
    stop = replace(record.setting(STOP), aim=inches("1/2"))
    then = replace(record, settings=(stop, *record.settings[1:]))
    recalled = reload(then, ShopRecords(shop), TODAY)
    assert [(each.kind, each.name, each.then, each.now) for each in recalled.changes] == [
        (ChangeKind.RECIPE, record.recipe, Length.ZERO, Length.ZERO),
        (ChangeKind.AIM, STOP, inches("1/2"), inches("3/8")),
    ]
    assert recalled.settings[STOP].aim == inches("3/8")


def test_a_machine_or_a_cutter_that_is_gone_is_told(shop: Shop) -> None:
    record = begun(shop)
    settings = tuple(
        replace(item, machine="old-saw", cutter="old-blade")
        if item.machine == "crosscut-saw"
        else item
        for item in record.settings
    )
    recalled = reload(replace(record, settings=settings), ShopRecords(shop), TODAY)
    assert [(each.kind, each.name) for each in recalled.changes] == [
        (ChangeKind.MACHINE_GONE, "old-saw"),
        (ChangeKind.CUTTER_GONE, "old-blade"),
    ]
    assert recalled.settings[STOP].set_to == inches("3/8")


def test_figures_of_another_machine_are_not_taken_for_this_one_s(shop: Shop) -> None:
    record = begun(shop, pieces=(measured("14 1/2", moved="1/16"),), verdict=Verdict.PROVED)
    settings = tuple(
        replace(item, machine="old-saw") if item.machine == "crosscut-saw" else item
        for item in record.settings
    )
    keep(shop, replace(record, settings=settings))
    found = state(shop)
    assert (found.verdict, found.settings[STOP].set_to) == (None, inches("3/8"))
    assert found.last is not None and found.last.dialled(STOP) == inches("7/16")


FOUND = {
    "its verdict, which the file leaves out": ("open", True),
    "the other spelling": ("muntin", True),
    "two words in two places": ("cherry 2026", True),
    "a word that is only a key": ("sensitivity", False),
    "one word of two": ("cherry 2027", False),
}


@pytest.mark.parametrize("case", FOUND)
def test_records_are_found_by_words(shop: Shop, case: str) -> None:
    # Common practice, no source: muntin is the American word for a glazing bar.
    words, there = FOUND[case]
    kept = keep(shop, begun(shop))
    assert [each.path.stem for each in ShopRecords(shop).asked_for(words)] == [kept.name] * there


def test_a_word_that_a_backslash_spells_out_is_found(shop: Shop) -> None:
    kept = keep(shop, begun(shop, kept="over the bench"))
    path = shop.folder / "records" / f"{kept.name}.yaml"
    text = path.read_text("utf-8")
    path.write_text(text.replace("kept: over the bench", r'kept: "over the b\x65nch"'), "utf-8")
    assert [each.path.stem for each in ShopRecords(shop).asked_for("bench")] == [kept.name]


@pytest.mark.parametrize(("by", "due"), [("1/1000", False), ("1/8", True), ("-1/64", True)])
def test_a_proof_is_of_what_was_to_be_measured_then(shop: Shop, by: str, due: bool) -> None:
    """No setting is aimed otherwise, and yet a length is to be another: what was proved is of the
    old one. A thousandth is less than thin paper's half, which no fit tells apart."""
    record = begun(shop, pieces=(measured("14 3/8"),), verdict=Verdict.PROVED)
    measures = tuple(
        replace(each, target=each.target - inches(by)) if each.name == "back_length" else each
        for each in record.measures
    )
    keep(shop, replace(record, measures=measures))
    found = state(shop).due
    assert (found.pieces > 0) is due and bool(found.since) is due
    if due:
        why, change = found.since
        assert (why.kind, why.name) == (ChangeKind.RECIPE, record.recipe), "of the same figures"
        assert (change.kind, change.now - change.then) == (ChangeKind.TARGET, inches(by))
