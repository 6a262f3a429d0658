"""A page that stands open while another record is begun in its place, a pair of pieces, a dial that
turns out to have been set wrong: what `log` can say, the phone is told of or can say too.

Figures come from the larder job, readings are invented.
"""

from __future__ import annotations

from pathlib import Path

from tests.commands.test_bench import CROSS_BAR, found
from tests.phone.phones import DAY, Phone
from tests.phone.test_pages import HERE, KEEP, RIGHT, acts, log, read
from tests.running import run

AFRESH = ("--afresh", *found(overall="15 1/8", back_length="14 3/8"))


def texts(shop: Path) -> list[str]:
    return [path.read_text("utf-8") for path in acts(shop)]


def test_a_reading_page_says_that_another_record_was_begun_and_loses_nothing(larder: Path) -> None:
    phone = read(Phone(larder), "15 1/8")
    log(*AFRESH)
    phone.press(KEEP, typed="14 3/8")
    assert phone.status == 409
    assert "Another record of this set-up was begun meanwhile" in phone.words
    assert "kept in that earlier record, and counts no more: Overall 15 1/8 in." in phone.words
    assert "This figure is not written: 14 3/8." in phone.words
    assert len(acts(larder)) == 2 and not any("14 3/8" in each for each in texts(larder)[:1])
    phone.press("To the set-up").press("Read test piece 2")
    for figure in RIGHT:
        phone.press(KEEP, typed=figure)
    assert "cut" in phone.words.lower() and len(acts(larder)) == 3
    assert {path.parent.name for path in acts(larder)[1:]} == {acts(larder)[2].parent.name}


def test_it_says_so_where_nothing_was_read_yet_and_when_it_is_only_looked_at(larder: Path) -> None:
    log(*found(overall="15 1/8"))
    phone = Phone(larder).open(HERE).press("Read test piece 2")
    log(*AFRESH)
    phone.press(KEEP, typed="14 3/8")
    assert phone.status == 409 and "This figure is not written: 14 3/8." in phone.words
    assert len(acts(larder)) == 2

    phone = read(Phone(larder), "15 1/8")
    there = phone.path
    log(*AFRESH, "--next")
    assert "counts no more: Overall 15 1/8 in." in phone.open(there).words


def test_a_page_of_the_record_that_counts_goes_on(larder: Path) -> None:
    """Another set-up's record that is begun meanwhile is none of its business."""
    phone = read(Phone(larder), "15 1/8")
    other = ("log", "larder", "bar-grooved", "--found", "sticking_depth=3/8", "--date", f"{DAY}")
    assert run(*other).code == 0
    phone.press(KEEP, typed="14 3/8")
    assert phone.status == 200 and "14 3/8 in" in phone.words


def test_a_pair_of_short_pieces_is_read_as_log_reads_it(larder: Path) -> None:
    phone = Phone(larder).open(HERE).press("Read test piece")
    phone.press(KEEP, typed="15 1/8", pair="1").press(KEEP, typed="14 3/8")
    (text,) = texts(larder)
    assert text.count("pieces: 2") == 1
    told = phone.words
    assert phone.status == 200 and "15 1/8 in" in told


def test_that_a_dial_had_been_set_wrong_can_be_said_later(larder: Path) -> None:
    phone = read(Phone(larder), *RIGHT)
    assert "Had a dial been set wrong at first?" in phone.words
    phone.press("Write that it had", **{"dialled-back_cheek.stop": "5/16"})
    assert phone.status == 200 and "back cheek: stop 5/16 in" in phone.words
    assert "dialled:" in texts(larder)[-1]
    assert CROSS_BAR in (larder / "records" / f"{acts(larder)[0].parent.name}.yaml").read_text(
        "utf-8"
    )
