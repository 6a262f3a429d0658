"""Which of a set-up's records counts, and that no more of them are taken apart than that takes."""

from __future__ import annotations

import datetime
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from setupsheets.machining.plan import plan_of
from setupsheets.records import index, shop_records
from setupsheets.records.folder import write_new
from setupsheets.records.index import Facts
from setupsheets.records.record import begin_record
from setupsheets.records.shop_records import FoundRecord, ShopRecords, open_ones
from setupsheets.records.told import Tell, Told, with_joined
from setupsheets.records.verdicts import Verdict
from setupsheets.shop.finding import Shop
from tests.records.made_up import NOTATION, RECORD
from tests.running import run

EXAMPLES = Path(__file__).parents[2] / "examples"
CROSS_BAR = "cope-crosscut-saw/cross-bar-into-stile"
READ = ("--found", "face_length=12 7/16", "--sure", "--date", "2026-10-21")


def found(number: int, day: int, verdict: Verdict) -> FoundRecord:
    facts = Facts(f"2022-10-{day:02}", "larder", CROSS_BAR, "", "", "", verdict, (), ())
    return FoundRecord(Path(f"{number}.yaml"), facts)


some = st.lists(
    st.tuples(st.integers(1, 4), st.sampled_from(Verdict), st.booleans()), max_size=7
).map(lambda each: sorted(each, key=lambda one: one[0], reverse=True))
"""A set-up's records, newest first: day, verdict, and whether each counts."""


@given(some)
def test_open_records_count_unless_one_was_closed_on_a_later_day(
    told: list[tuple[int, Verdict, bool]],
) -> None:
    records = [found(number, day, verdict) for number, (day, verdict, _) in enumerate(told)]
    counts = {each: told[number][2] for number, each in enumerate(records)}
    closed = [each.facts.date for each in records if counts[each] and not each.is_open]
    expected = [
        each
        for each in reversed(records)
        if each.is_open and counts[each] and all(each.facts.date >= date for date in closed)
    ]
    assert list(open_ones(records, counts.__getitem__)) == expected


def test_records_of_one_day_stand_in_the_order_in_which_they_were_begun(tmp_path: Path) -> None:
    """Not in that of the letters behind their names, which are drawn."""
    place = Path(shutil.copytree(EXAMPLES / "larder", tmp_path / "larder"))
    begun = {"abcdef": "12:00:02", "bbcdef": "12:00:03", "cbcdef": "12:00:01"}
    for letters, at in begun.items():
        name = f"2026-10-20-larder-crosscut-saw-{letters}"
        own = replace(RECORD, name=name, begun=f"2026-10-20T{at}+00:00", set_up=CROSS_BAR)
        own = replace(own, date=datetime.date(2026, 10, 20), pieces=(), after=())
        write_new(replace(own, verdict=Verdict.OPEN), place / "records", NOTATION)
    found = ShopRecords(Shop.open(place)).of("larder", CROSS_BAR)
    assert [each.name[-6:] for each in found] == sorted(begun, key=lambda n: begun[n])[::-1]


def test_in_a_full_folder_few_records_are_taken_apart_and_it_is_looked_at_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    place = Path(shutil.copytree(EXAMPLES / "larder", tmp_path / "larder"))
    shop = Shop.open(place)
    plan = plan_of(shop.job("larder"), shop)
    (set_up,) = (each for each in plan.set_ups if each.name == CROSS_BAR)
    for day in range(1, 21):
        head = begin_record(plan, set_up, {}, datetime.date(2026, 10, day))
        own = replace(head, verdict=Verdict.GIVEN_UP if day < 20 else Verdict.OPEN)
        write_new(own, place / "records", NOTATION)
        other = replace(head, name=f"{head.name}-other", job="another")
        write_new(other, place / "records", NOTATION)
    first = run("correct", "larder", CROSS_BAR, *READ, "--shop", place)
    assert first.code == 0, first.err
    monkeypatch.setattr(index, "SETTLED_SECONDS", -60.0)
    run("correct", "larder", CROSS_BAR, *READ, "--shop", place)  # what it found out is kept
    taken_apart: list[str] = []
    seen: list[Path] = []

    def joined(alone: Told, read: Callable[[str], Told | None], tell: Tell) -> Told:
        taken_apart.append(alone.head.name)
        return with_joined(alone, read, tell)

    def seen_in(folder: Path) -> index.Seen:
        seen.append(folder)
        return index.seen_in(folder)

    monkeypatch.setattr(shop_records, "with_joined", joined)
    monkeypatch.setattr(shop_records, "seen_in", seen_in)
    again = run("correct", "larder", CROSS_BAR, *READ, "--shop", place)
    assert (again.out, again.err) == (first.out, first.err)
    days = sorted(name[:10] for name in taken_apart if name.startswith("2026"))
    assert days == ["2026-10-19", "2026-10-20"], "the open one, and the last that was closed"
    assert len(seen) == 1
