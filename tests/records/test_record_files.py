"""Records on disk: every released version still loads, and nothing is lost on the way."""

from __future__ import annotations

import datetime
from dataclasses import replace
from pathlib import Path

import pytest

from setupsheets.files.faults import DataFaults
from setupsheets.files.kinds import CURRENT
from setupsheets.files.plain import plain
from setupsheets.lengths import Length
from setupsheets.records.folder import (
    ShopRecords,
    add_done,
    add_piece,
    add_reading,
    close,
    read_record,
    record_text,
    write_new,
)
from setupsheets.records.record import RecordedPiece, RecordedReading, Verdict, record_name
from setupsheets.shop.finding import Shop
from tests.records.made_up import NOTATION, RECORD, SAMPLES

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture
def shop() -> Shop:
    return Shop.open(EXAMPLES / "larder")


def test_every_version_has_its_sample() -> None:
    wanted = {f"record-v{number}.yaml" for number in range(1, CURRENT["record"] + 1)}
    assert {path.name for path in SAMPLES.glob("*.yaml")} == wanted


@pytest.mark.parametrize("path", sorted(SAMPLES.glob("*.yaml")), ids=lambda path: path.name)
def test_a_sample_of_every_version_still_loads(path: Path, shop: Shop) -> None:
    assert replace(read_record(path, shop), name=RECORD.name) == RECORD


def test_print_parse_print_is_the_same_to_the_byte(shop: Shop, tmp_path: Path) -> None:
    path = write_new(RECORD, tmp_path / "records", NOTATION)
    text = path.read_text("utf-8")
    assert text == (SAMPLES / "record-v1.yaml").read_text("utf-8")
    assert record_text(read_record(path, shop), NOTATION) == text


def test_what_is_added_leaves_the_rest_to_the_letter(shop: Shop, tmp_path: Path) -> None:
    path = write_new(replace(RECORD, verdict=Verdict.OPEN, kept="", after=()), tmp_path, NOTATION)
    mine = path.read_text("utf-8").replace("\npieces:", "\npieces:   # mine, and it stays")
    path.write_text(mine, "utf-8")
    reading = RecordedReading("half", found=Length(".334 in"), by="caliper")
    add_piece(path, RecordedPiece(datetime.date(2021, 6, 2), (reading,)), NOTATION)
    add_reading(path, 2, reading, NOTATION)
    moved = {"cope.fence": Length("1/64 in")}
    done = RecordedPiece(datetime.date(2021, 6, 2)).with_done(["Cut the parts."], moved, [])
    add_done(path, done, NOTATION)
    close(path, Verdict.PROVED, "in the drawer", RECORD.after, NOTATION)
    text = path.read_text("utf-8")
    assert text.startswith(mine.split("verdict:", maxsplit=1)[0].rstrip()[:600])
    assert "# mine, and it stays" in text
    read = read_record(path, shop)
    assert read.pieces[:2] == RECORD.pieces
    assert read.pieces[2].readings == (reading, reading)
    assert read.pieces[2].advice == ("Cut the parts.",)
    assert read.pieces[2].moved == {"cope.fence": Length("1/64 in")}
    assert (read.verdict, read.kept, read.after) == (Verdict.PROVED, "in the drawer", RECORD.after)


def test_a_record_is_never_written_over(tmp_path: Path) -> None:
    write_new(RECORD, tmp_path, NOTATION)
    with pytest.raises(DataFaults):
        write_new(RECORD, tmp_path, NOTATION)


def test_two_people_never_write_the_same_record() -> None:
    day = datetime.date(2021, 5, 31)
    names = {record_name(day, ["Crosscut saw"], "cope/cross bar") for _ in range(200)}
    assert len(names) == 200
    assert all(name.startswith("2021-05-31-crosscut-saw-cope-cross-bar-") for name in names)


def test_records_come_newest_first_and_only_those_that_mention_it(
    shop: Shop, tmp_path: Path
) -> None:
    own = replace(shop, folder=tmp_path)
    for year in (2019, 2023, 2021):
        name = record_name(datetime.date(year, 1, 1), ["saw"], "cope")
        made = replace(RECORD, name=name, date=datetime.date(year, 1, 1))
        write_new(made, tmp_path / "records", NOTATION)
    (tmp_path / "records" / "2020-broken.yaml").write_text("nothing: [", "utf-8")
    assert [item.date.year for item in ShopRecords(own).mentioning("black-cherry")] == [
        2023,
        2021,
        2019,
    ]


def test_a_broken_record_is_told_and_the_others_serve(shop: Shop, tmp_path: Path) -> None:
    own = replace(shop, folder=tmp_path, passed_over={})
    (tmp_path / "records").mkdir()
    broken = tmp_path / "records" / "2020-broken.yaml"
    broken.write_text(record_text(RECORD, NOTATION).replace("verdict:", "verdikt:"), "utf-8")
    (tmp_path / "records" / "2021-whole.yaml").write_text(record_text(RECORD, NOTATION), "utf-8")
    assert [record.name for record in ShopRecords(own).mentioning()] == ["2021-whole"]
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
