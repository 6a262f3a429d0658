"""Two records of one set-up made one: every piece counts once, with the dials where its own record
has them, and no file is changed. Sums are plain arithmetic on invented figures."""

from __future__ import annotations

import datetime
from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from setupsheets.lengths import Length
from setupsheets.records.entry import Entry, Strike
from setupsheets.records.record import Record, RecordedPiece, RecordedReading
from setupsheets.records.told import Told, joins_of, unlike
from setupsheets.records.verdicts import Verdict
from tests.records.made_up import HEAD, RECORD, inches

DAY = datetime.date(2021, 5, 31)
STOP = "back_cheek.stop"
ONE, OTHER = replace(HEAD, name="one"), replace(HEAD, name="other")


def name(moment: int) -> str:
    return f"20210531-08{moment:02}00-000000-abc{moment:03}"


def piece(moment: int, reading: str, **did: str) -> Entry:
    """A piece read at a moment, and what was moved before it."""
    moved = {STOP: inches(did["stop"])} if "stop" in did else None
    readings = (RecordedReading("back_length", found=inches(reading), by="rule"),)
    return Entry(name(moment), DAY, did=moved, readings=readings)


def dialled(record: Record, stop: str) -> Record:
    settings = tuple(
        replace(each, dialled=inches(stop)) if each.cause == STOP else each
        for each in record.settings
    )
    return replace(record, settings=settings)


def stood(record: Record) -> list[Length]:
    """What the stop stood at for each piece, and stands at in the end."""
    figures = [record.setting(STOP).dialled]
    for each in record.pieces:
        figures.append(figures[-1] + each.moved.get(STOP, Length.ZERO))
    return figures


JOIN = Entry(name(30), DAY, joins=("other",), verdict=Verdict.OPEN)
MINE = (
    piece(1, "14.5"),
    piece(3, "14.3", stop="1/16"),
    Entry(name(5), DAY, did={STOP: inches("-1/64")}),
)
THEIRS = (piece(2, "14.4"), piece(4, "14.2", stop="1/32"))


def test_each_piece_was_cut_with_the_dials_as_its_own_record_has_them() -> None:
    one, other = dialled(ONE, "3/8"), dialled(OTHER, "13/32")
    found = Told(one, (*MINE, JOIN), (Told(other, THEIRS),)).record
    read = [float(each.readings[0].found.inches) for each in found.pieces if each.readings[0].found]
    assert read == [14.5, 14.4, 14.3, 14.2]
    # one: 3/8, then 7/16, then 27/64 with nothing cut; the other: 13/32, then 7/16.
    assert stood(found) == [inches(each) for each in ("3/8", "13/32", "7/16", "7/16", "7/16")]
    assert found.stand[STOP] == inches("7/16")
    assert found.name == "one" and found.verdict is Verdict.OPEN


def test_what_is_done_after_the_joining_goes_on_from_where_the_last_piece_was_cut() -> None:
    later = piece(40, "14.25", stop="1/64")
    found = Told(dialled(ONE, "3/8"), (*MINE, JOIN, later), (Told(dialled(OTHER, "3/8"), THEIRS),))
    # The other's last piece: 3/8 + 1/32 = 13/32; then 1/64 more.
    assert stood(found.record)[-2:] == [inches("27/64"), inches("27/64")]


def test_what_comes_late_from_another_copy_stands_at_its_moment() -> None:
    late = piece(35, "14.1", stop="1/64")
    told = Told(ONE, (*MINE, JOIN, piece(40, "14.25")), (Told(OTHER, (*THEIRS, late)),))
    assert [each.id for each in told.record.pieces][-2:] == [name(35), name(40)]
    assert told.last == name(40)


def test_without_the_entry_in_hand_all_that_is_joined_is_still_there() -> None:
    told = Told(ONE, (JOIN, piece(40, "14.25")), (Told(OTHER, THEIRS),)).without(name(40))
    assert [each.id for each in told.record.pieces] == [name(2), name(4)]


def test_a_verdict_of_a_record_that_is_part_of_another_counts_no_more() -> None:
    proved = Entry(name(6), DAY, verdict=Verdict.PROVED)
    late = replace(proved, name=name(50))
    for each in (proved, late):
        told = Told(ONE, (*MINE, JOIN), (Told(OTHER, (*THEIRS, each)),))
        assert told.record.verdict is Verdict.OPEN


def test_nothing_is_counted_twice_however_often_and_in_whatever_order_it_is_joined() -> None:
    again = replace(JOIN, name=name(31), joins=("other", "third"))
    third = Told(replace(HEAD, name="third"), (piece(7, "14.35"), replace(JOIN, name=name(29))))
    parts = (Told(OTHER, THEIRS), third)
    found = [Told(ONE, (*MINE, JOIN, again), order).record for order in permutations(parts)]
    assert [each.id for each in found[0].pieces] == [name(n) for n in (1, 2, 3, 4, 7)]
    assert found[0] == found[1]


def test_taken_apart_it_is_what_it_was_and_stands_where_the_dials_were_left() -> None:
    moved = replace(JOIN, did={STOP: inches("1/32")})  # to where the other's last piece was cut
    after = piece(40, "14.25", stop="1/64")
    apart = Entry(name(50), DAY, apart=("other",))
    told = Told(dialled(ONE, "3/8"), (*MINE, moved, after, apart))
    assert joins_of(told.entries) == ()
    assert [each.id for each in told.record.pieces] == [name(1), name(3), name(40)]
    # 3/8 + 1/16 - 1/64 + 1/32 + 1/64 = 15/32
    assert told.record.stand[STOP] == inches("15/32")


def test_what_had_been_set_wrong_stands_at_its_figure_in_both() -> None:
    """Dialled to 13/32 and not to 3/8: all later figures are 1/32 more; the other's own is not."""
    wrong = Entry(name(6), DAY, dialled={STOP: inches("13/32")})
    alone = Told(dialled(ONE, "3/8"), (*MINE, wrong)).record
    assert stood(alone)[-1] == inches("13/32") + inches("1/16") - inches("1/64")
    theirs = Told(dialled(OTHER, "1/2"), (*THEIRS, replace(wrong, name=name(7))))
    both = Told(dialled(ONE, "3/8"), (*MINE, wrong, JOIN, piece(40, "14.25")), (theirs,)).record
    # The last cut before they were joined was the other's: 13/32 and the 1/32 it was moved by.
    assert both.stand[STOP] == inches("7/16")


def test_slips_are_struck_and_pieces_measured_again_across_both() -> None:
    acts = (
        replace(JOIN),
        replace(piece(41, "14.41"), again=name(2)),
        Entry(name(42), DAY, strikes=(Strike(name(4), "back_length", 1),)),
    )
    found = Told(ONE, (*MINE, *acts), (Told(OTHER, THEIRS),)).record
    by_id = {each.id: each for each in found.pieces}
    assert len(by_id[name(2)].readings) == 2 and not by_id[name(4)].counted


def test_a_record_of_version_1_keeps_its_pieces_apart_from_the_others() -> None:
    """Both have a `piece-1` inside."""
    open_ = replace(RECORD, verdict=Verdict.OPEN, after=(), kept="")
    old, new = replace(open_, name="old"), replace(open_, name="one")
    struck = Entry(name(2), DAY, strikes=(Strike("piece-1", "back_length", 1),))
    join = replace(JOIN, joins=("old",))
    found = Told(new, (join,), (Told(old, (struck,)),)).record
    lengths = [len(each.counted) for each in found.pieces]
    assert len({each.id for each in found.pieces}) == len(lengths)
    assert sum(lengths) == 3 and found.pieces[0].counted  # four readings, one of them struck out
    assert {each.time for each in found.pieces} == {""}, "nobody knows when on its day each was"
    assert found.notes == "yes\nthe fence slipped\nand was clamped again\nyes"
    # Both were moved by 1/16 after their first piece, from 13/32.
    assert found.stand[STOP] == inches("15/32")


@pytest.mark.parametrize("change", ["aim", "cutter", "machine", "target", "over"])
def test_what_does_not_aim_at_the_same_is_unlike(change: str) -> None:
    setting, *settings = HEAD.settings
    measure, *measures = HEAD.measures
    values = {"aim": inches("1/2"), "target": inches("1"), "over": inches("1")}
    value = values.get(change, "another")
    if change in ("target", "over"):
        changed = replace(measure, **{change: value})
        other = replace(HEAD, measures=(changed, *measures))
        assert unlike(HEAD, other) == (measure.name,)
    else:
        other = replace(HEAD, settings=(replace(setting, **{change: value}), *settings))
        assert unlike(HEAD, other) == (setting.cause,)
    assert unlike(HEAD, dialled(replace(HEAD, pieces=(RecordedPiece(DAY),)), "1/4")) == ()


MOVES = st.lists(st.integers(-8, 8).filter(bool), min_size=2, max_size=8)


@given(MOVES, st.data())
def test_two_records_of_one_bench_come_to_what_one_would_have_been(
    moves: list[int], data: st.DataObject
) -> None:
    """The same pieces and moves in one record, and in two, of which the second began with what the
    dials stood at."""
    acts = [piece(n, f"14 {n}/64", stop=f"{by}/64") for n, by in enumerate(moves)]
    alone = Told(dialled(ONE, "3/8"), (*acts, Entry(name(30), DAY))).record
    cut = data.draw(st.integers(1, len(acts) - 1))
    stands = inches("3/8") + sum((inches(f"{by}/64") for by in moves[: cut + 1]), Length.ZERO)
    other = dialled(OTHER, f"{stands.inches}")
    theirs = (replace(acts[cut], did=None), *acts[cut + 1 :])
    found = Told(dialled(ONE, "3/8"), (*acts[:cut], JOIN), (Told(other, theirs),)).record
    assert stood(found) == stood(alone) and found.stand == alone.stand
    assert [each.readings for each in found.pieces] == [each.readings for each in alone.pieces]
    assert [each.moved for each in found.pieces[:-1]] == [each.moved for each in alone.pieces[:-1]]
