"""A made-up record that uses every field of the format, and the script that froze its samples.

    python -m tests.records.made_up          writes the samples that there are not yet

A sample is frozen once its format has been released: it is never written again for that version.
"""

from __future__ import annotations

import datetime
from fractions import Fraction
from pathlib import Path

from msgspec.structs import replace

from setupsheets.corrections.observations import Fit
from setupsheets.files.kinds import CURRENT
from setupsheets.lengths import Length, Notation, Unit
from setupsheets.records.entry import Entry, Strike
from setupsheets.records.folder import write_entry, write_new
from setupsheets.records.record import (
    Record,
    RecordedMeasure,
    RecordedOffset,
    RecordedPiece,
    RecordedReading,
    RecordedSetting,
)
from setupsheets.records.verdicts import Verdict
from setupsheets.shop.machine_kinds import MachineType
from setupsheets.shop.machines import MachineSetting, SetBy, SettingName
from setupsheets.shop.settings import Instrument

SAMPLES = Path(__file__).parent / "samples"
NOTATION = Notation(Unit.IN, Fraction(1, 64))


def inches(text: str) -> Length:
    return Length(f"{text} in")


RECORD = Record(
    name="record-v1",
    date=datetime.date(2021, 5, 31),
    job="larder",
    set_up="cope-crosscut-saw/cross-bar-into-stile",
    recipe="cope-crosscut-saw",
    section="ovolo-bar-inch",
    timber="black-cherry",
    parts=("cross bar", "end upright bar"),
    settings=(
        RecordedSetting(
            cause="back_cheek.stop",
            machine="crosscut-saw",
            setting=SettingName.STOP,
            aim=inches("3/8"),
            dialled=inches("13/32"),
            cutter="dado-stack-8-inch",
        ),
        RecordedSetting(
            "cope.fence", "router-table", SettingName.FENCE, inches("13/16"), inches("13/16")
        ),
    ),
    measures=(
        RecordedMeasure(
            name="back_length",
            title="Back, shoulder to shoulder: tenon to tenon",
            by="rule",
            target=inches("14 3/8"),
            under=inches("1/32"),
            over=inches("1/64"),
            moved_by={"blank.length": Fraction(1), "back_cheek.stop": Fraction(-2)},
        ),
        RecordedMeasure(
            name="half",
            title="# a title that YAML must quote",
            by="caliper",
            target=inches("1/3"),
            under=Length.millimetres("0.1"),
            over=inches(".004"),
            moved_by={"cope.fence": Fraction(1, 2)},
        ),
    ),
    pieces=(
        RecordedPiece(
            date=datetime.date(2021, 5, 31),
            readings=(
                RecordedReading("back_length", found=inches("14 1/2"), by="rule", pieces=2),
                RecordedReading("half", fit=Fit.TIGHT, by="caliper"),
            ),
            moved={"back_cheek.stop": inches("1/16"), "blank.length": inches("-1/4")},
            longer=inches("1/2"),
            advice=("What to do:", 'no: "leave" it alone'),
            notes="the fence slipped\nand was clamped again",
        ),
        RecordedPiece(date=datetime.date(2021, 6, 1)),
    ),
    verdict=Verdict.PROVED,
    kept="on the nail: over the bench",
    after=(
        RecordedOffset(
            machine="crosscut-saw",
            setting=SettingName.STOP,
            offset=inches("-.0315"),
            give_or_take=inches(".0055"),
            tied={"router-table.fence": Fraction(-3, 10)},
        ),
        RecordedOffset("router-table", SettingName.FENCE, inches("0"), inches(".004")),
    ),
    notes="yes",
)


HEAD = replace(
    RECORD,
    name="record-v2",
    pieces=(),
    verdict=Verdict.OPEN,
    kept="",
    after=(),
    settings=(
        replace(
            RECORD.settings[0],
            dial=MachineSetting(
                title="Stop: on the fence",
                finest=inches("1/64"),
                set_by=SetBy.STOP,
                more="stop away from the blade",
                less="stop towards the blade",
                greatest=inches("24"),
                spread=inches(".01"),
                resetting=inches(".004"),
            ),
            machine_title="Crosscut saw",
            machine_type=MachineType.CROSSCUT_SAW,
            cutter_title="Dado stack, 8 in",
            cutter_sizes={"diameter": inches("8"), "kerf": inches("1/2")},
        ),
        RECORD.settings[1],
    ),
    begun="2021-05-31T08:15:00.250000Z",
    instead_of=("2021-05-30-crosscut-saw-cope-abcdef",),
    blanks={"blank.thickness": inches("1 1/4")},
    instruments={"rule": Instrument("Steel rule", inches("1/128"), inches("1/64"))},
)
_PIECES = RECORD.pieces
_FIRST, _AGAIN, _LAST = (
    "20210531-081600-000001-abc123",
    "20210531-082000-000002-abc124",
    "20210601-070000-000003-abc125",
)
ENTRIES = (
    Entry(
        _FIRST,
        _PIECES[0].date,
        readings=_PIECES[0].readings,
        longer=_PIECES[0].longer,
        advice=_PIECES[0].advice,
        advised=_PIECES[0].moved,
        advised_by_shims=("back_cheek.stop",),
    ),
    Entry(
        _AGAIN,
        _PIECES[0].date,
        follows=_FIRST,
        did=_PIECES[0].moved,
        by_shims=("back_cheek.stop",),
        readings=_PIECES[0].readings[1:],
        again=_FIRST,
        strikes=(Strike(_FIRST, "half", 1),),
        notes=_PIECES[0].notes,
    ),
    Entry(
        _LAST,
        _PIECES[1].date,
        follows=_AGAIN,
        did={},
        verdict=Verdict.PROVED,
        although="only the back shows",
        kept=RECORD.kept,
        after=RECORD.after,
    ),
)
"""The same in the form of version 2, a file for the head and one for each act."""


def _piece(moment: int, reading: str) -> Entry:
    found = (RecordedReading("back_length", found=inches(reading), by="rule"),)
    return Entry(f"20210531-09{moment:02}00-000000-abc{moment:03}", RECORD.date, readings=found)


JOINED = {
    "one": (
        replace(HEAD, name="one", date=RECORD.date),
        (
            _piece(1, "14 1/2"),
            Entry(
                "20210531-093000-000000-abc030",
                RECORD.date,
                did={"back_cheek.stop": inches("1/32")},
                verdict=Verdict.OPEN,
                joins=("other", "third"),
            ),
            Entry("20210531-094000-000000-abc040", RECORD.date, apart=("third",)),
        ),
    ),
    "other": (replace(HEAD, name="other"), (_piece(2, "14 3/8"),)),
    "third": (replace(HEAD, name="third"), (_piece(3, "14 1/4"),)),
}
"""Two records that are one, and a third that was taken apart again."""


def main() -> None:
    """Freeze what is not frozen already."""
    path = SAMPLES / f"record-v{CURRENT['record']}.yaml"
    if not path.exists():
        write_new(HEAD, SAMPLES, NOTATION)
        for entry in ENTRIES:
            write_entry(path, entry, NOTATION)
    if not (SAMPLES / "joined").exists():
        for head, entries in JOINED.values():
            written = write_new(head, SAMPLES / "joined", NOTATION)
            for entry in entries:
                write_entry(written, entry, NOTATION)


if __name__ == "__main__":
    main()
