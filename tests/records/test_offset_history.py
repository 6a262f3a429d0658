"""What records teach about machines, and how it is put into the next set-up."""

from __future__ import annotations

import datetime
import statistics
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from msgspec.structs import replace

from setupsheets.lengths import Length
from setupsheets.records.folder import write_new
from setupsheets.records.model import PIECE_SCATTER
from setupsheets.records.offset_history import (
    TEACHING,
    OffsetHistory,
    offset_history,
    offsets_shown,
    offsets_told,
)
from setupsheets.records.record import (
    Record,
    RecordedMeasure,
    RecordedOffset,
    RecordedPiece,
    RecordedReading,
    RecordedSetting,
    record_name,
)
from setupsheets.records.shop_records import ShopRecords
from setupsheets.records.verdicts import Verdict
from setupsheets.shop.finding import Shop
from setupsheets.shop.machines import Machine, MachineEvent, SettingName
from setupsheets.shop.recipes import MeasuredTo
from setupsheets.wording.set_ups import offset_words
from tests.records.made_up import NOTATION, RECORD, inches

EXAMPLES = Path(__file__).parents[2] / "examples"
TODAY = datetime.date(2026, 1, 1)


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return replace(Shop.open(EXAMPLES / "larder"), folder=tmp_path)


def taught(shop: Shop, year: int, offset: str, verdict: Verdict = Verdict.PROVED) -> None:
    date = datetime.date(year, 5, 1)
    after = (RecordedOffset("crosscut-saw-inch", SettingName.STOP, inches(offset), inches(".005")),)
    name = record_name(date, "larder", ["crosscut-saw"], "cope")
    stop = replace(RECORD.settings[0], machine="crosscut-saw-inch")
    settings = (stop, *RECORD.settings[1:])
    made = replace(RECORD, name=name, date=date, verdict=verdict, after=after, settings=settings)
    write_new(made, shop.folder / "records", shop.settings.notation)


def history(shop: Shop, *machines: Machine) -> OffsetHistory:
    return offset_history(ShopRecords(shop), machines, TODAY)


def cut_to_length(found: str) -> Record:
    """One stop, one reading of a length that it makes by itself."""
    return Record(
        name="one",
        date=TODAY,
        job="larder",
        set_up="blanks/crosscut",
        recipe="blanks",
        section="ovolo-bar-inch",
        timber="black-cherry",
        parts=("cross bar",),
        settings=(
            RecordedSetting(
                "crosscut.stop", "crosscut-saw-inch", SettingName.STOP, inches("10"), inches("10")
            ),
        ),
        measures=(
            RecordedMeasure(
                name="length",
                title="Length",
                by="caliper",
                target=inches("10"),
                under=inches("1/64"),
                over=inches("1/64"),
                moved_by={"crosscut.stop": Fraction(1)},
            ),
        ),
        pieces=(
            RecordedPiece(TODAY, (RecordedReading("length", found=inches(found), by="caliper"),)),
        ),
    )


def test_a_length_a_32nd_long_says_the_stop_stands_a_32nd_over(shop: Shop) -> None:
    (lesson,) = offsets_shown(cut_to_length("10 1/32"), shop)
    assert (lesson.machine, lesson.setting) == ("crosscut-saw-inch", "stop")
    assert abs(lesson.offset - inches("1/32")) <= inches(".001")
    assert inches("0") < lesson.give_or_take < inches("1/64")


def test_what_was_dialled_otherwise_is_no_offset(shop: Shop) -> None:
    # Dialled 1/32 over on purpose, and it came out 1/32 over: the dial is right.
    record = cut_to_length("10 1/32")
    dialled = (replace(record.settings[0], dialled=inches("10 1/32")),)
    (lesson,) = offsets_shown(replace(record, settings=dialled), shop)
    assert abs(lesson.offset) <= inches(".001")


def test_a_setting_that_nothing_was_read_of_teaches_nothing(shop: Shop) -> None:
    record = cut_to_length("10")
    assert offsets_shown(replace(record, pieces=()), shop) == ()


def test_set_ups_agree_and_are_believed(shop: Shop) -> None:
    for year in (2019, 2021, 2024):
        taught(shop, year, "1/32")
    saw = shop.machine("crosscut-saw-inch")
    known = history(shop, saw).of(saw.name, "stop", "far", inches("3/8"))
    assert known is not None
    assert (known.set_ups, known.since) == (3, 2019)
    assert known.to_dial(inches("10"), saw.settings[SettingName.STOP]) == inches("9 31/32")
    assert offset_words(known, saw.settings[SettingName.STOP].finest, NOTATION).startswith(
        "has come out 1/32 in over what is dialled in 3 set-ups since 2019"
    )


def test_set_ups_that_were_given_up_push_out_none_that_was_proved(shop: Shop) -> None:
    saw = shop.machine("crosscut-saw-inch")
    dial, seen = saw.settings[SettingName.STOP], []
    closed = [Verdict.PROVED] * 7 + [Verdict.GIVEN_UP, Verdict.OUT_OF_REACH] * 4
    for number, verdict in enumerate(closed):
        taught(shop, 2008 + number, "1/32", verdict)
        known = history(shop, saw).of(saw.name, "stop", "far", inches("3/8"))
        assert known is not None
        seen.append((known.set_ups, known.not_proved))
    assert known is not None
    # The newest six that were proved, and six beside them that were not.
    proved = [(min(n, TEACHING), 0) for n in range(1, 8)]
    assert seen == proved + [(TEACHING + min(n, TEACHING), min(n, TEACHING)) for n in range(1, 9)]
    assert offset_words(known, dial.finest, NOTATION) == (
        "has come out 1/32 in over what is dialled in 12 set-ups since 2009, 6 of them not proved"
    )


def test_a_proved_figure_is_outvoted_by_proved_set_ups_alone(shop: Shop) -> None:
    saw = shop.machine("crosscut-saw-inch")
    dial = saw.settings[SettingName.STOP]
    verdicts = (Verdict.GIVEN_UP, Verdict.GIVEN_UP, Verdict.PROVED, Verdict.PROVED)
    against = []
    for number, verdict in enumerate(verdicts):
        taught(shop, 2020 + number, "1/16", verdict)
        known = history(shop, saw).of(saw.name, "stop", "far", inches("3/8"))
        assert known is not None
        against.append(known.speaks_against(Length.ZERO, dial))
    assert against == [False, False, False, True]


@pytest.mark.parametrize("scale", [0.5, 2.2])
def test_one_more_set_up_that_was_given_up_makes_the_scatter_better_known(
    shop: Shop, scale: float
) -> None:
    """Set-ups of six pieces that lie as six of a normal distribution do (its quantiles, by
    `statistics`), of half or 2.2 times the usual scatter: with each the scatter is thought nearer
    to that, and what the proved one said is not lost."""
    saw, wrong, normal = shop.machine("crosscut-saw-inch"), [], statistics.NormalDist()
    off = [normal.inv_cdf((n + 0.5) / 6) * PIECE_SCATTER * scale / 25.4 for n in range(6)]
    pieces = tuple(cut_to_length(f"{10 + each:.5f}").pieces[0] for each in off)
    for year, verdict in enumerate((Verdict.PROVED, Verdict.GIVEN_UP, Verdict.OUT_OF_REACH)):
        date = datetime.date(2020 + year, 5, 1)
        name = record_name(date, "larder", ["crosscut-saw"], "blanks")
        one = replace(cut_to_length("10"), name=name, date=date, verdict=verdict, pieces=pieces)
        one = replace(one, after=offsets_shown(one, shop))
        write_new(one, shop.folder / "records", shop.settings.notation)
        told = history(shop, saw)
        assert [each.verdict for each in told.told].count(Verdict.PROVED) == 1
        thought = sum(each.probability * np.log(each.pieces) for each in told.shops(shop))
        wrong.append(abs(thought - np.log(scale)))
    assert wrong[0] > wrong[1] > wrong[2]


def test_one_slip_among_many_is_not_believed(shop: Shop) -> None:
    for year, offset in ((2018, "0"), (2019, "0"), (2021, "1/2"), (2024, "0")):
        taught(shop, year, offset)
    saw = shop.machine("crosscut-saw-inch")
    known = history(shop, saw).of(saw.name, "stop", "far", inches("3/8"))
    assert known is not None
    assert abs(known.offset) < inches("1/64")


# An event of 2023 against set-ups of 2019, 2021 and, where said, 2024: what is left is 2024's.
RESETS: dict[str, tuple[tuple[SettingName, ...], str, int | None]] = {
    "its own dial": ((SettingName.STOP,), "", None),
    "none named means all": ((), "", None),
    "another dial": ((SettingName.HEIGHT,), "", 2),
    "a new name alone": ((), "radial-saw", 2),
    "a new name and its dial": ((SettingName.STOP,), "radial-saw", None),
}


@pytest.mark.parametrize("case", RESETS)
def test_what_was_known_of_a_dial_ends_when_it_is_reset(shop: Shop, case: str) -> None:
    resets, moved_to, left = RESETS[case]
    for year in (2019, 2021):
        taught(shop, year, "1/32")
    saw = shop.machine("crosscut-saw-inch")
    event = MachineEvent(datetime.date(2023, 1, 1), "scale moved", resets, moved_to)
    there = replace(saw, events=(event,))
    found = history(shop, there)
    known = found.of(saw.name, "stop", "far", inches("3/8"))
    assert (known.set_ups if known else None) == left
    assert found.reset == ({} if left else {f"{saw.name}.stop": event})
    taught(shop, 2024, "1/64")
    again = history(shop, there).of(saw.name, "stop", "far", inches("3/8"))
    assert again is not None and again.set_ups == (left or 0) + 1


def test_what_was_found_on_the_day_of_an_event_may_have_been_before_it(shop: Shop) -> None:
    taught(shop, 2019, "1/32")
    saw = shop.machine("crosscut-saw-inch")
    for day, counts in ((30, True), (1, False)):
        month = 4 if day == 30 else 5
        event = MachineEvent(datetime.date(2019, month, day), "scale moved", (SettingName.STOP,))
        known = history(shop, replace(saw, events=(event,))).of(
            saw.name, "stop", "far", inches("3/8")
        )
        assert (known is not None) == counts


def test_records_of_later_days_are_not_known_yet(shop: Shop) -> None:
    taught(shop, 2030, "1/32")
    saw = shop.machine("crosscut-saw-inch")
    assert history(shop, saw).known == {}


def test_ties_are_kept_and_stay_possible() -> None:
    proven = offsets_told(RECORD, {0: "crosscut-saw.stop", 1: "router-table.fence"})
    assert proven.names == ("crosscut-saw.stop", "router-table.fence")
    assert np.linalg.eigvalsh(proven.cov).min() > 0
    tie = proven.cov[0, 1] / np.sqrt(proven.cov[0, 0] * proven.cov[1, 1])
    assert tie == pytest.approx(-0.3, abs=0.01)
    # A hundredth is added to each square, and a billionth of a square millimetre.
    said = [float(each.give_or_take.mm) ** 2 for each in RECORD.after]
    assert np.diag(proven.cov) == pytest.approx([1.01 * square + 1e-9 for square in said])


def test_two_settings_on_one_dial_share_its_offset(shop: Shop) -> None:
    for year in (2019, 2021):
        taught(shop, year, "1/32")
    saw = shop.machine("crosscut-saw-inch")
    known = history(shop, saw)
    record = cut_to_length("10")
    aim = inches("3/8")
    first = replace(record.settings[0], aim=aim, dialled=aim, to=MeasuredTo.FAR)
    both = replace(
        record,
        settings=(first, replace(first, cause="second.stop")),
        measures=(
            replace(
                record.measures[0],
                moved_by={"crosscut.stop": Fraction(1), "second.stop": Fraction(1)},
            ),
        ),
    )
    prior = known.prior(both, known.causes(both, shop), shop)
    shared = prior.cov[0, 1]
    assert 0 < shared < prior.cov[0, 0]
    own = known.jointly.setting_sds["crosscut-saw-inch.stop 1"] ** 2
    assert prior.cov[0, 0] - shared == pytest.approx(own)
