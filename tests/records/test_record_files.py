"""Records on disk: every released version still loads, and nothing is lost on the way."""

from __future__ import annotations

import datetime
import re
from pathlib import Path
from types import SimpleNamespace
from typing import cast

import pytest
from msgspec.structs import replace

from setupsheets.bench.acts import with_done
from setupsheets.files.faults import DataFaults
from setupsheets.files.kinds import CURRENT
from setupsheets.files.plain import plain
from setupsheets.lengths import Length
from setupsheets.records.entry import Entry
from setupsheets.records.folder import (
    read_record,
    read_told,
    record_text,
    write_entry,
    write_new,
)
from setupsheets.records.open_set_up import OpenSetUp
from setupsheets.records.record import RecordedPiece, record_name
from setupsheets.records.shop_records import ShopRecords
from setupsheets.records.verdicts import Verdict
from setupsheets.shop.finding import Shop
from tests.records.made_up import ENTRIES, HEAD, JOINED, NOTATION, RECORD, SAMPLES, inches

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture
def shop() -> Shop:
    return Shop.open(EXAMPLES / "larder")


def test_every_version_has_its_sample() -> None:
    wanted = {f"record-v{number}.yaml" for number in range(1, CURRENT["record"] + 1)}
    assert {path.name for path in SAMPLES.glob("*.yaml")} == wanted


def test_a_record_of_version_1_still_says_what_it_said(shop: Shop) -> None:
    read = read_record(SAMPLES / "record-v1.yaml", shop)
    ids = [piece.id for piece in read.pieces]
    assert ids == ["piece-1", "piece-2"] and read.pieces[0].answered
    forgotten = tuple(replace(piece, id="", answered=False) for piece in read.pieces)
    assert replace(read, pieces=forgotten) == RECORD


def test_a_record_of_version_2_is_its_head_and_what_its_entries_add(shop: Shop) -> None:
    read = read_record(SAMPLES / "record-v2.yaml", shop)
    (piece,) = read.pieces
    back, half = RECORD.pieces[0].readings
    assert piece.readings == (back, replace(half, struck=datetime.date(2021, 5, 31)), half)
    assert piece.moved == RECORD.pieces[0].moved and piece.answered
    assert piece.by_shims == ("back_cheek.stop",)
    assert (read.verdict, read.kept, read.after) == (Verdict.PROVED, RECORD.kept, RECORD.after)
    assert (read.although, read.notes) == (
        "only the back shows",
        "yes\nthe fence slipped\nand was clamped again",
    )
    assert (
        replace(read, pieces=(), verdict=Verdict.OPEN, kept="", after=(), although="", notes="yes")
        == HEAD
    )


def test_print_parse_print_is_the_same_to_the_byte(shop: Shop, tmp_path: Path) -> None:
    path = write_new(HEAD, tmp_path / "records", NOTATION)
    for entry in ENTRIES:
        write_entry(path, entry, NOTATION)
    frozen = SAMPLES / "record-v2.yaml"
    names = [Path("record-v2.yaml"), *(Path("record-v2") / f"{e.name}.yaml" for e in ENTRIES)]
    for name in names:
        assert (path.parent / name).read_bytes() == (SAMPLES / name).read_bytes()
    told = read_told(frozen, shop)
    assert record_text(told.head, NOTATION) == frozen.read_text("utf-8")
    assert told.entries == ENTRIES


def test_records_that_were_joined_are_still_one(shop: Shop, tmp_path: Path) -> None:
    read = read_told(SAMPLES / "joined" / "one.yaml", shop)
    assert [each.head.name for each in read.joined] == ["other"]
    found = [each.readings[0].found for each in read.record.pieces]
    assert found == [Length("14 1/2 in"), Length("14 3/8 in")]
    for name, (head, entries) in JOINED.items():
        path = write_new(head, tmp_path, NOTATION)
        for entry in entries:
            write_entry(path, entry, NOTATION)
        files = [path, *path.with_suffix("").iterdir()]
        assert len(files) == 1 + len(entries)
        for each in files:
            frozen = SAMPLES / "joined" / each.relative_to(tmp_path)
            assert each.read_bytes() == frozen.read_bytes(), name


def test_what_is_moved_twice_adds_up_and_stays_by_shims_only_where_all_of_it_was() -> None:
    first = {"cope.fence": Length(".004 in"), "cope.height": Length(".002 in")}
    piece = RecordedPiece(datetime.date(2021, 6, 2))
    once = piece.with_done(first, ["cope.fence", "cope.height"])
    assert (once.moved, once.by_shims) == (first, ("cope.fence", "cope.height"))
    twice = once.with_done({"cope.fence": Length("1/64 in")}, [])
    # By hand: 1/64 is .015625 in.
    assert twice.moved == {"cope.fence": Length(".019625 in"), "cope.height": Length(".002 in")}
    assert twice.by_shims == ("cope.height",)


FENCE, HEIGHT = "cope.fence", "cope.height"


@pytest.mark.parametrize(
    ("done", "by_shims"),
    [
        ({FENCE: "1/64", HEIGHT: "1/32"}, (FENCE,)),
        ({FENCE: "1/64"}, (FENCE,)),
        ({FENCE: "1/32"}, ()),  # another amount, however it was done
        ({HEIGHT: "1/32"}, ()),
        ({}, ()),
    ],
)
def test_what_is_done_as_advised_is_done_by_shims_where_that_was(
    done: dict[str, str], by_shims: tuple[str, ...]
) -> None:
    advised = {FENCE: inches("1/64"), HEIGHT: inches("1/32")}
    last = RecordedPiece(RECORD.date, advised=advised, advised_by_shims=(FENCE,))
    entry = Entry("20210531-093000-000000-abc030", RECORD.date)
    moved = {cause: inches(amount) for cause, amount in done.items()}

    def kept(piece: RecordedPiece, did: dict[str, Length] | None) -> Entry:
        record = replace(RECORD, pieces=(piece,))
        opened = SimpleNamespace(record=record, last=piece)
        return with_done(entry, cast(OpenSetUp, opened), did)

    assert kept(last, moved) == replace(entry, did=moved, by_shims=by_shims)
    assert kept(replace(last, answered=True), moved).by_shims == by_shims, "nothing was moved then"
    once = replace(last, answered=True, moved=advised)
    assert kept(once, moved).by_shims == (), "it waits no more"
    assert kept(last, None) == entry


def test_a_record_is_never_written_over(tmp_path: Path) -> None:
    path = write_new(HEAD, tmp_path, NOTATION)
    write_entry(path, ENTRIES[0], NOTATION)
    with pytest.raises(DataFaults):
        write_new(HEAD, tmp_path, NOTATION)
    with pytest.raises(DataFaults):
        write_entry(path, ENTRIES[0], NOTATION)


def test_two_people_never_write_the_same_record() -> None:
    """Two by two: of 200 together two are alike once in 800 times, with 24 bits (the birthday
    problem: 200 * 199 / 2 pairs of 2 ** 24)."""
    day = datetime.date(2021, 5, 31)
    for _ in range(200):
        one, other = (
            record_name(day, "larder", ["Crosscut saw"], "cope/cross bar") for _ in range(2)
        )
        assert one != other
        for name in (one, other):
            assert re.fullmatch(
                "2021-05-31-larder-crosscut-saw-cope-cross-bar-[0-9a-f]{6}", name
            ), "24 bits"


def test_records_come_newest_first_and_only_those_that_mention_it(
    shop: Shop, tmp_path: Path
) -> None:
    own = replace(shop, folder=tmp_path)
    for year in (2019, 2023, 2021):
        name = record_name(datetime.date(year, 1, 1), "larder", ["saw"], "cope")
        made = replace(RECORD, name=name, date=datetime.date(year, 1, 1))
        write_new(made, tmp_path / "records", NOTATION)
    (tmp_path / "records" / "2020-broken.yaml").write_text("nothing: [", "utf-8")
    assert [each.facts.date[:4] for each in ShopRecords(own).asked_for("black-cherry")] == [
        "2023",
        "2021",
        "2019",
    ]


def test_a_broken_record_is_told_and_the_others_serve(shop: Shop, tmp_path: Path) -> None:
    own = replace(shop, folder=tmp_path, passed_over={})
    (tmp_path / "records").mkdir()
    broken = tmp_path / "records" / "2020-broken.yaml"
    broken.write_text(record_text(RECORD, NOTATION).replace("verdict:", "verdikt:"), "utf-8")
    (tmp_path / "records" / "2021-whole.yaml").write_text(record_text(RECORD, NOTATION), "utf-8")
    assert [each.path.stem for each in ShopRecords(own).asked_for("")] == ["2021-whole"]
    assert own.passed_over.keys() == {broken}
    assert "did you mean 'verdict'" in str(own.passed_over[broken])


def test_moves_add_up_to_what_is_dialled() -> None:
    # 13/32 first dialled, 1/16 more after the first piece: 15/32 (plain arithmetic).
    assert RECORD.dialled("back_cheek.stop") == Length("15/32 in")
    assert RECORD.dialled("cope.fence") == Length("13/16 in")
    with pytest.raises(KeyError):
        RECORD.dialled("cope.height")


def test_plain_has_no_form_for_strangers() -> None:
    with pytest.raises(TypeError, match="no plain form for object"):
        plain(object(), NOTATION)
